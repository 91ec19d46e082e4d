//! The list of a kit's blades with their lanes, in lettering of any height.

use kurbo::{Point, Rect};

use super::About;
use super::lines::{Face, broken};
use crate::card::Card;
use crate::drawing::frame::outline;
use crate::drawing::page::Block;
use crate::drawing::style::{Fill, Pen, SMALL};
use crate::drawing::{Anchor, Group, Text};
use crate::lane::Bevel;
use crate::shape::font;
use crate::units::{FINE, short};

/// Space beside the words of a cell, mm.
const PAD: f64 = 1.4;
/// Space above and below them, mm.
const OVER: f64 = 0.55;
/// Height of the heading's lettering by that of the rows.
const HEADING: f64 = 0.6;
/// Space between a lane's sign and its angle, by the height of the lettering.
const APART: f64 = 0.5;
/// Columns after that of the names.
const COLUMNS: usize = 4;
/// Least share of the width for the names.
const NAMES: f64 = 0.2;

/// A cell after the name: what stands in it, in bold first, with the value that it stands for.
#[derive(Debug, Clone, Default)]
struct Cell {
    sign: String,
    words: String,
    value: Option<(String, f64)>,
}

/// The list of some blades.
pub(super) struct List {
    heading: [[String; 2]; COLUMNS + 1],
    rows: Vec<(String, [Cell; COLUMNS])>,
}

/// Where names are broken into lines, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Broken {
    /// Nowhere.
    Nowhere,
    /// Between words, or after a hyphen.
    BetweenWords,
    /// In the midst of a word.
    WithinWords,
}

impl Broken {
    /// Of a name in lines.
    fn of(name: &str, lines: &[String]) -> Self {
        let Some((first, others)) = lines.split_first().filter(|(_, others)| !others.is_empty()) else {
            return Self::Nowhere;
        };
        let mut rest = name.trim_start().strip_prefix(first.as_str()).unwrap_or_default();
        let mut line = first;
        for next in others {
            if !line.ends_with('-') && !rest.starts_with(char::is_whitespace) {
                return Self::WithinWords;
            }
            rest = rest.trim_start().strip_prefix(next.as_str()).unwrap_or_default();
            line = next;
        }
        Self::BetweenWords
    }
}

/// A list in lettering of a height.
pub(super) struct Set<'a> {
    list: &'a List,
    size: f64,
    widths: [f64; COLUMNS + 1],
    names: Vec<Vec<String>>,
}

impl List {
    /// All blades of a kit.
    pub fn new(cards: &[Card], about: &About<'_>) -> Self {
        let unit = about.written.unit();
        let camber = format!("camber, {unit}");
        // A small card has room for one line.
        let heading = if about.is_small() {
            [["blade", ""], ["primary", ""], ["micro", ""], [&camber, ""], ["honings", ""]]
        } else {
            [["blade", ""], ["primary", "lane, °"], ["micro", "lane, °"], ["camber", unit], ["honings to", "a regrind"]]
        };
        let row = |(i, card): (usize, &Card)| {
            let lane = |bevel: Bevel| {
                let setting = card.settings.iter().find(|s| s.bevel == bevel);
                setting.map_or_else(Cell::default, |s| Cell {
                    sign: s.lane.clone(),
                    words: short(s.wanted, 1),
                    value: Some((format!("kit-{}-{}", i + 1, bevel.name()), s.set)),
                })
            };
            let words = |words: Option<String>| Cell { words: words.unwrap_or_default(), ..Cell::default() };
            let camber = card.curve.map(|curve| about.written.fixed(curve.depth, FINE).to_string());
            let due = card.regrind.map(|r| r.honings.max(1).to_string());
            (card.blade.clone(), [lane(Bevel::Primary), lane(Bevel::Micro), words(camber), words(due)])
        };
        Self {
            heading: heading.map(|lines| lines.map(String::from)),
            rows: cards.iter().enumerate().map(row).collect(),
        }
    }

    /// The list in lettering of `size` mm, as wide as its words need, and no wider than `most` mm.
    pub fn set(&self, size: f64, most: f64) -> Set<'_> {
        let head = heading_size(size);
        let natural = |column: usize| {
            let heading = self.heading[column].iter().map(|words| font::width(words, head, false));
            let cells = self.rows.iter().map(|(_, cells)| match column.checked_sub(1) {
                Some(k) => cells[k].width(size),
                None => 0.0,
            });
            heading.chain(cells).fold(0.0, f64::max) + 2.0 * PAD
        };
        let mut widths: [f64; COLUMNS + 1] = std::array::from_fn(natural);
        let rest = most - widths[1..].iter().sum::<f64>();
        widths[0] = rest.max(NAMES * most);
        let names = self.rows.iter().map(|(name, _)| broken(name, size, false, widths[0] - 2.0 * PAD)).collect();
        Set { list: self, size, widths, names }
    }
}

/// Height of the heading's lettering, mm.
fn heading_size(size: f64) -> f64 {
    (HEADING * size).max(SMALL)
}

