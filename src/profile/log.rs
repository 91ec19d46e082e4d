//! A log: what was done to the blades of a kit, and when.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::length::LengthForm;
use crate::terms::Done;
use crate::units::Units;

/// What was done to the blades of a kit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright log")]
pub struct LogFile {
    /// Version of this file's form.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// Title of the kit.
    #[schemars(length(min = 1, max = 60))]
    pub kit: String,
    /// Unit of bare numbers: mm (the default) or in.
    #[serde(default)]
    pub units: Units,
    /// What was done, in the order in which it was written down.
    #[schemars(length(max = 100_000))]
    pub entries: Vec<EntryFile>,
}

/// One thing done to one blade.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EntryFile {
    /// The day: year-month-day, such as 2026-03-09.
    #[schemars(length(min = 10, max = 10))]
    pub date: String,
    /// The blade, by its name in the kit.
    #[schemars(length(min = 1, max = 40))]
    pub blade: String,
    /// What was done.
    pub what: Done,
    /// Width of the micro-bevel after it, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.01, 20.0]))]
    pub micro_width: Option<LengthForm>,
    /// Strokes that it took, by grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 30))]
    pub strokes: Option<Vec<StrokesFile>>,
    /// Anything worth knowing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 200))]
    pub note: Option<String>,
}

/// Strokes on one grade.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StrokesFile {
    /// The grade, such as P400 or JIS 1000.
    #[schemars(length(min = 1, max = 20))]
    pub grade: String,
    /// How many strokes.
    #[schemars(range(min = 1, max = 10000))]
    pub count: u32,
}
