//! Every part with its sizes.

use kurbo::{Point, Rect, Size, Vec2};

use super::Drawer;
use super::broken::Shown;
use super::hole::Hole;
use super::model;
use super::piece::{self, Piece};
use crate::drawing::clash::{self, extent};
use crate::drawing::dimension::{End, Linear, drawn};
use crate::drawing::frame::outline;
use crate::drawing::page::{Block, REMARK, RUNNING};
use crate::drawing::paper::{FIFTH, FULL, HALF, Scale, TWICE};
use crate::drawing::style::{ARROW, CLEAR, Fill, Pen, VALUE};
use crate::drawing::view::View;
use crate::drawing::wood;
use crate::drawing::{Anchor, Group, Text};
use crate::jig::Jig;
use crate::jig::cleat::Cleat;
use crate::jig::fences::{EASED, Fence};
use crate::jig::parts::{Part, PartKind};
use crate::shape::font::width;

/// From an outline to its first dimension line, and from one to the next, mm of paper.
const FIRST: f64 = 8.0;
const NEXT: f64 = 7.0;
/// From an outline to the first distance of a hole below it, clear of the tail of a size beside it, mm of paper.
const BELOW: f64 = 11.0;
/// Space between the views of a part and between parts, mm of paper.
const BETWEEN: f64 = 12.0;

/// What a board's edges are called.
const EDGES: [&str; 2] = ["near edge", "far edge"];
/// Half of the length of the arrow of a grain, mm of paper.
const GRAIN: f64 = 9.0;
/// From the bottom of a view to the arrow of the grain below it, mm of paper.
const GRAIN_DOWN: f64 = 6.0;
/// How far up a board with holes along its middle line the arrow of its grain is, by half its width.
const GRAIN_OVER_HOLES: f64 = 1.32;

const ALONG: Vec2 = Vec2::new(1.0, 0.0);
const UP: Vec2 = Vec2::new(0.0, -1.0);

/// Scales of parts, the largest first, which only a page takes that would else be nearly empty; what is too long for the
/// smallest is broken off.
const SCALES: [Scale; 4] = [TWICE, FULL, HALF, FIFTH];
/// Tallest figure where a smaller scale can help, and at full size, mm: a page takes two of those.
const TALLEST: [f64; 2] = [165.0, 120.0];
/// Narrowest column of a part's words, mm.
const NARROWEST: f64 = 74.0;
/// What its pages are called.
const KIND: &str = "Parts";

pub(super) fn pieces(drawer: &Drawer, width: f64) -> Vec<Piece> {
    let heading = Block::heading("parts-heading", KIND);
    let figures: Vec<Vec<Figure>> = drawer.jig.parts.iter().map(|part| largest_first(drawer, part, width)).collect();
    let lines = notes(drawer).into_iter().enumerate();
    let notes = lines.map(|(i, note)| Block::paragraph(&format!("parts-note-{}", i + 1), "–", &note, RUNNING, width));
    let mut pieces = piece::pieces(KIND, std::iter::once(heading).chain(notes).collect(), width);
    let piece = |f: Figure| piece::whole(KIND, vec![Block::figure(f.groups, f.size.height)]).loose();
    pieces.extend(figures.into_iter().filter_map(|mut scales| {
        let mut usual = piece(scales.pop()?);
        usual.larger = scales.into_iter().map(piece).collect();
        Some(usual)
    }));
    pieces
}

/// A part's figures that are clear and go on a page, down to the first of which a page takes two; where none goes, broken
/// off.
fn largest_first(drawer: &Drawer, part: &Part, most: f64) -> Vec<Figure> {
    let mut found = Vec::new();
    for scale in SCALES {
        let Some(figure) = figure(drawer, part, scale, [most, f64::INFINITY]) else { continue };
        if figure.size.width > most || !clash::among(&figure.groups).is_empty() {
            continue;
        }
        let is_usual = scale.factor <= 1.0 && figure.size.height <= TALLEST[usize::from(scale == FULL)];
        found.push(figure);
        if is_usual {
            return found;
        }
    }
    // What stands beside the part takes its room: as much shorter as the whole is too wide.
    let broken = |room: f64| figure(drawer, part, FIFTH, [most, room]);
    let long = most.min(part.size[0] * FIFTH.factor);
    let over = broken(long).map_or(0.0, |figure| figure.size.width - most);
    found.extend(broken(long - over.max(0.0)));
    found
}

