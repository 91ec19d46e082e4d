//! From a job to its artifacts, all in memory: the whole flow in one place.

mod contents;
mod gathered;
mod index;
mod kit;

pub use index::{Advice, Row, Table};
pub use kit::advice;

use crate::block::files::Printed;
use crate::block::{self, Fewest, Layout};
use crate::cores;
use crate::drawing::Sheet;
use crate::error;
use crate::format::{Artifact, ArtifactKind, NotWritten, Wanted, svg};
use crate::gauges::light::Making;
use crate::jig::{self, Jig};
use crate::job::Job;
use crate::kit::Kit;
use crate::lane::report::{self, Offsets};
use crate::lane::{Lane, NoLane};
use crate::lanes::{self, LaneSet};
use crate::stages::{Count, Stages, beside};
use crate::terms::SeatName;
use crate::views::side_view::{self, OfJob, Stand};
use crate::{card, gauges, plate};
use gathered::Gathered;

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
    /// Gauges that a kit would have and that cannot be made, and why.
    pub not_gauged: Vec<String>,
    /// The files.
    pub artifacts: Vec<Artifact>,
}

/// Why nothing was made.
#[derive(Debug, thiserror::Error)]
pub enum NotMade {
    /// Lanes without a setting.
    #[error("{}", error::lines(.0))]
    NoLanes(Vec<NoLane>),
    /// No block was made.
    #[error(transparent)]
    Block(#[from] block::files::NotMade),
    /// No wooden jig was made.
    #[error(transparent)]
    Jig(#[from] jig::files::NotMade),
    /// No gauges were made.
    #[error(transparent)]
    Gauges(#[from] gauges::files::NotMade),
    /// An emitter failed.
    #[error(transparent)]
    NotWritten(#[from] NotWritten),
}

/// Makes everything that is wanted of `job`; `stages` hears how it goes on, `&()` is nobody.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn make(job: &Job, wanted: Wanted, stages: &dyn Stages) -> Result<Made, NotMade> {
    let lanes = lanes::of_job(job).map_err(NotMade::NoLanes)?;
    stages.end("solve");
    make_of(job, lanes, wanted, stages)
}

/// Makes everything that is wanted of the job's solved lanes.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn make_of(job: &Job, lanes: LaneSet, wanted: Wanted, stages: &dyn Stages) -> Result<Made, NotMade> {
    let (layouts, fewest) = block::lay_out_all(job, &lanes).map_err(block::files::NotMade::from)?;
    stages.end("layout");
    let mut offsets = report::offsets(&job.guide.name, lanes.lanes.iter());
    offsets.fingerprint = Some(job.fingerprint());
    offsets.left_out = report::left_out(&lanes.left_out, job.written);
    let stands = stands(&lanes, &layouts);
    let (printed, others) = beside(
        stages,
        || all_blocks(job, &layouts, wanted, stages),
        || beside_blocks(job, &lanes, &stands, &offsets, wanted, stages),
    );
    let (blocks, mut gathered) = printed?;
    let (jig, others) = others?;
    gathered.add(others);
    let mut made = Made { lanes, blocks, fewest, offsets, jig, not_gauged: Vec::new(), artifacts: Vec::new() };
    if let Some(kit) = &job.kit {
        made.not_gauged = sharpen(job, kit, wanted, &made.lanes, &mut gathered, stages)?;
    }
    let page = wanted.has(ArtifactKind::Index).then(|| {
        let page = contents::index(job, &made, &gathered);
        stages.end("index");
        page
    });
    made.artifacts = gathered.finished(page);
    Ok(made)
}

/// Blocks that are made at once: enough that no core waits for the last part of one, and few enough that what they need
/// until their files are written is little.
const AT_ONCE: usize = 4;

/// Makes the blocks, some at once, and their files.
fn all_blocks<'a>(
    job: &Job,
    layouts: &[Layout],
    wanted: Wanted,
    stages: &'a dyn Stages,
) -> Result<(Vec<Printed>, Gathered<'a>), NotMade> {
    let (mut blocks, mut gathered) = (Vec::new(), Gathered::new(stages));
    let of = layouts.len();
    for some in layouts.chunks(AT_ONCE) {
        let made = cores::each(some, 1, |layout| {
            stages.begin();
            block::files::make(job, layout.clone(), wanted, stages)
        });
        for made in made {
            let (printed, files) = made?;
            blocks.push(printed);
            gathered.add(files);
        }
        stages.done(Count { what: "blocks", done: blocks.len(), of });
    }
    Ok((blocks, gathered))
}

/// What needs the blocks' plans only: side views, numbers, the proof on a plate, the wooden jig.
fn beside_blocks(
    job: &Job,
    lanes: &LaneSet,
    stands: &[AtBlock<'_>],
    offsets: &Offsets,
    wanted: Wanted,
    stages: &dyn Stages,
) -> Result<(Option<Jig>, Vec<Artifact>), NotMade> {
    let mut artifacts = Vec::new();
    let artifact = |name: &str, what: &'static str, bytes| Artifact { name: name.into(), what: what.into(), bytes };
    if wanted.has(ArtifactKind::Sides) {
        for (name, sheet) in side_views(job, stands) {
            artifacts.push(artifact(&name, "side view at the block", svg::write(&sheet)));
        }
        stages.end("side views");
    }
    if wanted.has(ArtifactKind::Offsets) {
        let text = offsets.json().map_err(NotWritten::of("offsets.json"))?;
        artifacts.push(artifact("offsets.json", "the lanes' numbers with all digits", text.into_bytes()));
        stages.end("offsets");
    }
    if wanted.has(ArtifactKind::Plate)
        && let Some(proof) = plate::of_job(job, lanes, None)
    {
        let size = job.sheet_size.unwrap_or(job.home_paper());
        artifacts.extend(plate::files::files(&proof, size, job.projection_angle)?);
        stages.end("plate");
    }
    let mut jig = None;
    if wanted.has(ArtifactKind::Wood) && job.asks_for_wood {
        let made = jig::files::cutsheet(job, &())?;
        artifacts.extend(made.artifacts);
        jig = Some(made.jig);
        stages.end("cut sheet");
    }
    Ok((jig, artifacts))
}

/// Adds what a kit has beside its block, and says which gauges cannot be made.
fn sharpen(
    job: &Job,
    kit: &Kit,
    wanted: Wanted,
    lanes: &LaneSet,
    gathered: &mut Gathered<'_>,
    stages: &dyn Stages,
) -> Result<Vec<String>, NotMade> {
    if wanted.has(ArtifactKind::Cards) {
        let first = gathered.len();
        let [usual, small] = card::files::cards(job, kit, lanes, &mut |pictures| gathered.add(pictures), stages)?;
        gathered.insert(first, [usual]);
        gathered.add([small]);
        stages.end("cards");
    }
    if !wanted.has(ArtifactKind::Gauges) {
        return Ok(Vec::new());
    }
    let advice = lanes.kit.as_ref().map_or(&[][..], |planned| &planned.advice);
    let (wanted, not_gauged) = gauges::possible(&gauges::of_job(job, advice, Making::Printed));
    if wanted.is_any() {
        gathered.add(gauges::files::gauges(&wanted, &())?.artifacts);
    }
    stages.end("gauges");
    Ok(not_gauged)
}

/// A lane at its block.
struct AtBlock<'a> {
    lane: &'a Lane,
    stand: Stand,
    /// Number of the block, where there are several.
    block: Option<[usize; 2]>,
}

/// A lane a seat, the one with the longest projection, and how its block stands.
fn stands<'a>(set: &'a LaneSet, layouts: &[Layout]) -> Vec<AtBlock<'a>> {
    let mut seats: Vec<SeatName> = set.lanes.iter().map(|l| l.request.seat).collect();
    seats.sort();
    seats.dedup();
    seats
        .into_iter()
        .filter_map(|seat| {
            let projection = |l: &&Lane| l.setting.projection;
            let of_seat = set.lanes.iter().filter(|l| l.request.seat == seat);
            let lane = of_seat.max_by(|a, b| projection(a).total_cmp(&projection(b)))?;
            let has_lane = |l: &&Layout| l.lanes.iter().any(|p| p.lane.request.id == lane.request.id);
            let layout = layouts.iter().find(has_lane)?;
            let stand = Stand::Block {
                edge: set.edge,
                fence_height: layout.fence_height,
                overhang: layout.overhang,
                foot_relief: layout.foot_relief.is_some(),
            };
            Some(AtBlock { lane, stand, block: layout.number })
        })
        .collect()
}

/// A side view a seat.
fn side_views(job: &Job, stands: &[AtBlock<'_>]) -> Vec<(String, Sheet)> {
    let fingerprint = job.fingerprint();
    let view = |at: &AtBlock<'_>| {
        let of_job = OfJob { fingerprint: &fingerprint, date: job.date.as_deref(), block: at.block };
        let sheet = side_view::sheet(&job.guide, Some(of_job), at.lane, at.stand, job.sheet_size, job.projection_angle);
        (format!("side-{}.svg", at.lane.request.seat), sheet)
    };
    stands.iter().map(view).collect()
}
