//! What is known of the bench in a job: how settings scatter, how blades sit, what the stone is like.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::length::LengthForm;

/// What moves an angle at the bench. What is left out is assumed, and a budget says so.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HoningFile {
    /// Standard deviation of settings made again, degrees, as `verify` or `plate` worked it out. Default 0.1, assumed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 5))]
    pub scatter: Option<f64>,
    /// How many settings that is from. Default 5.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 2, max = 1000))]
    pub settings: Option<u32>,
    /// Height of a speck that may lie under one end of the seat. Default 0.1 mm, assumed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 2.0]))]
    pub speck: Option<LengthForm>,
    /// Length of the seat along the blade. Default 20 mm, assumed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [2.0, 150.0]))]
    pub seat_length: Option<LengthForm>,
    /// How far the clamp may turn a blade on its seat, ± degrees. Default 0.1, assumed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 5))]
    pub creep: Option<f64>,
    /// The stone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stone: Option<StoneFile>,
    /// Force with which the fingers press the blade down, N. Default 20, assumed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 200))]
    pub load: Option<f64>,
    /// How far behind the edge they press. Default 10 mm, assumed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 150.0]))]
    pub load_behind: Option<LengthForm>,
    /// Young's modulus of the blades, GPa. Default 205, steel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 50, max = 700))]
    pub modulus: Option<f64>,
    /// How far edges are out of square to their blades, degrees. Default 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 10))]
    pub out_of_square: Option<f64>,
}

/// The stone that is honed on.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StoneFile {
    /// Its length. Where it is stated, a setting that takes too much of it is warned of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [20.0, 1000.0]))]
    pub length: Option<LengthForm>,
    /// Its width. Default 60 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [5.0, 500.0]))]
    pub width: Option<LengthForm>,
    /// How deep it is hollow along its length; negative where it is crowned. Default: flat within 0.1 mm, assumed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-5.0, 5.0]))]
    pub hollow_along: Option<LengthForm>,
    /// How deep it is hollow across its width; negative where it is crowned. Default 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-5.0, 5.0]))]
    pub hollow_across: Option<LengthForm>,
    /// Thickness of a film or paper that lies under the edge and not under the roller. Default: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 5.0]))]
    pub film: Option<LengthForm>,
}
