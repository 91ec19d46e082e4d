//! Lengths, angles and tapers in every form a file or the command line may write them.
//!
//! A length is a number in the file's units, a text with its own unit (`"18 mm"`, `"45/64 in"`, `"1 3/8 in"`,
//! `"18 mm +- 0.05 mm"`), or `{"value": L, "within": L}`. Its tolerance "within ±w" is the half-width of a
//! rectangular distribution (JCGM 100:2008, 4.3.7).

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::value::MapAccessDeserializer;
use serde::de::{Deserializer, Error, MapAccess, Visitor};
use serde::{Deserialize, Serialize};
use unicode_normalization::UnicodeNormalization;

use crate::trig::Inverse;
use crate::units::{Units, short};

/// A length in millimetres, and how far off it may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Length {
    /// Millimetres.
    pub mm: f64,
    /// Half-width of its tolerance, mm; `None` when nothing was stated.
    pub within: Option<f64>,
}

impl Length {
    /// A length with no stated tolerance.
    pub fn exact(mm: f64) -> Self {
        Self { mm, within: None }
    }

    /// A length known within ± `within` mm.
    pub fn within(mm: f64, within: f64) -> Self {
        Self { mm, within: Some(within) }
    }
}

/// An angle in degrees, and how far off it may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Angle {
    /// Degrees.
    pub degrees: f64,
    /// Half-width of its tolerance, degrees; `None` when nothing was stated.
    pub within: Option<f64>,
}

impl Angle {
    /// An angle with no stated tolerance.
    pub fn exact(degrees: f64) -> Self {
        Self { degrees, within: None }
    }
}

/// A number or a text with its own unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Amount {
    /// A number in the units around it.
    Number(f64),
    /// A text with its own unit.
    Text(String),
}

/// A length as a file writes it.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum LengthForm {
    /// Without a tolerance (a text may carry one).
    Plain(Amount),
    /// `{"value": …, "within": …}`
    Toleranced {
        /// The length.
        value: Amount,
        /// The half-width of its tolerance.
        within: Amount,
    },
}

/// An angle as a file writes it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum AngleForm {
    /// Degrees.
    Plain(f64),
    /// `{"value": …, "within": …}`, degrees.
    Toleranced {
        /// The angle.
        value: f64,
        /// The half-width of its tolerance.
        within: f64,
    },
}

/// A taper as a file writes it: an angle, or two thicknesses and the distance between them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum TaperForm {
    /// Two thicknesses, one at the heel, and how far apart they were taken.
    Measured {
        /// Thickness at the heel.
        heel: LengthForm,
        /// Thickness further up the blade.
        upper: LengthForm,
        /// Distance between the two places.
        apart: LengthForm,
    },
    /// Degrees, positive when thicker at the edge.
    Angle(AngleForm),
}

/// Standard uncertainty of a tolerance ± `within`, in its unit: of a rectangular distribution of that half-width (JCGM
/// 100:2008, 4.3.7).
pub fn rectangular(within: f64) -> f64 {
    within / 3f64.sqrt()
}

/// Reads either form at its first sign: a kit has tens of thousands of lengths, and trying one form after the other
/// would copy each of them first.
struct OfLength;

impl<'de> Visitor<'de> for OfLength {
    type Value = LengthForm;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a number, a text, or an object with value and within")
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<LengthForm, E> {
        Ok(LengthForm::Plain(Amount::Number(number)))
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<LengthForm, E> {
        self.visit_f64(number as f64)
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<LengthForm, E> {
        self.visit_f64(number as f64)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<LengthForm, E> {
        Ok(LengthForm::Plain(Amount::Text(text.into())))
    }

    fn visit_map<A: MapAccess<'de>>(self, members: A) -> Result<LengthForm, A::Error> {
        let Toleranced { value, within } = Toleranced::deserialize(MapAccessDeserializer::new(members))?;
        Ok(LengthForm::Toleranced { value, within })
    }
}

#[derive(Deserialize)]
struct Toleranced {
    value: Amount,
    within: Amount,
}

impl<'de> Deserialize<'de> for LengthForm {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OfLength)
    }
}

