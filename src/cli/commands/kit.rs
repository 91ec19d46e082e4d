//! `kit`: angles advised for the blades of a kit, the fewest fences that serve them, and a job for their block.

use std::path::Path;

use serde_json::json;

use super::blade::Reader;
use crate::cli::args::KitArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, report};
use stopwright::fit;
use stopwright::guide::named::GUIDES;
use stopwright::input::length::Length;
use stopwright::job::Job;
use stopwright::kit::interval::Bench;
use stopwright::kit::report::text;
use stopwright::kit::{Kit, PlannedKit};
use stopwright::lane::{BlockOptions, DEFAULT_FENCE_WITHIN};
use stopwright::lanes;

pub(super) fn kit(args: &KitArgs) -> Result<Said, Failure> {
    let (source, bytes) = files::document(&args.kit)?;
    let kit = Kit::parse(&source, &bytes, &Disk::beside(&args.kit))?;
    let mut reader = Reader::beside(&args.lengths, kit.units);
    let written = reader.written();
    let tolerance = reader.degrees("--tolerance", args.tolerance.as_ref(), [0.05, 5.0]);
    let level = reader.length("--roller-level", args.roller_level.as_ref(), [-100.0, 100.0]);
    reader.finish()?;
    let guide = fit::guide::named(&args.guide, &Disk::here())?;
    let within = Some(DEFAULT_FENCE_WITHIN);
    let solve = |edge| {
        let level = level.unwrap_or(Length::exact(0.0));
        let tolerance = tolerance.unwrap_or(kit.tolerance);
        let bench = Bench {
            guide: &guide,
            level,
            edge,
            tolerance,
            across_seats: args.across_seats,
            made_within: DEFAULT_FENCE_WITHIN,
            written,
        };
        Ok::<_, Failure>((PlannedKit::new(&kit, &bench), bench))
    };
    let limit = |(planned, _): &(PlannedKit, _)| planned.plan.thickness_limit();
    let (planned, bench) = lanes::on_a_block(&BlockOptions::default(), within, limit, solve)?;
    let report = stopwright::kit::report::report(&kit, &planned, &bench);
    let job = match &args.job {
        Some(path) => write(args, path, &kit)?,
        None => String::new(),
    };
    let out = if args.json {
        serde_json::to_string_pretty(&report).map_err(|e| Failure::Program(e.into()))? + "\n"
    } else {
        text(&report) + &job + report::NOT_TRIED
    };
    Ok(Said { out, ..Said::default() })
}

/// Writes a job that refers to the kit, after reading it back as any other.
fn write(args: &KitArgs, path: &Path, kit: &Kit) -> Result<String, Failure> {
    let Some(name) = path.file_name() else {
        return Err(Failure::InTheWay { path: path.into(), what: "it names a folder and a file is needed" });
    };
    let folder = files::folder_of(path);
    let is_built_in = GUIDES.iter().any(|b| b.name == args.guide);
    let mut job = json!({
        "format": 1,
        "title": kit.title,
        "units": kit.units,
        "guide": if is_built_in { args.guide.clone() } else { files::path_from(folder, Path::new(&args.guide)) },
        "kit": files::path_from(folder, &args.kit),
    });
    if let Some(level) = &args.roller_level {
        let unit = args.lengths.beside(kit.units).0.symbol();
        let unit = if level.trim().parse::<f64>().is_ok() { format!(" {unit}") } else { String::new() };
        job["roller_level"] = json!(format!("{}{unit}", level.trim()));
    }
    if args.across_seats {
        job["share_across_seats"] = json!(true);
    }
    if let Some(tolerance) = args.tolerance.as_ref().and_then(|t| t.trim().parse::<f64>().ok()) {
        job["tolerance"] = json!(tolerance);
    }
    let text = format!("{job:#}\n");
    Job::parse(&path.display().to_string(), text.as_bytes(), &Disk::beside(&folder.join(name)))?;
    files::write_file(path, text.as_bytes(), args.force)?;
    Ok(format!("\n{}: job\n", path.display()))
}
