//! Camber: an edge that falls back toward its corners, so that a plane leaves no tracks.
//!
//! 1. [`wanted`]: how deep, from the kind of plane or from the shaving.
//! 2. [`curve`]: the arc of that depth, in the plane of the back.
//! 3. [`rock`]: how far the guide must rock for the corners to reach the stone, and whether its roller lets it.
//! 4. [`strokes`]: finger positions and counts whose wear makes the arc; [`pressure`] is where each finger wears, and
//!    [`nnls`] solves for the counts.
//! 5. [`rate`]: how much a stroke wears, by two published rates.

pub mod curve;
pub mod nnls;
pub mod pressure;
pub mod rate;
pub mod report;
pub mod rock;
mod rounds;
pub mod strokes;
pub mod wanted;

pub use curve::Curve;
pub use wanted::{NoCamber, Wanted};
