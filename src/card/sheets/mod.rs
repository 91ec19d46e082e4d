//! Bench cards: what is needed at the stones, a card a blade, and one for the whole kit.
//!
//! A lane's sign can be read from two metres on every paper. Lettering is as large as the paper takes with room for dates
//! below. A sheet of A4 or Letter bears two cards side by side, to be cut apart; the last of an odd number fills its sheet.
//! A small card has a front and a back, which are two pages one after the other.

mod dates;
mod fingers;
mod grades;
mod signs;
mod strip;
mod words;

use kurbo::{Point, Rect, Size};

use super::Card;
use crate::drawing::frame::outline;
use crate::drawing::page::{Block, Column, columns};
use crate::drawing::paper::{self, Paper, SMALL_MARGIN};
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::table::{Cell, Table};
use crate::drawing::{Group, Sheet};
use crate::lane::Bevel;
use crate::terms::PaperSize;
use crate::units::{FINE, Written, short};
use dates::Columns;
use words::Item;

/// Space between the frame and what stands in it, mm.
const MARGIN: f64 = 3.0;
/// The same on a small card, mm.
const SMALL_CARD_MARGIN: f64 = 2.0;
/// Space between two paragraphs, mm.
const GAP: f64 = 2.0;
/// The same on a small card, mm.
const SMALL_CARD_GAP: f64 = 1.4;
/// Width of the column of leading words, by the height of their lettering.
const LEAD_WIDTH: f64 = 6.2;
/// Sizes of running lettering, mm, the best first.
const SIZES: [f64; 4] = [4.5, VALUE, 3.0, SMALL];
/// Length of the marks at which cards are cut apart, mm.
const CUT: f64 = 5.0;

/// What all cards of a kit bear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct About<'a> {
    /// Title of the kit.
    pub kit: &'a str,
    /// Name of the guide.
    pub guide: &'a str,
    /// Fingerprint of the state of guide and job.
    pub fingerprint: &'a str,
    /// How lengths are written.
    pub written: Written,
    /// The paper.
    pub size: PaperSize,
}

impl About<'_> {
    fn said(&self, mm: f64, decimals: usize) -> String {
        self.written.fixed(mm, [decimals, decimals + 1]).said()
    }

    /// Whether a card has two sides of a small paper.
    fn is_small(&self) -> bool {
        self.size == PaperSize::Index
    }

    fn gap(&self) -> f64 {
        if self.is_small() { SMALL_CARD_GAP } else { GAP }
    }

    fn margin(&self) -> f64 {
        if self.is_small() { SMALL_CARD_MARGIN } else { MARGIN }
    }

    /// The frame of a card alone on its sheet, mm.
    fn whole(&self) -> (Paper, Rect) {
        let paper = Paper { size: self.size, landscape: self.is_small() };
        (paper, paper.area().inset(-SMALL_MARGIN))
    }

    /// The frames of two cards side by side, mm, where the paper takes two.
    fn halves(&self) -> Option<(Paper, [Rect; 2])> {
        let paper = self.size.takes_drawings().then_some(Paper { size: self.size, landscape: true })?;
        let Rect { x0, y0, x1, y1 } = paper.area();
        let middle = (x0 + x1) / 2.0;
        Some((paper, [[x0, middle], [middle, x1]].map(|[a, b]| Rect::new(a, y0, b, y1).inset(-SMALL_MARGIN))))
    }
}

