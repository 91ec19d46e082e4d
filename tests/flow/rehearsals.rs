//! The first quarter of an hour of five kinds of user, at 80 columns.
//!
//! A file in `tests/flow/rehearsals/` is script and outcome in one: lines that begin with `$ ` are typed at the
//! shell, what stands behind a prompt (`> `, `mm> `, `in> `) is answered there, and all else is what the program says.
//! `BLESS=1` makes them anew from what is typed, and still fails: read them aloud then.

use std::fs;
use std::path::Path;

use super::documents::copy;
use super::support::{fed, home, program, typed_lines};

/// What is behind a prompt, if the line is one.
fn answer(line: &str) -> Option<&str> {
    ["> ", "mm> ", "in> ", "mm+> ", "in+> "].iter().find_map(|prompt| {
        let bare = line == prompt.trim_end();
        bare.then_some("").or_else(|| line.strip_prefix(prompt))
    })
}

/// Types a command and answers its questions; gives all that was said.
fn typed(command: &str, answers: &[&str], folder: &Path) -> String {
    let arguments = command.strip_prefix("stopwright ").unwrap_or_else(|| panic!("{command}: not this program"));
    let mut shell = program();
    shell.args(arguments.split(' ')).current_dir(folder).env("COLUMNS", "80");
    let output = fed(&mut shell, &typed_lines(answers));
    let mut said = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
    if output.status.code() != Some(0) {
        said += &format!("[exit code {}]\n", output.status.code().unwrap());
    }
    said.lines().map(|line| format!("{}\n", line.trim_end())).collect()
}

/// A rehearsal gone through anew, by what is typed in it.
fn gone_through(rehearsal: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    copy(&home().join("examples"), &folder.path().join("examples"));
    let mut made = String::new();
    for part in rehearsal.split("$ ").skip(1) {
        let (command, rest) = part.split_once('\n').unwrap();
        let answers: Vec<&str> = rest.lines().filter_map(answer).collect();
        made += &format!("$ {command}\n{}\n", typed(command, &answers, folder.path()));
    }
    made
}

fn rehearsals() -> Vec<std::path::PathBuf> {
    let mut all: Vec<_> =
        fs::read_dir(home().join("tests/flow/rehearsals")).unwrap().map(|entry| entry.unwrap().path()).collect();
    all.sort();
    all
}

#[test]
fn five_users_come_through_their_first_quarter_of_an_hour() {
    let all = rehearsals();
    assert_eq!(all.len(), 5, "{all:?}");
    let mut stale = Vec::new();
    for path in all {
        let kept = fs::read_to_string(&path).unwrap();
        let made = gone_through(&kept);
        for line in made.lines() {
            let width = line.chars().count();
            assert!(width <= 80 || line.starts_with("$ "), "{}: {width} columns: {line}", path.display());
        }
        // A block that is found wanting is an outcome; anything else that ends ill is not.
        assert!(!made.contains("[exit code 2]") && !made.contains("[exit code 70]"), "{}\n{made}", path.display());
        if made != kept {
            stale.push(path.display().to_string());
            if std::env::var_os("BLESS").is_some() {
                fs::write(&path, made).unwrap();
            }
        }
    }
    assert!(stale.is_empty(), "not current, run once with BLESS=1: {stale:?}");
}
