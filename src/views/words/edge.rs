//! The guide on the stone, and the blade's edge enlarged.

use kurbo::{Point, Rect};

use super::Word;
use super::callout::{self, Callout, Tip};
use super::shown::{Shown, plain_dimension};
use crate::drawing::frame::outline;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;
use crate::drawing::{Group, clash};
use crate::trig::{Trig, toward};
use crate::views::figure::Figure;

/// Room for words above the guide on the stone, mm of paper.
const ABOVE: f64 = 12.0;
/// Largest scale.
const LARGEST: f64 = 1.1;
/// From the guide to the chain of dimensions above it, mm of paper.
const STEP: f64 = 6.0;
/// Thickness of the strip that stands for the stone, mm of paper.
const STONE: f64 = 4.0;

/// Guide and blade as they stand on the stone.
fn honing(shown: &Shown) -> Figure {
    let lane = &shown.placed.lane;
    let section = lane.setting.section;
    Figure::on_stone(section, lane.projection(), lane.request.angle, lane.request.primary())
}

/// Draws guide and blade on the stone in `room`, with projection and axle to face.
pub(super) fn on_stone(shown: &Shown, room: Rect) -> Vec<Group> {
    let figure = honing(shown);
    let model = clash::extent(&figure.draw_subject(&View::upright((0.0, 0.0), 1.0), ""));
    let high = room.height() - ABOVE - STONE - 2.0;
    let k = ((room.width() - 6.0) / model.width()).min(high / model.height()).min(LARGEST);
    let x = room.center().x - k * model.center().x;
    // A roller may run lower than the stone.
    let floor = room.y1 - STONE.max(k * model.y1) - 2.0;
    let view = View::upright((x, floor), k);
    let s = figure.section();
    let edge = figure.edge();
    let end = view.at(figure.at(edge)).x + 5.0;
    let start = view.at((-1.6 * s.roller_radius, 0.0)).x;
    let mut stone = Group::new("words-stone", "figure");
    let from = if s.roller_level == 0.0 { start } else { view.at((1.15 * s.roller_radius, 0.0)).x };
    let corners = outline(Rect::new(from, floor, end, floor + STONE));
    stone.path([corners], true, Pen::None, Fill::Tint);
    stone.line(corners[0], corners[1], Pen::Wide);
    if s.roller_level != 0.0 {
        let track = |x: f64| view.at((x * s.roller_radius, s.roller_level));
        stone.line(track(-1.6), track(1.1), Pen::Wide);
    }
    let mut groups = vec![stone];
    groups.extend(figure.draw_subject(&view, "honing-"));
    let origin = view.at(figure.at((0.0, 0.0)));
    let along = (view.at(figure.at((1.0, 0.0))) - origin) / k;
    let chain = view.at(figure.at((0.0, figure.top() + STEP / k)));
    let corner = figure.at((s.axle_to_face, figure.top()));
    let mut all = vec![Callout {
        word: Word::Stone,
        at: Point::new(from.midpoint(end), floor + STONE / 2.0),
        tip: Tip::Dot,
        toward: 45.0,
    }];
    let spans = [
        (Word::AxleToFace, [figure.at((0.0, 0.0)), corner], 120.0),
        (Word::Projection, [corner, figure.at(edge)], 60.0),
    ];
    for (word, ends, toward) in spans {
        let ends = ends.map(|p| view.at(p));
        groups.push(plain_dimension(&word.id(), ends, chain, along));
        let on_chain = |p: Point| chain + along * (p - chain).dot(along);
        all.push(Callout { word, at: on_chain(ends[0].midpoint(ends[1])), tip: Tip::Plain, toward });
    }
    // The sides of the tint are no lines, and still cross no word.
    let mut sides = Group::new("", "figure");
    sides.path([corners], true, Pen::Narrow, Fill::None);
    groups.push(sides);
    let words = callout::draw(&all, &groups, room);
    groups.pop();
    groups.extend(words);
    groups
}

