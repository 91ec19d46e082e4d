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

    /// `mm` millimetres in this unit.
    pub fn of(self, mm: f64) -> f64 {
        mm / self.mm()
    }

    /// `mm` as people see it, with all of as many `decimals` of a millimetre or of an inch.
    pub fn fixed(self, mm: f64, decimals: [usize; 2]) -> Shown {
        Number { digits: fixed(self.of(mm), self.choose(decimals)), unit: self }.into()
    }

    /// A signed change of `mm` millimetres, without its unit.
    pub fn change(self, mm: f64, decimals: [usize; 2]) -> String {
        signed(self.of(mm), self.choose(decimals))
    }

    /// The same as [`Units::fixed`] without trailing zeros.
    pub fn short(self, mm: f64, decimals: [usize; 2]) -> Shown {
        Number { digits: short(self.of(mm), self.choose(decimals)), unit: self }.into()
    }

    /// A size of a blade with its unit: hundredths of a millimetre or thousandths of an inch, as calipers show it.
    pub fn size(self, mm: f64) -> String {
        self.short(mm, FINE).said()
    }

    /// The first choice for millimetres, the second for inches.
    fn choose<T>(self, [metric, imperial]: [T; 2]) -> T {
        match self {
            Units::Mm => metric,
            Units::Inch => imperial,
        }
    }
}

/// Decimals of small lengths: hundredths of a millimetre, thousandths of an inch.
const FINE: [usize; 2] = [2, 3];

/// A length as people see it: in millimetres or inches, or in one with the other beside it; without units where it is
/// printed as it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    first: Number,
    also: Option<Number>,
}

/// A number and the unit it is in.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Number {
    digits: String,
    unit: Units,
}

impl Number {
    /// Of inches, as a fraction.
    fn fraction(mm: f64, denominator: u32) -> Self {
        Self { digits: InchFraction::nearest(mm, denominator).to_string(), unit: Units::Inch }
    }
}

impl From<Number> for Shown {
    fn from(first: Number) -> Self {
        Self { first, also: None }
    }
}

impl std::fmt::Display for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.first.digits)?;
        self.also.iter().try_for_each(|also| write!(f, " ({})", also.digits))
    }
}

