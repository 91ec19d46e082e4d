//! SVG from a sheet, through the `svg` crate: sized in mm, with a viewBox in mm.
//!
//! Every group keeps its id and its values as `data-` attributes with full digits. Coordinates have four decimals of a
//! millimetre. All lettering is text, with its width, so that a viewer without the font keeps the space.

use kurbo::{Point, Rect, Vec2};
use svg::node::element::{Circle, Group as SvgGroup, Line, Path, Rectangle, Text as SvgText, Title};
use svg::{Document, Node};

use crate::drawing::style::{Fill, Pen};
use crate::drawing::{Anchor, Group, Mark, Sheet, Text, arrow_corners};
use crate::shape::font;
use crate::units::short;

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
    let [x, y, w, h] = [part.x0, part.y0, part.width(), part.height()];
    let ground = sheet.paper.extent();
    let mut document = Document::new()
        .set("width", format!("{}mm", n(w)))
        .set("height", format!("{}mm", n(h)))
        .set("viewBox", format!("{} {} {} {}", n(x), n(y), n(w), n(h)))
        .set("font-family", font::FAMILY)
        .set("stroke-linejoin", "round")
        .set("data-paper", sheet.paper.name())
        .set("data-scale", sheet.scale.as_str())
        .set("data-units", "mm")
        .add(Title::new(sheet.title.as_str()))
        .add(Rectangle::new().set("width", n(ground.width)).set("height", n(ground.height)).set("fill", "#ffffff"));
    for group in &sheet.groups {
        document.append(node(group));
    }
    let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    text += &document.to_string();
    text.push('\n');
    text.into_bytes()
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
            Mark::Text(text) => out.append(lettered(text)),
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
        for (i, Point { x, y }) in contour.iter().enumerate() {
            d += &format!("{}{} {}", if i == 0 { "M" } else { "L" }, n(*x), n(*y));
        }
        if closed {
            d.push('Z');
        }
    }
    d
}

fn arc(centre: Point, radius: f64, [from, to]: [f64; 2]) -> String {
    let at = |angle: f64| format!("{} {}", n(centre.x + radius * angle.cos()), n(centre.y + radius * angle.sin()));
    let large = i32::from((to - from).abs() > std::f64::consts::PI);
    let sweep = i32::from(to > from);
    format!("M{}A{r} {r} 0 {large} {sweep} {}", at(from), at(to), r = n(radius))
}

fn arrow(tip: Point, toward: Vec2) -> Path {
    let corners = arrow_corners(tip, toward).to_vec();
    Path::new().set("d", runs(&[corners], true)).set("fill", "#000000").set("stroke", "none")
}

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
