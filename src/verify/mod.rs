//! What a finished block really sets: measured fences and test bevels against the job, corrections, and wear.
//!
//! 1. [`readings`] reads the measurements and finds their lanes.
//! 2. [`verdict`] gives each lane its angle as built, error, skew, verdict and correction.
//! 3. [`plates`] judges the angles of set blades that were taken on a plate.
//! 4. [`angles`] infers an offset of the guide or of a seat from those and from honed test bevels.
//! 5. [`wear`] tells what a block sets with a guide that was measured again.
//! 6. [`corrections`] carries corrections to the next block.
//! 7. [`stale`] tells whether a block belongs to the state of guide and job that it is judged by.

pub mod angles;
pub mod corrections;
pub mod plates;
pub mod readings;
pub mod report;
pub mod stale;
pub mod verdict;
pub mod wear;

pub use verdict::{Rule, Verdicts};

use crate::lane::Lane;
use crate::lanes::LaneSet;

/// Half-width of the tolerance of a measured fence distance where none is stated, mm: a common digital caliper and the
/// care one takes with it (common practice, no source).
pub const FENCE_READ_WITHIN: f64 = 0.05;
/// The same of a test blade's thickness, mm.
pub const THICKNESS_READ_WITHIN: f64 = 0.05;
/// The same of a bevel's length read with a rule or caliper against a lit edge, mm (common practice, no source).
pub const BEVEL_READ_WITHIN: f64 = 0.2;
/// The same of an angle read with a small protractor, degrees (common practice, no source).
pub const ANGLE_READ_WITHIN: f64 = 0.5;

/// The lane of a set by its id.
pub fn lane_by_id<'a>(set: &'a LaneSet, id: &str) -> Option<&'a Lane> {
    set.lanes.iter().find(|l| l.request.id == id)
}
