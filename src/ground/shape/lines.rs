//! Lines of letters that a nozzle can print, with gaps that it keeps open.

use std::collections::HashMap;

use kurbo::{Point, Rect};
use unicode_normalization::UnicodeNormalization;

use super::font::Sign;
use super::letters;
use super::polygon::{Corner, Outline, Region, corner, microns, reversed};
use super::script;
use crate::trig::toward;
use crate::units::fixed;

/// What rounding to the grid may take of a gap, mm.
const GRID: f64 = 0.002;

/// How deep lettering is sunk or how high it is raised, mm: three common layers (our choice).
pub const RELIEF_DEPTH: f64 = 0.6;

/// Baselines of neighbouring lines are this many heights of capitals apart at least.
pub const PITCH: f64 = 1.5;

/// A line of lettering in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The words.
    pub words: String,
    /// Height of its capitals, mm.
    pub height: f64,
    /// Beginning of its baseline, mm.
    pub at: Point,
    /// Whether it is read from the far edge.
    pub turned: bool,
}

/// Lines that belong together.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// The lane's id; none of the block's mark.
    pub lane: Option<String>,
    /// Its lines.
    pub lines: Vec<Line>,
    /// What it covers with its frame, mm.
    pub extent: Rect,
    /// The frame around it, where it has one: its outer side is the label's extent.
    pub frame: Option<Frame>,
}

/// A rectangle with round corners drawn around a label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Width of its line, mm.
    pub width: f64,
    /// Radius of its outer corners, mm: larger than the line is wide.
    pub radius: f64,
}

impl Frame {
    /// The frame that a nozzle draws: a line of one and a half of its widths.
    pub fn of(nozzle: f64) -> Self {
        let width = (1.5 * nozzle).max(0.6);
        Self { width, radius: width + FRAME_ROUND }
    }

    /// Its two outlines about the extent of a label.
    fn region(self, extent: Rect) -> Region {
        let inner = Self::round(extent.inset(-self.width), self.radius - self.width);
        vec![Self::round(extent, self.radius), reversed(&inner)]
    }

    /// A rectangle with round corners, counter-clockwise.
    fn round(rect: Rect, radius: f64) -> Outline {
        let inner = rect.inset(-radius);
        let middles = [(inner.x1, inner.y1), (inner.x0, inner.y1), (inner.x0, inner.y0), (inner.x1, inner.y0)];
        let quarter = std::f64::consts::FRAC_PI_2;
        let around = |(i, middle): (usize, (f64, f64))| {
            (0..=FRAME_RUNS).map(move |k| {
                let turn = quarter * (i as f64 + k as f64 / FRAME_RUNS as f64);
                corner(Point::from(middle) + radius * toward(turn))
            })
        };
        middles.into_iter().enumerate().flat_map(around).collect()
    }
}

/// Radius of a frame's inner corners, mm.
const FRAME_ROUND: f64 = 1.0;
/// Straight runs of a round corner of a frame.
const FRAME_RUNS: usize = 6;

/// Width that labels keep from the raised middle's sides, mm: a wall of two and a half lines.
pub fn wall(nozzle: f64) -> f64 {
    (2.5 * nozzle).max(1.0)
}

/// Half the space between labels that stand back to back, mm.
pub fn half_gap(nozzle: f64) -> f64 {
    (0.75 * nozzle).max(0.6)
}

/// The smallest height, mm, at which `nozzle` prints the sign; none where even large ones do not print.
fn smallest(sign: char, nozzle: f64) -> Option<f64> {
    let first = first_height(nozzle);
    (0..TRIED).map(|i| first + STEP * f64::from(i)).find(|h| letters::known_to_print(sign, *h, nozzle))
}

/// Puts texts into signs that the nozzle prints; gives the least height of capitals for all of them, mm, and what had to
/// be changed.
///
/// Capitals and digits print smaller than small letters do, so all is in capitals (ß is SS). A letter that would ask for
/// larger lettering is transliterated (Ü is UE, Ł is L; see `script.rs`), else its accent is dropped; a sign that
/// does not print at all is dropped.
pub fn printable<'a>(texts: impl IntoIterator<Item = &'a mut String>, nozzle: f64) -> (f64, Vec<String>) {
    let mut notes = Vec::new();
    let first = first_height(nozzle);
    let mut heights: HashMap<char, Option<f64>> = HashMap::new();
    let mut height_of = |c: char| -> Option<f64> {
        *heights.entry(c).or_insert_with(|| letters::sign(c, first, nozzle).and_then(|_| smallest(c, nozzle)))
    };
    let mut least = first;
    for text in texts {
        let capitals = text.to_uppercase();
        let mut kept = String::new();
        for sign in capitals.chars() {
            if height_of(sign) == Some(first) {
                kept.push(sign);
                continue;
            }
            let base = || sign.nfd().find(|c| *c != sign && height_of(*c) == Some(first)).map(String::from);
            let plain = script::transliterated(sign).map(str::to_string).or_else(base);
            match (plain, height_of(sign)) {
                (Some(plain), _) => kept.push_str(&plain),
                (None, Some(height)) => {
                    least = least.max(height);
                    kept.push(sign);
                }
                (None, None) => {}
            }
        }
        if kept != capitals {
            // A word of signs that do not print leaves no space behind.
            kept = kept.split_whitespace().collect::<Vec<_>>().join(" ");
            notes.push(format!(
                "\"{text}\" is lettered as \"{kept}\": a nozzle of {} prints no finer signs",
                format_args!("{} mm", fixed(nozzle, 2))
            ));
        }
        *text = kept;
    }
    notes.sort();
    notes.dedup();
    (least, notes)
}

