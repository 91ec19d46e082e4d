//! Help: what it says is so, its examples run, and it fits a narrow terminal.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};

use super::documents::copy;
use super::support::{home, program, run, stdout};

/// The commands and the topics, as the overview lists them.
fn listed() -> (Vec<String>, Vec<String>) {
    let overview = stdout(&["help"]);
    let (commands, rest) = overview.split_once("\nTopics").unwrap();
    let (topics, _) = rest.split_once("\nBegin here").unwrap();
    let first_words = |text: &str| {
        let rows = text.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
        rows.map(|line| line.split_whitespace().next().unwrap().to_string()).collect()
    };
    (first_words(commands), first_words(topics))
}

/// A command's page.
fn page(command: &str) -> String {
    stdout(&[command, "--help"])
}

/// The examples of a page, lines that go on joined.
fn examples(page: &str) -> Vec<String> {
    let Some((_, examples)) = page.split_once("\nExamples:\n") else { return Vec::new() };
    let mut all: Vec<String> = Vec::new();
    let mut goes_on = false;
    for line in examples.lines().take_while(|line| line.starts_with("  ")) {
        let words = line.trim().trim_end_matches('\\').trim_end();
        match all.last_mut().filter(|_| goes_on) {
            Some(last) => *last += &format!(" {words}"),
            None => all.push(words.into()),
        }
        goes_on = line.ends_with('\\');
    }
    all
}

/// Commands that ask at a terminal, or serve until they are ended; both have tests of their own.
fn asks(example: &str) -> bool {
    example == "stopwright measure" || ["stopwright ask", "stopwright page"].iter().any(|own| example.starts_with(own))
}

/// A folder with the files that examples speak of.
fn bench() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for sub in ["examples", "profiles"] {
        copy(&home().join(sub), &folder.path().join(sub));
    }
    let put = |from: &str, to: &str| {
        let to = folder.path().join(to);
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(home().join(from), to).unwrap();
    };
    put("profiles/guides/narrow-side-clamp.json", "my-guide.json");
    put("examples/worn-side-clamp.json", "my-worn-guide.json");
    put("examples/tool-chest.json", "my-chisels.json");
    put("examples/tool-chest.json", "jobs/one.json");
    put("examples/tool-chest.json", "jobs/two.json");
    put("examples/alder-lane-kit.json", "my-kit.json");
    folder
}

/// Runs a line as a shell does, the program under test being found by its name; gives exit code and what was said.
fn typed(line: &str, folder: &Path) -> (Option<i32>, String) {
    let beside = Path::new(env!("CARGO_BIN_EXE_stopwright")).parent().unwrap();
    let path = format!("{}:{}", beside.display(), std::env::var("PATH").unwrap());
    let output =
        Command::new("sh").args(["-c", line]).current_dir(folder).env("PATH", path).env("COLUMNS", "80").output();
    let output = output.unwrap();
    (output.status.code(), String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned())
}

#[test]
fn every_command_has_examples_and_they_run() {
    let folder = bench();
    let mut count = 0;
    for command in listed().0 {
        let page = page(&command);
        let all = examples(&page);
        assert!(all.iter().any(|line| line.starts_with(&format!("stopwright {command}"))), "{command}: {page}");
        for line in all.iter().filter(|line| !asks(line)) {
            let (code, said) = typed(line, folder.path());
            // The demo's measured block has a lane that fails; of the kit's blades none is left out.
            let expected = if line.contains("tool-chest-measured") && line.contains("verify") { 1 } else { 0 };
            assert_eq!(code, Some(expected), "{line}\n{said}");
            count += 1;
        }
    }
    assert!(count > 45, "only {count} examples ran");
}

