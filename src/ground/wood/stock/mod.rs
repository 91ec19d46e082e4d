//! How parts come out of stock: which to saw from which board, in which order.
//!
//! A plan is a guillotine plan of three stages, each cut going edge to edge through what is being cut:
//!
//! 1. the board is crosscut into *sections*, each as long as its longest piece;
//! 2. a section is ripped into *strips*, each as wide as its pieces;
//! 3. a strip is crosscut into pieces of one width, end to end.
//!
//! Among such plans [`plan`] looks for the fewest boards, or the shortest board where the length is free; among those
//! with equal boards for the least length in sections, which leaves the longest offcut. The search is exact for few
//! pieces; it ends after a fixed number of steps, so that the same input always gives the same plan, and a lower bound
//! stands beside the plan. Plans of another pattern could need less stock than the bound.
//!
//! Sizes are taken to the micrometre.

mod cuts;
mod search;

use serde::Serialize;

use search::{Item, Room};

/// A kind of piece to be cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Its name in messages.
    pub name: String,
    /// Size along the grain, or the long way of the stock, mm.
    pub length: f64,
    /// Size across, mm.
    pub width: f64,
    /// How many of it.
    pub count: usize,
    /// Whether it may lie across the stock.
    pub may_turn: bool,
}

/// The boards to cut from, all alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Size along the grain, mm; `None` for one board, as long as needed.
    pub length: Option<f64>,
    /// Size across, mm.
    pub width: f64,
    /// Width of the saw cut, mm.
    pub kerf: f64,
    /// Left unused at each end, mm; a cut that removes it lies within it.
    pub trim_ends: f64,
    /// Left unused at each long edge, mm; a cut that removes it lies within it.
    pub trim_sides: f64,
    /// Left whole at the far end beside its trim, mm: what is held at the last cut.
    pub held: f64,
}

/// A rectangle on a board, mm: `x` along the board from its left end, `y` across it from its near edge.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Area {
    /// From and to along the board.
    pub x: [f64; 2],
    /// From and to across the board.
    pub y: [f64; 2],
}

impl Area {
    /// Its area, mm².
    pub fn size(&self) -> f64 {
        (self.x[1] - self.x[0]) * (self.y[1] - self.y[0])
    }
}

/// Where a piece lies.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Placement {
    /// Which of the kinds of piece.
    pub piece: usize,
    /// Whether its length lies across the board.
    pub turned: bool,
    /// Its place.
    pub area: Area,
}

/// How a cut runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Saw {
    /// Along the board: the kerf is an interval of `y`.
    Rip,
    /// Across the board: the kerf is an interval of `x`.
    Crosscut,
}

/// One saw cut, edge to edge.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Cut {
    /// What is cut in two.
    pub from: Area,
    /// The way of the cut.
    pub saw: Saw,
    /// What the saw takes away, mm, as far as it lies within `from`.
    pub kerf: [f64; 2],
}

/// One board and how it is cut.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Board {
    /// Its length, mm.
    pub length: f64,
    /// The pieces, in the order in which they come free.
    pub placements: Vec<Placement>,
    /// The cuts, in the order to be made.
    pub cuts: Vec<Cut>,
    /// What remains, the largest first, its far edges untrimmed; trimmings of the near edges are not counted.
    pub offcuts: Vec<Area>,
}

/// A cutting plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CuttingPlan {
    /// The boards.
    pub boards: Vec<Board>,
    /// Length of all boards together, mm.
    pub length: f64,
    /// No plan of the pattern that the module describes needs less length than this, mm.
    pub least_length: f64,
    /// Part of the stock that does not become pieces, 0 to 1.
    pub waste: f64,
}

impl CuttingPlan {
    /// Whether no plan of the pattern needs less stock.
    pub fn proven(&self) -> bool {
        self.length <= self.least_length
    }
}

/// Largest size that is taken, mm.
pub const MOST_SIZE: f64 = 100_000.0;
/// Most pieces that are planned.
pub const MOST_PIECES: usize = 500;

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoPlan {
    /// A size is no size.
    #[error("{name}: {size} mm is not a size from {least} to {MOST_SIZE} mm")]
    Size {
        /// The piece, or what of the stock.
        name: String,
        /// The size, mm.
        size: f64,
        /// Smallest size, mm.
        least: f64,
    },
    /// A piece does not come out of the stock.
    #[error("{name} is {length} × {width} mm: it needs stock of {} × {} mm, and there is {stock}", .needed[0], .needed[1])]
    TooLarge {
        /// The piece.
        name: String,
        /// Its length, mm.
        length: f64,
        /// Its width, mm.
        width: f64,
        /// Length and width, mm, that a board must have for it, lying along the board.
        needed: [f64; 2],
        /// The stock, in words.
        stock: String,
    },
    /// More than can be planned.
    #[error("{0} pieces are more than the {MOST_PIECES} that can be planned")]
    TooMany(usize),
}

