//! What stands on the page of a job's files.

use super::gathered::{Gathered, is_picture};
use super::index::{Gallery, Page, Row, Section, Step, Table};
use super::{Made, kit};
use crate::block;
use crate::format::Artifact;
use crate::job::Job;
use crate::lane::Lane;
use crate::lane::report::{self, how_read};
use crate::layout::{Placed, marked_title};
use crate::units::{FINE, Written, counted, fixed, short};

/// The page that shows all that was made, and its files.
pub(super) fn index(job: &Job, made: &Made, gathered: &Gathered<'_>) -> Artifact {
    let placed: Vec<Placed> = made.blocks.iter().flat_map(|b| &b.layout.lanes).cloned().collect();
    let page = Page {
        title: marked_title(job.title.clone(), &placed),
        about: about(job, made),
        lanes: lanes(job, made),
        next: next(gathered.files()),
        mind: mind(job, made),
        files: files(gathered.files()),
        pictures: pictures(gathered),
        embedded: gathered.has_room(),
        advice: job.kit.as_ref().and_then(|kit| kit::advice(job, kit, &made.lanes)),
    };
    Artifact { name: "index.html".into(), what: "all of it on one page".into(), bytes: page.write() }
}

/// What the job is, what belongs together, and what is to be minded before anything else.
fn about(job: &Job, made: &Made) -> Vec<String> {
    let blades = job.kit.iter().map(|kit| counted(kit.blades.len(), "blade", "blades"));
    let lanes = counted(made.lanes.lanes.len(), "lane", "lanes");
    let blocks = counted(made.blocks.len(), "block", "blocks");
    let what: Vec<String> = blades.chain([lanes, blocks]).collect();
    let mut about = vec![
        format!("{}, for the {} guide.", what.join(", "), job.guide.name),
        format!(
            "Fingerprint of guide and job: {}. Do not use a block or sheet with another fingerprint together with these: it was made before a change.",
            job.fingerprint()
        ),
        "These figures are calculated. Prove the angle on a plate before you rely on a lane. Sharp edges cut: follow your tools' makers' instructions and local rules.".to_string(),
    ];
    let bevels: Vec<String> = made.lanes.left_out.iter().map(ToString::to_string).collect();
    if !bevels.is_empty() {
        about.push(format!("Hone these without the guide, as their cards say: {}.", bevels.join("; ")));
    }
    about
}

/// The lanes in the order in which they stand on the blocks.
fn lanes(job: &Job, made: &Made) -> Table {
    let written = job.written;
    let several = made.blocks.len() > 1;
    let unit = written.unit();
    let mut head = ["lane", "tool", "setting", "edge"].map(String::from).to_vec();
    head.extend(["angle".into(), format!("fence, {unit}")]);
    head.extend(written.inches.then(|| format!("fence, in to 1/{}", written.denominator)));
    head.push("± angle".into());
    let of_block = |block: &block::files::Printed| {
        let name = block.name.clone();
        let rows = block.layout.lanes.iter().map(|placed| row(placed, several.then_some(name.as_str()), written));
        rows.collect::<Vec<_>>()
    };
    Table { caption: how_read(&job.guide.name), head, rows: made.blocks.iter().flat_map(of_block).collect() }
}

fn row(placed: &Placed, block: Option<&str>, written: Written) -> Row {
    let lane = &placed.lane;
    let edge = block.map_or_else(|| placed.edge.name().to_string(), |block| format!("{}, {block}", placed.edge.name()));
    let line = |(tool, setting): (String, String)| vec![tool, setting, edge.clone()];
    let uncertain = lane.setting.uncertainty.angle;
    let mut numbers = vec![format!("{}°", short(lane.request.angle, 3)), lane.fence_words()];
    numbers.extend(written.inches.then(|| report::inches(lane).0.to_string()));
    numbers.push(uncertain.map_or_else(|| "not stated".into(), |degrees| format!("±{}°", fixed(degrees, 2))));
    Row { name: lane.request.id.clone(), lines: settings(lane, written).into_iter().map(line).collect(), numbers }
}

/// What a lane sets: tool and setting, a pair for each blade of a kit.
fn settings(lane: &Lane, written: Written) -> Vec<(String, String)> {
    if lane.members.is_empty() {
        let thick = match report::gripped(lane) {
            Some(land) => format!("land {} high", written.fixed(land, FINE).said()),
            None => format!("{} thick", written.fixed(lane.request.blade.thickness.mm, FINE).said()),
        };
        return vec![(lane.request.label.clone(), thick)];
    }
    let of = |member: &crate::lane::Member| {
        (member.name.clone(), format!("{} {}°", member.bevel.name(), short(member.wanted, 2)))
    };
    lane.members.iter().map(of).collect()
}

