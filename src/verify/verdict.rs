//! The verdict on each measured lane.
//!
//! A lane's angle as built follows from the measured fence distance through the same geometry as the setting. Its
//! uncertainty is that of guide, blade and roller level, and of the measurement. A fence must lie within the limits that
//! its sheet gives it, and the angle within the tolerance: the limits may be closer, as they keep the bevels of a blade
//! apart and are the same on both sides. The decision rule is simple acceptance (JCGM 106:2012, 8.2) unless a guard band
//! is asked for: guarded acceptance with a guard band of U, k = 2 (8.3.2), so that a lane passes only if its error and U
//! together stay within both.

use serde::Serialize;

use super::lane_by_id;
use super::readings::{FenceReading, Readings};
use crate::input::length::rectangular;
use crate::jig::asked::Asked;
use crate::job::{Job, Of};
use crate::lane::Lane;
use crate::lanes::LaneSet;
use crate::solve::NoSetting;
use crate::solve::uncertainty::{self, COVERAGE, Contribution};
use crate::terms::SeatName;
use crate::trig::Inverse;
use crate::units::Written;

/// How a lane is decided on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// The error alone must be within limits and tolerance.
    Simple,
    /// Error and expanded uncertainty together must be.
    Guarded,
}

impl Rule {
    /// What must be within its limits, at the bench.
    pub fn at_the_bench(self) -> &'static str {
        match self {
            Rule::Simple => "the fence within its sheet's limits",
            Rule::Guarded => {
                "the fence within its sheet's limits and the error within the tolerance, each with room for its ± figure"
            }
        }
    }

    /// The rule in the words of its standard.
    pub fn words(self) -> &'static str {
        match self {
            Rule::Simple => {
                "simple acceptance: the fence within its sheet's limits and |error| within the tolerance (JCGM 106:2012, 8.2)"
            }
            Rule::Guarded => {
                "guarded acceptance: the fence and |error|, each with its expanded uncertainty (k = 2), within the sheet's limits and the tolerance (JCGM 106:2012, 8.3.2)"
            }
        }
    }
}

/// The verdict on one lane.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LaneVerdict {
    /// Its id.
    pub id: String,
    /// Its seat.
    pub seat: SeatName,
    /// Its tool class.
    pub tool: Option<String>,
    /// The angle wanted, degrees.
    pub angle: f64,
    /// The finished fence distance wanted, mm, with all digits.
    pub fence_distance: f64,
    /// The finished one that the sheet asked for, mm: rounded as it is written there.
    pub asked: f64,
    /// How far from that the sheet lets a fence be, ± mm.
    pub limit: f64,
    /// The one measured, mm.
    pub measured: f64,
    /// The angle that it really sets, degrees.
    pub angle_as_built: f64,
    /// As built minus wanted, degrees.
    pub error: f64,
    /// Expanded uncertainty (k = 2) of the error, degrees.
    pub error_uncertainty: f64,
    /// Angle of the fence against square, degrees, positive when it lies further off at the right; null where one
    /// side alone was measured.
    pub skew: Option<f64>,
    /// How much further from the edge the fence lies at the right side of the blade than at the left, mm; null where
    /// one side alone was measured.
    pub right_further: Option<f64>,
    /// Whether the angle is within the tolerance.
    pub within_tolerance: bool,
    /// Whether the fence is within the limits of the sheet.
    pub within_limits: bool,
    /// Whether the fence is as parallel to its edge as the sheet asks: [`Sheets::parallel_within`].
    pub parallel: bool,
    /// What the fence is to be moved by, mm, positive away from the edge, for the distance that the sheet asked for; 0
    /// where that is less than readings tell.
    pub correction: f64,
}

impl LaneVerdict {
    /// Whether the lane does what its sheet asks.
    pub fn passes(&self) -> bool {
        self.within_tolerance && self.within_limits && self.parallel
    }
}

/// The verdicts on a block.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdicts {
    /// Whether every measured lane passes.
    pub pass: bool,
    /// ± degrees allowed.
    pub tolerance: f64,
    /// How far a fence may be off parallel over a blade's width, ± mm.
    pub parallel_within: f64,
    /// The decision rule in words.
    pub decision_rule: &'static str,
    /// The rule itself.
    #[serde(skip)]
    pub rule: Rule,
    /// The measured lanes.
    pub lanes: Vec<LaneVerdict>,
    /// Ids of lanes that were not measured.
    pub not_measured: Vec<String>,
}

/// A measured distance that sets no angle at all.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("lane {id}: {measured} mm was measured")]
pub struct NoAngle {
    /// The lane.
    pub id: String,
    /// mm.
    pub measured: f64,
    /// Why.
    #[source]
    pub cause: NoSetting,
}

