//! A primary bevel that a grinding wheel hollowed.
//!
//! The wheel leaves an arc. On a flat stone the blade rests on the arc's two ends, edge and heel, so what a guide sets and
//! what the length of the bevel tells (`sin(β + τ) = t / L`) is the chord between them. Over a chord ℓ on a wheel of the
//! diameter D
//!
//! ```text
//! depth of the hollow   D/2 − √(D²/4 − ℓ²/4)     about ℓ²/4D, the sagitta
//! at the edge           chord − asin(ℓ/D)         the steel there is thinner than the chord says
//! at the heel           chord + asin(ℓ/D)
//! ```
//!
//! A micro-bevel cuts the arc's end off. As the arc falls away from the chord, it grows less wide than on a flat bevel.

use super::{Blade, NoBevel, checked, not_negative};
use crate::trig::{Inverse, Trig};

/// Smallest and largest wheel, diameter, mm.
pub const WHEEL: [f64; 2] = [20.0, 1000.0];

/// A hollow primary bevel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hollow {
    /// Diameter of the wheel, mm.
    pub wheel: f64,
    /// Angle of the chord, degrees: the primary bevel as a guide sets it and as its length tells.
    pub chord: f64,
    /// Length of the chord, mm.
    pub length: f64,
    /// Depth of the hollow below the chord, mm.
    pub depth: f64,
    /// Angle of the steel right at the edge, degrees.
    pub at_edge: f64,
    /// The same at the heel, degrees.
    pub at_heel: f64,
}

impl Hollow {
    /// The bevel of `chord` degrees that a wheel of the diameter `wheel` mm leaves on a blade.
    ///
    /// # Errors
    /// [`NoBevel`]: a bevel out of range; a wheel that is no larger than the bevel is long, or that would undercut the edge.
    pub fn new(blade: &Blade, chord: f64, wheel: f64) -> Result<Self, NoBevel> {
        let length = blade.bevel_length(chord)?;
        let too_small =
            NoBevel::Value { what: "the wheel's diameter", value: wheel, allowed: "larger than the bevel is long" };
        if wheel <= length {
            return Err(too_small);
        }
        let lean = (length / wheel).arcsine().to_degrees();
        if lean >= chord {
            let allowed = "so large that steel is left at the edge";
            return Err(NoBevel::Value { what: "the wheel's diameter", value: wheel, allowed });
        }
        let depth = (wheel - (wheel * wheel - length * length).sqrt()) / 2.0;
        Ok(Self { wheel, chord, length, depth, at_edge: chord - lean, at_heel: chord + lean })
    }

    /// Width of a micro-bevel of `micro` degrees with the edge `recession` mm back along the back, mm. At the chord's own
    /// angle it is the flat at the edge; the heel has one too.
    ///
    /// # Errors
    /// [`NoBevel`]: a micro-bevel less steep than the chord, or one that is past the heel.
    pub fn micro_width(&self, micro: f64, recession: f64) -> Result<f64, NoBevel> {
        let (radians, back) = (checked(micro)?, not_negative("the edge's recession", recession)?);
        if micro < self.chord {
            return Err(NoBevel::NotSteeper { primary: self.chord, micro });
        }
        // From the new edge along the micro-bevel until it leaves the arc: the nearer root of the circle's equation.
        let (along, up) = self.centre();
        let (sin, cos) = radians.sine_cosine();
        let (x, y) = (back - along, -up);
        let half = x * cos + y * sin;
        let rest = x * x + y * y - self.wheel * self.wheel / 4.0;
        let inside = half * half - rest;
        let past = NoBevel::PastHeel { recession, limit: self.length };
        if inside < 0.0 {
            return Err(past);
        }
        let width = -half - inside.sqrt();
        if width > self.length { Err(past) } else { Ok(width.max(0.0)) }
    }

    /// Centre of the wheel, mm: along the back from the edge as ground, and square to it, on the side of the stone.
    fn centre(&self) -> (f64, f64) {
        let (sin, cos) = self.chord.to_radians().sine_cosine();
        let off = (self.wheel * self.wheel - self.length * self.length).sqrt() / 2.0;
        (self.length / 2.0 * cos - off * sin, self.length / 2.0 * sin + off * cos)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// 6 mm of bevel on a 150 mm wheel: 2.3° less at the edge, and ℓ²/4D = 0.06 mm deep.
    #[test]
    fn a_hollow_is_a_sagitta() {
        let blade = Blade::parallel(6.0 * 25f64.to_radians().sin()).expect("a blade");
        let hollow = Hollow::new(&blade, 25.0, 150.0).expect("a hollow");
        assert_abs_diff_eq!(hollow.length, 6.0, epsilon = 1e-12);
        assert_abs_diff_eq!(hollow.depth, 36.0 / 600.0, epsilon = 1e-4);
        assert_abs_diff_eq!(25.0 - hollow.at_edge, 2.29, epsilon = 5e-3);
        assert_abs_diff_eq!(hollow.at_edge + hollow.at_heel, 50.0, epsilon = 1e-12);
    }

    /// A huge wheel leaves a flat bevel.
    #[test]
    fn a_huge_wheel_is_a_flat_bevel() {
        let blade = Blade::parallel(3.0).expect("a blade");
        let hollow = Hollow { ..Hollow::new(&blade, 25.0, 1e7).expect("a hollow") };
        let flat = super::super::micro::width(25.0, 30.0, 0.1).expect("a width");
        assert_abs_diff_eq!(hollow.micro_width(30.0, 0.1).expect("a width"), flat, epsilon = 1e-4);
        assert!(Hollow::new(&blade, 25.0, 150.0).expect("a hollow").micro_width(30.0, 0.1).expect("a width") < flat);
    }

    #[test]
    fn what_cannot_be_ground_is_refused() {
        let blade = Blade::parallel(10.0).expect("a blade");
        assert!(Hollow::new(&blade, 10.0, 50.0).is_err());
        assert!(Hollow::new(&blade, 10.0, 200.0).is_err());
        let hollow = Hollow::new(&blade, 30.0, 200.0).expect("a hollow");
        assert!(hollow.micro_width(29.0, 0.1).is_err() && hollow.micro_width(35.0, 30.0).is_err());
    }
}
