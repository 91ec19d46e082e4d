//! A JSON text parsed strictly, with the place of every value.
//!
//! `serde_json` is the judge of the grammar (and of nesting depth); `jsonc-parser`, with all its leniency off, then
//! gives the byte range of every value, which `serde_json` does not keep.

use std::borrow::Cow;
use std::ops::Range;
use std::sync::OnceLock;

use jsonc_parser::{CollectOptions, ParseOptions, ast};
use unicode_normalization::char::is_combining_mark;
use unicode_normalization::{IsNormalized, UnicodeNormalization, is_nfc_quick};

use super::fault::{Fault, Faults, Position, Wrong};
use super::slip;

/// The largest file that is read, bytes.
pub const LARGEST_FILE: usize = 16 * 1024 * 1024;

/// A value and where it starts.
#[derive(Debug, Clone)]
pub struct Node {
    /// Byte offset of the value's first character.
    pub start: usize,
    /// The value.
    pub value: Value,
}

/// A JSON value; objects keep order and duplicates.
#[derive(Debug, Clone)]
pub enum Value {
    /// `null`
    Null,
    /// `true` or `false`
    Bool(bool),
    /// A number and its spelling.
    Number(f64, String),
    /// A string, unescaped.
    Text(String),
    /// An array.
    Array(Vec<Node>),
    /// An object: name, byte offset of the name, value.
    Object(Vec<(String, usize, Node)>),
}

impl Node {
    /// The member `name` of an object, the first if it stands there twice.
    pub fn member(&self, name: &str) -> Option<&Node> {
        match &self.value {
            Value::Object(members) => members.iter().find(|m| m.0 == name).map(|m| &m.2),
            _ => None,
        }
    }

    /// The value as the user wrote it, shortened for a message.
    pub fn describe(&self) -> String {
        match &self.value {
            Value::Null => "null".into(),
            Value::Bool(b) => b.to_string(),
            Value::Number(_, spelling) => shorten(spelling),
            Value::Text(text) => format!("the text \"{}\"", shorten(text)),
            Value::Array(items) if items.is_empty() => "an empty list".into(),
            Value::Array(items) => format!("a list of {}", items.len()),
            Value::Object(members) => {
                let names: Vec<_> = members.iter().map(|m| m.0.as_str()).collect();
                format!("an object with [{}]", shorten(&names.join(", ")))
            }
        }
    }

    fn from_ast(value: ast::Value<'_>) -> Node {
        use jsonc_parser::common::Ranged;
        let start = value.range().start;
        let value = match value {
            ast::Value::NullKeyword(_) => Value::Null,
            ast::Value::BooleanLit(b) => Value::Bool(b.value),
            ast::Value::NumberLit(n) => Value::Number(n.value.parse().unwrap_or(f64::NAN), n.value.to_string()),
            ast::Value::StringLit(s) => Value::Text(s.value.into_owned()),
            ast::Value::Array(a) => Value::Array(a.elements.into_iter().map(Node::from_ast).collect()),
            ast::Value::Object(o) => Value::Object(
                o.properties
                    .into_iter()
                    .map(|p| {
                        let (name_at, name) = (p.name.range().start, p.name.into_string());
                        (name, name_at, Node::from_ast(p.value))
                    })
                    .collect(),
            ),
        };
        Node { start, value }
    }
}

fn shorten(text: &str) -> String {
    const MOST: usize = 60;
    if text.chars().count() <= MOST { text.to_string() } else { text.chars().take(MOST).chain("…".chars()).collect() }
}

/// A part of a text that was taken for another: where it began, and its length before and after.
#[derive(Debug, Clone)]
struct Edit {
    at: usize,
    before: usize,
    after: usize,
}

/// A parsed input text.
#[derive(Debug, Clone)]
pub struct Document {
    source: String,
    text: String,
    /// What was mended of the text in mind, in the order in which it was done.
    edits: Vec<Edit>,
    /// The text as it was written, where something was mended.
    written: Option<String>,
    /// Made when somebody asks for a place, of a text that is JSON.
    root: OnceLock<Node>,
}

impl Document {
    /// Parses `bytes`, which the user knows as `source`.
    ///
    /// # Errors
    /// All faults of the text, with their places: not UTF-8, too large, or not one JSON value and nothing else.
    pub fn parse(source: &str, bytes: &[u8]) -> Result<Self, Faults> {
        let (document, slips) = Self::of_text(source, Self::text_of(source, bytes)?).mended()?;
        slips.into_result().map(|()| document)
    }

    /// The same for a first look at a file that is read again later: slips that can be mended are left to that.
    ///
    /// # Errors
    /// All faults of a text that nobody can read.
    pub fn glance(source: &str, bytes: &[u8]) -> Result<Self, Faults> {
        Self::of_text(source, Self::text_of(source, bytes)?).mended().map(|(document, _)| document)
    }

