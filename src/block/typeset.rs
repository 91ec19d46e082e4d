//! Lettering set in lines: signs of several heights side by side on one baseline, rows below each other, and a large
//! word beside small rows.

use std::cell::RefCell;
use std::collections::HashMap;
use std::rc::Rc;

use kurbo::{Rect, Size, Vec2};

use crate::shape::lines::{Line, PITCH, Spaced};

/// Least clear height between the ink of two rows, heights of the lower one's capitals.
const CLEAR: f64 = 0.35;
/// Space between words of different heights, heights of the smaller capitals.
const BETWEEN: f64 = 0.9;

/// Lines that have their places among each other.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Typeset {
    /// Width of its ink, mm.
    pub width: f64,
    /// How far its ink reaches above the first baseline, mm.
    high: f64,
    /// How far it reaches above the last baseline, mm: 0 or below.
    low: f64,
    /// Height of the first row's capitals, mm.
    capitals: f64,
    /// From the first baseline down to the last, mm.
    down: f64,
    words: Vec<Placed>,
}

/// Words of one height.
#[derive(Debug, Clone, PartialEq)]
struct Placed {
    words: String,
    height: f64,
    /// Where their baseline begins: from the ink's left, and from the first baseline down, mm.
    at: [f64; 2],
}

impl Typeset {
    /// Size of its ink, mm.
    pub fn size(&self) -> Size {
        Size::new(self.width, self.high + self.down - self.low)
    }

    /// Its lines where its ink covers `extent`.
    pub fn lines(self, extent: Rect, turned: bool) -> Vec<Line> {
        let middle = self.size().to_vec2() / 2.0;
        let high = self.high;
        let place = |word: Placed| {
            let [x, down] = word.at;
            let from_middle = Vec2::new(x - middle.x, middle.y - high - down);
            let at = extent.center() + if turned { -from_middle } else { from_middle };
            Line { words: word.words, height: word.height, at, turned }
        };
        self.words.into_iter().map(place).collect()
    }

    fn moved(self, by: [f64; 2]) -> impl Iterator<Item = Placed> {
        self.words.into_iter().map(move |w| Placed { at: [w.at[0] + by[0], w.at[1] + by[1]], ..w })
    }
}

/// Words as they are spaced at a height, mm.
type AtHeight = (f64, Rc<Spaced>);

/// Sets lettering for a nozzle; what it measured once it knows.
#[derive(Debug)]
pub struct Setter {
    nozzle: f64,
    known: RefCell<HashMap<String, Vec<AtHeight>>>,
}

impl Setter {
    /// A setter for a nozzle, mm.
    pub fn new(nozzle: f64) -> Self {
        Self { nozzle, known: RefCell::default() }
    }

    fn spaced(&self, words: &str, height: f64) -> Rc<Spaced> {
        let mut known = self.known.borrow_mut();
        let heights = known.entry(words.to_string()).or_default();
        if let Some((_, spaced)) = heights.iter().find(|(h, _)| *h == height) {
            return spaced.clone();
        }
        let spaced = Rc::new(Spaced::new(words, height, self.nozzle));
        heights.push((height, spaced.clone()));
        spaced
    }

    /// Words on one line; nothing where they have no ink.
    pub fn text(&self, words: &str, height: f64) -> Option<Typeset> {
        let Spaced { left, right, low, high, .. } = *self.spaced(words, height);
        let placed = Placed { words: words.to_string(), height, at: [-left, 0.0] };
        let text = Typeset { width: right - left, high, low, capitals: height, down: 0.0, words: vec![placed] };
        (right > left).then_some(text)
    }

    /// Space beside small words of this height, mm.
    pub fn gap(&self, small: f64) -> f64 {
        (BETWEEN * small).max(2.0 * self.nozzle)
    }

    /// Single lines side by side on one baseline.
    pub fn row(&self, parts: impl IntoIterator<Item = Typeset>) -> Typeset {
        let mut row = Typeset::default();
        for part in parts {
            if !row.words.is_empty() {
                row.width += self.gap(part.capitals.min(row.capitals));
            }
            let from = row.width;
            row.width += part.width;
            row.high = row.high.max(part.high);
            row.low = row.low.min(part.low);
            row.capitals = row.capitals.max(part.capitals);
            row.words.extend(part.moved([from, 0.0]));
        }
        row
    }

    /// Rows below each other, each in the middle.
    pub fn column(&self, rows: impl IntoIterator<Item = Typeset>) -> Typeset {
        self.spread(rows, 0.0)
    }

