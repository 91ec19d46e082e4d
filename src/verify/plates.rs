//! The angles of blades set with a block, as taken on a plate, against the lanes.
//!
//! What was measured is the angle itself, whatever the guide's readings say: it judges a lane better than its fence does. A
//! reading is one setting; several of a lane give their mean, and how settings scatter. The mean of n settings has the
//! scatter s/√n, one alone s; where nobody measured s it is assumed. k follows from the effective degrees of freedom (JCGM
//! 100:2008, G.4). The decision rule is the fences': simple acceptance, or guarded by U (JCGM 106:2012, 8.2 and 8.3.2).

use serde::Serialize;

use super::readings::{PlateReading, Readings};
use super::verdict::{LaneVerdict, Rule, Verdicts};
use crate::honing::scatter::{self, Expanded, Scatter};
use crate::honing::{ASSUMED_SCATTER, Honing};
use crate::lane::{AngleAt, Lane};
use crate::lanes::LaneSet;
use crate::terms::SeatName;

/// What settings of one lane measured on the plate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlateVerdict {
    /// Its id.
    pub id: String,
    /// Its seat.
    pub seat: SeatName,
    /// How many settings were measured.
    pub settings: usize,
    /// The angle wanted, degrees.
    pub angle: f64,
    /// The angle that this gives the lane's blade at its own roller level, degrees: the mean; of blades of a kit that share the
    /// lane, of the one that is furthest off.
    pub measured_angle: f64,
    /// Measured minus wanted, degrees; of blades of a kit that share the lane, of the one that is furthest off.
    pub error: f64,
    /// Expanded uncertainty of the error, degrees.
    pub error_uncertainty: f64,
    /// The factor it is expanded with.
    pub coverage_factor: f64,
    /// Whether the angle is within the tolerance.
    pub within_tolerance: bool,
    /// Whether every present bevel was stated, so that each blade is known to have stood on its edge.
    pub bevels_stated: bool,
    /// Measured minus what the lane sets by its fence and the guide's readings, degrees.
    pub difference: f64,
}

/// What all plates show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Plates {
    /// The lanes that were measured.
    pub lanes: Vec<PlateVerdict>,
    /// Standard deviation of one setting, degrees.
    pub scatter: f64,
    /// Its degrees of freedom; null where it is assumed.
    pub degrees_of_freedom: Option<f64>,
    /// Whether the settings of these readings showed it; else it is stated by the job, or assumed.
    pub scatter_measured: bool,
}

/// Judges the angles on the plate; `None` without any.
pub fn judge(set: &LaneSet, readings: &Readings, honing: &Honing, tolerance: f64, rule: Rule) -> Option<Plates> {
    let fence_of = |lane: &Lane| {
        let measured = readings.fences.iter().find(|f| f.id == lane.request.id);
        measured.map_or(lane.finished(), |f| f.fence)
    };
    let of_lane = |lane: &Lane| {
        let all: Vec<&PlateReading> = readings.plates.iter().filter(|p| p.id == lane.request.id).collect();
        let off = all.iter().map(|p| difference(lane, fence_of(lane), p)).collect::<Option<Vec<f64>>>()?;
        (!all.is_empty()).then_some((off, all))
    };
    let groups: Vec<(&Lane, Vec<f64>, Vec<&PlateReading>)> =
        set.lanes.iter().filter_map(|lane| of_lane(lane).map(|(off, all)| (lane, off, all))).collect();
    if groups.is_empty() {
        return None;
    }
    let differences: Vec<Vec<f64>> = groups.iter().map(|(_, off, _)| off.clone()).collect();
    let measured = Scatter::of(&differences);
    let scatter = measured.or(honing.scatter);
    let known = scatter.unwrap_or(Scatter { s: ASSUMED_SCATTER, freedom: f64::INFINITY });
    let lanes = groups.into_iter().filter_map(|(lane, off, all)| {
        let mean = scatter::mean(&off);
        // A guide that is off puts all blades that share the fence off alike.
        let shifted = lane.angles_at(fence_of(lane)).ok()?.into_iter().map(|at| AngleAt { set: at.set + mean, ..at });
        let worst = AngleAt::worst(shifted)?;
        // The same instrument took all of a lane, so what it is off by is not averaged away.
        let of_reading = all.iter().map(|p| p.angle.uncertainty()).fold(0.0, f64::max);
        let of_scatter = known.s / (all.len() as f64).sqrt();
        let u = Expanded::of([(of_reading, f64::INFINITY), (of_scatter, known.freedom)]);
        let guard = if rule == Rule::Guarded { u.expanded() } else { 0.0 };
        Some(PlateVerdict {
            id: lane.request.id.clone(),
            seat: lane.request.seat,
            settings: all.len(),
            angle: worst.wanted,
            measured_angle: worst.set,
            error: worst.error(),
            error_uncertainty: u.expanded(),
            coverage_factor: u.k,
            within_tolerance: worst.error().abs() + guard <= tolerance + ROUNDING,
            bevels_stated: all.iter().all(|p| p.bevel_stated),
            difference: mean,
        })
    });
    Some(Plates {
        lanes: lanes.collect(),
        scatter: known.s,
        degrees_of_freedom: known.freedom.is_finite().then_some(known.freedom),
        scatter_measured: measured.is_some(),
    })
}

/// What arithmetic may lose, degrees: an angle at the very tolerance passes.
const ROUNDING: f64 = 1e-9;

/// A reading less what the lane sets its blade to, as it was packed, degrees; `None` where that is no angle, which readings
/// refuse.
fn difference(lane: &Lane, fence: f64, plate: &PlateReading) -> Option<f64> {
    lane.angle_of(&plate.section(lane), fence).ok().map(|expected| plate.angle.degrees - expected)
}

/// Whether a fence passes: by its limits, or as far as it is parallel where the lane's angle was taken on a plate.
pub fn fence_passes(lane: &LaneVerdict, plate: Option<&PlateVerdict>) -> bool {
    plate.map_or_else(|| lane.passes(), |_| lane.parallel)
}

/// Whether every lane passes: by its angle where that was taken on a plate, which goes before the limits of its fence; else
/// by its fence. A fence must be parallel all the same.
pub fn all_pass(verdicts: &Verdicts, plates: Option<&Plates>) -> bool {
    let on_plate = || plates.into_iter().flat_map(|p| &p.lanes);
    let passes = |lane: &LaneVerdict| fence_passes(lane, on_plate().find(|p| p.id == lane.id));
    verdicts.lanes.iter().all(passes) && on_plate().all(|p| p.within_tolerance)
}
