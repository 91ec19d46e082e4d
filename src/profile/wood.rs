//! The `wood` section of a job: the jig made by hand.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::input::length::LengthForm;
use crate::terms::{BoardMaterial, Grain, LengthsShown};
use crate::wood::timber::{Climate, Cut, Species};

/// The wooden jig.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WoodFile {
    /// The board.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub board: Option<BoardFile>,
    /// The fence strips.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fences: Option<FencesFile>,
    /// A cleat below, to hang on the bench's edge or to hold in a vice. Default true.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cleat: Option<bool>,
    /// The air in the shop over the year.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub season: Option<SeasonFile>,
    /// What the parts are cut from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stock: Option<StockFile>,
    /// How well a fence can be placed, ±. Default 0.2 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 2.0]))]
    pub fence_within: Option<LengthForm>,
    /// Lengths on the drawings: mm, in (fractions), or both side by side. Default: the job's units.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lengths: Option<LengthsShown>,
    /// Fraction of an inch that fences are asked in: 64 (the default), 32 or 16; where that is coarser than a fence's limits
    /// allow, a finer one is asked for and said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("enum" = [16, 32, 64]))]
    pub fraction: Option<u32>,
    /// What the 100 mm check bar of the template measured on your print, across and down the paper. Default 100 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-each-mm" = [97.0, 103.0]))]
    pub printed_bar: Option<[LengthForm; 2]>,
}

/// The board.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardFile {
    /// Plywood (the default), MDF or timber.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub material: Option<BoardMaterial>,
    /// Species, for timber.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub species: Option<Species>,
    /// Flat-sawn (the default) or quarter-sawn timber.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut: Option<Cut>,
    /// Grain of timber along the reference edges (the default), or across from edge to edge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grain: Option<Grain>,
    /// Its thickness. Default: the thickest common stock, up to 12 mm or 1/2 in, that no roller strikes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [5.0, 60.0]))]
    pub thickness: Option<LengthForm>,
}

/// The fence strips; their grain runs along the fence.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FencesFile {
    /// Species. Default american-beech.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub species: Option<Species>,
    /// Flat-sawn (the default) or quarter-sawn across their width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cut: Option<Cut>,
    /// Their width on the board, facing included. Default 20 mm or 3/4 in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [14.0, 60.0]))]
    pub width: Option<LengthForm>,
    /// Their height. Default: the lowest common stock from 12 mm or 1/2 in that stands 2 mm over the thickest blade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [4.0, 60.0]))]
    pub height: Option<LengthForm>,
    /// Thickness of a hard facing, 0 for none. Default: 1.5 mm or 1/16 in where the species is soft, else none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.0, 6.0]))]
    pub facing: Option<LengthForm>,
}

/// The air in the shop at the ends of the year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SeasonFile {
    /// When it is driest.
    pub dry: Climate,
    /// When it is dampest.
    pub damp: Climate,
    /// When the jig is made. Default: halfway between.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub made: Option<Climate>,
}

/// What the parts are cut from.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StockFile {
    /// Length and width of the stock for the board. Default: a common panel or plank that holds it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-each-mm" = [50.0, 4000.0]))]
    pub board: Option<[LengthForm; 2]>,
    /// Length of the battens for fences and cleat. Default 900 mm or 36 in, or more where a part needs it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [100.0, 6000.0]))]
    pub batten: Option<LengthForm>,
    /// What a saw cut takes. Default 1.5 mm or 1/16 in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-mm" = [0.3, 6.0]))]
    pub kerf: Option<LengthForm>,
}
