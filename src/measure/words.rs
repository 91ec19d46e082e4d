//! Words around the questions: the introduction, the list of answers, and how answers are written.

use super::answers::{Answers, Given, Value};
use super::field::Field;
use super::question::AnswerKind;
use super::table::QUESTIONS;
use crate::questions::SEPARATOR;
use crate::questions::words::wrapped;
use crate::units::Units;

/// What may be typed instead of an answer.
pub const COMMANDS: &str = "back (or <) goes back one question, skip leaves out what you cannot reach, help says again \
where the calipers go, quit stops without writing.";

/// All answers, a line each.
pub(super) fn overview(answers: &Answers) -> String {
    let units = answers.units();
    let mut text = String::new();
    for question in QUESTIONS.iter().filter(|q| q.field != Field::Write && q.field.can_be_set()) {
        let said = match answers.get(&question.field) {
            Some(Given::Length(value)) if matches!(question.kind, AnswerKind::Length(_)) => toleranced(value, units),
            Some(given) => written(given),
            None if (question.relevant)(answers) => "left out".into(),
            None => continue,
        };
        text += &format!("  {:<30} {said}\n", question.field.to_string());
    }
    text
}

/// An answer as it was written.
pub(super) fn written(given: &Given) -> String {
    match given {
        Given::Text(text) => text.clone(),
        Given::Word(word) => (*word).into(),
        Given::Length(value) => value.readings.join("; "),
        Given::Pair([low, high]) => format!("{}; {}", low.readings.join(""), high.readings.join("")),
    }
}

/// `19.0233 ± 0.0088 mm`
pub(super) fn toleranced(value: &Value, units: Units) -> String {
    let [mm, within] = [value.mm, value.within].map(|mm| units.short(mm, [4, 5]));
    format!("{mm} ± {}", within.said())
}

/// What is said before the first question.
pub fn introduction() -> String {
    let method = format!(
        "Several readings of a length stand on one line with {SEPARATOR} between them (19.02; 19.04; 19.03); end a \
         line with {SEPARATOR} to give the next reading on another. Their mean is taken, and their scatter tells how \
         far off it may be: half a step of the caliper or more. A known tolerance can be written: 19.0 mm +- 0.05 mm."
    );
    let cautions = "Take blades out before you measure: edges cut. Follow your tools' makers' instructions.";
    format!(
        "Measuring a guide. For a sheet that shows where to measure, type:\n  stopwright measure --sheet\n{}{}{}",
        wrapped(COMMANDS),
        wrapped(&method),
        wrapped(cautions)
    )
}
