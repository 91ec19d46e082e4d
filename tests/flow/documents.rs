//! README.md and DEVELOPERS.md against the program.

use std::fs;

use super::support::{demo, home, program, run, stdout};

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

/// Text between two marks of the README, which the program makes. `BLESS=1` writes it anew, and still fails.
fn holds(readme: &str, from: &str, to: &str, made: &str) -> Option<String> {
    let start = readme.find(from).unwrap() + from.len();
    let end = start + readme[start..].find(to).unwrap();
    (readme[start..end] != *made).then(|| format!("{}{made}{}", &readme[..start], &readme[end..]))
}

/// Outputs and pictures of the README are what the program prints and draws.
#[test]
fn the_readmes_figures_and_pictures_are_the_programs() {
    let bless = std::env::var_os("BLESS").is_some();
    let path = home().join("README.md");
    let mut readme = fs::read_to_string(&path).unwrap();
    let arguments = [
        "offsets",
        "narrow-side-clamp",
        "--tool",
        "plane-iron",
        "--thickness",
        "2.4 mm +- 0.1 mm",
        "--angles",
        "25,30,35",
    ];
    let table = String::from_utf8(run(&arguments).stdout).unwrap();
    let job = fs::read_to_string(demo()).unwrap();
    let mut stale = Vec::new();
    for (from, to, made) in [("```text\n", "```\n\n`fence` is", &table), ("```json\n", "```\n", &job)] {
        if let Some(new) = holds(&readme, from, to, made) {
            stale.push(format!("README.md after {from:?}"));
            readme = new;
        }
    }
    if bless {
        fs::write(&path, &readme).unwrap();
    }
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    stdout(&["make", &demo().display().to_string(), "--out", &out]);
    stdout(&["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "30", "--out", &out]);
    for (made, kept) in [("block.svg", "block.svg"), ("plane-iron-30.svg", "side-honing.svg")] {
        let kept = home().join("examples/pictures").join(kept);
        let made = fs::read(folder.path().join(made)).unwrap();
        if fs::read(&kept).unwrap_or_default() != made {
            if bless {
                fs::write(&kept, &made).unwrap();
            }
            stale.push(kept.display().to_string());
        }
    }
    assert!(stale.is_empty(), "not current, run once with BLESS=1: {stale:?}");
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