    /// The same with its first and last baseline at least `spread` mm apart.
    fn spread(&self, rows: impl IntoIterator<Item = Typeset>, spread: f64) -> Typeset {
        let rows: Vec<Typeset> = rows.into_iter().collect();
        let pitches: Vec<f64> = rows
            .windows(2)
            .map(|pair| {
                let [above, below] = pair else { return 0.0 };
                let clear = (CLEAR * below.capitals).max(self.nozzle);
                let gap = (PITCH - 1.0) * above.capitals.min(below.capitals);
                above.down + (gap + below.capitals).max(below.high - above.low + clear)
            })
            .collect();
        let last = rows.last().map_or(0.0, |row| row.down);
        let nominal = pitches.iter().sum::<f64>() + last;
        let more = if pitches.is_empty() { 0.0 } else { (spread - nominal).max(0.0) / pitches.len() as f64 };
        let mut column = Typeset {
            width: rows.iter().map(|row| row.width).fold(0.0, f64::max),
            high: rows.first().map_or(0.0, |row| row.high),
            low: rows.last().map_or(0.0, |row| row.low),
            capitals: rows.first().map_or(0.0, |row| row.capitals),
            down: nominal + more * pitches.len() as f64,
            words: Vec::new(),
        };
        let mut down = 0.0;
        let pitches = pitches.into_iter().map(Some).chain([None]);
        for (row, pitch) in rows.into_iter().zip(pitches) {
            let across = (column.width - row.width) / 2.0;
            column.words.extend(row.moved([across, down]));
            down += pitch.map_or(0.0, |pitch| pitch + more);
        }
        column
    }

    /// A word and small rows to its right that begin one below the other: as high together as the word's capitals are,
    /// or about its middle.
    pub fn beside(&self, head: Typeset, rows: Vec<Typeset>) -> Typeset {
        let first = rows.first().map_or(0.0, |row| row.capitals);
        let mut column = self.spread(rows, head.capitals - first);
        for word in &mut column.words {
            word.at[0] = -self.spaced(&word.words, word.height).left;
        }
        let gap = self.gap(first);
        // Level of the head's baseline above the first row's.
        let level = (column.capitals - column.down - head.capitals) / 2.0;
        let bottom = (column.low - column.down).min(level + head.low);
        let mut all = Typeset {
            width: head.width + gap + column.width,
            high: column.high.max(level + head.high),
            low: bottom + column.down,
            capitals: column.capitals,
            down: column.down,
            words: Vec::new(),
        };
        let from = head.width + gap;
        all.words.extend(head.moved([0.0, -level]));
        all.words.extend(column.moved([from, 0.0]));
        all
    }

    /// Words in the fewest lines no wider than `most` mm, as even as those are: broken between words, and after the
    /// hyphens of a word only where it alone is wider. Nothing where a part of it is wider still.
    pub fn wrapped(&self, words: &str, height: f64, most: f64) -> Option<Vec<String>> {
        let wide = |words: &str| self.width(words, height);
        // Each part with what stands between it and the one before it.
        let mut parts: Vec<(&str, &str)> = Vec::new();
        for word in words.split_whitespace() {
            if wide(word) <= most {
                parts.push((" ", word));
                continue;
            }
            for (i, part) in word.split_inclusive('-').enumerate() {
                parts.push((if i == 0 { " " } else { "" }, part));
            }
        }
        let widest = parts.iter().map(|(_, part)| wide(part)).fold(0.0, f64::max);
        if parts.is_empty() || widest > most {
            return None;
        }
        let filled = |most: f64| -> Vec<String> {
            let mut lines: Vec<String> = Vec::new();
            for (between, part) in &parts {
                match lines.last_mut() {
                    Some(line) if wide(&format!("{line}{between}{part}")) <= most => {
                        line.push_str(between);
                        line.push_str(part);
                    }
                    _ => lines.push((*part).to_string()),
                }
            }
            lines
        };
        let mut best = filled(most);
        for step in 1..=EVEN {
            let narrower = filled(most - (most - widest) * f64::from(step) / f64::from(EVEN));
            if narrower.len() > best.len() {
                break;
            }
            best = narrower;
        }
        Some(best)
    }

    /// Width of the widest word's ink, mm.
    pub fn widest_word(&self, words: &str, height: f64) -> f64 {
        words.split_whitespace().map(|word| self.width(word, height)).fold(0.0, f64::max)
    }

    /// Width of the ink of words on one line, mm.
    pub fn width(&self, words: &str, height: f64) -> f64 {
        let line = self.spaced(words, height);
        line.right - line.left
    }
}

/// Steps in which lines are made narrower so that they are even.
const EVEN: i32 = 16;