/// Which card of a set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Which<'a> {
    /// The kit's, with all blades.
    Kit(&'a [Card]),
    /// A blade's, its number and the number of blades.
    Blade(&'a Card, [usize; 2]),
}

/// A side of a card, or a card of one side: what stands in its frame, whose upper left corner is the origin.
type Side = Vec<Group>;

/// The cards on sheets of the paper asked for, each with its name.
pub fn sheets(all: &[Which<'_>], about: &About<'_>) -> Vec<(String, Sheet)> {
    let (whole, frame) = about.whole();
    let Some((paper, frames)) = about.halves() else {
        let of_card = |which: &Which<'_>| {
            let sides = which.sides(about, frame.size()).into_iter().enumerate();
            sides.map(|(i, side)| sheet(which, about, whole, &[frame], vec![(which.name(i, about), side)])).collect()
        };
        return all.iter().flat_map(|which| -> Vec<_> { of_card(which) }).collect();
    };
    let halves = |which: &Which<'_>| which.sides(about, frames[0].size());
    let mut sides: Vec<(usize, Side)> =
        all.iter().enumerate().flat_map(|(i, which)| halves(which).into_iter().map(move |side| (i, side))).collect();
    // What is left over is drawn anew as large as its sheet.
    let odd = if sides.len() % 2 == 1 { sides.pop() } else { None };
    let mut made: Vec<(String, Sheet)> = Vec::new();
    for pair in sides.chunks(2) {
        let names = ["left-", "right-"].into_iter().zip(pair);
        let named = names.map(|(prefix, (_, side))| (prefix.to_string(), prefixed(side.clone(), prefix))).collect();
        made.push(sheet(&all[pair[0].0], about, paper, &frames, named));
    }
    if let Some((last, side)) = odd {
        let alone = all[last].sides(about, frame.size());
        match <[Side; 1]>::try_from(alone) {
            Ok([alone]) if sides.last().is_none_or(|(i, _)| *i != last) => {
                made.push(sheet(&all[last], about, whole, &[frame], vec![(String::new(), alone)]));
            }
            _ => made.push(sheet(&all[last], about, paper, &frames[..1], vec![(String::new(), side)])),
        }
    }
    made.into_iter().enumerate().map(|(i, (_, sheet))| (format!("card-{:02}", i + 1), sheet)).collect()
}

/// The same with other ids.
fn prefixed(side: Side, prefix: &str) -> Side {
    side.into_iter().map(|group| Group { id: format!("{prefix}{}", group.id), ..group }).collect()
}

/// A sheet with its sides in their frames; it is called by the first of them.
fn sheet(
    which: &Which<'_>,
    about: &About<'_>,
    paper: Paper,
    frames: &[Rect],
    sides: Vec<(String, Side)>,
) -> (String, Sheet) {
    let mut frame = Group::new("frame", "frame");
    for bounds in frames {
        frame.path([outline(*bounds)], true, Pen::Narrow, Fill::None);
    }
    if let [left, right] = frames {
        let (x, area) = ((left.x1 + right.x0) / 2.0, paper.area());
        frame.line((x, area.y0), (x, area.y0 + CUT), Pen::Narrow);
        frame.line((x, area.y1 - CUT), (x, area.y1), Pen::Narrow);
    }
    let mut groups = vec![frame];
    let mut name = String::new();
    for (bounds, (called, side)) in frames.iter().zip(sides) {
        groups.extend(side.into_iter().map(|group| group.moved(bounds.origin().to_vec2())));
        name = if name.is_empty() { called } else { name };
    }
    let title = match which {
        Which::Kit(_) => about.kit,
        Which::Blade(card, _) => &card.blade,
    };
    (name, Sheet { title: format!("Bench card: {title}"), paper, scale: paper::NONE.name.into(), groups })
}

impl Which<'_> {
    fn title<'a>(&'a self, about: &'a About<'_>) -> &'a str {
        match self {
            Which::Kit(_) => about.kit,
            Which::Blade(card, _) => &card.blade,
        }
    }

    /// Name of the file of one of its sides.
    fn name(&self, side: usize, about: &About<'_>) -> String {
        let name = match self {
            Which::Kit(_) => "cards-kit".to_string(),
            Which::Blade(_, [n, _]) => format!("card-{n:02}"),
        };
        match (about.is_small(), side) {
            (false, 0) => name,
            (false, _) => format!("{name}-{}", side + 1),
            (true, 0) => format!("{name}-front"),
            (true, 1) => format!("{name}-back"),
            (true, _) => format!("{name}-{}-{}", side / 2 + 1, if side % 2 == 0 { "front" } else { "back" }),
        }
    }

    /// What it says of its place in the set.
    fn number(&self, side: usize, sides: usize, about: &About<'_>) -> String {
        let number = match self {
            Which::Kit(_) => "all blades".to_string(),
            Which::Blade(_, [n, of]) => format!("card {n} of {of}"),
        };
        match (about.is_small(), sides) {
            (false, 1) => number,
            (false, _) => format!("{number}, page {} of {sides}", side + 1),
            // All that a side needs to be found by, in one line where the names are short.
            (true, 2) => format!("{number}, {}", ["front", "back"][side % 2]),
            (true, _) => format!("{number}, side {} of {sides}", side + 1),
        }
    }

    /// Its sides in a frame of a size.
    fn sides(&self, about: &About<'_>, frame: Size) -> Vec<Side> {
        let margin = about.margin();
        let width = frame.width - 2.0 * margin;
        let strip =
            |side: usize, of: usize| strip::block(self.title(about), &self.number(side, of, about), about, width);
        // The strip is as high as the longest number makes it.
        let foot = strip(98, 99).height;
        let area = Size::new(width, frame.height - 2.0 * margin - foot);
        let columns = match self {
            Which::Kit(cards) => of_kit(cards, about, area),
            Which::Blade(card, _) => of_blade(card, about, area),
        };
        let of = columns.len();
        let last = |i: usize| i + 1 == of;
        let dated = match self {
            Which::Kit(_) => &dates::OF_KIT,
            Which::Blade(..) => &dates::OF_BLADE,
        };
        let side = |(i, column): (usize, Column)| {
            let mut groups = column.groups;
            // A side that is to be turned over is filled, too.
            if last(i) || (about.is_small() && area.height - column.height > area.height / 3.0) {
                groups.extend(dated_below(area, column.height, dated, about.gap()));
            }
            let strip = strip(i, of);
            let down = frame.height - 2.0 * margin - strip.height;
            groups.extend(strip.groups.into_iter().map(|group| group.moved((0.0, down))));
            groups.into_iter().map(|group| group.moved((margin, margin))).collect()
        };
        columns.into_iter().enumerate().map(side).collect()
    }
}

