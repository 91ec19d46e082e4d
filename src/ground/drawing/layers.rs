//! Layers of outlines, for machines that cut: no sheet, no scale, no lettering that overlaps.

use kurbo::Point;

/// Shapes that belong together, in mm, y up.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// Its name.
    pub name: LayerName,
    /// Number in the format's colour table: 1 red, 2 yellow, 3 green, 4 cyan, 5 blue, 6 magenta, 7 black or white.
    /// 0 is no colour of a layer and becomes 7.
    pub colour: u8,
    /// Whether its lines are dashed.
    pub dashed: bool,
    /// What is drawn.
    pub shapes: Vec<Shape>,
}

/// A name of a layer as release 12 allows it: 1 to 31 upper case letters, digits, `-` and `_`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct LayerName(String);

impl LayerName {
    /// `name` in capitals, with `_` for every sign that may not be in it, cut to its length.
    pub fn new(name: &str) -> Self {
        let plain = |c: char| if c.is_ascii_alphanumeric() || c == '-' { c.to_ascii_uppercase() } else { '_' };
        let kept: String = name.chars().take(31).map(plain).collect();
        Self(if kept.is_empty() { "_".into() } else { kept })
    }

    /// The name.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Straight runs.
    Polyline {
        /// The corners.
        points: Vec<Point>,
        /// Whether the last corner joins the first.
        closed: bool,
    },
    /// Two half circles and the straight lines between them.
    Slot {
        /// Centres of the half circles.
        centres: [Point; 2],
        /// Half the slot's width, mm.
        radius: f64,
    },
    /// A circle.
    Circle {
        /// Its centre.
        centre: Point,
        /// Its radius, mm.
        radius: f64,
    },
    /// A straight line.
    Line {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
    },
    /// Lettering.
    Text {
        /// Left end of its baseline.
        at: Point,
        /// Height of its capitals, mm.
        height: f64,
        /// Turn, degrees, counterclockwise.
        turn: f64,
        /// The words.
        words: String,
    },
}