/// Plans how `pieces` come out of boards of `stock`.
///
/// # Errors
/// [`NoPlan`].
pub fn plan(pieces: &[Piece], stock: &Stock) -> Result<CuttingPlan, NoPlan> {
    let grid = Grid::of_stock(stock)?;
    let count = pieces.iter().fold(0usize, |sum, p| sum.saturating_add(p.count));
    if count > MOST_PIECES {
        return Err(NoPlan::TooMany(count));
    }
    let items = pieces.iter().map(|p| item(p, stock, &grid)).collect::<Result<Vec<_>, _>>()?;
    let found = search::search(&items, &grid.room);
    let boards = cuts::boards(&found.packing, &grid);
    let (length, least_length) = match (stock.length, boards.first()) {
        (_, None) => (0.0, 0.0),
        (Some(one), _) => (one * boards.len() as f64, one * found.fewest as f64),
        (None, Some(board)) => (board.length, mm(found.shortest - grid.kerf + 2 * grid.trim[0] + grid.held)),
    };
    let used: f64 = pieces.iter().map(|p| p.length * p.width * p.count as f64).sum();
    let waste = if boards.is_empty() { 0.0 } else { 1.0 - used / (length * stock.width) };
    Ok(CuttingPlan { boards, length, least_length, waste })
}

/// Plans how pieces of one section come out of battens of that section: [`plan`] with crosscuts only. Widths, and
/// trimming of the sides, are not looked at.
///
/// # Errors
/// [`NoPlan`].
pub fn battens(pieces: &[Piece], stock: &Stock) -> Result<CuttingPlan, NoPlan> {
    let pieces: Vec<Piece> =
        pieces.iter().map(|p| Piece { width: stock.width, may_turn: false, ..p.clone() }).collect();
    plan(&pieces, &Stock { trim_sides: 0.0, ..stock.clone() })
}

/// The stock on a grid of 1 µm.
struct Grid {
    /// Length of a board, and its width.
    length: Option<i64>,
    width: i64,
    kerf: i64,
    /// At the ends, at the sides.
    trim: [i64; 2],
    /// Left whole at the far end.
    held: i64,
    /// What pieces can use, with a kerf more each way: each piece then takes its size and a kerf.
    room: Room,
}

impl Grid {
    fn of_stock(stock: &Stock) -> Result<Self, NoPlan> {
        let (kerf, width) = (microns("kerf", stock.kerf, 0.0)?, microns("width of the stock", stock.width, 0.001)?);
        let trim = [stock.trim_ends, stock.trim_sides].map(|t| microns("trim of the stock", t, 0.0));
        let [ends, sides] = trim;
        let trim = [ends?, sides?];
        let length = stock.length.map(|l| microns("length of the stock", l, 0.001)).transpose()?;
        let held = microns("what is held of the stock", stock.held, 0.0)?;
        let room = Room { length: length.map(|l| l - 2 * trim[0] - held + kerf), width: width - 2 * trim[1] + kerf };
        Ok(Self { length, width, kerf, trim, held, room })
    }
}

fn item(piece: &Piece, stock: &Stock, grid: &Grid) -> Result<Item, NoPlan> {
    let length = microns(&piece.name, piece.length, 0.001)?;
    let width = microns(&piece.name, piece.width, 0.001)?;
    let item = Item {
        length: length + grid.kerf,
        width: width + grid.kerf,
        count: piece.count,
        may_turn: piece.may_turn && length != width,
    };
    if item.ways(&grid.room).next().is_none() {
        let there =
            stock.length.map_or(format!("a width of {} mm", stock.width), |l| format!("{l} × {} mm", stock.width));
        return Err(NoPlan::TooLarge {
            name: piece.name.clone(),
            length: piece.length,
            width: piece.width,
            needed: [mm(length + 2 * grid.trim[0] + grid.held), mm(width + 2 * grid.trim[1])],
            stock: there,
        });
    }
    Ok(item)
}

