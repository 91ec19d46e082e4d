//! The board: its stuff, and the thickness that the lanes are solved for.

use crate::job::wood::WoodOptions;
use crate::job::{Job, Of};
use crate::lane::NoLane;
use crate::lanes;
use crate::lanes::LaneSet;
use crate::terms::{BoardMaterial, Grain};
use crate::wood::timber::{Cut, Stuff};

/// Common thicknesses of boards in mm and in inches; common practice, no source.
const STOCK: [&[f64]; 2] = [&[12.0, 9.0, 6.0], &[12.7, 9.525, 6.35]];

/// The board.
#[derive(Debug, Clone, PartialEq)]
pub struct Board {
    /// Its thickness, mm.
    pub thickness: f64,
    /// What it is made of.
    pub stuff: Stuff,
    /// How its grain runs; only timber minds.
    pub grain: Grain,
}

impl Board {
    /// Whether its grain runs from edge to edge, across strips and cleat, so that these must be let slide on it.
    pub fn slides(&self) -> bool {
        matches!(self.stuff, Stuff::Solid { .. }) && self.grain == Grain::Across
    }

    /// What it is made of, in words.
    pub fn material(&self) -> String {
        words(self.stuff)
    }

    /// How its grain runs, in words; nothing for MDF, which has none.
    pub fn grain_words(&self) -> Option<&'static str> {
        match (self.stuff, self.grain) {
            (Stuff::Solid { .. }, Grain::Along) => Some("lengthwise"),
            (Stuff::Solid { .. }, Grain::Across) => Some("from edge to edge"),
            (Stuff::Plywood, _) => Some("of its faces lengthwise"),
            (Stuff::Mdf, _) => None,
        }
    }

    /// What it is made of and how its grain runs, in words.
    pub fn described(&self) -> String {
        with_grain(&self.material(), self.grain_words())
    }
}

/// A material and its grain, if it has any, in words.
pub fn with_grain(material: &str, grain: Option<&str>) -> String {
    grain.map_or_else(|| material.to_string(), |grain| format!("{material}, grain {grain}"))
}

/// A stuff in words.
pub fn words(stuff: Stuff) -> String {
    match stuff {
        Stuff::Plywood => "plywood".into(),
        Stuff::Mdf => "MDF".into(),
        Stuff::Solid { species, cut } => {
            let cut = match cut {
                Cut::Flat => "flat-sawn",
                Cut::Quarter => "quarter-sawn",
            };
            format!("{species}, {cut}")
        }
    }
}

/// The board of the jig, `thickness` mm thick.
pub fn board_of(options: &WoodOptions, thickness: f64) -> Board {
    let stuff = match options.board {
        BoardMaterial::Plywood => Stuff::Plywood,
        BoardMaterial::Mdf => Stuff::Mdf,
        BoardMaterial::Timber => Stuff::Solid { species: options.board_species, cut: options.board_cut },
    };
    Board { thickness, stuff, grain: options.grain }
}

/// The lanes of a job, solved for the jig's board: of the stated thickness, else of the thickest common stock that no
/// roller strikes (the thinnest where one strikes them all, for the rules to refuse).
///
/// # Errors
/// Every lane that cannot be solved; those of [`accepted`](lanes::accepted).
pub fn lanes(job: &Job) -> Result<LaneSet, Vec<NoLane>> {
    // What the rules say of them is written as the jig's sheets are.
    let job = &Job { written: job.wood.written, ..job.clone() };
    let solve = |thickness: f64| {
        // The bottom arris of a reference edge is eased, which takes no more than the printed block's relief.
        let options = crate::lane::BlockOptions { thickness: Some(thickness), front_relief: true, ..job.block.clone() };
        lanes::for_block(job, &options, Some(job.wood.fence_within))
    };
    if let Some(stated) = job.wood.thickness {
        return lanes::accepted(job, solve(stated)?, Of::Jig);
    }
    let stock = job.wood.written.choose(STOCK[0], STOCK[1]);
    let mut set = solve(stock[0])?;
    for &thickness in &stock[1..] {
        if set.edge.thickness <= set.thickness_limit() {
            break;
        }
        set = solve(thickness)?;
    }
    lanes::accepted(job, set, Of::Jig)
}
