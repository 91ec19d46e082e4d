//! Known settings of a guide, and whatever of it was measured directly: what a guide is fitted from.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::guide::{FaceProfile, KnownFile};
use crate::input::length::LengthForm;
use crate::terms::{Arrangement, BLADE_THICKNESS, BLADE_WIDTH, Locates};
use crate::units::Units;

/// Known settings of one guide, and whatever of it was measured directly.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright known settings")]
pub struct FitFile {
    /// Version of this file's form.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// Your name for the guide, and for the files about it: letters, digits, spaces, - _ and ., beginning with a letter or digit.
    #[schemars(length(min = 1, max = 60), extend("x-lettered" = true, "x-file-name" = true))]
    pub name: String,
    /// Unit of bare numbers: mm (the default) or in.
    #[serde(default)]
    pub units: Units,
    /// Anything worth knowing, such as where the settings come from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 2000))]
    pub notes: Option<String>,
    /// Any part of a guide profile.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<DirectFile>,
    /// The known settings.
    #[schemars(length(min = 1, max = 2000))]
    pub known: Vec<KnownFile>,
}

/// Any part of a guide profile; lengths without a tolerance count as ± half their last written digit.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "MeasuredFile")]
pub struct DirectFile {
    /// Half-width of the error that one caliper adds alike to every length measured with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 1.0]))]
    pub instrument: Option<LengthForm>,
    /// The wheel, or pair of wheels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roller: Option<RollerPart>,
    /// The flat front that is held against the block's edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face: Option<FaceProfile>,
    /// The surfaces that locate the blade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seats: Option<SeatsPart>,
}

/// What is known of the guide's wheel.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RollerPart {
    /// Diameter of the roller, D.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [4.0, 120.0]))]
    pub diameter: Option<LengthForm>,
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

/// What is known of the guide's seats.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeatsPart {
    /// The seat for plane irons.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub iron: Option<SeatPart>,
    /// The seat for chisels.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chisel: Option<SeatPart>,
}

/// What is known of one seat.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeatPart {
    /// Height of the seat above the axle's centre, h (for a groove, of its centre line).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-60.0, 120.0]))]
    pub height: Option<LengthForm>,
    /// The same measured over the roller, M: from the roller's stone-side tangent to the seat, or to the upper side
    /// of a flat parallel clamped in it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-60.0, 180.0]))]
    pub over_roller: Option<LengthForm>,
    /// Thickness of that flat parallel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.5, 30.0]))]
    pub gauge: Option<LengthForm>,
    /// The surface of the blade that the seat locates: underside, back or sides. Where it is not said, underside is assumed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub locates: Option<Locates>,
    /// Narrowest and widest blade the seat holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-each-mm" = BLADE_WIDTH))]
    pub blade_width: Option<[LengthForm; 2]>,
    /// Thinnest and thickest blade the seat holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-each-mm" = BLADE_THICKNESS))]
    pub blade_thickness: Option<[LengthForm; 2]>,
}
