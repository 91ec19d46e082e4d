//! The fewest fences that serve a kit, and the proof that no fewer do.
//!
//! Every bevel accepts an interval of fence distances ([`super::interval`]), less what a fence may come out off. Going
//! through them by their right ends, a new fence is needed whenever the last one does not lie in the interval at hand,
//! and it goes to that interval's right end: as far on as it may. The intervals that forced the fences are pairwise
//! disjoint, so each needs a fence of its own, and no fewer can do. [`FencePlan::proven`] checks just that.
//!
//! Blades of one seat share fences, so that each long edge of the block serves one seat; those of both do where the
//! bench says so. A lane is as wide as the widest of its blades, its height is that of the thickest, and every rule
//! holds for each, as the intervals keep to the rules. A fence is then moved to where the largest error among its blades
//! is least, within all their intervals; blades that another fence serves better go over to that, and the fences are
//! moved once more. Bevels that need no fence of their own go to one that serves them where it stands, if there is one.

use super::Kit;
use super::advice::Advice;
use super::interval::{self, Ask, Bench, Unserved};
use crate::terms::SeatName;

/// Fences for a kit.
#[derive(Debug, Clone, PartialEq)]
pub struct FencePlan {
    /// The bevels that fences serve, in the order of the kit.
    pub asks: Vec<Ask>,
    /// The bevels that none serves.
    pub unserved: Vec<Unserved>,
    /// The fences: those of the plane irons' seat, the farthest first, then those of the chisels'; all by distance where
    /// both share them.
    pub fences: Vec<Fence>,
    /// Whether blades of both seats may share a fence.
    pub across_seats: bool,
}

/// A fence.
#[derive(Debug, Clone, PartialEq)]
pub struct Fence {
    /// Its distance from the block's reference edge, mm.
    pub distance: f64,
    /// The distances that serve all its bevels, mm.
    pub common: [f64; 2],
    /// The distances that it may be meant to have, so that it serves all however it comes out, mm.
    pub places: [f64; 2],
    /// The bevels it serves: places in [`FencePlan::asks`].
    pub members: Vec<usize>,
    /// The bevel that no other fence could serve besides those that forced the others: a place in [`FencePlan::asks`].
    pub forced_by: usize,
}

impl Fence {
    /// How far the fence may be off before a blade leaves its tolerance, ± mm.
    pub fn room(&self) -> f64 {
        (self.distance - self.common[0]).min(self.common[1] - self.distance)
    }

    /// Serves one more bevel, where it stands.
    fn take_up(&mut self, ask: usize, asks: &[Ask]) {
        self.members.push(ask);
        self.members.sort_unstable();
        self.common = shared([self.common, asks[ask].interval].into_iter());
        self.places = shared([self.places, asks[ask].places].into_iter());
    }

    /// The largest error among its bevels, degrees.
    pub fn worst(&self, asks: &[Ask]) -> f64 {
        let errors = self.members.iter().filter_map(|&i| asks[i].error(self.distance));
        errors.map(f64::abs).fold(0.0, f64::max)
    }
}

impl FencePlan {
    /// How many fences are proven to be needed: the bevels that forced the fences, if their intervals are pairwise
    /// disjoint, as no fence then serves two of them; 0 if they are not.
    pub fn proven(&self) -> usize {
        let forcing = |f: &Fence| &self.asks[f.forced_by];
        let mut forced: Vec<_> = self.fences.iter().map(forcing).map(|a| (self.group(a), a.places)).collect();
        forced.sort_by(|a, b| a.0.cmp(&b.0).then(a.1[0].total_cmp(&b.1[0])));
        let apart = |w: &[(Option<SeatName>, [f64; 2])]| w[0].0 != w[1].0 || w[0].1[1] < w[1].1[0];
        if forced.windows(2).all(apart) { forced.len() } else { 0 }
    }

    /// What bevels that may share a fence have in common.
    pub(super) fn group(&self, ask: &Ask) -> Option<SeatName> {
        (!self.across_seats).then_some(ask.seat)
    }

    /// Thickest block, mm, that the roller does not strike with any of the blades that a block of some thickness serves.
    pub fn thickness_limit(&self) -> f64 {
        let struck = self.unserved.iter().filter_map(|u| u.thickness_limit);
        self.asks.iter().map(Ask::thickness_limit).chain(struck).fold(f64::INFINITY, f64::min)
    }

    /// The fence of every bevel: its place in [`FencePlan::fences`], in the order of [`FencePlan::asks`]; none of one
    /// that needs no fence.
    pub fn fence_of(&self) -> Vec<Option<usize>> {
        let mut of = vec![None; self.asks.len()];
        for (i, fence) in self.fences.iter().enumerate() {
            fence.members.iter().for_each(|&ask| of[ask] = Some(i));
        }
        of
    }
}

