//! What a kit's job makes beside its block: bench cards, gauges, and a page that shows everything.

use super::Made;
use super::index::{self, File, PageSection};
use crate::card::Card;
use crate::format::Artifact;
use crate::gauges::files::Gauges;
use crate::job::Job;
use crate::kit::Kit;
use crate::kit::report::{self, Report, text};
use crate::lane::Lane;
use crate::lane::report::corrected_lines;
use crate::lanes::of_kit;
use crate::layout::marked_title;
use crate::units::counted;

/// The sharpening of a kit.
#[derive(Debug, Clone)]
pub struct Sharpening {
    /// A card a blade; none where none were wanted.
    pub cards: Vec<Card>,
    /// The gauges, where they were wanted and any can be made.
    pub gauges: Option<Gauges>,
    /// Gauges that cannot be made, and why.
    pub left_out: Vec<String>,
}

/// The page that shows all that was made.
pub(super) fn index(job: &Job, kit: &Kit, made: &Made) -> Artifact {
    let starts =
        |names: &'static [&'static str]| move |a: &&Artifact| names.iter().any(|name| a.name.starts_with(name));
    let section = |heading: &'static str, names: &'static [&'static str]| PageSection {
        heading,
        files: made.artifacts.iter().filter(starts(names)).map(file).collect(),
    };
    let sections = [
        section("The block", &["picture", "block", "cleat"]),
        section("Bench cards", &["card"]),
        section("Gauges", &["gauge"]),
        section("At the block", &["side"]),
        section("By hand, in wood", &["cutsheet", "template"]),
        section("Numbers", &["offsets"]),
    ];
    let sections: Vec<PageSection<'_>> = sections.into_iter().filter(|s| !s.files.is_empty()).collect();
    let about = format!(
        "{}, {}, for the {} guide. Fingerprint of guide and job: {}. Do not use a block or sheet with another fingerprint together with these: it was made before a change. These figures are calculated. Hone a test bevel and measure it before you rely on a lane. Sharp edges cut: follow your tools' makers' instructions and local rules.",
        counted(kit.blades.len(), "blade", "blades"),
        counted(made.lanes.lanes.len(), "fence", "fences"),
        job.guide.name,
        job.fingerprint()
    ) + &left_out(made);
    let lanes = made.blocks.iter().flat_map(|b| &b.layout.lanes).cloned().collect::<Vec<_>>();
    let bytes = index::write(&marked_title(job.title.clone(), &lanes), &about, &advised(job, kit, made), &sections);
    Artifact { name: "index.html".into(), what: "all of it on one page".into(), bytes }
}

/// What no fence serves, in a sentence.
fn left_out(made: &Made) -> String {
    let bevels: Vec<String> = made.lanes.left_out.iter().map(ToString::to_string).collect();
    if bevels.is_empty() {
        return String::new();
    }
    format!(" Hone these without the guide, as their cards say: {}.", bevels.join("; "))
}

fn file(artifact: &Artifact) -> File<'_> {
    File { name: &artifact.name, what: &artifact.what, bytes: &artifact.bytes }
}

/// What was advised of the kit, and its fences, in words.
fn advised(job: &Job, kit: &Kit, made: &Made) -> String {
    let bench = of_kit::bench(job, made.lanes.edge);
    let told = |planned| text(&finished(report::report(kit, planned, &bench), &made.lanes.lanes));
    made.lanes.kit.as_ref().map_or_else(String::new, told) + &corrected_lines(&made.lanes.lanes)
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
