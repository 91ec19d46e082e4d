//! The moisture that wood takes on in a given air.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Temperatures that are taken, °C: a shop's, within those of the handbook's table 4-2 (from −1.1 °C).
pub const TEMPERATURE: [f64; 2] = [-1.0, 60.0];
/// Relative humidities that are taken, %: those of the handbook's table 4-2.
pub const HUMIDITY: [f64; 2] = [5.0, 95.0];

/// The air of a shop.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Climate {
    /// Temperature, °C.
    #[schemars(range(min = -1, max = 60))]
    pub temperature: f64,
    /// Relative humidity, %.
    #[schemars(range(min = 5, max = 95))]
    pub humidity: f64,
}

/// An air for which no moisture can be told.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoMoisture {
    /// Too cold or too warm.
    #[error("{0} °C is outside {low} to {high} °C", low = TEMPERATURE[0], high = TEMPERATURE[1])]
    Temperature(f64),
    /// Too dry or too damp.
    #[error("{0} % relative humidity is outside {low} to {high} %", low = HUMIDITY[0], high = HUMIDITY[1])]
    Humidity(f64),
}

impl Climate {
    /// Equilibrium moisture content of solid wood left in this air, %: the handbook's eq. 4-5, which is for wood of any
    /// species. Panels take on less: MDF about half of the change (European MDF industry: 5 % more from 35 to 85 %
    /// humidity, where this gives 11 %).
    ///
    /// # Errors
    /// [`NoMoisture`] outside [`TEMPERATURE`] or [`HUMIDITY`].
    pub fn moisture(self) -> Result<f64, NoMoisture> {
        let Climate { temperature: t, humidity } = self;
        if !(TEMPERATURE[0]..=TEMPERATURE[1]).contains(&t) {
            return Err(NoMoisture::Temperature(t));
        }
        if !(HUMIDITY[0]..=HUMIDITY[1]).contains(&humidity) {
            return Err(NoMoisture::Humidity(humidity));
        }
        let w = 349.0 + 1.29 * t + 0.0135 * t * t;
        let k = 0.805 + 0.000736 * t - 0.00000273 * t * t;
        let k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
        let k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
        let x = k * humidity / 100.0;
        let (one, two) = (k1 * x, k1 * k2 * x * x);
        Ok(1800.0 / w * (x / (1.0 - x) + (one + 2.0 * two) / (1.0 + one + two)))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    /// The handbook's table 4-2, as printed in a public copy: °F, then the moisture at 5, 10 … 95 % humidity.
    const TABLE: [(f64, [f64; 19]); 6] = [
        (
            30.0,
            [1.4, 2.6, 3.7, 4.6, 5.5, 6.3, 7.1, 7.9, 8.7, 9.5, 10.4, 11.3, 12.4, 13.5, 14.9, 16.5, 18.5, 21.0, 24.3],
        ),
        (
            50.0,
            [1.4, 2.6, 3.6, 4.6, 5.5, 6.3, 7.1, 7.9, 8.7, 9.5, 10.3, 11.2, 12.3, 13.4, 14.8, 16.4, 18.4, 20.9, 24.3],
        ),
        (
            60.0,
            [1.3, 2.5, 3.6, 4.6, 5.4, 6.2, 7.0, 7.8, 8.6, 9.4, 10.2, 11.1, 12.1, 13.3, 14.6, 16.2, 18.2, 20.7, 24.1],
        ),
        (
            70.0,
            [1.3, 2.5, 3.5, 4.5, 5.4, 6.2, 6.9, 7.7, 8.5, 9.2, 10.1, 11.0, 12.0, 13.1, 14.4, 16.0, 17.9, 20.5, 23.9],
        ),
        (80.0, [1.3, 2.4, 3.5, 4.4, 5.3, 6.1, 6.8, 7.6, 8.3, 9.1, 9.9, 10.8, 11.7, 12.9, 14.2, 15.7, 17.7, 20.2, 23.6]),
        (
            100.0,
            [1.2, 2.3, 3.3, 4.2, 5.0, 5.8, 6.5, 7.2, 7.9, 8.7, 9.5, 10.3, 11.2, 12.3, 13.6, 15.1, 17.0, 19.5, 22.9],
        ),
    ];

    #[test]
    fn moisture_is_that_of_the_handbook() {
        let mut differ = Vec::new();
        for (fahrenheit, row) in TABLE {
            // 30 °F is −1.1 °C, a little below the range that is taken.
            let temperature = f64::max((fahrenheit - 32.0) / 1.8, TEMPERATURE[0]);
            for (i, printed) in row.iter().enumerate() {
                let humidity = 5.0 * (i + 1) as f64;
                let moisture = Climate { temperature, humidity }.moisture().unwrap();
                assert!((moisture - printed).abs() < 0.053, "{fahrenheit} °F, {humidity} %: {moisture} for {printed}");
                if format!("{moisture:.1}") != format!("{printed:.1}") {
                    differ.push((fahrenheit, humidity));
                }
            }
        }
        // To the last printed digit but for three values that lie within 0.003 of half of it.
        assert_eq!(differ, [(30.0, 70.0), (60.0, 30.0), (70.0, 85.0)]);
    }

    #[test]
    fn more_damp_is_more_moisture_and_no_air_outside_the_table_is_taken() {
        let at = |temperature, humidity| Climate { temperature, humidity }.moisture();
        for t in [-1.0, 20.0, 60.0] {
            for h in 5..95 {
                assert!(at(t, f64::from(h)).unwrap() < at(t, f64::from(h + 1)).unwrap());
            }
        }
        assert_eq!(at(61.0, 50.0), Err(NoMoisture::Temperature(61.0)));
        assert_eq!(at(20.0, 0.5).unwrap_err().to_string(), "0.5 % relative humidity is outside 5 to 95 %");
        assert!(at(f64::NAN, 50.0).is_err() && at(20.0, f64::INFINITY).is_err());
    }
}
