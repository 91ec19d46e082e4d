//! How well a setting is known, from the stated tolerances.
//!
//! "Within ±w" is a rectangular distribution, u = w/√3 (JCGM 100:2008, 4.3.7). The law of propagation to first order
//! (5.1.2) uses exact derivatives of the measurement model; lengths built from a shared diameter, and the error
//! common to one caliper, are correlated through the model itself (5.2). Results are expanded with k = 2; no level of
//! confidence is claimed, since one rectangle may dominate.

use crate::input::length::rectangular;
use num_dual::Dual64;

use super::contact::{self, EdgeShape};
use super::measured::{Measured, QUANTITIES, Quantity};
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

/// What one measured quantity contributes to a setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contribution {
    /// The quantity.
    pub quantity: Quantity,
    /// Half-width of its tolerance: mm, or radians for an angle.
    pub within: f64,
    /// Change of the projection with it: mm per unit of `within`.
    pub projection_sensitivity: f64,
    /// Change of the fence distance with it: mm per unit of `within`.
    pub fence_sensitivity: f64,
}

impl Contribution {
    /// Standard uncertainty that it brings into the projection, mm.
    pub fn projection(&self) -> f64 {
        (self.projection_sensitivity * rectangular(self.within)).abs()
    }

    /// Standard uncertainty that it brings into the fence distance, mm.
    pub fn fence(&self) -> f64 {
        (self.fence_sensitivity * rectangular(self.within)).abs()
    }
}

/// What every quantity with a stated tolerance contributes to the setting for `beta` (radians).
pub fn contributions(measured: &Measured, beta: f64, edge: EdgeShape) -> Vec<Contribution> {
    let values = measured.values();
    Quantity::ALL
        .into_iter()
        .zip(measured.withins())
        .filter_map(|(quantity, within)| {
            let [projection_sensitivity, fence_sensitivity] =
                derivatives(measured, &values, quantity as usize, beta, edge);
            Some(Contribution { quantity, within: within?, projection_sensitivity, fence_sensitivity })
        })
        .collect()
}

/// Change of the fence distance with the bevel angle at `beta`, mm per radian; negative.
pub fn fence_slope(measured: &Measured, beta: f64, edge: EdgeShape) -> f64 {
    let section = measured.section(&measured.values());
    let p = projection::projection(&section, beta);
    projection::slope(&section, beta) * contact::fence_per_projection(&section, p, edge)
}

/// Propagates the tolerances of `measured` to the setting for `beta` (radians).
pub fn propagate(measured: &Measured, beta: f64, edge: EdgeShape, fence_within: Option<f64>) -> Uncertainty {
    let all = contributions(measured, beta, edge);
    let sum = |of: fn(&Contribution) -> f64| all.iter().map(|c| of(c).powi(2)).sum::<f64>();
    let made = fence_within.map_or(0.0, rectangular);
    let per_radian = fence_slope(measured, beta, edge);
    let angle = ((sum(Contribution::fence) + made * made).sqrt() / per_radian.abs()).to_degrees();
    let stated = !all.is_empty();
    Uncertainty {
        projection: stated.then(|| COVERAGE * sum(Contribution::projection).sqrt()),
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
