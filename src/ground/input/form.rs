//! A schema as a tree of forms, made once for all values of a text.

use serde_json::Value as Json;

use crate::units::short;

/// What a value may be.
pub(super) struct Form {
    pub kind: Kind,
    /// Whether it may be left out, or be null.
    pub optional: bool,
}

/// What a value that is there may be. Ranges are in mm or degrees.
pub(super) enum Kind {
    Object {
        fields: Vec<Field>,
        /// Places of those that must be there.
        required: Vec<usize>,
    },
    List {
        item: Box<Form>,
        least: Option<u64>,
        most: Option<u64>,
    },
    Text {
        least: Option<u64>,
        most: Option<u64>,
        /// Whether drawings and blocks are lettered with it.
        lettered: bool,
        /// Whether it names files.
        file_name: bool,
    },
    Number {
        least: Option<f64>,
        most: Option<f64>,
        whole: bool,
    },
    Truth,
    Choice(Vec<Json>),
    Length([f64; 2]),
    /// A list of two may stand for the length.
    LengthOrPair([f64; 2]),
    Angle([f64; 2]),
    Taper([f64; 2]),
    /// The schema does not say.
    Any,
}

/// A field of an object.
pub(super) struct Field {
    pub name: String,
    pub form: Form,
    /// What the schema says of it.
    pub about: Option<String>,
}

impl Form {
    /// The form of a whole document. Its schema does not refer to itself.
    pub fn of(schema: &Json) -> Self {
        Compiler { root: schema }.form(schema)
    }

    /// The least value of this form; the middle of a range of lengths or angles.
    pub fn stand_in(&self) -> Json {
        if self.optional {
            return Json::Null;
        }
        match &self.kind {
            Kind::Length(range) | Kind::LengthOrPair(range) | Kind::Angle(range) | Kind::Taper(range) => {
                Json::from((range[0] + range[1]) / 2.0)
            }
            Kind::Choice(choices) => choices.first().cloned().unwrap_or(Json::Null),
            Kind::Object { fields, required } => {
                let member = |i: &usize| fields.get(*i).map(|f| (f.name.clone(), f.form.stand_in()));
                Json::Object(required.iter().filter_map(member).collect())
            }
            Kind::List { item, least, .. } => Json::Array(vec![item.stand_in(); least.unwrap_or(0) as usize]),
            Kind::Text { least, .. } => Json::from("x".repeat(least.unwrap_or(0) as usize)),
            Kind::Number { least, whole: true, .. } => Json::from(least.unwrap_or(0.0) as u64),
            Kind::Number { least, .. } => Json::from(least.unwrap_or(0.0)),
            Kind::Truth => Json::Bool(false),
            Kind::Any => Json::Null,
        }
    }
}

impl Kind {
    /// What may stand here, in words for the user; lengths and angles have words of their own.
    pub fn allowed(&self) -> String {
        match self {
            Kind::Object { .. } => "an object in { }".into(),
            Kind::List { least: Some(least), most: Some(most), .. } if least == most => {
                format!("a list of {least} in [ ]")
            }
            Kind::List { .. } => "a list in [ ]".into(),
            Kind::Text { .. } => "a text in quotes".into(),
            Kind::Truth => "true or false".into(),
            Kind::Choice(choices) => {
                let words: Vec<String> = choices.iter().map(Json::to_string).collect();
                match words.split_last() {
                    Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
                    _ => words.concat(),
                }
            }
            Kind::Number { least, most, whole } => {
                let what = if *whole { "a whole number" } else { "a number" };
                match (least.map(|n| short(n, 6)), most.map(|n| short(n, 6))) {
                    (Some(a), Some(b)) if a == b => a,
                    (Some(a), Some(b)) => format!("{what} from {a} to {b}"),
                    (Some(a), None) => format!("{what} of at least {a}"),
                    _ => what.into(),
                }
            }
            Kind::Length(_) | Kind::LengthOrPair(_) | Kind::Angle(_) | Kind::Taper(_) | Kind::Any => String::new(),
        }
    }
}

struct Compiler<'a> {
    root: &'a Json,
}

impl<'a> Compiler<'a> {
    fn form(&self, schema: &'a Json) -> Form {
        Form { kind: self.kind(schema), optional: is_optional(schema) }
    }

