//! Bench cards: what is needed at the stones, a card a blade, and one for the whole kit.
//!
//! A lane's sign can be read from two metres on every paper. Lettering is as large as the paper takes with room for dates
//! below. A sheet of A4 or Letter bears two cards side by side, to be cut apart; one alone is as much larger as its sheet
//! is. A small card has a front and a back, which are two pages one after the other.

mod dates;
mod fingers;
mod grades;
mod lines;
mod list;
mod signs;
mod strip;
pub(super) mod words;

use kurbo::{Affine, Point, Rect, Size};

use super::Card;
use crate::cores;
use crate::drawing::frame::outline;
use crate::drawing::page::{Block, Column, columns};
use crate::drawing::paper::{self, Paper, SMALL_MARGIN};
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::{Group, Sheet};
use crate::terms::PaperSize;
use crate::units::Written;
use dates::Columns;
use list::List;
use strip::Place;
use words::Item;

/// Space between the frame and what stands in it, mm.
const MARGIN: f64 = 3.0;
/// The same on a small card, mm.
const SMALL_CARD_MARGIN: f64 = 1.8;
/// Margin of a small card's paper, mm: what printers at home need.
const SMALL_CARD_EDGE: f64 = 5.0;
/// Space between two paragraphs, mm.
const GAP: f64 = 2.0;
/// The same on a small card, mm.
const SMALL_CARD_GAP: f64 = 1.2;
/// Width of the column of leading words, by the height of their lettering.
const LEAD_WIDTH: f64 = 6.1;
/// The same on the card of a kit, whose words are shorter.
const KIT_LEAD_WIDTH: f64 = 5.8;
/// Sizes of running lettering, mm, the best first.
const SIZES: [f64; 5] = [4.5, 4.0, VALUE, 3.0, SMALL];
/// Sizes of the list of blades, mm, the best first.
const LIST_SIZES: [f64; 8] = [8.0, 7.0, 6.0, 5.0, 4.2, VALUE, 3.0, SMALL];
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
    /// Whether the kit's card is in the set.
    pub with_kit: bool,
    /// The job's date, where it has one.
    pub date: Option<&'a str>,
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
        let edge = if self.is_small() { SMALL_CARD_EDGE } else { SMALL_MARGIN };
        (paper, paper.area().inset(-edge))
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
    /// Lines for the dates of all blades: what fills the last sheet of two cards a sheet.
    Dates,
}

/// A side of a card, or a card of one side: what stands in its frame, whose upper left corner is the origin.
type Side = Vec<Group>;

/// Cards that are drawn at a time: what they take is given away before the next ones.
pub const AT_A_TIME: usize = 64;

/// The cards on sheets of the paper asked for, each with its name; `take` has them part by part, as a long set is more
/// than need be held.
///
/// # Errors
/// That of `take`; then nothing more is drawn.
pub fn sheets<E>(
    all: &[Which<'_>],
    about: &About<'_>,
    mut take: impl FnMut(Vec<(String, Sheet)>) -> Result<(), E>,
) -> Result<(), E> {
    if let Some((paper, frames)) = about.halves() {
        return two_a_sheet(all, about, paper, frames, take);
    }
    let (paper, frame) = about.whole();
    let of_card = |which: &Which<'_>| -> Vec<(String, Sheet)> {
        let sides = which.sides(about, frame.size()).into_iter().enumerate();
        let sheet = |side| sheet(&[*which], about, paper, &[frame], vec![side]);
        sides.map(|(i, side)| (which.name(i, about), sheet(side))).collect()
    };
    all.chunks(AT_A_TIME).try_for_each(|some| take(cores::each(some, 1, of_card).into_iter().flatten().collect()))
}

