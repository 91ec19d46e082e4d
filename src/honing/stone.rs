//! The stone: worn hollow along it or across it, a film on it, and the room that a setting takes on it.
//!
//! * Along: edge and roller stand on a circle. With D from edge to axle, r the roller's radius and R the circle's, the line
//!   from edge to axle rises above the tangent at the edge by asin((D² + 2Rr − r²)/(2RD)), on a flat stone by asin(r/D).
//! * Across: the edge takes the stone's curve. A hollow d deep over the stone's width W is d·(w/W)² deep over a blade w wide
//!   (the sagitta of a parabola), and along the back that is longer by 1/sin β.
//! * A film under the edge alone, the roller beside it, lifts the edge: the roller's track lies lower by its thickness.

use crate::solve::projection;
use crate::solve::section::Section;
use crate::trig::{Inverse, Trig};

/// A stone, as far as it was stated.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Stone {
    /// Its length, mm.
    pub length: Option<f64>,
    /// Its width, mm.
    pub width: Option<f64>,
    /// How deep it is hollow along its length, mm; negative where it is crowned.
    pub hollow_along: Option<f64>,
    /// How deep it is hollow across its width, mm; negative where it is crowned.
    pub hollow_across: Option<f64>,
    /// Thickness of a film or paper under the edge alone, mm.
    pub film: Option<f64>,
}

/// Length of a stone where nothing was stated, mm (a usual bench stone; common practice, no source).
pub const ASSUMED_LENGTH: f64 = 200.0;
/// Width of a stone where nothing was stated, mm (the same).
pub const ASSUMED_WIDTH: f64 = 60.0;
/// How flat a stone is along its length where nothing was stated, ± mm (an assumption: rubbed on a flat plate now and then).
pub const ASSUMED_FLAT: f64 = 0.1;

impl Stone {
    /// Its length, mm.
    pub fn length(&self) -> f64 {
        self.length.unwrap_or(ASSUMED_LENGTH)
    }

    /// Its width, mm.
    pub fn width(&self) -> f64 {
        self.width.unwrap_or(ASSUMED_WIDTH)
    }
}

/// Radius of the circle that is `depth` mm deep over a chord of `length` mm, mm, with the sign of the depth; infinite where
/// it is flat.
fn radius(length: f64, depth: f64) -> f64 {
    if depth == 0.0 { f64::INFINITY } else { length * length / (8.0 * depth) + depth / 2.0 }
}

/// Distance from the axle to the cutting edge for the projection `p`, mm.
fn edge_to_axle(section: &Section<f64>, p: f64) -> f64 {
    (p + section.axle_to_face).hypotenuse(section.edge_level())
}

/// Change of the bevel angle, degrees, on a stone `length` mm long that is `depth` mm hollow along it, for the projection `p`
/// mm; `None` where edge and roller do not both run on the stone, or do not both reach it.
pub fn change_along(section: &Section<f64>, p: f64, length: f64, depth: f64) -> Option<f64> {
    if section.roller_level != 0.0 {
        return None;
    }
    let (d, r, big) = (edge_to_axle(section, p), section.roller_radius, radius(length, depth));
    let sine = if big.is_finite() { (d * d + 2.0 * big * r - r * r) / (2.0 * big * d) } else { r / d };
    let angle = |sine: f64| (-1.0..=1.0).contains(&sine).then(|| sine.arcsine().to_degrees());
    Some(angle(sine)? - angle(r / d)?)
}

/// How deep the edge of a blade `blade` mm wide is hollowed or cambered by a stone `width` mm wide and `depth` mm hollow
/// across, mm along the back, at a bevel of `degrees`; a hollow stone makes a camber.
pub fn camber(blade: f64, width: f64, depth: f64, degrees: f64) -> f64 {
    depth * (blade / width).powi(2) / degrees.to_radians().sine()
}

/// Change of the bevel angle, degrees, by a film `thickness` mm thick under the edge alone, for the projection `p` mm.
pub fn change_by_film(section: &Section<f64>, p: f64, thickness: f64) -> Option<f64> {
    let lower = Section { roller_level: section.roller_level - thickness, ..*section };
    Some(projection::angle(&lower, p)? - projection::angle(section, p)?)
}

/// How much of the stone a setting takes, mm: along it, from the edge to where the roller stands.
pub fn room(section: &Section<f64>, p: f64) -> f64 {
    let (d, a) = (edge_to_axle(section, p), section.axle_height());
    (d * d - a * a).max(0.0).sqrt()
}

/// How far the edge travels on a stone `length` mm long, mm, with edge and roller both on it; a roller beside the stone
/// leaves it all. Zero or negative where they do not both find room.
pub fn travel(section: &Section<f64>, p: f64, length: f64) -> f64 {
    if section.roller_level == 0.0 { length - room(section, p) } else { length }
}