impl<'de> Deserialize<'de> for Amount {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        match LengthForm::deserialize(deserializer)? {
            LengthForm::Plain(amount) => Ok(amount),
            LengthForm::Toleranced { .. } => Err(D::Error::custom("a tolerance stated twice")),
        }
    }
}

/// Why a text is no length, in words for the user.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{found}{}", write.as_ref().map(|write| format!(". Write {write}")).unwrap_or_default())]
pub struct NoLength {
    /// What is wrong.
    pub found: String,
    /// What to type instead, where that is known.
    pub write: Option<String>,
}

impl NoLength {
    /// What to type, a sentence.
    pub fn mend(&self) -> Option<String> {
        self.write.as_ref().map(|write| format!("Write {write}."))
    }
}

impl From<String> for NoLength {
    fn from(found: String) -> Self {
        Self { found, write: None }
    }
}

impl From<&str> for NoLength {
    fn from(found: &str) -> Self {
        found.to_string().into()
    }
}

impl Amount {
    fn read(&self, units: Units) -> Result<Length, NoLength> {
        match self {
            Amount::Number(n) => {
                let mm = n * units.mm();
                if mm.is_finite() { Ok(Length::exact(mm)) } else { Err(format!("{n:e} is not a length").into()) }
            }
            Amount::Text(text) => parse(text, None),
        }
    }
}

impl LengthForm {
    /// The length in mm; bare numbers are in `units`.
    ///
    /// # Errors
    /// Why the text is no length, in words for the user.
    pub fn read(&self, units: Units) -> Result<Length, NoLength> {
        match self {
            LengthForm::Plain(amount) => amount.read(units),
            LengthForm::Toleranced { value, within } => {
                let (value, within) = (value.read(units)?, within.read(units)?);
                if value.within.is_some() || within.within.is_some() {
                    return Err("a tolerance stated twice".into());
                }
                Ok(Length { mm: value.mm, within: Some(within.mm) })
            }
        }
    }
}

impl AngleForm {
    /// The angle in degrees.
    pub fn read(&self) -> Angle {
        match *self {
            AngleForm::Plain(degrees) => Angle { degrees, within: None },
            AngleForm::Toleranced { value, within } => Angle { degrees: value, within: Some(within) },
        }
    }
}

impl TaperForm {
    /// The taper in degrees, positive when the blade is thicker at the edge.
    ///
    /// # Errors
    /// Why the text is no length, in words for the user.
    pub fn read(&self, units: Units) -> Result<Angle, NoLength> {
        match self {
            TaperForm::Angle(form) => Ok(form.read()),
            TaperForm::Measured { heel, upper, apart } => {
                let (heel, upper, apart) = (heel.read(units)?, upper.read(units)?, apart.read(units)?);
                if apart.mm <= 0.0 {
                    return Err("a distance of zero or less between the two thicknesses".into());
                }
                let degrees = ((heel.mm - upper.mm) / apart.mm).arctangent().to_degrees();
                // Both thicknesses at their far ends: the widest the taper can be off.
                let within = match (heel.within, upper.within) {
                    (None, None) => None,
                    (a, b) => Some(((a.unwrap_or(0.0) + b.unwrap_or(0.0)) / apart.mm).arctangent().to_degrees()),
                };
                Ok(Angle { degrees, within })
            }
        }
    }
}

/// Reads a length from text: `18`, `18 mm`, `45/64 in`, `1 3/8 in`, `-12 mm`, `18 mm +- 0.05 mm`, `{"value": 18, "within": 0.05}`.
///
/// `bare` is the unit of a number that has none; `None` where a unit must be written.
///
/// # Errors
/// Why the text is no length, in words for the user.
pub fn parse(text: &str, bare: Option<Units>) -> Result<Length, NoLength> {
    if let (Some(units), true) = (bare, text.trim_start().starts_with('{')) {
        let form: LengthForm =
            serde_json::from_str(text).map_err(|_| NoLength::from(format!("\"{text}\" is not a length")))?;
        let length = form.read(units)?;
        return match length.within {
            Some(within) if within < 0.0 => Err(below_zero(text)),
            _ => Ok(length),
        };
    }
    let (main, tolerance) = match text.split_once("+-").or_else(|| text.split_once('±')) {
        Some((main, tolerance)) => (main, Some(tolerance)),
        None => (text, None),
    };
    // "18 +- 0.05 mm": the unit of the tolerance serves both when the length has none.
    let main_bare = bare.or_else(|| tolerance.and_then(|t| split_unit(t).1));
    let mm = parse_plain(main, main_bare)?;
    let within = match tolerance {
        None => None,
        Some(t) => {
            let within = parse_plain(t, bare.or_else(|| split_unit(main).1))?;
            if within < 0.0 {
                return Err(below_zero(text));
            }
            Some(within)
        }
    };
    Ok(Length { mm, within })
}

