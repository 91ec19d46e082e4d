//! The lanes of a kit: a fence each, with the blades that it serves.

use super::{LaneSet, ROUNDING};
use crate::job::Job;
use crate::kit::advice::Advice;
use crate::kit::fences::{Fence, FencePlan};
use crate::kit::interval::{self, Ask, Bench, Unserved};
use crate::kit::{Kit, KitBlade, PlannedKit};
use crate::lane::checks::{Finding, Rule};
use crate::lane::{self, BlockEdge, Lane, Member, NoLane};
use crate::terms::{self, Edge, SeatName};

/// The lanes of a job's kit on a block with the given edge, and the bevels that have none. Where blades of two seats do
/// not share fences, each long edge serves one seat.
pub fn on_edge(job: &Job, kit: &Kit, edge: BlockEdge) -> LaneSet {
    let bench = bench(job, edge);
    let planned = PlannedKit::new(kit, &bench);
    let PlannedKit { advice, plan } = &planned;
    let whose = |ask: usize| {
        let blade = plan.asks[ask].blade;
        Whose { blade: &kit.blades[blade], advice: &advice[blade], bench: &bench, name: kit.blades[blade].name.clone() }
    };
    let (lanes, unsolved) = of_fences(plan, whose);
    let unserved = plan.unserved.iter().map(|u| unserved(u, kit.blades[u.blade].name.clone()));
    let left_out = unserved.chain(unsolved).collect();
    LaneSet { lanes, edge, kit: Some(planned), left_out }
}

/// What is told of a bevel that no fence serves, by its blade's name.
pub(crate) fn unserved(unserved: &Unserved, name: String) -> NoLane {
    NoLane::Unserved {
        name,
        bevel: unserved.bevel,
        angle: unserved.angle,
        cause: unserved.cause.clone(),
        reach: unserved.reach,
    }
}

/// Whose a bevel is that a fence serves.
pub(crate) struct Whose<'a> {
    /// The blade.
    pub blade: &'a KitBlade,
    /// What is advised of it.
    pub advice: &'a Advice,
    /// Its guide at the block.
    pub bench: &'a Bench<'a>,
    /// What the blade is called.
    pub name: String,
}

/// A lane for each fence of a plan, in its order, and those that have none; `whose` tells of every bevel of the plan whose
/// it is. Where blades of two seats do not share fences, each long edge serves one seat.
pub(crate) fn of_fences<'a>(plan: &'a FencePlan, whose: impl Fn(usize) -> Whose<'a>) -> (Vec<Lane>, Vec<NoLane>) {
    let (mut lanes, mut unsolved) = (Vec::new(), Vec::new());
    for (index, fence) in plan.fences.iter().enumerate() {
        match of_fence(index, fence, &plan.asks, &whose) {
            Ok(lane) => lanes.push(lane),
            Err(cause) => unsolved.push(cause),
        }
    }
    if !plan.across_seats {
        an_edge_a_seat(&mut lanes);
    }
    (lanes, unsolved)
}

/// Where the fences of a job's kit are looked for. A job that is made in print and in wood has the same fences in both,
/// as its cards speak of one set of lanes.
pub fn bench(job: &Job, edge: BlockEdge) -> Bench<'_> {
    let own = edge.fence_within.unwrap_or(0.0);
    Bench {
        guide: &job.guide,
        level: job.roller_level,
        edge,
        tolerance: job.tolerance,
        across_seats: job.across_seats,
        made_within: if job.states_wood { own.max(job.block.fence_within).max(job.wood.fence_within) } else { own },
        written: job.written,
    }
}

/// With blades of both seats, plane irons go to the near edge and chisels to the far one.
fn an_edge_a_seat(lanes: &mut [Lane]) {
    let has = |seat| lanes.iter().any(|l| l.request.seat == seat);
    if has(SeatName::Iron) && has(SeatName::Chisel) {
        for lane in lanes {
            lane.request.edge = Some(if lane.request.seat == SeatName::Iron { Edge::Near } else { Edge::Far });
        }
    }
}

/// A blade's bevel in the lane of a fence.
struct Served<'a> {
    ask: &'a Ask,
    whose: Whose<'a>,
    lane: Lane,
}

