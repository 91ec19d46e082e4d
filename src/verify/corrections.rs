//! Corrections of fences, from one block to the next.
//!
//! Two causes are kept apart. A block that came out off is the printer's: in the next file the fence is moved by as much
//! the other way, and the finished distance stays. Test bevels that differ are the guide's: the finished distance itself
//! changes, on block and jig alike. A wooden jig has no file whose error comes again: its fence is moved on the jig.

use std::collections::BTreeMap;
use std::path::Path;

use super::angles::AngleReport;
use super::verdict::Verdicts;
use crate::input::document::{Document, composed};
use crate::input::fault::{Fault, Faults};
pub use crate::job::Of;
use crate::job::{Corrections, Job};
use crate::lane::{Correction, Lane};
use crate::lanes::LaneSet;
use crate::profile;
use crate::profile::fields::Fields;
use crate::profile::measured::{CorrectionLine, CorrectionsFile};
use crate::shape::script::{Unshown, unshown};
use crate::units::Units;

/// The most that a fence is moved by, mm, as the schema of the file has it: what calls for more is a slip.
const MOST: f64 = 20.0;

/// A correction that no block can be made with.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoCorrection {
    /// It is larger than any error of making.
    #[error("lane {id}: its fence would be moved by {by:.2} mm; at most {MOST:.2} mm is a correction")]
    TooFar {
        /// The lane.
        id: String,
        /// mm.
        by: f64,
    },
    /// The blade's bevel would hang over the edge.
    #[error(
        "lane {id}: moved by {by:.2} mm, the fence leaves {left:.2} mm of table behind the blade's heel; it must be more than 0"
    )]
    NoTable {
        /// The lane.
        id: String,
        /// mm.
        by: f64,
        /// mm.
        left: f64,
    },
}

/// Whether the fence of `lane` may be corrected so.
fn may_move(lane: &Lane, correction: Correction) -> Result<(), NoCorrection> {
    [correction.guide, correction.total()].into_iter().try_for_each(|by| may_move_by(lane, by))
}

fn may_move_by(lane: &Lane, by: f64) -> Result<(), NoCorrection> {
    let (id, left) = (lane.request.id.clone(), lane.table_support + by);
    if by.abs() > MOST {
        return Err(NoCorrection::TooFar { id, by });
    }
    if left > 0.0 { Ok(()) } else { Err(NoCorrection::NoTable { id, by, left }) }
}

/// The corrections that measurements call for: of a block, each measured fence back to where it was wanted; of block and
/// jig, where test bevels showed an offset to be trusted, every finished distance changed by it.
///
/// # Errors
/// [`NoCorrection`] for the first lane that cannot be moved so: the measurements are of something else.
pub fn corrections_from(
    of: Of,
    job: &Job,
    set: &LaneSet,
    verdicts: &Verdicts,
    angles: Option<&AngleReport>,
) -> Result<CorrectionsFile, NoCorrection> {
    let offset = |lane: &Lane| {
        let trusted = angles.into_iter().flat_map(|a| &a.offsets).filter(|o| o.trusted);
        trusted.filter(|o| o.seat.is_none_or(|s| s == lane.request.seat)).map(|o| o.offset).sum::<f64>()
    };
    let corrections = set
        .lanes
        .iter()
        .filter_map(|lane| {
            let verdict = verdicts.lanes.iter().find(|v| of == Of::Block && v.id == lane.request.id);
            // What an earlier correction already moved stays moved, the block's in what is written of a jig too.
            let stated = job.corrections.as_ref().map(|all| all.of_lane(&lane.request.id)).unwrap_or_default();
            let correction = Correction {
                making: stated.making + verdict.map_or(0.0, |v| v.correction),
                guide: lane.correction.guide + offset(lane),
            };
            let Correction { making, guide } = correction;
            let line = || CorrectionLine { id: lane.request.id.clone(), making, guide };
            correction.is_any().then(|| may_move(lane, correction).map(|()| line()))
        })
        .collect::<Result<Vec<_>, _>>()?;
    let of = if corrections.iter().any(|line: &CorrectionLine| line.making != 0.0) { Of::Block } else { of };
    let fingerprint = Some(job.fingerprint_uncorrected());
    Ok(CorrectionsFile { format: 2, job: of.title(&job.title), fingerprint, corrections })
}

