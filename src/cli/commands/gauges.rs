//! `gauges`: gauges for bevels, cambered edges and square edges.

use std::path::PathBuf;

use super::blade::Reader;
use super::make::default_folder;
use crate::cli::args::GaugesArgs;
use crate::cli::clock::Clock;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, progress, report};
use stopwright::ask::quoted;
use stopwright::gauges::bevel::{Asked, THICKNESSES, TOLERANCES};
use stopwright::gauges::light::Making;
use stopwright::gauges::{Wanted, of_job, possible};
use stopwright::input::fault::{Fault, Faults};
use stopwright::input::length;
use stopwright::job::{Job, PrintOptions};
use stopwright::kit::Kit;
use stopwright::lane::DEFAULT_TOLERANCE;
use stopwright::stones::camber::curve::Curve;
use stopwright::terms::PaperSize;
use stopwright::units::{Units, Written};

/// Where the files go unless the user says otherwise.
const FOLDER: &str = "out/gauges";
/// Thinnest and thickest blade unless the user says otherwise, mm.
const BLADES: [f64; 2] = [3.0, 4.0];
/// Lengths that are read at all, mm; what can be gauged is said by the gauges.
const LENGTHS: [f64; 2] = [0.001, 1000.0];

pub(super) fn gauges(args: &GaugesArgs) -> Result<Said, Failure> {
    let _shown = progress::begin(args.output.reports());
    let (wanted, left_out) = wanted(args)?;
    let clock = Clock::start();
    let made = stopwright::gauges::files::gauges(&wanted, &clock)?;
    let timings = clock.timings();
    let usual = || args.job.as_ref().map_or_else(|| PathBuf::from(FOLDER), |job| default_folder(job).join("gauges"));
    let folder = args.output.out.clone().unwrap_or_else(usual);
    let paths = files::write_all(&folder, &made.artifacts, args.output.force)?;
    let out = match (args.output.quiet, args.output.json) {
        (true, _) => String::new(),
        (_, true) => format!("{:#}\n", stopwright::gauges::report::json(&wanted, &made, &folder, &paths)),
        _ => {
            stopwright::gauges::report::text(&wanted, &made)
                + "\n"
                + &report::files(&made.artifacts, &folder, &paths, args.output.details)
        }
    };
    let exit_code = report::exit_code(left_out.len());
    let notes =
        report::not_gauged(&left_out) + &if args.output.timings { report::timings(&timings) } else { String::new() };
    Ok(Said { out, notes, exit_code, ..Said::default() })
}

/// What is asked for, and what of a job's own cannot be gauged.
fn wanted(args: &GaugesArgs) -> Result<(Wanted, Vec<String>), Failure> {
    let making = if args.metal { Making::Metal } else { Making::Printed };
    let mut of_file = Units::Mm;
    let (mut wanted, left_out) = match &args.job {
        Some(path) => {
            // clap takes a width only after "=".
            let width =
                path.to_str().filter(|text| args.square.is_some() && length::parse(text, Some(Units::Mm)).is_ok());
            if let Some(width) = width.filter(|_| !path.exists()) {
                let fault = Fault::new("--square", format!("its width stands apart: \"{width}\""), "");
                return Err(Faults(vec![fault.mended(Some(format!("Write --square={}.", quoted(width))))]).into());
            }
            let (source, bytes) = files::document(path)?;
            let mut job = Job::parse(&source, &bytes, &Disk::beside(path))?;
            of_file = job.units;
            args.lengths.show(&mut job);
            let advice = job.kit.as_ref().map_or_else(Vec::new, Kit::advice);
            let all = of_job(&job, &advice, making);
            let (some, left_out) = possible(&all);
            // Where nothing is possible the whole is refused, with its reasons.
            if some.is_any() { (some, left_out) } else { (all, Vec::new()) }
        }
        None => (of_nothing(args.lengths.beside(Units::Mm).1, making), Vec::new()),
    };
    let mut reader = Reader::beside(&args.lengths, of_file);
    let tolerance = reader.degrees("--tolerance", args.tolerance.as_ref(), TOLERANCES);
    wanted.tolerance = tolerance.unwrap_or(wanted.tolerance);
    if let Some(text) = &args.angles {
        let blades = args.thickness.as_ref().map_or(BLADES.to_vec(), |text| blades(&mut reader, text));
        let angles = reader.angles("--angles", text);
        let of_angle = |angle: f64| blades.iter().map(move |&thickness| Asked { angle, thickness });
        wanted.bevels = angles.into_iter().flat_map(of_angle).collect();
    }
    let square = reader.exact("--square", args.square.as_ref(), LENGTHS);
    wanted.square_width = square.or(wanted.square_width);
    wanted.cambers.extend(args.camber.iter().enumerate().filter_map(|(i, text)| camber(&mut reader, i, text)));
    reader.finish()?;
    if let Some(paper) = args.paper {
        wanted.paper = paper;
    }
    Ok((wanted, left_out))
}

/// Thicknesses of the thinnest and the thickest blade, mm; one where both are the same.
fn blades(reader: &mut Reader, text: &str) -> Vec<f64> {
    let thickness = |text: &str| reader.exact("--thickness", Some(&text.trim().to_string()), THICKNESSES);
    text.splitn(2, ',').filter_map(thickness).collect()
}

/// A curve by its width and depth.
fn camber(reader: &mut Reader, index: usize, text: &str) -> Option<(String, Curve)> {
    let Some((width, depth)) = text.split_once(',') else {
        reader.fault("--camber", format!("\"{text}\""), "width and depth, such as 51,0.25");
        return None;
    };
    let mut length = |text: &str| reader.exact("--camber", Some(&text.trim().to_string()), LENGTHS);
    let (width, depth) = (length(width), length(depth));
    Some((format!("camber {}", index + 1), Curve { width: width?, depth: depth? }))
}

fn of_nothing(written: Written, making: Making) -> Wanted {
    Wanted {
        bevels: Vec::new(),
        tolerance: DEFAULT_TOLERANCE,
        making,
        cambers: Vec::new(),
        square_width: None,
        print: PrintOptions::default(),
        title: "Gauges".into(),
        written,
        paper: PaperSize::at_home(written.first()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_camber_is_two_lengths() {
        let mut reader = Reader::new(Units::Inch);
        let curve = camber(&mut reader, 0, "2, 0.5 mm").expect("a curve").1;
        assert!((curve.width - 50.8).abs() < 1e-12 && curve.depth == 0.5);
        assert!(camber(&mut reader, 0, "2").is_none() && reader.finish().is_err());
    }
}
