//! A stroke plan: where the finger presses, and how often, for the wear to make the wanted arc.
//!
//! The model, all of it stated so that it can be doubted:
//!
//! * Wear is in proportion to pressure and to the way it slides (J. F. Archard, *J. Appl. Phys.* 24 (1953) 981, from
//!   memory): a stroke wears a depth in proportion to the pressure at each point of the edge.
//! * Pressure: see [`Kernel`].
//! * Each stroke wears [`Bench::per_stroke`] where the pressure is that of an evenly pressed edge: an assumption; measure
//!   after the first round.
//!
//! A depth square to the bevel is `1 / sin β` of it in the plane of the back, where the arc is wanted. An even wear over
//! the whole edge does no harm, so that the fit may have any: it only moves the edge back.

pub use super::pressure::Kernel;
pub use super::rounds::Rounds;

use nalgebra::{DMatrix, DVector};

use super::nnls::{NoAnswer, nnls};
use super::{Curve, rounds};
use crate::solve::ANGLE_RANGE;
use crate::trig::Trig;

/// Points of half the edge at which the arc is compared.
const POINTS: usize = 64;

/// A rule of the trade for a jack, strokes a round at each corner, a finger in, beside the centre and at the centre:
/// common practice, no source.
pub const TRADE_RULE: [f64; 4] = [15.0, 10.0, 5.0, 0.0];

/// What is to be made, and how.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bench {
    /// The wanted arc.
    pub curve: Curve,
    /// Angle that is honed, degrees.
    pub angle: f64,
    /// Width of a finger, mm.
    pub finger: f64,
    /// Where its pressure goes.
    pub kernel: Kernel,
    /// Depth that a stroke wears square to the bevel, evenly pressed, mm; [`super::rate::per_stroke`] estimates it.
    pub per_stroke: f64,
    /// What one round on each later grade wears, in rounds on this one; 0 where no grade comes after.
    pub later: f64,
}

/// How far the finger lies over the corner, as a share of its width, where a stiff edge spreads its pressure: an
/// assumption, and one that matters: the plan's mix of strokes at the corner and a finger in changes with a millimetre.
const OVER: f64 = 0.125;

/// The same where the pressure stays near the finger, which must then lie on the corner itself.
const OVER_LOCAL: f64 = 0.5;

/// A place for the finger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// What it is called.
    pub name: &'static str,
    /// Distance of the finger's middle from the blade's middle, mm; on both sides, unless 0.
    pub at: f64,
}

/// What some strokes make of the edge, held against the wanted arc.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Strokes at each of [`Bench::places`] (on either side, the same), all rounds together; whole or not.
    pub strokes: [f64; 4],
    /// Even wear over the whole edge besides the arc, mm in the plane of the back.
    pub even: f64,
    /// Root mean square difference from the arc over the edge, mm in the plane of the back.
    pub rms: f64,
    /// The largest difference, mm.
    pub largest: f64,
}

/// A plan.
#[derive(Debug, Clone, PartialEq)]
pub struct StrokePlan {
    /// Where the finger goes.
    pub places: [Place; 4],
    /// The best there is: non-negative least squares.
    pub best: Fit,
    /// The best in rounds that one can remember.
    pub rounds: Rounds,
    /// What those make.
    pub rounded: Fit,
    /// How deep the camber is after the first round, mm in the plane of the back: measure it, and make
    /// `wanted / measured` rounds instead.
    pub after_first: f64,
    /// What the trade's rule makes at its best, [`TRADE_RULE`] scaled.
    pub rule: Fit,
    /// How many rounds of the rule that is, whole or not.
    pub rule_rounds: f64,
}

/// Camber is made on the finest grade that does it in this many strokes: a coarser one leaves deep scratches at the
/// corners, a finer one takes all day. An assumption.
pub const MOST_STROKES: u32 = 150;

/// The grade that a camber is made on, by its place, of grades that make it in so many strokes, coarse to fine: the finest
/// that does it in [`MOST_STROKES`]; where none does, the one that takes the fewest.
pub fn made_on(strokes: impl IntoIterator<Item = u32>) -> Option<usize> {
    let strokes: Vec<u32> = strokes.into_iter().collect();
    let quickest = || (0..strokes.len()).min_by_key(|&i| strokes[i]);
    strokes.iter().rposition(|&count| count <= MOST_STROKES).or_else(quickest)
}

/// Why there is no plan.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoPlan {
    /// A straight edge needs none.
    #[error("a straight edge needs no camber: press evenly")]
    Straight,
    /// A length or angle that makes no sense.
    #[error("{what} is {value}, and it must be {allowed}")]
    Value {
        /// What.
        what: &'static str,
        /// As given.
        value: f64,
        /// What it may be.
        allowed: &'static str,
    },
    /// The least squares have no answer.
    #[error("{0}")]
    NoAnswer(#[from] NoAnswer),
}

