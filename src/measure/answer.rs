//! Reading an answer: a line of text in, what a profile needs out, or what was found and what is allowed.
//!
//! Several readings of a length stand on one line with `;` between them.

use unicode_normalization::UnicodeNormalization;

use super::answers::{Answers, Given, Value};
use super::field::Field;
use super::question::{AnswerKind, Question, Range};
use super::spread::{self, LARGEST_SPREAD};
use crate::format::names::is_file_name;
use crate::guide::named::{GUIDES, TOOLS};
use crate::input::length::{self, Amount, LengthForm};
use crate::questions::words::echoed;
use crate::questions::{SEPARATOR, choice};
use crate::shape::script::{is_hidden, unshown};
use crate::units::Units;

/// Why an answer was not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// What was found.
    pub found: String,
    /// What is allowed.
    pub allowed: String,
}

/// Reads `line` as an answer to `question`.
///
/// # Errors
/// What was found and what is allowed.
pub fn read(question: &Question, line: &str, answers: &Answers) -> Result<Given, Refused> {
    let text = line.trim();
    let refused = |found: String| Refused { found, allowed: question.allowed(answers.units()) };
    if text.contains(is_hidden) {
        return Err(refused("control characters".into()));
    }
    match question.kind {
        AnswerKind::Name => name(text).map_err(refused),
        AnswerKind::Text(most) if text.chars().count() > most => {
            Err(refused(format!("{} characters", text.chars().count())))
        }
        AnswerKind::Text(_) => Ok(Given::Text(text.into())),
        AnswerKind::Choice(words) => word(text, words).map(Given::Word).map_err(refused),
        AnswerKind::Single(range) => single(text, range, answers.units()).map(Given::Length).map_err(refused),
        AnswerKind::Length(range) => several(text, range, answers).map(Given::Length).map_err(refused),
        AnswerKind::Pair(range) => pair(text, range, answers).map(Given::Pair).map_err(refused),
    }
}

fn name(text: &str) -> Result<Given, String> {
    if !is_file_name(text) {
        return Err(format!("\"{text}\""));
    }
    if GUIDES.iter().chain(TOOLS).any(|b| b.name == text) {
        return Err(format!("\"{text}\", which is a built-in profile"));
    }
    let name: String = text.nfc().collect();
    match unshown(&name) {
        Some(unshown) => Err(format!("\"{name}\" has {}", unshown.found)),
        None => Ok(Given::Text(name)),
    }
}

