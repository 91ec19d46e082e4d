//! The drawing as it will lie when the tiles are put together: turned, and made up for a printer whose size is off.

use kurbo::{Affine, Size};

use super::FullSize;
use super::clip::SAG;
use super::grid::Grid;
use crate::drawing::dimension::reading_turn;
use crate::drawing::{Anchor, Group, Mark, Text};
use crate::shape::runs;
use crate::trig::{Trig, toward};

/// Where the drawing lies when it is spread out.
pub fn view(grid: &Grid) -> Affine {
    let [x, y] = grid.factor;
    if grid.turned { Affine::new([0.0, -y, x, 0.0, 0.0, grid.size[1]]) } else { Affine::scale_non_uniform(x, y) }
}

/// The drawing spread out: mm of paper, x right, y down.
pub fn spread_out(drawing: &FullSize, grid: &Grid) -> FullSize {
    let laid = |g: &Group| Group { marks: g.marks.iter().map(|m| mark(m, grid)).collect(), ..g.clone() };
    FullSize { size: Size::new(grid.size[0], grid.size[1]), groups: drawing.groups.iter().map(laid).collect() }
}

/// Turn of the drawing, degrees clockwise.
pub fn turn(grid: &Grid) -> f64 {
    if grid.turned { -90.0 } else { 0.0 }
}

fn mark(mark: &Mark, grid: &Grid) -> Mark {
    let view = view(grid);
    // A printer that is off differently along and across makes ellipses of circles.
    let elliptic = grid.factor[0] != grid.factor[1];
    match mark {
        Mark::Circle { .. } | Mark::Arc { .. } if elliptic => {
            let contours = runs(&(view * mark.path()), SAG);
            let closed = matches!(mark, Mark::Circle { .. });
            Mark::Path { contours, closed, pen: mark.pen(), fill: mark.fill() }
        }
        // Lettering stays as large as it is.
        Mark::Text(text) => Mark::Text(readable(Text { height: text.height, ..text.clone().placed(view) })),
        mark => mark.clone().placed(view),
    }
}

/// The same lettering in the same box, read from the bottom or the right.
fn readable(text: Text) -> Text {
    let along = toward(text.turn.to_radians());
    let turn = reading_turn(along);
    let half = (turn - text.turn).to_radians().cosine() < 0.0;
    if !half {
        return Text { turn, ..text };
    }
    let anchor = match text.anchor {
        Anchor::Start => Anchor::End,
        Anchor::Middle => Anchor::Middle,
        Anchor::End => Anchor::Start,
    };
    let at = text.at - text.height * along.turn_90();
    Text { at, anchor, turn, ..text }
}
