//! `fit`: a guide from known settings.

use std::path::Path;

use super::blade::Reader;
use crate::cli::args::FitArgs;
use crate::cli::failure::Failure;
use crate::cli::{Said, files};
use stopwright::fit::report::{self, Report, text};
use stopwright::fit::{self, Settings};
use stopwright::guide::Guide;
use stopwright::units::Units;

pub(super) fn fit(args: &FitArgs) -> Result<Said, Failure> {
    let mut reader = Reader::new(Units::Mm);
    let angles = reader.angles("--angles", &args.angles);
    reader.finish()?;
    let (source, bytes) = files::document(&args.file)?;
    let settings = Settings::parse(&source, &bytes)?;
    let fitted = fit::fit(&settings, &angles).map_err(|e| Failure::Program(e.into()))?;
    let report = report::report(&settings, &fitted, args.lengths.beside(settings.units).1);
    let written = match &args.out {
        Some(path) => write(path, &report, args.force)?,
        None => String::new(),
    };
    let out = if args.json { report.json().map_err(|e| Failure::Program(e.into()))? } else { text(&report) + &written };
    Ok(Said { out, ..Said::default() })
}

/// Writes a whole profile, after reading it back as any other.
fn write(path: &Path, report: &Report, force: bool) -> Result<String, Failure> {
    if !report.whole {
        return Err(Failure::NotWhole { path: path.into(), lacks: report.lacks.join(", ") });
    }
    let Some(name) = path.file_name() else {
        return Err(Failure::InTheWay { path: path.into(), what: "it names a folder and a file is needed" });
    };
    let text = report.profile.text().map_err(|e| Failure::Program(e.into()))?;
    Guide::parse(&name.to_string_lossy(), text.as_bytes()).map_err(|e| Failure::Program(e.into()))?;
    files::write_file(path, text.as_bytes(), force)?;
    Ok(format!("\n{}: guide profile\n", path.display()))
}