/// How the block was to be made: what its sheets ask for.
#[derive(Debug, Clone, Copy)]
pub struct Sheets {
    /// How the cut sheet asks for fences; `None` for the printed block, whose sheet writes what calipers read.
    pub wood: Option<Asked>,
    /// How far a fence may be off parallel to its edge, over a blade's width, ± mm.
    pub parallel_within: f64,
    /// How lengths are written, and so in which unit fences are measured.
    pub written: Written,
}

impl Sheets {
    /// The sheets of a job's block or jig.
    pub fn of(job: &Job, of: Of) -> Self {
        let (wood, parallel_within) = match of {
            Of::Block => (None, job.block.fence_within),
            Of::Jig => (Some(Asked::of(&job.wood)), job.wood.fence_within),
        };
        Self { wood, parallel_within, written: if wood.is_some() { job.wood.written } else { job.written } }
    }

    /// The fence distance that the sheet asks for, and its limits about that, ± mm.
    fn asked(self, lane: &Lane) -> [f64; 2] {
        match self.wood {
            Some(asked) => [asked.printed(lane), asked.limit(lane)],
            None => [lane.printed(), lane.fence_tolerance()],
        }
    }

    /// What a fence is to be moved by, mm: nothing where that rounds to nothing in hundredths of a millimetre or
    /// thousandths of an inch, as readings tell no more.
    fn correction(self, asked: f64, measured: f64) -> f64 {
        let by = asked - measured;
        if by.abs() < self.written.caliper_step() / 2.0 + ROUNDING { 0.0 } else { by }
    }
}

/// What arithmetic may lose, mm: a fence at its very limit passes.
const ROUNDING: f64 = 1e-9;

/// Judges the measured fences; `tolerance` is ± degrees.
///
/// # Errors
/// [`NoAngle`] where a measured distance sets no angle: surely a slip in the file.
pub fn judge(
    set: &LaneSet,
    readings: &Readings,
    sheets: Sheets,
    tolerance: f64,
    rule: Rule,
) -> Result<Verdicts, NoAngle> {
    let mut lanes = Vec::new();
    for reading in &readings.fences {
        if let Some(lane) = lane_by_id(set, &reading.id) {
            lanes.push(judge_lane(lane, reading, sheets, tolerance, rule)?);
        }
    }
    let measured = |id: &String| readings.fences.iter().any(|r| &r.id == id);
    let ids = set.lanes.iter().map(|l| l.request.id.clone());
    Ok(Verdicts {
        pass: lanes.iter().all(LaneVerdict::passes),
        tolerance,
        parallel_within: sheets.parallel_within,
        decision_rule: rule.words(),
        rule,
        not_measured: ids.filter(|id| !measured(id)).collect(),
        lanes,
    })
}

fn judge_lane(
    lane: &Lane,
    reading: &FenceReading,
    sheets: Sheets,
    tolerance: f64,
    rule: Rule,
) -> Result<LaneVerdict, NoAngle> {
    let worst = lane.worst_at(reading.fence).map_err(|cause| NoAngle {
        id: reading.id.clone(),
        measured: reading.fence,
        cause,
    })?;
    let error = worst.error();
    let [asked, limit] = sheets.asked(lane);
    let u = angle_uncertainty(lane, reading.within);
    let guard = if rule == Rule::Guarded { u } else { 0.0 };
    let off = (reading.fence - asked).abs() + guard * lane.setting.mm_per_degree.abs();
    let width = lane.request.width.filter(|w| *w > 0.0);
    let right_further = reading.sides.map(|[left, right]| right - left);
    Ok(LaneVerdict {
        id: reading.id.clone(),
        seat: lane.request.seat,
        tool: lane.request.tool.clone(),
        angle: worst.wanted,
        fence_distance: lane.finished(),
        asked,
        limit,
        measured: reading.fence,
        angle_as_built: worst.set,
        error,
        error_uncertainty: u,
        skew: reading.sides.zip(width).map(|([left, right], w)| ((right - left) / w).arctangent().to_degrees()),
        right_further,
        within_tolerance: error.abs() + guard <= tolerance + ROUNDING,
        within_limits: off <= limit + ROUNDING,
        parallel: right_further.is_none_or(|mm| mm.abs() <= sheets.parallel_within + ROUNDING),
        correction: sheets.correction(asked, reading.fence),
    })
}

/// Expanded uncertainty (k = 2), degrees, of the angle that a fence known within ± `within` mm sets.
pub fn angle_uncertainty(lane: &Lane, within: f64) -> f64 {
    let (beta, edge) = (lane.setting.angle.to_radians(), lane.edge_shape);
    let guide: f64 =
        uncertainty::contributions(&lane.measured, beta, edge).iter().map(Contribution::fence).map(|u| u * u).sum();
    let slope = uncertainty::fence_slope(&lane.measured, beta, edge);
    COVERAGE * ((guide + rectangular(within).powi(2)).sqrt() / slope.abs()).to_degrees()
}
