//! A schematic guide from the side, its seat level, and from the front, with the places to measure.

use kurbo::{Point, Rect, Vec2};

use super::heading;
use crate::drawing::dimension::{LIFT, Linear, leader};
use crate::drawing::frame::rectangle;
use crate::drawing::style::{Fill, Pen, SMALL};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Mark, Text};
use crate::trig::toward;

/// Paper mm for one mm of the schematic guide.
const SCALE: f64 = 1.4;
/// Sizes of the schematic guide, in its own frame (axle at the origin, along and square to the seat).
const RADIUS: f64 = 10.0;
const SEAT: f64 = 17.0;
const PARALLEL: f64 = 7.0;
const FACE: f64 = 16.0;
const BOTTOM: f64 = 3.0;
const REAR: f64 = -21.0;
const TOP: f64 = 28.6;
/// Thickness of a caliper's jaw as drawn.
const JAW: f64 = 2.4;

/// How far small letters reach below their line, mm of paper.
const DESCENT: f64 = 1.0;

/// A dimension with a letter for its value.
pub(super) fn lettered(
    id: &str,
    symbol: &str,
    ends: [Point; 2],
    through: impl Into<Point>,
    along: impl Into<Vec2>,
) -> Group {
    let mut group = Group::new(id, "dimension").with("symbol", symbol);
    Linear::new(ends, through, along, symbol).draw(&mut group);
    for mark in &mut group.marks {
        // A small g reaches below its baseline: lifted clear of the dimension line.
        if let (Mark::Text(text), true) = (mark, symbol.contains('g')) {
            text.at -= toward(text.turn.to_radians()).turn_90() * DESCENT;
        }
    }
    group
}

/// The view from the side; the axle is at `axle`.
pub(super) fn side(axle: Point) -> Vec<Group> {
    let view = View::upright(axle, SCALE);
    let mut groups = vec![heading("side-heading", axle - (46.0, 43.0), "From the side, the seat level (schematic)")];
    groups.extend(guide(&view));
    groups.push(jaws(&view));
    groups.extend(lengths(&view));
    groups.extend(names(&view));
    groups
}

fn guide(view: &View) -> Vec<Group> {
    let mut body = Group::new("side-body", "figure");
    let outline = [(FACE, BOTTOM), (FACE, TOP), (REAR, TOP), (REAR, 9.0), (-8.0, BOTTOM)];
    body.path([view.all(outline)], true, Pen::Dashed, Fill::Pale);
    let mut roller = Group::new("side-roller", "figure");
    let centre = view.at((0.0, 0.0));
    roller.circle(centre, RADIUS * SCALE, Pen::Wide, Fill::Tint);
    roller.cross(centre, RADIUS * SCALE + 2.0, Pen::Chain);
    let mut parallel = Group::new("side-parallel", "figure");
    let corners = rectangle(view.at((REAR - 5.0, SEAT)), view.at((30.0, SEAT + PARALLEL)));
    parallel.path([corners], true, Pen::Narrow, Fill::Paper);
    let mut edges = Group::new("side-seat-and-face", "figure");
    edges.line(view.at((REAR, SEAT)), view.at((FACE, SEAT)), Pen::Wide);
    edges.line(view.at((FACE, BOTTOM)), view.at((FACE, SEAT)), Pen::Wide);
    edges.line(view.at((FACE, SEAT + PARALLEL)), view.at((FACE, TOP)), Pen::Wide);
    vec![body, roller, parallel, edges]
}

/// A caliper's jaw, its tip in section, as two corners.
type Jaw = [(f64, f64); 2];

const UNDER_ROLLER: Jaw = [(-6.0, -RADIUS - JAW), (6.0, -RADIUS)];
const AT_REAR: Jaw = [(-RADIUS - JAW, -4.0), (-RADIUS, 4.0)];
const AT_FRONT: Jaw = [(RADIUS, -4.0), (RADIUS + JAW, 4.0)];
const AT_FACE: Jaw = [(FACE, 6.0), (FACE + JAW, 14.0)];
const OVER_PARALLEL: Jaw = [(21.0, SEAT + PARALLEL), (29.0, SEAT + PARALLEL + JAW)];
const UNDER_PARALLEL: Jaw = [(21.0, SEAT - JAW), (29.0, SEAT)];
const UNDER_FACE: Jaw = [(FACE - 4.6, BOTTOM - JAW), (FACE - 0.4, BOTTOM)];

