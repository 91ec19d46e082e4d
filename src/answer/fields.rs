//! The questions of a script as the fields of a form: all at once, with what was typed into them.

use std::collections::BTreeMap;
use std::fmt::Display;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::error::capital;
use crate::input::length;
use crate::questions::{Answers, Need, Question, SEPARATOR, Script};
use crate::shape::font;
use crate::units::Units;

/// What was typed, by the key of its field; a field that was left alone is not in it.
pub type Typed = BTreeMap<String, String>;

/// Questions are asked again until their answers stay: an item of a list takes a round or two at most, and no list is longer.
const MOST_ROUNDS: usize = 1000;

/// A field of a form.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub struct Field {
    /// What its text is kept under: a dotted path, an item of a list with its place, as in `blades.0.width`.
    pub key: String,
    /// How it is filled in.
    pub input: Input,
    /// What is asked for.
    pub what: String,
    /// How to find it; may be empty.
    pub how: String,
    /// What is usual and what is possible; may be empty.
    pub range: String,
    /// The unit of a bare number; empty for none.
    pub unit: String,
    /// Its letter on the measuring sheet; empty for none.
    pub letter: String,
    /// The words to choose from.
    pub choices: Vec<Choice>,
    /// What is advised for it, and what each is for.
    pub advised: Vec<Choice>,
    /// What holds where nothing is typed; null where something must be.
    pub otherwise: Option<String>,
    /// Why something must be typed, or what is lost without it; empty where something holds otherwise.
    pub need: String,
    /// Whether it may be left out.
    pub may_be_left_out: bool,
    /// What was typed.
    pub typed: String,
    /// Why that is not taken; whole sentences.
    pub refused: Option<String>,
    /// What is said to what was taken; whole sentences.
    pub noticed: Vec<String>,
}

/// How a field is filled in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Input {
    /// A text.
    Text,
    /// One of the choices.
    Choice,
    /// Some of the choices, with commas between them.
    Several,
    /// A number or a length.
    Number,
    /// Lengths, with semicolons between them: readings of one length.
    Readings,
    /// Two lengths, with a semicolon between them.
    Two,
    /// One length, or two with a semicolon between them.
    OneOrTwo,
    /// Numbers with commas between them.
    Numbers,
    /// Yes or no.
    YesNo,
    /// Whether the list that it closes goes on: yes or no.
    Another,
}

/// A word to choose, and what it means.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Choice {
    /// The word.
    pub word: String,
    /// Its meaning; may be empty.
    pub meaning: String,
}

/// A form, filled in.
pub struct Filled<S: Script> {
    /// Its fields, in the order in which they are asked for.
    pub fields: Vec<Field>,
    /// The answers that were taken, defaults among them.
    pub answers: Answers<S::Key, S::Given>,
    /// Whether nothing that must be answered is missing or refused.
    pub is_whole: bool,
}

/// A script that says how each of its questions is filled in.
pub trait AsForm: Script {
    /// How a question is filled in; `None` of one that a form does not have.
    fn input(&self, question: &Question<Self::Key, Self::Kind>) -> Option<Input>;

    /// What a refusal of its answer calls it.
    fn name(&self, question: &Question<Self::Key, Self::Kind>) -> String;

    /// Its letter on the measuring sheet; empty for none.
    fn letter(&self, _key: &Self::Key) -> &'static str {
        ""
    }

    /// Answers to begin with, so that not every item of a list takes a round of its own: which lists were typed on.
    fn lists(&self, _typed: &Typed) -> Answers<Self::Key, Self::Given> {
        Answers::default()
    }
}

/// Fills in the form of `script` with what was `typed`; `defaults` hold where nothing was, before the script's own.
pub fn filled<S>(script: &S, typed: &Typed, defaults: &Typed) -> Filled<S>
where
    S: AsForm,
    S::Key: Display,
{
    let mut answers = script.lists(typed);
    for _ in 0..MOST_ROUNDS {
        let filled = round(script, typed, defaults, &answers);
        if filled.answers == answers {
            return filled;
        }
        answers = filled.answers;
    }
    round(script, typed, defaults, &answers)
}

