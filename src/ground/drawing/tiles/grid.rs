//! How many tiles, how they lie, and where the match lines run.

use kurbo::{Rect, Size};

use super::margins::usable;
use super::{AXES, FullSize, Tiling};
use crate::drawing::clash::{extent, segments};
use crate::drawing::paper::Paper;
use crate::drawing::{Group, Mark};
use crate::terms;

/// How far lettering keeps from a match line, mm.
pub const BESIDE_JOINT: f64 = 1.0;
/// Half the length of a register mark's lines, mm.
pub const ARM: f64 = 4.0;
/// Half the space a register mark needs, mm.
pub const REGISTER: f64 = ARM + 1.0;
/// How far a match line keeps from lines along it, mm: they stay out of the usual overlap.
const BESIDE: f64 = 8.0;
/// What a cut through lettering counts for, in mm of detour, and through anything else.
const CUTS: [f64; 2] = [1e4, 50.0];
/// Step in which places for a match line are tried, mm.
const STEP: f64 = 1.0;
/// Anything this small is better not cut, mm.
const LITTLE: f64 = 40.0;

/// An arrangement of tiles. Lengths are mm of paper, in the frame of the drawing spread out.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    /// The paper, as it lies.
    pub paper: Paper,
    /// Whether the drawing is turned, reading from the right of the sheets.
    pub turned: bool,
    /// Paper mm for one mm of the drawing, along the sheet's axes.
    pub factor: [f64; 2],
    /// What bars of 100 mm measure along and across.
    pub printed_bar: [f64; 2],
    /// Size of the drawing spread out.
    pub size: [f64; 2],
    /// How much neighbours share, along the sheet's axes.
    pub overlap: [f64; 2],
    /// Where the match lines cross the axes.
    pub joints: [Vec<f64>; 2],
}

impl Grid {
    /// All arrangements: the drawing as it is and turned, sheets upright and level, each with as few tiles as it can.
    pub fn all(size: Size, tiling: &Tiling) -> [Self; 4] {
        [(false, false), (false, true), (true, false), (true, true)]
            .map(|(turned, landscape)| Self::new(size, tiling, turned, landscape))
    }

    fn new(Size { width, height }: Size, tiling: &Tiling, turned: bool, landscape: bool) -> Self {
        let paper = Paper::sheet(tiling.paper, landscape);
        let [along, across] = tiling.printed_bar;
        let factor = if landscape { [along, across] } else { [across, along] }.map(|bar| 100.0 / bar);
        let laid = if turned { [height, width] } else { [width, height] };
        let size = [0, 1].map(|i| laid[i] * factor[i]);
        let overlap = factor.map(|f| tiling.overlap * f);
        let most = room(paper);
        let joints = [0, 1].map(|i| even(size[i], most[i], overlap[i]));
        Self { paper, turned, factor, printed_bar: tiling.printed_bar, size, overlap, joints }
    }

    /// Columns and rows.
    pub fn count(&self) -> [usize; 2] {
        [self.joints[0].len() + 1, self.joints[1].len() + 1]
    }

    /// Column and row of every tile, row by row.
    pub fn tiles(&self) -> impl Iterator<Item = [usize; 2]> + use<> {
        let [columns, rows] = self.count();
        (0..rows).flat_map(move |row| (0..columns).map(move |column| [column, row]))
    }

    /// A tile's own part, from match line to match line.
    pub fn cell(&self, tile: [usize; 2]) -> Rect {
        let side = |i: usize| {
            let joints = &self.joints[i];
            let low = tile[i].checked_sub(1).map_or(0.0, |before| joints[before]);
            [low, joints.get(tile[i]).copied().unwrap_or(self.size[i])]
        };
        let ([x0, x1], [y0, y1]) = (side(0), side(1));
        Rect::new(x0, y0, x1, y1)
    }

    /// What a tile shows: its own part and its share of the overlaps.
    pub fn window(&self, tile: [usize; 2]) -> Rect {
        let [w, h] = self.size;
        self.cell(tile).inflate(self.overlap[0] / 2.0, self.overlap[1] / 2.0).intersect(Rect::new(0.0, 0.0, w, h))
    }

