//! A class: several guides, one list of tools, and the fewest blocks that serve them all.
//!
//! 1. Every bevel of the kit in every guide accepts an interval of fences ([`crate::kit::interval`]), on blocks of one
//!    thickness.
//! 2. [`cover`] puts the guides on the fewest blocks, each guide with all its bevels on one, and proves it where it can.
//! 3. The fences of each block are those of its guides' bevels ([`crate::kit::fences`]), and its lanes are laid out and made
//!    like any other's ([`crate::block`]).
//! 4. [`wear`] says how thin the rollers may get, and when they are to be measured again.
//! 5. [`sheet`] has the lesson and the blocks' labels, [`report`] what people and machines read, [`files`] all that is
//!    written.

pub mod cover;
pub mod files;
pub mod report;
pub mod sheet;
pub mod wear;

use crate::block::{self, Layout};
use crate::guide::Guide;
use crate::job::{Job, Of};
use crate::kit::Kit;
use crate::kit::advice::Advice;
use crate::kit::fences::{self, Fence, FencePlan};
use crate::kit::interval::{self, Ask, Bench};
use crate::lane::checks::{Finding, Rule};
use crate::lane::{Bevel, BlockEdge, Member, NoLane};
use crate::lanes::of_kit::{self, Whose};
use crate::lanes::{self, LaneSet};
use crate::layout::split::Split;
use crate::layout::{Placed, Refused};
use crate::log::Day;
use crate::units::counted;
use cover::{Cover, MOST_GUIDES, Need, Proof};
use wear::Recheck;

/// What is asked of a class beside its job and its guides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Most fences on a block.
    pub most: usize,
    /// How much a roller loses of its diameter in a month, mm.
    pub wear: f64,
    /// The day from which wear counts.
    pub from: Day,
}

/// Most fences on a block where nobody says otherwise: about what a common printer's bed takes.
pub const USUAL_FENCES: usize = 8;

/// A class on its blocks.
#[derive(Debug, Clone)]
pub struct Class {
    /// Its job, with all guides.
    pub job: Job,
    /// What was asked.
    pub asked: Asked,
    /// The guides, numbered from 1 on everything that people read.
    pub guides: Vec<OfGuide>,
    /// Thickness and rebate of the blocks.
    pub edge: BlockEdge,
    /// How well their fences are made, ± mm.
    pub made_within: f64,
    /// The fewest fences for all guides together, whatever block they stand on.
    pub together: FencePlan,
    /// The blocks.
    pub blocks: Vec<Shared>,
    /// Why no fewer blocks do.
    pub proof: Proof,
}

/// A guide of a class.
#[derive(Debug, Clone)]
pub struct OfGuide {
    /// The guide.
    pub guide: Guide,
    /// The fewest fences that it needs by itself.
    pub alone: FencePlan,
}

/// A block that guides share.
#[derive(Debug, Clone)]
pub struct Shared {
    /// Its guides, by place.
    pub guides: Vec<usize>,
    /// Its fences.
    pub plan: FencePlan,
    /// The guide of each bevel in the plan, by place.
    pub guide_of: Vec<usize>,
    /// The job that it is made from.
    pub job: Job,
    /// Its lanes.
    pub set: LaneSet,
    /// The pieces that it comes in: one, or as many as the printer's bed asks for.
    pub pieces: Vec<Layout>,
    /// When the rollers of its guides are to be measured again.
    pub recheck: Recheck,
}

/// Why a class has no blocks.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoClass {
    /// The job has no kit.
    #[error(
        "the job has settings and no kit, and a class needs a kit: one list of tools for all guides. To make such a job, type stopwright kit my-kit.json --guide my-guide.json --job my-kit-job.json."
    )]
    NoKit,
    /// Too many guides.
    #[error("a class can have {MOST_GUIDES} guides at most, and these are {0}. Make two classes of it.")]
    TooMany(usize),
    /// A guide that no fence serves.
    #[error("guide {number} ({name}) sets none of the kit's bevels. Leave it out. {}", crate::error::lines(.why))]
    Useless {
        /// Its number.
        number: usize,
        /// Its name.
        name: String,
        /// Why not.
        why: Vec<NoLane>,
    },
    /// A guide that needs more fences than a block may have.
    #[error(
        "guide {number} ({name}) needs {} by itself, and a block may have {most}. Type --fences {alone} or more.",
        counted(*.alone, "fence", "fences")
    )]
    TooFew {
        /// Its number.
        number: usize,
        /// Its name.
        name: String,
        /// How many it needs.
        alone: usize,
        /// How many a block may have.
        most: usize,
    },
    /// Lanes without a setting.
    #[error("{}", crate::error::lines(.0))]
    NoLanes(Vec<NoLane>),
    /// A block cannot be made as asked.
    #[error(transparent)]
    Refused(#[from] Refused),
}

