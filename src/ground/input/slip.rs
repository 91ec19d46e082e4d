//! Slips of the pen in a JSON text: what was meant, and what to type.
//!
//! A parser says what it expected; somebody who left out a comma, or wrote `2,4`, wants to hear just that. The text is
//! gone through sign by sign up to the first slip. Most can be mended in mind, so that the rest of the file is still
//! looked at and one run tells all that is wrong.

use std::ops::Range;

use super::length::{self, is_degrees};

/// The deepest that lists and objects are read within one another, as `serde_json` has it.
const DEEPEST: usize = 127;

/// Signs that stand for quotes in other texts.
const OTHER_QUOTES: [char; 11] = ['“', '”', '„', '‟', '«', '»', '\'', '‘', '’', '‚', '`'];

/// The first slip of a text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Slip {
    /// Where it stands, byte offset.
    pub at: usize,
    /// What is wrong.
    pub found: String,
    /// What to type, a sentence.
    pub mend: String,
    /// What stands in the way, and what it is taken for; `None` where nobody can know what was meant.
    pub taken_for: Option<(Range<usize>, String)>,
}

/// What must come next.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Next {
    Value,
    ValueOrEnd,
    Name,
    NameOrEnd,
    Colon,
    CommaOrEnd,
    Nothing,
}

/// The first slip of `text`; `None` where its signs are in order.
pub(super) fn first(text: &str) -> Option<Slip> {
    let mut scanner = Scanner { text, at: 0, open: Vec::new(), next: Next::Value, last: 0..0, comma: 0 };
    loop {
        scanner.skip_space();
        match scanner.step() {
            Ok(true) => {}
            Ok(false) => return None,
            Err(slip) => return Some(*slip),
        }
    }
}

struct Scanner<'t> {
    text: &'t str,
    at: usize,
    /// The brackets around, and where each was opened.
    open: Vec<(char, usize)>,
    next: Next,
    /// The last name, value or closing bracket.
    last: Range<usize>,
    /// The last comma.
    comma: usize,
}

type Stepped = Result<bool, Box<Slip>>;

fn slip<T>(
    at: usize,
    found: impl Into<String>,
    mend: impl Into<String>,
    taken_for: Option<(Range<usize>, &str)>,
) -> Result<T, Box<Slip>> {
    let taken_for = taken_for.map(|(range, text)| (range, text.to_string()));
    Err(Slip { at, found: found.into(), mend: mend.into(), taken_for }.into())
}

/// A part of the text for a message.
fn short(text: &str) -> String {
    const MOST: usize = 30;
    if text.chars().count() <= MOST { text.into() } else { text.chars().take(MOST).chain("…".chars()).collect() }
}

