//! The command line: arguments in, one named step a stage, what the user reads out.
//!
//! Only [`files`] touches the disk, only [`run`] and the questions of `prompts` write to the terminal.

mod args;
mod batch;
mod clock;
mod commands;
pub mod failure;
pub mod files;
mod help;
mod interrupt;
mod panics;
mod progress;
mod prompts;
mod report;
mod usage;
mod words;

use std::io::{IsTerminal, Write};
use std::process::ExitCode;

use clap::FromArgMatches;

use crate::terminal::{self, paint, wrap};
use args::Arguments;
use failure::Failure;
use stopwright::shape::script::shown;

/// What a command has to say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Said {
    /// For standard output.
    pub out: String,
    /// For standard error: timings, and what concerns the result where no report says it.
    pub notes: String,
    /// Warnings that concern the result and stand in `out` too, which is a report. They go to standard error where that is a
    /// terminal and the report goes elsewhere: so they are read, and on a terminal not twice.
    pub warnings: String,
    /// The exit code.
    pub exit_code: u8,
    /// Whether `out` is a script, a file of its own, wrapped already or a command to type: no line of it may be wrapped.
    pub is_script: bool,
}

impl Said {
    /// The report `out` with its warnings; where `reports` is false, `out` is for machines or empty, and the warnings go to
    /// standard error whatever that is.
    fn with_warnings(out: String, warnings: String, reports: bool) -> Self {
        let (notes, warnings) = if reports { (String::new(), warnings) } else { (warnings, String::new()) };
        Self { out, notes, warnings, ..Self::default() }
    }
}

/// Runs the program and gives its exit code: 0 done, 1 a lane that fails its check, 70 a fault of the program, 2 bad
/// input or a file that cannot be read or written, 3 done but for what the guide cannot set, 129, 130, 131 or 143 after
/// SIGHUP, SIGINT, SIGQUIT or SIGTERM.
pub fn run() -> ExitCode {
    interrupt::install();
    files::open_many();
    panics::keep_places();
    let color = if is_plain() { clap::ColorChoice::Never } else { clap::ColorChoice::Auto };
    let read = help::command().color(color).try_get_matches().and_then(|matches| Arguments::from_arg_matches(&matches));
    let arguments = match read {
        Ok(arguments) => arguments,
        // Who types no command at all, or asks for help, gets the help.
        Err(e) if e.use_stderr() && e.kind() != clap::error::ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            tell(&(usage::told(&e) + "\n"), color);
            return ExitCode::from(2);
        }
        Err(e) => {
            let code = if e.use_stderr() { 2 } else { 0 };
            return match heard(e.print()) {
                Ok(()) => ExitCode::from(code),
                Err(failure) => {
                    tell(&(failure.told() + "\n"), color);
                    ExitCode::from(failure.exit_code())
                }
            };
        }
    };
    let color = arguments.color;
    let exit_code = panics::isolated(|| commands::execute(&arguments.command))
        .and_then(|said| say(&said, color).map(|()| said.exit_code))
        .unwrap_or_else(|failure| {
            tell(&(failure.told() + "\n"), color);
            failure.exit_code()
        });
    ExitCode::from(interrupt::caught().unwrap_or(exit_code))
}

/// Whether the arguments ask for no colour, where they could not be read whole.
fn is_plain() -> bool {
    let arguments: Vec<String> = std::env::args_os().map(|a| a.to_string_lossy().into_owned()).collect();
    arguments.iter().any(|a| a == "--color=never") || arguments.windows(2).any(|pair| pair == ["--color", "never"])
}

/// Prints on standard error; where that is closed there is nobody to tell.
fn tell(text: &str, color: clap::ColorChoice) {
    let err = std::io::stderr().lock();
    let colored = paint::is_wanted(color, &err);
    let text = dressed(text, &err, colored);
    let _ = write(err, &text, colored);
}

/// Prints on standard error in the middle of the work.
fn tell_at_once(text: &str) {
    progress::aside(|| tell(text, clap::ColorChoice::Never));
}

/// Prints; a reader that has gone away (`| head`) is no failure, a full disk is.
fn say(said: &Said, color: clap::ColorChoice) -> Result<(), Failure> {
    tell(&said.notes, color);
    if std::io::stderr().is_terminal() && !std::io::stdout().is_terminal() {
        tell(&said.warnings, color);
    }
    let out = std::io::stdout().lock();
    let colored = !said.is_script && paint::is_wanted(color, &out);
    let text = if said.is_script { shown(&said.out).into_owned() } else { dressed(&said.out, &out, colored) };
    heard(write(out, &text, colored))
}

/// What was printed on standard output: a reader that has gone away is no failure.
fn heard(printed: std::io::Result<()>) -> Result<(), Failure> {
    match printed {
        Err(cause) if cause.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Failure::File { path: "standard output".into(), doing: "write", cause })
        }
        _ => Ok(()),
    }
}

/// A text as wide as what it is printed to, and coloured where that is wanted.
fn dressed(text: &str, stream: &impl IsTerminal, colored: bool) -> String {
    // Names of files and whatever else was written by others.
    let text = shown(text);
    let text = terminal::width(stream).map_or_else(|| text.to_string(), |width| wrap::wrapped(&text, width));
    if colored && !wrap::is_data(&text) { paint::painted(&text) } else { text }
}

/// Writes all of it; colours go by way of the stream that consoles without them understand.
fn write<S: anstream::stream::RawStream + anstream::stream::AsLockedWrite>(
    mut stream: S,
    text: &str,
    colored: bool,
) -> std::io::Result<()> {
    if colored {
        // Many small pieces, and one writing of them all.
        let mut stream = std::io::BufWriter::with_capacity(text.len() * 2, anstream::AutoStream::always(stream));
        return stream.write_all(text.as_bytes()).and_then(|()| stream.flush());
    }
    stream.write_all(text.as_bytes()).and_then(|()| stream.flush())
}
