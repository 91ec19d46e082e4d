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
//! So light at the heel in the notch of `β + n` and at the hole in that of `β − n` says that the bevel is within `± n`,
//! as far as walls are straight and gaps are seen: what is claimed is more than `n` by what a straying wall may feign,
//! and `n` is so large that a bevel just as wanted surely shows light ([`super::light`]).
//!
//! Lines that a printer draws too wide move both flanks inward by the same, which leaves the
//! angle between them.

use kurbo::{Point, Size};
use std::f64::consts::TAU;

use super::light::Making;
use super::plate::{Lettering, Plate, ink_width, turned};
use super::{Refused, Wanted, name};
use crate::shape::lines;
use crate::shape::polygon::{Corner, Outline, corner, microns};
use crate::solve::ANGLE_RANGE;
use crate::trig::{Inverse, Trig};
use crate::units::{EXACT, FINE, WHOLE, Written, falls_short, short};

/// Tolerances that may be asked for, ± degrees.
pub const TOLERANCES: [f64; 2] = [0.1, 3.0];
/// Thicknesses of blades, mm.
pub const THICKNESSES: [f64; 2] = [0.5, 25.0];
/// Most that a gauge may claim where less was asked for, ± degrees: usual bevels are 5° apart, and a gauge that takes
/// one for the next tells nothing (common practice, no source).
const MOST: f64 = 2.0;
/// Steps of claims and of notches, degrees.
const CLAIM_STEP: f64 = 0.1;
const NOTCH_STEP: f64 = 0.01;
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

/// A bevel that is to be gauged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Its angle, degrees.
    pub angle: f64,
    /// Thickness of its blade, mm.
    pub thickness: f64,
}

/// What the two notches of a bevel tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Claim {
    /// A bevel that shows light where it should is this close to the angle, ± degrees.
    pub within: f64,
    /// How far the notches stand from the angle, degrees.
    pub notches: f64,
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
    /// What it and the other notch of the bevel tell, ± degrees.
    pub within: f64,
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
    /// Thinnest blade, mm, whose bevel shows enough beside the hole, surely shows light where it is just as wanted, and
    /// shows none where it should past the claim, whatever the walls feign.
    pub fn thinnest(&self, making: Making) -> f64 {
        let [theta, beta, far] = [self.angle, self.bevel, self.furthest()].map(f64::to_radians);
        // The formulas of a gap, solved for the thickness.
        let at_heel =
            |bevel: f64, gap: f64| gap * bevel.sine() / (theta - bevel).abs().sine() + self.relief * theta.sine();
        let at_rim = |bevel: f64, gap: f64| theta.sine() * (gap / (theta - bevel).abs().sine() + self.relief);
        let [sure, feigned] = [making.sure(), making.stray()];
        let needed = match self.limit {
            Limit::Upper => [at_heel(beta, sure), at_rim(far, feigned)],
            Limit::Lower => [at_rim(beta, sure), at_heel(far, feigned)],
        };
        needed.into_iter().fold((self.relief + SHOWN) * theta.sine(), f64::max)
    }

    /// The bevel furthest off that is still claimed to be told, degrees.
    fn furthest(&self) -> f64 {
        match self.limit {
            Limit::Lower => self.bevel - self.within,
            Limit::Upper => self.bevel + self.within,
        }
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
        let open = (theta - beta).sine();
        let edge = -relief * open / beta.sine();
        Rest { edge, light: End::Heel, gap: thickness / beta.sine() * open + edge * theta.sine() }
    } else {
        let open = (beta - theta).sine();
        let edge = thickness * open / (theta.sine() * beta.sine());
        // An edge that stops short of the hole ends the gap before the rim does.
        let short_of = edge * theta.cosine() > relief;
        let gap = if short_of { edge * theta.sine() } else { (thickness / theta.sine() - relief) * open };
        Rest { edge, light: End::Rim, gap }
    }
}

/// The measures of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Bevel {
    /// The notches, in the order of their angles.
    pub notches: Vec<Notch>,
    /// Thickest blade, mm.
    pub thickness: f64,
}

impl Bevel {
    /// Thinnest blade that both notches of a bevel tell as much of as they claim, mm, rounded up to what a caliper reads.
    pub fn thinnest(&self, pair: [&Notch; 2], making: Making) -> f64 {
        let least = pair.map(|n| n.thinnest(making)).into_iter().fold(0.0, f64::max);
        (((least - 1e-9) * 20.0).ceil() / 20.0).min(self.thickness)
    }

