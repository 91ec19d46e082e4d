//! Fence strips: one a lane, or one for neighbours whose fence distances are the same to the hundredth.
//!
//! A strip lies on the board behind its fence and is held by screws through holes larger than they, under washers, so
//! that it can be pushed to its line, measured, and pushed again. When it is right it is pinned, or glued. Where the
//! board's grain runs across the strip, only its middle is fixed; its other screws stand in slots.

use super::lane_strips;
use super::movement::Movement;
use crate::job::wood::WoodOptions;
use crate::lane::{Lane, mm};
use crate::layout::order::LanePlan;
use crate::layout::{FENCE_OVER_BLADE, Placed};
use crate::terms::Edge;
use crate::wood::timber::{Cut, Species, Stuff};

/// Space between neighbouring strips, mm.
pub const APART: f64 = 1.0;
/// Shortest strip, mm: two washers and a pin outside each.
pub const SHORTEST: f64 = 44.0;
/// A strip longer than this has a screw in its middle too, mm.
const LONG: f64 = 120.0;
/// From a strip's end to its screw and to its pin, mm.
const SCREW_FROM_END: f64 = 13.0;
const PIN_FROM_END: f64 = 5.0;
/// Chamfer of the ends and of the foot of a fence, mm: no edge meets a corner, and chips have somewhere to go.
pub const EASED: f64 = 1.0;

/// How far the bottom arris of a registering edge may be eased, mm: less than the lanes allow for.
pub const BOTTOM_EASED: f64 = 0.5;

/// Diameters and sizes of a strip's fixing, mm: metric and inch shops. Common practice, no source, but for the shank:
/// No. 6, 0.060 + 6 × 0.013 in = 3.5 mm (ASME B18.6.1, from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fixing {
    /// The screw's shank.
    pub shank: f64,
    /// How the screw is called.
    pub called: &'static str,
    /// Hole in the strip: a millimetre each way to push it.
    pub clearance: f64,
    /// Hole in the board.
    pub pilot: f64,
    /// Washer.
    pub washer: f64,
    /// Pin.
    pub pin: f64,
}

/// The fixing of a shop that reads millimetres, and of one that reads inches.
const FIXING: [Fixing; 2] = [
    Fixing { shank: 3.5, called: "3.5 mm", clearance: 5.5, pilot: 2.5, washer: 10.0, pin: 3.0 },
    Fixing { shank: 3.505, called: "No. 6", clearance: 5.556, pilot: 2.381, washer: 9.525, pin: 3.175 },
];

/// Common lengths of screws, mm and inches; common practice, no source.
const LENGTHS: [&[f64]; 2] =
    [&[40.0, 35.0, 30.0, 25.0, 20.0, 16.0, 12.0], &[38.1, 31.75, 25.4, 22.225, 19.05, 15.875, 12.7]];
/// Thickness of a washer, mm.
const WASHER: f64 = 1.0;
/// What is left of the board below a screw's point, mm.
const LEFT: f64 = 1.5;
/// Least length of a screw in the board, mm.
const LEAST_HOLD: f64 = 3.0;
/// Below this length in the board a strip is to be glued as well, mm.
pub const WEAK_HOLD: f64 = 5.0;

/// Common heights of strips, mm and inches; common practice, no source.
const HEIGHTS: [&[f64]; 2] = [&[12.0, 15.0, 18.0, 20.0, 25.0, 30.0], &[12.7, 15.875, 19.05, 25.4, 31.75]];

/// What the strips are cut from, and how they are fixed.
#[derive(Debug, Clone, PartialEq)]
pub struct FenceStock {
    /// The species.
    pub species: Species,
    /// How it was sawn.
    pub cut: Cut,
    /// Width on the board, facing included, mm.
    pub width: f64,
    /// Height above the apron, mm.
    pub height: f64,
    /// Thickness of the hard facing, mm; 0 for none.
    pub facing: f64,
    /// Holes and screws.
    pub fixing: Fixing,
    /// Length of the screws, mm; of the stock whose point stays in the board.
    pub screw: f64,
}

impl FenceStock {
    /// Length of a screw in the board, mm.
    pub fn held(&self) -> f64 {
        self.screw - self.height - WASHER
    }

    /// Its stuff.
    pub fn stuff(&self) -> Stuff {
        Stuff::Solid { species: self.species, cut: self.cut }
    }
}

/// A screw, or the slot it stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screw {
    /// Where, in the plan, mm.
    pub at: [f64; 2],
    /// How much longer than wide its hole is, along the edges, mm; 0 for a round one.
    pub slot: f64,
}

/// A fence strip in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Fence {
    /// Letter of its part; strips of one size share it.
    pub letter: String,
    /// The edge its distance is from.
    pub edge: Edge,
    /// Extent along the edge, mm.
    pub x: [f64; 2],
    /// Extent from the near edge, mm.
    pub y: [f64; 2],
    /// Its lanes, as indices into the jig's.
    pub lanes: Vec<usize>,
    /// Its screws.
    pub screws: Vec<Screw>,
    /// Its pins.
    pub pins: Vec<[f64; 2]>,
}

impl Fence {
    /// Length of the strip, mm.
    pub fn length(&self) -> f64 {
        self.x[1] - self.x[0]
    }
}

