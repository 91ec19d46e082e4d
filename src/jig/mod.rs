//! The wooden jig: a board, fence strips that are set one by one, and a cleat, with all that is needed to make them.
//!
//! Plan frame: as [`crate::layout`]. Lanes are shared out, ordered and proved as for the printed block; what stands
//! between the fences here is two rows of strips instead of a raised middle.
//!
//! 1. [`board`] chooses the board's thickness among common stock, which the lanes are solved for.
//! 2. [`fence_stock`] chooses what the fence strips are cut from; [`fences`] lays them and their screws; [`cleat`] the cleat below them.
//! 3. [`movement`] says how far the fences drift over the year.
//! 4. [`parts`] lists what is to be cut and bought; [`cutting`] how it comes out of stock; [`work`] in which order the
//!    work is done.

pub mod asked;
pub mod board;
pub mod cleat;
pub mod cutting;
pub mod fence_stock;
pub mod fences;
pub mod files;
pub mod movement;
pub mod parts;
pub mod report;
pub mod sheets;
pub mod work;

use std::collections::BTreeMap;

use kurbo::{Point, Rect};

use crate::job::{Job, Of};
use crate::lane::checks::{Finding, Rule};
use crate::lane::{Bevel, Lane, NoLane};
use crate::lanes::{self, LaneSet};
use crate::layout::edges::{self, Item, Shared};
use crate::layout::marks::mark_lines;
use crate::layout::order;
use crate::layout::{OVERHANG_MARGIN, Placed, Refused};
use crate::terms::Edge;
use crate::units::{MM_PER_INCH, Written, fixed};
use asked::{Asked, Inches};
use board::Board;
use cleat::Cleat;
use cutting::Cutting;
use fence_stock::FenceStock;
use fences::Fence;
use movement::Movement;
use parts::{Hardware, Part};

/// A board longer than this has its lanes evened out between its edges, mm: what a bench's end takes.
const LONG: f64 = 450.0;
/// Space between strips that stand back to back, mm: room to move each while it is set.
const BACK_TO_BACK: f64 = 5.0;

/// The jig.
#[derive(Debug, Clone, PartialEq)]
pub struct Jig {
    /// Its title.
    pub title: String,
    /// Name of the guide.
    pub guide: String,
    /// Fingerprint of the state of guide and job.
    pub fingerprint: String,
    /// Name of the file of corrections that it is made with.
    pub corrected_by: Option<String>,
    /// How lengths are written.
    pub written: Written,
    /// Size along the reference edges, mm.
    pub length: f64,
    /// Size from near to far edge, mm.
    pub depth: f64,
    /// Whether its left and its right end are broken off: so a stretch of it is drawn on a sheet.
    pub broken: [bool; 2],
    /// The board.
    pub board: Board,
    /// What the fences are cut from.
    pub stock: FenceStock,
    /// The strips: near edge from left to right, then far edge.
    pub fences: Vec<Fence>,
    /// Lanes in their places, in the same order.
    pub lanes: Vec<Placed>,
    /// The cleat.
    pub cleat: Option<Cleat>,
    /// How far the roller reaches below the table at most, mm.
    pub roller_below_table: f64,
    /// How far the edge in use must stand out from a bench, mm.
    pub overhang: f64,
    /// ± degrees the job allows.
    pub tolerance: f64,
    /// How well a fence can be placed, ± mm.
    pub fence_within: f64,
    /// How far the fences drift over the year.
    pub movement: Movement,
    /// What is to be cut.
    pub parts: Vec<Part>,
    /// What is to be bought.
    pub hardware: Vec<Hardware>,
    /// How the parts come out of stock.
    pub cutting: Cutting,
    /// The bevels of a kit that no fence serves.
    pub left_out: Vec<NoLane>,
    /// What is worth a warning.
    pub findings: Vec<Finding>,
}

impl Jig {
    /// From the reference edge in use to the face of the bench, mm: where the cleat hangs on its edge, else as far
    /// as the roller needs.
    pub fn bench(&self) -> f64 {
        self.cleat.as_ref().map_or(self.overhang, |c| (self.depth + c.thickness) / 2.0)
    }

    /// The strip that a lane's fence is on.
    pub fn fence_of(&self, lane: usize) -> Option<&Fence> {
        self.fences.iter().find(|f| f.lanes.contains(&lane))
    }

