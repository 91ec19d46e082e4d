//! The order of the lanes along each edge, and the depth it needs.
//!
//! Two strips on opposite edges that come nearer than the raised middle's thickness `m` along the edge must leave `m`
//! between their fences: `depth ≥ F_near + F_far + m`. Near edge by falling, far edge by rising fence distance, with
//! any unused length of an edge at its short end, needs the least depth of all orders. For take the near lanes with a
//! fence beyond some value: they cover some length ℓ of the edge, and, wherever they stand, at least ℓ + m of the far
//! edge is within `m` of them (or all of it). A far lane that the rule brings within reach of them is there because
//! the lanes shorter than it, and the unused length, do not fill ℓ + m; so in every order some far lane as long or
//! longer comes within reach of these near lanes. Margins at the ends count as width of the end lane.
//!
//! The middle is then at least `m` thick everywhere: between two fences by the depth; between a step of one edge and a
//! step of the other since strips less than `m` apart count as opposite; along an edge because no filler is narrower.

use kurbo::Size;
use std::cmp::Ordering;

use super::SETBACK;
use super::edges::{Item, Shared};

/// What the depth of a printed block is a multiple of, mm.
pub const STEP: f64 = 1.0;

/// Part of an edge with one fence distance.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// Extent along the edge, mm.
    pub x: [f64; 2],
    /// Fence distance from its edge, mm.
    pub fence: f64,
    /// The lane, or `None` for a filler.
    pub lane: Option<StripLane>,
}

/// The lane of a strip.
#[derive(Debug, Clone, PartialEq)]
pub struct StripLane {
    /// Which of the lanes it is.
    pub index: usize,
    /// Where the middle of the blade goes, mm.
    pub centre: f64,
    /// Width of the widest blade, mm.
    pub blade_width: f64,
}

/// The plan: both edges over one length and depth.
#[derive(Debug, Clone, PartialEq)]
pub struct LanePlan {
    /// Size along the edges, mm.
    pub length: f64,
    /// Size from edge to edge, mm, a whole number of steps.
    pub depth: f64,
    /// Least thickness of the middle, mm.
    pub middle: f64,
    /// The near edge from left to right: fence distances fall.
    pub near: Vec<Strip>,
    /// The far edge from left to right: fence distances rise.
    pub far: Vec<Strip>,
}

impl LanePlan {
    /// Lowest and highest `y` that the middle has everywhere between `x[0]` and `x[1]`.
    pub fn middle_between(&self, x: [f64; 2]) -> [f64; 2] {
        // Strips are in order of x: near fences fall, far ones rise.
        let near = self.near.iter().skip(self.near.partition_point(|s| s.x[1] <= x[0]));
        let far = self.far[..self.far.partition_point(|s| s.x[0] < x[1])].iter().rev();
        let near = near.take_while(|s| s.x[0] < x[1]).map(|s| s.fence);
        let far = far.take_while(|s| s.x[1] > x[0]).map(|s| s.fence);
        [near.fold(0.0, f64::max), self.depth - far.fold(0.0, f64::max)]
    }
}

/// Orders the lanes and finds length and depth; `middle` is the least thickness of the middle, mm, and `step` what the
/// depth is a multiple of, mm.
pub fn plan(shared: &Shared, middle: f64, step: f64) -> LanePlan {
    let (mut near, mut far) = (shared.near.clone(), shared.far.clone());
    near.sort_by(near_order);
    far.sort_by(far_order);
    let mut rows = Rows::default();
    let size = rows.size([&near, &far], middle, step);
    LanePlan { length: size.width, depth: size.height, middle, near: rows.near, far: rows.far }
}

/// Order of the lanes along the near edge, from left to right.
pub fn near_order(a: &Item, b: &Item) -> Ordering {
    b.fence.total_cmp(&a.fence).then(a.index.cmp(&b.index))
}

/// Order of the lanes along the far edge, from left to right.
pub fn far_order(a: &Item, b: &Item) -> Ordering {
    a.fence.total_cmp(&b.fence).then(a.index.cmp(&b.index))
}

/// The strips of both edges, kept for the next plan by who tries many.
#[derive(Debug, Clone, Default)]
pub struct Rows {
    near: Vec<Strip>,
    far: Vec<Strip>,
}

