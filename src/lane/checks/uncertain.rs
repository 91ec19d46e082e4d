//! What is not known of guide and blade may put a bevel further off than is allowed, wherever its fence is.

use super::{Finding, Lane, Rule};
use crate::units::short;

/// Warns where the angle's expanded uncertainty is larger than the tolerance, ± degrees.
pub(super) fn check(lane: &Lane, tolerance: f64) -> Option<Finding> {
    lane.setting.uncertainty.angle.filter(|u| *u > tolerance)?;
    let message = format!(
        "guide and blade are not known well enough for the ±{}° allowed, wherever the fence is. First measure better what \"stopwright offsets --budget\" puts on top, or prove the angle on a plate",
        short(tolerance, 3)
    );
    Some(Finding::warning(Rule::Uncertain, message))
}

#[cfg(test)]
mod tests {
    use crate::guide::Blade;
    use crate::input::length::Length;
    use crate::lane::build;
    use crate::lane::checks::Rule;
    use crate::lane::checks::testing::*;

    #[test]
    fn a_blade_that_is_not_known_is_warned_of() {
        let warned = |within: f64| {
            let mut r = request(30.0);
            r.blade = Blade { thickness: Length::within(2.4, within), ..Blade::even(2.4) };
            let lane = build(&guide(), &r, EDGE, 0.5).expect("has a setting");
            let uncertain = lane.findings.iter().any(|f| f.rule == Rule::Uncertain);
            assert_eq!(uncertain, lane.setting.uncertainty.angle.is_some_and(|u| u > 0.5));
            uncertain
        };
        assert_eq!([0.1, 1.5].map(warned), [false, true]);
    }
}
