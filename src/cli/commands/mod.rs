//! One command a file; each turns its arguments into calls of the library.

mod angle;
mod ask;
mod bevel;
mod blade;
mod camber;
mod card;
mod class;
mod cutsheet;
mod fit;
mod gauges;
mod grits;
mod kit;
mod log;
mod make;
mod manual;
mod measure;
mod offsets;
mod page;
mod picture;
mod plate;
mod profiles;
mod show;
mod testpiece;
mod verify;

use super::Said;
use super::args::Command;
use super::failure::Failure;
use super::help::{self, Unknown};
use make::Order;
use stopwright::format::Wanted;
use stopwright::input::fault::Faults;
use stopwright::notices::NOTICES;

/// Carries out a command.
///
/// # Errors
/// [`Failure`].
pub fn execute(command: &Command) -> Result<Said, Failure> {
    match command {
        Command::Make { args, only } => {
            let wanted = if only.is_empty() { Wanted::everything() } else { Wanted::only(only) };
            make::make(args, Order { wanted, named: !only.is_empty() })
        }
        Command::Block(args) => make::make(args, Order { wanted: Wanted::block(), named: false }),
        Command::Cutsheet(args) => cutsheet::cutsheet(args),
        Command::Offsets(args) => offsets::offsets(args),
        Command::Angle(args) => angle::angle(args),
        Command::Bevel(args) => bevel::bevel(args),
        Command::Camber(args) => camber::camber(args),
        Command::Grits(args) => grits::grits(args),
        Command::Show(args) => show::show(args),
        Command::Picture(args) => picture::picture(args),
        Command::Verify(args) => verify::verify(args),
        Command::Fit(args) => fit::fit(args),
        Command::Ask { what } => ask::ask(what),
        Command::Measure(args) => measure::measure(args),
        Command::Plate(args) => plate::plate(args),
        Command::Testpiece(args) => testpiece::testpiece(args),
        Command::Gauges(args) => gauges::gauges(args),
        Command::Kit(args) => kit::kit(args),
        Command::Class(args) => class::class(args),
        Command::Card(args) => card::card(args),
        Command::Log(args) => log::log(args),
        Command::Page(args) => page::page(args),
        Command::Profiles(args) => profiles::profiles(args),
        Command::Manual(args) => manual::manual(args),
        Command::Notices => Ok(Said { out: NOTICES.into(), is_script: true, ..Said::default() }),
        Command::Help { about } => {
            let unknown = |e: Unknown| Faults::argument("help", format!("\"{}\"", e.wanted), e.allowed());
            let out = help::about(about.as_deref()).map_err(unknown)?;
            // The pages are as wide as the terminal already.
            Ok(Said { out, is_script: true, ..Said::default() })
        }
        Command::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut help::command(), "stopwright", &mut script);
            Ok(Said { out: String::from_utf8_lossy(&script).into_owned(), is_script: true, ..Said::default() })
        }
    }
}
