//! A document, read line by line.
//!
//! What a document shows stands in a fenced block after a comment that says what makes it:
//!
//! * `<!-- stopwright COMMAND -->` before a `text` block: what the command prints at 80 columns;
//! * `<!-- FILE -->` before a `json` or `rust` block: a file of the project;
//! * either with `, from "A"`: an excerpt, the run of lines from the first that begins with A to the next empty one; the
//!   paragraph before it says that it is an excerpt;
//! * `<!-- in FILE -->` before a `json` block: members that a job can have, which is made with them.
//!
//! Commands in `sh` blocks, and those of `cargo run` in lines indented by four blanks, are run in order; what a block
//! shows of a command is of one that the reader has been told to type.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use serde_json::Value;

use super::{COLUMNS, OUTPUT_COLUMNS, shell};
use crate::support::{home, program};

/// Files that members shown within a sentence are tried in: a job with settings, and one with a kit.
const JOBS: [&str; 2] = ["examples/tool-chest.json", "examples/alder-lane-kit-job.json"];

/// A document with all that it shows made anew.
pub struct Page {
    /// Its text as it should be.
    pub made: String,
    /// What is wrong with it, apart from outputs that are no longer current.
    pub faults: Vec<String>,
    /// The commands that the reader is told to type, and what they print.
    pub typed: BTreeMap<String, String>,
}

/// Where a shown text comes from.
struct Source<'a> {
    what: &'a str,
    excerpt_from: Option<&'a str>,
}

impl Page {
    /// Reads a document and makes it anew, with a folder that has the examples.
    pub fn read(text: &str, folder: &Path) -> Self {
        let mut page = Page { made: String::new(), faults: Vec::new(), typed: BTreeMap::new() };
        let lines: Vec<&str> = text.lines().collect();
        let (mut at, mut source, mut prose) = (0, None, String::new());
        while at < lines.len() {
            let line = lines[at];
            if !line.starts_with('|') {
                page.hold_width(line, COLUMNS);
            }
            page.keep(line);
            at += 1;
            if let Some(kind) = line.strip_prefix("```") {
                let end = at + lines[at..].iter().position(|l| *l == "```").expect("every block is closed");
                let body = &lines[at..end];
                match source.take() {
                    Some(source) => page.show(kind, &source, body, &prose, folder),
                    None => page.told(kind, body, folder),
                }
                page.keep("```");
                at = end + 1;
            } else if let Some(comment) = line.strip_prefix("<!-- ").and_then(|l| l.strip_suffix(" -->")) {
                source = Some(Source::read(comment));
            } else if let Some(command) = line.strip_prefix("    ").filter(|l| l.starts_with("cargo run --release --"))
            {
                page.run(command, folder);
            } else {
                prose += line;
                prose.push('\n');
            }
        }
        page.sentences(&prose, folder);
        page
    }

    fn keep(&mut self, line: &str) {
        self.made += line;
        self.made.push('\n');
    }

    fn hold_width(&mut self, line: &str, columns: usize) {
        if line.chars().count() > columns {
            self.faults.push(format!("longer than {columns} columns: {line}"));
        }
    }

    fn run(&mut self, command: &str, folder: &Path) {
        match shell::run(command, folder) {
            Ok(printed) => drop(self.typed.insert(command.to_string(), printed)),
            Err(fault) => self.faults.push(fault),
        }
    }

    /// A block that a comment tells the source of.
    fn show(&mut self, kind: &str, source: &Source, body: &[&str], prose: &str, folder: &Path) {
        let kept = || body.iter().map(|l| format!("{l}\n")).collect::<String>();
        if let Some(file) = source.what.strip_prefix("in ") {
            self.faults.extend(not_taken(&kept(), &[file], folder));
            self.made += &kept();
            return;
        }
        let whole = match source.what.starts_with("stopwright ") {
            true => self.typed.get(source.what).cloned().ok_or_else(|| "no such command stands before it".to_string()),
            false => fs::read_to_string(home().join(source.what)).map_err(|e| e.to_string()),
        };
        let shown = whole.and_then(|whole| match source.excerpt_from {
            None => Ok(whole),
            Some(from) if says_excerpt(prose) => {
                excerpt(&whole, from).ok_or_else(|| format!("no line begins {from:?}"))
            }
            Some(_) => Err("the paragraph before does not call it an excerpt".to_string()),
        });
        let shown = shown.unwrap_or_else(|fault| {
            self.faults.push(format!("{}: {fault}", source.what));
            kept()
        });
        let columns = if kind == "text" { OUTPUT_COLUMNS } else { COLUMNS };
        shown.lines().for_each(|line| self.hold_width(line, columns));
        self.made += &shown;
        if !shown.ends_with('\n') {
            self.made.push('\n');
        }
    }

