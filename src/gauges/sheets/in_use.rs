//! Little figures of what is seen against the light, larger than life and with exaggerated differences.

use kurbo::Point;

use super::as_wanted;
use crate::drawing::dimension::leader;
use crate::drawing::style::{Fill, Pen, SMALL};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Text};
use crate::gauges::Shape;
use crate::gauges::bevel::{self, End, Limit, Notch};
use crate::shape::polygon::millimetres;
use crate::stones::camber::curve::Curve;
use crate::trig::Trig;

/// Paper mm of a mm in the figures of notches.
const SCALE: f64 = 1.5;
/// The bevel drawn, and by how much the notches differ from it, degrees.
const DRAWN: [f64; 2] = [25.0, 5.0];
/// Thickness of the blade drawn, its hole's radius, and the depth of the notch, mm.
const BLADE: [f64; 3] = [5.0, 2.0, 21.0];
/// Width of a panel of two, and of three, mm.
const PANELS: [f64; 2] = [86.0, 57.0];
/// Height of a panel's heading, mm.
const HEADING: f64 = 6.0;

/// The figures of a gauge, upper left corner at the origin.
pub(super) fn figures(shape: &Shape) -> Vec<Group> {
    match shape {
        Shape::Bevel(_) => [Limit::Lower, Limit::Upper]
            .into_iter()
            .enumerate()
            .flat_map(|(i, limit)| notch(limit, i as f64 * PANELS[0]))
            .collect(),
        Shape::Camber(_) => [
            (0.0, "fits: no light"),
            (2.2, "too much: light at the corners"),
            (-2.2, "too little: light in the middle"),
        ]
        .into_iter()
        .enumerate()
        .flat_map(|(i, (more, words))| camber(i, more, words))
        .collect(),
        Shape::Square(_) => [(0.0, "square: no light"), (3.0, "not square: light at one corner")]
            .into_iter()
            .enumerate()
            .flat_map(|(i, (turn, words))| square(i, turn, words))
            .collect(),
    }
}

fn heading(id: String, x: f64, words: &str) -> Group {
    let mut group = Group::new(id, "note");
    group.text(Text::new((x, SMALL + 0.5), SMALL, Anchor::Start, words).bold());
    group
}

/// A blade with the bevel that is wanted, in one of the two notches.
fn notch(limit: Limit, x: f64) -> Vec<Group> {
    let [beta, differs] = DRAWN;
    let [thick, relief, depth] = BLADE;
    let (id, angle) = match limit {
        Limit::Lower => ("lower", beta - differs),
        Limit::Upper => ("upper", beta + differs),
    };
    let (sin, cos) = angle.to_radians().sine_cosine();
    let flank = thick / sin + 2.0;
    let within = differs;
    let slot = Notch { bevel: beta, limit, angle, within, apex: Point::ORIGIN, relief, flank, depth, turned: false };
    let [left, right, low] = [-8.0, flank * sin + 8.0, -5.5];
    let view = View::upright((x + 1.5 - SCALE * left, HEADING + SCALE * (depth + 6.0)), SCALE);
    let mut plate = Group::new(format!("in-use-{id}-plate"), "figure");
    let cut = bevel::corners(&slot).into_iter().map(millimetres);
    let rim = [(left, depth), (left, low), (right, low), (right, depth)].map(Point::from);
    plate.path([view.all(rim.into_iter().chain(cut))], true, Pen::Wide, Fill::Tint);
    let rest = bevel::rest(angle, relief, beta, thick);
    let (edge, back) = (rest.edge, depth + 5.0);
    let heel = edge + thick / beta.to_radians().tangent();
    let mut blade = Group::new(format!("in-use-{id}-blade"), "figure");
    let wedge = [(0.0, edge), (0.0, back), (thick, back), (thick, heel)];
    blade.path([view.all(wedge)], true, Pen::Narrow, Fill::Pale);
    let name = view.at((thick / 2.0, heel + 5.5)) + (SMALL / 2.0, 0.0);
    let mut light =
        Group::new(format!("in-use-{id}-light"), "note").with("end", format!("{:?}", rest.light).to_lowercase());
    light.text(Text::new(name, SMALL, Anchor::Middle, "blade").turned(-90.0));
    let beta = beta.to_radians();
    let (tip, words) = match as_wanted(limit) {
        End::Heel => (((thick + heel * angle.to_radians().tangent()) / 2.0, heel), "light at the heel"),
        End::Rim => {
            let up = relief * cos + 1.0;
            (
                (((up - edge).max(0.0) * beta.tangent() + up * angle.to_radians().tangent()) / 2.0, up),
                "light at the hole",
            )
        }
    };
    leader(&mut light, view.at(tip), view.at((right + 3.0, tip.1 + 3.0)), false, words);
    let words = match limit {
        Limit::Lower => "Notch −: the heel stops the blade",
        Limit::Upper => "Notch +: the blade goes in to the hole",
    };
    vec![heading(format!("in-use-{id}"), x, words), plate, blade, light]
}

