//! Outlines and regions on a grid of 1 µm.
//!
//! All corners are whole micrometres, so that neighbouring parts share them exactly. Every outline is closed without a
//! side of no length or of no width, since no other can be made: walls and caps of a solid meet along all of its sides.

use std::ops::Deref;

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use kurbo::Point;

use crate::trig::{Inverse, Trig, toward};

/// A corner, µm.
pub type Corner = [i32; 2];

/// A closed outline; counter-clockwise around material, clockwise around a hole. The last corner joins the first.
///
/// However its corners are given, all the way round no corner repeats the one before it, and no run goes back along the
/// line that it came by. Of corners that enclose nothing none is left.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Outline(Vec<Corner>);

impl Outline {
    /// The outline through `corners`, as far as they enclose anything.
    pub fn through(corners: impl IntoIterator<Item = Corner>) -> Self {
        let mut kept: Vec<Corner> = Vec::new();
        for corner in corners {
            kept.push(corner);
            while let Some(idle) = idle_at_end(&kept) {
                kept.remove(idle);
            }
        }
        // Where the last corner meets the first.
        let mut round = 0..kept.len();
        while let [first, second, ..] = kept[round.clone()] {
            let [.., before, last] = kept[round.clone()] else { break };
            if last == first || turns_back(before, last, first) {
                round.end -= 1;
            } else if turns_back(last, first, second) {
                round.start += 1;
            } else {
                break;
            }
        }
        if round.len() < 3 { Self::default() } else { Self(kept[round].to_vec()) }
    }
}

/// The place of the corner before the last, or of the last, that adds nothing to the outline.
fn idle_at_end(corners: &[Corner]) -> Option<usize> {
    match corners {
        [.., a, b] if a == b => Some(corners.len() - 1),
        [.., a, b, c] if turns_back(*a, *b, *c) => Some(corners.len() - 2),
        _ => None,
    }
}

/// Whether the run from `b` to `c` goes back along the line from `a` to `b`. Written out, since it is asked of every corner
/// and `map` is a call of its own.
fn turns_back(a: Corner, b: Corner, c: Corner) -> bool {
    let along = |from: i32, to: i32| i64::from(to) - i64::from(from);
    let (ux, uy, vx, vy) = (along(a[0], b[0]), along(a[1], b[1]), along(b[0], c[0]), along(b[1], c[1]));
    ux * vy == uy * vx && ux * vx + uy * vy < 0
}

impl Deref for Outline {
    type Target = [Corner];

    fn deref(&self) -> &[Corner] {
        &self.0
    }
}

impl FromIterator<Corner> for Outline {
    fn from_iter<I: IntoIterator<Item = Corner>>(corners: I) -> Self {
        Self::through(corners)
    }
}