/// The least that a bevel is steeper than the primary where the edge is drawn enlarged, degrees.
const STEEPER: f64 = 5.0;
/// The shallowest primary bevel drawn so, degrees.
const SHALLOWEST: f64 = 10.0;
/// Blade drawn behind the heel, by the length of the bevel.
const BEHIND: f64 = 0.35;
/// Length of the micro-bevel by that of the whole bevel, as drawn.
const MICRO: f64 = 0.22;
/// Room around it, mm of paper: at the sides, above and below.
const AROUND: [f64; 3] = [7.0, 8.0, 13.0];

/// How much of what its room takes the enlarged edge is, the most first.
const PARTS: [f64; 5] = [1.0, 0.9, 0.8, 0.7, 0.6];
/// How far past its room a line may reach, mm.
const BESIDE_ROOM: f64 = 0.5;

/// Draws the blade's edge enlarged in `room`, its back level and above, with a burr.
pub(super) fn enlarged(shown: &Shown, room: Rect) -> Vec<Group> {
    let at = |part: f64| enlarged_by(shown, room, part);
    let is_clear = |groups: &Vec<Group>| {
        clash::among(groups).is_empty() && room.inset(BESIDE_ROOM).contains_rect(clash::extent(groups))
    };
    // Smaller where its words else find no place.
    PARTS.into_iter().map(at).find(is_clear).unwrap_or_else(|| at(PARTS[0]))
}

/// The same, so large a part of what the room takes.
fn enlarged_by(shown: &Shown, room: Rect, part: f64) -> Vec<Group> {
    let lane = &shown.placed.lane;
    let angle = lane.request.angle;
    let primary = lane.request.primary().min(angle - STEEPER).max(SHALLOWEST);
    let t = lane.setting.section.thickness;
    let [steep, shallow] = [angle, primary].map(f64::to_radians);
    // From the edge, back level and above: to the left and down.
    let run = |turn: f64, length: f64| -length * toward(turn);
    let micro_length = MICRO * t / shallow.sine();
    let micro = Point::ORIGIN + run(steep, micro_length);
    let heel = micro + run(shallow, (t + micro.y) / shallow.sine());
    let end = heel.x * (1.0 + BEHIND);
    let [beside, above, below] = AROUND;
    let k = part * ((room.width() - 2.0 * beside) / -end).min((room.height() - above - below) / t);
    let middle =
        Point::new(room.center().x + k * -end / 2.0, room.y0 + above + (room.height() - above - below - k * t) / 2.0);
    let view = View::upright(middle, k);
    let mut blade = Group::new("enlarged-blade", "figure").with("primary", primary).with("angle", angle);
    let corners = [Point::ORIGIN, micro, heel, Point::new(end, -t), Point::new(end, 0.0)];
    blade.path([view.all(corners)], true, Pen::None, Fill::Paper);
    let [edge, micro_end, heel_end, low, high] = corners.map(|p| view.at(p));
    blade.path([vec![low, heel_end, micro_end, edge, high]], false, Pen::Wide, Fill::None);
    // Broken off: a zigzag in a narrow line.
    let mid = low.midpoint(high);
    let zig = [low, mid + (0.0, 1.5), mid + (-1.5, 0.6), mid + (1.5, -0.6), mid - (0.0, 1.5), high];
    blade.path([zig], false, Pen::Narrow, Fill::None);
    let mut burr = Group::new("enlarged-burr", "figure");
    let curl = [edge, edge + (0.9, -0.5), edge + (1.1, -1.5), edge + (0.4, -2.2)];
    burr.path([curl], false, Pen::Wide, Fill::None);
    let mut groups = vec![blade, burr];
    let callout = |word, at, toward| Callout { word, at, tip: Tip::Arrow, toward };
    let all = [
        callout(Word::Back, high.lerp(edge, 0.35), 120.0),
        callout(Word::Burr, curl[2], 45.0),
        callout(Word::Edge, edge, 330.0),
        callout(Word::MicroBevel, edge.midpoint(micro_end), 300.0),
        callout(Word::Bevel, micro_end.midpoint(heel_end), 300.0),
        callout(Word::Heel, heel_end, 225.0),
    ];
    let words = callout::draw(&all, &groups, room);
    groups.extend(words);
    groups
}
