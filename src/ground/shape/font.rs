//! The font that drawings and blocks are lettered in (DejaVu Sans Condensed): widths and outlines of its signs.
//!
//! Drawings are written with the outlines of their letters, so that they look alike where the font is not installed.

use std::sync::OnceLock;

use kurbo::{BezPath, Rect};
use ttf_parser::{Face, GlyphId, OutlineBuilder, name_id};

use super::repertoire::is_lettered;

/// The font's file, as it is compiled in.
pub fn font(bold: bool) -> &'static [u8] {
    if bold { dejavu::sans_condensed::bold() } else { dejavu::sans_condensed::regular() }
}

/// What a document that embeds the font says of it; lengths as parts of the font's size, `y` up from the baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct About {
    /// Its name for programs.
    pub name: String,
    /// The box around all its signs: left, low, right, high.
    pub extent: [f64; 4],
    /// How high its letters reach.
    pub ascent: f64,
    /// How low, below zero.
    pub descent: f64,
    /// Height of its capitals.
    pub capital: f64,
}

/// What is to be said of the font.
pub fn about(bold: bool) -> About {
    let m = metrics(bold);
    let em = |units: i16| f64::from(units) / m.per_em;
    let name = m.face.names().into_iter().find(|name| name.name_id == name_id::POST_SCRIPT_NAME && name.is_unicode());
    let all = m.face.global_bounding_box();
    About {
        name: name.and_then(|name| name.to_string()).unwrap_or_default(),
        extent: [all.x_min, all.y_min, all.x_max, all.y_max].map(em),
        ascent: em(m.face.ascender()),
        descent: em(m.face.descender()),
        capital: m.capital,
    }
}

/// How many signs, from the first of Unicode on, are measured once only: those of Latin letters, digits and most marks.
const REMEMBERED: usize = 256;

struct Metrics {
    face: Face<'static>,
    per_em: f64,
    capital: f64,
    /// Glyphs and advances of the first signs; a block or sheet asks for the same ones thousands of times.
    glyphs: [OnceLock<(u16, f64)>; REMEMBERED],
    signs: [OnceLock<Option<Sign>>; REMEMBERED],
    descend: [OnceLock<bool>; REMEMBERED],
    rise: [OnceLock<bool>; REMEMBERED],
    letters: [OnceLock<Letter>; REMEMBERED],
}

/// What `measure` says of a sign, remembered if there is a cell for it.
fn remembered<T: Copy>(cells: &[OnceLock<T>], sign: char, measure: impl FnOnce() -> T) -> T {
    match cells.get(sign as usize) {
        Some(cell) => *cell.get_or_init(measure),
        None => measure(),
    }
}

impl Metrics {
    /// The glyph of a sign, or of a question mark in its stead.
    fn glyph(&self, c: char) -> GlyphId {
        own_glyph(&self.face, c).or_else(|| own_glyph(&self.face, '?')).unwrap_or_default()
    }
}

/// The glyph of a sign that is lettered and that the font has.
fn own_glyph(face: &Face, sign: char) -> Option<GlyphId> {
    is_lettered(sign).then(|| face.glyph_index(sign)).flatten()
}

fn metrics(bold: bool) -> &'static Metrics {
    static PLAIN: OnceLock<Metrics> = OnceLock::new();
    static BOLD: OnceLock<Metrics> = OnceLock::new();
    let cell = if bold { &BOLD } else { &PLAIN };
    cell.get_or_init(|| {
        let face = Face::parse(font(bold), 0).expect("the font compiled in is sound");
        let per_em = f64::from(face.units_per_em());
        // The capital height of DejaVu fonts is 1493 of 2048 units.
        let capital = f64::from(face.capital_height().unwrap_or(1493)) / per_em;
        let (glyphs, signs) = ([const { OnceLock::new() }; REMEMBERED], [const { OnceLock::new() }; REMEMBERED]);
        let (descend, rise) = ([const { OnceLock::new() }; REMEMBERED], [const { OnceLock::new() }; REMEMBERED]);
        let letters = [const { OnceLock::new() }; REMEMBERED];
        Metrics { face, per_em, capital, glyphs, signs, descend, rise, letters }
    })
}

/// Font size, mm, at which capitals are `height` mm high.
pub fn size_for(height: f64) -> f64 {
    height / metrics(false).capital
}

/// `words` as they are drawn: with a minus sign for each hyphen that begins a number, as numbers in code have them.
pub fn with_minus_signs(words: &str) -> String {
    drawn(words).collect()
}

