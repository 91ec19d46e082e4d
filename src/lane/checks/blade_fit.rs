//! The blade must be one that the seat holds.

use super::{Finding, Lane, Rule};
use crate::guide::Seat;
use crate::units::{exceeds, falls_short};

/// Whether the seat does not hold a blade so thick and wide, mm.
pub(super) fn refused(seat: &Seat, thickness: f64, width: f64) -> bool {
    let outside = |size: f64, limits: Option<[f64; 2]>| limits.is_some_and(|limits| is_outside(size, limits));
    outside(thickness, seat.blade_thickness) || outside(width, seat.blade_width)
}

fn is_outside(size: f64, [least, most]: [f64; 2]) -> bool {
    falls_short(size, least) || exceeds(size, most)
}

pub(super) fn check(seat: &Seat, lane: &Lane) -> Vec<Finding> {
    let mut found = Vec::new();
    let written = lane.request.written;
    let mut hold = |what: &str, size: f64, limits: Option<[f64; 2]>, field: &str| match limits {
        None => found.push(Finding::not_checked(
            Rule::BladeFit,
            &format!("whether the seat holds a blade so {what}"),
            field,
        )),
        Some([least, most]) if is_outside(size, [least, most]) => {
            let size = if size < least { written.under(size) } else { written.over(size) };
            let held = format!("it holds {} to {}", written.over(least), written.under(most));
            found.push(Finding::refusal(
                Rule::BladeFit,
                format!("the seat does not hold a blade {size} {what}; {held}"),
            ));
        }
        Some(_) => {}
    };
    hold("thick", lane.request.blade.thickness.mm, seat.blade_thickness, "the seat's blade_thickness");
    if let Some(width) = lane.request.width {
        hold("wide", width, seat.blade_width, "the seat's blade_width");
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::length::Length;
    use crate::lane::build;
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::testing::*;
    use crate::terms::SeatName;

    /// Found by random jobs: a blade as wide as the limit that a refusal had named was refused, as 38.10 mm are a hair more
    /// than 1 1/2 in when both are stored, and a limit of 3.175 mm was told as 3.17.
    #[test]
    fn a_limit_that_is_met_to_the_digit_is_met_and_can_be_followed() {
        let guide = guide();
        let seat = Seat { blade_width: Some([3.175, 38.1 - 1e-14]), ..guide.seat_for(SeatName::Iron).1.clone() };
        assert!(!refused(&seat, 2.4, 38.1) && refused(&seat, 2.4, 38.11));
        assert!(refused(&seat, 2.4, 3.17) && !refused(&seat, 2.4, 3.18));
        let mut lane = build(&guide, &request(30.0), EDGE, 0.5).expect("has a setting");
        lane.request.width = Some(2.0);
        let said: Vec<String> = check(&seat, &lane).into_iter().map(|finding| finding.message).collect();
        assert!(said[0].ends_with("2.00 mm wide; it holds 3.18 mm to 38.10 mm"), "{said:?}");
    }

    #[test]
    fn sound_then_broken() {
        let mut r = request(30.0);
        assert_eq!(found(&guide(), &r, EDGE, Rule::BladeFit), None);
        r.width = Some(67.1);
        assert_eq!(found(&guide(), &r, EDGE, Rule::BladeFit), Some(Refusal));
        r.width = Some(67.0);
        r.blade.thickness = Length::exact(5.1);
        assert_eq!(found(&guide(), &r, EDGE, Rule::BladeFit), Some(Refusal));
    }
}
