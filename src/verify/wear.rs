//! What a finished block sets with a guide that was measured again: a worn roller, a new seat pad.

use serde::Serialize;

use super::readings::Readings;
use crate::guide::Guide;
use crate::lane::{Lane, NoLane};
use crate::lanes::LaneSet;
use crate::solve::{NoSetting, halving};
use crate::terms::SeatName;

/// How near the least diameter of a roller is found, mm.
const FINE: f64 = 0.01;

/// One lane of the block with the guide as it is now.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WornLane {
    /// Its id.
    pub id: String,
    /// The angle wanted, degrees.
    pub angle: f64,
    /// The fence distance of the block, mm: as measured where it was, else as made.
    pub fence_distance: f64,
    /// The angle it sets now, degrees.
    pub angle_now: f64,
    /// Now minus wanted, degrees.
    pub error: f64,
    /// Whether that is within the tolerance, and the fence where every bevel that it serves comes out clear of the other
    /// bevel of its blade.
    pub within_tolerance: bool,
    /// The fence distance that the guide would want now, mm.
    pub fence_wanted_now: f64,
}

/// A block with the guide as it is now.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Wear {
    /// Name of the guide measured again.
    pub guide: String,
    /// Whether every lane is within the tolerance.
    pub pass: bool,
    /// The lanes.
    pub lanes: Vec<WornLane>,
    /// Roller diameter, mm, at which the first lane leaves its tolerance as the roller wears on; null where none does
    /// before the roller is half as thick.
    pub roller_diameter_limit: Option<f64>,
}

/// Why the block cannot be judged with the guide measured again.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoWear {
    /// A lane has no setting with it.
    #[error(transparent)]
    Lane(#[from] NoLane),
    /// It lacks a seat that the block was made for.
    #[error("{id}: the guide {guide} has no {seat} seat")]
    Seat {
        /// The lane.
        id: String,
        /// The guide measured again.
        guide: String,
        /// The seat.
        seat: SeatName,
    },
    /// A fence sets no angle with it.
    #[error("{id}")]
    Angle {
        /// The lane.
        id: String,
        /// Why.
        #[source]
        cause: NoSetting,
    },
}

/// What the block of `set` sets with `guide`, measured again; `tolerance` is ± degrees.
///
/// # Errors
/// [`NoWear`].
pub fn judge(set: &LaneSet, readings: &Readings, guide: &Guide, tolerance: f64) -> Result<Wear, NoWear> {
    let fences: Vec<(&Lane, f64)> = set.lanes.iter().map(|l| (l, fence_of(l, readings))).collect();
    let lanes = fences.iter().map(|(l, fence)| now(l, *fence, guide, set, tolerance)).collect::<Result<Vec<_>, _>>()?;
    let pass = lanes.iter().all(|l| l.within_tolerance);
    let roller_diameter_limit = if pass { roller_limit(&fences, guide, set, tolerance) } else { None };
    Ok(Wear { guide: guide.name.clone(), pass, lanes, roller_diameter_limit })
}

fn fence_of(lane: &Lane, readings: &Readings) -> f64 {
    let measured = readings.fences.iter().find(|r| r.id == lane.request.id).map(|r| r.fence);
    measured.unwrap_or(lane.finished())
}

fn now(lane: &Lane, fence: f64, guide: &Guide, set: &LaneSet, tolerance: f64) -> Result<WornLane, NoWear> {
    let seats = lane.members.iter().map(|m| m.request.seat).chain([lane.request.seat]);
    if let Some(seat) = seats.into_iter().find(|seat| guide.seat_for(*seat).0 != *seat) {
        return Err(NoWear::Seat { id: lane.request.id.clone(), guide: guide.name.clone(), seat });
    }
    let fresh = lane.with_guide(guide, set.edge, tolerance)?;
    let worst = fresh.worst_at(fence).map_err(|cause| NoWear::Angle { id: lane.request.id.clone(), cause })?;
    let error = worst.error();
    Ok(WornLane {
        id: lane.request.id.clone(),
        angle: worst.wanted,
        fence_distance: fence,
        angle_now: worst.set,
        error,
        within_tolerance: error.abs() <= tolerance && (fresh.limits[0]..=fresh.limits[1]).contains(&fence),
        fence_wanted_now: fresh.setting.fence_distance,
    })
}

/// The least diameter at which every lane still passes, mm; `None` where they do with a roller half as thick.
fn roller_limit(fences: &[(&Lane, f64)], guide: &Guide, set: &LaneSet, tolerance: f64) -> Option<f64> {
    let fresh = |(lane, fence): &(&Lane, f64)| Some((lane.with_guide(guide, set.edge, tolerance).ok()?, *fence));
    let fresh: Vec<(Lane, f64)> = fences.iter().map(fresh).collect::<Option<_>>()?;
    let roller = guide.roller.diameter.mm;
    let passes = |diameter: f64| {
        fresh.iter().all(|(lane, fence)| lane.is_set_with_worn_roller(*fence, roller - diameter, tolerance))
    };
    let half = roller / 2.0;
    (!passes(half)).then(|| halving::farthest(roller, half, FINE, passes))
}

/// Ids of lanes that no reading was given for; the block is then taken as made.
pub fn taken_as_made(set: &LaneSet, readings: &Readings) -> Vec<String> {
    let measured = |l: &&Lane| readings.fences.iter().any(|r| r.id == l.request.id);
    set.lanes.iter().filter(|l| !measured(l)).map(|l| l.request.id.clone()).collect()
}
