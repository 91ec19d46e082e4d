//! What is wrong with an input, said so that the user can mend it.

use std::fmt;

use super::nearest::nearest;
use crate::shape::script::on_a_line;

/// Where in an input text a fault stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// How a fault is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wrong {
    /// The field has a value that it cannot have: `found` is the value.
    Value,
    /// The field is missing.
    Missing,
    /// There is no such field.
    Unknown,
    /// The field's value has something in it that it cannot have: `found` is that.
    Has,
    /// Anything else: `found` says it.
    Rule,
}

/// One fault of an input.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The file as the user named it; empty for the command line.
    pub source: String,
    /// The place in the file; `None` for the command line and for files that could not be read.
    pub position: Option<Position>,
    /// Dotted path of the field, such as `seats.iron.height`; empty for the whole file.
    pub field: String,
    /// How it is said.
    pub wrong: Wrong,
    /// What stands there.
    pub found: String,
    /// The name or word that was perhaps meant.
    pub near: Option<String>,
    /// What may stand there.
    pub allowed: String,
    /// What to type, a sentence of its own, where that is known: it is said instead of what may stand there.
    pub mend: Option<String>,
}

/// Names that are listed where one is not known.
const MOST_NAMES: usize = 30;

impl Fault {
    /// A fault of a field, said as fits what was found there.
    pub fn new(field: impl Into<String>, found: impl Into<String>, allowed: impl Into<String>) -> Self {
        let found = found.into();
        let quoted =
            found.len() > 1 && found.starts_with('"') && found.ends_with('"') && found.matches('"').count() == 2;
        let wrong = match found.as_str() {
            "nothing" => Wrong::Missing,
            _ if quoted => Wrong::Value,
            _ => Wrong::Rule,
        };
        let (field, allowed) = (field.into(), allowed.into());
        Self { source: String::new(), position: None, field, wrong, found, near: None, allowed, mend: None }
    }

    /// The same, of a file.
    pub fn of(self, source: impl Into<String>, position: Option<Position>) -> Self {
        Self { source: source.into(), position, ..self }
    }

    /// A fault of a name that is none of `names`, with the one that was perhaps meant.
    pub fn unknown<'n>(field: impl Into<String>, word: &str, names: impl IntoIterator<Item = &'n str> + Clone) -> Self {
        let mut shown: Vec<&str> = names.clone().into_iter().take(MOST_NAMES + 1).collect();
        if shown.len() > MOST_NAMES {
            shown[MOST_NAMES] = "…";
        }
        let allowed = shown.join(", ");
        let found = format!("\"{word}\"");
        Self { wrong: Wrong::Value, ..Self::new(field, found, allowed) }.near(word, names)
    }

    /// The same, told what to type: a whole sentence.
    pub fn mended(self, mend: Option<String>) -> Self {
        Self { mend, ..self }
    }

    /// The same, with the word of `names` that was perhaps meant by `word`.
    pub fn near<'n>(self, word: &str, names: impl IntoIterator<Item = &'n str>) -> Self {
        Self { near: nearest(word, names).map(str::to_string), ..self }
    }
}

/// What the user wrote is echoed on one line and cannot command a terminal: hidden signs become their escapes. Of a text
/// that is far too long only its beginning is shown.
struct Shown<'a>(&'a str);

/// Characters that are shown of one text: more than the longest that the program itself has to say.
const MOST_SHOWN: usize = 2000;
/// Those that are shown of a field's name.
const MOST_OF_A_FIELD: usize = 200;

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let most = f.precision().unwrap_or(MOST_SHOWN);
        f.write_str(&on_a_line(self.0, most))
    }
}

