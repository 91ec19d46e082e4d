//! A micro-bevel too small to be seen at the view's scale: ringed there, and enlarged beside the view.

use kurbo::Point;

use super::card::Card;
use crate::drawing::dimension::leader;
use crate::drawing::paper::{Scale, TEN_TIMES};
use crate::drawing::style::{Fill, Pen, VALUE};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Text};
use crate::trig::{Polar, toward};
use crate::units::short;
use crate::views::figure::{Figure, GROUND, MICRO};

/// The least length at which a micro-bevel is seen, mm of paper.
const SEEN: f64 = 4.0;
/// Id of the ring in the view.
pub(super) const RING: &str = "detail-ring";
/// The letter of the detail.
const LETTER: &str = "X";
/// Radius of what is enlarged, mm.
const RADIUS: f64 = 1.5 * MICRO;
/// Space between the circle and its words, mm of paper.
const APART: f64 = 3.0;
/// Corners of the polygon that stands for the circle where an area is cut by it.
const CORNERS: u32 = 72;
/// From one stroke of the stone's hatching to the next, mm of paper, and how far down it goes.
const HATCH: f64 = 3.0;

/// Whether the micro-bevel at the scale is too small to be seen, and where it ends, in the model.
fn too_small(figure: &Figure, factor: f64) -> Option<Point> {
    figure.micro_bevel().filter(|_| MICRO * factor < SEEN).map(|end| figure.at(end))
}

/// Where the letter of the detail stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum LetterAt {
    /// In front of the edge, close to the stone.
    Ahead,
    /// Below the stone's hatching.
    Below,
}

/// The ring in the view with its letter, where there is a detail.
pub(super) fn ring(view: &View, figure: &Figure, letter: LetterAt) -> Option<Group> {
    let centre = view.at(too_small(figure, view.scale)?);
    let mut ring = Group::new(RING, "figure");
    let r = RADIUS * view.scale;
    ring.circle(centre, r, Pen::Narrow, Fill::None);
    let edge = view.at(figure.at(figure.edge()));
    match letter {
        LetterAt::Ahead => {
            // Clear of the extension line that rises from the edge square to the seat.
            let up = figure.at((0.0, 1.0)) - figure.at((0.0, 0.0));
            let lean = (up.x / up.y).max(0.0);
            let at = edge + (2.0 + (VALUE + 1.5) * lean, -1.2);
            ring.text(Text::new(at, VALUE, Anchor::Start, LETTER));
        }
        LetterAt::Below => {
            let foot = centre + (0.0, r.max(GROUND) + 2.0);
            ring.line(centre + (0.0, r), foot, Pen::Narrow);
            ring.text(Text::new(foot + (0.0, 1.0 + VALUE), VALUE, Anchor::Middle, LETTER));
        }
    }
    Some(ring)
}

/// The detail: the edge with both bevels on the stone, ten times as large as life.
pub(super) fn enlarged(figure: &Figure, scale: Scale, angle: f64, primary: f64) -> Option<Card> {
    let middle = too_small(figure, scale.factor)?;
    let r = RADIUS * TEN_TIMES.factor;
    let view = View::upright(Point::ORIGIN, TEN_TIMES.factor);
    let on_paper = |p: Point| view.at(p) - view.at(middle).to_vec2();
    let corners: Vec<Point> = figure.blade().into_iter().map(|p| on_paper(figure.at(p))).collect();
    let mut blade = Group::new("detail-blade", "figure").with("angle", angle).with("primary", primary);
    blade.path([within_circle(&corners, r)], true, Pen::None, Fill::Pale);
    let sides = corners.iter().zip(corners.iter().cycle().skip(1)).map(|(a, b)| [*a, *b]);
    for [a, b] in sides.filter_map(|side| chord(side, r)) {
        blade.line(a, b, Pen::Wide);
    }
    let mut stone = Group::new("detail-stone", "figure");
    let level = on_paper(figure.at(figure.edge())).y;
    let far = 2.0 * r;
    if let Some([a, b]) = chord([(-far, level), (far, level)].map(Point::from), r) {
        stone.line(a, b, Pen::Wide);
        for i in 0..(2.0 * r / HATCH) as u32 {
            let top = Point::new(-r + f64::from(i) * HATCH, level);
            let stroke = chord([top, top + (-HATCH, HATCH)], r);
            if let Some([a, b]) = stroke.filter(|_| top.x < b.x) {
                stone.line(a, b, Pen::Narrow);
            }
        }
    }
    let mut ring = Group::new("detail", "figure").with("scale", TEN_TIMES.name);
    ring.circle(Point::ORIGIN, r, Pen::Narrow, Fill::None);
    let mut words = Group::new("detail-words", "note");
    let caption = format!("{LETTER} ({})", TEN_TIMES.name);
    words.text(Text::new((0.0, -r - APART), VALUE, Anchor::Middle, caption));
    let heel = on_paper(figure.at(figure.heel()));
    let edge = on_paper(figure.at(figure.edge()));
    let back = heel.to_vec2() / heel.to_vec2().size().max(f64::MIN_POSITIVE);
    let said = [
        ("micro-bevel", angle, edge.to_vec2() / 2.0, level + 7.0),
        ("primary bevel", primary, back * (r / 2.0), level + 14.0),
    ];
    for (name, degrees, tip, y) in said {
        leader(&mut words, tip.to_point(), (r + APART, y), false, &format!("{name} {}°", short(degrees, 3)));
    }
    Some(Card::of(vec![blade, stone, ring, words], (1.0, 0.0)))
}

/// The part of a side within a circle of radius `r` around the origin.
fn chord([a, b]: [Point; 2], r: f64) -> Option<[Point; 2]> {
    let along = b - a;
    let (d2, from) = (along.hypot2(), a.to_vec2());
    let half = from.dot(along);
    let root = half * half - d2 * (from.hypot2() - r * r);
    if root <= 0.0 || d2 == 0.0 {
        return None;
    }
    let [enter, leave] = [-root.sqrt(), root.sqrt()].map(|root| ((root - half) / d2).clamp(0.0, 1.0));
    (enter < leave).then(|| [a + enter * along, a + leave * along])
}

/// The part of a convex area within a circle of radius `r` around the origin.
fn within_circle(area: &[Point], r: f64) -> Vec<Point> {
    let step = std::f64::consts::TAU / f64::from(CORNERS);
    (0..CORNERS).fold(area.to_vec(), |area, i| {
        let out = toward(step * f64::from(i));
        let over = |p: Point| p.to_vec2().dot(out) - r;
        let sides = area.iter().zip(area.iter().cycle().skip(1));
        sides
            .flat_map(|(a, b)| {
                let [from, to] = [over(*a), over(*b)];
                let crossing = (from * to < 0.0).then(|| a.lerp(*b, from / (from - to)));
                [Some(*a).filter(|_| from <= 0.0), crossing].into_iter().flatten()
            })
            .collect()
    })
}
