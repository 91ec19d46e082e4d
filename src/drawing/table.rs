//! Ruled tables.

use kurbo::{Point, Rect, Size};

use super::frame::outline;
use super::style::{CLEAR, Fill, Pen, SMALL, VALUE};
use super::{Anchor, Group, Text};
use crate::shape::font::{fit, width};

/// Height of a row, mm.
pub const ROW: f64 = 6.0;
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

/// A table: a heading over rows; the first column to the left, the others to the right.
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
}

impl Table {
    /// A table without columns to be filled in.
    pub fn new(id: &str, heading: &[[&str; 2]], rows: Vec<Vec<Cell>>) -> Self {
        let heading = heading.iter().map(|h| h.map(String::from)).collect();
        Self { id: id.into(), heading, rows, least: Vec::new() }
    }

    fn column_widths(&self) -> Vec<f64> {
        (0..self.heading.len())
            .map(|c| {
                let head = self.heading[c].iter().map(|h| width(h, SMALL, false));
                let cells = self.rows.iter().map(|r| width(&r[c].words, VALUE, false));
                let least = self.least.get(c).copied().unwrap_or(0.0);
                (head.chain(cells).fold(0.0, f64::max) + 2.0 * PAD + 2.0 * CLEAR).max(least)
            })
            .collect()
    }

    /// The same, the words of its first column shortened so that it is no wider than `most` mm.
    pub fn within(&self, most: f64) -> Self {
        let over = self.size(1).width - most;
        let mut table = self.clone();
        if over > 0.0 {
            let room = self.column_widths()[0] - over - 2.0 * PAD - 2.0 * CLEAR;
            for cell in table.rows.iter_mut().filter_map(|row| row.first_mut()) {
                cell.words = fit(&cell.words, VALUE, room);
            }
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
        let rows = self.rows.len().div_ceil(parts);
        Size::new(one * parts as f64 + BESIDE * (parts - 1) as f64, Self::head_height() + rows as f64 * ROW)
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
        let bottom = at.y + head + rows.len() as f64 * ROW;
        let mut rules = Group::new(format!("{}-{}", self.id, part + 1), "table");
        rules.path([outline(Rect::new(at.x, at.y, right, bottom))], true, Pen::Wide, Fill::None);
        for i in 0..rows.len() {
            let y = at.y + head + i as f64 * ROW;
            rules.line((at.x, y), (right, y), Pen::Narrow);
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
            let y = at.y + head + (i as f64 + 0.5) * ROW + VALUE / 2.0 - 0.3;
            let mut x = at.x;
            for (c, (cell, w)) in row.iter().zip(widths).enumerate() {
                let (anchor, tx) = if c == 0 { (Anchor::Start, x + PAD) } else { (Anchor::End, x + w - PAD) };
                let mut group = match &cell.value {
                    Some((id, value)) => Group::new(id.clone(), "table-value").with("value", value),
                    None => Group::new(format!("{}-{}-{i}-{c}", self.id, part + 1), "table-cell"),
                };
                if !cell.words.is_empty() {
                    group.text(Text::new((tx, y), VALUE, anchor, cell.words.as_str()));
                }
                groups.push(group);
                x += w;
            }
        }
        groups
    }
}
