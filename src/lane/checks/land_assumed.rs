//! A groove holds a bevel-edged chisel by its side lands: how high they are moves the edge, and few know it.

use super::{Finding, Lane, Rule};
use crate::guide::Blade;
use crate::solve::{projection, section::Section};
use crate::terms::Locates;
use crate::units::{Written, fixed};

/// Decimals of a height that is only taken to be so.
const HEIGHT: [usize; 2] = [1, 3];

/// Warns where the height of the lands is only what is usual for the class.
pub(super) fn check(lane: &Lane) -> Option<Finding> {
    let assumed = assumed(&lane.request.blade, &lane.setting.section, lane.setting.projection)?;
    Some(Finding::warning(Rule::LandAssumed, assumed.words(lane.request.written)))
}

/// Lands that are only taken to be so high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Assumed {
    /// Their height and its range, mm.
    land: [f64; 2],
    /// How far the bevel may be off by them, degrees, where that can be told.
    pub cost: Option<f64>,
}

impl Assumed {
    /// Whether the lands are taken alike.
    pub fn is_as_high(&self, other: &Self) -> bool {
        self.land == other.land
    }

    /// What is taken, what it may cost, and what to do about it.
    pub fn words(&self, written: Written) -> String {
        let cost =
            self.cost.map_or_else(String::new, |degrees| format!("; the bevel may be off by {}°", fixed(degrees, 1)));
        let [land, within] = self.land.map(|mm| written.fixed(mm, HEIGHT));
        format!(
            "the height of the blade's side lands was not measured, so {land} ± {} is assumed{cost}. Measure the land at the edge and give it as \"land\"",
            within.said()
        )
    }
}

/// The lands by which `section` holds the blade, where nobody measured them, and what that may cost at a projection;
/// `None` where it does not matter.
pub(crate) fn assumed(blade: &Blade, section: &Section<f64>, projection: f64) -> Option<Assumed> {
    let land = blade.land.filter(|_| blade.land_assumed && section.locates == Locates::Sides)?;
    let within = land.within.unwrap_or(0.0);
    Some(Assumed { land: [land.mm, within], cost: cost(section, projection, within) })
}

/// How far the bevel is off at the same projection where the lands are `within` mm lower or higher, degrees; the
/// larger of both.
fn cost(section: &Section<f64>, projection: f64, within: f64) -> Option<f64> {
    let angle = |land: f64| projection::angle(&Section { land, ..*section }, projection);
    let stated = angle(section.land)?;
    let off = |by: f64| angle((section.land + by).max(0.0)).map(|a| (a - stated).abs());
    Some(off(-within)?.max(off(within)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::length::Length;
    use crate::lane::checks::Gravity::Warning;
    use crate::lane::checks::testing::*;
    use crate::terms::SeatName;
    use crate::trig::Trig;

    #[test]
    fn only_lands_that_nobody_measured_in_a_groove_are_warned_of() {
        let land = Some(Length { mm: 1.5, within: Some(1.0) });
        let mut r = request(30.0);
        r.blade = Blade { land, land_assumed: true, ..Blade::even(3.2) };
        assert_eq!(found(&guide(), &r, EDGE, Rule::LandAssumed), None);
        r.seat = SeatName::Chisel;
        assert_eq!(found(&guide(), &r, EDGE, Rule::LandAssumed), Some(Warning));
        r.blade.land_assumed = false;
        assert_eq!(found(&guide(), &r, EDGE, Rule::LandAssumed), None);
    }

    /// Half the land's error is a height error of the edge: δβ ≈ δH cos β / |dp/dβ · sin β|, worked out by hand.
    #[test]
    fn the_cost_is_what_the_slope_says() {
        let section = Section {
            roller_radius: 8.0,
            roller_level: 0.0,
            seat_height: 17.1,
            axle_to_face: 11.0,
            face_bottom: None,
            square_error: 0.0,
            thickness: 3.2,
            taper: 0.0,
            land: 1.5,
            land_taper: 0.0,
            locates: Locates::Sides,
        };
        let beta = 30f64.to_radians();
        let p = projection::projection(&section, beta);
        // H = 17.85: dp/dβ = −(8 cos 30° + 17.85) / sin² 30° = −99.1 mm per radian; δp = 0.5 cot 30° = 0.866 mm.
        let by_hand =
            (0.5 * beta.cosine() / beta.sine() / ((8.0 * beta.cosine() + 17.85) / beta.sine().powi(2))).to_degrees();
        let found = cost(&section, p, 1.0).unwrap_or(f64::NAN);
        assert!((found - by_hand).abs() < 0.02, "{found} {by_hand}");
    }
}