fn notes(drawer: &Drawer) -> Vec<String> {
    let facing = drawer.jig.stock.facing;
    let mut notes = vec![format!(
        "Fences: ease the arrises (sharp corners) of the front face at both ends and along its foot by {0} × {0}, so that the blade meets only the fence and chips have somewhere to go. Drill the pins through strip and board when the fence is right.",
        drawer.jig.written.native(EASED).said()
    )];
    if facing > 0.0 {
        notes
            .push("Glue the facings to the front of their strips before you set those, and ease both together.".into());
    }
    notes
}

/// A part's views under its name.
struct Figure {
    groups: Vec<Group>,
    size: Size,
}

/// A part's drawing under its name, at a scale: the words no wider than the first of two sizes, its length on the second,
/// broken off where it is longer, mm of paper.
fn figure(drawer: &Drawer, part: &Part, scale: Scale, [most, room]: [f64; 2]) -> Option<Figure> {
    let jig = drawer.jig;
    let groups = match part.kind {
        PartKind::Board => board(drawer, part, scale.factor, room),
        PartKind::Fence => fence(drawer, part, jig.fences.iter().find(|f| f.number == part.number)?, scale.factor),
        PartKind::Cleat => cleat(drawer, part, jig.cleat.as_ref()?, scale.factor, room),
        PartKind::Facing => Vec::new(),
    };
    let drawn_at = if groups.is_empty() { String::new() } else { format!(", {}", scale.name) };
    let mut words =
        vec![format!("{}  {}, quantity {}{}", part.number, part.kind.name(), part.count, drawn_at), part.described()];
    words.extend(remarks(drawer, part));
    Some(under(part, &words, groups, most))
}

/// What a part's drawing does not say by itself.
fn remarks(drawer: &Drawer, part: &Part) -> Vec<String> {
    let jig = drawer.jig;
    let fixing = jig.stock.fixing;
    let holes = |n: usize| if n == 1 { "1 hole".to_string() } else { format!("{n} holes") };
    match part.kind {
        PartKind::Fence => {
            let fence = jig.fences.iter().find(|f| f.number == part.number);
            let count = fence.map_or(0, |f| f.screws.len());
            let pins = fence.map_or(0, |f| f.pins.len());
            let slot = fence.map_or(0.0, |f| f.screws.iter().map(|s| s.slot).fold(0.0, f64::max));
            let mut all = vec![format!("{} Ø {} on the middle line", holes(count), drawer.tool(fixing.clearance))];
            if slot > 0.0 {
                all.push(format!("outer ones slotted {} longer", drawer.said(slot)));
            }
            if pins > 0 {
                all.push(format!("{pins} pins Ø {}, drilled when set", drawer.tool(fixing.pin)));
            }
            if jig.stock.facing > 0.0 {
                all.push(format!("without its facing of {}", drawer.said(jig.stock.facing)));
            }
            all
        }
        PartKind::Cleat => {
            let Some(cleat) = &jig.cleat else { return Vec::new() };
            vec![
                format!(
                    "{} Ø {}, {} deep, in its top",
                    holes(cleat.screws.len()),
                    drawer.tool(cleat.pilot),
                    drawer.said(cleat.screw - jig.board.thickness)
                ),
                format!("a vice grips below the dashed line: {}", drawer.said(cleat.grip)),
            ]
        }
        PartKind::Board => {
            let Some(cleat) = &jig.cleat else { return Vec::new() };
            let head = if jig.board.slides() {
                "counterbored for washers, outer ones slotted"
            } else {
                "countersunk from above"
            };
            vec![format!("{} Ø {} for the cleat, {head}", holes(cleat.screws.len()), drawer.tool(cleat.clearance))]
        }
        PartKind::Facing => {
            let [length, width, thickness] = part.size;
            vec![format!("{} × {} × {}", drawer.bare(length), drawer.bare(width), drawer.said(thickness))]
        }
    }
}

/// Words over a drawing, everything moved so that its upper left corner is the origin.
fn under(part: &Part, words: &[String], groups: Vec<Group>, most: f64) -> Figure {
    let mut name = Group::new(format!("part-{}", part.number), "note")
        .with("length", part.size[0])
        .with("width", part.size[1])
        .with("thickness", part.size[2])
        .with("count", part.count);
    let mut y = 0.0;
    let mut widest = 0f64;
    // No wider than the drawing below, or than words need to be.
    let column = if groups.is_empty() { most } else { extent(&groups).width().clamp(NARROWEST, most) };
    for (i, line) in words.iter().enumerate() {
        let height = if i == 0 { RUNNING } else { REMARK };
        for line in crate::shape::font::wrap(line, height, column) {
            y += height;
            let text = Text::new((0.0, y), height, Anchor::Start, line.as_str());
            widest = widest.max(width(&line, height, i == 0));
            name.text(if i == 0 { text.bold() } else { text });
            y += 0.5 * height;
        }
    }
    let mut all = vec![name];
    let mut size = Size::new(widest, y);
    if !groups.is_empty() {
        let drawn = extent(&groups);
        let by = (-drawn.x0, y + 2.0 - drawn.y0);
        size = Size::new(widest.max(drawn.width()), y + 2.0 + drawn.y1 - drawn.y0);
        all.extend(groups.into_iter().map(|g| g.moved(by)));
    }
    Figure { groups: all, size }
}

