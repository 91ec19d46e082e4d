//! One drawing model, shared by every emitter: sheets of lines, curves and lettering in mm.
//!
//! Sheet frame: `x` to the right and `y` down from the sheet's upper left corner, mm of paper. Models enter through a
//! [`view::View`], which is the only place where they are scaled and turned. What means something to a reader (a
//! feature, a dimension, a cell of a table) is a [`Group`] with an id and its true value as data.
//!
//! * [`style`]: pens and lettering; [`paper`]: sheets and scales.
//! * [`dimension`], [`table`], [`frame`]: the parts that all drawings share.
//! * [`page`]: text, tables and figures one below the other, on as many sheets as they need; [`pack`]: side by side too.
//! * [`axonometric`]: pictures of solids; [`wood`]: how wood is marked where it is cut; [`balloon`]: part references.
//! * [`tiles`]: a full-size drawing larger than a sheet, cut into sheets to be put together.
//! * [`clash`]: whether anything overlaps anything; `index` finds what is near without looking at everything.

pub mod axonometric;
pub mod balloon;
pub mod clash;
pub mod dimension;
pub mod filled;
pub mod frame;
mod index;
pub mod layers;
pub mod pack;
pub mod page;
pub mod paper;
pub mod style;
pub mod table;
pub mod tiles;
pub mod view;
pub mod wood;

use kurbo::{Affine, Arc, BezPath, Circle, Point, Rect, Shape, Vec2};

use crate::shape::font;
use crate::trig::{Inverse, rotation};
use frame::outline;
use paper::Paper;
use style::{ARROW, ARROW_HALF, CLEAR, Fill, Pen};

/// A finished sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// What it shows, for readers that cannot see it.
    pub title: String,
    /// The paper.
    pub paper: Paper,
    /// Its scale, such as `1:2`.
    pub scale: String,
    /// Everything on it, in the order of drawing.
    pub groups: Vec<Group>,
}

/// Things that belong together, with an id and the values they stand for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// Unique on its sheet.
    pub id: String,
    /// What kind of thing: `feature`, `dimension`, `table`, `note`, `frame`, `figure`.
    pub class: &'static str,
    /// Names and values, full digits.
    pub data: Vec<(&'static str, String)>,
    /// What is drawn.
    pub marks: Vec<Mark>,
}

impl Group {
    /// An empty group.
    pub fn new(id: impl Into<String>, class: &'static str) -> Self {
        Self { id: id.into(), class, data: Vec::new(), marks: Vec::new() }
    }

    /// Adds a value.
    pub fn with(mut self, name: &'static str, value: impl ToString) -> Self {
        self.data.push((name, value.to_string()));
        self
    }

    /// Adds a line.
    pub fn line(&mut self, from: impl Into<Point>, to: impl Into<Point>, pen: Pen) {
        self.marks.push(Mark::Line { from: from.into(), to: to.into(), pen });
    }

    /// Adds a level and an upright line that cross at `centre` and reach `arm` mm from it.
    pub fn cross(&mut self, centre: Point, arm: f64, pen: Pen) {
        self.line(centre - (arm, 0.0), centre + (arm, 0.0), pen);
        self.line(centre - (0.0, arm), centre + (0.0, arm), pen);
    }

    /// Adds closed or open polylines.
    pub fn path<C>(&mut self, contours: impl IntoIterator<Item = C>, closed: bool, pen: Pen, fill: Fill)
    where
        C: IntoIterator<Item: Into<Point>>,
    {
        let contours = contours.into_iter().map(|c| c.into_iter().map(Into::into).collect()).collect();
        self.marks.push(Mark::Path { contours, closed, pen, fill });
    }

    /// Adds a circle.
    pub fn circle(&mut self, centre: impl Into<Point>, radius: f64, pen: Pen, fill: Fill) {
        self.marks.push(Mark::Circle { centre: centre.into(), radius, pen, fill });
    }

    /// Adds an arrowhead that points in the unit direction `toward`.
    pub fn arrow(&mut self, tip: impl Into<Point>, toward: impl Into<Vec2>) {
        self.marks.push(Mark::Arrow { tip: tip.into(), toward: toward.into() });
    }

    /// The same, moved by `by` mm.
    pub fn moved(self, by: impl Into<Vec2>) -> Self {
        self.placed(Affine::translate(by))
    }

    /// The same, moved, turned and made larger; lines keep their widths, lettering grows.
    pub fn placed(mut self, by: Affine) -> Self {
        self.marks = self.marks.into_iter().map(|mark| mark.placed(by)).collect();
        self
    }

