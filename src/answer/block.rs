//! What is made of the job: its lanes and refusals, the plan, and one lane from the side.

use std::borrow::Cow;

use super::bench::Laid;
use super::guide::{WIDEST, settings};
use super::made::CUT_SHEET;
use super::parts::Parts;
use super::reply::{BlockPlan, BlockShown, FileKind, LaneShown};
use crate::block::{Layout, cleat, sheets::drawing};
use crate::error;
use crate::format::ArtifactKind;
use crate::jig::{self, Jig, board};
use crate::job::Job;
use crate::lane::checks::{Finding, Gravity};
use crate::lane::report::how_read;
use crate::lane::{Lane, NoLane};
use crate::lanes::LaneSet;
use crate::layout::Placed;
use crate::units::COARSE;
use crate::views::side_view::{self, Stand};

/// What is made of the bench's job; `lane` is shown from the side. Nothing is printed of a jig alone.
pub(super) fn shown(laid: &Laid, is_jig_alone: bool, lane: Option<&str>, parts: &mut Parts) -> BlockShown {
    let shown = BlockShown {
        form: laid.block.clone(),
        fingerprint: None,
        lanes: Vec::new(),
        table: None,
        selected: None,
        side: None,
        blocks: Vec::new(),
        jig: None,
        files: Vec::new(),
        notes: Vec::new(),
        faults: Vec::new(),
    };
    match &laid.job {
        Ok(job) => {
            let mut shown = of_job(laid, job, is_jig_alone, lane, parts, shown);
            shown.notes.splice(0..0, laid.taken_as_usual.iter().cloned());
            shown
        }
        Err(faults) => BlockShown { faults: faults.clone(), ..shown },
    }
}

fn of_job(
    laid: &Laid,
    job: &Job,
    is_jig_alone: bool,
    lane: Option<&str>,
    parts: &mut Parts,
    mut shown: BlockShown,
) -> BlockShown {
    let set = if is_jig_alone { lanes_in_wood(job).map(Cow::Owned) } else { laid.lanes().map(Cow::Borrowed) };
    let set = match set {
        Ok(set) => set,
        Err(faults) => return BlockShown { faults, ..shown },
    };
    shown.fingerprint = Some(job.fingerprint());
    shown.lanes = set.lanes.iter().map(|lane| lane_shown(lane, job)).collect();
    let all: Vec<&Lane> = set.lanes.iter().collect();
    shown.table = Some(settings(&all, job.written, how_read(&job.guide.name)));
    shown.notes = super::left_out(&set, job.written);
    let selected = lane.and_then(|id| all.iter().position(|lane| lane.request.id == id)).unwrap_or(0);
    shown.selected = Some(selected);
    let layouts: &[Layout] = match (!is_jig_alone).then(|| laid.layouts()) {
        None | Some(Err(_)) => &[],
        Some(Ok(Ok(layouts))) => layouts,
        Some(Ok(Err(refused))) => {
            // What a lane is refused for stands beside it.
            let of_a_lane = |line: &String| all.iter().any(|l| line.starts_with(&format!("{}: ", l.request.id)));
            shown.faults = refused.0.iter().filter(|line| !of_a_lane(line)).map(|line| error::sentence(line)).collect();
            &[]
        }
    };
    for (i, layout) in layouts.iter().enumerate() {
        for placed in &layout.lanes {
            if let Some(lane) = shown.lanes.iter_mut().find(|lane| lane.id == placed.lane.request.id) {
                (lane.edge, lane.block) = (Some(placed.edge.name().to_string()), Some(i));
            }
        }
        shown.blocks.push(block_plan(job, layout, i, parts));
    }
    if let Some(lane) = all.get(selected) {
        let of_lane = |layout: &&Layout| layout.lanes.iter().any(|p: &Placed| p.lane.request.id == lane.request.id);
        let stand = layouts.iter().find(of_lane).map_or(Stand::Stone, |layout| Stand::Block {
            edge: set.edge,
            fence_height: layout.fence_height,
            overhang: layout.overhang,
            foot_relief: layout.foot_relief.is_some(),
        });
        let (groups, area) = side_view::alone(&job.guide, lane, stand, WIDEST);
        let title = format!("{} {}, from the side", lane.request.label, lane.request.angle_words());
        shown.side = Some(parts.picture("side.svg", &title, &groups, area));
    }
    if job.asks_for_wood {
        // Of a jig alone the lanes are its own already.
        let jig = if is_jig_alone { laid_out(job, &set).map(|jig| (jig, Vec::new())) } else { beside(job) };
        match jig {
            Ok((jig, left_out)) => {
                shown.jig = Some(jig_plan(job, &jig, parts));
                shown.notes.extend(left_out);
            }
            Err(faults) => shown.faults.extend(faults),
        }
    }
    let jig_alone = || FileKind { kind: CUT_SHEET.into(), what: "the wooden jig".into() };
    shown.files = if is_jig_alone { vec![jig_alone()] } else { files(job) };
    shown
}

