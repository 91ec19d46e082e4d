//! README.md and DEVELOPERS.md against the program.

use std::fs;

use super::support::{home, program, run};

/// Every command of the README's shell blocks is one the program has.
#[test]
fn the_readmes_commands_work() {
    let readme = fs::read_to_string(home().join("README.md")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    for sub in ["examples", "profiles"] {
        copy(&home().join(sub), &folder.path().join(sub));
    }
    let mut tried = 0;
    for line in readme.lines().filter_map(|l| l.trim().strip_prefix("stopwright ")) {
        let arguments = shell_words(line);
        let (arguments, redirect) = match arguments.iter().position(|w| w == ">") {
            Some(at) => (arguments[..at].to_vec(), arguments.get(at + 1).cloned()),
            None => (arguments, None),
        };
        let output = program().current_dir(folder.path()).args(&arguments).output().unwrap();
        assert!(output.status.success(), "{line}: {}", String::from_utf8_lossy(&output.stderr));
        if let Some(name) = redirect {
            fs::write(folder.path().join(name), &output.stdout).unwrap();
        }
        tried += 1;
    }
    assert!(tried >= 8, "only {tried} commands found");
}

/// Outputs that the README shows are what the program prints.
#[test]
fn the_readmes_outputs_are_the_programs() {
    let readme = fs::read_to_string(home().join("README.md")).unwrap();
    let output = run(&[
        "offsets",
        "narrow-side-clamp",
        "--tool",
        "plane-iron",
        "--thickness",
        "2.4 mm +- 0.1 mm",
        "--angles",
        "25,30,35",
    ]);
    let table = String::from_utf8(output.stdout).unwrap();
    for line in table.lines().filter(|l| l.starts_with("plane-iron")) {
        assert!(readme.contains(line), "the README lacks:\n{line}");
    }
}

/// The files that DEVELOPERS.md names are there.
#[test]
fn the_developers_guide_names_files_that_exist() {
    let guide = fs::read_to_string(home().join("DEVELOPERS.md")).unwrap();
    let mut named = 0;
    for word in guide.split('`').skip(1).step_by(2) {
        let is_path =
            word.contains('/') && !word.contains([' ', '*', '<', ':', '$', '(']) && !word.starts_with(['/', '-']);
        if is_path && !word.starts_with("out/") && !word.starts_with("target") {
            assert!(home().join(word).exists(), "{word}");
            named += 1;
        }
    }
    assert!(named >= 20, "only {named} files named");
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// Words of a command line with double and single quotes.
fn shell_words(line: &str) -> Vec<String> {
    let (mut words, mut word, mut quote, mut open) = (Vec::new(), String::new(), None, false);
    for c in line.chars() {
        match (quote, c) {
            (Some(q), c) if c == q => quote = None,
            (None, '"' | '\'') => {
                quote = Some(c);
                open = true;
            }
            (None, ' ') => {
                if open || !word.is_empty() {
                    words.push(std::mem::take(&mut word));
                }
                open = false;
            }
            (_, c) => word.push(c),
        }
    }
    if open || !word.is_empty() {
        words.push(word);
    }
    words
}
