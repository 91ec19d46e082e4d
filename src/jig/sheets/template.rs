//! The full-size template: on paper in tiles, for laying out; as layers, for those who cut by machine.

use kurbo::{Point, Rect, Size};

use super::hole::Hole;
use super::{CAUTIONS, Drawer};
use crate::drawing::frame::outline;
use crate::drawing::layers::{Layer, LayerName, Shape};
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::tiles::{self, FullSize, TileTitle, Tiling, Untileable};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Sheet, Text, leading};
use crate::jig::Jig;
use crate::jig::fences::Fence;
use crate::layout::marks::mark_lines;
use crate::layout::{Placed, marked_title};
use crate::shape::font::{width, wrap};
use crate::terms::{Edge, PaperSize};

/// How much of the template neighbouring tiles share, mm.
const OVERLAP: f64 = 12.0;
/// Space below the last line of a lane's lettering, mm: for what hangs from it.
const HANGS: f64 = 1.0;
/// Space between a line and lettering beside it, mm.
const BESIDE: f64 = 1.5;

/// The tiles; `done` sheets come before them.
pub(super) fn sheets(drawer: &Drawer, done: usize) -> Result<Vec<Sheet>, Untileable> {
    let jig = drawer.jig;
    let paper = match drawer.size() {
        // Tiles are for the printer at home.
        PaperSize::A3 => drawer.home(),
        size => size,
    };
    let tiling = Tiling { paper, overlap: OVERLAP, printed_bar: drawer.job.wood.printed_bar };
    let title = TileTitle {
        title: marked_title(jig.title.clone(), &jig.lanes),
        guide: format!("{}, {}", jig.fingerprint, jig.guide),
        enter_at: "wood.printed_bar of the job, or --printed-bar".into(),
        notes: vec![
            "Small circles are holes for the strips' screws, large ones for the cleat's, which come first.".into(),
            CAUTIONS.into(),
        ],
        caution: "Edges and saws cut: instructions and rules first.".into(),
        before: done,
    };
    tiles::tiles(&full_size(jig), &tiling, &title)
}

/// The template at full size: the near edge at the bottom.
pub fn full_size(jig: &Jig) -> FullSize {
    // Room around the board for the names of its edges.
    let around = SMALL + 3.0;
    let view = View::upright((around, around + jig.depth), 1.0);
    let size = Size::new(jig.length + 2.0 * around, jig.depth + 2.0 * around);
    let mut board = Group::new("template-board", "feature");
    board.path([view.all(outline(jig.area()))], true, Pen::Wide, Fill::None);
    let mut groups = vec![board];
    for (id, y, down) in [("near", 0.0, 1.6 + SMALL), ("far", jig.depth, -1.6)] {
        let mut name = Group::new(format!("template-{id}-edge"), "note");
        let at = view.at((jig.length / 2.0, y)) + (0.0, down);
        name.text(Text::new(at, SMALL, Anchor::Middle, format!("{id} edge of the board")));
        groups.push(name);
    }
    for (i, fence) in jig.fences.iter().enumerate() {
        groups.push(strip(jig, i, fence, &view));
    }
    for placed in &jig.lanes {
        groups.extend(lane(jig, placed, &view));
    }
    if let Some(cleat) = &jig.cleat {
        let mut holes = Group::new("template-cleat-holes", "feature").with("diameter", cleat.clearance);
        for screw in &cleat.screws {
            cross(&mut holes, view.at(screw.at), cleat.clearance / 2.0, screw.slot);
        }
        groups.push(holes);
    }
    FullSize { size, groups }
}

/// A strip's outline, its fence wide, and where its screws go into the board.
fn strip(jig: &Jig, index: usize, fence: &Fence, view: &View) -> Group {
    let mut group = Group::new(format!("template-fence-{}", index + 1), "feature").with("part", &fence.number);
    let Rect { x0: a, y0: low, x1: b, y1: high } = fence.area;
    let (front, back) = if fence.edge == Edge::Near { (low, high) } else { (high, low) };
    group.line(view.at((a, front)), view.at((b, front)), Pen::Wide);
    group.path([view.all([(a, front), (a, back), (b, back), (b, front)])], false, Pen::Narrow, Fill::None);
    for screw in &fence.screws {
        cross(&mut group, view.at(screw.at), jig.stock.fixing.pilot / 2.0, 0.0);
    }
    group
}

