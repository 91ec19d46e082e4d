//! From a measured guide and a blade to the setting: projection, fence distance, slope, inverse and uncertainty.
//!
//! 1. [`measured`] gathers what was measured for one seat and blade, with its tolerances.
//! 2. [`section`] is the same as side-view lengths (guide frame), in plain or dual numbers.
//! 3. [`projection`] has the closed form of the angle relation and its inverse.
//! 4. [`contact`] places the guide on the block: fence distance, and how far the roller reaches below the table.
//! 5. [`uncertainty`] propagates the tolerances; [`trial`] draws from them instead.

pub mod contact;
pub mod halving;
pub mod measured;
pub mod projection;
pub mod section;
pub mod trial;
pub mod uncertainty;

use contact::EdgeShape;
use measured::Measured;
use section::Section;
use uncertainty::Uncertainty;

use crate::trig::Inverse;
use crate::units::short;

/// Smallest and largest bevel angle that is solved for, degrees.
pub const ANGLE_RANGE: [f64; 2] = [5.0, 60.0];

/// A solved setting.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// The bevel angle, degrees.
    pub angle: f64,
    /// Projection from the face to the cutting edge along the seat, mm.
    pub projection: f64,
    /// Distance from the block's reference edge to the fence, mm.
    pub fence_distance: f64,
    /// Change of the fence distance with the bevel angle, mm per degree; always negative.
    pub mm_per_degree: f64,
    /// How well these are known.
    pub uncertainty: Uncertainty,
    /// The side view it was solved for.
    pub section: Section<f64>,
}

/// Why there is no setting.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoSetting {
    /// The bevel angle is outside [`ANGLE_RANGE`].
    #[error("a bevel of {}° is outside the {low}° to {high}° that are solved for", short(*angle, 2), low = ANGLE_RANGE[0], high = ANGLE_RANGE[1])]
    AngleOutOfRange {
        /// Degrees.
        angle: f64,
    },
    /// `a·cos α + H ≤ 0`: with the seat so far below the axle, pushing the blade out would raise the angle.
    #[error(
        "the seat lies too far below the axle: a·cos α + H is {value:.3} mm, it must be above 0 for a projection to set {angle}°"
    )]
    WrongBranch {
        /// Degrees.
        angle: f64,
        /// `a·cos α + H`, mm.
        value: f64,
    },
    /// The edge would lie behind the face.
    #[error(
        "{angle}° would need a projection of {projection:.2} mm, and the edge must stand out of the face (above 0)"
    )]
    BehindFace {
        /// Degrees.
        angle: f64,
        /// mm, zero or negative.
        projection: f64,
    },
    /// The edge is nearer to the axle than the axle is high: it cannot come down to the stone.
    #[error(
        "with a fence distance of {fence:.2} mm the edge does not come down to the stone: it lies {reach:.2} mm from the axle, which is {axle:.2} mm above it"
    )]
    OutOfReach {
        /// mm.
        fence: f64,
        /// Distance of the edge from the axle, mm.
        reach: f64,
        /// Height of the axle, mm.
        axle: f64,
    },
    /// A tilted guide whose face would touch the block's edge only with the blade's edge behind it, or never.
    #[error("no projection above 0 gives a fence distance of {fence:.2} mm on this guide")]
    NoContact {
        /// mm.
        fence: f64,
    },
}

/// Solves for the setting that hones `angle` degrees.
///
/// `edge` is the block's reference edge; it matters only where the guide tilts against it. `fence_within` is the
/// half-width of the tolerance a fence is made to, mm; `None` when nothing was stated.
///
/// # Errors
/// [`NoSetting`]: out of range, wrong branch, or behind the face. The other branch's number is never given.
pub fn solve(
    measured: &Measured,
    angle: f64,
    edge: EdgeShape,
    fence_within: Option<f64>,
) -> Result<Setting, NoSetting> {
    let section = measured.section(&measured.values());
    let beta = angle.to_radians();
    let projection = projection::projection_checked(&section, angle)?;
    let fence_distance = contact::fence_distance(&section, projection, edge);
    let slope = projection::slope(&section, beta) * contact::fence_per_projection(&section, projection, edge);
    let uncertainty = uncertainty::propagate(measured, beta, edge, fence_within);
    Ok(Setting { angle, projection, fence_distance, mm_per_degree: slope.to_radians(), uncertainty, section })
}

/// The bevel angle, degrees, that a fence at `fence` mm sets.
///
/// # Errors
/// [`NoSetting`]: the edge is out of reach of the stone, or the angle is out of range or on the wrong branch.
pub fn angle_of_fence(section: &Section<f64>, fence: f64, edge: EdgeShape) -> Result<f64, NoSetting> {
    let projection = contact::projection_of_fence(section, fence, edge).ok_or(NoSetting::NoContact { fence })?;
    if projection <= 0.0 {
        return Err(NoSetting::NoContact { fence });
    }
    let angle = projection::angle(section, projection).ok_or_else(|| NoSetting::OutOfReach {
        fence,
        reach: (projection + section.axle_to_face).hypotenuse(section.edge_level()),
        axle: section.axle_height(),
    })?;
    projection::projection_checked(section, angle)?;
    Ok(angle)
}

/// Bevel angle in degrees from the length of a flat bevel, by the sine rule `sin(β + τ) = t / L`.
///
/// `thickness` is taken at the edge and `bevel_length` along the bevel from edge to heel, both mm; `taper` in degrees,
/// positive when thicker at the edge (0 for a parallel blade).
///
/// # Errors
/// `None` where the bevel would be shorter than the blade is thick.
pub fn angle_of_bevel(thickness: f64, bevel_length: f64, taper: f64) -> Option<f64> {
    let sine = thickness / bevel_length;
    (sine > 0.0 && sine < 1.0).then(|| sine.arcsine().to_degrees() - taper)
}
