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
    /// Taper of the side lands, positive where the land is higher at the edge; used by seats that grip the sides.
    pub land_taper: Angle,
    /// Whether the height of the lands is only what is usual for the class, and nobody measured it.
    pub land_assumed: bool,
    /// Which measures of the lands are those of the whole side, and so no quantities of their own.
    pub whole_side: WholeSide,
}

/// What of the side lands is the blade's whole side, as of a firmer: there the land's height is the blade's thickness and
/// its taper the blade's taper, and an error of the one is an error of the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct WholeSide {
    /// The height of the lands is the thickness.
    pub height: bool,
    /// The taper of the lands is the blade's.
    pub taper: bool,
}

impl Blade {
    /// A blade of even thickness, mm, without side lands.
    pub(crate) fn even(thickness: f64) -> Self {
        Self {
            thickness: Length::exact(thickness),
            taper: Angle::exact(0.0),
            land: None,
            land_taper: Angle::exact(0.0),
            land_assumed: false,
            whole_side: WholeSide::default(),
        }
    }

    /// A plane iron of even thickness, mm, in the seat for irons.
    pub fn iron(thickness: f64) -> Seated {
        Seated { seat: SeatName::Iron, blade: Self::even(thickness) }
    }

    /// A chisel of even thickness, in the seat for chisels; `land` is the height of its side lands, mm.
    pub fn chisel(thickness: f64, land: f64) -> Seated {
        let blade = Self { land: Some(Length::exact(land)), ..Self::even(thickness) };
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
