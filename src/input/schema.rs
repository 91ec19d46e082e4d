//! Holds a document against the JSON Schema generated from a profile type, and collects every fault.
//!
//! The published schema files and this check come from one source, so they cannot disagree. Understood: `$ref`,
//! `type`, `properties`, `required`, `additionalProperties: false`, `items`, `minItems`, `maxItems`, `enum`, `const`,
//! `minimum`, `maximum`, `minLength`, `maxLength`, `oneOf` of constants, `anyOf` with `null`; and keywords of
//! our own, which carry the range of a leaf that JSON Schema cannot state across units: `x-mm` (a length, range in
//! mm; `x-mm-or-pair` where a list of two may stand for it, `x-each-mm` for each of a list), `x-degrees` (an angle) and `x-taper` (a taper, range in degrees). A `null` counts as a field left out.
//! Duplicate fields, which JSON Schema cannot see, are faults too.

use std::collections::HashSet;

use serde_json::Value as Json;

use super::document::{Document, Node, Value};
use super::fault::Faults;
use super::length::{AngleForm, LENGTH_FORMS, LengthForm, TaperForm};
use crate::units::{Units, short};

/// What a check found.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// Every fault, in the order of the document.
    pub faults: Faults,
    /// Dotted paths of the known fields that are missing or hold no value of theirs.
    pub spoiled: Vec<String>,
    /// The document without what is unknown or stands there twice, and with a stand-in for every spoiled field, so
    /// that the rules beyond the schema can still be tried on all that is sound.
    pub mended: Json,
}

/// Every fault of `document` against `schema`.
pub fn check(document: &Document, schema: &Json) -> Checked {
    let units = match document.root().member("units").map(|n| &n.value) {
        Some(Value::Text(text)) if text == Units::Inch.symbol() => Units::Inch,
        _ => Units::Mm,
    };
    let mut walk = Walk {
        document,
        root: schema,
        units,
        count: 0,
        faults: Faults::default(),
        spoiled: Vec::new(),
        path: Vec::new(),
    };
    let mended = walk.node(document.root(), schema);
    if walk.count > MOST_SHOWN {
        let found = format!("{} faults, of which the first {MOST_SHOWN} are shown", walk.count);
        walk.faults.0.push(document.fault_of_all(found, "a file of the documented form"));
    }
    Checked { faults: walk.faults, spoiled: walk.spoiled, mended }
}

/// More faults than this help nobody, and a file that is none of ours can have a million.
pub(crate) const MOST_SHOWN: usize = 100;

struct Walk<'a> {
    document: &'a Document,
    root: &'a Json,
    units: Units,
    /// How many faults were found; not all of them are kept.
    count: usize,
    faults: Faults,
    spoiled: Vec<String>,
    path: Vec<String>,
}

impl<'a> Walk<'a> {
    fn fault(&mut self, offset: usize, found: String, allowed: String) {
        self.count += 1;
        if self.count <= MOST_SHOWN {
            let field = self.field();
            self.faults.0.push(self.document.fault_at(offset, &field, found, allowed));
        }
    }

    fn field(&self) -> String {
        let steps: Vec<&str> = self.path.iter().map(String::as_str).collect();
        super::document::join(&steps)
    }

    /// Puts a stand-in where no value of `schema` was found.
    fn spoil(&mut self, schema: &'a Json) -> Json {
        self.spoiled.push(self.field());
        self.stand_in(schema)
    }