/// The same, sign by sign.
fn drawn(words: &str) -> impl Iterator<Item = char> {
    let (mut signs, mut before) = (words.chars().peekable(), ' ');
    std::iter::from_fn(move || {
        let sign = signs.next()?;
        let begins = sign == '-' && !before.is_alphanumeric() && !matches!(before, '-' | '=' | '.' | '_');
        before = sign;
        Some(if begins && signs.peek().is_some_and(char::is_ascii_digit) { '−' } else { sign })
    })
}

/// Width in mm of `words` as they are drawn, with capitals `height` mm high.
pub fn width(words: &str, height: f64, bold: bool) -> f64 {
    advanced(0.0, words, bold) * size_for(height)
}

/// How far lettering that came `from` somewhere comes with `words`, as parts of the font size.
fn advanced(from: f64, words: &str, bold: bool) -> f64 {
    let advance = |sum: f64, sign: char| sum + glyph(sign, bold).1;
    // Most words have no hyphen.
    if words.contains('-') { drawn(words).fold(from, advance) } else { words.chars().fold(from, advance) }
}

/// Part of the capitals' height that round letters such as O reach below the baseline, at most; what goes deeper descends.
const OVERSHOOT: f64 = 0.05;

/// Whether any of `words` reaches below the baseline, as g, a comma or a bracket do.
pub fn descends(words: &str, bold: bool) -> bool {
    let m = metrics(bold);
    words.chars().any(|sign| {
        remembered(&m.descend, sign, || {
            let box_ = m.face.glyph_bounding_box(m.glyph(sign));
            box_.is_some_and(|b| f64::from(b.y_min) < -OVERSHOOT * m.capital * m.per_em)
        })
    })
}

/// Part of the capitals' height that the letters b or l reach above them, at most; what goes higher bears an accent.
const ASCENDERS: f64 = 0.08;

/// Whether any of `words` reaches above capitals, as Å, Ž or é do.
pub fn rises(words: &str, bold: bool) -> bool {
    let m = metrics(bold);
    words.chars().any(|sign| {
        remembered(&m.rise, sign, || {
            let box_ = m.face.glyph_bounding_box(m.glyph(sign));
            box_.is_some_and(|b| f64::from(b.y_max) > (1.0 + ASCENDERS) * m.capital * m.per_em)
        })
    })
}

/// The glyph of `sign`, or of a question mark where the font has none, and its advance as a part of the font size.
pub fn glyph(sign: char, bold: bool) -> (u16, f64) {
    let m = metrics(bold);
    remembered(&m.glyphs, sign, || {
        let glyph = m.glyph(sign);
        (glyph.0, f64::from(m.face.glyph_hor_advance(glyph).unwrap_or(0)) / m.per_em)
    })
}

/// The outline of a sign, or of a question mark where the font has none, in units of the font, `y` up; with its advance
/// and how many units there are to the font's size. Empty for a space.
pub fn unscaled(sign: char, bold: bool) -> (BezPath, f64, f64) {
    let m = metrics(bold);
    let mut tracer = Tracer { path: BezPath::new(), start: 0.0, scale: 1.0 };
    let glyph = m.glyph(sign);
    let _ = m.face.outline_glyph(glyph, &mut tracer);
    (tracer.path, f64::from(m.face.glyph_hor_advance(glyph).unwrap_or(0)), m.per_em)
}

/// What a row of letters needs to know of one of them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Letter {
    /// Its advance, in units of the font.
    pub advance: f64,
    /// How many units there are to the font's size.
    pub per_em: f64,
    /// Whether it has an outline; a space has none.
    pub is_seen: bool,
}

/// A sign, or a question mark where the font has none, as a letter of a row.
pub fn letter(sign: char, bold: bool) -> Letter {
    remembered(&metrics(bold).letters, sign, || {
        let (path, advance, per_em) = unscaled(sign, bold);
        Letter { advance, per_em, is_seen: !path.elements().is_empty() }
    })
}

/// The outlines of `words` with capitals `height` mm high: `x` to the right from their beginning, `y` up from the
/// baseline, mm. They are filled where they wind at all.
pub fn outlines(words: &str, height: f64, bold: bool) -> BezPath {
    let m = metrics(bold);
    let mut tracer = Tracer { path: BezPath::new(), start: 0.0, scale: size_for(height) / m.per_em };
    for c in words.chars() {
        let glyph = m.glyph(c);
        // A sign without an outline, such as a space, only takes its width.
        let _ = m.face.outline_glyph(glyph, &mut tracer);
        tracer.start += f64::from(m.face.glyph_hor_advance(glyph).unwrap_or(0));
    }
    tracer.path
}

