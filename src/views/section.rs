//! The section through a block or jig at a lane, with the guide in use and the bench below.

use std::f64::consts::{FRAC_PI_4, PI};

use kurbo::{Point, Rect, Vec2};

use super::figure::Figure;
use super::plan::Drawn;
use crate::drawing::clash;
use crate::drawing::dimension::{End, Linear, drawn};
use crate::drawing::style::{ARROW, Fill, NARROW, Pen, VALUE};
use crate::drawing::view::View;
use crate::drawing::wood::{self, Wood};
use crate::drawing::{Anchor, Group, Mark, Text};
use crate::layout::Placed;
use crate::shape::font::width;
use crate::shape::polygon::{Outline, Region, microns, millimetres, united};
use crate::solve::contact;
use crate::terms::Edge;
use crate::trig::{Inverse, toward};

/// Space between hatch lines, mm of paper.
const PITCH: f64 = 2.5;
/// How far the bench is drawn below the block, mm of paper.
pub(super) const BENCH: f64 = 7.0;
/// How far it is drawn past the block, mm of paper.
const BENCH_PAST: f64 = 3.0;
/// Strokes of the ground hatching along the bench: length, and from one to the next, mm of paper.
const GROUND: [f64; 2] = [1.8, 2.2];
/// Space for a column of dimensions, mm of paper.
const COLUMN: f64 = 10.0;

/// What is cut: the board's bed is at `z = 0`.
pub struct Body<'a> {
    /// Size from near to far edge, mm.
    pub depth: f64,
    /// Thickness of the board, mm.
    pub thickness: f64,
    /// Height of the fences above the table, mm.
    pub fence_height: f64,
    /// From the reference edge in use to the face of the bench, mm.
    pub bench: f64,
    /// How far anything reaches below the bed, mm.
    pub below: f64,
    /// The parts.
    pub parts: Vec<CutPart>,
    /// Its title.
    pub title: String,
    /// Heights as they are dimensioned, mm.
    pub size: Box<dyn Fn(f64) -> String + 'a>,
    /// Draws what stands on what is cut: screws, references. From the near edge inward, up from the bed.
    pub over: Drawn<'a>,
    /// How far that reaches above the fences, mm.
    pub over_fences: f64,
}

/// A part of one piece of material, cut.
pub struct CutPart {
    /// Rectangles that make it up: extents in `y` from the near edge and in `z`, µm.
    pub boxes: Vec<[[i32; 2]; 2]>,
    /// How it is shown.
    pub lean: Lean,
}

/// How a part is shown: cut, hatched one way or the other or marked as its wood, or whole, as what fastens is (ISO 128-3,
/// from memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// Up to the right.
    Right,
    /// Up to the left.
    Left,
    /// As wood.
    Wood(Wood),
    /// Not cut: behind what is, and so hidden.
    Hidden,
}

impl Lean {
    /// Whether the part is cut.
    pub fn is_cut(self) -> bool {
        self != Lean::Hidden
    }
}

impl CutPart {
    /// A screw from above through what lies below: its middle in `y`, the level its head stands on and that of its tip,
    /// diameters of shank and head, and height of the head, all mm.
    pub fn screw(middle: f64, [top, tip]: [f64; 2], [shank, head]: [f64; 2], head_height: f64) -> Self {
        let across = |diameter: f64| [middle - diameter / 2.0, middle + diameter / 2.0].map(microns);
        let boxes = vec![
            [across(head), [microns(top), microns(top + head_height)]],
            [across(shank), [microns(tip), microns(top)]],
        ];
        Self { boxes, lean: Lean::Hidden }
    }
}

impl Body<'_> {
    fn cut_boxes(&self) -> impl Iterator<Item = &[[i32; 2]; 2]> {
        self.parts.iter().filter(|p| p.lean.is_cut()).flat_map(|p| &p.boxes)
    }

    /// The highest level of what is cut up to the fences' top, µm: letters may stand on that.
    pub(super) fn top(&self) -> i32 {
        let fences = microns(self.thickness) + microns(self.fence_height);
        let tops = self.cut_boxes().map(|b| b[1][1]);
        tops.filter(|top| *top <= fences).max().unwrap_or(0)
    }

    /// Height of board and fences, mm.
    fn height(&self) -> f64 {
        f64::from(self.top()) / 1000.0
    }

    /// Where the top ends on the side away from the guide, mm from the near edge.
    fn top_ends(&self, far: bool) -> f64 {
        let top = self.top();
        let ends = self.cut_boxes().filter(|b| b[1][1] == top).flat_map(|b| b[0]).map(|y| f64::from(y) / 1000.0);
        if far { ends.fold(f64::INFINITY, f64::min) } else { ends.fold(0.0, f64::max) }
    }
}