fn below_zero(text: &str) -> NoLength {
    format!("a tolerance below zero in \"{text}\"").into()
}

fn split_unit(text: &str) -> (&str, Option<Units>) {
    let text = text.trim();
    for (sign, unit) in
        [("mm", Units::Mm), ("inches", Units::Inch), ("inch", Units::Inch), ("in", Units::Inch), ("\"", Units::Inch)]
    {
        if let Some(number) = text.strip_suffix(sign) {
            return (number.trim_end(), Some(unit));
        }
    }
    (text, None)
}

fn parse_plain(text: &str, bare: Option<Units>) -> Result<f64, NoLength> {
    read_plain(text, bare).map_err(|found| {
        let text = text.trim();
        let (number, unit) = split_unit(text);
        let is_bare = bare.is_none() && unit.is_none();
        let write = match meant(text, bare) {
            Some(meant) if text.ends_with("cm") => Some(format!("\"{meant}\", or use in")),
            Some(meant) => Some(format!("\"{meant}\"")),
            None if is_bare && number.contains('/') => {
                meant(text, Some(Units::Inch)).map(|meant| format!("\"{meant}\""))
            }
            None if is_bare => meant(text, Some(Units::Mm)).map(|meant| {
                format!("{} without quotes, or with its unit: \"{meant}\"", meant.trim_end_matches(" mm"))
            }),
            None => None,
        };
        NoLength { found, write }
    })
}

fn read_plain(text: &str, bare: Option<Units>) -> Result<f64, String> {
    let (number, unit) = split_unit(text);
    if unit.is_none() && number.ends_with(char::is_alphabetic) {
        return Err(in_no_unit_of_ours(number));
    }
    let Some(unit) = unit.or(bare) else {
        return Err(format!("\"{}\" has no unit", text.trim()));
    };
    let number = number.trim();
    let (negative, digits) = match number.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, number),
    };
    let refuse = || no_length(text.trim(), digits);
    // "1 3/8" and "1-3/8" are whole inches and a fraction.
    let size = match digits.split_once([' ', '-']) {
        Some((whole, fraction)) if fraction.contains('/') => whole_number(whole).ok_or_else(refuse)? + ratio(fraction)?,
        Some(_) => return Err(refuse()),
        None if digits.contains('/') => ratio(digits)?,
        None => decimal(digits).ok_or_else(refuse)?,
    };
    let mm = size * unit.mm();
    if !mm.is_finite() {
        return Err(refuse());
    }
    Ok(if negative { -mm } else { mm })
}

/// What is wrong with a length in another unit.
fn in_no_unit_of_ours(text: &str) -> String {
    match text.strip_suffix("cm") {
        Some(_) => format!("\"{text}\": cm is not supported"),
        None => format!("the unit of \"{text}\" is neither mm nor in"),
    }
}

/// What is wrong with a number that is none.
fn no_length(text: &str, digits: &str) -> String {
    match digits.split_once(',').and_then(|(whole, part)| decimal(&format!("{whole}.{part}"))) {
        Some(_) => format!("\"{text}\" has a decimal comma"),
        None => format!("\"{text}\" is not a length"),
    }
}

