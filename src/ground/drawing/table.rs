//! Ruled tables.

use kurbo::{Point, Rect, Size};

use super::frame::outline;
use super::style::{CLEAR, Fill, Pen, SMALL, VALUE};
use super::{Anchor, Group, Text, leading};
use crate::shape::font::{width, wrap};

/// Height of a row, mm: an accent above and what hangs below are clear of its rules.
pub const ROW: f64 = 6.6;
/// Space below the baseline of a row's words, mm.
const UNDER: f64 = 1.5;
/// Space beside the words of a cell, mm.
const PAD: f64 = 1.4;
/// Space between parts of a table side by side, mm.
const BESIDE: f64 = 4.0;
/// Space that a line of the heading takes over its lettering, and the heading over its lines, mm.
const HEAD_SPACE: f64 = 1.6;

/// A cell: its words, and the id and value it stands for.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cell {
    /// The words.
    pub words: String,
    /// Id and value, where a reader may want to check it.
    pub value: Option<(String, f64)>,
}

impl Cell {
    /// Words alone.
    pub fn words(words: impl Into<String>) -> Self {
        Self { words: words.into(), value: None }
    }
}

/// A table: a heading over rows; the first column and all others that hold words to the left, numbers to the right.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Id of the table.
    pub id: String,
    /// Two lines of heading a column: name and unit.
    pub heading: Vec<[String; 2]>,
    /// The rows.
    pub rows: Vec<Vec<Cell>>,
    /// Least widths of the first columns, mm, for those that are filled in by hand.
    pub least: Vec<f64>,
    /// Width of the first column where its words stand on several lines, mm.
    pub first: Option<f64>,
}

impl Table {
    /// A table without columns to be filled in.
    pub fn new(id: &str, heading: &[[&str; 2]], rows: Vec<Vec<Cell>>) -> Self {
        let heading = heading.iter().map(|h| h.map(String::from)).collect();
        Self { id: id.into(), heading, rows, least: Vec::new(), first: None }
    }

    fn column_widths(&self) -> Vec<f64> {
        let natural = |c: usize| {
            let head = self.heading[c].iter().map(|h| width(h, SMALL, false));
            let cells = self.rows.iter().map(|r| width(&r[c].words, VALUE, false));
            let least = self.least.get(c).copied().unwrap_or(0.0);
            (head.chain(cells).fold(0.0, f64::max) + 2.0 * PAD + 2.0 * CLEAR).max(least)
        };
        let first = self.first.filter(|_| !self.heading.is_empty());
        let from = usize::from(first.is_some());
        first.into_iter().chain((from..self.heading.len()).map(natural)).collect()
    }

    /// Whether a column stands to the left: the first one, and one in which a cell is words without a number.
    fn is_left(&self, column: usize) -> bool {
        let words = |s: &str| s.contains(char::is_alphabetic) && !s.contains(|c: char| c.is_ascii_digit());
        column == 0 || self.rows.iter().filter_map(|row| row.get(column)).any(|cell| words(&cell.words))
    }

    /// The lines of a cell.
    fn lines(&self, column: usize, words: &str) -> Vec<String> {
        match self.first.filter(|_| column == 0) {
            Some(wide) => wrap(words, VALUE, wide - 2.0 * PAD - 2.0 * CLEAR),
            None => vec![words.to_string()],
        }
    }

    /// Height of a row, mm.
    pub(super) fn row_height(&self, row: &[Cell]) -> f64 {
        let more = |(c, cell): (usize, &Cell)| {
            let lines = self.lines(c, &cell.words);
            lines.len().saturating_sub(1) as f64 * leading(lines.iter().map(String::as_str), VALUE)
        };
        ROW + row.iter().enumerate().map(more).fold(0.0, f64::max)
    }

    /// The same, the words of its first column on several lines where it would be wider than `most` mm.
    pub fn within(&self, most: f64) -> Self {
        let over = self.size(1).width - most;
        let mut table = self.clone();
        if over > 0.0 {
            // No narrower than its longest word: what tells rows apart is not broken.
            let words = self.rows.iter().filter_map(|row| row.first()).flat_map(|cell| cell.words.split_whitespace());
            let longest = words.map(|word| width(word, VALUE, false)).fold(0.0, f64::max) + 2.0 * PAD + 2.0 * CLEAR;
            let natural = self.column_widths()[0];
            table.first = Some((natural - over).max(longest.min(natural / 2.0)));
        }
        table
    }

