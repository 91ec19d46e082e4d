//! Command lines as a document shows them, run in a folder that has the examples.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::sync::OnceLock;

use crate::support::{program, stdout};

/// Commands of a document that are not run here: they build or test the program itself.
const NOT_RUN: [&str; 3] = ["cargo test --release", "cargo install --path .", "cargo doc --package stopwright --open"];

/// Runs a command, which must succeed (a verdict may be that a lane fails), and gives what it prints.
pub fn run(command: &str, folder: &Path) -> Result<String, String> {
    let own = command.strip_prefix("stopwright ").or_else(|| command.strip_prefix("cargo run --release -- "));
    let Some(own) = own else {
        let known = NOT_RUN.contains(&command) || is_rust_example(command);
        return if known { Ok(String::new()) } else { Err(format!("{command}: not a command of this program")) };
    };
    let mut arguments = words(own);
    if asks(&arguments) {
        return exists(&arguments).map(|()| String::new());
    }
    let redirect = arguments.iter().position(|w| w == ">").map(|at| arguments.split_off(at)[1].clone());
    let output =
        program().current_dir(folder).args(&arguments).env("COLUMNS", "80").stdin(Stdio::null()).output().unwrap();
    let failed_lane = arguments[0] == "verify" && output.status.code() == Some(1);
    if !output.status.success() && !failed_lane {
        return Err(format!("{command}: {}", String::from_utf8_lossy(&output.stderr)));
    }
    if let Some(name) = redirect {
        fs::write(folder.join(name), &output.stdout).unwrap();
    }
    String::from_utf8(output.stdout).map_err(|e| format!("{command}: {e}"))
}

/// Whether a command puts questions at the terminal; `tests/flow/measure.rs` and its like answer them.
fn asks(arguments: &[String]) -> bool {
    arguments[0] == "ask" || arguments == ["measure"]
}

/// Whether a command runs one of the library's examples, which `tests/flow/examples.rs` runs.
fn is_rust_example(command: &str) -> bool {
    let name = command.strip_prefix("cargo run --example ").unwrap_or_default();
    let name = name.split(" > ").next().unwrap_or_default();
    !name.is_empty() && crate::support::home().join(format!("examples/{name}.rs")).exists()
}

/// Whether the program knows a command that is named in a sentence, with its flags. Words in capitals are the reader's.
pub fn exists(arguments: &[String]) -> Result<(), String> {
    let command = arguments.iter().map(String::as_str).collect::<Vec<_>>().join(" ");
    if arguments[0] == "help" {
        let topic: Vec<&str> = arguments.iter().map(String::as_str).filter(|w| *w != "TOPIC").collect();
        let output = program().args(topic).output().unwrap();
        return if output.status.success() { Ok(()) } else { Err(format!("stopwright {command}: no such help")) };
    }
    let Some(help) = helps().get(arguments[0].as_str()) else {
        return Err(format!("stopwright {command}: no such command"));
    };
    let unknown = arguments.iter().filter(|w| w.starts_with("--")).find(|flag| !has_flag(help, flag));
    unknown.map_or(Ok(()), |flag| Err(format!("stopwright {command}: no flag {flag}")))
}

/// Whether any command knows a flag.
pub fn flag_exists(flag: &str) -> bool {
    helps().values().any(|help| has_flag(help, flag))
}

fn has_flag(help: &str, flag: &str) -> bool {
    let flag = flag.split('=').next().unwrap_or(flag);
    help.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-')).any(|word| word == flag)
}

/// The help of each command, by its name.
fn helps() -> &'static BTreeMap<String, String> {
    static HELPS: OnceLock<BTreeMap<String, String>> = OnceLock::new();
    HELPS.get_or_init(|| {
        let listed = stdout(&["help"]);
        let names =
            listed.lines().filter_map(|line| line.strip_prefix("  ")).filter_map(|l| l.split([' ', ',']).next());
        let helped = names.filter(|name| !name.is_empty() && name.chars().all(|c| c.is_ascii_lowercase() || c == '-'));
        helped
            .filter_map(|name| {
                let output = program().args([name, "--help"]).output().unwrap();
                output.status.success().then(|| (name.to_string(), String::from_utf8(output.stdout).unwrap()))
            })
            .collect()
    })
}

/// Words of a command line with double and single quotes.
pub fn words(line: &str) -> Vec<String> {
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