/// The length that somebody meant who wrote it as people do elsewhere: with a decimal comma, the signs of a printed page
/// (″ and ½), or in a unit that is not read here (cm, m, ft, thou). With its unit, as it is read here.
pub(super) fn meant(text: &str, bare: Option<Units>) -> Option<String> {
    let mut plain = String::new();
    for sign in text.trim().chars() {
        match sign {
            '″' | '”' | '“' | '„' | '〃' => plain.push('"'),
            '′' | '’' | '‘' => plain.push('\''),
            sign => {
                let parts: String = std::iter::once(sign).nfkd().collect();
                match parts.contains('\u{2044}') {
                    true => plain.push_str(&format!(" {}", parts.replace('\u{2044}', "/"))),
                    false => plain.push(sign),
                }
            }
        }
    }
    let mut plain = plain.replace("''", "\"").to_lowercase();
    if plain.matches(',').count() == 1 && !plain.contains('.') {
        plain = plain.replace(',', ".");
    }
    let end = plain.find(|c: char| c.is_alphabetic() || matches!(c, '"' | '\'')).unwrap_or(plain.len());
    let (number, unit) = (plain[..end].trim(), plain[end..].trim().trim_end_matches('.'));
    let (per, unit) = match unit {
        "" => (1.0, bare?),
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => (1.0, Units::Mm),
        "in" | "ins" | "inch" | "inches" | "\"" => (1.0, Units::Inch),
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => (10.0, Units::Mm),
        "m" | "metre" | "metres" | "meter" | "meters" => (1000.0, Units::Mm),
        "ft" | "foot" | "feet" | "'" => (12.0, Units::Inch),
        "thou" | "mil" | "mils" => (0.001, Units::Inch),
        _ => return None,
    };
    let size = match decimal(number) {
        Some(size) => short(per * size, 6),
        None if per == 1.0 => number.to_string(),
        None => return None,
    };
    let meant = format!("{size} {}", unit.symbol());
    read_plain(&meant, None).is_ok().then_some(meant)
}

/// Whether what stands after a number says that it is degrees.
pub(crate) fn is_degrees(unit: &str) -> bool {
    matches!(unit.trim().to_lowercase().as_str(), "°" | "º" | "˚" | "deg" | "deg." | "degree" | "degrees")
}

/// The number of degrees that somebody meant who put quotes, a sign or a decimal comma to it.
pub fn degrees_meant(text: &str) -> Option<f64> {
    let text = text.trim();
    let end = text.find(|c: char| !matches!(c, '0'..='9' | '.' | ',' | '-')).unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let number = if number.contains('.') { number.to_string() } else { number.replacen(',', ".", 1) };
    (unit.trim().is_empty() || is_degrees(unit)).then(|| number.parse().ok()).flatten()
}

fn ratio(text: &str) -> Result<f64, String> {
    let refuse = || format!("\"{text}\" is no fraction");
    let (top, bottom) = text.split_once('/').ok_or_else(refuse)?;
    let (top, bottom) = (whole_number(top).ok_or_else(refuse)?, whole_number(bottom).ok_or_else(refuse)?);
    if bottom == 0.0 {
        return Err(format!("\"{}\" is a fraction over zero", text.trim()));
    }
    Ok(top / bottom)
}

