//! Projections of the fitted guide, and the further measurement that would help most.

use nalgebra::DVector;

use super::State;
use super::blade::Blade;
use super::model::{Equation, Model, Source};
use super::settings::Settings;
use crate::input::length::rectangular;
use crate::solve::NoSetting;
use crate::solve::projection::{self, projection_checked};
use crate::solve::uncertainty::COVERAGE;

/// Most blades of one seat that projections are given for, in the order of their first pair.
pub const MOST_BLADES: usize = 8;

/// How well a length that is yet to be measured is taken to come out, ± mm: a caliper's reading over rounded edges.
pub const DIRECT_WITHIN: f64 = 0.05;

/// Bevel angles at which one further known pair is tried, degrees.
const TRIED: [f64; 7] = [15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0];

/// A predicted projection.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The blade it is for.
    pub blade: Blade,
    /// Bevel angle, degrees.
    pub angle: f64,
    /// Projection, mm, or why there is none.
    pub projection: Result<f64, NoSetting>,
    /// Expanded uncertainty (k = 2) of the projection, mm.
    pub uncertainty: f64,
    /// Whether the pairs and measurements determine it without usual sizes.
    pub determined: bool,
    /// Whether it lies within the angles of the seat's known pairs.
    pub inside: bool,
}

/// A measurement that was not made yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Candidate {
    /// A length of the guide (its column), directly.
    Length(usize),
    /// A known pair with a blade (its place in the model) at an angle, degrees.
    Pair(usize, f64),
}

/// What one further measurement would do: largest and mean uncertainty (k = 2) of the predictions, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// The measurement.
    pub candidate: Candidate,
    /// How well it is taken to come out, ± mm.
    pub within: f64,
    /// Largest uncertainty after it.
    pub largest: f64,
    /// Mean uncertainty after it.
    pub mean: f64,
}

/// The further measurement that helps most, and the others.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// Largest uncertainty (k = 2) of the predictions now, mm.
    pub largest: f64,
    /// Mean uncertainty now, mm.
    pub mean: f64,
    /// All that were tried, the most helpful first; the best of each kind of pair only.
    pub gains: Vec<Gain>,
}

/// The blades predictions are given for.
pub fn blades(model: &Model) -> Vec<usize> {
    let mut count = vec![0; model.seats.len()];
    let mut wanted = |i: &usize| {
        let seat = model.blades[*i].seat;
        count[seat] += 1;
        count[seat] <= MOST_BLADES
    };
    (0..model.blades.len()).filter(|i| wanted(i)).collect()
}

/// Projections for all `angles`, blade by blade.
pub fn all(model: &Model, settings: &Settings, state: &State, angles: &[f64]) -> Vec<Prediction> {
    let known: Vec<[f64; 2]> = (0..model.seats.len())
        .map(|seat| {
            let angles = settings.pairs.iter().filter(|p| p.seat == seat).map(|p| p.angle.degrees);
            angles.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], a| [low.min(a), high.max(a)])
        })
        .collect();
    let prediction = |(blade, angle): (usize, f64)| {
        let blade = model.blades[blade];
        let (gradient, rest) = model.gradient(&blade, angle.to_radians(), &state.best().x);
        let solution = state.solution_for(&gradient);
        let [low, high] = known[blade.seat];
        Prediction {
            blade,
            angle,
            projection: projection_checked(&model.section(&blade, &solution.x), angle),
            uncertainty: COVERAGE * (solution.variance(&DVector::from_column_slice(&gradient)) + rest).sqrt(),
            determined: state.determined.holds(&gradient),
            inside: (low..=high).contains(&angle),
        }
    };
    let wanted = blades(model);
    wanted.iter().flat_map(|&b| angles.iter().map(move |&a| (b, a))).map(prediction).collect()
}

