//! The angle relation and its inverse.
//!
//! The edge lies at `(e + p, H)` in the guide frame. With the seat dipping at α, its height above the honing surface
//! is `a − (e + p)·sin α + H·cos α`, which is zero when the edge touches. So
//!
//! ```text
//! p(β) = (a + H·cos α) / sin α − e          α = β + τ (underside) or β (back, sides)
//! dp/dβ = −(a·cos α + H) / sin² α
//! α(p) = φ + asin(a / R)     R = hypot(p + e, H),  φ = atan2(H, p + e)
//! ```
//!
//! It stops holding where `a·cos α + H ≤ 0`: there pushing the blade out would steepen the bevel (the other branch
//! of the circle the edge describes), and no setting is given. All angles in radians unless a name says degrees.

use num_dual::DualNum;

use super::section::Section;
use super::{ANGLE_RANGE, NoSetting};
use crate::trig::{Inverse, Trig};

/// Projection in mm for the bevel angle `beta`, without the checks of [`projection_checked`].
pub fn projection<D: DualNum<Primitive = f64> + Trig>(section: &Section<D>, beta: D) -> D {
    let (sin, cos) = section.dip(beta).sine_cosine();
    (section.axle_height() + section.edge_level() * cos) / sin - section.axle_to_face
}

/// Projection in mm for a bevel of `degrees`.
///
/// # Errors
/// [`NoSetting::AngleOutOfRange`], [`NoSetting::WrongBranch`] or [`NoSetting::BehindFace`].
pub fn projection_checked(section: &Section<f64>, degrees: f64) -> Result<f64, NoSetting> {
    // A computed angle may miss the end of the range by rounding.
    const ROUNDING: f64 = 1e-9;
    if !(ANGLE_RANGE[0] - ROUNDING..=ANGLE_RANGE[1] + ROUNDING).contains(&degrees) {
        return Err(NoSetting::AngleOutOfRange { angle: degrees });
    }
    let beta = degrees.to_radians();
    let value = branch(section, beta);
    if value <= 0.0 {
        return Err(NoSetting::WrongBranch { angle: degrees, value });
    }
    let projection = projection(section, beta);
    if projection <= 0.0 {
        return Err(NoSetting::BehindFace { angle: degrees, projection });
    }
    Ok(projection)
}

/// `a·cos α + H` in mm, above zero on the branch that settings are on.
fn branch(section: &Section<f64>, beta: f64) -> f64 {
    section.axle_height() * section.dip(beta).cosine() + section.edge_level()
}

/// dp/dβ in mm per radian; negative on the right branch.
pub fn slope(section: &Section<f64>, beta: f64) -> f64 {
    -branch(section, beta) / section.dip(beta).sine().powi(2)
}

/// Bevel angle in degrees for the projection `p` mm; `None` where the edge cannot come down to the stone.
pub fn angle(section: &Section<f64>, p: f64) -> Option<f64> {
    let (a, level, out) = (section.axle_height(), section.edge_level(), p + section.axle_to_face);
    let ratio = a / out.hypotenuse(level);
    if !(-1.0..=1.0).contains(&ratio) {
        return None;
    }
    let dip = level.arctangent2(out) + ratio.arcsine();
    Some((dip - section.dip(0.0)).to_degrees())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::Locates;
    use approx::assert_abs_diff_eq;

    /// The reference table of the design: projections made by a turning simulation without the closed form.
    #[test]
    fn reference_table_to_its_last_digit() {
        use Locates::Back;
        use Locates::Sides;
        use Locates::Underside;
        let case = |d: f64, h, e, t, taper: f64, z, locates, land| Section {
            roller_radius: d / 2.0,
            roller_level: z,
            seat_height: h,
            axle_to_face: e,
            face_bottom: None,
            square_error: 0.0,
            thickness: t,
            taper: taper.to_radians(),
            land,
            land_taper: 0.0,
            locates,
        };
        let table = [
            (case(19.0, 18.4, 15.8, 2.4, 0.0, 0.0, Underside, 0.0), [69.1237, 51.2847, 39.2267, 30.4682, 23.7679]),
            (case(19.0, 16.1, 15.8, 4.0, 0.0, 0.0, Back, 0.0), [56.2105, 41.2055, 31.0860, 23.7559, 18.1666]),
            (case(25.4, 6.5, 12.0, 4.2, 0.6, 0.0, Underside, 0.0), [52.5627, 39.7249, 31.0416, 24.7623, 19.9991]),
            (case(50.0, 27.0, 30.0, 3.0, 0.0, -12.0, Underside, 0.0), [90.4338, 65.0958, 47.9615, 35.5092, 25.9770]),
            (case(19.0, 13.2, 15.8, 3.2, 0.0, 0.0, Sides, 2.8), [52.0893, 37.9887, 28.4879, 21.6137, 16.3790]),
            (case(32.0, -3.0, 8.0, 3.0, 0.0, 0.0, Back, 0.0), [30.5384, 23.4257, 18.8038, 15.6107, 13.3163]),
        ];
        for (section, row) in table {
            for (degrees, expected) in [20.0, 25.0, 30.0, 35.0, 40.0].into_iter().zip(row) {
                let p = projection_checked(&section, degrees).expect("in reach");
                assert_abs_diff_eq!(p, expected, epsilon = 5.0e-5 + 1e-12);
                assert_abs_diff_eq!(angle(&section, p).expect("in reach"), degrees, epsilon = 1e-10);
            }
        }
    }

    #[test]
    fn the_wrong_branch_and_its_neighbours_are_refused() {
        let section = Section {
            roller_radius: 16.0,
            roller_level: 0.0,
            seat_height: -15.0,
            axle_to_face: -60.0,
            face_bottom: None,
            square_error: 0.0,
            thickness: 3.0,
            taper: 0.0,
            land: 0.0,
            land_taper: 0.0,
            locates: Locates::Back,
        };
        assert!(matches!(projection_checked(&section, 30.0), Err(NoSetting::WrongBranch { .. })));
        assert!(matches!(projection_checked(&section, 4.9), Err(NoSetting::AngleOutOfRange { .. })));
        assert!(projection_checked(&section, 15.0).is_ok());
        let behind = Section { axle_to_face: 80.0, seat_height: 5.0, ..section };
        assert!(matches!(projection_checked(&behind, 30.0), Err(NoSetting::BehindFace { .. })));
    }
}
