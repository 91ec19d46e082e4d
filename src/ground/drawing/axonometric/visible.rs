//! What is seen of every face: its projection without those of the faces in front of it.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use kurbo::{Point, Rect};

use super::corner::{Corner, place};
use super::faces::{Face, Scene, Side, sides};
use crate::trig::{Inverse, Polar};

/// The grid that areas are cut on, mm of paper: the last decimal of a written drawing.
const GRID: f64 = 1e-4;
/// What is thinner than this comes of rounding and is left out, mm of paper.
const SLIVER: f64 = 1e-3;

/// Outlines on the grid.
type Outlines = Vec<Vec<IntPoint<i32>>>;

/// An area on the sheet: its outlines, holes running the other way.
#[derive(Debug, Clone, Default)]
pub struct Area(Outlines);

impl Area {
    /// Whether nothing of it is seen.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How large it is, mm².
    pub fn size(&self) -> f64 {
        let doubled = |o: &Vec<IntPoint<i32>>| -> f64 {
            let cross = |(a, b): (&IntPoint<i32>, &IntPoint<i32>)| {
                f64::from(a.x) * f64::from(b.y) - f64::from(b.x) * f64::from(a.y)
            };
            o.iter().zip(o.iter().cycle().skip(1)).map(cross).sum()
        };
        (self.0.iter().map(doubled).sum::<f64>() / 2.0).abs() * GRID * GRID
    }

    /// Its outlines, mm.
    pub fn contours(&self) -> Vec<Vec<Point>> {
        let point = |p: &IntPoint<i32>| Point::new(f64::from(p.x) * GRID, f64::from(p.y) * GRID);
        self.0.iter().map(|o| o.iter().map(point).collect()).collect()
    }
}

/// The seen area of every face, in the order of the scene's faces.
pub type Shown = Vec<Area>;

/// What is seen of the faces.
pub fn seen(scene: &Scene) -> Shown {
    scene.faces.iter().enumerate().map(|(i, face)| of_face(scene, i, face)).collect()
}

fn of_face(scene: &Scene, index: usize, face: &Face) -> Area {
    // A little larger, so that corners which arise where covers leave it lie off the face.
    let window = face.bounds.inset(10.0 * GRID);
    let mut covers = Outlines::new();
    // A little smaller, so that faces which only touch it are no covers.
    let inner = face.bounds.inset(-GRID);
    for piece in scene.index.over(inner).map(|k| &scene.pieces[k]).filter(|p| p.face != index) {
        let cover = piece.in_front_of(face, window);
        if fills(&cover, window) {
            return Area::default();
        }
        if !is_beside(&cover, face) {
            covers.extend(cover.iter().map(|o| snapped(o)));
        }
    }
    let subject: Outlines = face.contours.iter().map(|o| snapped(o)).collect();
    if covers.is_empty() { Area(subject) } else { cut(&subject, &covers, OverlayRule::Difference) }
}

/// Whether a cover hides all that is in the window.
fn fills(cover: &[Vec<Corner>], window: Rect) -> bool {
    let cross = |(a, b): (Corner, Corner)| a[0] * b[1] - b[0] * a[1];
    let doubled: f64 = cover.iter().flat_map(|o| sides(o)).map(cross).sum();
    doubled.abs() >= 2.0 * window.area() - GRID * GRID
}

/// Areas as one.
pub fn joined(areas: &[&Area]) -> Area {
    let all: Outlines = areas.iter().flat_map(|a| a.0.iter().cloned()).collect();
    cut(&all, &Outlines::new(), OverlayRule::Subject)
}

/// What outlines wind around at all.
pub fn filled(outlines: &[Vec<Point>]) -> Area {
    cut(&on_grid(outlines), &Outlines::new(), OverlayRule::Subject)
}

/// What outlines wind around at all, as far as others do.
pub fn clipped(outlines: &[Vec<Point>], by: &[Vec<Point>]) -> Area {
    cut(&on_grid(outlines), &on_grid(by), OverlayRule::Intersect)
}

/// What two areas have in common.
pub fn common(a: &Area, b: &Area) -> Area {
    cut(&a.0, &b.0, OverlayRule::Intersect)
}

/// Whether a cover lies beyond a side of a wall and so hides nothing of it; walls are convex.
fn is_beside(cover: &[Vec<Corner>], face: &Face) -> bool {
    let beyond = |(a, b): (Corner, Corner)| {
        let side = place(b) - place(a);
        let margin = GRID * side.size();
        cover.iter().flatten().all(|p| (place(*p) - place(a)).cross(side) <= margin)
    };
    face.side == Side::Wall && face.contours.iter().flat_map(|c| sides(c)).any(beyond)
}

/// All projections wind the same way, so what winds at all is covered.
fn cut(subject: &Outlines, other: &Outlines, rule: OverlayRule) -> Area {
    let shapes = Overlay::from_subj_and_clip(subject, other).overlay(rule, FillRule::NonZero);
    let sound = shapes.into_iter().filter(|shape| shape.first().is_some_and(|outer| !is_sliver(outer)));
    Area(sound.flatten().filter(|o| !is_sliver(o)).collect())
}

fn snapped(outline: &[Corner]) -> Vec<IntPoint<i32>> {
    outline.iter().map(|c| grid_point(place(*c))).collect()
}

fn on_grid(outlines: &[Vec<Point>]) -> Outlines {
    outlines.iter().map(|o| o.iter().copied().map(grid_point).collect()).collect()
}

fn grid_point(p: Point) -> IntPoint<i32> {
    IntPoint::new((p.x / GRID).round() as i32, (p.y / GRID).round() as i32)
}

/// A strip of width `w` and length `l` has an area of `w l` and a perimeter of `2 l`.
fn is_sliver(outline: &[IntPoint<i32>]) -> bool {
    let (mut doubled, mut perimeter) = (0.0, 0.0);
    for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        let [ax, ay, bx, by] = [a.x, a.y, b.x, b.y].map(f64::from);
        doubled += ax * by - bx * ay;
        perimeter += (bx - ax).hypotenuse(by - ay);
    }
    doubled.abs() < SLIVER / GRID * perimeter
}
