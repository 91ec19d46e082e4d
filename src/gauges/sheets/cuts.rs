//! The plates for machines that cut: a layer for the cut, one for what is marked, one for where a stock is glued on.

use kurbo::Vec2;

use crate::drawing::layers::{Layer, LayerName, Shape};
use crate::gauges::Plate;
use crate::shape::polygon::{Outline, millimetres};

/// Space between plates, mm.
const APART: f64 = 10.0;
/// Colours of cut, marks and stock in the format's table: red, blue, green.
const COLOURS: [u8; 3] = [1, 5, 3];

/// Where the lower left corner of each plate lies, one above the other, mm.
pub fn origins(plates: &[Plate]) -> Vec<Vec2> {
    let above = |y: &mut f64, plate: &Plate| {
        let at = *y;
        *y += plate.size.height + APART;
        Some(Vec2::new(0.0, at))
    };
    plates.iter().scan(0.0, above).collect()
}

/// Name of the layer that a plate is cut along.
pub fn cut_layer(plate: &Plate) -> LayerName {
    LayerName::new(&format!("{}_cut", plate.name))
}

/// The layers of all plates.
pub fn layers(plates: &[Plate]) -> Vec<Layer> {
    plates.iter().zip(origins(plates)).flat_map(|(plate, origin)| of_plate(plate, origin)).collect()
}

fn of_plate(plate: &Plate, origin: Vec2) -> Vec<Layer> {
    let closed = |outline: &Outline| Shape::Polyline {
        points: outline.iter().map(|c| millimetres(*c) + origin).collect(),
        closed: true,
    };
    let text = |line: &crate::shape::lines::Line| Shape::Text {
        at: line.at + origin,
        height: plate.lettering.height,
        turn: if line.turned { 180.0 } else { 0.0 },
        words: line.words.clone(),
    };
    let marked = plate.marks.iter().map(closed).chain(plate.lettering.lines.iter().map(text)).collect();
    let [cut, mark, stock] = COLOURS;
    let layer = |name: LayerName, colour, dashed, shapes| Layer { name, colour, dashed, shapes };
    let named = |what: &str| LayerName::new(&format!("{}_{what}", plate.name));
    let all = [
        layer(cut_layer(plate), cut, false, vec![closed(&plate.outline)]),
        layer(named("mark"), mark, false, marked),
        layer(named("stock"), stock, true, plate.stock.iter().map(closed).collect()),
    ];
    all.into_iter().filter(|l| !l.shapes.is_empty()).collect()
}
