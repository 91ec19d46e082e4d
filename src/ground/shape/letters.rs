//! Signs as polygons, and whether a nozzle can print them.
//!
//! A nozzle of width `w` prints a stroke that a disc of that diameter can be moved through without leaving it, and
//! keeps a gap open that the disc can be moved through outside. Both are asked of the sign's own polygons, by shrinking
//! and growing them by half the width (mathematical morphology: opening and closing).

use std::collections::BTreeMap;
use std::sync::Mutex;

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use kurbo::{Point, Rect};

use super::font::{self, Sign};
use super::polygon::{Outline, Region, corner, microns, united, without_slight_corners};
use super::runs;
use crate::trig::toward;

/// Corners are rounded by a nozzle, which leaves this many squares of its width at most in the corner of a sign; more
/// is a stroke or gap of its own.
const CORNER: f64 = 1.5;
/// The nozzle that is tried is this much narrower, so that a stroke of just its width passes.
const EXACT: f64 = 0.999;
/// Angle between the runs of a rounded join, radians.
const ROUND: f64 = 0.5;

/// How far the straight runs of a sign leave its curves at most, mm: far below what a nozzle can draw.
const SAG: f64 = 0.03;

type Shapes = Vec<Vec<Vec<[f64; 2]>>>;

/// Corners of each outline of a degree sign.
const RING: usize = 20;

/// The polygons of `sign` with capitals `height` mm high, its baseline beginning at zero: simple outlines on the grid.
///
/// The font's degree sign is too fine for a nozzle that prints its digits: it is a ring of our own in the same place,
/// whose stroke and counter are as wide as the nozzle or wider.
pub fn region(sign: char, height: f64, nozzle: f64) -> Region {
    if sign == DEGREE {
        return ring(height, nozzle);
    }
    let traced = runs(&font::outlines(&sign.to_string(), height, true), SAG);
    let outlines: Vec<Outline> = traced.iter().map(|o| o.iter().copied().map(corner).collect()).collect();
    united(&outlines).iter().map(|outline| without_slight_corners(outline, SLIGHT)).collect()
}

/// Corners of a sign that lie nearer to the line through their neighbours are left out, µm: a sixth of what a chord may
/// stray from its curve.
const SLIGHT: f64 = 5.0;

/// The sign whose outline is not the font's.
const DEGREE: char = '°';

/// Outer radius of the degree sign, mm.
fn ring_radius(height: f64, nozzle: f64) -> f64 {
    // A polygon's flats are nearer to its middle than its corners.
    (0.2 * height).max(1.6 * nozzle)
}

fn ring(height: f64, nozzle: f64) -> Region {
    let outer = ring_radius(height, nozzle);
    let around = |radius: f64, turn: f64| {
        (0..RING)
            .map(|i| {
                let angle = turn * std::f64::consts::TAU * i as f64 / RING as f64;
                corner(Point::new(outer, height - outer) + radius * toward(angle))
            })
            .collect()
    };
    vec![around(outer, 1.0), around(outer * 0.35, -1.0)]
}

/// The measures of a sign with capitals `height` mm high, mm; `None` where the font lacks it.
pub fn sign(sign: char, height: f64, nozzle: f64) -> Option<Sign> {
    if sign == DEGREE {
        let width = 2.0 * ring_radius(height, nozzle);
        return Some(Sign { advance: width, extent: Some(Rect::new(0.0, height - width, width, height)) });
    }
    let Sign { advance, extent } = font::sign(sign, true)?;
    Some(Sign { advance: advance * height, extent: extent.map(|e| e.scale_from_origin(height)) })
}

/// The height that is tried first of all, and the usual nozzle, µm.
const USUAL: (i32, i32) = (3000, 400);
/// What [`prints`] says of these is known beforehand, so that a usual block need not ask it; a test holds them to be right.
const USUAL_SIGNS: &str = " +-.0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ°";

/// [`prints`], remembered: the answer depends on its three numbers alone, and is asked again for every block.
pub fn known_to_print(sign: char, height: f64, nozzle: f64) -> bool {
    static KNOWN: Mutex<BTreeMap<(char, i32, i32), bool>> = Mutex::new(BTreeMap::new());
    let key = (sign, microns(height), microns(nozzle));
    if (key.1, key.2) == USUAL && USUAL_SIGNS.contains(sign) {
        return true;
    }
    let known = |map: &mut BTreeMap<_, _>| map.get(&key).copied();
    if let Some(answer) = KNOWN.lock().ok().and_then(|mut map| known(&mut map)) {
        return answer;
    }
    let answer = prints(sign, height, nozzle);
    if let Ok(mut map) = KNOWN.lock() {
        map.insert(key, answer);
    }
    answer
}

