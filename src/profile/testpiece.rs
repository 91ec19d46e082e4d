//! What was measured on the printer's test piece.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::length::LengthForm;
use crate::units::Units;

/// What was measured on the printer's test piece.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright test piece measurements")]
pub struct TestPieceFile {
    /// Version of this file's form.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// Unit of bare numbers: mm (the default) or in.
    #[serde(default)]
    pub units: Units,
    /// Anything worth knowing, such as printer, filament and slicer settings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 2000))]
    pub notes: Option<String>,
    /// Half-width of the error that the caliper adds alike to every length measured with it. Default: not known, and so
    /// left out of the scale altogether; a small one that is known makes the scale a little more certain.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 1.0]))]
    pub instrument: Option<LengthForm>,
    /// How far off a length may be by itself, ±: the hand's feel, the walls' roughness. Default 0.05 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.001, 1.0]))]
    pub within: Option<LengthForm>,
    /// Lengths along the bed's width.
    pub x: AxisFile,
    /// Lengths along the bed's depth.
    pub y: AxisFile,
}

/// The lengths along one of the printer's axes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AxisFile {
    /// Distances between faces that look the same way: lines that came out thick do not change them.
    #[serde(default)]
    #[schemars(length(max = 50))]
    pub same_way: Vec<SizeFile>,
    /// Overall sizes, between faces that look away from each other: lines that came out thick add to them.
    #[serde(default)]
    #[schemars(length(max = 50))]
    pub outside: Vec<SizeFile>,
}

/// A length as it was meant, and what was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SizeFile {
    /// The length as it was meant.
    #[schemars(extend("x-mm" = [1.0, 2000.0]))]
    pub length: LengthForm,
    /// What was read, once or several times; null for a reading that was not taken, all null or none for a length that
    /// was left out.
    #[schemars(length(max = 50))]
    pub readings: Vec<ReadingForm>,
}

/// What was read, or null.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct ReadingForm(pub Option<LengthForm>);

impl JsonSchema for ReadingForm {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Reading".into()
    }

    /// The range of a length stands beside its type, where the reader of files looks for it.
    fn inline_schema() -> bool {
        true
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let length = generator.subschema_for::<LengthForm>();
        schemars::json_schema!({ "anyOf": [length, { "type": "null" }], "x-mm": [0.5, 2200.0] })
    }
}