#[test]
fn examples_of_topics_run_too() {
    let folder = bench();
    let (_, topics) = listed();
    let mut count = 0;
    for topic in &topics {
        let page = stdout(&["help", topic]);
        for line in page.lines().filter_map(|line| line.strip_prefix("  stopwright ")) {
            let line =
                format!("stopwright {}", line.replace("GUIDE", "my-guide.json").replace("JOB", "my-chisels.json"));
            let line = line.replace("out/test-piece/test-piece-measured.json", "examples/test-piece-measured.json");
            if asks(&line) {
                continue;
            }
            let (code, said) = typed(&line, folder.path());
            assert_eq!(code, Some(0), "{topic}: {line}\n{said}");
            count += 1;
        }
    }
    assert!(count >= 12, "only {count} lines of topics ran");
}

#[test]
fn help_fits_the_terminal_and_names_only_what_there_is() {
    let (commands, topics) = listed();
    let pages = || {
        let each = commands.iter().flat_map(|c| [vec![c.as_str(), "--help"], vec!["help", c.as_str()]]);
        each.chain(topics.iter().map(|t| vec!["help", t.as_str()])).chain([vec!["help"], vec!["--help"], vec!["-h"]])
    };
    for columns in [None, Some(60), Some(80), Some(100)] {
        for words in pages() {
            let mut program = program();
            program.args(&words).env_remove("COLUMNS");
            columns.map(|n| program.env("COLUMNS", n.to_string()));
            let output = program.output().unwrap();
            assert!(output.status.success(), "{words:?}");
            let text = String::from_utf8(output.stdout).unwrap();
            for line in text.lines() {
                // Examples, tables and lines of usage are made for 80 columns.
                let most =
                    columns.unwrap_or(80).max(if line.starts_with("  ") || line.starts_with("Usage") { 80 } else { 0 });
                assert!(line.chars().count() <= most, "{words:?} at {columns:?}: {line}");
            }
        }
    }
    // What the pages tell the reader to type is there.
    for words in pages() {
        let text = stdout(&words);
        for (_, word) in text.match_indices("stopwright ").map(|(at, found)| (at, &text[at + found.len()..])) {
            let word: String = word.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
            let other = word.is_empty() || ["COMMAND", "stopped"].contains(&word.as_str());
            assert!(other || commands.contains(&word), "{words:?}: stopwright {word}");
        }
    }
    assert_eq!(run(&[]).status.code(), Some(2));
    assert!(run(&["--version"]).status.success());
    // What is neither is told with what may be meant.
    let said = String::from_utf8(run(&["help", "verfy"]).stderr).unwrap();
    assert!(said.contains("verify"), "{said}");
}

/// One thing has one name: the flags of all commands, and their short forms.
#[test]
fn flags_bear_one_name_everywhere() {
    let shorts = [("--out", "-o"), ("--quiet", "-q"), ("--force", "-f"), ("--jobs", "-j")];
    let mut all = BTreeSet::new();
    for command in listed().0 {
        let page = page(&command);
        let options = page.split("\nExamples").next().unwrap();
        for line in options.lines().map(str::trim_start).filter(|line| line.starts_with('-')) {
            let names: Vec<&str> =
                line.split([' ', ',', '[', '=']).filter(|word| word.starts_with('-')).take(2).collect();
            let Some(long) = names.iter().find(|name| name.starts_with("--")) else { continue };
            let short = names.iter().find(|name| !name.starts_with("--"));
            let known = shorts.iter().find(|(name, _)| name == long).map(|(_, short)| short);
            if !["--help", "--version"].contains(long) {
                assert_eq!(short, known, "{command}: {line}");
            }
            all.insert(long.to_string());
        }
    }
    for name in ["--roller-level", "--paper", "--out"] {
        assert!(all.contains(name), "{name}");
    }
    for former in ["--level", "--size", "--output"] {
        assert!(!all.contains(former), "{former}");
    }
}

