//! How the parts come out of stock: the board from a panel or plank, fences, facings and cleat from battens of their
//! section.
//!
//! Nothing short goes to a plane or a saw. The board is cut as a blank, whose edges are made true before it is cut to
//! length; battens are planed whole, and enough of each is left at the last cut to be held.

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
/// Planed off each edge that is glued to another, or that is made straight, mm.
const JOINTED: f64 = 1.0;

/// Nothing shorter goes to a plane or a saw, by hand or by machine, mm, for metric and inch shops: common practice, no
/// source. The makers' instructions for the tools, and local rules, come before it.
pub const SAFE: [f64; 2] = [300.0, 304.8];
/// What a batten is wider and thicker than its parts before it is planed, mm, for metric and inch shops; common practice,
/// no source.
pub const PLANED_OFF: [f64; 2] = [3.0, 3.175];

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
    /// What is cut of it; names are the parts' numbers.
    pub pieces: Vec<Piece>,
    /// The plan.
    pub plan: CuttingPlan,
    /// How many staves the board is glued up of; 1 for one in a piece, and for what is no board.
    pub staves: usize,
    /// What else there is to say of it.
    pub notes: Vec<String>,
}

/// The plans for the parts of `jig`.
///
/// # Errors
/// [`Refused`] where a part does not come out of stated stock.
pub fn cutting_of(options: &WoodOptions, jig: &Jig) -> Result<Cutting, Refused> {
    let kerf = options.kerf.unwrap_or(options.written.choose(1.5, 1.5875));
    let refuse = |field: &'static str| move |cause: NoPlan| Refused(vec![format!("{field}: {cause}")]);
    let mut stocks = Vec::new();
    for part in jig.parts.iter().filter(|p| p.kind == PartKind::Board) {
        stocks.push(board(options, jig, part, kerf).map_err(refuse("wood.stock.board"))?);
    }
    for kind in [PartKind::Fence, PartKind::Cleat, PartKind::Facing] {
        let parts: Vec<&Part> = jig.parts.iter().filter(|p| p.kind == kind).collect();
        if !parts.is_empty() {
            stocks.push(battens(options, &parts, kerf).map_err(refuse("wood.stock.batten"))?);
        }
    }
    Ok(Cutting { stocks })
}

/// Length of the battens where none is stated, mm: three steps, or as many as hold the longest part.
fn usual_batten(longest: f64, step: f64) -> f64 {
    step * ((longest + 2.0 * ENDS) / step).ceil().max(3.0)
}

/// Size of the blank that the board is cut from, mm: so long that its edges can be planed, and with what that takes off;
/// where they are end grain, so long along the grain too that its staves can be jointed.
fn blank(jig: &Jig, size: [f64; 2]) -> [f64; 2] {
    let safe = jig.written.choose(SAFE[0], SAFE[1]);
    let planed = size[1] + 2.0 * JOINTED;
    [size[0].max(safe), if jig.board.slides() { planed.max(safe) } else { planed }]
}

/// The board from a panel, or from a plank: of staves glued edge to edge where it is wider than the plank. It is cut as a
/// blank where the stock has room for one.
fn board(options: &WoodOptions, jig: &Jig, part: &Part, kerf: f64) -> Result<Cut, NoPlan> {
    let [length, depth, _] = part.size;
    let finished = [length, depth];
    let first = board_of(options, jig, part, blank(jig, finished), kerf);
    first.or_else(|_| {
        let mut cut = board_of(options, jig, part, finished, kerf)?;
        cut.notes.push(format!(
            "This stock has no room for a blank with {} to plane off each edge, {} long: choose a larger one, or fix {} to a longer board before you plane or saw it.",
            jig.written.fine(JOINTED).said(),
            jig.written.native(jig.written.choose(SAFE[0], SAFE[1])).said(),
            part.number
        ));
        Ok(cut)
    })
}