impl Rows {
    /// Length and depth, mm, of the plan of near and far lanes that are in their order already.
    pub fn size(&mut self, [near, far]: [&[Item]; 2], middle: f64, step: f64) -> Size {
        let length = needed(near).max(needed(far));
        strips(&mut self.near, near, length, middle, Unused::Right);
        strips(&mut self.far, far, length, middle, Unused::Left);
        let depth = depth(&self.near, &self.far, middle);
        Size::new(length, (depth / step - 1e-9).ceil() * step)
    }
}

/// Depth, mm, that the strips need for a middle `m` mm thick.
pub fn depth(near: &[Strip], far: &[Strip], m: f64) -> f64 {
    let mut depth = 0f64;
    // Both lists are in order of x: walk the pairs that come within m of each other.
    let mut first = 0;
    for n in near {
        while first < far.len() && far[first].x[1] + m <= n.x[0] {
            first += 1;
        }
        for f in far[first..].iter().take_while(|f| f.x[0] < n.x[1] + m) {
            depth = depth.max(n.fence + f.fence + m);
        }
    }
    depth
}

/// Length, mm, that lanes in their order need along an edge, with the margins of the end lanes.
pub fn needed(items: &[Item]) -> f64 {
    let margins = items.first().map_or(0.0, |i| i.margin) + items.last().map_or(0.0, |i| i.margin);
    margins + items.iter().map(|i| i.width).sum::<f64>()
}

/// At which end an edge's unused length goes: that of its shortest fence.
#[derive(Clone, Copy, PartialEq)]
enum Unused {
    Left,
    Right,
}

