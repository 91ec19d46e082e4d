//! The jig as solids: put together or pulled apart, with its screws, washers and pins, and the grain of its wood.

use kurbo::{Circle, Point, Rect};

use super::hole::Hole;
use crate::drawing::axonometric::{Body, Direction, Prism, Seen};
use crate::drawing::frame::outline;
use crate::drawing::wood::{self, Wood};
use crate::drawing::{Anchor, Text};
use crate::jig::Jig;
use crate::jig::fences::Fence;
use crate::jig::parts::PartKind;
use crate::shape::font::width;
use crate::terms::{Edge, Grain};
use crate::trig::Trig;
use crate::wood::timber::Stuff;

/// Height of a lane's lettering on the board, mm of the jig.
const LETTERING: f64 = 4.0;
/// Between a fence and its lettering, mm of the jig.
const BEFORE_FENCE: f64 = 4.0;
/// Thickness of a washer, and height of a pan head, mm; common practice, no source.
pub(super) const WASHER: f64 = 1.0;
pub(super) const HEAD: f64 = 2.2;
/// How far a pin stands out of its strip in pictures, so that it is seen, mm.
const PIN_OUT: f64 = 0.4;
/// Corners of what is round in pictures.
const ROUND: usize = 16;
/// Longer jigs are broken off in pictures, mm.
const LONGEST: f64 = 640.0;
/// How far an end that is broken off goes in and out, mm of the jig.
const BREAK: f64 = 5.0;
/// Space between parts that are pulled apart, mm of the jig.
const APART: f64 = 16.0;

/// What the ids of the jig put together and of the jig pulled apart begin with.
const TOGETHER_ID: &str = "picture";
const APART_ID: &str = "apart";

/// What a solid is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum What {
    /// A part of the cut list, by its number.
    Part(String),
    /// A screw that holds a fence.
    FenceScrew,
    /// A washer.
    Washer,
    /// A pin.
    Pin,
    /// A screw that holds the cleat.
    CleatScrew,
}

/// A solid of the jig.
pub(super) struct Solid {
    /// What it is.
    pub(super) what: What,
    /// Its body.
    pub(super) body: Body,
    /// The wood that its end shows and the way its grain runs: along the edges, or not.
    wood: Option<(Wood, Grain)>,
}

/// The solids of a picture.
pub(super) struct Model {
    /// All of them.
    pub(super) solids: Vec<Solid>,
    /// Where screws and pins go, from above to below, mm.
    pub(super) axes: Vec<[[f64; 3]; 2]>,
    /// Whether the jig is broken off.
    pub(super) is_broken: bool,
}

impl Model {
    /// Their bodies.
    pub(super) fn bodies(&self) -> Vec<Body> {
        self.solids.iter().map(|s| s.body.clone()).collect()
    }

    /// The grain on all faces that look toward the viewer, as far as it is seen.
    pub(super) fn grain(&self, seen: &Seen, direction: Direction, scale: f64) -> Vec<Vec<[Point; 2]>> {
        let of = |solid: &Solid| {
            let Some((ends, grain)) = solid.wood else { return Vec::new() };
            let Some(prism) = solid.body.prisms.first() else { return Vec::new() };
            let runs = on_faces(prism, ends, grain, direction, scale);
            runs.iter().flat_map(|run| seen.open(run)).collect()
        };
        self.solids.iter().map(of).collect()
    }
}

/// What the edge of a stuff shows where it is cut across its grain.
pub(super) fn end_of(stuff: Stuff, thickness: f64) -> Wood {
    match stuff {
        Stuff::Plywood => Wood::Plies(wood::plies(thickness)),
        Stuff::Mdf => Wood::Specks,
        Stuff::Solid { .. } => Wood::Ends,
    }
}

/// What its edge shows where it is cut along its grain.
pub(super) fn side_of(ends: Wood) -> Wood {
    if ends == Wood::Ends { Wood::Lengthwise } else { ends }
}