/// Points of an arc whose middle is at the origin, corners up.
fn arc(curve: Curve) -> Vec<Point> {
    (0..=48)
        .map(|i| {
            let x = curve.width * (f64::from(i) / 48.0 - 0.5);
            Point::new(x, curve.at(x))
        })
        .collect()
}

/// The edge in the hollow: cambered by `more` mm than the plate, or less.
fn camber(index: usize, more: f64, words: &str) -> Vec<Group> {
    let x = index as f64 * PANELS[1];
    let [width, depth] = [40.0, 4.5];
    let view = View::upright((x + 26.5, HEADING + 20.0), 1.0);
    let hollow = arc(Curve { width: width + 8.0, depth: depth * (1.0 + 8.0 / width).powi(2) });
    let mut plate = Group::new(format!("in-use-{index}-plate"), "figure");
    let below = [hollow[hollow.len() - 1], hollow[0]].map(|end| Point::new(end.x, -7.0));
    plate.path([view.all(hollow.into_iter().chain(below))], true, Pen::Wide, Fill::Tint);
    let own = Curve { width, depth: depth + more };
    // A flatter edge rests on its corners.
    let up = (-more).max(0.0);
    let edge = arc(own).into_iter().map(|p| p + (0.0, up));
    let top = depth + 8.0;
    let mut blade = Group::new(format!("in-use-{index}-blade"), "figure");
    let above = [Point::new(width / 2.0, top), Point::new(-width / 2.0, top)];
    blade.path([view.all(edge.chain(above))], true, Pen::Narrow, Fill::Pale);
    vec![heading(format!("in-use-{index}"), x, words), plate, blade]
}

/// A blade's corner in the square, its edge turned by `turn` degrees.
fn square(index: usize, turn: f64, words: &str) -> Vec<Group> {
    let x = index as f64 * PANELS[0];
    let (width, long) = (38.0, 24.0);
    let view = View::upright((x + 14.0, HEADING + 30.0), 1.0);
    let mut plate = Group::new(format!("in-use-{index}-plate"), "figure");
    let legs = [(-10.0, -8.0), (width + 5.0, -8.0), (width + 5.0, 0.0), (0.0, 0.0), (0.0, 28.0), (-10.0, 28.0)];
    plate.path([view.all(legs)], true, Pen::Wide, Fill::Tint);
    let mut blade = Group::new(format!("in-use-{index}-blade"), "figure");
    let away = width * turn.to_radians().tangent();
    let body = [(0.0, 0.0), (width, away), (width, long), (0.0, long)];
    blade.path([view.all(body)], true, Pen::Narrow, Fill::Pale);
    let at = view.at((width / 2.0, long / 2.0));
    let mut note = Group::new(format!("in-use-{index}-names"), "note");
    note.text(Text::new(at, SMALL, Anchor::Middle, "blade, from its back"));
    vec![heading(format!("in-use-{index}"), x, words), plate, blade, note]
}
