//! From a job to its artifacts, all in memory: the whole flow in one place.

pub mod index;
pub mod kit;

pub use crate::block::files::{Printed, picture};
pub use crate::gauges::files::{Gauges, gauges};
pub use kit::Sharpening;

use std::time::{Duration, Instant};

use crate::block::check::Mismeasured;
use crate::block::{self, Fewest, files};
use crate::drawing::Sheet;
use crate::drawing::tiles::Untileable;
use crate::format::{Artifact, svg};
use crate::jig::Jig;
use crate::jig::files::cutsheet;
use crate::job::Job;
use crate::kit::Kit;
use crate::lane::report::{self, Offsets};
use crate::lane::{Lane, LaneSet, NoLane};
use crate::lanes;
use crate::layout::Refused;
use crate::solid::NotSound;
use crate::terms::SeatName;
use crate::testpiece::check;
use crate::views::assembly::TooLarge;
use crate::views::side_view::{self, Stand};

/// A kind of artifact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArtifactKind {
    /// The printed block as STL.
    Stl,
    /// The same as 3MF.
    ThreeMf,
    /// The same as STEP.
    Step,
    /// The block's drawing, and how to print it.
    Drawing,
    /// A picture of the block.
    Picture,
    /// A side view a seat.
    Sides,
    /// The lanes' numbers.
    Offsets,
    /// The wooden jig, where the job asks for it.
    Wood,
    /// Bench cards, of a kit.
    Cards,
    /// Gauges, of a kit.
    Gauges,
    /// A page that shows everything, of a kit.
    Index,
}

impl ArtifactKind {
    /// All kinds.
    pub const ALL: [ArtifactKind; 11] = [
        ArtifactKind::Stl,
        ArtifactKind::ThreeMf,
        ArtifactKind::Step,
        ArtifactKind::Drawing,
        ArtifactKind::Picture,
        ArtifactKind::Sides,
        ArtifactKind::Offsets,
        ArtifactKind::Wood,
        ArtifactKind::Cards,
        ArtifactKind::Gauges,
        ArtifactKind::Index,
    ];

    /// The word that a command line names it by.
    pub fn name(self) -> &'static str {
        match self {
            ArtifactKind::Stl => "stl",
            ArtifactKind::ThreeMf => "3mf",
            ArtifactKind::Step => "step",
            ArtifactKind::Picture => "picture",
            ArtifactKind::Drawing => "drawing",
            ArtifactKind::Sides => "sides",
            ArtifactKind::Offsets => "offsets",
            ArtifactKind::Wood => "wood",
            ArtifactKind::Cards => "cards",
            ArtifactKind::Gauges => "gauges",
            ArtifactKind::Index => "index",
        }
    }
}

/// Which kinds of artifacts are wanted: a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted(u32);

impl Wanted {
    /// Everything a job asks for.
    pub fn everything() -> Self {
        Self::only(&ArtifactKind::ALL)
    }

    /// The printed block alone: its files, drawing and picture.
    pub fn block() -> Self {
        Self::only(&[
            ArtifactKind::Stl,
            ArtifactKind::ThreeMf,
            ArtifactKind::Step,
            ArtifactKind::Drawing,
            ArtifactKind::Picture,
        ])
    }

    /// These kinds.
    pub fn only(kinds: &[ArtifactKind]) -> Self {
        Self(kinds.iter().fold(0, |bits, kind| bits | 1 << *kind as u32))
    }

    /// Whether `kind` is wanted.
    pub fn has(self, kind: ArtifactKind) -> bool {
        self.0 & 1 << kind as u32 != 0
    }
}

