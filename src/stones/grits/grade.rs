//! A grade as it is written on the paper or the stone.

use std::fmt;
use std::str::FromStr;

use super::tables::Standard;
use crate::input::fault::Fault;
use crate::units::short;

/// Grain sizes that are worked with, µm.
pub const GRAIN_RANGE: [f64; 2] = [0.05, 2500.0];

/// The forms a grade may be written in, for messages.
pub const FORMS: &str = "a grade with its standard, such as P400 (FEPA, ISO 6344), CAMI 320 (ANSI B74.18), JIS 1000 or \
                         J1000 (JIS R 6001-2), F400 (FEPA, ISO 8486), 600 mesh, or a grain size, such as 15 µm or 15 um";

/// A grade of abrasive: one of a standard, or a grain size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grade {
    kind: GradeKind,
    grain: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum GradeKind {
    Graded(Standard, u16),
    Micrometres,
}

/// Why a text is no grade; [`NoGrade::allowed`] says what would be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoGrade {
    /// None of the forms.
    #[error("\"{text}\"")]
    Form {
        /// As written.
        text: String,
    },
    /// A number alone, which means different grains in each standard.
    #[error("\"{text}\" has no standard")]
    NoStandard {
        /// As written.
        text: String,
    },
    /// A number that the standard does not have.
    #[error("\"{}{number}{}\"", standard.prefix(), standard.suffix())]
    Unknown {
        /// Which standard.
        standard: Standard,
        /// As written.
        number: String,
    },
    /// A grain size outside [`GRAIN_RANGE`].
    #[error("grains of {text}")]
    Grain {
        /// As written.
        text: String,
    },
}

impl NoGrade {
    /// What may be written instead.
    pub fn allowed(&self) -> String {
        match self {
            NoGrade::Form { .. } => FORMS.into(),
            NoGrade::NoStandard { text } => {
                format!("P{text}, CAMI {text} or JIS {text}, since the same number means other grains in each")
            }
            NoGrade::Unknown { standard, .. } => standard.numbers(),
            NoGrade::Grain { .. } => format!("{} to {} µm", GRAIN_RANGE[0], GRAIN_RANGE[1]),
        }
    }
}

impl NoGrade {
    /// The fault of a field, with the grade that was perhaps meant: of the same standard, that with the nearest number.
    pub fn fault(&self, field: impl Into<String>) -> Fault {
        let near = match self {
            NoGrade::Unknown { standard, number } => number.parse().ok().map(|number| standard.nearest(number)),
            _ => None,
        };
        Fault { near, ..Fault::new(field, self.to_string(), self.allowed()) }
    }
}

impl Grade {
    /// A grade of a standard; `None` for a number that it does not have.
    pub fn of_standard(standard: Standard, number: u16) -> Option<Self> {
        let grain = standard.grain(number)?;
        Some(Self { kind: GradeKind::Graded(standard, number), grain })
    }

    /// A grain size in micrometres.
    ///
    /// # Errors
    /// [`NoGrade::Grain`].
    pub fn micrometres(grain: f64) -> Result<Self, NoGrade> {
        if (GRAIN_RANGE[0]..=GRAIN_RANGE[1]).contains(&grain) {
            Ok(Self { kind: GradeKind::Micrometres, grain })
        } else {
            Err(NoGrade::Grain { text: format!("{} µm", short(grain, 4)) })
        }
    }

    /// Mean grain size, µm.
    pub fn grain(&self) -> f64 {
        self.grain
    }

    /// The standard it is a grade of; `None` for a plain grain size.
    pub fn standard(&self) -> Option<Standard> {
        match self.kind {
            GradeKind::Graded(standard, _) => Some(standard),
            GradeKind::Micrometres => None,
        }
    }

    /// Where its grain size is from.
    pub fn source(&self) -> &'static str {
        self.standard().map_or("as stated in micrometres", Standard::source)
    }
}

impl fmt::Display for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.kind {
            GradeKind::Graded(standard, number) => {
                f.pad(&format!("{}{number}{}", standard.prefix(), standard.suffix()))
            }
            GradeKind::Micrometres => f.pad(&format!("{} µm", short(self.grain, 3))),
        }
    }
}

impl FromStr for Grade {
    type Err = NoGrade;

