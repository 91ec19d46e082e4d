//! The section of a blade: its bevel, its micro-bevel, and the steel that comes off when either is honed or changed.
//!
//! The side view of the blade, its edge at the origin, its back along `x`: a bevel of angle β is the line from the edge
//! at β against the back, and it ends at the heel on the underside. The thickness `t` is taken at the edge, square to
//! the underside; the taper τ is the angle of the back against the underside, positive when thicker at the edge. A bevel
//! of β stands at γ = β + τ against the underside and is `t / sin γ` long.
//!
//! 1. [`micro`]: how wide a micro-bevel gets, and when the primary bevel should be reground.
//! 2. [`change`]: one primary bevel made into another, how much steel that takes and what it leaves meanwhile.
//! 3. [`nick`]: the edge taken back past a nick, and how much of the primary bevel that grinds off.
//! 4. [`hollow`]: a primary bevel that a wheel hollowed, and [`back`]: a back bevel by a thin rule.

pub mod back;
pub mod change;
pub mod hollow;
pub mod micro;
pub mod nick;
pub mod report;

pub use change::{Change, Progress};
pub use hollow::Hollow;
pub use micro::{Habit, Regrind};
pub use nick::Nick;

use crate::solve::ANGLE_RANGE;
use crate::terms::{BLADE_TAPER, BLADE_THICKNESS};
use crate::trig::Trig;

/// Least angle of a bevel against the underside, degrees: below it there is no heel to speak of.
pub const LEAST_AT_HEEL: f64 = 1.0;

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoBevel {
    /// A bevel outside [`ANGLE_RANGE`].
    #[error("a bevel of {angle}° is outside {low}° to {high}°", low = ANGLE_RANGE[0], high = ANGLE_RANGE[1])]
    Angle {
        /// Degrees.
        angle: f64,
    },
    /// A thickness outside [`BLADE_THICKNESS`].
    #[error("a blade {mm} mm thick is outside {low} mm to {high} mm", low = BLADE_THICKNESS[0], high = BLADE_THICKNESS[1])]
    Thickness {
        /// mm.
        mm: f64,
    },
    /// A taper outside [`BLADE_TAPER`].
    #[error("a taper of {degrees}° is outside {low}° to {high}°", low = BLADE_TAPER[0], high = BLADE_TAPER[1])]
    Taper {
        /// Degrees.
        degrees: f64,
    },
    /// The bevel hardly meets the underside.
    #[error(
        "a bevel of {angle}° on a taper of {taper}° stands at less than {LEAST_AT_HEEL}° against the underside: it has \
         no heel"
    )]
    NoHeel {
        /// Degrees.
        angle: f64,
        /// Degrees.
        taper: f64,
    },
    /// The micro-bevel is not steeper than the primary bevel.
    #[error("a micro-bevel of {micro}° is not steeper than the primary bevel of {primary}°")]
    NotSteeper {
        /// Degrees.
        primary: f64,
        /// Degrees.
        micro: f64,
    },
    /// The two bevels are equal: nothing changes.
    #[error("the new bevel is the old one, {angle}°: nothing changes")]
    Same {
        /// Degrees.
        angle: f64,
    },
    /// The micro-bevel would have eaten up the primary bevel.
    #[error(
        "with the edge {recession:.3} mm back the micro-bevel is past the heel, which it reaches at {limit:.3} mm: \
         nothing is left of the primary bevel"
    )]
    PastHeel {
        /// What was asked, mm.
        recession: f64,
        /// Where the micro-bevel reaches the heel, mm.
        limit: f64,
    },
    /// A length or a share that makes no sense.
    #[error("{what} is {value}, and it must be {allowed}")]
    Value {
        /// What.
        what: &'static str,
        /// As given.
        value: f64,
        /// What it may be.
        allowed: &'static str,
    },
}

/// A blade in its side view.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blade {
    thickness: f64,
    taper: f64,
}

impl Blade {
    /// A blade of a thickness at the edge, mm, and a taper, degrees, positive when thicker at the edge.
    ///
    /// # Errors
    /// [`NoBevel::Thickness`] and [`NoBevel::Taper`].
    pub fn new(thickness: f64, taper: f64) -> Result<Self, NoBevel> {
        if !(BLADE_THICKNESS[0]..=BLADE_THICKNESS[1]).contains(&thickness) {
            return Err(NoBevel::Thickness { mm: thickness });
        }
        if !(BLADE_TAPER[0]..=BLADE_TAPER[1]).contains(&taper) {
            return Err(NoBevel::Taper { degrees: taper });
        }
        Ok(Self { thickness, taper })
    }