/// A sign with capitals 1 mm high, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sign {
    /// Its width with the space beside it.
    pub advance: f64,
    /// The box around its outline, the beginning of its baseline at zero and `y` up; none of a space.
    pub extent: Option<Rect>,
}

/// The measures of a sign; `None` where the font lacks it.
pub fn sign(sign: char, bold: bool) -> Option<Sign> {
    let m = metrics(bold);
    remembered(&m.signs, sign, || measured(m, sign))
}

fn measured(m: &Metrics, sign: char) -> Option<Sign> {
    let glyph = own_glyph(&m.face, sign)?;
    let scale = size_for(1.0) / m.per_em;
    let mm = |units: i16| f64::from(units) * scale;
    Some(Sign {
        advance: f64::from(m.face.glyph_hor_advance(glyph).unwrap_or(0)) * scale,
        extent: m.face.glyph_bounding_box(glyph).map(|r| Rect::new(mm(r.x_min), mm(r.y_min), mm(r.x_max), mm(r.y_max))),
    })
}

/// Takes the outlines of glyphs, which are in units of the font.
struct Tracer {
    path: BezPath,
    /// Where the glyph begins.
    start: f64,
    /// A unit in mm.
    scale: f64,
}

impl Tracer {
    fn place(&self, x: f32, y: f32) -> (f64, f64) {
        ((self.start + f64::from(x)) * self.scale, f64::from(y) * self.scale)
    }
}

