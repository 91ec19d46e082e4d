//! What one fence more or one fence fewer would change, of fences that are as few as can be.

use super::fences::{EXTREMES, Fence, FencePlan, ROUGHLY, Stab, balance, place, shared, widen};
use super::interval::Ask;

/// One fence in two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneMore {
    /// The fence: a place in [`FencePlan::fences`].
    pub fence: usize,
    /// The largest error among all bevels then, degrees.
    pub worst: f64,
    /// How far the fence with the least room may be off then, ± mm.
    pub room: f64,
}

/// Two fences as one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OneFewer {
    /// The fences: places in [`FencePlan::fences`].
    pub fences: [usize; 2],
    /// The bevel that would be furthest off: a place in [`FencePlan::asks`].
    pub ask: usize,
    /// How far off it would be, degrees.
    pub worst: f64,
    /// How far the one fence may be off before a bevel leaves its tolerance, ± mm; 0 or less where no place serves all.
    pub room: f64,
}

/// What becomes better with one fence more: the fence with the largest error, its bevels shared out over two. `None`
/// where no fence has two bevels.
pub fn one_more(plan: &FencePlan) -> Option<OneMore> {
    let asks = &plan.asks;
    let worst: Vec<f64> = plan.fences.iter().map(|f| f.worst(asks)).collect();
    let several = (0..plan.fences.len()).filter(|&i| plan.fences[i].members.len() > 1);
    let fence = several.max_by(|&a, &b| worst[a].total_cmp(&worst[b]))?;
    let halves = in_two(&plan.fences[fence], asks);
    let rest = || (0..plan.fences.len()).filter(|&i| i != fence);
    let errors = rest().map(|i| worst[i]).chain(halves.iter().map(|h| h.worst(asks)));
    let rooms = rest().map(|i| plan.fences[i].room()).chain(halves.iter().map(Fence::room));
    Some(OneMore { fence, worst: errors.fold(0.0, f64::max), room: rooms.fold(f64::INFINITY, f64::min) })
}

/// The bevels of a fence on two, cut where the farther spread of wanted distances is least.
fn in_two(fence: &Fence, asks: &[Ask]) -> [Fence; 2] {
    let mut members = fence.members.clone();
    members.sort_by(|&a, &b| asks[a].ideal.total_cmp(&asks[b].ideal));
    let spread = |from: usize, to: usize| asks[members[to]].ideal - asks[members[from]].ideal;
    let last = members.len() - 1;
    let farther = |cut: usize| spread(0, cut - 1).max(spread(cut, last));
    let cut = (1..=last).min_by(|&a, &b| farther(a).total_cmp(&farther(b))).unwrap_or(1);
    let half = |part: &[usize]| place(Stab { members: part.to_vec(), forced_by: part[0] }, asks, true);
    let (nearer, further) = members.split_at(cut);
    [half(nearer), half(further)]
}

/// What one fence fewer would cost at the least: of two neighbours as one, those whose largest error is least. `None`
/// where no two could be one, as both bevels of a blade never share a fence.
pub fn one_fewer(plan: &FencePlan) -> Option<OneFewer> {
    let neighbours = (1..plan.fences.len()).map(|i| [i - 1, i]);
    neighbours.filter_map(|pair| as_one(plan, pair)).min_by(|a, b| a.worst.total_cmp(&b.worst))
}

fn as_one(plan: &FencePlan, fences: [usize; 2]) -> Option<OneFewer> {
    let asks = &plan.asks;
    let [a, b] = fences.map(|i| &plan.fences[i]);
    if plan.group(&asks[a.forced_by]) != plan.group(&asks[b.forced_by]) {
        return None;
    }
    // Passing bevels would go without.
    let members = || a.members.iter().chain(&b.members).copied().filter(|&i| !asks[i].passing);
    let mut blades: Vec<usize> = members().map(|i| asks[i].blade).collect();
    blades.sort_unstable();
    if blades.windows(2).any(|w| w[0] == w[1]) {
        return None;
    }
    let between = [a.distance.min(b.distance), a.distance.max(b.distance)];
    let fence = balance(between, ROUGHLY, |fence| members().map(|i| asks[i].about(fence)).fold(EXTREMES, widen));
    let error = |i: &usize| asks[*i].error(fence).unwrap_or(f64::INFINITY).abs();
    let ask = members().max_by(|a, b| error(a).total_cmp(&error(b)))?;
    let [low, high] = shared(members().map(|i| asks[i].interval));
    Some(OneFewer { fences, ask, worst: error(&ask), room: (high - low) / 2.0 })
}
