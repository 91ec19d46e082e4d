//! How far a size of a wooden part wanders over the seasons.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::moisture::{Climate, NoMoisture};
use super::species::Species;

/// Moisture contents, %, for which the movement is taken as a straight line (the handbook's eq. 13-2).
pub const LINEAR: [f64; 2] = [6.0, 14.0];
/// Movement along the grain per 1 %: 0.2 % from green to ovendry, the larger end of the handbook's 0.1 to 0.2 % (ch. 4,
/// longitudinal shrinkage), over 28 % of moisture, the smaller end of fibre saturation (from memory; the handbook
/// reckons with about 30 %). Juvenile and reaction wood can move ten times as much (same place).
pub const ALONG_GRAIN: f64 = 0.002 / 28.0;
/// Movement of plywood in its plane per 1 % of *solid wood's* moisture: 0.0002 for 10 % of relative humidity, length
/// and width alike (average of the American plywood industry's association), over 1.5 %, the smallest change that
/// 10 % of humidity makes between 6 and 14 % at 21 °C (the handbook's table 4-2, 30 to 40 %).
pub const PLYWOOD: f64 = 0.0002 / 1.5;
/// Movement of MDF in its plane per 1 % of its moisture: 0.05 % (European MDF industry). Its moisture changes about
/// half as much as solid wood's, which is what [`Season`] holds; so drifts of MDF come out too large, on the safe side.
pub const MDF: f64 = 0.0005;

/// How a board lay in the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Cut {
    /// Flat-sawn: growth rings along the width, which moves by the tangential coefficient.
    Flat,
    /// Quarter-sawn: growth rings square to the width, which moves by the radial coefficient.
    Quarter,
}

/// What a part is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stuff {
    /// Plywood.
    Plywood,
    /// Medium-density fibreboard.
    Mdf,
    /// Solid timber.
    Solid {
        /// Its species.
        species: Species,
        /// How it lay in the log.
        cut: Cut,
    },
}

impl Stuff {
    /// Movement across the grain, in the width of the board, per 1 % of moisture, as a fraction of the size.
    pub fn across(self) -> f64 {
        match self {
            Stuff::Solid { species, cut: Cut::Flat } => species.tangential(),
            Stuff::Solid { species, cut: Cut::Quarter } => species.radial(),
            Stuff::Plywood => PLYWOOD,
            Stuff::Mdf => MDF,
        }
    }

    /// Movement along the grain, or along a panel, per 1 % of moisture, as a fraction of the size.
    pub fn along(self) -> f64 {
        match self {
            Stuff::Solid { .. } => ALONG_GRAIN,
            Stuff::Plywood => PLYWOOD,
            Stuff::Mdf => MDF,
        }
    }
}

/// Moisture contents of solid wood through the year, %.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Season {
    /// At its driest.
    pub dry: f64,
    /// At its dampest.
    pub damp: f64,
    /// When the part is made.
    pub made: f64,
}

/// Why there is no season.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoSeason {
    /// An air outside what is taken.
    #[error(transparent)]
    Climate(#[from] NoMoisture),
    /// The air called dry is the damper one.
    #[error("wood comes to {dry:.1} % moisture in the dry season but to {damp:.1} % in the damp one")]
    Swapped {
        /// Moisture in the dry season, %.
        dry: f64,
        /// Moisture in the damp season, %.
        damp: f64,
    },
}

/// The season between two airs; `made` is the air in which the part is made, the middle of the two moistures if `None`.
/// It may lie outside the two.
///
/// # Errors
/// [`NoSeason`].
pub fn season(dry: Climate, damp: Climate, made: Option<Climate>) -> Result<Season, NoSeason> {
    let (dry, damp) = (dry.moisture()?, damp.moisture()?);
    if dry > damp {
        return Err(NoSeason::Swapped { dry, damp });
    }
    let made = made.map_or(Ok((dry + damp) / 2.0), Climate::moisture)?;
    Ok(Season { dry, damp, made })
}

