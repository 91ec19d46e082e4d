//! An abrasive: a grade, and what holds its grains.

use std::fmt;
use std::str::FromStr;

use super::grade::{Grade, NoGrade};
use super::tables::Standard;

/// What holds the grains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Abrasive paper.
    Paper,
    /// A water stone.
    WaterStone,
    /// An oil stone.
    OilStone,
    /// A plate set with diamonds.
    DiamondPlate,
    /// Lapping film.
    Film,
}

impl Kind {
    /// All of them.
    pub const ALL: [Kind; 5] = [Kind::Paper, Kind::WaterStone, Kind::OilStone, Kind::DiamondPlate, Kind::Film];

    /// How it is written after a grade.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Paper => "paper",
            Kind::WaterStone => "water-stone",
            Kind::OilStone => "oil-stone",
            Kind::DiamondPlate => "diamond-plate",
            Kind::Film => "film",
        }
    }

    /// How it is used and cared for: common practice, no source.
    pub fn care(self) -> &'static str {
        match self {
            Kind::Paper => {
                "Paper: lay it on a flat plate. Push lightly, or only pull: it can lift ahead of the edge and round it over. Renew it when it stops cutting."
            }
            Kind::WaterStone => {
                "Water stones: keep them wet, and soak those whose maker says so. Flatten them often, before they are hollow. No oil."
            }
            Kind::OilStone => {
                "Oil stones: a thin film of honing oil carries the swarf; wipe it off afterwards. Flatten them when they are hollow."
            }
            Kind::DiamondPlate => {
                "Diamond plates: press lightly, with a little water, and dry them afterwards. They need no flattening."
            }
            Kind::Film => "Film: lay it on glass without dust or bubbles below. Only pull: a pushed edge cuts into it.",
        }
    }
}

/// What is said where a kit does not say what holds its grains.
pub const ANY_CARE: &str = "Use each abrasive as its maker says: dry, with water or with oil, and keep it flat.";

/// An abrasive of a kit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Abrasive {
    /// Its grade.
    pub grade: Grade,
    /// What holds its grains; `None` where nothing is said.
    pub kind: Option<Kind>,
}

impl FromStr for Abrasive {
    type Err = NoGrade;

    /// Reads a grade with or without its kind: `P400`, `P400 paper`, `JIS 1000 water-stone`. Makers of water stones print
    /// the number alone, which is taken as JIS's: `1000 water-stone`, `#8000 water stone`.
    fn from_str(text: &str) -> Result<Self, NoGrade> {
        let plain = text.trim().to_lowercase().replace('-', " ");
        let found = Kind::ALL.into_iter().find_map(|kind| {
            let rest = plain.strip_suffix(&kind.word().replace('-', " "))?;
            rest.ends_with(' ').then(|| (rest.trim(), kind))
        });
        let Some((rest, kind)) = found else { return Ok(Self { grade: text.parse()?, kind: None }) };
        let number = rest.trim_start_matches('#');
        let is_number = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit());
        let grade = match kind {
            Kind::WaterStone if is_number => format!("{}{number}", Standard::Jis.prefix()).parse(),
            _ => rest.parse(),
        };
        Ok(Self { grade: grade?, kind: Some(kind) })
    }
}

impl fmt::Display for Abrasive {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.kind {
            Some(kind) => f.pad(&format!("{} {}", self.grade, kind.word())),
            None => self.grade.fmt(f),
        }
    }
}

/// How the kinds of a set are cared for, each once, in the order of the set; [`ANY_CARE`] where one of them is not said.
pub fn care(set: &[Abrasive]) -> Vec<&'static str> {
    let mut words: Vec<&str> = Vec::new();
    for abrasive in set {
        let care = abrasive.kind.map_or(ANY_CARE, Kind::care);
        if !words.contains(&care) {
            words.push(care);
        }
    }
    words
}

/// Whether a set is the usual one of three water stones, 1000, 4000 and 8000: common practice, no source.
pub fn is_usual_set(grades: &[Grade]) -> bool {
    let usual = [1000, 4000, 8000].map(|number| Grade::of_standard(Standard::Jis, number));
    grades.iter().copied().map(Some).eq(usual)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grade_is_read_with_its_kind() {
        for (text, said) in [
            ("P400 paper", "P400 paper"),
            ("1000 water-stone", "JIS 1000 water-stone"),
            ("#8000 Water Stone", "JIS 8000 water-stone"),
            ("#12000 water-stone", "#12000 water-stone"),
            ("F400 oil-stone", "F400 oil-stone"),
            ("600 mesh diamond-plate", "600 mesh diamond-plate"),
            ("3 um film", "3 µm film"),
            ("P220", "P220"),
        ] {
            let read = text.parse::<Abrasive>().unwrap_or_else(|e| panic!("{text}: {e}"));
            assert_eq!(read.to_string(), said);
            assert_eq!(said.parse::<Abrasive>(), Ok(read));
        }
        for text in ["400 paper", "paper", "1000", "water-stone", "P400 cloth"] {
            assert!(text.parse::<Abrasive>().is_err(), "{text}");
        }
    }

    #[test]
    fn care_speaks_of_the_kinds_that_are_there() {
        let set = |texts: &[&str]| texts.iter().filter_map(|t| t.parse().ok()).collect::<Vec<Abrasive>>();
        let stones = care(&set(&["1000 water-stone", "4000 water-stone", "8000 water-stone"]));
        assert_eq!(stones, [Kind::WaterStone.care()]);
        assert!(!stones[0].contains("paper") && stones[0].contains("No oil"));
        assert_eq!(care(&set(&["P220", "3 um film"])), [ANY_CARE, Kind::Film.care()]);
        let grades = |texts: &[&str]| set(texts).iter().map(|a| a.grade).collect::<Vec<_>>();
        assert!(is_usual_set(&grades(&["JIS 1000", "JIS 4000", "JIS 8000"])));
        assert!(!is_usual_set(&grades(&["JIS 1000", "JIS 8000"])));
    }
}
