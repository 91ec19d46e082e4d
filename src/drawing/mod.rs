//! One drawing model, shared by every emitter: sheets of lines, curves and lettering in mm.
//!
//! Sheet frame: `x` to the right and `y` down from the sheet's upper left corner, mm of paper. Models enter through a
//! [`view::View`], which is the only place where they are scaled and turned. What means something to a reader (a
//! feature, a dimension, a cell of a table) is a [`Group`] with an id and its true value as data.
//!
//! * [`style`]: pens and lettering; [`paper`]: sheets and scales.
//! * [`dimension`], [`table`], [`frame`]: the parts that all drawings share.
//! * [`page`]: text, tables and figures one below the other, on as many sheets as they need.
//! * [`axonometric`]: pictures of solids.
//! * [`tiles`]: a full-size drawing larger than a sheet, cut into sheets to be put together.
//! * [`clash`]: whether anything overlaps anything.

pub mod axonometric;
pub mod clash;
pub mod dimension;
pub mod frame;
pub mod layers;
pub mod page;
pub mod paper;
pub mod style;
pub mod table;
pub mod tiles;
pub mod view;

use kurbo::{Affine, Arc, BezPath, Circle, PathEl, Shape};

use crate::shape::font;
use paper::Paper;
use style::{ARROW, ARROW_HALF, Fill, Pen};

/// A point of the sheet, mm.
pub type Point = [f64; 2];

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
    pub fn line(&mut self, from: Point, to: Point, pen: Pen) {
        self.marks.push(Mark::Line { from, to, pen });
    }

    /// Adds a closed or open polyline.
    pub fn path(&mut self, contours: Vec<Vec<Point>>, closed: bool, pen: Pen, fill: Fill) {
        self.marks.push(Mark::Path { contours, closed, pen, fill });
    }

    /// The same, moved by `by` mm.
    pub fn moved(self, by: Point) -> Self {
        self.placed(Affine::translate((by[0], by[1])))
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
        toward: Point,
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
            Mark::Line { from, to, .. } => straight(&[vec![*from, *to]], false),
            Mark::Path { contours, closed, .. } => straight(contours, *closed),
            Mark::Circle { centre: [x, y], radius, .. } => Circle::new((*x, *y), *radius).to_path(ROUND),
            Mark::Arc { centre: [x, y], radius, angles: [from, to], .. } => {
                Arc::new((*x, *y), (*radius, *radius), *from, to - from, 0.0).to_path(ROUND)
            }
            Mark::Arrow { tip, toward } => straight(&[arrow_corners(*tip, *toward).to_vec()], true),
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
        let place = |p: &mut Point| *p = mapped(by, *p);
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
                *toward = mapped(Affine::rotate(turn), *toward);
            }
            Mark::Text(text) => *text = text.clone().placed(by),
        }
        self
    }
}

/// Where a map takes a point.
pub fn mapped(map: Affine, [x, y]: Point) -> Point {
    let p = map * kurbo::Point::new(x, y);
    [p.x, p.y]
}

/// How far a map turns, radians clockwise on the sheet, and how much larger it makes.
fn turn_and_growth(map: Affine) -> (f64, f64) {
    let [along, down, ..] = map.as_coeffs();
    (down.atan2(along), map.determinant().abs().sqrt())
}

fn straight(contours: &[Vec<Point>], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    for contour in contours.iter().filter(|contour| !contour.is_empty()) {
        for (i, [x, y]) in contour.iter().enumerate() {
            path.push(if i == 0 { PathEl::MoveTo((*x, *y).into()) } else { PathEl::LineTo((*x, *y).into()) });
        }
        if closed {
            path.close_path();
        }
    }
    path
}

/// Corners of an arrowhead, its tip first.
pub fn arrow_corners(tip: Point, toward: Point) -> [Point; 3] {
    let base = [tip[0] - ARROW * toward[0], tip[1] - ARROW * toward[1]];
    let side = [-toward[1] * ARROW_HALF, toward[0] * ARROW_HALF];
    [tip, [base[0] + side[0], base[1] + side[1]], [base[0] - side[0], base[1] - side[1]]]
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
    /// Level lettering.
    pub fn new(at: Point, height: f64, anchor: Anchor, words: impl Into<String>) -> Self {
        Self { at, height, anchor, turn: 0.0, words: words.into(), bold: false }
    }

    /// The same, moved, turned and made larger.
    pub fn placed(mut self, by: Affine) -> Self {
        let (turn, growth) = turn_and_growth(by);
        self.at = mapped(by, self.at);
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
        let [x, y] = self.at;
        Affine::translate((x, y)) * Affine::rotate(self.turn.to_radians()) * Affine::translate((start, 0.0))
    }

    /// Its outlines at their place, filled where they wind at all.
    pub fn outlines(&self) -> BezPath {
        self.frame() * Affine::FLIP_Y * font::outlines(&self.words, self.height, self.bold)
    }

    /// How far it reaches below its baseline, mm.
    pub fn descent(&self) -> f64 {
        let descends = self.words.contains(['g', 'j', 'p', 'q', 'y', ',', ';', '(', ')', '/', 'Q']);
        if descends { 0.3 * self.height } else { 0.0 }
    }

    /// Corners of the box around capitals and digits, with room for descenders where there are any.
    pub fn corners(&self) -> [Point; 4] {
        let (frame, width, below) = (self.frame(), self.width(), self.descent());
        [[0.0, -self.height], [width, -self.height], [width, below], [0.0, below]].map(|p| mapped(frame, p))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::runs;
    use std::f64::consts::TAU;

    #[test]
    fn arcs_run_on_their_circle_from_angle_to_angle() {
        for angles in [[0.0, TAU], [1.0, 0.2], [-3.0, 2.0]] {
            let arc = Mark::Arc { centre: [3.0, -2.0], radius: 40.0, angles, pen: Pen::Wide };
            let run = runs(&arc.path(), 1e-3).concat();
            assert!(run.iter().all(|[x, y]| ((x - 3.0).hypot(y + 2.0) - 40.0).abs() < 3.0 * ROUND));
            for ([x, y], angle) in [run[0], run[run.len() - 1]].into_iter().zip(angles) {
                assert!((x - 3.0 - 40.0 * angle.cos()).hypot(y + 2.0 - 40.0 * angle.sin()) < 1e-9);
            }
        }
    }
}
