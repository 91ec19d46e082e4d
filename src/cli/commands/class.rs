//! `class`: several guides, one list of tools, and the fewest blocks for them.

use super::blade::Reader;
use super::log::day;
use super::make::default_folder;
use crate::cli::args::ClassArgs;
use crate::cli::clock::Clock;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, progress, report};
use stopwright::class::wear::USUAL_WEAR;
use stopwright::class::{self, Asked, Class, USUAL_FENCES, files as class_files, report as told};
use stopwright::fit;
use stopwright::guide::Guide;
use stopwright::input::fault::{Fault, Faults};
use stopwright::job::Job;
use stopwright::log::Day;

/// What a roller may lose of its diameter in a month, mm.
const WEAR: [f64; 2] = [0.001, 1.0];

pub(super) fn class(args: &ClassArgs) -> Result<Said, Failure> {
    let _shown = progress::begin(args.output.reports());
    let (source, bytes) = files::document(&args.job)?;
    let mut job = Job::parse(&source, &bytes, &Disk::beside(&args.job))?;
    let of_file = job.units;
    args.lengths.show(&mut job);
    let mut reader = Reader::beside(&args.lengths, of_file);
    let wear = reader.exact("--wear", args.wear.as_ref(), WEAR);
    let others: Vec<Guide> = args.guides.iter().filter_map(|name| guide(&mut reader, name.trim())).collect();
    reader.finish()?;
    let asked = Asked {
        most: args.fences.map_or(USUAL_FENCES, Into::into),
        wear: wear.unwrap_or(USUAL_WEAR),
        from: from(args, &job)?,
    };
    let written = job.written;
    made(args, &job, others, asked).map_err(|failure| failure.read_in(written))
}

/// The day from which wear counts: the one that is asked for, else the job's own if it is written as one, else today.
fn from(args: &ClassArgs, job: &Job) -> Result<Day, Faults> {
    let of_job = || job.date.as_deref().filter(|date| Day::parse(date).is_ok());
    day("--from", args.from.as_deref().or_else(of_job))
}

/// A guide of the class; faults go to `reader`.
fn guide(reader: &mut Reader, name: &str) -> Option<Guide> {
    match fit::guide::found(name, &Disk::here()) {
        Ok(Ok(guide)) => return Some(guide),
        Ok(Err(Faults(faults))) => faults.into_iter().for_each(|fault| reader.add(fault)),
        Err(fault) => reader.add(Fault { field: "--guides".into(), ..*fault }),
    }
    None
}

fn made(args: &ClassArgs, job: &Job, others: Vec<Guide>, asked: Asked) -> Result<Said, Failure> {
    let clock = Clock::start();
    let class: Class = class::plan(job, others, asked)?;
    let size = args.paper.or(job.sheet_size).unwrap_or(job.home_paper());
    let artifacts = class_files::files(&class, size, &clock)?;
    let folder = args.output.out.clone().unwrap_or_else(|| {
        // Not the job's own, which has its own blocks.
        let mut folder = default_folder(&args.job).into_os_string();
        folder.push("-class");
        folder.into()
    });
    let paths = files::write_all(&folder, &artifacts, args.output.force)?;
    let warnings = told::warnings(&class);
    let out = match (args.output.quiet, args.output.json) {
        (true, _) => String::new(),
        (_, true) => format!("{:#}\n", told::json(&class)),
        _ => {
            let between = if warnings.is_empty() { "" } else { "\n" };
            let files = report::files(&artifacts, &folder, &paths, args.output.details);
            format!("{}{between}{warnings}{}\n{files}", told::text(&class), report::NOT_TRIED)
        }
    };
    let reports = args.output.reports();
    let mut said = Said::with_warnings(out, warnings, reports);
    if args.output.timings {
        said.notes += &report::timings(&clock.timings());
    }
    let left_out = class.guides.iter().map(|guide| guide.alone.unserved.len()).sum();
    Ok(Said { exit_code: report::exit_code(left_out), ..said })
}