/// Answers all questions that the answers `before` leave room for.
fn round<S>(script: &S, typed: &Typed, defaults: &Typed, before: &Answers<S::Key, S::Given>) -> Filled<S>
where
    S: AsForm,
    S::Key: Display,
{
    let mut filled = Filled { fields: Vec::new(), answers: Answers::default(), is_whole: true };
    for question in script.questions(before) {
        let Some(input) = script.input(&question) else { continue };
        let key = question.key.to_string();
        let line = typed.get(&key).map(|line| line.trim()).unwrap_or_default();
        let pointed = with_points(input, line);
        let line = pointed.as_deref().unwrap_or(line);
        let default = defaults.get(&key).cloned().or_else(|| question.default.clone());
        let mut field = field_of(script, &question, input, &key, default.clone());
        field.typed = typed.get(&key).cloned().unwrap_or_default();
        let given = match (line, &default) {
            ("", None) => None,
            ("", Some(default)) => Some(script.read_alone(&question, default, &filled.answers)),
            (line, _) => Some(script.read_alone(&question, line, &filled.answers)),
        };
        match given {
            Some(Ok(given)) => {
                let noticed = script.noticed(&question, &given, &filled.answers);
                field.noticed.extend(pointed.iter().map(|line| format!("Read as {line}.")));
                field.noticed.extend(noticed.made_of_several.into_iter().chain(noticed.unusual));
                filled.answers.put(question.key, given);
            }
            Some(Err(refused)) => {
                field.refused = Some(beside(&script.name(&question), &refused));
                filled.is_whole = false;
            }
            None => filled.is_whole &= field.may_be_left_out,
        }
        filled.fields.push(field);
    }
    filled
}

fn field_of<S: AsForm>(
    script: &S,
    question: &Question<S::Key, S::Kind>,
    input: Input,
    key: &str,
    default: Option<String>,
) -> Field {
    let (need, otherwise, may_be_left_out) = match (&question.need, default) {
        (_, Some(default)) => (String::new(), Some(default), true),
        (Need::Required(why), None) => (why.clone(), None, false),
        (Need::Optional(loss), None) => (loss.clone(), None, true),
        (Need::OrElse(otherwise), None) => (String::new(), Some(otherwise.clone()), true),
    };
    Field {
        key: key.to_string(),
        input,
        what: capital(&question.what),
        how: format!("{}{}", question.shown, question.how),
        range: font::with_minus_signs(&question.range),
        unit: question.unit.to_string(),
        letter: script.letter(&question.key).to_string(),
        choices: question.choices.iter().map(of_pair).collect(),
        advised: question.advised.iter().map(of_pair).collect(),
        otherwise,
        need,
        may_be_left_out,
        typed: String::new(),
        refused: None,
        noticed: Vec::new(),
    }
}

/// Numbers with decimal points where they were typed with commas, as the keys of many telephones have no other; `None` where
/// nothing is to be changed. Several numbers in one field have semicolons between them.
fn with_points(input: Input, line: &str) -> Option<String> {
    let takes = matches!(input, Input::Number | Input::Readings | Input::Two | Input::OneOrTwo);
    let part = |part: &str| match part.split_once(',') {
        Some((whole, rest)) if whole.ends_with(is_digit) && rest.starts_with(is_digit) => format!("{whole}.{rest}"),
        _ => part.to_string(),
    };
    let pointed = line.split(SEPARATOR).map(part).collect::<Vec<_>>().join(&SEPARATOR.to_string());
    (takes && pointed != line).then_some(pointed)
}

/// What was typed into a field, each bare length with the unit that it has there.
pub(super) fn with_units(field: &Field, line: &str) -> String {
    let units = [Units::Mm, Units::Inch].into_iter().find(|units| units.symbol() == field.unit);
    let Some(units) = units else { return line.to_string() };
    let part = |part: &str| {
        let bare = part.trim();
        let lacks_unit = length::parse(bare, None).is_err() && length::parse(bare, Some(units)).is_ok();
        if lacks_unit { format!("{bare} {}", units.symbol()) } else { bare.to_string() }
    };
    let pointed = with_points(field.input, line);
    pointed.as_deref().unwrap_or(line).split(SEPARATOR).map(part).collect::<Vec<_>>().join("; ")
}

fn is_digit(c: char) -> bool {
    c.is_ascii_digit()
}

/// A refusal as it stands beside its field, where the field's name says nothing.
pub(super) fn beside(name: &str, refused: &str) -> String {
    match refused.strip_prefix(name) {
        Some(rest) if rest.starts_with(": ") => capital(&rest[2..]),
        Some(rest) if rest.starts_with(' ') => format!("This{rest}"),
        _ => refused.to_string(),
    }
}

fn of_pair([word, meaning]: &[String; 2]) -> Choice {
    Choice { word: word.clone(), meaning: meaning.clone() }
}
