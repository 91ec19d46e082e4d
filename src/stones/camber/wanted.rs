//! How much camber: from the kind of plane, or from the shaving that is wanted.
//!
//! The back of the blade lies at the bed angle φ to the sole, in bevel-down and bevel-up planes alike. A point of the
//! edge that lies δ behind the middle, measured in the plane of the back, stands δ·sin φ higher above the sole's plane:
//! the rest of δ points along the sole. So the shaving is thinner there by δ·sin φ, and one that is `c` thick in the
//! middle feathers out to nothing where
//!
//! ```text
//! δ = c / sin φ
//! ```
//!
//! With a full-width shaving that is at the corners, and `c / sin φ` is the camber's depth; with a narrower one it is at
//! the ends of a chord of the shaving's width, and the arc through it goes on to the corners. The lower the bed, the more
//! camber the same effect takes: at 12° 3.4 times what 45° takes.

use super::Curve;
use crate::terms::PlaneKind;
use crate::trig::Trig;

/// Widths of a blade that are worked with, mm.
pub const WIDTH_RANGE: [f64; 2] = [3.0, 150.0];

/// Bed angles that are worked with, degrees.
pub const BED_RANGE: [f64; 2] = [5.0, 90.0];

/// Shavings that are worked with, mm thick in the middle.
pub const SHAVING_RANGE: [f64; 2] = [0.001, 5.0];

/// The bed angle of a common bench plane, degrees: common practice, no source.
pub const USUAL_BED: f64 = 45.0;

/// Radius of a jack plane's edge, mm: common practice, no source.
pub const JACK_RADIUS: f64 = 250.0;

/// Full-width shaving that a try plane's edge is cambered for, mm thick: common practice, no source.
pub const TRY_SHAVING: f64 = 0.15;

/// The same of a smoother: next to no camber; common practice, no source.
pub const SMOOTHER_SHAVING: f64 = 0.05;

/// What the camber is wanted for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wanted {
    /// A depth in the plane of the back, mm.
    Depth(f64),
    /// A kind of plane: a jack's arc of [`JACK_RADIUS`], or full-width shavings of [`TRY_SHAVING`] and
    /// [`SMOOTHER_SHAVING`] that feather out.
    Plane(PlaneKind),
    /// A shaving that feathers out to nothing.
    Shaving {
        /// Its thickness in the middle, square to the sole, mm.
        thickness: f64,
        /// Its width, mm; `None` for the blade's.
        width: Option<f64>,
    },
}

/// Why there is no such camber.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoCamber {
    /// A width outside [`WIDTH_RANGE`].
    #[error("a blade {mm} mm wide is outside {low} mm to {high} mm", low = WIDTH_RANGE[0], high = WIDTH_RANGE[1])]
    Width {
        /// mm.
        mm: f64,
    },
    /// A bed angle outside [`BED_RANGE`].
    #[error("a bed of {degrees}° is outside {low}° to {high}°", low = BED_RANGE[0], high = BED_RANGE[1])]
    Bed {
        /// Degrees.
        degrees: f64,
    },
    /// A shaving outside [`SHAVING_RANGE`].
    #[error("a shaving {mm} mm thick is outside {low} mm to {high} mm", low = SHAVING_RANGE[0], high = SHAVING_RANGE[1])]
    Shaving {
        /// mm.
        mm: f64,
    },
    /// A shaving that has no width or is wider than the blade.
    #[error("a shaving {shaving} mm wide from a blade {width} mm wide: it must be above 0 and no wider than the blade")]
    ShavingWidth {
        /// mm.
        shaving: f64,
        /// The blade's, mm.
        width: f64,
    },
    /// An edge that would be more than a half circle, or no arc at all.
    #[error(
        "a camber {depth:.2} mm deep on a blade {width} mm wide: it must be 0 or more and less than a half circle, \
         {half} mm", half = width / 2.0
    )]
    Depth {
        /// mm.
        depth: f64,
        /// The blade's width, mm.
        width: f64,
    },
    /// An arc that is too tight to reach the corners.
    #[error(
        "an arc of {radius:.2} mm radius does not span a blade {width} mm wide: take less off, or more of the width"
    )]
    Radius {
        /// mm.
        radius: f64,
        /// The blade's width, mm.
        width: f64,
    },
}

/// The arc that `wanted` asks for on a blade `width` mm wide whose back lies at `bed` degrees to the sole.
///
/// # Errors
/// [`NoCamber`].
pub fn curve(wanted: Wanted, width: f64, bed: f64) -> Result<Curve, NoCamber> {
    if !(WIDTH_RANGE[0]..=WIDTH_RANGE[1]).contains(&width) {
        return Err(NoCamber::Width { mm: width });
    }
    match wanted {
        Wanted::Depth(depth) => of_depth(width, depth),
        Wanted::Plane(PlaneKind::Jack) => of_radius(width, JACK_RADIUS),
        Wanted::Plane(PlaneKind::Try) => of_depth(width, depth_for(TRY_SHAVING, bed)?),
        Wanted::Plane(PlaneKind::Smoother) => of_depth(width, depth_for(SMOOTHER_SHAVING, bed)?),
        Wanted::Shaving { thickness, width: None } => of_depth(width, depth_for(thickness, bed)?),
        Wanted::Shaving { thickness, width: Some(shaving) } => {
            if !(shaving > 0.0 && shaving <= width) {
                return Err(NoCamber::ShavingWidth { shaving, width });
            }
            let across = of_depth(shaving, depth_for(thickness, bed)?)?;
            of_radius(width, across.radius())
        }
    }
}

