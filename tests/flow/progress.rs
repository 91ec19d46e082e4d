//! What a long run shows on a terminal.

use std::fs;

use serde_json::{Value, json};

use super::support::terminal;

/// From half a second on a terminal shows that something is going on, and how far it is; then comes the report.
#[test]
fn a_long_make_shows_on_a_terminal_how_far_it_is() {
    let dir = tempfile::tempdir().unwrap();
    let angles: Vec<f64> = (0..60).map(|i| 20.0 + f64::from(i) / 4.0).collect();
    let setting = |i: usize| json!({ "id": format!("s{i}"), "tool": "plane-iron", "angles": angles, "width": 51, "thickness": 2.0 + i as f64 / 10.0 });
    let settings: Vec<Value> = (0..3).map(setting).collect();
    let job = json!({ "format": 1, "title": "long", "guide": "narrow-side-clamp", "settings": settings });
    fs::write(dir.path().join("job.json"), job.to_string()).unwrap();
    let mut session = terminal::spawn(dir.path(), &["make", "job.json", "--out", "out"]);
    let (_, seen) = session.exp_regex(r"At work for \d+ s: \d+ of \d+ blocks made").expect("a sign of life");
    assert!(seen.ends_with("blocks made"), "{seen}");
    session.exp_string("Fences measured in the written STL: 180 lanes").expect("the report");
}
