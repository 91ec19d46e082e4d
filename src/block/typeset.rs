//! Lettering set in lines: signs of several heights side by side on one baseline, rows below each other, and a large
//! word beside small rows.
//!
//! Far more lettering is tried than is taken, so words are measured once, as a [`Phrase`], and what is tried bears none.

use std::ops::Range;

use kurbo::{Rect, Size, Vec2};

use crate::shape::lines::{Ink, Line, PITCH};

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
    /// Its words; none where only its size was asked for.
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

/// Words of one height, measured once: the ink of all of them, and of each run of them that a line may have.
#[derive(Debug, Clone)]
pub struct Phrase {
    words: String,
    height: f64,
    whole: Ink,
    /// The words one space apart, as lines have them.
    spaced: String,
    /// The pieces of that, a word or what of it is between hyphens, and where each begins and ends.
    pieces: Vec<Range<usize>>,
    /// The pieces of each word.
    of_word: Vec<Range<usize>>,
    /// The ink of each run of pieces, by its first piece and how many follow that.
    runs: Vec<Vec<Ink>>,
}

impl Phrase {
    /// Measures words with capitals `height` mm high.
    pub fn new(words: &str, height: f64, nozzle: f64) -> Self {
        let (mut spaced, mut pieces, mut of_word) = (String::with_capacity(words.len()), Vec::new(), Vec::new());
        for word in words.split_whitespace() {
            if !spaced.is_empty() {
                spaced.push(' ');
            }
            let first = pieces.len();
            for piece in word.split_inclusive('-') {
                pieces.push(spaced.len()..spaced.len() + piece.len());
                spaced.push_str(piece);
            }
            of_word.push(first..pieces.len());
        }
        let runs_from = |first: usize| {
            let (mut ink, mut at) = (Ink::none(height), pieces[first].start);
            let longer = |piece: &Range<usize>| {
                for sign in spaced[at..piece.end].chars() {
                    ink.set(sign, height, nozzle);
                }
                at = piece.end;
                ink
            };
            pieces[first..].iter().map(longer).collect()
        };
        let runs = (0..pieces.len()).map(runs_from).collect();
        Self { words: words.to_string(), height, whole: Ink::of(words, height, nozzle), spaced, pieces, of_word, runs }
    }

    fn ink(&self, run: &Range<usize>) -> &Ink {
        &self.runs[run.start][run.len() - 1]
    }

    fn width_of(&self, run: &Range<usize>) -> f64 {
        let ink = self.ink(run);
        ink.right - ink.left
    }

    /// Width of the ink of all words on one line, mm.
    pub fn width(&self) -> f64 {
        self.whole.right - self.whole.left
    }

    /// Width of the widest word's ink, mm.
    pub fn widest_word(&self) -> f64 {
        self.of_word.iter().map(|word| self.width_of(word)).fold(0.0, f64::max)
    }

    /// The words in the fewest lines no wider than `most` mm, as even as those are, each by its run of pieces: broken
    /// between words, and after the hyphens of a word only where it alone is wider. Nothing where a part of it is wider
    /// still.
    pub fn wrapped(&self, most: f64) -> Option<Vec<Range<usize>>> {
        let mut parts: Vec<Range<usize>> = Vec::with_capacity(self.pieces.len());
        for word in &self.of_word {
            if self.width_of(word) <= most {
                parts.push(word.clone());
            } else {
                parts.extend(word.clone().map(|piece| piece..piece + 1));
            }
        }
        let widest = parts.iter().map(|part| self.width_of(part)).fold(0.0, f64::max);
        if parts.is_empty() || widest > most {
            return None;
        }
        let fill = |lines: &mut Vec<Range<usize>>, most: f64| {
            lines.clear();
            for part in &parts {
                match lines.last_mut() {
                    Some(line) if self.width_of(&(line.start..part.end)) <= most => line.end = part.end,
                    _ => lines.push(part.clone()),
                }
            }
        };
        let [mut best, mut narrower] = [(); 2].map(|()| Vec::with_capacity(parts.len()));
        fill(&mut best, most);
        for step in 1..=EVEN {
            fill(&mut narrower, most - (most - widest) * f64::from(step) / f64::from(EVEN));
            if narrower.len() > best.len() {
                break;
            }
            std::mem::swap(&mut best, &mut narrower);
        }
        Some(best)
    }
}

