//! What the figure is drawn of.

use kurbo::{Point, Vec2};

use crate::drawing::dimension::Linear;
use crate::drawing::{Group, Mark};
use crate::layout::Placed;
use crate::views::section::Body;

/// What the figure shows.
pub struct Shown<'a> {
    /// The lane that is cut through, with the guide in use.
    pub placed: &'a Placed,
    /// What is cut there.
    pub body: &'a Body<'a>,
    /// All lanes.
    pub lanes: &'a [Placed],
    /// Size of the block along its edges, mm.
    pub length: f64,
    /// Whether its tables bear marks, with which a blade is brought in line.
    pub marks: bool,
}

/// A dimension line with its extension lines and arrows, for a word instead of a value.
pub(super) fn plain_dimension(id: &str, ends: [Point; 2], through: Point, along: impl Into<Vec2>) -> Group {
    let mut group = Group::new(format!("span-{id}"), "dimension");
    Linear::new(ends, through, along, "").draw(&mut group);
    group.marks.retain(|mark| !matches!(mark, Mark::Text(_)));
    group
}
