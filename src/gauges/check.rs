//! Checks the written files of a plate: every angle, curve and width, by rays through what a printer or a cutter gets.
//!
//! Each flank is met by rays at many places and a line is fitted to what they meet; an angle is that of two such lines.

use kurbo::Point;

use super::bevel::Notch;
use super::camber::{CHORD, Camber};
use super::plate::{STOCK_RISE, THICKNESS};
use super::section::{CutSection, Toward};
use super::square::{LEG, RELIEF, STOCK, Square};
use super::{Plate, Shape};
use crate::trig::{Inverse, Trig};

/// An angle may be this far from where it was meant in a file, degrees.
pub const ALLOWED_ANGLE: f64 = 0.01;
/// A length may be this far off, mm: the grid is 1 µm, and a file's numbers have less than a tenth of that more.
pub const ALLOWED: f64 = CHORD + 1e-4;
/// Rays a flank.
const RAYS: usize = 41;
/// How far rays keep from the ends of a flank, as a part of its length.
const CLEAR: f64 = 0.04;

/// What a number is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Unit {
    /// Degrees.
    Degrees,
    /// Millimetres.
    Mm,
}

/// A thing measured in a written file.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Reading {
    /// The file.
    pub file: String,
    /// What was measured.
    pub what: String,
    /// Its unit.
    pub unit: Unit,
    /// As it was meant.
    pub wanted: f64,
    /// As it is in the file.
    pub measured: f64,
}

impl Reading {
    /// How far it is off.
    pub fn difference(&self) -> f64 {
        (self.measured - self.wanted).abs()
    }

    /// How far it may be off.
    pub fn allowed(&self) -> f64 {
        match self.unit {
            Unit::Degrees => ALLOWED_ANGLE,
            Unit::Mm => ALLOWED,
        }
    }
}

/// Why a written file cannot be trusted. These are faults of the program, not of the user.
#[derive(Debug, thiserror::Error)]
pub enum Mismeasured {
    /// It is not an STL.
    #[error("{file}: it cannot be read back")]
    Unreadable {
        /// The file.
        file: String,
        /// Why.
        #[source]
        cause: std::io::Error,
    },
    /// A ray met nothing.
    #[error("{file}: nothing was met where {what} should be")]
    Missing {
        /// The file.
        file: String,
        /// What was looked for.
        what: String,
    },
    /// Something is not as it was meant.
    #[error("{}: {} is {:.5}, meant {:.5}; at most {} off is allowed", .0.file, .0.what, .0.measured, .0.wanted, .0.allowed())]
    Off(Reading),
}

/// Measures the STL of `plate`, whose axes were multiplied by `factors`.
///
/// # Errors
/// [`Mismeasured`].
pub fn stl(stl: &[u8], plate: &Plate, factors: [f64; 3]) -> Result<Vec<Reading>, Mismeasured> {
    let file = format!("{}.stl", plate.name);
    let at = |z: f64| {
        let unreadable = |cause| Mismeasured::Unreadable { file: file.clone(), cause };
        CutSection::of_stl(stl, factors, z).map_err(unreadable)
    };
    // Clear of the relief below and of the lettering above.
    let plan = at(THICKNESS / 2.0)?;
    let mut readings = section(&plan, plate, &file)?;
    if let Shape::Square(square) = &plate.shape {
        // The stock's face above the plate against the leg below it.
        let above = at(THICKNESS + STOCK_RISE / 2.0)?;
        readings.extend(inner_corner(&above, &plan, square, &Reader { file: &file, lead: "stock above the plate, " })?);
    }
    Ok(readings)
}

/// Measures a plan of `plate` that was read from `file`.
///
/// # Errors
/// [`Mismeasured`].
pub fn section(section: &CutSection, plate: &Plate, file: &str) -> Result<Vec<Reading>, Mismeasured> {
    let reader = Reader { file, lead: "" };
    match &plate.shape {
        Shape::Bevel(bevel) => {
            bevel.notches.iter().map(|n| notch(section, n, &reader)).collect::<Result<Vec<_>, _>>().map(|r| r.concat())
        }
        Shape::Camber(c) => camber(section, c, plate.size.width, &reader),
        Shape::Square(s) => {
            let mut readings = inner_corner(section, section, s, &reader)?;
            readings.extend(outer_corner(section, s, &reader)?);
            Ok(readings)
        }
    }
}

