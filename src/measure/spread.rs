//! One length of several readings, and how well it is known.
//!
//! The value is the mean of the n readings. Its standard uncertainty is s/√n, with s the experimental standard
//! deviation (JCGM 100:2008, 4.2.1 to 4.2.3). A profile states tolerances as half-widths w of a rectangle, whose
//! standard uncertainty is w/√3 (4.3.7); the half-width of equal uncertainty is `w = √3·s/√n`. A scale's step δ allows
//! no less than δ/2 (the rectangle of F.2.2.1), however alike the readings are; a single reading has just that.
//!
//! Limits: s of two or three readings is itself uncertain by 76 % or 52 % (table E.1), and one reading shows no scatter
//! at all. What the caliper gets wrong every time is not seen in readings; it is the profile's `instrument`.

use crate::units::{MM_PER_INCH, Units};

/// Readings further apart than this are not of one place, or one has a slip in it, mm.
pub const LARGEST_SPREAD: f64 = 1.0;

/// Mean and half-width of the tolerance, mm, of `readings` with a scale whose half step is `half_step`.
///
/// No readings give a mean that is not a number.
pub fn combine(readings: &[f64], half_step: f64) -> (f64, f64) {
    let n = readings.len() as f64;
    let mean = readings.iter().sum::<f64>() / n;
    if readings.len() < 2 {
        return (mean, half_step);
    }
    let squares: f64 = readings.iter().map(|x| (x - mean).powi(2)).sum();
    let s = (squares / (n - 1.0)).sqrt();
    (mean, (3f64.sqrt() * s / n.sqrt()).max(half_step))
}

/// Half the step that a reading as written shows, mm: of the last decimal place; of a fraction, half of 1/64 in, since
/// a reduced fraction does not tell what it was read to (a finer denominator counts as written).
pub fn half_step_as_written(number: &str, units: Units) -> f64 {
    let denominator =
        number.split_once('/').map(|(_, d)| d.chars().take_while(char::is_ascii_digit).collect::<String>());
    if let Some(denominator) = denominator {
        let parts = denominator.parse::<f64>().unwrap_or(64.0);
        return match units {
            Units::Inch => MM_PER_INCH / parts.max(64.0) / 2.0,
            Units::Mm => 0.5 / parts.max(1.0),
        };
    }
    let places = number.split_once('.').map_or(0, |(_, d)| d.chars().take_while(char::is_ascii_digit).count());
    0.5 * 0.1f64.powi(places.min(12) as i32) * units.mm()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mean_and_half_width_of_readings() {
        // s of 1, 2, 3 is 1 (hundredths here), u = s/√3, and √3 times that is s again.
        let (mean, within) = combine(&[19.01, 19.02, 19.03], 0.005);
        assert!((mean - 19.02).abs() < 1e-12 && (within - 0.01).abs() < 1e-12);
        // Two readings: s = R/√2, s/√2 = R/2.
        let (_, within) = combine(&[19.0, 19.1], 0.005);
        assert!((within - 3f64.sqrt() * 0.05).abs() < 1e-12);
        assert_eq!(combine(&[19.02; 5], 0.005).1, 0.005, "never below half a step");
        assert_eq!(combine(&[19.02], 0.25), (19.02, 0.25));
    }

    /// JCGM 100:2008, 4.4.3, table 1 and figure 2: twenty temperatures, s = 1.489 °C, s/√20 = 0.333 °C.
    #[test]
    fn the_guides_own_example() {
        let t = [
            96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95,
            101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
        ];
        let (mean, within) = combine(&t, 0.0);
        assert!((mean - 100.145).abs() < 5e-4, "{mean}");
        assert!((within / 3f64.sqrt() - 0.333).abs() < 5e-4, "{within}");
    }

    #[test]
    fn the_step_is_read_off_the_writing() {
        assert!((half_step_as_written("19.02", Units::Mm) - 0.005).abs() < 1e-12);
        assert!((half_step_as_written("19", Units::Mm) - 0.5).abs() < 1e-12);
        assert!((half_step_as_written("0.750", Units::Inch) - 0.0127).abs() < 1e-12);
        assert!((half_step_as_written("1 3/8", Units::Inch) - 25.4 / 128.0).abs() < 1e-12);
        assert!((half_step_as_written("97/128", Units::Inch) - 25.4 / 256.0).abs() < 1e-12);
    }
}
