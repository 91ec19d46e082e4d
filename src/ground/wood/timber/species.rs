//! The species, and how much each moves across the grain.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Side hardness, N at 12 % moisture, below which a fence wants a hard facing: an edge pushed against it bites in.
/// Parts the beeches, maples, oaks, ashes and fruitwoods from the softwoods and the soft hardwoods; our choice, no
/// source.
pub const SOFT_BELOW: f64 = 4000.0;

/// A timber species.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Species {
    /// Hard maple.
    SugarMaple,
    /// The American beech.
    AmericanBeech,
    /// White ash.
    WhiteAsh,
    /// Black cherry.
    BlackCherry,
    /// Black walnut.
    BlackWalnut,
    /// Yellow birch.
    YellowBirch,
    /// The red oaks of commerce.
    RedOak,
    /// The white oaks of commerce.
    WhiteOak,
    /// Red maple, a soft maple.
    RedMaple,
    /// Bigleaf maple.
    BigleafMaple,
    /// Silver maple, a soft maple.
    SilverMaple,
    /// The American sycamore.
    AmericanSycamore,
    /// Red alder.
    RedAlder,
    /// The true hickories.
    Hickory,
    /// The pecan hickories.
    PecanHickory,
    /// Black locust.
    BlackLocust,
    /// American basswood.
    Basswood,
    /// Butternut.
    Butternut,
    /// Quaking aspen.
    QuakingAspen,
    /// Yellow-poplar, also called tulipwood.
    YellowPoplar,
    /// Douglas-fir of the coast.
    DouglasFir,
    /// White fir.
    WhiteFir,
    /// Eastern white pine.
    EasternWhitePine,
    /// Ponderosa pine.
    PonderosaPine,
    /// Loblolly pine, one of the southern pines.
    LoblollyPine,
    /// Sitka spruce.
    SitkaSpruce,
    /// The European beech.
    EuropeanBeech,
    /// The oaks of Europe, pedunculate and sessile.
    EuropeanOak,
    /// The European ash.
    EuropeanAsh,
}

/// A line of the table.
struct Line {
    species: Species,
    name: &'static str,
    /// Per 1 % of moisture: radial, tangential.
    across: [f64; 2],
    /// Side hardness at 12 % moisture, N.
    hardness: f64,
}

const fn line(species: Species, name: &'static str, across: [f64; 2], hardness: f64) -> Line {
    Line { species, name, across, hardness }
}

/// Coefficients: the handbook's table 13-5, hardwoods down to aspen as printed in a public copy. From memory are the
/// rest and hickory's radial value; a test derives yellow-poplar, Douglas-fir, white fir and loblolly pine from the
/// shrinkages of table 4-3 of public copies.
///
/// Hardness: table 5-3a; those of sugar maple, ash, cherry, the oaks, yellow-poplar, Douglas-fir, white fir and loblolly
/// pine as given by a public copy, the rest from memory (red oak is northern red oak, hickory shagbark).
///
/// The European species: differential shrinkage as DIN 68100 has it, and hardness; both from memory.
const TABLE: [Line; 29] = [
    line(Species::SugarMaple, "sugar-maple", [0.00165, 0.00353], 6400.0),
    line(Species::AmericanBeech, "american-beech", [0.00190, 0.00431], 5800.0),
    line(Species::WhiteAsh, "white-ash", [0.00169, 0.00274], 5900.0),
    line(Species::BlackCherry, "black-cherry", [0.00126, 0.00248], 4200.0),
    line(Species::BlackWalnut, "black-walnut", [0.00190, 0.00274], 4500.0),
    line(Species::YellowBirch, "yellow-birch", [0.00256, 0.00338], 5600.0),
    line(Species::RedOak, "red-oak", [0.00158, 0.00369], 5700.0),
    line(Species::WhiteOak, "white-oak", [0.00180, 0.00365], 6000.0),
    line(Species::RedMaple, "red-maple", [0.00137, 0.00289], 4200.0),
    line(Species::BigleafMaple, "bigleaf-maple", [0.00126, 0.00248], 3800.0),
    line(Species::SilverMaple, "silver-maple", [0.00102, 0.00252], 3100.0),
    line(Species::AmericanSycamore, "american-sycamore", [0.00172, 0.00296], 3400.0),
    line(Species::RedAlder, "red-alder", [0.00151, 0.00256], 2600.0),
    line(Species::Hickory, "hickory", [0.00259, 0.00411], 8400.0),
    line(Species::PecanHickory, "pecan-hickory", [0.00169, 0.00315], 8100.0),
    line(Species::BlackLocust, "black-locust", [0.00158, 0.00252], 7600.0),
    line(Species::Basswood, "basswood", [0.00230, 0.00330], 1800.0),
    line(Species::Butternut, "butternut", [0.00116, 0.00223], 2200.0),
    line(Species::QuakingAspen, "quaking-aspen", [0.00119, 0.00234], 1600.0),
    line(Species::YellowPoplar, "yellow-poplar", [0.00158, 0.00289], 2400.0),
    line(Species::DouglasFir, "douglas-fir", [0.00165, 0.00267], 3200.0),
    line(Species::WhiteFir, "white-fir", [0.00112, 0.00245], 2100.0),
    line(Species::EasternWhitePine, "eastern-white-pine", [0.00071, 0.00212], 1700.0),
    line(Species::PonderosaPine, "ponderosa-pine", [0.00133, 0.00216], 2000.0),
    line(Species::LoblollyPine, "loblolly-pine", [0.00165, 0.00259], 3100.0),
    line(Species::SitkaSpruce, "sitka-spruce", [0.00148, 0.00263], 2300.0),
    line(Species::EuropeanBeech, "european-beech", [0.0020, 0.0041], 6460.0),
    line(Species::EuropeanOak, "european-oak", [0.0016, 0.0036], 4980.0),
    line(Species::EuropeanAsh, "european-ash", [0.0021, 0.0038], 6580.0),
];