impl<'a> IntoIterator for &'a Outline {
    type Item = &'a Corner;
    type IntoIter = std::slice::Iter<'a, Corner>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

/// An area: an outer outline and its holes.
pub type Region = Vec<Outline>;

/// Corners of the polygon that stands for a round hole.
const HOLE_CORNERS: usize = 32;

/// Micrometres of a length in mm, rounded.
pub fn microns(mm: f64) -> i32 {
    (mm * 1000.0).round() as i32
}

/// A corner in mm.
pub fn millimetres([x, y]: Corner) -> Point {
    Point::new(f64::from(x) / 1000.0, f64::from(y) / 1000.0)
}

/// The corner of the grid that is nearest to a point, mm.
pub fn corner(point: impl Into<Point>) -> Corner {
    let Point { x, y } = point.into();
    [microns(x), microns(y)]
}

/// Counter-clockwise rectangle, mm.
pub fn rectangle(x: [f64; 2], y: [f64; 2]) -> Outline {
    let ([x0, x1], [y0, y1]) = (x.map(microns), y.map(microns));
    Outline::through([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
}

/// The same outline the other way round: a hole in what it was.
pub fn reversed(outline: &Outline) -> Outline {
    outline.iter().rev().copied().collect()
}

/// A clockwise polygon around a round hole, its flats touching the circle so that a screw of that size passes.
pub fn round_hole(centre: Point, radius: f64) -> Outline {
    let half = std::f64::consts::PI / HOLE_CORNERS as f64;
    let radius = radius / half.cosine();
    (0..HOLE_CORNERS).map(|i| corner(centre + radius * toward(-(2.0 * i as f64 + 1.0) * half))).collect()
}

/// The same outline without corners that lie on a straight run.
pub fn without_idle_corners(corners: &Outline) -> Outline {
    let n = corners.len();
    let turns = |i: usize| {
        let [a, b, c] = [corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]];
        let cross = i64::from(b[0] - a[0]) * i64::from(c[1] - b[1]) - i64::from(b[1] - a[1]) * i64::from(c[0] - b[0]);
        cross != 0
    };
    (0..n).filter(|&i| turns(i)).map(|i| corners[i]).collect()
}

/// Drops corners that lie less than `least` µm beside the line through their neighbours: they show in no print, and make
/// facets so thin that readers of models take them for none.
pub fn without_slight_corners(outline: &Outline, least: f64) -> Outline {
    let n = outline.len();
    let beside = |a: Corner, b: Corner, c: Corner| {
        let [u, v] = [[b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]].map(|d| d.map(f64::from));
        (u[0] * v[1] - u[1] * v[0]).abs() / v[0].hypotenuse(v[1])
    };
    let shows = |i: usize| beside(outline[(i + n - 1) % n], outline[i], outline[(i + 1) % n]) >= least;
    let kept: Outline = (0..n).filter(|&i| shows(i)).map(|i| outline[i]).collect();
    if kept.is_empty() { outline.clone() } else { kept }
}

/// Twice the signed area of an outline, µm²; positive when counter-clockwise.
pub fn doubled_area(outline: &[Corner]) -> i64 {
    let n = outline.len();
    (0..n)
        .map(|i| {
            let (a, b) = (outline[i], outline[(i + 1) % n]);
            i64::from(a[0]) * i64::from(b[1]) - i64::from(b[0]) * i64::from(a[1])
        })
        .sum()
}

/// The areas that outlines cover together, by a rule of what lies inside; each without overlaps.
pub fn areas(outlines: &[Outline], inside: FillRule) -> Vec<Region> {
    let point = |c: &Corner| IntPoint::new(c[0], c[1]);
    let paths: Vec<Vec<IntPoint<i32>>> = outlines.iter().map(|o| o.iter().map(point).collect()).collect();
    Overlay::from_subj(&paths)
        .overlay(OverlayRule::Subject, inside)
        .into_iter()
        .map(|shape| shape.into_iter().map(|contour| contour.into_iter().map(|p| [p.x, p.y]).collect()).collect())
        .collect()
}

/// All that outlines enclose, holes left out, as one region without overlaps.
pub fn united(outlines: &[Outline]) -> Region {
    areas(outlines, FillRule::NonZero).concat()
}

/// Area of a region, mm².
pub fn area(region: &Region) -> f64 {
    region.iter().map(|o| doubled_area(o)).sum::<i64>() as f64 / 2.0e6
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SQUARE: [Corner; 4] = [[0, 0], [9, 0], [9, 9], [0, 9]];

    #[test]
    fn what_encloses_something_keeps_its_corners() {
        assert_eq!(&*Outline::through(SQUARE), SQUARE);
        // A corner on a straight run, too: a neighbour may have one there.
        let split = [[0, 0], [4, 0], [9, 0], [9, 9], [0, 9]];
        assert_eq!(&*Outline::through(split), split);
    }

    #[test]
    fn repeated_corners_and_ways_back_are_not_kept_even_across_the_end() {
        for corners in [
            vec![[0, 0], [9, 0], [9, 0], [9, 9], [0, 9]],
            vec![[0, 0], [9, 0], [9, 9], [0, 9], [0, 0], [0, 0]],
            vec![[0, 0], [9, 0], [15, 0], [9, 0], [9, 9], [0, 9]],
            vec![[0, 0], [9, 0], [9, 9], [0, 9], [-5, 9], [0, 9]],
            vec![[0, -5], [0, 0], [9, 0], [9, 9], [0, 9], [0, 0]],
        ] {
            let closed = Outline::through(corners.clone());
            assert_eq!((closed.len(), doubled_area(&closed)), (4, 162), "{corners:?}");
        }
    }

    #[test]
    fn of_what_encloses_nothing_nothing_is_left() {
        for corners in [vec![], vec![[1, 1]], vec![[1, 1]; 3], vec![[0, 0], [5, 5], [2, 2]], vec![[0, 0], [3, 0]]] {
            assert!(Outline::through(corners.clone()).is_empty(), "{corners:?}");
        }
    }

    proptest! {
        /// On a grid so coarse that corners meet all the time.
        #[test]
        fn every_side_has_length_and_none_goes_back(corners in prop::collection::vec([0..4i32, 0..4i32], 0..12)) {
            let closed = Outline::through(corners.clone());
            prop_assert_eq!(doubled_area(&closed), doubled_area(&corners));
            let n = closed.len();
            for i in 0..n {
                let [a, b, c] = [0, 1, 2].map(|k| closed[(i + k) % n]);
                prop_assert!(a != b && !turns_back(a, b, c), "{:?}", closed);
            }
        }
    }
}