/// All that was made of a job.
#[derive(Debug, Clone)]
pub struct Made {
    /// The solved lanes.
    pub lanes: LaneSet,
    /// The printed blocks; more than one where the printer's bed does not take all lanes.
    pub blocks: Vec<Printed>,
    /// Whether fewer blocks would do.
    pub fewest: Fewest,
    /// The table of offsets.
    pub offsets: Offsets,
    /// The wooden jig, where the job asks for it and everything is wanted.
    pub jig: Option<Jig>,
    /// Cards and gauges, where the lanes come from a kit.
    pub sharpening: Option<Sharpening>,
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
    /// The test piece's written STL failed its measurement.
    #[error(transparent)]
    TestPieceMismeasured(#[from] check::Mismeasured),
    /// Gauges cannot be made as asked.
    #[error(transparent)]
    NoGauges(#[from] crate::gauges::Refused),
    /// A written gauge failed its measurement.
    #[error(transparent)]
    GaugeMismeasured(#[from] crate::gauges::check::Mismeasured),
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
    let lanes = lanes::of_job(job).map_err(NotMade::NoLanes)?;
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
    let mut clock = Clock::start();
    let (layouts, fewest) = block::lay_out_all(job, &lanes)?;
    clock.lap("layout");
    let mut artifacts = Vec::new();
    let mut blocks = Vec::new();
    for layout in layouts {
        let (printed, files) = files::make(job, layout, wanted, &mut clock)?;
        blocks.push(printed);
        artifacts.extend(files);
    }
    let artifact = |name: &str, what, bytes| Artifact { name: name.into(), what, bytes };
    if wanted.has(ArtifactKind::Sides) {
        for (name, sheet) in side_views(job, &lanes, &blocks) {
            artifacts.push(artifact(&name, "side view at the block", svg::write(&sheet)));
        }
        clock.lap("side views");
    }
    let offsets = report::offsets(&job.guide.name, lanes.lanes.iter());
    if wanted.has(ArtifactKind::Offsets) {
        let text = offsets.json().map_err(|e| NotMade::NotWritten { what: "offsets.json", cause: e.to_string() })?;
        artifacts.push(artifact("offsets.json", "the lanes' numbers with all digits", text.into_bytes()));
    }
    clock.lap("offsets");
    let mut jig = None;
    if wanted.has(ArtifactKind::Wood) && job.asks_for_wood {
        // Corrections of a printed block are its print's: the jig is made without.
        let made = cutsheet(job)?;
        artifacts.extend(made.artifacts);
        jig = Some(made.jig);
        clock.lap("cut sheet");
    }
    let mut made = Made { lanes, blocks, fewest, offsets, jig, sharpening: None, artifacts, timings: Vec::new() };
    if let Some(kit) = &job.kit {
        sharpen(job, kit, wanted, &mut made, &mut clock)?;
    }
    made.timings = clock.timings;
    Ok(made)
}

/// Adds what a kit has beside its block.
fn sharpen(job: &Job, kit: &Kit, wanted: Wanted, made: &mut Made, clock: &mut Clock) -> Result<(), NotMade> {
    let mut sharpening = Sharpening { cards: Vec::new(), gauges: None, left_out: Vec::new() };
    if wanted.has(ArtifactKind::Cards) {
        let (cards, files) = crate::card::files::cards(job, kit, &made.lanes)?;
        sharpening.cards = cards;
        made.artifacts.extend(files);
        clock.lap("cards");
    }
    if wanted.has(ArtifactKind::Gauges) {
        let (gauges, left_out) = kit::gauges(job, clock)?;
        made.artifacts.extend(gauges.iter().flat_map(|g| g.artifacts.clone()));
        sharpening.gauges = gauges;
        sharpening.left_out = left_out;
    }
    made.sharpening = Some(sharpening);
    if wanted.has(ArtifactKind::Index) {
        let index = kit::index(job, kit, made);
        made.artifacts.push(index);
        clock.lap("index");
    }
    Ok(())
}

/// A side view a seat: of its lane with the longest projection, at the block.
fn side_views(job: &Job, set: &LaneSet, blocks: &[Printed]) -> Vec<(String, Sheet)> {
    let mut seats: Vec<SeatName> = set.lanes.iter().map(|l| l.request.seat).collect();
    seats.sort();
    seats.dedup();
    seats
        .into_iter()
        .filter_map(|seat| {
            let projection = |l: &&Lane| l.setting.projection;
            let of_seat = set.lanes.iter().filter(|l| l.request.seat == seat);
            let lane = of_seat.max_by(|a, b| projection(a).total_cmp(&projection(b)))?;
            let of_lane = |b: &&Printed| b.layout.lanes.iter().any(|p| p.lane.request.id == lane.request.id);
            let layout = &blocks.iter().find(of_lane)?.layout;
            let stand = Stand::Block {
                edge: set.edge,
                fence_height: layout.fence_height,
                overhang: layout.overhang,
                foot_relief: layout.foot_relief.is_some(),
            };
            let sheet = side_view::sheet(&job.guide, lane, stand, job.sheet_size, job.projection_angle);
            Some((format!("side-{seat}.svg"), sheet))
        })
        .collect()
}

/// What times the stages.
pub struct Clock {
    last: Instant,
    /// How long each took.
    pub timings: Vec<(&'static str, Duration)>,
}

impl Clock {
    /// Begins to time.
    pub fn start() -> Self {
        Self { last: Instant::now(), timings: Vec::new() }
    }

    /// Ends a stage.
    pub fn lap(&mut self, stage: &'static str) {
        let now = Instant::now();
        let took = now - self.last;
        self.last = now;
        self.count(stage, took);
    }

    /// The times of work that went on beside; waiting for it is no stage.
    pub fn add(&mut self, other: Clock) {
        other.timings.into_iter().for_each(|(stage, took)| self.count(stage, took));
        self.last = Instant::now();
    }

    /// The times of a stage that comes several times are added up.
    fn count(&mut self, stage: &'static str, took: Duration) {
        match self.timings.iter_mut().find(|(name, _)| *name == stage) {
            Some((_, sum)) => *sum += took,
            None => self.timings.push((stage, took)),
        }
    }
}
