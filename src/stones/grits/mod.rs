//! Abrasives: grades by their standards, the steps of a set, and what is done on which.
//!
//! 1. [`grade`]: a grade as it is written on the paper or the stone, and its mean grain size.
//! 2. [`tables`]: the grades of the standards, each table with its source.
//! 3. [`abrasive`]: a grade with what holds its grains, and how that is cared for.
//! 4. [`steps`]: whether a set's steps are long, sound or wasted, and how many strokes each takes.

pub mod abrasive;
pub mod grade;
pub mod report;
pub mod steps;
pub mod tables;

pub use abrasive::{Abrasive, Kind};
pub use grade::{Grade, NoGrade};
pub use steps::{Judged, NoSet, Step, Verdict, Work, judge};
