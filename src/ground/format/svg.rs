//! SVG from a sheet, through the `svg` crate, but for the marks, of which there are thousands: sized in mm, with a viewBox
//! in mm.
//!
//! Every group keeps its id and its values as `data-` attributes with full digits. Coordinates have four decimals of a
//! millimetre. Letters are drawn by their outlines, which stand once in the file, so that it looks alike wherever it is
//! opened; the words lie over them as text that is not seen, to be searched, selected and read aloud.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::sync::OnceLock;

use kurbo::{BezPath, PathEl, Point, Rect};
use svg::node::element::{Definitions, Group as SvgGroup, Rectangle, Title};
use svg::node::{Blob, Text as SvgWords};
use svg::{Document, Node};

use crate::drawing::style::{Fill, Pen};
use crate::drawing::{Anchor, Group, Mark, Sheet, Text, arrow_corners};
use crate::shape::font;
use crate::trig::Trig;
use crate::units::{push_short, short};

/// Decimals of a coordinate, mm.
const DECIMALS: usize = 4;

fn n(value: f64) -> String {
    short(value, DECIMALS)
}

/// The sheet as an SVG file.
pub fn write(sheet: &Sheet) -> Vec<u8> {
    write_part(sheet, sheet.paper.area())
}

/// A part of the sheet, in mm, as an SVG file of the part's size.
pub fn write_part(sheet: &Sheet, part: Rect) -> Vec<u8> {
    let about = [("data-paper", sheet.paper.name()), ("data-scale", sheet.scale.as_str()), ("data-units", "mm")];
    document(&sheet.title, &sheet.groups, part, sheet.paper.area(), &about)
}

/// What is drawn within `area`, mm, on no sheet: a picture for a screen.
pub fn write_alone(title: &str, groups: &[Group], area: Rect) -> Vec<u8> {
    document(title, groups, area, area, &[])
}

fn document(title: &str, groups: &[Group], part: Rect, ground: Rect, about: &[(&str, &str)]) -> Vec<u8> {
    let [x, y, w, h] = [part.x0, part.y0, part.width(), part.height()];
    let mut document = Document::new()
        .set("width", format!("{}mm", n(w)))
        .set("height", format!("{}mm", n(h)))
        .set("viewBox", format!("{} {} {} {}", n(x), n(y), n(w), n(h)))
        .set("xmlns:xlink", "http://www.w3.org/1999/xlink")
        .set("font-family", "sans-serif")
        .set("stroke-linejoin", "round");
    for (name, value) in about {
        document = document.set(*name, *value);
    }
    let mut paper = Rectangle::new().set("width", n(ground.width())).set("height", n(ground.height()));
    if ground.origin() != Point::ORIGIN {
        paper = paper.set("x", n(ground.x0)).set("y", n(ground.y0));
    }
    let mut document = document.add(Title::new(title)).add(paper.set("fill", "#ffffff"));
    let letters = letters(groups);
    if !letters.is_empty() {
        document.append(Definitions::new().add(Blob::new(letters)));
    }
    for group in groups {
        document.append(node(group));
    }
    let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    // Writing to a string does not fail; nor does it below.
    let _ = writeln!(text, "{document}");
    text.into_bytes()
}

/// What an SVG file says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct About {
    /// Its title.
    pub title: String,
    /// Its width and height, mm.
    pub size: [f64; 2],
}

/// What a file that [`write()`] or [`write_part`] made says of itself; `None` of any other file.
pub fn about(file: &[u8]) -> Option<About> {
    let text = std::str::from_utf8(file).ok()?;
    let between = |text: &'static str, end: &'static str| {
        move |from: &str| -> Option<String> {
            let rest = &from[from.find(text)? + text.len()..];
            Some(rest[..rest.find(end)?].trim().to_string())
        }
    };
    let head = &text[text.find("<svg")?..];
    let side = |name: &'static str| between(name, "mm\"")(head)?.parse().ok();
    let title = between("<title>", "</title>")(head)?;
    // The ampersand last, so that nothing is read twice.
    let signs = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&apos;", "'"), ("&#39;", "'"), ("&amp;", "&")];
    let title = signs.iter().fold(title, |title, (written, sign)| title.replace(written, sign));
    Some(About { title, size: [side("width=\"")?, side("height=\"")?] })
}

impl Sheet {
    /// The sheet as SVG, sized in mm.
    pub fn svg(&self) -> Vec<u8> {
        write(self)
    }
}

fn node(group: &Group) -> SvgGroup {
    let mut out = SvgGroup::new().set("id", xml_id(&group.id)).set("class", group.class);
    for (name, value) in &group.data {
        out = out.set(format!("data-{name}"), value.as_str());
    }
    if !group.marks.is_empty() {
        out.append(Blob::new(marks(&group.marks)));
    }
    out
}

