//! The plan as polygons on a grid of 1 µm: what the solid is built of and the drawing draws.
//!
//! All corners are whole micrometres, so that neighbouring parts share them exactly.

use kurbo::Point;

use super::{Layout, SCREW_HOLE, SEAM_NOTCH};
use crate::layout::Placed;
use crate::layout::marks::{MARK_CLEAR, mark_lines};
use crate::layout::order::Strip;
use crate::shape::polygon::{Outline, Region, corner, rectangle, reversed, round_hole, without_idle_corners};
use crate::terms::{Edge, Labels};

/// Width of a mark, mm: two lines of a common nozzle.
const MARK_WIDTH: f64 = 0.8;
/// A foot groove ends this far before its lane does, mm, so that grooves of neighbouring lanes never touch.
const GROOVE_CLEAR: f64 = 1.0;

/// The regions of a block's slabs.
#[derive(Debug, Clone, PartialEq)]
pub struct Regions {
    /// The board's outline, from the front relief up.
    pub board: Region,
    /// The board at its very bottom, inside the front relief.
    pub foot: Region,
    /// The board at the level of grooves and marks.
    pub grooved: Region,
    /// The raised middle.
    pub middle: Region,
    /// The middle where labels are sunk into it.
    pub lettered: Option<Region>,
    /// Labels that stand on it.
    pub raised: Option<Region>,
    /// The labels' polygons.
    pub letters: Region,
    /// The grooves at the fences' feet.
    pub grooves: Vec<Outline>,
    /// Centre and square lines.
    pub marks: Vec<Outline>,
}

/// The regions of `layout`.
pub fn regions_of(layout: &Layout) -> Regions {
    let inset = layout.front_relief.map_or(0.0, |[width, _]| width);
    let with_holes = |mut region: Region, relief: f64| {
        region.extend(layout.screw_holes.iter().map(|&c| round_hole(c, SCREW_HOLE / 2.0 + relief)));
        region
    };
    let grooves: Vec<Outline> = match layout.foot_relief {
        Some([width, _]) => layout.lanes.iter().filter_map(|p| groove(layout, p, width)).collect(),
        None => Vec::new(),
    };
    let marks: Vec<Outline> =
        if layout.marks { layout.lanes.iter().flat_map(|p| marks(layout, p)).collect() } else { Vec::new() };
    let board = with_holes(vec![board(layout, 0.0)], 0.0);
    let mut grooved = board.clone();
    grooved.extend(grooves.iter().chain(&marks).map(reversed));
    let middle = with_holes(vec![middle(layout)], 0.0);
    let letters = layout.lettering.region.clone();
    let lettered = (layout.labels == Labels::Sunk && !letters.is_empty())
        .then(|| middle.iter().cloned().chain(letters.iter().map(reversed)).collect());
    let raised = (layout.labels == Labels::Raised && !letters.is_empty()).then(|| letters.clone());
    Regions {
        foot: with_holes(vec![self::board(layout, inset)], inset),
        board,
        grooved,
        middle,
        lettered,
        raised,
        letters,
        grooves,
        marks,
    }
}

/// The board's outline, its sides moved inward by `inset` mm, with the notches for the seam.
fn board(layout: &Layout, inset: f64) -> Outline {
    let [near, far] = [inset, layout.depth - inset];
    let [left, right] = [inset, layout.length - inset];
    let mut corners = vec![Point::new(left, near), Point::new(right, near)];
    let ends = [Point::new(right, far), Point::new(left, far)];
    if let Some([at_left, at_right]) = layout.seam_notches {
        corners.extend(notch(right, at_right, -1.0, inset));
        corners.extend(ends);
        corners.extend(notch(left, at_left, 1.0, inset).into_iter().rev());
    } else {
        corners.extend(ends);
    }
    corners.into_iter().map(corner).collect()
}

/// A notch in an end at `x`, from near to far, into the block along `inward`; its sides lie `inset` mm deeper than they
/// are cut above.
fn notch(x: f64, y: f64, inward: f64, inset: f64) -> [Point; 3] {
    let diagonal = inset * std::f64::consts::SQRT_2;
    let half = SEAM_NOTCH - inset + diagonal;
    [(x, y - half), (x + inward * half, y), (x, y + half)].map(Point::from)
}

/// A rectangle of a lane given by its distances from the lane's own edge, mm.
fn lane_rectangle(layout: &Layout, edge: Edge, x: [f64; 2], from_edge: [f64; 2]) -> Outline {
    match edge {
        Edge::Near => rectangle(x, from_edge),
        Edge::Far => rectangle(x, [layout.depth - from_edge[1], layout.depth - from_edge[0]]),
    }
}

/// The groove at a fence's foot; none in a lane too small to hold one clear of its sides and of the reference edge.
fn groove(layout: &Layout, placed: &Placed, width: f64) -> Option<Outline> {
    let fence = placed.lane.fence();
    let x = [placed.x[0] + GROOVE_CLEAR, placed.x[1] - GROOVE_CLEAR];
    let room = x[1] - x[0] >= width && fence >= width + MARK_CLEAR[0];
    room.then(|| lane_rectangle(layout, placed.edge, x, [fence - width, fence]))
}

fn marks(layout: &Layout, placed: &Placed) -> Vec<Outline> {
    mark_lines(placed.lane.fence(), placed.centre, placed.blade_width)
        .into_iter()
        .map(|(x, span)| lane_rectangle(layout, placed.edge, [x - MARK_WIDTH / 2.0, x + MARK_WIDTH / 2.0], span))
        .collect()
}

/// The middle: along the near fences to the right, back along the far fences.
fn middle(layout: &Layout) -> Outline {
    let mut corners = Vec::new();
    for Strip { x, fence, .. } in &layout.near {
        corners.extend(x.map(|x| Point::new(x, *fence)));
    }
    corners.extend(layout.seam_notches.iter().flat_map(|[_, right]| notch(layout.length, *right, -1.0, 0.0)));
    for Strip { x, fence, .. } in layout.far.iter().rev() {
        corners.extend([x[1], x[0]].map(|x| Point::new(x, layout.depth - fence)));
    }
    corners.extend(layout.seam_notches.iter().flat_map(|[left, _]| notch(0.0, *left, 1.0, 0.0).into_iter().rev()));
    without_idle_corners(&corners.into_iter().map(corner).collect())
}
