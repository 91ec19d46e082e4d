//! The text of the file that answers make.

use serde_json::{Map, Value};

use super::Form;
use super::key::{Answers, Key};
use super::reading::Question;

/// The file of some answers.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// Its text.
    pub text: String,
    /// Where answers stand in it, as faults name the place.
    places: Vec<(Key, String)>,
}

impl Written {
    /// Whose answer stands at the place that a fault names, or around it. A fault of a whole item, of which some answers
    /// may still be due, is nobody's.
    pub fn key_of(&self, field: &str) -> Option<Key> {
        let around =
            |place: &str| field.strip_prefix(place).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']));
        self.places.iter().find(|(_, place)| around(place)).map(|(key, _)| *key)
    }
}

/// The order of a file's members, whichever it has.
const ORDER: [&str; 11] =
    ["format", "title", "name", "units", "fingerprint", "guide", "measured", "settings", "known", "blades", "lanes"];

/// The file of the answers to these questions; items of lists that have no answer are not in it.
pub fn written(form: &dyn Form, questions: &[Question], answers: &Answers) -> Written {
    let mut file = Map::new();
    file.insert("format".into(), 1.into());
    for (name, value) in form.given(None, answers) {
        file.insert(name.into(), value);
    }
    let mut places = Vec::new();
    let mut item = None;
    for question in questions {
        let Some(value) = answers.get(&question.key).and_then(|given| given.value.clone()) else { continue };
        match question.key {
            Key::Field(path) => {
                put(&mut file, path, value);
                places.push((question.key, path.to_string()));
            }
            Key::Item(list, index, field) => {
                let items = file.entry(list).or_insert_with(|| Value::Array(Vec::new()));
                let Value::Array(items) = items else { continue };
                if item != Some((list, index)) {
                    item = Some((list, index));
                    let given = form.given(item, answers).into_iter().map(|(name, value)| (name.into(), value));
                    items.push(Value::Object(given.collect()));
                }
                let place = items.len() - 1;
                if let Some(Value::Object(members)) = items.last_mut() {
                    put(members, field, value);
                }
                places.push((question.key, format!("{list}[{place}].{field}")));
            }
            Key::Another(..) | Key::File | Key::Write => {}
        }
    }
    let mut members: Vec<(String, Value)> = file.into_iter().collect();
    members.sort_by_key(|(name, _)| ORDER.iter().position(|known| known == name).unwrap_or(ORDER.len()));
    Written { text: format!("{:#}\n", Value::Object(members.into_iter().collect())), places }
}

/// Puts a value at a dotted path.
fn put(members: &mut Map<String, Value>, path: &str, value: Value) {
    match path.split_once('.') {
        None => {
            members.insert(path.into(), value);
        }
        Some((first, rest)) => {
            let inner = members.entry(first).or_insert_with(|| Value::Object(Map::new()));
            if let Value::Object(inner) = inner {
                put(inner, rest, value);
            }
        }
    }
}
