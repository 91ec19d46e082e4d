//! A JSON text parsed strictly, with the place of every value.
//!
//! `serde_json` is the judge of the grammar (and of nesting depth); `jsonc-parser`, with all its leniency off, then
//! gives the byte range of every value, which `serde_json` does not keep.

use std::borrow::Cow;
use std::sync::OnceLock;

use jsonc_parser::{CollectOptions, ParseOptions, ast};

use super::fault::{Fault, Faults, Position, Wrong};

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

/// A parsed input text.
#[derive(Debug, Clone)]
pub struct Document {
    source: String,
    text: String,
    /// Made when somebody asks for a place, of a text that is JSON.
    root: OnceLock<Node>,
}

impl Document {
    /// Parses `bytes`, which the user knows as `source`.
    ///
    /// # Errors
    /// One fault, with its place: not UTF-8, too large, or not one JSON value and nothing else.
    pub fn parse(source: &str, bytes: &[u8]) -> Result<Self, Faults> {
        let document = Self::of_text(source, Self::text_of(source, bytes)?);
        document.judge()?;
        Ok(document)
    }

    /// A text that has yet to be judged; its values are placed when somebody asks for one.
    pub(crate) fn of_text(source: &str, text: &str) -> Self {
        Self { source: source.into(), text: text.into(), root: OnceLock::new() }
    }

    /// Whether the text is JSON.
    ///
    /// # Errors
    /// One fault, with its place: not one JSON value and nothing else.
    pub(super) fn judge(&self) -> Result<(), Faults> {
        let text = &self.text;
        serde_json::from_str::<serde_json::Value>(text).map(|_| ()).map_err(|e| {
            // serde_json counts columns in bytes; turn its place into a byte offset and back into characters.
            let line_start: usize = text.split_inclusive('\n').take(e.line().saturating_sub(1)).map(str::len).sum();
            let offset = (line_start + e.column().saturating_sub(1)).min(text.len());
            let message = e.to_string();
            let cause = message.split(" at line ").next().unwrap_or(&message);
            let found = format!("{cause} (not JSON from here on)");
            whole(&self.source, Some(position_in(text, offset)), found, "one JSON value and nothing after it")
        })
    }

    /// The text of a file.
    ///
    /// # Errors
    /// One fault, with its place: not UTF-8, too large, or empty.
    pub(crate) fn text_of<'a>(source: &str, bytes: &'a [u8]) -> Result<&'a str, Faults> {
        let whole = |position, found: String, allowed: &str| whole(source, position, found, allowed);
        if bytes.len() > LARGEST_FILE {
            let allowed = format!("a JSON file of at most {} MiB", LARGEST_FILE >> 20);
            return Err(whole(None, format!("{} bytes", bytes.len()), &allowed));
        }
        // Some editors put a byte order mark before UTF-8 text; it says nothing and is dropped.
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let text = std::str::from_utf8(bytes).map_err(|e| {
            let before = String::from_utf8_lossy(&bytes[..e.valid_up_to()]).into_owned();
            let at = position_in(&before, before.len());
            whole(Some(at), "bytes that are not UTF-8 text".into(), "JSON in UTF-8")
        })?;
        if text.trim().is_empty() {
            return Err(whole(Some(Position { line: 1, column: 1 }), "an empty file".into(), "one JSON object"));
        }
        Ok(text)
    }

    /// The file as the user named it.
    pub fn source(&self) -> &str {
        &self.source
    }

    pub(super) fn text(&self) -> &str {
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
        fault.of(&self.source, Some(position_in(&self.text, offset)))
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
        assert_eq!(place(b"{\n  \"a\": 1,\n}"), (3, 1));
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