    /// A block without a source: commands to type, or in DEVELOPERS.md a figure in text.
    fn told(&mut self, kind: &str, body: &[&str], folder: &Path) {
        match kind {
            "sh" => {
                for command in body.join("\n").replace("\\\n", " ").lines() {
                    self.run(&command.split_whitespace().collect::<Vec<_>>().join(" "), folder);
                }
            }
            "" => {}
            kind => self.faults.push(format!("a {kind} block does not say what makes it")),
        }
        for line in body {
            self.hold_width(line, COLUMNS);
            self.keep(line);
        }
    }

    /// Commands, flags and members of files that sentences name.
    fn sentences(&mut self, prose: &str, folder: &Path) {
        for code in prose.replace('\n', " ").split('`').skip(1).step_by(2) {
            if let Some(command) = code.strip_prefix("stopwright ") {
                self.faults.extend(shell::exists(&shell::words(command)).err());
            } else if code.starts_with("--") {
                let flag = code.split(' ').next().unwrap_or_default();
                if !shell::flag_exists(flag) {
                    self.faults.push(format!("{code}: no such flag"));
                }
            } else if code.starts_with('"') && code.contains("\": ") {
                self.faults.extend(not_taken(code, &JOBS, folder));
            }
        }
    }
}

impl<'a> Source<'a> {
    fn read(comment: &'a str) -> Self {
        match comment.strip_suffix('"').and_then(|c| c.split_once(", from \"")) {
            Some((what, from)) => Source { what, excerpt_from: Some(from) },
            None => Source { what: comment, excerpt_from: None },
        }
    }
}

/// Whether the last paragraph of `prose` calls what follows an excerpt.
fn says_excerpt(prose: &str) -> bool {
    prose.trim_end().rsplit("\n\n").next().is_some_and(|paragraph| paragraph.to_lowercase().contains("excerpt"))
}

/// The lines from the first that begins with `from` to the end of its paragraph.
fn excerpt(text: &str, from: &str) -> Option<String> {
    let lines: Vec<&str> = text.lines().skip_while(|l| !l.starts_with(from)).take_while(|l| !l.is_empty()).collect();
    (!lines.is_empty()).then(|| lines.iter().map(|l| format!("{l}\n")).collect())
}

/// What is wrong with members of a job, which is made with them: the first of `files` that takes them.
fn not_taken(members: &str, files: &[&str], folder: &Path) -> Option<String> {
    let members: Value = match serde_json::from_str(&format!("{{{members}}}")) {
        Ok(members) => members,
        Err(e) => return Some(format!("{members}: {e}")),
    };
    let mut said = String::new();
    for file in files {
        let text = fs::read_to_string(folder.join(file)).unwrap();
        let mut whole: Value = serde_json::from_str(&text).unwrap();
        for (name, value) in members.as_object().unwrap() {
            whole[name] = value.clone();
        }
        let tried = folder.join("examples/tried.json");
        fs::write(&tried, whole.to_string()).unwrap();
        let output = program().arg("make").arg(&tried).arg("--out").arg(folder.join("tried")).output().unwrap();
        if output.status.success() {
            return None;
        }
        said += &String::from_utf8_lossy(&output.stderr);
    }
    Some(format!("{members} is not taken: {said}"))
}

/// A link or a picture.
pub struct Link<'a> {
    /// What it says.
    pub words: &'a str,
    /// Where it leads.
    pub target: &'a str,
}

/// The links and pictures of a document that lead to files or headings.
pub fn links(text: &str) -> Vec<Link<'_>> {
    let ends = text.match_indices("](").map(|(at, _)| at);
    ends.filter_map(|at| {
        let words = text[..at].rsplit('[').next()?;
        let target = text[at + 2..].split(')').next()?;
        (!target.contains(char::is_whitespace)).then_some(Link { words, target })
    })
    .collect()
}

/// The headings of a document as links name them: small letters, hyphens for blanks, no stops.
pub fn headings(text: &str) -> BTreeSet<String> {
    text.lines()
        .filter(|line| line.starts_with('#'))
        .map(|line| {
            let words = line.trim_start_matches('#').trim().to_lowercase().replace(' ', "-");
            words.chars().filter(|c| c.is_alphanumeric() || *c == '-').collect()
        })
        .collect()
}
