//! The whole tool as one function: what is on the bench and what is wanted of it in, words, pictures and files out. A page
//! needs nothing else; it knows no geometry, no rule and no wording of its own.
//!
//! 1. [`bench`]: what was opened and typed, and the files that it makes; [`fields`]: the forms it is typed into.

pub mod bench;
pub mod fields;