/// Dimensions of one part.
struct Dimensions<'a> {
    drawer: &'a Drawer<'a>,
    number: &'a str,
    /// How much of the length is broken out, mm.
    left_out: f64,
    groups: Vec<Group>,
}

impl Dimensions<'_> {
    fn put(&mut self, kind: &str, value: f64, ends: [Point; 2], through: Point, along: Vec2) {
        self.add(kind, value, Linear { ends, through, along, ..self.usual(value) });
    }

    fn usual(&self, value: f64) -> Linear {
        Linear::new([Point::ORIGIN; 2], Point::ORIGIN, ALONG, self.drawer.bare(value))
    }

    fn add(&mut self, kind: &str, value: f64, linear: Linear) {
        self.groups.push(drawn(&format!("part-{}-{kind}", self.number), kind, value, &linear));
    }

    /// Two sizes of a face, the first above it and the second at its left; one without a name is left out.
    fn sizes(&mut self, view: &View, size: Size, names: [&str; 2]) {
        let top = view.at((0.0, size.height));
        if !names[0].is_empty() {
            self.put(
                names[0],
                size.width + self.left_out,
                [top, view.at((size.width, size.height))],
                Point::new(0.0, top.y - FIRST),
                ALONG,
            );
        }
        if !names[1].is_empty() {
            // A second view stands below the dimensions of the first, and its own words below itself.
            let outside = if names[0].is_empty() { End::First } else { End::Second };
            let ends = [view.at((0.0, 0.0)), top];
            let linear =
                Linear { ends, through: Point::new(top.x - FIRST, 0.0), along: UP, outside, ..self.usual(size.height) };
            self.add(names[1], size.height, linear);
        }
    }

    /// Distances of places from the left end, one below the other.
    fn distances_from_left(&mut self, places: &[f64], view: &View, shown: &Shown) {
        for (i, x) in places.iter().enumerate() {
            let y = view.at((0.0, 0.0)).y + BELOW + i as f64 * NEXT;
            let ends = [view.at((0.0, 0.0)), view.at((shown.at(*x), 0.0))];
            // Words at the left are clear of the lines that run down from the other holes.
            let outside = Linear { outside: End::First, always_outside: true, ..self.usual(*x) };
            self.add(&format!("hole-{}", i + 1), *x, Linear { ends, through: Point::new(0.0, y), ..outside });
        }
    }
}

/// A face of a part with its sizes.
fn face(dimensions: &mut Dimensions, view: &View, size: impl Into<Size>, names: [&str; 2]) -> Group {
    let size = size.into();
    let mut face = Group::new(format!("part-{}-{}-{}", dimensions.number, names[0], names[1]), "feature");
    face.path([view.all(outline(size.to_rect()))], true, Pen::Wide, Fill::Paper);
    dimensions.sizes(view, size, names);
    face
}

fn hole(group: &mut Group, view: &View, hole: &Hole, pen: Pen) {
    group.path([view.all(hole.outline())], true, pen, Fill::Paper);
    let at = view.at(hole.at);
    let along = ((hole.radius + hole.slot / 2.0) * view.scale + 1.0, 0.0);
    let across = (0.0, hole.radius * view.scale + 1.0);
    group.line(at - along, at + along, Pen::Chain);
    group.line(at - across, at + across, Pen::Chain);
}

/// The same along a part `length` mm long on the sheet, below a view of it that ends at `bottom`.
fn grain_below(number: &str, length: f64, bottom: f64) -> Group {
    grain(number, Point::new(length / 2.0, bottom + GRAIN_DOWN), ALONG)
}

/// A double arrow along the grain.
fn grain(number: &str, at: Point, along: Vec2) -> Group {
    let mut group = Group::new(format!("part-{number}-grain"), "note");
    let reach = GRAIN * along;
    group.line(at - reach, at + reach, Pen::Narrow);
    group.arrow(at + reach, along);
    group.arrow(at - reach, -along);
    let (turn, lift) = if along == ALONG { (0.0, (0.0, 1.8)) } else { (-90.0, (1.8, 0.0)) };
    group.text(Text::new(at - lift, REMARK, Anchor::Middle, "grain").turned(turn));
    group
}

