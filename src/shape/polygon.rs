//! Outlines and regions on a grid of 1 µm.
//!
//! All corners are whole micrometres, so that neighbouring parts share them exactly.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use kurbo::{Point, Vec2};

/// A corner, µm.
pub type Corner = [i32; 2];

/// A closed outline; counter-clockwise around material, clockwise around a hole. The last corner joins the first.
pub type Outline = Vec<Corner>;

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
    vec![[x0, y0], [x1, y0], [x1, y1], [x0, y1]]
}

/// The same outline the other way round: a hole in what it was.
pub fn reversed(outline: &Outline) -> Outline {
    outline.iter().rev().copied().collect()
}

/// A clockwise polygon around a round hole, its flats touching the circle so that a screw of that size passes.
pub fn round_hole(centre: Point, radius: f64) -> Outline {
    let half = std::f64::consts::PI / HOLE_CORNERS as f64;
    let radius = radius / half.cos();
    (0..HOLE_CORNERS).map(|i| corner(centre + radius * Vec2::from_angle(-(2.0 * i as f64 + 1.0) * half))).collect()
}

/// Drops corners that repeat or lie on a straight run.
pub fn without_idle_corners(mut corners: Outline) -> Outline {
    corners.dedup();
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
pub fn without_slight_corners(outline: &[Corner], least: f64) -> Outline {
    let n = outline.len();
    let beside = |a: Corner, b: Corner, c: Corner| {
        let [u, v] = [[b[0] - a[0], b[1] - a[1]], [c[0] - a[0], c[1] - a[1]]].map(|d| d.map(f64::from));
        (u[0] * v[1] - u[1] * v[0]).abs() / v[0].hypot(v[1])
    };
    let shows = |i: usize| beside(outline[(i + n - 1) % n], outline[i], outline[(i + 1) % n]) >= least;
    let kept: Outline = (0..n).filter(|&i| shows(i)).map(|i| outline[i]).collect();
    if kept.len() < 3 { outline.to_vec() } else { kept }
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
