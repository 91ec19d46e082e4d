//! The log: the day, and taking an entry out again.

use std::fs;
use std::path::Path;

use serde_json::Value;

use super::support::{home, program, refusal, stdout};

fn json_of(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn kit(folder: &Path) -> String {
    let path = folder.join("kit.json");
    fs::copy(home().join("examples/alder-lane-kit.json"), &path).unwrap();
    path.display().to_string()
}

/// Where it is already tomorrow, and where it is still yesterday: no two places a day apart in their clocks have one
/// date.
#[test]
fn the_day_is_that_of_the_users_clock() {
    let days: Vec<String> = ["<+14>-14", "<-12>12"]
        .iter()
        .map(|zone| {
            let folder = tempfile::tempdir().unwrap();
            let kit = kit(folder.path());
            let run = program().args(["log", &kit, "--honed", "jack"]).env("TZ", zone).output().unwrap();
            assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
            let log = json_of(&fs::read_to_string(folder.path().join("kit-log.json")).unwrap());
            log["entries"][0]["date"].as_str().unwrap().to_string()
        })
        .collect();
    assert!(days[0] > days[1], "{days:?}");
}

#[test]
fn the_last_entry_is_taken_out_again() {
    let folder = tempfile::tempdir().unwrap();
    let kit = kit(folder.path());
    let log = folder.path().join("kit-log.json");
    stdout(&["log", &kit, "--honed", "jack", "--date", "2026-03-09"]);
    let before = fs::read_to_string(&log).unwrap();
    // Written last, though of an earlier day.
    stdout(&["log", &kit, "--reground", "try plane", "--date", "2026-02-01"]);
    let said = stdout(&["log", &kit, "--undo"]);
    assert!(said.contains("try plane reground on 2026-02-01"), "{said}");
    assert_eq!(fs::read_to_string(&log).unwrap(), before);
    stdout(&["log", &kit, "--undo"]);
    let said = refusal(&["log", &kit, "--undo"]);
    assert!(said.contains("--undo"), "{said}");
    let conflicting = program().args(["log", &kit, "--undo", "--honed", "jack"]).output().unwrap();
    assert_eq!(conflicting.status.code(), Some(2));
}

#[test]
fn a_log_in_a_folder_that_is_not_there_is_refused_with_the_folder() {
    let folder = tempfile::tempdir().unwrap();
    let (kit, missing) = (kit(folder.path()), folder.path().join("shelf"));
    let log = missing.join("log.json");
    let said = refusal(&["log", &kit, "--honed", "jack", "--file", log.to_str().unwrap()]);
    assert!(said.contains(&format!("there is no folder \"{}\"", missing.display())), "{said}");
    assert!(!missing.exists());
}
