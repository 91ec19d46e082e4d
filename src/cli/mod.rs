//! The command line: arguments in, one named step a stage, what the user reads out.
//!
//! Only [`files`] touches the disk, only [`run`] and the questions of [`prompts`] write to the terminal.

mod args;
mod batch;
mod clock;
mod commands;
pub mod failure;
pub mod files;
mod interrupt;
mod prompts;
mod report;
mod wrap;

use std::io::Write;
use std::process::ExitCode;

use clap::Parser;

use failure::Failure;

/// What a command has to say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Said {
    /// For standard output.
    pub out: String,
    /// For standard error: warnings and timings.
    pub notes: String,
    /// The exit code.
    pub exit_code: u8,
    /// Whether `out` is a script or a file of its own, or has a command to type, of which no line may be wrapped.
    pub is_script: bool,
}

/// Runs the program and gives its exit code: 0 done, 1 a lane that fails its check, 70 a fault of the program, 2 bad
/// input or a file that cannot be read or written, 3 done but for what the guide cannot set, 130 or 143 after SIGINT or
/// SIGTERM.
pub fn run() -> ExitCode {
    interrupt::install();
    let arguments = match args::Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(e) => {
            let code = if e.use_stderr() { 2 } else { 0 };
            // Help for a closed pipe has nobody to read it.
            let _ = e.print();
            return ExitCode::from(code);
        }
    };
    let exit_code = commands::execute(&arguments.command)
        .and_then(|said| say(&said).map(|()| said.exit_code))
        .unwrap_or_else(|failure| {
            tell(&(failure.told() + "\n"));
            failure.exit_code()
        });
    ExitCode::from(interrupt::caught().unwrap_or(exit_code))
}

/// Prints on standard error; where that is closed there is nobody to tell.
fn tell(text: &str) {
    let mut err = std::io::stderr().lock();
    let text = wrap::width(&err).map_or_else(|| text.to_string(), |width| wrap::wrapped(text, width));
    let _ = err.write_all(text.as_bytes());
}

/// Prints; a reader that has gone away (`| head`) is no failure, a full disk is.
fn say(said: &Said) -> Result<(), Failure> {
    tell(&said.notes);
    let mut out = std::io::stdout().lock();
    let text = wrap::width(&out).filter(|_| !said.is_script).map(|width| wrap::wrapped(&said.out, width));
    let text = text.as_ref().unwrap_or(&said.out);
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(Failure::File { path: "standard output".into(), doing: "write", cause: e })
        }
        _ => Ok(()),
    }
}