/// How far an edge must lie back in the plane of the back for a shaving `thickness` mm thick to end there, mm; the back
/// lies at `bed` degrees to the sole.
///
/// # Errors
/// [`NoCamber::Shaving`] and [`NoCamber::Bed`].
pub fn depth_for(thickness: f64, bed: f64) -> Result<f64, NoCamber> {
    if !(SHAVING_RANGE[0]..=SHAVING_RANGE[1]).contains(&thickness) {
        return Err(NoCamber::Shaving { mm: thickness });
    }
    Ok(thickness / checked(bed)?.sine())
}

/// Thickness of the full-width shaving that an edge just feathers out at its corners, mm.
///
/// # Errors
/// [`NoCamber::Bed`].
pub fn shaving_of(curve: &Curve, bed: f64) -> Result<f64, NoCamber> {
    Ok(curve.depth * checked(bed)?.sine())
}

fn checked(bed: f64) -> Result<f64, NoCamber> {
    if (BED_RANGE[0]..=BED_RANGE[1]).contains(&bed) {
        Ok(bed.to_radians())
    } else {
        Err(NoCamber::Bed { degrees: bed })
    }
}

fn of_depth(width: f64, depth: f64) -> Result<Curve, NoCamber> {
    if depth >= 0.0 && depth < width / 2.0 { Ok(Curve { width, depth }) } else { Err(NoCamber::Depth { depth, width }) }
}

fn of_radius(width: f64, radius: f64) -> Result<Curve, NoCamber> {
    let half = width / 2.0;
    if radius <= half {
        return Err(NoCamber::Radius { radius, width });
    }
    // R − √(R² − h²), without subtracting near equals.
    of_depth(width, half * half / (radius + (radius * radius - half * half).sqrt()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn depth(wanted: Wanted, width: f64, bed: f64) -> f64 {
        curve(wanted, width, bed).map_or(f64::NAN, |c| c.depth)
    }

    #[test]
    fn a_low_bed_needs_more() {
        let thin = Wanted::Shaving { thickness: 0.1, width: None };
        assert!((depth(thin, 51.0, 45.0) - 0.1 * std::f64::consts::SQRT_2).abs() < 1e-12);
        assert!((depth(thin, 51.0, 12.0) / depth(thin, 51.0, 45.0) - 3.401).abs() < 1e-3);
        assert!((depth(thin, 51.0, 90.0) - 0.1).abs() < 1e-12);
    }

    #[test]
    fn a_narrow_shaving_lies_on_the_same_arc() {
        let narrow = Wanted::Shaving { thickness: 0.3, width: Some(30.0) };
        let found = curve(narrow, 51.0, 45.0).unwrap_or(Curve { width: 0.0, depth: 0.0 });
        assert!((found.at(15.0) - 0.3 * std::f64::consts::SQRT_2).abs() < 1e-12, "{found:?}");
        let full = Wanted::Shaving { thickness: 0.3, width: Some(51.0) };
        assert!((depth(full, 51.0, 45.0) - 0.3 * std::f64::consts::SQRT_2).abs() < 1e-12);
    }

    #[test]
    fn planes_by_their_kind() {
        let camber = |plane| depth(Wanted::Plane(plane), 51.0, 45.0);
        // By hand: 250 − √(250² − 25.5²).
        assert!((camber(PlaneKind::Jack) - 1.3039).abs() < 1e-4);
        assert!((camber(PlaneKind::Try) - 0.2121).abs() < 1e-4 && (camber(PlaneKind::Smoother) - 0.0707).abs() < 1e-4);
    }

    #[test]
    fn what_makes_no_camber_is_refused() {
        let asked = |wanted| curve(wanted, 51.0, 45.0);
        assert_eq!(curve(Wanted::Depth(0.1), 1.0, 45.0), Err(NoCamber::Width { mm: 1.0 }));
        assert_eq!(asked(Wanted::Depth(25.5)), Err(NoCamber::Depth { depth: 25.5, width: 51.0 }));
        assert!(matches!(asked(Wanted::Depth(f64::NAN)), Err(NoCamber::Depth { .. })));
        let shaving = |thickness, width| Wanted::Shaving { thickness, width };
        assert_eq!(asked(shaving(0.0, None)), Err(NoCamber::Shaving { mm: 0.0 }));
        assert_eq!(curve(shaving(0.1, None), 51.0, 2.0), Err(NoCamber::Bed { degrees: 2.0 }));
        assert_eq!(asked(shaving(0.1, Some(60.0))), Err(NoCamber::ShavingWidth { shaving: 60.0, width: 51.0 }));
        assert!(matches!(asked(shaving(3.0, Some(10.0))), Err(NoCamber::Radius { .. })));
    }
}
