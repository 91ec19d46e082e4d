//! The faces that look toward the viewer, and pieces of them small enough to be found by their boxes.

use kurbo::{Point, Rect};

use super::corner::{Corner, around};
use super::{Axonometry, Body, Prism, dot};
use crate::drawing::index::Index;
use crate::trig::Inverse;

/// Surfaces closer than this touch, mm of paper: below any printer's dot, above any rounding.
pub const TOUCH: f64 = 5e-4;
/// Faces whose normal has less than this toward the viewer are seen edge on.
const EDGE_ON: f64 = 1e-6;
/// Faces with more corners are cut up.
const MOST_CORNERS: usize = 96;
/// Pieces below this are not cut up further, mm of paper.
const SMALLEST_PIECE: f64 = 0.5;

/// Which side of a prism a face is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    Top,
    Bottom,
    Wall,
}

/// A face of a prism that looks toward the viewer.
#[derive(Debug, Clone)]
pub struct Face {
    /// Index of its body.
    pub body: usize,
    /// Index of its prism within the body.
    pub prism: usize,
    /// Which side it is.
    pub side: Side,
    /// Unit normal, outward: right, down, toward the viewer.
    pub normal: [f64; 3],
    /// Its outlines: anticlockwise around the face as the viewer sees it.
    pub contours: Vec<Vec<Corner>>,
    /// The box around it.
    pub bounds: Rect,
    /// Distance of its plane from the origin.
    offset: f64,
}

impl Face {
    /// How far in front of the face's plane a point lies, mm of paper.
    pub fn clearance(&self, p: Corner) -> f64 {
        dot(self.normal, p) - self.offset
    }

    /// Depth of its plane at a place of the sheet.
    fn depth(&self, p: Point) -> f64 {
        (self.offset - self.normal[0] * p.x - self.normal[1] * p.y) / self.normal[2]
    }
}

/// A part of a face.
#[derive(Debug)]
pub struct Piece {
    /// Index of the face.
    pub face: usize,
    /// Its outlines.
    pub contours: Vec<Vec<Corner>>,
}

impl Piece {
    /// The part of it that lies before a window and in front of a face's plane.
    pub fn in_front_of(&self, face: &Face, window: Rect) -> Vec<Vec<Corner>> {
        let clearance = |p: &Corner| {
            let c = face.clearance(*p);
            if c.abs() <= TOUCH { 0.0 } else { c }
        };
        let in_front = |contours: &[Vec<Corner>]| contours.iter().flatten().any(|p| clearance(p) > 0.0);
        if !in_front(&self.contours) {
            return Vec::new();
        }
        let framed = framed(&self.contours, window);
        if !in_front(&framed) { Vec::new() } else { cut(&framed, clearance) }
    }

    /// Whether it covers a place of the sheet.
    fn covers(&self, Point { x, y }: Point) -> bool {
        let mut inside = false;
        for contour in &self.contours {
            for (a, b) in sides(contour) {
                if (a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]) {
                    inside = !inside;
                }
            }
        }
        inside
    }
}

/// All that is seen from one direction.
#[derive(Debug)]
pub struct Scene {
    /// The faces that look toward the viewer.
    pub faces: Vec<Face>,
    /// Their pieces.
    pub pieces: Vec<Piece>,
    /// Finds pieces.
    pub index: Index,
}

impl Scene {
    /// The faces of `bodies`.
    pub fn new(bodies: &[Body], view: &Axonometry) -> Self {
        let mut faces = Vec::new();
        for (body, b) in bodies.iter().enumerate() {
            for (prism, p) in b.prisms.iter().enumerate() {
                faces.extend(of_prism(p, view, body, prism));
            }
        }
        let mut pieces = Vec::new();
        for (i, face) in faces.iter().enumerate() {
            divide(i, face.contours.clone(), &mut pieces);
        }
        let index = Index::new(pieces.iter().map(|p| around(p.contours.iter().flatten())).collect());
        Self { faces, pieces, index }
    }

    /// The face that is seen at a place of the sheet.
    pub fn seen_at(&self, place: Point) -> Option<usize> {
        let mut best: Option<(usize, f64)> = None;
        for i in self.index.over(Rect::from_points(place, place)) {
            let piece = &self.pieces[i];
            let depth = self.faces[piece.face].depth(place);
            if best.is_none_or(|(_, d)| depth > d) && piece.covers(place) {
                best = Some((piece.face, depth));
            }
        }
        best.map(|(face, _)| face)
    }
}