impl Species {
    fn line(self) -> &'static Line {
        // The table stands in the order of the enum; a test holds it to that.
        &TABLE[self as usize]
    }

    /// All of them.
    pub fn all() -> impl Iterator<Item = Species> {
        TABLE.iter().map(|l| l.species)
    }

    /// The species that files call `name`.
    pub fn named(name: &str) -> Option<Species> {
        TABLE.iter().find(|l| l.name == name).map(|l| l.species)
    }

    /// Its name in files.
    pub fn name(self) -> &'static str {
        self.line().name
    }

    /// Movement square to the growth rings per 1 % of moisture, as a fraction of the size.
    pub fn radial(self) -> f64 {
        self.line().across[0]
    }

    /// Movement along the growth rings per 1 % of moisture, as a fraction of the size.
    pub fn tangential(self) -> f64 {
        self.line().across[1]
    }

    /// Side hardness at 12 % moisture, N: the load that sinks a ball of 11.3 mm to half its diameter.
    pub fn hardness(self) -> f64 {
        self.line().hardness
    }

    /// Whether a fence of it wants a hard facing: its side hardness is below [`SOFT_BELOW`].
    pub fn is_soft(self) -> bool {
        self.hardness() < SOFT_BELOW
    }
}

impl std::fmt::Display for Species {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let plain = self.name().replace('-', " ");
        // Names of places and people are capital.
        let proper = ["american", "douglas", "european", "sitka"].iter().any(|p| plain.starts_with(p));
        f.pad(&if proper { plain[..1].to_uppercase() + &plain[1..] } else { plain })
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn every_species_is_found_by_the_name_that_json_has() {
        for (i, species) in Species::all().enumerate() {
            assert_eq!(species as usize, i);
            assert_eq!(Species::named(species.name()), Some(species));
            assert_eq!(serde_json::to_value(species).unwrap(), species.name());
            assert_eq!(serde_json::from_value::<Species>(species.name().into()).unwrap(), species);
        }
        let schema = serde_json::to_string(&schemars::schema_for!(Species)).unwrap();
        assert_eq!(Species::all().filter(|s| schema.contains(&format!("\"{}\"", s.name()))).count(), TABLE.len());
        assert_eq!(Species::named("lignum"), None);
        assert_eq!(Species::SugarMaple.to_string(), "sugar maple");
        assert_eq!(Species::EuropeanOak.to_string(), "European oak");
    }

    /// The handbook derives table 13-5 from the shrinkage S (%, green to ovendry) of table 4-3, taken as a straight
    /// line from 30 % moisture and referred to the size at 10 % (footnote of table 13-5): C = (S/30)/(100 − 20 S/30).
    /// Shrinkages from public copies of table 4-3. The oaks are averages of several species.
    #[test]
    fn coefficients_follow_from_the_shrinkage_from_green_to_ovendry() {
        let cases = [
            (Species::SugarMaple, 4.8, 9.9),
            (Species::AmericanBeech, 5.5, 11.9),
            (Species::WhiteAsh, 4.9, 7.8),
            (Species::BlackCherry, 3.7, 7.1),
            (Species::BlackWalnut, 5.5, 7.8),
            (Species::YellowBirch, 7.3, 9.5),
            (Species::AmericanSycamore, 5.0, 8.4),
            (Species::RedAlder, 4.4, 7.3),
            (Species::PecanHickory, 4.9, 8.9),
            (Species::Basswood, 6.6, 9.3),
            (Species::Butternut, 3.4, 6.4),
            (Species::QuakingAspen, 3.5, 6.7),
            (Species::YellowPoplar, 4.6, 8.2),
            (Species::DouglasFir, 4.8, 7.6),
            (Species::WhiteFir, 3.3, 7.0),
            (Species::LoblollyPine, 4.8, 7.4),
        ];
        // The table cuts some halves of its last digit instead of rounding them.
        let close = |c: f64, s: f64| ((s / 30.0) / (100.0 - 20.0 * s / 30.0) - c).abs() < 0.0000066;
        for (species, radial, tangential) in cases {
            assert!(close(species.radial(), radial), "{species} radial");
            assert!(close(species.tangential(), tangential), "{species} tangential");
        }
    }

    /// Common practice, no source: fences of maple, beech or oak take an edge without a facing, of pine or poplar not.
    #[test]
    fn softwoods_and_soft_hardwoods_want_a_facing() {
        for hard in [Species::SugarMaple, Species::AmericanBeech, Species::WhiteOak, Species::BlackCherry] {
            assert!(!hard.is_soft(), "{hard}");
        }
        for soft in [Species::SitkaSpruce, Species::DouglasFir, Species::YellowPoplar, Species::Basswood] {
            assert!(soft.is_soft(), "{soft}");
        }
    }
}
