//! How thin the rollers of a class may get, and when they are to be measured again.
//!
//! A roller that wears brings its axle nearer to the stone, and every angle falls; the fences stay. How much a roller may
//! lose before the first bevel leaves its tolerance is found by halving, with every fence as far off as it may be made. The
//! rollers are to be measured when half of that may be gone; the rest is margin, as nobody knows how fast they wear. The
//! rate is an assumption without a source, which its user may replace.

use crate::guide::Guide;
use crate::kit::fences::FencePlan;
use crate::log::Day;
use crate::solve::halving;

use super::Asked;

/// How much of its diameter a roller loses in a month of classes, mm: an assumption of ours, to be replaced by what calipers
/// say of one's own.
pub const USUAL_WEAR: f64 = 0.02;
/// Share of what a roller may lose that may be gone when it is measured again.
pub const USED: f64 = 0.5;
/// Longest time between measurements, months.
pub const MOST_MONTHS: f64 = 12.0;
/// Days of a month: 365.2425 / 12.
const MONTH: f64 = 30.436_875;
/// The search stops at a loss of this share of the diameter.
const MOST_LOST: f64 = 0.5;
/// How near a loss is found, mm.
const FINE: f64 = 1e-3;

/// When the rollers of a block's guides are to be measured again.
#[derive(Debug, Clone, PartialEq)]
pub struct Recheck {
    /// The day.
    pub day: Day,
    /// Whether the longest time between measurements, not wear, set the day.
    pub is_yearly: bool,
    /// The rollers, in the order of the block's guides.
    pub rollers: Vec<Roller>,
}

/// The roller of a guide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Roller {
    /// The guide: its place in [`super::Class::guides`].
    pub guide: usize,
    /// Its diameter as it was measured, mm.
    pub diameter: f64,
    /// How much of it may be lost before the first bevel leaves its tolerance, mm, and that bevel's place in the plan; `None`
    /// where none does before the roller is half as thick.
    pub limit: Option<(f64, usize)>,
}

impl Roller {
    /// The least diameter at which every bevel is within its tolerance, mm, on a block made within its making tolerance; half
    /// the diameter where none was found.
    pub fn least(&self) -> f64 {
        self.diameter - self.limit.map_or(MOST_LOST * self.diameter, |(lost, _)| lost)
    }
}

/// When the rollers of the guides `own` are to be measured again, for a block with these fences made `within` ± mm;
/// `guide_of` has the guide of each bevel.
pub fn recheck(
    plan: &FencePlan,
    guide_of: &[usize],
    own: &[usize],
    guides: &[Guide],
    within: f64,
    asked: Asked,
) -> Recheck {
    let roller = |&guide: &usize| {
        let diameter = guides[guide].roller.diameter.mm;
        let served = plan.fences.iter().flat_map(|fence| fence.members.iter().map(move |&ask| (ask, fence.distance)));
        let limits = served.filter(|(ask, _)| guide_of[*ask] == guide).filter_map(|(ask, fence)| {
            let ask_at = |fence: f64, lost| plan.asks[ask].is_set_with_worn_roller(fence, lost);
            let lost = limit(diameter, |lost| ask_at(fence - within, lost) && ask_at(fence + within, lost))?;
            Some((lost, ask))
        });
        Roller { guide, diameter, limit: limits.min_by(|a, b| a.0.total_cmp(&b.0)) }
    };
    let rollers: Vec<Roller> = own.iter().map(roller).collect();
    let lost = rollers.iter().filter_map(|roller| roller.limit).map(|(lost, _)| lost).fold(f64::INFINITY, f64::min);
    let months = USED * lost / asked.wear;
    // Whole days, rounded down: no later than it says.
    let day = asked.from.after((months.min(MOST_MONTHS) * MONTH) as u32);
    Recheck { day, is_yearly: months > MOST_MONTHS, rollers }
}

/// How much a roller may lose, mm, before something does not hold any more: nothing where it does not hold as it is, `None`
/// where it always does.
fn limit(roller: f64, holds: impl Fn(f64) -> bool) -> Option<f64> {
    let most = MOST_LOST * roller;
    (!holds(most)).then(|| halving::farthest(0.0, most, FINE, holds))
}
