//! An edge that is not square to its blade.
//!
//! A fence squares the edge, not the blade: with the whole edge against it the edge lies parallel to the roller, and the bevel
//! is right in the plane square to the edge, in which bevels are measured. In the plane along the blade it is tan β·cos ε.
//! Where the seat or a line keeps the blade straight instead, one corner alone touches the fence. Honing then works at that
//! corner until the whole edge is reached, which takes w·tan ε off the projection; only there is the angle touched.

use crate::trig::{Inverse, Trig};

/// The bevel angle along the blade, degrees, of a bevel of `degrees` square to an edge that is `off` degrees out of square.
pub fn along_the_blade(degrees: f64, off: f64) -> f64 {
    (degrees.to_radians().tangent() * off.to_radians().cosine()).arctangent().to_degrees()
}

/// How much further one corner of a blade `width` mm wide stands out than the other, mm.
pub fn corner(width: f64, off: f64) -> f64 {
    width * off.to_radians().tangent().abs()
}

/// Change of the bevel angle, degrees, once a blade that is kept straight is honed to the shorter corner: its projection is
/// less by [`corner`]; `mm_per_degree` is what the fence distance changes by.
pub fn change(width: f64, off: f64, mm_per_degree: f64) -> f64 {
    corner(width, off) / mm_per_degree.abs()
}
