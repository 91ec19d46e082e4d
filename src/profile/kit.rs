//! A kit: the blades of a drawer, with their history, their work and the angles wanted of them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::length::{LengthForm, TaperForm};
use crate::terms::{BLADE_TAPER, BLADE_THICKNESS, BLADE_WIDTH, BevelSide, PlaneKind, Steel, Use};
use crate::units::Units;

/// The blades of one shop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "Stopwright kit")]
pub struct KitFile {
    /// Version of this file's form.
    #[schemars(range(min = 1, max = 1))]
    pub format: u32,
    /// Your name for the kit.
    #[schemars(length(min = 1, max = 60), extend("x-lettered" = true))]
    pub title: String,
    /// Unit of bare numbers: mm (the default) or in.
    #[serde(default)]
    pub units: Units,
    /// Anything worth knowing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 2000))]
    pub notes: Option<String>,
    /// How far off an angle may be, ± degrees, for a fence to be shared. Default 0.5.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.05, max = 5))]
    pub tolerance: Option<f64>,
    /// The abrasives, from coarse to fine, as they are graded, each with its kind where one is said: `P220 paper`,
    /// `1000 water-stone`, `F400 oil-stone`, `600 mesh diamond-plate`, `3 µm film`; or `CAMI 320`, `JIS 1000`, `15 µm` alone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(length(min = 1, max = 30), inner(length(min = 1, max = 40)))]
    pub grits: Option<Vec<String>>,
    /// The blades.
    #[schemars(length(min = 1, max = 20000))]
    pub blades: Vec<KitBladeFile>,
}

/// One blade of a kit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KitBladeFile {
    /// Your name for the blade; no two blades have the same. Drawings show it, and blocks letter it as a job's title.
    #[schemars(length(min = 1, max = 40), extend("x-lettered" = true))]
    pub name: String,
    /// Name of a built-in tool class, or the path of one relative to this kit.
    #[schemars(length(min = 1, max = 400))]
    pub tool: String,
    /// Width. Default: the class's widest, as far as the guide takes it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = BLADE_WIDTH))]
    pub width: Option<LengthForm>,
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
    /// What is left of the blade, from the edge to its end (of a chisel: to the bolster).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [5.0, 600.0]))]
    pub length: Option<LengthForm>,
    /// The group of its steel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub steel: Option<Steel>,
    /// What it is used for.
    #[serde(default, rename = "use", skip_serializing_if = "Option::is_none")]
    #[schemars(length(max = 6))]
    pub uses: Option<Vec<Use>>,
    /// Bed angle of its plane, degrees. Default: 45, or 12 where the bevel is up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 90))]
    pub bed: Option<f64>,
    /// Which way the bevel looks in its plane. Default: down.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bevel: Option<BevelSide>,
    /// The primary bevel it has now, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 60))]
    pub current: Option<f64>,
    /// The primary bevel wanted, degrees. Default: advised.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 60))]
    pub primary: Option<f64>,
    /// The micro-bevel wanted, degrees; the same as the primary for none. Default: advised.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 5, max = 60))]
    pub micro: Option<f64>,
    /// The camber wanted. Default: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub camber: Option<CamberFile>,
}

/// The camber, given in one of three ways.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CamberFile {
    /// How far the corners lie behind the middle of the edge, in the plane of the back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 5.0]))]
    pub depth: Option<LengthForm>,
    /// By the plane it is for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plane: Option<PlaneKind>,
    /// By the thickest shaving, whose edges run out to nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.01, 2.0]))]
    pub shaving: Option<LengthForm>,
}
