//! When a block is to be held against its guides again, as their rollers wear.
//!
//! A roller that wears brings its axle nearer to the stone, and every angle falls; the fences stay. How much a roller may
//! lose before the first bevel leaves its tolerance is found by halving. Half of that is used: the other half is for what
//! nobody knows of the wear. How fast a roller wears is an assumption, which its user may replace: no source.

use crate::guide::Guide;
use crate::kit::fences::FencePlan;
use crate::log::Day;

use super::Asked;

/// How much of its diameter a roller loses in a month of classes, mm: an assumption of ours, to be replaced by what calipers
/// say of one's own.
pub const USUAL_WEAR: f64 = 0.02;
/// Share of what a roller may lose that is used before the block is held against the guide again.
pub const USED: f64 = 0.5;
/// A block is held against its guides once in so many months at the least.
pub const MOST_MONTHS: f64 = 12.0;
/// Days of a month: 365.2425 / 12.
const MONTH: f64 = 30.436_875;
/// Share of a roller's diameter that is looked at: one half as thick is no roller any more.
const MOST_LOST: f64 = 0.5;
/// How near a loss is found, mm.
const FINE: f64 = 1e-3;

/// When a block is to be held against its guides again.
#[derive(Debug, Clone, PartialEq)]
pub struct Recheck {
    /// The day.
    pub day: Day,
    /// Whether it is that day because it comes once a year, sooner than wear asks for it.
    pub is_yearly: bool,
    /// How much a roller may lose of its diameter before the first bevel leaves its tolerance, mm; `None` where none does
    /// before the roller is half as thick.
    pub lost: Option<f64>,
    /// The guide whose bevel leaves first, by place, and that bevel's place in the plan; none where none does.
    pub first: Option<(usize, usize)>,
}

/// When a block with these fences is to be held against its guides again; `guide_of` has the guide of each bevel.
pub fn recheck(plan: &FencePlan, guide_of: &[usize], guides: &[Guide], asked: Asked) -> Recheck {
    let served = plan.fences.iter().flat_map(|fence| fence.members.iter().map(move |&ask| (ask, fence.distance)));
    let limits = served.filter_map(|(ask, fence)| {
        let roller = guides[guide_of[ask]].roller.diameter.mm;
        let lost = limit(roller, |lost| plan.asks[ask].is_set_with_worn_roller(fence, lost))?;
        Some((lost, guide_of[ask], ask))
    });
    let least = limits.min_by(|a, b| a.0.total_cmp(&b.0));
    let lost = least.map(|(lost, ..)| lost);
    let months = lost.map_or(f64::INFINITY, |lost| USED * lost / asked.wear);
    // Whole days, rounded down: no later than it says.
    let day = asked.from.after((months.min(MOST_MONTHS) * MONTH) as u32);
    Recheck { day, is_yearly: months > MOST_MONTHS, lost, first: least.map(|(_, guide, ask)| (guide, ask)) }
}

/// How much a roller may lose, mm, before something does not hold any more; `None` where it always does.
fn limit(roller: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    let (mut good, mut bad) = (0.0, MOST_LOST * roller);
    if holds(bad) {
        return None;
    }
    while bad - good > FINE {
        let middle = (good + bad) / 2.0;
        if holds(middle) { good = middle } else { bad = middle }
    }
    Some(good)
}