    /// The least value that `schema` allows.
    fn stand_in(&self, schema: &'a Json) -> Json {
        if is_optional(schema) {
            return Json::Null;
        }
        for key in ["x-mm", "x-mm-or-pair", "x-degrees", "x-taper"] {
            if let Some([low, high]) = range_of(schema, key) {
                return Json::from((low + high) / 2.0);
            }
        }
        let schema = self.resolve(schema);
        if let Some(first) = constants(schema).first() {
            return (*first).clone();
        }
        let count = |key: &str| schema.get(key).and_then(Json::as_u64).unwrap_or(0) as usize;
        match type_of(schema) {
            Some("object") => {
                let required = schema.get("required").and_then(Json::as_array).into_iter().flatten();
                let member = |name: &'a Json| {
                    let name = name.as_str()?;
                    Some((name.to_string(), self.stand_in(schema.get("properties")?.get(name)?)))
                };
                Json::Object(required.filter_map(member).collect())
            }
            Some("array") => {
                let item = match range_of(schema, "x-each-mm") {
                    Some([low, _]) => Json::from(low),
                    None => schema.get("items").map_or(Json::Null, |inner| self.stand_in(inner)),
                };
                Json::Array(vec![item; count("minItems")])
            }
            Some("string") => Json::from("x".repeat(count("minLength"))),
            Some("integer") => Json::from(schema.get("minimum").and_then(Json::as_f64).unwrap_or(0.0) as u64),
            Some("number") => schema.get("minimum").cloned().unwrap_or(Json::from(0.0)),
            Some("boolean") => Json::Bool(false),
            _ => Json::Null,
        }
    }

    fn resolve(&self, schema: &'a Json) -> &'a Json {
        schema
            .get("$ref")
            .and_then(Json::as_str)
            .and_then(|r| r.strip_prefix("#/$defs/"))
            .and_then(|name| self.root.get("$defs")?.get(name))
            .unwrap_or(schema)
    }

    /// Checks a value and gives it back mended.
    fn node(&mut self, node: &Node, schema: &'a Json) -> Json {
        if matches!(node.value, Value::Null) && is_optional(schema) {
            return Json::Null;
        }
        let before = self.count;
        let leaf = [
            ("x-mm", Self::length as Leaf<'a>),
            ("x-mm-or-pair", Self::length_or_pair),
            ("x-degrees", Self::angle),
            ("x-taper", Self::taper),
        ]
        .into_iter()
        .find_map(|(key, check)| Some((range_of(schema, key)?, check)));
        if let Some((range, check)) = leaf {
            check(self, node, range);
            return self.kept(node, schema, before);
        }
        let mut inner = self.resolve(schema);
        if let Some(some) = inner.get("anyOf").and_then(Json::as_array)
            && let Some(one) = some.iter().find(|s| s.get("type").and_then(Json::as_str) != Some("null"))
        {
            inner = self.resolve(one);
        }
        let choices = constants(inner);
        if !choices.is_empty() {
            self.choice(node, &choices);
            return self.kept(node, schema, before);
        }
        match (type_of(inner), &node.value) {
            (Some("object"), Value::Object(members)) => return self.object(node, members, inner),
            (Some("array"), Value::Array(items)) => return self.array(node, items, inner, schema),
            (Some("string"), Value::Text(text)) => self.text(node, text, inner),
            (Some(kind @ ("number" | "integer")), Value::Number(number, _)) => {
                self.number(node, *number, kind == "integer", inner);
            }
            (Some("boolean"), Value::Bool(_)) | (None, _) => {}
            (Some(kind), _) => self.fault(node.start, node.describe(), allowed_by(kind, inner)),
        }
        self.kept(node, schema, before)
    }

    /// The value itself, or a stand-in if it has had a fault since `before`.
    fn kept(&mut self, node: &Node, schema: &'a Json, before: usize) -> Json {
        if self.count > before {
            return self.spoil(schema);
        }
        to_json(node).unwrap_or(Json::Null)
    }

    fn choice(&mut self, node: &Node, choices: &[&Json]) {
        let fits = choices.iter().any(|c| match (&node.value, c) {
            (Value::Text(text), Json::String(s)) => text == s,
            (Value::Number(n, _), Json::Number(m)) => m.as_f64() == Some(*n),
            _ => false,
        });
        if !fits {
            let list: Vec<String> = choices.iter().map(|c| c.to_string()).collect();
            self.fault(node.start, node.describe(), list.join(" or "));
        }
    }

    fn object(&mut self, node: &Node, members: &[(String, usize, Node)], schema: &'a Json) -> Json {
        let known = schema.get("properties").and_then(Json::as_object);
        let (mut mended, mut seen) = (serde_json::Map::new(), HashSet::new());
        for (name, name_at, value) in members {
            self.path.push(name.clone());
            if !seen.insert(name) {
                self.fault(*name_at, "the same field a second time".into(), "each field once".into());
            } else if let Some(inner) = known.and_then(|k| k.get(name)) {
                let value = self.node(value, inner);
                mended.insert(name.clone(), value);
            } else {
                let names: Vec<&str> = known.into_iter().flat_map(|k| k.keys()).map(String::as_str).collect();
                self.fault(*name_at, "an unknown field".into(), format!("the fields {}", names.join(", ")));
            }
            self.path.pop();
        }
        for name in schema.get("required").and_then(Json::as_array).into_iter().flatten().filter_map(Json::as_str) {
            let Some(inner) = known.and_then(|k| k.get(name)) else { continue };
            if !mended.contains_key(name) {
                self.path.push(name.into());
                let about = inner.get("description").and_then(Json::as_str);
                let allowed =
                    about.map_or_else(|| "this field must be given".into(), |d| format!("it must be given: {d}"));
                self.fault(node.start, "no such field".into(), allowed);
                let value = self.spoil(inner);
                mended.insert(name.into(), value);
                self.path.pop();
            }
        }
        Json::Object(mended)
    }

    fn array(&mut self, node: &Node, items: &[Node], schema: &'a Json, outer: &'a Json) -> Json {
        let bound = |key: &str| schema.get(key).and_then(Json::as_u64);
        let (least, most) = (bound("minItems"), bound("maxItems"));
        let wrong_count =
            least.is_some_and(|n| (items.len() as u64) < n) || most.is_some_and(|n| items.len() as u64 > n);
        if wrong_count {
            let allowed = match (least, most) {
                (Some(a), Some(b)) if a == b => format!("a list of {a}"),
                (a, Some(b)) => format!("a list of {} to {b}", a.unwrap_or(0)),
                (a, None) => format!("a list of at least {}", a.unwrap_or(0)),
            };
            self.fault(node.start, node.describe(), allowed);
        }
        // A pair of lengths states its range once, on the list.
        let each = range_of(schema, "x-each-mm").or_else(|| range_of(outer, "x-each-mm"));
        let mut mended = Vec::new();
        for (i, item) in items.iter().enumerate() {
            self.path.push(i.to_string());
            match (each, schema.get("items")) {
                (Some(range), _) => {
                    let before = self.count;
                    self.length(item, range);
                    if self.count > before {
                        self.spoiled.push(self.field());
                        mended.push(Json::from(range[0]));
                    } else {
                        mended.extend(to_json(item));
                    }
                }
                (None, Some(inner)) => mended.push(self.node(item, inner)),
                (None, None) => {}
            }
            self.path.pop();
        }
        if wrong_count { self.spoil(outer) } else { Json::Array(mended) }
    }

    fn text(&mut self, node: &Node, text: &str, schema: &Json) {
        let bound = |key: &str| schema.get(key).and_then(Json::as_u64);
        let count = text.chars().count() as u64;
        if bound("minLength").is_some_and(|n| count < n) || bound("maxLength").is_some_and(|n| count > n) {
            let most = bound("maxLength").map_or_else(String::new, |n| format!(" to {n}"));
            let allowed = format!("a text of {}{most} characters", bound("minLength").unwrap_or(0));
            self.fault(node.start, node.describe(), allowed);
        } else if text.chars().any(|c| c.is_control() && c != '\n') {
            self.fault(node.start, "a text with control characters".into(), "plain text".into());
        }
    }

    fn number(&mut self, node: &Node, number: f64, whole: bool, schema: &Json) {
        let bound = |key: &str| schema.get(key).and_then(Json::as_f64);
        let below = bound("minimum").is_some_and(|n| number < n);
        let above = bound("maximum").is_some_and(|n| number > n);
        if !number.is_finite() || below || above || (whole && number.fract() != 0.0) {
            self.fault(node.start, node.describe(), allowed_by(if whole { "integer" } else { "number" }, schema));
        }
    }

    fn in_range(&mut self, node: &Node, value: f64, within: Option<f64>, range: [f64; 2], sign: &str, per: f64) {
        let [low, high] = range;
        let span = high - low;
        if !(low..=high).contains(&value) {
            let allowed = format!("{} to {} {sign}", short(low / per, 4), short(high / per, 4));
            self.fault(node.start, node.describe(), allowed);
        } else if let Some(w) = within
            && !(0.0..=span / 2.0).contains(&w)
        {
            let allowed = format!("a tolerance of 0 to {} {sign}", short(span / 2.0 / per, 4));
            self.fault(node.start, node.describe(), allowed);
        }
    }

    fn length(&mut self, node: &Node, range: [f64; 2]) {
        let Some(form) = self.leaf::<LengthForm>(node, LENGTH_FORMS) else { return };
        let (sign, per) = (self.units.symbol(), self.units.mm());
        match form.read(self.units) {
            Ok(length) => self.in_range(node, length.mm, length.within, range, sign, per),
            Err(found) => self.fault(node.start, found, LENGTH_FORMS.into()),
        }
    }

    fn length_or_pair(&mut self, node: &Node, range: [f64; 2]) {
        match &node.value {
            Value::Array(items) if items.len() == 2 => {
                for (i, item) in items.iter().enumerate() {
                    self.path.push(i.to_string());
                    self.length(item, range);
                    self.path.pop();
                }
            }
            Value::Array(_) => self.fault(node.start, node.describe(), "a length, or a list of two".into()),
            _ => self.length(node, range),
        }
    }

    fn angle(&mut self, node: &Node, range: [f64; 2]) {
        let Some(form) = self.leaf::<AngleForm>(node, "degrees, or {\"value\": …, \"within\": …}") else { return };
        let angle = form.read();
        self.in_range(node, angle.degrees, angle.within, range, "degrees", 1.0);
    }

    fn taper(&mut self, node: &Node, range: [f64; 2]) {
        let allowed = "degrees, {\"value\": …, \"within\": …}, or {\"heel\": L, \"upper\": L, \"apart\": L}";
        let Some(form) = self.leaf::<TaperForm>(node, allowed) else { return };
        match form.read(self.units) {
            Ok(taper) => self.in_range(node, taper.degrees, taper.within, range, "degrees", 1.0),
            Err(found) => self.fault(node.start, found, allowed.into()),
        }
    }

    /// A leaf of several forms; its own unknown, missing and duplicate fields come out as "not of this form".
    fn leaf<T: serde::de::DeserializeOwned>(&mut self, node: &Node, allowed: &str) -> Option<T> {
        if let Value::Object(members) = &node.value {
            for (i, (name, name_at, _)) in members.iter().enumerate() {
                let known = ["value", "within", "heel", "upper", "apart"].contains(&name.as_str());
                let twice = members[..i].iter().any(|m| &m.0 == name);
                if !known || twice {
                    let found = if known { "the same field a second time" } else { "an unknown field" };
                    self.path.push(name.clone());
                    self.fault(*name_at, found.into(), allowed.into());
                    self.path.pop();
                    return None;
                }
            }
        }
        let read = to_json(node).and_then(|json| serde_json::from_value(json).ok());
        if read.is_none() {
            self.fault(node.start, node.describe(), allowed.into());
        }
        read
    }
}

/// A check of a leaf against its range.
type Leaf<'a> = fn(&mut Walk<'a>, &Node, [f64; 2]);

