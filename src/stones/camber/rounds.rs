//! Rounds of strokes that one can remember: all of them are tried.

use nalgebra::{DMatrix, DVector};

/// Most strokes at a place in one round.
const MOST: u32 = 20;

/// Counts are multiples of this where the plan has so many strokes.
const FIVES: u32 = 5;

/// How much worse than the best of all rounds one may be that is easier, of its difference and of the arc's depth.
const WORSE: [f64; 2] = [0.05, 0.005];

/// As many rounds as one likes best; each more or less counts as [`A_ROUND`] more strokes.
const USUAL_ROUNDS: u32 = 4;
const A_ROUND: f64 = 0.05;

/// The same counts, several times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rounds {
    /// Strokes at each place (on either side, the same) in one round.
    pub counts: [u32; 4],
    /// How many rounds on the grade that makes the arc.
    pub rounds: u32,
    /// What one such round on each later grade wears, in rounds on this one.
    pub later: f64,
}

impl Rounds {
    /// Strokes at each place, all rounds together, those of later grades counted by what they wear.
    pub fn strokes(&self) -> [f64; 4] {
        self.counts.map(|c| f64::from(c) * (f64::from(self.rounds) + self.later))
    }

    /// All strokes on the grade that makes the arc, both sides.
    pub fn total(&self) -> u32 {
        let [corner, in_from, beside, centre] = self.counts;
        (2 * (corner + in_from + beside) + centre) * self.rounds
    }

    /// The share of the arc that the grade that makes it leaves to the later ones.
    pub fn left_to_later(&self) -> f64 {
        self.later / (f64::from(self.rounds) + self.later)
    }
}

/// The rounds that make the arc as well as any, or nearly, with the fewest strokes: of all counts up to [`MOST`], in
/// fives where the best plan, strokes at each place, has as many as [`MOST`] at one, else in ones. Later grades go over the
/// edge with one such round each, which wears as much as `later` rounds here.
pub(super) fn choose(table: &DMatrix<f64>, wanted: &DVector<f64>, best: [f64; 4], later: f64) -> Rounds {
    let fives = best.iter().any(|s| *s >= f64::from(MOST));
    let counts: Vec<u32> = if fives { (0..=MOST).step_by(FIVES as usize).collect() } else { (0..=MOST / 2).collect() };
    let trial = Trial::new(table, wanted, later);
    let mut found: Vec<(f64, Rounds)> = Vec::new();
    for a in &counts {
        for b in &counts {
            for c in &counts {
                found.extend(counts.iter().flat_map(|d| trial.rounds_of([*a, *b, *c, *d])));
            }
        }
    }
    let least = found.iter().map(|(rms, _)| *rms).fold(f64::INFINITY, f64::min);
    let limit = (least * (1.0 + WORSE[0])).max(least + WORSE[1] * wanted.amax());
    let toil = |r: &Rounds| f64::from(r.total()) * (1.0 + A_ROUND * f64::from(r.rounds.abs_diff(USUAL_ROUNDS)));
    let easiest = found.into_iter().filter(|(rms, _)| *rms <= limit).min_by(|p, q| toil(&p.1).total_cmp(&toil(&q.1)));
    easiest.map_or(Rounds { counts: [1, 0, 0, 0], rounds: 1, later }, |(_, rounds)| rounds)
}

/// Means over the edge from which the difference of any counts follows without going over its points again.
struct Trial {
    squares: DMatrix<f64>,
    products: DVector<f64>,
    means: DVector<f64>,
    wanted_square: f64,
    wanted_mean: f64,
    later: f64,
}

impl Trial {
    fn new(table: &DMatrix<f64>, wanted: &DVector<f64>, later: f64) -> Self {
        let n = wanted.len() as f64;
        Self {
            squares: table.transpose() * table / n,
            products: table.transpose() * wanted / n,
            means: table.row_mean().transpose(),
            wanted_square: wanted.norm_squared() / n,
            wanted_mean: wanted.mean(),
            later,
        }
    }

    /// The two whole numbers of rounds next to the best one, with the root mean square difference of each.
    fn rounds_of(&self, counts: [u32; 4]) -> Vec<(f64, Rounds)> {
        let c = DVector::from_iterator(4, counts.iter().map(|v| f64::from(*v)));
        let (square, product, mean) = (c.dot(&(&self.squares * &c)), c.dot(&self.products), c.dot(&self.means));
        // With the even wear taken out; where that would be negative, without.
        let free = (product - mean * self.wanted_mean) / (square - mean * mean);
        let bound = product / square;
        let scale = if free * mean >= self.wanted_mean { free } else { bound };
        if !(scale.is_finite() && (0.0..1e6).contains(&scale)) {
            return Vec::new();
        }
        let rms = |m: f64| {
            let even = (m * mean - self.wanted_mean).max(0.0);
            let over = m * m * square - 2.0 * m * product + self.wanted_square;
            (over - 2.0 * even * (m * mean - self.wanted_mean) + even * even).max(0.0).sqrt()
        };
        let (lower, later) = ((scale - self.later).floor().max(1.0), self.later);
        [lower, lower + 1.0].map(|m| (rms(m + later), Rounds { counts, rounds: m as u32, later })).into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Of an arc that counts make exactly, those counts are found.
    #[test]
    fn counts_that_make_the_arc_are_found() {
        let table = DMatrix::from_fn(16, 4, |i, j| ((i as f64 + 1.0) / 16.0).powi(4 - j as i32));
        let wanted = &table * DVector::from_row_slice(&[60.0, 30.0, 0.0, 0.0]);
        let rounds = choose(&table, &wanted, [60.0, 30.0, 0.0, 0.0], 0.0);
        assert_eq!(rounds.strokes()[0] / rounds.strokes()[1], 2.0, "{rounds:?}");
        let off = &table * DVector::from_row_slice(&rounds.strokes()) - &wanted;
        assert!(off.amax() < 0.02 * wanted.amax(), "{rounds:?}");
    }
}