fn whole_number(text: &str) -> Option<f64> {
    let text = text.trim();
    let plain = !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

fn decimal(text: &str) -> Option<f64> {
    let plain = text.bytes().all(|b| b.is_ascii_digit() || b == b'.') && text.bytes().any(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// Half of the last digit that `text` is written to, mm: 0.05 for `39.2 mm`, 1/128 in for `45/64 in`, 0.5 for `39` in
/// mm. `bare` is the unit of a number that has none. `None` where `text` is no length without a tolerance.
pub fn half_last_digit(text: &str, bare: Option<Units>) -> Option<f64> {
    parse_plain(text, bare).ok()?;
    let (number, unit) = split_unit(text);
    let mm = unit.or(bare)?.mm();
    if let Some((_, bottom)) = number.split_once('/') {
        let bottom = whole_number(bottom)?;
        return (bottom > 0.0).then(|| 0.5 / bottom * mm);
    }
    Some(half_digit(number)? * mm)
}

/// Half of the last digit of a number as JSON or a text writes it: 0.05 for `39.2`, 0.5 for `-39`, 0.05 for `3.92e1`.
/// `None` where it is no number, or one beyond doubles.
pub fn half_digit(number: &str) -> Option<f64> {
    let (digits, exponent) = number.split_once(['e', 'E']).unwrap_or((number, "0"));
    decimal(digits.strip_prefix(['-', '\u{2212}']).unwrap_or(digits).trim())?;
    let exponent: i32 = exponent.parse().ok()?;
    let decimals = digits.split_once('.').map_or(0, |(_, after)| after.trim().len());
    let power = exponent.checked_sub(i32::try_from(decimals).ok()?)?;
    Some(0.5 * 10f64.powi(power)).filter(|half| half.is_finite())
}

/// What a message says a length may look like.
pub const LENGTH_FORMS: &str =
    "a number, a text such as \"18 mm\", \"45/64 in\" or \"1 3/8 in\", or {\"value\": …, \"within\": …}";

impl JsonSchema for LengthForm {
    fn schema_name() -> Cow<'static, str> {
        "Length".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let plain = serde_json::json!([
            { "type": "number", "description": "in the file's units" },
            { "type": "string", "description": "with its own unit: \"18 mm\", \"45/64 in\", \"1 3/8 in\", \"18 mm +- 0.05 mm\"",
              "pattern": "^\\s*[-\u{2212}]?\\s*[0-9].*$" }
        ]);
        json_schema!({
            "description": "A length: a number in the file's units, a text with its own unit, or either with a tolerance.",
            "anyOf": [
                plain[0], plain[1],
                { "type": "object", "required": ["value", "within"], "additionalProperties": false,
                  "properties": { "value": { "anyOf": plain }, "within": { "anyOf": plain } } }
            ]
        })
    }
}

impl JsonSchema for AngleForm {
    fn schema_name() -> Cow<'static, str> {
        "Angle".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "An angle in degrees, or one with a tolerance.",
            "anyOf": [
                { "type": "number" },
                { "type": "object", "required": ["value", "within"], "additionalProperties": false,
                  "properties": { "value": { "type": "number" }, "within": { "type": "number", "minimum": 0 } } }
            ]
        })
    }
}

