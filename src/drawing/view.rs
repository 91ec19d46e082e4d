//! How a model is put on the sheet: scaled, turned and moved, in this one place.

use kurbo::Affine;

use super::{Point, mapped};
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
    pub fn upright([x, y]: Point, scale: f64) -> Self {
        Self { scale, map: Affine::new([scale, 0.0, 0.0, -scale, x, y]) }
    }

    /// A side view from the far edge: first axis to the left, second up.
    pub fn from_far([x, y]: Point, scale: f64) -> Self {
        Self { scale, map: Affine::new([-scale, 0.0, 0.0, -scale, x, y]) }
    }

    /// The plan with the near edge at the left: along the edges goes down, from near to far goes right.
    pub fn plan([x, y]: Point, scale: f64) -> Self {
        Self { scale, map: Affine::new([0.0, scale, scale, 0.0, x, y]) }
    }

    /// A point of the model on the sheet.
    pub fn at(&self, point: [f64; 2]) -> Point {
        mapped(self.map, point)
    }

    /// An outline of the model's grid on the sheet.
    pub fn outline(&self, corners: &[Corner]) -> Vec<Point> {
        corners.iter().map(|c| self.at(millimetres(*c))).collect()
    }

    /// Points of the model on the sheet.
    pub fn all(&self, points: &[[f64; 2]]) -> Vec<Point> {
        points.iter().map(|p| self.at(*p)).collect()
    }
}
