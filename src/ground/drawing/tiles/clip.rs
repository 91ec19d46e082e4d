//! Lines, areas and arcs cut at the edges of a rectangle.

use std::f64::consts::TAU;

use kurbo::{Circle, Point, Rect, Shape};

use super::AXES;
use crate::drawing::Mark;
use crate::drawing::clash::{self, clipped};
use crate::drawing::style::{Fill, Pen};
use crate::shape;
use crate::trig::{Inverse, toward};

/// How far a chord may stray from its arc, mm.
pub const SAG: f64 = 0.001;

/// What of `mark` lies in `window`: lines, areas and arcs are cut, an arrow is whole or not there, lettering never is
/// (it belongs to one tile, whole).
pub fn mark(mark: &Mark, window: Rect) -> Vec<Mark> {
    match mark {
        Mark::Line { from, to, pen } => {
            clipped([*from, *to], window).map(|[from, to]| Mark::Line { from, to, pen: *pen }).into_iter().collect()
        }
        Mark::Path { contours, closed, pen, fill } => path(mark, contours, *closed, *pen, *fill, window),
        Mark::Circle { centre, radius, pen, fill } => circle(mark, *centre, *radius, *pen, *fill, window),
        Mark::Arc { centre, radius, angles, pen } => arc(*centre, *radius, *angles, *pen, window),
        Mark::Arrow { .. } => {
            let group = crate::drawing::Group { marks: vec![mark.clone()], ..Default::default() };
            if clash::segments(&group).as_flattened().iter().all(|p| inside(*p, window)) {
                vec![mark.clone()]
            } else {
                Vec::new()
            }
        }
        Mark::Text(_) => Vec::new(),
    }
}

fn inside(p: Point, window: Rect) -> bool {
    window.contains_rect(clash::around([p]))
}

fn path(whole: &Mark, contours: &[Vec<Point>], closed: bool, pen: Pen, fill: Fill, window: Rect) -> Vec<Mark> {
    if contours.iter().flatten().all(|p| inside(*p, window)) {
        return vec![whole.clone()];
    }
    let mut parts = Vec::new();
    if fill != Fill::None {
        parts.extend(area(contours, fill, window));
    }
    let runs: Vec<Vec<Point>> = contours.iter().flat_map(|c| runs(c, closed, window)).collect();
    if pen != Pen::None && !runs.is_empty() {
        parts.push(Mark::Path { contours: runs, closed: false, pen, fill: Fill::None });
    }
    parts
}

/// The boundary of a contour where it lies in the window.
fn runs(contour: &[Point], closed: bool, window: Rect) -> Vec<Vec<Point>> {
    let sides = if closed { contour.len() } else { contour.len().saturating_sub(1) };
    let mut runs: Vec<Vec<Point>> = Vec::new();
    for i in 0..sides {
        let Some([from, to]) = clipped([contour[i], contour[(i + 1) % contour.len()]], window) else { continue };
        match runs.last_mut() {
            Some(run) if run.last() == Some(&from) => run.push(to),
            _ => runs.push(vec![from, to]),
        }
    }
    // A closed contour may begin in the middle of a run.
    if closed && runs.len() > 1 && runs[0].first() == runs.last().and_then(|run| run.last()) {
        let mut first = runs.remove(0).split_off(1);
        if let Some(last) = runs.last_mut() {
            last.append(&mut first);
        }
    }
    runs
}

/// A filled area without its outline, cut side by side (Sutherland and Hodgman). Where an area falls apart, its parts
/// stay joined along the window's edge, which has no width and is not drawn.
fn area(contours: &[Vec<Point>], fill: Fill, window: Rect) -> Option<Mark> {
    let mut kept = Vec::new();
    for contour in contours {
        let mut corners = contour.clone();
        let [x, y] = AXES;
        for (axis, level, sign) in
            [(x, window.x0, 1.0), (x, window.x1, -1.0), (y, window.y0, 1.0), (y, window.y1, -1.0)]
        {
            let depth = |p: Point| sign * (p.get_coord(axis) - level);
            let mut next = Vec::new();
            for (i, &b) in corners.iter().enumerate() {
                let a = corners[(i + corners.len() - 1) % corners.len()];
                let (da, db) = (depth(a), depth(b));
                if (da < 0.0) != (db < 0.0) {
                    let mut cut = a.lerp(b, da / (da - db));
                    cut.set_coord(axis, level);
                    next.push(cut);
                }
                if db >= 0.0 {
                    next.push(b);
                }
            }
            corners = next;
        }
        if corners.len() > 2 {
            kept.push(corners);
        }
    }
    (!kept.is_empty()).then_some(Mark::Path { contours: kept, closed: true, pen: Pen::None, fill })
}

fn circle(whole: &Mark, centre: Point, radius: f64, pen: Pen, fill: Fill, window: Rect) -> Vec<Mark> {
    if window.contains_rect(Circle::new(centre, radius).bounding_box()) {
        return vec![whole.clone()];
    }
    let mut parts = Vec::new();
    if fill != Fill::None {
        parts.extend(area(&shape::runs(&whole.path(), SAG), fill, window));
    }
    // From one crossing all the way round to it, so that no arc is cut where angles begin.
    let start = crossings(centre, radius, window).into_iter().next().unwrap_or(0.0);
    parts.extend(arc(centre, radius, [start, start + TAU], pen, window));
    parts
}

