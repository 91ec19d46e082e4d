//! What moves an angle between the fence and the steel, and how the angle is proved before a stone takes part.
//!
//! * [`plate`]: the angle of a clamped blade that stands with its guide on a flat plate, from heights or an inclinometer.
//! * [`scatter`]: what settings made again differ by, and the coverage factor that follows.
//! * [`seat`]: a blade turned on its seat, by a speck or by the clamp.
//! * [`stone`]: a stone that is not flat, a film on it, and the room that a setting takes on it.
//! * [`flex`]: a thin blade under the fingers.
//! * [`square`]: an edge that is not square to its blade.
//! * [`budget`]: all of these beside what guide, blade and fence contribute; [`warnings`] says which is too much.

pub mod budget;
pub mod flex;
pub mod plate;
pub mod scatter;
pub mod seat;
pub mod square;
pub mod stone;
pub mod warnings;

use scatter::Scatter;
use stone::Stone;

/// What is assumed at the bench, or was measured there.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Honing {
    /// How far settings made again lie from one another, where they were measured.
    pub scatter: Option<Scatter>,
    /// Height of a speck under one end of the seat, mm, where it is stated.
    pub speck: Option<f64>,
    /// Length of the seat along the blade, mm, where it is stated.
    pub seat_length: Option<f64>,
    /// How far a blade turns on its seat under the clamp, ± degrees, where it is stated.
    pub creep: Option<f64>,
    /// The stone.
    pub stone: Stone,
    /// How the blade is pressed down.
    pub load: flex::Load,
    /// How far edges are out of square, degrees.
    pub out_of_square: f64,
}

/// Scatter of a setting where it was not measured, standard deviation, degrees (an assumption: set again five times with
/// care, on a plate).
pub const ASSUMED_SCATTER: f64 = 0.1;
/// Height of a speck under one end of the seat where nothing was stated, ± mm (an assumption: swarf or a crumb of paper).
pub const ASSUMED_SPECK: f64 = 0.1;
/// Length of a seat along the blade where nothing was stated, mm (an assumption).
pub const ASSUMED_SEAT: f64 = 20.0;
/// How far a blade turns on its seat under the clamp where nothing was stated, ± degrees (an assumption).
pub const ASSUMED_CREEP: f64 = 0.1;

/// A share of the tolerance above which anything at the bench is worth a warning.
pub const SHARE: f64 = 0.25;
