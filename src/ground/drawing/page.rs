//! Text, tables and figures one below the other, on as many sheets as they need.

use kurbo::Size;

use super::frame::{Notes, TITLE_BLOCK, Title, frame};
use super::paper::Paper;
use super::style::{LARGE, SMALL, VALUE};
use super::table::{Cell, ROW, Table};
use super::{Anchor, Group, Sheet, Text, leading};
use crate::shape::font::wrap;

/// Space between a page's frame and what stands on it, mm.
const MARGIN: f64 = 4.0;
/// Space between what stands on a page and the notes at its foot, mm.
const OVER_FOOT: f64 = 2.0;

/// Space above a heading, mm.
const OVER_HEADING: f64 = 6.0;
/// Space above a paragraph, mm.
const OVER_PARAGRAPH: f64 = 2.4;
/// Space above a table, mm.
pub const OVER_TABLE: f64 = 3.0;
/// Space above a figure, mm.
const OVER_FIGURE: f64 = 4.0;
/// From one line to the next, by the height of capitals: more than the least of ISO 3098-1 (1.4, for lettering with
/// small letters), for an arm's length.
const LEADING: f64 = 1.5;
/// Height of a line with what hangs below it, by the height of capitals.
const LINE: f64 = 1.3;
/// How far the words stand in from a short lead, by the height of capitals.
const INDENT: f64 = 2.4;

/// Most rows of a table in one piece, of one line each: a page has room for its heading over them.
const ROWS: usize = 24;
/// Heights are sums: those that differ by less are the same, mm.
const ROUNDING: f64 = 1e-6;

/// Something that stands on a page in one piece: groups whose upper left corner is the origin.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Block {
    /// Height, mm.
    pub height: f64,
    /// Space above, but for the top of a page, mm.
    pub above: f64,
    /// Whether it must not be parted from what follows.
    pub keeps: bool,
    /// What is drawn.
    pub groups: Vec<Group>,
}

impl Block {
    /// A heading.
    pub fn heading(id: &str, words: &str) -> Self {
        let mut group = Group::new(id, "note");
        group.text(Text::new((0.0, LARGE), LARGE, Anchor::Start, words).bold());
        Self { height: LARGE + 1.0, above: OVER_HEADING, keeps: true, groups: vec![group] }
    }

    /// A paragraph `width` mm wide, its first line led by `lead`.
    pub fn paragraph(id: &str, lead: &str, words: &str, height: f64, width: f64) -> Self {
        let indent = if lead.is_empty() { 0.0 } else { INDENT * height };
        Self::lines(id, lead, words, height, indent, width)
    }

    /// The same, all lines but `lead` beginning `indent` mm from the left.
    pub fn lines(id: &str, lead: &str, words: &str, height: f64, indent: f64, width: f64) -> Self {
        let mut group = Group::new(id, "note");
        if !lead.is_empty() {
            group.text(Text::new((0.0, height), height, Anchor::Start, lead).bold());
        }
        let lines = wrap(words, height, width - indent);
        let leading = (LEADING * height).max(leading(lines.iter().map(String::as_str), height));
        for (i, line) in lines.iter().enumerate() {
            let y = height + i as f64 * leading;
            group.text(Text::new((indent, y), height, Anchor::Start, line.as_str()));
        }
        let height = (lines.len() as f64 - 1.0) * leading + LINE * height;
        Self { height, above: OVER_PARAGRAPH, keeps: false, groups: vec![group] }
    }

    /// A table no wider than `most` mm, in pieces that go on a page.
    pub fn table(table: &Table, most: f64) -> Vec<Self> {
        Self::table_below(table, most, f64::INFINITY)
    }

    /// The same where the first piece is to go below something: no higher than `room` mm if a row has so much room.
    pub fn table_below(table: &Table, most: f64, room: f64) -> Vec<Self> {
        let table = &table.within(most);
        let rows: f64 = table.rows.iter().map(|row| table.row_height(row)).sum();
        let first = room - (table.size(1).height - rows);
        let piece = |(i, rows): (usize, &[_])| {
            let part = Table {
                id: if i == 0 { table.id.clone() } else { format!("{}-{}", table.id, i + 1) },
                heading: table.heading.clone(),
                rows: Vec::from(rows),
                least: table.least.clone(),
                first: table.first,
            };
            Self { height: part.size(1).height, above: OVER_TABLE, keeps: false, groups: part.draw((0.0, 0.0), 1) }
        };
        pieces(table, first).into_iter().enumerate().map(piece).collect()
    }

    /// Space over it, mm: none at the top of a column.
    fn over(&self, has_any_above: bool) -> f64 {
        if has_any_above { self.above } else { 0.0 }
    }

    /// A figure `height` mm high.
    pub fn figure(groups: Vec<Group>, height: f64) -> Self {
        Self { height, above: OVER_FIGURE, keeps: false, groups }
    }
}

/// The rows of a table in pieces that are no higher than [`ROWS`] rows of one line, the first no higher than `first` mm
/// either.
fn pieces(table: &Table, first: f64) -> Vec<&[Vec<Cell>]> {
    let usual = ROWS as f64 * ROW;
    let mut most = first.min(usual) + ROUNDING;
    let (mut all, mut from, mut height) = (Vec::new(), 0, 0.0);
    for (i, row) in table.rows.iter().enumerate() {
        let own = table.row_height(row);
        if i > from && height + own > most {
            all.push(&table.rows[from..i]);
            (from, height) = (i, 0.0);
            most = usual + ROUNDING;
        }
        height += own;
    }
    if from < table.rows.len() {
        all.push(&table.rows[from..]);
    }
    all
}

