//! `testpiece`: the printer's test piece, and what its measurements tell.

use kurbo::Size;
use std::path::Path;

use super::blade::Reader;
use crate::cli::args::TestpieceArgs;
use crate::cli::clock::Clock;
use crate::cli::failure::Failure;
use crate::cli::{Said, files, report};
use stopwright::input::fault::Faults;
use stopwright::job::PrintOptions;
use stopwright::terms::PaperSize;
use stopwright::testpiece::piece::{APART, BedTooSmall};
use stopwright::testpiece::{Piece, Readings, judge};
use stopwright::units::{COARSE, Units};

/// Where the piece's files go unless the user says otherwise.
const FOLDER: &str = "out/test-piece";

pub(super) fn testpiece(args: &TestpieceArgs) -> Result<Said, Failure> {
    match &args.measured {
        Some(path) => judged(path, args),
        None => made(args),
    }
}

fn judged(path: &Path, args: &TestpieceArgs) -> Result<Said, Failure> {
    let (source, bytes) = files::document(path)?;
    let readings = Readings::parse(&source, &bytes)?;
    let written = args.lengths.beside(readings.units).1;
    let judged = judge::judge(&readings).map_err(|e| Failure::Program(e.into()))?;
    let out = match (args.output.quiet, args.output.json) {
        (true, _) => String::new(),
        (_, true) => format!("{:#}\n", stopwright::testpiece::report::json(&judged)),
        _ => stopwright::testpiece::report::text(&judged, written),
    };
    Ok(Said { out, exit_code: u8::from(judged.failed()), ..Said::default() })
}

fn made(args: &TestpieceArgs) -> Result<Said, Failure> {
    let (units, written) = args.lengths.beside(Units::Mm);
    let piece = Piece::for_bed(bed(args, units)?).map_err(|e: BedTooSmall| {
        let least = BedTooSmall::least();
        let why = format!(
            "{} each way or more, for lengths {} apart",
            written.short(least, COARSE).said(),
            written.size(APART)
        );
        Failure::Input(Faults::argument("--bed", written.reworded(&e.to_string()), why))
    })?;
    let usual = PaperSize::at_home(written.first());
    let clock = Clock::start();
    let made = stopwright::testpiece::files::test_piece(&piece, args.paper.unwrap_or(usual), units, written, &clock)?;
    let timings = clock.timings();
    let folder = args.output.out.clone().unwrap_or_else(|| FOLDER.into());
    let paths = files::write_all(&folder, &made.artifacts, args.output.force)?;
    let out = match (args.output.quiet, args.output.json) {
        (true, _) => String::new(),
        (_, true) => report::test_piece_json(&made, &folder, &paths),
        _ => report::test_piece(&made, written, &paths),
    };
    let notes = if args.output.timings { report::timings(&timings) } else { String::new() };
    Ok(Said { out, notes, exit_code: 0, ..Said::default() })
}

/// Width and depth of the bed, mm.
fn bed(args: &TestpieceArgs, units: Units) -> Result<Size, Faults> {
    let Some(text) = &args.bed else { return Ok(PrintOptions::default().bed) };
    let sides: Vec<&str> = text.split(',').map(str::trim).collect();
    let [width, depth] = sides[..] else {
        return Err(Faults::argument("--bed", format!("\"{text}\""), "width and depth, such as 220,220"));
    };
    let mut reader = Reader::new(units);
    let mut side = |text: &str| reader.exact("--bed", Some(&text.to_string()), [50.0, 2000.0]);
    let [width, depth] = [side(width), side(depth)].map(Option::unwrap_or_default);
    reader.finish()?;
    Ok(Size::new(width, depth))
}
