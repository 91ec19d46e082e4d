//! Wood drawn as wood where it is cut: plies, growth rings, long grain and the specks of fibreboard.
//!
//! Patterns are the same wherever they are drawn: what looks like chance is the golden ratio.

use kurbo::{Point, Rect};

use super::Group;
use super::style::Pen;
use crate::trig::{Trig, apart};

/// What a cut surface shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wood {
    /// The edge of plywood: so many plies, level on the sheet.
    Plies(usize),
    /// The end of solid wood: its growth rings.
    Ends,
    /// Solid wood cut along its grain, which runs level on the sheet.
    Lengthwise,
    /// Fibreboard, which has no grain.
    Specks,
}

/// Usual thickness of a ply, mm; common practice, no source.
const PLY: f64 = 1.4;
/// Least space between lines, mm of paper: closer ones run together in print.
const CLOSEST: f64 = 0.9;
/// Space between growth rings, mm of paper.
const RING: f64 = 1.5;
/// How far the pith lies below and beside the middle of what is cut, in parts of its height and width.
const PITH: [f64; 2] = [0.9, 0.12];
/// Length of the straight pieces that make up a ring, mm of paper.
const PIECE: f64 = 0.4;
/// Space between lines of long grain, mm of paper.
const GRAIN: f64 = 1.7;
/// Space between specks, and their length, mm of paper.
const SPECKS: [f64; 2] = [2.0, 0.35];
/// The golden ratio less one: its multiples fall evenly and without a pattern that the eye finds.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// How many plies a board `thickness` mm thick has: an odd number.
pub fn plies(thickness: f64) -> usize {
    let pairs = ((thickness / PLY - 1.0) / 2.0).round().max(1.0);
    2 * pairs as usize + 1
}

/// The heights of the joints between plies, as parts of the thickness: fewer where they would come too close on
/// `high` mm of paper.
pub fn joints(plies: usize, high: f64) -> Vec<f64> {
    let mut shown = plies;
    while shown > 3 && high / (shown as f64) < CLOSEST {
        shown -= 2;
    }
    (1..shown).map(|i| i as f64 / shown as f64).collect()
}

/// Lines of a wood in a rectangle of the sheet, each a run of points.
pub fn lines(wood: Wood, area: Rect) -> Vec<Vec<Point>> {
    match wood {
        Wood::Plies(plies) => {
            let level = |t: f64| area.y0 + t * area.height();
            let line = |t: f64| vec![Point::new(area.x0, level(t)), Point::new(area.x1, level(t))];
            joints(plies, area.height()).into_iter().map(line).collect()
        }
        Wood::Ends => rings(area),
        Wood::Lengthwise => strokes(area),
        Wood::Specks => specks(area),
    }
}

/// Marks a rectangle of the sheet as a wood.
pub fn mark(group: &mut Group, wood: Wood, area: Rect) {
    for run in lines(wood, area) {
        match run[..] {
            [from, to] => group.line(from, to, Pen::Narrow),
            _ => group.path([run], false, Pen::Narrow, super::style::Fill::None),
        }
    }
}

/// Arcs about a pith that lies outside, as far as they are in the rectangle.
fn rings(area: Rect) -> Vec<Vec<Point>> {
    let pith = area.center() + (PITH[1] * area.width(), PITH[0] * area.height());
    let corners = [(area.x0, area.y0), (area.x1, area.y0), (area.x0, area.y1), (area.x1, area.y1)];
    let farthest = corners.iter().map(|c| apart(pith, Point::from(*c))).fold(0.0, f64::max);
    let inner = area.inset(-CLOSEST / 4.0);
    let mut found = Vec::new();
    let mut radius = RING / 2.0;
    while radius < farthest {
        let pieces = (std::f64::consts::TAU * radius / PIECE).ceil().max(12.0);
        let at = |i: f64| {
            let (sin, cos) = (std::f64::consts::TAU * i / pieces).sine_cosine();
            // From straight below the pith, so that no arc above it is parted.
            pith + (-radius * sin, radius * cos)
        };
        let mut run: Vec<Point> = Vec::new();
        for i in 0..=pieces as usize {
            let p = at(i as f64);
            if inner.contains(p) {
                run.push(p);
            } else if run.len() > 2 {
                found.push(std::mem::take(&mut run));
            } else {
                run.clear();
            }
        }
        if run.len() > 2 {
            found.push(run);
        }
        radius += RING;
    }
    found
}

/// Level strokes of many lengths.
fn strokes(area: Rect) -> Vec<Vec<Point>> {
    let rows = (area.height() / GRAIN).floor().max(1.0);
    let mut found = Vec::new();
    for i in 1..=rows as usize {
        let y = area.y0 + area.height() * (i as f64) / (rows + 1.0);
        let mut x = area.x0 + 6.0 * (i as f64 * GOLDEN).fract();
        let mut k = 1.0;
        while x < area.x1 {
            let length = 5.0 + 14.0 * ((i as f64 + 7.0 * k) * GOLDEN).fract();
            let end = (x + length).min(area.x1);
            if end - x > 1.0 {
                found.push(vec![Point::new(x, y), Point::new(end, y)]);
            }
            x = end + 2.0;
            k += 1.0;
        }
    }
    found
}

/// Short strokes as if strewn.
fn specks(area: Rect) -> Vec<Vec<Point>> {
    let [space, length] = SPECKS;
    let counts = [area.width(), area.height()].map(|d| (d / space).floor().max(1.0));
    let cell = [area.width() / counts[0], area.height() / counts[1]];
    let mut found = Vec::new();
    for i in 0..(counts[0] * counts[1]) as usize {
        let (column, row) = ((i as f64) % counts[0], ((i as f64) / counts[0]).floor());
        let (right, down) = ((i as f64 * GOLDEN).fract(), (i as f64 * GOLDEN * GOLDEN * 3.0).fract());
        let at = |part: f64, index: f64, cell: f64, room: f64| index * cell + part * (cell - room).max(0.0);
        let p = area.origin() + (at(right, column, cell[0], length), at(down, row, cell[1], length));
        found.push(vec![p, Point::new((p.x + length).min(area.x1), (p.y + length * (right - 0.5)).max(area.y0))]);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plywood_has_an_odd_number_of_plies_as_thick_as_usual() {
        for thickness in [3.0, 6.0, 6.35, 9.0, 12.0, 12.7, 18.0] {
            let n = plies(thickness);
            assert_eq!(n % 2, 1);
            assert!(n == 3 || (thickness / n as f64 - PLY).abs() < 0.3, "{thickness}: {n}");
        }
        assert_eq!(joints(9, 3.6).len(), 2, "too close for more");
        assert_eq!(joints(9, 12.0).len(), 8);
    }

    #[test]
    fn every_wood_is_marked_within_its_area() {
        for area in [Rect::new(3.0, 5.0, 30.0, 11.0), Rect::new(0.0, 0.0, 5.0, 20.0)] {
            for wood in [Wood::Plies(9), Wood::Ends, Wood::Lengthwise, Wood::Specks] {
                let drawn = lines(wood, area);
                assert!(drawn.len() > 1, "{wood:?}");
                for p in drawn.iter().flatten() {
                    assert!(area.inset(1e-9).contains(*p), "{wood:?} at {p:?}");
                }
                assert_eq!(drawn, lines(wood, area));
            }
        }
    }
}
