//! Lanes in their places: shared out over the two edges and over blocks, and put in order.
//!
//! Plan frame: `x` along the edges, `y` from the near edge (0) to the far edge, mm.
//!
//! 1. [`edges`] shares the lanes out between the two edges.
//! 2. [`order`] puts them in the order that needs the least depth, and proves it.
//! 3. [`split`] shares lanes that are too many for the printer's bed out over several blocks.
//!
//! [`marks`] says where lines are marked on a lane's table.

use crate::error;
use crate::lane::checks::{Gravity, Rule};
use crate::lane::{BlockOptions, Lane, notes};
use crate::terms::Edge;
use crate::units::{FINE, Units, Written, falls_short, short};
use order::Strip;

pub mod edges;
pub mod marks;
pub mod order;
pub mod split;

/// How much the fence stands above the thickest blade at least, mm.
pub const FENCE_OVER_BLADE: f64 = 2.0;

/// Added to the overhang that lets a roller pass the bench's edge, mm.
pub const OVERHANG_MARGIN: f64 = 5.0;

/// A raised middle beside the lanes keeps this far from a reference edge, mm, so that only the board's edge registers.
pub const SETBACK: f64 = 2.0;

/// A lane in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The lane.
    pub lane: Lane,
    /// The edge it is used from.
    pub edge: Edge,
    /// Extent along the edge, mm, with the margin of an end lane.
    pub x: [f64; 2],
    /// Where the middle of the blade goes, mm.
    pub centre: f64,
    /// Width of its widest blade, mm.
    pub blade_width: f64,
}

impl Placed {
    /// What the lane is called on drawings.
    pub fn label(&self) -> String {
        format!("{} {}", self.lane.request.label, self.lane.request.angle_words())
    }
}

/// Why no block can be laid out: every refusal, lane by lane.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", .0.join("\n"))]
pub struct Refused(pub Vec<String>);

/// What makes lanes doubtful before anything else, and what their rollers need: it stands first among a sheet's notes.
/// `said` writes a length with its unit.
pub fn first_notes(lanes: &[Placed], said: impl Fn(f64) -> String) -> Vec<String> {
    let all = || lanes.iter().map(|placed| &placed.lane);
    let levels = notes::levels(all(), said).into_iter().map(|words| error::sentence(&words));
    notes::lands(all()).into_iter().chain(levels).collect()
}

/// What could not be checked of the lanes, as the guide's profile lacks a length, and what is a known setting.
pub fn unchecked_notes(lanes: &[Placed]) -> Vec<String> {
    let unchecked = notes::unchecked(lanes.iter().map(|placed| &placed.lane));
    let known = lanes.iter().flat_map(|placed| {
        let of_rule = placed.lane.findings.iter().filter(|f| f.rule == Rule::KnownSetting);
        of_rule.map(|f| format!("{}: {}", placed.label(), f.message))
    });
    unchecked.into_iter().chain(known).map(|words| error::sentence(&words)).collect()
}

/// What the limits of the fences hold and what they do not, and the blades with which that is more than is allowed;
/// `tolerance` is ± degrees.
pub fn limit_notes(lanes: &[Placed], tolerance: f64) -> Vec<String> {
    let tolerance = short(tolerance, 3);
    let mut notes = vec![format!(
        "Measure each fence from the edge it is used from (near edge at the bottom of the plan, far edge at the top). Within the limits shown, a fence shifts its bevel by ±{tolerance}° at most. ± angle: of block and guide, expanded uncertainty, k = 2."
    )];
    let is_uncertain = |p: &&Placed| p.lane.findings.iter().any(|f| f.rule == Rule::Uncertain);
    let mut uncertain: Vec<&str> = Vec::new();
    for placed in lanes.iter().filter(is_uncertain) {
        if !uncertain.contains(&placed.lane.request.label.as_str()) {
            uncertain.push(&placed.lane.request.label);
        }
    }
    if !uncertain.is_empty() {
        notes.push(format!(
            "Warning: ± angle is more than the ±{tolerance}° allowed with {}. Measure guide and blade better, or prove the angle on a plate.",
            uncertain.join(", ")
        ));
    }
    notes
}