/// The number of a strip's facing.
fn facing_of(jig: &Jig, fence: &Fence) -> Option<String> {
    let mut parts = jig.parts.iter().filter(|p| p.kind == PartKind::Facing);
    parts.find(|p| (p.size[0] - fence.length()).abs() < 1e-6).map(|p| p.number.clone())
}

/// The number of the first part of a kind.
pub(super) fn number_of(jig: &Jig, kind: PartKind) -> String {
    jig.parts.iter().find(|p| p.kind == kind).map_or_else(String::new, |p| p.number.clone())
}

/// The jig put together, the board's bed at `z = 0`.
pub(super) fn together(jig: &Jig) -> Model {
    model(jig, false)
}

/// The jig pulled apart along its height.
pub(super) fn apart(jig: &Jig) -> Model {
    model(jig, true)
}

fn model(jig: &Jig, is_apart: bool) -> Model {
    let t = jig.board.thickness;
    let (stock, fixing) = (&jig.stock, jig.stock.fixing);
    let is_broken = jig.length > LONGEST;
    let to = if is_broken { LONGEST } else { jig.length };
    // What reaches into the broken end is left out.
    let whole = if is_broken { to - BREAK } else { to };
    let fences: Vec<(usize, &Fence)> = jig.fences.iter().enumerate().filter(|(_, f)| f.area.x1 <= whole).collect();
    let cleat = jig.cleat.as_ref();
    let cleat_screws = cleat.iter().flat_map(|c| &c.screws).filter(|s| s.at.x < whole - BREAK);
    let lift = |by: f64| if is_apart { by } else { 0.0 };
    // The cleat's screws stand between the board and the strips.
    let over_board = lift(cleat.map_or(APART, |c| c.screw + HEAD + APART));
    let (strip_bottom, under) = (t + over_board, -lift(APART));
    let strip_top = strip_bottom + stock.height;
    let mut solids = Vec::new();
    let mut axes = Vec::new();

    let holes = |places: Vec<Hole>| places.iter().map(|h| h.outline().into_iter().rev().collect::<Vec<_>>()).collect();
    let mut board = vec![ending(Rect::new(0.0, 0.0, to, jig.depth), is_broken)];
    if is_apart {
        let through = |s: &crate::jig::fences::Screw| Hole {
            at: s.at,
            radius: cleat.map_or(0.0, |c| c.clearance) / 2.0,
            slot: s.slot,
        };
        let cleats: Vec<Vec<Point>> = holes(cleat_screws.clone().map(through).collect());
        let pilot = |s: &crate::jig::fences::Screw| Hole { at: s.at, radius: fixing.pilot / 2.0, slot: 0.0 };
        let pilots: Vec<Vec<Point>> = holes(fences.iter().flat_map(|(_, f)| &f.screws).map(pilot).collect());
        board.extend(cleats.into_iter().chain(pilots));
    }
    let stuff = end_of(jig.board.stuff, t);
    let lettering = lettering(jig, whole);
    let board_prism = Prism { region: board, z: [0.0, t], lettering };
    let view = if is_apart { APART_ID } else { TOGETHER_ID };
    let solid = |what: What, id: String, prisms: Vec<Prism>, wood| Solid {
        what,
        body: Body { id: format!("{view}-{id}"), prisms },
        wood,
    };
    let part = |kind| What::Part(number_of(jig, kind));
    solids.push(solid(
        part(PartKind::Board),
        "board".into(),
        vec![board_prism],
        Some((stuff, if matches!(jig.board.stuff, Stuff::Solid { .. }) { jig.board.grain } else { Grain::Along })),
    ));
    for (i, fence) in fences {
        let number = i + 1;
        let (strip, facing) = faced(fence, stock.facing);
        let mut region = vec![outline(strip).to_vec()];
        if is_apart {
            let hole = |s: &crate::jig::fences::Screw| Hole { at: s.at, radius: fixing.clearance / 2.0, slot: s.slot };
            let round = |p: &Point| Hole { at: *p, radius: fixing.pin / 2.0, slot: 0.0 };
            let all: Vec<Vec<Point>> =
                holes(fence.screws.iter().map(hole).chain(fence.pins.iter().map(round)).collect());
            region.extend(all);
        }
        let prism = Prism { region, z: [strip_bottom, strip_top], lettering: Vec::new() };
        let id = format!("fence-{number}");
        solids.push(solid(What::Part(fence.number.clone()), id, vec![prism], Some((Wood::Ends, Grain::Along))));
        if let (Some(area), Some(letter)) = (facing, facing_of(jig, fence)) {
            let forward = lift(APART) * if fence.edge == Edge::Near { -1.0 } else { 1.0 };
            let area = area + kurbo::Vec2::new(0.0, forward);
            let z = [strip_bottom, strip_top];
            let prism = Prism { region: vec![outline(area).to_vec()], z, lettering: Vec::new() };
            solids.push(solid(What::Part(letter), format!("facing-{number}"), vec![prism], None));
        }
        for (k, screw) in fence.screws.iter().enumerate() {
            let washer = strip_top + lift(APART / 2.0);
            let prisms = vec![round(screw.at, fixing.washer / 2.0, [washer, washer + WASHER])];
            solids.push(solid(What::Washer, format!("washer-{number}-{}", k + 1), prisms, None));
            let top = washer + WASHER + lift(jig.stock.screw + APART / 2.0);
            let mut prisms = vec![round(screw.at, fixing.shank, [top, top + HEAD])];
            if is_apart {
                prisms.push(round(screw.at, fixing.shank / 2.0, [top - jig.stock.screw, top]));
                axes.push([at(screw.at, top - jig.stock.screw), at(screw.at, t)]);
            }
            solids.push(solid(What::FenceScrew, format!("screw-{number}-{}", k + 1), prisms, None));
        }
        for (k, pin) in fence.pins.iter().enumerate() {
            let length = if is_apart { stock.height } else { PIN_OUT };
            let bottom = strip_top + lift(APART / 2.0);
            let prisms = vec![round(*pin, fixing.pin / 2.0, [bottom, bottom + length])];
            if is_apart {
                axes.push([at(*pin, bottom), at(*pin, t)]);
            }
            solids.push(solid(What::Pin, format!("pin-{number}-{}", k + 1), prisms, None));
        }
    }
    if let Some(cleat) = cleat {
        let area = Rect { x1: cleat.area.x1.min(whole), ..cleat.area };
        let mut region = vec![ending(area, is_broken)];
        if is_apart {
            let pilot = |s: &crate::jig::fences::Screw| Hole { at: s.at, radius: cleat.pilot / 2.0, slot: 0.0 };
            let all: Vec<Vec<Point>> = holes(cleat_screws.clone().map(pilot).collect());
            region.extend(all);
        }
        let prism = Prism { region, z: [under - cleat.height, under], lettering: Vec::new() };
        let what = part(PartKind::Cleat);
        solids.push(solid(what, "cleat".into(), vec![prism], Some((Wood::Ends, Grain::Along))));
        for (k, screw) in cleat_screws.enumerate() {
            let id = format!("cleat-screw-{}", k + 1);
            let head = cleat.head / 2.0;
            let prisms = if is_apart {
                let point = t + APART / 2.0;
                axes.push([at(screw.at, point), at(screw.at, under)]);
                let top = point + cleat.screw;
                vec![
                    round(screw.at, cleat.shank / 2.0, [point, top - HEAD]),
                    round(screw.at, 0.75 * head, [top - HEAD, top - HEAD / 2.0]),
                    round(screw.at, head, [top - HEAD / 2.0, top]),
                ]
            } else if jig.fences.iter().any(|f| f.area.inset(head).contains(screw.at)) {
                // It is below a strip, sunk.
                continue;
            } else {
                vec![round(screw.at, head, [t, t + PIN_OUT / 2.0])]
            };
            solids.push(solid(What::CleatScrew, id, prisms, None));
        }
    }
    Model { solids, axes, is_broken }
}

