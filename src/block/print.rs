//! What a printer makes of a block: how it lies, how it is sliced, what it weighs, what to mind.
//!
//! How a print behaves is common practice, no source, unless a line says otherwise. Edges and fences are walls: the
//! printer's X and Y place them, whatever the layers are. A printed line that is too wide moves edge and fence the same
//! way, so that a fence distance keeps; only the scale of an axis changes it.

use super::Layout;
use crate::job::Job;
use crate::lane::FOOT_RELIEF;
use crate::lane::checks::{Finding, Rule};
use crate::shape::stack::Stack;
use crate::units::{FINE, short};

/// A level may be this far from a whole layer, as a part of one, before it is said.
const OFF_LAYER: f64 = 0.02;
/// Walls thinner than this many lines are weak.
const LINES: f64 = 4.0;

/// How to slice and print: what is set, and to what.
pub fn advice(job: &Job, layout: &Layout) -> Vec<[String; 2]> {
    let (print, written) = (&job.print, job.written);
    let turn = if layout.turned { "a quarter turned, its long edges along the bed's depth" } else { "as in the file" };
    let scale = match print.scale {
        Some(scale) => format!(
            "made up for in the file (X {}, Y {}): print at 100 %",
            short(1.0 / scale.x, 5),
            short(1.0 / scale.y, 5)
        ),
        None => "100 %; the test piece shows whether your printer needs more (stopwright testpiece)".into(),
    };
    let seam = match layout.seam_notches {
        Some(_) => "in the notches of the two ends; never on a fence or an edge",
        None => "on the ends; never on a fence or an edge",
    };
    let line = |what: &str, how: String| [what.to_string(), how];
    vec![
        line("lies", format!("on its board, fences up, {turn}")),
        line("supports", "none".into()),
        line("nozzle", format!("{} (labels and marks are made for it)", written.printer(print.nozzle))),
        line(
            "layer",
            format!(
                "{} or less. Layer height does not change the settings; thinner layers give smoother fences",
                written.printer(print.layer)
            ),
        ),
        line("walls", "three lines or more, outer walls slow and at one speed".into()),
        line("infill", "20 % or more, four closed layers on top".into()),
        line("seam", seam.into()),
        line("brim", "none, or cut it off clean: what is left sticks out at the edge".into()),
        line("scale", scale),
        line("filament", format!("{}, {} g/cm³", print.filament.name(), short(print.density, 2))),
        line("take off", "when the bed is cold: a warm block bends".into()),
    ]
}

/// What a printer will not make as it is drawn.
pub fn findings(job: &Job, layout: &Layout, stack: &Stack) -> Vec<Finding> {
    let (print, written) = (&job.print, job.written);
    let mut found = Vec::new();
    let mut warn = |message: String| found.push(Finding::warning(Rule::Block, message));
    let off = |z: &f64| {
        let layers = z / print.layer;
        (layers - layers.round()).abs() > OFF_LAYER
    };
    let levels: Vec<String> = stack
        .slabs
        .iter()
        .map(|s| f64::from(s.z[1]) / 1000.0)
        .filter(off)
        .map(|z| written.fixed(z, FINE).to_string())
        .collect();
    if !levels.is_empty() {
        warn(format!(
            "the levels at {} {} are not whole layers of {}. The slicer moves them: grooves and reliefs come out shallower or deeper, but fences stay where they are",
            levels.join(", "),
            written.unit(),
            written.printer(print.layer)
        ));
    }
    if layout.middle < LINES * print.nozzle {
        warn(format!(
            "the raised middle is {} thick at its thinnest, less than four lines of {}, so it bends",
            written.under(layout.middle),
            written.printer(print.nozzle)
        ));
    }
    if job.block.clearance < print.nozzle {
        warn(format!(
            "a nozzle of {} rounds the inner corners beside a fence, and lanes leave {} beside the blade: it may not reach the fence with its whole edge",
            written.printer(print.nozzle),
            written.length(job.block.clearance)
        ));
    }
    if layout.foot_relief.is_some() && print.nozzle > FOOT_RELIEF[0] {
        warn(format!(
            "a nozzle of {} closes the groove of {} at a fence's foot",
            written.printer(print.nozzle),
            written.length(FOOT_RELIEF[0])
        ));
    }
    let longest = layout.lanes.iter().map(|p| p.lane.fence()).fold(0.0, f64::max);
    if let Some(within) = print.scale.and_then(|s| s.within)
        && within * longest > layout.fence_within
    {
        warn(format!(
            "the measured scale is known to ±{}, which is {} at the longest fence, more than block.fence_within. Measure the test piece more often, or over longer steps",
            short(within, 5),
            written.length(within * longest)
        ));
    }
    found
}
