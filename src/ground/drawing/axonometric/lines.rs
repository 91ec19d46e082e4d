//! The edges that are seen, each drawn once.
//!
//! An edge belongs to a face. It is cut wherever another edge crosses it, and every part is judged by what is seen
//! close beside it: on its own side its face must be seen; on the other side nothing, a face further back (then the
//! part is an outline), or a face that it touches (then it is a crease, unless the surface continues).

use std::collections::BTreeMap;

use kurbo::{Point, Vec2};

use super::corner::{Corner, around, place};
use super::dot;
use super::faces::{Face, Scene, TOUCH, between, sides};
use super::visible::Shown;
use crate::cores;
use crate::drawing::index::Index;
use crate::drawing::style::Pen;
use crate::trig::{Inverse, Polar};

/// How far beside an edge is looked, mm of paper.
const BESIDE: f64 = 1e-4;
/// Edges closer than this lie on each other, and cuts closer than this are one, mm of paper.
const SAME: f64 = 1e-6;
/// Ends closer than about this are joined, mm of paper.
const JOINED: f64 = 1e-3;
/// Outlines are wide where a part of their edge that counts stands more than this in front of what is behind, mm of
/// paper: wide lines around what is shallow or small would run together. A part counts from this length, or from half
/// of all that is outline.
const SHALLOW: f64 = 3.0;
/// Edges that are worth a core of their own.
const TOGETHER: usize = 200;
/// Faces of one body that meet at less than 30° are facets of one curve.
const SMOOTH_COSINE: f64 = 0.866_025_403_784_438_6;

/// A line to be drawn.
#[derive(Debug)]
pub struct Run {
    /// Its corners.
    pub points: Vec<Point>,
    /// Whether the last joins the first.
    pub closed: bool,
    /// Its width.
    pub pen: Pen,
}

/// A side of a face, the face lying anticlockwise of it as the viewer sees it.
struct Edge {
    face: usize,
    ends: [Corner; 2],
}

/// A stretch of an edge that a side of another face lies on.
struct Shared {
    face: usize,
    span: [f64; 2],
}

/// A part of an edge that is seen.
enum Seen {
    /// Between two faces that meet.
    Crease,
    /// In front of something by so much, mm of paper.
    Outline(f64),
}

/// The lines of each of `bodies`.
pub fn lines_of(scene: &Scene, shown: &Shown, bodies: usize) -> Vec<Vec<Run>> {
    let of_face = |(face, f): (usize, &Face)| -> Vec<Edge> {
        f.contours.iter().flat_map(|c| sides(c)).map(|(a, b)| Edge { face, ends: [a, b] }).collect()
    };
    // What is seen changes only where it ends.
    let open = scene.faces.iter().enumerate().filter(|(i, _)| !shown[*i].is_empty());
    let edges: Vec<Edge> = open.flat_map(of_face).collect();
    let index = Index::new(edges.iter().map(|e| around(&e.ends)).collect());
    let long: Vec<&Edge> = edges.iter().filter(|e| run(e).size() > BESIDE).collect();
    let all_seen = cores::each(&long, TOGETHER, |edge| seen(scene, &edges, &index, edge));
    let mut stretches: BTreeMap<(usize, bool), Vec<[Point; 2]>> = BTreeMap::new();
    for (edge, seen) in long.into_iter().zip(all_seen) {
        for (pen, stretch) in seen {
            stretches.entry((scene.faces[edge.face].body, pen == Pen::Wide)).or_default().push(stretch);
        }
    }
    let of_body = |body: usize| {
        [(false, Pen::Narrow), (true, Pen::Wide)]
            .into_iter()
            .flat_map(|(wide, pen)| chained(stretches.get(&(body, wide)).map_or(&[], Vec::as_slice), pen))
            .collect()
    };
    (0..bodies).map(of_body).collect()
}

/// From one end to the other on the sheet.
fn run(edge: &Edge) -> Vec2 {
    place(edge.ends[1]) - place(edge.ends[0])
}

/// The seen stretches of an edge.
fn seen(scene: &Scene, edges: &[Edge], index: &Index, edge: &Edge) -> Vec<(Pen, [Point; 2])> {
    let mut cuts = vec![0.0, 1.0];
    let mut shared = Vec::new();
    for i in index.over(around(&edge.ends)) {
        meet(edge, &edges[i], &mut cuts, &mut shared);
    }
    cuts.sort_by(f64::total_cmp);
    let length = run(edge).size();
    let apart = SAME / length;
    cuts.dedup_by(|b, a| *b - *a < apart);
    let [from, to] = edge.ends;
    let place = |t: f64| place(between(from, to, t));
    let spans = cuts.windows(2).map(|w| [w[0], w[1]]);
    let parts: Vec<([f64; 2], Seen)> =
        spans.filter_map(|span| Some((span, judge(scene, edge, span, &shared)?))).collect();
    let outline = |least: f64| -> f64 {
        let clear = parts.iter().filter(|(_, seen)| matches!(seen, Seen::Outline(clearance) if *clearance > least));
        clear.map(|([from, to], _)| (to - from) * length).sum()
    };
    let (all, deep) = (outline(0.0), outline(SHALLOW));
    let clear = deep > 0.0 && deep >= SHALLOW.min(all / 2.0);
    let mut found: Vec<(Pen, [Point; 2])> = Vec::new();
    for ([from, to], seen) in parts {
        let pen = if clear && matches!(seen, Seen::Outline(_)) { Pen::Wide } else { Pen::Narrow };
        let (from, to) = (place(from), place(to));
        match found.last_mut() {
            Some((last, stretch)) if *last == pen && stretch[1] == from => stretch[1] = to,
            _ => found.push((pen, [from, to])),
        }
    }
    found
}