/// Lines in signs that the nozzle prints, and the least height of capitals for all of them, mm.
pub fn printable_lines(lines: &[String], nozzle: f64) -> (Vec<String>, f64) {
    let mut lines = lines.to_vec();
    let (least, _) = printable(&mut lines, nozzle);
    (lines, least)
}

/// Where the ink of a line begins and ends, from the beginning of its baseline, mm.
pub fn ink(words: &str, height: f64, nozzle: f64) -> [f64; 2] {
    let ink = Ink::of(words, height, nozzle);
    [ink.left, ink.right]
}

/// The polygons of a line.
pub fn polygons(line: &Line, nozzle: f64) -> Region {
    Polygons::default().of_line(line, nozzle)
}

/// What the ink of a line covers, from the beginning of its baseline, mm: sign is set beside sign, so far apart that a
/// nozzle keeps the gaps open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ink {
    /// Where it begins.
    pub left: f64,
    /// Where it ends.
    pub right: f64,
    /// Its lowest level, 0 or below: from the baseline.
    pub low: f64,
    /// Its highest level.
    pub high: f64,
    /// Where the next sign begins, if the nozzle keeps the gap before it open.
    next: f64,
    /// Whether any sign had ink.
    is_begun: bool,
}

impl Ink {
    /// No ink yet, of a line with capitals `height` mm high.
    pub fn none(height: f64) -> Self {
        Self { left: 0.0, right: 0.0, low: 0.0, high: height, next: 0.0, is_begun: false }
    }

    /// The ink of a line.
    pub fn of(words: &str, height: f64, nozzle: f64) -> Self {
        let mut ink = Self::none(height);
        for sign in words.chars() {
            ink.set(sign, height, nozzle);
        }
        ink
    }

    /// Sets one more sign; where it begins, if it has ink.
    pub fn set(&mut self, sign: char, height: f64, nozzle: f64) -> Option<f64> {
        let Sign { advance, extent } = letters::sign(sign, height, nozzle)?;
        let Some(extent) = extent else {
            self.next += advance;
            return None;
        };
        if self.is_begun {
            self.next += (nozzle + GRID - (self.next + extent.x0 - self.right)).max(0.0);
        } else {
            self.left = extent.x0;
            self.is_begun = true;
        }
        let from = self.next;
        self.right = from + extent.x1;
        self.low = self.low.min(extent.y0);
        self.high = self.high.max(extent.y1);
        self.next += advance;
        Some(from)
    }
}

/// Polygons of labels; those of a sign are made once.
#[derive(Debug, Default)]
pub struct Polygons {
    /// By sign and height, µm.
    signs: HashMap<(char, i32), Region>,
}

impl Polygons {
    /// The polygons of a label, its frame last.
    pub fn region_of(&mut self, label: &Label, nozzle: f64) -> Region {
        let mut region: Region = label.lines.iter().flat_map(|line| self.of_line(line, nozzle)).collect();
        region.extend(label.frame.iter().flat_map(|frame| frame.region(label.extent)));
        region
    }

    fn of_line(&mut self, line: &Line, nozzle: f64) -> Region {
        let mut region = Region::new();
        let [x, y] = corner(line.at);
        let mut ink = Ink::none(line.height);
        for sign in line.words.chars() {
            let Some(from) = ink.set(sign, line.height, nozzle) else { continue };
            let key = (sign, microns(line.height));
            let outlines = self.signs.entry(key).or_insert_with(|| letters::region(sign, line.height, nozzle));
            let from = microns(from);
            let place = |[px, py]: &Corner| {
                if line.turned { [x - from - px, y - py] } else { [x + from + px, y + py] }
            };
            region.extend(outlines.iter().map(|o| o.iter().map(place).collect()));
        }
        region
    }
}

/// Smaller capitals are hard to read at arm's length, mm.
const SMALLEST: f64 = 3.0;

/// Nozzle widths in the height of the smallest capitals and digits that it prints; tried before it is believed.
const NOZZLES: f64 = 7.4;

/// Heights beyond the smallest that are tried for a sign.
const TRIED: i32 = 24;

/// Heights of capitals are tried in such steps, mm.
pub const STEP: f64 = 0.25;

/// The height that the smallest lettering of a nozzle begins at, mm.
pub fn first_height(nozzle: f64) -> f64 {
    SMALLEST.max((NOZZLES * nozzle / STEP).ceil() * STEP)
}
