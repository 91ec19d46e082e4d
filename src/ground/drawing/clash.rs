//! Whether anything overlaps anything: lettering against lettering, lines and arrows, and everything against the
//! frame and the title block.

use kurbo::{Affine, PathEl, Point, Rect, Vec2};

use super::frame::outline;
use super::index::Index;
use super::style::{CLEAR, Pen};
use super::{Group, Mark, Sheet, Text, arrow_corners};
use crate::trig::rotation;

/// How far views and dimensions keep from the frame, mm.
const BESIDE_FRAME: f64 = 1.5;
/// Lines that reach into a box by less only touch it, mm.
const TOUCH: f64 = 1e-9;
/// How far the chords that stand for an arc stray from it, mm; so the whole and a part of it are judged alike.
const SAG: f64 = 0.005;

/// Two things that overlap, or one that leaves the frame, by the ids of their groups.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Clash(pub String, pub String);

/// All clashes of a sheet.
pub fn find(sheet: &Sheet) -> Vec<Clash> {
    let mut found = among(&sheet.groups);
    found.extend(outside(sheet));
    found
}

/// All clashes of lettering with lettering and lines, wherever on a sheet the groups stand.
pub fn among(groups: &[Group]) -> Vec<Clash> {
    let (texts, segments) = (lettering(groups), lines(groups));
    let clash = |i: usize, j: usize| Clash(groups[i].id.clone(), groups[j].id.clone());
    let mut found = Vec::new();
    // Neighbours in a drawing are neighbours in its list: most runs of them are told to be far away at once.
    let near: Vec<(Rect, &[Drawn])> =
        segments.chunks(RUN).map(|run| (around(run.iter().flat_map(|s| s.1)), run)).collect();
    for (k, (i, text)) in texts.iter().enumerate() {
        found.extend(texts[k + 1..].iter().filter(|(_, other)| text.overlaps(other)).map(|(j, _)| clash(*i, *j)));
        for (_, run) in near.iter().filter(|(bounds, _)| bounds.overlaps(text.bounds)) {
            found.extend(run.iter().filter(|(_, segment)| text.meets(*segment)).map(|(j, _)| clash(*i, *j)));
        }
    }
    found
}

/// A straight run of what is drawn, with the place of its group.
type Drawn = (usize, [Point; 2]);

/// How many straight runs are looked at together.
const RUN: usize = 16;

/// The lettering of each group, with the group's place.
fn lettering(groups: &[Group]) -> Vec<(usize, Lettering)> {
    let texts = |g: &Group| {
        let texts = g.marks.iter().filter_map(|m| if let Mark::Text(t) = m { Some(Lettering::new(t)) } else { None });
        texts.collect::<Vec<_>>()
    };
    groups.iter().enumerate().flat_map(|(i, g)| texts(g).into_iter().map(move |t| (i, t))).collect()
}

/// Everything else of each group, with the group's place.
fn lines(groups: &[Group]) -> Vec<Drawn> {
    groups.iter().enumerate().flat_map(|(i, g)| segments(g).into_iter().map(move |s| (i, s))).collect()
}

/// The box around all that is drawn.
pub fn extent(groups: &[Group]) -> Rect {
    let texts = groups.iter().flat_map(|g| &g.marks).filter_map(|m| if let Mark::Text(t) = m { Some(t) } else { None });
    let mut extent = around(texts.flat_map(Text::corners));
    for group in groups {
        for_each_segment(group, |[a, b]| extent = extent.union_pt(a).union_pt(b));
    }
    extent
}

