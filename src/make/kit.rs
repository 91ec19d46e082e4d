//! What a kit's job makes beside its block: bench cards, gauges, and a page that shows everything.

use super::index::{self, File, PageSection};
use super::{Clock, Made, NotMade};
use crate::card::Card;
use crate::format::Artifact;
use crate::gauges::files::Gauges;
use crate::gauges::{self, Wanted, of_job};
use crate::job::Job;
use crate::kit::interval::Bench;
use crate::kit::report::{self, text};
use crate::kit::{Kit, advice, fences};
use crate::lane::LaneSet;

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

/// The gauges of a job's kit, as far as they can be made, and why others cannot.
pub(super) fn gauges(job: &Job, clock: &mut Clock) -> Result<(Option<Gauges>, Vec<String>), NotMade> {
    let all = of_job(job);
    let mut left_out = Vec::new();
    let mut wanted = Wanted { angles: Vec::new(), cambers: Vec::new(), square_width: None, ..all.clone() };
    let mut possible = |what: &str, alone: Wanted| match gauges::plan(&alone) {
        Ok(_) => true,
        Err(refused) => {
            left_out.push(format!("{what}: {}", refused.0.join("; ")));
            false
        }
    };
    let nothing = wanted.clone();
    if !all.angles.is_empty() && possible("bevel gauge", Wanted { angles: all.angles.clone(), ..nothing.clone() }) {
        wanted.angles.clone_from(&all.angles);
    }
    for camber in &all.cambers {
        let what = format!("camber gauge of the {}", camber.0);
        if possible(&what, Wanted { cambers: vec![camber.clone()], ..nothing.clone() }) {
            wanted.cambers.push(camber.clone());
        }
    }
    if all.square_width.is_some() && possible("square", Wanted { square_width: all.square_width, ..nothing.clone() }) {
        wanted.square_width = all.square_width;
    }
    let any = !wanted.angles.is_empty() || !wanted.cambers.is_empty() || wanted.square_width.is_some();
    let made = any.then(|| crate::gauges::files::gauges(&wanted)).transpose()?;
    clock.lap("gauges");
    Ok((made, left_out))
}

/// What was advised of the kit, and its fences, in words.
pub fn report(job: &Job, kit: &Kit, lanes: &LaneSet) -> String {
    let advice: Vec<advice::Advice> = kit.blades.iter().map(advice::advise).collect();
    let bench = Bench { guide: &job.guide, level: job.roller_level, edge: lanes.edge, tolerance: job.tolerance };
    let plan = fences::plan(kit, &advice, &bench);
    text(&report::report(kit, &advice, &plan, &bench))
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
        "{} blades, {} fences, for the {} guide. Computed, not tried at a bench: hone a test bevel and measure it before you trust a lane. Sharp edges cut: follow your tools' makers' instructions and local rules.",
        kit.blades.len(),
        made.lanes.lanes.len(),
        job.guide.name
    );
    let bytes = index::write(&job.title, &about, &report(job, kit, &made.lanes), &sections);
    Artifact { name: "index.html".into(), what: "all of it on one page", bytes }
}

fn file(artifact: &Artifact) -> File<'_> {
    File { name: &artifact.name, what: artifact.what, bytes: &artifact.bytes }
}
