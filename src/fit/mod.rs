//! A guide from known settings.
//!
//! 1. [`settings`] reads the file: pairs of angle and projection, and whatever was measured directly.
//! 2. [`model`] turns both into linear equations in the guide's lengths, [`blade`] finds the errors that pairs share.
//!    The angle relation is linear in the lengths,
//!
//!    ```text
//!    p = (D/2 + z)·csc α + H·cot α − e      H = h + t (underside), h (back), h + L/2 (sides)
//!    ```
//!
//!    with the unknowns D, one h a seat, and e; what was measured directly adds equations of its own
//!    (`D`, `h` or `M = h + D/2 (+ g)`, `e` or `N = e + D/2`). Each equation is weighted by its standard uncertainty
//!    u = w/√3 (JCGM 100:2008, 4.3.7). An angle's tolerance counts as effective variance
//!    `σ² = σp² + (dp/dβ)²·σβ²`, iterated (J. Orear, "Least squares when both variables have uncertainties",
//!    Am. J. Phys. 50 (1982) 912). Errors that pairs share (of one blade's thickness, taper or lands, of one roller
//!    level, of the caliper) are unknowns too, each with an equation saying that it is about zero.
//! 3. [`least_squares`] solves them by orthogonal factorisation, refined in extended precision ([`double`]).
//! 4. [`rank`] decides which lengths and which projections the equations determine at all.
//! 5. [`agree`] tests each equation against the rest.
//! 6. [`predict`] gives projections, and the further measurement that would help most.
//! 7. [`profile`] writes the guide profile, and [`guide`] takes a file of known settings for the guide itself.
//!
//! Over 20–40° the three columns are nearly collinear: single lengths are poorly determined where projections inside
//! and near the known range are well determined. Results say so, and predictions use the whole covariance. Where
//! the equations leave unknowns open, usual sizes ([`model::usual`]) stand in for them in the predictions alone, which
//! are then marked. Limits: 1 to 2000 pairs; the errors of at most [`blade::MOST_SHARED`] blades and levels are told
//! apart, those of further ones count as independent from pair to pair; the effective variance is of first order, good
//! for angle tolerances up to about a degree.

pub mod agree;
pub mod blade;
pub mod double;
pub mod guide;
pub mod least_squares;
pub mod model;
pub mod predict;
pub mod profile;
pub mod rank;
pub mod report;
pub mod settings;

pub use settings::Settings;

use nalgebra::{DMatrix, DVector};

use agree::{Disagreement, Found};
use least_squares::{Deficient, Refine, Solution};
use model::{Equation, Model, Source};
use predict::{Next, Prediction};
use rank::Determined;

/// A fitted guide: lengths in mm, angles in degrees.
#[derive(Debug, Clone)]
pub struct Fitted {
    /// The unknowns.
    pub model: Model,
    /// Value of each unknown; worth nothing where it is not determined.
    pub values: DVector<f64>,
    /// Covariance of the unknowns, mm² (radians for tapers); along open directions all but unknown.
    pub covariance: DMatrix<f64>,
    /// What the equations determine without usual sizes.
    pub determined: Determined,
    /// One entry a known pair, in their order.
    pub residuals: Vec<Residual>,
    /// What does not agree with the rest.
    pub disagreement: Disagreement,
    /// Sum of the squared standardised misfits, over what was kept.
    pub chi_square: f64,
    /// Equations less unknowns, usual sizes not counted.
    pub degrees_of_freedom: usize,
    /// Projections for the angles asked.
    pub predictions: Vec<Prediction>,
    /// The further measurement that would help most; `None` where there is nothing to predict.
    pub next: Option<Next>,
}

/// How far one known pair is from the fitted guide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Residual {
    /// Known less fitted projection, mm.
    pub residual: f64,
    /// Standard uncertainty the pair was weighted by, mm.
    pub sigma: f64,
    /// The residual over its own standard deviation; `None` where nothing else speaks about what the pair says.
    pub standardised: Option<f64>,
    /// Whether it agrees with the rest.
    pub agrees: bool,
}

/// Fits a guide to `settings` and predicts the projections for `angles` (degrees).
///
/// # Errors
/// [`Deficient`] should the equations be singular even with usual sizes, which sound settings never are.
pub fn fit(settings: &Settings, angles: &[f64]) -> Result<Fitted, Deficient> {
    let model = Model::new(settings);
    let most = settings.pairs.len() / agree::MOST_LEFT_OUT;
    let mut left_out = Vec::new();
    let (state, found) = loop {
        let state = State::settle(&model, settings, &left_out)?;
        let (found, further) = state.tested(most - left_out.len())?;
        if further.is_empty() {
            break (state, found);
        }
        left_out.extend(further);
    };
    let disagreement = found.disagreement(&left_out);
    let residuals = residuals(&model, settings, &state, &disagreement);
    let count = state.equations.len();
    let predictions = predict::all(&model, settings, &state, angles);
    Ok(Fitted {
        chi_square: state.alone.residuals.rows(0, count).norm_squared(),
        degrees_of_freedom: (count + state.determined.open).saturating_sub(model.unknowns.len()),
        next: predict::next(&model, settings, &state, &predictions),
        values: state.alone.x,
        covariance: state.alone.covariance,
        determined: state.determined,
        model,
        residuals,
        disagreement,
        predictions,
    })
}

