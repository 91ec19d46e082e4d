//! The blade must lie on the table behind its heel, or it tips into the bevel's hollow.

use super::{Finding, Lane, Rule};
use crate::solve::section::Section;
use crate::trig::Trig;
use crate::units::short;

/// Below this the blade rocks under a finger's pressure, mm.
const ENOUGH: f64 = 8.0;

/// Length of blade on the table behind the heel of a primary bevel of `primary` degrees, mm.
pub(in crate::lane) fn length(section: &Section<f64>, fence: f64, primary: f64) -> f64 {
    fence - section.thickness / (primary.to_radians() + section.taper).tangent()
}

pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let (support, written) = (lane.table_support, lane.request.written);
    let primary = short(lane.request.primary(), 3);
    if support <= 0.0 {
        let message = format!(
            "the heel of its {primary}° primary bevel lies {} beyond the table, so nothing carries the blade",
            written.length(-support)
        );
        Some(Finding::refusal(Rule::TableSupport, message))
    } else if support < ENOUGH {
        let message = format!(
            "the table carries only {} of blade behind the heel of its {primary}° primary bevel. Below {} the blade rocks easily: press it down flat",
            written.under(support),
            written.size(ENOUGH)
        );
        Some(Finding::warning(Rule::TableSupport, message))
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::length::Length;
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::Gravity::Warning;
    use crate::lane::checks::testing::*;

    #[test]
    fn sound_then_broken() {
        let mut r = request(35.0);
        assert_eq!(found(&guide(), &r, EDGE, Rule::TableSupport), None);
        // F = p = 33.5 mm; t·cot 10° of a 4.5 mm blade reaches 25.5 mm of it, t·cot 7° 36.6 mm.
        r.blade.thickness = Length::exact(4.5);
        r.primary = Some(10.0);
        assert_eq!(found(&guide(), &r, EDGE, Rule::TableSupport), Some(Warning));
        r.primary = Some(7.0);
        assert_eq!(found(&guide(), &r, EDGE, Rule::TableSupport), Some(Refusal));
    }

    #[test]
    fn a_blade_that_is_carried_just_enough_is_carried() {
        let mut lane = lane(35.0);
        let mut gravity = |support| {
            lane.table_support = support;
            check(&lane).map(|finding| finding.gravity)
        };
        let all = [ENOUGH, ENOUGH - 0.01, 0.01, 0.0].map(&mut gravity);
        assert_eq!(all, [None, Some(Warning), Some(Warning), Some(Refusal)]);
    }
}
