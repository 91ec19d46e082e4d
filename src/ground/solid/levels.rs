//! What meets at each height of a stack of slabs: the caps that look up and down, and every corner that lies there.
//!
//! Mesh and shell are both built from these. At a level, every outline that meets there is split at every corner that
//! lies on it, so that walls and caps agree on their edges. Corners go by their place in the level's sorted list.
//!
//! The caps are exact where outlines of neighbouring slabs cross, if they do, along sides parallel to the axes only;
//! elsewhere a crossing would be no whole micrometre, and the checks of the finished solid refuse it.

use i_overlay::core::fill_rule::FillRule;

use crate::cores;
use crate::shape::polygon::{Corner, Outline, Region, areas, doubled_area};
use crate::shape::stack::Stack;

/// A flat area whose sides are split: an outer outline and its holes, each as places in the level's corners.
pub type Cap = Vec<Vec<u32>>;

/// What meets at one height.
#[derive(Debug, Clone, PartialEq)]
pub struct Level {
    /// Height, µm.
    pub z: i32,
    /// All corners that lie here, sorted, each once.
    pub corners: Vec<Corner>,
    /// Areas of the slab below that nothing stands on.
    pub up: Vec<Cap>,
    /// Areas of the slab above that stand on nothing; they wind as seen from above.
    pub down: Vec<Cap>,
}

/// The levels of `stack` from below: one more than it has slabs.
pub fn levels_of(stack: &Stack) -> Vec<Level> {
    let none = Region::new();
    let slabs = &stack.slabs;
    let heights = slabs.iter().map(|s| s.z[0]).chain(slabs.last().map(|s| s.z[1]));
    let heights: Vec<(usize, i32)> = heights.enumerate().collect();
    cores::each(&heights, 1, |&(i, z)| {
        let below = i.checked_sub(1).map_or(&none, |i| &slabs[i].region);
        let above = slabs.get(i).map_or(&none, |s| &s.region);
        Level::new(z, below, above)
    })
}

impl Level {
    fn new(z: i32, below: &Region, above: &Region) -> Self {
        let [up, down] = differences(below, above);
        let outlines = below.iter().chain(above).chain(up.iter().flatten()).chain(down.iter().flatten());
        let mut corners: Vec<Corner> = outlines.flatten().copied().collect();
        corners.sort_unstable();
        corners.dedup();
        let mut level = Self { z, corners, up: Vec::new(), down: Vec::new() };
        level.up = up.iter().map(|region| level.split(region)).collect();
        level.down = down.iter().map(|region| level.split(region)).collect();
        level
    }

    fn split(&self, region: &Region) -> Cap {
        let split = |outline: &Outline| {
            let mut whole = Vec::with_capacity(outline.len());
            for [from, to] in sides(&self.places(outline)) {
                self.run(from, to, &mut whole);
            }
            whole
        };
        region.iter().map(split).collect()
    }

    /// Where the corners of an outline that meets this level stand in its list.
    pub fn places(&self, outline: &[Corner]) -> Vec<u32> {
        outline.iter().map(|corner| self.corners.partition_point(|c| c < corner) as u32).collect()
    }

    /// The corners of a side, split, both ends included.
    pub fn side(&self, [from, to]: [u32; 2]) -> Vec<u32> {
        let mut run = Vec::new();
        self.run(from, to, &mut run);
        run.push(to);
        run
    }

    /// Appends the run from one corner to another: the first, then all that lie between them; not the last.
    fn run(&self, from: u32, to: u32, run: &mut Vec<u32>) {
        let [a, b] = [from, to].map(|i| self.corners[i as usize]);
        // A point between two others comes between them in the order, too.
        let lies_on = |&i: &u32| cross(a, b, self.corners[i as usize]) == 0;
        run.push(from);
        if from < to {
            run.extend((from + 1..to).filter(lies_on));
        } else {
            run.extend((to + 1..from).rev().filter(lies_on));
        }
    }
}

/// The sides of a closed outline, each as its two ends.
pub fn sides<T: Copy>(outline: &[T]) -> impl Iterator<Item = [T; 2]> + '_ {
    outline.iter().zip(outline.iter().cycle().skip(1)).map(|(a, b)| [*a, *b])
}

/// `a` less `b`, and `b` less `a`: areas with their holes, exact on the grid.
///
/// Outlines that wind around material make its winding number 1, and 0 elsewhere. The difference of the two winding
/// numbers is thus 1 in `a` alone and −1 in `b` alone; outlines common to both add nothing to it and are left out.
fn differences(a: &Region, b: &Region) -> [Vec<Region>; 2] {
    let outlines = apart(a, b);
    let total: i64 = outlines.iter().map(|o| doubled_area(o)).sum();
    let [mut up, mut down] = [Vec::new(), Vec::new()];
    // Where one difference already has the total area the other has none: most levels need one overlay only.
    if total >= 0 {
        up = areas(&outlines, FillRule::Positive);
    }
    if doubled(&up) != total {
        down = areas(&outlines, FillRule::Negative);
    }
    if total < 0 && -doubled(&down) != total {
        up = areas(&outlines, FillRule::Positive);
    }
    [up, down]
}

/// The outlines of `a` that `b` lacks, and those of `b` that `a` lacks, reversed.
fn apart(a: &Region, b: &Region) -> Vec<Outline> {
    fn sorted(region: &Region) -> Vec<&Outline> {
        let mut outlines: Vec<&Outline> = region.iter().collect();
        outlines.sort_unstable();
        outlines
    }
    let [in_a, in_b] = [sorted(a), sorted(b)];
    let of_a = a.iter().filter(|o| in_b.binary_search(o).is_err()).cloned();
    let of_b = b.iter().filter(|o| in_a.binary_search(o).is_err()).map(|o| o.iter().rev().copied().collect());
    of_a.chain(of_b).collect()
}

fn doubled(regions: &[Region]) -> i64 {
    regions.iter().flatten().map(|o| doubled_area(o)).sum()
}

fn cross(a: Corner, b: Corner, c: Corner) -> i64 {
    i64::from(b[0] - a[0]) * i64::from(c[1] - a[1]) - i64::from(b[1] - a[1]) * i64::from(c[0] - a[0])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A step that is as wide above as it is below: neither difference can be told from the sum of both.
    #[test]
    fn what_is_as_large_above_as_below_is_found_in_both() {
        let plate = |x: i32| vec![Outline::through([[x, 0], [x + 50, 0], [x + 50, 80], [x, 80]])];
        let [up, down] = differences(&plate(0), &plate(20));
        assert_eq!([doubled(&up), doubled(&down)], [2 * 20 * 80; 2]);
        let left = |regions: &[Region]| regions.iter().flatten().flatten().map(|corner| corner[0]).min();
        assert_eq!([left(&up), left(&down)], [Some(0), Some(50)]);
    }
}
