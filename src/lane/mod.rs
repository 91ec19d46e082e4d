//! One lane: a setting for one blade and angle, with everything the block and the user need to know of it.
//!
//! [`checks`] holds one rule a file. A rule gives a refusal (a block cannot serve the lane), a warning, or says that it
//! could not be checked because the profile lacks a length.

pub mod budget;
pub mod checks;
mod correction;
mod member;
pub mod notes;
mod options;
pub mod report;

pub use correction::Correction;
pub use member::{AngleAt, Bevel, Member};
pub use options::{
    BlockOptions, DEFAULT_FENCE_WITHIN, DEFAULT_TOLERANCE, FOOT_RELIEF, FRONT_RELIEF, LEAST_THICKNESS, USUAL_THICKNESS,
};

use crate::guide::{Blade, Guide};
use crate::input::length::Length;
use crate::solve::contact::{self, EdgeShape};
use crate::solve::measured::{LandUnknown, Measured};
use crate::solve::section::Section;
use crate::solve::{self, NoSetting, Setting, projection};
use crate::terms::{Edge, SeatName};
use crate::units::{Written, short};
use checks::{Finding, face_bearing, land_assumed, table_support};

/// What is asked of a lane.
#[derive(Debug, Clone, PartialEq)]
pub struct Request {
    /// Unique name, such as `plane-iron-30`.
    pub id: String,
    /// Name of the setting, for labels.
    pub label: String,
    /// Name of the tool class, if any.
    pub tool: Option<String>,
    /// The seat the blade goes in.
    pub seat: SeatName,
    /// Bevel angle, degrees.
    pub angle: f64,
    /// The bevel angle that was asked for, degrees: a fence that blades of a kit share sets another.
    pub wanted: f64,
    /// Smallest and largest angle that the blades of a kit ask for here, degrees; `None` outside of kits.
    pub asked: Option<[f64; 2]>,
    /// The blade.
    pub blade: Blade,
    /// Width of the widest blade, mm.
    pub width: Option<f64>,
    /// What is left of the blade, from the edge to its end, mm, where it was stated.
    pub length: Option<f64>,
    /// Stated primary bevel, degrees.
    pub primary: Option<f64>,
    /// Primary bevel where none is stated, degrees; `None`: the bevel asked for is the only one.
    pub usual_primary: Option<f64>,
    /// Height of the roller's track above the honing surface.
    pub roller_level: Length,
    /// The edge asked for.
    pub edge: Option<Edge>,
    /// How its reader takes lengths.
    pub written: Written,
}

impl Request {
    /// The angle that it is called by, in words: `30°`, or `25–30°` where blades of a kit ask for several.
    pub fn angle_words(&self) -> String {
        let [low, high] = self.asked.unwrap_or([self.angle; 2]).map(|angle| short(angle, 3));
        if low == high { format!("{low}°") } else { format!("{low}–{high}°") }
    }

    /// What stands large on block, jig and cards to tell its lane from others: a kit's letter, else the angle.
    pub fn sign(&self) -> String {
        if self.asked.is_some() { self.id.clone() } else { self.angle_words() }
    }

    /// The primary bevel the blade is taken to have, degrees.
    pub fn primary(&self) -> f64 {
        self.primary.unwrap_or_else(|| self.usual_primary.unwrap_or(self.angle).min(self.angle))
    }
}

/// A lane, solved.
#[derive(Debug, Clone, PartialEq)]
pub struct Lane {
    /// What was asked.
    pub request: Request,
    /// The setting.
    pub setting: Setting,
    /// The block's edge it was solved for.
    pub edge_shape: EdgeShape,
    /// Smallest and largest fence distance within the angle tolerance, mm.
    pub limits: [f64; 2],
    /// Length of table under the blade between its heel and the face, mm.
    pub table_support: f64,
    /// Height over which face and edge bear on each other, mm; `None` where the face's lower end is not known.
    pub face_bearing: Option<f64>,
    /// How far the roller reaches below the table, mm: of the blades of a kit that the lane serves, the most. A drawing of
    /// the lane's own blade takes [`Lane::own_roller_below_table`].
    pub roller_below_table: f64,
    /// How far the block must overhang a bench for the roller to pass its edge, mm, without a margin.
    pub overhang: f64,
    /// Thickest block the roller does not strike, mm.
    pub thickness_limit: f64,
    /// What the rules found.
    pub findings: Vec<Finding>,
    /// What measurements of an earlier block change of its fence.
    pub correction: Correction,
    /// The blades of a kit that it serves; none in a lane of a setting.
    pub members: Vec<Member>,
    /// What was measured, for budgets and trials.
    pub measured: Measured,
}

