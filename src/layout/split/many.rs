//! More lanes than all divisions can be tried of: a stated rule.
//!
//! Up to [`ONE_BLOCK`] lanes, all sharings-out of a single block are tried. Else lanes are added to blocks one by one:
//! each goes on the near edge, else on the far one, where the block fits with it and those it has. The divisions made
//! so, of which the one of least cost is taken, are:
//!
//! * the lanes by seat and in the order of the job, cut into runs: of all cuts the one of least cost;
//! * if that has more blocks than the bound: first-fit (each lane into the first block that takes it, else into a new
//!   one) by falling fence distance and by falling width;
//! * up to [`PATIENCE`] lanes also by both rising, by their product and three sums of them; and each of these also with
//!   the far edge tried first, and the one that has less on it.

use super::{Cost, Item, Search, Share, Shared, bound, exact, plus};
use crate::layout::order;
use crate::terms::Edge;

/// Up to so many lanes, all sharings-out of one block are tried.
const ONE_BLOCK: usize = 14;
/// Up to so many lanes, more divisions are made.
const PATIENCE: usize = 200;

/// Which edge is tried first.
#[derive(Clone, Copy, PartialEq)]
enum First {
    Near,
    Far,
    Emptier,
}

/// Lanes in blocks, each of which fits alone, and a bound of the number of blocks.
pub fn divide(search: &mut Search, set: &[usize]) -> (Vec<Share>, usize) {
    let mut least = bound::least(search, set);
    if set.len() <= ONE_BLOCK && least == 1 {
        if let Some(shared) = exact::Trial::new(search, set).best() {
            return (vec![Share { lanes: set.to_vec(), shared }], 1);
        }
        least = 2;
    }
    let mut best = runs(search, set);
    if best.len() > least {
        let others = first_fits(search, set);
        let cost = |blocks: &Vec<Shared>| blocks.iter().map(|b| search.cost(&lanes_of(b))).fold(Cost::default(), plus);
        best = std::iter::once(best).chain(others).min_by_key(cost).unwrap_or_default();
    }
    (best.into_iter().map(|found| finished(search, found)).collect(), least)
}

/// The block as its own rule shares it out, else as the best of all sharings-out, else as it was found.
fn finished(search: &mut Search, found: Shared) -> Share {
    let lanes = lanes_of(&found);
    let few = lanes.len() <= super::EXACT;
    let shared = search.by_own_rule(&lanes).or_else(|| few.then(|| exact::Trial::new(search, &lanes).best()).flatten());
    Share { lanes, shared: shared.unwrap_or(found) }
}

fn lanes_of(shared: &Shared) -> Vec<usize> {
    let mut lanes: Vec<usize> = shared.near.iter().chain(&shared.far).map(|i| i.index).collect();
    lanes.sort_unstable();
    lanes
}

/// The lanes by seat and in the order of the job, cut into runs at least cost.
fn runs(search: &mut Search, set: &[usize]) -> Vec<Shared> {
    let mut order = set.to_vec();
    order.sort_by_key(|&lane| search.setting(lane).0);
    // For the first lanes of that order, any number of them: the least cost, and the last run.
    let mut least: Vec<Option<(Cost, Shared)>> = vec![None; order.len() + 1];
    least[0] = Some(Default::default());
    for from in 0..order.len() {
        let Some(before) = least[from].as_ref().map(|l| l.0) else { continue };
        let mut run = Shared::default();
        for to in from + 1..=order.len() {
            if !added(search, &mut run, order[to - 1], First::Near) {
                break;
            }
            let cost = plus(before, search.cost(&lanes_of(&run)));
            if least[to].as_ref().is_none_or(|l| cost < l.0) {
                least[to] = Some((cost, run.clone()));
            }
        }
    }
    let mut runs = Vec::new();
    let mut end = order.len();
    while let Some((_, run)) = least[end].take().filter(|_| end > 0) {
        end -= run.near.len() + run.far.len();
        runs.push(run);
    }
    runs
}

fn first_fits(search: &mut Search, set: &[usize]) -> Vec<Vec<Shared>> {
    type Key = fn(&Item) -> f64;
    let keys: [Key; 8] = [
        |i| i.fence,
        |i| i.width,
        |i| -i.fence,
        |i| -i.width,
        |i| i.fence * i.width,
        |i| i.fence + i.width,
        |i| 2.0 * i.fence + i.width,
        |i| i.fence + 2.0 * i.width,
    ];
    let firsts = [First::Near, First::Far, First::Emptier];
    let (keys, firsts) = if set.len() <= PATIENCE { (&keys[..], &firsts[..]) } else { (&keys[..2], &firsts[..1]) };
    let mut divisions = Vec::new();
    for key in keys {
        let mut order = set.to_vec();
        order.sort_by(|&a, &b| key(&search.items[b]).total_cmp(&key(&search.items[a])));
        divisions.extend(firsts.iter().map(|&first| first_fit(search, &order, first)));
    }
    divisions
}

fn first_fit(search: &mut Search, order: &[usize], first: First) -> Vec<Shared> {
    let mut blocks: Vec<Shared> = Vec::new();
    for &lane in order {
        if !blocks.iter_mut().any(|block| added(search, block, lane, first)) {
            let mut block = Shared::default();
            added(search, &mut block, lane, first);
            blocks.push(block);
        }
    }
    blocks
}

/// Adds a lane to a block, if it fits with it, the other lanes where they are; lanes stay in their order along the
/// edges.
fn added(search: &mut Search, block: &mut Shared, lane: usize, first: First) -> bool {
    use Edge::Far;
    use Edge::Near;
    let item = search.items[lane].clone();
    let edges: &[Edge] = match search.edge(lane) {
        Some(Near) => &[Near],
        Some(Far) => &[Far],
        None if first == First::Far => &[Far, Near],
        None if first == First::Emptier && order::needed(&block.far) < order::needed(&block.near) => &[Far, Near],
        None => &[Near, Far],
    };
    for &edge in edges {
        let near = edge == Near;
        let half = if near { &mut block.near } else { &mut block.far };
        let order = if near { order::near_order } else { order::far_order };
        let at = half.partition_point(|other| order(other, &item).is_lt());
        half.insert(at, item.clone());
        if search.fits([&block.near, &block.far]) {
            return true;
        }
        if near { &mut block.near } else { &mut block.far }.remove(at);
    }
    false
}
