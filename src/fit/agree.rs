//! Which pairs and measurements do not agree with the rest.
//!
//! Data snooping after W. Baarda, *A testing procedure for use in geodetic networks* (Netherlands Geodetic Commission,
//! 1968): each residual over its own standard deviation, `w = v / (σ·√(1 − leverage))`, is standard normal where the
//! stated tolerances hold, σ being known and not estimated from the scatter. The largest is compared with the two-sided
//! quantile for a risk of 5 % over all of them together (Bonferroni: 5 % / count for each). The pair that exceeds it
//! most is left out, and the rest tested anew. Errors bounded by a tolerance stay further inside than normal ones, so
//! that the risk of a false alarm is less than stated.
//!
//! Where leaving out some other equation would clear the worst one just as well, the two cannot be told apart: then all
//! such are named and none is left out. With one equation more than unknowns that is always so.

use statrs::distribution::{ContinuousCDF, Normal};

use super::least_squares::Solution;
use super::model::{Equation, Source};

/// Risk that sound data have any alarm at all.
pub const RISK: f64 = 0.05;

/// One pair in so many may be left out. Where more do not agree, something is wrong with all of them, and leaving out
/// until the rest agrees would only pick those that happen to.
pub const MOST_LEFT_OUT: usize = 4;

/// Leverage that leaves nothing to compare an equation with.
const ALONE: f64 = 1.0 - 1e-9;

/// What does not agree.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Disagreement {
    /// Pairs that were left out, by their place, the worst first.
    pub left_out: Vec<usize>,
    /// Equations one of which is wrong, without saying which.
    pub among: Vec<Source>,
    /// The quantile that `|w|` was compared with.
    pub critical: f64,
}

impl Disagreement {
    /// All pairs that do not agree or may be the ones that do not.
    pub fn pairs(&self) -> impl Iterator<Item = usize> {
        let among = self.among.iter().filter_map(|s| if let Source::Pair(i) = s { Some(*i) } else { None });
        self.left_out.iter().copied().chain(among)
    }
}

/// What one round of the test found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The pair that is to be left out.
    pub leave_out: Option<usize>,
    among: Vec<Source>,
    critical: f64,
}

impl Found {
    /// Together with what was left out before; what could not be left out any more is doubted.
    pub fn disagreement(self, left_out: &[usize]) -> Disagreement {
        let among = self.among.into_iter().chain(self.leave_out.map(Source::Pair)).collect();
        Disagreement { left_out: left_out.to_vec(), among, critical: self.critical }
    }
}

/// `w` of equation `i`; `None` where nothing else speaks about what it says.
pub fn standardised(solution: &Solution, i: usize) -> Option<f64> {
    let leverage = solution.basis.row(i).norm_squared();
    (leverage < ALONE).then(|| solution.residuals[i] / (1.0 - leverage).sqrt())
}

/// Tests equations by their solution.
pub fn test(equations: &[Equation], solution: &Solution) -> Found {
    let named = |e: &Equation| matches!(e.source, Source::Pair(_) | Source::Measured(_));
    let tested: Vec<(usize, f64)> = (0..equations.len())
        .filter(|&i| named(&equations[i]))
        .filter_map(|i| Some((i, standardised(solution, i)?)))
        .collect();
    let critical = quantile(RISK / tested.len().max(1) as f64);
    let none = Found { leave_out: None, among: Vec::new(), critical };
    let Some(&(worst, w)) = tested.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs())) else { return none };
    if w.abs() <= critical {
        return none;
    }
    let mut alike: Vec<usize> =
        tested.iter().filter(|t| clears(solution, **t, (worst, w), critical)).map(|t| t.0).collect();
    alike.sort_unstable();
    match (&equations[worst].source, alike.len()) {
        (Source::Pair(pair), 1) => Found { leave_out: Some(*pair), ..none },
        _ => Found { among: alike.iter().map(|&i| equations[i].source.clone()).collect(), ..none },
    }
}

/// Whether leaving out `other` alone would clear `worst`. Two residuals are correlated by ρ, so that without the other
/// equation the test of the worst is `(w − ρ·w')/√(1 − ρ²)`.
fn clears(solution: &Solution, other: (usize, f64), worst: (usize, f64), critical: f64) -> bool {
    if worst.0 == other.0 {
        return true;
    }
    let (a, b) = (solution.basis.row(worst.0), solution.basis.row(other.0));
    let spread = ((1.0 - a.norm_squared()) * (1.0 - b.norm_squared())).sqrt();
    let correlation = (-a.dot(&b) / spread).clamp(-1.0, 1.0);
    let rest = worst.1 - correlation * other.1;
    // Rounding keeps a full correlation from being exactly one.
    const ROUNDING: f64 = 1e-6;
    rest.abs() <= critical * (1.0 - correlation * correlation).sqrt() + ROUNDING * worst.1.abs()
}

/// The size that a standard normal variable exceeds with the probability `risk`, either way.
pub fn quantile(risk: f64) -> f64 {
    -Normal::standard().inverse_cdf(risk / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_the_normal_distribution() {
        // The two-sided 5 % and 0.27 % points: 1.959964 and 3 (the usual tables).
        assert!((quantile(0.05) - 1.959_963_985).abs() < 1e-8);
        assert!((quantile(0.002_699_796) - 3.0).abs() < 1e-6);
    }
}
