//! The terminal that a report is read on: its width, sentences and tables that fit it, its colours.

pub mod narrow;
pub mod paint;
pub mod wrap;

use std::io::IsTerminal;

/// Fewest and most columns that sentences are wrapped to: narrower breaks every other word, wider loses the eye.
const WRAPPED: [usize; 2] = [40, 100];

/// The width of what is printed to: as `COLUMNS` says, else that of the terminal; none for a pipe or a file, where
/// whoever reads wraps.
pub fn width(of: &impl IsTerminal) -> Option<usize> {
    let stated = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse::<usize>().ok());
    let size = || terminal_size::terminal_size().map(|(terminal_size::Width(columns), _)| columns.into());
    stated.or_else(|| of.is_terminal().then(size).flatten()).map(|columns: usize| columns.clamp(WRAPPED[0], WRAPPED[1]))
}
