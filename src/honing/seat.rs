//! A blade that is turned on its seat: by a speck under one end of it, or by the clamp.
//!
//! The turn itself is not what the bevel changes by. With the blade turned, the guide comes down until the edge touches
//! again, which takes most of it back; and a speck that is there while the blade is set is there at the fence too. So both
//! are worked out from the contact: the guide is described anew along the line that the blade's surface really takes.

use super::{ASSUMED_CREEP, ASSUMED_SEAT, ASSUMED_SPECK, Honing};
use crate::solve::contact::{self, EdgeShape};
use crate::solve::projection;
use crate::solve::section::Section;
use crate::trig::{Inverse, Trig};

/// The guide along the line of a blade that is turned by `turn` (radians, positive where it rises toward the edge) about
/// the point of the seat at `pivot`, mm along the seat from the axle.
fn along_the_blade(section: &Section<f64>, turn: f64, pivot: f64) -> Section<f64> {
    let (sin, cos) = turn.sine_cosine();
    let (h, e) = (section.seat_height, section.axle_to_face);
    let level = h * cos - pivot * sin;
    // Where the face crosses the blade's line, along it.
    let reach = {
        let (s, n) = (e - pivot, 0.0);
        let (along, up) = (s * cos + n * sin, n * cos - s * sin);
        let lean = (turn - section.square_error).tangent();
        along - up * lean + pivot * cos + h * sin
    };
    let bottom = section.face_bottom.map(|n| n * cos - section.face_at(n) * sin);
    Section {
        seat_height: level,
        axle_to_face: reach,
        face_bottom: bottom,
        square_error: section.square_error - turn,
        ..*section
    }
}

/// When a blade was turned on its seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turned {
    /// Before it was set on the block, and since.
    BeforeSetting,
    /// After it was set.
    AfterSetting,
}

/// Change of the bevel angle, degrees, of a blade set at `fence` mm that is turned by `turn` degrees about the point at
/// `pivot` mm along the seat; `None` where that sets no angle.
pub fn change(section: &Section<f64>, fence: f64, edge: EdgeShape, when: Turned, turn: f64, pivot: f64) -> Option<f64> {
    let p = contact::projection_of_fence(section, fence, edge)?;
    let turn = turn.to_radians();
    let turned = along_the_blade(section, turn, pivot);
    let out = match when {
        Turned::BeforeSetting => contact::projection_of_fence(&turned, fence, edge)?,
        Turned::AfterSetting => {
            let (sin, cos) = turn.sine_cosine();
            let from_axle = section.axle_to_face + p - pivot + pivot * cos + section.seat_height * sin;
            from_axle - turned.axle_to_face
        }
    };
    Some(projection::angle(&turned, out)? - projection::angle(section, p)?)
}

/// What a turn of as much as `turn` degrees either way changes the bevel angle by, ± degrees, on whichever end of a seat
/// `length` mm long that is more; the seat ends at the face. `None` where that sets no angle.
///
/// Turned one way the face touches the block's edge above, the other way below, so both changes differ. The half-width is
/// that of the even distribution with the same standard deviation, as for [`contact::fence_sensitivity`].
pub fn half_width(
    section: &Section<f64>,
    fence: f64,
    edge: EdgeShape,
    when: Turned,
    turn: f64,
    length: f64,
) -> Option<f64> {
    let front = section.axle_to_face;
    let about = |pivot| {
        let up = change(section, fence, edge, when, turn, pivot)?;
        let down = -change(section, fence, edge, when, -turn, pivot)?;
        Some(((up * up + down * down) / 2.0 - 3.0 * (up - down).powi(2) / 16.0).sqrt())
    };
    [front, front - length].into_iter().filter_map(about).reduce(f64::max)
}

impl Honing {
    /// How far a speck turns the blade, degrees, and whether it was stated.
    pub fn speck_turn(&self) -> (f64, bool) {
        let length = self.seat_length.unwrap_or(ASSUMED_SEAT);
        let turn = (self.speck.unwrap_or(ASSUMED_SPECK) / length).arctangent().to_degrees();
        (turn, self.speck.is_some())
    }

    /// How far the clamp turns the blade, ± degrees, and whether it was stated.
    pub fn creep_turn(&self) -> (f64, bool) {
        (self.creep.unwrap_or(ASSUMED_CREEP), self.creep.is_some())
    }

    /// Length of the seat, mm.
    pub fn seat_length(&self) -> f64 {
        self.seat_length.unwrap_or(ASSUMED_SEAT)
    }
}