/// Where a circle meets the lines of the window's sides, radians.
fn crossings(centre: Point, radius: f64, window: Rect) -> Vec<f64> {
    let mut angles = Vec::new();
    for (x, y) in [(window.x0, window.y0), (window.x1, window.y1)] {
        let across = (x - centre.x) / radius;
        if across.abs() <= 1.0 {
            angles.extend([across.arccosine(), -across.arccosine()]);
        }
        let down = (y - centre.y) / radius;
        if down.abs() <= 1.0 {
            angles.extend([down.arcsine(), std::f64::consts::PI - down.arcsine()]);
        }
    }
    angles
}

fn arc(centre: Point, radius: f64, angles: [f64; 2], pen: Pen, window: Rect) -> Vec<Mark> {
    let [from, to] = [angles[0].min(angles[1]), angles[0].max(angles[1])];
    let mut ends = vec![from, to];
    for angle in crossings(centre, radius, window) {
        let mut at = angle + ((from - angle) / TAU).ceil() * TAU;
        while at < to {
            ends.push(at);
            at += TAU;
        }
    }
    ends.sort_by(f64::total_cmp);
    let mut parts: Vec<[f64; 2]> = Vec::new();
    for pair in ends.windows(2) {
        let shown = inside(centre + radius * toward((pair[0] + pair[1]) / 2.0), window);
        match parts.last_mut() {
            _ if !shown || pair[1] - pair[0] < 1e-9 => {}
            // Where it only touches or crosses a side's line outside the window, it runs on.
            Some(last) if last[1] == pair[0] => last[1] = pair[1],
            _ => parts.push([pair[0], pair[1]]),
        }
    }
    parts.into_iter().map(|angles| Mark::Arc { centre, radius, angles, pen }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::frame::outline;

    const WINDOW: Rect = Rect::new(0.0, 0.0, 10.0, 10.0);

    fn lengths(marks: &[Mark]) -> f64 {
        let run = |c: &[Point]| c.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
        marks
            .iter()
            .map(|m| match m {
                Mark::Line { from, to, .. } => run(&[*from, *to]),
                Mark::Path { contours, .. } => contours.iter().map(|c| run(c)).sum(),
                Mark::Arc { radius, angles, .. } => radius * (angles[1] - angles[0]),
                _ => f64::NAN,
            })
            .sum()
    }

    #[test]
    fn lines_are_cut_and_those_on_the_edge_stay() {
        let run = |from: (f64, f64), to: (f64, f64)| [Point::from(from), Point::from(to)];
        assert_eq!(clipped(run((-5.0, 5.0), (15.0, 5.0)), WINDOW), Some(run((0.0, 5.0), (10.0, 5.0))));
        assert_eq!(clipped(run((0.0, -5.0), (0.0, 15.0)), WINDOW), Some(run((0.0, 0.0), (0.0, 10.0))));
        assert_eq!(clipped(run((-5.0, 4.0), (4.0, -5.0)), WINDOW), None);
    }

    /// Lines that pass a corner of the window so closely that rounding decides.
    #[test]
    fn a_line_that_touches_a_corner_leaves_no_mere_point() {
        let mut dice = fastrand::Rng::with_seed(7);
        for _ in 0..100_000 {
            let [dx, dy, at] = [0; 3].map(|_| dice.f64() * 20.0);
            let line = [Point::new(10.0 - dx, 10.0 + dy), Point::new(10.0 + dx * at, 10.0 - dy * at)];
            assert!(clipped(line, WINDOW).is_none_or(|[from, to]| from != to), "{line:?}");
        }
    }

    #[test]
    fn a_contour_that_begins_inside_is_one_run() {
        let square = outline(Rect::new(5.0, 5.0, 15.0, 8.0)).to_vec();
        let whole = Mark::Path { contours: vec![square], closed: true, pen: Pen::Wide, fill: Fill::Tint };
        let parts = mark(&whole, WINDOW);
        let [Mark::Path { contours: filled, pen: Pen::None, .. }, Mark::Path { contours, closed: false, .. }] =
            &parts[..]
        else {
            panic!("{parts:?}")
        };
        assert_eq!(contours, &[[(10.0, 8.0), (5.0, 8.0), (5.0, 5.0), (10.0, 5.0)].map(Point::from)]);
        assert_eq!(filled[0].len(), 4);
    }

    /// By hand: a quarter of the circle about a corner is inside; a circle through all four sides keeps four arcs.
    #[test]
    fn circles_become_arcs() {
        let circle =
            |x, y, radius| Mark::Circle { centre: Point::new(x, y), radius, pen: Pen::Narrow, fill: Fill::None };
        let quarter = mark(&circle(0.0, 0.0, 4.0), WINDOW);
        assert_eq!(quarter.len(), 1);
        assert!((lengths(&quarter) - TAU).abs() < 1e-9, "{quarter:?}");
        let corners = mark(&circle(5.0, 5.0, 6.0), WINDOW);
        assert_eq!(corners.len(), 4);
        assert!((lengths(&corners) - 6.0 * (TAU - 8.0 * (5.0f64 / 6.0).arccosine())).abs() < 1e-9);
        assert_eq!(mark(&circle(5.0, 5.0, 5.0), WINDOW).len(), 1);
        assert_eq!(mark(&circle(5.0, 5.0, 9.0), WINDOW), []);
        assert_eq!(mark(&circle(15.0, 5.0, 5.0), WINDOW), []);
    }
}
