//! DXF from layers of outlines, written by hand: release 12 in ASCII, which all readers of DXF know. In mm, y up.
//!
//! The format is pairs of lines: a group code, and a value. Release 12 has no code for a unit of length; `$INSUNITS`
//! and `$MEASUREMENT` are of later releases and are passed over by readers that do not know them. Coordinates have
//! eight decimals of a millimetre. (Group codes from memory of the published DXF reference; `tests/oracles/dxf.py` has
//! an independent reader judge them.)

use std::collections::BTreeSet;

use kurbo::{Circle, Point, Rect, Shape as _, Vec2};

use crate::drawing::layers::{Layer, Shape};
use crate::trig::Inverse;
use crate::units::fixed;

/// Decimals of a number.
const DECIMALS: usize = 8;

/// What is said where a drawing is given to those who cut by machine.
pub const CAUTION: &str = "At a router, a CNC machine or a laser: clamp the work, keep hands away from the cutter, and \
                           wear eye and ear protection. Run a laser closed, with its extractor on, and stay with it: it \
                           may start a fire. Never cut PVC with it, which gives off poisonous gas. Follow the machine's \
                           maker's instructions and local rules.";

/// Colour of a layer that names none: black on white, white on black.
const FOREGROUND: u8 = 7;

/// The layers as a DXF file. Shapes of layers of the same name come together, with the colour and lines of the first.
pub fn write(layers: &[Layer]) -> Vec<u8> {
    let mut file = File(String::new());
    header(&mut file, extents(layers));
    tables(&mut file, layers);
    file.section("ENTITIES");
    for layer in layers {
        for shape in &layer.shapes {
            draw(&mut file, layer.name.as_str(), shape);
        }
    }
    file.word(0, "ENDSEC").word(0, "EOF");
    file.0.into_bytes()
}

/// Pairs of group code and value, a line each, lines ended as where the format comes from.
struct File(String);

impl File {
    fn word(&mut self, code: u16, value: &str) -> &mut Self {
        self.0 += &format!("{code:>3}\r\n{value}\r\n");
        self
    }

    fn whole(&mut self, code: u16, value: u8) -> &mut Self {
        self.word(code, &value.to_string())
    }

    fn real(&mut self, code: u16, value: f64) -> &mut Self {
        self.word(code, &fixed(value, DECIMALS))
    }

    /// A point at height 0: release 12 wants all three coordinates.
    fn point(&mut self, code: u16, Point { x, y }: Point) -> &mut Self {
        self.real(code, x).real(code + 10, y).real(code + 20, 0.0)
    }

    fn section(&mut self, name: &str) -> &mut Self {
        self.word(0, "SECTION").word(2, name)
    }

    fn table(&mut self, name: &str, rows: usize) -> &mut Self {
        self.word(0, "TABLE").word(2, name).word(70, &rows.to_string())
    }

    fn entity(&mut self, kind: &str, layer: &str) -> &mut Self {
        self.word(0, kind).word(8, layer)
    }
}

fn header(file: &mut File, extents: Rect) {
    file.section("HEADER");
    file.word(9, "$ACADVER").word(1, "AC1009");
    file.word(9, "$INSUNITS").whole(70, 4);
    file.word(9, "$MEASUREMENT").whole(70, 1);
    file.word(9, "$EXTMIN").point(10, Point::new(extents.x0, extents.y0));
    file.word(9, "$EXTMAX").point(10, Point::new(extents.x1, extents.y1));
    file.word(0, "ENDSEC");
}

fn tables(file: &mut File, layers: &[Layer]) {
    file.section("TABLES");
    file.table("LTYPE", 2);
    line_type(file, "CONTINUOUS", "Solid line", &[]);
    line_type(file, "DASHED", "Dashed line", &[3.0, -1.0]);
    file.word(0, "ENDTAB");

    let mut names = BTreeSet::from(["0"]);
    let mut rows: Vec<&Layer> = layers.iter().collect();
    rows.retain(|layer| names.insert(layer.name.as_str()));
    file.table("LAYER", rows.len() + 1);
    // Every drawing has the layer 0.
    layer(file, "0", FOREGROUND, false);
    for row in rows {
        layer(file, row.name.as_str(), row.colour, row.dashed);
    }
    file.word(0, "ENDTAB");

    file.table("STYLE", 1);
    file.word(0, "STYLE").word(2, "STANDARD").whole(70, 0);
    file.real(40, 0.0).real(41, 1.0).real(50, 0.0).whole(71, 0).real(42, 2.5).word(3, "txt").word(4, "");
    file.word(0, "ENDTAB").word(0, "ENDSEC");
}

/// Dashes are positive, gaps negative, mm.
fn line_type(file: &mut File, name: &str, about: &str, dashes: &[f64]) {
    file.word(0, "LTYPE").word(2, name).whole(70, 0).word(3, about).whole(72, b'A');
    file.word(73, &dashes.len().to_string()).real(40, dashes.iter().map(|d| d.abs()).sum());
    for dash in dashes {
        file.real(49, *dash);
    }
}

