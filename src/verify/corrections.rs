//! Corrections of fences, from one block to the next.
//!
//! Two causes are kept apart. A block that came out off is the printer's: in the next file the fence is moved by as much
//! the other way, and the finished distance stays. Test bevels that differ are the guide's: the finished distance itself
//! changes. A wooden jig has no file whose error comes again: its fence is moved on the jig.

use super::bevels::BevelReport;
use super::verdict::Verdicts;
use crate::input::document::Document;
use crate::input::fault::Faults;
use crate::job::Job;
use crate::lane::{Correction, Lane, mm};
use crate::lanes::LaneSet;
use crate::profile;
use crate::profile::fields::Fields;
use crate::profile::measured::{CorrectionLine, CorrectionsFile};
use crate::units::Units;

/// The most that a fence is moved by, mm, as the schema of the file has it: what calls for more is a slip.
const MOST: f64 = 20.0;

/// A correction that no block can be made with.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoCorrection {
    /// It is larger than any error of making.
    #[error("lane {id}: its fence would be moved by {}; at most {} is a correction", mm(*.by), mm(MOST))]
    TooFar {
        /// The lane.
        id: String,
        /// mm.
        by: f64,
    },
    /// The blade's bevel would hang over the edge.
    #[error("lane {id}: moved by {}, the fence leaves {} of table behind the blade's heel; it must be more than 0", mm(*.by), mm(*.left))]
    NoTable {
        /// The lane.
        id: String,
        /// mm.
        by: f64,
        /// mm.
        left: f64,
    },
}

/// What the fences are those of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// The printed block.
    Block,
    /// The wooden jig.
    Jig,
}

impl Of {
    /// The title that corrections of a job bear: the jig's fences are not those of the printed block.
    pub fn title(self, job: &str) -> String {
        match self {
            Of::Block => job.into(),
            Of::Jig => format!("{job} (wooden jig)"),
        }
    }
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
    bevels: Option<&BevelReport>,
) -> Result<CorrectionsFile, NoCorrection> {
    let offset = |lane: &Lane| {
        let trusted = bevels.into_iter().flat_map(|b| &b.offsets).filter(|o| o.trusted);
        trusted.filter(|o| o.seat.is_none_or(|s| s == lane.request.seat)).map(|o| o.offset).sum::<f64>()
    };
    let corrections = set
        .lanes
        .iter()
        .filter_map(|lane| {
            let verdict = verdicts.lanes.iter().find(|v| of == Of::Block && v.id == lane.request.id);
            // What an earlier correction already moved stays moved.
            let correction = Correction {
                making: lane.correction.making + verdict.map_or(0.0, |v| v.correction),
                guide: lane.correction.guide + offset(lane),
            };
            let Correction { making, guide } = correction;
            let line = || CorrectionLine { id: lane.request.id.clone(), making, guide };
            correction.is_any().then(|| may_move(lane, correction).map(|()| line()))
        })
        .collect::<Result<_, _>>()?;
    Ok(CorrectionsFile { format: 2, job: of.title(&job.title), fingerprint: Some(job.fingerprint()), corrections })
}

/// Refuses corrections of form 1, which had one number a lane: whose error it is nobody can tell from it.
fn refuse_first_form(document: &Document) -> Result<(), Faults> {
    match document.root().member("format") {
        Some(format) if format.describe() == "1" => {
            let allowed = "2: corrections of form 1 do not say whether the block came out off or the guide sets another angle; let verify --write-corrections write them anew";
            Err(Faults(vec![document.fault(&["format"], None, allowed)]))
        }
        _ => Ok(()),
    }
}

/// Reads corrections and moves the fences of `set` by them.
///
/// # Errors
/// All faults of the file: another job's corrections, lanes that the job does not have or that cannot be moved so.
pub fn apply(source: &str, bytes: &[u8], of: Of, job: &Job, set: &mut LaneSet) -> Result<(), Faults> {
    let title = of.title(&job.title);
    refuse_first_form(&Document::parse(source, bytes)?)?;
    let read = profile::read::<CorrectionsFile>(source, bytes)?;
    let mut fields = Fields::of(&read, Units::Mm);
    if read.value.job != title {
        fields.fault(&["job"], format!("corrections for \"{}\"", read.value.job), format!("those for \"{title}\""));
    }
    // A printer's error stays what it was when the guide is measured anew; an offset of its readings does not.
    let of_guide = read.value.corrections.iter().any(|line| line.guide != 0.0);
    if let Some(found) = read.value.fingerprint.as_ref().filter(|found| of_guide && **found != job.fingerprint()) {
        fields.fault(
            &["fingerprint"],
            format!("{found}, another state of guide and job"),
            format!("{}: hone test bevels with this guide and verify anew", job.fingerprint()),
        );
    }
    let names = set.lanes.iter().map(|l| l.request.id.as_str()).collect::<Vec<_>>().join(", ");
    for (i, line) in read.value.corrections.iter().enumerate() {
        let index = i.to_string();
        let path = ["corrections", &index, "id"];
        match set.lanes.iter_mut().find(|l| l.request.id == line.id) {
            None => fields.fault(&path, format!("\"{}\", which is no lane of the job", line.id), names.clone()),
            Some(lane) if lane.correction.is_any() => {
                fields.fault(&path, format!("{} a second time", line.id), "each lane once")
            }
            Some(_) if of == Of::Jig && line.making != 0.0 => fields.fault(
                &["corrections", &index, "making"],
                "an error of making in a wooden jig",
                "none: move the fence on the jig itself",
            ),
            Some(lane) => {
                let correction = Correction { making: line.making, guide: line.guide };
                match may_move(lane, correction) {
                    Err(cause) => fields.fault(
                        &["corrections", &index, if line.making != 0.0 { "making" } else { "guide" }],
                        cause.to_string(),
                        "what calipers can have measured",
                    ),
                    Ok(()) => lane.correction = correction,
                }
            }
        }
    }
    fields.finish()
}