/// The box around points; around none it is inside out.
pub fn around(points: impl IntoIterator<Item = Point>) -> Rect {
    let none = Rect::new(f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
    points.into_iter().fold(none, |all, p| all.union_pt(p))
}

/// What leaves the frame or runs into the title block, wherever the sheet has them; areas without an outline too, which
/// would cover what is below.
fn outside(sheet: &Sheet) -> Vec<Clash> {
    let drawn = |id: &str| sheet.groups.iter().find(|g| g.id == id).map(|g| extent(std::slice::from_ref(g)));
    let frame = drawn("frame").unwrap_or(sheet.paper.frame());
    let block = drawn("title-block").map_or(Point::new(frame.x1, frame.y1), |block| block.origin());
    let bad = |group: &Group| {
        // Views and dimensions keep a little away from the frame; tables and notes may be ruled by it.
        let kept = ["figure", "feature", "dimension"].contains(&group.class);
        let c = if kept { BESIDE_FRAME } else { 0.0 };
        let within = frame.inset(-c);
        move |p: &Point| !within.contains_rect(around([*p])) || (p.x > block.x - c && p.y > block.y - c)
    };
    let mut found = Vec::new();
    for group in sheet.groups.iter().filter(|g| g.class != "frame") {
        let is_bad = bad(group);
        let mut left = 0;
        for mark in &group.marks {
            left += usize::from(match mark {
                Mark::Text(text) => text.corners().iter().any(&is_bad),
                Mark::Path { contours, pen: Pen::None, .. } => contours.iter().flatten().any(&is_bad),
                _ => false,
            });
        }
        for_each_segment(group, |segment| left += usize::from(segment.iter().any(&is_bad)));
        found.extend((0..left).map(|_| Clash(group.id.clone(), "frame".into())));
    }
    found
}

/// The box of a text, with some clear space around it.
pub(super) struct Lettering {
    /// Its corners, without the clear space.
    pub(super) corners: [Point; 4],
    /// Turns the sheet so that the lettering lies level.
    back: Affine,
    /// The box with its clear space, turned back to lie level.
    level: Rect,
    /// A level box on the sheet around all that, a hair larger: most of what is far away is found so.
    bounds: Rect,
}

/// By how much the box that tells what is far away is larger, mm.
const HAIR: f64 = 0.001;

/// The level box on the sheet around one that lies level once turned `back`.
fn bounds(back: Affine, level: Rect) -> Rect {
    around(outline(level).map(|p| back.inverse() * p)).inset(HAIR)
}

impl Lettering {
    /// The box of `text`.
    pub(super) fn new(text: &Text) -> Self {
        let corners = text.corners();
        let back = rotation(-text.turn.to_radians());
        let level = around(corners.map(|p| back * p)).inset(CLEAR);
        Self { corners, back, level, bounds: bounds(back, level) }
    }

    /// The box with `by` mm more space around it.
    pub(super) fn grown(&self, by: f64) -> Self {
        let level = self.level.inset(by);
        Self { level, bounds: bounds(self.back, level), ..*self }
    }

    /// The box with `by` mm more space before and behind it.
    pub(super) fn wider(&self, by: f64) -> Self {
        let level = self.level.inflate(by, 0.0);
        let corners = outline(level.inset(-CLEAR)).map(|p| self.back.inverse() * p);
        Self { corners, level, bounds: bounds(self.back, level), ..*self }
    }

    /// The box moved.
    pub(super) fn moved(&self, by: Vec2) -> Self {
        let turned = self.back * by.to_point();
        let (corners, level) = (self.corners.map(|p| p + by), self.level + turned.to_vec2());
        Self { corners, level, bounds: self.bounds + by, ..*self }
    }

    /// Whether a line runs through the box; one that only touches it does not.
    pub(super) fn meets(&self, segment: [Point; 2]) -> bool {
        let ([a, b], far) = (segment, self.bounds);
        if a.x.max(b.x) < far.x0 || a.x.min(b.x) > far.x1 || a.y.max(b.y) < far.y0 || a.y.min(b.y) > far.y1 {
            return false;
        }
        clipped(segment.map(|p| self.back * p), self.level.inset(-TOUCH)).is_some()
    }

    /// Whether two boxes overlap (separating axes).
    pub(super) fn overlaps(&self, other: &Lettering) -> bool {
        let parted = |a: &Lettering, b: &Lettering| {
            let local = around(b.corners.map(|p| a.back * p));
            local.intersect(a.level).is_zero_area()
        };
        let (a, b) = (self.bounds, other.bounds);
        let is_far = a.x1 < b.x0 || b.x1 < a.x0 || a.y1 < b.y0 || b.y1 < a.y0;
        !is_far && !parted(self, other) && !parted(other, self)
    }
}

/// Everything drawn but lettering, in which is found what is near: for who asks so often of one drawing that an index
/// pays, as it does not in [`among`].
pub(super) struct Lines {
    segments: Vec<[Point; 2]>,
    near: Index,
}

impl Lines {
    /// Of some groups.
    pub(super) fn of(groups: &[Group]) -> Self {
        let segments: Vec<[Point; 2]> = groups.iter().flat_map(segments).collect();
        let near = Index::new(segments.iter().map(|[a, b]| Rect::from_points(*a, *b)).collect());
        Self { segments, near }
    }

    /// Whether one of them runs through a text's box.
    pub(super) fn meet(&self, text: &Lettering) -> bool {
        self.near.over(text.bounds).any(|i| text.meets(self.segments[i]))
    }

    /// Whether one of them has a part in a rectangle.
    pub(super) fn enter(&self, area: Rect) -> bool {
        self.near.over(area).any(|i| clipped(self.segments[i], area).is_some())
    }
}

/// The part of a line in a rectangle; what lies on its edge counts, a mere point does not (Liang and Barsky).
pub fn clipped([a, b]: [Point; 2], by: Rect) -> Option<[Point; 2]> {
    let along = b - a;
    let (mut enter, mut leave) = (0f64, 1f64);
    for (from, d, low, high) in [(a.x, along.x, by.x0, by.x1), (a.y, along.y, by.y0, by.y1)] {
        if d == 0.0 {
            if from < low || from > high {
                return None;
            }
            continue;
        }
        let (t0, t1) = ((low - from) / d, (high - from) / d);
        enter = enter.max(t0.min(t1));
        leave = leave.min(t0.max(t1));
    }
    let at = |t: f64| if t == 1.0 { b } else { a + t * along };
    (enter < leave).then(|| [at(enter), at(leave)]).filter(|[from, to]| from != to)
}

/// Everything drawn in a group but its lettering, as straight runs, mm of the sheet.
pub fn segments(group: &Group) -> Vec<[Point; 2]> {
    let mut all = Vec::new();
    for_each_segment(group, |segment| all.push(segment));
    all
}

/// Shows every straight run of all that is drawn in a group but its lettering.
fn for_each_segment(group: &Group, mut show: impl FnMut([Point; 2])) {
    for mark in &group.marks {
        match mark {
            Mark::Text(_) | Mark::Path { pen: Pen::None, .. } => {}
            Mark::Line { from, to, .. } => show([*from, *to]),
            Mark::Path { contours, closed, .. } => {
                contours.iter().for_each(|contour| sides(contour, *closed, &mut show));
            }
            Mark::Arrow { tip, toward } => sides(&arrow_corners(*tip, *toward), true, &mut show),
            Mark::Circle { .. } | Mark::Arc { .. } => {
                let mut contour = Vec::new();
                let mut is_closed = false;
                kurbo::flatten(mark.path(), SAG, |element| match element {
                    PathEl::ClosePath => is_closed = true,
                    element => contour.extend(element.end_point()),
                });
                sides(&contour, is_closed, &mut show);
            }
        }
    }
}

/// Shows the sides of one contour.
fn sides(contour: &[Point], closed: bool, show: &mut impl FnMut([Point; 2])) {
    contour.windows(2).for_each(|side| show([side[0], side[1]]));
    if let ([first, .., last], true) = (contour, closed)
        && first != last
    {
        show([*last, *first]);
    }
}
