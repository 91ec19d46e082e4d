//! Corrections of fences, from one block to the next.

use super::bevels::BevelReport;
use super::verdict::Verdicts;
use crate::input::fault::Faults;
use crate::lane::LaneSet;
use crate::profile;
use crate::profile::measured::{CorrectionLine, CorrectionsFile};

/// The corrections that a block's measurements call for: each measured fence back to where it was wanted, and, where
/// test bevels showed an offset to be trusted, every fence moved by it.
pub fn of(title: &str, set: &LaneSet, verdicts: &Verdicts, bevels: Option<&BevelReport>) -> CorrectionsFile {
    let offset = |lane: &crate::lane::Lane| {
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
            (correction != 0.0).then(|| CorrectionLine { id: lane.request.id.clone(), correction })
        })
        .collect();
    CorrectionsFile { format: 1, job: title.into(), corrections }
}

/// The title that corrections of a job's wooden jig bear: its fences are not those of the printed block.
pub fn of_wood(title: &str) -> String {
    format!("{title} (wooden jig)")
}

/// Reads corrections and moves the fences of `set` by them.
///
/// # Errors
/// All faults of the file: another job's corrections, lanes that the job does not have.
pub fn apply(source: &str, bytes: &[u8], title: &str, set: &mut LaneSet) -> Result<(), Faults> {
    let read = profile::read::<CorrectionsFile>(source, bytes)?;
    let mut faults = Faults::default();
    let mut fault = |path: &[&str], found: String, allowed: String| {
        if !read.spoiled(path) {
            faults.0.push(read.document.fault(path, Some(found), allowed));
        }
    };
    if read.value.job != title {
        fault(&["job"], format!("corrections for \"{}\"", read.value.job), format!("those for \"{title}\""));
    }
    let names = set.lanes.iter().map(|l| l.request.id.as_str()).collect::<Vec<_>>().join(", ");
    for (i, line) in read.value.corrections.iter().enumerate() {
        let index = i.to_string();
        let path = ["corrections", &index, "id"];
        match set.lanes.iter_mut().find(|l| l.request.id == line.id) {
            None => fault(&path, format!("\"{}\", which is no lane of the job", line.id), names.clone()),
            Some(lane) if lane.correction != 0.0 => {
                fault(&path, format!("{} a second time", line.id), "each lane once".into())
            }
            Some(lane) => lane.correction = line.correction,
        }
    }
    read.finish(faults)
}
