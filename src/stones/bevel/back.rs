//! A back bevel by a thin rule: a rule lies on the stone, the blade's back rests on its edge, and the blade's edge on the
//! stone. The back then rises by `asin(h / x)`, with h the rule's thickness and x the length of back between them.

use super::{NoBevel, positive};
use crate::trig::{Inverse, Trig};

/// Thicknesses of steel rules, mm (common practice, no source): as they are sold.
pub const RULES: [f64; 3] = [0.5, 0.8, 1.0];
/// From how near to far from the edge a rule serves, mm (common practice, no source): nearer, the blade rocks and the rule is
/// honed; further, it is off the stone.
pub const SERVES: [f64; 2] = [20.0, 90.0];
/// Smallest and largest back bevel that is worked out, degrees.
pub const BACK_BEVELS: [f64; 2] = [0.05, 45.0];

/// The back bevel, degrees, that a rule `thickness` mm thick gives `at` mm behind the edge along the back.
///
/// # Errors
/// [`NoBevel::Value`]: lengths that are not above 0, or a rule thicker than it is far from the edge.
pub fn angle(thickness: f64, at: f64) -> Result<f64, NoBevel> {
    let (h, x) = (positive("the rule's thickness", thickness)?, positive("its distance from the edge", at)?);
    if h >= x {
        return Err(NoBevel::Value {
            what: "the rule's thickness",
            value: thickness,
            allowed: "less than its distance from the edge",
        });
    }
    Ok((h / x).arcsine().to_degrees())
}

/// How far behind the edge a rule `thickness` mm thick lies for a back bevel of `degrees`, mm along the back.
pub fn distance(thickness: f64, degrees: f64) -> f64 {
    thickness / degrees.to_radians().sine()
}

/// How thick a packing must be for a back bevel of `degrees` at the distance `at` mm, mm.
pub fn thickness(at: f64, degrees: f64) -> f64 {
    at * degrees.to_radians().sine()
}

/// The rules that give a back bevel of `degrees` where they serve, each with its distance from the edge, mm.
pub fn rules(degrees: f64) -> Vec<(f64, f64)> {
    let all = RULES.map(|h| (h, distance(h, degrees)));
    all.into_iter().filter(|(_, x)| (SERVES[0]..=SERVES[1]).contains(x)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn a_rule_is_a_sine_bar() {
        assert_abs_diff_eq!(angle(0.5, 60.0).expect("an angle"), 0.4775, epsilon = 5e-5);
        assert_abs_diff_eq!(distance(0.5, angle(0.5, 37.0).expect("an angle")), 37.0, epsilon = 1e-12);
        assert!(angle(2.0, 2.0).is_err() && angle(0.0, 5.0).is_err());
        assert_eq!(rules(1.0).len(), 3);
        assert!(rules(15.0).is_empty());
    }
}
