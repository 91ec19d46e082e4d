//! The square: a plate with two legs, the stock standing higher.
//!
//! The stock's inner face lies on the blade's side. Face down, with the plate on the blade's flat back, the other leg
//! shows at a glance whether the edge runs along it; held against the light, whether a gap opens. The inner corner is
//! relieved, so that a blade's corner finds room and no nozzle rounds it.

use kurbo::{Point, Size};

use super::plate::{Lettering, Plate, ink_width};
use super::{Refused, Wanted, name};
use crate::shape::lines;
use crate::shape::polygon::{self, Corner, Outline};
use crate::trig::toward;
use crate::units::{COARSE, EXACT, FINE};

/// Width of the stock, mm.
pub const STOCK: f64 = 16.0;
/// Width of the leg along the edge, mm.
pub const LEG: f64 = 14.0;
/// Radius of the hole in the inner corner, mm.
pub const RELIEF: f64 = 1.5;
/// How far the leg reaches past the widest blade, mm.
const PAST: f64 = 5.0;
/// Length of the stock's inner face as a part of the leg's, and its limits, mm.
const FACE: (f64, [f64; 2]) = (0.7, [40.0, 90.0]);
/// Least width of a blade, mm.
const NARROWEST: f64 = 3.0;
/// Shortest leg, mm.
const SHORTEST: f64 = 35.0;
/// Chords of a quarter of the hole.
const QUARTER: usize = 8;

/// The measures of the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Square {
    /// Widest blade, mm.
    pub width: f64,
    /// Length of the leg's inner edge, mm.
    pub leg: f64,
    /// Length of the stock's inner face, mm.
    pub face: f64,
}

impl Square {
    /// Where the two inner faces would meet on the plate, mm.
    pub fn corner(&self) -> Point {
        Point::new(STOCK, LEG)
    }
}

/// The plate, where it is wanted.
///
/// # Errors
/// [`Refused`] where the width is out of range or the bed and paper too small.
pub fn plates(wanted: &Wanted) -> Result<Vec<Plate<Square>>, Refused> {
    let Some(width) = wanted.square_width else { return Ok(Vec::new()) };
    let room = wanted.room();
    let widest = room.width - STOCK - PAST;
    if !(NARROWEST..=widest).contains(&width) {
        return Err(Refused(vec![format!(
            "a square for blades {} wide: {} to {} goes on this bed and paper",
            wanted.written.short(width, EXACT).said(),
            wanted.written.short(NARROWEST, FINE),
            wanted.written.short(widest, COARSE).said()
        )]));
    }
    let leg = (width + PAST).max(SHORTEST).min(room.width - STOCK).ceil();
    let (part, [least, most]) = FACE;
    let face = (part * leg).clamp(least, most).min(room.height - LEG).ceil();
    Ok(vec![plate(wanted, Square { width, leg, face })])
}

fn plate(wanted: &Wanted, square: Square) -> Plate<Square> {
    let inner = square.corner();
    let Point { x, y } = inner;
    let [right, top] = [x + square.leg, y + square.face];
    let corner = |x: f64, y: f64| polygon::corner((x, y));
    // Round the hole from the leg through the plate to the stock, clockwise.
    let hole: Vec<Corner> = (0..=3 * QUARTER)
        .map(|i| -std::f64::consts::FRAC_PI_2 * i as f64 / QUARTER as f64)
        .map(|angle| polygon::corner(inner + RELIEF * toward(angle)))
        .collect();
    let past = [corner(x, top), corner(0.0, top)];
    let start = [corner(0.0, 0.0), corner(right, 0.0), corner(right, y)];
    let outline = Outline::through([&start[..], &hole, &past].concat());
    // The stock: up to its inner face, and below the hole down to the plate's lower side.
    let start = [corner(0.0, 0.0), corner(x, 0.0)];
    let stock = Outline::through([&start[..], &hole[QUARTER..], &past].concat());
    let nozzle = wanted.print.nozzle;
    let (words, height) =
        lines::printable_lines(&["90°".into(), format!("to {}", wanted.lettered(square.width))], nozzle);
    let mut lettering = Lettering { height, ..Lettering::default() };
    let room = square.leg - RELIEF - 4.0;
    let middle = x + RELIEF + 2.0 + room / 2.0;
    let whole = words.join("  ");
    let fits = |line: &str| ink_width(line, height, nozzle) <= room;
    if let Some(line) = [whole.as_str(), words[0].as_str()].into_iter().find(|line| fits(line)) {
        lettering.centred(line, (middle, (y - height) / 2.0), nozzle);
    }
    let (name, size) = (name("square", 0, 1), Size::new(right, top));
    Plate { name, shape: square, size, outline, stock: Some(stock), marks: Vec::new(), lettering }
}
