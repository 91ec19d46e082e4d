//! The bevel gauge: for each angle two notches, one wider than the bevel may be and one narrower.
//!
//! ```text
//!        back   slot             The plate from above, one notch. The blade is put into the slot edge first, its
//!   ──────┐     ┌──────          back flat on the left wall, and pushed down until it stops. The slot's floor is
//!         │     │                the flank, at the notch's angle θ to that wall; where both would meet there is a
//!         │    ╱                 hole, so that the edge touches nothing and a nozzle rounds no corner that counts.
//!         │  ╱  flank
//!         (o)  hole
//! ```
//!
//! With the back on its wall, `u` along it from the point where wall and flank would meet, a bevel β from edge to heel
//! of length `L = t/sin β` comes to rest at one end of the flank:
//!
//! ```text
//! θ > β   at the hole's rim, ρ from that point; the gap opens to the heel:
//!         edge at u = −ρ sin(θ − β)/sin β, gap at the heel L sin(θ − β) + u sin θ
//! θ < β   at the heel; the gap opens to the hole and the edge:
//!         edge at u = t sin(β − θ)/(sin θ sin β), gap at the rim (t/sin θ − ρ) sin(β − θ),
//!         or u sin θ at an edge that stops short of the hole
//! ```
//!
//! So light at the heel in the notch of `β + tolerance` and at the hole in that of `β − tolerance` says that the bevel
//! is within the tolerance. Lines that a printer draws too wide move both flanks inward by the same, which leaves the
//! angle between them.

use kurbo::{Point, Size};
use std::f64::consts::TAU;

use super::plate::{Lettering, Plate, ink_width, turned};
use super::{Refused, Wanted, name};
use crate::shape::lines;
use crate::shape::polygon::{Corner, Outline, corner, microns};
use crate::solve::ANGLE_RANGE;
use crate::units::short;

/// Tolerances that a notch can tell, ± degrees.
pub const TOLERANCES: [f64; 2] = [0.1, 3.0];
/// Thicknesses of blades, mm.
pub const THICKNESSES: [f64; 2] = [0.5, 25.0];
/// Smallest radius of a hole, mm.
const SMALLEST_HOLE: f64 = 1.0;
/// How far the flank runs past the heel of the thickest blade, mm.
const PAST_HEEL: f64 = 2.0;
/// How far the wall for the back runs past the heel of the thickest blade, mm: it is what the blade is held against.
const BACK: f64 = 9.0;
/// Least bevel that must show beside the hole, mm.
const SHOWN: f64 = 1.5;
/// Least material between notches, and beside the outermost, mm.
const WALL: f64 = 5.0;
/// Chords of a hole's rim.
const RIM: usize = 36;
/// Ends of a flank that are tried for the truest direction on the grid, µm.
const TRIED: i32 = 400;

/// Which limit a notch stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The bevel less the tolerance: the blade must be stopped by its heel.
    Lower,
    /// The bevel and the tolerance: the blade must go in to the hole.
    Upper,
}

impl Limit {
    /// Its sign, as the plate says it.
    pub fn sign(self) -> &'static str {
        match self {
            Limit::Lower => "−",
            Limit::Upper => "+",
        }
    }
}

/// A notch.
#[derive(Debug, Clone, PartialEq)]
pub struct Notch {
    /// The bevel angle it is for, degrees.
    pub bevel: f64,
    /// Which of its limits.
    pub limit: Limit,
    /// Its own angle, degrees.
    pub angle: f64,
    /// Where its flanks would meet, mm.
    pub apex: Point,
    /// Radius of its hole, mm.
    pub relief: f64,
    /// Length of the flank from the apex, mm.
    pub flank: f64,
    /// Length of the wall for the back from the apex, mm.
    pub depth: f64,
    /// Whether it opens toward the plate's lower side.
    pub turned: bool,
}

impl Notch {
    /// Thinnest blade whose bevel shows enough, mm.
    pub fn thinnest(&self) -> f64 {
        (self.relief + SHOWN) * self.angle.to_radians().sin()
    }

    /// Its name: `25 +`.
    pub fn name(&self) -> String {
        format!("{} {}", short(self.bevel, 2), self.limit.sign())
    }

    /// How a blade rests in it.
    pub fn rest(&self, bevel: f64, thickness: f64) -> Rest {
        rest(self.angle, self.relief, bevel, thickness)
    }
}

/// An end of the flank.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The heel of the bevel.
    Heel,
    /// The rim of the hole, near the edge.
    Rim,
}

