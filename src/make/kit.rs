//! What a kit's job makes beside its block: bench cards, gauges, and a page that shows everything.

use super::{Artifact, Clock, Gauges, Made, NotMade};
use crate::card::{self, Card};
use crate::drawing::Sheet;
use crate::drawing::card_sheet::{self, About};
use crate::drawing::paper::Size;
use crate::emit;
use crate::emit::index::{File, Section};
use crate::emit::pdf;
use crate::gauges::{self, Wanted};
use crate::job::Job;
use crate::kit::interval::Bench;
use crate::kit::{Kit, advice, fences};
use crate::lane::LaneSet;
use crate::units::Units;

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

/// The paper of cards unless another is asked for: half of what a printer at home takes.
pub fn usual_size(units: Units) -> Size {
    if units == Units::Inch { Size::HalfLetter } else { Size::A5 }
}

/// Draws the cards of a kit on one size of paper: the pages of the kit, then one of each blade in `only`, or of all.
pub fn card_sheets(job: &Job, kit: &Kit, cards: &[Card], size: Size, only: Option<&str>) -> Vec<(String, Sheet)> {
    let about = About { kit: &kit.title, guide: &job.guide.name, units: job.units, size };
    let of_kit = if only.is_none() { card_sheet::kit(cards, &about) } else { Vec::new() };
    let blades = cards.iter().filter(|card| only.is_none_or(|name| card.blade == name));
    let of_blades = blades.flat_map(|card| card_sheet::blade(card, &about));
    let numbered = |name: &'static str| move |(i, sheet): (usize, Sheet)| (format!("{name}-{:02}", i + 1), sheet);
    let of_kit = of_kit.into_iter().enumerate().map(numbered("cards-kit"));
    of_kit.chain(of_blades.enumerate().map(numbered("card"))).collect()
}

/// The cards as files: a PDF called `name`, and a picture a page.
///
/// # Errors
/// [`NotMade::NotWritten`].
pub fn card_files(
    title: &str,
    name: &str,
    sheets: &[(String, Sheet)],
    pictures: bool,
) -> Result<Vec<Artifact>, NotMade> {
    let pages: Vec<Sheet> = sheets.iter().map(|(_, sheet)| sheet.clone()).collect();
    let about = pdf::About { title, subject: "Bench cards: lanes, abrasives and strokes of each blade" };
    let bytes = emit::pdf::write(&pages, &about)
        .map_err(|e| NotMade::NotWritten { what: "the bench cards", cause: e.to_string() })?;
    let mut files = vec![Artifact { name: format!("{name}.pdf"), what: "bench cards, to print", bytes }];
    if pictures {
        files.extend(sheets.iter().map(|(name, sheet)| Artifact {
            name: format!("{name}.svg"),
            what: "a bench card",
            bytes: emit::svg::write(sheet),
        }));
    }
    Ok(files)
}

/// The bench cards of a job's kit, on the usual paper and on index cards.
pub(super) fn cards(job: &Job, kit: &Kit, lanes: &LaneSet) -> Result<(Vec<Card>, Vec<Artifact>), NotMade> {
    let cards = card::cards(kit, &job.guide, lanes);
    let title = format!("Bench cards: {}", kit.title);
    let usual = card_sheets(job, kit, &cards, usual_size(job.units), None);
    let mut files = card_files(&title, "cards", &usual, true)?;
    let small = card_sheets(job, kit, &cards, Size::Index, None);
    files.extend(card_files(&title, "cards-3x5", &small, false)?);
    Ok((cards, files))
}

/// The gauges of a job's kit, as far as they can be made, and why others cannot.
pub(super) fn gauges(job: &Job, clock: &mut Clock) -> Result<(Option<Gauges>, Vec<String>), NotMade> {
    let all = gauges::of_job(job);
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
    let made = any.then(|| super::gauges(&wanted)).transpose()?;
    clock.lap("gauges");
    Ok((made, left_out))
}

/// What was advised of the kit, and its fences, in words.
pub fn report(job: &Job, kit: &Kit, lanes: &LaneSet) -> String {
    let advice: Vec<advice::Advice> = kit.blades.iter().map(advice::of).collect();
    let bench = Bench { guide: &job.guide, level: job.roller_level, edge: lanes.edge, tolerance: job.tolerance };
    let plan = fences::plan(kit, &advice, &bench);
    emit::kit::text(&emit::kit::report(kit, &advice, &plan, &bench))
}

/// The page that shows all that was made.
pub(super) fn index(job: &Job, kit: &Kit, made: &Made) -> Artifact {
    let starts =
        |names: &'static [&'static str]| move |a: &&Artifact| names.iter().any(|name| a.name.starts_with(name));
    let section = |heading: &'static str, names: &'static [&'static str]| Section {
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
    let sections: Vec<Section<'_>> = sections.into_iter().filter(|s| !s.files.is_empty()).collect();
    let about = format!(
        "{} blades, {} fences, for the {} guide. Computed, not tried at a bench: hone a test bevel and measure it before you trust a lane. Sharp edges cut: follow your tools' makers' instructions and local rules.",
        kit.blades.len(),
        made.lanes.lanes.len(),
        job.guide.name
    );
    let bytes = emit::index::write(&job.title, &about, &report(job, kit, &made.lanes), &sections);
    Artifact { name: "index.html".into(), what: "all of it on one page", bytes }
}

fn file(artifact: &Artifact) -> File<'_> {
    File { name: &artifact.name, what: artifact.what, bytes: &artifact.bytes }
}