/// The sides of a closed outline.
pub fn sides(contour: &[Corner]) -> impl Iterator<Item = (Corner, Corner)> {
    let last = contour.last().zip(contour.first());
    contour.windows(2).map(|side| (side[0], side[1])).chain(last.map(|(a, b)| (*a, *b)))
}

fn of_prism<'a>(prism: &'a Prism, view: &'a Axonometry, body: usize, index: usize) -> impl Iterator<Item = Face> + 'a {
    let (axes, turned) = (view.direction.axes(), view.turned());
    let level = |z: f64| -> Vec<Vec<Corner>> {
        prism.region.iter().map(|o| o.iter().map(|p| turned([p.x, p.y, z])).collect()).collect()
    };
    let (low, high) = (level(prism.z[0]), level(prism.z[1]));
    let make = move |side: Side, outward: [f64; 3], contours: Vec<Vec<Corner>>| {
        let normal = axes.map(|axis| dot(axis, outward));
        let start = *contours.first()?.first()?;
        let bounds = around(contours.iter().flatten());
        let offset = dot(normal, start);
        (normal[2] > EDGE_ON).then_some(Face { body, prism: index, side, normal, contours, bounds, offset })
    };
    let bottom = low.iter().map(|o| o.iter().rev().copied().collect()).collect();
    let level_faces = [make(Side::Top, [0.0, 0.0, 1.0], high.clone()), make(Side::Bottom, [0.0, 0.0, -1.0], bottom)];
    let walls = prism.region.iter().zip(low).zip(high).flat_map(move |((outline, low), high)| {
        let n = outline.len();
        (0..n).filter_map(move |i| {
            let j = (i + 1) % n;
            let side = outline[j] - outline[i];
            let length = side.x.hypotenuse(side.y);
            let outward = [side.y / length, -side.x / length, 0.0];
            // A side without length has no normal and is no face.
            make(Side::Wall, outward, vec![vec![low[i], low[j], high[j], high[i]]])
        })
    });
    level_faces.into_iter().flatten().chain(walls)
}

/// Cuts a face in halves until every piece has few corners.
fn divide(face: usize, contours: Vec<Vec<Corner>>, pieces: &mut Vec<Piece>) {
    let bounds = around(contours.iter().flatten());
    let upright = bounds.height() > bounds.width();
    let (along, low, size) = if upright { (1, bounds.y0, bounds.height()) } else { (0, bounds.x0, bounds.width()) };
    if contours.iter().map(Vec::len).sum::<usize>() <= MOST_CORNERS || size < SMALLEST_PIECE {
        pieces.push(Piece { face, contours });
        return;
    }
    let middle = low + size / 2.0;
    divide(face, cut(&contours, |p| middle - p[along]), pieces);
    divide(face, cut(&contours, |p| p[along] - middle), pieces);
}

/// The part of an area before a window.
fn framed(contours: &[Vec<Corner>], window: Rect) -> Vec<Vec<Corner>> {
    let left = cut(contours, |p| p[0] - window.x0);
    let left = cut(&left, |p| window.x1 - p[0]);
    let left = cut(&left, |p| p[1] - window.y0);
    cut(&left, |p| window.y1 - p[1])
}

/// The part of an area where `keep` is not negative, outline by outline (after Sutherland and Hodgman). Where it falls
/// apart, runs along the cut join the parts; they enclose nothing.
fn cut(contours: &[Vec<Corner>], keep: impl Fn(&Corner) -> f64) -> Vec<Vec<Corner>> {
    let one = |contour: &Vec<Corner>| {
        let mut kept = Vec::with_capacity(contour.len() + 4);
        for (a, b) in sides(contour) {
            let (ka, kb) = (keep(&a), keep(&b));
            if ka >= 0.0 {
                kept.push(a);
            }
            // From the kept end, so that neighbours which share this side get the same corner.
            if ka > 0.0 && kb < 0.0 {
                kept.push(between(a, b, ka / (ka - kb)));
            } else if ka < 0.0 && kb > 0.0 {
                kept.push(between(b, a, kb / (kb - ka)));
            }
        }
        kept
    };
    contours.iter().map(one).filter(|c| c.len() > 2).collect()
}

/// The point a part `t` of the way from `a` to `b`.
pub fn between(a: Corner, b: Corner, t: f64) -> Corner {
    [0, 1, 2].map(|i| a[i] + t * (b[i] - a[i]))
}
