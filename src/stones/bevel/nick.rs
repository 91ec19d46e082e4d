//! A nick ground out: the primary bevel goes back, parallel to itself, until its edge lies behind the nick.
//!
//! ```text
//! off the bevel   d = x · sin β                 x: how far the edge goes back along the back
//! new thickness   t − x · sin τ
//! steel           the strip between both bevels: a trapezium between back and underside
//! ```

use super::micro::strip;
use super::{Blade, NoBevel, checked, positive};
use crate::trig::Trig;

/// What it takes to grind a nick out of a primary bevel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nick {
    /// How far the edge goes back along the back, mm: the nick's depth.
    pub recession: f64,
    /// What is ground off the bevel, square to it, mm.
    pub off_bevel: f64,
    /// Length of the bevel afterwards, mm.
    pub bevel: f64,
    /// Steel that comes off, mm² of the section.
    pub steel: f64,
}

impl Nick {
    /// A nick `recession` mm deep, ground out of `blade`'s primary bevel of `angle` degrees, which stays as it is.
    ///
    /// # Errors
    /// A bevel out of range or without a heel, a depth of nothing, and a depth at which a tapered blade has come down to
    /// nothing.
    pub fn new(blade: &Blade, angle: f64, recession: f64) -> Result<Self, NoBevel> {
        let recession = positive("the depth of the nick, mm,", recession)?;
        let thickness = blade.thickness - recession * blade.taper.to_radians().sine();
        Ok(Self {
            recession,
            off_bevel: recession * checked(angle)?.sine(),
            bevel: positive("the blade's thickness behind the nick, mm,", thickness)? / blade.at_heel(angle)?.sine(),
            steel: strip(blade, angle, recession)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of a parallel blade 3 mm thick, 0.8 mm at 30° are 0.4 mm off the bevel, a parallelogram of 0.8 × 3 mm².
    #[test]
    fn a_parallel_blade_loses_a_parallelogram() {
        let blade = Blade { thickness: 3.0, taper: 0.0 };
        let nick = Nick::new(&blade, 30.0, 0.8).unwrap_or_else(|e| panic!("{e}"));
        assert!((nick.off_bevel - 0.4).abs() < 1e-12 && (nick.bevel - 6.0).abs() < 1e-12, "{nick:?}");
        assert!((nick.steel - 2.4).abs() < 1e-12, "{nick:?}");
    }

    #[test]
    fn a_nick_of_nothing_or_past_the_blades_end_is_refused() {
        let blade = Blade { thickness: 1.0, taper: 5.0 };
        assert!(matches!(Nick::new(&blade, 30.0, 0.0), Err(NoBevel::Value { .. })));
        // 1 / sin 5° = 11.47 mm.
        assert!(Nick::new(&blade, 30.0, 11.4).is_ok());
        assert!(matches!(Nick::new(&blade, 30.0, 11.5), Err(NoBevel::Value { .. })));
    }
}
