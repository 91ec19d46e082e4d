//! The fewest blocks that serve a class, each guide all of its bevels from one of them, and the proof.
//!
//! Guides can share a block if the fewest fences for all their bevels ([`crate::kit::fences`]) are no more than a block may
//! have; then so can any of them. A guide whose every interval holds an interval of another is served by whatever serves
//! that other one, and goes where it goes. Blocks are filled greedily first; if a plain lower bound is as high, the search
//! stops. Else all largest sets of guides that can share are listed, and an integer program chooses the fewest of them that
//! together have every guide.

use std::cell::Cell;

use foldhash::{HashSet, HashSetExt};
use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};

/// Most guides of a class.
pub const MOST_GUIDES: usize = 100;
/// Most sets of guides that can share that are gone through: all that twenty guides can have.
const MOST_SETS: usize = 1 << 20;
/// Most bevels that are looked at while sets are gone through: some seconds.
const MOST_STEPS: usize = 1 << 30;
/// Most largest sets that go into an integer program.
const MOST_LARGEST: usize = 3_000;

/// A bevel that needs a fence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Bevels of different groups never share a fence.
    pub group: usize,
    /// The least and the greatest nominal distance of a fence that serves it, mm, the making tolerance taken off.
    pub places: [f64; 2],
}

/// Guides on blocks.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// The guides of each block, by index; every guide is on one.
    pub blocks: Vec<Vec<usize>>,
    /// Why no fewer blocks do, as far as that is proven.
    pub proof: Proof,
}

/// Why no fewer blocks do.
#[derive(Debug, Clone, PartialEq)]
pub enum Proof {
    /// One block serves all.
    One,
    /// With one block fewer there is no room for the fences that all guides together need: this many.
    Fences(usize),
    /// No two of these guides, by index, can share a block.
    Apart(Vec<usize>),
    /// An integer program over all largest sets of guides that can share a block: this many.
    Program(usize),
    /// It is not proven; no fewer than this many do.
    Open(usize),
}

impl Proof {
    /// Whether it is proven that no fewer blocks do.
    pub fn is_whole(&self) -> bool {
        !matches!(self, Proof::Open(_))
    }
}

/// Guides, a bit each.
type Set = u128;

/// The bevels of all guides, in an order in which their fences can be counted.
struct Guides {
    /// Guide, group and places of each, by group and right end.
    needs: Vec<(usize, Need)>,
    /// Most fences of a block.
    most: usize,
    /// How many bevels were looked at.
    steps: Cell<usize>,
}

impl Guides {
    fn new(needs: &[Vec<Need>], most: usize) -> Self {
        let of_guide =
            |(guide, all): (usize, &Vec<Need>)| all.iter().map(move |need| (guide, *need)).collect::<Vec<_>>();
        let mut needs: Vec<(usize, Need)> = needs.iter().enumerate().flat_map(of_guide).collect();
        needs.sort_by(|(_, a), (_, b)| a.group.cmp(&b.group).then(a.places[1].total_cmp(&b.places[1])));
        Self { needs, most, steps: Cell::new(0) }
    }

    /// The fewest fences for some guides, as [`crate::kit::fences::stab`] finds them; it stops counting at `enough`.
    fn fences(&self, set: Set, enough: usize) -> usize {
        let (mut count, mut last) = (0, None);
        for (guide, need) in &self.needs {
            let served = last.is_some_and(|(group, at)| group == need.group && need.places[0] <= at);
            if set >> guide & 1 == 1 && !served {
                last = Some((need.group, need.places[1]));
                count += 1;
                if count == enough {
                    break;
                }
            }
        }
        count
    }

    /// Whether some guides can share a block.
    fn can_share(&self, set: Set) -> bool {
        self.steps.set(self.steps.get() + self.needs.len());
        self.fences(set, self.most + 1) <= self.most
    }
}