    /// The least and the most that its notches claim, ± degrees.
    pub fn claims(&self) -> [f64; 2] {
        span(self.notches.iter().map(|notch| notch.within))
    }
}

/// What two notches for `angle` degrees tell of the bevel of a blade `thickness` mm thick: as much as `asked` (± degrees)
/// or the least more; `None` where that is more than a gauge may claim.
pub fn claim(angle: f64, thickness: f64, asked: f64, making: Making, nozzle: f64) -> Option<Claim> {
    let most = MOST.max(asked);
    let more = ((asked / CLAIM_STEP).floor() as u32 + 1..).map(|i| f64::from(i) * CLAIM_STEP);
    let claims = std::iter::once(asked).chain(more).take_while(|within| *within <= most + 1e-9);
    // How far a bevel opens the notch of `sign` at the end that is to show light, mm; negative where the other end does.
    let opening = |notches: f64, sign: f64, bevel: f64| {
        let notch = angle + sign * notches;
        let rest = rest(notch, relief(notch, nozzle), bevel, thickness);
        if (rest.light == End::Heel) == (sign > 0.0) { rest.gap } else { -rest.gap }
    };
    let keeps = |notches: f64, within: f64| {
        [-1.0, 1.0].into_iter().all(|sign| {
            opening(notches, sign, angle) >= making.sure()
                && opening(notches, sign, angle + sign * within) <= -making.stray()
        })
    };
    claims.filter(|within| *within < angle).find_map(|within| {
        let steps = (within / NOTCH_STEP).floor() as u32;
        let mut notches = (1..steps).rev().map(|i| f64::from(i) * NOTCH_STEP);
        notches.find(|n| keeps(*n, within)).map(|notches| Claim { within, notches })
    })
}

/// Radius of the hole of a notch, mm: so large that a nozzle keeps the flanks apart at its rim.
fn relief(angle: f64, nozzle: f64) -> f64 {
    let open = nozzle / (2.0 * (angle.to_radians() / 2.0).sine());
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
    (notch.flank * notch.angle.to_radians().sine()).max(notch.relief)
}

