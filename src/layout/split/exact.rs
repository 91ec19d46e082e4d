//! Few lanes: every division into blocks, and every sharing-out of each block.

use super::{Cost, Item, Search, Share, Shared, plus};
use crate::layout::order;
use crate::terms::Edge;

/// The division of least cost of at most [`super::EXACT`] lanes, each of which fits alone.
pub fn divide(search: &mut Search, set: &[usize]) -> Vec<Share> {
    let lanes_of =
        |mask: usize| -> Vec<usize> { (0..set.len()).filter(|i| mask >> i & 1 == 1).map(|i| set[i]).collect() };
    let all = (1usize << set.len()) - 1;
    let mut trial = Trial::new(search, set);
    let fits: Vec<bool> = (0..=all).map(|mask| mask != 0 && trial.fits(mask)).collect();
    let costs: Vec<Option<Cost>> = (0..=all).map(|mask| fits[mask].then(|| search.cost(&lanes_of(mask)))).collect();
    // For every set of lanes: the least cost, and the block that holds its first lane.
    let mut least = vec![(Cost::default(), 0)];
    for whole in 1..=all {
        let first = whole & whole.wrapping_neg();
        let division = |block: usize| costs[block].map(|cost| (plus(cost, least[whole ^ block].0), block));
        let best = subsets(whole ^ first).filter_map(|others| division(first | others)).min();
        // There is always one, for each lane fits alone.
        least.push(best.unwrap_or_default());
    }
    let mut blocks = Vec::new();
    let mut rest = all;
    while rest != 0 {
        let mask = least[rest].1;
        let lanes = lanes_of(mask);
        let shared = search.by_own_rule(&lanes).or_else(|| Trial::new(search, &lanes).best());
        blocks.extend(shared.map(|shared| Share { lanes, shared }));
        rest ^= mask;
    }
    blocks
}

/// All subsets of a set of bits, from none to all.
fn subsets(of: usize) -> impl Iterator<Item = usize> {
    let mut next = Some(0usize);
    std::iter::from_fn(move || {
        let now = next?;
        next = (now != of).then(|| now.wrapping_sub(of) & of);
        Some(now)
    })
}

/// A few lanes and all their sharings-out: 2 to the power of their number.
pub struct Trial<'a, 'b> {
    search: &'a mut Search<'b>,
    /// The lanes in their order along each edge, with their bits.
    ordered: [Vec<(usize, Item)>; 2],
    /// Bits of the lanes whose setting names the near and the far edge.
    fixed: [usize; 2],
    /// The lanes on trial.
    halves: [Vec<Item>; 2],
}

impl<'a, 'b> Trial<'a, 'b> {
    /// For these lanes, whose bits are in the order given.
    pub fn new(search: &'a mut Search<'b>, set: &[usize]) -> Self {
        let item = |(bit, &lane): (usize, &usize)| (1 << bit, search.items[lane].clone());
        let mut near: Vec<(usize, Item)> = set.iter().enumerate().map(item).collect();
        let mut far = near.clone();
        near.sort_by(|a, b| order::near_order(&a.1, &b.1));
        far.sort_by(|a, b| order::far_order(&a.1, &b.1));
        let bits = |edge| near.iter().filter(|(_, item)| search.edge(item.index) == Some(edge)).map(|l| l.0).sum();
        let fixed = [Edge::Near, Edge::Far].map(bits);
        Self { search, ordered: [near, far], fixed, halves: Default::default() }
    }

    /// Whether the lanes of `mask` fit in any sharing-out.
    pub fn fits(&mut self, mask: usize) -> bool {
        self.fars(mask).any(|far| self.tried([mask & !far, far]))
    }

    /// Of all sharings-out of all lanes that fit, the one with the fewest settings, then seats, on both edges; of these
    /// the one that needs the least area.
    pub fn best(mut self) -> Option<Shared> {
        let all = (1usize << self.ordered[0].len()) - 1;
        let settings = self.groups(|search, lane| search.setting(lane));
        let seats = self.groups(|search, lane| search.setting(lane).0);
        let mut best: Option<([usize; 3], Shared)> = None;
        for far in self.fars(all) {
            if !self.tried([all & !far, far]) {
                continue;
            }
            let on_both = |groups: &[usize]| groups.iter().filter(|&g| g & far != 0 && g & !far != 0).count();
            let halves = [&self.halves[0][..], &self.halves[1][..]];
            let size = self.search.rows.size(halves, self.search.room.middle, order::STEP);
            // In whole micrometres, so that the order in which widths are added up decides nothing.
            let area = (size.width * 1000.0).round() * (size.height * 1000.0).round();
            let key = [on_both(&settings), on_both(&seats), area as usize];
            if best.as_ref().is_none_or(|b| key < b.0) {
                let [near, far] = self.halves.clone();
                best = Some((key, Shared { near, far }));
            }
        }
        best.map(|b| b.1)
    }

    /// The far lanes in every sharing-out of the lanes of `mask`.
    fn fars(&self, mask: usize) -> impl Iterator<Item = usize> + use<> {
        let [near, far] = self.fixed.map(|fixed| fixed & mask);
        subsets(mask & !near & !far).map(move |moved| far | moved)
    }

    fn tried(&mut self, masks: [usize; 2]) -> bool {
        for ((half, lanes), mask) in self.halves.iter_mut().zip(&self.ordered).zip(masks) {
            half.clear();
            half.extend(lanes.iter().filter(|l| l.0 & mask != 0).map(|l| l.1.clone()));
        }
        self.search.fits([&self.halves[0], &self.halves[1]])
    }

    /// The bits of lanes that have something in common.
    fn groups<'s, K: PartialEq>(&'s self, of: impl Fn(&'s Search<'b>, usize) -> K) -> Vec<usize> {
        let mut groups: Vec<(K, usize)> = Vec::new();
        for (bit, item) in &self.ordered[0] {
            let key = of(self.search, item.index);
            match groups.iter_mut().find(|g| g.0 == key) {
                Some(group) => group.1 |= bit,
                None => groups.push((key, *bit)),
            }
        }
        groups.into_iter().map(|g| g.1).collect()
    }
}
