//! Corrections of fences, from one block to the next.

use super::bevels::BevelReport;
use super::verdict::Verdicts;
use crate::input::fault::Faults;
use crate::lane::{Lane, mm};
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

/// Whether the fence of `lane` may be moved by `by` mm.
fn may_move(lane: &Lane, by: f64) -> Result<(), NoCorrection> {
    let (id, left) = (lane.request.id.clone(), lane.table_support + by);
    if by.abs() > MOST {
        return Err(NoCorrection::TooFar { id, by });
    }
    if left > 0.0 { Ok(()) } else { Err(NoCorrection::NoTable { id, by, left }) }
}

/// The corrections that a block's measurements call for: each measured fence back to where it was wanted, and, where
/// test bevels showed an offset to be trusted, every fence moved by it.
///
/// # Errors
/// [`NoCorrection`] for the first lane that cannot be moved so: the measurements are of something else.
pub fn corrections_from(
    title: &str,
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
            let fence = verdicts.lanes.iter().find(|v| v.id == lane.request.id).map_or(0.0, |v| v.correction);
            // What an earlier correction already moved stays moved.
            let correction = lane.correction + fence + offset(lane);
            let line =
                || may_move(lane, correction).map(|()| CorrectionLine { id: lane.request.id.clone(), correction });
            (correction != 0.0).then(line)
        })
        .collect::<Result<_, _>>()?;
    Ok(CorrectionsFile { format: 1, job: title.into(), corrections })
}

/// The title that corrections of a job's wooden jig bear: its fences are not those of the printed block.
pub fn of_wood(title: &str) -> String {
    format!("{title} (wooden jig)")
}

/// Reads corrections and moves the fences of `set` by them.
///
/// # Errors
/// All faults of the file: another job's corrections, lanes that the job does not have or that cannot be moved so.
pub fn apply(source: &str, bytes: &[u8], title: &str, set: &mut LaneSet) -> Result<(), Faults> {
    let read = profile::read::<CorrectionsFile>(source, bytes)?;
    let mut fields = Fields::of(&read, Units::Mm);
    if read.value.job != title {
        fields.fault(&["job"], format!("corrections for \"{}\"", read.value.job), format!("those for \"{title}\""));
    }
    let names = set.lanes.iter().map(|l| l.request.id.as_str()).collect::<Vec<_>>().join(", ");
    for (i, line) in read.value.corrections.iter().enumerate() {
        let index = i.to_string();
        let path = ["corrections", &index, "id"];
        match set.lanes.iter_mut().find(|l| l.request.id == line.id) {
            None => fields.fault(&path, format!("\"{}\", which is no lane of the job", line.id), names.clone()),
            Some(lane) if lane.correction != 0.0 => {
                fields.fault(&path, format!("{} a second time", line.id), "each lane once")
            }
            Some(lane) => match may_move(lane, line.correction) {
                Err(cause) => fields.fault(
                    &["corrections", &index, "correction"],
                    cause.to_string(),
                    "what calipers can have measured",
                ),
                Ok(()) => lane.correction = line.correction,
            },
        }
    }
    fields.finish()
}