/// What each candidate would do to the predictions; `None` where nothing is predicted.
///
/// A further equation c·x = y of standard uncertainty s takes `(gᵀCc)² / (s² + cᵀCc)` off the variance of g·x
/// (the update of a covariance by one observation), whatever it reads.
pub fn next(model: &Model, settings: &Settings, state: &State, predictions: &[Prediction]) -> Option<Next> {
    let x = &state.best().x;
    let targets: Vec<(DVector<f64>, f64)> = predictions
        .iter()
        .map(|p| {
            let (gradient, rest) = model.gradient(&p.blade, p.angle.to_radians(), x);
            (DVector::from_vec(gradient), rest)
        })
        .collect();
    if targets.is_empty() {
        return None;
    }
    let now: Vec<f64> = targets.iter().map(|(g, rest)| state.best().variance(g) + rest).collect();
    // In the basis where errors are independent and of unit size, nothing cancels.
    let root = &state.best().root;
    let targets: Vec<DVector<f64>> = targets.iter().map(|(g, _)| root.tr_mul(g)).collect();
    let gain = |candidate: Candidate, equation: &Equation, within: f64| {
        let along = root.tr_mul(&DVector::from_column_slice(&equation.coefficients));
        let own = equation.sigma.powi(2) + along.norm_squared();
        let after = targets.iter().zip(&now).map(|(g, v)| v - g.dot(&along).powi(2) / own);
        let [largest, mean] = expanded(after);
        Gain { candidate, within, largest, mean }
    };
    let mut gains: Vec<Gain> = (0..model.lengths)
        .map(|column| {
            let equation = model.equation(&[(column, 1.0)], 0.0, rectangular(DIRECT_WITHIN), Source::Shared);
            gain(Candidate::Length(column), &equation, DIRECT_WITHIN)
        })
        .collect();
    gains.extend(blades(model).into_iter().filter_map(|blade| {
        let within = usual_within(model, settings, blade);
        let tried = TRIED.iter().filter_map(|&angle| {
            let (coefficients, rest) = model.gradient(&model.blades[blade], angle.to_radians(), x);
            let section = model.section(&model.blades[blade], x);
            // Only settings that the guide can be put to.
            projection_checked(&section, angle).ok().filter(|p| *p < projection_limit(&section))?;
            let sigma = (rectangular(within).powi(2) + rest).sqrt();
            let equation = Equation { coefficients, value: 0.0, sigma, source: Source::Shared };
            Some(gain(Candidate::Pair(blade, angle), &equation, within))
        });
        tried.min_by(better)
    }));
    gains.sort_by(better);
    let [largest, mean] = expanded(now.iter().copied());
    Some(Next { largest, mean, gains })
}

/// Longest projection that a further pair is advised at, mm: three times that at 30°, longer ones are hardly handled.
fn projection_limit(section: &crate::solve::section::Section<f64>) -> f64 {
    3.0 * projection::projection(section, 30f64.to_radians())
}

/// The tolerance most pairs of a blade have.
fn usual_within(model: &Model, settings: &Settings, blade: usize) -> f64 {
    let of_blade = settings.pairs.iter().zip(&model.blade_of).filter(|(_, b)| **b == blade);
    let mut all: Vec<f64> = of_blade.map(|(p, _)| p.projection.within.unwrap_or(0.0)).collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied().unwrap_or(0.0).max(DIRECT_WITHIN)
}

fn better(a: &Gain, b: &Gain) -> std::cmp::Ordering {
    a.largest.total_cmp(&b.largest).then(a.mean.total_cmp(&b.mean))
}

/// Largest and mean expanded uncertainty of some variances.
fn expanded(variances: impl Iterator<Item = f64>) -> [f64; 2] {
    let (mut largest, mut sum, mut count) = (0f64, 0.0, 0.0);
    for variance in variances {
        let u = COVERAGE * variance.max(0.0).sqrt();
        largest = largest.max(u);
        sum += u;
        count += 1.0;
    }
    [largest, sum / f64::max(count, 1.0)]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn largest_and_mean_are_of_the_expanded_uncertainties() {
        assert_eq!(expanded([4.0, 1.0, 0.25].into_iter()), [4.0, 7.0 / 3.0]);
        // What rounding leaves below nothing is nothing; of none there is none.
        assert_eq!(expanded([-1e-18].into_iter()), [0.0; 2]);
        assert_eq!(expanded(std::iter::empty()), [0.0; 2]);
    }
}