/// What the board's end shows: its plies, its rings or its long grain, upright as it stands there.
fn end_of_board(jig: &Jig, view: &View, [thickness, depth]: [f64; 2]) -> Group {
    let ends = model::end_of(jig.board.stuff, thickness);
    let shown = if jig.board.slides() { model::side_of(ends) } else { ends };
    let mut group = Group::new("part-board-end", "feature");
    let lying = Rect::new(0.0, 0.0, view.scale * depth, view.scale * thickness);
    let corner = view.at((0.0, 0.0));
    for run in wood::lines(shown, lying) {
        let upright: Vec<Point> = run.into_iter().map(|p| corner + (p.y, -p.x)).collect();
        group.path([upright], false, Pen::Narrow, Fill::None);
    }
    group
}

fn board(drawer: &Drawer, part: &Part, k: f64, room: f64) -> Vec<Group> {
    let jig = drawer.jig;
    let [whole, depth, thickness] = part.size;
    let shown = Shown::of(whole, k, room);
    let length = shown.length();
    let mut dimensions = Dimensions { drawer, number: &part.number, left_out: whole - length, groups: Vec::new() };
    let view = View::upright((0.0, 0.0), k);
    let mut groups = vec![face(&mut dimensions, &view, (length, depth), ["length", "width"])];
    groups.extend(shown.breaks("part-board-breaks", &view, depth));
    dimensions.left_out = 0.0;
    // How high the rows of the cleat's screws are, from the right.
    let mut rows: Vec<Point> = Vec::new();
    for screw in jig.cleat.iter().flat_map(|cleat| cleat.screws.iter().rev()) {
        if rows.iter().all(|row| (row.y - screw.at.y).abs() > 1e-6) {
            rows.push(screw.at);
        }
    }
    // The rows' lines stand beside the board, and the words of its length where they do not go above it.
    let words = width(&drawer.bare(whole), VALUE, false) + 2.0 * ARROW + 8.0;
    let words = if length * k < words { words } else { 0.0 };
    let beside = words.max(FIRST + rows.len() as f64 * NEXT).max(2.0 * BETWEEN);
    let end = View::upright((length * k + beside, 0.0), k);
    groups.push(face(&mut dimensions, &end, (thickness, depth), ["thickness", ""]));
    groups.push(end_of_board(jig, &end, [thickness, depth]));
    let mut edges = Group::new("part-board-edges", "note");
    let middle = shown.about_middle() * k;
    let room = length * k >= 30.0 && middle >= width(EDGES[0], REMARK, false) + 2.0 * CLEAR && depth * k >= 24.0;
    for (words, y, lift) in [(EDGES[0], 0.0, -1.2), (EDGES[1], depth, 1.2 + REMARK)].iter().filter(|_| room) {
        edges.text(Text::new(view.at((length / 2.0, *y)) + (0.0, *lift), REMARK, Anchor::Middle, *words));
    }
    groups.push(edges);
    let mut middle = depth / 2.0 * k;
    if let Some(cleat) = &jig.cleat {
        let mut holes = Group::new("part-board-holes", "feature");
        let drawn_at = |at: Point| Point::new(shown.at(at.x), at.y);
        for screw in &cleat.screws {
            let at = drawn_at(screw.at);
            hole(&mut holes, &view, &Hole { at, radius: cleat.clearance / 2.0, slot: screw.slot }, Pen::Wide);
        }
        groups.push(holes);
        let places: Vec<f64> = cleat.screws.iter().map(|s| s.at.x).collect();
        dimensions.distances_from_left(&places, &view, &shown);
        let right = view.at((length, 0.0)).x;
        for (i, at) in rows.into_iter().enumerate() {
            let kind = if i == 0 { "hole-line".to_string() } else { format!("hole-line-{}", i + 1) };
            let through = Point::new(right + FIRST + i as f64 * NEXT, 0.0);
            let usual = dimensions.usual(at.y);
            let ends = [Point::new(right, 0.0), view.at(drawn_at(at))];
            dimensions.add(&kind, at.y, Linear { ends, through, along: UP, outside: End::First, ..usual });
        }
        middle *= GRAIN_OVER_HOLES;
    }
    let along = if jig.board.slides() { UP } else { ALONG };
    // A very small drawing says it in words alone.
    let least = match (along == ALONG, jig.cleat.is_some()) {
        (true, false) => 26.0,
        (true, true) => 34.0,
        _ => 60.0,
    };
    let room = depth * k >= least && (along == UP || shown.about_middle() * k >= 2.0 * GRAIN);
    // MDF has none.
    let room = room && part.grain.is_some();
    groups.extend(room.then(|| grain(&part.number, Point::new(length / 2.0 * k, -middle), along)));
    groups.extend(dimensions.groups);
    groups
}

