//! Questions and answers, without a terminal: what a question is, which answers there are, and the session that goes from
//! question to question. Nothing is printed here and no file is touched, so that a page can ask the same questions.
//!
//! What is asked for is told by a [`Script`]: [`crate::measure`] asks for a guide, [`crate::ask`] for other files.

pub mod answers;
pub mod choice;
pub mod session;
pub mod words;

pub use answers::Answers;
pub use session::{Session, State};

use std::fmt::Debug;

/// What separates several readings of one length, or the two ends of a range.
///
/// Spaces and commas do not separate: "1 3/8" is one length, and "19,02" may be one with a decimal comma.
pub const SEPARATOR: char = ';';

/// Whether an answer must be given.
#[derive(Debug, Clone, PartialEq)]
pub enum Need {
    /// It must, and why.
    Required(String),
    /// `skip` leaves it out, and what is lost without it.
    Optional(String),
    /// Enter and `skip` leave it out, and what then holds.
    OrElse(String),
}

/// A question, of the answers so far. `Kind` is what its script reads an answer by.
#[derive(Debug, Clone, PartialEq)]
pub struct Question<Key, Kind> {
    /// What it fills in.
    pub key: Key,
    /// What an answer may be, for the script.
    pub kind: Kind,
    /// What is asked for, in a few words.
    pub what: String,
    /// What stands behind it in brackets, such as the name of the field; empty for none.
    pub tag: String,
    /// Lines before all else, as they are.
    pub shown: String,
    /// What stands below it for a choice that is free: each with what it is for.
    pub advised: Vec<[String; 2]>,
    /// How to find the answer: a sentence or two; may be empty.
    pub how: String,
    /// How to type it, where that is not plain: a sentence; may be empty.
    pub typing: String,
    /// The words that may be chosen, each with its meaning.
    pub choices: Vec<[String; 2]>,
    /// Which lengths are usual and which are allowed, as a sentence; empty where no length is asked for.
    pub range: String,
    /// What an answer may be, for a message.
    pub allowed: String,
    /// Whether it must be given.
    pub need: Need,
    /// The line that Enter stands for as long as nothing was answered.
    pub default: Option<String>,
    /// The unit of a bare number; empty for none.
    pub unit: &'static str,
    /// Whether several readings may be given, on one line or on several.
    pub several: bool,
}

impl<Key, Kind> Question<Key, Kind> {
    /// A question that must be answered, as `why` says.
    pub fn new(key: Key, kind: Kind, what: impl Into<String>, why: impl Into<String>) -> Self {
        Self {
            key,
            kind,
            what: what.into(),
            tag: String::new(),
            shown: String::new(),
            advised: Vec::new(),
            how: String::new(),
            typing: String::new(),
            choices: Vec::new(),
            range: String::new(),
            allowed: String::new(),
            need: Need::Required(why.into()),
            default: None,
            unit: "",
            several: false,
        }
    }
}

/// What is said to an answer that was taken, in whole sentences.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Noticed {
    /// What was made of several readings.
    pub made_of_several: Option<String>,
    /// What is unusual about it.
    pub unusual: Option<String>,
}

/// What is asked, in which order, and how answers are read.
pub trait Script {
    /// Names a question.
    type Key: Clone + Ord + Debug;
    /// What a question's answer is read by.
    type Kind;
    /// An answer that was taken.
    type Given: Clone + PartialEq + Debug;

    /// All questions that these answers leave room for, in the order they are asked. Whether one is among them may hang on
    /// earlier answers, never on later ones.
    fn questions(&self, answers: &Answers<Self::Key, Self::Given>) -> Vec<Question<Self::Key, Self::Kind>>;

    /// Reads a line that is not empty.
    ///
    /// # Errors
    /// Why it is not taken and what to type, in whole sentences.
    fn read(
        &self,
        question: &Question<Self::Key, Self::Kind>,
        line: &str,
        answers: &Answers<Self::Key, Self::Given>,
    ) -> Result<Self::Given, String>;

    /// Reads a line by itself: what only the whole can tell is left to whoever has all answers at once.
    ///
    /// # Errors
    /// As [`Script::read`].
    fn read_alone(
        &self,
        question: &Question<Self::Key, Self::Kind>,
        line: &str,
        answers: &Answers<Self::Key, Self::Given>,
    ) -> Result<Self::Given, String> {
        self.read(question, line, answers)
    }

    /// An answer as the user wrote it.
    fn written(&self, given: &Self::Given) -> String;

    /// What is said to an answer that was taken.
    fn noticed(
        &self,
        question: &Question<Self::Key, Self::Kind>,
        given: &Self::Given,
        answers: &Answers<Self::Key, Self::Given>,
    ) -> Noticed;

    /// Takes out the answers that no longer mean anything now that `key` is answered differently.
    fn forget(&self, key: &Self::Key, answers: &mut Answers<Self::Key, Self::Given>);

    /// What may be typed instead of an answer.
    fn commands(&self) -> &'static str;
}
