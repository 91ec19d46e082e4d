//! The stack of horizontal slabs that makes up the block, `z = 0` on the printer's bed.
//!
//! From below: the foot inside the front relief, the board, the level of grooves and marks, the raised middle, and its
//! labels, sunk into it or standing on it. Every slab lies within the one below it but for the front relief, which
//! overhangs by 0.4 mm: nothing needs a support.

use super::{Layout, regions};
use crate::shape::polygon::microns;
use crate::shape::stack::{Slab, Stack};
use crate::solid::{self, NotSound, Solid};

/// The slabs of `layout`.
pub fn stack_of(layout: &Layout) -> Stack {
    let regions = regions::regions_of(layout);
    let top = microns(layout.thickness);
    let cut = !(regions.grooves.is_empty() && regions.marks.is_empty());
    let cut_depth = layout.foot_relief.map_or(crate::lane::FOOT_RELIEF[1], |[_, depth]| depth);
    let relief = layout.front_relief.map_or(0, |[_, height]| microns(height));
    let groove_floor = if cut { top - microns(cut_depth) } else { top };
    let fences = top + microns(layout.fence_height);
    let depth = microns(layout.label_depth);
    let (sunk, raised) = (regions.lettered.as_ref().map_or(0, |_| depth), regions.raised.as_ref().map_or(0, |_| depth));
    let levels = [0, relief, groove_floor, top, fences - sunk, fences, fences + raised];
    let regions = [
        Some(regions.foot),
        Some(regions.board),
        Some(regions.grooved),
        Some(regions.middle),
        regions.lettered,
        regions.raised,
    ];
    let slabs = regions
        .into_iter()
        .zip(levels.windows(2))
        .filter(|(_, z)| z[0] < z[1])
        .filter_map(|(region, z)| Some(Slab { z: [z[0], z[1]], region: region? }))
        .collect();
    Stack { slabs }
}

/// Builds the block.
///
/// # Errors
/// [`NotSound`], should the mesh fail any of its checks: closed, and the expected signed volume.
pub fn build(layout: &Layout) -> Result<Solid, NotSound> {
    solid::build(stack_of(layout))
}
