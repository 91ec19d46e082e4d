//! The page "Words and use": the figure, how the block is used, and what each word means.

use super::Word;
use super::figure::{self, Rows};
use super::shown::Shown;
use crate::drawing::frame::Title;
use crate::drawing::page::{Block, Pages};
use crate::drawing::paper::Paper;
use crate::drawing::style::SMALL;
use crate::drawing::{Anchor, Group, Sheet, Text, clash};
use crate::shape::font::{width, wrap_after};

/// What it bears at its foot where the product has no cautions of its own.
pub const CAUTIONS: &str =
    "Sharp edges cut: keep your fingers behind the edge. Follow your tools' makers' instructions and local rules.";

/// What the page is called in its title block.
pub const KIND: &str = "Words and use";
/// The same where the sheet's number needs the room.
pub const SHORT: &str = "Words";
/// What stands for unit and tolerances: the page gives no lengths.
pub const NOTHING: &str = "–";

/// How a blade is held where tables bear marks, and where they do not.
pub const HOLD: [&str; 2] = [
    "Hold the face flat against the edge of the block, with the blade flat on the table and in line with the marks.",
    "Hold the face flat against the edge of the block, with the blade flat on the table and square to the fence.",
];

/// How a block is used, step by step.
pub const STEPS: [&str; 5] = [
    "Remove any burr. Put the blade in its seat, back up, and leave it loose.",
    HOLD[0],
    "Slide the blade gently up to the fence, and clamp it. Turn the block round for the other edge.",
    "Hone with roller and edge on the stone until there is a burr along the whole edge. Feel for it off the back, never along the edge.",
    "Prove the angle on a plate before you rely on a lane: these figures are calculated.",
];

/// Heights of the rows of views where there is all the room they can use, mm.
const MOST: Rows = [70.0, 56.0, 27.0];
/// How many sizes of the figure are tried, and by how much one is smaller than the one before.
const TRIES: usize = 10;
const STEP: f64 = 0.02;
/// Kept free at the foot, mm.
const SPARE: f64 = 0.1;
/// Lines of small lettering from one to the next, by their height.
const LEADING: f64 = 1.5;
/// Space between the two columns of words, mm.
const BETWEEN: f64 = 5.0;
/// How far lines that go on stand in, mm.
const INDENT: f64 = 3.0;

/// The page of a job's set on `paper`; `foot` are the cautions.
pub fn sheet(shown: &Shown, title: &str, paper: Paper, title_block: Title, foot: &[String]) -> Sheet {
    let pages = Pages { title: title.into(), paper, title_block, foot };
    let wide = pages.area().width;
    let said = [columns("use", &steps(shown.marks), wide), columns("meaning", &meanings(), wide)];
    // What they leave is the figure's.
    let left = pages.area().height - said.iter().map(|block| block.above + block.height).sum::<f64>() - SPARE;
    let most = (left / MOST.iter().sum::<f64>()).min(1.0);
    let mut best: Option<(usize, Sheet)> = None;
    for size in (0..TRIES).map(|i| most * (1.0 - STEP * i as f64)) {
        let rows = MOST.map(|height| size * height);
        let figure = Block::figure(figure::draw(shown, wide, rows), rows.iter().sum());
        let blocks = std::iter::once(figure).chain(said.clone()).collect();
        let Some(sheet) = pages.flow(blocks).into_iter().next() else { continue };
        let clashes = clash::find(&sheet).len();
        if clashes == 0 {
            return sheet;
        }
        if best.as_ref().is_none_or(|(least, _)| clashes < *least) {
            best = Some((clashes, sheet));
        }
    }
    best.expect("at least one size was tried").1
}

/// A lead in bold and what follows it.
type Entry = (String, &'static str);

fn steps(marks: bool) -> Vec<Entry> {
    let held = |words| if words == HOLD[0] && !marks { HOLD[1] } else { words };
    STEPS.into_iter().map(held).enumerate().map(|(i, words)| ((i + 1).to_string(), words)).collect()
}

fn meanings() -> Vec<Entry> {
    Word::ALL.into_iter().map(|word| (word.name().to_string(), word.meaning())).collect()
}

/// The lines of an entry, `most` mm wide, the first beginning after its lead.
fn lines((lead, words): &Entry, most: f64) -> Vec<String> {
    wrap_after(words, SMALL, [most - lead_width(lead), most - INDENT])
}

/// Width of an entry's lead with the space after it, mm.
fn lead_width(lead: &str) -> f64 {
    width(lead, SMALL, true) + 1.6
}

/// Entries in two columns, as nearly of one height as they go in their order.
fn columns(id: &str, entries: &[Entry], wide: f64) -> Block {
    let column = (wide - BETWEEN) / 2.0;
    let set: Vec<Vec<String>> = entries.iter().map(|entry| lines(entry, column)).collect();
    let all: usize = set.iter().map(Vec::len).sum();
    let mut group = Group::new(id, "note");
    let (mut right, mut row, mut most, mut before) = (false, 0, 0, 0);
    for (entry, lines) in entries.iter().zip(set) {
        if !right && 2 * before + lines.len() > all {
            (right, row) = (true, 0);
        }
        before += lines.len();
        let x = if right { column + BETWEEN } else { 0.0 };
        for (i, line) in lines.into_iter().enumerate() {
            let y = SMALL + row as f64 * LEADING * SMALL;
            let start = if i == 0 { lead_width(&entry.0) } else { INDENT };
            if i == 0 {
                group.text(Text::new((x, y), SMALL, Anchor::Start, entry.0.as_str()).bold());
            }
            group.text(Text::new((x + start, y), SMALL, Anchor::Start, line));
            row += 1;
        }
        most = most.max(row);
    }
    let height = SMALL * (1.3 + LEADING * (most as f64 - 1.0));
    Block { height, above: 3.0, keeps: false, groups: vec![group] }
}