fn fence(drawer: &Drawer, part: &Part, fence: &Fence, k: f64) -> Vec<Group> {
    let [length, width, height] = part.size;
    let fixing = drawer.jig.stock.fixing;
    let mut dimensions = Dimensions { drawer, number: &part.number, left_out: 0.0, groups: Vec::new() };
    let view = View::upright((0.0, 0.0), k);
    // From above, the front below; then the front, seen from the lane.
    dimensions.sizes(&view, Size::new(length, width), ["length", "width"]);
    let mut top = Group::new(format!("part-{}-top", part.number), "feature");
    let corners = [(EASED, 0.0), (length - EASED, 0.0), (length, EASED), (length, width), (0.0, width), (0.0, EASED)];
    top.path([view.all(corners)], true, Pen::Wide, Fill::Tint);
    let place = |at: Point| Point::new(at.x - fence.area.x0, width / 2.0);
    for screw in &fence.screws {
        let round = Hole { at: place(screw.at), radius: fixing.clearance / 2.0, slot: screw.slot };
        hole(&mut top, &view, &round, Pen::Wide);
    }
    for pin in &fence.pins {
        let radius = fixing.pin / 2.0 * k;
        top.circle(view.at(place(*pin)), radius, Pen::Narrow, Fill::None);
    }
    let mut places: Vec<f64> =
        fence.screws.iter().map(|s| s.at).chain(fence.pins.iter().copied()).map(|at| place(at).x).collect();
    places.sort_by(f64::total_cmp);
    dimensions.distances_from_left(&places, &view, &Shown::of(length, k, f64::INFINITY));
    let below = BELOW + places.len() as f64 * NEXT + 3.0;
    let front = View::upright((0.0, below + height * k), k);
    let outline = face(&mut dimensions, &front, (length, height), ["", "height"]);
    let mut eased = Group::new(format!("part-{}-eased", part.number), "feature");
    for (from, to) in [
        ((0.0, EASED), (length, EASED)),
        ((EASED, EASED), (EASED, height)),
        ((length - EASED, EASED), (length - EASED, height)),
    ] {
        eased.line(front.at(from), front.at(to), Pen::Narrow);
    }
    let mut groups = vec![top, outline, eased, grain_below(&part.number, length * k, front.at((0.0, 0.0)).y)];
    groups.extend(dimensions.groups);
    groups
}

fn cleat(drawer: &Drawer, part: &Part, cleat: &Cleat, k: f64, room: f64) -> Vec<Group> {
    let [whole, height, thickness] = part.size;
    let shown = Shown::of(whole, k, room);
    let length = shown.length();
    let mut dimensions = Dimensions { drawer, number: &part.number, left_out: whole - length, groups: Vec::new() };
    // From above, with the pilot holes, and from its face.
    let top = View::upright((0.0, 0.0), k);
    let mut groups = vec![face(&mut dimensions, &top, (length, thickness), ["length", "thickness"])];
    groups.extend(shown.breaks(&format!("part-{}-breaks-top", part.number), &top, thickness));
    let mut holes = Group::new(format!("part-{}-holes", part.number), "feature");
    let place = |x: f64| x - cleat.area.x0;
    for screw in &cleat.screws {
        let at = screw.at - cleat.area.origin().to_vec2();
        let pilot = Hole { at: Point::new(shown.at(at.x), at.y), radius: cleat.pilot / 2.0, slot: 0.0 };
        hole(&mut holes, &top, &pilot, Pen::Wide);
    }
    groups.push(holes);
    let places: Vec<f64> = cleat.screws.iter().map(|s| place(s.at.x)).collect();
    dimensions.distances_from_left(&places, &top, &shown);
    let below = BELOW + places.len() as f64 * NEXT + 3.0;
    let front = View::upright((0.0, below + height * k), k);
    groups.push(face(&mut dimensions, &front, (length, height), ["", "height"]));
    let mut grip = Group::new(format!("part-{}-grip", part.number), "note");
    let y = front.at((0.0, cleat.grip)).y;
    grip.line((0.0, y), (length * k, y), Pen::Dashed);
    groups.push(grip);
    groups.extend(shown.breaks(&format!("part-{}-breaks", part.number), &front, height));
    groups.push(grain_below(&part.number, length * k, front.at((0.0, 0.0)).y));
    groups.extend(dimensions.groups);
    groups
}
