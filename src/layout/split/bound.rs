//! A number of blocks that no division goes below.
//!
//! Take the blocks that lie on the bed in one turn: at most `B` long and `D` deep, with a raised middle of `m`. For two
//! strips on opposite edges that come within `m` of each other along the edge, both fences and `m` must not exceed
//! `D`. Let *tall* lanes be those with a fence of at least `s`, *medium* ones those with a fence beyond `D − m − s`,
//! for an `s` so large that tall lanes are medium too. Then there is no medium lane opposite a tall one, and the medium
//! lanes of an edge and the tall ones of the other lie beside each other along the edge: one row, no longer than `B`.
//! The first and the last of a row also keep their margins `a` clear of the block's ends: by themselves where they end
//! their edge, else because the end lane and its margin take up half the face, and no margin is more.
//!
//! So every row has `Σ u ≤ 1` over its lanes with `u = w/(B − 2 a)`, of widths `w` and the least margin. Or with
//! `u = 1/k` for lanes with `(k + 1) w + 2 a > B` and 0 for others: `k + 1` of these do not go into a row, for the
//! narrowest of them is too wide in their number, and at the ends wider ones need more length than it with their
//! margins. Half the sum of a block's two rows: `Σ v ≤ 1` with `v = u` for its tall lanes, `u/2` for its other medium
//! ones, 0 for the rest. Where settings name edges, the row of one edge says more: `v = u` for tall lanes, which count
//! in both rows, and for medium ones that must be on that edge.
//!
//! A block lies in one turn or the other, so the lesser of two turns' `v` serves for both; a lane that cannot lie in a
//! turn may weigh anything there. The sum of `v` over all lanes, rounded up, is a bound.

use kurbo::Size;

use super::{Item, ROUNDING, Search};
use crate::layout::order;
use crate::terms::Edge;

/// So many values of `s` are tried at most.
const FENCES: usize = 8;
/// Largest `k` that is tried.
const MOST_IN_A_ROW: usize = 8;
/// Where rounding could make a bound too large, it is counted this much too small.
const DOUBT: f64 = 1e-6;

/// A bound for lanes each of which fits alone.
pub fn least(search: &Search, set: &[usize]) -> usize {
    let [one, other] = search.room.turns().map(|turn| weights(search, set, turn));
    let up = |sum: f64| (sum - DOUBT).ceil() as usize;
    let mut least = 1;
    for a in &one {
        for b in &other {
            // The heavier ones came before: nothing that follows can raise the bound.
            if up(a.total.min(b.total)) <= least {
                break;
            }
            least = least.max(up(a.each.iter().zip(&b.each).map(|(a, b)| a.min(*b)).sum()));
        }
    }
    least
}

/// The `v` of all lanes, and their sum.
struct Weights {
    each: Vec<f64>,
    total: f64,
}

/// All weights tried for blocks of at most this length and depth, the heaviest first.
fn weights(search: &Search, set: &[usize], Size { width: length, height: depth }: Size) -> Vec<Weights> {
    let items: Vec<&Item> = set.iter().map(|&lane| &search.items[lane]).collect();
    // What two opposite fences may be together.
    let both = ((depth + ROUNDING) / order::STEP).floor() * order::STEP - search.room.middle;
    let fits = |i: &Item| order::needed(std::slice::from_ref(i)) <= length + ROUNDING && i.fence <= both + DOUBT;
    let margin = items.iter().map(|i| i.margin).fold(f64::INFINITY, f64::min);
    let in_a_row = |k: usize, item: &Item| match k as f64 {
        0.0 => item.width / (length - 2.0 * margin),
        k if (k + 1.0) * item.width + 2.0 * item.margin > length + DOUBT => 1.0 / k,
        _ => 0.0,
    };
    let named = |edge: &Option<Edge>| edge.is_none() || set.iter().any(|&lane| search.edge(lane) == *edge);
    let edges: Vec<Option<Edge>> = [None, Some(Edge::Near), Some(Edge::Far)].into_iter().filter(named).collect();
    let mut all = Vec::new();
    for tall in tall_from(&items, both) {
        for k in 0..=MOST_IN_A_ROW {
            for &edge in &edges {
                let weight = |item: &&Item| match edge {
                    _ if !fits(item) => f64::INFINITY,
                    _ if item.fence >= tall => in_a_row(k, item),
                    _ if item.fence + tall <= both + DOUBT => 0.0,
                    None => in_a_row(k, item) / 2.0,
                    _ if search.edge(item.index) == edge => in_a_row(k, item),
                    _ => 0.0,
                };
                let each: Vec<f64> = items.iter().map(weight).collect();
                all.push(Weights { total: each.iter().sum(), each });
            }
        }
    }
    all.sort_by(|a, b| b.total.total_cmp(&a.total));
    all
}

/// Some fences, mm, from which lanes are taken for tall where opposite fences may be `both` together; the last is
/// beyond all.
fn tall_from(items: &[&Item], both: f64) -> impl Iterator<Item = f64> + use<> {
    let mut fences: Vec<f64> = items.iter().map(|i| i.fence).filter(|f| 2.0 * f > both + DOUBT).collect();
    fences.sort_by(f64::total_cmp);
    fences.dedup();
    let tried = fences.len().min(FENCES);
    (0..tried).map(move |i| fences[i * fences.len() / tried]).chain([f64::INFINITY])
}
