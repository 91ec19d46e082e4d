//! The files: those of the command line, byte for byte, each by itself or all as one.

use super::parts::Parts;
use super::reply::Files;
use crate::error;
use crate::format::{Artifact, ArtifactKind, Wanted, zipped};
use crate::jig;
use crate::job::Job;
use crate::lane::report::warning_lines;
use crate::lanes;
use crate::make;
use crate::verify::corrections::{self, Of};

/// Makes files of a job; `kinds` names them, none for everything that the job asks for. `corrections` moves its fences.
///
/// # Errors
/// Why nothing was made; whole sentences.
pub(super) fn made(
    mut job: Job,
    kinds: &[String],
    zipped: bool,
    corrections: Option<&str>,
    parts: &mut Parts,
) -> Result<Files, Vec<String>> {
    let wanted = wanted(kinds)?;
    let written = job.written;
    let (artifacts, warnings) = if kinds.iter().any(|kind| kind == CUT_SHEET) {
        job = job.for_a_jig();
        let mut set = jig::board::lanes(&job).map_err(|failed| super::not_set(&failed, job.wood.written))?;
        if let Some(text) = corrections {
            corrections::apply("corrections", text.as_bytes(), Of::Jig, &mut job, &mut set)
                .map_err(|faults| super::told(&faults))?;
        }
        let made = jig::files::cutsheet_of(&job, &set, &()).map_err(|e| said(&e))?;
        (made.artifacts, warning_lines(&set.lanes))
    } else {
        let mut set = lanes::of_job(&job).map_err(|failed| super::not_set(&failed, written))?;
        if let Some(text) = corrections {
            corrections::apply("corrections", text.as_bytes(), Of::Block, &mut job, &mut set)
                .map_err(|faults| super::told(&faults))?;
        }
        let made = make::make_of(&job, set, wanted, &()).map_err(|e| said(&e))?;
        (made.artifacts, warning_lines(&made.lanes.lanes))
    };
    let warnings = warnings.lines().map(str::to_string).collect();
    let what = artifacts.iter().map(|artifact| artifact.what.to_string()).collect();
    if zipped {
        let files = artifacts.iter().map(|artifact| (artifact.name.as_str(), artifact.bytes.as_slice()));
        let archive = zipped::write(files, None).map_err(|e| vec![error::sentence(&e.to_string())])?;
        parts.file(Artifact { name: "stopwright.zip".into(), what: "all files".into(), bytes: archive });
        return Ok(Files { what: vec!["all files".into()], warnings });
    }
    artifacts.into_iter().for_each(|artifact| {
        parts.file(artifact);
    });
    Ok(Files { what, warnings })
}

/// The word that asks for the cut sheet alone, as its own command makes it.
pub const CUT_SHEET: &str = "cut-sheet";

/// The kinds of these names.
fn wanted(kinds: &[String]) -> Result<Wanted, Vec<String>> {
    let kind = |name: &String| {
        let found = ArtifactKind::ALL.into_iter().find(|kind| kind.name() == name);
        found.ok_or_else(|| format!("There is no kind of files called {name}."))
    };
    let named = kinds.iter().filter(|name| *name != CUT_SHEET);
    let all: Vec<ArtifactKind> = named.map(kind).collect::<Result<_, _>>().map_err(|fault| vec![fault])?;
    Ok(if all.is_empty() { Wanted::everything() } else { Wanted::only(&all) })
}

fn said(e: &dyn std::error::Error) -> Vec<String> {
    error::chain(e).lines().map(error::sentence).collect()
}
