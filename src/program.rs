//! The program: the command line, the page, and the server that answers it on this computer. What they say and make is
//! the library's.
//!
//! It is a crate of its own so that what it alone needs is built while the library is, and so that nothing in the library
//! can reach for a file, a clock, a signal or a thread.
//!
//! ```text
//!  arguments ── cli ──┬── library ── files
//!                     └── serve ── page
//! ```

// The platform's functions of angles differ in the last place: see the library's `trig`.
#![cfg_attr(not(test), warn(clippy::disallowed_methods))]

pub mod page;
mod serve;

mod terminal;

pub mod cli;
