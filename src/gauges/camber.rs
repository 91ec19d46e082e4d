//! The camber gauge: a plate whose upper side is the hollow counterpart of a cambered edge, its lower side straight.
//!
//! The arc is made of straight runs. Its corners are put where the arc crosses whole micrometres of height, so that the
//! grid takes nothing of the height; a run leaves the arc by a quarter of a micrometre or less, and by what rounding a
//! corner sideways costs on a steep part: [`CHORD`] in all.

use kurbo::{Point, Size};

use super::light::Making;
use super::plate::{Lettering, Plate, ink_width};
use super::{Refused, Wanted, name};
use crate::shape::lines;
use crate::shape::polygon::{Corner, Outline, corner, microns, rectangle};
use crate::stones::camber::curve::Curve;
use crate::units::{COARSE, EXACT, FINE};

/// How far the runs may leave the arc, mm.
pub const CHORD: f64 = 0.001;
/// How far a run may leave the arc before rounding, mm.
const RUN: f64 = 0.000_25;
/// How far the arc goes on past the blade's corners, mm.
pub const BESIDE: f64 = 4.0;
/// Widths of an edge, mm.
pub const WIDTHS: [f64; 2] = [6.0, 145.0];
/// Half a plate's width as a part of the arc's radius, at most: further out the arc turns too steep for the grid.
const STEEPEST: f64 = 0.7;
/// Least height of a plate, mm: it is held by it.
const LOWEST: f64 = 18.0;
/// Length and width of a mark, and how far it keeps from the arc, mm.
const MARK: [f64; 3] = [3.5, 0.8, 1.0];

/// The measures of a plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Camber {
    /// The curve's name, as the user wrote it.
    pub name: String,
    /// The curve.
    pub curve: Curve,
    /// The lowest point of the arc on the plate, mm.
    pub middle: Point,
}

impl Camber {
    /// Height of the arc on the plate at `x` mm from its left side, mm.
    pub fn at(&self, x: f64) -> f64 {
        self.middle.y + self.curve.at(x - self.middle.x)
    }
}

/// The plates of all curves.
///
/// # Errors
/// [`Refused`] where a curve is out of range or wider than bed and paper take.
pub fn plates(wanted: &Wanted) -> Result<Vec<Plate<Camber>>, Refused> {
    let mut reasons = Vec::new();
    let (room, written) = (wanted.room(), wanted.written);
    for (of, curve) in &wanted.cambers {
        let [low, high] = WIDTHS;
        let high = high.min(room.width - 2.0 * BESIDE);
        let deepest = deepest(curve.width);
        if !(low..=high).contains(&curve.width) {
            reasons.push(format!(
                "camber gauge, {of}: an edge {} wide; {} to {} can be gauged on this bed and paper",
                written.short(curve.width, EXACT).said(),
                written.short(low, FINE),
                written.short(high, COARSE).said()
            ));
        } else if !(wanted.making.tells()..=deepest).contains(&curve.depth) {
            reasons.push(format!(
                "camber gauge, {of}: {} deep over {}; a gauge that is {} can show {} to {}{}",
                written.short(curve.depth, EXACT).said(),
                written.short(curve.width, EXACT).said(),
                wanted.making.words(),
                written.short(wanted.making.tells(), EXACT),
                written.size(deepest),
                instead(wanted.making, curve.depth)
            ));
        }
    }
    if !reasons.is_empty() {
        return Err(Refused(reasons));
    }
    let of = wanted.cambers.len();
    let plate = |(i, (own, curve)): (usize, &(String, Curve))| plate(wanted, own, *curve, name("camber", i, of));
    Ok(wanted.cambers.iter().enumerate().map(plate).collect())
}

/// What tells a camber that is too flat for a gauge.
fn instead(making: Making, depth: f64) -> &'static str {
    match making {
        Making::Printed if (Making::Metal.tells()..Making::Printed.tells()).contains(&depth) => {
            "; cut it in metal (--metal), or use the straight edge of a good rule and paper of known thickness under a corner"
        }
        _ if depth < making.tells() => {
            "; use the straight edge of a good rule, and paper of known thickness under a corner"
        }
        _ => "",
    }
}

/// The largest depth of an arc over a width, mm, that goes on to the plate's ends: a sagitta of the smallest radius.
fn deepest(width: f64) -> f64 {
    let radius = (width / 2.0 + BESIDE + 0.5) / STEEPEST;
    radius - (radius * radius - width * width / 4.0).sqrt()
}

/// What the plate says: width and depth, and whose curve it is where there is room for that.
fn words(wanted: &Wanted, own: &str, curve: Curve) -> Vec<String> {
    let [width, depth] =
        [(curve.width, [2, 4]), (curve.depth, [3, 4])].map(|(mm, d)| wanted.written.first_alone().short(mm, d));
    vec![format!("{width} × {}", depth.said()), own.to_string()]
}