/// A hole, or a slot, with a cross through its middle to prick.
fn cross(group: &mut Group, at: Point, radius: f64, slot: f64) {
    if slot == 0.0 {
        group.circle(at, radius, Pen::Narrow, Fill::None);
    } else {
        group.path([Hole { at, radius, slot }.outline()], true, Pen::Narrow, Fill::None);
    }
    group.cross(at, radius + 2.0, Pen::Narrow);
}

/// A lane's lines, and its name and fence distance before the fence.
fn lane(jig: &Jig, placed: &Placed, view: &View) -> Vec<Group> {
    let request = &placed.lane.request;
    let fence = placed.lane.finished();
    let from_edge = |x: f64, d: f64| match placed.edge {
        Edge::Near => view.at((x, d)),
        Edge::Far => view.at((x, jig.depth - d)),
    };
    // Small where there is no room for it between fence and edge.
    let [usual, small] = [VALUE, SMALL].map(|height| Lettering::of(jig, placed, height));
    let place = |lettering: Lettering| {
        let at = lettering_place(jig, placed, lettering.size)?;
        Some((lettering, at))
    };
    let (lettering, [x, before]) =
        place(usual).or_else(|| place(small.clone())).unwrap_or((small, [placed.centre, fence]));
    let Lettering { words, height, pitch, size: lettered } = lettering;
    let below_first = (words.len() as f64 - 1.0) * pitch;
    let mut marks = Group::new(format!("template-marks-{}", request.id), "feature").with("lane", &request.id);
    for (x, [from, to]) in mark_lines(fence, placed.centre, placed.blade_width) {
        let to = to.min(before - lettered.height - BESIDE);
        if to > from + 2.0 {
            marks.line(from_edge(x, from), from_edge(x, to), Pen::Narrow);
        }
    }
    let mut name = Group::new(format!("template-label-{}", request.id), "lane-label")
        .with("lane", &request.id)
        .with("value", fence)
        .with("back", fence - before);
    let Point { x, y: front } = from_edge(x, before);
    // The lettering stands before the fence: below it on the sheet for the near edge, above it for the far one.
    let first = if placed.edge == Edge::Near { front + BESIDE + height } else { front - BESIDE - below_first };
    for (i, words) in words.into_iter().enumerate() {
        name.text(Text::new((x, first + pitch * i as f64), height, Anchor::Middle, words));
    }
    vec![marks, name]
}

/// A lane's name on as many lines as its width asks for, and its fence distance below.
#[derive(Clone)]
struct Lettering {
    words: Vec<String>,
    /// Height of its capitals, mm.
    height: f64,
    /// From one line to the next, mm.
    pitch: f64,
    /// What it takes before the fence, mm.
    size: Size,
}

impl Lettering {
    fn of(jig: &Jig, placed: &Placed, height: f64) -> Self {
        let mut words = wrap(&placed.label(), height, placed.x[1] - placed.x[0] - 2.0 * BESIDE);
        words.push(jig.fence_words(placed));
        let pitch = leading(words.iter().map(String::as_str), height).max(1.5 * height);
        let wide = words.iter().map(|w| width(w, height, false)).fold(0.0, f64::max);
        let high = BESIDE + height + (words.len() as f64 - 1.0) * pitch + HANGS;
        Self { words, height, pitch, size: Size::new(wide, high) }
    }
}

/// Where a lane's lettering, of a size in mm, begins: its middle along the edge, and its end toward the fence from the
/// edge, mm; `None` where it has no room. It keeps clear of the holes of the cleat.
fn lettering_place(jig: &Jig, placed: &Placed, lettered: Size) -> Option<[f64; 2]> {
    let (wide, high) = (lettered.width, lettered.height);
    let holes = jig.cleat.iter().flat_map(|c| c.screws.iter().map(|s| (s.at, c.clearance / 2.0 + s.slot / 2.0 + 3.5)));
    let holes: Vec<(Point, f64)> = holes.collect();
    let fence = placed.lane.finished();
    let clear = |[x, before]: [f64; 2]| {
        let span = match placed.edge {
            Edge::Near => [before - high, before],
            Edge::Far => [jig.depth - before, jig.depth - before + high],
        };
        let inside = x - wide / 2.0 >= placed.x[0] + 1.0 && x + wide / 2.0 <= placed.x[1] - 1.0 && before >= high;
        inside
            && holes
                .iter()
                .all(|(at, r)| (at.x - x).abs() >= wide / 2.0 + r || at.y <= span[0] - r || at.y >= span[1] + r)
    };
    let steps = [0.0, 3.0, 6.0, 9.0, 12.0, 15.0];
    let places = steps.iter().flat_map(|back| {
        steps.iter().flat_map(move |side| [1.0, -1.0].map(|s| [placed.centre + s * side, fence - back]))
    });
    places.into_iter().find(|p| clear(*p))
}

