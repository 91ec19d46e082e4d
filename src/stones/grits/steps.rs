//! Whether a set's steps are long, sound or wasted, and how many strokes each takes.
//!
//! The model, all of it an assumption: grains leave scratches as deep as a share of their size, [`SCRATCH`], and a
//! stroke wears a depth that is another share of it, [`REMOVAL`] (a like share of each grain cuts). The scratches of the
//! last grade, d₁, are gone once the next, d₂, has taken the surface down to their bottoms:
//!
//! ```text
//! strokes = SCRATCH·d₁ / (REMOVAL·d₂) = 10 · d₁/d₂
//! ```
//!
//! So a step costs as its ratio. From one grain to another in `n` equal steps costs `n·R^(1/n)`, least where the ratio is
//! e = 2.72: longer steps cost more strokes than a grade between them would, and short ones cost a change of paper for
//! little. The limits below are common practice, no source, and lie as that says.

use super::Grade;
use crate::stones::cautions::BURR;

/// Depth of a scratch as a share of the grain's size: an assumption.
pub const SCRATCH: f64 = 0.2;

/// Depth that a stroke wears, evenly pressed, as a share of the grain's size: an assumption; measure yours.
pub const REMOVAL: f64 = 0.02;

/// A step by more than this ratio is long: common practice, no source.
pub const LONG: f64 = 2.5;

/// A step by less than this ratio is wasted: common practice, no source.
pub const WASTED: f64 = 1.3;

/// Most grades in a set.
pub const MOST: usize = 40;

/// What is done on a set, whatever its grades: common practice, no source.
pub const ADVICE: [&str; 4] = [
    "Shape the primary bevel (and any camber) on the coarsest grade. Stop when there is a burr along the whole edge.",
    BURR,
    "Use only the finest grade on the back. Lay the back flat and alternate a few strokes on back and bevel until the burr is gone.",
    "Wipe blade, guide and roller between grades: one coarse grain scratches all that follows.",
];

/// How a step from the last grade is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Neither long nor wasted.
    Sound,
    /// More than [`LONG`]: a grade between would save strokes.
    Long,
    /// Less than [`WASTED`]: it can be left out.
    Wasted,
    /// Not finer than the last: it undoes what was done.
    Backward,
}

impl Verdict {
    /// The verdict in a word.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Sound => "sound",
            Verdict::Long => "long",
            Verdict::Wasted => "wasted",
            Verdict::Backward => "backward",
        }
    }
}

/// What a grade is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Work {
    /// The coarsest of several: primary bevel and camber.
    Primary,
    /// Those between: the micro-bevel.
    Micro,
    /// The finest: the micro-bevel, and the back with its burr.
    Finest,
}

impl Work {
    /// What it is for, in words.
    pub fn words(self) -> &'static str {
        match self {
            Work::Primary => "primary bevel, camber",
            Work::Micro => "micro-bevel",
            Work::Finest => "micro-bevel, then the back: burr off",
        }
    }
}

/// A grade of a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// The grade.
    pub grade: Grade,
    /// What it is for.
    pub work: Work,
    /// The last grade's grain size by this one's; `None` for the first.
    pub ratio: Option<f64>,
    /// How that is judged.
    pub verdict: Option<Verdict>,
    /// Strokes that remove the last grade's scratches; `None` for the first, whose strokes depend on what it shapes.
    pub strokes: Option<u32>,
    /// Depth that a stroke wears, evenly pressed, mm.
    pub removal: f64,
}

/// A set, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The grades in the order of the set.
    pub steps: Vec<Step>,
    /// Strokes of the whole set, those of the first grade apart.
    pub strokes: u32,
    /// The fewest of its grades, coarse to fine, from its coarsest to its finest, that make no long step but where the
    /// set has nothing between; of several such the one with the fewest strokes.
    pub fewest: Vec<Grade>,
    /// Their strokes.
    pub fewest_strokes: u32,
}

impl Judged {
    /// Whether the set is sound throughout.
    pub fn is_sound(&self) -> bool {
        self.steps.iter().filter_map(|s| s.verdict).all(|v| v == Verdict::Sound)
    }
}

/// Why a set cannot be judged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoSet {
    /// No grade at all.
    #[error("a set needs a grade")]
    Empty,
    /// More than [`MOST`] grades.
    #[error("{count} grades, and a set has up to {MOST}")]
    TooMany {
        /// How many.
        count: usize,
    },
}

/// Strokes that remove the scratches of grains of `last` µm with grains of `grain` µm.
pub fn strokes(last: f64, grain: f64) -> u32 {
    // A hair less, so that a ratio of 2 is 20 strokes however it was rounded.
    (SCRATCH / REMOVAL * last / grain - 1e-9).ceil() as u32
}

/// Depth that a stroke with grains of `grain` µm wears, evenly pressed, mm: an assumption, see [`REMOVAL`].
pub fn removal(grain: f64) -> f64 {
    REMOVAL * grain / 1000.0
}

