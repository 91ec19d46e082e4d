//! The guide at the block, cut through a lane, and the block from above.

use kurbo::{Point, Rect, Size};

use super::Word;
use super::callout::{self, Callout, Tip};
use super::shown::{Shown, plain_dimension};
use crate::drawing::Group;
use crate::drawing::frame::outline;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;
use crate::shape::polygon::millimetres;
use crate::terms::Edge;
use crate::views::section::{BENCH, SectionView, union};

/// Room for words to the left and right of the views, above and below them, mm of paper.
const BESIDE: [f64; 2] = [20.0, 6.0];
const ABOVE: f64 = 9.0;
const BELOW: f64 = 4.0;
/// Largest scale: features are not to look coarser than the lines that draw them.
const LARGEST: f64 = 1.25;
/// From the guide to the dimension of how deep the roller reaches, mm of paper.
const COLUMN: f64 = 7.0;

/// Draws guide, blade, block and bench in `room`.
pub(super) fn at_block(shown: &Shown, room: Rect) -> Vec<Group> {
    let body = shown.body;
    let section = SectionView::new(body, shown.placed);
    let [out, up, down] = section.guide_extent();
    let fits = |free: f64, model: f64| free / model;
    let across = room.width() - BESIDE[0] - BESIDE[1] - COLUMN;
    let below = down.max(body.thickness);
    // Below the table there are the guide and words, or the block and the bench.
    let lowest = [(below, BELOW), (body.thickness, BENCH)];
    let high = lowest.map(|(model, paper)| fits(room.height() - ABOVE - paper, up + model));
    let k = high.into_iter().fold(LARGEST, f64::min).min(fits(across, out + body.depth));
    let low = lowest.map(|(model, paper)| k * model + paper).into_iter().fold(0.0, f64::max);
    // In the middle of what the words leave.
    let left = room.x0 + BESIDE[0] + COLUMN + (across - k * (out + body.depth)) / 2.0;
    let is_far = shown.placed.edge == Edge::Far;
    let near = if is_far { left - COLUMN } else { left + k * out };
    let table = room.y0 + ABOVE + (room.height() - ABOVE - k * up - low) / 2.0 + k * up;
    let origin = Point::new(near, table + k * body.thickness);
    let view = section.guide_view(origin, k);
    let mut groups = vec![section.bench(&view)];
    groups.push(cut(shown, &View::upright(origin, k)));
    groups.extend(section.fasteners(&View::upright(origin, k)));
    groups.extend(section.guide().draw_subject(&view, "section-"));
    groups.push(roller_below_table(shown, &view, out));
    let callouts = words(shown, &section, &view, out);
    let words = callout::draw(&callouts, &groups, room);
    groups.extend(words);
    groups
}

/// What is cut, a part a contour.
fn cut(shown: &Shown, view: &View) -> Group {
    let mut group = Group::new("section-cut", "feature").with("lane", &shown.placed.lane.request.id);
    for part in shown.body.parts.iter().filter(|part| part.lean.is_cut()) {
        group.path(union(&part.boxes).iter().map(|o| view.outline(o)), true, Pen::Wide, Fill::Tint);
    }
    group
}

/// Where the dimension of the roller's depth runs, mm from the edge in use outward.
fn column(view: &View, out: f64) -> f64 {
    out + (COLUMN - 3.0) / view.scale
}

/// Upper and lower end of that dimension in the guide's frame.
fn depth_ends(shown: &Shown) -> [f64; 2] {
    [0.0, -shown.placed.lane.own_roller_below_table()]
}

fn roller_below_table(shown: &Shown, view: &View, out: f64) -> Group {
    let axle = SectionView::new(shown.body, shown.placed).guide().at((0.0, 0.0));
    let [top, low] = depth_ends(shown);
    let ends = [view.at((axle.x, low)), view.at((-1.0, top))];
    plain_dimension("roller-below-table", ends, view.at((-column(view, out), 0.0)), (0.0, -1.0))
}

