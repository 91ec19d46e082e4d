//! What the page of a job's files says of its kit.

use super::index::{Advice, Row, Table};
use crate::job::Job;
use crate::kit::Kit;
use crate::kit::report::{self, Report, text};
use crate::lane::Lane;
use crate::lanes::{LaneSet, of_kit};
use crate::units::{FINE, fixed, short};

/// What was advised of the kit, and its fences.
pub fn advice(job: &Job, kit: &Kit, lanes: &LaneSet) -> Option<Advice> {
    let bench = of_kit::bench(job, lanes.edge);
    let report = finished(report::report(kit, lanes.kit.as_ref()?, &bench), &lanes.lanes);
    Some(Advice { parts: text::blades(&report), fences: fences(&report), after: text::conclusion(&report) })
}

/// The fences, how far off they may be, and what each serves.
fn fences(report: &Report<'_>) -> Table {
    let written = report.written;
    let unit = written.unit();
    let row = |fence: &report::FenceReport<'_>| {
        let served = |s: &report::ServedReport<'_>| {
            let forces = [s.blade, s.bevel] == [fence.forced_by.blade, fence.forced_by.bevel];
            let needed = if forces { "yes" } else { "" };
            vec![s.blade.to_string(), format!("{} {}°", s.bevel, short(s.angle, 2)), needed.to_string()]
        };
        Row {
            name: fence.lane.clone(),
            lines: fence.serves.iter().map(served).collect(),
            numbers: vec![
                written.fixed(fence.distance, FINE).to_string(),
                format!("±{}", written.less(text::printed_room(fence, written), FINE)),
                format!("{}°", fixed(fence.worst, 2)),
            ],
        }
    };
    let head = [
        "lane",
        "blade",
        "bevel",
        "needed for",
        &format!("fence, {unit}"),
        &format!("may be off, {unit}"),
        "largest error",
    ];
    Table {
        caption: "The fewest fences, and what each sets".into(),
        head: head.map(String::from).into(),
        rows: report.fences.iter().map(row).collect(),
    }
}

/// The report with its fences where they are to be finished: what test bevels showed of the guide moves them, and all
/// distances at which they serve the same bevels.
fn finished<'a>(mut report: Report<'a>, lanes: &[Lane]) -> Report<'a> {
    for fence in &mut report.fences {
        let lane = lanes.iter().find(|lane| lane.request.id == fence.lane);
        let by = lane.map_or(0.0, |lane| lane.correction.guide);
        let forced = &mut fence.forced_by;
        fence.distance += by;
        let spans = [&mut fence.common, &mut fence.places, &mut forced.interval, &mut forced.places];
        spans.into_iter().flatten().for_each(|end| *end += by);
    }
    report
}
