//! A full-size drawing larger than a sheet, cut into tiles to print at home and put together.
//!
//! The drawing is first spread out as it will lie when put together, turned and made up for the printer,
//! then cut along match lines. Each tile shows its part and a little of its neighbours', so that
//! one of two sheets is cut along the match line and laid on the other. Lettering is on one tile only, whole: match
//! lines are moved to miss it, and what they still cross is moved to the nearest clear place.
//!
//! Which way the sheets lie and whether the drawing is turned: of the arrangements in which all lettering finds room,
//! the one with the fewest tiles; then fewest pages; then the least
//! lettering moved; then the shortest match lines; then not turned; then upright sheets.
//!
//! A tile has margins of 10 mm all around: it is stuck to wood and never filed, so the filing margin of ISO 5457 is
//! left out. Its frame is narrow, so that wide lines are the template's alone, and its title block is a strip.
//!
//! Ids that begin with `tile-`, `check-bar-`, and `frame`, `title-block` and `notes` are the sheets' own.

mod clip;
mod grid;
mod margins;
mod page;
mod place;
mod plan;
mod spread;

use kurbo::{Axis, Size};

use super::{Group, Sheet, clash};
use crate::cores;
use crate::terms::PaperSize;
use grid::Grid;
use page::Tile;

/// A full-size drawing in its own frame: x right, y down from its upper left corner, mm; nothing lies outside it.
#[derive(Debug, Clone, PartialEq)]
pub struct FullSize {
    /// Its width and height, mm.
    pub size: Size,
    /// What is drawn.
    pub groups: Vec<Group>,
}

/// What the tiles are printed on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tiling {
    /// The paper.
    pub paper: PaperSize,
    /// How much of the drawing neighbours share, mm.
    pub overlap: f64,
    /// What bars of 100 mm measure on the user's prints, mm: along the long side of the paper, and across it.
    pub printed_bar: [f64; 2],
}

/// What the tiles say.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TileTitle {
    /// The drawing's title.
    pub title: String,
    /// The guide.
    pub guide: String,
    /// Where the user enters what the bars measure, such as a command's option.
    pub enter_at: String,
    /// A caution of a few words, for every tile.
    pub caution: String,
    /// How many sheets of the same document come before.
    pub before: usize,
    /// More notes.
    pub notes: Vec<String>,
}

/// Why a drawing cannot be cut into tiles.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Untileable {
    /// A side is out of range.
    #[error("a full-size drawing is 5 to 4000 mm a side; this is {0} × {1} mm")]
    Size(f64, f64),
    /// The overlap is out of range.
    #[error("tiles overlap by 10 to 30 mm, found {0} mm")]
    Overlap(f64),
    /// The measured bars are out of range.
    #[error(
        "a printer set to 100 % prints bars of 100 mm within 3 mm (common practice, no source), found {0} along and {1} across"
    )]
    PrintedBar(f64, f64),
    /// Some lettering crosses a match line, or overlaps something, wherever it is put.
    #[error("no tile has room for the words “{0}”")]
    Lettering(String),
    /// Something overlaps, by the ids of the two groups: the drawing is too crowded.
    #[error("“{0}” and “{1}” overlap on a tile: the drawing is too crowded")]
    Overlapping(String, String),
}

/// Shortest and longest side of a drawing that is cut into tiles, mm.
const SIDES: [f64; 2] = [5.0, 4000.0];
/// Least and most that neighbours share, mm: enough to trim and glue, and no sheet wasted.
const OVERLAPS: [f64; 2] = [10.0, 30.0];
/// What bars of 100 mm measure on prints of a printer that is set to 100 %, mm (common practice, no source).
const PRINTED_BARS: [f64; 2] = [97.0, 103.0];

fn lies_in(value: f64, [least, most]: [f64; 2]) -> bool {
    (least..=most).contains(&value)
}

/// The sheet's axes, by which columns and rows are numbered.
const AXES: [Axis; 2] = [Axis::Horizontal, Axis::Vertical];

