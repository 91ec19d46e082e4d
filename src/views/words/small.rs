//! What guide and block do not show: a chisel's lands, a cambered edge, an iron in its plane, a saw's cut. Schematic.

use kurbo::{Point, Rect, Vec2};

use super::Word;
use super::callout::{self, Callout, Tip};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::{Group, Mark};
use crate::trig::toward;

/// The room's own frame: its middle, and mm of paper to the right and up from there.
fn at(room: Rect, x: f64, y: f64) -> Point {
    room.center() + (x, -y)
}

fn labelled(mut groups: Vec<Group>, callout: Callout, room: Rect) -> Vec<Group> {
    let words = callout::draw(&[callout], &groups, room);
    groups.extend(words);
    groups
}

/// A bevel-edged chisel seen on its edge, back up.
pub(super) fn lands(room: Rect) -> Vec<Group> {
    let mut chisel = Group::new("chisel-end", "figure");
    let (half, land, low, narrow) = (11.0, 2.2, 5.5, 6.0);
    let corners = [(-half, 0.0), (half, 0.0), (half, -land), (narrow, -low), (-narrow, -low), (-half, -land)];
    chisel.path([corners.map(|(x, y)| at(room, x, y + 2.0))], true, Pen::Wide, Fill::Tint);
    let tip = at(room, half, 2.0 - land / 2.0);
    labelled(vec![chisel], Callout { word: Word::Land, at: tip, tip: Tip::Arrow, toward: 315.0 }, room)
}

/// Space below a heading, mm.
const UNDER_HEADING: f64 = 1.0;
/// Chords of the cambered edge.
const CHORDS: usize = 24;

/// A cambered edge seen on the back, its curve made larger, with the straight edge it is measured from.
pub(super) fn camber(room: Rect) -> Vec<Group> {
    let (half, deep) = (12.0, 2.2);
    // Its sides go no further up than the room does.
    let up = (room.height() / 2.0 - UNDER_HEADING).min(6.0);
    let curve = |i: usize| {
        let x = half * (2.0 * i as f64 / CHORDS as f64 - 1.0);
        at(room, x, deep * (x / half).powi(2) - 2.0)
    };
    let mut iron = Group::new("cambered-iron", "figure");
    let mut run = vec![at(room, -half, up)];
    run.extend((0..=CHORDS).map(curve));
    run.push(at(room, half, up));
    iron.path([run], false, Pen::Wide, Fill::Paper);
    let mut straight = Group::new("straight-edge", "figure");
    straight.line(at(room, -half - 2.0, -2.0), at(room, half + 2.0, -2.0), Pen::Dashed);
    let tip = curve(CHORDS * 7 / 8);
    labelled(vec![iron, straight], Callout { word: Word::Camber, at: tip, tip: Tip::Arrow, toward: 315.0 }, room)
}

/// The usual bed of a bench plane, degrees.
const BED: f64 = 45.0;

/// An iron on the bed of its plane, from the side.
pub(super) fn bed_angle(room: Rect) -> Vec<Group> {
    let mouth = at(room, 4.0, -6.0);
    let along = -toward(BED.to_radians());
    let normal = Vec2::new(along.y, -along.x);
    let mut plane = Group::new("plane-bed", "figure").with("bed", BED);
    let (length, thick) = (16.0, 1.4);
    let frog =
        [mouth, mouth + 13.0 * along, Point::new(mouth.x - 16.0, mouth.y - 4.0), Point::new(mouth.x - 16.0, mouth.y)];
    plane.path([frog], true, Pen::Narrow, Fill::Tint);
    plane.line((mouth.x - 16.0, mouth.y), (mouth.x + 9.0, mouth.y), Pen::Wide);
    let mut iron = Group::new("plane-iron", "figure");
    let corners = [
        mouth,
        mouth + thick * normal - thick * along,
        mouth + thick * normal + length * along,
        mouth + length * along,
    ];
    iron.path([corners], true, Pen::Wide, Fill::Paper);
    let radius = 8.5;
    let mut arc = Group::new("bed-angle-arc", "dimension");
    let pi = std::f64::consts::PI;
    arc.marks.push(Mark::Arc { centre: mouth, radius, angles: [pi, pi + BED.to_radians()], pen: Pen::Narrow });
    let tip = mouth + radius * toward(pi + BED.to_radians() / 2.0);
    labelled(vec![plane, iron, arc], Callout { word: Word::BedAngle, at: tip, tip: Tip::Plain, toward: 165.0 }, room)
}

/// A board that is sawn into, on its end.
pub(super) fn kerf(room: Rect) -> Vec<Group> {
    let mut board = Group::new("sawn-board", "figure");
    let (half, low, high, slot, floor) = (12.0, -6.0, 2.0, 1.1, -3.0);
    let corners = [
        (-half, low),
        (half, low),
        (half, high),
        (slot, high),
        (slot, floor),
        (-slot, floor),
        (-slot, high),
        (-half, high),
    ];
    board.path([corners.map(|(x, y)| at(room, x, y))], true, Pen::Wide, Fill::Tint);
    let tip = at(room, 0.0, (high + floor) / 2.0);
    labelled(vec![board], Callout { word: Word::Kerf, at: tip, tip: Tip::Dot, toward: 60.0 }, room)
}