    /// A text that has yet to be judged; its values are placed when somebody asks for one.
    pub fn of_text(source: &str, text: &str) -> Self {
        let (edits, written, root) = (Vec::new(), None, OnceLock::new());
        let mut document = Self { source: source.into(), text: text.into(), edits, written, root };
        if !text.is_ascii() && is_nfc_quick(text.chars()) != IsNormalized::Yes {
            document.compose();
        }
        document
    }

    /// Takes letters with accents of their own for the letters that Unicode has for them (NFC), so that a name is the same
    /// whichever keyboard or disk it is from.
    fn compose(&mut self) {
        let mut composed = String::with_capacity(self.text.len());
        let mut rest = self.text.as_str();
        while let Some(first) = rest.chars().next() {
            let marks =
                rest[first.len_utf8()..].find(|c| !is_combining_mark(c)).unwrap_or(rest.len() - first.len_utf8());
            let (letter, after) = rest.split_at(first.len_utf8() + marks);
            let at = composed.len();
            composed.extend(letter.nfc());
            if composed[at..] != *letter {
                self.edits.push(Edit { at, before: letter.len(), after: composed.len() - at });
            }
            rest = after;
        }
        self.written = Some(std::mem::replace(&mut self.text, composed));
    }

    /// Whether the text is JSON.
    ///
    /// # Errors
    /// All slips of the text, with their places.
    pub(super) fn judge(&self) -> Result<(), Faults> {
        match self.fault_of_grammar() {
            None => Ok(()),
            Some(_) => self.clone().mended().and_then(|(_, slips)| slips.into_result()),
        }
    }

    /// The text with its slips mended in mind, and what they are: none of a text that is JSON.
    ///
    /// # Errors
    /// The faults of a text that nobody can read to its end.
    pub fn mended(mut self) -> Result<(Self, Faults), Faults> {
        let mut faults = Faults::default();
        while let Some(refused) = self.fault_of_grammar() {
            let slip = slip::first(&self.text).filter(|_| faults.0.len() < MOST_SLIPS);
            let Some(slip) = slip else {
                return Err(if faults.0.is_empty() { Faults(vec![refused]) } else { faults });
            };
            faults.0.push(self.fault_at(slip.at, Fault::new("", slip.found, "").mended(Some(slip.mend))));
            match slip.taken_for {
                Some((range, instead)) => self.take_for(range, &instead),
                None => return Err(faults),
            }
        }
        Ok((self, faults))
    }

    /// Takes a part of the text for another; places are still told in the text as written.
    fn take_for(&mut self, part: Range<usize>, instead: &str) {
        self.written.get_or_insert_with(|| self.text.clone());
        self.edits.push(Edit { at: part.start, before: part.len(), after: instead.len() });
        self.text.replace_range(part, instead);
        self.root = OnceLock::new();
    }

    /// The first fault that the JSON parser finds.
    fn fault_of_grammar(&self) -> Option<Fault> {
        let text = &self.text;
        let e = serde_json::from_str::<serde_json::Value>(text).err()?;
        // serde_json counts columns in bytes; turn its place into a byte offset and back into characters.
        let line_start: usize = text.split_inclusive('\n').take(e.line().saturating_sub(1)).map(str::len).sum();
        let offset = (line_start + e.column().saturating_sub(1)).min(text.len());
        let message = e.to_string();
        let cause = message.split(" at line ").next().unwrap_or(&message);
        Some(self.fault_at(offset, Fault::new("", format!("not JSON from here on: {cause}"), "one JSON object in { }")))
    }