/// Makes readings of one file.
struct Reader<'a> {
    file: &'a str,
    lead: &'a str,
}

impl Reader<'_> {
    fn read(&self, what: &str, unit: Unit, wanted: f64, measured: f64) -> Result<Reading, Mismeasured> {
        let reading = Reading { file: self.file.into(), what: format!("{}{what}", self.lead), unit, wanted, measured };
        // Written so that what is no number fails.
        if reading.difference() <= reading.allowed() { Ok(reading) } else { Err(Mismeasured::Off(reading)) }
    }

    fn met<P: Into<Point>>(&self, cut: &CutSection, what: &str, from: P, toward: Toward) -> Result<f64, Mismeasured> {
        let missing = || Mismeasured::Missing { file: self.file.into(), what: format!("{}{what}", self.lead) };
        cut.met(from, toward).ok_or_else(missing)
    }
}

/// Places between two, clear of both.
fn places([from, to]: [f64; 2]) -> impl Iterator<Item = f64> {
    let step = (1.0 - 2.0 * CLEAR) / (RAYS - 1) as f64;
    (0..RAYS).map(move |i| from + (to - from) * (CLEAR + step * i as f64))
}

/// The line through points, `second = offset + slope · first`, by least squares; and how far the points leave it.
struct Line {
    slope: f64,
    offset: f64,
    straight: f64,
}

impl Line {
    fn through(points: &[[f64; 2]]) -> Self {
        let n = points.len() as f64;
        let mean = |i: usize| points.iter().map(|p| p[i]).sum::<f64>() / n;
        let [mx, my] = [mean(0), mean(1)];
        let product =
            |i: usize, j: usize| points.iter().map(|p| (p[i] - [mx, my][i]) * (p[j] - [mx, my][j])).sum::<f64>();
        let slope = product(0, 1) / product(0, 0);
        let offset = my - slope * mx;
        let straight = points.iter().map(|p| (p[1] - offset - slope * p[0]).abs()).fold(0.0, f64::max);
        Self { slope, offset, straight }
    }

    fn at(&self, first: f64) -> f64 {
        self.offset + self.slope * first
    }
}

/// The angle of a notch, how straight its flanks are, and where they would meet.
fn notch(section: &CutSection, notch: &Notch, reader: &Reader) -> Result<Vec<Reading>, Mismeasured> {
    let sense = if notch.turned { -1.0 } else { 1.0 };
    let (sin, cos) = notch.angle.to_radians().sine_cosine();
    let half = (notch.angle / 2.0).to_radians().tangent();
    let [to_flank, to_wall] = if notch.turned { [Toward::Left, Toward::Right] } else { [Toward::Right, Toward::Left] };
    let name = notch.name();
    // Points as height above the apex, and distance from it toward the flank.
    let side = |span: [f64; 2], toward: Toward| -> Result<Line, Mismeasured> {
        let point = |up: f64| {
            let inside = (half * up).min(notch.flank * sin / 2.0);
            let from = notch.apex + (sense * inside, sense * up);
            Ok([up, sense * (reader.met(section, &format!("notch {name}"), from, toward)? - notch.apex.x)])
        };
        Ok(Line::through(&places(span).map(point).collect::<Result<Vec<_>, _>>()?))
    };
    let flank = side([notch.relief * cos, notch.flank * cos], to_flank)?;
    let wall = side([notch.relief, notch.depth], to_wall)?;
    let meet = (wall.offset - flank.offset) / (flank.slope - wall.slope);
    let angle = (flank.slope.arctangent() - wall.slope.arctangent()).to_degrees();
    let straight = flank.straight.max(wall.straight);
    Ok(vec![
        reader.read(&format!("angle of notch {name}"), Unit::Degrees, notch.angle, angle)?,
        reader.read(&format!("waviness of notch {name}"), Unit::Mm, 0.0, straight)?,
        // How far from the apex is told less well the sharper the angle: what counts is across the flank.
        reader.read(&format!("place of notch {name}"), Unit::Mm, 0.0, (meet * sin).hypotenuse(wall.at(meet)))?,
    ])
}

