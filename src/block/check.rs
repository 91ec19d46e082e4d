//! Measures a written STL: the fence distance of every lane, by rays through the mesh that a printer will get.
//!
//! In each lane, at both sides of the widest blade, one ray at half the board's height finds the reference edge
//! and one at the height of the cutting edge finds the fence; both start outside the block and run square to the edge.
//! The file is read once, triangle by triangle, and each is tried only with the rays over its own extent in `x`.

use super::Layout;
use crate::layout::Placed;
use crate::solid::probe::{self, ALLOWED, Facet};
use crate::terms::Edge;

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
    #[error("the written STL cannot be read back")]
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

/// Reads `stl` back and measures every lane of `layout` in it; `factors` are what the file's axes were multiplied by to
/// make up for the printer's scale.
///
/// # Errors
/// [`Mismeasured`]: unreadable, a wall missing, or a fence off by more than [`ALLOWED`].
pub fn measure(stl: &[u8], layout: &Layout, factors: [f64; 3]) -> Result<Vec<Reading>, Mismeasured> {
    let mut rays: Vec<Ray> = layout.lanes.iter().flat_map(|placed| rays(layout, placed)).collect();
    let mut by_x: Vec<(f64, usize)> = rays.iter().enumerate().map(|(i, ray)| (ray.x, i)).collect();
    by_x.sort_unstable_by(|a, b| a.0.total_cmp(&b.0));
    probe::for_each_facet(stl, factors, |wall| {
        let [low, high] = probe::extent(wall, 0);
        let first = by_x.partition_point(|&(x, _)| x < low);
        for &(_, i) in by_x[first..].iter().take_while(|&&(x, _)| x <= high) {
            rays[i].try_on(wall);
        }
    })?;
    layout.lanes.iter().zip(rays.as_chunks::<4>().0).map(|(placed, rays)| read_lane(placed, rays)).collect()
}

/// A line along `y`, and the first wall it meets coming from outside the block.
struct Ray {
    x: f64,
    z: f64,
    from: Edge,
    met: Option<f64>,
}

impl Ray {
    fn try_on(&mut self, wall: &Facet) {
        let [low, high] = probe::extent(wall, 2);
        if self.z < low || self.z > high {
            return;
        }
        let Some(y) = probe::crossing(wall, 1, [self.x, self.z]) else { return };
        self.met = Some(match (self.met, self.from) {
            (None, _) => y,
            (Some(met), Edge::Near) => met.min(y),
            (Some(met), Edge::Far) => met.max(y),
        });
    }
}

/// The rays of a lane: to its edge and its fence on the blade's left, then on its right.
fn rays(layout: &Layout, placed: &Placed) -> [Ray; 4] {
    // Just inside the widest blade's sides, clear of any corner of the plan.
    let half = placed.blade_width * 0.4987;
    let [left, right] = [placed.centre - half, placed.centre + half];
    let edge = layout.thickness / 2.0;
    let fence = layout.thickness + placed.lane.setting.section.thickness;
    [[left, edge], [left, fence], [right, edge], [right, fence]].map(|[x, z]| Ray {
        x,
        z,
        from: placed.edge,
        met: None,
    })
}

fn read_lane(placed: &Placed, rays: &[Ray; 4]) -> Result<Reading, Mismeasured> {
    let id = &placed.lane.request.id;
    let met = |i: usize, what| rays[i].met.ok_or_else(|| Mismeasured::Missing { id: id.clone(), what });
    let distance = |i: usize| -> Result<f64, Mismeasured> {
        let (edge, fence) = (met(i, "edge")?, met(i + 1, "fence")?);
        Ok((fence - edge).abs())
    };
    let reading = Reading { id: id.clone(), wanted: placed.lane.fence(), measured: [distance(0)?, distance(2)?] };
    match reading.difference() {
        difference if difference > ALLOWED => Err(Mismeasured::Off { id: id.clone(), difference }),
        _ => Ok(reading),
    }
}