fn strips(all: &mut Vec<Strip>, items: &[Item], length: f64, middle: f64, unused: Unused) {
    all.clear();
    if items.is_empty() {
        // No lane registers on this edge, so the middle may be flush with it.
        all.push(Strip { x: [0.0, length], fence: 0.0, lane: None });
        return;
    }
    let spare = length - needed(items);
    // A filler narrower than the middle may be would be a thin tongue: the end lane takes that length.
    let filler = if spare >= middle { spare } else { 0.0 };
    let (mut left, mut right) = (items[0].margin, items[items.len() - 1].margin);
    match unused {
        Unused::Left => left += spare - filler,
        Unused::Right => right += spare - filler,
    }
    let mut x = 0.0;
    if unused == Unused::Left && filler > 0.0 {
        all.push(Strip { x: [0.0, filler], fence: SETBACK, lane: None });
        x = filler;
    }
    for (i, item) in items.iter().enumerate() {
        let before = if i == 0 { left } else { 0.0 };
        let after = if i + 1 == items.len() { right } else { 0.0 };
        let end = x + before + item.width + after;
        all.push(Strip {
            x: [x, end],
            fence: item.fence,
            lane: Some(StripLane {
                index: item.index,
                centre: x + before + item.width / 2.0,
                blade_width: item.blade_width,
            }),
        });
        x = end;
    }
    if unused == Unused::Right && filler > 0.0 {
        all.push(Strip { x: [x, length], fence: SETBACK, lane: None });
    }
    if let Some(last) = all.last_mut() {
        last.x[1] = length;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn items(sizes: &[(f64, f64)]) -> Vec<Item> {
        sizes
            .iter()
            .enumerate()
            .map(|(index, &(fence, width))| Item { index, fence, width, blade_width: width - 4.0, margin: 0.0 })
            .collect()
    }

    #[test]
    fn the_middle_is_that_of_the_strips_between_not_of_those_that_touch() {
        let row = |strips: [([f64; 2], f64); 3]| strips.map(|(x, fence)| Strip { x, fence, lane: None }).to_vec();
        let near = row([([0.0, 10.0], 30.0), ([10.0, 20.0], 20.0), ([20.0, 30.0], 10.0)]);
        let far = row([([0.0, 10.0], 5.0), ([10.0, 20.0], 15.0), ([20.0, 30.0], 25.0)]);
        let plan = LanePlan { length: 30.0, depth: 60.0, middle: 10.0, near, far };
        assert_eq!(plan.middle_between([10.0, 20.0]), [20.0, 45.0]);
        assert_eq!(plan.middle_between([9.0, 20.0]), [30.0, 45.0]);
        assert_eq!(plan.middle_between([10.0, 21.0]), [20.0, 35.0]);
    }

    fn in_row(items: &[Item], gap_at: usize, gap: f64) -> Vec<Strip> {
        let (mut x, mut row) = (0.0, Vec::new());
        let mut push = |width: f64, fence: f64| {
            if width > 0.0 {
                row.push(Strip { x: [x, x + width], fence, lane: None });
                x += width;
            }
        };
        for (i, item) in items.iter().enumerate() {
            if i == gap_at {
                push(gap, SETBACK);
            }
            push(item.width, item.fence);
        }
        if gap_at == items.len() {
            push(gap, SETBACK);
        }
        row
    }

    /// Free edge beside the lanes at the ends, whatever the other edge leaves unused: a filler is set back, and a face does
    /// not bear on it.
    #[test]
    fn lanes_at_the_ends_keep_their_margins() {
        let with_margins = |sizes: &[(f64, f64)]| -> Vec<Item> {
            items(sizes).into_iter().map(|item| Item { margin: 6.0, ..item }).collect()
        };
        // Nothing unused, less than a middle, and a filler.
        for width in [90.0, 80.0, 30.0] {
            let [long, short] = [with_margins(&[(30.0, 45.0), (20.0, 45.0)]), with_margins(&[(15.0, width)])];
            for (near, far) in [(&long, &short), (&short, &long)] {
                let plan = plan(&Shared { near: near.clone(), far: far.clone() }, 12.0, 1.0);
                for (strips, items) in [(&plan.near, near), (&plan.far, far)] {
                    let lanes: Vec<_> = strips.iter().filter_map(|s| s.lane.as_ref().map(|l| (s.x, l))).collect();
                    let half = |lane: &StripLane| items[lane.index].width / 2.0;
                    let ([start, _], first) = lanes[0];
                    let ([_, end], last) = lanes[lanes.len() - 1];
                    assert!(first.centre - half(first) - start >= 6.0, "{width}: {strips:?}");
                    assert!(end - last.centre - half(last) >= 6.0, "{width}: {strips:?}");
                }
            }
        }
    }

    fn permutations(items: &[Item]) -> Vec<Vec<Item>> {
        if items.is_empty() {
            return vec![Vec::new()];
        }
        let mut all = Vec::new();
        for i in 0..items.len() {
            let mut rest = items.to_vec();
            let one = rest.remove(i);
            for mut p in permutations(&rest) {
                p.insert(0, one.clone());
                all.push(p);
            }
        }
        all
    }

    /// Every order of both edges, and every place of the unused length, tried.
    fn least_depth(near: &[Item], far: &[Item], m: f64) -> f64 {
        let total = |items: &[Item]| items.iter().map(|i| i.width).sum::<f64>();
        let length = total(near).max(total(far));
        let rows = |items: &[Item]| -> Vec<Vec<Strip>> {
            let gap = length - total(items);
            permutations(items)
                .iter()
                .flat_map(|p| (0..=p.len()).map(|at| in_row(p, at, gap)).collect::<Vec<_>>())
                .collect()
        };
        let far_rows = rows(far);
        let mut least = f64::INFINITY;
        for n in rows(near) {
            for f in &far_rows {
                least = least.min(depth(&n, f, m));
            }
        }
        least
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]
        #[test]
        fn no_order_needs_less_depth(
            near in prop::collection::vec((5.0..90.0f64, 13.0..70.0f64), 1..4),
            far in prop::collection::vec((5.0..90.0f64, 13.0..70.0f64), 1..4),
        ) {
            let (near, far, m) = (items(&near), items(&far), 12.0);
            let plan = plan(&Shared { near: near.clone(), far: far.clone() }, m, 1.0);
            let rule = depth(&plan.near, &plan.far, m);
            for strips in [&plan.near, &plan.far] {
                prop_assert!(strips.iter().all(|s| s.x[0] < s.x[1]), "{strips:?}");
                prop_assert!(strips.windows(2).all(|s| s[0].x[1] == s[1].x[0]), "{strips:?}");
            }
            let best = least_depth(&near, &far, m);
            // A spare length too short for a filler is given to the end lane, which can only add to the depth.
            let total = |items: &[Item]| items.iter().map(|i| i.width).sum::<f64>();
            let spare = (total(&near) - total(&far)).abs();
            if spare >= m || spare < 1e-9 {
                prop_assert!((rule - best).abs() < 1e-9, "rule {rule}, best {best}");
            } else {
                prop_assert!(rule >= best - 1e-9);
            }
        }
    }
}