    fn kind(&self, schema: &'a Json) -> Kind {
        let leaf = [
            ("x-mm", Kind::Length as fn(_) -> _),
            ("x-mm-or-pair", Kind::LengthOrPair),
            ("x-degrees", Kind::Angle),
            ("x-taper", Kind::Taper),
        ];
        if let Some(kind) = leaf.into_iter().find_map(|(key, kind)| Some(kind(range_of(schema, key)?))) {
            return kind;
        }
        let mut inner = self.resolve(schema);
        if let Some(some) = inner.get("anyOf").and_then(Json::as_array)
            && let Some(one) = some.iter().find(|s| s.get("type").and_then(Json::as_str) != Some("null"))
        {
            inner = self.resolve(one);
        }
        let choices = constants(inner);
        if !choices.is_empty() {
            return Kind::Choice(choices);
        }
        let count = |key: &str| inner.get(key).and_then(Json::as_u64);
        let bound = |key: &str| inner.get(key).and_then(Json::as_f64);
        match type_of(inner) {
            Some("object") => self.object(inner),
            Some("array") => {
                // A pair of lengths states its range once, on the list.
                let each = range_of(inner, "x-each-mm").or_else(|| range_of(schema, "x-each-mm"));
                let item = match (each, inner.get("items")) {
                    (Some(range), _) => Form { kind: Kind::Length(range), optional: false },
                    (None, Some(item)) => self.form(item),
                    (None, None) => Form { kind: Kind::Any, optional: false },
                };
                Kind::List { item: Box::new(item), least: count("minItems"), most: count("maxItems") }
            }
            Some("string") => Kind::Text {
                least: count("minLength"),
                most: count("maxLength"),
                lettered: schema.get("x-lettered").and_then(Json::as_bool).unwrap_or(false),
                file_name: schema.get("x-file-name").and_then(Json::as_bool).unwrap_or(false),
            },
            Some(kind @ ("number" | "integer")) => {
                Kind::Number { least: bound("minimum"), most: bound("maximum"), whole: kind == "integer" }
            }
            Some("boolean") => Kind::Truth,
            _ => Kind::Any,
        }
    }

    fn object(&self, schema: &'a Json) -> Kind {
        let field = |(name, inner): (&String, &'a Json)| Field {
            name: name.clone(),
            form: self.form(inner),
            about: inner.get("description").and_then(Json::as_str).map(str::to_string),
        };
        let properties = schema.get("properties").and_then(Json::as_object);
        let fields: Vec<Field> = properties.into_iter().flatten().map(field).collect();
        let names = schema.get("required").and_then(Json::as_array).into_iter().flatten().filter_map(Json::as_str);
        let required = names.filter_map(|name| fields.iter().position(|f| f.name == name)).collect();
        Kind::Object { fields, required }
    }

    fn resolve(&self, schema: &'a Json) -> &'a Json {
        let name = schema.get("$ref").and_then(Json::as_str).and_then(|r| r.strip_prefix("#/$defs/"));
        name.and_then(|name| self.root.get("$defs")?.get(name)).unwrap_or(schema)
    }
}

fn is_optional(schema: &Json) -> bool {
    let null = |s: &Json| s.as_str() == Some("null");
    schema
        .get("anyOf")
        .and_then(Json::as_array)
        .is_some_and(|some| some.iter().any(|s| s.get("type").is_some_and(null)))
        || schema.get("type").and_then(Json::as_array).is_some_and(|types| types.iter().any(null))
}

fn range_of(schema: &Json, key: &str) -> Option<[f64; 2]> {
    let pair = schema.get(key)?.as_array()?;
    Some([pair.first()?.as_f64()?, pair.get(1)?.as_f64()?])
}

fn type_of(schema: &Json) -> Option<&str> {
    match schema.get("type")? {
        Json::String(one) => Some(one),
        Json::Array(some) => some.iter().filter_map(Json::as_str).find(|t| *t != "null"),
        _ => None,
    }
}

fn constants(schema: &Json) -> Vec<Json> {
    if let Some(one) = schema.get("const") {
        return vec![one.clone()];
    }
    if let Some(some) = schema.get("enum").and_then(Json::as_array) {
        return some.iter().filter(|v| !v.is_null()).cloned().collect();
    }
    let one_of = schema.get("oneOf").and_then(Json::as_array);
    one_of.into_iter().flatten().flat_map(constants).collect()
}