/// The fewest blocks for the kit of a job in the job's guide and `others`.
///
/// # Errors
/// [`NoClass`].
pub fn plan(job: &Job, others: Vec<Guide>, asked: Asked) -> Result<Class, NoClass> {
    let kit = job.kit.as_ref().ok_or(NoClass::NoKit)?;
    let guides: Vec<Guide> = std::iter::once(job.guide.clone()).chain(others).collect();
    if guides.len() > MOST_GUIDES {
        return Err(NoClass::TooMany(guides.len()));
    }
    let of_class = OfClass { job, kit, advice: kit.advice(), guides: &guides };
    let within = Some(job.block.fence_within);
    let limit = |asks: &Asks| asks.alone.iter().map(FencePlan::thickness_limit).fold(f64::INFINITY, f64::min);
    let asks: Asks = lanes::on_a_block(&job.block, within, limit, |edge| Ok::<_, NoClass>(of_class.asks(edge)))?;
    let of_guide = |(guide, alone): (&Guide, &FencePlan)| OfGuide { guide: guide.clone(), alone: alone.clone() };
    let all: Vec<OfGuide> = guides.iter().zip(&asks.alone).map(of_guide).collect();
    for (index, guide) in all.iter().enumerate() {
        if guide.alone.asks.iter().all(|ask| ask.passing) {
            let (number, name) = (index + 1, guide.guide.name.clone());
            return Err(NoClass::Useless { number, name, why: left_out(kit, guide) });
        }
    }
    // Of several that need too many the one that needs most, so that what is told to type does for all.
    let needs = |guide: &OfGuide| guide.alone.fences.len();
    let most = all.iter().enumerate().rev().max_by_key(|(_, guide)| needs(guide));
    if let Some((index, guide)) = most.filter(|(_, guide)| needs(guide) > asked.most) {
        let (number, name) = (index + 1, guide.guide.name.clone());
        return Err(NoClass::TooFew { number, name, alone: needs(guide), most: asked.most });
    }
    let needs: Vec<Vec<Need>> =
        asks.alone.iter().map(|alone| alone.asks.iter().filter_map(|ask| need(ask, job)).collect()).collect();
    let Cover { blocks, proof } = cover::cover(&needs, asked.most);
    let together = of_class.fences(&asks, &(0..guides.len()).collect::<Vec<_>>()).0;
    let mut blocks: Vec<Shared> =
        blocks.into_iter().map(|own| of_class.block(&asks, own, asked)).collect::<Result<_, _>>()?;
    lay_out(&mut blocks)?;
    let made_within = of_class.bench(0, asks.edge).made_within;
    let job = Job { shared_with: guides[1..].to_vec(), ..job.clone() };
    Ok(Class { job, asked, guides: all, edge: asks.edge, made_within, together, blocks, proof })
}

/// Lays the blocks out in as few pieces as the printer's bed asks for, numbered throughout.
fn lay_out(blocks: &mut [Shared]) -> Result<(), Refused> {
    let splits: Vec<Split> = blocks.iter().map(|own| block::share_out(&own.job, &own.set)).collect();
    let count = splits.iter().map(|split| split.blocks.len()).sum();
    let mut number = 0;
    for (own, split) in blocks.iter_mut().zip(&splits) {
        for share in &split.blocks {
            number += 1;
            let number = (count > 1).then_some([number, count]);
            own.pieces.push(block::lay_out_shared(&own.job, &own.set, &share.shared, number)?);
        }
    }
    Ok(())
}

/// What a bevel needs of a block; nothing where it goes without a fence.
fn need(ask: &Ask, job: &Job) -> Option<Need> {
    let group = if job.across_seats { 0 } else { ask.seat as usize };
    (!ask.passing).then_some(Need { group, places: ask.places })
}

/// The bevels that no fence serves with a guide, as they are told.
pub fn left_out(kit: &Kit, guide: &OfGuide) -> Vec<NoLane> {
    guide.alone.unserved.iter().map(|u| of_kit::unserved(u, kit.blades[u.blade].name.clone())).collect()
}