impl OutlineBuilder for Tracer {
    fn move_to(&mut self, x: f32, y: f32) {
        self.path.move_to(self.place(x, y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.path.line_to(self.place(x, y));
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.path.quad_to(self.place(x1, y1), self.place(x, y));
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.path.curve_to(self.place(x1, y1), self.place(x2, y2), self.place(x, y));
    }

    fn close(&mut self) {
        self.path.close_path();
    }
}

/// Whether no line ends between two words: numbers stay with their units and fractions, `=`, `×` and `±` with what they
/// stand between or before.
pub fn stay_together(before: &str, word: &str) -> bool {
    const UNITS: [&str; 9] = ["mm", "in", "%", "g", "cm³", "in³", "N", "µm", "×"];
    let bare = word.trim_end_matches(['.', ',', ';', ':', ')', ']']);
    let number = before.ends_with(|c: char| c.is_ascii_digit() || c == ')' || c == ']');
    let whole = before.trim_start_matches(['[', '(', '±']);
    let is_count = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    let fraction = is_count(whole) && bare.split_once('/').is_some_and(|(part, of)| is_count(part) && is_count(of));
    before.ends_with('=')
        || word == "="
        || before == "×"
        || before.trim_start_matches('(') == "±"
        || (number && (word == "±" || UNITS.contains(&bare)))
        || fraction
}

/// `words` broken into lines no wider than `most` mm: between words, but for those that [stay
/// together](stay_together), and within a word only where it alone is wider.
pub fn wrap(words: &str, height: f64, most: f64) -> Vec<String> {
    wrap_after(words, height, [most, most])
}

/// `words` broken into lines of a text whose first line follows a lead, in lettering of `height` mm: the first line no
/// wider than `first`, the others than `rest`, mm. What stays together in [`wrap`] does so here.
pub fn wrap_after(words: &str, height: f64, [first, rest]: [f64; 2]) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    let mut before = "";
    for word in words.split_whitespace() {
        match pieces.last_mut() {
            Some(piece) if stay_together(before, word) => {
                piece.push(' ');
                piece.push_str(word);
            }
            _ => pieces.push(word.to_string()),
        }
        before = word;
    }
    let mut lines: Vec<String> = Vec::new();
    // How far the last line has come.
    let mut end = 0.0;
    for word in &pieces {
        let most = if lines.len() == 1 { first } else { rest };
        let with_word = advanced(advanced(end, " ", false), word, false);
        match lines.last_mut() {
            Some(line) if with_word * size_for(height) <= most => {
                line.push(' ');
                line.push_str(word);
                end = with_word;
            }
            _ => {
                lines.extend(broken(word, height, rest));
                end = lines.last().map_or(0.0, |line| advanced(0.0, line, false));
            }
        }
    }
    lines
}

/// A word in pieces no wider than `most` mm: itself if it goes, else broken behind its hyphens and strokes, and only where
/// a piece is still too wide between any two letters.
fn broken(word: &str, height: f64, most: f64) -> Vec<String> {
    if width(word, height, false) <= most {
        return vec![word.to_string()];
    }
    let mut lines: Vec<String> = Vec::new();
    for part in word.split_inclusive(['-', '–', '/', '_']) {
        match lines.last_mut() {
            Some(line) if width(&format!("{line}{part}"), height, false) <= most => line.push_str(part),
            _ => lines.push(String::new()),
        }
        let Some(line) = lines.last_mut().filter(|line| line.is_empty()) else { continue };
        line.push_str(part);
    }
    lines.iter().flat_map(|line| letters_within(line, height, most)).collect()
}

fn letters_within(word: &str, height: f64, most: f64) -> Vec<String> {
    let mut lines = vec![String::new()];
    for sign in word.chars() {
        match lines.last_mut() {
            Some(line) if line.is_empty() || width(&format!("{line}{sign}"), height, false) <= most => line.push(sign),
            _ => lines.push(sign.to_string()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::runs;

    #[test]
    fn signs_stay_with_what_they_stand_between() {
        let words = "± angle: expanded uncertainty, k = 2.";
        for most in [22.0, 30.0, 40.0, 50.0] {
            let lines = wrap(words, 2.5, most);
            assert_eq!(lines.join(" "), words);
            assert!(lines.iter().any(|line| line.contains("k = 2.")) && lines[0].starts_with("± angle"), "{lines:?}");
        }
    }

    #[test]
    fn letters_that_descend_are_told_from_those_that_stand() {
        for sign in "gjpqy,;()[]{}|/QÇşµφ".chars() {
            assert!(descends(&sign.to_string(), false), "{sign}");
        }
        for sign in "abcdefhiklmnorstuvwxzAOUÜ0369±°=–.:éИ".chars() {
            assert!(!descends(&sign.to_string(), false), "{sign}");
        }
    }

    #[test]
    fn accents_over_capitals_and_high_ones_over_small_letters_rise() {
        for sign in "ÅÖŽĚŮÉĞåé".chars() {
            assert!(rises(&sign.to_string(), false) && rises(&sign.to_string(), true), "{sign}");
        }
        for sign in "ABCbdfhklö0369±°()[]/×ÇŢ".chars() {
            assert!(!rises(&sign.to_string(), false), "{sign}");
        }
    }

    #[test]
    fn every_sign_the_drawings_use_has_a_glyph() {
        for c in "0123456789.,:;±°Ø×−–—…µ≤≥/()βατABCabcé".chars() {
            assert!(own_glyph(&metrics(false).face, c).is_some(), "{c}");
            assert!(own_glyph(&metrics(true).face, c).is_some(), "{c}");
        }
    }

    #[test]
    fn outlines_have_the_height_and_width_that_are_said() {
        for bold in [false, true] {
            let points = runs(&outlines("HI", 7.0, bold), 0.001).concat();
            let most = points.iter().fold(Rect::ZERO, |all, p| all.union_pt(*p));
            assert!((most.y1 - 7.0).abs() < 1e-9, "{most}");
            assert!(most.x1 < width("HI", 7.0, bold) && most.x1 > width("H", 7.0, bold));
        }
        assert!(outlines(" ", 7.0, false).elements().is_empty());
    }

    #[test]
    fn text_is_wrapped_and_no_sign_of_it_is_lost() {
        let lines = wrap("one two three four", 2.5, width("one two", 2.5, false) + 0.01);
        assert_eq!(lines[0], "one two");
        for most in [4.0, 10.0, 20.0, 60.0] {
            let words = "an extraordinarily-long-hyphenated Donaudampfschifffahrtsgesellschaft/name 0[-0[-1]plane";
            let lines = wrap(words, 2.5, most);
            let drawn = |line: &String| with_minus_signs(line).chars().map(|sign| glyph(sign, false).1).sum::<f64>();
            assert!(lines.iter().all(|line| drawn(line) * size_for(2.5) <= most), "{lines:?}");
            assert_eq!(lines.concat().replace(' ', ""), words.replace(' ', ""));
        }
        assert_eq!(wrap("narrow-side-clamp", 2.5, width("narrow-side-", 2.5, false)), ["narrow-side-", "clamp"]);
    }
}
