//! Measuring a guide with calipers: questions out, answers in, a guide profile at the end. No file is touched here and
//! nothing is printed, so that a page can ask the same questions.
//!
//! 1. [`question`] says what a question is; [`table`] holds them all, in the order they are asked.
//! 2. [`answer`] reads a line and checks it; [`spread`] makes one length of several readings.
//! 3. [`session`] goes from question to question; [`flags`] takes the same answers as `FIELD=VALUE`.
//! 4. [`build`] makes the profile.

pub mod answer;
pub mod build;
pub mod flags;
pub mod question;
pub mod session;
pub mod spread;
pub mod table;

pub use answer::Answers;
pub use question::{Field, Question};
pub use session::{Session, State};