/// How a blade rests in a notch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rest {
    /// How far its edge stays from the point where the flanks would meet, mm; negative past it.
    pub edge: f64,
    /// Where light shows.
    pub light: End,
    /// How wide the gap is there, mm.
    pub gap: f64,
}

/// How a blade with a flat bevel of `bevel` degrees and this thickness (mm) rests in a notch of `angle` degrees whose
/// hole has the radius `relief`; the formulas are derived above.
pub fn rest(angle: f64, relief: f64, bevel: f64, thickness: f64) -> Rest {
    let [theta, beta] = [angle, bevel].map(f64::to_radians);
    if theta >= beta {
        let open = (theta - beta).sin();
        let edge = -relief * open / beta.sin();
        Rest { edge, light: End::Heel, gap: thickness / beta.sin() * open + edge * theta.sin() }
    } else {
        let open = (beta - theta).sin();
        let edge = thickness * open / (theta.sin() * beta.sin());
        // An edge that stops short of the hole ends the gap before the rim does.
        let short_of = edge * theta.cos() > relief;
        let gap = if short_of { edge * theta.sin() } else { (thickness / theta.sin() - relief) * open };
        Rest { edge, light: End::Rim, gap }
    }
}

/// The measures of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Bevel {
    /// The notches, in the order of their angles.
    pub notches: Vec<Notch>,
    /// How far off a bevel may be, ± degrees.
    pub tolerance: f64,
    /// Thickest blade, mm.
    pub thickness: f64,
}

/// Radius of the hole of a notch, mm: so large that a nozzle keeps the flanks apart at its rim.
fn relief(angle: f64, nozzle: f64) -> f64 {
    let open = nozzle / (2.0 * (angle.to_radians() / 2.0).sin());
    (open.max(SMALLEST_HOLE).max(2.5 * nozzle) * 20.0).ceil() / 20.0
}

/// The two notches of an angle side by side, not yet placed.
struct Cell {
    words: String,
    notches: [Notch; 2],
    /// Where the apexes lie from the cell's left side, mm.
    at: [f64; 2],
    width: f64,
}

/// Width of a notch to the right of its apex, mm.
fn right_of(notch: &Notch) -> f64 {
    (notch.flank * notch.angle.to_radians().sin()).max(notch.relief)
}

impl Cell {
    fn new(bevel: f64, wanted: &Wanted, depth: f64, height: f64) -> Self {
        let notch = |limit| {
            let angle = match limit {
                Limit::Lower => bevel - wanted.tolerance,
                Limit::Upper => bevel + wanted.tolerance,
            };
            let flank = wanted.thickness / angle.to_radians().sin() + PAST_HEEL;
            let relief = relief(angle, wanted.print.nozzle);
            Notch { bevel, limit, angle, apex: Point::ORIGIN, relief, flank, depth, turned: false }
        };
        let notches = [notch(Limit::Lower), notch(Limit::Upper)];
        let words = format!("{}°", short(bevel, 2));
        let first = WALL / 2.0 + notches[0].relief;
        let second = first + right_of(&notches[0]) + WALL + notches[1].relief;
        let width = second + right_of(&notches[1]) + WALL / 2.0;
        let least = ink_width(&words, height, wanted.print.nozzle) + WALL;
        let spare = (least - width).max(0.0) / 2.0;
        Self { words, notches, at: [first + spare, second + spare], width: width.max(least) }
    }
}

/// A row of notches along the plate's upper side.
struct Row {
    cells: Vec<Cell>,
    width: f64,
}

/// The plates of the bevel gauge.
///
/// # Errors
/// [`Refused`] where an angle, the tolerance or the thickness is out of range, where too little of a bevel would show,
/// or where a notch is too deep for bed and paper.
pub fn plates(wanted: &Wanted) -> Result<Vec<Plate<Bevel>>, Refused> {
    let mut angles = wanted.angles.clone();
    angles.sort_by(f64::total_cmp);
    angles.dedup();
    if angles.is_empty() {
        return Ok(Vec::new());
    }
    check(wanted, &angles)?;
    let note = [format!("tol {}°", short(wanted.tolerance, 2)), format!("to {}", wanted.said(wanted.thickness))];
    let all: Vec<String> =
        angles.iter().map(|a| format!("{}°", short(*a, 2))).chain(note).chain(["−", "+"].map(String::from)).collect();
    let (words, height) = lines::printable_lines(&all, wanted.print.nozzle);
    let note = &words[angles.len()..angles.len() + 2];
    let least = (angles[0] - wanted.tolerance).to_radians();
    let depth = (wanted.thickness / least.tan() + BACK).ceil();
    let cells = angles.iter().map(|a| Cell::new(*a, wanted, depth, height));
    let hole = relief(angles[0] - wanted.tolerance, wanted.print.nozzle);
    let room = wanted.room();
    let rows = rows(cells.collect(), room.width)?;
    let frame = Frame { depth, hole, height, note, nozzle: wanted.print.nozzle };
    let per_plate = [2, 1].into_iter().find(|n| frame.plate_height(*n) <= room.height).ok_or_else(|| {
        Refused(vec![format!(
            "a notch for {}° and blades {} thick is {} mm deep, and a plate for it may be {} mm high: ask for steeper bevels or thinner blades",
            short(angles[0], 2),
            wanted.said(wanted.thickness),
            short(depth, 0),
            short(room.height, 0)
        )])
    })?;
    let of = rows.len().div_ceil(per_plate);
    let mut rows = rows.into_iter().peekable();
    let mut plates = Vec::new();
    while rows.peek().is_some() {
        let these: Vec<Row> = rows.by_ref().take(per_plate).collect();
        plates.push(frame.plate(these, wanted, name("bevel", plates.len(), of)));
    }
    Ok(plates)
}