/// What is done with the files, in order, as far as they are there.
fn next(artifacts: &[Artifact]) -> Vec<Step> {
    let named = |begins: &str, end: &str| -> Vec<&str> {
        let names = artifacts.iter().map(|a| a.name.as_str());
        names.filter(|name| name.starts_with(begins) && name.ends_with(end)).collect()
    };
    let either =
        |begins: &str| Some(named(begins, ".3mf")).filter(|names| !names.is_empty()).unwrap_or(named(begins, ".stl"));
    let mut steps = Vec::new();
    let mut step = |names: Vec<&str>, before: &str, after: &str| {
        if !names.is_empty() {
            steps.push(Step::new(before).files(&names).words(after));
        }
    };
    step(named("block", ".pdf"), "Read ", ": how to print the block, and how it is used.");
    step([either("block"), either("cleat")].concat(), "Print ", ".");
    step(named("cutsheet", ".pdf"), "Build the wooden jig from ", ".");
    step(named("gauge", ".stl"), "Print the gauges ", ".");
    step(named("gauges", ".pdf"), "Read ", ": the gauges at full size, and how to use them.");
    step(named("cards", ".pdf"), "Print ", " at 100 %, and hang the cards by the stones.");
    steps.push(Step::new("Measure every fence from the edge it is used from, and hold it against the table above."));
    let sheet = named("plate", ".pdf");
    steps.push(match sheet.is_empty() {
        true => Step::new("Set a blade and prove its angle on a flat plate before you hone with a lane."),
        false => Step::new("Set a blade and prove its angle on a flat plate before you hone with a lane: ")
            .files(&sheet)
            .words("."),
    });
    steps
}

/// What was found of lanes, block and jig, each line once.
fn mind(job: &Job, made: &Made) -> Vec<String> {
    let lanes: Vec<&Lane> = made.lanes.lanes.iter().collect();
    let mut text = report::left_out_lines(&made.lanes.left_out, job.written);
    text += &report::remarks(&lanes, job.written);
    text += &block::report::notes(&made.blocks);
    for finding in made.jig.iter().flat_map(|jig| &jig.findings) {
        text += &format!("wooden jig: {}\n", finding.said());
    }
    text.extend(made.not_gauged.iter().map(|reason| format!("left out: {reason}\n")));
    let mut lines: Vec<String> = Vec::new();
    for line in text.lines().map(str::trim) {
        if !line.is_empty() && !lines.iter().any(|known| known == line) {
            lines.push(line.to_string());
        }
    }
    lines
}

/// The files by what is done with them.
fn files(artifacts: &[Artifact]) -> Vec<Section<'_>> {
    let kinds: [(&'static str, &[&str]); 4] = [
        ("To print on paper, at 100 %", &[".pdf"]),
        ("To print in plastic", &[".3mf", ".stl"]),
        ("For CAD, machines and other programs", &[".step", ".dxf", ".json"]),
        ("To show", &[".png"]),
    ];
    sections(kinds, |artifact, ends| ends.iter().any(|end| artifact.name.ends_with(end)), artifacts)
}

/// The pictures by what they show.
fn pictures<'a>(gathered: &'a Gathered<'_>) -> Vec<Gallery<'a>> {
    let kinds: [(&'static str, &[&str]); 6] = [
        ("The block", &["picture", "block", "cleat"]),
        ("At the block", &["side"]),
        ("On a plate", &["plate"]),
        ("Bench cards", &["card"]),
        ("Gauges", &["gauge"]),
        ("In wood, by hand", &["cutsheet", "template"]),
    ];
    let shows = |artifact: &Artifact, begins: &[&str]| {
        is_picture(artifact) && begins.iter().any(|name| artifact.name.starts_with(name))
    };
    let gallery = |Section { heading, files }: Section<'a>| Gallery {
        heading,
        pictures: files.into_iter().filter_map(|file| Some((file, gathered.about(file)?))).collect(),
    };
    sections(kinds, shows, gathered.files()).into_iter().map(gallery).collect()
}

/// The artifacts of each kind, below its heading; no heading without a file.
fn sections<'a, const N: usize>(
    kinds: [(&'static str, &[&str]); N],
    is_of: impl Fn(&Artifact, &[&str]) -> bool,
    artifacts: &'a [Artifact],
) -> Vec<Section<'a>> {
    let section = |(heading, names): (&'static str, &[&str])| Section {
        heading,
        files: artifacts.iter().filter(|artifact| is_of(artifact, names)).collect(),
    };
    kinds.into_iter().map(section).filter(|section| !section.files.is_empty()).collect()
}