/// The bevels of all guides at one block edge.
struct Asks {
    edge: BlockEdge,
    /// The plan of each guide by itself.
    alone: Vec<FencePlan>,
}

/// What a class is planned from.
struct OfClass<'a> {
    job: &'a Job,
    kit: &'a Kit,
    advice: Vec<Advice>,
    guides: &'a [Guide],
}

impl OfClass<'_> {
    fn bench(&self, guide: usize, edge: BlockEdge) -> Bench<'_> {
        Bench { guide: &self.guides[guide], ..of_kit::bench(self.job, edge) }
    }

    fn asks(&self, edge: BlockEdge) -> Asks {
        let alone = |guide| fences::plan(self.kit, &self.advice, &self.bench(guide, edge));
        Asks { edge, alone: (0..self.guides.len()).map(alone).collect() }
    }

    /// The fewest fences for some guides, and the guide of each of their bevels.
    fn fences(&self, asks: &Asks, guides: &[usize]) -> (FencePlan, Vec<usize>) {
        let own = || guides.iter().map(|&guide| (guide, &asks.alone[guide]));
        let all = own().flat_map(|(_, alone)| alone.asks.clone()).collect();
        let unserved = own().flat_map(|(_, alone)| alone.unserved.clone()).collect();
        let guide_of = own().flat_map(|(guide, alone)| vec![guide; alone.asks.len()]).collect();
        (fences::of_asks(all, unserved, self.job.across_seats), guide_of)
    }

    /// A block for some guides.
    fn block(&self, asks: &Asks, guides: Vec<usize>, asked: Asked) -> Result<Shared, NoClass> {
        let (plan, guide_of) = self.fences(asks, &guides);
        let benches: Vec<Bench<'_>> = (0..self.guides.len()).map(|guide| self.bench(guide, asks.edge)).collect();
        let whose = |ask: usize| {
            let (blade, guide) = (plan.asks[ask].blade, guide_of[ask]);
            let name = format!("{}, guide {}", self.kit.blades[blade].name, guide + 1);
            Whose { blade: &self.kit.blades[blade], advice: &self.advice[blade], bench: &benches[guide], name }
        };
        let (mut of_plan, unsolved) = of_kit::of_fences(&plan, whose);
        if !unsolved.is_empty() {
            return Err(NoClass::NoLanes(unsolved));
        }
        for (lane, fence) in of_plan.iter_mut().zip(&plan.fences) {
            let own: Vec<usize> = fence.members.iter().map(|&ask| guide_of[ask]).collect();
            lane.members = self.as_one(&lane.members, &own);
            let users = each_once(own);
            if users != guides {
                // Who uses it matters most on a block on which others have a lane of the same angle.
                let users = short_numbers(&users);
                lane.request.label = format!("{} {users}", lane.request.id);
                lane.request.tool = Some(users);
            }
            lane.findings.extend(self.projections(fence, &plan, &guide_of, lane.projection()));
        }
        let job = self.job_of(&guides);
        let set = LaneSet { lanes: of_plan, edge: asks.edge, kit: None, left_out: Vec::new() };
        let set = lanes::accepted(&job, set, Of::Block).map_err(NoClass::NoLanes)?;
        let within = self.bench(guides[0], asks.edge).made_within;
        let recheck = wear::recheck(&plan, &guide_of, &guides, self.guides, within, asked);
        Ok(Shared { guides, plan, guide_of, job, set, pieces: Vec::new(), recheck })
    }

    /// Guides in which the edge stands out by another length than the lane is lettered with, as they tilt at the block.
    fn projections(&self, fence: &Fence, plan: &FencePlan, guide_of: &[usize], lettered: f64) -> Option<Finding> {
        // Half of the last figure that is lettered, mm.
        const TOLD: f64 = 0.05;
        let differs = |&&ask: &&usize| {
            plan.asks[ask].projection_at(fence.distance).is_some_and(|out| (out - lettered).abs() > TOLD)
        };
        let guides = each_once(fence.members.iter().filter(differs).map(|&ask| guide_of[ask]).collect());
        (!guides.is_empty()).then(|| {
            let message = format!(
                "in {} the blade sticks out by another length than this lane is lettered with, as the guide tilts at the block. Set it by the fence",
                numbers(&guides)
            );
            Finding::warning(Rule::Sharing, message)
        })
    }

    /// The bevels of a lane, each once for all guides that set it there: `own` are the guides of the members.
    fn as_one(&self, members: &[Member], own: &[usize]) -> Vec<Member> {
        let mut all: Vec<(Member, Vec<usize>)> = Vec::new();
        for (member, &guide) in members.iter().zip(own) {
            match all.iter_mut().find(|(known, _)| (known.blade, known.bevel) == (member.blade, member.bevel)) {
                Some((known, guides)) => {
                    known.allowed[0] = known.allowed[0].max(member.allowed[0]);
                    known.allowed[1] = known.allowed[1].min(member.allowed[1]);
                    guides.push(guide);
                }
                None => all.push((member.clone(), vec![guide])),
            }
        }
        let named = |(member, guides): (Member, Vec<usize>)| Member {
            name: format!("{}, {}", self.kit.blades[member.blade].name, numbers(&guides)),
            ..member
        };
        all.into_iter().map(named).collect()
    }

    /// The job of a block: that of the class with the block's own guides, the one with the widest face first.
    fn job_of(&self, guides: &[usize]) -> Job {
        let wide = |&guide: &usize| self.guides[guide].face.width.map_or(0.0, |width| width.mm);
        let first = guides.iter().copied().rev().max_by(|a, b| wide(a).total_cmp(&wide(b))).unwrap_or_default();
        let mut guide = self.guides[first].clone();
        guide.name = short_numbers(guides);
        let others = guides.iter().filter(|&&guide| guide != first);
        let shared_with = others.map(|&guide| self.guides[guide].clone()).collect();
        Job { guide, shared_with, ..self.job.clone() }
    }
}

