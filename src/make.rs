//! From a job to its artifacts, all in memory: the whole flow in one place.

use std::time::{Duration, Instant};

use crate::drawing::assembly::TooLarge;
use crate::drawing::block_sheet;
use crate::drawing::jig::NotDrawn;
use crate::drawing::side_view::{self, Stand};
use crate::drawing::tiles::Untileable;
use crate::drawing::{self, Sheet};
use crate::emit;
use crate::emit::offsets::Offsets;
use crate::emit::pdf::About;
use crate::gauge::{self, Mismeasured, Reading};
use crate::jig::{self, Jig, board};
use crate::job::Job;
use crate::lane::{self, Lane, LaneSet, NoLane};
use crate::layout::{self, Layout, Refused};
use crate::profile::SeatName;
use crate::solid::{self, Block, NotSound};

/// A file to be written: its name and bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Artifact {
    /// Name within the job's folder.
    pub name: String,
    /// What it is, in a few words.
    pub what: &'static str,
    /// Content.
    pub bytes: Vec<u8>,
}

/// The wooden jig and its files.
#[derive(Debug, Clone)]
pub struct CutSheet {
    /// The jig.
    pub jig: Jig,
    /// The files.
    pub artifacts: Vec<Artifact>,
    /// How long each stage took.
    pub timings: Vec<(&'static str, Duration)>,
}

/// Which artifacts are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Everything a job asks for.
    Everything,
    /// The printed block alone: STL and drawing.
    Block,
}

