//! The plan of the block: lanes on both edges over one island.
//!
//! Plan frame: `x` along the edges, `y` from the near edge (0) to the far edge (`depth`), mm.
//!
//! 1. [`edges`] shares the lanes out between the two edges.
//! 2. [`order`] puts them in the order that needs the least depth, and proves it.
//! 3. [`regions`] turns the plan into polygons on a 1 µm grid, for the solid and the drawing alike.

pub mod edges;
pub mod order;
pub mod regions;

use crate::job::{BlockOptions, Job};
use crate::lane::checks::{Finding, Gravity, Rule};
use crate::lane::{FRONT_RELIEF, Lane, LaneSet, mm};
use crate::profile::job::EdgeFile;
use crate::units::{fixed, short};
use order::Strip;

/// Added to the overhang that lets a roller pass the bench's edge, mm.
pub const OVERHANG_MARGIN: f64 = 5.0;
/// How much the fence stands above the thickest blade at least, mm.
pub const FENCE_OVER_BLADE: f64 = 2.0;
/// An island beside the lanes keeps this far from a registering edge, mm, so that only the board's edge registers.
pub const SETBACK: f64 = 2.0;
/// Width and depth of the groove at the fence's foot, mm.
pub const FOOT_RELIEF: [f64; 2] = [1.0, 0.6];
/// Diameter of the screw holes, mm: clears a No. 8 wood screw (0.060 + 8 × 0.013 in = 4.17 mm; ASME B18.6.1, from memory).
pub const SCREW_HOLE: f64 = 4.5;
/// Least wall around a screw hole, mm.
const SCREW_WALL: f64 = 3.0;

/// A lane in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The lane.
    pub lane: Lane,
    /// The edge it is used from.
    pub edge: EdgeFile,
    /// Extent along the edge, mm, with the margin of an end lane.
    pub x: [f64; 2],
    /// Where the middle of the blade goes, mm.
    pub centre: f64,
    /// Width of its widest blade, mm.
    pub blade_width: f64,
}

impl Placed {
    /// What the lane is called on drawings.
    pub fn label(&self) -> String {
        format!("{} {}°", self.lane.request.label, short(self.lane.request.angle, 3))
    }
}

/// The plan of a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Title of the block.
    pub title: String,
    /// Name of the guide.
    pub guide: String,
    /// Size along the edges, mm.
    pub length: f64,
    /// Size from near to far edge, mm.
    pub depth: f64,
    /// Thickness of the board, mm.
    pub thickness: f64,
    /// Height of the fences above the apron, mm.
    pub fence_height: f64,
    /// Least thickness of the island, mm.
    pub island: f64,
    /// Width and height of the rebate along the bottom edges, mm.
    pub front_relief: Option<[f64; 2]>,
    /// Width and depth of the groove at each fence's foot, mm.
    pub foot_relief: Option<[f64; 2]>,
    /// Whether aprons bear centre and square lines.
    pub marks: bool,
    /// Centres of the screw holes, mm.
    pub screw_holes: Vec<[f64; 2]>,
    /// Lanes in their places: near edge from left to right, then far edge from left to right.
    pub lanes: Vec<Placed>,
    /// The near edge's fences and fillers in order of `x`.
    pub near: Vec<Strip>,
    /// The far edge's.
    pub far: Vec<Strip>,
    /// How far the roller reaches below the apron at most, mm.
    pub hang_depth: f64,
    /// How far the block must overhang the bench, mm.
    pub overhang: f64,
    /// ± degrees the job allows.
    pub tolerance: f64,
    /// How well a fence can be placed, ± mm.
    pub fence_within: f64,
    /// What the rules found about the block as a whole: warnings only.
    pub findings: Vec<Finding>,
}

/// Why no block can be laid out: every refusal, lane by lane.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", .0.join("\n"))]
pub struct Refused(pub Vec<String>);

impl Layout {
    /// How the block is to be held so that the guide can hang at its edge, in words.
    pub fn hold_down(&self) -> String {
        let held = if self.screw_holes.is_empty() { "clamped down" } else { "clamped or screwed down" };
        if self.hang_depth <= self.thickness {
            return format!(
                "The roller hangs {} below the apron, less than the block is thick: it stands free on the bench, {held}.",
                mm(self.hang_depth)
            );
        }
        format!(
            "The roller hangs {} below the apron and the block is {} thick: let it overhang the bench's edge by {} or more, {held}.",
            mm(self.hang_depth),
            mm(self.thickness),
            mm(self.overhang)
        )
    }
}

/// Lays out the block for solved lanes.
///
/// # Errors
/// [`Refused`] with every refusal of every lane and of the block.
pub fn lay_out(job: &Job, set: &LaneSet) -> Result<Layout, Refused> {
    let mut refusals = refusals(set);
    let fence_height = fence_height(&job.block, &set.lanes, &mut refusals);
    if !refusals.is_empty() {
        return Err(Refused(refusals));
    }
    let face_width = job.guide.face.width.map(|w| w.mm);
    let shared = edges::share(&set.lanes, &job.block, face_width, job.bed[0]);
    let plan = order::plan(&shared, job.block.island, 1.0);
    let screw_holes = if job.block.screw_holes { screw_holes(&plan) } else { Vec::new() };
    let lanes = placed(&plan, &set.lanes);
    let hang_depth = set.lanes.iter().map(|l| l.hang_depth).fold(0.0, f64::max);
    let overhang = set.lanes.iter().map(|l| l.overhang).fold(0.0, f64::max) + OVERHANG_MARGIN;
    let mut layout = Layout {
        title: job.title.clone(),
        guide: job.guide.name.clone(),
        length: plan.length,
        depth: plan.depth,
        thickness: set.edge.thickness,
        fence_height,
        island: job.block.island,
        front_relief: job.block.front_relief.then_some(FRONT_RELIEF),
        foot_relief: job.block.foot_relief.then_some(FOOT_RELIEF),
        marks: job.block.marks,
        screw_holes,
        lanes,
        near: plan.near,
        far: plan.far,
        hang_depth,
        overhang,
        tolerance: job.tolerance,
        fence_within: job.block.fence_within,
        findings: Vec::new(),
    };
    layout.findings = findings(job, &layout);
    Ok(layout)
}

