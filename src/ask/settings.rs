//! Known settings of a guide: what a leaflet or a cupboard door says.

use serde_json::Value;

use super::Form;
use super::key::{self, Answers, Given, Key};
use super::reading::Question;
use crate::fit::Settings;
use crate::input::fault::Faults;
use crate::input::length;
use crate::questions::Need;
use crate::units::Units;

/// The most settings that are asked for; a file takes more.
const MOST: usize = 200;

const NAME: Key = Key::Field("name");
const DIAMETER: Key = Key::Field("measured.roller.diameter");
const TO_FACE: Key = Key::Field("measured.face.over_roller");

/// Asks for a file of known settings.
#[derive(Debug, Clone, Copy, Default)]
pub struct SettingsForm;

/// Where the file says what a seat locates.
fn locates(seat: &str) -> Key {
    Key::Field(if seat == "chisel" { "measured.seats.chisel.locates" } else { "measured.seats.iron.locates" })
}

/// The questions about one setting.
fn setting(index: usize, answers: &Answers) -> Vec<Question> {
    let (at, units) = (|field| Key::Item("known", index, field), key::units(answers));
    let said = |i: usize, field| answers.said(Key::Item("known", i, field));
    let which = if index == 0 { "Which seat is the first setting for?" } else { "Which seat is the next setting for?" };
    let seats = super::choices([["iron", "plane irons"], ["chisel", "chisels"]]);
    let mut seat = super::choice(at("seat"), "seat", which, seats);
    // Not of the one just before alone: on a form, that would be known a round later for each setting.
    seat.default = (0..index).rev().find_map(|before| said(before, "seat")).map(Into::into);
    seat.how = "A guide with one seat for all: choose the kind of blade.".into();
    let mut all = vec![seat];
    let Some(seat) = said(index, "seat") else { return all };
    let first = (0..index).find(|i| said(*i, "seat") == Some(seat));
    if first.is_none() {
        let surfaces = super::choices([
            ["underside", "the blade lies on the seat"],
            ["back", "the blade is pressed up against the seat"],
            ["sides", "a groove grips the blade's side lands"],
        ]);
        let what = "Which side of the blade does that seat fix?";
        let mut question = super::choice(locates(seat), &format!("{seat} seat fixes"), what, surfaces);
        question.default = Some("underside".into());
        all.push(question);
    }
    all.push(super::degrees(at("angle"), "angle", "Which bevel angle does it give?"));
    let mut projection =
        super::length(at("projection"), "projection", "How far does the edge stand out of the guide's face?", units);
    projection.how = "Write it as it was given: 79.0 says more than 79.".into();
    projection.several = false;
    all.push(projection);
    let size = match answers.said(locates(seat)) {
        Some("sides") => Some(("land", "side land", "How high are the side lands of that blade?")),
        Some("back") => None,
        _ => Some(("thickness", "thickness", "How thick is that blade?")),
    };
    let Some((field, name, what)) = size else { return all };
    let mut question = super::length(at(field), name, what, units);
    let before = (0..index).rev().filter(|i| said(*i, "seat") == Some(seat)).find_map(|i| said(i, field));
    match (first, before) {
        (None, _) => question.need = Need::OrElse("not known; all settings are of one blade".into()),
        (Some(_), Some(before)) => question.default = Some(before.into()),
        // Where the first of the seat does not tell, none does.
        (Some(_), None) => return all,
    }
    all.push(question);
    all
}

impl Form for SettingsForm {
    fn about(&self) -> &'static str {
        "Known settings of your guide: angles, and how far the edge stands out for each."
    }

    fn questions(&self, answers: &Answers) -> Vec<Question> {
        let mut name = super::text(NAME, "name", "What do you call the guide?");
        name.allowed = "a name of your own".into();
        let mut all = vec![name, super::units(Units::Mm)];
        for index in 0..MOST {
            all.extend(setting(index, answers));
            if index + 1 < MOST {
                all.push(super::another("known", index, "Another setting?"));
            }
            if !answers.goes_on("known", index) {
                break;
            }
        }
        let units = key::units(answers);
        let direct = [
            (DIAMETER, "roller", "How thick is the roller?", "Jaws across the roller. It makes the fit surer."),
            (
                TO_FACE,
                "roller to face",
                "How far is it from the roller's rear to the face?",
                "Along the seat, from the side of the roller away from the edge to the flat front.",
            ),
        ];
        all.extend(direct.map(|(key, name, what, how)| {
            let (need, how) = (Need::OrElse("not measured".into()), how.into());
            Question { need, how, ..super::length(key, name, what, units) }
        }));
        all
    }

    fn given(&self, _of: Option<(&'static str, usize)>, _answers: &Answers) -> Vec<(&'static str, Value)> {
        Vec::new()
    }

    fn read(&self, text: &str) -> Result<(), Faults> {
        Settings::parse("", text.as_bytes()).map(|_| ())
    }

    fn unusual(&self, key: &Key, given: &Given, answers: &Answers) -> Option<String> {
        let Key::Item(list, index, "projection") = *key else { return None };
        // A steeper bevel needs a shorter projection.
        let number = |i: usize, field| {
            let said = answers.said(Key::Item(list, i, field))?;
            length::parse(said.trim_end_matches('°'), Some(key::units(answers))).ok().map(|l| l.mm)
        };
        let seat = |i: usize| answers.said(Key::Item(list, i, "seat"));
        let own = length::parse(&given.said, Some(key::units(answers))).ok()?.mm;
        let against = |i: &usize| {
            let [angle, before] = [number(index, "angle"), number(*i, "angle")];
            let apart = angle.zip(before).map_or(0.0, |(angle, before)| angle - before);
            let longer = number(*i, "projection").map_or(0.0, |projection| own - projection);
            seat(*i) == seat(index) && apart * longer > 0.0
        };
        let odd = (0..index).any(|i| against(&i));
        odd.then(|| "That is unusual: a steeper bevel needs a shorter projection than a flatter one.".into())
    }

    fn file(&self, answers: &Answers) -> String {
        super::slug(answers.said(NAME).unwrap_or_default(), "my-guide", "-settings")
    }

    fn next(&self, path: &str, _answers: &Answers) -> Vec<String> {
        vec!["stopwright fit".into(), super::quoted(path)]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Found by a large request while fuzzing: each setting had its seat and its size from the one just before, so that
    /// a page went through its form once a setting, and 200 of them took four seconds.
    #[test]
    fn what_an_earlier_setting_tells_is_there_at_once() {
        let mut answers = Answers::default();
        let word = |answers: &mut Answers, key, said| answers.put(key, Given::word(said));
        (0..MOST - 1).for_each(|i| word(&mut answers, Key::Another("known", i), "yes"));
        word(&mut answers, Key::Item("known", 0, "seat"), "iron");
        word(&mut answers, Key::Item("known", 0, "thickness"), "2.4");
        let default = |answers: &Answers, field| {
            let key = Key::Item("known", MOST - 1, field);
            SettingsForm.questions(answers).into_iter().find(|question| question.key == key)?.default
        };
        assert_eq!(default(&answers, "seat").as_deref(), Some("iron"));
        (1..MOST).for_each(|i| word(&mut answers, Key::Item("known", i, "seat"), "iron"));
        assert_eq!(default(&answers, "thickness").as_deref(), Some("2.4"));
    }
}