impl Cell {
    fn width(&self, size: f64) -> f64 {
        let apart = if self.sign.is_empty() { 0.0 } else { APART * size };
        font::width(&self.sign, size, true) + apart + font::width(&self.words, size, false)
    }
}

impl Set<'_> {
    /// How the worst of its names is broken into lines.
    pub fn broken(&self) -> Broken {
        let names = self.list.rows.iter().zip(&self.names).map(|((name, _), lines)| Broken::of(name, lines));
        names.max().unwrap_or(Broken::Nowhere)
    }

    /// Whether it is no wider than `width` mm, and each of its rows below the heading no higher than `height` mm.
    pub fn fits(&self, width: f64, height: f64) -> bool {
        let highest = (0..self.names.len()).map(|row| self.row_height(row)).fold(0.0, f64::max);
        self.widths.iter().sum::<f64>() <= width + 1e-9 && self.head_height() + highest <= height
    }

    fn head_height(&self) -> f64 {
        let mut heading = Group::default();
        self.heading(&mut heading, 0.0)
    }

    /// Writes the heading below `top`; how far down it reaches, mm.
    fn heading(&self, group: &mut Group, top: f64) -> f64 {
        let size = heading_size(self.size);
        let mut x = 0.0;
        let mut bottom = top;
        for (lines, width) in self.list.heading.iter().zip(self.widths) {
            let face = Face { height: size, anchor: Anchor::Middle, bold: false };
            let said: Vec<String> = lines.iter().filter(|words| !words.is_empty()).cloned().collect();
            bottom = face.set(group, Point::new(x + width / 2.0, top + OVER), &said).max(bottom);
            x += width;
        }
        bottom + OVER
    }

    /// Height of a row, mm.
    fn row_height(&self, row: usize) -> f64 {
        let mut name = Group::default();
        let face = Face::left(self.size, false);
        face.set(&mut name, Point::ORIGIN, &self.names[row]) + 2.0 * OVER
    }

    /// Pieces of the list, the first no higher than `first` mm and the others than `later`, but for one of a single row.
    pub fn pieces(&self, first: f64, later: f64) -> Vec<Block> {
        let mut parts: Vec<std::ops::Range<usize>> = Vec::new();
        let high =
            |rows: std::ops::Range<usize>| self.head_height() + rows.map(|row| self.row_height(row)).sum::<f64>();
        for row in 0..self.list.rows.len() {
            let room = if parts.len() <= 1 { first } else { later };
            match parts.last_mut() {
                Some(part) if high(part.start..row + 1) <= room => part.end = row + 1,
                _ => parts.push(row..row + 1),
            }
        }
        parts.into_iter().enumerate().map(|(i, rows)| self.draw(i, rows)).collect()
    }

    fn draw(&self, part: usize, rows: std::ops::Range<usize>) -> Block {
        let wide = self.widths.iter().sum::<f64>();
        let mut rules = Group::new(format!("kit-{}", part + 1), "table");
        let mut y = self.heading(&mut rules, 0.0);
        let mut groups = Vec::new();
        for row in rows {
            rules.line((0.0, y), (wide, y), Pen::Narrow);
            groups.extend(self.row(row, y));
            y += self.row_height(row);
        }
        rules.path([outline(Rect::new(0.0, 0.0, wide, y))], true, Pen::Wide, Fill::None);
        let mut x = 0.0;
        for width in &self.widths[..COLUMNS] {
            x += width;
            rules.line((x, 0.0), (x, y), Pen::Narrow);
        }
        groups.insert(0, rules);
        Block::figure(groups, y)
    }

    /// What stands in a row whose top is at `top`.
    fn row(&self, row: usize, top: f64) -> Vec<Group> {
        let (_, cells) = &self.list.rows[row];
        let mut name = Group::new(format!("kit-{}-name", row + 1), "table-cell");
        let face = Face::left(self.size, false);
        face.set(&mut name, Point::new(PAD, top + OVER), &self.names[row]);
        // Numbers stand on the line on which the name begins.
        let accent = self.names[row]
            .first()
            .map_or(0.0, |line| Text::new((0.0, 0.0), self.size, Anchor::Start, line.as_str()).accent());
        let y = top + OVER + accent + self.size;
        let mut groups = vec![name];
        let mut x = self.widths[0];
        for (k, (cell, width)) in cells.iter().zip(&self.widths[1..]).enumerate() {
            let mut group = match &cell.value {
                Some((id, value)) => Group::new(id.clone(), "table-value").with("value", value),
                None => Group::new(format!("kit-{}-{}", row + 1, k + 1), "table-cell"),
            };
            if !cell.sign.is_empty() {
                let at = x + width - PAD - cell.width(self.size);
                group.text(Text::new((at, y), self.size, Anchor::Start, cell.sign.as_str()).bold());
            }
            if !cell.words.is_empty() {
                group.text(Text::new((x + width - PAD, y), self.size, Anchor::End, cell.words.as_str()));
            }
            groups.push(group);
            x += width;
        }
        groups
    }
}