/// What stands on one page, one below the other from its top.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Column {
    /// How much of the page it takes, mm.
    pub height: f64,
    /// What is drawn; its upper left corner is the origin.
    pub groups: Vec<Group>,
}

impl Column {
    /// The same with a block below.
    fn with(mut self, block: Block) -> Self {
        self.height += block.over(!self.groups.is_empty());
        self.groups.extend(block.groups.into_iter().map(|g| g.moved((0.0, self.height))));
        self.height += block.height;
        self
    }
}

/// The blocks one below the other, in columns of at most `room` mm; every one but the first begins with `continued`.
/// What must not be parted stays together, and a block taller than a column has one of its own.
pub fn columns(blocks: Vec<Block>, room: f64, continued: Option<&Block>) -> Vec<Column> {
    let shares = shares(&blocks, room, continued);
    filled(blocks, &shares, continued)
}

/// How many of the blocks each column of at most `room` mm has.
fn shares(blocks: &[Block], room: f64, continued: Option<&Block>) -> Vec<usize> {
    let (mut shares, mut top) = (Vec::<usize>::new(), Top::default());
    let mut from = 0;
    for (i, block) in blocks.iter().enumerate() {
        if block.keeps && i + 1 < blocks.len() {
            continue;
        }
        let run = &blocks[from..=i];
        from = i + 1;
        let needed: f64 = run.iter().map(|b| b.above + b.height).sum();
        if shares.is_empty() || top.height + needed > room {
            let first = continued.filter(|_| !shares.is_empty());
            top = first.into_iter().fold(Top::default(), Top::with);
            shares.push(0);
        }
        top = run.iter().fold(top, Top::with);
        if let Some(share) = shares.last_mut() {
            *share += run.len();
        }
    }
    shares
}

/// How far a column is filled.
#[derive(Default)]
struct Top {
    height: f64,
    has_any: bool,
}

impl Top {
    fn with(self, block: &Block) -> Self {
        let above = block.over(self.has_any);
        Self { height: self.height + above + block.height, has_any: self.has_any || !block.groups.is_empty() }
    }
}

/// The blocks in columns of so many.
fn filled(blocks: Vec<Block>, shares: &[usize], continued: Option<&Block>) -> Vec<Column> {
    let mut blocks = blocks.into_iter();
    let column = |(i, share): (usize, &usize)| {
        let first = continued.filter(|_| i > 0).cloned();
        first.into_iter().chain(blocks.by_ref().take(*share)).fold(Column::default(), Column::with)
    };
    shares.iter().enumerate().map(column).collect()
}

/// From one height that is tried to the next lower one, mm.
const LOWER: f64 = 4.0;

/// The same as [`columns`], on as few of them, but none much emptier than the others: what a last page would hold alone is
/// shared out.
pub fn balanced(blocks: &[Block], room: f64) -> Vec<Column> {
    let mut best = shares(blocks, room, None);
    let mut lower = room - LOWER;
    while lower > 0.0 && best.len() > 1 {
        let tried = shares(blocks, lower, None);
        if tried.len() > best.len() {
            break;
        }
        best = tried;
        lower -= LOWER;
    }
    filled(blocks.to_vec(), &best, None)
}

/// Sheets of one kind, on which nothing is drawn to the sheet's own scale.
pub struct Pages<'a> {
    /// Title of the sheets, for readers that cannot see them.
    pub title: String,
    /// The paper.
    pub paper: Paper,
    /// The title block.
    pub title_block: Title,
    /// What every sheet bears at its foot.
    pub foot: &'a [String],
}

impl Pages<'_> {
    /// Width and height of what a page holds, mm.
    pub fn area(&self) -> Size {
        let bounds = self.paper.frame();
        Size::new(bounds.width() - 2.0 * MARGIN, self.foot_top() - bounds.y0 - MARGIN - OVER_FOOT)
    }

    fn foot(&self) -> Notes {
        let bounds = self.paper.frame();
        Notes::new(self.foot, bounds.width() - 2.0 * MARGIN)
    }

    fn foot_top(&self) -> f64 {
        let bounds = self.paper.frame();
        bounds.y1 - TITLE_BLOCK.height - 2.0 - self.foot().height()
    }

    /// The blocks on pages; a block taller than a page stands alone on one.
    pub fn flow(&self, blocks: Vec<Block>) -> Vec<Sheet> {
        columns(blocks, self.area().height, None).into_iter().map(|column| self.sheet(column.groups)).collect()
    }

    /// The same, none much emptier than the others.
    pub fn flow_evenly(&self, blocks: &[Block]) -> Vec<Sheet> {
        balanced(blocks, self.area().height).into_iter().map(|column| self.sheet(column.groups)).collect()
    }

    /// A page with this on it, by the upper left corner of what a page holds.
    pub fn sheet(&self, content: Vec<Group>) -> Sheet {
        let at = self.paper.frame().origin() + (MARGIN, MARGIN);
        let mut groups = frame(self.paper, &self.title_block);
        groups.extend(content.into_iter().map(|g| g.moved(at.to_vec2())));
        let mut notes = self.foot().draw((at.x, self.foot_top()));
        notes.id = "cautions".into();
        groups.push(notes);
        Sheet { title: self.title.clone(), paper: self.paper, scale: self.title_block.scale.name.into(), groups }
    }
}

/// Height of the lettering of running text, mm: as values, since it holds them.
pub const RUNNING: f64 = VALUE;
/// Height of the lettering of remarks, mm.
pub const REMARK: f64 = SMALL;