/// Fingers that are worked with, mm.
pub const FINGER_RANGE: [f64; 2] = [5.0, 40.0];

/// Wear of a stroke that is worked with, mm.
pub const PER_STROKE_RANGE: [f64; 2] = [1e-9, 0.1];

/// How closely a plan follows its arc: the root mean square of what is left, as a share of the arc's depth.
pub const FOLLOWS: f64 = 0.05;

/// More strokes than this are work for a grinder or a coarser grade: an assumption.
pub const BY_HAND: u32 = 300;

/// Spreads beyond the finger that are worked with, mm.
pub const SPREAD_RANGE: [f64; 2] = [0.5, 50.0];

impl Bench {
    /// The four places, from the corner in: the finger a little over the corner (on a blade of less than two fingers, a
    /// quarter of its width in), then by equal steps to the centre.
    pub fn places(&self) -> [Place; 4] {
        let over = if self.kernel == Kernel::Stiff { OVER } else { OVER_LOCAL };
        let corner = (self.curve.width / 2.0 - self.finger * (0.5 - over)).max(self.curve.width / 4.0);
        let place = |name, share: f64| Place { name, at: corner * share };
        [
            place("at each corner", 1.0),
            place("one finger-width in", 2.0 / 3.0),
            place("beside the centre", 1.0 / 3.0),
            place("at the centre", 0.0),
        ]
    }

    /// The plan for the arc.
    ///
    /// # Errors
    /// [`NoPlan`].
    pub fn plan(&self) -> Result<StrokePlan, NoPlan> {
        let fitting = self.fitting()?;
        let best = fitting.best()?;
        let rounds = rounds::choose(&fitting.table, &fitting.wanted, best.strokes, self.later);
        let rounded = fitting.fit_of(rounds.strokes());
        let (rule, rule_rounds) = fitting.scaled(TRADE_RULE)?;
        let round = DVector::from_iterator(4, rounds.counts.iter().map(|c| f64::from(*c)));
        let [corner, middle] = [self.curve.width / 2.0, 0.0].map(|x| self.row(x).dot(&round.transpose()));
        Ok(StrokePlan { places: self.places(), best, rounds, rounded, after_first: corner - middle, rule, rule_rounds })
    }

    /// What a rule, strokes a round at each of [`Bench::places`], makes at the number of rounds that suits the arc best, and
    /// that number, whole or not.
    ///
    /// # Errors
    /// [`NoPlan`]; counts that are negative or not finite.
    pub fn rule(&self, counts: [f64; 4]) -> Result<(Fit, f64), NoPlan> {
        if let Some(&value) = counts.iter().find(|c| !(c.is_finite() && **c >= 0.0)) {
            return Err(NoPlan::Value { what: "a count of strokes", value, allowed: "0 or more" });
        }
        self.fitting()?.scaled(counts)
    }

    /// What given strokes make, all rounds together.
    ///
    /// # Errors
    /// [`NoPlan`].
    pub fn fit(&self, strokes: [f64; 4]) -> Result<Fit, NoPlan> {
        Ok(self.fitting()?.fit_of(strokes))
    }

    /// How far back `strokes` at each of [`Bench::places`] take the edge at `x` mm from the middle, mm in the plane of the back.
    pub fn worn(&self, strokes: [f64; 4], x: f64) -> f64 {
        self.row(x).dot(&DVector::from_row_slice(&strokes).transpose())
    }

    fn fitting(&self) -> Result<Fitting, NoPlan> {
        let spread = if let Kernel::Local { spread } = self.kernel { spread } else { SPREAD_RANGE[0] };
        let asked = [
            ("the angle, degrees,", self.angle, ANGLE_RANGE, "5 to 60"),
            ("a finger's width, mm,", self.finger, FINGER_RANGE, "5 to 40"),
            ("the wear of a stroke, mm,", self.per_stroke, PER_STROKE_RANGE, "0.000000001 to 0.1"),
            ("the spread, mm,", spread, SPREAD_RANGE, "0.5 to 50"),
        ];
        if let Some((what, value, _, allowed)) = asked.into_iter().find(|(_, v, r, _)| !(r[0]..=r[1]).contains(v)) {
            return Err(NoPlan::Value { what, value, allowed });
        }
        if self.curve.depth == 0.0 {
            return Err(NoPlan::Straight);
        }
        let x = |i: usize| self.curve.width / 2.0 * (i as f64 + 0.5) / POINTS as f64;
        let table = DMatrix::from_rows(&(0..POINTS).map(|i| self.row(x(i))).collect::<Vec<_>>());
        let wanted = DVector::from_iterator(POINTS, (0..POINTS).map(|i| self.curve.at(x(i))));
        Ok(Fitting { table, wanted })
    }

