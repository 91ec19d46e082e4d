//! From bytes to trusted values: the one way text enters the program.
//!
//! 1. [`document`] parses JSON strictly, and finds where a value stands.
//! 2. [`schema`] holds the text against the JSON Schema generated from the profile types, collecting all faults.
//! 3. [`length`] reads lengths, angles and tapers in all their forms.
//! 4. [`fault`] is what the user is told: file, line, column, what is wrong, what to write.
//! 5. A slip of the pen in the JSON is told as what it is, and mended in mind.
//! 6. The nearest of the known names is offered for one that is not known.

pub mod document;
pub mod fault;
mod form;
pub mod length;
pub mod nearest;
mod renamed;
pub mod schema;
mod slip;
mod tree;