impl fmt::Display for Fault {
    /// `job.json:4:11: units cannot be "feet". Use "mm" or "in".`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.source.is_empty() {
            write!(f, "{}", Shown(&self.source))?;
            if let Some(Position { line, column }) = self.position {
                write!(f, ":{line}:{column}")?;
            }
            write!(f, ": ")?;
        }
        let field = format!("{:.MOST_OF_A_FIELD$}", Shown(&self.field));
        let found = self.found.strip_prefix("the text ").unwrap_or(&self.found);
        let advice = match self.wrong {
            Wrong::Value if self.field.is_empty() => {
                write!(f, "{} cannot stand here", Shown(found))?;
                "Use"
            }
            Wrong::Value => {
                write!(f, "{field} cannot be {}", Shown(found))?;
                "Use"
            }
            Wrong::Missing => {
                write!(f, "{field} is missing")?;
                "Give"
            }
            Wrong::Unknown => {
                write!(f, "{field} is not a field of this file")?;
                "Use"
            }
            Wrong::Has => {
                write!(f, "{field} has {}", Shown(&self.found))?;
                "Use"
            }
            Wrong::Rule if self.field.is_empty() => {
                write!(f, "{}", Shown(&self.found))?;
                "Give"
            }
            Wrong::Rule => {
                write!(f, "{field}: {}", Shown(&self.found))?;
                "Give"
            }
        };
        write!(f, ".")?;
        if let Some(near) = &self.near {
            write!(f, " Did you mean \"{}\"?", Shown(near))?;
        }
        if let Some(mend) = &self.mend {
            write!(f, " {}", Shown(mend))?;
        } else if !self.allowed.is_empty() {
            write!(f, " {advice} {}.", Shown(self.allowed.trim_end_matches('.')))?;
        }
        Ok(())
    }
}

/// All faults of one input, in the order of the file. Never empty when it is an error.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Faults(pub Vec<Fault>);

impl Faults {
    /// A single fault of the command line.
    pub fn argument(field: &str, found: impl Into<String>, allowed: impl Into<String>) -> Self {
        Self(vec![Fault::new(field, found, allowed)])
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
        let fault = Fault::new("ti\u{1b}[2Jtle", "the text \"\r\u{7f}é\"", "x\ty");
        let fault = Fault { wrong: Wrong::Value, ..fault.of("a\nb.json", None) };
        assert_eq!(fault.to_string(), "a\\nb.json: ti\\u001b[2Jtle cannot be \"\\r\\u007fé\". Use x\\ty.");
    }

    /// A name of ten megabytes, and a message of none.
    #[test]
    fn a_long_name_is_told_by_its_beginning() {
        let long = "é".repeat(5 << 20);
        let names = ["settings", "title"];
        let fault = Fault { wrong: Wrong::Unknown, ..Fault::new(&long, "", "title").near(&long, names) };
        assert!(fault.to_string().len() < 600);
        assert!(Fault::unknown("guide", &long, names).to_string().len() < 5000);
    }

    /// The words of each kind, as somebody reads them.
    #[test]
    fn a_fault_says_what_is_wrong_and_what_to_type() {
        let at = |fault: Fault| fault.of("job.json", Some(Position { line: 4, column: 11 })).to_string();
        let units = Fault { wrong: Wrong::Value, ..Fault::new("units", "the text \"feet\"", "\"mm\" or \"in\"") };
        assert_eq!(at(units), "job.json:4:11: units cannot be \"feet\". Use \"mm\" or \"in\".");
        let missing = Fault::new("--thickness", "nothing", "the blade's thickness");
        assert_eq!(missing.to_string(), "--thickness is missing. Give the blade's thickness.");
        let near = Fault::new("guide", "\"top-clmp\"", "a guide").near("top-clmp", ["top-clamp"]);
        assert_eq!(near.to_string(), "guide cannot be \"top-clmp\". Did you mean \"top-clamp\"? Use a guide.");
        let rule = Fault::new("kit", "a kit beside settings", "one of the two");
        assert_eq!(at(rule), "job.json:4:11: kit: a kit beside settings. Give one of the two.");
    }
}
