//! The licences of what the program is made with: libraries, and the font that it letters with.

/// The notices as text, as `tests/supply` writes them from the locks.
pub const NOTICES: &str = include_str!("notices.txt");
