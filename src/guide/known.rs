//! Known settings of a fitted guide: what was found at the bench goes before what was computed from it.

use super::{Blade, Resolver};
use crate::input::length::{Angle, Length, rectangular};
use crate::profile::guide::KnownFile;
use crate::terms::{Locates, SeatName};
use crate::trig::Inverse;

/// Lengths closer than this are one, mm: far less than any caliper reads.
const SAME: f64 = 1e-4;
/// Angles closer than this are one, degrees.
const SAME_ANGLE: f64 = 1e-6;

/// An angle that is no better known than this, ± degrees, is a measurement and not the name of a setting: the fit of all
/// settings knows it better.
const NAMED_WITHIN: f64 = 0.1;

/// A known setting of a seat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownSetting {
    /// Thickness of the blade at the edge, mm, where it was stated.
    thickness: Option<f64>,
    /// Its taper, degrees.
    taper: f64,
    /// Height of its side lands, mm, where it was stated.
    land: Option<f64>,
    /// Their taper, degrees.
    land_taper: f64,
    /// How far the roller's track lay above the honing surface, mm.
    level: f64,
    /// Bevel angle, with its tolerance.
    pub angle: Angle,
    /// Projection, with its tolerance, mm.
    pub projection: Length,
}

impl KnownSetting {
    /// Whether it is the setting of `blade` in a seat that locates it so, for a bevel of `angle` degrees.
    fn is_of(&self, locates: Locates, blade: &Blade, level: Length, angle: f64) -> bool {
        let same = |a: f64, b: f64| (a - b).abs() < SAME;
        let stated = |a: Option<f64>, b: Option<f64>| matches!((a, b), (Some(a), Some(b)) if same(a, b));
        let blade_is_same = match locates {
            Locates::Underside => {
                stated(self.thickness, Some(blade.thickness.mm)) && same(self.taper, blade.taper.degrees)
            }
            Locates::Back => true,
            Locates::Sides => {
                stated(self.land, blade.land.map(|l| l.mm)) && same(self.land_taper, blade.land_taper.degrees)
            }
        };
        let is_named = self.angle.within.unwrap_or(0.0) <= NAMED_WITHIN;
        is_named && blade_is_same && same(self.level, level.mm) && (self.angle.degrees - angle).abs() < SAME_ANGLE
    }

    /// Standard uncertainty of the projection, mm, where it changes by `slope` mm a radian with the angle.
    pub fn uncertainty(&self, slope: f64) -> f64 {
        let angle = rectangular(self.angle.within.unwrap_or(0.0).to_radians());
        rectangular(self.projection.within.unwrap_or(0.0)).hypotenuse(slope * angle)
    }
}

/// The surest of the known settings that is one of `blade` for a bevel of `angle` degrees.
pub(super) fn surest(
    known: &[KnownSetting],
    locates: Locates,
    blade: &Blade,
    level: Length,
    angle: f64,
) -> Option<KnownSetting> {
    let within = |k: &KnownSetting| k.projection.within.unwrap_or(0.0);
    let those = known.iter().filter(|k| k.is_of(locates, blade, level, angle));
    those.min_by(|a, b| within(a).total_cmp(&within(b))).copied()
}

impl Resolver<'_> {
    /// The known settings of a seat.
    pub(super) fn known(&mut self, file: &[KnownFile], seat: SeatName) -> Vec<KnownSetting> {
        let of_seat = file.iter().enumerate().filter(|(_, k)| k.seat == seat);
        of_seat.map(|(index, known)| self.known_setting(index, known)).collect()
    }

    fn known_setting(&mut self, index: usize, file: &KnownFile) -> KnownSetting {
        let index = index.to_string();
        let at = |field| ["known", index.as_str(), field];
        let mut mm = |field, form| self.optional(&at(field), form).map(|l| l.mm);
        let (thickness, land) = (mm("thickness", file.thickness.as_ref()), mm("land", file.land.as_ref()));
        let level = mm("roller_level", file.roller_level.as_ref()).unwrap_or(0.0);
        let mut degrees = |field, form| self.taper(&at(field), form).map_or(0.0, |a| a.degrees);
        KnownSetting {
            thickness,
            taper: degrees("taper", file.taper.as_ref()),
            land,
            land_taper: degrees("land_taper", file.land_taper.as_ref()),
            level,
            angle: file.angle.read(),
            projection: self.length(&at("projection"), &file.projection),
        }
    }
}
