//! Units of length and angle, and the only conversions between them.
//!
//! Everything past the readers is in millimetres and, outside formulas, degrees.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Millimetres in an inch, exact by definition (international yard and pound agreement, 1959; ISO 80000-3).
pub const MM_PER_INCH: f64 = 25.4;

/// The unit that bare numbers of a file or of the command line are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Units {
    /// Millimetres.
    #[default]
    #[serde(rename = "mm")]
    Mm,
    /// Inches of 25.4 mm.
    #[serde(rename = "in")]
    #[cfg_attr(feature = "cli", value(name = "in", help = "Inches"))]
    Inch,
}

impl Units {
    /// Millimetres in one of this unit.
    pub fn mm(self) -> f64 {
        match self {
            Units::Mm => 1.0,
            Units::Inch => MM_PER_INCH,
        }
    }

    /// The unit's sign as files write it.
    pub fn symbol(self) -> &'static str {
        match self {
            Units::Mm => "mm",
            Units::Inch => "in",
        }
    }
}

/// An inch dimension rounded to a binary fraction, as a rule or a caliper is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InchFraction {
    sixty_fourths: i64,
}

impl InchFraction {
    /// The multiple of `1/denominator` inch nearest to `mm` millimetres.
    ///
    /// `denominator` is a power of two up to 64; other values are taken as 64. Lengths too large to count in 1/64 in
    /// become the largest that can be.
    pub fn nearest(mm: f64, denominator: u32) -> Self {
        let denominator = if denominator.is_power_of_two() && denominator <= 64 { denominator } else { 64 };
        let step = i64::from(64 / denominator);
        let count = (mm / MM_PER_INCH * f64::from(denominator)).round();
        Self { sixty_fourths: (count as i64).saturating_mul(step) }
    }

    /// The rounded length in millimetres.
    pub fn mm(self) -> f64 {
        self.sixty_fourths as f64 / 64.0 * MM_PER_INCH
    }
}

impl std::fmt::Display for InchFraction {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let sign = if self.sixty_fourths < 0 { "-" } else { "" };
        let all = self.sixty_fourths.unsigned_abs();
        let (whole, mut part, mut of) = (all / 64, all % 64, 64);
        while part != 0 && part % 2 == 0 {
            part /= 2;
            of /= 2;
        }
        match (whole, part) {
            (0, 0) => f.pad("0"),
            (_, 0) => f.pad(&format!("{sign}{whole}")),
            (0, _) => f.pad(&format!("{sign}{part}/{of}")),
            _ => f.pad(&format!("{sign}{whole} {part}/{of}")),
        }
    }
}

/// How a shop reads lengths: in millimetres, in fractions of an inch, or in both side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Written {
    /// Millimetres are written.
    pub mm: bool,
    /// Inches are written.
    pub inches: bool,
    /// Finest fraction of an inch: 64, 32 or 16.
    pub denominator: u32,
}

impl Written {
    /// `mm` without units, to as many decimals of a millimetre: `51.28`, `2 1/64`, `51.28 (2 1/64)`.
    pub fn bare(self, mm: f64, decimals: usize) -> String {
        let metric = short(mm, decimals);
        let fraction = InchFraction::nearest(mm, self.denominator).to_string();
        match (self.mm, self.inches) {
            (true, true) => format!("{metric} ({fraction})"),
            (false, true) => fraction,
            _ => metric,
        }
    }

    /// `mm` with units: `51.28 mm`, `2 1/64 in`, `51.28 mm (2 1/64 in)`.
    pub fn said(self, mm: f64, decimals: usize) -> String {
        let metric = format!("{} mm", short(mm, decimals));
        let fraction = format!("{} in", InchFraction::nearest(mm, self.denominator));
        match (self.mm, self.inches) {
            (true, true) => format!("{metric} ({fraction})"),
            (false, true) => fraction,
            _ => metric,
        }
    }

    /// A size that tools and screws have, without its unit: in the unit that is written first, inches to 1/64.
    pub fn native(self, mm: f64) -> String {
        if self.mm { short(mm, 1) } else { InchFraction::nearest(mm, 64).to_string() }
    }

    /// The same with its unit.
    pub fn native_said(self, mm: f64) -> String {
        format!("{} {}", self.native(mm), self.first_unit())
    }

    /// A small length with its unit, in decimals of either: `0.2 mm`, `0.008 in`.
    pub fn fine(self, mm: f64) -> String {
        if self.mm { format!("{} mm", short(mm, 2)) } else { format!("{} in", fixed(mm / MM_PER_INCH, 3)) }
    }

    /// A signed change of length without its unit, in decimals: `+0.12`, `-0.005`.
    pub fn change(self, mm: f64) -> String {
        let sign = if mm > 0.0 { "+" } else { "" };
        let digits = if self.mm { fixed(mm, 2) } else { fixed(mm / MM_PER_INCH, 3) };
        format!("{sign}{digits}")
    }

    /// The unit that is written first.
    pub fn first_unit(self) -> &'static str {
        if self.mm { "mm" } else { "in" }
    }

    /// The unit, for headings and title blocks.
    pub fn unit(self) -> &'static str {
        match (self.mm, self.inches) {
            (true, true) => "mm (in)",
            (false, true) => "in",
            _ => "mm",
        }
    }

    /// The length in mm that is written first, as its reader takes it: rounded to `decimals`, or to the fraction.
    pub fn rounded(self, mm: f64, decimals: usize) -> f64 {
        if self.mm {
            let tens = 10f64.powi(decimals as i32);
            (mm * tens).round() / tens
        } else {
            InchFraction::nearest(mm, self.denominator).mm()
        }
    }

    /// The first choice for a shop that reads millimetres, else the second, mm.
    pub fn choose<T>(self, metric: T, imperial: T) -> T {
        if self.mm { metric } else { imperial }
    }
}

/// `value` with a fixed number of decimals and never a negative zero, so that files compare well.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.bytes().all(|b| b == b'0' || b == b'.') => digits.to_string(),
        _ => text,
    }
}

/// `value` with up to `decimals` decimals, trailing zeros dropped: `25`, `27.5`.
pub fn short(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fractions_are_reduced_and_nearest() {
        // 45/64 in = 17.859375 mm by the definition of the inch.
        assert_eq!(InchFraction::nearest(17.859375, 64).to_string(), "45/64");
        assert_eq!(InchFraction::nearest(34.925, 64).to_string(), "1 3/8");
        assert_eq!(InchFraction::nearest(25.4, 16).to_string(), "1");
        assert_eq!(InchFraction::nearest(0.1, 64).to_string(), "0");
        assert_eq!(InchFraction::nearest(-12.7, 64).to_string(), "-1/2");
        assert_eq!(InchFraction::nearest(17.859375, 16).to_string(), "11/16");
    }

    #[test]
    fn a_length_too_large_to_count_is_the_largest() {
        assert!(InchFraction::nearest(1e300, 16).mm() > 1e18);
        assert!(InchFraction::nearest(-1e300, 16).to_string().starts_with('-'));
    }

    #[test]
    fn no_negative_zero_is_printed() {
        assert_eq!(fixed(-0.0004, 3), "0.000");
        assert_eq!(fixed(-0.0006, 3), "-0.001");
        assert_eq!(short(25.0, 2), "25");
        assert_eq!(short(27.50, 2), "27.5");
    }
}