impl Cell {
    fn new(told: Told, wanted: &Wanted, [thickness, depth]: [f64; 2], height: f64) -> Self {
        let Told { bevel, claim: Claim { within, notches } } = told;
        let notch = |limit| {
            let angle = match limit {
                Limit::Lower => bevel - notches,
                Limit::Upper => bevel + notches,
            };
            let flank = thickness / angle.to_radians().sine() + PAST_HEEL;
            let relief = relief(angle, wanted.print.nozzle);
            Notch { bevel, limit, angle, within, apex: Point::ORIGIN, relief, flank, depth, turned: false }
        };
        let notches = [notch(Limit::Lower), notch(Limit::Upper)];
        let words = format!("{}°", short(bevel, 2));
        let first = WALL / 2.0 + notches[0].relief;
        let second = first + right_of(&notches[0]) + WALL + notches[1].relief;
        let width = second + right_of(&notches[1]) + WALL / 2.0;
        // What is lettered stands below the apexes, which are not in the middle of their notches.
        let reach = |words: &str, middle: f64| {
            let half = (ink_width(words, height, wanted.print.nozzle) + WALL) / 2.0;
            [half - middle, middle + half - width]
        };
        let [lower, upper] = [0, 1].map(|i| reach(notches[i].limit.sign(), [first, second][i]));
        let angle = reach(&words, (first + second) / 2.0);
        let [left, right] = [0, 1].map(|side| angle[side].max(lower[side]).max(upper[side]).max(0.0));
        Self { words, notches, at: [first + left, second + left], width: left + width + right }
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
    if wanted.bevels.is_empty() {
        return Ok(Vec::new());
    }
    let told = told(wanted)?;
    let thickness = wanted.bevels.iter().map(|b| b.thickness).fold(0.0, f64::max);
    let note = [claimed(&told), format!("to {}", wanted.lettered(thickness))];
    let angles = told.iter().map(|t| format!("{}°", short(t.bevel, 2)));
    let all: Vec<String> = angles.chain(note).chain(["−", "+"].map(String::from)).collect();
    let (words, height) = lines::printable_lines(&all, wanted.print.nozzle);
    let note = &words[told.len()..told.len() + 2];
    let least = told.iter().map(|t| t.bevel - t.claim.notches).fold(f64::INFINITY, f64::min);
    let depth = (thickness / least.to_radians().tangent() + BACK).ceil();
    let cells = told.iter().map(|t| Cell::new(*t, wanted, [thickness, depth], height));
    let hole = relief(least, wanted.print.nozzle);
    let room = wanted.room();
    let rows = rows(cells.collect(), room.width, wanted.written)?;
    let frame = Frame { thickness, depth, hole, height, note, nozzle: wanted.print.nozzle };
    let per_plate = [2, 1].into_iter().find(|n| frame.plate_height(*n) <= room.height).ok_or_else(|| {
        Refused(vec![format!(
            "a notch for {}° and blades {} thick is {} deep, too deep for a plate of at most {}. Ask for steeper bevels or thinner blades",
            short(told[0].bevel, 2),
            wanted.said(thickness),
            wanted.written.short(depth, WHOLE).said(),
            wanted.written.short(room.height, WHOLE).said()
        )])
    })?;
    let of = rows.len().div_ceil(per_plate);
    let mut rows = rows.into_iter().peekable();
    let mut plates = Vec::new();
    while rows.peek().is_some() {
        let these: Vec<Row> = rows.by_ref().take(per_plate).collect();
        plates.push(frame.plate(these, name("bevel", plates.len(), of)));
    }
    Ok(plates)
}

/// A bevel, and what is told of it.
#[derive(Clone, Copy)]
struct Told {
    bevel: f64,
    claim: Claim,
}

/// What is told, as a plate says it: `± 0.9°`, `± 0.8 to 1.2°`.
fn claimed(told: &[Told]) -> String {
    within(span(told.iter().map(|t| t.claim.within)))
}

/// The least and the most of claims, ± degrees.
fn span(claims: impl Iterator<Item = f64>) -> [f64; 2] {
    claims.fold([f64::INFINITY, 0.0], |[least, most], claim| [least.min(claim), most.max(claim)])
}

/// A claim or two in words.
pub(super) fn within([least, most]: [f64; 2]) -> String {
    match [least, most].map(|degrees| short(degrees, 2)) {
        [least, most] if least == most => format!("± {most}°"),
        [least, most] => format!("± {least} to {most}°"),
    }
}

/// Every angle once, in order, with what is told of it on its thinnest blade.
fn told(wanted: &Wanted) -> Result<Vec<Told>, Refused> {
    let mut reasons = Vec::new();
    let [low, high] = TOLERANCES;
    if !(low..=high).contains(&wanted.tolerance) {
        reasons.push(format!("a tolerance of {}°: a notch can show {low} to {high}°", short(wanted.tolerance, 3)));
    }
    let [low, high] = THICKNESSES;
    let mut bevels = wanted.bevels.clone();
    bevels.sort_by(|a, b| a.angle.total_cmp(&b.angle).then(a.thickness.total_cmp(&b.thickness)));
    for Asked { thickness, .. } in &bevels {
        let words = format!(
            "blades {} thick: {} to {} can be gauged",
            wanted.written.short(*thickness, EXACT).said(),
            wanted.written.short(low, FINE),
            wanted.said(high)
        );
        if !(low..=high).contains(thickness) && !reasons.contains(&words) {
            reasons.push(words);
        }
    }
    bevels.dedup_by(|a, b| a.angle == b.angle);
    if !reasons.is_empty() {
        return Err(Refused(reasons));
    }
    let mut told = Vec::new();
    for asked in bevels {
        match of_bevel(wanted, asked) {
            Ok(claim) => told.push(Told { bevel: asked.angle, claim }),
            Err(reason) => reasons.push(reason),
        }
    }
    if reasons.is_empty() { Ok(told) } else { Err(Refused(reasons)) }
}

/// What is told of a bevel, or why it cannot be gauged.
fn of_bevel(wanted: &Wanted, asked: Asked) -> Result<Claim, String> {
    let Asked { angle, thickness } = asked;
    let [low, high] = ANGLE_RANGE;
    let within_range = |notches: f64| angle - notches >= low && angle + notches <= high;
    let out_of_range = |by: f64| {
        format!("bevel gauge, {}° ± {}°: bevels of {low} to {high}° can be gauged", short(angle, 3), short(by, 3))
    };
    if !within_range(wanted.tolerance) {
        return Err(out_of_range(wanted.tolerance));
    }
    let nozzle = wanted.print.nozzle;
    let upper = angle + wanted.tolerance;
    let least = (relief(upper, nozzle) + SHOWN) * upper.to_radians().sine();
    if falls_short(thickness, least) {
        return Err(format!(
            "bevel gauge, {}°: too little of the bevel of a blade {} thick shows beside the hole of its notch; blades of {} or more can be gauged with a nozzle of {}",
            short(angle, 3),
            wanted.said(thickness),
            wanted.said(thinnest_told(wanted, angle, least)),
            wanted.written.printer(nozzle)
        ));
    }
    match claim(angle, thickness, wanted.tolerance, wanted.making, nozzle) {
        Some(claim) if within_range(claim.notches) => Ok(claim),
        Some(claim) => Err(out_of_range(claim.within)),
        None => Err(format!(
            "bevel gauge, {}°: on a blade {} thick the bevel is only {} long, and a gauge that is {} cannot judge it even to ± {}°; {}measure the length of the bevel, and \"stopwright angle --bevel-length\" gives its angle",
            short(angle, 3),
            wanted.said(thickness),
            wanted.said((thickness / angle.to_radians().sine() * 100.0).round() / 100.0),
            wanted.making.words(),
            short(MOST, 1),
            match wanted.making {
                Making::Printed => "cut it in metal (--metal), or ",
                Making::Metal => "",
            }
        )),
    }
}

/// The thinnest blade, of `least` mm or more, of whose bevel a gauge tells enough, mm.
fn thinnest_told(wanted: &Wanted, angle: f64, least: f64) -> f64 {
    let mut tried =
        (0..).map(|i| (least * 20.0).ceil() / 20.0 + f64::from(i) / 20.0).take_while(|t| *t <= THICKNESSES[1]);
    let told = |t: &f64| claim(angle, *t, wanted.tolerance, wanted.making, wanted.print.nozzle).is_some();
    tried.find(told).unwrap_or(THICKNESSES[1])
}

/// Cells in rows no wider than `room` mm.
fn rows(cells: Vec<Cell>, room: f64, written: Written) -> Result<Vec<Row>, Refused> {
    let mut rows: Vec<Row> = Vec::new();
    for cell in cells {
        let alone = cell.width + WALL;
        if alone > room {
            let words = format!(
                "the notches for {} are {} wide, and a plate may be {} wide",
                cell.words,
                written.short(alone, WHOLE).said(),
                written.short(room, WHOLE).said()
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
    /// Thickest blade, mm.
    thickness: f64,
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

    fn plate(&self, rows: Vec<Row>, name: String) -> Plate<Bevel> {
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
        let shape = Bevel { notches, thickness: self.thickness };
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
    let (sin, cos) = theta.sine_cosine();
    let rim = [apex[0] + microns(notch.relief * sin), apex[1] + microns(notch.relief * cos)];
    let [dx, dy] = truest(theta, (notch.flank - notch.relief) * cos);
    let end = [rim[0] + dx, rim[1] + dy];
    let top = apex[1] + microns(notch.depth);
    let mut corners = vec![[end[0], top], end, rim];
    // Round the hole clockwise, from the flank to the wall.
    let from = TAU / 4.0 - theta;
    let turn = TAU - theta;
    corners.extend((1..RIM).map(|i| {
        let (sin, cos) = (from - turn * i as f64 / RIM as f64).sine_cosine();
        [apex[0] + microns(notch.relief * cos), apex[1] + microns(notch.relief * sin)]
    }));
    corners.extend([[apex[0], apex[1] + microns(notch.relief)], [apex[0], top]]);
    corners
}

/// The way along a flank on the grid, at least `along` mm in its second coordinate, whose direction is the truest, µm.
fn truest(theta: f64, along: f64) -> [i32; 2] {
    let way = |dy: i32| [(f64::from(dy) * theta.tangent()).round() as i32, dy];
    let off = |[dx, dy]: [i32; 2]| (f64::from(dx).arctangent2(f64::from(dy)) - theta).abs();
    let least = microns(along);
    let ways = (least..least + TRIED).map(way);
    ways.min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(way(least))
}
