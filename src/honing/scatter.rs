//! How far settings made again lie from one another, and what that does to the coverage factor.
//!
//! The standard deviation s of n settings measured on the plate is a type A evaluation (JCGM 100:2008, 4.2) with n − 1
//! degrees of freedom. The next single setting has s itself, not s/√n. The effective degrees of freedom of a combined
//! uncertainty follow from the Welch–Satterthwaite formula (G.4.1), and k from Student's distribution (G.3) at 95.45 %, at
//! which k = 2 for infinitely many degrees.

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::solve::uncertainty::COVERAGE;

/// Probability that a normal distribution has within ± 2 standard deviations.
const LEVEL: f64 = 0.954_499_736_103_642;

/// What settings made again showed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scatter {
    /// Standard deviation of one setting, degrees.
    pub s: f64,
    /// Its degrees of freedom: one less than the number of settings, added over lanes.
    pub freedom: f64,
}

impl Scatter {
    /// The pooled standard deviation of groups of settings, each of one lane; `None` where none has two.
    pub fn of(groups: &[Vec<f64>]) -> Option<Self> {
        let squares = |group: &Vec<f64>| {
            let mean = mean(group);
            group.iter().map(|x| (x - mean).powi(2)).sum::<f64>()
        };
        let freedom: usize = groups.iter().map(|g| g.len().saturating_sub(1)).sum();
        let freedom = (freedom > 0).then_some(freedom as f64)?;
        Some(Self { s: (groups.iter().map(squares).sum::<f64>() / freedom).sqrt(), freedom })
    }
}

/// The mean of some settings, degrees.
pub fn mean(settings: &[f64]) -> f64 {
    settings.iter().sum::<f64>() / settings.len() as f64
}

/// A combined uncertainty and the factor it is expanded with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expanded {
    /// Combined standard uncertainty, degrees.
    pub standard: f64,
    /// Effective degrees of freedom; infinite where nothing was evaluated from a few readings.
    pub freedom: f64,
    /// Coverage factor.
    pub k: f64,
}

impl Expanded {
    /// Combines standard uncertainties, degrees, each with its degrees of freedom.
    pub fn of(parts: impl IntoIterator<Item = (f64, f64)>) -> Self {
        let (mut variance, mut by_freedom) = (0.0, 0.0);
        for (u, freedom) in parts {
            variance += u * u;
            by_freedom += u.powi(4) / freedom;
        }
        let freedom = if by_freedom > 0.0 { variance * variance / by_freedom } else { f64::INFINITY };
        Self { standard: variance.sqrt(), freedom, k: coverage(freedom) }
    }

    /// Expanded uncertainty, degrees.
    pub fn expanded(&self) -> f64 {
        self.k * self.standard
    }
}

/// Degrees of freedom from which Student's distribution is near enough to the normal one for a series in their inverse:
/// its first term left out is below 1e-11. Far above, what finds the exact factor does not end.
const MANY: f64 = 200.0;

/// Terms of that series at ± 2 standard deviations, from the first power of the inverse on (M. Abramowitz and I. A. Stegun,
/// *Handbook of Mathematical Functions*, 26.7.5; from memory).
const SERIES: [f64; 4] = [10.0 / 4.0, 294.0 / 96.0, 1098.0 / 384.0, 169_950.0 / 92_160.0];

/// The coverage factor for so many effective degrees of freedom, at 95.45 %.
pub fn coverage(freedom: f64) -> f64 {
    if freedom > MANY {
        let inverse = 1.0 / freedom;
        return COVERAGE + SERIES.iter().rev().fold(0.0, |sum, term| (sum + term) * inverse);
    }
    let student = StudentsT::new(0.0, 1.0, freedom).ok();
    student.map_or(COVERAGE, |t| t.inverse_cdf((1.0 + LEVEL) / 2.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// JCGM 100:2008, table G.2, the column of 95.45 % (from memory).
    #[test]
    fn coverage_is_that_of_the_guides_table() {
        for (freedom, t) in [(1.0, 13.97), (2.0, 4.53), (4.0, 2.87), (10.0, 2.28), (20.0, 2.13), (50.0, 2.05)] {
            assert_abs_diff_eq!(coverage(freedom), t, epsilon = 5e-3);
        }
        assert_abs_diff_eq!(coverage(f64::INFINITY), 2.0, epsilon = 1e-12);
    }

    /// Readings that hardly scatter beside a coarse instrument have millions of degrees of freedom and more, with which the
    /// search for a factor never ended.
    #[test]
    fn coverage_of_many_degrees_of_freedom_falls_to_two() {
        let student = |freedom: f64| StudentsT::new(0.0, 1.0, freedom).expect("a distribution");
        for freedom in [MANY * 1.000_001, 300.0, 1_000.0, 20_000.0] {
            let exact = student(freedom).inverse_cdf((1.0 + LEVEL) / 2.0);
            assert_abs_diff_eq!(coverage(freedom), exact, epsilon = 1e-9);
        }
        for power in 5..300 {
            let freedom = 10f64.powi(power);
            assert_abs_diff_eq!(coverage(freedom), 2.0 + 2.5 / freedom, epsilon = 1e-9);
        }
    }

    /// JCGM 100:2008, H.1.6, the end gauge: 32 nm of 25 (18), 9.7 (25.6), 2.9 (50) and 16.6 nm (2 degrees of freedom) have
    /// 16.7 effective degrees (from memory).
    #[test]
    fn effective_degrees_are_those_of_the_end_gauge() {
        let all = Expanded::of([(25.0, 18.0), (9.7, 25.6), (2.9, 50.0), (16.6, 2.0)]);
        assert_abs_diff_eq!(all.standard, 31.7, epsilon = 0.3);
        assert_abs_diff_eq!(all.freedom, 16.7, epsilon = 0.3);
    }

    /// A single setting has s, not s/√5, with four degrees of freedom.
    #[test]
    fn five_settings_of_one_lane() {
        let found = Scatter::of(&[vec![30.0, 30.1, 29.9, 30.2, 29.8]]).expect("more than one");
        assert_abs_diff_eq!(found.s, 0.025f64.sqrt(), epsilon = 1e-12);
        assert_eq!(found.freedom, 4.0);
        assert_eq!(Scatter::of(&[vec![30.0], vec![25.0]]), None);
        let pooled = Scatter::of(&[vec![30.0, 30.2], vec![25.0, 25.2]]).expect("more than one");
        assert_abs_diff_eq!(pooled.s, 0.02f64.sqrt(), epsilon = 1e-12);
        assert_eq!(pooled.freedom, 2.0);
    }
}