/// Micrometres of a size in mm.
fn microns(name: &str, size: f64, least: f64) -> Result<i64, NoPlan> {
    if !(least..=MOST_SIZE).contains(&size) {
        return Err(NoPlan::Size { name: name.to_string(), size, least });
    }
    Ok((size * 1000.0).round() as i64)
}

fn mm(microns: i64) -> f64 {
    microns as f64 / 1000.0
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn piece(name: &str, length: f64, width: f64, count: usize) -> Piece {
        Piece { name: name.into(), length, width, count, may_turn: false }
    }

    fn stock(length: Option<f64>, width: f64) -> Stock {
        Stock { length, width, kerf: 3.0, trim_ends: 0.0, trim_sides: 0.0, held: 0.0 }
    }

    /// By hand: board and long fences share a section; the short fences lie end to end in its last strip.
    #[test]
    fn fences_come_out_beside_the_board() {
        let pieces = [piece("board", 400.0, 120.0, 1), piece("fence", 400.0, 20.0, 2), piece("stop", 98.5, 20.0, 3)];
        let plan = plan(&pieces, &stock(None, 189.0)).unwrap();
        assert_eq!((plan.length, plan.least_length, plan.proven()), (400.0, 400.0, true));
        let board = &plan.boards[0];
        let stops: Vec<[f64; 2]> = board.placements.iter().filter(|p| p.piece == 2).map(|p| p.area.x).collect();
        assert_eq!(stops, [[0.0, 98.5], [101.5, 200.0], [203.0, 301.5]]);
        assert_eq!(board.offcuts, [Area { x: [304.5, 400.0], y: [169.0, 189.0] }]);
        let saws: Vec<Saw> = board.cuts.iter().map(|c| c.saw).collect();
        assert_eq!(saws, [vec![Saw::Rip; 3], vec![Saw::Crosscut; 3]].concat());
        let used = 400.0 * 120.0 + 2.0 * 400.0 * 20.0 + 3.0 * 98.5 * 20.0;
        assert!((plan.waste - (1.0 - used / (400.0 * 189.0))).abs() < 1e-12);
    }

    #[test]
    fn a_piece_too_large_is_named_with_what_it_needs() {
        let pieces = [piece("fence", 100.0, 20.0, 1), piece("board", 410.0, 150.0, 1)];
        let trimmed = Stock { trim_ends: 5.0, trim_sides: 2.0, ..stock(Some(400.0), 200.0) };
        let message = plan(&pieces, &trimmed).unwrap_err().to_string();
        assert_eq!(message, "board is 410 × 150 mm: it needs stock of 420 × 154 mm, and there is 400 × 200 mm");
        let turns = Piece { may_turn: true, ..piece("board", 300.0, 150.0, 1) };
        assert!(plan(std::slice::from_ref(&turns), &stock(None, 150.0)).unwrap().proven());
        let message = plan(&[turns], &stock(None, 140.0)).unwrap_err().to_string();
        assert_eq!(message, "board is 300 × 150 mm: it needs stock of 300 × 150 mm, and there is a width of 140 mm");
    }

    #[test]
    fn senseless_sizes_are_refused_and_nothing_needs_nothing() {
        for size in [0.0, -1.0, f64::NAN, f64::INFINITY, 100_001.0] {
            let refused = plan(&[piece("strip", size, 20.0, 1)], &stock(None, 100.0));
            assert!(matches!(refused, Err(NoPlan::Size { name, .. }) if name == "strip"), "{size}");
            assert!(matches!(plan(&[], &stock(Some(size), 100.0)), Err(NoPlan::Size { .. })), "{size}");
        }
        let many = [piece("strip", 20.0, 20.0, usize::MAX), piece("strip", 20.0, 20.0, 2)];
        assert_eq!(plan(&many, &stock(None, 100.0)), Err(NoPlan::TooMany(usize::MAX)));
        let none = plan(&[], &stock(None, 100.0)).unwrap();
        assert!(none.proven() && none.boards.is_empty() && none.length == 0.0);
        let most = battens(&[piece("strip", 20.0, 20.0, MOST_PIECES)], &stock(Some(500.0), 20.0)).unwrap();
        // 21 strips of 20 mm and their kerfs of 3 mm are 480 mm.
        assert_eq!((most.boards.len(), most.proven()), (MOST_PIECES.div_ceil(21), true));
    }
}
