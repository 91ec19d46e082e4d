//! Reading an answer: a line of text in, what stands in the file out. Only what a file could not even hold is refused
//! here; the rest is for the file's own reader.

use serde_json::{Number, Value};

use super::key::{Given, Key};
use crate::input::fault::Fault;
use crate::input::length::{self, NoLength};
use crate::measure::spread::{self, LARGEST_SPREAD};
use crate::questions::words::echoed;
use crate::questions::{self, SEPARATOR, choice};
use crate::shape::script::is_hidden;
use crate::units::{Units, short};

/// What an answer may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Any text.
    Text,
    /// One of the choices.
    Choice,
    /// One of the choices, that steers the questions and stands in no file.
    Steer,
    /// Some of the choices.
    Some,
    /// One of the choices, or the path of a profile.
    Profile,
    /// Yes or no, in no file.
    YesNo,
    /// Yes or no, true or false in the file.
    Flag,
    /// An angle, degrees.
    Degrees,
    /// Angles, degrees.
    Angles,
    /// Texts with commas between them.
    Texts,
    /// A length, read once or several times.
    Length,
    /// Two lengths, such as those of a bed.
    Two,
    /// A length, or one at the left and one at the right.
    OneOrTwo,
    /// The name of a file.
    File,
}

/// What an answer is read by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// What it may be.
    pub kind: Kind,
    /// What a message calls it.
    pub name: String,
}

/// A question for a file.
pub type Question = questions::Question<Key, Asked>;

/// A refusal says no more words than this again, which stand above it.
const MOST_SAID: usize = 6;

/// Reads `line` as an answer to `question`; bare lengths are in `units`.
///
/// # Errors
/// Why it is not taken and what to type.
pub fn read(question: &Question, line: &str, units: Units) -> Result<Given, String> {
    let text = line.trim();
    let refuse = |found: String| Fault::new(question.kind.name.as_str(), found, question.allowed.as_str()).to_string();
    if text.contains(is_hidden) {
        return Err(refuse("it has control characters".into()));
    }
    let words = || question.choices.iter().map(|[word, _]| word.as_str());
    let word = |text: &str| choice::chosen(text, words()).map(|i| question.choices[i][0].as_str());
    let not_among = |text: &str| {
        let all: Vec<String> = words().map(|word| format!("\"{word}\"")).collect();
        let use_of = if all.len() > MOST_SAID { question.allowed.clone() } else { among(&all) };
        let fault = Fault::new(question.kind.name.as_str(), quoted(text), use_of);
        fault.near(text, words()).to_string()
    };
    let chosen = |text: &str| word(text).ok_or_else(|| not_among(text));
    let of = |value: Value, unit| Given { said: text.into(), value: Some(value), unit, made_of_several: None };
    let symbol = units.symbol();
    match question.kind.kind {
        Kind::Text => Ok(Given::word(text)),
        Kind::Texts => {
            let all: Vec<&str> = text.split([',', SEPARATOR]).map(str::trim).filter(|part| !part.is_empty()).collect();
            Ok(Given { value: Some(all.as_slice().into()), ..Given::word(&all.join(", ")) })
        }
        Kind::Choice => chosen(text).map(Given::word),
        Kind::Steer => chosen(text).map(|word| Given { value: None, ..Given::word(word) }),
        Kind::Some => {
            let all: Vec<&str> = parts(text).map(chosen).collect::<Result<_, _>>()?;
            Ok(Given { value: Some(all.as_slice().into()), ..Given::word(&all.join(", ")) })
        }
        Kind::Profile => match word(text) {
            Some(word) => Ok(Given::word(word)),
            None if text.ends_with(".json") || text.contains(['/', '\\']) => Ok(Given::word(text)),
            None => Err(not_among(text)),
        },
        Kind::YesNo | Kind::Flag => match choice::chosen(text, ["yes", "no"].into_iter()) {
            Some(i) => {
                let value = (question.kind.kind == Kind::Flag).then(|| Value::Bool(i == 0));
                Ok(Given { value, ..Given::word(["yes", "no"][i]) })
            }
            None => Err(refuse(quoted(text))),
        },
        Kind::Degrees => degrees(text).map(|value| of(value, "°")).map_err(refuse),
        Kind::Angles => {
            let value = angles(text).map_err(refuse)?;
            Ok(Given { said: parts(text).collect::<Vec<_>>().join(", "), ..of(value, "°") })
        }
        Kind::Length if !question.several => one(text, units).map(|value| of(value, symbol)).map_err(refuse),
        Kind::Length => lengths(text, units)
            .map(|(value, made_of_several)| Given { made_of_several, ..of(value, symbol) })
            .map_err(refuse),
        Kind::Two => two(text, units).map(|value| of(value, symbol)).map_err(refuse),
        Kind::OneOrTwo if text.contains(SEPARATOR) => two(text, units).map(|value| of(value, symbol)).map_err(refuse),
        Kind::OneOrTwo => one(text, units).map(|value| of(value, symbol)).map_err(refuse),
        Kind::File => file(text).map(|name| Given::word(&name)).map_err(refuse),
    }
}

/// `"mm" or "in"`, `"iron", "chisel" or "both"`
fn among(quoted: &[String]) -> String {
    match quoted {
        [others @ .., last] if !others.is_empty() => format!("{} or {last}", others.join(", ")),
        _ => quoted.join(", "),
    }
}

