//! The table of blanks: symbol, what it is and where the calipers go, three readings, their mean and tolerance.

use super::tick_boxes;
use crate::drawing::frame::rectangle;
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Point, Text};
use crate::shape::font::wrap;

/// Width of the symbol's column, mm.
const SYMBOL: f64 = 12.4;
/// Width of a blank, mm.
const BLANK: f64 = 20.0;
/// Blanks in a row: three readings, then mean and tolerance.
const BLANKS: [&str; 4] = ["reading 1", "reading 2", "reading 3", "mean ±"];
/// Height of the head and of rows that only head others, mm.
const HEAD: f64 = 5.4;
/// Space between lines of small lettering, mm.
const LEADING: f64 = 1.5 * SMALL;
const PAD: f64 = 1.4;

/// A row.
enum Row {
    /// Something to tick that the rows below belong to.
    Choice(&'static str, &'static [&'static str]),
    /// A length with blanks for three readings.
    Length(&'static str, &'static str),
    /// The ranges of the blades a seat holds.
    Blades(&'static str),
}

const LOCATES: &[&str] = &["underside", "back", "sides"];

const ROWS: &[Row] = &[
    Row::Choice("Roller:", &["one, under the blade", "a pair, one on each side of it"]),
    Row::Length("D", "Diameter: across the roller, square to its axle. Turn it by a third for each reading."),
    Row::Length("R", "Width of the tread, along the axle; of a pair, one roller."),
    Row::Length("P", "Clear width between the rollers of a pair: inside jaws."),
    Row::Length("N", "Roller's rear to the face, along the seat: one jaw behind the roller, one flat on the face."),
    Row::Length("B", "Roller's stone side to the face's lower end, square to the seat."),
    Row::Length("F", "Width of the face, across: the flat that bears on the block."),
    Row::Choice("Iron seat (or the only one) locates the blade's:", LOCATES),
    Row::Length("g", "Thickness of the flat parallel in this seat; blank where M is to the seat itself."),
    Row::Length("M", "Roller's stone side to the parallel's upper side (without g, to the seat), square to the seat."),
    Row::Blades("Blades it holds: width w, thickness t."),
    Row::Choice("Chisel seat, if it is another, locates the blade's:", LOCATES),
    Row::Length("g", "Thickness of the flat parallel in this seat."),
    Row::Length("M", "Roller's stone side to the parallel's upper side (without g, to the seat), square to the seat."),
    Row::Blades("Blades it holds: width w, thickness t."),
];

/// The table within two corners; its rows share the height.
pub(super) fn draw([upper, lower]: [Point; 2]) -> Vec<Group> {
    let lengths = ROWS.iter().filter(|r| !matches!(r, Row::Choice(..))).count() as f64;
    let heads = ROWS.len() as f64 - lengths + 1.0;
    let height = (lower[1] - upper[1] - heads * HEAD) / lengths;
    let text = lower[0] - upper[0] - SYMBOL - BLANK * BLANKS.len() as f64;
    let mut head = Group::new("form", "table");
    head.path(vec![rectangle(upper, lower)], true, Pen::Wide, Fill::None);
    let baseline = upper[1] + HEAD / 2.0 + SMALL / 2.0;
    head.text(Text::new([upper[0] + SYMBOL + PAD, baseline], SMALL, Anchor::Start, "what it is, and how to take it"));
    for (i, words) in BLANKS.iter().enumerate() {
        let x = upper[0] + SYMBOL + text + BLANK * (i as f64 + 0.5);
        head.text(Text::new([x, baseline], SMALL, Anchor::Middle, *words));
    }
    let mut groups = Vec::new();
    let mut y = upper[1] + HEAD;
    columns(&mut head, upper, text, [upper[1], y]);
    for (i, row) in ROWS.iter().enumerate() {
        let at = [upper[0], y];
        head.line(at, [lower[0], y], if matches!(row, Row::Choice(..)) { Pen::Wide } else { Pen::Narrow });
        let mut group = Group::new(format!("form-{}", i + 1), "table-row");
        match row {
            Row::Choice(words, boxes) => {
                choice(&mut group, at, words, boxes);
                y += HEAD;
                groups.push(group);
                continue;
            }
            Row::Length(symbol, words) => {
                group = group.with("symbol", symbol);
                length(&mut group, at, [text, height], symbol, words);
            }
            Row::Blades(words) => {
                group = group.with("symbol", "w t");
                length(&mut group, at, [text, height], "w, t", words);
                for (i, words) in ["w from", "w to", "t from", "t to"].iter().enumerate() {
                    let x = upper[0] + SYMBOL + text + BLANK * i as f64 + PAD;
                    group.text(Text::new([x, y + 1.0 + SMALL], SMALL, Anchor::Start, *words));
                }
            }
        }
        columns(&mut head, upper, text, [y, y + height]);
        y += height;
        groups.push(group);
    }
    groups.insert(0, head);
    groups
}

/// The rules between the columns, over one row.
fn columns(group: &mut Group, upper: Point, text: f64, [top, bottom]: [f64; 2]) {
    let blanks = (0..BLANKS.len()).map(|i| SYMBOL + text + BLANK * i as f64);
    for x in std::iter::once(SYMBOL).chain(blanks) {
        group.line([upper[0] + x, top], [upper[0] + x, bottom], Pen::Narrow);
    }
}

fn choice(group: &mut Group, at: Point, words: &str, boxes: &[&str]) {
    let y = at[1] + HEAD / 2.0 + SMALL / 2.0;
    let text = Text::new([at[0] + PAD, y], SMALL, Anchor::Start, words).bold();
    let x = at[0] + PAD + text.width() + 3.0;
    group.text(text);
    tick_boxes(group, [x, y], SMALL, boxes);
}

fn length(group: &mut Group, at: Point, [width, height]: [f64; 2], symbol: &str, words: &str) {
    let middle = at[1] + height / 2.0;
    let centre = [at[0] + SYMBOL / 2.0, middle + VALUE / 2.0];
    group.text(Text::new(centre, VALUE, Anchor::Middle, symbol).bold());
    let lines = wrap(words, SMALL, width - 2.0 * PAD);
    // Capitals and descenders together in the middle.
    let first = middle + 0.35 * SMALL - LEADING * (lines.len() as f64 - 1.0) / 2.0;
    for (i, line) in lines.iter().enumerate() {
        let y = first + LEADING * i as f64;
        group.text(Text::new([at[0] + SYMBOL + PAD, y], SMALL, Anchor::Start, line.as_str()));
    }
}