fn at(p: Point, z: f64) -> [f64; 3] {
    [p.x, p.y, z]
}

/// A strip's wood, and its facing in front.
fn faced(fence: &Fence, facing: f64) -> (Rect, Option<Rect>) {
    let area = fence.area;
    if facing <= 0.0 {
        return (area, None);
    }
    match fence.edge {
        Edge::Near => (Rect { y0: area.y0 + facing, ..area }, Some(Rect { y1: area.y0 + facing, ..area })),
        Edge::Far => (Rect { y1: area.y1 - facing, ..area }, Some(Rect { y0: area.y1 - facing, ..area })),
    }
}

/// A round prism on end.
fn round(at: Point, radius: f64, z: [f64; 2]) -> Prism {
    let corner = |i: usize| {
        let (sin, cos) = (std::f64::consts::TAU * i as f64 / ROUND as f64).sine_cosine();
        Circle::new(at, radius).center + (radius * cos, radius * sin)
    };
    Prism { region: vec![(0..ROUND).map(corner).collect()], z, lettering: Vec::new() }
}

/// A rectangle whose right end is broken off, or not.
fn ending(area: Rect, is_broken: bool) -> Vec<Point> {
    if !is_broken {
        return outline(area).to_vec();
    }
    let Rect { x0, y0, x1, y1 } = area;
    let y = |part: f64| y0 + part * (y1 - y0);
    [(x0, y0), (x1, y0), (x1 - BREAK, y(0.4)), (x1 + BREAK, y(0.6)), (x1, y1), (x0, y1)].map(Point::from).to_vec()
}

