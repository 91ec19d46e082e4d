//! From a job to its artifacts, all in memory: the whole flow in one place.

mod contents;
mod index;
mod kit;

use std::collections::HashMap;

pub use index::{Advice, Row, Table};
pub use kit::{Sharpening, advice};

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
    let Blocks { blocks, mut artifacts, taken } = printed?;
    let (jig, others) = others?;
    artifacts.extend(others);
    let mut made = Made { lanes, blocks, fewest, offsets, jig, sharpening: None, artifacts };
    if let Some(kit) = &job.kit {
        sharpen(job, kit, wanted, &mut made, stages)?;
    }
    if wanted.has(ArtifactKind::Index) {
        let index = contents::index(job, &made, &taken);
        made.artifacts.push(index);
        stages.end("index");
    }
    Ok(made)
}

/// From so many blocks on their pictures stay beside the page, and none of their files waits for it.
const MANY: usize = 32;
/// Blocks that are made at once: enough that no core waits for the last part of one, and few enough that what they need
/// until their files are written is little.
const AT_ONCE: usize = 4;

/// What pictures say of themselves whose bytes were taken before the page was made, by their names.
type Taken = HashMap<String, svg::About>;

/// The printed blocks and their files.
struct Blocks {
    blocks: Vec<Printed>,
    artifacts: Vec<Artifact>,
    taken: Taken,
}

/// Makes the blocks, some at once, and hands on what need not wait for the others.
fn all_blocks(job: &Job, layouts: &[Layout], wanted: Wanted, stages: &dyn Stages) -> Result<Blocks, NotMade> {
    let (mut blocks, mut artifacts, mut taken) = (Vec::new(), Vec::new(), Taken::new());
    let of = layouts.len();
    for some in layouts.chunks(AT_ONCE) {
        let made = cores::each(some, 1, |layout| {
            stages.begin();
            block::files::make(job, layout.clone(), wanted, stages)
        });
        let before = artifacts.len();
        for made in made {
            let (printed, files) = made?;
            blocks.push(printed);
            artifacts.extend(files);
        }
        if of >= MANY {
            for file in artifacts[before..].iter_mut().filter(|file| !file.bytes.is_empty()) {
                taken.extend(svg::about(&file.bytes).map(|about| (file.name.clone(), about)));
                stages.file(file);
            }
        }
        stages.done(Count { what: "blocks", done: blocks.len(), of });
    }
    Ok(Blocks { blocks, artifacts, taken })
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

/// Adds what a kit has beside its block.
fn sharpen(job: &Job, kit: &Kit, wanted: Wanted, made: &mut Made, stages: &dyn Stages) -> Result<(), NotMade> {
    let mut sharpening = Sharpening { cards: Vec::new(), gauges: None, left_out: Vec::new() };
    if wanted.has(ArtifactKind::Cards) {
        let (cards, files) = card::files::cards(job, kit, &made.lanes, stages)?;
        sharpening.cards = cards;
        made.artifacts.extend(files);
        stages.end("cards");
    }
    if wanted.has(ArtifactKind::Gauges) {
        let advice = made.lanes.kit.as_ref().map_or(&[][..], |planned| &planned.advice);
        let (wanted, left_out) = gauges::possible(&gauges::of_job(job, advice, Making::Printed));
        let gauges = wanted.is_any().then(|| gauges::files::gauges(&wanted, &())).transpose()?;
        stages.end("gauges");
        made.artifacts.extend(gauges.iter().flat_map(|g| g.artifacts.clone()));
        sharpening.gauges = gauges;
        sharpening.left_out = left_out;
    }
    made.sharpening = Some(sharpening);
    Ok(())
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