/// The fewest fences for a kit whose advice is `advice`, blade by blade.
pub fn plan(kit: &Kit, advice: &[Advice], bench: &Bench<'_>) -> FencePlan {
    let (asks, unserved) = interval::asks_of_kit(kit, advice, bench);
    of_asks(asks, unserved, bench.across_seats)
}

/// The fewest fences for bevels, of one guide or of several.
pub fn of_asks(asks: Vec<Ask>, unserved: Vec<Unserved>, across_seats: bool) -> FencePlan {
    let mut plan = FencePlan { asks, unserved, fences: Vec::new(), across_seats };
    let mut groups: Vec<Option<SeatName>> = plan.asks.iter().map(|ask| plan.group(ask)).collect();
    groups.sort_unstable();
    groups.dedup();
    plan.fences = groups.into_iter().flat_map(|group| of_group(&plan, group)).collect();
    plan
}

/// The fences of bevels that may share them, the farthest first.
fn of_group(plan: &FencePlan, group: Option<SeatName>) -> Vec<Fence> {
    let asks = &plan.asks;
    let (passing, own): (Vec<usize>, Vec<usize>) =
        (0..asks.len()).filter(|&i| plan.group(&asks[i]) == group).partition(|&i| asks[i].passing);
    let places: Vec<[f64; 2]> = own.iter().map(|&i| asks[i].places).collect();
    let stabs = stab(&places).into_iter().map(|stab| Stab {
        members: stab.members.into_iter().map(|i| own[i]).collect(),
        forced_by: own[stab.forced_by],
    });
    let place = |stabs: Vec<Stab>, truth: bool| -> Vec<Fence> {
        stabs.into_iter().map(|stab| place(stab, asks, truth)).collect()
    };
    let mut fences = place(settled(&place(stabs.collect(), false), asks), true);
    for ask in passing {
        if let Some(fence) = nearest(&fences, &asks[ask]) {
            fences[fence].take_up(ask, asks);
        }
    }
    fences.reverse();
    fences
}

/// Of fences, the nearest first, the one that sets a bevel best where it stands; `None` where none serves it.
fn nearest(fences: &[Fence], ask: &Ask) -> Option<usize> {
    let [low, high] = ask.places;
    let from = fences.partition_point(|f| f.distance < low);
    let to = fences.partition_point(|f| f.distance <= high);
    let error = |n: usize| ask.about(fences[n].distance).abs();
    (from..to).min_by(|&a, &b| error(a).total_cmp(&error(b)))
}

/// A point, the intervals that are its own, and the one that forced it: places in what was given.
#[derive(Debug, Clone, PartialEq)]
pub struct Stab {
    /// The intervals that it serves; each belongs to one point only.
    pub members: Vec<usize>,
    /// The one that forced it.
    pub forced_by: usize,
}

/// The fewest points such that each interval has one; equal right ends in the order given.
pub fn stab(intervals: &[[f64; 2]]) -> Vec<Stab> {
    let mut order: Vec<usize> = (0..intervals.len()).collect();
    order.sort_by(|&a, &b| intervals[a][1].total_cmp(&intervals[b][1]).then(a.cmp(&b)));
    let mut stabs: Vec<Stab> = Vec::new();
    let mut last = f64::NEG_INFINITY;
    for i in order {
        match stabs.last_mut() {
            Some(stab) if intervals[i][0] <= last => stab.members.push(i),
            _ => {
                last = intervals[i][1];
                stabs.push(Stab { members: vec![i], forced_by: i });
            }
        }
    }
    stabs
}

/// Every bevel to the fence that sets it best, of those that serve it: the first point that an interval has is rarely
/// that. `fences` are the nearest first. The bevel that forced a fence stays, as it has no other.
fn settled(fences: &[Fence], asks: &[Ask]) -> Vec<Stab> {
    let mut stabs: Vec<Stab> = fences.iter().map(|f| Stab { members: Vec::new(), forced_by: f.forced_by }).collect();
    for (own, fence) in fences.iter().enumerate() {
        for &i in &fence.members {
            stabs[nearest(fences, &asks[i]).unwrap_or(own)].members.push(i);
        }
    }
    stabs
}

/// The fence for the bevels of a point, placed in truth or by the parabolas alone.
pub(super) fn place(mut stab: Stab, asks: &[Ask], truth: bool) -> Fence {
    stab.members.sort_unstable();
    let members: Vec<&Ask> = stab.members.iter().map(|&i| &asks[i]).collect();
    let places = shared(members.iter().map(|a| a.places));
    let common = shared(members.iter().map(|a| a.interval));
    let distance = best(&members, places, truth);
    Fence { distance, common, places, members: stab.members, forced_by: stab.forced_by }
}

