//! What a guide sets usual blades to, before anyone has named a blade.

use super::{LaneSet, build_all};
use crate::guide::named::{self, NoFiles};
use crate::guide::{Guide, Seat, ToolClass, usual_tool};
use crate::input::fault::Faults;
use crate::input::length::Length;
use crate::lane::{BlockOptions, DEFAULT_FENCE_WITHIN, DEFAULT_TOLERANCE, Lane, NoLane, Request, id_of};
use crate::terms::SeatName;
use crate::units::Written;

/// Bevel angles that a new guide is tried at, degrees (common practice, no source).
const ANGLES: [f64; 3] = [25.0, 30.0, 35.0];
/// The angle that it is drawn at, degrees.
pub const DRAWN: f64 = 30.0;

/// One seat with the blades that it mostly holds.
#[derive(Debug, Clone)]
pub struct UsualSeat<'g> {
    /// The seat's name.
    pub name: SeatName,
    /// The seat.
    pub seat: &'g Seat,
    /// Their class.
    pub class: ToolClass,
    /// Their settings.
    pub lanes: Vec<Lane>,
    /// The angles that have none.
    pub failed: Vec<NoLane>,
}

impl UsualSeat<'_> {
    /// The lane that is drawn: that at the usual angle, else the first.
    pub fn drawn(&self) -> Option<&Lane> {
        self.lanes.iter().find(|lane| lane.request.angle == DRAWN).or(self.lanes.first())
    }
}

/// Usual blades in every seat of a guide, at usual angles.
///
/// # Errors
/// Those of a built-in class: faults of the program.
pub fn of_guide(guide: &Guide) -> Result<Vec<UsualSeat<'_>>, Faults> {
    guide
        .seats()
        .map(|(name, seat)| {
            let class = named::tool(usual_tool(name, seat), &NoFiles)?;
            let (lanes, failed) = solve(guide, &ANGLES.map(|angle| request(guide, name, seat, &class, angle)));
            Ok(UsualSeat { name, seat, class, lanes, failed })
        })
        .collect()
}

fn request(guide: &Guide, name: SeatName, seat: &Seat, class: &ToolClass, angle: f64) -> Request {
    Request {
        id: id_of(&class.name, angle),
        label: class.name.clone(),
        tool: Some(class.name.clone()),
        seat: name,
        angle,
        wanted: angle,
        asked: None,
        blade: class.blade(),
        width: Some(class.widest_in(guide, seat)),
        length: None,
        primary: None,
        usual_primary: Some(class.usual_primary()),
        roller_level: Length::exact(0.0),
        edge: None,
        written: Written::of(guide.units),
    }
}

/// All settings on one block; should some have none, each by itself, so that the others are still seen.
fn solve(guide: &Guide, requests: &[Request]) -> (Vec<Lane>, Vec<NoLane>) {
    let all = |requests: &[Request]| {
        build_all(guide, requests, &BlockOptions::default(), DEFAULT_TOLERANCE, Some(DEFAULT_FENCE_WITHIN))
    };
    if let Ok(LaneSet { lanes, .. }) = all(requests) {
        return (lanes, Vec::new());
    }
    let (mut lanes, mut failed) = (Vec::new(), Vec::new());
    for request in requests {
        match all(std::slice::from_ref(request)) {
            Ok(set) => lanes.extend(set.lanes),
            Err(none) => failed.extend(none),
        }
    }
    (lanes, failed)
}
