//! How well a setting is known, from the stated tolerances.
//!
//! "Within ±w" is a rectangular distribution, u = w/√3 (JCGM 100:2008, 4.3.7). The law of propagation to first order
//! (5.1.2) uses exact derivatives of the measurement model; lengths built from a shared diameter, and the error
//! common to one caliper, are correlated through the model itself (5.2). Results are expanded with k = 2; no level of
//! confidence is claimed, since one rectangle may dominate.

use num_dual::Dual64;

use super::contact::{self, EdgeShape};
use super::measured::{Measured, QUANTITIES};
use super::projection;

/// Coverage factor of every stated expanded uncertainty.
pub const COVERAGE: f64 = 2.0;

/// Expanded uncertainties (k = 2) of a setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// Of the projection, mm: guide, blade and roller level. `None` where no tolerance at all was stated.
    pub projection: Option<f64>,
    /// Of the bevel angle that the made fence sets, degrees: the same and the making of the fence. `None` where no
    /// tolerance at all was stated.
    pub angle: Option<f64>,
}

/// Standard uncertainty of a rectangular distribution of half-width `within`.
pub fn rectangular(within: f64) -> f64 {
    within / 3f64.sqrt()
}

/// Propagates the tolerances of `measured` to the setting for `beta` (radians).
pub fn propagate(measured: &Measured, beta: f64, edge: EdgeShape, fence_within: Option<f64>) -> Uncertainty {
    let values = measured.values();
    let (mut projection_var, mut fence_var, mut stated) = (0.0, 0.0, false);
    for (i, within) in measured.withins().into_iter().enumerate() {
        let Some(within) = within else { continue };
        stated = true;
        let u = rectangular(within);
        let [dp, df] = derivatives(measured, &values, i, beta, edge);
        projection_var += (dp * u).powi(2);
        fence_var += (df * u).powi(2);
    }
    let section = measured.section(&values);
    let p = projection::projection(&section, beta);
    let per_radian = projection::slope(&section, beta) * contact::fence_per_projection(&section, p, edge);
    let made = fence_within.map_or(0.0, rectangular);
    let angle = ((fence_var + made * made).sqrt() / per_radian.abs()).to_degrees();
    Uncertainty {
        projection: stated.then(|| COVERAGE * f64::sqrt(projection_var)),
        angle: (stated || fence_within.is_some()).then_some(COVERAGE * angle),
    }
}

/// Derivatives of projection and fence distance with respect to quantity `i`.
fn derivatives(measured: &Measured, values: &[f64; QUANTITIES], i: usize, beta: f64, edge: EdgeShape) -> [f64; 2] {
    let mut x = values.map(Dual64::from_re);
    x[i] = x[i].derivative();
    let section = measured.section(&x);
    let p = projection::projection(&section, Dual64::from_re(beta));
    [p.eps, contact::fence_sensitivity(&section, p, edge)]
}