/// What all intervals have in common; its ends are the wrong way round where that is nothing.
pub(super) fn shared(intervals: impl Iterator<Item = [f64; 2]>) -> [f64; 2] {
    intervals.fold([f64::NEG_INFINITY, f64::INFINITY], |[low, high], i| [low.max(i[0]), high.min(i[1])])
}

/// Where the largest error is least, mm, within `common`.
///
/// A larger distance lowers every angle, so the largest error above falls and the largest below grows: they meet at
/// the best place. Which bevels decide is found with the parabolas of all; those near the top are then weighed in
/// truth.
fn best(members: &[&Ask], common: [f64; 2], truth: bool) -> f64 {
    if let [one] = members {
        return one.ideal.clamp(common[0], common[1]);
    }
    // Degrees; the parabolas are much nearer to the truth than this.
    const NEAR: f64 = 0.02;
    let roughly = balance(common, ROUGHLY, |fence| members.iter().map(|a| a.about(fence)).fold(EXTREMES, widen));
    if !truth {
        return roughly;
    }
    let [most, least] = members.iter().map(|a| a.about(roughly)).fold(EXTREMES, widen);
    let deciding: Vec<&&Ask> = members
        .iter()
        .filter(|a| {
            let error = a.about(roughly);
            error > most - NEAR || error < least + NEAR
        })
        .collect();
    let few = thinned(&deciding, roughly);
    balance(common, FINELY, |fence| few.iter().filter_map(|a| a.error(fence)).fold(EXTREMES, widen))
}

/// Of many that might decide, those that do to within rounding: the topmost and lowest by the truth at one place.
fn thinned<'a>(deciding: &[&&'a Ask], fence: f64) -> Vec<&'a Ask> {
    const FEW: usize = 16;
    let mut all: Vec<(f64, &Ask)> = deciding.iter().filter_map(|a| Some((a.error(fence)?, **a))).collect();
    if all.len() > 2 * FEW {
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all.drain(FEW..all.len() - FEW);
    }
    all.into_iter().map(|(_, ask)| ask).collect()
}

/// No errors yet: the largest above, the largest below.
pub(super) const EXTREMES: [f64; 2] = [f64::NEG_INFINITY, f64::INFINITY];

pub(super) fn widen([most, least]: [f64; 2], error: f64) -> [f64; 2] {
    [most.max(error), least.min(error)]
}

/// How near a place is looked for, mm: to a micrometre, and to rounding.
pub(super) const ROUGHLY: f64 = 1e-3;
const FINELY: f64 = 1e-12;

/// Where the largest error above and the largest below are alike, or the end of `common` nearest to it, mm.
///
/// By false position, halving the weight of an end that stays (the Illinois rule: M. Dowell and P. Jarratt, *BIT* 11
/// (1971) 168, from memory): some ten steps where halving takes forty.
pub(super) fn balance(common: [f64; 2], close: f64, extremes: impl Fn(f64) -> [f64; 2]) -> f64 {
    const MOST_STEPS: usize = 100;
    let tips = |fence: f64| {
        let [most, least] = extremes(fence);
        most + least
    };
    let [mut low, mut high] = common;
    let (mut at_low, mut at_high) = (tips(low), tips(high));
    if at_low <= 0.0 {
        return low;
    }
    if at_high >= 0.0 {
        return high;
    }
    let (mut last, mut stayed) = (f64::NAN, None);
    for _ in 0..MOST_STEPS {
        let place = ((at_low * high - at_high * low) / (at_low - at_high)).clamp(low, high);
        let tip = tips(place);
        if tip == 0.0 || (place - last).abs() <= close {
            return place;
        }
        last = place;
        let above = tip > 0.0;
        if above {
            (low, at_low) = (place, tip);
        } else {
            (high, at_high) = (place, tip);
        }
        if stayed == Some(above) {
            *(if above { &mut at_high } else { &mut at_low }) /= 2.0;
        }
        stayed = Some(above);
    }
    (low + high) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn points_go_to_right_ends_and_touching_intervals_share() {
        let stabs = stab(&[[0.0, 2.0], [2.0, 3.0], [2.5, 4.0], [1.0, 1.5]]);
        let forced: Vec<usize> = stabs.iter().map(|s| s.forced_by).collect();
        assert_eq!(forced, [3, 1]);
        assert_eq!(stabs[0].members, [3, 0]);
        assert_eq!(stabs[1].members, [1, 2]);
        assert!(stab(&[]).is_empty());
    }
}