fn to_json(node: &Node) -> Option<Json> {
    Some(match &node.value {
        Value::Null => Json::Null,
        Value::Bool(b) => Json::Bool(*b),
        // A number too large for a double is no number of ours.
        Value::Number(n, spelling) => match spelling.parse::<i64>() {
            Ok(whole) => Json::from(whole),
            // 1.0 and 1e0 are whole numbers too, as JSON Schema has it; doubles tell them apart up to 2⁵³.
            Err(_) if n.fract() == 0.0 && n.abs() < 9e15 => Json::from(*n as i64),
            Err(_) => Json::Number(serde_json::Number::from_f64(*n)?),
        },
        Value::Text(t) => Json::String(t.clone()),
        Value::Array(items) => Json::Array(items.iter().map(to_json).collect::<Option<_>>()?),
        Value::Object(members) => {
            Json::Object(members.iter().map(|(n, _, v)| Some((n.clone(), to_json(v)?))).collect::<Option<_>>()?)
        }
    })
}

pub(in crate::input) fn is_optional(schema: &Json) -> bool {
    let null = |s: &Json| s.as_str() == Some("null");
    schema
        .get("anyOf")
        .and_then(Json::as_array)
        .is_some_and(|some| some.iter().any(|s| s.get("type").is_some_and(null)))
        || schema.get("type").and_then(Json::as_array).is_some_and(|types| types.iter().any(null))
}

