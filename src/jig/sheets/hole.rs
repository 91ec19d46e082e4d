//! Holes and slots of board and strips.

use kurbo::Point;

use crate::trig::{apart, toward};

/// A round hole or a slot along the edges.
pub(super) struct Hole {
    pub(super) at: Point,
    pub(super) radius: f64,
    pub(super) slot: f64,
}

impl Hole {
    /// Its outline as a polygon.
    pub(super) fn outline(&self) -> Vec<Point> {
        const HALF: usize = 12;
        let end = |sign: f64, from: f64| {
            (0..=HALF).map(move |i| {
                let out = toward(from + std::f64::consts::PI * i as f64 / HALF as f64);
                self.at + (sign * self.slot / 2.0, 0.0) + self.radius * out
            })
        };
        let quarter = std::f64::consts::FRAC_PI_2;
        let mut outline: Vec<Point> = end(1.0, -quarter).chain(end(-1.0, quarter)).collect();
        let meet = |a: &Point, b: &Point| apart(*a, *b) < 1e-9;
        outline.dedup_by(|a, b| meet(a, b));
        // A round one ends where it begins.
        if outline.first().zip(outline.last()).is_some_and(|(first, last)| meet(first, last)) {
            outline.pop();
        }
        outline
    }
}