/// The words, each at a point of the part that it names.
fn words(shown: &Shown, section: &SectionView, view: &View, out: f64) -> Vec<Callout> {
    let (body, guide) = (shown.body, section.guide());
    let s = guide.section();
    let (t, fence) = (body.thickness, shown.placed.lane.fence());
    let on_guide = |along: f64, level: f64| view.at(guide.at((along, level)));
    // Words of the far edge stand as in a mirror.
    let is_far = shown.placed.edge == Edge::Far;
    let toward = |degrees: f64| if is_far { 180.0 - degrees } else { degrees };
    let callout = |word, at, tip, degrees| Callout { word, at, tip, toward: toward(degrees) };
    let (rear, front) = (guide.rear(), s.axle_to_face);
    // The face below the block where it reaches there, else before the block.
    let edge_low = guide.face_low();
    let level_of = |height: f64| {
        let [a, b] = [0.0, 1.0].map(|n| guide.at((s.face_at(n), n)).y);
        (height - a) / (b - a)
    };
    let below_block = level_of(-t);
    let (face, face_toward) = if edge_low < below_block - 1.0 {
        ((edge_low + below_block) / 2.0, 330.0)
    } else {
        ((edge_low.max(below_block) + level_of(0.0)) / 2.0, 200.0)
    };
    let [depth_top, depth_low] = depth_ends(shown);
    let r = 0.45 * s.roller_radius;
    let axle = guide.at((0.0, 0.0));
    let mut all = vec![
        callout(Word::Guide, on_guide((rear + front) / 2.0, guide.top() - 2.5), Tip::Dot, 120.0),
        callout(Word::Blade, on_guide(rear - 6.0, guide.blade_middle()), Tip::Dot, 150.0),
        callout(Word::Roller, view.at(axle + (r, -r)), Tip::Dot, 330.0),
        callout(Word::Seat, on_guide(rear + 0.3 * (front - rear), s.seat_height), Tip::Arrow, 210.0),
        callout(Word::Face, on_guide(s.face_at(face), face), Tip::Arrow, face_toward),
        callout(Word::Arris, view.at((0.0, 0.0)), Tip::Arrow, 315.0),
        callout(Word::ReferenceEdge, view.at((0.0, -0.6 * t)), Tip::Arrow, 315.0),
        callout(Word::Table, view.at((0.6 * fence, 0.0)), Tip::Arrow, 315.0),
        callout(Word::Fence, view.at((fence, 0.75 * body.fence_height)), Tip::Arrow, 120.0),
        callout(Word::Block, block_point(shown, view), Tip::Dot, 315.0),
        callout(
            Word::RollerBelowTable,
            view.at((-column(view, out), 0.2 * depth_top + 0.8 * depth_low)),
            Tip::Plain,
            300.0,
        ),
    ];
    let upright = View::upright(view.at((if is_far { body.depth } else { 0.0 }, -t)), view.scale);
    let middle_of = |[y, z]: [[i32; 2]; 2]| {
        let [a, b] = [0, 1].map(|i| millimetres([y[i], z[i]]));
        upright.at(a.midpoint(b))
    };
    let boxes = || body.parts.iter().flat_map(|part| part.boxes.iter().copied());
    if let Some(raised) = middle_box(shown) {
        all.push(callout(Word::Middle, middle_of(raised), Tip::Dot, 60.0));
    }
    if let Some(cleat) = boxes().find(|[_, z]| z[1] <= 0) {
        all.push(callout(Word::Cleat, middle_of(cleat), Tip::Dot, 225.0));
    }
    all
}

/// The stretch that stands above the table behind the fence in use: extents in `y` and `z`, µm.
fn middle_box(shown: &Shown) -> Option<[[i32; 2]; 2]> {
    let body = shown.body;
    let fence = shown.placed.lane.fence();
    let at_fence = if shown.placed.edge == Edge::Far { body.depth - fence } else { fence };
    let level = 1000.0 * (body.thickness + body.fence_height / 2.0);
    // A wooden jig has strips, of other parts than its board.
    let raised = body.parts.iter().take(1).flat_map(|part| part.boxes.iter().copied());
    let raised = raised.filter(|[_, z]| f64::from(z[0]) < level && level < f64::from(z[1]));
    let off = |[y, _]: &[[i32; 2]; 2]| {
        y.map(|y| (f64::from(y) / 1000.0 - at_fence).abs()).into_iter().fold(f64::MAX, f64::min)
    };
    raised.min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// A point within the board, clear of the guide's words.
fn block_point(shown: &Shown, view: &View) -> Point {
    view.at((0.85 * shown.body.depth, -0.5 * shown.body.thickness))
}

/// Room for words to the left and right of the plan, above it and below it, mm of paper.
const ASIDE: f64 = 4.0;
const UNDER: f64 = 8.0;

/// Draws the block from above in `room`: near edge below.
pub(super) fn from_above(shown: &Shown, room: Rect) -> Vec<Group> {
    let size = Size::new(shown.length, shown.body.depth);
    let k = ((room.width() - 2.0 * ASIDE) / size.width).min((room.height() - 2.0 * UNDER) / size.height);
    let at = room.center() + (-k * size.width / 2.0, k * size.height / 2.0);
    let view = View::upright(at, k);
    let mut board = Group::new("above-board", "feature");
    board.path([view.all(outline(size.to_rect()))], true, Pen::Wide, Fill::Tint);
    let mut lanes = Group::new("above-lanes", "feature").with("lanes", shown.lanes.len());
    let area = |i: usize| {
        let placed = &shown.lanes[i];
        let fence = placed.lane.fence();
        let y = if placed.edge == Edge::Far { [size.height - fence, size.height] } else { [0.0, fence] };
        Rect::new(placed.x[0], y[0], placed.x[1], y[1])
    };
    for i in 0..shown.lanes.len() {
        lanes.path([view.all(outline(area(i)))], true, Pen::Narrow, Fill::Paper);
    }
    let mut groups = vec![board, lanes];
    let callout = |word, at, tip, toward| Callout { word, at: view.at(at), tip, toward };
    let mut all = vec![
        callout(Word::NearEdge, Point::new(0.6 * size.width, 0.0), Tip::Arrow, 300.0),
        callout(Word::FarEdge, Point::new(0.6 * size.width, size.height), Tip::Arrow, 60.0),
    ];
    if !shown.lanes.is_empty() {
        all.push(callout(Word::Lane, area(0).center(), Tip::Dot, 285.0));
    }
    let words = callout::draw(&all, &groups, room);
    groups.extend(words);
    groups
}