fn layer(file: &mut File, name: &str, colour: u8, dashed: bool) {
    let colour = if colour == 0 { FOREGROUND } else { colour };
    file.word(0, "LAYER").word(2, name).whole(70, 0).whole(62, colour);
    file.word(6, if dashed { "DASHED" } else { "CONTINUOUS" });
}

fn draw(file: &mut File, layer: &str, shape: &Shape) {
    match shape {
        Shape::Polyline { points, closed } => {
            let corners: Vec<_> = points.iter().map(|p| (*p, 0.0)).collect();
            polyline(file, layer, &corners, *closed);
        }
        Shape::Slot { centres, radius } => polyline(file, layer, &slot(*centres, *radius), true),
        Shape::Circle { centre, radius } => {
            file.entity("CIRCLE", layer).point(10, *centre).real(40, *radius);
        }
        Shape::Line { from, to } => {
            file.entity("LINE", layer).point(10, *from).point(11, *to);
        }
        Shape::Text { at, height, turn, words } => {
            file.entity("TEXT", layer).point(10, *at).real(40, *height).word(1, &safe(words)).real(50, *turn);
        }
    }
}

/// A polyline by its corners, each with the bulge of the run that follows it: the tangent of a quarter of the run's
/// turn, counterclockwise positive, 0 for a straight one.
fn polyline(file: &mut File, layer: &str, corners: &[(Point, f64)], closed: bool) {
    file.entity("POLYLINE", layer).whole(66, 1).point(10, Point::ORIGIN).whole(70, u8::from(closed));
    for (at, bulge) in corners {
        file.entity("VERTEX", layer).point(10, *at);
        if *bulge != 0.0 {
            file.real(42, *bulge);
        }
    }
    file.entity("SEQEND", layer);
}

/// Counterclockwise from the right of the first centre, looking to the second; with no way between the centres it is a
/// circle in two halves.
fn slot([a, b]: [Point; 2], radius: f64) -> Vec<(Point, f64)> {
    let way = b - a;
    let length = way.x.hypotenuse(way.y);
    let along = if length > 0.0 { (radius * way.x / length, radius * way.y / length) } else { (radius, 0.0) };
    let beside = Vec2::from(along).turn_90();
    let halves = [(b - beside, 1.0), (b + beside, 0.0), (a + beside, 1.0), (a - beside, 0.0)];
    if length > 0.0 { halves.to_vec() } else { vec![halves[0], (halves[1].0, 1.0)] }
}

/// The box around all shapes, of lettering around its place alone.
fn extents(layers: &[Layer]) -> Rect {
    let mut reach: Option<Rect> = None;
    let mut take = |p: Point, r: f64| {
        let around = Circle::new(p, r).bounding_box();
        reach = Some(reach.map_or(around, |reach| reach.union(around)));
    };
    for shape in layers.iter().flat_map(|layer| &layer.shapes) {
        match shape {
            Shape::Polyline { points, .. } => points.iter().for_each(|p| take(*p, 0.0)),
            Shape::Slot { centres, radius } => centres.iter().for_each(|p| take(*p, *radius)),
            Shape::Circle { centre, radius } => take(*centre, *radius),
            Shape::Line { from, to } => [from, to].into_iter().for_each(|p| take(*p, 0.0)),
            Shape::Text { at, .. } => take(*at, 0.0),
        }
    }
    reach.unwrap_or_default()
}

/// Words in the ASCII that every reader shares: release 12 does not state the code page of its text. Degree, plus-minus
/// and diameter have codes of their own in the format (`%%d`, `%%p`, `%%c`), a percent sign is then `%%%`; signs with a
/// plain spelling get it, so that the simplest reader shows it; all others are written `\U+XXXX`, which later releases
/// define and which stays unambiguous elsewhere. Control characters become spaces.
fn safe(words: &str) -> String {
    let mut out = String::new();
    for c in words.chars() {
        match c {
            '%' => out += "%%%",
            '°' => out += "%%d",
            '±' => out += "%%p",
            'Ø' | '⌀' => out += "%%c",
            '×' => out.push('x'),
            '–' | '—' | '−' => out.push('-'),
            '…' => out += "...",
            '½' => out += "1/2",
            '≤' => out += "<=",
            '≥' => out += ">=",
            'µ' => out.push('u'),
            'α' => out += "alpha",
            'β' => out += "beta",
            'τ' => out += "tau",
            // A backslash and a caret would begin codes.
            '\\' | '^' => out += &escaped(c),
            ' '..='~' => out.push(c),
            c if c.is_control() => out.push(' '),
            c => out += &escaped(c),
        }
    }
    out
}

