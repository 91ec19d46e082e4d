//! A job: which guide, which blades at which angles, and how the block is to be made.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::honing::HoningFile;
use super::wood::WoodFile;
use crate::input::length::{LengthForm, TaperForm};
use crate::terms::{BLADE_TAPER, BLADE_THICKNESS, BLADE_WIDTH, Edge, Filament, Labels, PaperSize, ProjectionAngle};
use crate::units::Units;

/// A job: what to make, and for which guide.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright job")]
pub struct JobFile {
    /// Version of this file's form.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// Title of the block, for its drawing. In relief on the block it stands in capitals, ß as SS; a letter that the nozzle
    /// cannot print so small becomes a plain one there: Ü is UE, Ä AE, Ö and Ø OE, Å AA, Ł L, é E.
    #[schemars(length(min = 1, max = 60), extend("x-lettered" = true))]
    pub title: String,
    /// Unit of bare numbers: mm (the default) or in.
    #[serde(default)]
    pub units: Units,
    /// Anything worth knowing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 2000))]
    pub notes: Option<String>,
    /// Name of a built-in guide profile, or the path of one, or of a file of known settings, relative to this job.
    #[schemars(length(min = 1, max = 400))]
    pub guide: String,
    /// How far the surface the roller runs on lies above the honing surface (negative: below it). Default 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-100.0, 100.0]))]
    pub roller_level: Option<LengthForm>,
    /// The blades and their angles; each angle becomes a lane. Either these or a kit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 60))]
    pub settings: Option<Vec<SettingFile>>,
    /// Path of a kit relative to this job, in place of the settings: the fewest fences that serve it become lanes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 400))]
    pub kit: Option<String>,
    /// Whether blades of a kit that go in different seats may share a fence: fewer fences, but irons and chisels at one
    /// edge. Default false.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share_across_seats: Option<bool>,
    /// How far off an angle may be, ± degrees. Default 0.5, or as the kit says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.05, max = 5))]
    pub tolerance: Option<f64>,
    /// Sizes of the block; all have sound defaults.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub block: Option<BlockFile>,
    /// The printer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<PrintFile>,
    /// The wooden jig; `make` makes it too where this is stated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wood: Option<WoodFile>,
    /// What moves an angle at the bench.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub honing: Option<HoningFile>,
    /// The drawing sheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<SheetFile>,
}

/// One tool class (or one blade) at some angles.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SettingFile {
    /// Name of a built-in tool class, or the path of one relative to this job.
    #[schemars(length(min = 1, max = 400))]
    pub tool: String,
    /// Bevel angles, degrees.
    #[schemars(length(min = 1, max = 60), inner(range(min = 5, max = 60)))]
    pub angles: Vec<f64>,
    /// Thickness at the edge. Default: the class's, with its range as tolerance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_THICKNESS))]
    pub thickness: Option<LengthForm>,
    /// Taper. Default: the class's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-taper" = BLADE_TAPER))]
    pub taper: Option<TaperForm>,
    /// Height of the side lands. Default: the class's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_THICKNESS))]
    pub land: Option<LengthForm>,
    /// Taper of the side lands: the angle of their lower edge against the back, positive where the land is higher at the
    /// edge, as on most forged chisels. Default: the class's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-taper" = BLADE_TAPER))]
    pub land_taper: Option<TaperForm>,
    /// Width of the widest blade. Default: the class's widest, as far as the guide takes it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_WIDTH))]
    pub width: Option<LengthForm>,
    /// Primary bevel of the blade, degrees. Default: the smallest advised angle of the class, or the lane's if smaller.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 60))]
    pub primary: Option<f64>,
    /// As the job's, for this setting alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [-100.0, 100.0]))]
    pub roller_level: Option<LengthForm>,
    /// Name of the setting in ids and labels, lettered on the block as the title is. Default: the class's name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 40), extend("x-lettered" = true))]
    pub id: Option<String>,
    /// Edge of the block the lanes go to. Default: chosen so that the block is short.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub edge: Option<Edge>,
}

/// Sizes of the block.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BlockFile {
    /// Thickness of the board at its edges. Default 12 mm, or less where a roller would strike it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [4.0, 80.0]))]
    pub thickness: Option<LengthForm>,
    /// Height of the fences above the table. Default: the thickest blade and 4 mm, at least 8 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [2.0, 60.0]))]
    pub fence_height: Option<LengthForm>,
    /// Least thickness of the raised middle, everywhere. Default 12 mm, or what its lettering needs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [3.0, 60.0]))]
    pub middle: Option<LengthForm>,
    /// Free width beside the widest blade, each side. Default 2 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.2, 20.0]))]
    pub clearance: Option<LengthForm>,
    /// A small groove at the foot of each fence, for chips and a clean corner. Default true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foot_relief: Option<bool>,
    /// A rebate of 0.4 × 0.6 mm along the bottom edges, for the spread of a first layer. Default true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub front_relief: Option<bool>,
    /// Centre and square lines sunk in each table. Default true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub marks: Option<bool>,
    /// Two screw holes of 4.5 mm through the raised middle, for a cleat below or to fix the block. Default true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screw_holes: Option<bool>,
    /// A cleat to print beside the block and to screw under it, which hangs on the bench's edge. Default false.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cleat: Option<bool>,
    /// Lettering on the raised middle: tool, angle and projection of every lane, title and guide. Default sunk.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub labels: Option<Labels>,
    /// How well a fence can be placed, ±. Default 0.1 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 2.0]))]
    pub fence_within: Option<LengthForm>,
}

/// The printer.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PrintFile {
    /// Width and depth of the bed. Default 220 × 220 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-each-mm" = [50.0, 2000.0]))]
    pub bed: Option<[LengthForm; 2]>,
    /// Width of the nozzle, and so of a printed line. Default 0.4 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.1, 1.5]))]
    pub nozzle: Option<LengthForm>,
    /// Height of a layer. Default 0.2 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.04, 1.0]))]
    pub layer: Option<LengthForm>,
    /// What it is printed in, for the mass. Default PLA.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub filament: Option<Filament>,
    /// Density of the filament, g/cm³, where its maker states it. Default: usual for the filament.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.5, max = 10))]
    pub density: Option<f64>,
    /// A notch at each end of the block that the seam of the walls can go into, away from edges and fences. Default
    /// true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seam_notch: Option<bool>,
    /// How large prints come out, as measured on the test piece; files are scaled to make up for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scale: Option<ScaleFile>,
}

/// How large prints come out along the printer's axes: measured size over meant size.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScaleFile {
    /// Along the bed's width.
    #[schemars(range(min = 0.95, max = 1.05))]
    pub x: f64,
    /// Along the bed's depth.
    #[schemars(range(min = 0.95, max = 1.05))]
    pub y: f64,
    /// How well both are known, ± (k = 2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0, max = 0.05))]
    pub within: Option<f64>,
}

/// The drawing sheet.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetFile {
    /// Sheet size. Default: the smallest on which the drawing is clear.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<PaperSize>,
    /// Third-angle (the default) or first-angle projection, ISO 5456-2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub projection: Option<ProjectionAngle>,
    /// Date for the title blocks, as you write dates: "2026-11-27". Default: a blank to fill in by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 20), extend("x-lettered" = true))]
    pub date: Option<String>,
}