/// A section, ready to be drawn at some scale.
pub struct SectionView<'p, 'a> {
    body: &'p Body<'a>,
    placed: &'p Placed,
    figure: Figure,
}

/// Clear space kept around a section, mm of paper.
const ABOUT: f64 = 0.5;

/// How far a centre line runs past what it is the middle of, mm of paper.
const PAST_END: f64 = 2.0;

/// Baseline of the title above the fence, mm of paper.
const TITLE: f64 = 4.5;
/// By how much the section is turned, degrees.
const TURNED: u32 = 90;
/// Radius of the arc that says so, and the space beside it, mm of paper.
const ARC: f64 = 2.3;
const ARC_BESIDE: f64 = 1.6;
/// By how much its arrow is turned back from pointing straight down, radians.
const ARC_BACK: f64 = 0.1;

/// Paper needed around the block's outline (depth wide, its height high), mm: left, right, above, below.
pub type Around = [f64; 4];

impl<'p, 'a> SectionView<'p, 'a> {
    /// The section at the middle of a lane.
    pub fn new(body: &'p Body<'a>, placed: &'p Placed) -> Self {
        let lane = &placed.lane;
        let axle = contact::axle_on_block(&lane.setting.section, lane.projection(), lane.edge_shape);
        let figure =
            Figure::on_block(lane.setting.section, lane.projection(), lane.request.angle, lane.request.primary(), axle);
        Self { body, placed, figure }
    }

    fn far(&self) -> bool {
        self.placed.edge == Edge::Far
    }

    /// Extent of the guide beyond its edge, above the table and below it, mm of the model.
    pub(super) fn guide_extent(&self) -> [f64; 3] {
        let f = &self.figure;
        let mut points: Vec<Point> = f.blade().into_iter().map(|corner| f.at(corner)).collect();
        points.extend([f.at((f.rear(), f.top())), f.at((f.section().axle_to_face, f.top()))]);
        let axle = f.at((0.0, 0.0));
        let r = f.section().roller_radius;
        points.extend([axle - (r, 0.0), axle - (0.0, r)]);
        let out = points.iter().map(|p| -p.x).fold(0.0, f64::max);
        let up = points.iter().map(|p| p.y).fold(self.body.fence_height, f64::max);
        let down = points.iter().map(|p| -p.y).fold(self.body.thickness + self.body.below, f64::max);
        [out, up, down]
    }

    /// Height of board and fences, mm.
    pub fn height(&self) -> f64 {
        self.body.height()
    }

    /// Paper needed around the board.
    pub fn around(&self, scale: f64) -> Around {
        let drawn = clash::extent(&self.draw((0.0, 0.0), scale));
        let (depth, height) = (scale * self.body.depth, scale * self.height());
        [-drawn.x0, drawn.x1 - depth, -height - drawn.y0, drawn.y1].map(|reach| reach + ABOUT)
    }

    /// Draws it; the near edge's upright is at `origin`'s x and the bed at its y.
    pub fn draw(&self, origin: impl Into<Point>, scale: f64) -> Vec<Group> {
        let origin = origin.into();
        let view = View::upright(origin, scale);
        let guide_view = self.guide_view(origin, scale);
        let mut groups = vec![self.bench(&guide_view), self.cut(&view)];
        groups.extend(self.fasteners(&view));
        groups.extend((self.body.over)(&view));
        groups.extend(self.figure.draw(&guide_view, "section-"));
        groups.extend(self.dimensions(&view, &guide_view));
        groups.push(self.title(view.at((self.body.depth / 2.0, self.highest())) - (0.0, TITLE)));
        groups
    }

    /// The highest level of anything but the guide, mm: heads of screws stand on the fences.
    fn highest(&self) -> f64 {
        let tops = self.body.parts.iter().flat_map(|p| &p.boxes).map(|b| f64::from(b[1][1]) / 1000.0);
        tops.fold(self.body.height() + self.body.over_fences, f64::max)
    }

