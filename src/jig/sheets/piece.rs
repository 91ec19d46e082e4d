//! What stands on the pages of the shop: pieces that are not parted.

use kurbo::{Point, Size};

use crate::drawing::Group;
use crate::drawing::clash::extent;
use crate::drawing::pack::Item;
use crate::drawing::page::{Block, OVER_TABLE};
use crate::drawing::table::Table;

/// Space between what stands side by side, mm.
pub(super) const BESIDE: f64 = 8.0;

/// What stands on a page in one piece.
#[derive(Clone)]
pub(super) struct Piece {
    /// What its page is called.
    pub(super) kind: &'static str,
    /// Its size, mm.
    pub(super) size: Size,
    above: f64,
    is_loose: bool,
    /// What is drawn.
    pub(super) groups: Vec<Group>,
    /// The same drawn larger, the largest first, for a page that has room.
    pub(super) larger: Vec<Piece>,
}

impl Piece {
    /// Blocks one below the other, `width` mm wide.
    pub(super) fn of(kind: &'static str, blocks: Vec<Block>, width: f64) -> Self {
        let above = blocks.first().map_or(0.0, |b| b.above);
        let (mut groups, mut height) = (Vec::new(), 0.0);
        for (i, block) in blocks.into_iter().enumerate() {
            height += if i == 0 { 0.0 } else { block.above };
            groups.extend(block.groups.into_iter().map(|g| g.moved((0.0, height))));
            height += block.height;
        }
        Self { kind, size: Size::new(width, height), above, is_loose: false, groups, larger: Vec::new() }
    }

    /// The same, wherever there is room for it.
    pub(super) fn loose(self) -> Self {
        Self { is_loose: true, ..self }
    }

    /// What it takes of a sheet.
    pub(super) fn item(&self) -> Item {
        Item { size: self.size, above: self.above, is_loose: self.is_loose }
    }
}

/// Blocks `width` mm wide, those that must not be parted in one piece.
pub(super) fn pieces(kind: &'static str, blocks: Vec<Block>, width: f64) -> Vec<Piece> {
    let mut found = Vec::new();
    let mut run = Vec::new();
    for block in blocks {
        let keeps = block.keeps;
        run.push(block);
        if !keeps {
            found.push(Piece::of(kind, std::mem::take(&mut run), width));
        }
    }
    if !run.is_empty() {
        found.push(Piece::of(kind, run, width));
    }
    found
}

/// Blocks in one piece that is as wide as what they draw.
pub(super) fn whole(kind: &'static str, blocks: Vec<Block>) -> Piece {
    let mut piece = Piece::of(kind, blocks, 0.0);
    piece.size.width = extent(&piece.groups).x1.max(0.0);
    piece
}

/// A table below what leads it, no wider than it needs to be, in pieces that go on a `page`.
pub(super) fn tabled(kind: &'static str, lead: Vec<Block>, table: &Table, page: Size) -> Vec<Piece> {
    let width = table.within(page.width).size(1).width;
    let lead: Vec<Block> = lead.into_iter().map(|block| Block { keeps: true, ..block }).collect();
    let wide = lead.iter().map(|b| extent(&b.groups).x1).fold(width, f64::max);
    let led = Piece::of(kind, lead.clone(), wide).size.height;
    let mut tables = Block::table_below(table, page.width, page.height - led - OVER_TABLE).into_iter();
    let first = lead.into_iter().chain(tables.next()).collect();
    std::iter::once(Piece::of(kind, first, wide)).chain(tables.map(|t| Piece::of(kind, vec![t], width))).collect()
}

/// Moves groups so that the upper left corner of all they draw is the origin, and tells their size.
pub(super) fn to_corner(groups: Vec<Group>) -> (Vec<Group>, Size) {
    let drawn = extent(&groups);
    let by = Point::ORIGIN - drawn.origin();
    (groups.into_iter().map(|g| g.moved(by)).collect(), drawn.size())
}
