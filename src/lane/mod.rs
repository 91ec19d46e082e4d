//! One lane: a setting for one blade and angle, with everything the block and the user need to know of it.
//!
//! [`checks`] holds one rule a file. A rule gives a refusal (a block cannot serve the lane), a warning, or says that it
//! could not be checked because the profile lacks a length.

pub mod budget;
pub mod checks;
mod member;
mod options;
pub mod report;

pub use member::{AngleAt, Bevel, Member};
pub use options::{BlockOptions, DEFAULT_FENCE_WITHIN, DEFAULT_TOLERANCE, FOOT_RELIEF, FRONT_RELIEF, USUAL_THICKNESS};

use crate::guide::{Blade, Guide};
use crate::input::length::Length;
use crate::solve::contact::{self, EdgeShape};
use crate::solve::measured::{LandUnknown, Measured};
use crate::solve::section::Section;
use crate::solve::{self, NoSetting, Setting, projection};
use crate::terms::{Edge, SeatName};
use crate::units::{fixed, short};
use checks::{Finding, face_bearing, table_support};

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
    /// Smallest and largest angle that the blades of a kit ask for here, degrees; `None` outside of kits.
    pub asked: Option<[f64; 2]>,
    /// The blade.
    pub blade: Blade,
    /// Width of the widest blade, mm.
    pub width: Option<f64>,
    /// Stated primary bevel, degrees.
    pub primary: Option<f64>,
    /// Primary bevel where none is stated, degrees; `None`: the bevel asked for is the only one.
    pub usual_primary: Option<f64>,
    /// Height of the roller's track above the honing surface.
    pub roller_level: Length,
    /// The edge asked for.
    pub edge: Option<Edge>,
}

impl Request {
    /// The angle that it is called by, in words: `30°`, or `25–30°` where blades of a kit ask for several.
    pub fn angle_words(&self) -> String {
        let [low, high] = self.asked.unwrap_or([self.angle; 2]).map(|angle| short(angle, 3));
        if low == high { format!("{low}°") } else { format!("{low}–{high}°") }
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
    /// How far the roller reaches below the table, mm.
    pub roller_below_table: f64,
    /// How far the block must overhang a bench for the roller to pass its edge, mm, without a margin.
    pub overhang: f64,
    /// Thickest block the roller does not strike, mm.
    pub thickness_limit: f64,
    /// What the rules found.
    pub findings: Vec<Finding>,
    /// What the fence is to be moved by, mm, from measurements of an earlier block; positive away from the edge.
    pub correction: f64,
    /// The blades of a kit that it serves; none in a lane of a setting.
    pub members: Vec<Member>,
    /// What was measured, for budgets and trials.
    pub measured: Measured,
}

impl Lane {
    /// Distance from the reference edge at which the fence is to be made, mm: the solved one and the correction.
    pub fn fence(&self) -> f64 {
        self.setting.fence_distance + self.correction
    }

    /// The bevel angle in degrees that a fence at `fence` mm sets in this lane.
    ///
    /// # Errors
    /// [`NoSetting`] where it sets none.
    pub fn angle_at(&self, fence: f64) -> Result<f64, NoSetting> {
        solve::angle_of_fence(&self.setting.section, fence, self.edge_shape)
    }

    /// The angle asked for and the one that a fence at `fence` mm sets; in a lane that blades of a kit share, those of
    /// the blade that is furthest off.
    ///
    /// # Errors
    /// [`NoSetting`] where it sets none.
    pub fn worst_at(&self, fence: f64) -> Result<AngleAt, NoSetting> {
        let angle_at = |section: &Section<f64>, wanted| {
            solve::angle_of_fence(section, fence, self.edge_shape).map(|set| AngleAt { wanted, set })
        };
        let all = self.members.iter().map(|m| angle_at(&m.section, m.wanted)).collect::<Result<Vec<_>, _>>()?;
        AngleAt::worst(all).map_or_else(|| angle_at(&self.setting.section, self.request.angle), Ok)
    }

    /// The same lane, at the same angle, with another guide.
    ///
    /// # Errors
    /// [`NoLane`] as of [`build`].
    pub fn with_guide(&self, guide: &Guide, edge: BlockEdge, tolerance: f64) -> Result<Self, NoLane> {
        let mut lane = build(guide, &self.request, edge, tolerance)?;
        let member = |member: &Member| {
            let request = &member.request;
            let measured = Measured::new(guide, guide.seat_for(request.seat).1, request.blade, request.roller_level)
                .map_err(|cause| NoLane::Land { id: request.id.clone(), cause })?;
            Ok(Member { section: measured.section(&measured.values()), ..member.clone() })
        };
        lane.members = self.members.iter().map(member).collect::<Result<_, _>>()?;
        Ok(lane)
    }

    /// The symmetric tolerance of the fence distance as printed in hundredths of a millimetre, mm; see
    /// [`Lane::tolerance_about`].
    pub fn fence_tolerance(&self) -> f64 {
        self.tolerance_about((self.fence() * 100.0).round() / 100.0, 0.01)
    }

    /// The symmetric tolerance, mm, of a fence distance that is printed as `printed` mm: what the angle tolerance allows
    /// on its narrower side, counted from the true distance and from the printed one, and rounded down to `step` mm:
    /// neither the true nor the printed limits let the angle out of its tolerance. Negative where the printed distance
    /// itself does.
    pub fn tolerance_about(&self, printed: f64, step: f64) -> f64 {
        let side = |fence: f64| (fence - self.limits[0]).min(self.limits[1] - fence);
        let narrower = side(self.setting.fence_distance).min(side(printed - self.correction));
        (narrower / step).floor() * step
    }
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
    #[error("{name}, {} {angle}°", bevel.name())]
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
    },
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
    let measured = Measured::new(guide, seat, request.blade, request.roller_level)
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
        correction: 0.0,
        members: Vec::new(),
        setting,
        measured,
    };
    lane.findings = checks::all(guide, seat, &lane, edge);
    Ok(lane)
}

/// Id of a setting's lane: `plane-iron-30`, `plane-iron-32.5`.
pub fn id_of(setting: &str, angle: f64) -> String {
    format!("{setting}-{}", short(angle, 4))
}

/// `limit` mm as a message writes it.
pub(crate) fn mm(value: f64) -> String {
    format!("{} mm", fixed(value, 2))
}
