//! Every part with its sizes.

use kurbo::{Point, Size, Vec2};

use super::plan::Hole;
use super::{Draft, Drawer};
use crate::drawing::clash::{self, extent};
use crate::drawing::dimension::{End, Linear, drawn};
use crate::drawing::frame::outline;
use crate::drawing::page::{Block, REMARK, RUNNING};
use crate::drawing::paper::{FIFTH, HALF, Scale, TENTH};
use crate::drawing::style::{ARROW, Fill, Pen, VALUE};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Text};
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

const ALONG: Vec2 = Vec2::new(1.0, 0.0);
const UP: Vec2 = Vec2::new(0.0, -1.0);

/// Scales of parts, the largest first; full size is for templates.
const SCALES: [Scale; 3] = [HALF, FIFTH, TENTH];
/// Tallest figure where a smaller scale can help, mm.
const TALLEST: f64 = 165.0;

pub(super) fn sheets(drawer: &Drawer) -> Vec<Draft> {
    drawer.pages("Parts", &notes(drawer), |pages| {
        let most = pages.area().width;
        let figures = drawer.jig.parts.iter().filter_map(|part| largest(drawer, part, most));
        rows(figures.collect(), most)
    })
}

/// A part's figure at the largest scale at which it goes on a page and is clear.
fn largest(drawer: &Drawer, part: &Part, most: f64) -> Option<Figure> {
    let clear = |figure: &Figure| {
        let alone = drawer.pages("Parts", &[], |_| vec![Block::figure(figure.groups.clone(), figure.size.height)]);
        figure.size.width <= most
            && figure.size.height <= TALLEST
            && alone.iter().all(|d| clash::find(&d.sheet).is_empty())
    };
    let mut figures = SCALES.into_iter().filter_map(|scale| figure(drawer, part, scale, most));
    figures.find(clear).or_else(|| figure(drawer, part, TENTH, most))
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

/// Figures side by side as far as they go, in rows.
fn rows(figures: Vec<Figure>, most: f64) -> Vec<Block> {
    let mut rows: Vec<(f64, Block)> = Vec::new();
    for figure in figures {
        match rows.last_mut() {
            Some((used, row)) if *used + BETWEEN + figure.size.width <= most => {
                let x = *used + BETWEEN;
                row.groups.extend(figure.groups.into_iter().map(|g| g.moved((x, 0.0))));
                row.height = row.height.max(figure.size.height);
                *used = x + figure.size.width;
            }
            _ => rows.push((figure.size.width, Block::figure(figure.groups, figure.size.height))),
        }
    }
    rows.into_iter().map(|(_, block)| block).collect()
}

fn figure(drawer: &Drawer, part: &Part, scale: Scale, most: f64) -> Option<Figure> {
    let jig = drawer.jig;
    let groups = match part.kind {
        PartKind::Board => board(drawer, part, scale.factor),
        PartKind::Fence => fence(drawer, part, jig.fences.iter().find(|f| f.letter == part.letter)?, scale.factor),
        PartKind::Cleat => cleat(drawer, part, jig.cleat.as_ref()?, scale.factor),
        PartKind::Facing => Vec::new(),
    };
    let drawn_at = if groups.is_empty() { String::new() } else { format!(", {}", scale.name) };
    let mut words = vec![
        format!("{}  {}, quantity {}{}", part.letter, part.kind.name(), part.count, drawn_at),
        format!("{}, grain {}", part.material, part.grain),
    ];
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
            let fence = jig.fences.iter().find(|f| f.letter == part.letter);
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
    let mut name = Group::new(format!("part-{}", part.letter), "note")
        .with("length", part.size[0])
        .with("width", part.size[1])
        .with("thickness", part.size[2])
        .with("count", part.count);
    let mut y = 0.0;
    let mut widest = 0f64;
    for (i, line) in words.iter().enumerate() {
        let height = if i == 0 { RUNNING } else { REMARK };
        for line in crate::shape::font::wrap(line, height, most) {
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
    letter: &'a str,
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
        self.groups.push(drawn(&format!("part-{}-{kind}", self.letter), kind, value, &linear));
    }

    /// Two sizes of a face, the first above it and the second at its left; one without a name is left out.
    fn sizes(&mut self, view: &View, size: Size, names: [&str; 2]) {
        let top = view.at((0.0, size.height));
        if !names[0].is_empty() {
            self.put(
                names[0],
                size.width,
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
    fn distances_from_left(&mut self, places: &[f64], view: &View, bottom: f64) {
        for (i, x) in places.iter().enumerate() {
            let y = view.at((0.0, bottom)).y + BELOW + i as f64 * NEXT;
            let ends = [view.at((0.0, bottom)), view.at((*x, bottom))];
            // Words at the left are clear of the lines that run down from the other holes.
            let outside = Linear { outside: End::First, always_outside: true, ..self.usual(*x) };
            self.add(&format!("hole-{}", i + 1), *x, Linear { ends, through: Point::new(0.0, y), ..outside });
        }
    }
}

/// A face of a part with its sizes.
fn face(dimensions: &mut Dimensions, view: &View, size: impl Into<Size>, names: [&str; 2]) -> Group {
    let size = size.into();
    let mut face = Group::new(format!("part-{}-{}-{}", dimensions.letter, names[0], names[1]), "feature");
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

/// A double arrow along the grain.
fn grain(letter: &str, at: Point, along: Vec2) -> Group {
    let mut group = Group::new(format!("part-{letter}-grain"), "note");
    let reach = 9.0 * along;
    group.line(at - reach, at + reach, Pen::Narrow);
    group.arrow(at + reach, along);
    group.arrow(at - reach, -along);
    let (turn, lift) = if along == ALONG { (0.0, (0.0, 1.8)) } else { (-90.0, (1.8, 0.0)) };
    group.text(Text::new(at - lift, REMARK, Anchor::Middle, "grain").turned(turn));
    group
}

fn board(drawer: &Drawer, part: &Part, k: f64) -> Vec<Group> {
    let jig = drawer.jig;
    let [length, depth, thickness] = part.size;
    let mut dimensions = Dimensions { drawer, letter: &part.letter, groups: Vec::new() };
    let view = View::upright((0.0, 0.0), k);
    let mut groups = vec![face(&mut dimensions, &view, (length, depth), ["length", "width"])];
    // The words of the length may stand beside the board.
    let words = width(&drawer.bare(length), VALUE, false) + 2.0 * ARROW + 8.0;
    let end = View::upright((length * k + words.max(2.0 * BETWEEN), 0.0), k);
    groups.push(face(&mut dimensions, &end, (thickness, depth), ["thickness", ""]));
    let mut edges = Group::new("part-board-edges", "note");
    let room = length * k >= 30.0 && depth * k >= 24.0;
    for (words, y, lift) in [("near edge", 0.0, -1.2), ("far edge", depth, 1.2 + REMARK)].iter().filter(|_| room) {
        edges.text(Text::new(view.at((length / 2.0, *y)) + (0.0, *lift), REMARK, Anchor::Middle, *words));
    }
    groups.push(edges);
    let mut middle = depth / 2.0 * k;
    if let Some(cleat) = &jig.cleat {
        let mut holes = Group::new("part-board-holes", "feature");
        for screw in &cleat.screws {
            hole(&mut holes, &view, &Hole { at: screw.at, radius: cleat.clearance / 2.0, slot: screw.slot }, Pen::Wide);
        }
        groups.push(holes);
        let places: Vec<f64> = cleat.screws.iter().map(|s| s.at.x).collect();
        dimensions.distances_from_left(&places, &view, 0.0);
        let right = view.at((length, 0.0)).x;
        let mut lines: Vec<Point> = Vec::new();
        for screw in cleat.screws.iter().rev() {
            if lines.iter().all(|l| (l.y - screw.at.y).abs() > 1e-6) {
                lines.push(screw.at);
            }
        }
        for (i, at) in lines.into_iter().enumerate() {
            let kind = if i == 0 { "hole-line".to_string() } else { format!("hole-line-{}", i + 1) };
            let through = Point::new(right + FIRST + i as f64 * NEXT, 0.0);
            let usual = dimensions.usual(at.y);
            let ends = [Point::new(right, 0.0), view.at(at)];
            dimensions.add(&kind, at.y, Linear { ends, through, along: UP, outside: End::First, ..usual });
        }
        middle *= 1.5;
    }
    let along = if jig.board.slides() { UP } else { ALONG };
    // A small drawing says it in words alone.
    let room = if along == ALONG { depth * k >= 40.0 } else { depth * k >= 60.0 };
    groups.extend(room.then(|| grain(&part.letter, Point::new(length / 2.0 * k, -middle), along)));
    groups.extend(dimensions.groups);
    groups
}

fn fence(drawer: &Drawer, part: &Part, fence: &Fence, k: f64) -> Vec<Group> {
    let [length, width, height] = part.size;
    let fixing = drawer.jig.stock.fixing;
    let mut dimensions = Dimensions { drawer, letter: &part.letter, groups: Vec::new() };
    let view = View::upright((0.0, 0.0), k);
    // From above, the front below; then the front, seen from the lane.
    dimensions.sizes(&view, Size::new(length, width), ["length", "width"]);
    let mut top = Group::new(format!("part-{}-top", part.letter), "feature");
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
    dimensions.distances_from_left(&places, &view, 0.0);
    let below = BELOW + places.len() as f64 * NEXT + 3.0;
    let front = View::upright((0.0, below + height * k), k);
    let outline = face(&mut dimensions, &front, (length, height), ["", "height"]);
    let mut eased = Group::new(format!("part-{}-eased", part.letter), "feature");
    for (from, to) in [
        ((0.0, EASED), (length, EASED)),
        ((EASED, EASED), (EASED, height)),
        ((length - EASED, EASED), (length - EASED, height)),
    ] {
        eased.line(front.at(from), front.at(to), Pen::Narrow);
    }
    let mut groups = vec![top, outline, eased];
    groups.extend(dimensions.groups);
    groups
}

fn cleat(drawer: &Drawer, part: &Part, cleat: &Cleat, k: f64) -> Vec<Group> {
    let [length, height, thickness] = part.size;
    let mut dimensions = Dimensions { drawer, letter: &part.letter, groups: Vec::new() };
    // From above, with the pilot holes, and from its face.
    let top = View::upright((0.0, 0.0), k);
    let mut groups = vec![face(&mut dimensions, &top, (length, thickness), ["length", "thickness"])];
    let mut holes = Group::new(format!("part-{}-holes", part.letter), "feature");
    let place = |x: f64| x - cleat.area.x0;
    for screw in &cleat.screws {
        let at = screw.at - cleat.area.origin().to_vec2();
        let pilot = Hole { at, radius: cleat.pilot / 2.0, slot: 0.0 };
        hole(&mut holes, &top, &pilot, Pen::Wide);
    }
    groups.push(holes);
    let places: Vec<f64> = cleat.screws.iter().map(|s| place(s.at.x)).collect();
    dimensions.distances_from_left(&places, &top, 0.0);
    let below = BELOW + places.len() as f64 * NEXT + 3.0;
    let front = View::upright((0.0, below + height * k), k);
    groups.push(face(&mut dimensions, &front, (length, height), ["", "height"]));
    let mut grip = Group::new(format!("part-{}-grip", part.letter), "note");
    let y = front.at((0.0, cleat.grip)).y;
    grip.line((0.0, y), (length * k, y), Pen::Dashed);
    groups.push(grip);
    groups.extend(dimensions.groups);
    groups
}
