//! What was made of the gauges, for people and machines.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::bevel::Bevel;
use super::check::{Reading, Unit};
use super::files::Gauges;
use super::{Plate, Shape, Wanted};
use crate::format::columns::aligned;
use crate::units::{fixed, short};

/// The summary for people.
pub fn text(wanted: &Wanted, made: &Gauges) -> String {
    let mut text = String::new();
    for (plate, block) in made.plates.iter().zip(&made.blocks) {
        let (w, h) = plate.size.into();
        let mass = wanted.print.mass(block.stack.volume());
        let sizes = [w, h, plate.height()].map(|mm| fixed(mm, 1)).join(" × ");
        text +=
            &format!("{}: {sizes} mm, {} g of solid {}\n", plate.name, fixed(mass, 0), wanted.print.filament.name());
        text += &match &plate.shape {
            Shape::Bevel(bevel) => angles(plate, bevel, &made.readings),
            Shape::Camber(camber) => format!(
                "  {}: {} deep over {}, radius {}; measured {} mm deep\n",
                camber.name,
                wanted.said(camber.curve.depth),
                wanted.said(camber.curve.width),
                wanted.said(camber.curve.radius()),
                measured(plate, "depth over the blade's width", &made.readings, 4)
            ),
            Shape::Square(square) => format!(
                "  for blades up to {} wide; measured {}° inside, {}° outside\n",
                wanted.said(square.width),
                measured(plate, "inner angle", &made.readings, 4),
                measured(plate, "outer angle", &made.readings, 4)
            ),
        };
    }
    text + &differences(&made.readings) + &looks(&made.plates)
}

fn measured(plate: &Plate, what: &str, readings: &[Reading], decimals: usize) -> String {
    let file = format!("{}.stl", plate.name);
    let found = readings.iter().find(|r| r.file == file && r.what == what);
    found.map_or_else(|| "–".into(), |r| fixed(r.measured, decimals))
}

fn angles(plate: &Plate, bevel: &Bevel, readings: &[Reading]) -> String {
    let mut rows =
        vec![["  bevel", "notch −", "measured", "gap", "notch +", "measured", "gap"].map(String::from).to_vec()];
    for pair in bevel.notches.chunks(2) {
        let mut row = vec![format!("  {}°", short(pair[0].bevel, 3))];
        for notch in pair {
            row.push(format!("{}°", short(notch.angle, 3)));
            row.push(format!("{}°", measured(plate, &format!("angle of notch {}", notch.name()), readings, 4)));
            row.push(format!("{} mm", fixed(notch.rest(notch.bevel, bevel.thickness).gap, 3)));
        }
        rows.push(row);
    }
    aligned(&rows, 1)
}

/// The largest differences in all written files.
fn differences(readings: &[Reading]) -> String {
    let most = |unit| readings.iter().filter(|r| r.unit == unit).map(Reading::difference).fold(0.0, f64::max);
    format!(
        "\nMeasured in the written STL, SVG and DXF: {} angles, curves and widths, largest differences {}° and {} mm.\n",
        readings.len(),
        fixed(most(Unit::Degrees), 5),
        fixed(most(Unit::Mm), 5)
    )
}

/// What to look for, a line a kind of gauge.
fn looks(plates: &[Plate]) -> String {
    let mut text = String::new();
    let any = |is: fn(&Shape) -> bool| plates.iter().any(|p| is(&p.shape));
    if any(|s| matches!(s, Shape::Bevel(_))) {
        text += "Bevel: back on the straight wall, pushed in until it stops, against the light. Within the tolerance when \
                 light shows at the hole in the notch − and at the heel in the notch +; at the heel in both it is too \
                 shallow, at the hole in both too steep. The gaps above are those of the thickest blade, its bevel just \
                 as wanted.\n";
    }
    if any(|s| matches!(s, Shape::Camber(_))) {
        text += "Camber: the edge in the hollow, corners at the marks. Light at the corners: too much camber; in the \
                 middle: too little.\n";
    }
    if any(|s| matches!(s, Shape::Square(_))) {
        text += "Square: the stock on the blade's side. Light at one corner of the edge: not square.\n";
    }
    text + "Computed, not tried at a bench: try each gauge on a bevel that you have measured. Sharp edges cut.\n"
}

/// The summary for machines, full digits.
pub fn json(wanted: &Wanted, made: &Gauges, folder: &Path, paths: &[PathBuf]) -> Value {
    let plate = |(plate, block): (&Plate, &crate::solid::Solid)| {
        json!({
            "name": plate.name,
            "kind": plate.shape.words(),
            "size": <(f64, f64)>::from(plate.size),
            "height": plate.height(),
            "volume": block.stack.volume(),
            "mass": wanted.print.mass(block.stack.volume()),
            "measures": measures(&plate.shape),
        })
    };
    let origins = crate::gauges::sheets::cuts::origins(&made.plates).into_iter();
    json!({
        "folder": folder.display().to_string(),
        "files": paths.iter().map(|p| p.display().to_string()).collect::<Vec<_>>(),
        "file_scale": wanted.print.factors(false),
        "plates": made.plates.iter().zip(&made.blocks).map(plate).collect::<Vec<_>>(),
        "dxf_origins": origins.map(<(f64, f64)>::from).collect::<Vec<_>>(),
        "readings": made.readings,
    })
}

fn measures(shape: &Shape) -> Value {
    match shape {
        Shape::Bevel(bevel) => json!({
            "tolerance": bevel.tolerance,
            "thickness": bevel.thickness,
            "notches": bevel.notches.iter().map(|n| json!({
                "name": n.name(), "bevel": n.bevel, "angle": n.angle, "apex": <(f64, f64)>::from(n.apex),
                "relief": n.relief, "flank": n.flank, "depth": n.depth, "turned": n.turned, "thinnest": n.thinnest(),
                "gap": n.rest(n.bevel, bevel.thickness).gap,
            })).collect::<Vec<_>>(),
        }),
        Shape::Camber(camber) => json!({
            "name": camber.name, "width": camber.curve.width, "depth": camber.curve.depth,
            "radius": camber.curve.radius(), "middle": <(f64, f64)>::from(camber.middle),
        }),
        Shape::Square(square) => json!({
            "width": square.width, "leg": square.leg, "face": square.face, "corner": <(f64, f64)>::from(square.corner()),
        }),
    }
}
