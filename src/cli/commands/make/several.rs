//! Several jobs in one run.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget};
use serde_json::{Value, json};

use super::{Done, Order, name, one};
use crate::cli::args::MakeArgs;
use crate::cli::clock::{self, Timings};
use crate::cli::failure::{Failure, PROGRAM};
use crate::cli::{Said, batch, files, report};
use stopwright::input::fault::Faults;

/// What is said of a job that was made.
struct Told {
    line: String,
    json: Value,
    /// What concerns what was made, a line each with its job.
    warnings: String,
    timings: Timings,
    exit_code: u8,
}

/// Makes all jobs, each in a folder of its own; those that fail stop no other.
pub(super) fn make(args: &MakeArgs, order: Order) -> Result<Said, Failure> {
    if args.corrections.is_some() {
        let found = format!("{} jobs", args.job.len());
        return Err(Faults::argument("--corrections", found, "one job, as corrections are those of one block").into());
    }
    let base = args.output.out.clone().unwrap_or_else(|| "out".into());
    let jobs = folders(&args.job, &base)?;
    let missing = files::missing(&base);
    let start = Instant::now();
    let bar = bar(args);
    let (theirs, progress) = (Arc::new(args.clone()), bar.clone());
    let results = batch::run(jobs, args.jobs, move |(job, folder), turn| {
        let done = one(&theirs, order, job, folder, turn);
        progress.inc(1);
        done.map(|done| tell(&theirs, job, folder, &done))
    });
    bar.finish_and_clear();
    // Where every writing failed, the folder around them must not stay.
    files::remove_empty(&missing);
    let results: Vec<(&Path, Result<Told, Failure>)> = args.job.iter().map(PathBuf::as_path).zip(results).collect();
    let failures = || results.iter().filter_map(|(job, result)| result.as_ref().err().map(|failure| (*job, failure)));
    let out = match (args.output.quiet, args.output.json) {
        (true, _) => String::new(),
        (_, true) => format!("{:#}\n", json!({ "jobs": results.iter().map(as_json).collect::<Vec<_>>() })),
        _ => summary(&results, start.elapsed()),
    };
    let mut notes: String = failures().filter_map(|(job, failure)| in_full(job, failure)).collect();
    // A job's line only counts its warnings.
    notes.extend(results.iter().filter_map(|(_, result)| Some(result.as_ref().ok()?.warnings.as_str())));
    if args.output.timings {
        notes += &report::timings(&summed(&results));
    }
    let codes =
        results.iter().map(|(_, result)| result.as_ref().map_or_else(Failure::exit_code, |told| told.exit_code));
    // A fault of the program is the gravest; of the others the gravest has the smallest exit code, but for none at all.
    let gravest = codes.filter(|code| *code > 0).min_by_key(|code| (*code != PROGRAM, *code));
    Ok(Said { out, notes, exit_code: gravest.unwrap_or(0), ..Said::default() })
}

/// Each job with its folder in `base`.
fn folders(jobs: &[PathBuf], base: &Path) -> Result<Vec<(PathBuf, PathBuf)>, Faults> {
    let mut taken: BTreeMap<PathBuf, &Path> = BTreeMap::new();
    let mut faults = Faults::default();
    let mut all = Vec::new();
    for job in jobs {
        let folder = base.join(name(job));
        if let Some(other) = taken.insert(files::place(&folder), job) {
            let found = if files::place(other) == files::place(job) {
                format!("{} twice", job.display())
            } else {
                format!("{} and {}, both to be written to {}", other.display(), job.display(), folder.display())
            };
            let allowed = "each job once, and files whose names differ in more than capitals, as they name the folders";
            faults.0.extend(Faults::argument("JOB", found, allowed).0);
        }
        all.push((job.clone(), folder));
    }
    faults.into_result().map(|()| all)
}

/// A progress bar, unseen where standard error is no terminal.
fn bar(args: &MakeArgs) -> ProgressBar {
    let seen = args.output.reports();
    let target = if seen { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
    ProgressBar::with_draw_target(Some(args.job.len() as u64), target)
}

fn tell(args: &MakeArgs, job: &Path, folder: &Path, done: &Done) -> Told {
    let mut told = Told {
        line: String::new(),
        json: Value::Null,
        warnings: report::warnings_of(&done.job, &done.made)
            .lines()
            .map(|line| format!("{}: {line}\n", job.display()))
            .collect(),
        timings: done.timings.clone(),
        exit_code: report::exit_code(report::left_out(&done.made)),
    };
    if args.output.json {
        told.json = json!({ "job": job.display().to_string() });
        let made = report::made_json(&done.job, &done.made, folder, &done.paths);
        if let (Value::Object(all), Value::Object(made)) = (&mut told.json, made) {
            all.extend(made);
        }
    } else {
        told.line = report::made_line(job, &done.made, folder);
    }
    told
}

fn as_json((job, result): &(&Path, Result<Told, Failure>)) -> Value {
    match result {
        Ok(told) => told.json.clone(),
        Err(failure) => json!({
            "job": job.display().to_string(),
            "error": failure.told(),
            "exit_code": failure.exit_code(),
        }),
    }
}

/// A line a job, those that were not made last; then how many were made.
fn summary(results: &[(&Path, Result<Told, Failure>)], took: Duration) -> String {
    let mut text: String = results.iter().filter_map(|(_, result)| Some(result.as_ref().ok()?.line.as_str())).collect();
    let made = results.iter().filter(|(_, result)| result.is_ok()).count();
    for (job, result) in results {
        if let Err(failure) = result {
            text += &format!("{}: NOT MADE: {}\n", job.display(), in_a_line(failure));
        }
    }
    text + &format!("\n{made} of {} jobs made in {:.2} s.\n", results.len(), took.as_secs_f64())
        + if made > 0 { report::NOT_TRIED } else { "" }
}

fn in_a_line(failure: &Failure) -> String {
    failure.told().lines().map(str::trim).collect::<Vec<_>>().join(" ")
}

/// For standard error; nothing for a job that an interrupt kept from being made, as that is no failure of its own.
fn in_full(job: &Path, failure: &Failure) -> Option<String> {
    let own = !matches!(failure, Failure::Interrupted { .. });
    own.then(|| format!("{} was not made:\n{}\n", job.display(), failure.told()))
}

/// How long each stage took in all jobs together.
fn summed(results: &[(&Path, Result<Told, Failure>)]) -> Timings {
    let mut sums = Timings::new();
    for (stage, took) in results.iter().filter_map(|(_, result)| result.as_ref().ok()).flat_map(|told| &told.timings) {
        clock::add(&mut sums, stage, *took);
    }
    sums
}
