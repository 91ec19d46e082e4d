//! Places on the sheet with a depth.

use kurbo::{Point, Rect};

use crate::drawing::clash;

/// A place on the sheet and a depth toward the viewer, mm of paper.
pub type Corner = [f64; 3];

/// The box around the places of corners on the sheet.
pub fn around<'a>(corners: impl IntoIterator<Item = &'a Corner>) -> Rect {
    clash::around(corners.into_iter().copied().map(place))
}

/// The place of a corner on the sheet.
pub fn place([x, y, _]: Corner) -> Point {
    Point::new(x, y)
}
