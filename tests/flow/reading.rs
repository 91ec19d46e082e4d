//! The quick way of reading against the slow one: what it calls sound has no fault, and is the same value.

use std::sync::LazyLock;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::support::home;
use stopwright::guide::named::{GUIDES, TOOLS};
use stopwright::input::document::Document;
use stopwright::input::{quick, schema};
use stopwright::profile::{GuideProfile, JobFile, KitFile, ToolProfile, schema_of};

/// Sound files of every kind that the quick way is for, with their schemas.
fn sound() -> &'static [(String, Value)] {
    static SOUND: LazyLock<Vec<(String, Value)>> = LazyLock::new(read_sound);
    &SOUND
}

fn read_sound() -> Vec<(String, Value)> {
    let example = |name: &str| std::fs::read_to_string(home().join("examples").join(name)).unwrap();
    let guides = GUIDES.iter().map(|b| (b.text.to_string(), schema_of::<GuideProfile>()));
    let tools = TOOLS.iter().map(|b| (b.text.to_string(), schema_of::<ToolProfile>()));
    let own = [
        (example("tool-chest.json"), schema_of::<JobFile>()),
        (example("alder-lane-kit-job.json"), schema_of::<JobFile>()),
        (example("alder-lane-kit.json"), schema_of::<KitFile>()),
        (r#"{ "blades": [{ "name": "inch", "tool": "plane-iron", "width": 2 }], "units": "mm", "title": "late", "format": 1 }"#.into(), schema_of::<KitFile>()),
    ];
    guides.chain(tools).chain(own).collect()
}

#[test]
fn sound_files_are_read_the_quick_way() {
    for (text, schema) in sound() {
        assert!(quick::is_sound(text, schema), "{text}");
    }
    // A unit that comes after the lengths that are in it is left to the slow way.
    let late = r#"{ "format": 1, "title": "x", "blades": [{ "name": "a", "tool": "b", "width": 2 }], "units": "in" }"#;
    assert!(!quick::is_sound(late, &schema_of::<KitFile>()));
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

fn agree(text: &str, schema: &Value) -> Result<bool, TestCaseError> {
    let quick = quick::is_sound(text, schema);
    if quick {
        let checked = schema::check(&Document::parse("x.json", text.as_bytes()).unwrap(), schema);
        prop_assert!(checked.faults.0.is_empty(), "{text}: {}", checked.faults);
        prop_assert!(same(&checked.mended, &serde_json::from_str(text).unwrap()), "{text}");
    }
    Ok(quick)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]
    #[test]
    fn what_the_quick_way_calls_sound_has_no_fault(
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
        agree(&value.to_string(), schema)?;
    }

    #[test]
    fn a_field_that_is_new_or_stands_twice_is_left_to_the_slow_way(
        which in 0usize..100, place in any::<prop::sample::Index>(), name in prop::sample::select(vec!["name", "format", "units", "new", "value"])
    ) {
        let sound = sound();
        let (text, schema) = &sound[which % sound.len()];
        let braces: Vec<usize> = text.match_indices('{').map(|m| m.0).collect();
        let at = *place.get(&braces) + 1;
        let text = format!("{}\"{name}\": 1, {}", &text[..at], &text[at..]);
        prop_assert!(!agree(&text, schema)?, "{text}");
    }
}
