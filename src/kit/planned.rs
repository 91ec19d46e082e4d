//! A kit planned: what is advised of its blades, and the fewest fences that serve them.

use super::Kit;
use super::advice::Advice;
use super::fences::{self, FencePlan};
use super::interval::Bench;

/// The plan of a kit. It is made once, and handed on to lanes, report, cards and gauges.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedKit {
    /// What is advised of each blade, in the order of the kit.
    pub advice: Vec<Advice>,
    /// The fences.
    pub plan: FencePlan,
}

impl PlannedKit {
    /// Plans `kit` for a guide and a block.
    pub fn new(kit: &Kit, bench: &Bench<'_>) -> Self {
        let advice = kit.advice();
        let plan = fences::plan(kit, &advice, bench);
        Self { advice, plan }
    }
}
