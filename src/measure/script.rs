//! The table of questions as a script for a session.

use super::answer;
use super::answers::{Answers, Given, Value};
use super::field::Field;
use super::question::{AnswerKind, Need, Question, Range};
use super::table::{self, QUESTIONS};
use super::words::{self, COMMANDS, toleranced, written};
use crate::input::fault::Fault;
use crate::questions::{self, Noticed, Script};

/// The questions of one guide.
#[derive(Debug, Clone, Copy, Default)]
pub struct Measuring;

/// The questions of one guide, and the answers so far.
pub type Session = questions::Session<Measuring>;

impl Session {
    /// A session in which `preset` is answered already.
    pub fn new(preset: Vec<(Field, Given)>) -> Self {
        Self::of(Measuring, preset)
    }
}

type Asked = questions::Question<Field, ()>;

impl Script for Measuring {
    type Key = Field;
    type Kind = ();
    type Given = Given;

    fn questions(&self, answers: &Answers) -> Vec<Asked> {
        QUESTIONS.iter().filter(|q| (q.relevant)(answers)).map(|q| asked(q, answers)).collect()
    }

    fn read(&self, question: &Asked, line: &str, answers: &Answers) -> Result<Given, String> {
        let Some((_, of)) = table::find(question.key) else { return Err(question.allowed.clone()) };
        let refused = |r: answer::Refused| Fault::new(question.tag.as_str(), r.found, r.allowed).to_string();
        answer::read(of, line, answers).map_err(refused)
    }

    fn written(&self, given: &Given) -> String {
        written(given)
    }

    /// What was made of several readings, and a word on unusual values.
    fn noticed(&self, question: &Asked, given: &Given, answers: &Answers) -> Noticed {
        let units = answers.units();
        let range = table::find(question.key).and_then(|(_, q)| q.range());
        let values: &[Value] = match given {
            Given::Length(value) => std::slice::from_ref(value),
            Given::Pair(pair) => pair,
            Given::Text(_) | Given::Word(_) => &[],
        };
        let made_of_several = match (values, range) {
            ([value], Some(_)) if value.readings.len() > 1 => {
                Some(format!("{} readings: {}.", value.readings.len(), toleranced(value, units)))
            }
            _ => None,
        };
        let is_usual = |[low, high]: [f64; 2]| values.iter().all(|v| (low..=high).contains(&v.mm));
        let unusual = range.map(|r| r.usual).filter(|usual| !is_usual(*usual));
        let unusual = unusual.map(|usual| format!("That is unusual: most guides have {}.", Range::words(usual, units)));
        Noticed { made_of_several, unusual }
    }

    /// Bare numbers of former answers were in the former unit.
    fn forget(&self, key: &Field, answers: &mut Answers) {
        if *key == Field::Units {
            answers.retain(|_, given| matches!(given, Given::Text(_) | Given::Word(_)));
        }
    }

    fn commands(&self) -> &'static str {
        COMMANDS
    }
}

/// A question of the table, of the answers so far.
fn asked(question: &Question, answers: &Answers) -> Asked {
    let units = answers.units();
    let seat = question.seat().map_or_else(String::new, |seat| format!("{seat} seat: "));
    let symbol = if question.symbol.is_empty() { String::new() } else { format!("{}, ", question.symbol) };
    let range = question.range().map(|range| [range.usual, range.allowed].map(|range| Range::words(range, units)));
    Asked {
        tag: question.field.to_string(),
        shown: if question.field == Field::Write { words::overview(answers) } else { String::new() },
        how: (question.how)(answers).into(),
        choices: match question.kind {
            AnswerKind::Choice(words) => {
                words.iter().map(|(word, meaning)| [*word, *meaning].map(Into::into)).collect()
            }
            _ => Vec::new(),
        },
        range: range.map_or_else(String::new, |[usual, allowed]| format!("Usually {usual}; possible {allowed}.")),
        allowed: question.allowed(units),
        need: match (question.need)(answers) {
            Need::Required(why) => questions::Need::Required(why.into()),
            Need::Optional(loss) => questions::Need::Optional(loss.into()),
        },
        unit: if question.range().is_some() { units.symbol() } else { "" },
        several: matches!(question.kind, AnswerKind::Length(_)),
        ..Asked::new(question.field, (), format!("{seat}{symbol}{}", question.what), "")
    }
}
