//! A guide profile: the measured geometry of one honing guide.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::length::{AngleForm, LengthForm, TaperForm};
use crate::terms::{Arrangement, BLADE_TAPER, BLADE_THICKNESS, BLADE_WIDTH, Locates, SeatName};
use crate::units::Units;

/// The measured geometry of one honing guide (side view: origin on the axle, along and square to the seat).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright guide profile")]
pub struct GuideProfile {
    /// Version of this file's form.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// Your name for the guide, and for the files about it: letters, digits, spaces, - _ and ., beginning with a letter or digit.
    #[schemars(length(min = 1, max = 60), extend("x-lettered" = true, "x-file-name" = true))]
    pub name: String,
    /// Unit of bare numbers: mm (the default) or in.
    #[serde(default)]
    pub units: Units,
    /// Anything worth knowing, such as how it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 2000))]
    pub notes: Option<String>,
    /// Half-width of the error that one caliper adds alike to every length measured with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 1.0]))]
    pub instrument: Option<LengthForm>,
    /// The wheel, or pair of wheels.
    pub roller: RollerProfile,
    /// The flat front that is held against the block's edge.
    pub face: FaceProfile,
    /// The surfaces that locate the blade; a guide with one seat serves both tool classes with it.
    pub seats: SeatsProfile,
    /// How the errors of fitted lengths are linked, as `fit` writes it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covariance: Option<CovarianceProfile>,
    /// The known settings that the lengths were fitted to, as `fit` writes them: a lane at one of them uses it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(length(max = 2000))]
    pub known: Vec<KnownFile>,
}

/// One known setting: a blade that stood out so far was honed at that angle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KnownFile {
    /// The seat the blade was in.
    pub seat: SeatName,
    /// Thickness at the edge. Where a seat locates the underside and none of its settings state it, they are all of one
    /// blade, and so is what is worked out from them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_THICKNESS))]
    pub thickness: Option<LengthForm>,
    /// Taper. Default: 0, parallel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-taper" = BLADE_TAPER))]
    pub taper: Option<TaperForm>,
    /// Height of the side lands. Where a seat grips the sides and none of its settings state it, they are all of one blade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_THICKNESS))]
    pub land: Option<LengthForm>,
    /// Taper of the side lands, degrees, positive where the land is higher at the edge. Default: 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-taper" = BLADE_TAPER))]
    pub land_taper: Option<TaperForm>,
    /// How far the roller's track lay above the honing surface (negative: below it). Default 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-100.0, 100.0]))]
    pub roller_level: Option<LengthForm>,
    /// The bevel angle, degrees. Without a tolerance: exact if in whole degrees, else ± half the last written digit.
    #[schemars(extend("x-degrees" = [5.0, 60.0]))]
    pub angle: AngleForm,
    /// From the face to the cutting edge, along the seat. Without a tolerance: ± half the last written digit.
    #[schemars(extend("x-mm" = [0.1, 300.0]))]
    pub projection: LengthForm,
}

/// Covariances of lengths that were fitted together. They belong to the tolerances beside them: with a length measured
/// since, let `fit` write them again, or leave them out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "CovarianceProfile")]
pub struct CovarianceProfile {
    /// The lengths, by their fields: roller.diameter, seats.iron.height, seats.chisel.height, face.axle_to_face.
    #[schemars(length(min = 3, max = 4))]
    pub parameters: Vec<String>,
    /// Their covariances, mm² whatever the units of the file are, a row a length.
    #[schemars(length(min = 3, max = 4))]
    pub matrix: Vec<Vec<f64>>,
}

/// The guide's wheel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RollerProfile {
    /// Diameter of the roller, D.
    #[schemars(extend("x-mm" = [4.0, 120.0]))]
    pub diameter: LengthForm,
    /// Width of the roller's tread.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [1.0, 150.0]))]
    pub width: Option<LengthForm>,
    /// One roller under the blade ("centre") or a pair beside it ("pair").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrangement: Option<Arrangement>,
    /// Clear width between the rollers of a pair.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [1.0, 200.0]))]
    pub gap: Option<LengthForm>,
}

/// The guide's flat front.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FaceProfile {
    /// Distance along the seat from the axle's centre to the face, e. Give this or over_roller.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-60.0, 150.0]))]
    pub axle_to_face: Option<LengthForm>,
    /// The same measured over the roller, N: from the roller's rear to the face (e = N − D/2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 210.0]))]
    pub over_roller: Option<LengthForm>,
    /// Level of the face's lower end above the axle's centre, square to the seat, n_b.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-60.0, 100.0]))]
    pub bottom: Option<LengthForm>,
    /// The same measured over the roller: from the roller's stone-side tangent to the face's lower end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-60.0, 160.0]))]
    pub bottom_over_roller: Option<LengthForm>,
    /// Width of the face across the blade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [5.0, 200.0]))]
    pub width: Option<LengthForm>,
    /// How far the face is from square to the seat, degrees; positive when its lower end stands forward. Default 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-degrees" = [-5.0, 5.0]))]
    pub square_error: Option<AngleForm>,
}

/// The guide's seats.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeatsProfile {
    /// The seat for plane irons.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub iron: Option<SeatProfile>,
    /// The seat for chisels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chisel: Option<SeatProfile>,
}

/// One seat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeatProfile {
    /// Height of the seat above the axle's centre, h (for a groove, of its centre line). Give this or over_roller.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-60.0, 120.0]))]
    pub height: Option<LengthForm>,
    /// The same measured over the roller, M: from the roller's stone-side tangent to the seat, or to the upper side
    /// of a flat parallel clamped in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-60.0, 180.0]))]
    pub over_roller: Option<LengthForm>,
    /// Thickness of that flat parallel, for a seat the calipers cannot reach.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.5, 30.0]))]
    pub gauge: Option<LengthForm>,
    /// The surface of the blade that the seat locates: underside, back or sides.
    pub locates: Locates,
    /// Narrowest and widest blade the seat holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-each-mm" = BLADE_WIDTH))]
    pub blade_width: Option<[LengthForm; 2]>,
    /// Thinnest and thickest blade the seat holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-each-mm" = BLADE_THICKNESS))]
    pub blade_thickness: Option<[LengthForm; 2]>,
}
