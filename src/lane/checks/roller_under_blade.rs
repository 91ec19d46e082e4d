//! A roller between blade and stone must not touch the blade; a pair beside it must leave room for its width.

use super::{Finding, Lane, Rule};
use crate::guide::Guide;
use crate::lane::mm;
use crate::profile::guide::Arrangement;

/// Least clearance between roller and blade, mm.
const LEAST: f64 = 0.5;

pub(super) fn check(guide: &Guide, lane: &Lane) -> Option<Finding> {
    let section = &lane.setting.section;
    let rule = Rule::RollerUnderBlade;
    match (guide.roller.arrangement, &guide.roller.gap, lane.request.width) {
        (None, ..) => Some(Finding::not_checked(rule, "whether the roller clears the blade", "roller.arrangement")),
        (Some(Arrangement::Centre), ..) => {
            let clearance = section.underside_level() - section.roller_radius;
            (clearance < LEAST).then(|| {
                Finding::refusal(
                    rule,
                    format!(
                        "the blade's underside clears the roller by {}; at least {LEAST} mm is needed",
                        mm(clearance)
                    ),
                )
            })
        }
        (Some(Arrangement::Pair), Some(gap), Some(width)) => (gap.mm <= width).then(|| {
            Finding::refusal(
                rule,
                format!(
                    "a blade {} wide does not pass between rollers {} apart; the gap must be wider",
                    mm(width),
                    mm(gap.mm)
                ),
            )
        }),
        (Some(Arrangement::Pair), ..) => {
            Some(Finding::not_checked(rule, "whether the blade passes between the rollers", "the blade's width"))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Gravity::{NotChecked, Refusal};
    use super::super::testing::*;
    use super::*;
    use crate::guide::Taken;
    use crate::input::length::Length;

    #[test]
    fn sound_then_broken() {
        let mut g = guide();
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), None);
        g.roller.diameter = Length::exact(36.0);
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), Some(Refusal));
        g.roller.arrangement = None;
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), Some(NotChecked));
    }

    #[test]
    fn a_pair_needs_a_gap_wider_than_the_blade() {
        let mut g = guide();
        g.roller.arrangement = Some(Arrangement::Pair);
        g.roller.gap = Some(Length::exact(50.5));
        g.face.reach = Taken::Direct(Length::exact(15.8));
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), None);
        g.roller.gap = Some(Length::exact(50.0));
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), Some(Refusal));
    }
}
