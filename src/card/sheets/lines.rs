//! Lettering in lines one below the other, clear of one another whatever hangs from them or stands on them.

use kurbo::Point;

use crate::drawing::{Anchor, Group, Text, leading};
use crate::shape::font::{self, wrap};

/// From one line to the next at the least, by the height of the lettering.
const LEADING: f64 = 1.6;
/// How far letters hang below a baseline, by the height of capitals.
pub(super) const DESCENT: f64 = 0.3;
/// How much narrower lines are tried where bold lettering is wider than what lines are measured by.
const NARROWER: f64 = 0.97;

/// From one of `lines` to the next, mm.
pub(super) fn down(lines: &[String], height: f64) -> f64 {
    leading(lines.iter().map(String::as_str), height).max(LEADING * height)
}

/// How lettering stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Face {
    /// Height of capitals, mm.
    pub height: f64,
    /// Which part of each line stands at its point.
    pub anchor: Anchor,
    /// Bold lettering.
    pub bold: bool,
}

impl Face {
    /// From the left.
    pub fn left(height: f64, bold: bool) -> Self {
        Self { height, anchor: Anchor::Start, bold }
    }

    fn text(self, at: Point, words: &str) -> Text {
        Text { bold: self.bold, ..Text::new(at, self.height, self.anchor, words) }
    }

    /// Sets `lines` below `at`, accents and all; how far down letters may reach that hang from the last, mm.
    pub fn set(self, group: &mut Group, at: Point, lines: &[String]) -> f64 {
        let step = down(lines, self.height);
        let mut bottom = at.y;
        let mut y = at.y + self.height;
        for (i, line) in lines.iter().enumerate() {
            let text = self.text(Point::new(at.x, y), line);
            if i == 0 {
                y += text.accent();
            }
            bottom = y + DESCENT * self.height;
            group.text(Text { at: Point::new(at.x, y), ..text });
            y += step;
        }
        bottom
    }
}

/// `words` in lines no wider than `most` mm; bold lettering is wider than plain.
pub(super) fn broken(words: &str, height: f64, bold: bool, most: f64) -> Vec<String> {
    let mut room = most;
    loop {
        let lines = wrap(words, height, room);
        if lines.iter().all(|line| font::width(line, height, bold) <= most || line.chars().count() <= 1) {
            return lines;
        }
        room *= NARROWER;
    }
}