/// The code has four digits: a sign that needs more becomes a question mark.
fn escaped(sign: char) -> String {
    u16::try_from(u32::from(sign)).map_or_else(|_| "?".into(), |code| format!("\\U+{code:04X}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::layers::LayerName;

    /// The pairs of a file.
    fn pairs(bytes: &[u8]) -> Vec<(u16, String)> {
        let text = std::str::from_utf8(bytes).expect("ASCII");
        assert!(text.is_ascii());
        let lines: Vec<&str> = text.strip_suffix("\r\n").expect("whole lines").split("\r\n").collect();
        assert_eq!(lines.len() % 2, 0);
        lines.chunks(2).map(|p| (p[0].trim().parse().expect("a group code"), p[1].to_string())).collect()
    }

    fn layer(name: &str, shapes: Vec<Shape>) -> Layer {
        Layer { name: LayerName::new(name), colour: 1, dashed: true, shapes }
    }

    /// Values of a code, as numbers.
    fn numbers(pairs: &[(u16, String)], code: u16) -> Vec<f64> {
        pairs.iter().filter(|p| p.0 == code).map(|p| p.1.parse().expect("a number")).collect()
    }

    #[test]
    fn pairs_are_well_formed_and_sections_closed() {
        let all =
            pairs(&write(&[layer("cut", vec![Shape::Line { from: Point::new(0.0, 1.0), to: Point::new(2.0, -3.0) }])]));
        let marks = |word: &str| all.iter().filter(|p| p.0 == 0 && p.1 == word).count();
        assert_eq!((marks("SECTION"), marks("ENDSEC")), (3, 3));
        assert_eq!((marks("TABLE"), marks("ENDTAB")), (3, 3));
        assert_eq!(all.last(), Some(&(0, "EOF".into())));
        // Source: the DXF reference, from memory: AC1009 is release 12, $INSUNITS 4 mm.
        let at = |name: &str| &all[all.iter().position(|p| p.1 == name).expect(name) + 1];
        assert_eq!((at("$ACADVER").1.as_str(), at("$INSUNITS").1.as_str()), ("AC1009", "4"));
        assert_eq!(at("$EXTMIN").1.parse(), Ok(0.0));
    }

    #[test]
    fn half_circles_have_a_bulge_of_one() {
        // Source: the DXF reference, from memory: the bulge is tan(turn / 4); half a turn gives tan(45°) = 1.
        let slot = Shape::Slot { centres: [Point::new(10.0, 5.0), Point::new(10.0, 25.0)], radius: 2.5 };
        let all = pairs(&write(&[layer("slots", vec![slot])]));
        let start = all.iter().position(|p| p.1 == "POLYLINE").expect("a polyline");
        let first = all[start..].iter().position(|p| p.1 == "VERTEX").expect("a vertex") + start;
        assert_eq!(numbers(&all[first..], 42), [1.0, 1.0]);
        assert_eq!(numbers(&all[first..], 10), [12.5, 7.5, 7.5, 12.5]);
        assert_eq!(numbers(&all[first..], 20), [25.0, 25.0, 5.0, 5.0]);
        assert_eq!(numbers(&all[..start], 10), [7.5, 12.5], "extents");
        assert_eq!(numbers(&all[..start], 20), [2.5, 27.5], "extents");
        let round = Shape::Slot { centres: [Point::new(1.0, 1.0); 2], radius: 2.0 };
        let all = pairs(&write(&[layer("slots", vec![round])]));
        assert_eq!(numbers(&all[first..], 42), [1.0, 1.0]);
        assert_eq!(numbers(&all[first..], 20), [-1.0, 3.0]);
    }

    #[test]
    fn coordinates_keep_a_millionth_of_a_millimetre() {
        let points = vec![Point::new(1.0 / 3.0, -2.0 / 3.0), Point::new(1234.123456789, 0.0)];
        let all = pairs(&write(&[layer("a", vec![Shape::Polyline { points: points.clone(), closed: false }])]));
        for point in points {
            assert!(numbers(&all, 10).iter().any(|x| (x - point.x).abs() < 1e-8));
        }
    }

    #[test]
    fn layers_are_named_once_in_signs_that_are_allowed() {
        assert_eq!(LayerName::new("near edge-ü 25.5").as_str(), "NEAR_EDGE-__25_5");
        assert_eq!(LayerName::new("").as_str(), "_");
        assert_eq!(LayerName::new(&"long".repeat(20)).as_str().len(), 31);
        let circle = |x| vec![Shape::Circle { centre: Point::new(x, 0.0), radius: 1.0 }];
        let all = pairs(&write(&[layer("a b", circle(1.0)), layer("A_B", circle(2.0))]));
        assert_eq!(all.iter().filter(|p| *p == &(2, "A_B".into())).count(), 1);
        assert_eq!(all.iter().filter(|p| *p == &(8, "A_B".into())).count(), 2);
        let none = Layer { colour: 0, ..layer("none", vec![]) };
        assert_eq!(numbers(&pairs(&write(&[none])), 62), [7.0, 7.0]);
    }

    #[test]
    fn words_are_ascii() {
        assert_eq!(safe("25° ±0.5, Ø4.5 × 3 – 100%"), "25%%d %%p0.5, %%c4.5 x 3 - 100%%%");
        assert_eq!(safe("é\n^\\"), "\\U+00E9 \\U+005E\\U+005C");
        assert_eq!(safe("β ≤ 2.5 µm…"), "beta <= 2.5 um...");
        assert_eq!(safe("\u{1f528}"), "?");
    }
}
