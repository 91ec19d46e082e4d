//! Horizontal slabs, one upon the other, `z = 0` on the printer's bed.

use super::polygon::{self, Region};

/// A horizontal slab.
#[derive(Debug, Clone, PartialEq)]
pub struct Slab {
    /// Bottom and top, µm.
    pub z: [i32; 2],
    /// Its area.
    pub region: Region,
}

/// The slabs from below, each standing on the last.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// The slabs.
    pub slabs: Vec<Slab>,
}

impl Stack {
    /// Volume of the block, mm³: areas times heights, exact to rounding.
    pub fn volume(&self) -> f64 {
        self.slabs.iter().map(|s| polygon::area(&s.region) * f64::from(s.z[1] - s.z[0]) / 1000.0).sum()
    }

    /// Height of the block, mm.
    pub fn height(&self) -> f64 {
        self.slabs.last().map_or(0.0, |s| f64::from(s.z[1]) / 1000.0)
    }
}