    /// A blade of one thickness throughout, mm.
    ///
    /// # Errors
    /// [`NoBevel::Thickness`].
    pub fn parallel(thickness: f64) -> Result<Self, NoBevel> {
        Self::new(thickness, 0.0)
    }

    /// Thickness at the edge, square to the underside, mm.
    pub fn thickness(&self) -> f64 {
        self.thickness
    }

    /// Angle of the back against the underside, degrees.
    pub fn taper(&self) -> f64 {
        self.taper
    }

    /// Length of a bevel of `angle` degrees from edge to heel, mm: `t / sin(β + τ)`.
    ///
    /// # Errors
    /// [`NoBevel::Angle`] and [`NoBevel::NoHeel`].
    pub fn bevel_length(&self, angle: f64) -> Result<f64, NoBevel> {
        Ok(self.thickness / self.at_heel(angle)?.sine())
    }

    /// Angle of a bevel against the underside, radians.
    fn at_heel(&self, angle: f64) -> Result<f64, NoBevel> {
        checked(angle)?;
        if angle + self.taper < LEAST_AT_HEEL {
            return Err(NoBevel::NoHeel { angle, taper: self.taper });
        }
        Ok((angle + self.taper).to_radians())
    }

    /// How far the edge has gone back along the back, mm, once a bevel of `to` degrees ground from the edge of one of
    /// `from` degrees, the lesser, has reached its heel.
    ///
    /// In the triangle of old edge, new edge and heel the sides are as the sines of the angles across:
    /// `L·sin(β₂ − β₁) / sin β₂`, `L` the old bevel's length.
    fn recession_to_heel(&self, from: f64, to: f64) -> Result<f64, NoBevel> {
        let length = self.bevel_length(from)?;
        Ok(length * (to - from).to_radians().sine() / checked(to)?.sine())
    }
}

/// An angle within [`ANGLE_RANGE`], in radians.
fn checked(angle: f64) -> Result<f64, NoBevel> {
    if (ANGLE_RANGE[0]..=ANGLE_RANGE[1]).contains(&angle) {
        Ok(angle.to_radians())
    } else {
        Err(NoBevel::Angle { angle })
    }
}

/// A value that must be finite and zero or more.
fn not_negative(what: &'static str, value: f64) -> Result<f64, NoBevel> {
    if value.is_finite() && value >= 0.0 {
        Ok(value)
    } else {
        Err(NoBevel::Value { what, value, allowed: "0 or more" })
    }
}

/// A value that must be finite and more than zero.
fn positive(what: &'static str, value: f64) -> Result<f64, NoBevel> {
    if value.is_finite() && value > 0.0 { Ok(value) } else { Err(NoBevel::Value { what, value, allowed: "above 0" }) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::solve::angle_of_bevel;

    #[test]
    fn the_bevels_length_is_the_inverse_of_its_angle() {
        for (thickness, taper, angle) in [(2.4, 0.0, 25.0), (4.2, 0.6, 30.0), (3.0, -1.5, 20.0)] {
            let length = Blade::new(thickness, taper).and_then(|b| b.bevel_length(angle)).unwrap_or(f64::NAN);
            let back = angle_of_bevel(thickness, length, taper).unwrap_or(f64::NAN);
            assert!((back - angle).abs() < 1e-9, "{thickness} {taper}: {back}");
        }
        // At 30° a bevel is twice as long as the blade is thick.
        assert!((Blade::parallel(3.0).and_then(|b| b.bevel_length(30.0)).unwrap_or(f64::NAN) - 6.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_blade_is_refused() {
        assert_eq!(Blade::parallel(0.0), Err(NoBevel::Thickness { mm: 0.0 }));
        assert!(matches!(Blade::new(f64::NAN, 0.0), Err(NoBevel::Thickness { .. })));
        assert_eq!(Blade::new(3.0, 6.0), Err(NoBevel::Taper { degrees: 6.0 }));
        let tapered = Blade { thickness: 3.0, taper: -5.0 };
        assert_eq!(tapered.bevel_length(5.5), Err(NoBevel::NoHeel { angle: 5.5, taper: -5.0 }));
        assert_eq!(tapered.bevel_length(61.0), Err(NoBevel::Angle { angle: 61.0 }));
    }
}
