//! `plate`: where to measure a set blade on a plate, and what readings come to.

use std::path::Path;

use super::blade::Reader;
use super::make::default_folder;
use crate::cli::args::PlateArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, report as told};
use stopwright::ask::quoted;
use stopwright::honing::plate::{HEIGHTS, INCLINOMETER_WITHIN, PlateAngle, Taken};
use stopwright::input::fault::{Fault, Faults};
use stopwright::input::length;
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::plate::report::{self, Found};
use stopwright::plate::{self, files as plate_files};
use stopwright::units::Units;

/// Lengths that are read at all, mm.
const LENGTHS: [f64; 2] = [0.0, 300.0];
/// Lengths between the lines, mm.
const APART: [f64; 2] = [5.0, 300.0];
/// Angles that are read, degrees.
const ANGLES: [f64; 2] = [1.0, 85.0];

pub(super) fn plate(args: &PlateArgs) -> Result<Said, Failure> {
    match (&args.job, args.heights.is_empty() && args.inclinometer.is_empty()) {
        (Some(job), true) => sheet(job, args),
        (None, false) => read(args),
        (Some(path), false) if stands_apart(path) => {
            // clap takes what follows a blank for the job.
            let (near, far) = (args.heights.last().map_or("", String::as_str), path.display());
            let fault = Fault::new("--heights", format!("its second height stands apart: \"{far}\""), "");
            Err(Faults(vec![fault.mended(Some(format!("Write --heights {}.", quoted(&format!("{near},{far}")))))])
                .into())
        }
        (Some(_), false) => Err(Faults::argument(
            "JOB",
            "a job and readings",
            "a job for its sheet, or readings alone; stopwright verify judges readings of a job's lanes",
        )
        .into()),
        (None, true) => Err(Faults::argument(
            "JOB",
            "neither a job nor readings",
            "a job, or --heights and --apart, or --inclinometer",
        )
        .into()),
    }
}

/// Whether what stands in the job's place is a length and no file.
fn stands_apart(path: &Path) -> bool {
    !path.exists() && path.to_str().is_some_and(|text| length::parse(text, Some(Units::Mm)).is_ok())
}

/// The sheet of a job.
fn sheet(path: &Path, args: &PlateArgs) -> Result<Said, Failure> {
    let (source, bytes) = files::document(path)?;
    let mut job = Job::parse(&source, &bytes, &Disk::beside(path))?;
    args.lengths.show(&mut job);
    let mut reader = Reader::beside(&args.lengths, job.units);
    let apart = reader.exact("--apart", args.apart.as_ref(), APART);
    reader.finish()?;
    let set = lanes::of_job(&job).map_err(|lanes| Failure::NoLanes(lanes).read_in(job.written))?;
    let Some(proof) = plate::of_job(&job, &set, apart) else {
        return Err(Failure::Program("a job without lanes".into()));
    };
    let size = args.paper.or(job.sheet_size).unwrap_or(job.home_paper());
    let artifacts = plate_files::files(&proof, size, job.projection_angle)?;
    let folder = args.out.clone().unwrap_or_else(|| default_folder(path));
    let paths = files::write_all(&folder, &artifacts, args.force)?;
    let out = match args.quiet {
        true => String::new(),
        false => report::expected(&proof) + "\n" + &told::written(&artifacts, &paths),
    };
    Ok(Said { out, ..Said::default() })
}

/// What readings come to.
fn read(args: &PlateArgs) -> Result<Said, Failure> {
    let mut reader = Reader::beside(&args.lengths, Units::Mm);
    let mut angles: Vec<PlateAngle> = Vec::new();
    if !args.heights.is_empty() {
        let apart = reader.length("--apart", args.apart.as_ref(), APART);
        if args.apart.is_none() {
            reader.fault("--apart", "nothing", "the length between the two heights");
        }
        for text in &args.heights {
            let Some((near, far)) = text.split_once(',') else {
                reader.fault("--heights", format!("\"{text}\""), "two heights, such as 12.31,42.35");
                continue;
            };
            let mut height = |text: &str| reader.length("--heights", Some(&text.trim().to_string()), LENGTHS);
            let (near, far) = (height(near), height(far));
            let (Some(near), Some(far), Some(apart)) = (near, far, apart) else { continue };
            let taken = Taken::heights([near, far], apart, args.along.unwrap_or_default());
            match taken.angle() {
                Some(angle) => angles.push(angle),
                None => reader.fault("--heights", format!("\"{text}\""), HEIGHTS),
            }
        }
    }
    for text in &args.inclinometer {
        let mut parts =
            text.splitn(2, ',').map(|part| reader.degrees("--inclinometer", Some(&part.trim().to_string()), ANGLES));
        let (read, turned) = (parts.next().flatten(), parts.next());
        let (Some(read), turned) = (read, turned.flatten()) else { continue };
        angles.extend(Taken::Inclinometer { read, turned, within: INCLINOMETER_WITHIN }.angle());
    }
    reader.finish()?;
    let Some(found) = Found::of(&angles) else {
        return Err(Failure::Program("readings without an angle and without a fault".into()));
    };
    let out = if args.json { format!("{:#}\n", found.json()) } else { found.text() };
    Ok(Said { out, ..Said::default() })
}
