//! The piece: two low bars along the printer's axes, joined to an L, with walls standing on them.
//!
//! ```text
//!   y              each axis, from its datum face (the L's outer side, low):
//!   ▓▓ far wall      to the near wall  20 mm   over it  26 mm
//!   █                to the far wall  140 mm   over it 146 mm
//!   █ ▓ near
//!   █ ▪▓           bars are low (█), walls stand higher (▓), so that a depth rod passes over a bar and past the near
//!   ██████▓ far    wall to the far one, while the end of the caliper's beam rests against the bar.
//! ```
//!
//! The arm along x bears one mark, the one along y two. Bottom edges are relieved as on the block, so that a first
//! layer that spreads is not measured.

use kurbo::Size;

use super::{Axis, LengthKind};
use crate::lane::FRONT_RELIEF;
use crate::shape::polygon::{Outline, Region, microns, rectangle, reversed};
use crate::shape::stack::{Slab, Stack};

/// Width of a bar, and thickness of a wall, mm.
pub const BAR: f64 = 6.0;
/// Height of a bar, mm: enough for jaws, and low enough for a depth rod in the middle of a 16 mm beam to pass over it.
pub const BAR_HEIGHT: f64 = 5.0;
/// Height of a wall, mm.
pub const WALL_HEIGHT: f64 = 11.0;
/// Distance from the datum face to the near wall, mm.
pub const NEAR: f64 = 20.0;
/// Distances to the far wall, mm, the best first: over all, the longest still goes into 150 mm calipers.
pub const FAR: [f64; 2] = [140.0, 120.0];
/// Least difference of two lengths that a scale is taken from, mm.
pub const APART: f64 = 100.0;
/// Free bed around the piece, mm: room for a skirt (common practice, no source).
pub const AROUND: f64 = 5.0;

/// Extent of the near wall across its bar, above the bar, mm from the bar's outer side: beside the bar, so that a rod
/// passes it over the bar.
const NEAR_ACROSS: [f64; 2] = [8.0, 17.0];
/// Extent of the far wall across its bar, mm.
const FAR_ACROSS: f64 = 12.0;
/// Where the lengths to the near and the far wall are measured, mm across the bar: clear of corners.
const LINES: [f64; 2] = [12.5, 3.5];
/// Length, width and depth of a mark, mm.
const MARK: [f64; 3] = [4.0, 1.6, 0.8];

/// A bed that does not hold the piece.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("a bed of {0} × {1} mm", .bed.width, .bed.height)]
pub struct BedTooSmall {
    /// Width and depth, mm.
    pub bed: Size,
}

impl BedTooSmall {
    /// The least bed, mm.
    pub fn least() -> f64 {
        FAR.into_iter().fold(f64::INFINITY, f64::min) + BAR + 2.0 * AROUND
    }
}

/// The test piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Piece {
    /// Distances from the datum faces to the far walls along x and y, mm.
    pub far: [f64; 2],
}

/// A length to be measured on the piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distance {
    /// The axis that it lies along.
    pub axis: Axis,
    /// What it lies between.
    pub kind: LengthKind,
    /// Its nominal size, mm.
    pub length: f64,
    /// Where it is measured: mm from the other axis' datum face.
    pub line: f64,
    /// Height above the bed at which its two ends are touched, mm.
    pub heights: [f64; 2],
}

impl Piece {
    /// The piece for a bed of this width and depth, mm.
    ///
    /// # Errors
    /// [`BedTooSmall`] where two lengths [`APART`] do not fit on it.
    pub fn for_bed(bed: Size) -> Result<Self, BedTooSmall> {
        let far = |room: f64| FAR.into_iter().find(|far| far + BAR + 2.0 * AROUND <= room);
        match [bed.width, bed.height].map(far) {
            [Some(x), Some(y)] => Ok(Self { far: [x, y] }),
            _ => Err(BedTooSmall { bed }),
        }
    }

    /// Its size along x and y, mm.
    pub fn size(&self) -> [f64; 2] {
        self.far.map(|far| far + BAR)
    }

    /// Everything to be measured, in the order of the sheet and the form.
    pub fn distances(&self) -> Vec<Distance> {
        let between_walls = |axis: Axis, kind: LengthKind| {
            let walls = [NEAR, self.far[axis as usize]].into_iter().zip(LINES);
            walls.map(move |(wall, line)| {
                let low = 0.5 * (FRONT_RELIEF[1] + BAR_HEIGHT);
                let (length, high) = match kind {
                    LengthKind::SameWay => (wall, 0.5 * (BAR_HEIGHT + WALL_HEIGHT)),
                    LengthKind::Outside => (wall + BAR, low),
                };
                Distance { axis, kind, length, line, heights: [low, high] }
            })
        };
        Axis::ALL
            .into_iter()
            .flat_map(|axis| LengthKind::ALL.into_iter().flat_map(move |kind| between_walls(axis, kind)))
            .collect()
    }

    /// Outline of bars and walls at the height of the bars.
    pub fn outline(&self) -> Outline {
        let [ex, ey] = self.size();
        let [near, over] = [NEAR, NEAR + BAR];
        let reach = NEAR_ACROSS[1];
        let corners = [
            [0.0, 0.0],
            [ex, 0.0],
            [ex, FAR_ACROSS],
            [ex - BAR, FAR_ACROSS],
            [ex - BAR, BAR],
            [over, BAR],
            [over, reach],
            [near, reach],
            [near, BAR],
            [BAR, BAR],
            [BAR, near],
            [reach, near],
            [reach, over],
            [BAR, over],
            [BAR, ey - BAR],
            [FAR_ACROSS, ey - BAR],
            [FAR_ACROSS, ey],
            [0.0, ey],
        ];
        Outline::through(corners.map(|c| c.map(microns)))
    }

