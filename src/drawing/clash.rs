//! Whether anything overlaps anything: lettering against lettering, lines and arrows, and everything against the
//! frame and the title block.

use kurbo::{Affine, BezPath, ParamCurve, Point, Rect};

use super::style::{CLEAR, Pen};
use super::{Group, Mark, Sheet, Text};

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
    let texts: Vec<(usize, Lettering)> = sheet
        .groups
        .iter()
        .enumerate()
        .flat_map(|(i, g)| g.marks.iter().filter_map(move |m| if let Mark::Text(t) = m { Some((i, t)) } else { None }))
        .map(|(i, t)| (i, Lettering::new(t)))
        .collect();
    let segments: Vec<(usize, [Point; 2])> =
        sheet.groups.iter().enumerate().flat_map(|(i, g)| segments(g).into_iter().map(move |s| (i, s))).collect();
    let id = |i: usize| sheet.groups[i].id.clone();
    let mut found = Vec::new();
    for (k, (i, text)) in texts.iter().enumerate() {
        for (j, other) in &texts[k + 1..] {
            if text.overlaps(other) {
                found.push(Clash(id(*i), id(*j)));
            }
        }
        for (j, segment) in &segments {
            if text.meets(*segment) {
                found.push(Clash(id(*i), id(*j)));
            }
        }
    }
    found.extend(outside(sheet, &texts, &segments));
    found
}

/// The box around all that is drawn.
pub fn extent(groups: &[Group]) -> Rect {
    let texts = groups.iter().flat_map(|g| &g.marks).filter_map(|m| if let Mark::Text(t) = m { Some(t) } else { None });
    let points = texts.flat_map(Text::corners).chain(groups.iter().flat_map(segments).flatten());
    around(points)
}

/// The box around points; around none it is inside out.
pub fn around(points: impl IntoIterator<Item = Point>) -> Rect {
    let none = Rect::new(f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
    points.into_iter().fold(none, |all, p| all.union_pt(p))
}

/// What leaves the frame or runs into the title block, wherever the sheet has them.
fn outside(sheet: &Sheet, texts: &[(usize, Lettering)], segments: &[(usize, [Point; 2])]) -> Vec<Clash> {
    let drawn = |id: &str| sheet.groups.iter().find(|g| g.id == id).map(|g| extent(std::slice::from_ref(g)));
    let frame = drawn("frame").unwrap_or(sheet.paper.frame());
    let block = drawn("title-block").map_or(Point::new(frame.x1, frame.y1), |block| block.origin());
    let is_frame = |i: usize| sheet.groups[i].class == "frame";
    // Views and dimensions keep a little away from the frame; tables and notes may be ruled by it.
    let clear =
        |i: usize| if ["figure", "feature", "dimension"].contains(&sheet.groups[i].class) { BESIDE_FRAME } else { 0.0 };
    let bad = |i: usize, p: &Point| {
        let c = clear(i);
        let out = !frame.inset(-c).contains_rect(around([*p]));
        out || (p.x > block.x - c && p.y > block.y - c)
    };
    let corners = texts.iter().filter(|(i, _)| !is_frame(*i)).map(|(i, t)| (*i, t.corners.to_vec()));
    let ends = segments.iter().filter(|(i, _)| !is_frame(*i)).map(|(i, s)| (*i, s.to_vec()));
    corners
        .chain(ends)
        .filter(|(i, points)| points.iter().any(|p| bad(*i, p)))
        .map(|(i, _)| Clash(sheet.groups[i].id.clone(), "frame".into()))
        .collect()
}

/// The box of a text, with some clear space around it.
pub(super) struct Lettering {
    /// Its corners, without the clear space.
    pub(super) corners: [Point; 4],
    /// Turns the sheet so that the lettering lies level.
    back: Affine,
    /// The box with its clear space, turned back to lie level.
    level: Rect,
}

impl Lettering {
    /// The box of `text`.
    pub(super) fn new(text: &Text) -> Self {
        let corners = text.corners();
        let back = Affine::rotate(-text.turn.to_radians());
        Self { corners, back, level: around(corners.map(|p| back * p)).inset(CLEAR) }
    }

    /// The box with `by` mm more space around it.
    pub(super) fn grown(mut self, by: f64) -> Self {
        self.level = self.level.inset(by);
        self
    }

    /// Whether a line runs through the box; one that only touches it does not.
    pub(super) fn meets(&self, segment: [Point; 2]) -> bool {
        clipped(segment.map(|p| self.back * p), self.level.inset(-TOUCH)).is_some()
    }

    /// Whether two boxes overlap (separating axes).
    pub(super) fn overlaps(&self, other: &Lettering) -> bool {
        let parted = |a: &Lettering, b: &Lettering| {
            let local = around(b.corners.map(|p| a.back * p));
            local.intersect(a.level).is_zero_area()
        };
        !parted(self, other) && !parted(other, self)
    }
}

/// The part of a line in a rectangle; what lies on its edge counts, a mere point does not (Liang and Barsky).
pub(crate) fn clipped([a, b]: [Point; 2], by: Rect) -> Option<[Point; 2]> {
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

/// Everything drawn in a group but its lettering, as straight runs.
pub(crate) fn segments(group: &Group) -> Vec<[Point; 2]> {
    let ruled = group.marks.iter().filter(|m| !matches!(m, Mark::Text(_) | Mark::Path { pen: Pen::None, .. }));
    let mut all = Vec::new();
    for mark in ruled {
        let mut straight = BezPath::new();
        kurbo::flatten(mark.path(), SAG, |element| straight.push(element));
        all.extend(straight.segments().map(|s| [s.start(), s.end()]));
    }
    all
}