/// What each lane is called, on the board before its fence, to be read from its edge; smaller where the lane is narrow.
fn lettering(jig: &Jig, to: f64) -> Vec<Text> {
    let lettering = |placed: &crate::layout::Placed| {
        let words = placed.label();
        let room = placed.x[1] - placed.x[0] - 2.0;
        let wide = width(&words, LETTERING, true);
        let height = LETTERING * (room / wide).min(1.0);
        let from_edge = placed.lane.finished() - BEFORE_FENCE - height;
        let (y, turn) = match placed.edge {
            Edge::Near => (from_edge, 0.0),
            Edge::Far => (jig.depth - from_edge, 180.0),
        };
        Text::new((placed.centre, y), height, Anchor::Middle, words).turned(turn).bold()
    };
    let shown = |p: &&crate::layout::Placed| p.lane.finished() > BEFORE_FENCE + LETTERING + 1.0 && p.x[1] <= to + 1e-9;
    jig.lanes.iter().filter(shown).map(lettering).collect()
}

/// Lines of a wood on the faces of a box that look toward the viewer, by points of the model.
fn on_faces(prism: &Prism, ends: Wood, grain: Grain, direction: Direction, scale: f64) -> Vec<Vec<[f64; 3]>> {
    let area = crate::drawing::clash::around(prism.region.iter().take(1).flatten().copied());
    let [low, high] = prism.z;
    let (across, along) = match grain {
        Grain::Along => (ends, side_of(ends)),
        Grain::Across => (side_of(ends), ends),
    };
    // On paper: so that lines keep their distances from each other.
    let face = |kind: Wood, wide: f64| wood::lines(kind, Rect::new(0.0, 0.0, scale * wide, scale * (high - low)));
    let mut found = Vec::new();
    let mut add = |lines: Vec<Vec<Point>>, to: &dyn Fn(f64, f64) -> [f64; 3]| {
        found.extend(
            lines
                .into_iter()
                .map(|run| run.into_iter().map(|p| to(p.x / scale, high - p.y / scale)).collect::<Vec<_>>()),
        );
    };
    for (y, out) in [(area.y0, -1.0), (area.y1, 1.0)] {
        if direction.sees([0.0, out, 0.0]) {
            add(face(along, area.width()), &|u, z| [area.x0 + u, y, z]);
        }
    }
    for (x, out) in [(area.x0, -1.0), (area.x1, 1.0)] {
        if direction.sees([out, 0.0, 0.0]) {
            add(face(across, area.height()), &|u, z| [x, area.y0 + u, z]);
        }
    }
    found
}