/// Sets lettering for a nozzle.
#[derive(Debug, Clone, Copy)]
pub struct Setter {
    nozzle: f64,
    /// Whether what it sets bears its words, else only its size.
    with_words: bool,
}

impl Setter {
    /// A setter for a nozzle, mm.
    pub fn new(nozzle: f64) -> Self {
        Self { nozzle, with_words: true }
    }

    /// The same for who asks for sizes only.
    pub fn of_sizes(self) -> Self {
        Self { with_words: false, ..self }
    }

    /// All words of a phrase on one line; nothing where they have no ink.
    pub fn text(self, phrase: &Phrase) -> Option<Typeset> {
        self.set(&phrase.words, phrase.height, phrase.whole)
    }

    /// A run of a phrase's pieces on one line; nothing where it has no ink.
    pub fn run(self, phrase: &Phrase, run: &Range<usize>) -> Option<Typeset> {
        let [first, last] = [run.start, run.end - 1].map(|piece| &phrase.pieces[piece]);
        self.set(&phrase.spaced[first.start..last.end], phrase.height, *phrase.ink(run))
    }

    fn set(self, words: &str, height: f64, Ink { left, right, low, high, .. }: Ink) -> Option<Typeset> {
        let placed = || Placed { words: words.to_string(), height, at: [-left, 0.0] };
        let words = if self.with_words { vec![placed()] } else { Vec::new() };
        (right > left).then_some(Typeset { width: right - left, high, low, capitals: height, down: 0.0, words })
    }

    /// Space beside small words of this height, mm.
    pub fn gap(self, small: f64) -> f64 {
        (BETWEEN * small).max(2.0 * self.nozzle)
    }

    /// Single lines side by side on one baseline.
    pub fn row(self, parts: impl IntoIterator<Item = Typeset>) -> Typeset {
        let mut row = Typeset::default();
        for part in parts {
            if row.capitals > 0.0 {
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
    pub fn column(self, rows: impl IntoIterator<Item = Typeset>) -> Typeset {
        self.spread(rows, 0.0)
    }

    /// The same with its first and last baseline at least `spread` mm apart.
    fn spread(self, rows: impl IntoIterator<Item = Typeset>, spread: f64) -> Typeset {
        let rows: Vec<Typeset> = rows.into_iter().collect();
        let pitch = |pair: &[Typeset]| {
            let [above, below] = pair else { return 0.0 };
            let clear = (CLEAR * below.capitals).max(self.nozzle);
            let gap = (PITCH - 1.0) * above.capitals.min(below.capitals);
            above.down + (gap + below.capitals).max(below.high - above.low + clear)
        };
        let between = rows.len().saturating_sub(1);
        let last = rows.last().map_or(0.0, |row| row.down);
        let nominal = rows.windows(2).map(pitch).sum::<f64>() + last;
        let more = if between == 0 { 0.0 } else { (spread - nominal).max(0.0) / between as f64 };
        let mut column = Typeset {
            width: rows.iter().map(|row| row.width).fold(0.0, f64::max),
            high: rows.first().map_or(0.0, |row| row.high),
            low: rows.last().map_or(0.0, |row| row.low),
            capitals: rows.first().map_or(0.0, |row| row.capitals),
            down: nominal + more * between as f64,
            words: Vec::new(),
        };
        if self.with_words {
            let pitches: Vec<f64> = rows.windows(2).map(|pair| pitch(pair) + more).collect();
            let mut down = 0.0;
            for (i, row) in rows.into_iter().enumerate() {
                let across = (column.width - row.width) / 2.0;
                column.words.extend(row.moved([across, down]));
                down += pitches.get(i).unwrap_or(&0.0);
            }
        }
        column
    }

    /// A word and small rows to its right that begin one below the other: as high together as the word's capitals are,
    /// or about its middle.
    pub fn beside(self, head: Typeset, rows: Vec<Typeset>) -> Typeset {
        let first = rows.first().map_or(0.0, |row| row.capitals);
        let mut column = self.spread(rows, head.capitals - first);
        for word in &mut column.words {
            word.at[0] = -Ink::of(&word.words, word.height, self.nozzle).left;
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
}

/// Steps in which lines are made narrower so that they are even.
const EVEN: i32 = 16;