impl JsonSchema for TaperForm {
    fn schema_name() -> Cow<'static, str> {
        "Taper".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let length = generator.subschema_for::<LengthForm>();
        let angle = generator.subschema_for::<AngleForm>();
        json_schema!({
            "description": "The angle of the back against the underside in degrees, positive when thicker at the edge; or two thicknesses and the distance between them.",
            "anyOf": [
                angle,
                { "type": "object", "required": ["heel", "upper", "apart"], "additionalProperties": false,
                  "properties": { "heel": length, "upper": length, "apart": length } }
            ]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_is_read() {
        // 1 in = 25.4 mm exactly (international inch).
        for (text, mm) in [
            ("18 mm", 18.0),
            ("18mm", 18.0),
            ("45/64 in", 17.859375),
            ("1 3/8 in", 34.925),
            ("1-3/8\"", 34.925),
            ("-12 mm", -12.0),
            ("0.75 in", 19.05),
        ] {
            let read = parse(text, None).expect("valid").mm;
            assert!((read - mm).abs() < 1e-12, "{text}: {read}");
        }
        assert_eq!(parse("18 mm +- 0.05 mm", None), Ok(Length::within(18.0, 0.05)));
        assert_eq!(parse("18 ± 0.05 mm", None), Ok(Length::within(18.0, 0.05)));
        assert_eq!(parse("1/2", Some(Units::Inch)), Ok(Length::exact(12.7)));
        assert_eq!(parse("{\"value\": 18, \"within\": 0.05}", Some(Units::Mm)), Ok(Length::within(18.0, 0.05)));
    }

    #[test]
    fn the_last_written_digit_is_read() {
        for (text, half) in [
            ("39.2", 0.05),
            ("39", 0.5),
            ("39.20 mm", 0.005),
            ("45/64 in", 25.4 / 128.0),
            ("1 3/8 in", 25.4 / 16.0),
            ("1.5 in", 1.27),
            ("\u{2212} 3.92", 0.005),
        ] {
            let read = half_last_digit(text, Some(Units::Mm)).expect("a length");
            assert!((read - half).abs() < 1e-12, "{text}: {read}");
        }
        assert_eq!(half_last_digit("39", None), None);
        assert_eq!(half_last_digit("1/0 in", None), None);
    }

    /// Found by fuzzing: a last digit beyond doubles in mm, and one of a text that is no number.
    #[test]
    fn what_is_no_length_has_no_last_digit() {
        for text in ["213092e308", "ttt154", "3/8/2", "x3/8", ""] {
            assert_eq!(half_last_digit(text, Some(Units::Inch)), None, "{text}");
        }
        assert_eq!(half_digit("3.92e1"), Some(0.05));
        for text in ["ttt154", "1e999", "1e", "-", "1.2.3"] {
            assert_eq!(half_digit(text), None, "{text}");
        }
    }

    #[test]
    fn broken_lengths_are_refused_in_words() {
        for text in [
            "", "mm", "1/0 in", "1 3/0 in", "18", "1e3 mm", "nan mm", "inf mm", "1 2 mm", "1//2 in", "1.2.3 mm",
            "- mm", "3/8/2 in",
        ] {
            assert!(parse(text, None).is_err(), "{text:?} was read");
        }
        assert!(parse("1/0 in", None).expect_err("refused").found.contains("over zero"));
        assert!(parse("18", None).expect_err("refused").found.contains("no unit"));
        for bare in [None, Some(Units::Mm)] {
            let refused = |text| parse(text, bare).expect_err("refused").to_string();
            assert_eq!(refused("2.4 cm"), "\"2.4 cm\": cm is not supported. Write \"24 mm\", or use in");
            assert_eq!(refused("2 ft"), "the unit of \"2 ft\" is neither mm nor in. Write \"24 in\"");
            assert_eq!(refused("2,4 mm"), "\"2,4 mm\" has a decimal comma. Write \"2.4 mm\"");
        }
        for (text, write) in [
            ("2″", "\"2 in\""),
            ("2''", "\"2 in\""),
            ("1½ in", "\"1 1/2 in\""),
            ("50 thou", "\"0.05 in\""),
            ("0.05 m", "\"50 mm\""),
            ("1 1/4", "\"1 1/4 in\""),
            ("21,9", "21.9 without quotes, or with its unit: \"21.9 mm\""),
        ] {
            assert_eq!(parse(text, None).expect_err(text).write.as_deref(), Some(write));
        }
        assert_eq!(parse("five", None).expect_err("refused").write, None);
    }

    #[test]
    fn a_number_beyond_doubles_in_mm_is_refused() {
        let huge = LengthForm::Plain(Amount::Number(1e308));
        assert!(huge.read(Units::Mm).is_ok() && huge.read(Units::Inch).is_err());
        assert!(parse("{\"value\": 1e308, \"within\": 1}", Some(Units::Inch)).is_err());
        let form = TaperForm::Measured { heel: huge.clone(), upper: huge.clone(), apart: huge };
        assert!(form.read(Units::Inch).is_err());
    }

    #[test]
    fn a_tolerance_below_zero_is_refused_in_every_form() {
        for text in ["18 +- -1", "18 ± -0.1 mm", "{\"value\": 18, \"within\": -1}"] {
            assert!(parse(text, Some(Units::Mm)).expect_err(text).found.contains("below zero"));
        }
    }

    #[test]
    fn a_taper_from_two_thicknesses_has_its_sign_and_tolerance() {
        let l = |mm: f64| LengthForm::Toleranced { value: Amount::Number(mm), within: Amount::Number(0.05) };
        let form = TaperForm::Measured { heel: l(3.0), upper: l(4.0), apart: LengthForm::Plain(Amount::Number(100.0)) };
        let taper = form.read(Units::Mm).expect("valid");
        assert!((taper.degrees + (0.01f64).arctangent().to_degrees()).abs() < 1e-12, "thinner at the edge is negative");
        assert!((taper.within.expect("stated") - (0.001f64).arctangent().to_degrees()).abs() < 1e-12);
    }
}
