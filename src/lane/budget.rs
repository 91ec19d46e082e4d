//! The budget: which measurement contributes how much to each lane's angle, so that one knows what to measure better.

use serde::Serialize;

use super::Lane;
use crate::input::length::rectangular;
use crate::solve::uncertainty::{self, COVERAGE, Contribution};

/// One quantity's share in a lane's angle uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BudgetLine {
    /// What was measured, or `fence`.
    pub quantity: &'static str,
    /// Half-width of its tolerance, mm or degrees.
    pub within: f64,
    /// `mm` or `degrees`.
    pub unit: &'static str,
    /// Change of the bevel angle with it, degrees per unit.
    pub degrees_per_unit: f64,
    /// Expanded uncertainty (k = 2) of the angle from it alone, degrees.
    pub angle_uncertainty: f64,
    /// Share in the variance of the angle, 0 to 1.
    pub share: f64,
}

/// The budget of a lane's angle, the largest contribution first; `fence_within` is the tolerance a fence is made to, mm.
pub fn budget(lane: &Lane, fence_within: Option<f64>) -> Vec<BudgetLine> {
    let (beta, edge) = (lane.setting.angle.to_radians(), lane.edge_shape);
    let slope = uncertainty::fence_slope(&lane.measured, beta, edge);
    let line = |quantity, within: f64, per_unit: f64, angle: bool| {
        let (within, per_unit) = if angle { (within.to_degrees(), per_unit.to_radians()) } else { (within, per_unit) };
        // With the fence where it is, a longer distance wanted means a steeper bevel.
        let degrees_per_unit = (per_unit / -slope).to_degrees();
        BudgetLine {
            quantity,
            within,
            unit: if angle { "degrees" } else { "mm" },
            degrees_per_unit,
            angle_uncertainty: COVERAGE * (degrees_per_unit * rectangular(within)).abs(),
            share: 0.0,
        }
    };
    let all = uncertainty::contributions(&lane.measured, beta, edge);
    let (fitted, single): (Vec<&Contribution>, Vec<&Contribution>) = all.iter().partition(|c| c.quantity.is_fitted());
    let mut lines: Vec<BudgetLine> =
        single.iter().map(|c| line(c.quantity.name(), c.within, c.fence_sensitivity, c.quantity.is_angle())).collect();
    // What known settings leave open is one thing, said as a fence that is off by as much.
    let name = fitted.first().map(|c| c.quantity.name());
    let off = fitted.iter().map(|c| c.fence().powi(2)).sum::<f64>().sqrt();
    lines.extend(name.map(|name| line(name, off * 3f64.sqrt(), 1.0, false)));
    lines.extend(fence_within.map(|w| line("fence", w, -1.0, false)));
    let total: f64 = lines.iter().map(|l| l.angle_uncertainty.powi(2)).sum();
    for l in &mut lines {
        l.share = if total > 0.0 { l.angle_uncertainty.powi(2) / total } else { 0.0 };
    }
    lines.sort_by(|a, b| b.share.total_cmp(&a.share));
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lane::checks::testing::lane;

    /// A fence further out makes the bevel shallower, by what moving it shows.
    #[test]
    fn the_fences_line_has_the_slope_of_a_fence_that_is_moved() {
        let lane = lane(30.0);
        let lines = budget(&lane, Some(0.1));
        let fence = lines.iter().find(|line| line.quantity == "fence").expect("asked for");
        const STEP: f64 = 1e-4;
        let at = |by: f64| lane.angle_at(lane.setting.fence_distance + by).expect("has an angle");
        approx::assert_relative_eq!(fence.degrees_per_unit, (at(STEP) - at(-STEP)) / (2.0 * STEP), max_relative = 1e-6);
        assert!(fence.degrees_per_unit < 0.0);
        approx::assert_relative_eq!(lines.iter().map(|line| line.share).sum::<f64>(), 1.0, max_relative = 1e-12);
    }
}