impl Shown {
    /// The same with units: `51.28 mm`, `51.28 mm (2 1/64 in)`.
    pub fn said(&self) -> String {
        let said = |n: &Number| format!("{} {}", n.digits, n.unit.symbol());
        match &self.also {
            None => said(&self.first),
            Some(also) => format!("{} ({})", said(&self.first), said(also)),
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

/// How a shop reads lengths: in millimetres, in fractions of an inch, or in both side by side; small ones in decimals of
/// either.
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
    /// `mm` as the shop reads it: to as many decimals of a millimetre, and to the fraction of an inch.
    fn shown(self, mm: f64, decimals: usize) -> Shown {
        let metric = Number { digits: short(mm, decimals), unit: Units::Mm };
        let fraction = Number::fraction(mm, self.denominator);
        match (self.mm, self.inches) {
            (true, true) => Shown { first: metric, also: Some(fraction) },
            (false, true) => fraction.into(),
            _ => metric.into(),
        }
    }

    /// `mm` without units, to as many decimals of a millimetre: `51.28`, `2 1/64`, `51.28 (2 1/64)`.
    pub fn bare(self, mm: f64, decimals: usize) -> String {
        self.shown(mm, decimals).to_string()
    }

    /// `mm` with units: `51.28 mm`, `2 1/64 in`, `51.28 mm (2 1/64 in)`.
    pub fn said(self, mm: f64, decimals: usize) -> String {
        self.shown(mm, decimals).said()
    }

    /// A size that tools and screws have: in the unit that is written first, inches to 1/64.
    pub fn native(self, mm: f64) -> Shown {
        match self.first() {
            Units::Mm => Units::Mm.short(mm, [1, 1]),
            Units::Inch => Number::fraction(mm, 64).into(),
        }
    }

    /// A small length, in decimals of the unit that is written first: `0.2`, `0.008`.
    pub fn fine(self, mm: f64) -> Shown {
        match self.first() {
            Units::Mm => Units::Mm.short(mm, FINE),
            Units::Inch => Units::Inch.fixed(mm, FINE),
        }
    }

    /// A limit of a length without its unit, in hundredths of a millimetre or thousandths of an inch.
    pub fn limit(self, mm: f64) -> String {
        self.first().fixed(mm, FINE).to_string()
    }

    /// A signed change of length without its unit, in decimals: `+0.12`, `-0.005`.
    pub fn change(self, mm: f64) -> String {
        self.first().change(mm, FINE)
    }

    /// The unit that is written first.
    pub fn first(self) -> Units {
        if self.mm { Units::Mm } else { Units::Inch }
    }

    /// Its sign.
    pub fn first_unit(self) -> &'static str {
        self.first().symbol()
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

/// `value` with a fixed number of decimals, rounded toward less: room and limits, of which no more must be read than there
/// is.
pub fn rounded_down(value: f64, decimals: usize) -> String {
    fixed(floored(value, decimals), decimals)
}

/// `value` with a fixed number of decimals, rounded toward more: what is needed, of which no less must be read.
pub fn rounded_up(value: f64, decimals: usize) -> String {
    fixed(-floored(-value, decimals), decimals)
}

/// `value` to the multiple of its last decimal below it; one that is such a multiple, but for how it is stored, stays.
fn floored(value: f64, decimals: usize) -> f64 {
    // Of the last decimal; far below what a reader sees, far above what sums of lengths lose.
    const STORED: f64 = 1e-6;
    let tens = 10f64.powi(decimals as i32);
    (value * tens + STORED).floor() / tens
}

/// `value` with a fixed number of decimals and its sign; nothing has none.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    let has_none = text.starts_with('-') || text.bytes().all(|b| b == b'0' || b == b'.');
    if has_none { text } else { format!("+{text}") }
}

/// How many of something: `1 lane`, `6 lanes`.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
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
    fn lengths_are_shown_as_the_shop_reads_them() {
        let both = Written { mm: true, inches: true, denominator: 64 };
        assert_eq!(both.bare(51.284, 2), "51.28 (2 1/64)");
        assert_eq!(both.said(51.284, 2), "51.28 mm (2 1/64 in)");
        assert_eq!(Units::Inch.fixed(25.4, [2, 3]).said(), "1.000 in");
        assert_eq!(Units::Mm.short(2.50, [2, 3]).to_string(), "2.5");
    }

    #[test]
    fn a_change_that_rounds_to_nothing_has_no_sign() {
        assert_eq!([0.0, -0.0, 1e-9, -1e-9].map(|v| signed(v, 2)), ["0.00"; 4]);
        assert_eq!([0.005001, -1.0].map(|v| signed(v, 2)), ["+0.01", "-1.00"]);
        assert_eq!(Units::Inch.change(25.4, [2, 3]), "+1.000");
    }

    #[test]
    fn a_length_too_large_to_count_is_the_largest() {
        assert!(InchFraction::nearest(1e300, 16).mm() > 1e18);
        assert!(InchFraction::nearest(-1e300, 16).to_string().starts_with('-'));
    }

    #[test]
    fn room_is_rounded_down_and_need_up() {
        assert_eq!(
            [0.399, 0.3901, 0.29, 0.57, 1.0].map(|v| rounded_down(v, 2)),
            ["0.39", "0.39", "0.29", "0.57", "1.00"]
        );
        assert_eq!([71.54, 71.5, 71.500_1, 61.9].map(|v| rounded_up(v, 1)), ["71.6", "71.5", "71.6", "61.9"]);
        assert_eq!([rounded_down(-0.004, 2), rounded_up(-0.004, 2)], ["-0.01", "0.00"]);
    }

    #[test]
    fn no_negative_zero_is_printed() {
        assert_eq!(fixed(-0.0004, 3), "0.000");
        assert_eq!(fixed(-0.0006, 3), "-0.001");
        assert_eq!(short(25.0, 2), "25");
        assert_eq!(short(27.50, 2), "27.5");
    }
}
