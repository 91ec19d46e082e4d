//! Fence strips: one a lane, or one for neighbours whose fence distances are the same to the hundredth.
//!
//! A strip lies on the board behind its fence and is held by screws through holes larger than they, under washers, so
//! that it can be pushed to its line, measured, and pushed again. When it is right it is pinned, or glued. Where the
//! board's grain runs across the strip, only its middle is fixed; its other screws stand in slots.

use kurbo::{Axis, Point, Rect};

use super::fence_stock::FenceStock;
use super::movement::Movement;
use crate::layout::Placed;
use crate::layout::order::{LanePlan, Strip};
use crate::terms::Edge;

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

/// How far the bottom arris of a reference edge may be eased, mm: less than the lanes allow for.
pub const BOTTOM_EASED: f64 = 0.5;

/// Below this length in the board a strip is to be glued as well, mm.
pub const WEAK_HOLD: f64 = 5.0;

/// A screw, or the slot it stands in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screw {
    /// Where, in the plan, mm.
    pub at: Point,
    /// How much longer than wide its hole is, along the edges, mm; 0 for a round one.
    pub slot: f64,
}

/// A fence strip in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Fence {
    /// Number of its part; strips of one size share it.
    pub number: String,
    /// The edge its distance is from.
    pub edge: Edge,
    /// Where it lies in the plan, mm.
    pub area: Rect,
    /// Its lanes, as indices into the jig's.
    pub lanes: Vec<usize>,
    /// Its screws.
    pub screws: Vec<Screw>,
    /// Its pins.
    pub pins: Vec<Point>,
}

impl Fence {
    /// Length of the strip, mm.
    pub fn length(&self) -> f64 {
        self.area.width()
    }
}

/// Width of the lane of a blade `blade` mm wide with `clearance` mm on each side, mm: enough for a strip that takes its
/// screws, in whole steps.
pub fn lane_width(blade: f64, clearance: f64, step: f64) -> f64 {
    ((blade + 2.0 * clearance).max(SHORTEST + APART) / step - 1e-9).ceil() * step
}

/// The strips of the plan that are a lane's.
fn lane_strips(plan: &LanePlan) -> impl Iterator<Item = (Edge, &Strip)> {
    let near = plan.near.iter().map(|s| (Edge::Near, s));
    near.chain(plan.far.iter().map(|s| (Edge::Far, s))).filter(|(_, s)| s.lane.is_some())
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
        let centre = lanes[i].centre;
        let hundredths = |p: &Placed| (p.lane.finished() * 100.0).round() as i64;
        match all.last_mut() {
            Some(last)
                if last.edge == edge && last.lanes.iter().all(|k| hundredths(&lanes[*k]) == hundredths(&lanes[i])) =>
            {
                last.area.x1 = centre + half;
                last.lanes.push(i);
            }
            _ => {
                let fence = lanes[i].lane.finished();
                let [y0, y1] = match edge {
                    Edge::Near => [fence, fence + stock.width],
                    Edge::Far => [plan.depth - fence - stock.width, plan.depth - fence],
                };
                all.push(Fence {
                    number: String::new(),
                    edge,
                    area: Rect { x0: centre - half, y0, x1: centre + half, y1 },
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
    let (a, b) = fence.area.get_coords(Axis::Horizontal);
    // The middle of the wood; a facing in front of it is not screwed.
    let back = match fence.edge {
        Edge::Near => fence.area.y1,
        Edge::Far => fence.area.y0,
    };
    let inward = if fence.edge == Edge::Near { -1.0 } else { 1.0 };
    let y = back + inward * (stock.width - stock.facing) / 2.0;
    let middle = (a + b) / 2.0;
    let ends = [a + SCREW_FROM_END, b - SCREW_FROM_END];
    let slot = slide.map_or(0.0, |m| m.travel(ends[1] - middle));
    let screw = |x: f64, slot: f64| Screw { at: Point::new(x, y), slot };
    fence.screws = vec![screw(ends[0], slot), screw(ends[1], slot)];
    if slide.is_some() || fence.length() > LONG {
        fence.screws.insert(1, screw(middle, 0.0));
    }
    if slide.is_none() {
        fence.pins = vec![Point::new(a + PIN_FROM_END, y), Point::new(b - PIN_FROM_END, y)];
    }
}
