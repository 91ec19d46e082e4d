//! What fence strips are cut from, and the screws and washers that hold them.

use crate::job::wood::WoodOptions;
use crate::lane::Lane;
use crate::layout::{self, FENCE_OVER_BLADE};
use crate::units::falls_short;
use crate::wood::timber::{Cut, Species, Stuff};

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
    /// Height above the table, mm.
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

/// The stock that the options, the blades and a board `board` mm thick ask for.
pub fn stock(options: &WoodOptions, lanes: &[Lane], board: f64, refusals: &mut Vec<String>) -> FenceStock {
    let choose = options.written;
    let fixing = choose.choose(FIXING[0], FIXING[1]);
    let least = layout::thickest(lanes) + FENCE_OVER_BLADE;
    let heights = choose.choose(HEIGHTS[0], HEIGHTS[1]);
    let usual = heights.iter().copied().find(|h| !falls_short(*h, least)).unwrap_or_else(|| {
        let step = super::step(choose);
        (least / step).ceil() * step
    });
    let height = options.fence_height.unwrap_or(usual);
    if falls_short(height, least) {
        refusals.push(format!(
            "wood.fences.height: fences {} high are too low. Over the thickest blade they need at least {}",
            choose.length(height),
            choose.over(least)
        ));
    }
    let width = options.fence_width.unwrap_or(choose.choose(20.0, 19.05));
    let soft = options.fence_species.is_soft();
    let facing = options.facing.unwrap_or(if soft { choose.choose(1.5, 1.5875) } else { 0.0 });
    let least = fixing.washer + 2.0 + facing;
    if falls_short(width, least) {
        refusals.push(format!(
            "wood.fences.width: fences {} wide are too narrow. Their washers and facing need {}",
            choose.length(width),
            choose.over(least)
        ));
    }
    let screw = screw_length(choose.choose(LENGTHS[0], LENGTHS[1]), height, board).unwrap_or_else(|| {
        refusals.push(format!(
            "wood.board.thickness: no common screw holds a strip {} high on a board of {}: at least {} of it must be in the board",
            choose.length(height),
            choose.length(board),
            choose.over(LEAST_HOLD)
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
