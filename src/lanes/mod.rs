//! The lanes of a job: of its settings, or of its kit.

use crate::guide::Guide;
use crate::honing::warnings;
use crate::job::{Job, Of};
use crate::kit::PlannedKit;
use crate::lane::checks::{Finding, Gravity, Rule};
use crate::lane::{
    BlockEdge, BlockOptions, DEFAULT_TOLERANCE, FRONT_RELIEF, LEAST_THICKNESS, Lane, NoLane, Request, USUAL_THICKNESS,
    build, id_of,
};
use crate::units::{Units, Written};

pub(crate) mod of_kit;
pub mod usual;

/// Solves all lanes for one block: its thickness is the one stated, else the usual one or as much as no roller strikes.
///
/// # Errors
/// Every lane that cannot be solved.
pub fn build_all(
    guide: &Guide,
    requests: &[Request],
    options: &BlockOptions,
    tolerance: f64,
    fence_within: Option<f64>,
) -> Result<LaneSet, Vec<NoLane>> {
    on_a_block(options, fence_within, LaneSet::thickness_limit, |edge| {
        let (mut lanes, mut failed) = (Vec::new(), Vec::new());
        for request in requests {
            match build(guide, request, edge, tolerance) {
                Ok(mut lane) => {
                    lane.findings.extend(little_room(&lane, edge));
                    lanes.push(lane);
                }
                Err(e) => failed.push(e),
            }
        }
        if failed.is_empty() { Ok(LaneSet { lanes, edge, kit: None, left_out: Vec::new() }) } else { Err(failed) }
    })
}

/// Room that is less by no more than this is enough, mm: it is a difference of distances.
const ROUNDING: f64 = 1e-6;

/// A fence that must be made more exactly than a fence can.
fn little_room(lane: &Lane, edge: BlockEdge) -> Option<Finding> {
    let (room, within) = (lane.fence_tolerance().max(0.0), edge.fence_within?);
    (room < within - ROUNDING).then(|| {
        let message = format!(
            "this fence must be within {}, closer than the {} you can work to (fence_within). Measure it, and correct it",
            lane.request.written.length(room),
            lane.request.written.length(within)
        );
        Finding::warning(Rule::Room, message)
    })
}

/// Solves for a block of the thickness stated, else of the usual one or as much as no roller strikes; `limit` tells
/// that of what was solved, mm.
///
/// # Errors
/// Those of `solve`.
pub fn on_a_block<T, E>(
    options: &BlockOptions,
    fence_within: Option<f64>,
    limit: impl Fn(&T) -> f64,
    solve: impl Fn(BlockEdge) -> Result<T, E>,
) -> Result<T, E> {
    let relief = if options.front_relief { FRONT_RELIEF[1] } else { 0.0 };
    let solve_all = |thickness: f64| solve(BlockEdge { thickness, relief, fence_within });
    let solved = solve_all(options.thickness.unwrap_or(USUAL_THICKNESS))?;
    match options.thickness {
        None if limit(&solved) < USUAL_THICKNESS => {
            // Half a millimetre clear of the roller, on a round number; never so thin that it is no board.
            let thickness = ((limit(&solved) - 0.5) * 2.0).floor() / 2.0;
            solve_all(thickness.max(LEAST_THICKNESS))
        }
        _ => Ok(solved),
    }
}

/// Why a guide does not hone a setting at all, with or without a block, in words.
///
/// # Errors
/// Why it has no setting.
pub fn refused_on_the_stone(guide: &Guide, request: &Request) -> Result<Vec<String>, Vec<NoLane>> {
    let set = build_all(guide, std::slice::from_ref(request), &BlockOptions::default(), DEFAULT_TOLERANCE, None)?;
    let found = set.lanes.into_iter().flat_map(|lane| lane.findings);
    let refused = found.filter(|f| f.gravity == Gravity::Refusal && f.rule.is_of_honing());
    Ok(refused.map(|f| f.message).collect())
}

/// The lanes a job's settings ask for.
pub fn requests(job: &Job) -> Vec<Request> {
    let mut all = Vec::new();
    for setting in &job.settings {
        for &angle in &setting.angles {
            all.push(Request {
                id: id_of(&setting.id, angle),
                label: setting.id.clone(),
                tool: Some(setting.tool.clone()),
                seat: setting.seat,
                angle,
                wanted: angle,
                asked: None,
                blade: setting.blade,
                width: Some(setting.width),
                length: None,
                primary: setting.primary,
                usual_primary: Some(setting.usual_primary),
                roller_level: setting.roller_level,
                edge: setting.edge,
                written: job.written,
            });
        }
    }
    all
}

/// Solves all lanes of a job, for its printed block.
///
/// # Errors
/// Every lane that cannot be solved; those of [`accepted`].
pub fn of_job(job: &Job) -> Result<LaneSet, Vec<NoLane>> {
    accepted(job, for_block(job, &job.block, Some(job.block.fence_within))?, Of::Block)
}

/// The lanes with the job's corrections of block or jig, if they are enough to go on with: any at all, and all of them
/// where the job is strict.
///
/// # Errors
/// Every bevel of the kit that no fence serves.
pub fn accepted(job: &Job, mut set: LaneSet, of: Of) -> Result<LaneSet, Vec<NoLane>> {
    if set.lanes.is_empty() || job.strict && !set.left_out.is_empty() {
        return Err(set.left_out);
    }
    if let Some(corrections) = &job.corrections {
        corrections.apply(&mut set.lanes, of);
    }
    for lane in &mut set.lanes {
        let found = warnings::of(lane, &job.honing, job.tolerance);
        lane.findings.extend(found);
    }
    Ok(set)
}

/// Solves all lanes of a job, of its settings or of its kit, for a block with these sizes; bevels of the kit that no
/// fence serves are left out.
///
/// # Errors
/// Every lane of a setting that cannot be solved.
pub fn for_block(job: &Job, options: &BlockOptions, fence_within: Option<f64>) -> Result<LaneSet, Vec<NoLane>> {
    match &job.kit {
        None => build_all(&job.guide, &requests(job), options, job.tolerance, fence_within),
        Some(kit) => {
            on_a_block(options, fence_within, LaneSet::thickness_limit, |edge| Ok(of_kit::on_edge(job, kit, edge)))
        }
    }
}

/// A set of lanes and the block edge they were solved for.
#[derive(Debug, Clone, PartialEq)]
pub struct LaneSet {
    /// The lanes, in the order asked.
    pub lanes: Vec<Lane>,
    /// The edge of the block that serves them.
    pub edge: BlockEdge,
    /// The plan that they come from, of a kit.
    pub kit: Option<PlannedKit>,
    /// The bevels of a kit that no fence serves.
    pub left_out: Vec<NoLane>,
}

impl LaneSet {
    /// How their reader takes lengths.
    pub fn written(&self) -> Written {
        self.lanes.first().map_or(Written::of(Units::Mm), |lane| lane.request.written)
    }

    /// Thickest block that no roller strikes, mm; of a kit, with any of the blades that a block of some thickness serves.
    pub fn thickness_limit(&self) -> f64 {
        let of_lanes = || self.lanes.iter().map(|l| l.thickness_limit).fold(f64::INFINITY, f64::min);
        self.kit.as_ref().map_or_else(of_lanes, |planned| planned.plan.thickness_limit())
    }
}
