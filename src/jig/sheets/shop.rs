//! The pages of the shop: pictures, parts, cut list, order of work and check sheet, one after the other on as few sheets
//! as they need.

use kurbo::Size;

use super::piece::{BESIDE, Piece};
use super::plan::Left;
use super::{CAUTIONS, Draft, Drawer, parts, picture, proving, stock, work};
use crate::drawing::Sheet;
use crate::drawing::pack::{self, Item, Place};
use crate::drawing::page::Pages;
use crate::drawing::paper::{NONE, Paper};
use crate::terms::PaperSize;

/// How much of a page must be taken, or it counts as nearly empty: a third, and what pieces leave blank in themselves.
const FILLED: f64 = 0.55;

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
    // Pictures as large as they may be without a sheet more, or one that is nearly empty.
    let packed = |pictures: Item, is_shared: bool| {
        let items: Vec<Item> = std::iter::once(pictures).chain(rest.iter().map(Piece::item)).collect();
        let places = if is_shared { pack::balanced(&items, area, BESIDE) } else { pack::pack(&items, area, BESIDE) };
        let is_empty = pack::fills(&items, &places, area) < FILLED;
        (pack::sheets(&places) + usize::from(is_empty), places)
    };
    let as_high = |room: f64| Item { size: Size::new(area.width, room), above: 0.0, is_loose: false };
    let ways =
        picture::ROOMS.into_iter().flat_map(|part| [true, false].map(|is_shared| (part * area.height, is_shared)));
    let best = ways.min_by_key(|(room, is_shared)| packed(as_high(*room), *is_shared).0);
    let (room, is_shared) = best.unwrap_or((area.height, true));
    let pictures = picture::piece(drawer, area.width, room);
    let (_, places) = packed(pictures.item(), is_shared);
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
