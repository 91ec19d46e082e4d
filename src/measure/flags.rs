//! The same answers as `FIELD=VALUE`, all at once, without questions.

use std::collections::BTreeMap;

use super::answer::{self, Refused};
use super::answers::{Answers, Given};
use super::field::Field;
use super::question::Need;
use super::table::QUESTIONS;
use crate::input::fault::{Fault, Faults};
use crate::terms::SeatName;

/// Reads all `settings`; which seats there are is told by their fields. The unit is mm where none is set.
///
/// # Errors
/// Every fault: unknown fields, fields set twice, values that are refused, required fields that are missing, fields
/// that others leave no room for.
pub fn read<'a>(settings: impl IntoIterator<Item = &'a str>) -> Result<Answers, Faults> {
    let mut faults = Faults::default();
    let mut texts: BTreeMap<Field, &str> = BTreeMap::new();
    for setting in settings {
        match split(setting) {
            Err(told) => faults.0.push(*told),
            Ok((field, _)) if texts.contains_key(&field) => {
                fault(&mut faults, &field.to_string(), "the same field a second time".into(), "each field once".into());
            }
            Ok((field, text)) => {
                texts.insert(field, text);
            }
        }
    }
    let mut answers = Answers::default();
    answers.put(Field::Units, Given::Word("mm"));
    if let Some(seats) = seats_of(&texts) {
        answers.put(Field::Seats, Given::Word(seats));
    } else {
        fault(
            &mut faults,
            "seats",
            "no seat".into(),
            "seats.iron, seats.chisel or both, each with locates and over_roller".into(),
        );
    }
    for question in QUESTIONS.iter().filter(|q| q.field.can_be_set()) {
        let name = question.field.to_string();
        let relevant = (question.relevant)(&answers);
        match (texts.get(&question.field), relevant, (question.need)(&answers)) {
            (Some(text), true, _) => match answer::read(question, text, &answers) {
                Ok(given) => answers.put(question.field, given),
                Err(Refused { found, allowed }) => fault(&mut faults, &name, found, allowed),
            },
            (Some(text), false, _) => {
                // Only the gap depends on another field that can be set.
                fault(&mut faults, &name, format!("\"{text}\""), "only with roller.arrangement=pair".into());
            }
            (None, true, Need::Required(why)) if question.field != Field::Units => {
                fault(&mut faults, &name, "nothing".into(), format!("{} ({why})", question.allowed(answers.units())));
            }
            (None, ..) => {}
        }
    }
    faults.into_result()?;
    Ok(answers)
}

fn fault(faults: &mut Faults, field: &str, found: String, allowed: String) {
    faults.0.push(Fault::new(field, found, allowed));
}

/// The field and the text of `FIELD=VALUE`.
fn split(setting: &str) -> Result<(Field, &str), Box<Fault>> {
    let Some((name, text)) = setting.split_once('=') else {
        return Err(Fault::new("--set", format!("\"{setting}\""), "FIELD=VALUE").into());
    };
    let known = QUESTIONS.iter().map(|q| q.field).filter(|f| f.can_be_set());
    match known.clone().find(|f| f.to_string() == name.trim()) {
        Some(field) => Ok((field, text)),
        None => {
            let names: Vec<String> = known.map(|f| f.to_string()).collect();
            Err(Fault::unknown("--set", name.trim(), names.iter().map(String::as_str)).into())
        }
    }
}

fn seats_of(texts: &BTreeMap<Field, &str>) -> Option<&'static str> {
    let has = |seat: SeatName| texts.keys().any(|f| matches!(f, Field::Seat(s, _) if *s == seat));
    match (has(SeatName::Iron), has(SeatName::Chisel)) {
        (true, true) => Some("both"),
        (true, false) => Some("iron"),
        (false, true) => Some("chisel"),
        (false, false) => None,
    }
}