impl Lane {
    /// Distance from the reference edge to the finished fence, mm: what is to be measured on the block.
    pub fn finished(&self) -> f64 {
        self.setting.fence_distance + self.correction.guide
    }

    /// Distance from the reference edge to the fence in the block's files, mm: the finished one, moved by as much as the
    /// last block came out off.
    pub fn fence(&self) -> f64 {
        self.finished() + self.correction.making
    }

    /// How far the edge stands out of the face at the finished fence, mm.
    pub fn projection(&self) -> f64 {
        let Setting { section, projection, .. } = &self.setting;
        if self.correction.guide == 0.0 {
            return *projection;
        }
        contact::projection_of_fence(section, self.finished(), self.edge_shape)
            .unwrap_or(projection + self.correction.guide)
    }

    /// How far the roller reaches below the table with the blade that the lane was solved for, mm: as it is drawn.
    pub fn own_roller_below_table(&self) -> f64 {
        contact::roller_below_table(&self.setting.section, self.projection(), self.edge_shape)
    }

    /// The bevel angle in degrees that a finished fence at `fence` mm sets in this lane.
    ///
    /// # Errors
    /// [`NoSetting`] where it sets none.
    pub fn angle_at(&self, fence: f64) -> Result<f64, NoSetting> {
        self.angle_of(&self.setting.section, fence)
    }

    /// The bevel angle in degrees that a finished fence at `fence` mm sets a blade of this lane to, with what test bevels
    /// have shown of the guide.
    ///
    /// # Errors
    /// [`NoSetting`] where it sets none.
    pub fn angle_of(&self, section: &Section<f64>, fence: f64) -> Result<f64, NoSetting> {
        solve::angle_of_fence(section, fence - self.correction.guide, self.edge_shape)
    }

    /// The angle asked for and the one that a finished fence at `fence` mm sets; in a lane that blades of a kit share, those of
    /// the blade that is furthest off.
    ///
    /// # Errors
    /// [`NoSetting`] where it sets none.
    pub fn worst_at(&self, fence: f64) -> Result<AngleAt, NoSetting> {
        let all = self.angles_at(fence)?;
        AngleAt::worst(all).map_or_else(|| self.own_angle_at(fence), Ok)
    }

    /// The angle asked for and the one that a finished fence at `fence` mm sets, of every blade of a kit that shares the lane,
    /// or of the one of a setting.
    ///
    /// # Errors
    /// [`NoSetting`] where it sets none.
    pub fn angles_at(&self, fence: f64) -> Result<Vec<AngleAt>, NoSetting> {
        let of = |m: &Member| self.angle_of(&m.section, fence).map(|set| AngleAt { wanted: m.wanted, set });
        match self.members.is_empty() {
            true => Ok(vec![self.own_angle_at(fence)?]),
            false => self.members.iter().map(of).collect(),
        }
    }

    fn own_angle_at(&self, fence: f64) -> Result<AngleAt, NoSetting> {
        Ok(AngleAt { wanted: self.request.angle, set: self.angle_at(fence)? })
    }

    /// The same lane, at the same angle, with another guide; the limits are those of all blades that share it.
    ///
    /// # Errors
    /// [`NoLane`] as of [`build`].
    pub fn with_guide(&self, guide: &Guide, edge: BlockEdge, tolerance: f64) -> Result<Self, NoLane> {
        let mut lane = build(guide, &self.request, edge, tolerance)?;
        let member = |member: &Member| {
            let request = &member.request;
            let seat = guide.seat_for(request.seat).1;
            let measured = Measured::for_bevel(guide, seat, request.blade, request.roller_level, request.wanted)
                .map_err(|cause| NoLane::Land { id: request.id.clone(), cause })?;
            Ok(Member { section: measured.section(&measured.values()), ..member.clone() })
        };
        lane.members = self.members.iter().map(member).collect::<Result<_, _>>()?;
        let fence = |section: &Section<f64>, degrees| {
            projection::projection_checked(section, degrees)
                .map(|p| contact::fence_distance(section, p, lane.edge_shape))
        };
        // The larger angle is set by the nearer fence. An end that has no setting limits nothing.
        let nearest = |m: &Member| fence(&m.section, m.allowed[1]).unwrap_or(f64::NEG_INFINITY);
        let farthest = |m: &Member| fence(&m.section, m.allowed[0]).unwrap_or(f64::INFINITY);
        let shared =
            [lane.members.iter().map(nearest).reduce(f64::max), lane.members.iter().map(farthest).reduce(f64::min)];
        if let [Some(near), Some(far)] = shared {
            lane.limits = [near, far];
        }
        Ok(lane)
    }