    /// Height of the heading, mm.
    fn head_height() -> f64 {
        2.0 * (SMALL + HEAD_SPACE) + HEAD_SPACE
    }

    /// Size on paper, mm, when laid in `parts` side by side.
    pub fn size(&self, parts: usize) -> Size {
        let one: f64 = self.column_widths().iter().sum();
        let per_part = self.rows.len().div_ceil(parts).max(1);
        let high = |rows: &[Vec<Cell>]| rows.iter().map(|row| self.row_height(row)).sum::<f64>();
        let highest = self.rows.chunks(per_part).map(high).fold(0.0, f64::max);
        Size::new(one * parts as f64 + BESIDE * (parts - 1) as f64, Self::head_height() + highest)
    }

    /// Draws the table with its upper left corner at `at`, in `parts` side by side.
    pub fn draw(&self, at: impl Into<Point>, parts: usize) -> Vec<Group> {
        let at = at.into();
        let widths = self.column_widths();
        let one: f64 = widths.iter().sum();
        let per_part = self.rows.len().div_ceil(parts).max(1);
        let mut groups = Vec::new();
        for (part, rows) in self.rows.chunks(per_part).enumerate() {
            groups.extend(self.draw_part(at + (part as f64 * (one + BESIDE), 0.0), &widths, rows, part));
        }
        groups
    }

    fn draw_part(&self, at: Point, widths: &[f64], rows: &[Vec<Cell>], part: usize) -> Vec<Group> {
        let right = at.x + widths.iter().sum::<f64>();
        let head = Self::head_height();
        let heights: Vec<f64> = rows.iter().map(|row| self.row_height(row)).collect();
        let tops: Vec<f64> = heights
            .iter()
            .scan(at.y + head, |y, height| {
                *y += height;
                Some(*y - height)
            })
            .collect();
        let bottom = at.y + head + heights.iter().sum::<f64>();
        let mut rules = Group::new(format!("{}-{}", self.id, part + 1), "table");
        rules.path([outline(Rect::new(at.x, at.y, right, bottom))], true, Pen::Wide, Fill::None);
        for y in &tops {
            rules.line((at.x, *y), (right, *y), Pen::Narrow);
        }
        let mut x = at.x;
        for (c, w) in widths.iter().enumerate() {
            if c > 0 {
                rules.line((x, at.y), (x, bottom), Pen::Narrow);
            }
            for (line, words) in self.heading[c].iter().enumerate().filter(|(_, words)| !words.is_empty()) {
                let y = at.y + 0.9 + (line + 1) as f64 * (SMALL + 1.2);
                rules.text(Text::new((x + w / 2.0, y), SMALL, Anchor::Middle, words.as_str()));
            }
            x += w;
        }
        let mut groups = vec![rules];
        for (i, row) in rows.iter().enumerate() {
            // The baseline of the first line; numbers stand beside it.
            let y = tops[i] + ROW - UNDER;
            let mut x = at.x;
            for (c, (cell, w)) in row.iter().zip(widths).enumerate() {
                let (anchor, tx) = if self.is_left(c) { (Anchor::Start, x + PAD) } else { (Anchor::End, x + w - PAD) };
                let mut group = match &cell.value {
                    Some((id, value)) => Group::new(id.clone(), "table-value").with("value", value),
                    None => Group::new(format!("{}-{}-{i}-{c}", self.id, part + 1), "table-cell"),
                };
                let lines = self.lines(c, &cell.words);
                let down = leading(lines.iter().map(String::as_str), VALUE);
                for (k, line) in lines.into_iter().enumerate().filter(|(_, line)| !line.is_empty()) {
                    group.text(Text::new((tx, y + k as f64 * down), VALUE, anchor, line));
                }
                groups.push(group);
                x += w;
            }
        }
        groups
    }
}
