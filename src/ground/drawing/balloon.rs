//! Part references after ISO 6433 (from memory): a number in a circle, and a leader that ends in a dot on the part or
//! in an arrow on its edge. In a column beside a view no two leaders cross.

use kurbo::{Point, Vec2};

use super::style::{Fill, Pen, VALUE};
use super::{Anchor, Group, Text};
use crate::shape::font;
use crate::trig::Polar;

/// Radius of the circle, mm: two figures of the height of values, and space around them.
pub const RADIUS: f64 = 4.2;
/// Radius of the dot that ends a leader on a surface, mm.
const DOT: f64 = 0.7;
/// From the middle of one reference to the next in a column, mm.
pub const PITCH: f64 = 10.0;

/// How a leader ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ends {
    /// In a dot, on a surface.
    Dot,
    /// In an arrow, on an edge.
    Arrow,
}

/// A balloon around `number`: its circle at `centre`, its leader to `tip`.
pub fn balloon(id: &str, number: &str, centre: Point, tip: Point, ends: Ends) -> Group {
    let mut group = Group::new(id, "note").with("part", number).with("at", format!("{} {}", tip.x, tip.y));
    let radius = RADIUS.max(font::width(number, VALUE, false) / 2.0 + 1.2);
    lead(&mut group, centre, radius, tip, ends);
    group.circle(centre, radius, Pen::Narrow, Fill::Paper);
    group.text(Text::new(centre + (0.0, VALUE / 2.0), VALUE, Anchor::Middle, number));
    group
}

/// The same for what has a name and no number: words that end at `at`.
pub fn named(id: &str, words: &str, at: Point, tip: Point) -> Group {
    let mut group = Group::new(id, "note").with("at", format!("{} {}", tip.x, tip.y));
    lead(&mut group, at, 1.2, tip, Ends::Dot);
    group.text(Text::new(at + (0.0, VALUE / 2.0), VALUE, Anchor::End, words));
    group
}

fn lead(group: &mut Group, centre: Point, radius: f64, tip: Point, ends: Ends) {
    let away = tip - centre;
    let toward = away / away.size().max(1e-9);
    group.line(centre + radius * toward, tip, Pen::Narrow);
    match ends {
        Ends::Arrow => group.arrow(tip, toward),
        Ends::Dot => group.circle(tip, DOT, Pen::None, Fill::Ink),
    }
}

/// Places on a column at `x`, one for each tip, at least [`PITCH`] apart and centred on the tips, so that no two
/// leaders cross; between `top` and `bottom` where they go there.
pub fn column(tips: &[Point], x: f64, [top, bottom]: [f64; 2]) -> Vec<Point> {
    let mut order: Vec<usize> = (0..tips.len()).collect();
    order.sort_by(|a, b| tips[*a].y.total_cmp(&tips[*b].y));
    let count = tips.len() as f64;
    let mean = tips.iter().map(|p| p.y).sum::<f64>() / count.max(1.0);
    let high = (count - 1.0).max(0.0) * PITCH;
    // As far apart as the column allows, at most half as far again.
    let pitch = ((bottom - top) / (count - 1.0).max(1.0)).clamp(PITCH, 1.5 * PITCH);
    let high = high.max((count - 1.0).max(0.0) * pitch);
    let first = (mean - high / 2.0).min(bottom - high).max(top);
    let slots: Vec<Point> = (0..tips.len()).map(|i| Point::new(x, first + i as f64 * pitch)).collect();
    // Exchanging two leaders that cross makes them shorter together, so this ends.
    let mut crossed = true;
    while crossed {
        crossed = false;
        for i in 0..order.len() {
            for j in i + 1..order.len() {
                if cross([tips[order[i]], slots[i]], [tips[order[j]], slots[j]]) {
                    order.swap(i, j);
                    crossed = true;
                }
            }
        }
    }
    let mut places = vec![Point::ORIGIN; tips.len()];
    for (slot, &i) in order.iter().enumerate() {
        places[i] = slots[slot];
    }
    places
}

/// Whether two stretches cross.
pub fn cross([a, b]: [Point; 2], [c, d]: [Point; 2]) -> bool {
    let side = |from: Point, to: Point, p: Point| Vec2::cross(to - from, p - from);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaders_of_a_column_do_not_cross() {
        let tips: Vec<Point> = (0..9).map(|i| Point::new(f64::from(i * 37 % 50), f64::from(i * 23 % 41))).collect();
        let places = column(&tips, 60.0, [0.0, 90.0]);
        for i in 0..tips.len() {
            for j in i + 1..tips.len() {
                assert!(!cross([tips[i], places[i]], [tips[j], places[j]]), "{i} {j}");
                assert!(places[i].distance(places[j]) >= PITCH - 1e-9);
            }
        }
    }
}
