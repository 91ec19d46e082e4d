//! Trials by Monte Carlo (JCGM 101:2008): draws every measured quantity from its rectangle and sees what comes out.
//!
//! The test of the first-order propagation, and, where a user asks, a 95 % interval of its own. Draws are seeded and
//! come out the same on every machine and with any number of threads.

use super::contact::{self, EdgeShape};
use super::measured::Measured;
use super::projection;
use crate::cores;

/// What the trials gave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub deviation: f64,
    /// 2.5 % and 97.5 % quantiles: the shortest way to a 95 % interval, symmetric in probability (JCGM 101, 7.7).
    pub interval: [f64; 2],
}

/// Draws in one seeded run; a fixed number, so that the runs do not depend on the threads.
const RUN: usize = 1 << 14;

/// Tries the projection, mm, that sets `beta` (radians): where the uncertainty of [`super::uncertainty`] comes from
/// guide, blade and roller level.
pub fn projection(measured: &Measured, beta: f64, draws: usize, seed: u64) -> Trial {
    trial(measured, 0.0, draws, seed, |section, _| projection::projection(section, beta))
}

/// Tries the bevel angle, degrees, that a fence at `fence` mm sets when it is made within ± `fence_within` mm.
/// A draw that sets no angle counts as the mean of none and is left out.
pub fn angle(measured: &Measured, fence: f64, fence_within: f64, edge: EdgeShape, draws: usize, seed: u64) -> Trial {
    trial(measured, fence_within, draws, seed, |section, off| {
        let p = contact::projection_of_fence(section, fence + off, edge);
        p.and_then(|p| projection::angle(section, p)).unwrap_or(f64::NAN)
    })
}

fn trial(
    measured: &Measured,
    fence_within: f64,
    draws: usize,
    seed: u64,
    outcome: impl Fn(&super::section::Section<f64>, f64) -> f64 + Sync,
) -> Trial {
    let values = measured.values();
    let withins = measured.withins().map(|w| w.unwrap_or(0.0));
    let run = |index: usize, count: usize| -> Vec<f64> {
        let mut random = fastrand::Rng::with_seed(seed ^ (index as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15));
        let mut draw = |within: f64| (2.0 * random.f64() - 1.0) * within;
        (0..count)
            .map(|_| {
                let mut x = values;
                for (x, within) in x.iter_mut().zip(withins) {
                    if within > 0.0 {
                        *x += draw(within);
                    }
                }
                outcome(&measured.section(&x), draw(fence_within))
            })
            .filter(|v| v.is_finite())
            .collect()
    };
    let runs: Vec<usize> = (0..draws.div_ceil(RUN)).collect();
    let mut all = cores::each(&runs, 1, |i| run(*i, RUN.min(draws - i * RUN))).concat();
    summary(&mut all)
}

fn summary(all: &mut [f64]) -> Trial {
    let n = all.len() as f64;
    let mean = all.iter().sum::<f64>() / n;
    let deviation = (all.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    let mut quantile = |q: f64| {
        let at = ((all.len() as f64 * q) as usize).min(all.len().saturating_sub(1));
        if all.is_empty() { f64::NAN } else { *all.select_nth_unstable_by(at, f64::total_cmp).1 }
    };
    Trial { mean, deviation, interval: [quantile(0.025), quantile(0.975)] }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_summary_has_the_mean_the_deviation_of_a_sample_and_the_middle_of_it() {
        let mut all: Vec<f64> = (1..=40).rev().map(f64::from).collect();
        let Trial { mean, deviation, interval } = summary(&mut all);
        // The variance of a sample of 1 to n is n (n + 1) / 12.
        assert_eq!((mean, interval), (20.5, [2.0, 40.0]));
        approx::assert_relative_eq!(deviation, (40.0_f64 * 41.0 / 12.0).sqrt());
    }
}