    /// The text of a file.
    ///
    /// # Errors
    /// One fault, with its place: not UTF-8, too large, or empty.
    pub fn text_of<'a>(source: &str, bytes: &'a [u8]) -> Result<&'a str, Faults> {
        let whole = |position, found: String, allowed: &str| whole(source, position, found, allowed);
        if bytes.len() > LARGEST_FILE {
            let allowed = format!("a JSON file of at most {} MiB", LARGEST_FILE >> 20);
            return Err(whole(None, format!("{} bytes", bytes.len()), &allowed));
        }
        if let Some(kind) = foreign(bytes) {
            return Err(Faults(vec![Fault::new("", kind.0, "").of(source, None).mended(Some(kind.1.into()))]));
        }
        // Some editors put a byte order mark before UTF-8 text; it says nothing and is dropped.
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let text = std::str::from_utf8(bytes).map_err(|e| {
            let before = String::from_utf8_lossy(&bytes[..e.valid_up_to()]).into_owned();
            let at = position_in(&before, before.len());
            let fault = Fault::new("", "a sign that is not UTF-8", "").of(source, Some(at));
            Faults(vec![fault.mended(Some("Save the file as UTF-8.".into()))])
        })?;
        if text.trim().is_empty() {
            return Err(whole(Some(Position { line: 1, column: 1 }), "an empty file".into(), "one JSON object in { }"));
        }
        Ok(text)
    }

    /// The file as the user named it.
    pub fn source(&self) -> &str {
        &self.source
    }

    /// The text, as far as it was mended.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The outermost value.
    pub fn root(&self) -> &Node {
        let none = || Node { start: 0, value: Value::Null };
        self.root.get_or_init(|| node(&self.source, &self.text).unwrap_or_else(|_| none()))
    }

    /// The value at these places among the members and items around it; the nearest one where there is none.
    pub(super) fn place(&self, path: &[usize]) -> Place<'_> {
        let root = self.root();
        let mut place = Place { steps: Vec::with_capacity(path.len() + 1), name_at: root.start, node: root };
        for &step in path {
            match &place.node.value {
                Value::Object(members) if step < members.len() => {
                    let (name, name_at, node) = &members[step];
                    place.steps.push(name.into());
                    (place.name_at, place.node) = (*name_at, node);
                }
                Value::Array(items) if step < items.len() => {
                    place.steps.push(step.to_string().into());
                    (place.name_at, place.node) = (items[step].start, &items[step]);
                }
                _ => break,
            }
        }
        place
    }

    /// The value at a path such as `["settings", "0", "angles"]`.
    pub fn find(&self, path: &[&str]) -> Option<&Node> {
        path.iter().try_fold(self.root(), |node, step| match &node.value {
            Value::Object(_) => node.member(step),
            Value::Array(items) => step.parse::<usize>().ok().and_then(|i| items.get(i)),
            _ => None,
        })
    }

    /// A fault of the value at `path`; where there is none, of the nearest thing around it that exists.
    pub fn fault(&self, path: &[&str], found: Option<String>, allowed: impl Into<String>) -> Fault {
        let mut node = self.root();
        for depth in (0..=path.len()).rev() {
            if let Some(n) = self.find(&path[..depth]) {
                node = n;
                break;
            }
        }
        let stated = found.is_some();
        let found = found.unwrap_or_else(|| self.find(path).map_or_else(|| "nothing".into(), Node::describe));
        let fault = self.fault_at(node.start, Fault::new(join(path), found, allowed));
        if stated || fault.wrong == Wrong::Missing { fault } else { Fault { wrong: Wrong::Value, ..fault } }
    }

    /// A fault of the document as a whole.
    pub fn fault_of_all(&self, found: String, allowed: &str) -> Fault {
        Fault::new("", found, allowed).of(&self.source, None)
    }

    /// A fault at a byte offset.
    pub fn fault_at(&self, offset: usize, fault: Fault) -> Fault {
        let back = |offset: usize, edit: &Edit| match offset.checked_sub(edit.at) {
            Some(inside) if inside >= edit.after => offset - edit.after + edit.before,
            Some(_) => edit.at,
            None => offset,
        };
        let offset = self.edits.iter().rev().fold(offset, back);
        fault.of(&self.source, Some(position_in(self.written.as_ref().unwrap_or(&self.text), offset)))
    }
}

/// Where a value stands.
pub(super) struct Place<'a> {
    steps: Vec<Cow<'a, str>>,
    /// Byte offset of its name; of an item, its own.
    pub name_at: usize,
    pub node: &'a Node,
}

impl Place<'_> {
    /// The dotted path of the value, or of its member `inner`.
    pub fn field(&self, inner: Option<&str>) -> String {
        let steps: Vec<&str> = self.steps.iter().map(Cow::as_ref).chain(inner).collect();
        join(&steps)
    }
}

/// A name with its accents composed, as those of files are read.
pub fn composed(name: &str) -> String {
    name.nfc().collect()
}

/// `settings[0].angles` from its steps.
pub fn join(path: &[&str]) -> String {
    let mut out = String::new();
    for step in path {
        if step.bytes().all(|b| b.is_ascii_digit()) && !step.is_empty() {
            out.push_str(&format!("[{step}]"));
        } else {
            if !out.is_empty() {
                out.push('.');
            }
            out.push_str(step);
        }
    }
    out
}

fn whole(source: &str, position: Option<Position>, found: String, allowed: &str) -> Faults {
    Faults(vec![Fault::new("", found, allowed).of(source, position)])
}

/// More slips than this are of a text that is no JSON at all.
const MOST_SLIPS: usize = 20;