    /// Pairs of tiles that a match line joins, and the axis across which they lie.
    pub fn neighbours(&self) -> Vec<([[usize; 2]; 2], usize)> {
        let after = |tile: [usize; 2], axis: usize| {
            let mut next = tile;
            next[axis] += 1;
            (next[axis] < self.count()[axis]).then_some(([tile, next], axis))
        };
        self.tiles().flat_map(|tile| [after(tile, 0), after(tile, 1)]).flatten().collect()
    }

    /// Length of all match lines.
    pub fn joint_length(&self) -> f64 {
        self.joints[0].len() as f64 * self.size[1] + self.joints[1].len() as f64 * self.size[0]
    }

    /// Moves the match lines away from what they had better not cross, as far as the room on the sheets allows.
    pub fn place_joints(&mut self, spread: &FullSize) {
        for (axis, most) in room(self.paper).into_iter().enumerate() {
            let n = self.joints[axis].len() as f64;
            let spare = most - (self.size[axis] + n * self.overlap[axis]) / (n + 1.0);
            // A tile between two match lines has room for half its spare space at each; of two tiles, for all of it,
            // but neither becomes a sliver.
            let reach = if n > 1.0 { spare / 2.0 } else { spare.min(self.size[axis] / 4.0) };
            let spans = spans(spread, axis);
            for joint in &mut self.joints[axis] {
                *joint = best_near(*joint, reach, &spans);
            }
        }
    }
}

/// A tile's name: the number of its row, a letter for its column; so none is called as a paper is.
pub fn name([column, row]: [usize; 2]) -> String {
    format!("{}{}", row + 1, terms::letter(column))
}

/// Room for the drawing on a tile, mm.
fn room(paper: Paper) -> [f64; 2] {
    let usable = usable(paper);
    [usable.width(), usable.height()]
}

/// Match lines that share `size` evenly among the fewest parts no longer than `most` with their overlaps.
fn even(size: f64, most: f64, overlap: f64) -> Vec<f64> {
    let parts = (((size - overlap) / (most - overlap) - 1e-9).ceil() as usize).max(1);
    let length = (size + (parts - 1) as f64 * overlap) / parts as f64;
    (1..parts).map(|i| i as f64 * (length - overlap) + overlap / 2.0).collect()
}

/// From where to where something lies along an axis, and how far it is worth going to miss it, mm.
type Span = ([f64; 2], f64);

/// What a match line across `axis` had better not cross: lettering above all; then the space beside it, which register
/// marks need, what is little, and what runs along the line.
fn spans(spread: &FullSize, axis: usize) -> Vec<Span> {
    let mut spans = Vec::new();
    let mut add = |group: &Group, beside: f64, worth: f64| {
        let (low, high) = extent(std::slice::from_ref(group)).get_coords(AXES[axis]);
        if worth == CUTS[0] || high - low < LITTLE {
            spans.push(([low - beside, high + beside], worth));
        }
    };
    let alone = |mark: Mark| Group { marks: vec![mark], ..Group::default() };
    for mark in spread.groups.iter().flat_map(|g| &g.marks) {
        match mark {
            Mark::Text(_) => {
                add(&alone(mark.clone()), BESIDE_JOINT, CUTS[0]);
                add(&alone(mark.clone()), REGISTER, CUTS[1]);
            }
            Mark::Circle { .. } | Mark::Arc { .. } => add(&alone(mark.clone()), BESIDE, CUTS[1]),
            Mark::Line { pen, .. } | Mark::Path { pen, .. } => {
                for [from, to] in segments(&alone(mark.clone())) {
                    add(&alone(Mark::Line { from, to, pen: *pen }), BESIDE, CUTS[1]);
                }
            }
            Mark::Arrow { .. } => {}
        }
    }
    spans
}

/// The place no further than `reach` from `even` that cuts the least, then the nearest; where it cannot be clear of
/// something, far from its middle.
fn best_near(even: f64, reach: f64, spans: &[Span]) -> f64 {
    let steps = (reach.max(0.0) / STEP).floor() as i32;
    let cost = |at: f64| {
        let cut = spans.iter().filter(|([low, high], _)| *low < at && at < *high);
        let cut = cut.map(|([low, high], worth)| worth * (1.0 + (at - low).min(high - at) / (high - low)));
        cut.sum::<f64>() + (at - even).abs()
    };
    let places = (-steps..=steps).map(|i| even + f64::from(i) * STEP);
    places.min_by(|a, b| cost(*a).total_cmp(&cost(*b))).unwrap_or(even)
}
