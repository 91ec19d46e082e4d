//! What was made of the gauges, for people and machines.

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::bevel::{Bevel, claim};
use super::camber::Camber;
use super::check::{Reading, Unit};
use super::files::Gauges;
use super::light::{KNIFE_EDGE, Making, VISIBLE};
use super::{Plate, Shape, Wanted};
use crate::format::columns::aligned;
use crate::format::marked;
use crate::units::{COARSE, EXACT, MINUTE, fixed, rounded_up, short};

/// The summary for people.
pub fn text(wanted: &Wanted, made: &Gauges) -> String {
    let mut text = String::new();
    for (plate, block) in made.plates.iter().zip(&made.blocks) {
        let (w, h) = plate.size.into();
        let sizes = wanted.written.sides([w, h, plate.height()], COARSE);
        text += &match wanted.making {
            Making::Printed => {
                let (mass, filament) = (wanted.print.mass(block.stack.volume()), wanted.print.filament.name());
                format!("{}: {sizes}, {} g of solid {filament}\n", plate.name, fixed(mass, 0))
            }
            Making::Metal => format!("{}: {sizes}, to be cut in metal\n", plate.name),
        };
        text += &match &plate.shape {
            Shape::Bevel(bevel) => angles(wanted, bevel),
            Shape::Camber(camber) => format!(
                "  {}; shows differences from {}\n",
                curve(wanted, camber),
                each_making(wanted, |making| wanted.said(making.tells()))
            ),
            Shape::Square(square) => format!(
                "  for blades up to {} wide; shows one corner of the edge behind the other from {}\n",
                wanted.said(square.width),
                each_making(wanted, |making| wanted.said(making.tells()))
            ),
        };
    }
    marked::practice(&(text + &differences(wanted, &made.readings) + &light(wanted) + &looks(&made.plates)))
}

/// A camber in words; the radius where it can be measured.
pub(super) fn curve(wanted: &Wanted, Camber { name, curve, .. }: &Camber) -> String {
    let [depth, width] = [curve.depth, curve.width].map(|mm| wanted.said(mm));
    let radius = curve.measurable_radius().map_or_else(String::new, |r| format!(", radius {}", wanted.said(r)));
    format!("{name}: {depth} deep over {width}{radius}")
}

/// What a gauge tells as it is made, and printed what it would tell in metal.
fn each_making(wanted: &Wanted, tells: impl Fn(Making) -> String) -> String {
    match wanted.making {
        Making::Printed => format!("{} if printed, {} if cut in metal", tells(Making::Printed), tells(Making::Metal)),
        Making::Metal => tells(Making::Metal),
    }
}

fn angles(wanted: &Wanted, bevel: &Bevel) -> String {
    let printed = wanted.making == Making::Printed;
    let mut heading = vec!["  bevel", "notch −", "notch +", "good to"];
    heading.extend(printed.then_some("in metal"));
    heading.extend(["gap", "blades from", "to"]);
    let mut rows = vec![heading.into_iter().map(String::from).collect()];
    for pair in bevel.notches.chunks(2) {
        let [lower, upper] = pair else { continue };
        let thinnest = bevel.thinnest([lower, upper], wanted.making);
        let mut row = vec![
            format!("  {}°", short(lower.bevel, 3)),
            format!("{}°", short(lower.angle, 3)),
            format!("{}°", short(upper.angle, 3)),
            format!("± {}°", short(lower.within, 2)),
        ];
        if printed {
            let [nozzle, asked] = [wanted.print.nozzle, wanted.tolerance];
            let claim = claim(lower.bevel, thinnest, asked, Making::Metal, nozzle);
            row.push(claim.map_or_else(|| "–".into(), |c| format!("± {}°", short(c.within, 2))));
        }
        let gap = [lower, upper].map(|n| n.rest(n.bevel, thinnest).gap);
        row.extend([wanted.written.length(gap[0].min(gap[1])), wanted.said(thinnest), wanted.said(bevel.thickness)]);
        rows.push(row);
    }
    aligned(&rows, 1)
}

/// From what the light is judged, and where more is claimed than was asked for, that it is.
fn light(wanted: &Wanted) -> String {
    let making = wanted.making;
    let mut text = format!(
        "Assumed: you see light through a gap of {} (five times the {} that show at a knife edge), and walls that are {} lie within {} of where they should (common practice, no source).\n",
        wanted.written.short(VISIBLE, MINUTE).said(),
        wanted.written.short(KNIFE_EDGE, MINUTE).said(),
        making.words(),
        wanted.written.short(making.stray(), EXACT).said()
    );
    if !wanted.bevels.is_empty() {
        text += &format!(
            "You asked for ± {}°. Where 'good to' is more, light cannot show less. Gap: what the thinnest blade shows when its bevel is right.\n",
            short(wanted.tolerance, 2)
        );
    }
    text
}

/// The largest differences in all written files.
fn differences(wanted: &Wanted, readings: &[Reading]) -> String {
    let files = match wanted.making {
        Making::Printed => "STL, SVG and DXF",
        Making::Metal => "SVG and DXF",
    };
    let most = |unit| readings.iter().filter(|r| r.unit == unit).map(Reading::difference).fold(0.0, f64::max);
    format!(
        "\nMeasured in the written {files}: {} angles, curves and widths, right within {}° and {}.\n",
        readings.len(),
        rounded_up(most(Unit::Degrees), 3),
        wanted.written.more(most(Unit::Mm), EXACT).said()
    )
}

/// What to look for, a line a kind of gauge.
fn looks(plates: &[Plate]) -> String {
    let mut text = String::new();
    let any = |is: fn(&Shape) -> bool| plates.iter().any(|p| is(&p.shape));
    if any(|s| matches!(s, Shape::Bevel(_))) {
        text += "Bevel: lay the back on the straight wall, push the blade in until it stops and look towards a light. Good: \
                 light at the hole in notch − and at the heel in notch +. Light at the heel in both: too shallow. At the \
                 hole in both: too steep.\n";
    }
    if any(|s| matches!(s, Shape::Camber(_))) {
        text += "Camber: hold the edge in the hollow, its corners at the marks. Light at the corners: too much camber. Light in the middle: too little.\n";
    }
    if any(|s| matches!(s, Shape::Square(_))) {
        text += "Square: hold the stock against the blade's side. Light at one corner of the edge: not square.\n";
    }
    text + "These gauges are calculated. Try each on a bevel that you have measured. Sharp edges cut.\n"
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
            "measures": measures(wanted.making, &plate.shape),
        })
    };
    let origins = crate::gauges::sheets::cuts::origins(&made.plates).into_iter();
    json!({
        "folder": folder.display().to_string(),
        "files": paths.iter().map(|p| p.display().to_string()).collect::<Vec<_>>(),
        "making": wanted.making,
        "file_scale": wanted.print.factors(false),
        "plates": made.plates.iter().zip(&made.blocks).map(plate).collect::<Vec<_>>(),
        "dxf_origins": origins.map(<(f64, f64)>::from).collect::<Vec<_>>(),
        "readings": made.readings,
    })
}

fn measures(making: Making, shape: &Shape) -> Value {
    match shape {
        Shape::Bevel(bevel) => json!({
            "thickness": bevel.thickness,
            "notches": bevel.notches.iter().map(|n| json!({
                "name": n.name(), "bevel": n.bevel, "angle": n.angle, "within": n.within, "apex": <(f64, f64)>::from(n.apex),
                "relief": n.relief, "flank": n.flank, "depth": n.depth, "turned": n.turned,
                "thinnest": n.thinnest(making),
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
