//! How an error is told: with all its causes.

use std::error::Error;

/// An error and its causes, each after a colon: `block.pdf: the PDF was refused: …`.
pub fn chain(error: &dyn Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        text += &format!(": {inner}");
        cause = inner.source();
    }
    text
}

/// Several errors with their causes, a line each.
pub fn lines<E: Error>(errors: &[E]) -> String {
    errors.iter().map(|error| chain(error)).collect::<Vec<_>>().join("\n")
}