/// Guides in their order, each once.
fn each_once(mut guides: Vec<usize>) -> Vec<usize> {
    guides.sort_unstable();
    guides.dedup();
    guides
}

/// How a guide sets a bevel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sets {
    /// In this lane, by its place.
    Lane(usize),
    /// No fence serves it: by hand.
    ByHand,
    /// It needs no fence, as the blade has it already.
    Passing,
}

/// A bevel of the kit on a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The blade: its place in the kit.
    pub blade: usize,
    /// Which bevel.
    pub bevel: Bevel,
    /// The angle, degrees.
    pub angle: f64,
    /// How each guide of the block sets it, in the order of the guides.
    pub sets: Vec<Sets>,
}

impl Class {
    /// The list of tools.
    pub fn kit(&self) -> &Kit {
        self.job.kit.as_ref().expect("a class is planned of a job with a kit")
    }

    /// The word for what holds all lanes of a guide: a block, or a set of blocks where some come in several pieces.
    pub fn word(&self) -> (&'static str, &'static str) {
        let in_pieces = self.blocks.iter().any(|block| block.pieces.len() > 1);
        if in_pieces { ("set of blocks", "sets of blocks") } else { ("block", "blocks") }
    }

    /// How many blocks there are, in words.
    pub fn how_many(&self) -> String {
        let (one, many) = self.word();
        let pieces: usize = self.blocks.iter().map(|block| block.pieces.len()).sum();
        let all = counted(self.blocks.len(), one, many);
        if pieces == self.blocks.len() { all } else { format!("{all}, {} in all", counted(pieces, "block", "blocks")) }
    }

    /// All guides, by place.
    pub fn all(&self) -> Vec<usize> {
        (0..self.guides.len()).collect()
    }
}

impl Shared {
    /// Its number, or those of its pieces, in words.
    pub fn numbers(&self) -> String {
        let pieces: Vec<usize> = self.pieces.iter().filter_map(|piece| piece.number).map(|[i, _]| i - 1).collect();
        if pieces.is_empty() { "1".into() } else { ranges(&pieces) }
    }

    /// What it is called: its number, or those of its pieces.
    pub fn name(&self) -> String {
        match self.pieces.len() {
            1 => format!("Block {}", self.numbers()),
            _ => format!("Blocks {}", self.numbers()),
        }
    }

    /// Its lanes in their places, by their letters, each with the number of its piece.
    pub fn placed(&self) -> Vec<(&Placed, usize)> {
        let number = |piece: &Layout| piece.number.map_or(1, |[i, _]| i);
        let lanes = self.pieces.iter().flat_map(|piece| piece.lanes.iter().map(move |placed| (placed, number(piece))));
        let mut all: Vec<(&Placed, usize)> = lanes.collect();
        let place = |id: &str| self.set.lanes.iter().position(|lane| lane.request.id == id);
        all.sort_by_key(|(placed, _)| place(&placed.lane.request.id));
        all
    }

