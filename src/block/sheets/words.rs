//! The page "Words and use" before the block's drawing: of the job's own guide at this very block.

use super::drawing::{body, title_block};
use crate::block::Layout;
use crate::block::cleat::{self, Cleat};
use crate::drawing::Sheet;
use crate::drawing::frame::Title;
use crate::drawing::paper::{NONE, Paper};
use crate::job::Job;
use crate::shape::polygon::microns;
use crate::shape::stack::Stack;
use crate::terms::Edge;
use crate::views::assembly::cut_lane;
use crate::views::plan::Style;
use crate::views::section::{CutPart, Lean};
use crate::views::words::Shown;
use crate::views::words::page::{self, CAUTIONS, KIND, NOTHING};

/// How far beside the lane's middle it is cut, by the width of the blade: between the marks.
const BESIDE: f64 = 0.125;

/// The page; none for a block without lanes.
pub fn sheet(job: &Job, layout: &Layout, cleat: Option<&Cleat>, stack: &Stack) -> Option<Sheet> {
    let mut placed = cut_lane(&layout.lanes, Style::Dimensioned)?.clone();
    // Beside the line in the lane's middle, so that the table shows whole.
    placed.centre += BESIDE * placed.blade_width;
    let placed = &placed;
    let mut body = body(layout, stack, placed);
    if let Some(cleat) = cleat {
        let [low, high] = [cleat.area.y0, cleat.area.y1];
        body.parts.push(CutPart {
            boxes: vec![[[microns(low), microns(high)], [-microns(cleat::HEIGHT), 0]]],
            lean: Lean::Left,
        });
        body.below = cleat::HEIGHT;
        // The bench meets the side of the cleat that is away from the edge in use.
        body.bench = if placed.edge == Edge::Far { layout.depth - low } else { high };
    }
    let shown = Shown { placed, body: &body, lanes: &layout.lanes, length: layout.length };
    let title_block =
        Title { kind: KIND.into(), tolerances: NOTHING.into(), unit: NOTHING.into(), ..title_block(job, layout, NONE) };
    let paper = Paper::sheet(job.sheet_size.unwrap_or(job.home_paper()), false);
    let title = format!("{KIND}: {}", layout.titled());
    Some(page::sheet(&shown, &title, paper, title_block, &[CAUTIONS.to_string()]))
}