/// Where the caliper's jaws go.
fn jaws(view: &View) -> Group {
    // The last is the legend's own.
    drawn_jaws(view, &[UNDER_ROLLER, AT_REAR, AT_FACE, OVER_PARALLEL, UNDER_FACE, [(-32.6, -28.1), (-28.6, -26.1)]])
}

fn drawn_jaws(view: &View, jaws: &[Jaw]) -> Group {
    let mut group = Group::new("jaws", "figure");
    for [a, b] in jaws {
        group.path([rectangle(view.at(*a), view.at(*b))], true, Pen::Wide, Fill::None);
        // Hatched, so that a jaw is told from the guide.
        for [from, to] in hatch(Rect::from_points(*a, *b)) {
            group.line(view.at(from), view.at(to), Pen::Narrow);
        }
    }
    group
}

/// Lengths that are seen from the side, with the jaws that take them and what is said of them.
const FROM_THE_SIDE: [(&str, [Jaw; 2], &str); 5] = [
    ("D", [AT_REAR, AT_FRONT], "D: jaws across the roller"),
    ("N", [AT_REAR, AT_FACE], "N: from the roller's rear to the face"),
    ("B", [UNDER_ROLLER, UNDER_FACE], "B: from under the roller to the face's lower end"),
    (
        "M",
        [UNDER_ROLLER, OVER_PARALLEL],
        "M: from under the roller to the upper side of the parallel, or to the seat itself",
    ),
    ("g", [UNDER_PARALLEL, OVER_PARALLEL], "g: the thickness of the parallel"),
];

/// One length at a time: its letter, what is said of it, the guide with the jaws in place.
pub(super) fn one_by_one() -> Vec<(&'static str, &'static str, Vec<Group>)> {
    let view = View::upright((0.0, 0.0), SCALE);
    let one = |(letter, jaws, words): (&'static str, [Jaw; 2], &'static str)| {
        let mut groups = guide(&view);
        groups.push(drawn_jaws(&view, &jaws));
        groups.extend(lengths(&view).into_iter().filter(|group| group.id == format!("dim-{letter}")));
        (letter, words, groups)
    };
    FROM_THE_SIDE.into_iter().map(one).collect()
}

/// Lines at 45° through a rectangle.
fn hatch(area: Rect) -> Vec<[Point; 2]> {
    const PITCH: f64 = 1.2;
    let (low, w, h) = (area.origin(), area.width(), area.height());
    let count = ((w + h) / PITCH) as usize;
    let line = |i: usize| {
        // Along x − y = c, from its lower to its upper end.
        let c = PITCH * i as f64 - h;
        let (from, to) = (c.max(0.0), (c + h).min(w));
        [from, to].map(|along| low + (along, along) - (0.0, c))
    };
    (1..=count).map(line).collect()
}

fn lengths(view: &View) -> Vec<Group> {
    let (along, up) = ((1.0, 0.0), (0.0, 1.0));
    let mut groups = Vec::new();
    let mut add = |id: &str, symbol: &str, from: (f64, f64), to: (f64, f64), through: (f64, f64), along: (f64, f64)| {
        groups.push(lettered(id, symbol, [view.at(from), view.at(to)], view.at(through), along));
    };
    add("dim-D", "D", (-RADIUS, -4.4), (RADIUS, -0.6), (0.0, -18.0), along);
    add("dim-N", "N", (-RADIUS, -4.4), (FACE, BOTTOM - 0.6), (0.0, -24.5), along);
    add("dim-B", "B", (6.4, -RADIUS), (FACE, BOTTOM), (25.0, 0.0), up);
    add("dim-M", "M", (6.4, -RADIUS), (30.0, SEAT + PARALLEL), (35.0, 0.0), up);
    add("dim-g", "g", (30.0, SEAT), (30.0, SEAT + PARALLEL), (42.0, 0.0), up);
    add("dim-M-seat", "M without g", (-6.4, -RADIUS), (REAR - 5.0, SEAT), (-28.6, 0.0), up);
    groups
}

