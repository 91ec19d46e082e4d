//! The blade must be one that the seat holds.

use super::{Finding, Lane, Rule};
use crate::guide::Seat;

/// Whether the seat does not hold a blade so thick and wide, mm.
pub(super) fn refused(seat: &Seat, thickness: f64, width: f64) -> bool {
    let outside = |size: f64, limits: Option<[f64; 2]>| limits.is_some_and(|[least, most]| size < least || size > most);
    outside(thickness, seat.blade_thickness) || outside(width, seat.blade_width)
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
        Some([least, most]) if size < least || size > most => {
            let size = if size < least { written.under(size) } else { written.over(size) };
            let held = format!("it holds {} to {}", written.length(least), written.length(most));
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
    use crate::lane::checks::Gravity::Refusal;
    use crate::lane::checks::testing::*;

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