/// Lines for dates in what is left of an area, the uppermost `used` mm of which are taken.
fn dated_below(area: Size, used: f64, columns: &Columns, gap: f64) -> Option<Group> {
    let top = if used == 0.0 { 0.0 } else { used + gap };
    dates::ruled(Point::new(0.0, top), Size::new(area.width, area.height - top - gap), columns)
}

/// A paragraph with the space that cards have between them.
fn spaced(block: Block, about: &About<'_>) -> Block {
    Block { above: about.gap(), ..block }
}

/// What stands on the sides of a blade's card.
fn of_blade(card: &Card, about: &About<'_>, area: Size) -> Vec<Column> {
    let width = area.width;
    let [w, t] = card.size.map(|mm| about.written.size(mm));
    let mut what = vec![card.class.clone(), format!("{w} wide, {t} thick")];
    if !about.is_small() {
        what.extend(card.steel.map(|s| s.name().to_string()));
        what.extend(card.uses.iter().map(|u| u.name().to_string()));
    }
    let head = || {
        let panel = Block { keeps: true, above: 0.0, ..signs::panel(card, about, width) };
        let name = signs::name(&card.blade, &what.join(", "), about, width);
        [panel, spaced(Block { keeps: false, ..name }, about)]
    };
    let [first, then] = words::items(card, about);
    let drawn = |items: &[Item], size: f64| -> Vec<Block> {
        let indent = LEAD_WIDTH * size;
        let block = |item: &Item| match item {
            Item::Line(line) => line.beside(size, indent, width),
            Item::Grades(row) => grades::block(row, size, indent, width),
            Item::Camber(line) => match &card.camber {
                Some(camber) => fingers::block(camber, line, size, width),
                None => line.beside(size, indent, width),
            },
        };
        items.iter().map(|item| spaced(block(item), about)).collect()
    };
    let continued = signs::continued(&card.blade, width);
    if about.is_small() {
        return front_and_back([head().into(), drawn(&first, SMALL), drawn(&then, SMALL)], area, &continued);
    }
    let all = |size: f64| {
        let blocks = head().into_iter().chain(drawn(&first, size)).chain(drawn(&then, size)).collect();
        columns(blocks, area.height, Some(&continued))
    };
    // The largest lettering that leaves room for dates, else the largest that takes no more pages than the smallest.
    let room = area.height - dates::FEWEST as f64 * dates::LINE - dates::HEAD - 2.0 * GAP;
    let dated = SIZES.iter().map(|size| all(*size)).find(|made| made.len() == 1 && made[0].height <= room);
    dated.unwrap_or_else(|| {
        let least = all(SMALL);
        let same = SIZES.iter().map(|size| all(*size)).find(|made| made.len() == least.len());
        same.unwrap_or(least)
    })
}

