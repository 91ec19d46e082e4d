//! A roller between blade and stone must not touch the blade; a pair beside it must leave room for its width.

use super::{Finding, Lane, Rule};
use crate::guide::Guide;
use crate::solve::section::Section;
use crate::terms::Arrangement;
use crate::trig::Trig;

/// Least clearance between roller and blade, mm.
const LEAST: f64 = 0.5;

pub(super) fn check(guide: &Guide, lane: &Lane) -> Option<Finding> {
    let (section, written) = (&lane.setting.section, lane.request.written);
    let rule = Rule::RollerUnderBlade;
    match (guide.roller.arrangement, &guide.roller.gap, lane.request.width) {
        (None, ..) => Some(Finding::not_checked(rule, "whether the roller clears the blade", "roller.arrangement")),
        (Some(Arrangement::Centre), ..) => {
            let clearance = clearance(section, lane.setting.projection);
            (clearance < LEAST).then(|| {
                Finding::refusal(
                    rule,
                    format!(
                        "the blade's underside clears the roller by {}; at least {} is needed",
                        written.under(clearance),
                        written.size(LEAST)
                    ),
                )
            })
        }
        (Some(Arrangement::Pair), Some(gap), Some(width)) => (gap.mm <= width).then(|| {
            Finding::refusal(
                rule,
                format!(
                    "a blade {} wide does not pass between rollers {} apart; the gap must be wider",
                    written.over(width),
                    written.under(gap.mm)
                ),
            )
        }),
        (Some(Arrangement::Pair), ..) => {
            Some(Finding::not_checked(rule, "whether the blade passes between the rollers", "the blade's width"))
        }
    }
}

/// Whether the rule refuses a blade `width` mm wide that stands out by `projection` mm.
pub(super) fn refused(guide: &Guide, section: &Section<f64>, projection: f64, width: f64) -> bool {
    match (guide.roller.arrangement, &guide.roller.gap) {
        (Some(Arrangement::Centre), _) => clearance(section, projection) < LEAST,
        (Some(Arrangement::Pair), Some(gap)) => gap.mm <= width,
        _ => false,
    }
}

/// Distance of the blade's underside from a roller between it and the stone, mm. A tapered blade that is held by its back or its sides slopes
/// against the seat, so that over the axle its underside is not at the level it has at the edge.
fn clearance(section: &Section<f64>, projection: f64) -> f64 {
    let (sin, cos) = section.tilt().sine_cosine();
    let edge = section.axle_to_face + projection;
    section.underside_level() + edge * sin - section.edge_level() * (1.0 - cos) - section.roller_radius
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::Blade;
    use crate::guide::Taken;
    use crate::input::length::Angle;
    use crate::input::length::Length;
    use crate::lane::checks::Gravity::Note;
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::testing::*;
    use crate::terms::SeatName;

    #[test]
    fn sound_then_broken() {
        let mut g = guide();
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), None);
        g.roller.diameter = Length::exact(36.0);
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), Some(Refusal));
        g.roller.arrangement = None;
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), Some(Note));
    }

    #[test]
    fn a_pair_needs_a_gap_wider_than_the_blade() {
        let mut g = guide();
        g.roller.arrangement = Some(Arrangement::Pair);
        g.roller.gap = Some(Length::exact(50.5));
        g.face.axle_to_face = Taken::Direct(Length::exact(15.8));
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), None);
        g.roller.gap = Some(Length::exact(50.0));
        assert_eq!(found(&g, &request(30.0), EDGE, Rule::RollerUnderBlade), Some(Refusal));
    }

    #[test]
    fn a_blade_held_by_its_sides_slopes_toward_the_roller() {
        // n_u = 13.2 + 2.8/2 − 4 = 10.6 mm at the edge, 44.29 mm ahead of the axle: 1.1 mm less 44.29·sin 0.8° = 0.48 mm.
        let mut r = request(30.0);
        r.seat = SeatName::Chisel;
        r.blade = Blade { taper: Angle::exact(-0.7), land: Some(Length::exact(2.8)), ..Blade::even(4.0) };
        assert_eq!(found(&guide(), &r, EDGE, Rule::RollerUnderBlade), None);
        r.blade.taper = Angle::exact(-0.8);
        assert_eq!(found(&guide(), &r, EDGE, Rule::RollerUnderBlade), Some(Refusal));
    }
}