/// Marks as elements, their attributes by the alphabet as the library has them. To make a node of each took longer than
/// all else here.
fn marks(marks: &[Mark]) -> String {
    let mut text = String::new();
    for mark in marks {
        if !text.is_empty() {
            text.push('\n');
        }
        let text = &mut text;
        match mark {
            Mark::Line { from, to, pen } => {
                text.push_str("<line");
                push_stroke(text, *pen);
                push_numbers(text, &[("x1", from.x), ("x2", to.x), ("y1", from.y), ("y2", to.y)]);
                text.push_str("/>");
            }
            Mark::Path { contours, closed, pen, fill } => {
                text.push_str("<path d=\"");
                push_runs(text, contours, *closed);
                text.push('"');
                push_words(text, &[("fill", &colour(*fill)), ("fill-rule", "evenodd")]);
                push_stroke(text, *pen);
                text.push_str("/>");
            }
            Mark::Circle { centre, radius, pen, fill } => {
                text.push_str("<circle");
                push_numbers(text, &[("cx", centre.x), ("cy", centre.y)]);
                push_words(text, &[("fill", &colour(*fill))]);
                push_numbers(text, &[("r", *radius)]);
                push_stroke(text, *pen);
                text.push_str("/>");
            }
            Mark::Arc { centre, radius, angles, pen } => {
                text.push_str("<path");
                push_words(text, &[("d", &arc(*centre, *radius, *angles)), ("fill", "none")]);
                push_stroke(text, *pen);
                text.push_str("/>");
            }
            Mark::Arrow { tip, toward } => {
                text.push_str("<path d=\"");
                push_runs(text, &[arrow_corners(*tip, *toward).to_vec()], true);
                text.push_str("\" fill=\"#000000\" stroke=\"none\"/>");
            }
            Mark::Text(lettering) => {
                push_drawn(text, lettering);
                push_lettered(text, lettering);
            }
        }
    }
    text
}

/// Attributes of lengths, mm.
fn push_numbers(text: &mut String, attributes: &[(&str, f64)]) {
    for (name, value) in attributes {
        push_attribute(text, name, |text| push_short(text, *value, DECIMALS));
    }
}

/// Attributes of words that need no escape.
fn push_words(text: &mut String, attributes: &[(&str, &str)]) {
    for (name, value) in attributes {
        push_attribute(text, name, |text| text.push_str(value));
    }
}

fn push_attribute(text: &mut String, name: &str, value: impl FnOnce(&mut String)) {
    text.push(' ');
    text.push_str(name);
    text.push_str("=\"");
    value(text);
    text.push('"');
}

/// A name as an XML id: letters, digits, `-`, `_` and `.` stay, everything else becomes its code between
/// middle dots (a sign that names in XML may have), so that different names stay different.
fn xml_id(name: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    name.chars().map(|c| if plain(c) { c.to_string() } else { format!("·{:x}·", c as u32) }).collect()
}

fn push_stroke(text: &mut String, pen: Pen) {
    if pen == Pen::None {
        return push_words(text, &[("stroke", "none")]);
    }
    push_words(text, &[("stroke", "#000000")]);
    if !pen.dashes().is_empty() {
        let dashes = pen.dashes().iter().map(|&d| n(d)).collect::<Vec<_>>().join(" ");
        push_words(text, &[("stroke-dasharray", &dashes)]);
    }
    push_numbers(text, &[("stroke-width", pen.width())]);
}

fn colour(fill: Fill) -> String {
    fill.colour().map_or_else(|| "none".into(), |[r, g, b]| format!("#{r:02x}{g:02x}{b:02x}"))
}

fn push_runs(text: &mut String, contours: &[Vec<Point>], closed: bool) {
    for contour in contours {
        for (i, point) in contour.iter().enumerate() {
            text.push(if i == 0 { 'M' } else { 'L' });
            push_point(text, *point);
        }
        if closed {
            text.push('Z');
        }
    }
}

fn push_point(text: &mut String, Point { x, y }: Point) {
    push_short(text, x, DECIMALS);
    text.push(' ');
    push_short(text, y, DECIMALS);
}

fn arc(centre: Point, radius: f64, [from, to]: [f64; 2]) -> String {
    let at = |angle: f64| format!("{} {}", n(centre.x + radius * angle.cosine()), n(centre.y + radius * angle.sine()));
    let large = i32::from((to - from).abs() > std::f64::consts::PI);
    let sweep = i32::from(to > from);
    format!("M{}A{r} {r} 0 {large} {sweep} {}", at(from), at(to), r = n(radius))
}

/// The name under which the outline of a sign stands in the file.
fn push_letter_id(text: &mut String, sign: char, bold: bool) {
    text.push_str(if bold { "bold-" } else { "sign-" });
    let _ = write!(text, "{:x}", sign as u32);
}