fn check(wanted: &Wanted, angles: &[f64]) -> Result<(), Refused> {
    let mut reasons = Vec::new();
    let [low, high] = TOLERANCES;
    if !(low..=high).contains(&wanted.tolerance) {
        reasons.push(format!("a tolerance of {}°: a notch can tell {low} to {high}°", short(wanted.tolerance, 3)));
    }
    let [low, high] = THICKNESSES;
    if !(low..=high).contains(&wanted.thickness) {
        let thickness = short(wanted.thickness, 3);
        reasons.push(format!("blades {thickness} mm thick: {low} to {high} mm can be gauged"));
    }
    for angle in angles {
        let [low, high] = ANGLE_RANGE;
        if !(angle - wanted.tolerance >= low && angle + wanted.tolerance <= high) {
            reasons.push(format!(
                "{}° ± {}°: bevels of {low} to {high}° can be gauged",
                short(*angle, 3),
                short(wanted.tolerance, 3)
            ));
            continue;
        }
        let upper = angle + wanted.tolerance;
        let least = (relief(upper, wanted.print.nozzle) + SHOWN) * upper.to_radians().sin();
        if wanted.thickness < least {
            reasons.push(format!(
                "{}°: too little of the bevel of a blade {} thick shows beside the hole of its notch; blades of {} or more can be gauged with a nozzle of {} mm",
                short(*angle, 3),
                wanted.said(wanted.thickness),
                wanted.said((least * 100.0).ceil() / 100.0),
                short(wanted.print.nozzle, 2)
            ));
        }
    }
    if reasons.is_empty() { Ok(()) } else { Err(Refused(reasons)) }
}

/// Cells in rows no wider than `room` mm.
fn rows(cells: Vec<Cell>, room: f64) -> Result<Vec<Row>, Refused> {
    let mut rows: Vec<Row> = Vec::new();
    for cell in cells {
        let alone = cell.width + WALL;
        if alone > room {
            let words = format!(
                "the notches for {} are {} mm wide, and a plate may be {} mm wide",
                cell.words,
                short(alone, 0),
                short(room, 0)
            );
            return Err(Refused(vec![words]));
        }
        match rows.last_mut() {
            Some(row) if row.width + cell.width <= room => {
                row.width += cell.width;
                row.cells.push(cell);
            }
            _ => rows.push(Row { width: alone, cells: vec![cell] }),
        }
    }
    Ok(rows)
}

/// What all plates have in common.
struct Frame<'a> {
    depth: f64,
    /// Radius of the largest hole, mm.
    hole: f64,
    /// Height of capitals, mm.
    height: f64,
    note: &'a [String],
    nozzle: f64,
}

