//! The printer's test piece: how large prints come out along each axis, told from how thick their lines do.
//!
//! On a setting block edge and fence look the same way. A line that comes out thick makes each wall stand out by the
//! same growth g, which moves both alike and cancels in the distance between them; only the scale s of the axis is left:
//!
//! ```text
//! faces that look the same way   s·L
//! size over all                  s·L + 2g
//! ```
//!
//! 1. [`piece`]: an L to lie on the bed, with such faces near its corner and at the ends of its arms.
//! 2. [`check`] measures the written STL.
//! 3. [`form`] is the file to fill in; [`readings`] reads it.
//! 4. [`judge`] fits scale and growth of each axis to what was read; [`report`] says it in words.
//! 5. [`sheet`] is the check sheet; [`files`] makes all that is written.

pub mod check;
pub mod files;
pub mod form;
pub mod judge;
pub mod piece;
pub mod readings;
pub mod report;
pub mod sheet;

pub use judge::Judged;
pub use piece::Piece;
pub use readings::Readings;

use serde::Serialize;

/// An axis of the printer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Axis {
    /// Along the bed's width.
    X,
    /// Along the bed's depth.
    Y,
}

impl Axis {
    /// Both.
    pub const ALL: [Axis; 2] = [Axis::X, Axis::Y];

    /// Its name, as files write it.
    pub fn name(self) -> &'static str {
        match self {
            Axis::X => "x",
            Axis::Y => "y",
        }
    }
}

/// What a length lies between.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum LengthKind {
    /// Faces that look the same way.
    SameWay,
    /// Faces that look away from each other.
    Outside,
}

impl LengthKind {
    /// Both, in the order of files and sheets.
    pub const ALL: [LengthKind; 2] = [LengthKind::SameWay, LengthKind::Outside];

    /// Its name, as files write it.
    pub fn field(self) -> &'static str {
        match self {
            LengthKind::SameWay => "same_way",
            LengthKind::Outside => "outside",
        }
    }

    /// Its name in words.
    pub fn words(self) -> &'static str {
        match self {
            LengthKind::SameWay => "same way",
            LengthKind::Outside => "outside",
        }
    }

    /// How many times the growth of a wall is in the length.
    pub fn growths(self) -> f64 {
        match self {
            LengthKind::SameWay => 0.0,
            LengthKind::Outside => 2.0,
        }
    }
}
