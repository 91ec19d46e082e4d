//! The wooden jig's files.

use std::time::{Duration, Instant};

use super::sheets::{self, NotDrawn, template};
use super::{Jig, board};
use crate::format::pdf::{self, About};
use crate::format::{Artifact, dxf, svg};
use crate::job::Job;
use crate::lane::LaneSet;
use crate::make::{Clock, NotMade};

/// The wooden jig and its files.
#[derive(Debug, Clone)]
pub struct CutSheet {
    /// The jig.
    pub jig: Jig,
    /// The files.
    pub artifacts: Vec<Artifact>,
    /// How long each stage took.
    pub timings: Vec<(&'static str, Duration)>,
}

/// Makes the wooden jig of `job`: its sheets as one PDF and as SVG, its template for machines, its numbers.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn cutsheet(job: &Job) -> Result<CutSheet, NotMade> {
    let start = Instant::now();
    let set = board::lanes(job).map_err(NotMade::NoLanes)?;
    let solved = ("solve", start.elapsed());
    let mut made = cutsheet_of(job, &set)?;
    made.timings.insert(0, solved);
    Ok(made)
}

/// Makes the wooden jig of lanes that were solved for its board, whose fences may bear corrections.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn cutsheet_of(job: &Job, set: &LaneSet) -> Result<CutSheet, NotMade> {
    let mut clock = Clock::start();
    let jig = super::lay_out(job, set)?;
    clock.lap("jig");
    let sheets = sheets::sheets(job, &jig).map_err(|cause| match cause {
        NotDrawn::TooLarge(cause) => NotMade::TooLarge(cause),
        NotDrawn::Untileable(cause) => NotMade::Untileable(cause),
    })?;
    clock.lap("sheets");
    let not_written = |what| move |cause: String| NotMade::NotWritten { what, cause };
    let about = About { title: &jig.title, subject: "A setting block to make by hand in wood" };
    let pdf = pdf::write(&sheets, &about).map_err(|e| not_written("cutsheet.pdf")(e.to_string()))?;
    clock.lap("pdf");
    let artifact = |name: String, what, bytes| Artifact { name, what, bytes };
    let mut artifacts = vec![artifact("cutsheet.pdf".into(), "the wooden jig, to print and build from", pdf)];
    let pages = sheets.iter().enumerate();
    artifacts.extend(pages.map(|(i, s)| artifact(format!("cutsheet-{:02}.svg", i + 1), "a page of it", svg::write(s))));
    clock.lap("svg");
    let dxf = dxf::write(&template::layers(&jig));
    artifacts.push(artifact("template.dxf".into(), "its template, for machines (mm)", dxf));
    let mut text = serde_json::to_string_pretty(&crate::jig::report::json(&jig))
        .map_err(|e| not_written("cutsheet.json")(e.to_string()))?;
    text.push('\n');
    artifacts.push(artifact("cutsheet.json".into(), "its numbers with all digits", text.into_bytes()));
    clock.lap("files");
    Ok(CutSheet { jig, artifacts, timings: clock.timings })
}
