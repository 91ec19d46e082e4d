//! The wooden jig's options, units resolved and defaults filled in where nothing else decides them.

use super::Resolver;
use crate::profile::wood::WoodFile;
use crate::terms::{BoardMaterial, Grain, LengthsShown};
use crate::units::{Units, Written};
use crate::wood::timber::{self, Cut, Season, Species};

/// How well a fence strip can be placed by hand, ± mm, unless the job says otherwise.
const FENCE_WITHIN: f64 = 0.2;

/// The wood's moisture over the year in a heated shop: 35 % humidity at 18 °C in winter, 65 % at 22 °C in summer (the
/// airs are common practice, no source; a test holds these values against [`timber::season`]).
const USUAL_SEASON: Season = Season { dry: 7.0, damp: 11.9, made: 9.5 };

/// What the jig is to be made of, and how it is to be drawn. Lengths are mm; `None` is left to the jig.
#[derive(Debug, Clone, PartialEq)]
pub struct WoodOptions {
    /// The board's material.
    pub board: BoardMaterial,
    /// The species of a timber board.
    pub board_species: Species,
    /// How it was sawn.
    pub board_cut: Cut,
    /// How its grain runs.
    pub grain: Grain,
    /// The board's thickness.
    pub thickness: Option<f64>,
    /// The species of the fences.
    pub fence_species: Species,
    /// How they were sawn.
    pub fence_cut: Cut,
    /// Their width on the board, facing included.
    pub fence_width: Option<f64>,
    /// Their height.
    pub fence_height: Option<f64>,
    /// Thickness of their facing; 0 for none.
    pub facing: Option<f64>,
    /// Whether there is a cleat.
    pub cleat: bool,
    /// The wood's moisture over the year.
    pub season: Season,
    /// Length and width of the board's stock.
    pub board_stock: Option<[f64; 2]>,
    /// Length of the battens.
    pub batten: Option<f64>,
    /// What a saw cut takes.
    pub kerf: Option<f64>,
    /// How well a fence can be placed, ±.
    pub fence_within: f64,
    /// How lengths are written.
    pub written: Written,
    /// What the 100 mm check bar measured on the user's print, across and down.
    pub printed_bar: [f64; 2],
}

impl WoodOptions {
    /// The defaults for a job in `units`.
    pub fn new(units: Units) -> Self {
        Self {
            board: BoardMaterial::default(),
            board_species: Species::AmericanBeech,
            board_cut: Cut::Flat,
            grain: Grain::default(),
            thickness: None,
            fence_species: Species::AmericanBeech,
            fence_cut: Cut::Flat,
            fence_width: None,
            fence_height: None,
            facing: None,
            cleat: true,
            season: USUAL_SEASON,
            board_stock: None,
            batten: None,
            kerf: None,
            fence_within: FENCE_WITHIN,
            written: Written::of(units),
            printed_bar: [100.0; 2],
        }
    }

    /// Writes lengths so.
    pub fn show(&mut self, lengths: LengthsShown) {
        self.written = lengths.written(self.written.denominator);
    }
}

impl Resolver<'_> {
    pub(super) fn wood(&mut self, file: Option<&WoodFile>) -> WoodOptions {
        let mut options = WoodOptions::new(self.units);
        let Some(file) = file else { return options };
        if let Some(board) = &file.board {
            options.board = board.material.unwrap_or(options.board);
            options.board_species = board.species.unwrap_or(options.board_species);
            options.board_cut = board.cut.unwrap_or(options.board_cut);
            options.grain = board.grain.unwrap_or(options.grain);
            options.thickness = self.mm(&["wood", "board", "thickness"], board.thickness.as_ref());
            let timber = options.board == BoardMaterial::Timber;
            if timber && board.species.is_none() {
                self.fault(
                    &["wood", "board", "species"],
                    "no species of a timber board",
                    "the species, since its movement is counted",
                );
            }
            for (field, stated) in
                [("species", board.species.is_some()), ("cut", board.cut.is_some()), ("grain", board.grain.is_some())]
            {
                if stated && !timber {
                    self.fault(
                        &["wood", "board", field],
                        format!("a {field} of a board that is not timber"),
                        "\"material\": \"timber\" beside it, or nothing",
                    );
                }
            }
        }
        if let Some(fences) = &file.fences {
            let at = |field| ["wood", "fences", field];
            options.fence_species = fences.species.unwrap_or(options.fence_species);
            options.fence_cut = fences.cut.unwrap_or(options.fence_cut);
            options.fence_width = self.mm(&at("width"), fences.width.as_ref());
            options.fence_height = self.mm(&at("height"), fences.height.as_ref());
            options.facing = self.mm(&at("facing"), fences.facing.as_ref());
        }
        options.cleat = file.cleat.unwrap_or(options.cleat);
        if let Some(season) = &file.season {
            match timber::season(season.dry, season.damp, season.made) {
                Ok(moistures) => options.season = moistures,
                Err(found) => self.fault(
                    &["wood", "season"],
                    found.to_string(),
                    "an air for the dry season that is no damper than the other's",
                ),
            }
        }
        if let Some(stock) = &file.stock {
            options.board_stock = stock.board.as_ref().map(|b| self.pair(&["wood", "stock", "board"], b));
            options.batten = self.mm(&["wood", "stock", "batten"], stock.batten.as_ref());
            options.kerf = self.mm(&["wood", "stock", "kerf"], stock.kerf.as_ref());
        }
        options.fence_within =
            self.mm(&["wood", "fence_within"], file.fence_within.as_ref()).unwrap_or(options.fence_within);
        if let Some(lengths) = file.lengths {
            options.show(lengths);
        }
        if let Some(fraction) = file.fraction {
            options.written.denominator = fraction;
        }
        if let Some(bar) = &file.printed_bar {
            options.printed_bar = self.pair(&["wood", "printed_bar"], bar);
        }
        options
    }
}
