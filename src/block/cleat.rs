//! The printed cleat: a bar screwed under the block, whose sides hang on the bench's edge and hold the overhang.
//!
//! It is printed lying, its holes upright, and so needs no support.

use kurbo::{Point, Rect};

use super::Layout;
use crate::shape::polygon::{Region, rectangle, round_hole};
use crate::shape::stack::{Slab, Stack};

/// Height of the cleat, mm.
pub const HEIGHT: f64 = 18.0;
/// Material around a hole, mm.
const AROUND: f64 = 8.0;
/// Diameter of the pilot holes, mm: about three quarters of the shank of a No. 8 wood screw (common practice, no
/// source).
pub const PILOT: f64 = 3.2;
/// How far the screws reach into the cleat at least, mm.
const BITE: f64 = 12.0;

/// The cleat of a block.
#[derive(Debug, Clone, PartialEq)]
pub struct Cleat {
    /// Where it lies in the block's plan, mm.
    pub area: Rect,
    /// Its slabs, lying as it is printed, its corner at the origin.
    pub stack: Stack,
    /// Shortest and longest screws that hold it, mm.
    pub screws: [f64; 2],
}

/// The cleat of `layout`.
///
/// # Errors
/// Why there is none, in words: no two holes, or an edge with lanes that would not overhang far enough.
pub fn cleat_of(layout: &Layout) -> Result<Cleat, String> {
    let [first, .., last] = layout.screw_holes[..] else {
        return Err("no cleat: the raised middle has no room for two screw holes".into());
    };
    let area = Rect::from_points(first, last).inset(AROUND);
    let overhangs = [("near", &layout.near, area.y0), ("far", &layout.far, layout.depth - area.y1)];
    for (edge, strips, overhang) in overhangs {
        if strips.iter().any(|s| s.lane.is_some()) && overhang < layout.overhang {
            return Err(format!(
                "no cleat: with it the {edge} edge would stick out {} past the bench, and the roller needs {}",
                layout.written.under(overhang),
                layout.written.over(layout.overhang)
            ));
        }
    }
    let relief = layout.front_relief.unwrap_or([0.0, 0.0]);
    let size = area.size();
    let region = |inset: f64| -> Region {
        let outline = rectangle([inset, size.width - inset], [inset, size.height - inset]);
        // Seen from below, as it is printed, the block's plan is mirrored.
        let holes = layout.screw_holes.iter().map(|c| Point::new(c.x - area.x0, area.y1 - c.y));
        std::iter::once(outline).chain(holes.map(|c| round_hole(c, PILOT / 2.0 + inset))).collect()
    };
    let levels = [0.0, relief[1], HEIGHT].map(crate::shape::polygon::microns);
    let slabs = [region(relief[0]), region(0.0)].into_iter().zip(levels.windows(2));
    let stack = Stack {
        slabs: slabs.filter(|(_, z)| z[0] < z[1]).map(|(region, z)| Slab { z: [z[0], z[1]], region }).collect(),
    };
    let through = layout.thickness + layout.fence_height;
    Ok(Cleat { area, stack, screws: [through + BITE, through + HEIGHT - 1.0] })
}
