//! The answers to the questions, as far as they were given.

use super::field::Field;
use crate::input::length::Amount;
use crate::terms::SeatName;
use crate::units::Units;

/// A length, as it goes into the profile.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// As written, where it was read once; else the mean.
    pub amount: Amount,
    /// In mm.
    pub mm: f64,
    /// Half-width of its tolerance, mm.
    pub within: f64,
    /// The readings as written.
    pub readings: Vec<String>,
    /// Whether the tolerance was stated with it and not taken from the readings.
    pub stated: bool,
}

/// An answer that was taken.
#[derive(Debug, Clone, PartialEq)]
pub enum Given {
    /// Free text.
    Text(String),
    /// One of a question's words.
    Word(&'static str),
    /// A length.
    Length(Value),
    /// Smallest and largest.
    Pair([Value; 2]),
}

/// The answers so far; what was left out is not in it.
pub type Answers = crate::questions::Answers<Field, Given>;

impl Answers {
    /// Unit of bare numbers; mm until it is known.
    pub fn units(&self) -> Units {
        if self.word(Field::Units) == Some("in") { Units::Inch } else { Units::Mm }
    }

    /// A chosen word.
    pub fn word(&self, field: Field) -> Option<&'static str> {
        match self.get(&field) {
            Some(Given::Word(word)) => Some(word),
            _ => None,
        }
    }

    /// A text.
    pub fn text(&self, field: Field) -> Option<&str> {
        match self.get(&field) {
            Some(Given::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// A length.
    pub fn length(&self, field: Field) -> Option<&Value> {
        match self.get(&field) {
            Some(Given::Length(value)) => Some(value),
            _ => None,
        }
    }

    /// Smallest and largest.
    pub fn pair(&self, field: Field) -> Option<&[Value; 2]> {
        match self.get(&field) {
            Some(Given::Pair(pair)) => Some(pair),
            _ => None,
        }
    }

    /// Whether the guide has this seat.
    pub fn has_seat(&self, seat: SeatName) -> bool {
        self.word(Field::Seats).is_some_and(|word| word == "both" || word == seat.name())
    }
}
