//! The grades of a bevel, coarse to fine, each with a box to tick.

use super::words::Grades;
use crate::drawing::frame::rectangle;
use crate::drawing::page::Block;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::{Anchor, Group, Text};
use crate::shape::font::{self, wrap};

/// Side of a box, by the height of the lettering.
const BOX: f64 = 1.2;
/// Space between a box and its grade, and between two of them, by the height of the lettering.
const SPACE: [f64; 2] = [0.5, 1.4];
/// From one row to the next, by the height of the lettering.
const ROW: f64 = 1.9;
/// From one line of words to the next, by their height.
const LEADING: f64 = 1.77;
/// Space between the rule above and the lettering, mm.
const UNDER_RULE: f64 = 1.6;

/// The row, `width` mm wide; what is not its lead begins `indent` mm from the left. A rule parts it from what stands above.
pub(super) fn block(row: &Grades, size: f64, indent: f64, width: f64) -> Block {
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
        let wide = (BOX + SPACE[0]) * size + font::width(grade, size, false);
        if x + wide > width && x > indent {
            (x, y) = (indent, y + ROW * size);
        }
        let low = y + size * (BOX - 1.0) / 2.0;
        group.path([rectangle((x, low - BOX * size), (x + BOX * size, low))], true, Pen::Narrow, Fill::None);
        say(&mut group, x + (BOX + SPACE[0]) * size, y, grade, false);
        x += wide + SPACE[1] * size;
    }
    let mut bottom = y + size * BOX / 3.0;
    for (i, line) in wrap(&row.until, size, width - indent).iter().enumerate() {
        let y = y + ROW * size + i as f64 * LEADING * size;
        say(&mut group, indent, y, line, false);
        bottom = y + 0.3 * size;
    }
    Block::figure(vec![group], bottom)
}
