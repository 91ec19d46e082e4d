//! One drawing model, shared by every emitter: sheets of lines, curves and lettering in mm.
//!
//! Sheet frame: `x` to the right and `y` down from the sheet's upper left corner, mm of paper. Models enter through a
//! [`view::View`], which is the only place where they are scaled and turned. What means something to a reader (a
//! feature, a dimension, a cell of a table) is a [`Group`] with an id and its true value as data.
//!
//! * [`style`]: pens and lettering; [`paper`]: sheets and scales.
//! * [`dimension`], [`table`], [`frame`]: the parts that all drawings share.
//! * [`figure`]: guide and blade from the side; [`side_view`]: its sheet.
//! * [`measure_sheet`]: where to measure a guide, with blanks; [`testpiece_sheet`]: the same of the test piece.
//! * [`gauge_sheet`]: the gauges at full size, and what is seen in use.
//! * [`plan`], [`section`], [`assembly`]: plan, section, table and notes together; [`block_sheet`]: those of the block.
//! * [`page`]: text, tables and figures one below the other, on as many sheets as they need.
//! * [`jig`]: the wooden jig's sheets.
//! * [`axonometric`]: pictures of solids; [`block_picture`]: that of the block.
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

use crate::shape::font;
use kurbo::{Affine, BezPath, Vec2};
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
    pub fn moved(mut self, by: Point) -> Self {
        let shift = |p: &mut Point| *p = [p[0] + by[0], p[1] + by[1]];
        for mark in &mut self.marks {
            match mark {
                Mark::Line { from, to, .. } => [from, to].into_iter().for_each(shift),
                Mark::Path { contours, .. } => contours.iter_mut().flatten().for_each(shift),
                Mark::Circle { centre, .. } | Mark::Arc { centre, .. } => shift(centre),
                Mark::Arrow { tip, .. } => shift(tip),
                Mark::Text(text) => shift(&mut text.at),
            }
        }
        self
    }

    /// The same, `k` times as large about the origin; lines keep their widths, lettering grows.
    pub fn scaled(mut self, k: f64) -> Self {
        let grow = |p: &mut Point| *p = p.map(|v| k * v);
        for mark in &mut self.marks {
            match mark {
                Mark::Line { from, to, .. } => [from, to].into_iter().for_each(grow),
                Mark::Path { contours, .. } => contours.iter_mut().flatten().for_each(grow),
                Mark::Circle { centre, radius, .. } | Mark::Arc { centre, radius, .. } => {
                    grow(centre);
                    *radius *= k;
                }
                Mark::Arrow { tip, .. } => grow(tip),
                Mark::Text(text) => {
                    grow(&mut text.at);
                    text.height *= k;
                }
            }
        }
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
        let turned = Affine::rotate(self.turn.to_radians()).then_translate(Vec2::new(self.at[0], self.at[1]));
        turned.pre_translate((start, 0.0).into())
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
        [(0.0, -self.height), (width, -self.height), (width, below), (0.0, below)].map(|(x, y)| {
            let p = frame * kurbo::Point::new(x, y);
            [p.x, p.y]
        })
    }
}