    /// Adds lettering.
    pub fn text(&mut self, text: Text) {
        self.marks.push(Mark::Text(text));
    }
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A straight line.
    Line {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// Line width and kind.
        pen: Pen,
    },
    /// Straight runs; several contours of one area are filled by the even-odd rule.
    Path {
        /// The corners of each run.
        contours: Vec<Vec<Point>>,
        /// Whether the last corner joins the first.
        closed: bool,
        /// Line width and kind.
        pen: Pen,
        /// Fill.
        fill: Fill,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius, mm.
        radius: f64,
        /// Line width and kind.
        pen: Pen,
        /// Fill.
        fill: Fill,
    },
    /// A circular arc.
    Arc {
        /// Its centre.
        centre: Point,
        /// Its radius, mm.
        radius: f64,
        /// First and last angle, radians, clockwise on the sheet from its right.
        angles: [f64; 2],
        /// Line width and kind.
        pen: Pen,
    },
    /// A filled arrowhead.
    Arrow {
        /// Its tip.
        tip: Point,
        /// Unit direction it points in.
        toward: Vec2,
    },
    /// Lettering.
    Text(Text),
}

/// How far curves may leave a circle, mm: the last decimal of a written drawing.
const ROUND: f64 = 1e-4;

impl Mark {
    /// Its outline, also that of lettering.
    pub fn path(&self) -> BezPath {
        match self {
            Mark::Line { from, to, .. } => straight(&[[*from, *to]], false),
            Mark::Path { contours, closed, .. } => straight(contours, *closed),
            Mark::Circle { centre, radius, .. } => Circle::new(*centre, *radius).to_path(ROUND),
            Mark::Arc { centre, radius, angles: [from, to], .. } => {
                Arc::new(*centre, (*radius, *radius), *from, to - from, 0.0).to_path(ROUND)
            }
            Mark::Arrow { tip, toward } => straight(&[arrow_corners(*tip, *toward)], true),
            Mark::Text(text) => text.outlines(),
        }
    }

    /// Width and kind of its lines.
    pub fn pen(&self) -> Pen {
        match self {
            Mark::Line { pen, .. } | Mark::Path { pen, .. } | Mark::Circle { pen, .. } | Mark::Arc { pen, .. } => *pen,
            Mark::Arrow { .. } | Mark::Text(_) => Pen::None,
        }
    }

    /// What fills its outline.
    pub fn fill(&self) -> Fill {
        match self {
            Mark::Path { fill, .. } | Mark::Circle { fill, .. } => *fill,
            Mark::Line { .. } | Mark::Arc { .. } => Fill::None,
            Mark::Arrow { .. } | Mark::Text(_) => Fill::Ink,
        }
    }

    /// The same, moved, turned and made larger; lines keep their widths, lettering grows.
    pub fn placed(mut self, by: Affine) -> Self {
        let place = |p: &mut Point| *p = by * *p;
        let (turn, growth) = turn_and_growth(by);
        match &mut self {
            Mark::Line { from, to, .. } => [from, to].into_iter().for_each(place),
            Mark::Path { contours, .. } => contours.iter_mut().flatten().for_each(place),
            Mark::Circle { centre, radius, .. } => {
                place(centre);
                *radius *= growth;
            }
            Mark::Arc { centre, radius, angles, .. } => {
                place(centre);
                *radius *= growth;
                *angles = angles.map(|angle| angle + turn);
            }
            Mark::Arrow { tip, toward } => {
                place(tip);
                *toward = (rotation(turn) * toward.to_point()).to_vec2();
            }
            Mark::Text(text) => *text = text.clone().placed(by),
        }
        self
    }
}

/// How far a map turns, radians clockwise on the sheet, and how much larger it makes.
fn turn_and_growth(map: Affine) -> (f64, f64) {
    let [along, down, ..] = map.as_coeffs();
    (down.arctangent2(along), map.determinant().abs().sqrt())
}

fn straight(contours: &[impl AsRef<[Point]>], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    for (first, rest) in contours.iter().filter_map(|contour| contour.as_ref().split_first()) {
        path.move_to(*first);
        rest.iter().for_each(|corner| path.line_to(*corner));
        if closed {
            path.close_path();
        }
    }
    path
}

/// Corners of an arrowhead, its tip first.
pub fn arrow_corners(tip: Point, toward: Vec2) -> [Point; 3] {
    let base = tip - ARROW * toward;
    let side = toward.turn_90() * ARROW_HALF;
    [tip, base + side, base - side]
}

/// A line of lettering.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where its baseline is anchored.
    pub at: Point,
    /// Height of capitals and digits, mm.
    pub height: f64,
    /// Which part of it stands at `at`.
    pub anchor: Anchor,
    /// Turn, degrees, clockwise on the sheet; -90 reads from the right.
    pub turn: f64,
    /// The words.
    pub words: String,
    /// Bold lettering.
    pub bold: bool,
}

