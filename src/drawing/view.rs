//! How a model is put on the sheet: scaled, turned and moved, in this one place.

use super::Point;

/// A map from model mm to sheet mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// Where the model's origin lies on the sheet.
    pub origin: Point,
    /// Paper mm for one mm of the model.
    pub scale: f64,
    /// Where the model's first axis points on the sheet: unit, but for a printer whose size is off.
    pub first: Point,
    /// Where its second axis points, likewise.
    pub second: Point,
}

impl View {
    /// A side view: first axis to the right, second up.
    pub fn upright(origin: Point, scale: f64) -> Self {
        Self { origin, scale, first: [1.0, 0.0], second: [0.0, -1.0] }
    }

    /// The plan with the near edge at the left: along the edges goes down, from near to far goes right.
    pub fn plan(origin: Point, scale: f64) -> Self {
        Self { origin, scale, first: [0.0, 1.0], second: [1.0, 0.0] }
    }

    /// A point of the model on the sheet.
    pub fn at(&self, [a, b]: [f64; 2]) -> Point {
        let on = |i: usize| self.origin[i] + self.scale * (a * self.first[i] + b * self.second[i]);
        [on(0), on(1)]
    }

    /// Points of the model on the sheet.
    pub fn all(&self, points: &[[f64; 2]]) -> Vec<Point> {
        points.iter().map(|p| self.at(*p)).collect()
    }
}