/// Judges a set in the order in which it is used.
///
/// # Errors
/// [`NoSet`].
pub fn judge(set: &[Grade]) -> Result<Judged, NoSet> {
    if set.is_empty() {
        return Err(NoSet::Empty);
    }
    if set.len() > MOST {
        return Err(NoSet::TooMany { count: set.len() });
    }
    let steps: Vec<Step> = (0..set.len()).map(|i| step(set, i)).collect();
    let fewest = fewest(set);
    Ok(Judged { strokes: total(set), steps, fewest_strokes: total(&fewest), fewest })
}

fn step(set: &[Grade], i: usize) -> Step {
    let grain = set[i].grain();
    let last = i.checked_sub(1).map(|before| set[before].grain());
    let work = match i {
        _ if i + 1 == set.len() => Work::Finest,
        0 => Work::Primary,
        _ => Work::Micro,
    };
    let ratio = last.map(|last| last / grain);
    Step {
        grade: set[i],
        work,
        ratio,
        verdict: ratio.map(verdict),
        strokes: last.map(|last| strokes(last, grain)),
        removal: removal(grain),
    }
}

/// How a step by `ratio` of grain sizes is judged.
pub fn verdict(ratio: f64) -> Verdict {
    match ratio {
        r if r <= 1.0 => Verdict::Backward,
        r if r < WASTED => Verdict::Wasted,
        r if r > LONG => Verdict::Long,
        _ => Verdict::Sound,
    }
}

/// Strokes of a set from its second grade on.
fn total(set: &[Grade]) -> u32 {
    set.windows(2).map(|w| strokes(w[0].grain(), w[1].grain())).sum()
}

/// The shortest way through the grades, coarse to fine, by steps that are not long.
fn fewest(set: &[Grade]) -> Vec<Grade> {
    let mut sorted = set.to_vec();
    sorted.sort_by(|a, b| b.grain().total_cmp(&a.grain()));
    sorted.dedup_by(|a, b| a.grain() == b.grain());
    // Of each grade: how many grades and strokes it takes to get there, and from where.
    let mut best: Vec<(usize, u32, usize)> = vec![(1, 0, 0)];
    for i in 1..sorted.len() {
        let from = |j: usize| (best[j].0 + 1, best[j].1 + strokes(sorted[j].grain(), sorted[i].grain()), j);
        let sound = (0..i).filter(|&j| j + 1 == i || sorted[j].grain() / sorted[i].grain() <= LONG);
        let found = sound.map(from).min().unwrap_or((1, 0, 0));
        best.push(found);
    }
    let mut way = vec![sorted.len() - 1];
    while let Some(&at) = way.last().filter(|&&at| at > 0) {
        way.push(best[at].2);
    }
    way.into_iter().rev().map(|i| sorted[i]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stones::grits::tables::Standard;

    fn grades(numbers: &[u16]) -> Vec<Grade> {
        numbers.iter().filter_map(|n| Grade::of_standard(Standard::P, *n)).collect()
    }

    /// 220 for the primary, then 400, 600, 800, 1500, 2000 for the micro-bevel: common practice, no source.
    #[test]
    fn the_common_set_has_two_wasted_steps() {
        let judged = judge(&grades(&[220, 400, 600, 800, 1500, 2000])).unwrap_or_else(|e| panic!("{e}"));
        let verdicts: Vec<&str> = judged.steps.iter().filter_map(|s| s.verdict).map(Verdict::word).collect();
        assert_eq!(verdicts, ["sound", "sound", "wasted", "sound", "wasted"]);
        assert_eq!(judged.fewest, grades(&[220, 400, 800, 2000]));
        assert!(judged.fewest_strokes < judged.strokes, "{judged:?}");
    }

    #[test]
    fn a_gap_in_the_set_is_kept() {
        let judged = judge(&grades(&[80, 2000])).unwrap_or_else(|e| panic!("{e}"));
        assert_eq!(judged.fewest, grades(&[80, 2000]));
        assert_eq!(judged.steps[1].verdict, Some(Verdict::Long));
    }

    #[test]
    fn a_step_back_is_seen_and_left_out() {
        let judged = judge(&grades(&[400, 220, 800, 800])).unwrap_or_else(|e| panic!("{e}"));
        let verdicts: Vec<&str> = judged.steps.iter().filter_map(|s| s.verdict).map(Verdict::word).collect();
        assert_eq!(verdicts, ["backward", "long", "backward"]);
        assert_eq!(judged.fewest, grades(&[220, 400, 800]));
        assert!(!judged.is_sound());
    }

    #[test]
    fn one_grade_is_a_set_and_none_is_not() {
        assert_eq!(judge(&grades(&[1000])).map(|j| (j.strokes, j.fewest.len(), j.is_sound())), Ok((0, 1, true)));
        assert_eq!(judge(&[]), Err(NoSet::Empty));
        assert_eq!(judge(&grades(&[220; 41])), Err(NoSet::TooMany { count: 41 }));
    }

    /// The ratio e costs least: a step of 1 to 20 in three is cheaper than in two or six.
    #[test]
    fn steps_of_about_e_cost_least() {
        let cost = |n: i32| f64::from(n) * libm::pow(20.0, 1.0 / f64::from(n));
        assert!(cost(3) < cost(2) && cost(3) < cost(6));
        assert_eq!(strokes(40.0, 20.0), 20);
    }
}