/// Where `other` crosses or touches `edge`.
fn meet(edge: &Edge, other: &Edge, cuts: &mut Vec<f64>, shared: &mut Vec<Shared>) {
    let ([a, b], [c, d]) = (edge.ends.map(place), other.ends.map(place));
    let (u, v) = (b - a, d - c);
    let size = u.hypot2();
    let along = |p: Point| (p - a).dot(u) / size;
    let off = |p: Point| u.cross(p - a) / size.sqrt();
    let (off_c, off_d) = (off(c), off(d));
    let ends = [(c, off_c), (d, off_d)].into_iter().filter(|(_, off)| off.abs() < SAME).map(|(p, _)| along(p));
    cuts.extend(ends.filter(|t| (0.0..=1.0).contains(t)));
    if off_c.abs() < SAME && off_d.abs() < SAME {
        let (t, s) = (along(c), along(d));
        shared.push(Shared { face: other.face, span: [t.min(s), t.max(s)] });
    } else if off_c * off_d < 0.0 {
        let t = (c - a).cross(v) / u.cross(v);
        if (0.0..=1.0).contains(&t) {
            cuts.push(t);
        }
    }
}

/// Judges a part of an edge, if it is seen and this edge is the one to draw it.
fn judge(scene: &Scene, edge: &Edge, span: [f64; 2], shared: &[Shared]) -> Option<Seen> {
    let [from, to] = edge.ends;
    let t = (span[0] + span[1]) / 2.0;
    let middle = between(from, to, t);
    let run = run(edge);
    let inward = BESIDE / run.size() * -run.turn_90();
    if scene.seen_at(place(middle) + inward) != Some(edge.face) {
        return None;
    }
    let Some(beyond) = scene.seen_at(place(middle) - inward) else {
        return Some(Seen::Outline(f64::INFINITY));
    };
    let (face, other) = (&scene.faces[edge.face], &scene.faces[beyond]);
    let clearance = other.clearance(middle);
    if clearance > TOUCH {
        let [start, end] = span.map(|t| other.clearance(between(from, to, t)));
        return Some(Seen::Outline(start.max(end)));
    }
    // What stands in front has its own outline here.
    let covered = clearance < -TOUCH;
    let continues = face.body == other.body && dot(face.normal, other.normal) > SMOOTH_COSINE;
    let twice = beyond < edge.face && shared.iter().any(|s| s.face == beyond && s.span[0] <= t && t <= s.span[1]);
    (!covered && !continues && !twice).then_some(Seen::Crease)
}

/// Stretches joined end to end, straight on where several meet.
fn chained(stretches: &[[Point; 2]], pen: Pen) -> Vec<Run> {
    let key = |p: Point| [p.x, p.y].map(|v| (v / JOINED).round() as i64);
    let mut ends: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    for (i, [a, b]) in stretches.iter().enumerate() {
        ends.entry(key(*a)).or_default().push(i);
        ends.entry(key(*b)).or_default().push(i);
    }
    let mut used = vec![false; stretches.len()];
    let mut runs = Vec::new();
    for start in 0..stretches.len() {
        if used[start] {
            continue;
        }
        used[start] = true;
        let mut points = stretches[start].to_vec();
        for _ in 0..2 {
            extend(&mut points, stretches, &ends, &mut used, key);
            points.reverse();
        }
        let closed = points.len() > 3 && key(points[0]) == key(points[points.len() - 1]);
        if closed {
            points.pop();
        }
        runs.push(Run { points, closed, pen });
    }
    runs
}

fn extend(
    points: &mut Vec<Point>,
    stretches: &[[Point; 2]],
    ends: &BTreeMap<[i64; 2], Vec<usize>>,
    used: &mut [bool],
    key: impl Fn(Point) -> [i64; 2],
) {
    while let [.., before, end] = points[..] {
        let away = |i: usize| if key(stretches[i][0]) == key(end) { stretches[i][1] } else { stretches[i][0] };
        let straightness = |i: &usize| {
            let (u, v) = (end - before, away(*i) - end);
            u.dot(v) / (u.x.hypotenuse(u.y) * v.x.hypotenuse(v.y))
        };
        let free = ends.get(&key(end)).into_iter().flatten().copied().filter(|&i| !used[i]);
        let Some(next) = free.max_by(|a, b| straightness(a).total_cmp(&straightness(b))) else { break };
        used[next] = true;
        let p = away(next);
        // A corner on a straight run is none.
        if is_straight(before, end, p) {
            points.pop();
        }
        points.push(p);
    }
}

/// Whether three corners lie on a straight run.
fn is_straight(a: Point, b: Point, c: Point) -> bool {
    let (u, v) = (b - a, c - b);
    u.dot(v) > 0.0 && u.cross(v).abs() < BESIDE / 2.0 * u.size().min(v.size())
}