impl Frame<'_> {
    /// How far below the apexes the baselines of signs and angles lie, mm.
    fn baselines(&self) -> [f64; 2] {
        let signs = self.hole + 1.2 + self.height;
        [signs, signs + 1.6 * self.height]
    }

    /// Height of a row with its lettering, mm.
    fn row_height(&self) -> f64 {
        self.depth + self.baselines()[1]
    }

    /// Height of a plate of one row or two, mm.
    fn plate_height(&self, rows: usize) -> f64 {
        let between = if rows == 2 { 4.9 } else { 4.7 } * self.height;
        (rows as f64 * self.row_height() + between).ceil()
    }

    fn plate(&self, rows: Vec<Row>, wanted: &Wanted, name: String) -> Plate<Bevel> {
        let noted = self.note.iter().map(|n| ink_width(n, self.height, self.nozzle)).fold(0.0, f64::max) + WALL;
        let width = rows.iter().map(|r| r.width).fold(noted, f64::max).ceil();
        let size = Size::new(width, self.plate_height(rows.len()));
        let mut lettering = Lettering { height: self.height, ..Lettering::default() };
        let mut notches: Vec<Notch> = Vec::new();
        let mut sides: Vec<Vec<Corner>> = Vec::new();
        let turn = rows.len() == 2;
        for (i, row) in rows.into_iter().enumerate() {
            let (placed, said) = self.row(row, size);
            let cut: Vec<Corner> = placed.iter().rev().flat_map(corners).collect();
            if i == 0 {
                notches.extend(placed);
                lettering.add(said);
                sides.push(cut);
            } else {
                let away = |n: Notch| Notch { apex: (size.to_vec2() - n.apex.to_vec2()).to_point(), turned: true, ..n };
                notches.extend(placed.into_iter().map(away));
                lettering.add(said.turned(size));
                sides.push(cut.into_iter().map(|corner| turned(corner, size)).collect());
            }
        }
        // The note: below a single row, or between two.
        let middle = if turn { size.height / 2.0 } else { 2.6 * self.height };
        for (words, up) in self.note.iter().zip([0.3, -1.3]) {
            lettering.centred(words, (size.width / 2.0, middle + up * self.height), self.nozzle);
        }
        let [w, h] = [size.width, size.height].map(microns);
        let lower = sides.get(1).cloned().unwrap_or_default();
        let upper = sides.into_iter().next().unwrap_or_default();
        let outline = Outline::through([vec![[0, 0]], lower, vec![[w, 0], [w, h]], upper, vec![[0, h]]].concat());
        let shape = Bevel { notches, tolerance: wanted.tolerance, thickness: wanted.thickness };
        Plate { name, shape, size, outline, stock: None, marks: Vec::new(), lettering }
    }

    /// The notches of a row along the upper side, and what is lettered below them.
    fn row(&self, row: Row, size: Size) -> (Vec<Notch>, Lettering) {
        let mut lettering = Lettering { height: self.height, ..Lettering::default() };
        let apex = size.height - self.depth;
        let [signs, angles] = self.baselines().map(|down| apex - down);
        let mut left = (size.width - row.width + WALL) / 2.0;
        let mut notches = Vec::new();
        for cell in row.cells {
            let middles: Vec<f64> = cell.at.iter().map(|at| left + at).collect();
            for (notch, x) in cell.notches.into_iter().zip(&middles) {
                // On the grid, so that the wall for the back stands exactly square to the plate's side.
                let x = (x * 1000.0).round() / 1000.0;
                lettering.centred(notch.limit.sign(), (x, signs), self.nozzle);
                notches.push(Notch { apex: Point::new(x, apex), ..notch });
            }
            lettering.centred(&cell.words, ((middles[0] + middles[1]) / 2.0, angles), self.nozzle);
            left += cell.width;
        }
        (notches, lettering)
    }
}

/// The corners of a notch in the upper side, from right to left, µm.
pub(crate) fn corners(notch: &Notch) -> Vec<Corner> {
    let apex = corner(notch.apex);
    let theta = notch.angle.to_radians();
    let (sin, cos) = theta.sin_cos();
    let rim = [apex[0] + microns(notch.relief * sin), apex[1] + microns(notch.relief * cos)];
    let [dx, dy] = truest(theta, (notch.flank - notch.relief) * cos);
    let end = [rim[0] + dx, rim[1] + dy];
    let top = apex[1] + microns(notch.depth);
    let mut corners = vec![[end[0], top], end, rim];
    // Round the hole clockwise, from the flank to the wall.
    let from = TAU / 4.0 - theta;
    let turn = TAU - theta;
    corners.extend((1..RIM).map(|i| {
        let (sin, cos) = (from - turn * i as f64 / RIM as f64).sin_cos();
        [apex[0] + microns(notch.relief * cos), apex[1] + microns(notch.relief * sin)]
    }));
    corners.extend([[apex[0], apex[1] + microns(notch.relief)], [apex[0], top]]);
    corners
}

/// The way along a flank on the grid, at least `along` mm in its second coordinate, whose direction is the truest, µm.
fn truest(theta: f64, along: f64) -> [i32; 2] {
    let way = |dy: i32| [(f64::from(dy) * theta.tan()).round() as i32, dy];
    let off = |[dx, dy]: [i32; 2]| (f64::from(dx).atan2(f64::from(dy)) - theta).abs();
    let least = microns(along);
    let ways = (least..least + TRIED).map(way);
    ways.min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(way(least))
}
