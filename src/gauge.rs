//! Measures a written STL: the fence distance of every lane, by rays through the mesh that a printer will get.
//!
//! In each lane, at both sides of the widest blade, one ray at half the board's height finds the registering edge
//! and one at the height of the cutting edge finds the fence; both start outside the block and run square to the edge.

use std::io::Cursor;

use crate::layout::{Layout, Placed};
use crate::profile::job::EdgeFile;

/// A fence may be this far from where it was meant in the file, mm: the grid of the corners is 1 µm.
pub const ALLOWED: f64 = 0.001;

/// What was measured in one lane.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The lane.
    pub id: String,
    /// The fence distance that was meant, mm.
    pub wanted: f64,
    /// Fence distances at the blade's two sides, mm.
    pub measured: [f64; 2],
}

impl Reading {
    /// The larger difference from what was meant, mm.
    pub fn difference(&self) -> f64 {
        self.measured.iter().map(|m| (m - self.wanted).abs()).fold(0.0, f64::max)
    }
}

/// Why a written file cannot be trusted. These are faults of the program, not of the user.
#[derive(Debug, thiserror::Error)]
pub enum Mismeasured {
    /// It is not an STL.
    #[error("the written STL cannot be read back: {0}")]
    Unreadable(#[from] std::io::Error),
    /// A ray met nothing.
    #[error("lane {id}: no {what} was found in the written STL")]
    Missing {
        /// The lane.
        id: String,
        /// Edge or fence.
        what: &'static str,
    },
    /// A fence is not where it was meant.
    #[error(
        "lane {id}: the written fence is {difference:.4} mm from where it was meant; at most {ALLOWED} mm is allowed"
    )]
    Off {
        /// The lane.
        id: String,
        /// mm.
        difference: f64,
    },
}

/// Reads `stl` back and measures every lane of `layout` in it.
///
/// # Errors
/// [`Mismeasured`]: unreadable, a wall missing, or a fence off by more than [`ALLOWED`].
pub fn measure(stl: &[u8], layout: &Layout) -> Result<Vec<Reading>, Mismeasured> {
    let mesh = stl_io::read_stl(&mut Cursor::new(stl))?;
    let corners: Vec<[f64; 3]> = mesh.vertices.iter().map(|v| [v[0], v[1], v[2]].map(f64::from)).collect();
    let walls: Vec<[[f64; 3]; 3]> = mesh.faces.iter().map(|f| f.vertices.map(|i| corners[i])).collect();
    layout.lanes.iter().map(|placed| read_lane(&walls, layout, placed)).collect()
}

fn read_lane(walls: &[[[f64; 3]; 3]], layout: &Layout, placed: &Placed) -> Result<Reading, Mismeasured> {
    let id = &placed.lane.request.id;
    // Just inside the widest blade's sides, clear of any corner of the plan.
    let half = placed.blade_width * 0.4987;
    let edge_height = layout.thickness + placed.lane.setting.section.thickness;
    let mut measured = [0.0; 2];
    for (reading, x) in measured.iter_mut().zip([placed.centre - half, placed.centre + half]) {
        let missing = |what| Mismeasured::Missing { id: id.clone(), what };
        let edge = first_wall(walls, x, layout.thickness / 2.0, placed.edge).ok_or_else(|| missing("edge"))?;
        let fence = first_wall(walls, x, edge_height, placed.edge).ok_or_else(|| missing("fence"))?;
        *reading = (fence - edge).abs();
    }
    let reading = Reading { id: id.clone(), wanted: placed.lane.fence(), measured };
    match reading.difference() {
        difference if difference > ALLOWED => Err(Mismeasured::Off { id: id.clone(), difference }),
        _ => Ok(reading),
    }
}

/// `y` of the first wall that a ray along `y` meets at (`x`, `z`), coming from outside the block at `edge`.
fn first_wall(walls: &[[[f64; 3]; 3]], x: f64, z: f64, edge: EdgeFile) -> Option<f64> {
    let hits = walls.iter().filter_map(|t| crossing(t, x, z));
    match edge {
        EdgeFile::Near => hits.reduce(f64::min),
        EdgeFile::Far => hits.reduce(f64::max),
    }
}

/// `y` where the line along `y` through (`x`, `z`) crosses a triangle, its border included.
fn crossing(triangle: &[[f64; 3]; 3], x: f64, z: f64) -> Option<f64> {
    let [a, b, c] = triangle.map(|p| [p[0] - x, p[2] - z]);
    let area = |p: [f64; 2], q: [f64; 2]| p[0] * q[1] - p[1] * q[0];
    let weights = [area(b, c), area(c, a), area(a, b)];
    let total: f64 = weights.iter().sum();
    // A triangle seen edge-on has no crossing of its own; its neighbours have.
    if total == 0.0 || weights.iter().any(|w| w * total < 0.0) {
        return None;
    }
    Some((weights[0] * triangle[0][1] + weights[1] * triangle[1][1] + weights[2] * triangle[2][1]) / total)
}
