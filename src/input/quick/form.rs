//! A schema as a tree of forms, made once for all values of a text.

use serde_json::Value as Json;

use crate::input::schema::{constants, is_optional, range_of, type_of};

/// What a value may be.
pub(super) enum Form {
    Object(Vec<Field>),
    List {
        item: Box<Form>,
        least: u64,
        most: u64,
    },
    Text {
        least: u64,
        most: u64,
    },
    Number {
        least: f64,
        most: f64,
        whole: bool,
    },
    Truth,
    Words(Vec<String>),
    Length([f64; 2]),
    Angle([f64; 2]),
    Taper([f64; 2]),
    /// Or null.
    Optional(Box<Form>),
    /// Left to the slow way.
    Unknown,
}

/// A field of an object.
pub(super) struct Field {
    pub name: String,
    pub form: Form,
    pub required: bool,
}

impl Form {
    /// The form of a whole document.
    pub fn of_schema(schema: &Json) -> Self {
        Compiler { root: schema, depth: 0 }.form(schema)
    }
}

/// Objects of more fields than this are left to the slow way: which were seen is kept in the bits of a number.
const MOST_FIELDS: usize = 64;
/// Schemas deeper than this, which refer to themselves, are left to the slow way.
const DEEPEST: usize = 32;

struct Compiler<'a> {
    root: &'a Json,
    depth: usize,
}

impl<'a> Compiler<'a> {
    fn form(&mut self, schema: &'a Json) -> Form {
        if self.depth > DEEPEST {
            return Form::Unknown;
        }
        self.depth += 1;
        let form = self.present(schema);
        self.depth -= 1;
        if is_optional(schema) { Form::Optional(Box::new(form)) } else { form }
    }

    fn present(&mut self, schema: &'a Json) -> Form {
        if schema.get("x-mm-or-pair").is_some() {
            return Form::Unknown;
        }
        let leaf = [("x-mm", Form::Length as fn(_) -> _), ("x-degrees", Form::Angle), ("x-taper", Form::Taper)];
        if let Some(form) = leaf.into_iter().find_map(|(key, form)| Some(form(range_of(schema, key)?))) {
            return form;
        }
        let mut inner = self.resolve(schema);
        if let Some(some) = inner.get("anyOf").and_then(Json::as_array) {
            let mut present = some.iter().filter(|s| s.get("type").and_then(Json::as_str) != Some("null"));
            match (present.next(), present.next()) {
                (Some(one), None) => inner = self.resolve(one),
                _ => return Form::Unknown,
            }
        }
        let choices = constants(inner);
        if !choices.is_empty() {
            let words: Option<Vec<String>> = choices.iter().map(|c| c.as_str().map(str::to_string)).collect();
            return words.map_or(Form::Unknown, Form::Words);
        }
        let count = |key: &str| inner.get(key).and_then(Json::as_u64);
        let bound = |key: &str| inner.get(key).and_then(Json::as_f64);
        match type_of(inner) {
            Some("object") => self.object(inner),
            Some("array") => {
                let each = range_of(inner, "x-each-mm").or_else(|| range_of(schema, "x-each-mm"));
                let item = match (each, inner.get("items")) {
                    (Some(range), _) => Form::Length(range),
                    (None, Some(item)) => self.form(item),
                    (None, None) => Form::Unknown,
                };
                let (least, most) = (count("minItems").unwrap_or(0), count("maxItems").unwrap_or(u64::MAX));
                Form::List { item: Box::new(item), least, most }
            }
            Some("string") => {
                Form::Text { least: count("minLength").unwrap_or(0), most: count("maxLength").unwrap_or(u64::MAX) }
            }
            Some(kind @ ("number" | "integer")) => Form::Number {
                least: bound("minimum").unwrap_or(f64::NEG_INFINITY),
                most: bound("maximum").unwrap_or(f64::INFINITY),
                whole: kind == "integer",
            },
            Some("boolean") => Form::Truth,
            _ => Form::Unknown,
        }
    }

    fn object(&mut self, schema: &'a Json) -> Form {
        let required: Vec<&str> =
            schema.get("required").and_then(Json::as_array).into_iter().flatten().filter_map(Json::as_str).collect();
        let Some(properties) = schema.get("properties").and_then(Json::as_object) else { return Form::Unknown };
        if properties.len() > MOST_FIELDS {
            return Form::Unknown;
        }
        let field = |(name, inner): (&String, &'a Json)| Field {
            name: name.clone(),
            form: self.form(inner),
            required: required.contains(&name.as_str()),
        };
        Form::Object(properties.iter().map(field).collect())
    }

    fn resolve(&self, schema: &'a Json) -> &'a Json {
        let name = schema.get("$ref").and_then(Json::as_str).and_then(|r| r.strip_prefix("#/$defs/"));
        name.and_then(|name| self.root.get("$defs")?.get(name)).unwrap_or(schema)
    }
}