/// The fewest blocks for guides that need `needs`, at most `most` fences on each; no guide needs more than that alone,
/// and there are one to [`MOST_GUIDES`].
pub fn cover(needs: &[Vec<Need>], most: usize) -> Cover {
    let goes_with = companions(needs);
    let own: Vec<usize> = (0..needs.len()).filter(|&i| goes_with[i] == i).collect();
    let guides = Guides::new(needs, most);
    let (sets, proof) = of_own(&guides, &own);
    let mut blocks: Vec<Vec<usize>> = Vec::new();
    let mut placed: Set = 0;
    for set in sets {
        let here = set & !placed;
        placed |= set;
        blocks.push((0..needs.len()).filter(|&i| here >> goes_with[i] & 1 == 1).collect());
    }
    blocks.sort();
    Cover { blocks, proof }
}

/// The guide that each goes with: one whose fences serve it whatever they are, else itself.
fn companions(needs: &[Vec<Need>]) -> Vec<usize> {
    let holds = |outer: &Need, inner: &Need| {
        outer.group == inner.group && outer.places[0] <= inner.places[0] && inner.places[1] <= outer.places[1]
    };
    let serves = |by: usize, guide: usize| needs[guide].iter().all(|n| needs[by].iter().any(|m| holds(n, m)));
    let goes = |guide: usize, by: usize| guide != by && serves(by, guide) && (by < guide || !serves(guide, by));
    // Follow the chain to a guide that goes with no other.
    let next = |guide: usize| (0..needs.len()).find(|&by| goes(guide, by));
    (0..needs.len()).map(|guide| std::iter::successors(Some(guide), |&at| next(at)).last().unwrap_or(guide)).collect()
}

/// Sets of guides that can share and together have all of `own`, guides that go with no other; and why no fewer do.
fn of_own(guides: &Guides, own: &[usize]) -> (Vec<Set>, Proof) {
    let all: Set = own.iter().map(|i| 1 << i).sum();
    let filled = filled(guides, own);
    let needed = guides.fences(all, usize::MAX);
    let apart = apart(guides, own);
    let proof = match filled.len() {
        0 | 1 => Proof::One,
        n if needed.div_ceil(guides.most) == n => Proof::Fences(needed),
        n if apart.len() == n => Proof::Apart(apart),
        _ => {
            let least = needed.div_ceil(guides.most).max(apart.len());
            return by_program(guides, own, filled.clone()).unwrap_or((filled, Proof::Open(least)));
        }
    };
    (filled, proof)
}

/// The fewest blocks by integer programs, starting from those that were filled greedily; `None` where there is too much to
/// look at.
fn by_program(guides: &Guides, own: &[usize], filled: Vec<Set>) -> Option<(Vec<Set>, Proof)> {
    let sets = largest(guides, own)?;
    let mut blocks = filled;
    // An answer that lacks a guide is rejected.
    let has_all = |found: &[Set]| own.iter().all(|guide| found.iter().any(|set| set >> guide & 1 == 1));
    while let Some(found) = fewer(&sets, own, blocks.len()).ok()? {
        if !has_all(&found) || found.len() >= blocks.len() {
            return None;
        }
        blocks = found;
    }
    Some((blocks, Proof::Program(sets.len())))
}

/// Blocks filled greedily: each guide goes where the fewest fences are added, in several orders; the fewest blocks of all.
fn filled(guides: &Guides, own: &[usize]) -> Vec<Set> {
    let alone = |i: &usize| guides.fences(1 << i, usize::MAX);
    let middle = |i: &usize| {
        let of_guide = || guides.needs.iter().filter(|(guide, _)| guide == i);
        of_guide().map(|(_, need)| need.places[0] + need.places[1]).sum::<f64>() / of_guide().count().max(1) as f64
    };
    let (mut by_count, mut by_place) = (own.to_vec(), own.to_vec());
    by_count.sort_by_key(|i| std::cmp::Reverse(alone(i)));
    by_place.sort_by(|a, b| middle(a).total_cmp(&middle(b)));
    let in_order = |order: &[usize]| {
        let mut blocks: Vec<Set> = Vec::new();
        for &guide in order {
            let with = |block: &Set| block | 1 << guide;
            let added = |block: &Set| guides.fences(with(block), usize::MAX) - guides.fences(*block, usize::MAX);
            let free = blocks.iter_mut().filter(|block| guides.can_share(with(block)));
            match free.min_by_key(|block| added(block)) {
                Some(block) => *block |= 1 << guide,
                None => blocks.push(1 << guide),
            }
        }
        blocks
    };
    let tried = [own.to_vec(), by_count, by_place].map(|order| in_order(&order));
    tried.into_iter().min_by_key(Vec::len).unwrap_or_default()
}