impl<'t> Scanner<'t> {
    fn rest(&self) -> &'t str {
        &self.text[self.at..]
    }

    fn skip_space(&mut self) {
        self.at += self.rest().len() - self.rest().trim_start_matches([' ', '\t', '\n', '\r']).len();
    }

    fn line_of(&self, at: usize) -> usize {
        self.text[..at].matches('\n').count() + 1
    }

    /// Takes the next sign, name or value; `false` at the end of a sound text.
    fn step(&mut self) -> Stepped {
        let Some(sign) = self.rest().chars().next() else { return self.end() };
        let here = self.at..self.at + sign.len_utf8();
        if self.next == Next::Nothing {
            let found =
                if matches!(sign, '}' | ']') { format!("a {sign} too many") } else { "text after the end".into() };
            return slip(self.at, found, "Take it out: a file is one object in { } and nothing after it.", None);
        }
        if self.rest().starts_with("//") || self.rest().starts_with("/*") || sign == '#' {
            return self.comment();
        }
        if self.open.is_empty()
            && !matches!(sign, '{' | '[' | '"' | '-' | '0'..='9')
            && !["true", "false", "null"].contains(&&self.text[self.piece()])
        {
            return slip(self.at, "this is not JSON", "Give a JSON file, which begins with {.", None);
        }
        match sign {
            ',' => self.comma(),
            '}' | ']' => self.close(sign),
            ':' if self.next == Next::Colon => self.take(here, Next::Value),
            '=' if self.next == Next::Colon => {
                slip(self.at, "= in place of a colon", "Write : here.", Some((here, ":")))
            }
            _ if self.next == Next::Colon => {
                let found = format!("a colon is missing after {}", short(&self.text[self.last.clone()]));
                let end = self.last.end;
                slip(end, found, "Put : here.", Some((end..end, ":")))
            }
            ';' if self.next == Next::CommaOrEnd => {
                slip(self.at, "; in place of a comma", "Write , here.", Some((here, ",")))
            }
            ':' if self.next == Next::CommaOrEnd => {
                slip(self.at, "a name with a value in a list", "Put { } around names and their values.", None)
            }
            _ if self.next == Next::CommaOrEnd => {
                let found = format!("a comma is missing after {}", short(&self.text[self.last.clone()]));
                let end = self.last.end;
                slip(end, found, "Put , here.", Some((end..end, ",")))
            }
            '"' => self.string(),
            _ if OTHER_QUOTES.contains(&sign) => self.other_quotes(sign),
            _ if sign.is_alphabetic() || sign == '_' => self.word(),
            '{' | '[' if !self.wants_name() => self.open(sign),
            '-' | '+' | '.' | '0'..='9' if !self.wants_name() => self.number(),
            '{' | '[' | '-' | '+' | '.' | '0'..='9' => self.nameless(),
            _ if sign.is_whitespace() || sign == '\u{feff}' => slip(
                self.at,
                format!("a space of another kind (U+{:04X})", sign as u32),
                "Write a plain space.",
                Some((here, " ")),
            ),
            _ => slip(self.at, format!("{sign} cannot stand here"), "Take it out, or put \" around a text.", None),
        }
    }

    fn wants_name(&self) -> bool {
        matches!(self.next, Next::Name | Next::NameOrEnd)
    }

    fn take(&mut self, token: Range<usize>, next: Next) -> Stepped {
        self.at = token.end;
        self.next = next;
        Ok(true)
    }

    /// What may come after a value.
    fn after_value(&self) -> Next {
        if self.open.is_empty() { Next::Nothing } else { Next::CommaOrEnd }
    }

    /// A whole value, or a name where one is wanted.
    fn taken(&mut self, token: Range<usize>) -> Stepped {
        self.last = token.clone();
        let next = if self.wants_name() { Next::Colon } else { self.after_value() };
        self.take(token, next)
    }

    fn end(&self) -> Stepped {
        match self.open.last() {
            None if self.next == Next::Nothing => Ok(false),
            None => slip(self.at, "an empty file", "Give one JSON object in { }.", None),
            Some((open, at)) => {
                let found = format!("the file ends before the {open} of line {} is closed", self.line_of(*at));
                slip(self.text.trim_end().len(), found, format!("Close it with {}.", closing(*open)), None)
            }
        }
    }

    fn comment(&self) -> Stepped {
        let rest = self.rest();
        let length = match rest.strip_prefix("/*") {
            Some(inner) => inner.find("*/").map_or(rest.len(), |end| end + 4),
            None => rest.find('\n').unwrap_or(rest.len()),
        };
        let mend = "Take it out, or move it into \"notes\".";
        slip(self.at, "a comment, which JSON does not have", mend, Some((self.at..self.at + length, "")))
    }

    fn comma(&mut self) -> Stepped {
        let here = self.at..self.at + 1;
        if self.next == Next::CommaOrEnd {
            self.comma = self.at;
            let in_object = self.open.last().is_some_and(|(open, _)| *open == '{');
            return self.take(here, if in_object { Next::Name } else { Next::Value });
        }
        if self.next == Next::Value && self.text[..self.at].trim_end().ends_with(':') {
            return self.no_value();
        }
        slip(self.at, "a comma too many", "Take it out.", Some((here, "")))
    }

    fn no_value(&self) -> Stepped {
        let found = format!("no value after {}:", short(&self.text[self.last.clone()]));
        slip(self.at, found, "Write its value, or take the field out.", None)
    }

    fn open(&mut self, sign: char) -> Stepped {
        if self.open.len() == DEEPEST {
            let found = format!("more than {DEEPEST} brackets within one another");
            return slip(self.at, found, "Give a file of the documented form.", None);
        }
        self.open.push((sign, self.at));
        self.take(self.at..self.at + 1, if sign == '{' { Next::NameOrEnd } else { Next::ValueOrEnd })
    }

    fn close(&mut self, sign: char) -> Stepped {
        let here = self.at..self.at + 1;
        let Some((open, from)) = self.open.last().copied() else {
            return slip(self.at, format!("a {sign} too many"), "Take it out.", None);
        };
        if closing(open) != sign {
            let found = format!("{sign} does not close the {open} of line {}", self.line_of(from));
            return slip(self.at, found, format!("Write {} here.", closing(open)), None);
        }
        match self.next {
            Next::Colon => slip(self.at, "a name without a value", "Write : and its value.", None),
            Next::Name | Next::Value if self.text[..self.at].trim_end().ends_with(',') => {
                let comma = self.comma..self.comma + 1;
                slip(self.comma, format!("a comma too many before {sign}"), "Take it out.", Some((comma, "")))
            }
            Next::Value => self.no_value(),
            _ => {
                self.open.pop();
                self.last = here.clone();
                let next = self.after_value();
                self.take(here, next)
            }
        }
    }

    fn string(&mut self) -> Stepped {
        let mut signs = self.rest().char_indices().skip(1).peekable();
        while let Some((i, sign)) = signs.next() {
            let at = self.at + i;
            match sign {
                '"' => return self.taken(self.at..at + 1),
                '\\' => match signs.next() {
                    Some((_, '"' | '\\' | '/' | 'b' | 'f' | 'n' | 'r' | 't')) => {}
                    Some((_, 'u')) => {
                        let digits = (0..4).all(|_| signs.next_if(|(_, c)| c.is_ascii_hexdigit()).is_some());
                        if !digits {
                            return slip(
                                at,
                                "\\u without four hexadecimal digits",
                                "Write / or \\\\ instead of \\.",
                                Some((at..at + 1, "\\\\")),
                            );
                        }
                    }
                    _ => {
                        return slip(
                            at,
                            "a single \\ in a text",
                            "Write / or \\\\ instead.",
                            Some((at..at + 1, "\\\\")),
                        );
                    }
                },
                '\n' | '\r' => {
                    return slip(
                        self.at,
                        "quotes that are not closed on their line",
                        "Close them with \" before the line ends.",
                        None,
                    );
                }
                '\t' => return slip(at, "a tab in a text", "Write a space.", Some((at..at + 1, " "))),
                _ if sign.is_control() && sign < ' ' => {
                    return slip(
                        at,
                        format!("a control character in a text (U+{:04X})", sign as u32),
                        "Take it out.",
                        Some((at..at + 1, "")),
                    );
                }
                _ => {}
            }
        }
        slip(self.at, "quotes that are not closed", "Close them with \".", None)
    }

    fn other_quotes(&self, sign: char) -> Stepped {
        let start = self.at + sign.len_utf8();
        let line = self.text[start..].lines().next().unwrap_or_default();
        let ends = |c: char| OTHER_QUOTES.contains(&c) || c == '"';
        let inner = line.find(ends).map(|end| &line[..end]);
        let taken_for = inner.and_then(|inner| {
            let close = line[inner.len()..].chars().next()?;
            Some((self.at..start + inner.len() + close.len_utf8(), format!("\"{inner}\"")))
        });
        let mend = match &taken_for {
            Some((_, text)) => format!("Write {}.", short(text)),
            None => "Write \" before and after a text.".into(),
        };
        let found = format!("{sign} is not a plain quote");
        slip(self.at, found, mend, taken_for.as_ref().map(|(range, text)| (range.clone(), text.as_str())))
    }

    /// What stands here up to the next sign of structure.
    fn piece(&self) -> Range<usize> {
        let rest = self.rest();
        let length = rest.find([',', ':', ';', ']', '}', '{', '[', '\n', '\r']).unwrap_or(rest.len());
        self.at..self.at + rest[..length].trim_end().len()
    }

    fn word(&mut self) -> Stepped {
        let piece = self.piece();
        let word = &self.text[piece.clone()];
        let known = match word {
            "true" | "false" | "null" if !self.wants_name() => return self.taken(piece),
            "True" | "TRUE" | "yes" | "Yes" => Some("true"),
            "False" | "FALSE" | "no" | "No" => Some("false"),
            "None" | "NULL" | "nil" | "undefined" => Some("null"),
            _ => None,
        };
        match known.filter(|_| !self.wants_name()) {
            Some(meant) => {
                slip(self.at, format!("{word} is not a word of JSON"), format!("Write {meant}."), Some((piece, meant)))
            }
            None if matches!(word, "NaN" | "nan" | "Infinity" | "inf") => no_number(self.at, word, piece),
            None => {
                let quoted = format!("\"{}\"", word.replace(['"', '\\'], ""));
                slip(
                    self.at,
                    format!("{} has no quotes", short(word)),
                    format!("Write {}.", short(&quoted)),
                    Some((piece, &quoted)),
                )
            }
        }
    }

    /// A value where a name should be: the second half of a decimal comma, or a list without its brackets.
    fn nameless(&self) -> Stepped {
        let (before, piece) = (&self.text[..self.comma], self.piece());
        // A bracket is no piece of its own.
        let after = if piece.is_empty() { self.at..self.at + 1 } else { piece };
        let whole = before.len() - before.bytes().rev().take_while(u8::is_ascii_digit).count();
        let part = self.rest().bytes().take_while(u8::is_ascii_digit).count();
        let beside = self.next == Next::Name && self.comma + 1 == self.at;
        if beside && whole < self.comma && part > 0 {
            let written = whole..self.at + part;
            let (commaed, pointed) = (&self.text[written.clone()], self.text[written.clone()].replace(',', "."));
            let found = format!("{commaed} has a decimal comma");
            return slip(whole, found, format!("Write {pointed}."), Some((written, &pointed)));
        }
        let found = format!("{} has no name", short(&self.text[after]));
        slip(self.at, found, "Write \"name\": before it, or put [ ] around a list.", None)
    }

    fn number(&mut self) -> Stepped {
        let rest = self.rest();
        let length = rest.find(|c: char| !matches!(c, '0'..='9' | '+' | '-' | '.' | 'e' | 'E')).unwrap_or(rest.len());
        let (digits, token) = (&rest[..length], self.at..self.at + length);
        let beyond = rest[length..].trim_start_matches([' ', '\t']).chars().next();
        let ends = |c: char| {
            matches!(c, ',' | ']' | '}' | '{' | '[' | '\n' | '\r' | ';' | ':') || rest[length..].starts_with("//")
        };
        if beyond.is_some_and(|c| !ends(c) && (c != '"' || !rest[length..].starts_with(' '))) {
            return self.with_unit(digits);
        }
        if serde_json::from_str::<serde_json::Number>(digits).is_ok() {
            return self.taken(token);
        }
        let plain = digits.trim_start_matches('+');
        let (sign, plain) = plain.strip_prefix('-').map_or(("", plain), |plain| ("-", plain));
        let plain = match plain.trim_start_matches('0') {
            "" if !plain.is_empty() => "0".into(),
            rest if rest.starts_with(['.', 'e', 'E']) => format!("0{rest}"),
            rest => rest.to_string(),
        };
        let meant = format!("{sign}{}", plain.strip_suffix('.').unwrap_or(&plain));
        if serde_json::from_str::<serde_json::Number>(&meant).is_ok() {
            return slip(
                self.at,
                format!("{digits} is not a number as JSON writes it"),
                format!("Write {meant}."),
                Some((token, &meant)),
            );
        }
        no_number(self.at, &self.text[self.piece()], self.piece())
    }

    /// A number with a sign or a unit after it, and no quotes around both.
    fn with_unit(&self, digits: &str) -> Stepped {
        let piece = self.piece();
        let written = self.text[piece.clone()].trim_end_matches('"');
        let is_number = serde_json::from_str::<serde_json::Number>(digits).is_ok();
        let taken_for = is_number.then_some((piece.clone(), digits));
        if is_number && is_degrees(&written[digits.len()..]) {
            return slip(
                self.at,
                format!("{} is not a plain number", short(written)),
                format!("Write {digits}."),
                taken_for,
            );
        }
        let whole = self.text[piece.clone()].trim_end();
        let numbers: Vec<&str> = whole.split_whitespace().collect();
        if numbers.iter().all(|number| serde_json::from_str::<serde_json::Number>(number).is_ok()) {
            let meant = numbers.join(", ");
            let found = format!("no comma between the numbers {}", short(whole));
            return slip(self.at, found, format!("Write {meant}."), Some((piece, &meant)));
        }
        let Some(meant) = length::meant(whole, None) else {
            let found = format!("{} is not a number", short(whole));
            return slip(self.at, found, "Write a number, or put \" around a length with its unit.", taken_for);
        };
        let quoted = format!("\"{meant}\"");
        slip(self.at, format!("{} has no quotes", short(whole)), format!("Write {quoted}."), Some((piece, &quoted)))
    }
}

