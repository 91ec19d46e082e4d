//! Units of length and angle, and the only conversions between them.
//!
//! Everything past the readers is in millimetres and, outside formulas, degrees.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Millimetres in an inch, exact by definition (international yard and pound agreement, 1959; ISO 80000-3).
pub const MM_PER_INCH: f64 = 25.4;

/// A hundredth of a millimetre, mm.
const HUNDREDTH: f64 = 0.01;
/// A thousandth of an inch, mm.
pub const THOUSANDTH: f64 = MM_PER_INCH / 1000.0;

/// The unit that bare numbers of a file or of the command line are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub enum Units {
    /// Millimetres.
    #[default]
    #[serde(rename = "mm")]
    Mm,
    /// Inches of 25.4 mm.
    #[serde(rename = "in")]
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

    /// The unit's sign for volumes of blocks, as files and sheets write it.
    fn volume_symbol(self) -> &'static str {
        self.choose(["cm³", "in³"])
    }

    /// The first choice for millimetres, the second for inches.
    fn choose<T>(self, [metric, imperial]: [T; 2]) -> T {
        match self {
            Units::Mm => metric,
            Units::Inch => imperial,
        }
    }
}

/// Decimals of lengths that calipers measure: hundredths of a millimetre, thousandths of an inch.
pub const FINE: [usize; 2] = [2, 3];
/// Decimals of lengths that need no calipers: tenths of a millimetre, hundredths of an inch.
pub const COARSE: [usize; 2] = [1, 2];
/// Decimals of lengths that a rule measures: whole millimetres, tenths of an inch.
pub const WHOLE: [usize; 2] = [0, 1];
/// Decimals of lengths that nobody rounds: thousandths of a millimetre, ten-thousandths of an inch.
pub const EXACT: [usize; 2] = [3, 4];
/// Decimals of what is smaller than calipers show: ten-thousandths of a millimetre, hundred-thousandths of an inch.
pub const MINUTE: [usize; 2] = [4, 5];

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
        // Square brackets hold the same dimension in the other unit (dual dimensioning; ISO 129-1, from memory).
        self.also.iter().try_for_each(|also| write!(f, " [{}]", also.digits))
    }
}

impl Shown {
    /// The same with units: `51.28 mm`, `51.28 mm [2 1/64 in]`.
    pub fn said(&self) -> String {
        self.with(Units::symbol)
    }