/// Whether all strokes and gaps of `sign` are at least `nozzle` mm wide with capitals `height` mm high.
pub fn prints(sign: char, height: f64, nozzle: f64) -> bool {
    let contours: Vec<Vec<[f64; 2]>> = region(sign, height, nozzle)
        .iter()
        .map(|o| o.iter().map(|c| c.map(|v| f64::from(v) / 1000.0)).collect())
        .collect();
    let none: Shapes = Vec::new();
    let shapes: Shapes = contours.overlay(&none, OverlayRule::Subject, FillRule::EvenOdd);
    if shapes.is_empty() {
        return true;
    }
    let half = EXACT * nozzle / 2.0;
    let moved = |shapes: &Shapes, by: f64| -> Shapes {
        shapes.outline(&OutlineStyle::new(by).line_join(LineJoin::Round(ROUND)))
    };
    let kept = |a: &Shapes, b: &Shapes| parts(a) == parts(b);
    let small = |left: Shapes| left.iter().all(|s| area(s) <= CORNER * nozzle * nozzle);
    let (thin, thick) = (moved(&shapes, -half), moved(&shapes, half));
    if !kept(&thin, &shapes) || !kept(&thick, &shapes) {
        return false;
    }
    let (opened, closed) = (moved(&thin, half), moved(&thick, -half));
    small(shapes.overlay(&opened, OverlayRule::Difference, FillRule::EvenOdd))
        && small(closed.overlay(&shapes, OverlayRule::Difference, FillRule::EvenOdd))
}

/// How many pieces and holes.
fn parts(shapes: &Shapes) -> [usize; 2] {
    [shapes.len(), shapes.iter().map(|s| s.len() - 1).sum()]
}

fn area(shape: &[Vec<[f64; 2]>]) -> f64 {
    let signed = |o: &Vec<[f64; 2]>| -> f64 {
        let n = o.len();
        (0..n).map(|i| o[i][0] * o[(i + 1) % n][1] - o[(i + 1) % n][0] * o[i][1]).sum::<f64>() / 2.0
    };
    shape.iter().map(signed).sum::<f64>().abs()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_nozzle_can_print_grows_with_the_sign() {
        for sign in "0123456789.-ABCDEFGHIJKLMNOPQRSTUVWXYZ".chars() {
            let at = |height| prints(sign, height, 0.4);
            assert!(!at(0.8), "{sign}");
            assert!(at(3.0), "{sign}");
            let heights: Vec<bool> = (9..24).map(|h| at(f64::from(h) * 0.25)).collect();
            let first = heights.iter().position(|p| *p);
            assert!(first.is_some_and(|i| heights[i..].iter().all(|p| *p)), "{sign} {heights:?}");
        }
    }

    #[test]
    fn what_is_known_beforehand_is_so() {
        let at = |microns: i32| f64::from(microns) / 1000.0;
        let none: String = USUAL_SIGNS.chars().filter(|sign| !prints(*sign, at(USUAL.0), at(USUAL.1))).collect();
        assert_eq!(none, "");
    }

    #[test]
    fn a_stroke_as_wide_as_the_nozzle_prints_and_a_thinner_one_does_not() {
        // The thinnest stroke of a capital I is its stem.
        let stem =
            |height: f64| font::sign('I', true).and_then(|s| s.extent).expect("the font has an I").width() * height;
        let height = 3.0;
        assert!(prints('I', height, stem(height) - 0.01));
        assert!(!prints('I', height, stem(height) + 0.01));
        // So it is for a gap: the counter of a capital H cannot be wider than the sign less its stems.
        let wide = font::sign('H', true).and_then(|s| s.extent).expect("the font has an H").width();
        assert!(!prints('H', height, wide * height - 2.0 * stem(height) + 0.05));
    }

    #[test]
    fn signs_are_simple_outlines_on_the_grid() {
        for sign in "AÅ8g%&@é½".chars() {
            let region = region(sign, 3.5, 0.4);
            assert!(!region.is_empty(), "{sign}");
            let mut corners: Vec<_> = region.iter().flatten().collect();
            let all = corners.len();
            corners.sort();
            corners.dedup();
            assert_eq!(all, corners.len(), "{sign} touches itself");
        }
    }
}