/// Sides in pairs: the head and as much of what is to be known first as goes in front, all else behind.
fn front_and_back([head, first, then]: [Vec<Block>; 3], area: Size, continued: &Block) -> Vec<Column> {
    let mut front = head;
    let height = |blocks: &[Block]| blocks.iter().map(|b| b.above + b.height).sum::<f64>();
    let mut rest = first.into_iter().peekable();
    while let Some(block) = rest.next_if(|block| height(&front) + block.above + block.height <= area.height) {
        front.push(block);
    }
    // Cautions have their place in front if there is room for them.
    let mut back: Vec<Block> = rest.chain(then).collect();
    if let Some(last) = back.pop_if(|last| height(&front) + last.above + last.height <= area.height) {
        front.push(last);
    }
    let mut sides = columns(front, area.height, Some(continued));
    sides.extend(columns(back, area.height, None));
    if sides.len() % 2 == 1 {
        sides.push(Column::default());
    }
    sides
}

/// What stands on the sides of a kit's card: all blades with their lanes, camber, and honings between regrinds, and what
/// is the same of all.
fn of_kit(cards: &[Card], about: &About<'_>, area: Size) -> Vec<Column> {
    let what = format!("lanes of the {} guide's block {}", about.guide, about.fingerprint);
    let name = || spaced(signs::name(about.kit, &what, about, area.width), about);
    let table = kit_table(cards, about).within(area.width);
    let continued = signs::continued(about.kit, area.width);
    let said = |size: f64| -> Vec<Column> {
        // Rows go on a side as long as they go below the name.
        let first = area.height - name().height - 2.0 * about.gap();
        let later = area.height - continued.height - 2.0 * about.gap();
        let mut parts: Vec<Table> = Vec::new();
        for row in &table.rows {
            let with = |part: &Table| {
                let rows = part.rows.iter().chain([row]).cloned().collect();
                Table { rows, ..part.clone() }
            };
            let room = if parts.len() <= 1 { first } else { later };
            match parts.last_mut().map(|part| (with(part), part)) {
                Some((longer, part)) if longer.size(1).height <= room => *part = longer,
                _ => {
                    let id = format!("kit-{}", parts.len() + 1);
                    parts.push(Table { id, rows: vec![row.clone()], ..table.clone() });
                }
            }
        }
        let lists = parts.iter().map(|part| Block::figure(part.draw(Point::ORIGIN, 1), part.size(1).height));
        let lines = words::of_all(cards);
        let notes = lines.iter().map(|line| line.beside(size, LEAD_WIDTH * size, area.width));
        let all = lists.chain(notes).map(|block| spaced(block, about));
        columns(std::iter::once(name()).chain(all).collect(), area.height, Some(&continued))
    };
    let least = said(SMALL).len();
    let sizes: &[f64] = if about.is_small() { &[SMALL] } else { &SIZES };
    let mut sides = sizes.iter().map(|size| said(*size)).find(|made| made.len() == least).unwrap_or_default();
    if about.is_small() && sides.len() % 2 == 1 {
        sides.push(Column::default());
    }
    sides
}

fn kit_table(cards: &[Card], about: &About<'_>) -> Table {
    let unit = about.written.unit();
    let heading =
        [["blade", ""], ["primary", "lane, °"], ["micro", "lane, °"], ["camber", unit], ["honings to", "a regrind"]];
    let row = |(i, card): (usize, &Card)| {
        let lane = |bevel: Bevel| {
            let setting = card.settings.iter().find(|s| s.bevel == bevel);
            setting.map_or_else(Cell::default, |s| Cell {
                words: format!("{} {}", s.lane, short(s.wanted, 1)),
                value: Some((format!("kit-{}-{}", i + 1, bevel.name()), s.set)),
            })
        };
        let camber = card.curve.map_or(String::new(), |curve| about.written.fixed(curve.depth, FINE).to_string());
        let due = card.regrind.map_or(String::new(), |r| r.honings.max(1).to_string());
        vec![
            Cell::words(card.blade.as_str()),
            lane(Bevel::Primary),
            lane(Bevel::Micro),
            Cell::words(camber),
            Cell::words(due),
        ]
    };
    Table::new("kit", &heading, cards.iter().enumerate().map(row).collect())
}