    /// Outlines of the walls above the bars.
    pub fn walls(&self) -> Region {
        let [ex, ey] = self.size();
        let near = [NEAR, NEAR + BAR];
        let far = [0.0, FAR_ACROSS];
        vec![
            rectangle(near, NEAR_ACROSS),
            rectangle([ex - BAR, ex], far),
            rectangle(NEAR_ACROSS, near),
            rectangle(far, [ey - BAR, ey]),
        ]
    }

    /// Outlines of the marks in the bars' tops: one on the arm along x, two on the one along y.
    pub fn marks(&self) -> Region {
        let [length, width, _] = MARK;
        let across = [(BAR - length) / 2.0, (BAR + length) / 2.0];
        let along = |middle: f64| [middle - width / 2.0, middle + width / 2.0];
        let [mx, my] = self.far.map(|far| (NEAR + BAR + far) / 2.0);
        let beside = 1.5 * width;
        vec![rectangle(along(mx), across), rectangle(across, along(my - beside)), rectangle(across, along(my + beside))]
    }

    /// The solid's slabs, from the bed up.
    pub fn stack(&self) -> Stack {
        let outline = self.outline();
        let foot = inset(&outline, microns(FRONT_RELIEF[0]));
        let mut marked = vec![outline.clone()];
        marked.extend(self.marks().iter().map(reversed));
        let levels = [0.0, FRONT_RELIEF[1], BAR_HEIGHT - MARK[2], BAR_HEIGHT, WALL_HEIGHT].map(microns);
        let regions = [vec![foot], vec![outline], marked, self.walls()];
        let slabs = regions.into_iter().zip(levels.windows(2)).map(|(region, z)| Slab { z: [z[0], z[1]], region });
        Stack { slabs: slabs.collect() }
    }
}

/// A counter-clockwise outline whose sides all run along the axes, each side moved inward by `by` µm.
fn inset(outline: &Outline, by: i32) -> Outline {
    let n = outline.len();
    let inward = |i: usize| {
        let (a, b) = (outline[i % n], outline[(i + 1) % n]);
        [-(b[1] - a[1]).signum(), (b[0] - a[0]).signum()]
    };
    let moved = |i: usize| {
        let (before, after) = (inward(i + n - 1), inward(i));
        [0, 1].map(|k| outline[i][k] + by * (before[k] + after[k]))
    };
    (0..n).map(moved).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::polygon::area;
    use crate::shape::polygon::doubled_area;
    use crate::solid;

    #[test]
    fn a_rectangle_is_inset_on_all_sides() {
        let o = rectangle([0.0, 10.0], [0.0, 5.0]);
        assert_eq!(inset(&o, 400), rectangle([0.4, 9.6], [0.4, 4.6]));
    }

    #[test]
    fn the_foot_lies_inside_by_the_relief_everywhere() {
        let piece = Piece::for_bed(Size::new(220.0, 220.0)).expect("a common bed");
        let outline = piece.outline();
        let perimeter: i32 = (0..outline.len())
            .map(|i| {
                let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
                (a[0] - b[0]).abs() + (a[1] - b[1]).abs()
            })
            .sum();
        let foot = inset(&outline, 400);
        assert!(doubled_area(&foot) > 0);
        // Of a right-angled outline with four more corners turning in than out, area falls by d·P − 4·d².
        let lost = area(&vec![outline]) - area(&vec![foot]);
        assert!((lost - (0.4 * f64::from(perimeter) / 1000.0 - 4.0 * 0.16)).abs() < 1e-9, "{lost}");
    }

    #[test]
    fn the_piece_suits_the_bed_or_is_refused() {
        assert_eq!(Piece::for_bed(Size::new(220.0, 220.0)).map(|p| p.size()), Ok([146.0, 146.0]));
        assert_eq!(Piece::for_bed(Size::new(150.0, 220.0)).map(|p| p.size()), Ok([126.0, 146.0]));
        assert_eq!(Piece::for_bed(Size::new(136.0, 136.0)).map(|p| p.far), Ok([120.0; 2]));
        assert!(Piece::for_bed(Size::new(135.9, 300.0)).is_err());
        assert_eq!(BedTooSmall::least(), 136.0);
    }

    #[test]
    fn every_piece_is_a_sound_solid_of_little_plastic() {
        for bed in [(220.0, 220.0), (150.0, 150.0), (140.0, 400.0)] {
            let piece = Piece::for_bed(bed.into()).expect("large enough");
            let block = solid::build(piece.stack()).expect("closed, of the slabs' volume");
            // PLA of 1.24 g/cm³ (from memory), printed solid.
            let grams = block.stack.volume() / 1000.0 * 1.24;
            assert!(grams < 15.0, "{grams}");
            for kind in LengthKind::ALL {
                for axis in Axis::ALL {
                    let of = piece.distances().into_iter().filter(|d| d.kind == kind && d.axis == axis);
                    let lengths: Vec<f64> = of.map(|d| d.length).collect();
                    assert!(lengths[1] - lengths[0] >= APART && lengths[1] <= 150.0, "{lengths:?}");
                }
            }
        }
    }
}
