//! How an error is told: with all its causes, and a finding as a sentence.

use std::error::Error;

/// An error and its causes, each after a colon: `block.pdf: the PDF was refused: …`.
pub fn chain(error: &dyn Error) -> String {
    let causes = causes(error);
    if causes.is_empty() { error.to_string() } else { format!("{error}: {causes}") }
}

/// The causes of an error alone, each after a colon; nothing where it has none.
pub fn causes(error: &dyn Error) -> String {
    let each = std::iter::successors(error.source(), |&cause| cause.source());
    each.map(|cause| cause.to_string()).collect::<Vec<_>>().join(": ")
}

/// Several errors with their causes, a line each.
pub fn lines<E: Error>(errors: &[E]) -> String {
    errors.iter().map(|error| chain(error)).collect::<Vec<_>>().join("\n")
}

/// A message that begins small and has no stop, as a sentence of its own.
pub fn sentence(message: &str) -> String {
    let message = capital(message);
    if message.is_empty() { message } else { message + "." }
}

/// Words that begin small, as they begin a sentence.
pub fn capital(words: &str) -> String {
    let mut signs = words.chars();
    signs.next().map_or(String::new(), |first| format!("{}{}", first.to_uppercase(), signs.as_str()))
}
