//! Shapes on a grid of 1 µm, and the font's letters as such shapes: what solids are built of and drawings draw.
//!
//! * [`polygon`]: outlines and regions; [`stack`]: slabs of them, one upon the other.
//! * [`runs`]: curves as straight runs.
//! * [`font`]: the font's widths and outlines; [`letters`]: its signs as polygons that a nozzle can print; [`lines`]:
//!   lines of them; [`repertoire`]: the signs that are lettered; [`script`]: what of a name cannot be shown.

pub mod font;
pub mod letters;
pub mod lines;
pub mod polygon;
pub mod repertoire;
pub mod script;
pub mod stack;

use kurbo::{BezPath, PathEl, Point};

/// The contours of `path` by the corners of straight runs that leave its curves by `sag` mm at most. A closed one does
/// not name its first corner again, and no corner stands there twice: an arc may end in a curve without length.
pub fn runs(path: &BezPath, sag: f64) -> Vec<Vec<Point>> {
    let mut contours: Vec<Vec<Point>> = Vec::new();
    kurbo::flatten(path, sag, |element| match (element, contours.last_mut()) {
        (PathEl::MoveTo(p), _) => contours.push(vec![p]),
        (PathEl::LineTo(p), Some(contour)) if contour.last() != Some(&p) => contour.push(p),
        (PathEl::ClosePath, Some(contour)) if contour.first() == contour.last() => drop(contour.pop()),
        _ => {}
    });
    contours
}
