//! What a question is.

use super::answers::Answers;
use super::field::Field;
use crate::format::names::FILE_NAME;
use crate::terms::SeatName;
use crate::units::Units;

/// What an answer may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AnswerKind {
    /// A guide's name, which is a file's name too.
    Name,
    /// Any text up to so many characters.
    Text(usize),
    /// One of some words, each with its meaning.
    Choice(&'static [(&'static str, &'static str)]),
    /// One length, taken as it is: a property of the caliper.
    Single(Range),
    /// A length, read once or several times.
    Length(Range),
    /// The smallest and the largest of a range.
    Pair(Range),
}

/// Which lengths may be, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// What most guides have (common practice, no source).
    pub usual: [f64; 2],
    /// What a profile may hold: the same as in its schema.
    pub allowed: [f64; 2],
}

impl Range {
    /// What is usual, and what is allowed, mm.
    pub const fn new(usual: [f64; 2], allowed: [f64; 2]) -> Self {
        Self { usual, allowed }
    }

    /// `12 to 50 mm`, in `units`.
    pub fn words([low, high]: [f64; 2], units: Units) -> String {
        let [low, high] = [low, high].map(|mm| units.short(mm, [2, 3]));
        format!("{low} to {}", high.said())
    }
}

/// Whether an answer must be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Need {
    /// It must, and why.
    Required(&'static str),
    /// It need not, and what is lost without it.
    Optional(&'static str),
}

/// A question. What depends on earlier answers is a function of them.
#[derive(Debug, Clone, Copy)]
pub struct Question {
    /// What it fills in.
    pub field: Field,
    /// Its letter on the measuring sheet; empty where nothing is measured.
    pub symbol: &'static str,
    /// What is asked for, in a few words.
    pub what: &'static str,
    /// How to take it: where the calipers go.
    pub how: fn(&Answers) -> &'static str,
    /// What an answer may be.
    pub kind: AnswerKind,
    /// Whether it must be given.
    pub need: fn(&Answers) -> Need,
    /// Whether earlier answers leave room for it.
    pub relevant: fn(&Answers) -> bool,
}

impl Question {
    /// The allowed and usual range, if a length is asked for.
    pub fn range(&self) -> Option<Range> {
        match self.kind {
            AnswerKind::Single(range) | AnswerKind::Length(range) | AnswerKind::Pair(range) => Some(range),
            AnswerKind::Name | AnswerKind::Text(_) | AnswerKind::Choice(_) => None,
        }
    }

    /// What an answer may be, as a message says it.
    pub fn allowed(&self, units: Units) -> String {
        match self.kind {
            AnswerKind::Name => {
                format!("{FILE_NAME}, and no built-in name")
            }
            AnswerKind::Text(most) => format!("up to {most} characters of plain text"),
            AnswerKind::Choice(words) => words.iter().map(|w| w.0).collect::<Vec<_>>().join(", "),
            AnswerKind::Single(range) | AnswerKind::Length(range) => Range::words(range.allowed, units),
            AnswerKind::Pair(range) => {
                format!("two lengths, the smaller first, {}", Range::words(range.allowed, units))
            }
        }
    }

    /// Whose field of a seat it is.
    pub fn seat(&self) -> Option<SeatName> {
        match self.field {
            Field::Seat(seat, _) => Some(seat),
            _ => None,
        }
    }
}
