//! Measuring a guide with calipers: questions out, answers in, a guide profile at the end. No file is touched here and
//! nothing is printed, so that a page can ask the same questions.
//!
//! 1. [`question`] says what a question is; [`table`] holds them all, in the order they are asked.
//! 2. [`answer`] reads a line and checks it; [`spread`] makes one length of several readings; [`answers`] holds them.
//! 3. [`script`] hands them to a session, which goes from question to question, with the [`words`] around them; [`flags`]
//!    takes the same answers as `FIELD=VALUE`.
//! 4. [`build`] makes the profile.

pub mod answer;
pub mod answers;
pub mod build;
pub mod field;
pub mod flags;
pub mod question;
pub mod script;
mod seat_questions;
pub mod sheet;
pub mod spread;
pub mod table;
pub mod words;

pub use answers::Answers;
pub use field::Field;
pub use question::Question;
pub use script::{Measuring, Session};

pub use crate::questions::State;