/// How far letters hang below the baseline, by the height of capitals (ISO 3098-2, lettering B).
const DESCENT: f64 = 0.3;
/// How far accents of capitals stand above them, by their height: no more than this in the font.
const ACCENT: f64 = 0.3;

/// Which part of a text stands at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

impl Text {
    /// Level lettering; a hyphen before a number is a minus sign.
    pub fn new(at: impl Into<Point>, height: f64, anchor: Anchor, words: impl Into<String>) -> Self {
        Self { at: at.into(), height, anchor, turn: 0.0, words: font::with_minus_signs(&words.into()), bold: false }
    }

    /// The same, moved, turned and made larger.
    pub fn placed(mut self, by: Affine) -> Self {
        let (turn, growth) = turn_and_growth(by);
        self.at = by * self.at;
        self.height *= growth;
        self.turn += turn.to_degrees();
        self
    }

    /// The same, turned clockwise by `degrees`.
    pub fn turned(mut self, degrees: f64) -> Self {
        self.turn = degrees;
        self
    }

    /// The same in bold.
    pub fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    /// Width on paper, mm.
    pub fn width(&self) -> f64 {
        font::width(&self.words, self.height, self.bold)
    }

    /// Its own frame on the sheet: `x` from its beginning along the baseline, `y` down from it.
    fn frame(&self) -> Affine {
        let start = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -self.width() / 2.0,
            Anchor::End => -self.width(),
        };
        Affine::translate(self.at.to_vec2()) * rotation(self.turn.to_radians()) * Affine::translate((start, 0.0))
    }

    /// Its outlines at their place, filled where they wind at all.
    pub fn outlines(&self) -> BezPath {
        self.frame() * Affine::FLIP_Y * font::outlines(&self.words, self.height, self.bold)
    }

    /// How far it reaches below its baseline, mm.
    pub fn descent(&self) -> f64 {
        if font::descends(&self.words, self.bold) { DESCENT * self.height } else { 0.0 }
    }

    /// How far it reaches above its capitals, mm.
    pub fn accent(&self) -> f64 {
        if font::rises(&self.words, self.bold) { ACCENT * self.height } else { 0.0 }
    }

    /// Corners of the box around capitals and digits, with room for what hangs below and stands above them where there
    /// is any.
    pub fn corners(&self) -> [Point; 4] {
        let (frame, width, below) = (self.frame(), self.width(), self.descent());
        outline(Rect::new(0.0, -self.height - self.accent(), width, below)).map(|corner| frame * corner)
    }
}

/// From one line of `lines` to the next in lettering of `height` mm, so that what hangs from one is clear of what stands
/// on the next, mm.
pub fn leading<'a>(lines: impl IntoIterator<Item = &'a str> + Clone, height: f64) -> f64 {
    let any = |is: fn(&str, bool) -> bool| lines.clone().into_iter().any(|line| is(line, false));
    let hangs = if any(font::descends) { DESCENT } else { 0.0 };
    let stands = if any(font::rises) { ACCENT } else { 0.0 };
    (1.0 + hangs + stands) * height + 1.25 * CLEAR
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::runs;
    use crate::trig::toward;

    #[test]
    fn numbers_have_minus_signs_and_words_their_hyphens() {
        for (words, drawn) in [("-3.08", "−3.08"), ("+0.1/-0.2", "+0.1/−0.2"), ("(-1)", "(−1)")] {
            assert_eq!(Text::new((0.0, 0.0), 3.5, Anchor::Start, words).words, drawn);
        }
        for words in ["narrow-side-clamp", "2026-11-27", "block-1.stl", "--elevation=-90", "5-6"] {
            assert_eq!(Text::new((0.0, 0.0), 3.5, Anchor::Start, words).words, words);
        }
    }
    use std::f64::consts::TAU;

    #[test]
    fn arcs_run_on_their_circle_from_angle_to_angle() {
        for angles in [[0.0, TAU], [1.0, 0.2], [-3.0, 2.0]] {
            let centre = Point::new(3.0, -2.0);
            let arc = Mark::Arc { centre, radius: 40.0, angles, pen: Pen::Wide };
            let run = runs(&arc.path(), 1e-3).concat();
            assert!(run.iter().all(|p| (p.distance(centre) - 40.0).abs() < 3.0 * ROUND));
            for (end, angle) in [run[0], run[run.len() - 1]].into_iter().zip(angles) {
                assert!(end.distance(centre + 40.0 * toward(angle)) < 1e-9);
            }
        }
    }
}