/// Width of the lane of a blade `blade` mm wide with `clearance` mm on each side, mm: enough for a strip that takes its
/// screws, in whole steps.
pub fn lane_width(blade: f64, clearance: f64, step: f64) -> f64 {
    ((blade + 2.0 * clearance).max(SHORTEST + APART) / step - 1e-9).ceil() * step
}

/// The stock that the options, the blades and a board `board` mm thick ask for.
pub fn stock(options: &WoodOptions, lanes: &[Lane], board: f64, refusals: &mut Vec<String>) -> FenceStock {
    let choose = options.written;
    let fixing = choose.choose(FIXING[0], FIXING[1]);
    let least = crate::layout::thickest(lanes) + FENCE_OVER_BLADE;
    let heights = choose.choose(HEIGHTS[0], HEIGHTS[1]);
    let usual = heights.iter().copied().find(|h| *h >= least).unwrap_or(least.ceil());
    let height = options.fence_height.unwrap_or(usual);
    if height < least {
        refusals.push(format!(
            "wood.fences.height: fences {} high; at least {} is needed over the thickest blade",
            mm(height),
            mm(least)
        ));
    }
    let width = options.fence_width.unwrap_or(choose.choose(20.0, 19.05));
    let soft = options.fence_species.is_soft();
    let facing = options.facing.unwrap_or(if soft { choose.choose(1.5, 1.5875) } else { 0.0 });
    let least = fixing.washer + 2.0 + facing;
    if width < least {
        refusals.push(format!(
            "wood.fences.width: fences {} wide; their washers and facing need {}",
            mm(width),
            mm(least)
        ));
    }
    let screw = screw_length(choose.choose(LENGTHS[0], LENGTHS[1]), height, board).unwrap_or_else(|| {
        refusals.push(format!(
            "wood.board.thickness: no common screw holds a strip {} high on a board of {}: at least {} of it must be in the board",
            mm(height),
            mm(board),
            mm(LEAST_HOLD)
        ));
        0.0
    });
    FenceStock { species: options.fence_species, cut: options.fence_cut, width, height, facing, fixing, screw }
}

/// Length of the longest common screw, mm, whose point stays in a board under a strip, both in mm.
fn screw_length(lengths: &[f64], height: f64, board: f64) -> Option<f64> {
    lengths.iter().copied().find(|l| {
        let held = l - height - WASHER;
        held <= board - LEFT && held >= LEAST_HOLD
    })
}

/// The strips of `plan`, lanes of one distance together; `width` gives a lane's width from its blade's, mm.
pub fn strips(
    plan: &LanePlan,
    lanes: &[Placed],
    width: impl Fn(f64) -> f64,
    stock: &FenceStock,
    slide: Option<&Movement>,
) -> Vec<Fence> {
    let mut all: Vec<Fence> = Vec::new();
    for (i, (edge, _)) in lane_strips(plan).enumerate() {
        // An end lane's margin is for the guide's face, not for a fence.
        let half = (width(lanes[i].blade_width) - APART) / 2.0;
        let x = [lanes[i].centre - half, lanes[i].centre + half];
        let hundredths = |p: &Placed| (p.lane.fence() * 100.0).round() as i64;
        match all.last_mut() {
            Some(last)
                if last.edge == edge && last.lanes.iter().all(|k| hundredths(&lanes[*k]) == hundredths(&lanes[i])) =>
            {
                last.x[1] = x[1];
                last.lanes.push(i);
            }
            _ => {
                let fence = lanes[i].lane.fence();
                let y = match edge {
                    Edge::Near => [fence, fence + stock.width],
                    Edge::Far => [plan.depth - fence - stock.width, plan.depth - fence],
                };
                all.push(Fence {
                    letter: String::new(),
                    edge,
                    x,
                    y,
                    lanes: vec![i],
                    screws: Vec::new(),
                    pins: Vec::new(),
                });
            }
        }
    }
    for fence in &mut all {
        fix(fence, stock, slide);
    }
    all
}

/// Places a strip's screws and pins on its middle line.
fn fix(fence: &mut Fence, stock: &FenceStock, slide: Option<&Movement>) {
    let [a, b] = fence.x;
    // The middle of the wood; a facing in front of it is not screwed.
    let back = match fence.edge {
        Edge::Near => fence.y[1],
        Edge::Far => fence.y[0],
    };
    let inward = if fence.edge == Edge::Near { -1.0 } else { 1.0 };
    let y = back + inward * (stock.width - stock.facing) / 2.0;
    let middle = (a + b) / 2.0;
    let ends = [a + SCREW_FROM_END, b - SCREW_FROM_END];
    let slot = slide.map_or(0.0, |m| m.travel(ends[1] - middle));
    let screw = |x: f64, slot: f64| Screw { at: [x, y], slot };
    fence.screws = vec![screw(ends[0], slot), screw(ends[1], slot)];
    if slide.is_some() || fence.length() > LONG {
        fence.screws.insert(1, screw(middle, 0.0));
    }
    if slide.is_none() {
        fence.pins = vec![[a + PIN_FROM_END, y], [b - PIN_FROM_END, y]];
    }
}