    /// Whether a finished fence at `fence` mm still sets every blade within what it may come out at once the roller has lost
    /// `lost` mm of its diameter; `tolerance` is ± degrees, of a lane of a setting.
    pub fn is_set_with_worn_roller(&self, fence: f64, lost: f64, tolerance: f64) -> bool {
        let own = [self.request.angle - tolerance, self.request.angle + tolerance];
        let holds = |section: &Section<f64>, [least, greatest]: [f64; 2]| {
            self.angle_of(&section.with_worn_roller(lost), fence).is_ok_and(|set| (least..=greatest).contains(&set))
        };
        match self.members.is_empty() {
            true => holds(&self.setting.section, own),
            false => self.members.iter().all(|member| holds(&member.section, member.allowed)),
        }
    }

    /// The symmetric tolerance of the finished fence distance as printed for calipers, mm; see [`Lane::tolerance_about`].
    pub fn fence_tolerance(&self) -> f64 {
        self.tolerance_about(self.printed(), self.request.written.caliper_step())
    }

    /// The finished fence distance with its limits, as it is dimensioned: `59.92 ±0.38`.
    pub fn fence_words(&self) -> String {
        self.request.written.toleranced(self.finished(), self.fence_tolerance()).to_string()
    }

    /// The finished fence distance as it is printed for calipers, in hundredths of a millimetre or thousandths of an inch, mm.
    pub fn printed(&self) -> f64 {
        self.request.written.as_printed(self.finished())
    }

    /// The symmetric tolerance, mm, of a finished fence distance that is printed as `printed` mm: what the angle tolerance allows
    /// on its narrower side, counted from the true distance and from the printed one, and rounded down to `step` mm:
    /// neither the true nor the printed limits let the angle out of its tolerance. Negative where the printed distance
    /// itself does.
    pub fn tolerance_about(&self, printed: f64, step: f64) -> f64 {
        tolerance_within(self.limits, [self.setting.fence_distance, printed - self.correction.guide], step)
    }
}

/// How far a fence may be off before it leaves `limits`, ± mm: on the narrower side of all the `distances` that it is taken
/// to stand at, rounded down to `step` mm. Negative where one of them lies outside.
pub fn tolerance_within(limits: [f64; 2], distances: [f64; 2], step: f64) -> f64 {
    let side = |fence: f64| (fence - limits[0]).min(limits[1] - fence);
    let narrower = side(distances[0]).min(side(distances[1]));
    (narrower / step).floor() * step
}

/// The block as far as a lane feels it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BlockEdge {
    /// Thickness at the edge, mm.
    pub thickness: f64,
    /// Height of the front relief, mm (0 without one).
    pub relief: f64,
    /// How well a fence can be placed, ± mm.
    pub fence_within: Option<f64>,
}

impl BlockEdge {
    /// The reference surface below the table.
    pub fn shape(&self) -> EdgeShape {
        EdgeShape { bearing_height: self.thickness - self.relief }
    }
}

/// Why a lane could not be solved.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoLane {
    /// The geometry has no setting.
    #[error("{id}")]
    Unsolved {
        /// The lane's id.
        id: String,
        /// Why.
        #[source]
        cause: NoSetting,
    },
    /// The seat grips the sides of a blade whose lands are not known.
    #[error("{id}")]
    Land {
        /// The lane's id.
        id: String,
        /// Why.
        #[source]
        cause: LandUnknown,
    },
    /// No fence serves a blade of a kit.
    #[error("{name}, {} {angle}°{}", bevel.name(), nearest_words(*angle, *reach))]
    Unserved {
        /// The blade.
        name: String,
        /// Which of its bevels.
        bevel: Bevel,
        /// Degrees.
        angle: f64,
        /// Why.
        #[source]
        cause: NoFence,
        /// The shallowest and the steepest angle at which the guide holds the blade soundly, degrees.
        reach: Option<[f64; 2]>,
    },
}

