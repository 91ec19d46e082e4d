//! The grades of a bevel, coarse to fine, each with a box to tick, in lettering as large as one row takes.

use kurbo::Point;

use super::LEAD_WIDTH;
use super::lines::{DESCENT, Face};
use super::words::Grades;
use crate::drawing::frame::rectangle;
use crate::drawing::page::Block;
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Text};
use crate::shape::font::{self, wrap};

/// Side of a box, by the height of the lettering.
const BOX: f64 = 1.2;
/// Space between a box and its grade, and between two of them, by the height of the lettering.
const SPACE: [f64; 2] = [0.5, 1.4];
/// From one row to the next, by the height of the lettering.
const ROW: f64 = 1.9;
/// Space between the rule above and the lettering, mm.
const UNDER_RULE: f64 = 1.2;

/// Heights of a row's lettering, mm, the best first.
const SIZES: [f64; 9] = [6.0, 5.0, 4.5, 4.0, VALUE, 3.25, 3.0, 2.75, SMALL];

/// Heights in which each of `rows` goes in one line `width` mm wide, the best first: none smaller than the words, of `size`
/// mm, but for one alone. Where no height does, that of the words.
pub(super) fn sizes(rows: &[&Grades], size: f64, width: f64) -> Vec<f64> {
    let goes = |tried: &f64| rows.iter().all(|row| natural(row, *tried) <= width);
    let all: Vec<f64> = SIZES.into_iter().filter(goes).collect();
    let large: Vec<f64> = all.iter().copied().filter(|tried| *tried >= size).collect();
    if large.is_empty() { vec![all.first().copied().unwrap_or(size)] } else { large }
}

/// Width of a row in one line, mm.
fn natural(row: &Grades, size: f64) -> f64 {
    let grades = row.grades.iter().map(|grade| SPACE[1] * size + wide(grade, size));
    LEAD_WIDTH * size + font::width(&row.lane, size, true) + grades.sum::<f64>()
}

/// Width of a grade with its box, mm.
fn wide(grade: &str, size: f64) -> f64 {
    (BOX + SPACE[0]) * size + font::width(grade, size, false)
}

/// The row in lettering of `size` mm, and words below in that of `small` mm, `width` mm wide. A rule parts it from what
/// stands above.
pub(super) fn block(row: &Grades, size: f64, small: f64, width: f64) -> Block {
    let indent = LEAD_WIDTH * size;
    let mut group = Group::new(row.id, "note");
    group.line((0.0, 0.0), (width, 0.0), Pen::Narrow);
    let mut y = UNDER_RULE + size * (1.0 + (BOX - 1.0) / 2.0);
    let say = |group: &mut Group, x: f64, y: f64, words: &str, bold: bool| {
        let text = Text::new((x, y), size, Anchor::Start, words);
        group.text(if bold { text.bold() } else { text });
    };
    say(&mut group, 0.0, y, row.lead, true);
    say(&mut group, indent, y, &row.lane, true);
    let mut x = indent + font::width(&row.lane, size, true) + SPACE[1] * size;
    for grade in &row.grades {
        let wide = wide(grade, size);
        if x + wide > width && x > indent {
            (x, y) = (indent, y + ROW * size);
        }
        let low = y + size * (BOX - 1.0) / 2.0;
        group.path([rectangle((x, low - BOX * size), (x + BOX * size, low))], true, Pen::Narrow, Fill::None);
        say(&mut group, x + (BOX + SPACE[0]) * size, y, grade, false);
        x += wide + SPACE[1] * size;
    }
    let mut bottom = y + DESCENT * size;
    let indent = LEAD_WIDTH * small;
    let lines = wrap(&row.until, small, width - indent);
    if !lines.is_empty() {
        bottom = Face::left(small, false).set(&mut group, Point::new(indent, bottom + UNDER_RULE), &lines);
    }
    Block::figure(vec![group], bottom)
}