/// Cuts `drawing` into sheets: the tiles row by row, before them a plan of the tiles if none has room for it.
///
/// Each tile has a group `tile-window` whose data map it back: the part it shows (`x0` to `y1`, mm of the drawing), and
/// where a point of the drawing lies on the sheet: turned by `turn` degrees clockwise, times `scale-x` and `scale-y`
/// along the sheet's axes, plus `origin-x` and `origin-y`.
///
/// # Errors
/// [`Untileable`], where a number is out of range or lettering finds no room in any arrangement.
pub fn tiles(drawing: &FullSize, tiling: &Tiling, title: &TileTitle) -> Result<Vec<Sheet>, Untileable> {
    check(drawing, tiling)?;
    // Names are whole, unless no arrangement has room for them: the document's other sheets say them too.
    all(drawing, tiling, title, false).or_else(|_| all(drawing, tiling, title, true))
}

/// The sheets of the best arrangement, with names too long for the title strip shortened or not.
fn all(drawing: &FullSize, tiling: &Tiling, title: &TileTitle, shortens: bool) -> Result<Vec<Sheet>, Untileable> {
    let mut grids = Vec::from(Grid::all(drawing.size, tiling));
    grids.sort_by_key(|grid| grid.tiles().count());
    let mut refused = Untileable::Size(drawing.size.width, drawing.size.height);
    // The fewest tiles are best, whatever else is to be said of them.
    for alike in grids.chunk_by(|a, b| a.tiles().count() == b.tiles().count()) {
        let mut best: Option<(Rank, Vec<Sheet>)> = None;
        for cut in cores::each(alike, 1, |grid| cut(drawing, grid.clone(), title, shortens)) {
            match cut {
                Ok(found) if best.as_ref().is_none_or(|(rank, _)| found.0 < *rank) => best = Some(found),
                Ok(_) => {}
                Err(e) => refused = e,
            }
        }
        if let Some((_, sheets)) = best {
            return Ok(sheets);
        }
    }
    Err(refused)
}

fn check(drawing: &FullSize, tiling: &Tiling) -> Result<(), Untileable> {
    let Size { width: w, height: h } = drawing.size;
    if ![w, h].into_iter().all(|side| lies_in(side, SIDES)) {
        return Err(Untileable::Size(w, h));
    }
    if !lies_in(tiling.overlap, OVERLAPS) {
        return Err(Untileable::Overlap(tiling.overlap));
    }
    let [along, across] = tiling.printed_bar;
    if ![along, across].into_iter().all(|bar| lies_in(bar, PRINTED_BARS)) {
        return Err(Untileable::PrintedBar(along, across));
    }
    Ok(())
}

/// By what the arrangement is chosen: tiles, pages, lettering moved, length of match lines (mm), turned, sheets level.
type Rank = (usize, usize, usize, i64, bool, bool);

/// Cuts the drawing in one arrangement.
fn cut(
    drawing: &FullSize,
    mut grid: Grid,
    title: &TileTitle,
    shortens: bool,
) -> Result<(Rank, Vec<Sheet>), Untileable> {
    let mut spread = spread::spread_out(drawing, &grid);
    grid.place_joints(&spread);
    let moved = place::settle(&mut spread, &grid)?;
    let registers = place::registers(&spread, &grid);
    let page = |tile| Tile { grid: &grid, tile, title, shortens };
    let count = grid.tiles().count();
    let tiles = |before: usize| -> Vec<Sheet> {
        let sheets = grid.tiles().enumerate();
        let page_of = |i: usize| [title.before + before + i + 1, title.before + before + count];
        sheets.map(|(i, t)| page(t).sheet(drawing, &spread, &registers, page_of(i))).collect()
    };
    let mut sheets = tiles(0);
    let with_plan = grid.tiles().zip(&sheets).enumerate().find_map(|(i, (tile, sheet))| {
        let mut areas = page(tile).free().into_iter();
        areas.find_map(|area| {
            let mut sheet = sheet.clone();
            sheet.groups.extend(plan::draw(&grid, &spread, title, Some(tile), area)?);
            clash::find(&sheet).is_empty().then_some((i, sheet))
        })
    });
    match with_plan {
        Some((i, sheet)) => sheets[i] = sheet,
        None => {
            sheets = tiles(1);
            sheets
                .insert(0, page::plan(&grid, &spread, (title, shortens), [title.before + 1, title.before + count + 1]));
        }
    }
    if let Some(clash::Clash(one, other)) = sheets.iter().flat_map(clash::find).next() {
        return Err(Untileable::Overlapping(one, other));
    }
    let rank = (count, sheets.len(), moved, grid.joint_length().round() as i64, grid.turned, grid.paper.landscape);
    Ok((rank, sheets))
}
