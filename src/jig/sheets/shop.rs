//! The pages of the shop: pictures, parts, cut list, order of work and check sheet, one after the other on as few sheets
//! as they need.

use kurbo::Size;

use super::piece::{BESIDE, Piece};
use super::plan::Left;
use super::{CAUTIONS, Draft, Drawer, parts, picture, proving, stock, work};
use crate::cores;
use crate::drawing::Sheet;
use crate::drawing::filled::{Illustration, LEAST, filled};
use crate::drawing::pack::{self, Item, Place};
use crate::drawing::page::Pages;
use crate::drawing::paper::{NONE, Paper};
use crate::terms::PaperSize;

/// How much of a page's height is tried to be filled: lower pages share out what the last would hold alone.
const HEIGHTS: [f64; 9] = [1.0, 0.96, 0.92, 0.88, 0.84, 0.8, 0.75, 0.7, 0.65];

/// All pages of the shop.
pub(super) fn sheets(drawer: &Drawer, left: &Left, illustration: &Illustration) -> Vec<Draft> {
    // A large sheet is taken where it is filled.
    let sizes = match drawer.size() {
        PaperSize::A3 => vec![PaperSize::A3, drawer.home()],
        size => vec![size],
    };
    let tried = sizes.into_iter().map(|size| on(drawer, left, illustration, size));
    let best = tried.max_by(|a, b| a.1.total_cmp(&b.1));
    best.map_or_else(Vec::new, |(drafts, _)| drafts)
}

/// The pages on a paper, and how much of them is used before anything is drawn larger to fill them.
fn on(drawer: &Drawer, left: &Left, illustration: &Illustration, size: PaperSize) -> (Vec<Draft>, f64) {
    let foot = [CAUTIONS.to_string()];
    let page = |kind: &str| Pages {
        title: format!("{kind}: {}", drawer.jig.title),
        paper: Paper::sheet(size, false),
        title_block: drawer.title(kind, NONE),
        foot: &foot,
    };
    let area = page("").area();
    let mut rest = picture::others(drawer, left, area);
    rest.extend(parts::pieces(drawer, area.width));
    rest.extend(stock::pieces(drawer, area));
    rest.extend(work::pieces(drawer, area));
    rest.extend(proving::pieces(drawer, area));
    // Pictures as large as they may be without a sheet more, or one that is nearly empty; pages as high as that goes.
    let packed = |pictures: Item, height: f64| {
        let items: Vec<Item> = std::iter::once(pictures).chain(rest.iter().map(Piece::item)).collect();
        pack::pack(&items, Size::new(area.width, height), BESIDE)
    };
    let as_high = |room: f64| Item { size: Size::new(area.width, room), above: 0.0, is_loose: false };
    let cost = |room: f64, height: f64| {
        let places = packed(as_high(room), height);
        let used = |sheet: usize| {
            let of_pictures = if places[0].sheet == sheet { room / area.height } else { 0.0 };
            of_pictures + filled(&draft(&rest, &places[1..], sheet, &page).sheet)
        };
        let count = pack::sheets(&places);
        count + (0..count).filter(|sheet| used(*sheet) < LEAST).count()
    };
    let ways = picture::ROOMS.into_iter().flat_map(|part| HEIGHTS.map(|h| (part * h * area.height, h * area.height)));
    let ways: Vec<(f64, f64)> = ways.collect();
    let costs = cores::each(&ways, 1, |(room, height)| cost(*room, *height));
    let best = ways.into_iter().zip(costs).min_by_key(|(_, cost)| *cost);
    let (room, height) = best.map_or((area.height, area.height), |(way, _)| way);
    let pictures = picture::piece(drawer, area.width, room);
    let mut places = packed(pictures.item(), height);
    let mut all: Vec<Piece> = std::iter::once(pictures).chain(rest).collect();
    let count = pack::sheets(&places);
    let taken: f64 = all.iter().map(|p| p.size.area()).sum();
    let used = taken / (count.max(1) as f64 * area.area());
    let mut drafts = Vec::new();
    for sheet in 0..count {
        if filled(&draft(&all, &places, sheet, &page).sheet) < LEAST {
            grow(&mut all, &mut places, sheet, area);
        }
        let draft = draft(&all, &places, sheet, &page);
        drafts.push(Draft { sheet: illustration.on(draft.sheet), ..draft });
    }
    (drafts, used)
}

/// Draws what stands on a sheet as large as the sheet has room for.
fn grow(all: &mut [Piece], places: &mut [Place], sheet: usize, area: Size) {
    let on_it: Vec<usize> = (0..places.len()).filter(|i| places[*i].sheet == sheet).collect();
    for i in &on_it {
        for larger in all[*i].larger.clone().into_iter().filter(|larger| larger.size.height <= area.height) {
            let item = |k: &usize| if k == i { larger.item() } else { all[*k].item() };
            let packed = pack::pack(&on_it.iter().map(item).collect::<Vec<_>>(), area, BESIDE);
            if pack::sheets(&packed) == 1 {
                for (k, place) in on_it.iter().zip(packed) {
                    places[*k] = Place { sheet, ..place };
                }
                all[*i] = larger;
                break;
            }
        }
    }
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