/// What a file is that is none of JSON, by its first bytes, and what to do.
fn foreign(bytes: &[u8]) -> Option<(&'static str, &'static str)> {
    const UTF16: (&str, &str) = ("this text is saved as UTF-16", "Save it as UTF-8.");
    const GIVE_JSON: &str = "Give the JSON file that it was made from, or another.";
    let starts = |start: &[u8]| bytes.starts_with(start);
    let is_binary_stl = |bytes: &[u8]| {
        // A head of 80 bytes, the number of facets, and 50 bytes each.
        let facets = bytes.get(80..84).and_then(|count| <[u8; 4]>::try_from(count).ok()).map(u32::from_le_bytes);
        facets.is_some_and(|facets| facets as usize == bytes.len().saturating_sub(84) / 50 && bytes.contains(&0))
    };
    let is_utf16 = |bytes: &[u8]| matches!(bytes, [0, sign, 0, _, ..] | [sign, 0, _, 0, ..] if *sign != 0);
    Some(match bytes {
        _ if starts(b"\xFF\xFE") || starts(b"\xFE\xFF") || is_utf16(bytes) => UTF16,
        _ if starts(b"%PDF") => ("this is a PDF", GIVE_JSON),
        _ if starts(b"\x89PNG") || starts(b"\xFF\xD8\xFF") => ("this is a picture", GIVE_JSON),
        _ if starts(b"PK\x03\x04") => ("this is a 3MF model or another zipped file", GIVE_JSON),
        _ if starts(b"solid ") || is_binary_stl(bytes) => ("this is an STL model", GIVE_JSON),
        _ if starts(b"ISO-10303-21") => ("this is a STEP model", GIVE_JSON),
        _ if starts(b"<?xml") || starts(b"<svg") => ("this is an SVG drawing or another XML file", GIVE_JSON),
        _ if starts(b"<!") || starts(b"<html") => ("this is a web page", GIVE_JSON),
        _ => return None,
    })
}

/// The values of a text with their places.
fn node(source: &str, text: &str) -> Result<Node, Faults> {
    let strict = ParseOptions {
        allow_comments: false,
        allow_loose_object_property_names: false,
        allow_trailing_commas: false,
        allow_missing_commas: false,
        allow_single_quoted_strings: false,
        allow_hexadecimal_numbers: false,
        allow_unary_plus_numbers: false,
        allow_bare_decimal_point_numbers: false,
        allow_non_finite_numbers: false,
        allow_extended_string_escapes: false,
    };
    let parsed = jsonc_parser::parse_to_ast(text, &CollectOptions::default(), &strict).map_err(|e| {
        let at = position_in(text, e.range().start);
        whole(source, Some(at), e.kind().to_string(), "one JSON value and nothing after it")
    })?;
    parsed
        .value
        .map(Node::from_ast)
        .ok_or_else(|| whole(source, Some(Position { line: 1, column: 1 }), "no value".into(), "one JSON object"))
}

fn position_in(text: &str, offset: usize) -> Position {
    let mut offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset -= 1;
    }
    let before = &text[..offset];
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    Position { line: before.matches('\n').count() + 1, column: before[line_start..].chars().count() + 1 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(text: &[u8]) -> (usize, usize) {
        let faults = Document::parse("x.json", text).expect_err("must be refused");
        let at = faults.0[0].position.expect("has a place");
        (at.line, at.column)
    }

    #[test]
    fn broken_texts_are_refused_with_their_place() {
        assert_eq!(place(b""), (1, 1));
        assert_eq!(place(b"{\n  \"a\": 1,\n}"), (2, 9));
        assert_eq!(place(b"{\"a\": 1} x"), (1, 10));
        assert_eq!(place(b"{\"a\": NaN}"), (1, 7));
        assert_eq!(place(b"{\"a\n\xff\": 1}"), (2, 1));
        assert_eq!(place("{\"é\": 1e999}".as_bytes()).0, 1);
    }

    #[test]
    fn deep_nesting_is_refused_not_overflowing() {
        let deep = "[".repeat(200_000);
        assert!(Document::parse("x.json", deep.as_bytes()).is_err());
    }

    #[test]
    fn values_are_found_with_line_and_column_in_characters() {
        let d = Document::parse("x.json", "{\"é\": 1,\n \"b\": [1, {\"c\": 2}]}".as_bytes()).expect("valid");
        let f = d.fault(&["b", "1", "c"], None, "3");
        assert_eq!(f.position, Some(Position { line: 2, column: 17 }));
        assert_eq!(f.to_string(), "x.json:2:17: b[1].c cannot be 2. Use 3.");
        assert_eq!(d.fault(&["b", "7"], None, "").position, Some(Position { line: 2, column: 7 }));
    }
}
