//! `cutsheet`: the wooden jig.

use super::make::default_folder;
use crate::cli::args::CutsheetArgs;
use crate::cli::clock::Clock;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, progress, report};
use stopwright::input::fault::Faults;
use stopwright::jig::board;
use stopwright::job::Job;
use stopwright::verify::corrections::{self, Of};

pub(super) fn cutsheet(args: &CutsheetArgs) -> Result<Said, Failure> {
    let _shown = progress::begin(args.output.reports());
    let (source, bytes) = files::document(&args.job)?;
    let mut job = Job::parse(&source, &bytes, &Disk::beside(&args.job))?.for_a_jig();
    job.strict = args.strict;
    options(args, &mut job)?;
    let written = job.wood.written;
    made(args, job).map_err(|failure| failure.read_in(written))
}

fn made(args: &CutsheetArgs, mut job: Job) -> Result<Said, Failure> {
    let clock = Clock::start();
    let made = match &args.corrections {
        None => stopwright::jig::files::cutsheet(&job, &clock)?,
        Some(path) => {
            let mut set = board::lanes(&job).map_err(Failure::NoLanes)?;
            let (source, bytes) = files::document(path)?;
            corrections::apply(&source, &bytes, Of::Jig, &mut job, &mut set)?;
            stopwright::jig::files::cutsheet_of(&job, &set, &clock)?
        }
    };
    let folder = args.output.out.clone().unwrap_or_else(|| default_folder(&args.job));
    let paths = files::write_all(&folder, &made.artifacts, args.output.force)?;
    let out = match (args.output.quiet, args.output.json) {
        (true, _) => String::new(),
        (_, true) => report::cutsheet_json(&made, &folder, &paths),
        _ => report::cutsheet(&made, &folder, &paths, args.output.details),
    };
    let reports = args.output.reports();
    let mut said = Said::with_warnings(out, report::warnings_of_jig(&made), reports);
    if args.output.timings {
        said.notes += &report::timings(&clock.timings());
    }
    Ok(Said { exit_code: report::exit_code(made.jig.left_out.len()), ..said })
}

/// What the command line says over the job.
fn options(args: &CutsheetArgs, job: &mut Job) -> Result<(), Faults> {
    args.lengths.show(job);
    args.fractions.show(job);
    if let Some(paper) = args.paper {
        job.sheet_size = Some(paper);
    }
    if let Some(bars) = &args.printed_bar {
        let allowed = "two lengths of 97 to 103 mm, such as 99.6,99.8";
        let fault = || Faults::argument("--printed-bar", format!("\"{bars}\""), allowed);
        let parsed: Result<Vec<f64>, _> = bars.split(',').map(|b| b.trim().parse::<f64>()).collect();
        job.wood.printed_bar = match parsed.as_deref() {
            Ok([along, across]) if [along, across].iter().all(|b| (97.0..=103.0).contains(*b)) => [*along, *across],
            _ => return Err(fault()),
        };
    }
    Ok(())
}