/// The wooden jig of a job that has a block as well, and what none of its lanes serves.
fn beside(job: &Job) -> Result<(Jig, Vec<String>), Vec<String>> {
    let (jig, set) = in_wood(job)?;
    Ok((jig, super::left_out(&set, job.wood.written)))
}

/// The wooden jig and its lanes.
pub(super) fn in_wood(job: &Job) -> Result<(Jig, LaneSet), Vec<String>> {
    let set = lanes_in_wood(job)?;
    Ok((laid_out(job, &set)?, set))
}

fn lanes_in_wood(job: &Job) -> Result<LaneSet, Vec<String>> {
    board::lanes(job).map_err(|failed: Vec<NoLane>| super::not_set(&failed, job.wood.written))
}

fn laid_out(job: &Job, set: &LaneSet) -> Result<Jig, Vec<String>> {
    jig::lay_out(job, set).map_err(|refused| super::refused(&refused))
}

fn lane_shown(lane: &Lane, job: &Job) -> LaneShown {
    let of = |gravity: Gravity| {
        let found = lane.findings.iter().filter(|f: &&Finding| f.gravity == gravity);
        found.map(|f| error::sentence(&super::filled_in(&job.written.reworded(&f.message)))).collect()
    };
    LaneShown {
        id: lane.request.id.clone(),
        name: format!("{} {}", lane.request.label, lane.request.angle_words()),
        edge: None,
        block: None,
        refused: of(Gravity::Refusal),
        warnings: of(Gravity::Warning),
        notes: of(Gravity::Note),
    }
}

fn block_plan(job: &Job, layout: &Layout, place: usize, parts: &mut Parts) -> BlockPlan {
    let cleat = job.block.cleat.then(|| cleat::cleat_of(layout).ok()).flatten();
    let drawn = drawing::plan_alone(layout, cleat.as_ref());
    let title = format!("{}, from above", layout.titled());
    let plan = drawn.map(|(groups, area)| parts.picture(&format!("plan-{}.svg", place + 1), &title, &groups, area));
    BlockPlan {
        name: layout.titled(),
        size: job.written.sides([layout.length, layout.depth, layout.thickness + layout.fence_height], COARSE),
        plan,
        held: layout.hold_down(cleat.is_some()),
        findings: super::said(&layout.findings),
    }
}

fn jig_plan(job: &Job, jig: &Jig, parts: &mut Parts) -> BlockPlan {
    let title = format!("{}, in wood, from above", jig.title);
    let drawn = jig::sheets::plan_alone(job, jig);
    let plan = drawn.map(|(groups, area)| parts.picture("plan-jig.svg", &title, &groups, area));
    BlockPlan {
        name: jig.title.clone(),
        size: jig.written.sides([jig.length, jig.depth], COARSE),
        plan,
        held: jig.hold_down(),
        findings: super::said(&jig.findings),
    }
}

/// The kinds of files that a job has.
fn files(job: &Job) -> Vec<FileKind> {
    let has = |kind: &ArtifactKind| {
        (job.kit.is_some() || !kind.is_of_kits()) && (job.asks_for_wood || *kind != ArtifactKind::Wood)
    };
    let kind = |kind: ArtifactKind| FileKind { kind: kind.name().into(), what: kind.what().into() };
    ArtifactKind::ALL.into_iter().filter(has).map(kind).collect()
}