/// The equations, weighted as the solution itself asks for, and their solutions. Residuals of a solution are in units
/// of each equation's standard uncertainty.
#[derive(Debug, Clone)]
pub struct State {
    /// The equations that count, without usual sizes.
    pub equations: Vec<Equation>,
    /// What they alone say; along open directions it is arbitrary and all but unknown.
    pub alone: Solution,
    /// What they say together with usual sizes, where they leave directions open.
    pub assisted: Option<Solution>,
    /// What they determine.
    pub determined: Determined,
    /// Usual sizes so wide that they only keep the equations solvable: nothing they touch passes for known.
    wide: Vec<Equation>,
}

impl State {
    /// Iterates the effective variance until the weights stand still.
    fn settle(model: &Model, settings: &Settings, left_out: &[usize]) -> Result<Self, Deficient> {
        // Slopes inside the known range hardly depend on which lengths give them, so a few rounds do.
        const ROUNDS: usize = 30;
        const STILL: f64 = 1e-10;
        const WIDE: f64 = 1e4;
        let mut equations = model.equations(settings, &model.usual_values(), left_out);
        let determined = Determined::by_equations(model, &equations);
        let usual = if determined.open > 0 { model.usual_equations(settings) } else { Vec::new() };
        let rounds = if model.has_slopes(settings) { ROUNDS } else { 0 };
        for _ in 0..rounds {
            let at = model.plausible(settings, &weighted(&equations, &usual, Refine::No)?.x);
            let next = model.equations(settings, &at, left_out);
            let moved = equations.iter().zip(&next).map(|(a, b)| (a.sigma / b.sigma - 1.0).abs()).fold(0.0, f64::max);
            equations = next;
            if moved < STILL {
                break;
            }
        }
        let wide: Vec<Equation> = usual.iter().map(|e| Equation { sigma: e.sigma * WIDE, ..e.clone() }).collect();
        let alone = weighted(&equations, &wide, Refine::Fully)?;
        let assisted = (determined.open > 0).then(|| weighted(&equations, &usual, Refine::Fully)).transpose()?;
        Ok(Self { equations, alone, assisted, determined, wide })
    }

    /// What the test finds, and the pairs that are to be left out then, one after the other and at most so many. Weights
    /// stand meanwhile, as they hardly depend on which of many pairs count; so does what is determined, as a pair goes
    /// only where others speak about the same.
    fn tested(&self, most: usize) -> Result<(Found, Vec<usize>), Deficient> {
        let found = agree::test(&self.equations, &self.alone);
        let (mut kept, mut worst, mut left_out) = (self.equations.clone(), found.leave_out, Vec::new());
        while let Some(pair) = worst.filter(|_| left_out.len() < most) {
            left_out.push(pair);
            kept.retain(|equation| equation.source != Source::Pair(pair));
            worst = agree::test(&kept, &weighted(&kept, &self.wide, Refine::No)?).leave_out;
        }
        Ok((found, left_out))
    }

    /// The solution that speaks about everything.
    pub fn best(&self) -> &Solution {
        self.assisted.as_ref().unwrap_or(&self.alone)
    }

    /// The solution to take `gradient · unknowns` from.
    pub fn solution_for(&self, gradient: &[f64]) -> &Solution {
        if self.determined.holds(gradient) { &self.alone } else { self.best() }
    }
}

/// Solves the equations and `more` of them, each divided by its standard uncertainty.
fn weighted(equations: &[Equation], more: &[Equation], refine: Refine) -> Result<Solution, Deficient> {
    let columns = equations.first().map_or(0, |e| e.coefficients.len());
    let all: Vec<&Equation> = equations.iter().chain(more).collect();
    let a = DMatrix::from_fn(all.len(), columns, |i, j| all[i].coefficients[j] / all[i].sigma);
    let b = DVector::from_iterator(all.len(), all.iter().map(|e| e.value / e.sigma));
    least_squares::solve(&a, &b, refine)
}

fn residuals(model: &Model, settings: &Settings, state: &State, disagreement: &Disagreement) -> Vec<Residual> {
    let solution = &state.alone;
    let all = model.equations(settings, &state.best().x, &[]);
    let mut out = Vec::with_capacity(settings.pairs.len());
    let mut kept = vec![None; settings.pairs.len()];
    for (i, equation) in state.equations.iter().enumerate() {
        if let Source::Pair(pair) = equation.source {
            kept[pair] = Some(i);
        }
    }
    let mut agree = vec![true; settings.pairs.len()];
    disagreement.pairs().for_each(|pair| agree[pair] = false);
    for equation in &all {
        let Source::Pair(pair) = equation.source else { continue };
        let (kept, agrees) = (kept[pair], agree[pair]);
        let row = DVector::from_column_slice(&equation.coefficients);
        let residual = equation.value - row.dot(&solution.x);
        let standardised = match kept {
            Some(i) => agree::standardised(solution, i),
            None => {
                let spread = equation.sigma.powi(2) + solution.variance(&row);
                Some(residual / spread.sqrt())
            }
        };
        out.push(Residual { residual, sigma: equation.sigma, standardised, agrees });
    }
    out
}
