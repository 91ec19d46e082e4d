//! A tool class: what is common to the blades of one kind.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::length::{LengthForm, TaperForm};
use crate::terms::{BLADE_TAPER, BLADE_THICKNESS, BLADE_WIDTH, SeatName};
use crate::units::Units;

/// What is common to the blades of one kind, with the ranges they come in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright tool class")]
pub struct ToolProfile {
    /// Version of this file's form.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// What the class is called.
    #[schemars(length(min = 1, max = 40), extend("x-lettered" = true))]
    pub name: String,
    /// Unit of bare numbers: mm (the default) or in.
    #[serde(default)]
    pub units: Units,
    /// Anything worth knowing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 2000))]
    pub notes: Option<String>,
    /// The seat this class goes in, where the guide has two.
    pub seat: SeatName,
    /// Narrowest and widest blade of the class.
    #[schemars(extend("x-each-mm" = BLADE_WIDTH))]
    pub width: [LengthForm; 2],
    /// Thickness at the edge, with the class's range as its tolerance.
    #[schemars(extend("x-mm" = BLADE_THICKNESS))]
    pub thickness: LengthForm,
    /// Angle of the back against the underside, positive when thicker at the edge, with its range. Default 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-taper" = BLADE_TAPER))]
    pub taper: Option<TaperForm>,
    /// Height of the side lands down from the back, where a groove may grip them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_THICKNESS))]
    pub land: Option<LengthForm>,
    /// Whether the lands are the whole sides, as a firmer's are: as high as the blade is thick, and tapering with it. Then neither `land` nor `land_taper` is stated.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub whole_side: bool,
    /// Taper of the side lands, positive where the land is higher at the edge, with its range. Default 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-taper" = BLADE_TAPER))]
    pub land_taper: Option<TaperForm>,
    /// Whether it is honed as one flat bevel, without a micro-bevel, as laminated blades of the Japanese kind are.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub one_bevel: bool,
    /// Primary bevel usual for the class, degrees.
    #[schemars(range(min = 5, max = 60))]
    pub primary: f64,
    /// Angles advised for the class, each with its reason.
    #[schemars(length(min = 1, max = 12))]
    pub angles: Vec<AdvisedAngle>,
}

/// An angle and why one would want it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AdvisedAngle {
    /// Degrees, between the back and the bevel.
    #[schemars(range(min = 5, max = 60))]
    pub angle: f64,
    /// What it is for.
    #[schemars(length(min = 1, max = 200))]
    pub reason: String,
}