fn word(text: &str, words: &[(&'static str, &str)]) -> Result<&'static str, String> {
    choice::chosen(text, words.iter().map(|w| w.0)).map(|i| words[i].0).ok_or_else(|| format!("\"{}\"", echoed(text)))
}

fn parse(text: &str, units: Units) -> Result<length::Length, String> {
    length::parse(text, Some(units)).map_err(|cause| match (&cause.write, text.contains(',')) {
        (Some(write), true) => format!("{}. Write {write}, and put {SEPARATOR} between readings", cause.found),
        (None, true) => format!("{}. Write a decimal point, and put {SEPARATOR} between readings", cause.found),
        _ => cause.to_string(),
    })
}

/// A length that is taken as it is; a tolerance of it would mean nothing.
fn single(text: &str, range: Range, units: Units) -> Result<Value, String> {
    let read = parse(text, units)?;
    if read.within.is_some() || text.contains(SEPARATOR) {
        return Err(format!("\"{text}\", and one length without a tolerance is enough here"));
    }
    in_range(text, read.mm, range, units)?;
    Ok(value(text, read.mm, None, units))
}

fn in_range(text: &str, mm: f64, range: Range, units: Units) -> Result<(), String> {
    let [low, high] = range.allowed;
    if (low..=high).contains(&mm) {
        return Ok(());
    }
    Err(format!("\"{}\", which is {}", text.trim(), units.short(mm, [4, 4]).said()))
}

/// One length as written.
fn value(text: &str, mm: f64, within: Option<f64>, units: Units) -> Value {
    Value {
        amount: as_written(text, mm, units),
        mm,
        within: within.unwrap_or(0.0),
        readings: vec![text.trim().to_string()],
        stated: within.is_some(),
    }
}

/// What stands before the tolerance, kept as the user wrote it, with its unit where it is no plain number.
fn as_written(text: &str, mm: f64, units: Units) -> Amount {
    if text.trim_start().starts_with('{') {
        return rounded(mm, units);
    }
    let main = text.split("+-").next().and_then(|t| t.split('±').next()).unwrap_or(text).trim();
    match main.parse::<f64>() {
        Ok(number) => Amount::Number(number),
        Err(_) if length::parse(main, None).is_ok() => Amount::Text(main.to_string()),
        Err(_) => Amount::Text(format!("{main} {}", units.symbol())),
    }
}

/// A computed length in `units`, to a tenth of a micrometre.
pub(super) fn rounded(mm: f64, units: Units) -> Amount {
    let places = if units == Units::Mm { 1e4 } else { 1e6 };
    Amount::Number((units.of(mm) * places).round() / places)
}

/// Half the caliper's step, else half the step that the reading shows.
fn half_step(text: &str, answers: &Answers) -> f64 {
    let units = if text.contains("mm") {
        Units::Mm
    } else if text.contains("in") || text.contains('"') {
        Units::Inch
    } else {
        answers.units()
    };
    match answers.length(Field::Resolution) {
        Some(step) => step.mm / 2.0,
        None => spread::half_step_as_written(text, units),
    }
}

/// The readings on a line.
fn readings(text: &str) -> Vec<&str> {
    text.trim_end_matches([SEPARATOR, ' ']).split(SEPARATOR).map(str::trim).collect()
}

fn several(text: &str, range: Range, answers: &Answers) -> Result<Value, String> {
    let units = answers.units();
    let texts = readings(text);
    let mut read = Vec::new();
    for text in &texts {
        let length = parse(text, units)?;
        in_range(text, length.mm, range, units)?;
        if length.within.is_some() && texts.len() > 1 {
            return Err(format!("\"{text}\" among several readings, whose spread is the tolerance"));
        }
        read.push(length);
    }
    let widest = (range.allowed[1] - range.allowed[0]) / 2.0;
    if let [one] = read[..] {
        let within = one.within.unwrap_or_else(|| half_step(texts[0], answers));
        if !(0.0..=widest).contains(&within) {
            return Err(format!("\"{text}\", whose tolerance is below zero or wider than the whole range"));
        }
        let stated = one.within.is_some();
        return in_profile(Value { within, stated, ..value(texts[0], one.mm, Some(within), units) }, range, units);
    }
    let all: Vec<f64> = read.iter().map(|l| l.mm).collect();
    let apart = all.iter().fold(f64::NEG_INFINITY, |a, b| a.max(*b)) - all.iter().fold(f64::INFINITY, |a, b| a.min(*b));
    if apart > LARGEST_SPREAD {
        let [apart, most] = [apart, LARGEST_SPREAD].map(|mm| units.short(mm, [3, 3]));
        let sign = units.symbol();
        return Err(format!("readings {apart} {sign} apart: more than {most} {sign} is a slip, not scatter"));
    }
    let floor = texts.iter().map(|t| half_step(t, answers)).fold(0.0, f64::max);
    let (mm, within) = spread::combine(&all, floor);
    let readings = texts.iter().map(|t| (*t).to_string()).collect();
    in_profile(Value { amount: rounded(mm, units), mm, within, readings, stated: false }, range, units)
}

/// The value, if what the profile will hold of it is in range as well: rounding can take it out by a hair.
fn in_profile(value: Value, range: Range, units: Units) -> Result<Value, String> {
    let read = LengthForm::Plain(value.amount.clone()).read(units).map_err(|e| e.to_string())?;
    in_range(&value.readings.join("; "), read.mm, range, units)?;
    Ok(value)
}

fn pair(text: &str, range: Range, answers: &Answers) -> Result<[Value; 2], String> {
    let units = answers.units();
    let spaced = text.replace(" to ", ";");
    let texts = readings(&spaced);
    let &[low, high] = texts.as_slice() else {
        return Err(format!("\"{text}\", which is {} of the two", texts.len()));
    };
    let (low, high) = (single(low, range, units)?, single(high, range, units)?);
    if low.mm > high.mm {
        return Err(format!("\"{text}\", the larger first"));
    }
    Ok([low, high])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::field::Part;
    use crate::measure::table::find;
    use crate::terms::SeatName;

    fn given(field: Field, line: &str, answers: &Answers) -> Result<Given, Refused> {
        read(find(field).expect("in the table").1, line, answers)
    }

    fn length(line: &str) -> Result<Value, String> {
        match given(Field::Diameter, line, &Answers::default()) {
            Ok(Given::Length(value)) => Ok(value),
            Ok(other) => panic!("{other:?}"),
            Err(refused) => Err(refused.found),
        }
    }

    #[test]
    fn lengths_keep_their_writing() {
        assert_eq!(length("19.02").expect("read").amount, Amount::Number(19.02));
        assert_eq!(length("3/4 in").expect("read").amount, Amount::Text("3/4 in".into()));
        assert_eq!(length("1 3/8 in +- 0.002 in").expect("read").amount, Amount::Text("1 3/8 in".into()));
        assert_eq!(length("{\"value\": 19, \"within\": 0.1}").expect("read").within, 0.1);
        let mut inch = Answers::default();
        inch.put(Field::Units, Given::Word("in"));
        let Ok(Given::Length(value)) = given(Field::Diameter, "3/4", &inch) else { panic!("not read") };
        assert_eq!(value.amount, Amount::Text("3/4 in".into()));
    }

    /// Found by fuzzing: the profile got a text without a unit, which no reader takes.
    #[test]
    fn a_length_that_ends_in_a_point_gets_its_unit() {
        for line in ["- 5.", "\u{2212}5."] {
            let at = Field::Seat(SeatName::Iron, Part::OverRoller);
            let Ok(Given::Length(value)) = given(at, line, &Answers::default()) else { panic!("{line}: not read") };
            assert_eq!(value.amount, Amount::Text(format!("{line} mm")));
        }
    }

    #[test]
    fn a_decimal_comma_is_no_separator() {
        assert!(length("19,02").expect_err("refused").contains("Write \"19.02 mm\""));
        assert!(length("19.0, 19.1").expect_err("refused").contains("put ;"));
    }

    #[test]
    fn slips_are_seen() {
        assert!(length("19.02; 91.02").expect_err("refused").contains("a slip"));
        assert!(length("19.02; 19.0 +- 0.1").expect_err("refused").contains("several readings"));
        assert!(length("190").expect_err("refused").contains("190 mm"));
        assert!(length("19 +- 90").expect_err("refused").contains("wider"));
        assert!(length(";").is_err() && length("").is_err());
    }

    #[test]
    fn names_are_file_names() {
        for text in ["", ".hidden", "a/b", "..", "a\\b", "top-clamp", "x.", "a\tb"] {
            assert!(given(Field::Name, text, &Answers::default()).is_err(), "{text:?}");
        }
        assert!(given(Field::Name, "Old guide no. 2", &Answers::default()).is_ok());
    }
}