/// Guides no two of which can share a block, as many as are found going on from each.
fn apart(guides: &Guides, own: &[usize]) -> Vec<usize> {
    let from = |&first: &usize| {
        let mut found = vec![first];
        for &guide in own {
            if found.iter().all(|&other| other != guide && !guides.can_share(1 << other | 1 << guide)) {
                found.push(guide);
            }
        }
        found.sort_unstable();
        found
    };
    own.iter().map(from).rev().max_by_key(Vec::len).unwrap_or_default()
}

/// All sets of guides that can share a block and to which no guide can be added; `None` where there are too many.
fn largest(guides: &Guides, own: &[usize]) -> Option<Vec<Set>> {
    let mut sharing: HashSet<Set> = HashSet::new();
    let mut ends: Vec<Set> = Vec::new();
    grow(guides, own, 0, &mut sharing, &mut ends).then_some(())?;
    let is_largest =
        |set: &&Set| own.iter().all(|guide| **set >> guide & 1 == 1 || !sharing.contains(&(**set | 1 << guide)));
    let largest: Vec<Set> = ends.iter().filter(is_largest).copied().collect();
    (largest.len() <= MOST_LARGEST).then_some(largest)
}

/// Lists every sharing set that is `set` with some of the guides `open`, each once; false where there are too many. `ends`
/// are those to which none of the later guides can be added.
fn grow(guides: &Guides, open: &[usize], set: Set, sharing: &mut HashSet<Set>, ends: &mut Vec<Set>) -> bool {
    let mut is_end = true;
    for (i, guide) in open.iter().enumerate() {
        let with = set | 1 << guide;
        if guides.can_share(with) {
            is_end = false;
            sharing.insert(with);
            let is_enough = sharing.len() > MOST_SETS || guides.steps.get() > MOST_STEPS;
            if is_enough || !grow(guides, &open[i + 1..], with, sharing, ends) {
                return false;
            }
        }
    }
    if is_end {
        ends.push(set);
    }
    true
}

/// Fewer than `blocks` of `sets`, the fewest, that have all the guides `own`, by an integer program; `Ok(None)` where no
/// fewer have.
///
/// # Errors
/// Any error of the solver but that no fewer have.
fn fewer(sets: &[Set], own: &[usize], blocks: usize) -> Result<Option<Vec<Set>>, microlp::Error> {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let taken: Vec<_> = sets.iter().map(|_| problem.add_binary_var(1.0)).collect();
    for guide in own {
        let having = sets.iter().zip(&taken).filter(|(set, _)| **set >> guide & 1 == 1);
        let sum: Vec<_> = having.map(|(_, &variable)| (variable, 1.0)).collect();
        problem.add_constraint(&sum, ComparisonOp::Ge, 1.0);
    }
    // So the solver can stop as soon as no better cover exists, and need not find the best once more.
    let all: Vec<_> = taken.iter().map(|&variable| (variable, 1.0)).collect();
    problem.add_constraint(&all, ComparisonOp::Le, (blocks - 1) as f64);
    match problem.solve() {
        Ok(solution) => {
            let is_taken = |(_, variable): &(&Set, Variable)| solution.var_value_rounded(*variable) == 1.0;
            Ok(Some(sets.iter().zip(taken).filter(is_taken).map(|(set, _)| *set).collect()))
        }
        Err(microlp::Error::Infeasible) => Ok(None),
        Err(cause) => Err(cause),
    }
}
