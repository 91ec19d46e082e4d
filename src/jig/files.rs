//! The wooden jig's files.

use super::sheets::{self, NotDrawn, template};
use super::{Jig, board, report};
use crate::error;
use crate::format::pdf::{self, About};
use crate::format::{Artifact, NotWritten, dxf, svg};
use crate::job::Job;
use crate::lane::NoLane;
use crate::lanes::LaneSet;
use crate::layout::Refused;
use crate::stages::Stages;

/// The wooden jig and its files.
#[derive(Debug, Clone)]
pub struct CutSheet {
    /// The jig.
    pub jig: Jig,
    /// The files.
    pub artifacts: Vec<Artifact>,
}

/// Why no jig was made.
#[derive(Debug, thiserror::Error)]
pub enum NotMade {
    /// Lanes without a setting.
    #[error("{}", error::lines(.0))]
    NoLanes(Vec<NoLane>),
    /// The jig cannot be made as asked.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// Its sheets cannot be drawn.
    #[error(transparent)]
    NotDrawn(#[from] NotDrawn),
    /// An emitter failed.
    #[error(transparent)]
    NotWritten(#[from] NotWritten),
}

/// Makes the wooden jig of `job`: its sheets as one PDF and as SVG, its template for machines, its numbers.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn cutsheet(job: &Job, stages: &dyn Stages) -> Result<CutSheet, NotMade> {
    let set = board::lanes(job).map_err(NotMade::NoLanes)?;
    stages.end("solve");
    cutsheet_of(job, &set, stages)
}

/// Makes the wooden jig of the job's lanes, which were solved for its board.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn cutsheet_of(job: &Job, set: &LaneSet, stages: &dyn Stages) -> Result<CutSheet, NotMade> {
    let jig = super::lay_out(job, set)?;
    stages.end("jig");
    let sheets = sheets::sheets(job, &jig)?;
    stages.end("sheets");
    let about = About { title: &jig.title, subject: "A setting block to make by hand in wood" };
    let pdf = pdf::write(&sheets, &about).map_err(NotWritten::of("cutsheet.pdf"))?;
    stages.end("pdf");
    let artifact = |name: String, what: &'static str, bytes| Artifact { name, what: what.into(), bytes };
    let mut artifacts = vec![artifact("cutsheet.pdf".into(), "the wooden jig, to print and build from", pdf)];
    artifacts.extend(sheets.iter().enumerate().map(|(i, sheet)| Artifact {
        name: format!("cutsheet-{:02}.svg", i + 1),
        what: format!("page {} of {}", i + 1, sheets.len()).into(),
        bytes: svg::write(sheet),
    }));
    stages.end("svg");
    let dxf = dxf::write(&template::layers(&jig));
    artifacts.push(artifact("template.dxf".into(), "its template, for machines (mm)", dxf));
    let mut text = serde_json::to_string_pretty(&report::json(&jig)).map_err(NotWritten::of("cutsheet.json"))?;
    text.push('\n');
    artifacts.push(artifact("cutsheet.json".into(), "its numbers with all digits", text.into_bytes()));
    stages.end("files");
    Ok(CutSheet { jig, artifacts })
}
