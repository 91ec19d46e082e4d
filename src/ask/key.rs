//! What questions fill in, and their answers.

use std::fmt;

use serde_json::Value;

use crate::questions;
use crate::units::Units;

/// What a question fills in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Key {
    /// A field of the file, by its dotted path.
    Field(&'static str),
    /// A field of the item at this place of a list.
    Item(&'static str, usize, &'static str),
    /// Whether a list goes on after the item at this place.
    Another(&'static str, usize),
    /// The name of the file.
    File,
    /// Whether to write it.
    Write,
}

impl fmt::Display for Key {
    /// The dotted path of the field, an item's with its place in the list: `settings.0.tool`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Key::Field(path) => f.write_str(path),
            Key::Item(list, index, field) => write!(f, "{list}.{index}.{field}"),
            Key::Another(list, index) => write!(f, "{list}.{index}.another"),
            Key::File => f.write_str("file"),
            Key::Write => f.write_str("write"),
        }
    }
}

/// An answer that was taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// As the user wrote it, a chosen word in full.
    pub said: String,
    /// What stands in the file; none for an answer that only steers the questions.
    pub value: Option<Value>,
    /// The unit that bare numbers in it have; empty for none.
    pub unit: &'static str,
    /// What was made of several readings.
    pub made_of_several: Option<String>,
}

impl Given {
    /// A word or a text that stands in the file as it is.
    pub fn word(said: &str) -> Self {
        Self { said: said.into(), value: Some(said.into()), unit: "", made_of_several: None }
    }

    /// The answer with its unit.
    pub fn shown(&self) -> String {
        let gap = if self.unit.is_empty() || self.unit == "°" || self.has_a_unit() { "" } else { " " };
        let unit = if self.has_a_unit() { "" } else { self.unit };
        format!("{}{gap}{unit}", self.said)
    }

    /// Whether the user wrote a unit.
    fn has_a_unit(&self) -> bool {
        self.said.ends_with(|c: char| c.is_alphabetic() || c == '"' || c == '°')
    }
}

/// The answers so far.
pub type Answers = questions::Answers<Key, Given>;

impl Answers {
    /// What was answered, as the user wrote it.
    pub fn said(&self, key: Key) -> Option<&str> {
        self.get(&key).map(|given| given.said.as_str())
    }

    /// Whether a list goes on after the item at `index`.
    pub fn goes_on(&self, list: &'static str, index: usize) -> bool {
        self.said(Key::Another(list, index)) == Some("yes")
    }
}

/// Unit of bare numbers; mm until it is known.
pub fn units(answers: &Answers) -> Units {
    if answers.said(Key::Field("units")) == Some("in") { Units::Inch } else { Units::Mm }
}
