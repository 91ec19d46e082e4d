//! What is wrong with an input, said so that the user can mend it.

use std::fmt::{self, Write};

/// Where in an input text a fault stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// One fault of an input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The file as the user named it, or `command line`.
    pub source: String,
    /// The place in the file; `None` for the command line and for files that could not be read.
    pub position: Option<Position>,
    /// Dotted path of the field, such as `seats.iron.height`; empty for the whole file.
    pub field: String,
    /// What stands there.
    pub found: String,
    /// What may stand there.
    pub allowed: String,
}

/// What the user wrote is echoed on one line and cannot command a terminal: control characters become their escapes.
struct Shown<'a>(&'a str);

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0
            .chars()
            .try_for_each(|c| if c.is_control() { write!(f, "{}", c.escape_debug()) } else { f.write_char(c) })
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", Shown(&self.source))?;
        if let Some(Position { line, column }) = self.position {
            write!(f, ", line {line}, column {column}")?;
        }
        if !self.field.is_empty() {
            write!(f, ", field {}", Shown(&self.field))?;
        }
        write!(f, ": found {}; allowed: {}", Shown(&self.found), Shown(&self.allowed))
    }
}

/// All faults of one input, in the order of the file. Never empty when it is an error.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Faults(pub Vec<Fault>);

impl Faults {
    /// A single fault of the command line.
    pub fn argument(field: &str, found: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self(vec![Fault {
            source: "command line".into(),
            position: None,
            field: field.into(),
            found: found.into(),
            allowed: allowed.into(),
        }])
    }

    /// `Ok(())` when nothing was found wrong.
    ///
    /// # Errors
    /// The faults themselves, sorted by their place in the file.
    pub fn into_result(mut self) -> Result<(), Self> {
        self.0.sort_by_key(|fault| fault.position);
        if self.0.is_empty() { Ok(()) } else { Err(self) }
    }
}

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, fault) in self.0.iter().enumerate() {
            if i > 0 {
                writeln!(f)?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_is_one_line_whatever_was_written() {
        let fault = Fault {
            source: "a\nb.json".into(),
            position: None,
            field: "ti\u{1b}[2Jtle".into(),
            found: "the text \"\r\u{7f}é\"".into(),
            allowed: "x\ty".into(),
        };
        let said = "a\\nb.json, field ti\\u{1b}[2Jtle: found the text \"\\r\\u{7f}é\"; allowed: x\\ty";
        assert_eq!(fault.to_string(), said);
    }
}
