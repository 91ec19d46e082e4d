//! A primary bevel made into another: steel removed, edge recession, and what stays untouched meanwhile.
//!
//! A **steeper** bevel starts at the edge, which goes back as the new facet grows toward the heel; the old bevel is
//! untouched at the heel till the end. A **shallower** one starts at the heel and reaches the edge last, so that the edge
//! need not move. Either way what is removed is a triangle that grows in proportion: with the share `s` of the old bevel
//! gone, its area is `s²` of the whole. So a quarter of the steel off has renewed half of the bevel.
//!
//! ```text
//! shallower: A = ½ t² (cot γ₂ − cot γ₁)              γ = β + τ, against the underside
//! steeper:   A = ½ x L₁ sin β₁,   x = L₁ sin(β₂ − β₁) / sin β₂,   L₁ = t / sin γ₁
//! ```

use super::micro::strip;
use super::{Blade, NoBevel, checked, not_negative};
use crate::trig::Trig;

/// Where the new bevel begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Begins {
    /// At the edge: the new bevel is steeper.
    AtEdge,
    /// At the heel: the new bevel is shallower.
    AtHeel,
}

/// One primary bevel made into another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    blade: Blade,
    from: f64,
    to: f64,
}

/// How far a change has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Steel removed so far, as a share of what the change takes.
    pub removed_share: f64,
    /// Steel removed so far, mm² of the section.
    pub removed: f64,
    /// How far the edge has gone back along the back, mm.
    pub recession: f64,
    /// Length of the new bevel, mm.
    pub new_length: f64,
    /// Length of the old bevel still untouched, mm: at the heel of a steeper bevel, at the edge of a shallower one.
    pub untouched: f64,
    /// The same as a share of the old bevel.
    pub untouched_share: f64,
}

impl Change {
    /// `blade`'s primary bevel of `from` degrees is to become one of `to` degrees.
    ///
    /// # Errors
    /// Bevels out of range or without a heel; [`NoBevel::Same`].
    pub fn new(blade: Blade, from: f64, to: f64) -> Result<Self, NoBevel> {
        blade.at_heel(from)?;
        blade.at_heel(to)?;
        if from == to {
            return Err(NoBevel::Same { angle: from });
        }
        Ok(Self { blade, from, to })
    }

    /// Where the new bevel begins.
    pub fn begins(&self) -> Begins {
        if self.to > self.from { Begins::AtEdge } else { Begins::AtHeel }
    }

    /// How far the edge must go back along the back for the new bevel to be whole, mm; 0 for a shallower one.
    ///
    /// # Errors
    /// None for a change that [`Change::new`] took.
    pub fn recession(&self) -> Result<f64, NoBevel> {
        match self.begins() {
            Begins::AtEdge => self.blade.recession_to_heel(self.from, self.to),
            Begins::AtHeel => Ok(0.0),
        }
    }

    /// Steel that comes off until the new bevel is whole, mm² of the section; times the blade's width, mm³.
    ///
    /// # Errors
    /// None for a change that [`Change::new`] took.
    pub fn area(&self) -> Result<f64, NoBevel> {
        match self.begins() {
            Begins::AtEdge => {
                Ok(0.5 * self.recession()? * self.blade.bevel_length(self.from)? * checked(self.from)?.sine())
            }
            Begins::AtHeel => {
                let [old, new] = [self.blade.at_heel(self.from)?, self.blade.at_heel(self.to)?];
                // cot γ₂ − cot γ₁, without subtracting near equals.
                let cotangents = (old - new).sine() / (old.sine() * new.sine());
                Ok(0.5 * self.blade.thickness * self.blade.thickness * cotangents)
            }
        }
    }

    /// Steel that comes off with the new bevel's edge `recession` mm back along the back, mm² of the section: less than
    /// [`Change::area`] while a steeper bevel has not reached the heel, more where the edge goes further back than it
    /// must, as when a chip is ground out.
    ///
    /// # Errors
    /// A negative recession.
    pub fn area_with_edge(&self, recession: f64) -> Result<f64, NoBevel> {
        not_negative("the edge's recession", recession)?;
        let whole = self.recession()?;
        if self.begins() == Begins::AtEdge && recession <= whole {
            return Ok(self.area()? * (recession / whole).powi(2));
        }
        // The strip between the whole new bevel and the one further back, as the difference of two from the old edge.
        let further = strip(&self.blade, self.to, recession)? - strip(&self.blade, self.to, whole)?;
        Ok(self.area()? + further)
    }

    /// How far the change has come with a share of its steel removed, 0 to 1.
    ///
    /// # Errors
    /// A share outside 0 to 1.
    pub fn progress(&self, removed_share: f64) -> Result<Progress, NoBevel> {
        if !(0.0..=1.0).contains(&removed_share) {
            return Err(NoBevel::Value { what: "the share of steel removed", value: removed_share, allowed: "0 to 1" });
        }
        let renewed = removed_share.sqrt();
        let old_length = self.blade.bevel_length(self.from)?;
        let whole = self.recession()?;
        // Of a steeper bevel the new edge is thinner than the old by the taper.
        let thinner = whole * self.blade.taper.to_radians().sine();
        let new_length = (self.blade.thickness - thinner) / self.blade.at_heel(self.to)?.sine();
        Ok(Progress {
            removed_share,
            removed: removed_share * self.area()?,
            recession: renewed * whole,
            new_length: renewed * new_length,
            untouched: (1.0 - renewed) * old_length,
            untouched_share: 1.0 - renewed,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn change(taper: f64, from: f64, to: f64) -> Change {
        Change { blade: Blade { thickness: 3.0, taper }, from, to }
    }

    fn some<T>(value: Result<T, NoBevel>) -> T {
        value.unwrap_or_else(|e| panic!("{e}"))
    }

    /// On a parallel blade both ways take ½ t² (cot of the lesser − cot of the greater).
    #[test]
    fn up_and_down_take_the_same_steel_from_a_parallel_blade() {
        let by_hand = 4.5 * (1.0 / 25f64.to_radians().tangent() - 1.0 / 30f64.to_radians().tangent());
        for (from, to) in [(25.0, 30.0), (30.0, 25.0)] {
            let area = some(change(0.0, from, to).area());
            assert!((area - by_hand).abs() < 1e-12, "{from} to {to}: {area}");
        }
        assert!((some(change(0.0, 25.0, 30.0).recession()) - by_hand / 1.5).abs() < 1e-12);
        assert_eq!(change(0.0, 30.0, 25.0).recession(), Ok(0.0));
    }

    #[test]
    fn a_quarter_of_the_steel_renews_half_of_the_bevel() {
        for c in [change(0.5, 25.0, 32.0), change(-0.5, 32.0, 25.0)] {
            let half = some(c.progress(0.25));
            assert!((half.untouched_share - 0.5).abs() < 1e-12 && half.untouched > 2.0);
            assert_eq!(some(c.progress(1.0)).untouched, 0.0);
            assert_eq!(some(c.progress(0.0)).new_length, 0.0);
        }
    }

    #[test]
    fn what_makes_no_sense_is_refused() {
        let blade = Blade { thickness: 3.0, taper: 0.0 };
        assert_eq!(Change::new(blade, 25.0, 25.0), Err(NoBevel::Same { angle: 25.0 }));
        assert_eq!(Change::new(blade, 25.0, 70.0), Err(NoBevel::Angle { angle: 70.0 }));
        assert!(change(0.0, 25.0, 30.0).progress(1.5).is_err());
        assert!(change(0.0, 25.0, 30.0).area_with_edge(-1.0).is_err());
    }
}
