//! How a model is put on the sheet: scaled, turned and moved, in this one place.

use kurbo::{Affine, Point};

use crate::shape::polygon::{Corner, millimetres};

/// A map from model mm to sheet mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// Paper mm for one mm of the model.
    pub scale: f64,
    map: Affine,
}

impl View {
    /// A side view, the model's origin at `origin`: first axis to the right, second up.
    pub fn upright(origin: impl Into<Point>, scale: f64) -> Self {
        let Point { x, y } = origin.into();
        Self { scale, map: Affine::new([scale, 0.0, 0.0, -scale, x, y]) }
    }

    /// A side view from the far edge: first axis to the left, second up.
    pub fn from_far(origin: impl Into<Point>, scale: f64) -> Self {
        let Point { x, y } = origin.into();
        Self { scale, map: Affine::new([-scale, 0.0, 0.0, -scale, x, y]) }
    }

    /// The plan with the near edge at the left: along the edges goes down, from near to far goes right.
    pub fn plan(origin: impl Into<Point>, scale: f64) -> Self {
        let Point { x, y } = origin.into();
        Self { scale, map: Affine::new([0.0, scale, scale, 0.0, x, y]) }
    }

    /// A point of the model on the sheet.
    pub fn at(&self, point: impl Into<Point>) -> Point {
        self.map * point.into()
    }

    /// An outline of the model's grid on the sheet.
    pub fn outline(&self, corners: &[Corner]) -> Vec<Point> {
        self.all(corners.iter().map(|c| millimetres(*c)))
    }

    /// Points of the model on the sheet.
    pub fn all(&self, points: impl IntoIterator<Item = impl Into<Point>>) -> Vec<Point> {
        points.into_iter().map(|p| self.at(p)).collect()
    }
}
