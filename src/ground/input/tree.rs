//! A leaf of a schema as a plain value, whose texts without escapes are borrowed.

use std::borrow::Cow;
use std::fmt;

use serde::Deserialize;
use serde::de::{Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde_json::Value as Json;

/// A JSON value; objects keep order and duplicates.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Tree<'a> {
    /// `null`
    Null,
    /// `true` or `false`
    Bool(bool),
    /// A number.
    Number(f64),
    /// A string, unescaped.
    Text(Cow<'a, str>),
    /// An array.
    Array(Vec<Tree<'a>>),
    /// An object.
    Object(Vec<(Cow<'a, str>, Tree<'a>)>),
}

impl<'a> Tree<'a> {
    /// The member `name` of an object, the last if it stands there twice.
    pub fn member(&self, name: &str) -> Option<&Tree<'a>> {
        match self {
            Tree::Object(members) => members.iter().rev().find(|m| m.0 == name).map(|m| &m.1),
            _ => None,
        }
    }

    /// The same value for serde.
    pub fn to_json(&self) -> Json {
        match self {
            Tree::Null => Json::Null,
            Tree::Bool(b) => Json::Bool(*b),
            // 1.0 and 1e0 are whole numbers too, as JSON Schema has it; doubles tell them apart up to 2⁵³.
            Tree::Number(n) if n.fract() == 0.0 && n.abs() < 9e15 => Json::from(*n as i64),
            Tree::Number(n) => Json::from(*n),
            Tree::Text(text) => Json::from(text.as_ref()),
            Tree::Array(items) => Json::Array(items.iter().map(Tree::to_json).collect()),
            Tree::Object(members) => {
                Json::Object(members.iter().map(|(name, value)| (name.to_string(), value.to_json())).collect())
            }
        }
    }
}

impl<'de> Deserialize<'de> for Tree<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OfTree)
    }
}

pub(super) struct OfTree;

/// The name of a member, borrowed where it has no escapes.
#[derive(Deserialize)]
pub(super) struct Name<'a>(#[serde(borrow)] pub Cow<'a, str>);

impl<'de> Visitor<'de> for OfTree {
    type Value = Tree<'de>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("any JSON value")
    }

    fn visit_unit<E: Error>(self) -> Result<Tree<'de>, E> {
        Ok(Tree::Null)
    }

    fn visit_bool<E: Error>(self, b: bool) -> Result<Tree<'de>, E> {
        Ok(Tree::Bool(b))
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<Tree<'de>, E> {
        Ok(Tree::Number(number as f64))
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<Tree<'de>, E> {
        Ok(Tree::Number(number as f64))
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<Tree<'de>, E> {
        Ok(Tree::Number(number))
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<Tree<'de>, E> {
        Ok(Tree::Text(text.to_string().into()))
    }

    fn visit_borrowed_str<E: Error>(self, text: &'de str) -> Result<Tree<'de>, E> {
        Ok(Tree::Text(text.into()))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Tree<'de>, A::Error> {
        let mut all = Vec::new();
        while let Some(item) = items.next_element()? {
            all.push(item);
        }
        Ok(Tree::Array(all))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut members: A) -> Result<Tree<'de>, A::Error> {
        let mut all = Vec::new();
        while let Some((Name(name), value)) = members.next_entry()? {
            all.push((name, value));
        }
        Ok(Tree::Object(all))
    }
}
