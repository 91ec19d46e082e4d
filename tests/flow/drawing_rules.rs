//! The list of rules of the drawing standards names only checks that exist, and no rule is without a check or a reason.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use super::support::home;

/// Rules that the list has at the least, so that a table that is no longer read is noticed.
const LEAST_RULES: usize = 45;

/// All files below a folder that end like this.
fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if !name.starts_with('.') {
                found.extend(files(&path, ending));
            }
        } else if name.ends_with(ending) {
            found.push(path);
        }
    }
    found
}

/// Names of all test functions, and of all check groups of the oracles.
fn checks() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for path in [files(&home().join("src"), ".rs"), files(&home().join("tests/flow"), ".rs")].concat() {
        let text = fs::read_to_string(&path).unwrap();
        let mut is_test = false;
        for line in text.lines().map(str::trim) {
            is_test |= line == "#[test]";
            if let Some(rest) = line.strip_prefix("fn ")
                && is_test
            {
                found.insert(rest.split(['(', '<']).next().unwrap().to_string());
                is_test = false;
            }
        }
    }
    for path in files(&home().join("tests/oracles"), ".py") {
        let text = fs::read_to_string(&path).unwrap();
        let Some((_, groups)) = text.split_once("\nGROUPS = {\n") else { continue };
        let groups = groups.split("\n}").next().unwrap();
        found.extend(
            groups.lines().filter_map(|line| Some(line.trim().strip_prefix('"')?.split_once("\": ")?.0.into())),
        );
    }
    found
}

/// What stands between backticks.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// The rows of the tables: rule, sheets, check.
fn rows(list: &str) -> Vec<Vec<&str>> {
    let rows = list.lines().filter(|line| line.starts_with("| ") && !line.starts_with("| Rule"));
    rows.map(|line| line.trim_matches('|').split('|').map(str::trim).collect()).collect()
}

/// What is wrong with a list.
fn faults(list: &str, checks: &BTreeSet<String>) -> Vec<String> {
    let mut faults = Vec::new();
    for row in rows(list) {
        let [rule, _, check] = row[..] else {
            faults.push(format!("a row of {} columns: {row:?}", row.len()));
            continue;
        };
        faults.extend(
            quoted(check).filter(|name| !checks.contains(*name)).map(|name| format!("{rule}: no check {name}")),
        );
        let has_reason = ["None", "looked at"].iter().any(|words| check.contains(words));
        if quoted(check).next().is_none() && !has_reason {
            faults.push(format!("{rule}: neither a check nor a reason why there is none"));
        }
    }
    for head in list.lines().filter(|line| line.starts_with("| Rule") && !line.contains("from memory")) {
        faults.push(format!("a table that does not say where its rules are from: {head}"));
    }
    faults
}

#[test]
fn rules_name_checks_that_exist() {
    let list = fs::read_to_string(home().join("tests/drawing_rules.md")).unwrap();
    let (found, checks) = (rows(&list).len(), checks());
    assert!(found >= LEAST_RULES, "only {found} rules found");
    let faults = faults(&list, &checks);
    assert!(faults.is_empty(), "\n{}\n", faults.join("\n"));
    // No number of a clause can be right by memory.
    let clauses: Vec<&str> = list.lines().filter(|line| line.contains('§') || line.contains("clause 1")).collect();
    assert!(clauses.is_empty(), "{clauses:?}");
}

/// A list that names what is not there, or gives no reason, is found wrong.
#[test]
fn a_list_that_has_rotted_is_found() {
    let checks = checks();
    for (row, fault) in [
        ("| lines | all | `sheets lines of yore` |", "no check sheets lines of yore"),
        ("| lines | all | |", "neither a check nor a reason"),
        ("| lines | `sheets lines` |", "a row of 2 columns"),
        ("| Rule | Sheets | Check |", "does not say where"),
    ] {
        let faults = faults(row, &checks);
        assert!(faults.iter().any(|found| found.contains(fault)), "{row}: {faults:?}");
    }
}
