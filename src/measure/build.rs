//! From answers to a guide profile, and its text.

use serde_json::Value as Json;

use super::answer::rounded;
use super::answers::{Answers, Value};
use super::field::{Field, Part};
use super::question::AnswerKind;
use super::table::QUESTIONS;
use crate::input::length::LengthForm;
use crate::profile::guide::{FaceProfile, GuideProfile, RollerProfile, SeatProfile, SeatsProfile};
use crate::terms::{Arrangement, Locates, SeatName};
use crate::units::Units;

/// The longest notes a profile holds, characters.
const LONGEST_NOTES: usize = 2000;

/// An answer that a profile cannot do without is missing.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no answer for {0}")]
pub struct Missing(pub Field);

/// The profile that `answers` describe.
///
/// # Errors
/// [`Missing`]; not after a finished session or [`super::flags::read`].
pub fn profile(answers: &Answers) -> Result<GuideProfile, Missing> {
    let units = answers.units();
    let length = |field: Field| answers.length(field).map(|v| toleranced(v, units));
    let needed = |field: Field| length(field).ok_or(Missing(field));
    let seat = |name: SeatName| answers.has_seat(name).then(|| seat(answers, name)).transpose();
    Ok(GuideProfile {
        covariance: None,
        known: Vec::new(),
        format: 1,
        name: answers.text(Field::Name).ok_or(Missing(Field::Name))?.to_string(),
        units,
        notes: notes(answers),
        instrument: answers.length(Field::Instrument).map(|v| LengthForm::Plain(v.amount.clone())),
        roller: RollerProfile {
            diameter: needed(Field::Diameter)?,
            width: length(Field::RollerWidth),
            arrangement: answers.word(Field::Arrangement).map(|word| match word {
                "pair" => Arrangement::Pair,
                _ => Arrangement::Centre,
            }),
            gap: length(Field::Gap),
        },
        face: FaceProfile {
            axle_to_face: None,
            over_roller: Some(needed(Field::AxleToFace)?),
            bottom: None,
            bottom_over_roller: length(Field::FaceBottom),
            width: length(Field::FaceWidth),
            square_error: None,
        },
        seats: SeatsProfile { iron: seat(SeatName::Iron)?, chisel: seat(SeatName::Chisel)? },
    })
}

/// The profile's text, ready to be a file.
///
/// # Errors
/// What the writer of JSON says.
pub fn text(profile: &GuideProfile) -> Result<String, serde_json::Error> {
    let json: Json = serde_json::to_value(profile)?;
    Ok(format!("{json:#}\n"))
}

/// Lengths that enter a setting and were read once, by symbol: their scatter is in no tolerance.
pub fn read_once(answers: &Answers) -> Vec<String> {
    let once = |v: &Value| v.readings.len() == 1 && !v.stated;
    let sets = |name: &str| !["R", "P", "F"].contains(&name);
    measured(answers).filter(|(name, v)| once(v) && sets(name)).map(|(name, _)| name).collect()
}

fn seat(answers: &Answers, name: SeatName) -> Result<SeatProfile, Missing> {
    let units = answers.units();
    let field = |part: Part| Field::Seat(name, part);
    let pair = |part: Part| answers.pair(field(part)).map(|p| p.clone().map(|v| LengthForm::Plain(v.amount)));
    Ok(SeatProfile {
        height: None,
        over_roller: Some(
            answers
                .length(field(Part::OverRoller))
                .map(|v| toleranced(v, units))
                .ok_or(Missing(field(Part::OverRoller)))?,
        ),
        gauge: answers.length(field(Part::Parallel)).map(|v| toleranced(v, units)),
        locates: match answers.word(field(Part::Locates)) {
            Some("underside") => Locates::Underside,
            Some("back") => Locates::Back,
            Some("sides") => Locates::Sides,
            _ => return Err(Missing(field(Part::Locates))),
        },
        blade_width: pair(Part::BladeWidth),
        blade_thickness: pair(Part::BladeThickness),
    })
}

fn toleranced(value: &Value, units: Units) -> LengthForm {
    LengthForm::Toleranced { value: value.amount.clone(), within: rounded(value.within, units) }
}

/// Lengths of the guide that were answered, by symbol and seat.
fn measured(answers: &Answers) -> impl Iterator<Item = (String, &Value)> {
    QUESTIONS.iter().filter(|q| matches!(q.kind, AnswerKind::Length(_))).filter_map(move |question| {
        let seat = question.seat().map_or_else(String::new, |seat| format!(" ({seat})"));
        Some((format!("{}{seat}", question.symbol), answers.length(question.field)?))
    })
}

/// The user's notes, and the readings behind each mean, so that a later measurement can be held against them.
fn notes(answers: &Answers) -> Option<String> {
    let own = answers.text(Field::Notes).unwrap_or_default().to_string();
    let several: Vec<String> = measured(answers)
        .filter(|(_, v)| v.readings.len() > 1)
        .map(|(name, v)| format!("{name} {}", v.readings.join(", ")))
        .collect();
    let readings = if several.is_empty() { String::new() } else { format!("Readings: {}.", several.join("; ")) };
    let both = [own.clone(), readings].into_iter().filter(|t| !t.is_empty()).collect::<Vec<_>>().join("\n");
    let notes = if both.chars().count() <= LONGEST_NOTES { both } else { own };
    (!notes.is_empty()).then_some(notes)
}