fn no_number(at: usize, text: &str, piece: Range<usize>) -> Stepped {
    let found = format!("{} is not a number", short(text));
    slip(at, found, "Write a number, or leave the field out.", Some((piece, "null")))
}

fn closing(open: char) -> char {
    if open == '{' { '}' } else { ']' }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What people type, what they are told, and what it is taken for.
    #[test]
    fn slips_are_told_as_what_they_are() {
        for (text, at, found, mend, taken_for) in [
            ("{\"a\": 1 \"b\": 2}", 7, "a comma is missing after 1", "Put , here.", "{\"a\": 1, \"b\": 2}"),
            ("{\"a\": [1, 2,]}", 11, "a comma too many before ]", "Take it out.", "{\"a\": [1, 2]}"),
            ("{\"a\": 1,}", 7, "a comma too many before }", "Take it out.", "{\"a\": 1}"),
            ("{“a”: 1}", 1, "“ is not a plain quote", "Write \"a\".", "{\"a\": 1}"),
            ("{'a': 1}", 1, "' is not a plain quote", "Write \"a\".", "{\"a\": 1}"),
            ("{\"a\": top-clamp}", 6, "top-clamp has no quotes", "Write \"top-clamp\".", "{\"a\": \"top-clamp\"}"),
            ("{\"a\": 2,4}", 6, "2,4 has a decimal comma", "Write 2.4.", "{\"a\": 2.4}"),
            ("{\"a\": [25°]}", 7, "25° is not a plain number", "Write 25.", "{\"a\": [25]}"),
            ("{\"a\": 2\"}", 6, "2\" has no quotes", "Write \"2 in\".", "{\"a\": \"2 in\"}"),
            ("{\"a\": 1 3/8 in}", 6, "1 3/8 in has no quotes", "Write \"1 3/8 in\".", "{\"a\": \"1 3/8 in\"}"),
            ("{\"a\": 51 mm}", 6, "51 mm has no quotes", "Write \"51 mm\".", "{\"a\": \"51 mm\"}"),
            (
                "{\"a\": [25, 30 35]}",
                11,
                "no comma between the numbers 30 35",
                "Write 30, 35.",
                "{\"a\": [25, 30, 35]}",
            ),
            ("{\"a\": .5}", 6, ".5 is not a number as JSON writes it", "Write 0.5.", "{\"a\": 0.5}"),
            ("{\"a\": True}", 6, "True is not a word of JSON", "Write true.", "{\"a\": true}"),
            ("{\"a\" = 1}", 5, "= in place of a colon", "Write : here.", "{\"a\" : 1}"),
            ("{\"a\" 1}", 4, "a colon is missing after \"a\"", "Put : here.", "{\"a\": 1}"),
            ("{\"a\": 1; \"b\": 2}", 7, "; in place of a comma", "Write , here.", "{\"a\": 1, \"b\": 2}"),
            ("{\"a\": \"C:\\g\"}", 9, "a single \\ in a text", "Write / or \\\\ instead.", "{\"a\": \"C:\\\\g\"}"),
        ] {
            let slip = first(text).expect(text);
            assert_eq!((slip.at, slip.found.as_str(), slip.mend.as_str()), (at, found, mend), "{text}");
            let (range, instead) = slip.taken_for.expect(text);
            let mut mended = text.to_string();
            mended.replace_range(range, &instead);
            assert_eq!(mended, taken_for);
            assert_eq!(first(&mended), None);
        }
        for (text, found) in [
            ("{\"a\": [1, 2}", "} does not close the [ of line 1"),
            ("{\n\"a\": 1", "the file ends before the { of line 1 is closed"),
            ("{\"a\": 1}}", "a } too many"),
            ("{\"a\": \"b\n\"}", "quotes that are not closed on their line"),
            ("{\"a\": }", "no value after \"a\":"),
            ("{\"a\": {{}}}", "{ has no name"),
            ("title: x", "this is not JSON"),
        ] {
            let slip = first(text).expect(text);
            assert_eq!((slip.found.as_str(), slip.taken_for), (found, None), "{text}");
        }
    }

    proptest::proptest! {
        /// Whatever is no JSON has a slip or is left to the parser, and whatever is JSON has none.
        #[test]
        fn sound_texts_have_no_slips(text in "[\\[\\]{},:\"'a0-9.\\-e\\\\ \n]{0,24}") {
            if serde_json::from_str::<serde_json::Value>(&text).is_ok() {
                proptest::prop_assert_eq!(first(&text), None);
            }
        }
    }
}