impl Season {
    /// Whether any of its moistures is outside [`LINEAR`]: drifts are then extrapolated, and only rough.
    pub fn extrapolated(self) -> bool {
        [self.dry, self.damp, self.made].iter().any(|m| !(LINEAR[0]..=LINEAR[1]).contains(m))
    }
}

/// By how much `distance` mm has changed in the dry and in the damp season, mm: ΔD = D·C·(M_F − M_I), the handbook's
/// eq. 13-2; `coefficient` is per 1 % of moisture.
pub fn drift(distance: f64, coefficient: f64, season: Season) -> [f64; 2] {
    [season.dry, season.damp].map(|m| distance * coefficient * (m - season.made))
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const DRY: Climate = Climate { temperature: 21.0, humidity: 35.0 };
    const DAMP: Climate = Climate { temperature: 21.0, humidity: 65.0 };

    /// The handbook's example to eq. 13-2: flat-sawn white fir of 232 mm at 8 % goes to 11 %: +1.7 mm.
    #[test]
    fn white_fir_swells_as_in_the_handbook() {
        let fir = Stuff::Solid { species: Species::WhiteFir, cut: Cut::Flat };
        let [dry, damp] = drift(232.0, fir.across(), Season { dry: 8.0, damp: 11.0, made: 8.0 });
        assert_eq!(dry, 0.0);
        assert_eq!(format!("{damp:+.1}"), "+1.7");
    }

    #[test]
    fn a_season_lies_between_its_airs() {
        let s = season(DRY, DAMP, None).unwrap();
        // The handbook's table 4-2 at 21.1 °C: 6.9 % at 35 % humidity, 12.0 % at 65 %.
        assert_eq!([s.dry, s.damp].map(|m| format!("{m:.1}")), ["6.9", "12.0"]);
        let [dry, damp] = drift(60.0, Stuff::Mdf.across(), s);
        assert_relative_eq!(dry, -damp, epsilon = 1e-12);
        assert!(!s.extrapolated());
        let made = Climate { temperature: 21.0, humidity: 80.0 };
        let s = season(DRY, DAMP, Some(made)).unwrap();
        assert!(s.extrapolated() && s.made > s.damp);
        assert!(drift(60.0, 0.002, s).iter().all(|d| *d < 0.0));
    }

    #[test]
    fn a_senseless_season_is_refused() {
        let swapped = season(DAMP, DRY, None).unwrap_err().to_string();
        assert_eq!(swapped, "wood comes to 12.0 % moisture in the dry season but to 6.9 % in the damp one");
        let arid = Climate { temperature: 21.0, humidity: 0.0 };
        assert_eq!(season(arid, DAMP, None), Err(NoSeason::Climate(NoMoisture::Humidity(0.0))));
        assert_eq!(season(DRY, DAMP, Some(arid)), Err(NoSeason::Climate(NoMoisture::Humidity(0.0))));
    }

    /// The European MDF industry's own example: a panel of 600 mm grows by about 1.5 mm for 5 % more moisture. That of
    /// the American plywood association: about 0.2 % from ovendry to fibre saturation; ours is no less, and not twice it.
    #[test]
    fn panels_move_as_their_makers_say() {
        let s = Season { dry: 6.0, damp: 11.0, made: 6.0 };
        assert_relative_eq!(drift(600.0, Stuff::Mdf.along(), s)[1], 1.5, epsilon = 1e-9);
        let whole = Stuff::Plywood.across() * 28.0;
        assert!((0.002..0.004).contains(&whole), "{whole}");
    }

    #[test]
    fn wood_moves_most_along_the_rings_and_least_along_the_grain() {
        for species in Species::all() {
            let [flat, quarter] = [Cut::Flat, Cut::Quarter].map(|cut| Stuff::Solid { species, cut });
            assert!(flat.across() > quarter.across() && quarter.across() > 5.0 * quarter.along(), "{species}");
            assert!(Stuff::Plywood.across() < quarter.across() && Stuff::Mdf.across() < quarter.across(), "{species}");
        }
    }
}
