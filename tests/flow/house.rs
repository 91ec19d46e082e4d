//! The order of the rooms: the only place where it is written.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

use super::support::home;

/// The rooms from the ground up: each may use those of the rows above its own, none of its own row or below.
const ORDER: [&[&str]; 31] = [
    // What knows nothing of guides: `src/ground`.
    &["cores", "error", "units"],
    &["terms", "trig"],
    &["shape"],
    &["solid"],
    &["drawing"],
    &["format"],
    &["stages", "wood"],
    &["input"],
    // From here on they are the library's, which gives all above as well.
    &["notices", "profile", "questions"],
    &["guide"],
    &["solve"],
    &["measure", "fit"],
    &["lane"],
    &["honing"],
    &["layout"],
    &["views"],
    &["stones"],
    &["kit"],
    &["log"],
    &["job"],
    &["lanes"],
    &["block", "jig", "gauges", "testpiece", "card", "plate"],
    &["verify", "class"],
    &["ask"],
    &["make"],
    &["answer"],
    &["front"],
    // From here on they are the program's.
    &["page", "terminal"],
    &["serve"],
    &["cli"],
    &["main"],
];

/// What the library leaves to who calls it: files, clock, signals, threads, the terminal.
const AT_THE_RIM: [&str; 9] = [
    "std::fs",
    "std::env",
    "std::thread",
    "Instant",
    "SystemTime",
    "now_utc",
    "println!",
    "signal_hook",
    "std::process",
];

/// Where every file of the library and of the program is, but for roots of crates and files of tests.
fn places() -> Vec<PathBuf> {
    fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
            // The page's own packages are built by themselves.
            if entry.is_dir() && !["page/wasm", "page/build"].iter().any(|own| entry.ends_with(own)) {
                walk(&entry, found);
            } else if entry.extension().is_some_and(|e| e == "rs")
                && !["lib.rs", "program.rs", "tests.rs"].iter().any(|other| entry.ends_with(other))
            {
                found.push(entry);
            }
        }
    }
    let mut found = Vec::new();
    walk(&home().join("src"), &mut found);
    assert!(found.len() > 200, "only {} files", found.len());
    found
}

/// A file by its room, as code names it: the rooms in `src/ground` are rooms like all others.
fn named_by(place: &Path) -> String {
    let below = place.strip_prefix(home().join("src")).unwrap();
    let path = below.strip_prefix("ground").unwrap_or(below).with_extension("");
    path.to_str().unwrap().replace('\\', "/")
}

/// Every file by its room and its code, without comments and without its unit tests.
fn files() -> Vec<(String, String)> {
    let of = |place: &PathBuf| {
        let text = fs::read_to_string(place).unwrap();
        let lines = without_tests(&text).lines().filter(|l| !l.trim_start().starts_with("//"));
        (named_by(place), lines.collect::<Vec<_>>().join("\n"))
    };
    places().iter().map(of).collect()
}

/// What comes before a file's first module for tests alone.
fn without_tests(text: &str) -> &str {
    let begins = |at: &usize| {
        let declared = text[*at..].lines().nth(1).unwrap_or_default();
        declared.contains("mod ") && declared.ends_with('{')
    };
    let end = text.match_indices("#[cfg(test)]\n").map(|(at, _)| at).find(begins);
    &text[..end.unwrap_or(text.len())]
}

fn room(path: &str) -> &str {
    path.split('/').next().unwrap()
}

/// The paths that `text` names after `crate::` or as imports: `crate::a::{b, c::d}` gives `a/b` and `a/c/d`.
fn named(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    for part in text.split("crate::").skip(1) {
        let end = if part.contains('{') && part.find('{') < part.find(';') {
            part.find(';')
        } else {
            part.find([' ', ';', '(', ',', '>', ')'])
        };
        expand("", &part[..end.unwrap_or(part.len())], &mut all);
    }
    all
}

fn expand(before: &str, path: &str, all: &mut Vec<String>) {
    match path.split_once('{') {
        None => all.push(format!("{before}{}", path.trim().replace("::", "/"))),
        Some((head, inner)) => {
            let before = format!("{before}{}", head.trim().replace("::", "/"));
            let (mut depth, mut item) = (0, String::new());
            for c in inner[..inner.rfind('}').unwrap_or(inner.len())].chars().chain([',']) {
                depth += i32::from(c == '{') - i32::from(c == '}');
                if c == ',' && depth == 0 {
                    expand(&before, item.trim(), all);
                    item.clear();
                } else {
                    item.push(c);
                }
            }
        }
    }
}

#[test]
fn no_room_uses_one_of_its_own_row_or_above() {
    let floor: BTreeMap<&str, usize> =
        ORDER.iter().enumerate().flat_map(|(i, row)| row.iter().map(move |room| (*room, i))).collect();
    let mut wrong = BTreeSet::new();
    for (path, code) in files() {
        let own = room(&path);
        let here = *floor.get(own).unwrap_or_else(|| panic!("{own} is in no row"));
        for used in named(&code) {
            let used = room(&used).to_string();
            if used != own && floor.get(used.as_str()).is_some_and(|there| *there >= here) {
                wrong.insert(format!("{path} uses {used}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// A folder's `mod.rs` and the files that it declares count as one where they share types; files beside one another
/// never form a circle.
#[test]
fn files_of_a_room_form_no_circle() {
    let files = files();
    let is_file = |path: &str| files.iter().any(|(p, _)| p == path);
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (path, code) in &files {
        let parent = path.rsplit_once('/').map_or("", |(parent, _)| parent);
        for line in code.replace("super::", &format!("crate::{}::", parent.replace('/', "::"))).split(';') {
            for name in named(&format!("{line};")) {
                let steps: Vec<&str> = name.split('/').collect();
                let file = (1..=steps.len()).rev().map(|n| steps[..n].join("/")).find(|p| is_file(p));
                if let Some(file) = file.filter(|f| f != path && !path.ends_with("/mod") && !f.ends_with("/mod")) {
                    uses.entry(path.clone()).or_default().insert(file);
                }
            }
        }
    }
    assert!(uses.len() > 100, "only {} files use others", uses.len());
    // What uses nothing that is left is taken away, again and again; a circle stays.
    while let Some(free) = uses.keys().find(|k| uses[*k].iter().all(|used| !uses.contains_key(used))).cloned() {
        uses.remove(&free);
    }
    assert!(uses.is_empty(), "in circles, or above one: {uses:#?}");
}

#[test]
fn no_room_holds_more_than_a_tenth_of_the_code() {
    let mut lines: BTreeMap<String, usize> = BTreeMap::new();
    for place in places() {
        let text = fs::read_to_string(&place).unwrap();
        *lines.entry(room(&named_by(&place)).to_string()).or_default() += text.lines().count();
    }
    let all: usize = lines.values().sum();
    let (largest, most) = lines.iter().max_by_key(|(_, n)| **n).unwrap();
    assert!(most * 10 <= all, "{largest} holds {most} of {all} lines");
}

#[test]
fn files_clock_signals_and_threads_are_the_programs() {
    // Of the terminal's room one file asks how wide it is; the others work on texts.
    let at_rim = |path: &str| ["serve", "cli", "main"].contains(&room(path)) || path == "terminal/mod";
    for (path, code) in files().iter().filter(|(path, _)| !at_rim(path)) {
        let found = AT_THE_RIM.iter().find(|word| code.contains(**word));
        assert_eq!(found, None, "{path}");
    }
}
