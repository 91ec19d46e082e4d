//! Sizes of a block, as far as its lanes feel them or a user states them.

use crate::terms::Labels;

/// How well a fence can be placed unless the job says otherwise, ± mm.
pub const DEFAULT_FENCE_WITHIN: f64 = 0.1;

/// Sizes of the block, in mm.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockOptions {
    /// Thickness at the edge; `None`: 12 mm, or less where a roller would strike it.
    pub thickness: Option<f64>,
    /// Height of the fences above the table; `None`: from the thickest blade.
    pub fence_height: Option<f64>,
    /// Least thickness of the raised middle; `None`: 12 mm, or what its lettering needs.
    pub middle: Option<f64>,
    /// Free width beside the widest blade, each side.
    pub clearance: f64,
    /// A groove at the foot of each fence.
    pub foot_relief: bool,
    /// A rebate along the bottom edges.
    pub front_relief: bool,
    /// Centre and square lines in the tables.
    pub marks: bool,
    /// Screw holes through the raised middle.
    pub screw_holes: bool,
    /// A printed cleat beside the block.
    pub cleat: bool,
    /// Lettering on the raised middle.
    pub labels: Labels,
    /// How well a fence can be placed, ±.
    pub fence_within: f64,
}

impl Default for BlockOptions {
    fn default() -> Self {
        Self {
            thickness: None,
            fence_height: None,
            middle: None,
            clearance: 2.0,
            foot_relief: true,
            front_relief: true,
            marks: true,
            screw_holes: true,
            cleat: false,
            labels: Labels::Sunk,
            fence_within: DEFAULT_FENCE_WITHIN,
        }
    }
}

/// Width and depth of the groove at the fence's foot, mm.
pub const FOOT_RELIEF: [f64; 2] = [1.0, 0.6];

/// How far off an angle may be unless the job says otherwise, ± degrees.
pub const DEFAULT_TOLERANCE: f64 = 0.5;

/// Width and height of the rebate along the bottom of the block's edges, mm: a printed first layer spreads by some
/// tenths, over two or three layers of 0.2 mm.
pub const FRONT_RELIEF: [f64; 2] = [0.4, 0.6];

/// A block is never made thinner for a roller to clear it, mm: it would be no board.
pub const LEAST_THICKNESS: f64 = 4.0;

/// Thickness of a block at its edge where nothing else decides, mm.
pub const USUAL_THICKNESS: f64 = 12.0;
