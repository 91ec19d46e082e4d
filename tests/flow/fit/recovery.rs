//! Random guides are recovered within their stated uncertainty as often as the fit's own Monte Carlo says.
//!
//! Each trial takes a random guide, computes exact pairs for it, spoils pairs and direct measurements by errors drawn
//! from their stated tolerances (rectangular), fits, and sees whether the true projection at an angle that was not
//! given lies within U. The Monte Carlo (JCGM 101:2008) draws other errors for the same trial, carries them through
//! the fit's own sensitivities (by differences of the exact pairs' fit), and counts how often they stay within the
//! same U. The two rates may differ by chance only.

use stopwright::fit::settings::{KnownSeat, Pair};
use stopwright::fit::{Settings, fit};
use stopwright::guide::Taken;
use stopwright::input::length::{Angle, Length};
use stopwright::terms::{Locates, SeatName};

const TRIALS: usize = 10_000;

/// A small generator (G. Marsaglia, "Xorshift RNGs", J. Stat. Softw. 8 (2003) 14), so that the draws never change.
struct Draws(u64);

impl Draws {
    /// Between 0 and 1.
    fn unit(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

/// A guide and what is known of it: the half-widths of all errors, pairs' projections, pairs' angles, D.
struct Trial {
    lengths: [f64; 3],
    thickness: f64,
    angles: Vec<f64>,
    withins: [f64; 3],
}

impl Trial {
    /// A trial of a guide that can be set to every angle drawn.
    fn draw(draws: &mut Draws) -> Self {
        loop {
            let trial = Self::any(draws);
            if trial.projection(45.0) > 2.0 {
                return trial;
            }
        }
    }

    fn any(draws: &mut Draws) -> Self {
        let count = 4 + (draws.unit() * 5.0) as usize;
        Self {
            lengths: [draws.between(14.0, 50.0), draws.between(4.0, 27.0), draws.between(0.0, 30.0)],
            thickness: draws.between(2.0, 4.5),
            angles: (0..count).map(|_| draws.between(18.0, 45.0)).collect(),
            withins: [draws.between(0.05, 0.3), draws.between(0.0, 0.2), 0.05],
        }
    }

    fn projection(&self, angle: f64) -> f64 {
        let [d, h, e] = self.lengths;
        let (sin, cos) = angle.to_radians().sin_cos();
        (0.5 * d + (h + self.thickness) * cos) / sin - e
    }

    fn errors(&self, draws: &mut Draws) -> Vec<f64> {
        let n = self.angles.len();
        let within = |i: usize| {
            self.withins[if i < n {
                0
            } else if i < 2 * n {
                1
            } else {
                2
            }]
        };
        (0..=2 * n).map(|i| within(i) * draws.between(-1.0, 1.0)).collect()
    }

    fn settings(&self, errors: &[f64]) -> Settings {
        let n = self.angles.len();
        let pair = |i: usize| Pair {
            seat: 0,
            thickness: Some(Length::exact(self.thickness)),
            taper: Angle::exact(0.0),
            land: None,
            land_taper: Angle::exact(0.0),
            level: Length::exact(0.0),
            angle: Angle { degrees: self.angles[i] + errors[n + i], within: Some(self.withins[1]) },
            projection: Length::within(self.projection(self.angles[i]) + errors[i], self.withins[0]),
        };
        let locates = Locates::Underside;
        Settings {
            name: "trial".into(),
            notes: None,
            units: Default::default(),
            instrument: None,
            diameter: Some(Length::within(self.lengths[0] + errors[2 * n], self.withins[2])),
            axle_to_face: None::<Taken>,
            seats: vec![KnownSeat {
                name: SeatName::Iron,
                locates,
                locates_stated: true,
                height: None,
                parallel: None,
            }],
            pairs: (0..n).map(pair).collect(),
            measured: Default::default(),
        }
    }

    /// Predicted projection and its U.
    fn predict(&self, errors: &[f64], angle: f64) -> (f64, f64) {
        let fitted = fit(&self.settings(errors), &[angle]).unwrap();
        let p = &fitted.predictions[0];
        (p.projection.clone().unwrap(), p.uncertainty)
    }

    /// How each error moves the prediction.
    fn sensitivities(&self, angle: f64) -> Vec<f64> {
        const STEP: f64 = 1e-4;
        let mut errors = vec![0.0; 2 * self.angles.len() + 1];
        (0..errors.len())
            .map(|i| {
                errors[i] = STEP;
                let up = self.predict(&errors, angle).0;
                errors[i] = -STEP;
                let down = self.predict(&errors, angle).0;
                errors[i] = 0.0;
                (up - down) / (2.0 * STEP)
            })
            .collect()
    }
}

#[test]
fn random_guides_are_recovered_as_often_as_stated() {
    let mut draws = Draws(0x5107_b10c);
    let (mut recovered, mut expected, mut shares) = (0, 0, 0.0);
    for _ in 0..TRIALS {
        let trial = Trial::draw(&mut draws);
        let angle = draws.between(20.0, 42.0);
        let (p, u) = trial.predict(&trial.errors(&mut draws), angle);
        let miss = p - trial.projection(angle);
        recovered += usize::from(miss.abs() <= u);
        shares += (miss / u).powi(2);
        let own: f64 = trial.sensitivities(angle).iter().zip(trial.errors(&mut draws)).map(|(c, e)| c * e).sum();
        expected += usize::from(own.abs() <= u);
    }
    let rate = |n: usize| n as f64 / TRIALS as f64;
    println!(
        "recovered {:.4}, own Monte Carlo {:.4}, mean square of miss/U {:.4}",
        rate(recovered),
        rate(expected),
        shares / TRIALS as f64
    );
    // Either count spreads by √(p(1 − p)/n) = 0.002; four standard deviations of their difference.
    assert!((rate(recovered) - rate(expected)).abs() < 0.012, "{} {}", rate(recovered), rate(expected));
    assert!(rate(recovered) > 0.94, "{}", rate(recovered));
    // U is two standard deviations: the mean square of miss/U is a quarter.
    assert!((shares / TRIALS as f64 - 0.25).abs() < 0.01, "{}", shares / TRIALS as f64);
}

/// Sound data are doubted less often than the stated risk; a gross error is found, and its pair named.
#[test]
fn gross_errors_are_found_and_sound_pairs_left_alone() {
    const TRIALS: usize = 2_000;
    let mut draws = Draws(0xa1de_21a9);
    let (mut alarms, mut found, mut wrong) = (0, 0, 0);
    for _ in 0..TRIALS {
        let mut trial = Trial::draw(&mut draws);
        // Eight pairs well apart, so that each is controlled by the others.
        trial.angles = (0..8).map(|i| 19.0 + 3.0 * f64::from(i)).collect();
        trial.withins[1] = 0.0;
        let mut errors = trial.errors(&mut draws);
        let sound = fit(&trial.settings(&errors), &[30.0]).unwrap();
        alarms += usize::from(sound.disagreement.pairs().next().is_some());
        let bad = 1 + (draws.unit() * 6.0) as usize;
        errors[bad] += 10.0 * trial.withins[0] / 3f64.sqrt() * if draws.unit() < 0.5 { -1.0 } else { 1.0 };
        let named: Vec<usize> = fit(&trial.settings(&errors), &[30.0]).unwrap().disagreement.pairs().collect();
        found += usize::from(named.contains(&bad));
        wrong += usize::from(!named.is_empty() && !named.contains(&bad));
    }
    let rate = |n: usize| n as f64 / TRIALS as f64;
    println!("alarms {:.4}, found {:.4}, others named {:.4}", rate(alarms), rate(found), rate(wrong));
    assert!(rate(alarms) < stopwright::fit::agree::RISK, "{}", rate(alarms));
    assert!(rate(found) > 0.99 && rate(wrong) < 0.01, "{} {}", rate(found), rate(wrong));
}
