//! What the library stands on and what knows nothing of guides: shapes, solids, drawings, formats, timber, and how texts
//! of users are read.
//!
//! It is a crate of its own so that it is built beside what only the solver, the fits and the program need. Users of the
//! library find all of it there, by the same names.

// The platform's functions of angles differ in the last place: see `trig`.
#![cfg_attr(not(test), warn(clippy::disallowed_methods))]

pub mod cores;
pub mod error;
pub mod stages;
pub mod terms;
pub mod trig;
pub mod units;

pub mod shape;
pub mod solid;

pub mod drawing;
pub mod format;

pub mod wood;

pub mod input;