/// What stands between commas, semicolons and blanks.
fn parts(text: &str) -> impl Iterator<Item = &str> {
    text.split([',', SEPARATOR, ' ']).map(str::trim).filter(|part| !part.is_empty())
}

fn degrees(text: &str) -> Result<Value, String> {
    let digits = text.trim_end_matches(['°', ' ']);
    let plain = digits.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b'-');
    match digits.parse::<f64>() {
        Ok(number) if plain => Ok(as_written(digits).unwrap_or_else(|| number.into())),
        _ if digits.matches(',').count() == 1 && digits.replace(',', ".").parse::<f64>().is_ok() => {
            Err(format!("\"{digits}\" has a decimal comma. Write \"{}\"", digits.replace(',', ".")))
        }
        _ => Err(match length::degrees_meant(text) {
            Some(meant) => format!("{} is not a plain number. Write {}", quoted(text), short(meant, 6)),
            None => format!("{} is not an angle in degrees", quoted(text)),
        }),
    }
}

/// Angles between commas or blanks; a comma with one digit behind it is taken for a decimal comma.
fn angles(text: &str) -> Result<Value, String> {
    let decimal = |part: &&str| part.split_once(',').is_some_and(|(_, after)| after.trim_end_matches('°').len() == 1);
    if let Some(part) = text.split([' ', SEPARATOR]).find(decimal) {
        return Err(format!("\"{part}\" has a decimal comma. Write \"{}\"", part.replace(',', ".")));
    }
    let all: Vec<Value> = parts(text).map(degrees).collect::<Result<_, _>>()?;
    if all.is_empty() { Err(quoted(text)) } else { Ok(Value::Array(all)) }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", echoed(text))
}

/// A number just as it is spelled, if a file would spell it so.
fn as_written(digits: &str) -> Option<Value> {
    let number: Number = serde_json::from_str(digits).ok()?;
    let spelled = number.to_string();
    (spelled == digits).then_some(Value::Number(number))
}

/// A length as a file writes it: a number where that keeps every digit, else a text with its unit.
fn one(text: &str, units: Units) -> Result<Value, String> {
    let text = text.trim();
    if text.starts_with('{') {
        return Err(format!("{} is not a length", quoted(text)));
    }
    length::parse(text, Some(units)).map_err(|fault| echoed_fault(text, fault))?;
    Ok(match as_written(text) {
        Some(number) => number,
        None if length::parse(text, None).is_ok() => text.into(),
        None => format!("{text} {}", units.symbol()).into(),
    })
}

/// What is wrong with a length, without the whole of a line that is none.
fn echoed_fault(text: &str, fault: NoLength) -> String {
    match fault.write {
        _ if echoed(text) != text => format!("{} is not a length", quoted(text)),
        Some(write) => format!("{}. Write {write}", fault.found),
        None => fault.found,
    }
}

/// A length, or the mean of several readings with their tolerance; and what was made of them.
fn lengths(text: &str, units: Units) -> Result<(Value, Option<String>), String> {
    let texts: Vec<&str> = text.trim_end_matches([SEPARATOR, ' ']).split(SEPARATOR).map(str::trim).collect();
    if let [single] = texts[..] {
        return Ok((one(single, units)?, None));
    }
    let mut readings = Vec::new();
    for text in &texts {
        one(text, units)?;
        let read = length::parse(text, Some(units)).map_err(|fault| echoed_fault(text, fault))?;
        if read.within.is_some() {
            return Err(format!("{} among several readings, whose spread is the tolerance", quoted(text)));
        }
        readings.push(read.mm);
    }
    let [low, high] = readings.iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], x| [a.min(*x), b.max(*x)]);
    if high - low > LARGEST_SPREAD {
        let apart = units.short(high - low, [3, 3]).said();
        return Err(format!("readings {apart} apart are a slip, not scatter: {}", quoted(text)));
    }
    // No reading is closer than half a step of the coarsest of them.
    let half_step = texts.iter().filter_map(|text| length::half_last_digit(text, Some(units))).fold(0.0, f64::max);
    let (mean, within) = spread::combine(&readings, half_step);
    let in_file =
        |mm: f64| serde_json::json!(units.short(mm, [4, 6]).to_string().parse::<f64>().unwrap_or(units.of(mm)));
    let said =
        format!("{} readings: {} ± {}.", readings.len(), units.short(mean, [3, 4]), units.short(within, [3, 4]).said());
    Ok((serde_json::json!({ "value": in_file(mean), "within": in_file(within) }), Some(said)))
}

fn two(text: &str, units: Units) -> Result<Value, String> {
    let spaced = text.replace(['×', 'x', 'X'], ";").replace(" by ", ";");
    match spaced.split(SEPARATOR).collect::<Vec<_>>()[..] {
        [first, second] => Ok(Value::Array(vec![one(first, units)?, one(second, units)?])),
        _ => Err(format!("{} is not two lengths", quoted(text))),
    }
}

/// The name of a file in the folder.
fn file(text: &str) -> Result<String, String> {
    const MOST: usize = 100;
    let sound = text.chars().next().is_some_and(char::is_alphanumeric)
        && text.chars().all(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_' | '.'))
        && text.chars().count() <= MOST
        && !text.ends_with('.');
    match sound {
        true if text.to_lowercase().ends_with(".json") => Ok(text.into()),
        true => Ok(format!("{text}.json")),
        false => Err(quoted(text)),
    }
}