/// Two cards on every sheet; one that is alone in its set fills its sheet.
fn two_a_sheet<E>(
    all: &[Which<'_>],
    about: &About<'_>,
    paper: Paper,
    frames: [Rect; 2],
    mut take: impl FnMut(Vec<(String, Sheet)>) -> Result<(), E>,
) -> Result<(), E> {
    let named = |i: usize| format!("card-{:02}", i + 1);
    let size = frames[0].size();
    if let [which] = all {
        let (paper, frame) = about.whole();
        // As much larger as keeps it on one side.
        let most = (frame.width() / size.width).min(frame.height() / size.height);
        let growths = [most, (1.0 + most) / 2.0, 1.0];
        let grown = growths.into_iter().find_map(|growth| {
            let [side] = <[Side; 1]>::try_from(which.sides(about, frame.size() / growth)).ok()?;
            Some(side.into_iter().map(|group| group.placed(Affine::scale(growth))).collect::<Side>())
        });
        if let Some(side) = grown {
            return take(vec![(named(0), sheet(&[*which], about, paper, &[frame], vec![side]))]);
        }
    }
    let mut numbers = 0..;
    let mut drawn = |pairs: &[(Which<'_>, Side)]| -> Vec<(String, Sheet)> {
        let pair = |(pair, i): (&[(Which<'_>, Side)], usize)| {
            let sides =
                ["left-", "right-"].into_iter().zip(pair).map(|(prefix, (_, side))| prefixed(side.clone(), prefix));
            let cards: Vec<Which<'_>> = pair.iter().map(|(which, _)| *which).collect();
            (named(i), sheet(&cards, about, paper, &frames, sides.collect()))
        };
        pairs.chunks(2).zip(&mut numbers).map(pair).collect()
    };
    // A side that has no other beside it yet waits for the next part.
    let mut waiting: Vec<(Which<'_>, Side)> = Vec::new();
    for some in all.chunks(AT_A_TIME) {
        let sides = cores::each(some, 1, |which| which.sides(about, size));
        let of_cards = some.iter().zip(sides).flat_map(|(which, sides)| sides.into_iter().map(|side| (*which, side)));
        waiting.extend(of_cards);
        let odd = waiting.split_off(waiting.len() / 2 * 2);
        take(drawn(&waiting))?;
        waiting = odd;
    }
    if waiting.is_empty() {
        return Ok(());
    }
    waiting.extend(Which::Dates.sides(about, size).into_iter().map(|side| (Which::Dates, side)));
    take(drawn(&waiting))
}

/// The same with other ids.
fn prefixed(side: Side, prefix: &str) -> Side {
    side.into_iter().map(|group| Group { id: format!("{prefix}{}", group.id), ..group }).collect()
}

/// A sheet with a side of each card in its frame.
fn sheet(cards: &[Which<'_>], about: &About<'_>, paper: Paper, frames: &[Rect], sides: Vec<Side>) -> Sheet {
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
    for (bounds, side) in frames.iter().zip(sides) {
        groups.extend(side.into_iter().map(|group| group.moved(bounds.origin().to_vec2())));
    }
    let mut titles: Vec<&str> = cards.iter().map(|which| which.title(about)).collect();
    titles.dedup();
    let title = format!("Bench card{}: {}", if titles.len() > 1 { "s" } else { "" }, titles.join("; "));
    Sheet { title, paper, scale: paper::NONE.name.into(), groups }
}

impl<'a> Which<'a> {
    fn title(&self, about: &About<'a>) -> &'a str {
        match self {
            Which::Kit(_) | Which::Dates => about.kit,
            Which::Blade(card, _) => &card.blade,
        }
    }

    /// Name of the file of one of its sides.
    fn name(&self, side: usize, about: &About<'_>) -> String {
        let (name, one) = match self {
            Which::Kit(_) => ("cards-kit".to_string(), false),
            Which::Dates => ("cards-dates".to_string(), false),
            Which::Blade(_, [n, _]) => (format!("card-{n:02}"), true),
        };
        let sheet = side / 2 + 1;
        match (about.is_small(), side) {
            (false, 0) if one => name,
            (false, _) if one => format!("{name}-{}", side + 1),
            (false, _) => format!("{name}-{:02}", side + 1),
            (true, 0) => format!("{name}-front"),
            (true, 1) => format!("{name}-back"),
            (true, _) => format!("{name}-{sheet}-{}", if side.is_multiple_of(2) { "front" } else { "back" }),
        }
    }

    /// What it says of its place in the set.
    fn place(&self, side: usize, sides: usize, about: &About<'a>) -> Place<'a> {
        let (small, front) = (about.is_small(), side.is_multiple_of(2));
        let card = match self {
            Which::Kit(_) | Which::Dates => "all blades".to_string(),
            Which::Blade(_, [n, of]) if small => format!("card {n} of {of}"),
            Which::Blade(_, [n, of]) => format!("{n} of {of}"),
        };
        let side_of = match (small, sides) {
            (false, 1) => String::new(),
            (false, _) => format!("{} of {sides}", side + 1),
            (true, 2) => if front { "front" } else { "back" }.to_string(),
            (true, _) => format!("side {} of {sides}", side + 1),
        };
        Place { name: (small && side > 0).then(|| self.title(about)), card, side: side_of }
    }

    /// Its sides in a frame of a size.
    fn sides(&self, about: &About<'a>, frame: Size) -> Vec<Side> {
        let margin = about.margin();
        let width = frame.width - 2.0 * margin;
        let strip = |side: usize, of: usize| strip::block(&self.place(side, of, about), about, width);
        // The strip is as high as the longest number makes it.
        let foot = strip(8, 9).height.max(strip(0, 1).height).max(strip(1, 2).height);
        let area = Size::new(width, frame.height - 2.0 * margin - foot - about.gap());
        let columns = match self {
            Which::Kit(cards) => of_kit(cards, about, area),
            Which::Blade(card, _) => of_blade(card, about, area),
            Which::Dates => {
                let name = signs::name(about.kit, "honed and reground", about, width);
                columns(vec![name], area.height, None)
            }
        };
        let of = columns.len();
        let dated = match self {
            Which::Kit(_) | Which::Dates => &dates::OF_KIT,
            Which::Blade(..) => &dates::OF_BLADE,
        };
        let side = |(i, column): (usize, Column)| {
            let mut groups = column.groups;
            // A side that is to be turned over is filled, too.
            if i + 1 == of || (about.is_small() && area.height - column.height > area.height / 3.0) {
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
    dates::ruled(Point::new(0.0, top), Size::new(area.width, area.height - top), columns)
}

/// Height that dates need below all else, mm.
fn room_for_dates(about: &About<'_>) -> f64 {
    dates::FEWEST as f64 * dates::LINE + dates::HEAD + about.gap()
}

/// A paragraph with the space that cards have between them.
fn spaced(block: Block, about: &About<'_>) -> Block {
    Block { above: about.gap(), ..block }
}

/// Paragraphs of which the first has that space above.
fn all_spaced(mut pieces: Vec<Block>, about: &About<'_>) -> Vec<Block> {
    if let Some(first) = pieces.first_mut() {
        first.above = about.gap();
    }
    pieces
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
    let panel = Block { keeps: true, above: 0.0, ..signs::panel(card, about, width) };
    let name = signs::name(&card.blade, &what.join(", "), about, width);
    let mut head = vec![panel, spaced(Block { keeps: false, ..name }, about)];
    let mut items = words::items(card, about);
    if about.is_small() {
        // Cautions stand in front as far as there is room, the last first.
        let block = |item: &Item| match item {
            Item::Line(line) if line.is_caution() => Some(spaced(line.beside(SMALL, LEAD_WIDTH * SMALL, width), about)),
            Item::Line(_) | Item::Grades(_) | Item::Camber(_) => None,
        };
        let mut room = area.height - head.iter().map(|block| block.above + block.height).sum::<f64>();
        while let Some(caution) = items.last().and_then(block).filter(|block| block.above + block.height <= room) {
            room -= caution.above + caution.height;
            head.push(caution);
            items.pop();
        }
    }
    let rows: Vec<&words::Grades> =
        items.iter().filter_map(|item| if let Item::Grades(row) = item { Some(row) } else { None }).collect();
    let continued = (!about.is_small()).then(|| signs::continued(&card.blade, width));
    // The sides without what `left_out` names, which stands on the kit's card.
    let set = |size: f64, row: f64, left_out: &str| -> Vec<Column> {
        let indent = LEAD_WIDTH * size;
        let blocks = |item: &Item| match item {
            Item::Line(line) => line.pieces(size, indent, width),
            Item::Grades(grades) => vec![grades::block(grades, row, size, width)],
            Item::Camber(line) => match &card.camber {
                Some(camber) => vec![fingers::block(camber, line, size, width, about)],
                None => line.pieces(size, indent, width),
            },
        };
        let kept = items.iter().filter(|item| !matches!(item, Item::Line(line) if line.id == left_out));
        let said = kept.flat_map(|item| all_spaced(blocks(item), about));
        columns(head.iter().cloned().chain(said).collect(), area.height, continued.as_ref())
    };
    if about.is_small() {
        let mut sides = set(SMALL, SMALL, "");
        if sides.len() > 2 && about.with_kit {
            sides = set(SMALL, SMALL, words::GRINDER_ID);
        }
        if !sides.len().is_multiple_of(2) {
            sides.push(Column::default());
        }
        return sides;
    }
    // The largest lettering that leaves room for dates, else that goes on one side at all, else on as few as may be.
    let room = area.height - room_for_dates(about);
    let sizes = |size: &f64| grades::sizes(&rows, *size, width).into_iter().map(|row| (*size, row)).collect::<Vec<_>>();
    let mut tried: Vec<Vec<Column>> = Vec::new();
    for left_out in ["", words::BURR_ID] {
        for (size, row) in SIZES.iter().flat_map(sizes) {
            let made = set(size, row, left_out);
            if made.len() == 1 && made[0].height <= room {
                return made;
            }
            tried.push(made);
        }
        if !about.with_kit || tried.iter().any(|made| made.len() == 1) {
            break;
        }
    }
    let fewest = tried.iter().map(Vec::len).min();
    tried.into_iter().find(|made| Some(made.len()) == fewest).unwrap_or_default()
}

/// What stands on the sides of a kit's card: all blades with their lanes, camber, and honings between regrinds, and what
/// is the same of all.
fn of_kit(cards: &[Card], about: &About<'_>, area: Size) -> Vec<Column> {
    let what = if about.is_small() {
        String::new()
    } else {
        format!("lanes of the {} guide's block {}", about.guide, about.fingerprint)
    };
    let name = spaced(signs::name(about.kit, &what, about, area.width), about);
    let continued = (!about.is_small()).then(|| signs::continued(about.kit, area.width));
    let list = List::new(cards, about);
    let lines = words::of_all(cards, about);
    // Rows go on a side as long as they go below the name.
    let first = area.height - name.height - about.gap();
    let set = |list: &list::Set<'_>, size: f64| {
        let later = area.height - continued.as_ref().map_or(0.0, |block| block.height + about.gap());
        let lists = list.pieces(first, later).into_iter().map(|block| spaced(block, about));
        let notes =
            lines.iter().flat_map(|line| all_spaced(line.pieces(size, KIT_LEAD_WIDTH * size, area.width), about));
        columns(std::iter::once(name.clone()).chain(lists).chain(notes).collect(), area.height, continued.as_ref())
    };
    // The list as large as goes, and then the words: those are read at the bench, this from two metres.
    let sizes = LIST_SIZES.into_iter().flat_map(|size| SIZES.map(|words| (size, words)));
    let tried = sizes
        .map(|(size, words)| (list.set(size, area.width), words))
        .filter(|(list, _)| list.fits(area.width, first))
        .map(|(list, words)| (list.broken(), set(&list, words)));
    // Of those on as few sides whose names are broken as little, the first is the largest.
    let best = tried.min_by_key(|(broken, made)| (made.len(), *broken));
    let mut sides = best.map_or_else(|| set(&list.set(SMALL, area.width), SMALL), |(_, made)| made);
    if about.is_small() && !sides.len().is_multiple_of(2) {
        sides.push(Column::default());
    }
    sides
}
