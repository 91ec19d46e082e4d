//! The title strip of a card: whose it is, and of which set.

use super::About;
use crate::drawing::frame::MADE;
use crate::drawing::page::Block;
use crate::drawing::style::{Pen, SMALL};
use crate::drawing::{Anchor, Group, Text};
use crate::shape::font::{self, wrap};

/// Space between two entries, mm.
const BETWEEN: f64 = 3.0;
/// From one line to the next, by the height of the lettering.
const LEADING: f64 = 1.77;
/// Space between the rule and the lettering, mm.
const UNDER_RULE: f64 = 1.4;

/// The strip of `name`'s card, `width` mm wide; `number` says which card of the set it is.
pub(super) fn block(name: &str, number: &str, about: &About<'_>, width: f64) -> Block {
    let entries = [name, about.guide, about.fingerprint, number, MADE];
    let mut group = Group::new("title-strip", "note");
    group.line((0.0, 0.0), (width, 0.0), Pen::Narrow);
    let (mut x, mut y) = (0.0, UNDER_RULE + SMALL);
    for words in entries {
        let lines = wrap(words, SMALL, width);
        let wide = lines.iter().map(|line| font::width(line, SMALL, false)).fold(0.0, f64::max);
        if x > 0.0 && x + wide > width {
            (x, y) = (0.0, y + LEADING * SMALL);
        }
        for (i, line) in lines.iter().enumerate() {
            y += if i > 0 { LEADING * SMALL } else { 0.0 };
            group.text(Text::new((x, y), SMALL, Anchor::Start, line.as_str()));
        }
        x += wide + BETWEEN;
    }
    Block::figure(vec![group], y + 0.3 * SMALL)
}
