//! From a job to its artifacts, all in memory: the whole flow in one place.

use std::time::{Duration, Instant};

use crate::drawing::Sheet;
use crate::drawing::assembly::TooLarge;
use crate::drawing::block_sheet;
use crate::drawing::side_view::{self, Stand};
use crate::emit;
use crate::emit::offsets::Offsets;
use crate::gauge::{self, Mismeasured, Reading};
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
    Ok(Made { lanes, layout, block, readings, offsets, artifacts, timings: clock.timings })
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
