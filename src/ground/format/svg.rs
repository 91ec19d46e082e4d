//! SVG from a sheet, through the `svg` crate: sized in mm, with a viewBox in mm.
//!
//! Every group keeps its id and its values as `data-` attributes with full digits. Coordinates have four decimals of a
//! millimetre. Letters are drawn by their outlines, which stand once in the file, so that it looks alike wherever it is
//! opened; the words lie over them as text that is not seen, to be searched, selected and read aloud.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::sync::OnceLock;

use kurbo::{BezPath, PathEl, Point, Rect, Vec2};
use svg::node::Blob;
use svg::node::element::{Circle, Definitions, Group as SvgGroup, Line, Path, Rectangle, Text as SvgText, Title};
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
    text += &document.to_string();
    text.push('\n');
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
    for mark in &group.marks {
        match mark {
            Mark::Line { from, to, pen } => out.append(
                stroked(Line::new(), *pen)
                    .set("x1", n(from.x))
                    .set("y1", n(from.y))
                    .set("x2", n(to.x))
                    .set("y2", n(to.y)),
            ),
            Mark::Path { contours, closed, pen, fill } => {
                let path = Path::new()
                    .set("d", runs(contours, *closed))
                    .set("fill", colour(*fill))
                    .set("fill-rule", "evenodd");
                out.append(stroked(path, *pen));
            }
            Mark::Circle { centre, radius, pen, fill } => out.append(
                stroked(Circle::new(), *pen)
                    .set("cx", n(centre.x))
                    .set("cy", n(centre.y))
                    .set("r", n(*radius))
                    .set("fill", colour(*fill)),
            ),
            Mark::Arc { centre, radius, angles, pen } => {
                out.append(stroked(Path::new().set("d", arc(*centre, *radius, *angles)).set("fill", "none"), *pen));
            }
            Mark::Arrow { tip, toward } => out.append(arrow(*tip, *toward)),
            Mark::Text(text) => {
                out.append(drawn(text));
                out.append(lettered(text));
            }
        }
    }
    out
}

/// A name as an XML id: letters, digits, `-`, `_` and `.` stay, everything else becomes its code between
/// middle dots (a sign that names in XML may have), so that different names stay different.
fn xml_id(name: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    name.chars().map(|c| if plain(c) { c.to_string() } else { format!("·{:x}·", c as u32) }).collect()
}

/// Anything that takes attributes, with the pen's.
trait Stroke: Sized {
    fn put(self, name: &str, value: String) -> Self;
}

macro_rules! stroke {
    ($($element:ty),+) => {
        $(impl Stroke for $element {
            fn put(self, name: &str, value: String) -> Self {
                self.set(name, value)
            }
        })+
    };
}
stroke!(Line, Path, Circle);

fn stroked<S: Stroke>(element: S, pen: Pen) -> S {
    if pen == Pen::None {
        return element.put("stroke", "none".into());
    }
    let element = element.put("stroke", "#000000".into()).put("stroke-width", n(pen.width()));
    match pen.dashes() {
        [] => element,
        dashes => element.put("stroke-dasharray", dashes.iter().map(|&d| n(d)).collect::<Vec<_>>().join(" ")),
    }
}

fn colour(fill: Fill) -> String {
    fill.colour().map_or_else(|| "none".into(), |[r, g, b]| format!("#{r:02x}{g:02x}{b:02x}"))
}

fn runs(contours: &[Vec<Point>], closed: bool) -> String {
    let mut d = String::new();
    for contour in contours {
        for (i, point) in contour.iter().enumerate() {
            d.push(if i == 0 { 'M' } else { 'L' });
            push_point(&mut d, *point);
        }
        if closed {
            d.push('Z');
        }
    }
    d
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

fn arrow(tip: Point, toward: Vec2) -> Path {
    let corners = arrow_corners(tip, toward).to_vec();
    Path::new().set("d", runs(&[corners], true)).set("fill", "#000000").set("stroke", "none")
}

/// The name under which the outline of a sign stands in the file.
fn letter_id(sign: char, bold: bool) -> String {
    format!("{}{:x}", if bold { "bold-" } else { "sign-" }, sign as u32)
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
    format!("<path id=\"{}\" d=\"{}\"/>", letter_id(sign, bold), outline_of(&path))
}

/// An outline in whole units, `y` down.
fn outline_of(path: &BezPath) -> String {
    let mut d = String::new();
    let mut put = |command: char, points: &[Point]| {
        d.push(command);
        for (i, p) in points.iter().enumerate() {
            if i > 0 {
                d.push(' ');
            }
            push_point(&mut d, Point::new(p.x, -p.y));
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
    d
}

/// The letters of a text in their places.
fn drawn(text: &Text) -> SvgGroup {
    let (mut letters, mut x, mut per_em) = (String::new(), 0.0, 1.0);
    for sign in text.words.chars() {
        let letter = font::letter(sign, text.bold);
        if letter.is_seen {
            let _ = write!(letters, "<use xlink:href=\"#{}\" x=\"", letter_id(sign, text.bold));
            push_short(&mut letters, x, DECIMALS);
            letters.push_str("\"/>");
        }
        (x, per_em) = (x + letter.advance, letter.per_em);
    }
    let scale = font::size_for(text.height) / per_em;
    let start = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -x / 2.0,
        Anchor::End => -x,
    };
    let mut place = format!("translate({} {})", n(text.at.x), n(text.at.y));
    if text.turn != 0.0 {
        place += &format!(" rotate({})", n(text.turn));
    }
    place += &format!(" scale({}) translate({} 0)", short(scale, SCALE_DECIMALS), n(start));
    SvgGroup::new().set("class", "letters").set("transform", place).add(Blob::new(letters))
}

/// Decimals of the scale from units of the font to mm: a line of 2000 letters ends within 0.0001 mm.
const SCALE_DECIMALS: usize = 10;

fn lettered(text: &Text) -> SvgText {
    let anchor = match text.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let mut out = SvgText::new(text.words.as_str())
        .set("x", n(text.at.x))
        .set("y", n(text.at.y))
        .set("font-size", n(font::size_for(text.height)))
        .set("text-anchor", anchor)
        .set("textLength", n(text.width()))
        .set("lengthAdjust", "spacingAndGlyphs")
        // Not every reader knows what is see-through, but all know what is not filled; a pointer still finds it.
        .set("fill", "none")
        .set("pointer-events", "all")
        .set("data-height", n(text.height));
    if text.bold {
        out = out.set("font-weight", "bold");
    }
    if text.turn != 0.0 {
        out = out.set("transform", format!("rotate({} {} {})", n(text.turn), n(text.at.x), n(text.at.y)));
    }
    out
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