    /// Its title with the middle of its baseline at `at`. The plan has the near edge below, and the section lies level:
    /// it is turned from where projection would put it, which an arc with its angle says (ISO 128-3, from memory).
    fn title(&self, at: Point) -> Group {
        let mut group = Group::new("section-title", "note").with("turned", TURNED);
        let title = self.body.title.as_str();
        let angle = format!("{TURNED}°");
        let (first, last) = (width(title, VALUE, true), width(&angle, VALUE, true));
        let arc = 2.0 * (ARC + ARC_BESIDE);
        let left = at.x - (first + arc + last) / 2.0;
        group.text(Text::new((left, at.y), VALUE, Anchor::Start, title).bold());
        let centre = Point::new(left + first + ARC_BESIDE + ARC, at.y - 0.6);
        // A clockwise arc, and an arrow as the chord of its last part, which points down.
        let half = (ARROW / 2.0 / ARC).arcsine();
        let (from, to) = (PI - FRAC_PI_4 / 2.0, 2.0 * PI - ARC_BACK - half);
        group.marks.push(Mark::Arc { centre, radius: ARC, angles: [from, to], pen: Pen::Narrow });
        let tip = centre + ARC * toward(half - ARC_BACK);
        group.arrow(tip, toward(PI / 2.0 - ARC_BACK));
        group.text(Text::new((left + first + arc, at.y), VALUE, Anchor::Start, angle).bold());
        group
    }

    /// The guide in use, without dimensions.
    pub(super) fn guide(&self) -> &Figure {
        &self.figure
    }

    /// Where the guide's frame lies on a sheet: from its edge inward, up from the table; the near edge's upright is at
    /// `origin`'s x and the bed at its y.
    pub(super) fn guide_view(&self, origin: impl Into<Point>, scale: f64) -> View {
        let view = View::upright(origin, scale);
        let t = self.body.thickness;
        if self.far() {
            View::from_far(view.at((self.body.depth, t)), scale)
        } else {
            View::upright(view.at((0.0, t)), scale)
        }
    }

    /// The cut material: the outline of each part, hatched.
    fn cut(&self, view: &View) -> Group {
        let mut group = Group::new("section-cut", "feature").with("lane", &self.placed.lane.request.id);
        for part in self.body.parts.iter().filter(|p| p.lean.is_cut()) {
            for [y, z] in &part.boxes {
                let [a, b] = [0, 1].map(|i| view.at(millimetres([y[i], z[i]])));
                hatch(&mut group, a, b, part.lean);
            }
            group.path(union(&part.boxes).iter().map(|o| view.outline(o)), true, Pen::Wide, Fill::None);
        }
        group
    }

    /// What fastens, as hidden outlines, each on its centre line.
    pub(super) fn fasteners(&self, view: &View) -> Option<Group> {
        let mut group = Group::new("section-screws", "figure");
        for part in self.body.parts.iter().filter(|p| !p.lean.is_cut()) {
            group.path(union(&part.boxes).iter().map(|o| view.outline(o)), true, Pen::Dashed, Fill::None);
            let ys = part.boxes.iter().flat_map(|[y, _]| *y);
            let zs = part.boxes.iter().flat_map(|[_, z]| *z);
            if let (Some(left), Some(right), Some(low), Some(high)) =
                (ys.clone().min(), ys.max(), zs.clone().min(), zs.max())
            {
                let middle = millimetres([left, low]).midpoint(millimetres([right, low])).x;
                let ends = [low, high].map(|z| view.at((middle, f64::from(z) / 1000.0)));
                group.line(ends[0] + (0.0, PAST_END), ends[1] - (0.0, PAST_END), Pen::Chain);
            }
        }
        (!group.marks.is_empty()).then_some(group)
    }

    /// The bench where it holds the block: its top and its front, hatched as ground, its outline broken off.
    pub(super) fn bench(&self, guide_view: &View) -> Group {
        let body = self.body;
        let mut group = Group::new("section-bench", "figure").with("overhang", body.bench);
        let scale = guide_view.scale;
        let (near, far) = (body.bench, body.depth + BENCH_PAST / scale);
        let bed = -body.thickness;
        let low = bed - (BENCH / scale).max(body.below);
        let corners = [(far, bed), (near, bed), (near, low)];
        group.path([guide_view.all(corners)], false, Pen::DoubleDot, Fill::None);
        let [length, step] = GROUND.map(|mm| mm / scale);
        let mut strokes = |from: Point, along: (f64, f64), reach: f64| {
            let mut at = step;
            while at < reach {
                let foot = from + Vec2::from(along) * at;
                let end = foot + (length, -length);
                group.line(guide_view.at(foot), guide_view.at(end), Pen::Narrow);
                at += step;
            }
        };
        strokes(Point::new(near, bed), (1.0, 0.0), far - near - length);
        strokes(Point::new(near, bed), (0.0, -1.0), bed - low - length);
        group
    }

