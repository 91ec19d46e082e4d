//! What of a sheet is the drawing's: inside the frame a rim runs around it, below it the title strip.

use kurbo::Rect;

use crate::drawing::paper::{MARGIN, Paper};

/// Width of the rim, mm.
pub const RIM: f64 = 6.0;
/// Height of the title strip of an upright sheet, mm: two lines of a title and two of a guide's name.
const STRIP: f64 = 17.0;
/// The same of a level one, whose lines are longer: three lines.
const LEVEL_STRIP: f64 = 13.0;

/// Height of the title strip, mm.
pub fn strip_height(paper: Paper) -> f64 {
    if paper.landscape { LEVEL_STRIP } else { STRIP }
}

/// The frame: 10 mm from all edges, which any printer reaches.
pub fn frame(paper: Paper) -> Rect {
    paper.area().inset(-MARGIN)
}

/// The room for the drawing.
pub fn usable(paper: Paper) -> Rect {
    let frame = frame(paper).inset(-RIM);
    Rect { y1: frame.y1 - strip_height(paper), ..frame }
}