    /// Some of its guides, by their places in it, in words.
    pub fn numbers_of(&self, places: &[usize]) -> String {
        numbers(&places.iter().map(|&place| self.guides[place]).collect::<Vec<_>>())
    }

    /// The letter of a lane, with its block where the lanes stand on several, or what is done without a lane.
    pub fn set_words(&self, sets: Sets) -> String {
        let Sets::Lane(lane) = sets else { return if sets == Sets::ByHand { "by hand" } else { "–" }.into() };
        let letter = &self.set.lanes[lane].request.id;
        match self.piece_of(letter) {
            Some(piece) if self.pieces.len() > 1 => format!("{letter} (block {piece})"),
            _ => letter.clone(),
        }
    }

    /// The number of the block that a lane stands on.
    fn piece_of(&self, letter: &str) -> Option<usize> {
        let has = |piece: &&Layout| piece.lanes.iter().any(|placed| placed.lane.request.id == letter);
        self.pieces.iter().find(has).and_then(|piece| piece.number).map(|[number, _]| number)
    }

    /// Whether all its pieces bear its fingerprint.
    pub fn is_marked(&self) -> bool {
        let mark = self.job.fingerprint();
        let bears = |piece: &Layout| {
            piece.lettering.labels.iter().flat_map(|label| &label.lines).any(|line| line.words.contains(&mark))
        };
        self.pieces.iter().all(bears)
    }

    /// The bevels of the class's kit, in its order, as the block's guides set them.
    pub fn rows(&self, class: &Class) -> Vec<Row> {
        let kit = class.kit();
        let of_blade = |(blade, advice): (usize, Advice)| {
            let sets = vec![Sets::Passing; self.guides.len()];
            let row = |(bevel, angle)| Row { blade, bevel, angle, sets: sets.clone() };
            interval::bevels(&advice).map(row).collect::<Vec<_>>()
        };
        let mut rows: Vec<Row> = kit.advice().into_iter().enumerate().flat_map(of_blade).collect();
        let fence_of = self.plan.fence_of();
        let served = self.plan.asks.iter().zip(&self.guide_of).zip(&fence_of);
        let served = served
            .map(|((ask, &guide), fence)| ((ask.blade, ask.bevel), guide, fence.map_or(Sets::Passing, Sets::Lane)));
        let by_hand = self.guides.iter().flat_map(|&guide| {
            let unserved = class.guides[guide].alone.unserved.iter();
            unserved.map(move |u| ((u.blade, u.bevel), guide, Sets::ByHand))
        });
        for (bevel, guide, sets) in served.chain(by_hand) {
            let row = rows.iter_mut().find(|row| (row.blade, row.bevel) == bevel);
            if let Some((row, place)) = row.zip(self.guides.iter().position(|&own| own == guide)) {
                row.sets[place] = sets;
            }
        }
        rows
    }
}

/// The guides of a block that set every bevel in the same lanes, by their places in the block.
pub fn alike(rows: &[Row]) -> Vec<Vec<usize>> {
    let mut all: Vec<Vec<usize>> = Vec::new();
    for place in 0..rows.first().map_or(0, |row| row.sets.len()) {
        match all.iter_mut().find(|group| rows.iter().all(|row| row.sets[group[0]] == row.sets[place])) {
            Some(group) => group.push(place),
            None => all.push(vec![place]),
        }
    }
    all
}

/// Guides by their numbers, in words: "guide 2", "guides 1, 3 to 5".
pub fn numbers(guides: &[usize]) -> String {
    let word = if guides.len() == 1 { "guide" } else { "guides" };
    format!("{word} {}", ranges(guides))
}

/// The same, or how many they are where that is long: for a block and its drawings.
pub fn short_numbers(guides: &[usize]) -> String {
    const LONG: usize = 24;
    let all = numbers(guides);
    if all.chars().count() > LONG { counted(guides.len(), "guide", "guides") } else { all }
}

/// Guides by their numbers alone, three and more in a row by the first and the last.
pub fn ranges(guides: &[usize]) -> String {
    let mut runs: Vec<[usize; 2]> = Vec::new();
    for number in guides.iter().map(|guide| guide + 1) {
        match runs.last_mut() {
            Some(run) if run[1] + 1 == number => run[1] = number,
            _ => runs.push([number; 2]),
        }
    }
    let said = |&[first, last]: &[usize; 2]| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first} to {last}"),
    };
    runs.iter().map(said).collect::<Vec<_>>().join(", ")
}
