//! Files of any content against their schemas: what is sound stays as it is, and what is mended is sound.

use std::sync::LazyLock;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::support::home;
use stopwright::guide::named::{GUIDES, TOOLS};
use stopwright::input::document::Document;
use stopwright::input::schema::{self, Checked, Ready};
use stopwright::profile::{FileKind, GuideProfile, JobFile, KitFile, ToolProfile};

/// Sound files of several kinds, with their schemas.
fn sound() -> &'static [(String, &'static Ready)] {
    static SOUND: LazyLock<Vec<(String, &'static Ready)>> = LazyLock::new(read_sound);
    &SOUND
}

fn read_sound() -> Vec<(String, &'static Ready)> {
    let example = |name: &str| std::fs::read_to_string(home().join("examples").join(name)).unwrap();
    let guides = GUIDES.iter().map(|b| (b.text.to_string(), GuideProfile::ready()));
    let tools = TOOLS.iter().map(|b| (b.text.to_string(), ToolProfile::ready()));
    let own = [
        (example("tool-chest.json"), JobFile::ready()),
        (example("alder-lane-kit-job.json"), JobFile::ready()),
        (example("alder-lane-kit.json"), KitFile::ready()),
        (r#"{ "blades": [{ "name": "inch", "tool": "plane-iron", "width": 2 }], "units": "mm", "title": "late", "format": 1 }"#.into(), KitFile::ready()),
    ];
    guides.chain(tools).chain(own).collect()
}

fn document(text: &str) -> Document {
    Document::parse("x.json", text.as_bytes()).unwrap()
}

fn check(text: &str, schema: &Ready) -> Checked {
    schema::check(&document(text), schema).unwrap()
}

#[test]
fn sound_files_have_no_fault() {
    for (text, schema) in sound() {
        assert!(schema::is_sound(&document(text), schema), "{text}");
        let checked = check(text, schema);
        assert!(checked.faults.0.is_empty(), "{text}: {}", checked.faults);
        assert!(same(&checked.mended, &serde_json::from_str(text).unwrap()), "{text}");
    }
    // A width of 30 in is none, whether the unit is read before it or after.
    for late in [
        r#"{ "format": 1, "title": "x", "units": "in", "blades": [{ "name": "a", "tool": "b", "width": 30 }] }"#,
        r#"{ "format": 1, "title": "x", "blades": [{ "name": "a", "tool": "b", "width": 30 }], "units": "in" }"#,
    ] {
        assert_eq!(check(late, KitFile::ready()).spoiled, ["blades[0].width"]);
    }
}

/// What a value may be replaced by.
fn junk() -> impl Strategy<Value = Value> {
    prop::sample::select(vec![
        json!(null),
        json!(true),
        json!(-1),
        json!(0),
        json!(1),
        json!(30.5),
        json!(1e300),
        json!(""),
        json!("x"),
        json!("a\u{7}b"),
        json!("3 mm"),
        json!("1/8 in"),
        json!("3 mm +- 0.1 mm"),
        json!("3 furlongs"),
        json!([]),
        json!([1, 2]),
        json!({}),
        json!({ "value": 3, "within": 0.1 }),
        json!({ "value": 3, "within": -0.1 }),
        json!({ "value": "3 mm", "within": 0.1, "more": 1 }),
        json!({ "heel": 3, "upper": 3.1, "apart": 50 }),
        json!({ "heel": { "value": 3, "within": 0.1 }, "upper": "3.1 mm", "apart": 50 }),
        json!({ "depth": 0.1 }),
    ])
}

/// Every value within another, depth first.
fn places(value: &Value, at: String, all: &mut Vec<String>) {
    match value {
        Value::Object(members) => {
            members.iter().for_each(|(name, inner)| places(inner, format!("{at}/{name}"), all));
        }
        Value::Array(items) => items.iter().enumerate().for_each(|(i, inner)| places(inner, format!("{at}/{i}"), all)),
        _ => {}
    }
    all.push(at);
}

/// Whole numbers however they are written.
fn same(a: &Value, b: &Value) -> bool {
    match (a, b) {
        (Value::Number(a), Value::Number(b)) => a.as_f64() == b.as_f64(),
        (Value::Array(a), Value::Array(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
        (Value::Object(a), Value::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(name, a)| b.get(name).is_some_and(|b| same(a, b)))
        }
        _ => a == b,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]
    #[test]
    fn what_is_mended_is_sound(
        which in 0usize..100, changes in prop::collection::vec((any::<prop::sample::Index>(), junk()), 1..3)
    ) {
        let sound = sound();
        let (text, schema) = &sound[which % sound.len()];
        let mut value: Value = serde_json::from_str(text).unwrap();
        for (place, junk) in changes {
            let mut all = Vec::new();
            places(&value, String::new(), &mut all);
            let place: &String = place.get(&all);
            *value.pointer_mut(place).unwrap() = junk;
        }
        let text = value.to_string();
        let checked = check(&text, schema);
        prop_assert!(checked.faults.0.is_empty() || !schema::is_sound(&document(&text), schema), "{text}");
        if checked.faults.0.is_empty() {
            prop_assert!(same(&checked.mended, &value), "{text}");
        }
        // Stand-ins are in mm, and rules about them are not told: in a file in inches they may be out of range.
        if checked.mended["units"] != "in" {
            let mended = checked.mended.to_string();
            let again = check(&mended, schema);
            prop_assert!(again.faults.0.is_empty(), "{text} was mended to {mended}: {}", again.faults);
        }
    }

    #[test]
    fn a_field_that_is_new_or_stands_twice_is_a_fault(
        which in 0usize..100, place in any::<prop::sample::Index>(), name in prop::sample::select(vec!["name", "format", "units", "new", "value"])
    ) {
        let sound = sound();
        let (text, schema) = &sound[which % sound.len()];
        let braces: Vec<usize> = text.match_indices('{').map(|m| m.0).collect();
        let at = *place.get(&braces) + 1;
        let text = format!("{}\"{name}\": 1, {}", &text[..at], &text[at..]);
        prop_assert!(!check(&text, schema).faults.0.is_empty(), "{text}");
    }
}
