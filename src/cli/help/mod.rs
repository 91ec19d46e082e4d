//! Help: the commands in their groups, each command's own page, topics, and manual pages, all from one source.

use std::io;

use clap::{Command as Clap, CommandFactory};

use super::args::Arguments;
use crate::terminal::{self, wrap};
use stopwright::format::Artifact;
use stopwright::input::nearest::nearest;
use stopwright::views::words;

/// The commands by what one wants of them, in the order of the work.
pub(super) const GROUPS: [(&str, &[&str]); 6] = [
    ("In a browser", &["page"]),
    ("Your guide", &["measure", "fit", "profiles", "show"]),
    ("Work out", &["offsets", "angle", "kit", "bevel", "camber", "grits"]),
    ("Make", &["ask", "make", "cutsheet", "picture", "card", "gauges", "class", "testpiece"]),
    ("Afterwards", &["plate", "verify", "log"]),
    ("This program", &["help", "completions", "manual", "notices"]),
];

/// Something worth explaining that is no command.
#[derive(Debug, Clone, Copy)]
pub(super) struct Topic {
    /// The word it is asked for by.
    pub name: &'static str,
    /// What it tells, in a few words.
    pub about: &'static str,
    text: fn() -> String,
}

macro_rules! written {
    ($name:literal: $about:literal) => {
        Topic { name: $name, about: $about, text: || include_str!(concat!("topics/", $name, ".txt")).into() }
    };
}

/// All topics.
pub(super) const TOPICS: &[Topic] = &[
    Topic { name: "words", about: "guide and block with their parts named", text: words::glossary },
    written!("units": "lengths, inches, fractions, tolerances, paper"),
    written!("files": "what you write, what is made, what each file is for"),
    written!("printing": "the printer, the test piece"),
    written!("wood": "the jig without a printer"),
    written!("kit": "a whole drawer of blades at one block"),
    written!("camber": "curved edges and the strokes that make them"),
    written!("plate": "proving an angle before you hone"),
    written!("bench": "what moves an angle between fence and steel"),
    written!("uncertainty": "what the ± figures mean"),
    written!("refusals": "what cannot be made, and why"),
    written!("exit-codes": "for scripts"),
];

/// Columns of help where nobody says how wide the terminal is.
const USUAL_WIDTH: usize = 80;

/// The command line with its help as wide as what is printed to.
pub(super) fn command() -> Clap {
    let width = terminal::width(&io::stdout()).unwrap_or(USUAL_WIDTH);
    let command = Arguments::command().term_width(width);
    let overview = overview(&command, width);
    command.override_help(overview)
}

/// Help on a command or a topic; the overview where nothing is named.
///
/// # Errors
/// A word that is neither a command nor a topic.
pub(super) fn about(wanted: Option<&str>) -> Result<String, Unknown> {
    let width = terminal::width(&io::stdout()).unwrap_or(USUAL_WIDTH);
    let mut command = command();
    let Some(wanted) = wanted else { return Ok(overview(&command, width)) };
    let page = |command: &mut Clap| {
        command.build();
        command.find_subcommand_mut(wanted).map(|found| found.render_help().to_string())
    };
    match TOPICS.iter().find(|topic| topic.name == wanted) {
        Some(topic) => {
            let options = match command.find_subcommand(wanted) {
                Some(_) => format!("\nOptions of the command: stopwright {wanted} --help\n"),
                None => String::new(),
            };
            Ok(wrap::wrapped(&(topic.text)(), width) + &options)
        }
        None => page(&mut command).ok_or_else(|| Unknown { wanted: wanted.into() }),
    }
}

/// A word that is neither a command nor a topic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unknown {
    /// The word.
    pub wanted: String,
}

impl Unknown {
    /// What may stand there, the nearest first.
    pub fn allowed(&self) -> String {
        let all = || GROUPS.iter().flat_map(|(_, names)| names.iter().copied()).chain(TOPICS.iter().map(|t| t.name));
        let near = nearest(&self.wanted, all()).map_or_else(String::new, |name| format!("\"{name}\", or "));
        format!("{near}a command or topic that \"stopwright help\" lists")
    }
}

/// The manual pages: one of the program and one of each command.
///
/// # Errors
/// Those of the writer of roff.
pub(super) fn manual() -> io::Result<Vec<Artifact>> {
    let mut program = Arguments::command().after_help(topics());
    program.build();
    let all = std::iter::once(&program).chain(program.get_subcommands().filter(|c| !c.is_hide_set()));
    all.map(|command| {
        let name = command.get_display_name().unwrap_or_else(|| command.get_name()).to_string();
        let mut bytes = Vec::new();
        clap_mangen::Man::new(command.clone()).title(&name).render(&mut bytes)?;
        Ok(Artifact { name: format!("{name}.1"), what: "manual page".into(), bytes })
    })
    .collect()
}

/// The commands in their groups, the topics, and where to begin.
fn overview(command: &Clap, width: usize) -> String {
    let mut text = format!(
        "{}\n\nUsage: stopwright COMMAND [OPTIONS]\n",
        command.get_about().map_or_else(String::new, ToString::to_string)
    );
    for (group, names) in GROUPS {
        text += &format!("\n{group}\n");
        for name in names {
            let about = command.find_subcommand(name).and_then(Clap::get_about);
            text += &format!("  {name:<12} {}\n", about.map_or_else(String::new, ToString::to_string));
        }
    }
    text += &format!("\n{}", topics());
    text += BEGIN;
    wrap::wrapped(&text, width)
}

/// The topics, a line each.
fn topics() -> String {
    let lines = TOPICS.iter().map(|topic| format!("  {:<12} {}\n", topic.name, topic.about));
    format!("Topics (stopwright help TOPIC)\n{}", lines.collect::<String>())
}

/// Where to begin, and what cannot be said too often.
const BEGIN: &str = "
Begin here
  stopwright make examples/tool-chest.json     what it makes, on a demo
  stopwright measure                           measure your own guide
  stopwright ask job                           say what you want of it

-h or --help after a command shows its options; -V shows the version.
Sharp edges cut: keep fingers behind the edge, and follow your tools' makers' instructions.
";
