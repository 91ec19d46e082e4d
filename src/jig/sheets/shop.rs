//! The pages of the shop: pictures, parts, cut list, order of work and check sheet, one after the other on as few sheets
//! as they need.

use kurbo::{Point, Size};

use super::plan::Left;
use super::{CAUTIONS, Draft, Drawer, parts, picture, proving, stock, work};
use crate::drawing::clash::extent;
use crate::drawing::pack::{self, Item, Place};
use crate::drawing::page::{Block, Pages};
use crate::drawing::paper::{NONE, Paper};
use crate::drawing::table::Table;
use crate::drawing::{Group, Sheet};
use crate::terms::PaperSize;

/// Space between what stands side by side, mm.
pub(super) const BESIDE: f64 = 8.0;

/// What stands on a page in one piece.
#[derive(Clone)]
pub(super) struct Piece {
    /// What its page is called.
    kind: &'static str,
    size: Size,
    above: f64,
    is_loose: bool,
    groups: Vec<Group>,
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
        Self { kind, size: Size::new(width, height), above, is_loose: false, groups }
    }

    /// The same, wherever there is room for it.
    pub(super) fn loose(self) -> Self {
        Self { is_loose: true, ..self }
    }

    fn item(&self) -> Item {
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

/// A table below what leads it, no wider than `most` mm, and no wider than it needs to be.
pub(super) fn tabled(kind: &'static str, lead: Vec<Block>, table: &Table, most: f64) -> Vec<Piece> {
    let width = table.within(most).size(1).width;
    let lead: Vec<Block> = lead.into_iter().map(|block| Block { keeps: true, ..block }).collect();
    let wide = lead.iter().map(|b| extent(&b.groups).x1).fold(width, f64::max);
    let mut tables = Block::table(table, most).into_iter();
    let first = lead.into_iter().chain(tables.next()).collect();
    std::iter::once(Piece::of(kind, first, wide)).chain(tables.map(|t| Piece::of(kind, vec![t], width))).collect()
}

/// All pages of the shop.
pub(super) fn sheets(drawer: &Drawer, left: &Left) -> Vec<Draft> {
    // A large sheet is taken where it is filled.
    let sizes = match drawer.size() {
        PaperSize::A3 => vec![PaperSize::A3, drawer.home()],
        size => vec![size],
    };
    let tried = sizes.into_iter().map(|size| on(drawer, left, size));
    let best = tried.max_by(|a, b| a.1.total_cmp(&b.1));
    best.map_or_else(Vec::new, |(drafts, _)| drafts)
}

/// The pages on a paper, and how much of them is used.
fn on(drawer: &Drawer, left: &Left, size: PaperSize) -> (Vec<Draft>, f64) {
    let foot = [CAUTIONS.to_string()];
    let page = |kind: &str| Pages {
        title: format!("{kind}: {}", drawer.jig.title),
        paper: Paper::sheet(size, false),
        title_block: drawer.title(kind, NONE),
        foot: &foot,
    };
    let area = page("").area();
    let mut rest = picture::others(drawer, left, area.width);
    rest.extend(parts::pieces(drawer, area.width));
    rest.extend(stock::pieces(drawer, area.width));
    rest.extend(work::pieces(drawer, area.width));
    rest.extend(proving::pieces(drawer, area.width));
    // Pictures as large as they may be without a sheet more.
    let packed = |pictures: Item| {
        let items: Vec<Item> = std::iter::once(pictures).chain(rest.iter().map(Piece::item)).collect();
        pack::balanced(&items, area, BESIDE)
    };
    let as_high = |room: f64| packed(Item { size: Size::new(area.width, room), above: 0.0, is_loose: false });
    let rooms = picture::ROOMS.map(|part| part * area.height);
    let best = rooms.into_iter().min_by_key(|room| pack::sheets(&as_high(*room)));
    let pictures = picture::piece(drawer, area.width, best.unwrap_or(area.height));
    let places = packed(pictures.item());
    let all: Vec<Piece> = std::iter::once(pictures).chain(rest).collect();
    let count = pack::sheets(&places);
    let taken: f64 = all.iter().map(|p| p.size.area()).sum();
    let used = taken / (count.max(1) as f64 * area.area());
    ((0..count).map(|sheet| draft(&all, &places, sheet, &page)).collect(), used)
}

/// The page with the pieces that are placed on it.
fn draft<'a>(all: &[Piece], places: &[Place], sheet: usize, page: &impl Fn(&str) -> Pages<'a>) -> Draft {
    let mut kinds: Vec<&str> = Vec::new();
    let mut groups = Vec::new();
    for (piece, Place { at, .. }) in all.iter().zip(places).filter(|(_, place)| place.sheet == sheet) {
        if !kinds.contains(&piece.kind) {
            kinds.push(piece.kind);
        }
        groups.extend(piece.groups.iter().cloned().map(|g| g.moved(at.to_vec2())));
    }
    let named = |(i, kind): (usize, &&str)| if i == 0 { kind.to_string() } else { kind.to_lowercase() };
    let kind = kinds.iter().enumerate().map(named).collect::<Vec<_>>().join(", ");
    let page = page(&kind);
    let sheet: Sheet = page.sheet(groups);
    Draft { sheet, title: page.title_block }
}

/// Moves groups so that the upper left corner of all they draw is the origin, and tells their size.
pub(super) fn to_corner(groups: Vec<Group>) -> (Vec<Group>, Size) {
    let drawn = extent(&groups);
    let by = Point::ORIGIN - drawn.origin();
    (groups.into_iter().map(|g| g.moved(by)).collect(), drawn.size())
}