    /// The lanes from the longest fence distance to the shortest: the order in which they are set.
    pub fn in_order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.lanes.len()).collect();
        order.sort_by(|a, b| self.lanes[*b].lane.finished().total_cmp(&self.lanes[*a].lane.finished()));
        order
    }

    /// A lane's fence distance in inches, and the angle that the rounding gives in that lane (`None` where it gives
    /// none).
    pub fn inches(&self, placed: &Placed) -> (Inches, Option<f64>) {
        let inches = self.asked().inches(&placed.lane);
        (inches, placed.lane.angle_at(inches.mm()).ok())
    }

    /// A lane's fence distance as it is written.
    pub fn fence_words(&self, placed: &Placed) -> String {
        let (mm, inches) = (|| fixed(placed.lane.finished(), 2), || self.inches(placed).0.to_string());
        match (self.written.mm, self.written.inches) {
            (true, true) => format!("{} [{}]", mm(), inches()),
            (false, true) => inches(),
            _ => mm(),
        }
    }

    /// How the sheets ask for fences.
    pub fn asked(&self) -> Asked {
        Asked { written: self.written, within: self.fence_within }
    }

    /// The fence distance that the sheets ask for, mm.
    pub fn printed(&self, placed: &Placed) -> f64 {
        self.asked().printed(&placed.lane)
    }

    /// The tolerance of the fence distance as it is written, ± mm.
    pub fn limit(&self, placed: &Placed) -> f64 {
        self.asked().limit(&placed.lane)
    }

    /// That, in words: hundredths of a millimetre, or thousandths of an inch.
    pub fn limit_words(&self, placed: &Placed) -> String {
        self.written.limit(self.limit(placed))
    }

    /// The board in the plan, mm.
    pub fn area(&self) -> Rect {
        Rect::new(0.0, 0.0, self.length, self.depth)
    }

    /// Centre and square lines of a lane's table, as for the printed block; ends in the plan, mm.
    pub fn mark_lines(&self, placed: &Placed) -> Vec<[Point; 2]> {
        let at = |x: f64, from_edge: f64| match placed.edge {
            Edge::Near => Point::new(x, from_edge),
            Edge::Far => Point::new(x, self.depth - from_edge),
        };
        let lines = mark_lines(placed.lane.finished(), placed.centre, placed.blade_width);
        lines.into_iter().map(|(x, [from, to])| [at(x, from), at(x, to)]).collect()
    }

    /// How the jig is held so that the guide can hang at its edge, in words.
    pub fn hold_down(&self) -> String {
        let said = |mm: f64| self.written.said(mm, 1);
        match &self.cleat {
            Some(cleat) => format!(
                "The roller sits {} below the table. Hang the cleat against the front of the bench and clamp the board's back, or grip the lowest {} of the cleat in a vice.",
                said(self.roller_below_table),
                said(cleat.grip)
            ),
            None if self.roller_below_table <= self.board.thickness => format!(
                "The roller sits {} below the table, less than the board is thick. Clamp the board down anywhere.",
                said(self.roller_below_table)
            ),
            None => format!(
                "The roller sits {} below the table. Clamp the board so that it sticks out at least {} past the front of the bench.",
                said(self.roller_below_table),
                said(self.overhang)
            ),
        }
    }
}

/// Lays out the jig for lanes that were solved for its board ([`board::lanes`]).
///
/// # Errors
/// [`Refused`] with every refusal of every lane and of the jig.
pub fn lay_out(job: &Job, set: &LaneSet) -> Result<Jig, Refused> {
    let mut refusals = crate::layout::refusals(&set.lanes);
    refusals.extend(of_other_lanes(job));
    let stock = fence_stock::stock(&job.wood, &set.lanes, set.edge.thickness, &mut refusals);
    if !refusals.is_empty() {
        return Err(Refused(refusals));
    }
    let step = step(job.wood.written);
    let lane_width = |blade: f64| fences::lane_width(blade, job.block.clearance, step);
    let shared = share(job, set, lane_width, step);
    let plan = order::plan(&shared, 2.0 * stock.width + BACK_TO_BACK, step);
    let lanes = crate::layout::placed(&plan, &set.lanes);
    let board = board::board_of(&job.wood, set.edge.thickness);
    let roller_below_table = set.lanes.iter().map(|l| l.roller_below_table).fold(0.0, f64::max);
    let overhang = set.lanes.iter().map(|l| l.overhang).fold(0.0, f64::max) + OVERHANG_MARGIN;
    let movement = movement::movement_of(&job.wood, &board, &stock, &lanes);
    let slide = board.slides().then_some(&movement);
    let mut fences = fences::strips(&plan, &lanes, lane_width, &stock, slide);
    let cleat = job
        .wood
        .cleat
        .then(|| cleat::cleat_below(job.wood.written, &plan, board.thickness, &fences, roller_below_table, slide));
    let parts = parts::cut_list([plan.length, plan.depth], &board, &stock, &mut fences, cleat.as_ref());
    let mut jig = Jig {
        title: job.title.clone(),
        guide: job.guide.name.clone(),
        fingerprint: job.fingerprint(),
        corrected_by: job.corrections.as_ref().map(|all| all.file.clone()),
        written: job.wood.written,
        length: plan.length,
        depth: plan.depth,
        broken: [false; 2],
        hardware: Vec::new(),
        cutting: Cutting::default(),
        board,
        stock,
        fences,
        lanes,
        cleat,
        roller_below_table,
        overhang,
        tolerance: job.tolerance,
        fence_within: job.wood.fence_within,
        movement,
        parts,
        left_out: set.left_out.clone(),
        findings: Vec::new(),
    };
    jig.hardware = parts::hardware(&jig);
    jig.cutting = cutting::cutting_of(&job.wood, &jig)?;
    jig.findings = findings(job, &jig);
    Ok(jig)
}

