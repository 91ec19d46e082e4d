//! A blade as far as a setting feels it.

use crate::input::length::{Angle, Length};
use crate::terms::SeatName;

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

impl Blade {
    /// A plane iron of even thickness, mm, in the seat for irons.
    pub fn iron(thickness: f64) -> Seated {
        let blade = Self { thickness: Length::exact(thickness), taper: Angle::exact(0.0), land: None };
        Seated { seat: SeatName::Iron, blade }
    }

    /// A chisel of even thickness, in the seat for chisels; `land` is the height of its side lands, mm.
    pub fn chisel(thickness: f64, land: f64) -> Seated {
        let land = Some(Length::exact(land));
        let blade = Self { thickness: Length::exact(thickness), taper: Angle::exact(0.0), land };
        Seated { seat: SeatName::Chisel, blade }
    }
}

/// A blade, and the seat that it goes in where a guide has two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seated {
    /// The seat.
    pub seat: SeatName,
    /// The blade.
    pub blade: Blade,
}
