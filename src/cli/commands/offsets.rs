//! `offsets`: the table for a guide and a blade, or for a job.

use std::path::Path;

use serde_json::json;

use super::blade::{self, Asked, Reader};
use crate::cli::args::OffsetsArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, report as told};
use stopwright::fit;
use stopwright::guide::Guide;
use stopwright::guide::named::ProfileKind;
use stopwright::honing::{Honing, budget};
use stopwright::job::Job;
use stopwright::lane;
use stopwright::lane::DEFAULT_TOLERANCE;
use stopwright::lane::report::{self, Shown};
use stopwright::lane::{BlockOptions, DEFAULT_FENCE_WITHIN, Lane, Request};
use stopwright::lanes::{self, LaneSet};
use stopwright::units::Written;

pub(super) fn offsets(args: &OffsetsArgs) -> Result<Said, Failure> {
    let (guide, fingerprint, set, shown, honing) = match subject(args)? {
        Subject::Job(job) => {
            let set = lanes::of_job(&job).map_err(|lanes| Failure::NoLanes(lanes).read_in(job.written))?;
            (job.guide.name.clone(), Some(job.fingerprint()), set, told::shown(&job, args.details), job.honing)
        }
        Subject::Guide(guide) => {
            let (guide, set, written) = of_guide(args, *guide)?;
            (guide, None, set, Shown { written, details: args.details }, Honing::default())
        }
    };
    let lanes: Vec<&Lane> = set.lanes.iter().collect();
    let fence_within = set.edge.fence_within;
    let out = if args.json {
        let mut table = report::offsets(&guide, lanes.iter().copied());
        table.fingerprint = fingerprint;
        table.left_out = report::left_out(&set.left_out, shown.written);
        if args.budget {
            for (row, lane) in table.lanes.iter_mut().zip(&lanes) {
                row.budget = Some(lane::budget::budget(lane, fence_within));
            }
            let mut value = serde_json::to_value(&table).map_err(|e| Failure::Program(e.into()))?;
            for (i, lane) in lanes.iter().enumerate() {
                value["lanes"][i]["at_the_bench"] = json!(budget::budget(lane, fence_within, &honing));
            }
            format!("{value:#}\n")
        } else {
            table.json().map_err(|e| Failure::Program(e.into()))?
        }
    } else {
        let budget =
            if args.budget { budget::table(&lanes, fence_within, &honing, shown.written) } else { String::new() };
        report::table(&guide, &lanes, shown) + &report::left_out_lines(&set.left_out, shown.written) + &budget
    };
    let warnings = report::warning_lines(&set.lanes) + &report::left_out_lines(&set.left_out, shown.written);
    let said = Said::with_warnings(out, warnings, !args.json);
    Ok(Said { exit_code: told::exit_code(set.left_out.len()), ..said })
}

/// What the argument names.
enum Subject {
    /// A job.
    Job(Box<Job>),
    /// A guide.
    Guide(Box<Guide>),
}

/// Reads the job or the guide that the argument names.
fn subject(args: &OffsetsArgs) -> Result<Subject, Failure> {
    let path = Path::new(&args.subject);
    let is_built_in = ProfileKind::Guide.builtins().iter().any(|b| b.name == args.subject);
    if is_built_in || !(path.is_file() || files::is_standard_input(path)) {
        return Ok(Subject::Guide(Box::new(fit::guide::named(&args.subject, &Disk::here())?)));
    }
    let (source, bytes) = files::document(path)?;
    if !Job::is_job(&source, &bytes)? {
        return Ok(Subject::Guide(Box::new(fit::guide::parse(&source, &bytes)?)));
    }
    let mut given = blade::given(&args.blade);
    given.extend(args.angles.as_ref().map(|_| "--angles"));
    given.extend(args.fence_within.as_ref().map(|_| "--fence-within"));
    blade::not_with_a_job(&given)?;
    let mut job = Job::parse(&source, &bytes, &Disk::beside(path))?;
    args.blade.lengths.show(&mut job);
    args.fractions.show(&mut job);
    Ok(Subject::Job(Box::new(job)))
}

fn of_guide(args: &OffsetsArgs, guide: Guide) -> Result<(String, LaneSet, Written), Failure> {
    let mut reader = Reader::for_guide(&args.blade.lengths, guide.units);
    let mut written = reader.written();
    written.denominator = args.fractions.denominator().unwrap_or(written.denominator);
    let asked = Asked::read(&args.blade, &guide, &Disk::here(), &mut reader);
    let fence_within = reader.exact("--fence-within", args.fence_within.as_ref(), [0.0, 2.0]);
    let angles = match (&args.angles, &asked.tool) {
        (Some(text), _) => reader.angles("--angles", text),
        (None, Some(tool)) => tool.angles.iter().map(|a| a.angle).collect(),
        (None, None) => {
            reader.fault("--angles", "nothing", "bevel angles in degrees, or --tool for its advised ones");
            Vec::new()
        }
    };
    reader.finish()?;
    let requests: Vec<Request> = angles.iter().map(|&a| asked.at(a)).collect();
    let options = BlockOptions::default();
    let all = |within| {
        lanes::build_all(&guide, &requests, &options, DEFAULT_TOLERANCE, within)
            .map_err(|lanes| Failure::NoLanes(lanes).read_in(written))
    };
    let mut set = all(fence_within)?;
    // The usual fence counts where the guide or the blade has tolerances too; alone it would pass for a budget.
    if fence_within.is_none() && set.lanes.iter().any(|l| l.setting.uncertainty.projection.is_some()) {
        set = all(Some(DEFAULT_FENCE_WITHIN))?;
    }
    Ok((guide.name, set, written))
}