/// Why corrections that were measured on the printed block of a kit are none of the jig: it may have other lanes.
fn of_other_lanes(job: &Job) -> Option<String> {
    let of_block = job.corrections.as_ref().filter(|all| all.of == Of::Block && all.is_of_guide())?;
    (job.kit.is_some() && !job.states_wood).then(|| {
        format!(
            "{} corrects the printed block for the guide, and this jig may have other lanes. Add \"wood\" to the job, so that both have the same lanes, and run verify again",
            of_block.file
        )
    })
}

/// What sizes that nothing else decides are whole multiples of, mm: a millimetre, or an eighth of an inch.
fn step(written: Written) -> f64 {
    written.choose(1.0, MM_PER_INCH / 8.0)
}

/// The lanes of each edge, wide enough for their strips, with margins in whole steps.
fn share(job: &Job, set: &LaneSet, lane_width: impl Fn(f64) -> f64, step: f64) -> Shared {
    let face = job.face_width();
    let up = |mm: f64| (mm / step - 1e-9).ceil() * step;
    let widen = |items: Vec<Item>| -> Vec<Item> {
        let widen = |item: Item| {
            let width = lane_width(item.blade_width);
            let margin = face.map_or(0.0, |face| up((face / 2.0 - width / 2.0).max(0.0)));
            Item { width, margin, ..item }
        };
        items.into_iter().map(widen).collect()
    };
    let shared = edges::share(&set.lanes, &job.block, face, LONG);
    Shared { near: widen(shared.near), far: widen(shared.far) }
}

/// Whether the printed block of a kit has other lanes than the jig: other letters, or other bevels under them.
fn has_other_lanes(job: &Job, jig: &Jig) -> bool {
    fn served<'l>(lanes: impl Iterator<Item = &'l Lane>) -> BTreeMap<&'l str, Vec<(usize, Bevel)>> {
        let of = |lane: &'l Lane| lane.members.iter().map(|m| (m.blade, m.bevel)).collect();
        lanes.map(|lane| (lane.request.id.as_str(), of(lane))).collect()
    }
    let printed = lanes::of_job(job);
    printed.is_ok_and(|set| served(set.lanes.iter()) != served(jig.lanes.iter().map(|p| &p.lane)))
}

fn findings(job: &Job, jig: &Jig) -> Vec<Finding> {
    let mut found: Vec<Finding> =
        jig.movement.advice.iter().map(|a| Finding::warning(Rule::Block, a.clone())).collect();
    let lanes = || jig.lanes.iter().map(|placed| &placed.lane);
    let (coarse, close) =
        (lanes().filter_map(|l| jig.asked().too_coarse(l)), lanes().filter_map(|l| jig.asked().too_close(l)));
    found.extend(coarse.chain(close).map(|words| Finding::warning(Rule::Block, words)));
    if let Some(cleat) = &jig.cleat
        && (jig.depth - cleat.thickness) / 2.0 < jig.overhang
    {
        found.push(Finding::warning(
            Rule::Block,
            format!(
                "the cleat stands {} from the edge and the roller needs {}. Leave the cleat out (wood.cleat) and clamp the board",
                jig.written.said((jig.depth - cleat.thickness) / 2.0, 1),
                jig.written.said(jig.overhang, 1)
            ),
        ));
    }
    if job.kit.is_some() && has_other_lanes(job, jig) {
        let message = "the printed block of this kit has other lanes than this jig, and bench cards name those of the block. Add \"wood\" to the job, and both have the same";
        found.push(Finding::warning(Rule::Sharing, message.into()));
    }
    if job.guide.face.width.is_none() {
        found.push(Finding::not_checked(Rule::Block, "whether the whole face bears at the end lanes", "face.width"));
    }
    found
}