/// The outlines of all signs of a sheet, each once, in units of the font.
fn letters(groups: &[Group]) -> String {
    let texts = groups.iter().flat_map(|group| &group.marks).filter_map(|mark| match mark {
        Mark::Text(text) => Some(text),
        _ => None,
    });
    let signs: BTreeSet<(bool, char)> =
        texts.flat_map(|text| text.words.chars().map(|sign| (text.bold, sign))).collect();
    let mut letters = String::new();
    for (bold, sign) in signs {
        let mut add = |outline: &str| {
            if !letters.is_empty() && !outline.is_empty() {
                letters.push('\n');
            }
            letters.push_str(outline);
        };
        match OUTLINES[usize::from(bold)].get(sign as usize) {
            Some(cell) => add(cell.get_or_init(|| letter(sign, bold))),
            None => add(&letter(sign, bold)),
        }
    }
    letters
}

/// What [`letter`] writes of the first signs of Unicode: every sheet asks for much the same ones.
static OUTLINES: [[OnceLock<String>; 256]; 2] = [const { [const { OnceLock::new() }; 256] }; 2];

/// The outline of a sign as it stands in a file; nothing for a space.
fn letter(sign: char, bold: bool) -> String {
    let (path, ..) = font::unscaled(sign, bold);
    if path.elements().is_empty() {
        return String::new();
    }
    let mut text = String::from("<path id=\"");
    push_letter_id(&mut text, sign, bold);
    text.push_str("\" d=\"");
    push_outline(&mut text, &path);
    text.push_str("\"/>");
    text
}

/// An outline in whole units, `y` down.
fn push_outline(text: &mut String, path: &BezPath) {
    let mut put = |command: char, points: &[Point]| {
        text.push(command);
        for (i, p) in points.iter().enumerate() {
            if i > 0 {
                text.push(' ');
            }
            push_point(text, Point::new(p.x, -p.y));
        }
    };
    for element in path {
        match element {
            PathEl::MoveTo(p) => put('M', &[p]),
            PathEl::LineTo(p) => put('L', &[p]),
            PathEl::QuadTo(a, p) => put('Q', &[a, p]),
            PathEl::CurveTo(a, b, p) => put('C', &[a, b, p]),
            PathEl::ClosePath => put('Z', &[]),
        }
    }
}

/// The letters of a text in their places, and the line's end.
fn push_drawn(text: &mut String, lettering: &Text) {
    let mut letters = String::new();
    let (mut x, mut per_em) = (0.0, 1.0);
    for sign in lettering.words.chars() {
        let letter = font::letter(sign, lettering.bold);
        if letter.is_seen {
            letters.push_str("<use xlink:href=\"#");
            push_letter_id(&mut letters, sign, lettering.bold);
            letters.push_str("\" x=\"");
            push_short(&mut letters, x, DECIMALS);
            letters.push_str("\"/>");
        }
        (x, per_em) = (x + letter.advance, letter.per_em);
    }
    let scale = font::size_for(lettering.height) / per_em;
    let start = match lettering.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -x / 2.0,
        Anchor::End => -x,
    };
    text.push_str("<g class=\"letters\" transform=\"translate(");
    push_point(text, lettering.at);
    if lettering.turn != 0.0 {
        text.push_str(") rotate(");
        push_short(text, lettering.turn, DECIMALS);
    }
    text.push_str(") scale(");
    push_short(text, scale, SCALE_DECIMALS);
    text.push_str(") translate(");
    push_short(text, start, DECIMALS);
    text.push_str(" 0)\">\n");
    text.push_str(&letters);
    text.push_str("\n</g>\n");
}

/// Decimals of the scale from units of the font to mm: a line of 2000 letters ends within 0.0001 mm.
const SCALE_DECIMALS: usize = 10;

/// The words themselves, which are not seen.
fn push_lettered(text: &mut String, lettering: &Text) {
    let anchor = match lettering.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    text.push_str("<text");
    push_numbers(text, &[("data-height", lettering.height)]);
    // Not every reader knows what is see-through, but all know what is not filled; a pointer still finds it.
    push_words(text, &[("fill", "none")]);
    push_numbers(text, &[("font-size", font::size_for(lettering.height))]);
    if lettering.bold {
        push_words(text, &[("font-weight", "bold")]);
    }
    push_words(text, &[("lengthAdjust", "spacingAndGlyphs"), ("pointer-events", "all"), ("text-anchor", anchor)]);
    push_numbers(text, &[("textLength", lettering.width())]);
    if lettering.turn != 0.0 {
        push_attribute(text, "transform", |text| {
            text.push_str("rotate(");
            push_short(text, lettering.turn, DECIMALS);
            text.push(' ');
            push_point(text, lettering.at);
            text.push(')');
        });
    }
    push_numbers(text, &[("x", lettering.at.x), ("y", lettering.at.y)]);
    text.push_str(">\n");
    // The library's own text, which escapes what has a meaning in XML.
    let _ = write!(text, "{}", SvgWords::new(lettering.words.as_str()));
    text.push_str("\n</text>");
}

#[cfg(test)]
mod tests {
    use super::xml_id;

    #[test]
    fn ids_are_valid_and_stay_apart() {
        assert_eq!(xml_id("dim-fence-plane-iron-32.5"), "dim-fence-plane-iron-32.5");
        assert_eq!(xml_id("old iron"), "old·20·iron");
        assert_ne!(xml_id("a_b"), xml_id("a b"));
    }
}