/// Whether any fence is corrected: what is drawn then says so in its title.
pub fn corrected(lanes: &[Placed]) -> bool {
    lanes.iter().any(|p| p.lane.correction.is_any())
}

/// A title, marked where what it stands over is corrected.
pub fn marked_title(title: String, lanes: &[Placed]) -> String {
    if corrected(lanes) { format!("CORRECTED: {title}") } else { title }
}

/// What was corrected, in words, a note a cause.
pub fn correction_notes(lanes: &[Placed], written: Written) -> Vec<String> {
    let unit = written.unit();
    let said = |of: fn(&Lane) -> f64| {
        let moved = lanes.iter().filter(|p| of(&p.lane) != 0.0);
        let words: Vec<String> =
            moved.map(|p| format!("{} {}", p.label(), written.signed(of(&p.lane), FINE))).collect();
        (!words.is_empty()).then(|| words.join(", "))
    };
    let making = said(|lane| lane.correction.making).map(|moved| {
        format!("CORRECTED, because an earlier block came out off. Finish and measure the fences at the distances given. The files and the views have them moved, {unit}: {moved}.")
    });
    let guide = said(|lane| lane.correction.guide).map(|moved| {
        format!(
            "CORRECTED for the guide error that measured angles showed. The distances given include, {unit}: {moved}."
        )
    });
    making.into_iter().chain(guide).collect()
}

/// What the rules refuse, lane by lane.
pub(crate) fn refusals(lanes: &[Lane]) -> Vec<String> {
    let of = |lane: &Lane| {
        let refused = lane.findings.iter().filter(|f| f.gravity == Gravity::Refusal);
        refused.map(|f| format!("{}: {}", lane.request.id, f.message)).collect::<Vec<_>>()
    };
    lanes.iter().flat_map(of).collect()
}

/// Thickness of the thickest blade, its tolerance included, mm.
pub(crate) fn thickest(lanes: &[Lane]) -> f64 {
    let of_kit = lanes.iter().flat_map(|l| &l.members).map(|m| &m.request);
    let all = lanes.iter().map(|l| &l.request).chain(of_kit);
    all.map(|r| r.blade.thickness).map(|t| t.mm + t.within.unwrap_or(0.0)).fold(0.0, f64::max)
}

/// Height of the fences where none is stated, mm: 4 mm over the thickest blade, and at least 8 mm.
pub fn usual_fence_height(lanes: &[Lane]) -> f64 {
    (thickest(lanes) + 4.0).ceil().max(8.0)
}

/// The fences' height: as stated if it is enough, else the usual one.
pub fn fence_height(options: &BlockOptions, lanes: &[Lane], refusals: &mut Vec<String>) -> f64 {
    let thickest = thickest(lanes);
    let least = thickest + FENCE_OVER_BLADE;
    let written = lanes.first().map_or(Written::of(Units::Mm), |lane| lane.request.written);
    match options.fence_height {
        None => usual_fence_height(lanes),
        Some(stated) => {
            if falls_short(stated, least) {
                refusals.push(format!(
                    "block.fence_height: fences {} high are too low. The thickest blade is {}, so give at least {}",
                    written.under(stated),
                    written.length(thickest),
                    written.over(least)
                ));
            }
            stated
        }
    }
}

/// The lanes of a plan in their places: near edge from left to right, then far edge.
pub(crate) fn placed(plan: &order::LanePlan, lanes: &[Lane]) -> Vec<Placed> {
    let in_place = |strips: &[Strip], edge| -> Vec<Placed> {
        strips
            .iter()
            .filter_map(|s| {
                let lane = s.lane.as_ref()?;
                Some(Placed {
                    lane: lanes[lane.index].clone(),
                    edge,
                    x: s.x,
                    centre: lane.centre,
                    blade_width: lane.blade_width,
                })
            })
            .collect()
    };
    let mut all = in_place(&plan.near, Edge::Near);
    all.extend(in_place(&plan.far, Edge::Far));
    all
}
