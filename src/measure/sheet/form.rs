//! The table of blanks: symbol, what it is and where the calipers go, three readings, their mean and tolerance.

use kurbo::{Point, Rect, Size};

use super::tick_boxes;
use crate::drawing::frame::outline;
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Text};
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
    Row::Length("B", "From the bottom of the roller to the lower end of the guide's front, square to the seat."),
    Row::Length("F", "Width of the face, across: the flat that bears on the block."),
    Row::Choice("Iron seat (or the only one) locates the blade's:", LOCATES),
    Row::Length("g", "Thickness of the flat parallel in this seat; blank where M is to the seat itself."),
    Row::Length(
        "M",
        "From the bottom of the roller to the top of the flat bar (without g, to the seat), square to the seat.",
    ),
    Row::Blades("Blades it holds: width w, thickness t."),
    Row::Choice("Chisel seat, if it is another, locates the blade's:", LOCATES),
    Row::Length("g", "Thickness of the flat parallel in this seat."),
    Row::Length(
        "M",
        "From the bottom of the roller to the top of the flat bar (without g, to the seat), square to the seat.",
    ),
    Row::Blades("Blades it holds: width w, thickness t."),
];

/// The table within `area`; its rows share the height.
pub(super) fn draw(area: Rect) -> Vec<Group> {
    let upper = area.origin();
    let lengths = ROWS.iter().filter(|r| !matches!(r, Row::Choice(..))).count() as f64;
    let heads = ROWS.len() as f64 - lengths + 1.0;
    let height = (area.height() - heads * HEAD) / lengths;
    let text = area.width() - SYMBOL - BLANK * BLANKS.len() as f64;
    let mut head = Group::new("form", "table");
    head.path([outline(area)], true, Pen::Wide, Fill::None);
    let baseline = upper.y + HEAD / 2.0 + SMALL / 2.0;
    head.text(Text::new((upper.x + SYMBOL + PAD, baseline), SMALL, Anchor::Start, "what it is, and how to take it"));
    for (i, words) in BLANKS.iter().enumerate() {
        let x = upper.x + SYMBOL + text + BLANK * (i as f64 + 0.5);
        head.text(Text::new((x, baseline), SMALL, Anchor::Middle, *words));
    }
    let mut groups = Vec::new();
    let mut y = upper.y + HEAD;
    columns(&mut head, upper, text, [upper.y, y]);
    for (i, row) in ROWS.iter().enumerate() {
        let at = Point::new(upper.x, y);
        head.line(at, (area.x1, y), if matches!(row, Row::Choice(..)) { Pen::Wide } else { Pen::Narrow });
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
                length(&mut group, at, Size::new(text, height), symbol, words);
            }
            Row::Blades(words) => {
                group = group.with("symbol", "w t");
                length(&mut group, at, Size::new(text, height), "w, t", words);
                for (i, words) in ["w from", "w to", "t from", "t to"].iter().enumerate() {
                    let x = upper.x + SYMBOL + text + BLANK * i as f64 + PAD;
                    group.text(Text::new((x, y + 1.0 + SMALL), SMALL, Anchor::Start, *words));
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
        group.line((upper.x + x, top), (upper.x + x, bottom), Pen::Narrow);
    }
}

fn choice(group: &mut Group, at: Point, words: &str, boxes: &[&str]) {
    let y = at.y + HEAD / 2.0 + SMALL / 2.0;
    let text = Text::new((at.x + PAD, y), SMALL, Anchor::Start, words).bold();
    let x = at.x + PAD + text.width() + 3.0;
    group.text(text);
    tick_boxes(group, (x, y), SMALL, boxes);
}

fn length(group: &mut Group, at: Point, Size { width, height }: Size, symbol: &str, words: &str) {
    let middle = at.y + height / 2.0;
    let centre = (at.x + SYMBOL / 2.0, middle + VALUE / 2.0);
    group.text(Text::new(centre, VALUE, Anchor::Middle, symbol).bold());
    let lines = wrap(words, SMALL, width - 2.0 * PAD);
    // Capitals and descenders together in the middle.
    let first = middle + 0.35 * SMALL - LEADING * (lines.len() as f64 - 1.0) / 2.0;
    for (i, line) in lines.iter().enumerate() {
        let y = first + LEADING * i as f64;
        group.text(Text::new((at.x + SYMBOL + PAD, y), SMALL, Anchor::Start, line.as_str()));
    }
}
