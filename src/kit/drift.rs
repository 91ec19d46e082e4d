//! How far the angle drifts while a blade stays clamped and its edge goes back.
//!
//! The guide's face keeps its place on the blade, so that an edge that has gone back by δ stands out by `p₀ − δ`, and the
//! angle is the one that this projection sets: `p(β) = p₀ − δ`. It grows as steel comes off.

use super::KitBlade;
use crate::solve::projection;
use crate::solve::section::Section;
use crate::stones::bevel::{self, Change};
use crate::units::{COARSE, Written, fixed};

/// A drift is said where it is more than this share of the tolerance: an assumption.
pub const SAID_FROM: f64 = 0.25;

/// What a change of the primary bevel does to the angle that was clamped.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drift {
    /// How far the edge goes back, mm.
    pub recession: f64,
    /// How much the angle grows if the blade stays clamped all the while, degrees.
    pub degrees: f64,
}

impl Drift {
    /// The drift of a blade clamped to stand out by `out` mm whose edge goes back by `recession` mm; `None` where the edge
    /// would no longer come down to the stone.
    pub fn new(section: &Section<f64>, out: f64, recession: f64) -> Option<Self> {
        let degrees = projection::angle(section, out - recession)? - projection::angle(section, out)?;
        Some(Self { recession, degrees })
    }

    /// The drift while the present bevel of a blade becomes `primary` degrees; `None` where nothing is to be changed, or
    /// where it is less than [`SAID_FROM`] of the tolerance.
    pub fn of_change(blade: &KitBlade, primary: f64, section: &Section<f64>, out: f64, tolerance: f64) -> Option<Self> {
        let side = bevel::Blade::new(blade.blade.thickness.mm, blade.blade.taper.degrees).ok()?;
        let change = Change::new(side, blade.current?, primary).ok()?;
        Self::new(section, out, change.recession().ok()?).filter(|drift| drift.degrees > SAID_FROM * tolerance)
    }

    /// What is to be done about it.
    pub fn words(&self, written: Written) -> String {
        format!(
            "regrinding takes the edge back by {}, and the angle of a blade that stays clamped grows by {}°. Clamp the blade again at the lane on the way",
            written.fixed(self.recession, COARSE).said(),
            fixed(self.degrees, 1)
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::named::NoFiles;
    use crate::guide::{Blade, Guide, named};
    use approx::assert_abs_diff_eq;

    /// An edge that goes back by what lies between two settings has drifted from the one to the other; the settings are
    /// those of the built-in guide, 60.04 and 47.09 mm at 25 and 30°.
    #[test]
    fn an_edge_that_goes_back_drifts_to_the_next_setting() {
        let guide: Guide = named::guide("narrow-side-clamp", &NoFiles).unwrap_or_else(|e| panic!("{e}"));
        let settings =
            [25.0, 30.0].map(|angle| guide.setting(Blade::iron(2.4), angle).unwrap_or_else(|e| panic!("{e}")));
        let [flat, steep] = settings.map(|s| s.projection);
        let section = Section {
            roller_radius: 8.0,
            roller_level: 0.0,
            seat_height: 21.9,
            axle_to_face: 11.0,
            face_bottom: None,
            square_error: 0.0,
            thickness: 2.4,
            taper: 0.0,
            land: 0.0,
            land_taper: 0.0,
            locates: crate::terms::Locates::Underside,
        };
        let drift = Drift::new(&section, flat, flat - steep).map_or(f64::NAN, |d| d.degrees);
        assert_abs_diff_eq!(drift, 5.0, epsilon = 1e-9);
        // 20° becomes 25° with the edge back by 2.4 / sin 20° · sin 5° / sin 25° = 1.45 mm: some half a degree.
        let out = projection::projection(&section, 25f64.to_radians());
        assert_abs_diff_eq!(Drift::new(&section, out, 1.447).map_or(f64::NAN, |d| d.degrees), 0.5, epsilon = 0.1);
        assert_eq!(Drift::new(&section, out, 0.0), Some(Drift { recession: 0.0, degrees: 0.0 }));
    }
}