fn names(view: &View) -> Vec<Group> {
    let mut group = Group::new("side-names", "note");
    let mut put = |at: (f64, f64), anchor: Anchor, words: &str| {
        group.text(Text::new(view.at(at), SMALL, anchor, words));
    };
    put((1.2, -4.2), Anchor::Start, "roller");
    put((-3.0, SEAT + PARALLEL / 2.0 - 0.9), Anchor::Middle, "flat parallel");
    put((-18.0, SEAT - 3.0), Anchor::Start, "seat");
    put((-3.0, SEAT + PARALLEL + 1.6), Anchor::Middle, "body and clamp");
    put((-27.6, -28.0), Anchor::Start, "jaw of the caliper");
    put((43.6, -28.0), Anchor::End, "to the cutting edge");
    put((20.6, -14.2), Anchor::Start, "stone side");
    let arrow = [view.at((25.0, -24.6)), view.at((43.6, -24.6))];
    group.line(arrow[0], arrow[1], Pen::Narrow);
    group.arrow(arrow[1], (1.0, 0.0));
    let down = [view.at((19.0, -12.0)), view.at((19.0, -16.0))];
    group.line(down[0], down[1], Pen::Narrow);
    group.arrow(down[1], (0.0, 1.0));
    let mut face = Group::new("side-face-name", "note");
    leader(&mut face, view.at((FACE, 26.4)), view.at((22.0, 29.4)), false, "face");
    vec![group, face]
}

/// The guide from the front, once with one roller and once with a pair; upper left corner at `at`.
pub(super) fn across(at: Point, width: f64) -> Vec<Group> {
    let mut groups = vec![heading("front-heading", at + (0.0, 4.0), "From the front")];
    let body = 26.0;
    let centres = [at.x + width / 4.0 - 1.0, at.x + 3.0 * width / 4.0 - 1.0];
    let top = at.y + 15.0;
    for (i, x) in centres.into_iter().enumerate() {
        let name = ["front-one", "front-pair"][i];
        let mut figure = Group::new(name, "figure");
        figure.path([rectangle((x - body / 2.0, top), (x + body / 2.0, top + 9.0))], true, Pen::Wide, Fill::Pale);
        let rollers: &[[f64; 2]] = if i == 0 { &[[-6.0, 6.0]] } else { &[[-12.0, -7.0], [7.0, 12.0]] };
        for [a, b] in rollers {
            figure.path([rectangle((x + a, top + 6.0), (x + b, top + 14.0))], true, Pen::Wide, Fill::Tint);
        }
        let blade = if i == 0 { 4.5 } else { 6.0 };
        figure.path([rectangle((x - blade, top + 2.0), (x + blade, top + 4.0))], true, Pen::Wide, Fill::Paper);
        groups.push(figure);
        let caption = ["one roller", "a pair"][i];
        let mut words = Group::new(format!("{name}-name"), "note");
        words.text(Text::new((x, top + 25.8), SMALL, Anchor::Middle, caption));
        groups.push(words);
    }
    let along = (1.0, 0.0);
    let [one, pair] = centres;
    let span = |x: f64, half: f64, y: f64| [Point::new(x - half, y), Point::new(x + half, y)];
    let above = (0.0, top - 4.0);
    let below = (0.0, top + 14.0 + 5.0 + LIFT);
    groups.push(lettered("dim-F", "F", span(one, body / 2.0, top), above, along));
    groups.push(lettered("dim-w", "w", span(pair, 6.0, top + 2.0), above, along));
    groups.push(lettered("dim-R", "R", span(one, 6.0, top + 14.0), below, along));
    groups.push(lettered("dim-P", "P", span(pair, 7.0, top + 14.0), below, along));
    groups
}
