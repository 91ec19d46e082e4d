//! Measurements of a finished block, and of bevels honed with it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::length::{AngleForm, LengthForm};
use crate::terms::{Along, BLADE_THICKNESS};
use crate::units::Units;

/// What was measured on a finished block, of any material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright measurements")]
pub struct MeasuredFile {
    /// Version of this file's form.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// Unit of bare numbers: mm (the default) or in.
    #[serde(default)]
    pub units: Units,
    /// Anything worth knowing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 2000))]
    pub notes: Option<String>,
    /// The fingerprint that the block or its sheet bears, four letters and digits, to tell whether it belongs to this
    /// state of guide and job.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 4, max = 4))]
    pub fingerprint: Option<String>,
    /// Fence distances, a lane each.
    #[serde(default)]
    #[schemars(length(max = 600))]
    pub lanes: Vec<MeasuredLane>,
    /// Test bevels, honed with the block: one single flat bevel each.
    #[serde(default)]
    #[schemars(length(max = 600))]
    pub bevels: Vec<MeasuredBevel>,
    /// Angles of blades set with the block, taken with the guide on a flat plate: one entry a setting. Several of one lane,
    /// each set anew, show how settings scatter.
    #[serde(default)]
    #[schemars(length(max = 600))]
    pub plates: Vec<MeasuredPlate>,
}

/// The fence distance of one lane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredLane {
    /// Id of the lane; or give tool and angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 80))]
    pub id: Option<String>,
    /// Tool class or setting of the lane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 400))]
    pub tool: Option<String>,
    /// Bevel angle of the lane, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 60))]
    pub angle: Option<f64>,
    /// Distance from the reference edge to the fence: one length, or [left, right] at the sides of the widest blade,
    /// seen from the edge. Default tolerance ±0.05 mm.
    #[schemars(extend("x-mm-or-pair" = [0.1, 300.0]))]
    pub measured: OneOrTwo,
}

/// A length, or one at the left and one at the right.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum OneOrTwo {
    /// At the left and at the right.
    Two([LengthForm; 2]),
    /// In the middle.
    One(LengthForm),
}

impl JsonSchema for OneOrTwo {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "LengthOrPair".into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let length = generator.subschema_for::<LengthForm>();
        schemars::json_schema!({
            "description": "A length, or a list of two: at the left and at the right.",
            "anyOf": [length, { "type": "array", "items": length, "minItems": 2, "maxItems": 2 }]
        })
    }
}

/// A test bevel.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredBevel {
    /// Id of the lane it was set in; or give tool and angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 80))]
    pub id: Option<String>,
    /// Tool class or setting of the lane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 400))]
    pub tool: Option<String>,
    /// Bevel angle of the lane, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 60))]
    pub angle: Option<f64>,
    /// Thickness of the test blade at the edge. Default: the lane's blade. Default tolerance ±0.05 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_THICKNESS))]
    pub thickness: Option<LengthForm>,
    /// Length of the single flat bevel from edge to heel. Default tolerance ±0.2 mm. Give this or angle_read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.2, 100.0]))]
    pub bevel_length: Option<LengthForm>,
    /// Angle read with a protractor or gauge, degrees. Default tolerance ±0.5°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-degrees" = [1.0, 80.0]))]
    pub angle_read: Option<AngleForm>,
}

/// The angle of a clamped blade whose guide stands on a flat plate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredPlate {
    /// Id of the lane it was set in; or give tool and angle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 80))]
    pub id: Option<String>,
    /// Tool class or setting of the lane.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 400))]
    pub tool: Option<String>,
    /// Bevel angle of the lane, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 60))]
    pub angle: Option<f64>,
    /// Name of the blade, where blades of a kit share the lane. Default: the thickest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 400))]
    pub blade: Option<String>,
    /// Thickness of the blade at the edge. Default: the lane's blade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_THICKNESS))]
    pub thickness: Option<LengthForm>,
    /// How high the roller stood above what the edge stood on: packing under the roller, or less than 0 for packing under
    /// the edge. Default: the lane's roller level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-100.0, 100.0]))]
    pub roller_level: Option<LengthForm>,
    /// Bevel of the blade as it is now at its edge, degrees. A steeper one than the lane's would stand on its heel, and is
    /// refused.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 85))]
    pub bevel: Option<f64>,
    /// Two heights of the blade's back above the plate: nearer to the edge, and further from it. Default tolerance
    /// ±0.03 mm. Give these or inclinometer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-each-mm" = [0.0, 300.0]))]
    pub heights: Option<[LengthForm; 2]>,
    /// Length between the two heights. Default tolerance ±0.2 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [5.0, 300.0]))]
    pub apart: Option<LengthForm>,
    /// What that length lies along: the blade's back (the default), or the plate.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along: Option<Along>,
    /// What an inclinometer on the back reads, degrees. Default tolerance ±0.1°.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-degrees" = [1.0, 85.0]))]
    pub inclinometer: Option<AngleForm>,
    /// What it reads with guide and blade turned end for end beneath it, degrees, without its sign. Without this reading its
    /// zero may be off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-degrees" = [1.0, 85.0]))]
    pub turned: Option<AngleForm>,
}

/// Corrections of a block's fences, as `verify` writes and `make` reads them. Form 1 had one number a lane, which did not
/// tell an error of making from an offset of the guide.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright corrections")]
pub struct CorrectionsFile {
    /// Version of this file's form.
    #[schemars(range(min = 2, max = 2))]
    pub format: u32,
    /// Title of the job they are for.
    #[schemars(length(min = 1, max = 60))]
    pub job: String,
    /// Fingerprint of the state of guide and job that they were found with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 4, max = 4))]
    pub fingerprint: Option<String>,
    /// A correction a lane.
    #[schemars(length(min = 1, max = 600))]
    pub corrections: Vec<CorrectionLine>,
}

/// The correction of one lane.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CorrectionLine {
    /// Id of the lane.
    #[schemars(length(min = 1, max = 80))]
    pub id: String,
    /// What the fence is moved by in the block's files, mm, positive away from the reference edge, because the last block
    /// came out off; the finished distance stays. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    #[schemars(range(min = -20, max = 20))]
    pub making: f64,
    /// What the finished distance changes by, mm, because test bevels show that the guide sets another angle. Default 0.
    #[serde(default, skip_serializing_if = "is_zero")]
    #[schemars(range(min = -20, max = 20))]
    pub guide: f64,
}

/// Whether a part of a correction goes without saying.
fn is_zero(mm: &f64) -> bool {
    *mm == 0.0
}