fn plate(wanted: &Wanted, own: &str, curve: Curve, name: String) -> Plate<Camber> {
    let nozzle = wanted.print.nozzle;
    let (lines, height) = lines::printable_lines(&words(wanted, own, curve), nozzle);
    let width = (curve.width + 2.0 * BESIDE).ceil();
    // A plate too narrow for a line goes without it; its sheet says it.
    let lines: Vec<&String> =
        lines.iter().filter(|l| !l.is_empty() && ink_width(l, height, nozzle) + 4.0 <= width).collect();
    let below = 3.0;
    let lettered = lines.len() as f64 * 1.7 * height;
    let middle = Point::new(width / 2.0, (below + lettered + MARK[0] + MARK[2] + 1.0).ceil().max(LOWEST));
    let camber = Camber { name: own.into(), curve, middle };
    let mut lettering = Lettering { height, ..Lettering::default() };
    for (i, line) in lines.iter().rev().enumerate() {
        lettering.centred(line, (width / 2.0, below + 1.7 * height * i as f64), nozzle);
    }
    let w = microns(width);
    let outline: Outline = [[0, 0], [w, 0]].into_iter().chain(arc(&camber, width)).collect();
    let top = outline.iter().map(|c| c[1]).max().unwrap_or_default();
    let size = Size::new(width, f64::from(top) / 1000.0);
    Plate { name, marks: marks(&camber, nozzle), shape: camber, size, outline, stock: None, lettering }
}

/// The middle and the corners of the blade, marked below the arc.
fn marks(camber: &Camber, nozzle: f64) -> Vec<Outline> {
    let [length, width, clear] = MARK;
    let half = width.max(2.0 * nozzle) / 2.0;
    let mark = |from_middle: f64| {
        let x = camber.middle.x + from_middle;
        let top = camber.at(x - half).min(camber.at(x + half)) - clear;
        rectangle([x - half, x + half], [top - length, top])
    };
    [-0.5, 0.0, 0.5].map(|part| mark(part * camber.curve.width)).to_vec()
}

/// The corners of the arc from the plate's right side to its left, µm.
fn arc(camber: &Camber, width: f64) -> Vec<Corner> {
    let half = width / 2.0;
    let radius = camber.curve.radius();
    let rise = camber.curve.at(half);
    let count = (half / (8.0 * radius * RUN).sqrt()).ceil().max(1.0) as usize;
    let mut right: Vec<Corner> = vec![[0, 0]];
    for i in 1..count {
        // The height first, whole, then where the arc has it.
        let up = (camber.curve.at(half * i as f64 / count as f64) * 1000.0).round();
        let y = up / 1000.0;
        let x = (y * (2.0 * radius - y)).sqrt();
        right.push([microns(x), up as i32]);
    }
    right.push([microns(half), microns(rise)]);
    right.dedup();
    // Two corners that the grid has put side by side are one.
    right.dedup_by(|b, a| b[0] <= a[0]);
    let [x, y] = corner(camber.middle);
    let left = right.iter().skip(1).map(|c| [x - c[0], y + c[1]]);
    right.iter().rev().map(|c| [x + c[0], y + c[1]]).chain(left).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The largest distance in height of runs and arc, tried at many places of every run.
    fn off(camber: &Camber, corners: &[Corner]) -> f64 {
        let mm: Vec<Point> = corners.iter().copied().map(crate::shape::polygon::millimetres).collect();
        let mut most = 0.0f64;
        for run in mm.windows(2) {
            for i in 0..=40 {
                let t = f64::from(i) / 40.0;
                let p = run[0].lerp(run[1], t);
                most = most.max((camber.at(p.x) - p.y).abs());
            }
        }
        most
    }

    #[test]
    fn runs_keep_within_a_micrometre_of_the_arc() {
        for width in [6.0, 9.53, 25.4, 38.0, 51.0, 60.0, 76.2, 140.0] {
            for depth in [0.02, 0.05, 0.1, 0.25, 0.8, 1.0, 2.5, 8.0] {
                if depth > deepest(width) {
                    continue;
                }
                let camber =
                    Camber { name: String::new(), curve: Curve { width, depth }, middle: Point::new(80.0, 20.0) };
                let wide = (width + 2.0 * BESIDE).ceil();
                let corners = arc(&camber, wide);
                let most = off(&camber, &corners);
                assert!(most <= CHORD, "{width} × {depth}: {most}");
                assert!(corners.len() < 2000 && corners.windows(2).all(|w| w[1][0] < w[0][0]), "{width} × {depth}");
            }
        }
    }
}