/// Refuses corrections of form 1, which had one number a lane: whose error it is nobody can tell from it.
fn refuse_first_form(document: &Document) -> Result<(), Faults> {
    match document.root().member("format") {
        Some(format) if format.describe() == "1" && document.root().member("corrections").is_some() => {
            let allowed = "2: corrections of form 1 do not say whether the block came out off or the guide sets another angle; write them anew with verify --write-corrections";
            Err(Faults(vec![document.fault(&["format"], None, allowed)]))
        }
        _ => Ok(()),
    }
}

/// Reads corrections for a job and moves the fences of `set`, which are its block's or its jig's, by them. What is made
/// of the job after that is corrected too: a guide's part moves the fences of both, an error of making those of the block.
///
/// # Errors
/// All faults of the file: another job's corrections, lanes that the job does not have or that cannot be moved so.
pub fn apply(source: &str, bytes: &[u8], of: Of, job: &mut Job, set: &mut LaneSet) -> Result<(), Faults> {
    refuse_first_form(&Document::glance(source, bytes)?)?;
    let read = profile::read::<CorrectionsFile>(source, bytes)?;
    let mut fields = Fields::of(&read, Units::Mm);
    let written = set.written();
    let measured = measured_on(of, &read.value, job, &mut fields);
    // A printer's error stays what it was when the guide is measured anew; an offset of its readings does not.
    let of_guide = read.value.corrections.iter().any(|line| line.guide != 0.0);
    let state = job.fingerprint_uncorrected();
    if let Some(found) = read.value.fingerprint.as_ref().filter(|found| of_guide && **found != state) {
        fields.fault(
            &["fingerprint"],
            format!("{found}, another state of guide and job"),
            format!("{state}: prove angles with this guide and verify anew"),
        );
    }
    let names: Vec<String> = set.lanes.iter().map(|l| l.request.id.clone()).collect();
    let file = Path::new(source).file_name().map_or_else(|| source.into(), |name| name.to_string_lossy().into_owned());
    // The sheets say which file it was.
    if let Some(unshown) = unshown(&composed(&file)) {
        let fault = document_fault(source, &unshown);
        return Err(Faults(vec![fault]));
    }
    let mut corrections = Corrections { file, of: measured, lanes: BTreeMap::new() };
    for (i, line) in read.value.corrections.iter().enumerate() {
        let index = i.to_string();
        let path = ["corrections", &index, "id"];
        let correction = Correction { making: line.making, guide: line.guide };
        let lane = set.lanes.iter().find(|l| l.request.id == line.id);
        match lane {
            None => fields.unknown(&path, &line.id, names.iter().map(String::as_str)),
            Some(_) if measured == Of::Jig && line.making != 0.0 => fields.fault(
                &["corrections", &index, "making"],
                "an error of making in a wooden jig",
                "none: move the fence on the jig itself",
            ),
            Some(lane) => {
                let moved = if of == Of::Jig { Correction { making: 0.0, ..correction } } else { correction };
                if let Err(cause) = may_move(lane, moved) {
                    fields.fault(
                        &["corrections", &index, if line.making != 0.0 { "making" } else { "guide" }],
                        written.reworded(&cause.to_string()),
                        "what calipers can have measured",
                    );
                }
            }
        }
        if corrections.lanes.insert(line.id.clone(), correction).is_some() {
            fields.fault(&path, format!("{} a second time", line.id), "each lane once");
        }
    }
    fields.finish()?;
    corrections.apply(&mut set.lanes, of);
    job.corrections = Some(corrections);
    Ok(())
}

/// The fault of a file whose name cannot be shown on the sheets.
fn document_fault(source: &str, unshown: &Unshown) -> Fault {
    let fault = Fault::new("", format!("its name has {}", unshown.found), "").of(source, None);
    fault.mended(Some(format!("{} The sheets say it.", unshown.mend)))
}

/// What was measured for the corrections of a file, by the job that it names. Both have the same lanes, except those of
/// a kit whose job does not state the wood.
fn measured_on(of: Of, file: &CorrectionsFile, job: &Job, fields: &mut Fields<'_, CorrectionsFile>) -> Of {
    let named = [Of::Block, Of::Jig].into_iter().find(|named| named.title(&job.title) == file.job);
    let same_lanes = job.kit.is_none() || job.states_wood;
    match named {
        Some(named) if named == of || same_lanes => named,
        _ => {
            let allowed = format!("those for \"{}\"", of.title(&job.title));
            fields.fault(&["job"], format!("corrections for \"{}\"", file.job), allowed);
            of
        }
    }
}