/// The angle nearest to the one asked for that a guide sets, in words and in tenths that it still sets: the steepest or
/// the shallowest, degrees.
pub fn nearest_words(angle: f64, reach: Option<[f64; 2]>) -> String {
    match reach {
        Some([_, steepest]) if angle > steepest => {
            format!(" (this guide sets up to {}°)", short((steepest * 10.0).floor() / 10.0, 1))
        }
        Some([shallowest, _]) if angle < shallowest => {
            format!(" (this guide sets {}° or more)", short((shallowest * 10.0).ceil() / 10.0, 1))
        }
        _ => String::new(),
    }
}

/// Why no fence serves a bevel.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoFence {
    /// The geometry has no setting.
    #[error(transparent)]
    Unsolved(#[from] NoSetting),
    /// The seat grips the sides of a blade whose lands are not known.
    #[error(transparent)]
    Land(#[from] LandUnknown),
    /// The rules refuse it, in their words.
    #[error("{}", .0.join("; "))]
    Refused(Vec<String>),
}

/// Solves and checks one lane of `guide` on a block with the given edge.
///
/// # Errors
/// [`NoLane`]. What a block could not serve, but geometry allows, is no error here: see [`Lane::findings`].
pub fn build(guide: &Guide, request: &Request, edge: BlockEdge, tolerance: f64) -> Result<Lane, NoLane> {
    let (_, seat) = guide.seat_for(request.seat);
    let measured = Measured::for_bevel(guide, seat, request.blade, request.roller_level, request.wanted)
        .map_err(|cause| NoLane::Land { id: request.id.clone(), cause })?;
    let shape = edge.shape();
    let setting = solve::solve(&measured, request.angle, shape, edge.fence_within)
        .map_err(|cause| NoLane::Unsolved { id: request.id.clone(), cause })?;
    let section = setting.section;
    let p = setting.projection;
    // A larger angle needs a shorter distance. Where an end of the tolerance has no setting, the slope stands in.
    let fence_at = |degrees: f64| {
        projection::projection_checked(&section, degrees)
            .map_or(setting.fence_distance + setting.mm_per_degree * (degrees - request.angle), |p| {
                contact::fence_distance(&section, p, shape)
            })
    };
    let mut lane = Lane {
        limits: [fence_at(request.angle + tolerance), fence_at(request.angle - tolerance)],
        table_support: table_support::length(&section, setting.fence_distance, request.primary()),
        face_bearing: face_bearing::height(&section, p, shape),
        roller_below_table: contact::roller_below_table(&section, p, shape),
        overhang: contact::overhang(&section, p, shape),
        thickness_limit: contact::thickness_limit(&section, p, shape),
        request: request.clone(),
        edge_shape: shape,
        findings: Vec::new(),
        correction: Correction::default(),
        members: Vec::new(),
        setting,
        measured,
    };
    lane.findings = checks::all(guide, seat, &lane, edge, tolerance);
    Ok(lane)
}

/// How far the edge of a blade stands out of the face at the finished fence of its lane, mm.
pub fn projection_at(member: &Member, lane: &Lane) -> f64 {
    let fence = lane.finished();
    contact::projection_of_fence(&member.section, fence, lane.edge_shape).unwrap_or(fence)
}

/// Id of a setting's lane: `plane-iron-30`, `plane-iron-32.5`.
pub fn id_of(setting: &str, angle: f64) -> String {
    format!("{setting}-{}", short(angle, 4))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_angle_is_said_on_the_side_where_none_is_set() {
        let words = |angle| nearest_words(angle, Some([17.32, 38.68]));
        assert_eq!(words(15.0), " (this guide sets 17.4° or more)");
        assert_eq!(words(40.0), " (this guide sets up to 38.6°)");
        assert_eq!([words(17.32), words(30.0), words(38.68)], [""; 3]);
        assert_eq!(nearest_words(15.0, None), "");
    }
}