    fn dimensions(&self, view: &View, guide_view: &View) -> Vec<Group> {
        let body = self.body;
        let t = body.thickness;
        let height = self.body.height();
        let mut groups = Vec::new();
        let mut put = |id: &str, value: f64, words: String, ends: [Point; 2], x: f64, outside: End| {
            let linear = Linear { outside, ..Linear::new(ends, (x, 0.0), (0.0, -1.0), words) };
            groups.push(drawn(id, id, value, &linear));
        };
        // Heights on the side away from the guide.
        let away = if self.far() { 0.0 } else { body.depth };
        let sign = if self.far() { -1.0 } else { 1.0 };
        let middle = body.top_ends(self.far());
        let edge_x = view.at((away, 0.0)).x;
        let past_bench = sign * 3.5;
        let foot = Point::new(edge_x + past_bench - sign * 0.8, view.at((0.0, 0.0)).y);
        put("thickness", t, (body.size)(t), [foot, view.at((away, t))], edge_x + sign * (COLUMN - 1.0), End::First);
        let top = view.at((middle, height));
        put("height", height, (body.size)(height), [foot, top], edge_x + sign * (2.0 * COLUMN - 0.5), End::Between);
        // How far the roller reaches below the table, on the guide's side.
        let [out, ..] = self.guide_extent();
        let roller_below = self.placed.lane.own_roller_below_table();
        let axle = self.figure.at((0.0, 0.0));
        let x = guide_view.at((-out, 0.0)).x - sign * (COLUMN - 4.0);
        let ends = [guide_view.at((axle.x, -roller_below)), guide_view.at((-1.0 / view.scale, 0.0))];
        // A size of the guide: auxiliary, which round brackets say (ISO 129-1).
        put("roller-below-table", roller_below, format!("({})", (body.size)(roller_below)), ends, x, End::Between);
        groups
    }
}

/// The stretches of `y`, µm, that a region has at `x` mm.
pub fn crossings(region: &Region, x: f64) -> Vec<[i32; 2]> {
    // Half a micrometre off the grid, so that no corner is hit.
    let x = (x * 1000.0).round() + 0.5;
    let mut ys: Vec<f64> = Vec::new();
    for outline in region {
        let n = outline.len();
        for i in 0..n {
            let [a, b] = [outline[i], outline[(i + 1) % n]].map(|c| c.map(f64::from));
            if (a[0] < x) != (b[0] < x) {
                ys.push(a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1]));
            }
        }
    }
    ys.sort_by(f64::total_cmp);
    ys.chunks_exact(2).map(|c| [c[0].round() as i32, c[1].round() as i32]).collect()
}

pub(super) fn union(boxes: &[[[i32; 2]; 2]]) -> Region {
    let outline = |[y, z]: &[[i32; 2]; 2]| Outline::through([[y[0], z[0]], [y[1], z[0]], [y[1], z[1]], [y[0], z[1]]]);
    united(&boxes.iter().map(outline).collect::<Vec<_>>())
}

/// Lines at 45° over a rectangle of the sheet, in step with those of its neighbours.
pub fn hatch(group: &mut Group, a: Point, b: Point, lean: Lean) {
    // Lines that lean left are those that lean right in the mirror.
    let mirror = match lean {
        Lean::Right => 1.0,
        Lean::Left => -1.0,
        Lean::Wood(kind) => return wood::mark(group, kind, Rect::from_points(a, b)),
        Lean::Hidden => return,
    };
    let mirrored = |p: Point| Point::new(mirror * p.x, p.y);
    let Rect { x0, y0, x1, y1 } = Rect::from_points(mirrored(a), mirrored(b));
    let step = PITCH * std::f64::consts::SQRT_2;
    let mut c = ((x0 + y0) / step).ceil() * step;
    while c < x1 + y1 {
        let from = Point::new(x0.max(c - y1), (c - x0).min(y1));
        let to = Point::new(x1.min(c - y0), (c - x1).max(y0));
        if to.x - from.x > NARROW / 2.0 {
            group.line(mirrored(from), mirrored(to), Pen::Narrow);
        }
        c += step;
    }
}