/// The arc, its depth over the blade's width, and the straight side.
fn camber(section: &CutSection, camber: &Camber, width: f64, reader: &Reader) -> Result<Vec<Reading>, Mismeasured> {
    let above = camber.at(0.0).max(camber.at(width)) + 1.0;
    let top = |x: f64| reader.met(section, "the arc", (x, above), Toward::Down);
    let [middle, half] = [camber.middle.x, camber.curve.width / 2.0];
    let off = (0..=400)
        .map(|i| width * (0.001 + 0.998 * f64::from(i) / 400.0))
        .map(|x| Ok((top(x)? - camber.at(x)).abs()))
        .collect::<Result<Vec<f64>, Mismeasured>>()?;
    let depth = (top(middle - half)? + top(middle + half)?) / 2.0 - top(middle)?;
    let point = |x: f64| Ok([x, reader.met(section, "the straight side", (x, -1.0), Toward::Up)?]);
    let base = Line::through(&places([0.0, width]).map(point).collect::<Result<Vec<_>, Mismeasured>>()?);
    let left = reader.met(section, "the left side", (-1.0, 1.0), Toward::Right)?;
    let right = reader.met(section, "the right side", (width + 1.0, 1.0), Toward::Left)?;
    Ok(vec![
        reader.read("distance from the arc", Unit::Mm, 0.0, off.into_iter().fold(0.0, f64::max))?,
        reader.read("depth over the blade's width", Unit::Mm, camber.curve.depth, depth)?,
        reader.read("waviness of the straight side", Unit::Mm, 0.0, base.straight)?,
        reader.read("turn of the straight side", Unit::Degrees, 0.0, base.slope.arctangent().to_degrees())?,
        reader.read("width of the plate", Unit::Mm, width, right - left)?,
    ])
}

/// The angle between the stock's inner face, found in `stock`, and the leg's inner edge, found in `leg`.
fn inner_corner(
    stock: &CutSection,
    leg: &CutSection,
    square: &Square,
    reader: &Reader,
) -> Result<Vec<Reading>, Mismeasured> {
    let Point { x, y } = square.corner();
    // From inside the corner, further from each face than it is long.
    let face = |up: f64| Ok([y + up, reader.met(stock, "the stock's inner face", (x + 1.0, y + up), Toward::Left)?]);
    let edge =
        |along: f64| Ok([x + along, reader.met(leg, "the leg's inner edge", (x + along, y + 1.0), Toward::Down)?]);
    let face = Line::through(&places([RELIEF, square.face]).map(face).collect::<Result<Vec<_>, Mismeasured>>()?);
    let edge = Line::through(&places([RELIEF, square.leg]).map(edge).collect::<Result<Vec<_>, Mismeasured>>()?);
    let angle = 90.0 - (face.slope.arctangent() + edge.slope.arctangent()).to_degrees();
    Ok(vec![
        reader.read("inner angle", Unit::Degrees, 90.0, angle)?,
        reader.read("waviness of the inner faces", Unit::Mm, 0.0, face.straight.max(edge.straight))?,
        reader.read("width of the stock", Unit::Mm, STOCK, face.at(y + square.face / 2.0))?,
        reader.read("width of the leg", Unit::Mm, LEG, edge.at(x + square.leg / 2.0))?,
    ])
}

fn outer_corner(section: &CutSection, square: &Square, reader: &Reader) -> Result<Vec<Reading>, Mismeasured> {
    let left = |y: f64| Ok([y, reader.met(section, "the stock's outer face", (-1.0, y), Toward::Right)?]);
    let low = |x: f64| Ok([x, reader.met(section, "the leg's outer edge", (x, -1.0), Toward::Up)?]);
    let face = Line::through(&places([0.0, LEG + square.face]).map(left).collect::<Result<Vec<_>, Mismeasured>>()?);
    let edge = Line::through(&places([0.0, STOCK + square.leg]).map(low).collect::<Result<Vec<_>, Mismeasured>>()?);
    let angle = 90.0 - (face.slope.arctangent() + edge.slope.arctangent()).to_degrees();
    Ok(vec![
        reader.read("outer angle", Unit::Degrees, 90.0, angle)?,
        reader.read("waviness of the outer faces", Unit::Mm, 0.0, face.straight.max(edge.straight))?,
    ])
}