    /// Reads any of [`FORMS`], in capitals or not, with or without spaces.
    fn from_str(text: &str) -> Result<Self, NoGrade> {
        let plain: String = text.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
        let of = |standard: Standard, number: &str| {
            let found = number.parse().ok().and_then(|n| Self::of_standard(standard, n));
            found.ok_or_else(|| NoGrade::Unknown { standard, number: number.into() })
        };
        let is_number = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        if is_number(&plain) {
            return Err(NoGrade::NoStandard { text: plain });
        }
        if let Some(size) = UNITS.iter().find_map(|unit| plain.strip_suffix(unit)) {
            let grain = Some(size).filter(|s| s.bytes().all(|b| b.is_ascii_digit() || b == b'.'));
            let grain = grain.and_then(|s| s.parse::<f64>().ok());
            let grain = grain.ok_or_else(|| NoGrade::Form { text: text.trim().into() })?;
            return Self::micrometres(grain).map_err(|_| NoGrade::Grain { text: text.trim().into() });
        }
        if let Some(number) = plain.strip_suffix("mesh").filter(|n| is_number(n)) {
            return of(Standard::Mesh, number);
        }
        for (prefix, standard) in PREFIXES {
            if let Some(number) = plain.strip_prefix(prefix).map(|n| n.trim_start_matches('#')).filter(|n| is_number(n))
            {
                // Finer numbers than JIS's are makers' own, whatever stands before them.
                let finer = standard == Standard::Jis && number.parse().is_ok_and(|n: u16| n > FINEST_JIS);
                return of(if finer { Standard::Makers } else { standard }, number);
            }
        }
        Err(NoGrade::Form { text: text.trim().into() })
    }
}

/// The finest number of JIS R 6001-2.
const FINEST_JIS: u16 = 8000;

/// What may stand before a grade's number.
const PREFIXES: [(&str, Standard); 9] = [
    ("p", Standard::P),
    ("fepap", Standard::P),
    ("cami", Standard::Cami),
    ("ansi", Standard::Cami),
    ("jis", Standard::Jis),
    ("j", Standard::Jis),
    ("fepaf", Standard::F),
    ("f", Standard::F),
    ("#", Standard::Makers),
];

/// What may stand after a grain size: the micro sign, the Greek letter, and what a keyboard has.
const UNITS: [&str; 5] = ["µm", "μm", "um", "microns", "micron"];

#[cfg(test)]
mod tests {
    use super::*;

    fn grain(text: &str) -> Result<f64, NoGrade> {
        text.parse::<Grade>().map(|g| g.grain())
    }

    #[test]
    fn all_forms_are_read() {
        for (text, expected) in [
            ("P400", 35.0),
            ("p 400", 35.0),
            ("FEPA P400", 35.0),
            ("CAMI 320", 36.0),
            ("ansi320", 36.0),
            ("JIS 1000", 11.5),
            ("J1000", 11.5),
            ("JIS #8000", 1.2),
            ("JIS 12000", 0.8),
            ("#16000", 0.6),
            ("F400", 17.3),
            ("325 mesh", 45.0),
            ("15 µm", 15.0),
            ("15\u{3bc}m", 15.0),
            ("0.5um", 0.5),
            ("3 microns", 3.0),
        ] {
            assert_eq!(grain(text), Ok(expected), "{text}");
        }
    }

    #[test]
    fn what_is_written_is_read_again() {
        for text in ["P220", "CAMI 1000", "JIS 6000", "0.25 µm"] {
            assert_eq!(text.parse::<Grade>().map(|g| g.to_string()), Ok(text.to_string()));
        }
    }

    #[test]
    fn what_is_no_grade_is_refused() {
        assert!(grain("#1000").is_err_and(|e| e.allowed().starts_with("#10000, #12000")));
        assert_eq!(grain("400"), Err(NoGrade::NoStandard { text: "400".into() }));
        assert_eq!(grain("P410"), Err(NoGrade::Unknown { standard: Standard::P, number: "410".into() }));
        assert_eq!(grain("P99999999"), Err(NoGrade::Unknown { standard: Standard::P, number: "99999999".into() }));
        assert_eq!(grain("9000 um"), Err(NoGrade::Grain { text: "9000 um".into() }));
        for text in ["", "P", "um", "-3 um", "1e3 um", "nan um", "fine", "P4x0", "J"] {
            assert!(matches!(grain(text), Err(NoGrade::Form { .. })), "{text}: {:?}", grain(text));
        }
        let said = grain("JIS 1100").map_err(|e| format!("{e}; {}", e.allowed()));
        assert!(said.is_err_and(|s| s.starts_with("\"JIS 1100\"; ") && s.contains("JIS 1000, JIS 1200")));
    }
}