/// Every file that is made is told of, and no other.
#[test]
fn the_files_topic_names_every_file() {
    let folder = bench();
    // A folder each: what a job no longer has is taken away.
    let out = folder.path().join("made");
    let at = |of: &str| out.join(of).display().to_string();
    let demo = fs::read_to_string(folder.path().join("my-chisels.json")).unwrap();
    let mut wood: Value = serde_json::from_str(&demo).unwrap();
    wood["wood"] = json!({});
    wood["print"] = json!({ "bed": [120, 120] });
    fs::write(folder.path().join("many.json"), wood.to_string()).unwrap();
    for (job, of) in [("my-chisels.json", "one"), ("many.json", "many"), ("examples/alder-lane-kit-job.json", "kit")] {
        let job = folder.path().join(job).display().to_string();
        assert!([Some(0), Some(3)].contains(&run(&["make", &job, "--out", &at(of)]).status.code()), "{job}");
    }
    let kit = folder.path().join("examples/alder-lane-kit-job.json").display().to_string();
    stdout(&["class", &kit, "--guides", "wide-side-clamp", "--out", &at("class")]);
    let topic = stdout(&["help", "files"]);
    let (_, made) = topic.split_once("A job makes").unwrap();
    let rows = made.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let patterns: Vec<&str> =
        rows.flat_map(|row| row.trim().split_once("  ").map_or(row.trim(), |(names, _)| names).split(", ")).collect();
    let matches = |pattern: &str, name: &str| match pattern.split_once('*') {
        Some((begins, ends)) => name.starts_with(begins) && name.ends_with(ends),
        None => pattern == name,
    };
    let in_folder = |folder: &Path| fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let names: BTreeSet<String> = in_folder(&out)
        .flat_map(|folder| in_folder(&folder).collect::<Vec<_>>())
        .map(|path| path.file_name().unwrap().to_str().unwrap().to_string())
        .filter(|name| !name.starts_with('.'))
        .collect();
    for name in &names {
        assert!(patterns.iter().any(|pattern| matches(pattern, name)), "{name} is in no row of {patterns:?}");
    }
    for pattern in &patterns {
        assert!(names.iter().any(|name| matches(pattern, name)), "{pattern} is never made: {names:?}");
    }
}

/// Each code that a run can be made to end with.
#[test]
fn exit_codes_are_as_told() {
    let topic = stdout(&["help", "exit-codes"]);
    let rows = topic.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let told: Vec<i32> = rows.map(|row| row.split_whitespace().next().unwrap().parse().unwrap()).collect();
    assert_eq!(told, [0, 1, 2, 3, 70, 129, 130, 131, 143]);
    let folder = bench();
    for (line, code) in [
        ("stopwright profiles", 0),
        ("stopwright verify my-chisels.json examples/tool-chest-measured.json", 1),
        ("stopwright make nothing.json", 2),
        ("stopwright gauges examples/alder-lane-kit-job.json", 3),
    ] {
        let (found, said) = typed(line, folder.path());
        assert_eq!(found, Some(code), "{line}\n{said}");
    }
}

/// Every form of a length that the topic shows is read as it says.
#[test]
fn lengths_are_read_as_told() {
    let topic = stdout(&["help", "units"]);
    let quoted = topic.lines().filter_map(|line| line.strip_prefix("  \"")?.split_once('"')).map(|(length, _)| length);
    let mut count = 0;
    for length in quoted {
        let said = stdout(&["plate", "--heights", &format!("{length},60"), "--apart", "80", "--json"]);
        assert!(serde_json::from_str::<Value>(&said).unwrap().is_object(), "{length}: {said}");
        count += 1;
    }
    assert!(count >= 5, "only {count} lengths");
}

#[test]
fn manual_pages_are_of_every_command() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("man1");
    stdout(&["manual", "-o", out.to_str().unwrap()]);
    for command in listed().0 {
        let page = fs::read_to_string(out.join(format!("stopwright-{command}.1"))).unwrap();
        assert!(page.contains(&format!(".TH stopwright-{command} 1")), "{command}: {page}");
        assert!(page.contains("Examples"), "{command}");
    }
    let page = fs::read_to_string(out.join("stopwright.1")).unwrap();
    assert!(page.contains(".SH NAME") && page.contains("exit\\-codes"), "{page}");
    assert!(!out.join("stopwright-block.1").exists());
}