/// What fences were moved by, in words, where any was.
pub fn correction_note(lanes: &[Placed]) -> Option<String> {
    let words = |p: &Placed| {
        let sign = if p.lane.correction > 0.0 { "+" } else { "" };
        format!("{} {sign}{}", p.label(), fixed(p.lane.correction, 2))
    };
    let moved: Vec<String> = lanes.iter().filter(|p| p.lane.correction != 0.0).map(words).collect();
    (!moved.is_empty())
        .then(|| format!("Corrected: fences moved by what an earlier one measured, mm: {}.", moved.join(", ")))
}

/// What the rules refuse, lane by lane.
pub(crate) fn refusals(set: &LaneSet) -> Vec<String> {
    let of = |lane: &Lane| {
        let refused = lane.findings.iter().filter(|f| f.gravity == Gravity::Refusal);
        refused.map(|f| format!("{}: {}", lane.request.id, f.message)).collect::<Vec<_>>()
    };
    set.lanes.iter().flat_map(of).collect()
}

/// Thickness of the thickest blade, its tolerance included, mm.
pub(crate) fn thickest(lanes: &[Lane]) -> f64 {
    lanes.iter().map(|l| l.request.blade.thickness).map(|t| t.mm + t.within.unwrap_or(0.0)).fold(0.0, f64::max)
}

/// Height of the fences where none is stated, mm: 4 mm over the thickest blade, and at least 8 mm.
pub fn usual_fence_height(lanes: &[Lane]) -> f64 {
    (thickest(lanes) + 4.0).ceil().max(8.0)
}

/// The fences' height: as stated if it is enough, else the usual one.
fn fence_height(options: &BlockOptions, lanes: &[Lane], refusals: &mut Vec<String>) -> f64 {
    let thickest = thickest(lanes);
    let least = thickest + FENCE_OVER_BLADE;
    match options.fence_height {
        None => usual_fence_height(lanes),
        Some(stated) => {
            if stated < least {
                refusals.push(format!(
                    "block.fence_height: fences {} high; the thickest blade is {}, so at least {} is needed",
                    mm(stated),
                    mm(thickest),
                    mm(least)
                ));
            }
            stated
        }
    }
}

/// The lanes of a plan in their places: near edge from left to right, then far edge.
pub(crate) fn placed(plan: &order::Plan, lanes: &[Lane]) -> Vec<Placed> {
    let of = |strips: &[Strip], edge| -> Vec<Placed> {
        strips
            .iter()
            .filter_map(|s| {
                let lane = s.lane.as_ref()?;
                Some(Placed {
                    lane: lanes[lane.index].clone(),
                    edge,
                    x: s.x,
                    centre: lane.centre,
                    blade_width: lane.blade_width,
                })
            })
            .collect()
    };
    let mut all = of(&plan.near, EdgeFile::Near);
    all.extend(of(&plan.far, EdgeFile::Far));
    all
}

/// Two holes in the island, as near to the ends as its thickness and a wall allow; none where there is no room.
fn screw_holes(plan: &order::Plan) -> Vec<[f64; 2]> {
    let clear = SCREW_HOLE / 2.0 + SCREW_WALL;
    let at = |x: f64| -> Option<[f64; 2]> {
        let [low, high] = plan.island_between([x - clear, x + clear]);
        (high - low >= 2.0 * clear).then_some([x, (low + high) / 2.0])
    };
    const STEP: f64 = 1.0;
    let steps = (plan.length / STEP) as usize;
    let inside = |x: &f64| *x >= 2.0 * clear && *x <= plan.length - 2.0 * clear;
    let left = (0..=steps).map(|i| i as f64 * STEP).filter(inside).find_map(at);
    let right = (0..=steps).rev().map(|i| i as f64 * STEP).filter(inside).find_map(at);
    match (left, right) {
        (Some(l), Some(r)) if r[0] - l[0] >= 4.0 * clear => vec![l, r],
        (Some(l), _) => vec![l],
        _ => Vec::new(),
    }
}

fn findings(job: &Job, layout: &Layout) -> Vec<Finding> {
    let mut found = Vec::new();
    let [width, depth] = job.bed;
    let fits = |a: f64, b: f64| a <= width && b <= depth;
    if !fits(layout.length, layout.depth) && !fits(layout.depth, layout.length) {
        found.push(Finding::warning(
            Rule::Block,
            format!(
                "the block is {} × {} mm, the printer's bed {} × {} mm: print fewer lanes a block, or state the bed (print.bed)",
                fixed(layout.length, 1),
                fixed(layout.depth, 1),
                fixed(width, 0),
                fixed(depth, 0)
            ),
        ));
    }
    if job.block.screw_holes && layout.screw_holes.len() < 2 {
        found.push(Finding::warning(
            Rule::Block,
            format!(
                "the island has room for {} screw hole(s) of the 2 wanted: hold the block with a clamp",
                layout.screw_holes.len()
            ),
        ));
    }
    if job.guide.face.width.is_none() {
        found.push(Finding::not_checked(Rule::Block, "whether the whole face bears at the end lanes", "face.width"));
    }
    found
}