/// The template as layers in the plan's frame, mm: `x` along the near edge, `y` toward the far one.
pub fn layers(jig: &Jig) -> Vec<Layer> {
    let layer = |name: &str, colour: u8, dashed: bool, shapes: Vec<Shape>| Layer {
        name: LayerName::new(name),
        colour,
        dashed,
        shapes,
    };
    let rectangle = |area: Rect| Shape::Polyline { points: outline(area).to_vec(), closed: true };
    let hole = |at: Point, radius: f64, slot: f64| match slot {
        0.0 => Shape::Circle { centre: at, radius },
        _ => Shape::Slot { centres: [at - (slot / 2.0, 0.0), at + (slot / 2.0, 0.0)], radius },
    };
    let fixing = jig.stock.fixing;
    let screws = || jig.fences.iter().flat_map(|f| &f.screws);
    let words: Vec<Rect> = jig.lanes.iter().map(|p| lettered(jig, p)).collect();
    let marks = jig.lanes.iter().flat_map(|p| jig.mark_lines(p)).flat_map(|line| broken(line, &words));
    let mut layers = vec![
        layer("BOARD", 7, false, vec![rectangle(jig.area())]),
        layer("PILOTS", 1, false, screws().map(|s| hole(s.at, fixing.pilot / 2.0, 0.0)).collect()),
        layer("FENCES", 5, false, jig.fences.iter().map(|f| rectangle(f.area)).collect()),
        layer("FENCE-HOLES", 4, false, screws().map(|s| hole(s.at, fixing.clearance / 2.0, s.slot)).collect()),
        layer("MARKS", 3, false, marks.map(|[from, to]| Shape::Line { from, to }).collect()),
        layer("LETTERING", 2, false, jig.lanes.iter().map(|p| lettering(jig, p)).collect()),
    ];
    if let Some(cleat) = &jig.cleat {
        let holes = cleat.screws.iter().map(|s| hole(s.at, cleat.clearance / 2.0, s.slot));
        layers.push(layer("CLEAT-HOLES", 6, false, holes.collect()));
        layers.push(layer("CLEAT-BELOW", 8, true, vec![rectangle(cleat.area)]));
    }
    layers
}

/// How much wider than here the lettering of another program's font may be.
const OTHER_FONT: f64 = 1.3;
/// How far letters may hang below their line, by the height of capitals.
const HANGING: f64 = 0.4;
/// The shortest piece of a mark beside lettering that is drawn, mm.
const SHORTEST: f64 = 2.0;

/// What a lane's name takes of the board, with some space around it, mm.
fn lettered(jig: &Jig, placed: &Placed) -> Rect {
    let half = OTHER_FONT * width(&placed.label(), VALUE, false) / 2.0 + BESIDE;
    let line = placed.lane.finished() - BESIDE - VALUE;
    let [a, b] = [line - HANGING * VALUE - BESIDE, line + VALUE + BESIDE].map(|y| match placed.edge {
        Edge::Near => y,
        Edge::Far => jig.depth - y,
    });
    Rect::new(placed.centre - half, a.min(b), placed.centre + half, a.max(b))
}

/// What is left of a mark, which runs from edge to edge of the board, beside lettering.
fn broken([from, to]: [Point; 2], words: &[Rect]) -> Vec<[Point; 2]> {
    let x = from.x;
    let mut left = vec![[from.y.min(to.y), from.y.max(to.y)]];
    for word in words.iter().filter(|word| word.x0 < x && x < word.x1) {
        let beside = |[a, b]: [f64; 2]| [[a, b.min(word.y0)], [a.max(word.y1), b]];
        left = left.into_iter().flat_map(beside).filter(|[a, b]| b - a >= SHORTEST).collect();
    }
    left.into_iter().map(|[a, b]| [Point::new(x, a), Point::new(x, b)]).collect()
}

/// A lane's name beside its centre line, to be read from its edge.
fn lettering(jig: &Jig, placed: &Placed) -> Shape {
    let (height, words) = (VALUE, placed.label());
    let wide = width(&words, height, false);
    let from_edge = placed.lane.finished() - BESIDE - height;
    let (at, turn) = match placed.edge {
        Edge::Near => (Point::new(placed.centre - wide / 2.0, from_edge), 0.0),
        Edge::Far => (Point::new(placed.centre + wide / 2.0, jig.depth - from_edge), 180.0),
    };
    Shape::Text { at, height, turn, words }
}