/// All that was made of a job.
#[derive(Debug, Clone)]
pub struct Made {
    /// The solved lanes.
    pub lanes: LaneSet,
    /// The plan.
    pub layout: Layout,
    /// The solid.
    pub block: Block,
    /// The fence distances measured in the written STL.
    pub readings: Vec<Reading>,
    /// The table of offsets.
    pub offsets: Offsets,
    /// The wooden jig, where the job asks for it and everything is wanted.
    pub jig: Option<Jig>,
    /// The files.
    pub artifacts: Vec<Artifact>,
    /// How long each stage took.
    pub timings: Vec<(&'static str, Duration)>,
}

/// Why nothing was made.
#[derive(Debug, thiserror::Error)]
pub enum NotMade {
    /// Lanes without a setting.
    #[error("some lanes have no setting")]
    NoLanes(Vec<NoLane>),
    /// The block cannot be made as asked.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// The solid failed its checks.
    #[error(transparent)]
    NotSound(#[from] NotSound),
    /// The written STL failed its measurement.
    #[error(transparent)]
    Mismeasured(#[from] Mismeasured),
    /// No sheet takes the drawing.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// The template cannot be cut into tiles.
    #[error("the template: {0}")]
    Untileable(#[from] Untileable),
    /// An emitter failed.
    #[error("{what}: {cause}")]
    NotWritten {
        /// Which artifact.
        what: &'static str,
        /// Why.
        cause: String,
    },
}

/// Makes everything that is wanted of `job`.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn make(job: &Job, wanted: Wanted) -> Result<Made, NotMade> {
    let start = Instant::now();
    let lanes = lane::of_job(job).map_err(NotMade::NoLanes)?;
    let solved = ("solve", start.elapsed());
    let mut made = make_of(job, lanes, wanted)?;
    made.timings.insert(0, solved);
    Ok(made)
}

/// Makes everything that is wanted of solved lanes, whose fences may bear corrections.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn make_of(job: &Job, lanes: LaneSet, wanted: Wanted) -> Result<Made, NotMade> {
    let mut clock = Clock { last: Instant::now(), timings: Vec::new() };
    let layout = layout::lay_out(job, &lanes)?;
    clock.lap("layout");
    let block = solid::build(&layout)?;
    clock.lap("solid");
    let stl = emit::stl::write(&block.mesh, &layout.title)
        .map_err(|e| NotMade::NotWritten { what: "block.stl", cause: e.to_string() })?;
    clock.lap("stl");
    let readings = gauge::measure(&stl, &layout)?;
    clock.lap("gauge");
    let artifact = |name: &str, what, bytes| Artifact { name: name.into(), what, bytes };
    let mut artifacts = vec![artifact("block.stl", "the block, to print (mm)", stl)];
    let sheet = block_sheet::sheet(job, &layout, &block.stack)?;
    artifacts.push(artifact("block.svg", "its drawing", emit::svg::write(&sheet)));
    clock.lap("drawing");
    let offsets = emit::offsets::of(&job.guide.name, lanes.lanes.iter());
    if wanted == Wanted::Everything {
        let text = offsets.json().map_err(|e| NotMade::NotWritten { what: "offsets.json", cause: e.to_string() })?;
        for (name, sheet) in side_views(job, &lanes, &layout) {
            artifacts.push(artifact(&name, "side view at the block", emit::svg::write(&sheet)));
        }
        clock.lap("side views");
        artifacts.push(artifact("offsets.json", "the lanes' numbers with all digits", text.into_bytes()));
    }
    clock.lap("offsets");
    let mut jig = None;
    if wanted == Wanted::Everything && job.asks_for_wood {
        // Corrections of a printed block are its print's: the jig is made without.
        let made = cutsheet(job)?;
        artifacts.extend(made.artifacts);
        jig = Some(made.jig);
        clock.lap("cut sheet");
    }
    Ok(Made { lanes, layout, block, readings, offsets, jig, artifacts, timings: clock.timings })
}

/// Makes the wooden jig of `job`: its sheets as one PDF and as SVG, its template for machines, its numbers.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn cutsheet(job: &Job) -> Result<CutSheet, NotMade> {
    let start = Instant::now();
    let set = board::lanes(job).map_err(NotMade::NoLanes)?;
    let solved = ("solve", start.elapsed());
    let mut made = cutsheet_of(job, &set)?;
    made.timings.insert(0, solved);
    Ok(made)
}

/// Makes the wooden jig of lanes that were solved for its board, whose fences may bear corrections.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn cutsheet_of(job: &Job, set: &LaneSet) -> Result<CutSheet, NotMade> {
    let mut clock = Clock { last: Instant::now(), timings: Vec::new() };
    let jig = jig::lay_out(job, set)?;
    clock.lap("jig");
    let sheets = drawing::jig::sheets(job, &jig).map_err(|cause| match cause {
        NotDrawn::TooLarge(cause) => NotMade::TooLarge(cause),
        NotDrawn::Untileable(cause) => NotMade::Untileable(cause),
    })?;
    clock.lap("sheets");
    let not_written = |what| move |cause: String| NotMade::NotWritten { what, cause };
    let about = About { title: &jig.title, subject: "A setting block to make by hand in wood" };
    let pdf = emit::pdf::write(&sheets, &about).map_err(|e| not_written("cutsheet.pdf")(e.to_string()))?;
    clock.lap("pdf");
    let artifact = |name: String, what, bytes| Artifact { name, what, bytes };
    let mut artifacts = vec![artifact("cutsheet.pdf".into(), "the wooden jig, to print and build from", pdf)];
    let pages = sheets.iter().enumerate();
    artifacts.extend(
        pages.map(|(i, s)| artifact(format!("cutsheet-{:02}.svg", i + 1), "a page of it", emit::svg::write(s))),
    );
    clock.lap("svg");
    let dxf = emit::dxf::write(&drawing::jig::template::layers(&jig));
    artifacts.push(artifact("template.dxf".into(), "its template, for machines (mm)", dxf));
    let mut text = serde_json::to_string_pretty(&emit::cutsheet::json(&jig))
        .map_err(|e| not_written("cutsheet.json")(e.to_string()))?;
    text.push('\n');
    artifacts.push(artifact("cutsheet.json".into(), "its numbers with all digits", text.into_bytes()));
    clock.lap("files");
    Ok(CutSheet { jig, artifacts, timings: clock.timings })
}

/// A side view a seat: of its lane with the longest projection, at the block.
fn side_views(job: &Job, set: &LaneSet, layout: &Layout) -> Vec<(String, Sheet)> {
    let stand = Stand::Block {
        edge: set.edge,
        fence_height: layout.fence_height,
        overhang: layout.overhang,
        foot_relief: layout.foot_relief.is_some(),
    };
    let mut seats: Vec<SeatName> = set.lanes.iter().map(|l| l.request.seat).collect();
    seats.sort();
    seats.dedup();
    seats
        .into_iter()
        .filter_map(|seat| {
            let projection = |l: &&Lane| l.setting.projection;
            let of_seat = set.lanes.iter().filter(|l| l.request.seat == seat);
            let lane = of_seat.max_by(|a, b| projection(a).total_cmp(&projection(b)))?;
            let sheet = side_view::sheet(&job.guide, lane, stand, job.sheet_size, job.projection_angle);
            Some((format!("side-{seat}.svg"), sheet))
        })
        .collect()
}

struct Clock {
    last: Instant,
    timings: Vec<(&'static str, Duration)>,
}

impl Clock {
    fn lap(&mut self, stage: &'static str) {
        let now = Instant::now();
        self.timings.push((stage, now - self.last));
        self.last = now;
    }
}
