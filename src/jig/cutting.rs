//! How the parts come out of stock: the board from a panel or plank, fences, facings and cleat from battens of their
//! section.

use super::Jig;
use super::parts::{Part, PartKind};
use crate::job::wood::WoodOptions;
use crate::layout::Refused;
use crate::wood::stock::{self, CuttingPlan, NoPlan, Piece, Stock};
use crate::wood::timber::Stuff;

/// Left unused at the ends of planks and battens, which are split or out of square, and at the sides of planks, mm;
/// common practice, no source.
const ENDS: f64 = 10.0;
const SIDES: f64 = 3.0;
/// Planed off each edge that is glued to another, mm.
const JOINTED: f64 = 1.0;

/// Common panels and planks, length and width in mm, for metric and inch shops; common practice, no source.
const PANELS: [[[f64; 2]; 3]; 2] =
    [[[600.0, 300.0], [1200.0, 600.0], [2440.0, 1220.0]], [[609.6, 304.8], [1219.2, 609.6], [2438.4, 1219.2]]];
const PLANK: [[f64; 2]; 2] = [[1000.0, 150.0], [914.4, 152.4]];

/// Everything that is cut.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cutting {
    /// One entry a kind of stock.
    pub stocks: Vec<Cut>,
}

impl Cutting {
    /// Whether the board is glued up of staves.
    pub fn glues_staves(&self) -> bool {
        self.stocks.iter().any(|cut| cut.staves > 1)
    }
}

/// What is cut from one kind of stock.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// What the stock is, in words.
    pub what: String,
    /// Its width, mm.
    pub width: f64,
    /// Its thickness, mm.
    pub thickness: f64,
    /// What a saw cut takes, mm.
    pub kerf: f64,
    /// What is cut of it; names are the parts' letters.
    pub pieces: Vec<Piece>,
    /// The plan.
    pub plan: CuttingPlan,
    /// How many staves the board is glued up of; 1 for one in a piece, and for what is no board.
    pub staves: usize,
    /// What else there is to say of it.
    pub note: Option<String>,
}

/// The plans for the parts of `jig`.
///
/// # Errors
/// [`Refused`] where a part does not come out of stated stock.
pub fn cutting_of(options: &WoodOptions, jig: &Jig) -> Result<Cutting, Refused> {
    let kerf = options.kerf.unwrap_or(options.written.choose(1.5, 1.5875));
    let longest = jig.parts.iter().filter(|p| p.kind != PartKind::Board).map(|p| p.size[0]).fold(0.0, f64::max);
    let batten = options.batten.unwrap_or_else(|| usual_batten(longest, options.written.choose(300.0, 304.8)));
    let refuse = |field: &'static str| move |cause: NoPlan| Refused(vec![format!("{field}: {cause}")]);
    let mut stocks = Vec::new();
    for part in jig.parts.iter().filter(|p| p.kind == PartKind::Board) {
        stocks.push(board(options, jig, part, kerf).map_err(refuse("wood.stock.board"))?);
    }
    for kind in [PartKind::Fence, PartKind::Facing, PartKind::Cleat] {
        let parts: Vec<&Part> = jig.parts.iter().filter(|p| p.kind == kind).collect();
        if !parts.is_empty() {
            stocks.push(battens(&parts, batten, kerf).map_err(refuse("wood.stock.batten"))?);
        }
    }
    Ok(Cutting { stocks })
}

/// Length of the battens where none is stated, mm: three steps, or as many as hold the longest part.
fn usual_batten(longest: f64, step: f64) -> f64 {
    step * ((longest + 2.0 * ENDS) / step).ceil().max(3.0)
}

/// The board from a panel, or from a plank: of staves glued edge to edge where it is wider than the plank.
fn board(options: &WoodOptions, jig: &Jig, part: &Part, kerf: f64) -> Result<Cut, NoPlan> {
    let timber = matches!(jig.board.stuff, Stuff::Solid { .. });
    let [mut length, mut width, thickness] = part.size;
    if jig.board.slides() {
        (length, width) = (width, length);
    }
    let panels = options.written.choose(PANELS[0], PANELS[1]);
    let usual = match timber {
        true => options.written.choose(PLANK[0], PLANK[1]),
        false => panels.into_iter().find(|[l, w]| length <= *l && width <= *w).unwrap_or(panels[2]),
    };
    let [stock_length, stock_width] = options.board_stock.unwrap_or(usual);
    let (trim_ends, trim_sides) = if timber { (ENDS, SIDES) } else { (0.0, 0.0) };
    let usable = stock_width - 2.0 * trim_sides;
    let mut piece = Piece { name: part.letter.clone(), length, width, count: part.count, may_turn: false };
    let (mut note, mut count) = (None, 1);
    if timber && width > usable && usable > 2.0 * JOINTED {
        let staves = (width / (usable - 2.0 * JOINTED)).ceil();
        piece.width = width / staves + 2.0 * JOINTED;
        count = staves as usize;
        piece.count = count;
        note = Some(format!(
            "{} is glued up of {staves} staves, grain alike, each sawn {} wide and jointed, then planed to its finished size.",
            part.letter,
            jig.written.said(piece.width, 1)
        ));
    }
    let plan = stock::plan(
        std::slice::from_ref(&piece),
        &Stock { length: Some(stock_length), width: stock_width, kerf, trim_ends, trim_sides },
    )?;
    Ok(Cut {
        what: part.material.clone(),
        width: stock_width,
        thickness,
        kerf,
        pieces: vec![piece],
        plan,
        staves: count,
        note,
    })
}

/// Parts of one section from battens of it.
fn battens(parts: &[&Part], length: f64, kerf: f64) -> Result<Cut, NoPlan> {
    let [_, width, thickness] = parts[0].size;
    let pieces: Vec<Piece> = parts
        .iter()
        .map(|p| Piece { name: p.letter.clone(), length: p.size[0], width: p.size[1], count: p.count, may_turn: false })
        .collect();
    let stock = Stock { length: Some(length), width, kerf, trim_ends: ENDS, trim_sides: 0.0 };
    let plan = stock::battens(&pieces, &stock)?;
    Ok(Cut { what: parts[0].material.clone(), width, thickness, kerf, pieces, plan, staves: 1, note: None })
}