    /// The same with the sign of a unit of area, volume or the like behind each number.
    fn with(&self, sign: fn(Units) -> &'static str) -> String {
        let said = |n: &Number| format!("{} {}", n.digits, sign(n.unit));
        match &self.also {
            None => said(&self.first),
            Some(also) => format!("{} [{}]", said(&self.first), said(also)),
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
    /// A shop that reads one unit, inches to the finest fraction of a rule.
    pub fn of(units: Units) -> Self {
        Self { mm: units == Units::Mm, inches: units == Units::Inch, denominator: 64 }
    }

    /// A number in each unit that is written.
    fn each(self, digits: impl Fn(Units) -> String) -> Shown {
        let number = |unit: Units| Number { digits: digits(unit), unit };
        Shown { first: number(self.first()), also: (self.mm && self.inches).then(|| number(Units::Inch)) }
    }

    /// `mm` with all of as many `decimals` of a millimetre or of an inch.
    pub fn fixed(self, mm: f64, decimals: [usize; 2]) -> Shown {
        self.each(|unit| fixed(unit.of(mm), unit.choose(decimals)))
    }

    /// The same without trailing zeros.
    pub fn short(self, mm: f64, decimals: [usize; 2]) -> Shown {
        self.each(|unit| short(unit.of(mm), unit.choose(decimals)))
    }

    /// The same with its sign; nothing has none.
    pub fn signed(self, mm: f64, decimals: [usize; 2]) -> Shown {
        self.each(|unit| signed(unit.of(mm), unit.choose(decimals)))
    }

    /// `mm` with how far it may be off: `59.92 ±0.38`.
    pub fn toleranced(self, mm: f64, within: f64) -> Shown {
        let decimals = |unit: Units| unit.choose(FINE);
        let said = |unit: Units, mm| fixed(unit.of(mm), decimals(unit));
        self.each(|unit| format!("{} ±{}", said(unit, mm), rounded_down(unit.of(within), decimals(unit))))
    }

    /// `mm` with its unit as calipers show it: `12.00 mm`, `0.472 in`.
    pub fn length(self, mm: f64) -> String {
        self.fixed(mm, FINE).said()
    }

    /// The same without trailing zeros: `2.4 mm`, `0.094 in`.
    pub fn size(self, mm: f64) -> String {
        self.short(mm, FINE).said()
    }

    /// `mm` with its unit where calipers are not needed: `12.0 mm`, `0.47 in`.
    pub fn coarse(self, mm: f64) -> String {
        self.fixed(mm, COARSE).said()
    }

    /// Room, of which no more must be read than there is, rounded toward less.
    pub fn less(self, mm: f64, decimals: [usize; 2]) -> Shown {
        self.each(|unit| rounded_down(unit.of(mm), unit.choose(decimals)))
    }

    /// What is needed, of which no less must be read, rounded toward more.
    pub fn more(self, mm: f64, decimals: [usize; 2]) -> Shown {
        self.each(|unit| rounded_up(unit.of(mm), unit.choose(decimals)))
    }

    /// Less than calipers show, with its unit: `0.18 µm`, `0.007 thousandths of an inch`.
    pub fn minute(self, mm: f64) -> String {
        let digits = |unit: Units| short(1000.0 * unit.of(mm), 4);
        self.each(digits).with(|unit| unit.choose(["µm", "thousandths of an inch"]))
    }

    /// Room with its unit as calipers show it, rounded toward less.
    pub fn under(self, mm: f64) -> String {
        self.less(mm, FINE).said()
    }

    /// What is needed with its unit as calipers show it, rounded toward more.
    pub fn over(self, mm: f64) -> String {
        self.more(mm, FINE).said()
    }

    /// The same with the unit that is written first alone, where there is little room.
    pub fn first_alone(self) -> Self {
        Self { mm: self.mm, inches: !self.mm, ..self }
    }

    /// A size that a printer's maker states in mm, with inches beside it where they are read: `0.4 mm [0.016 in]`.
    pub fn printer(self, mm: f64) -> String {
        Written { mm: true, ..self }.length(mm)
    }

    /// Sides of a thing with their unit: `220.0 × 90.0 mm`, `8.66 × 3.54 in`.
    pub fn sides<const N: usize>(self, mm: [f64; N], decimals: [usize; 2]) -> String {
        let side = |unit: Units, mm| fixed(unit.of(mm), unit.choose(decimals));
        self.each(|unit| mm.map(|mm| side(unit, mm)).join(" × ")).said()
    }

    /// A volume in mm³ with its unit: `237.6 cm³`, `14.50 in³`.
    pub fn volume(self, mm3: f64) -> String {
        self.volume_digits(mm3).with(Units::volume_symbol)
    }

    /// A volume in mm³ without its unit.
    pub fn volume_digits(self, mm3: f64) -> Shown {
        self.each(|unit| match unit {
            Units::Mm => fixed(mm3 / 1000.0, 1),
            Units::Inch => fixed(mm3 / MM_PER_INCH.powi(3), 2),
        })
    }

    /// The unit of volumes, for headings.
    pub fn volume_unit(self) -> &'static str {
        match (self.mm, self.inches) {
            (true, true) => "cm³ [in³]",
            (false, true) => "in³",
            _ => "cm³",
        }
    }

    /// Cubic millimetres of steel with their unit: `27 mm³`, `0.0016 in³`.
    pub fn small_volume(self, mm3: f64) -> String {
        self.each(|unit| fixed(mm3 / unit.mm().powi(3), unit.choose([0, 4]))).with(|unit| unit.choose(["mm³", "in³"]))
    }

    /// The words of an error, which says lengths in mm, as this shop reads them.
    ///
    /// Errors are the library's and know no reader; the digits that they write are enough for thousandths of an inch.
    pub fn reworded(self, words: &str) -> String {
        if !self.inches {
            return words.to_string();
        }
        let sign = format!(" {}", Units::Mm.symbol());
        let mut out = String::new();
        let mut rest = words;
        while let Some(at) = rest.find(&sign) {
            let (before, after) = (&rest[..at], &rest[at + sign.len()..]);
            let numbers = numbers_at_end(before);
            // Where the same length follows in inches the words are of one who reads both.
            if numbers.is_empty() || after.starts_with(|c: char| c.is_alphanumeric()) || after.starts_with(" [") {
                out += &rest[..at + sign.len()];
            } else {
                out += &before[..before.len() - numbers.len()];
                let inches = |number: &str| {
                    let sign = if number.starts_with('+') { "+" } else { "" };
                    let digits = |mm: f64| format!("{sign}{}", short(mm / MM_PER_INCH, FINE[1]));
                    number.parse().map_or_else(|_| number.to_string(), digits)
                };
                let said: String = numbers
                    .split_inclusive(' ')
                    .map(|word| match word.strip_suffix(' ') {
                        Some(word) => format!("{} ", inches(word)),
                        None => inches(word),
                    })
                    .collect();
                let unit = Units::Inch.symbol();
                out += &if self.mm { format!("{numbers}{sign} [{said} {unit}]") } else { format!("{said} {unit}") };
            }
            rest = after;
        }
        out + rest
    }

    /// `mm` to the nearest step of calipers, as it is printed in decimals, in mm.
    pub fn as_printed(self, mm: f64) -> f64 {
        match self.first() {
            Units::Mm => (mm * 100.0).round() / 100.0,
            Units::Inch => (mm / THOUSANDTH).round() * THOUSANDTH,
        }
    }

    /// The step of calipers in the unit that is written first, mm: a hundredth of a millimetre or a thousandth of an inch.
    pub fn caliper_step(self) -> f64 {
        match self.first() {
            Units::Mm => HUNDREDTH,
            Units::Inch => THOUSANDTH,
        }
    }

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

    /// `mm` without units, to as many decimals of a millimetre: `51.28`, `2 1/64`, `51.28 [2 1/64]`.
    pub fn bare(self, mm: f64, decimals: usize) -> String {
        self.shown(mm, decimals).to_string()
    }

    /// `mm` with units: `51.28 mm`, `2 1/64 in`, `51.28 mm [2 1/64 in]`.
    pub fn said(self, mm: f64, decimals: usize) -> String {
        self.shown(mm, decimals).said()
    }

    /// A size that drills, pins and screws have: in the unit that is written first, inches to 1/32, as shops sell no
    /// finer ones for wood (common practice, no source).
    pub fn native(self, mm: f64) -> Shown {
        match self.first() {
            Units::Mm => Units::Mm.short(mm, [1, 1]),
            Units::Inch => Number::fraction(mm, 32).into(),
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
            (true, true) => "mm [in]",
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

/// The numbers that a text ends in, with what joins them: `4 to 12` of `a board of 4 to 12`, nothing where it ends in none.
fn numbers_at_end(text: &str) -> &str {
    let last_word = |text: &str| text.rsplit(' ').next().unwrap_or_default().len();
    let mut start = text.len();
    let mut before = text;
    loop {
        let from = before.len() - last_word(before);
        if before[from..].parse::<f64>().is_err() {
            return &text[start..];
        }
        start = from;
        let joint = ["×", "to", "±"].iter().find_map(|joint| before[..from].strip_suffix(&format!(" {joint} ")));
        let Some(rest) = joint else { return &text[start..] };
        before = rest;
    }
}

/// `value` with a fixed number of decimals and never a negative zero, so that files compare well.
pub fn fixed(value: f64, decimals: usize) -> String {
    let mut text = String::new();
    if let Some(whole) = in_last_decimals(value, decimals) {
        push_decimal(&mut text, value < 0.0, whole, decimals);
        return text;
    }
    text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.bytes().all(|b| b == b'0' || b == b'.') => digits.to_string(),
        _ => text,
    }
}

/// What sums and conversions of lengths lose, mm: a limit that is met to the digit is met.
const LOST: f64 = 1e-9;

/// Whether a length is less than is needed, both in mm: 4.72 is as much as 2.72 and 2, and 38.1 as much as 1 1/2 in.
pub fn falls_short(mm: f64, least: f64) -> bool {
    mm < least - LOST
}

/// Whether a length is more than there is room for, both in mm.
pub fn exceeds(mm: f64, most: f64) -> bool {
    mm > most + LOST
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
    let mut text = String::new();
    push_short(&mut text, value, decimals);
    text
}

/// Appends [`short`] to a text.
pub fn push_short(text: &mut String, value: f64, mut decimals: usize) {
    if let Some(mut whole) = in_last_decimals(value, decimals) {
        while decimals > 0 && whole.is_multiple_of(10) {
            whole /= 10;
            decimals -= 1;
        }
        push_decimal(text, value < 0.0, whole, decimals);
        return;
    }
    let fixed = fixed(value, decimals);
    text.push_str(if fixed.contains('.') { fixed.trim_end_matches('0').trim_end_matches('.') } else { &fixed });
}

/// The size of `value` as a whole number of its last decimal, where it is surely what exact rounding gives; drawings
/// write so many numbers that the general way takes most of their time.
fn in_last_decimals(value: f64, decimals: usize) -> Option<u64> {
    const TENS: [f64; 11] = [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10];
    const MOST: f64 = 1e9;
    // Ten times what the product below this may be off; nearer to the middle of two numbers it is left open.
    const DOUBT: f64 = 1e-6;
    let size = value.abs() * TENS.get(decimals)?;
    let rest = size - size.floor();
    let is_sure = size < MOST && (rest - 0.5).abs() > DOUBT;
    is_sure.then(|| size.floor() as u64 + u64::from(rest > 0.5))
}

/// Appends a whole number of last decimals.
fn push_decimal(text: &mut String, negative: bool, whole: u64, decimals: usize) {
    // Digits from the last on; ten decimals and ten digits before them at most.
    let (mut digits, mut count, mut rest) = ([b'0'; 24], 0, whole);
    while rest > 0 || count <= decimals {
        digits[count] = b'0' + (rest % 10) as u8;
        rest /= 10;
        count += 1;
    }
    if negative && whole > 0 {
        text.push('-');
    }
    for i in (0..count).rev() {
        text.push(char::from(digits[i]));
        if i == decimals && decimals > 0 {
            text.push('.');
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_rounded_exactly() {
        let general = |value: f64, decimals: usize| {
            let text = format!("{value:.decimals$}");
            let is_zero = text.bytes().all(|b| matches!(b, b'-' | b'0' | b'.'));
            if is_zero { text.trim_start_matches('-').to_string() } else { text }
        };
        let halves = (0..400).map(|i| f64::from(i - 200) / 16.0);
        let hundredths = (0..400).map(|i| f64::from(i - 200) * 0.00005);
        let many = (0..20_000).map(|i| 400.0 * (f64::from(i) * 0.618_033_988_749_895).fract() - 200.0);
        let odd = [0.0, -0.0, 1e-9, -1e-9, 0.5, 1.5, 2.5, 99_999.999_95, 1e8, 1e15, 1e300, f64::INFINITY, f64::NAN];
        for value in halves.chain(hundredths).chain(many).chain(odd) {
            for decimals in [0, 1, 2, 3, 4, 10, 12] {
                let text = general(value, decimals);
                assert_eq!(fixed(value, decimals), text);
                let bare = text.trim_end_matches('0').trim_end_matches('.');
                assert_eq!(short(value, decimals), if text.contains('.') { bare } else { &text });
            }
        }
    }

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
        assert_eq!(both.bare(51.284, 2), "51.28 [2 1/64]");
        assert_eq!(both.said(51.284, 2), "51.28 mm [2 1/64 in]");
        assert_eq!(Units::Inch.fixed(25.4, [2, 3]).said(), "1.000 in");
        assert_eq!(Units::Mm.short(2.50, [2, 3]).to_string(), "2.5");
    }

    #[test]
    fn an_error_in_mm_is_reworded_for_those_who_read_inches() {
        let inches = Written::of(Units::Inch);
        for (mm, read) in [
            ("a blade 6 mm thick is outside 0.2 mm to 25 mm", "a blade 0.236 in thick is outside 0.008 in to 0.984 in"),
            ("12.7 mm", "0.5 in"),
            ("a bed of 50.8 × 25.4 mm: 5 to 10 mm", "a bed of 2 × 1 in: 0.197 to 0.394 in"),
            ("mm, 4 mm³ and x mm of it", "mm, 4 mm³ and x mm of it"),
            ("tilt it to 25.4 mm", "tilt it to 1 in"),
            ("an error of +2.54 mm ± 0.254 mm", "an error of +0.1 in ± 0.01 in"),
        ] {
            assert_eq!(inches.reworded(mm), read);
            assert_eq!(Written::of(Units::Mm).reworded(mm), mm);
        }
        let both = Written { mm: true, ..inches };
        assert_eq!(both.reworded("it lies 25.4 mm off"), "it lies 25.4 mm [1 in] off");
        // Found by a random job: a board's limit, said for a jig in both units, was said twice, with other digits.
        let said = "a block 20.94 mm [0.825 in] thick; at most 20.04 mm [0.789 in]";
        assert_eq!([inches.reworded(said), both.reworded(said)], [said, said]);
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