/// The lane of a fence: that of its thickest blade at the angle that the fence sets there, for layout and drawings,
/// with the rules and limits of all.
fn of_fence<'a>(
    index: usize,
    fence: &Fence,
    asks: &'a [Ask],
    whose: &impl Fn(usize) -> Whose<'a>,
) -> Result<Lane, NoLane> {
    let served = fence
        .members
        .iter()
        .map(|&i| {
            let (ask, whose) = (&asks[i], whose(i));
            let angle = ask.angle + ask.error(fence.distance).unwrap_or(0.0);
            let request = interval::request(whose.blade, ask.bevel, angle, whose.advice, whose.bench);
            let lane = lane::build(whose.bench.guide, &request, whose.bench.edge, whose.bench.tolerance)?;
            Ok(Served { ask, whose, lane })
        })
        .collect::<Result<Vec<_>, NoLane>>()?;
    let thickness = |s: &Served<'_>| {
        let t = s.whose.blade.blade.thickness;
        t.mm + t.within.unwrap_or(0.0)
    };
    // The first of the thickest.
    let chosen = served.iter().reduce(|a, b| if thickness(b) > thickness(a) { b } else { a });
    let chosen = chosen.expect("a fence serves at least the bevel that forced it");
    let mut lane = chosen.lane.clone();
    if served.iter().any(|s| !std::ptr::eq(s.whose.bench.guide, chosen.whose.bench.guide)) {
        // Of several guides the least certain, and one of which nothing is known most of all.
        let known = |s: &&Served<'_>| s.lane.setting.uncertainty.angle.unwrap_or(f64::INFINITY);
        let least = served.iter().max_by(|a, b| known(a).total_cmp(&known(b)));
        lane.setting.uncertainty = least.unwrap_or(chosen).lane.setting.uncertainty;
    }
    let all = || served.iter().map(|s| &s.lane);
    lane.limits = fence.common;
    lane.table_support = all().map(|l| l.table_support).fold(f64::INFINITY, f64::min);
    lane.face_bearing = all().filter_map(|l| l.face_bearing).reduce(f64::min);
    lane.roller_below_table = all().map(|l| l.roller_below_table).fold(0.0, f64::max);
    lane.overhang = all().map(|l| l.overhang).fold(0.0, f64::max);
    lane.thickness_limit = all().map(|l| l.thickness_limit).fold(f64::INFINITY, f64::min);
    lane.findings = findings(&served);
    lane.findings.extend(little_room(fence, chosen.whose.bench));
    lane.members = served.iter().map(member).collect();
    let request = &mut lane.request;
    let letter = terms::letter(index);
    request.tool = common(served.iter().map(|s| s.whose.blade.tool())).map(str::to_string);
    request.label = request.tool.as_ref().map_or_else(|| letter.clone(), |tool| format!("{letter} {tool}"));
    request.id = letter;
    request.width = all().filter_map(|l| l.request.width).reduce(f64::max);
    let angles = || served.iter().map(|s| s.ask.angle);
    request.asked = Some([angles().fold(f64::INFINITY, f64::min), angles().fold(0.0, f64::max)]);
    Ok(lane)
}

/// A fence that must be made more exactly than a fence can.
fn little_room(fence: &Fence, bench: &Bench<'_>) -> Option<Finding> {
    let (room, within) = (fence.room(), bench.edge.fence_within?);
    (room < within - ROUNDING).then(|| {
        let message = format!(
            "its blades share this fence, so it must be within {}, closer than the {} you said you can work to. A smaller tolerance gives more fences with more room each",
            bench.written.under(room),
            bench.written.length(within)
        );
        Finding::warning(Rule::Sharing, message)
    })
}

/// What all have in common.
fn common<'a>(mut all: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let first = all.next()?;
    all.all(|other| other == first).then_some(first)
}

fn member(served: &Served<'_>) -> Member {
    let allowed = served.ask.allowed().map(|error| served.ask.angle + error);
    Member {
        blade: served.ask.blade,
        name: served.whose.name.clone(),
        bevel: served.ask.bevel,
        wanted: served.ask.angle,
        allowed,
        request: served.lane.request.clone(),
        section: served.lane.setting.section,
    }
}

/// What the rules found, blade by blade; what is the same of several is said once, of the first. What could not be checked
/// is the guide's doing, and no blade's.
fn findings(served: &[Served<'_>]) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for one in served {
        for finding in &one.lane.findings {
            if !found.iter().any(|f| f.rule == finding.rule && f.message.ends_with(&finding.message)) {
                let whose = if finding.is_unchecked() { String::new() } else { format!("{}: ", one.whose.name) };
                found.push(Finding { message: format!("{whose}{}", finding.message), ..finding.clone() });
            }
        }
    }
    found
}