pub(in crate::input) fn range_of(schema: &Json, key: &str) -> Option<[f64; 2]> {
    let pair = schema.get(key)?.as_array()?;
    Some([pair.first()?.as_f64()?, pair.get(1)?.as_f64()?])
}

pub(in crate::input) fn type_of(schema: &Json) -> Option<&str> {
    match schema.get("type")? {
        Json::String(one) => Some(one),
        Json::Array(some) => some.iter().filter_map(Json::as_str).find(|t| *t != "null"),
        _ => None,
    }
}

pub(in crate::input) fn constants(schema: &Json) -> Vec<&Json> {
    if let Some(one) = schema.get("const") {
        return vec![one];
    }
    if let Some(some) = schema.get("enum").and_then(Json::as_array) {
        return some.iter().filter(|v| !v.is_null()).collect();
    }
    let one_of = schema.get("oneOf").and_then(Json::as_array);
    one_of.into_iter().flatten().flat_map(|s| constants(s)).collect()
}

fn allowed_by(kind: &str, schema: &Json) -> String {
    let bound = |key: &str| schema.get(key).and_then(Json::as_f64).map(|n| short(n, 6));
    match kind {
        "number" | "integer" => {
            let what = if kind == "integer" { "a whole number" } else { "a number" };
            match (bound("minimum"), bound("maximum")) {
                (Some(a), Some(b)) if a == b => a,
                (Some(a), Some(b)) => format!("{what} from {a} to {b}"),
                (Some(a), None) => format!("{what} of at least {a}"),
                _ => what.into(),
            }
        }
        "string" => "a text in quotes".into(),
        "array" => "a list in [ ]".into(),
        "object" => "an object in { }".into(),
        "boolean" => "true or false".into(),
        other => other.into(),
    }
}
