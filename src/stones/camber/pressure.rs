//! Where the pressure of a finger on a blade's edge goes.

/// Where the pressure of a finger goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kernel {
    /// A stiff, straight edge on a stone that gives evenly, as the ground gives under a footing: with the finger in the
    /// middle third, pressure runs straight from corner to corner; further out one side lifts off, and the rest is a
    /// triangle, three times as long as the finger's middle is from the corner (statics; any handbook's eccentric load
    /// on a base without tension).
    Stiff,
    /// Near the finger: a bell curve whose variance is that of the finger's width and of a spread.
    Local {
        /// Standard deviation of what is beyond the finger's width, mm.
        spread: f64,
    },
}

impl Kernel {
    /// Pressure at `x` of a finger at `at`, both mm from the middle of an edge `width` mm wide, in units of an evenly
    /// pressed edge's: over the edge its mean is 1.
    pub fn pressure(self, width: f64, finger: f64, x: f64, at: f64) -> f64 {
        let half = width / 2.0;
        match self {
            Kernel::Stiff if at.abs() <= width / 6.0 => 1.0 + 12.0 * at * x / (width * width),
            Kernel::Stiff => {
                let length = 3.0 * (half - at.abs());
                let from_corner = half - x * at.signum();
                2.0 * width / length * (1.0 - from_corner / length).max(0.0)
            }
            Kernel::Local { spread } => {
                let sigma = (finger * finger / 12.0 + spread * spread).sqrt();
                let root = sigma * std::f64::consts::SQRT_2;
                let on_blade = 0.5 * (libm::erf((half - at) / root) + libm::erf((half + at) / root));
                let bell = libm::exp(-((x - at) / root).powi(2)) / (root * std::f64::consts::PI.sqrt());
                width * bell / on_blade
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A finger presses as much as it presses, wherever it is; a stiff edge also balances under it.
    #[test]
    fn pressure_is_one_on_the_mean_and_never_negative() {
        for kernel in [Kernel::Stiff, Kernel::Local { spread: 4.0 }] {
            for at in [-17.5, -8.5, 0.0, 3.0, 8.6, 17.5] {
                let x = |i: i32| -25.5 + 51.0 * (f64::from(i) + 0.5) / 20_000.0;
                let all: Vec<(f64, f64)> = (0..20_000).map(|i| (x(i), kernel.pressure(51.0, 16.0, x(i), at))).collect();
                assert!(all.iter().all(|(_, p)| *p >= 0.0), "{kernel:?} {at}");
                let mean = all.iter().map(|(_, p)| p).sum::<f64>() / 20_000.0;
                assert!((mean - 1.0).abs() < 1e-6, "{kernel:?} {at}: {mean}");
                let moment = all.iter().map(|(x, p)| x * p).sum::<f64>() / 20_000.0;
                assert!(kernel != Kernel::Stiff || (moment - at).abs() < 1e-5, "{at}: {moment}");
            }
        }
    }
}