    /// How far back one stroke at each side of each place takes the edge at `x`, mm in the plane of the back.
    fn row(&self, x: f64) -> nalgebra::RowDVector<f64> {
        let per_unit = self.per_stroke / self.angle.to_radians().sine();
        let pressed = |place: Place| match place.at {
            0.0 => self.pressure(x, 0.0),
            at => self.pressure(x, at) + self.pressure(x, -at),
        };
        let row = self.places().map(|place| per_unit * pressed(place));
        nalgebra::RowDVector::from_row_slice(&row)
    }

    /// Pressure at `x` of a finger at `at`, both mm from the middle: see [`Kernel::pressure`].
    pub fn pressure(&self, x: f64, at: f64) -> f64 {
        self.kernel.pressure(self.curve.width, self.finger, x, at)
    }
}

/// The arc at points of the edge, and what a stroke at each place does there.
struct Fitting {
    table: DMatrix<f64>,
    wanted: DVector<f64>,
}

impl Fitting {
    fn best(&self) -> Result<Fit, NoPlan> {
        let mut columns = self.table.clone().insert_column(4, 0.0);
        columns.column_mut(4).fill(-1.0);
        let x = nnls(&columns, &self.wanted)?;
        Ok(self.fit_of([x[0], x[1], x[2], x[3]]))
    }

    /// A rule's best scale, and what it makes.
    fn scaled(&self, counts: [f64; 4]) -> Result<(Fit, f64), NoPlan> {
        let once = &self.table * DVector::from_row_slice(&counts);
        let even = DVector::from_element(once.len(), -1.0);
        let x = nnls(&DMatrix::from_columns(&[once, even]), &self.wanted)?;
        Ok((self.fit_of(counts.map(|c| c * x[0])), x[0]))
    }

    fn fit_of(&self, strokes: [f64; 4]) -> Fit {
        let over = &self.table * DVector::from_row_slice(&strokes) - &self.wanted;
        let even = over.mean().max(0.0);
        let left = over.add_scalar(-even);
        let rms = (left.norm_squared() / left.len() as f64).sqrt();
        Fit { strokes, even, rms, largest: left.amax() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const JACK: Curve = Curve { width: 51.0, depth: 1.3 };

    fn bench(kernel: Kernel) -> Bench {
        Bench { curve: JACK, angle: 25.0, finger: 16.0, kernel, per_stroke: 0.002, later: 0.0 }
    }

    fn plan(kernel: Kernel) -> StrokePlan {
        bench(kernel).plan().unwrap_or_else(|e| panic!("{e}"))
    }

    #[test]
    fn no_rule_is_better_than_the_best() {
        for kernel in [Kernel::Stiff, Kernel::Local { spread: 4.0 }] {
            let plan = plan(kernel);
            assert!(plan.best.rms <= plan.rounded.rms + 1e-12 && plan.best.rms <= plan.rule.rms + 1e-12, "{plan:#?}");
            assert!(plan.rounded.rms < FOLLOWS * JACK.depth, "{plan:#?}");
        }
    }

    /// What the trade's rule does: its corners and its fingers in make the curve, nearly as well as can be; its strokes
    /// beside the centre wear a stiff edge evenly.
    #[test]
    fn the_trade_rule_is_explained() {
        let plan = plan(Kernel::Stiff);
        let [corner, finger_in, beside, centre] = plan.rounds.counts;
        assert!(corner > 0 && finger_in > 0 && beside == 0 && centre == 0, "{plan:#?}");
        assert!(plan.rule.rms < 1.3 * plan.best.rms, "{plan:#?}");
        let beside = |x| bench(Kernel::Stiff).worn([0.0, 0.0, 1.0, 0.0], x);
        assert!((beside(25.0) - beside(0.0)).abs() < 1e-15);
    }

    #[test]
    fn what_makes_no_plan_is_refused() {
        let straight = Bench { curve: Curve { width: 51.0, depth: 0.0 }, ..bench(Kernel::Stiff) };
        assert_eq!(straight.plan(), Err(NoPlan::Straight));
        let flat = Bench { angle: 90.0, ..bench(Kernel::Stiff) };
        assert!(flat.plan().is_err_and(|e| e.to_string().ends_with("must be 5 to 60")));
        assert!(bench(Kernel::Local { spread: 0.0 }).plan().is_err());
        assert!(bench(Kernel::Stiff).rule([1.0, -1.0, 0.0, 0.0]).is_err());
    }
}
