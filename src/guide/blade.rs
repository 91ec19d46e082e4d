//! A blade as far as a setting feels it.

use crate::input::length::{Angle, Length};

/// A blade in a seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blade {
    /// Thickness at the edge.
    pub thickness: Length,
    /// Taper, positive when thicker at the edge.
    pub taper: Angle,
    /// Height of the side lands down from the back; used by seats that grip the sides.
    pub land: Option<Length>,
}