/// The same, `size` along and across its reference edges, mm.
fn board_of(options: &WoodOptions, jig: &Jig, part: &Part, size: [f64; 2], kerf: f64) -> Result<Cut, NoPlan> {
    let timber = matches!(jig.board.stuff, Stuff::Solid { .. });
    let [length, width] = if jig.board.slides() { [size[1], size[0]] } else { size };
    let panels = options.written.choose(PANELS[0], PANELS[1]);
    let usual = match timber {
        true => options.written.choose(PLANK[0], PLANK[1]),
        false => panels.into_iter().find(|[l, w]| length <= *l && width <= *w).unwrap_or(panels[2]),
    };
    let [stock_length, stock_width] = options.board_stock.unwrap_or(usual);
    let (trim_ends, trim_sides) = if timber { (ENDS, SIDES) } else { (0.0, 0.0) };
    let usable = stock_width - 2.0 * trim_sides;
    let mut piece = Piece { name: part.number.clone(), length, width, count: part.count, may_turn: false };
    let said = |mm: f64| jig.written.said(mm, 1);
    let (mut notes, mut staves) = (Vec::new(), 1);
    if timber && width > usable && usable > 2.0 * JOINTED {
        let needed = (width / (usable - 2.0 * JOINTED)).ceil();
        piece.width = width / needed + 2.0 * JOINTED;
        staves = needed as usize;
        piece.count = staves;
        notes.push(format!(
            "{} is glued up of {staves} staves, grain alike, each sawn {} wide and jointed.",
            part.number,
            said(piece.width)
        ));
    }
    if size != [part.size[0], part.size[1]] {
        notes.push(format!(
            "{} is cut as a blank {} × {}: make its two edges true, {} apart, then cut it to {}.",
            part.number,
            jig.written.bare(size[0], 1),
            said(size[1]),
            said(part.size[1]),
            said(part.size[0])
        ));
    }
    let stock = Stock { length: Some(stock_length), width: stock_width, kerf, trim_ends, trim_sides, held: 0.0 };
    let plan = stock::plan(std::slice::from_ref(&piece), &stock)?;
    let (what, thickness) = (part.material.clone(), part.size[2]);
    Ok(Cut { what, width: stock_width, thickness, kerf, pieces: vec![piece], plan, staves, notes })
}

/// Parts of one section from battens of it, which are planed whole and so long that the last cut is safe.
fn battens(options: &WoodOptions, parts: &[&Part], kerf: f64) -> Result<Cut, NoPlan> {
    let written = options.written;
    let [_, width, thickness] = parts[0].size;
    let lengths = || parts.iter().map(|p| p.size[0]);
    let safe = written.choose(SAFE[0], SAFE[1]);
    // What lies on the saw at the last cut is the last part, and what is left.
    let held = (safe - lengths().fold(f64::INFINITY, f64::min) - ENDS).max(0.0);
    let usual = || usual_batten(lengths().fold(0.0, f64::max) + held, written.choose(SAFE[0], SAFE[1]));
    let length = options.batten.unwrap_or_else(usual);
    let pieces: Vec<Piece> = parts
        .iter()
        .map(|p| Piece { name: p.number.clone(), length: p.size[0], width: p.size[1], count: p.count, may_turn: false })
        .collect();
    let stock = Stock { length: Some(length), width, kerf, trim_ends: ENDS, trim_sides: 0.0, held };
    let mut notes = Vec::new();
    if parts[0].kind != PartKind::Facing {
        let over = written.native(written.choose(PLANED_OFF[0], PLANED_OFF[1])).said();
        notes.push(format!("Saw it {over} wider and thicker, and plane it to this section while it is whole."));
    }
    let said = written.native(safe).said();
    let plan = match stock::battens(&pieces, &stock) {
        Ok(plan) => {
            notes.push(format!(
                "Crosscut from the left, in the order drawn: at every cut {said} or more lie on the saw."
            ));
            plan
        }
        Err(_) => {
            notes.push(format!("Too short to keep {said} on the saw at the last cuts: choose a longer one, or fix it to a longer board before you saw it."));
            stock::battens(&pieces, &Stock { held: 0.0, ..stock })?
        }
    };
    let what = parts[0].material.clone();
    Ok(Cut { what, width, thickness, kerf, pieces, plan, staves: 1, notes })
}
