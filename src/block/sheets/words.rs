//! The page "Words and use" before the block's drawing: of the job's own guide at this very block.

use super::drawing::{body, title_block};
use crate::block::Layout;
use crate::block::cleat::Cleat;
use crate::drawing::frame::Title;
use crate::drawing::paper::{NONE, Paper};
use crate::job::Job;
use crate::shape::stack::Stack;
use crate::views::assembly::{Draft, beside_marks, cut_lane};
use crate::views::plan::Style;
use crate::views::words::Shown;
use crate::views::words::page::{self, CAUTIONS, KIND, NOTHING};

/// The page; none for a block without lanes.
pub fn sheet(job: &Job, layout: &Layout, cleat: Option<&Cleat>, stack: &Stack) -> Option<Draft> {
    // Beside the line in the lane's middle, so that the table shows whole.
    let placed = &beside_marks(cut_lane(&layout.lanes, Style::Dimensioned)?);
    let body = body(layout, cleat, stack, placed);
    let shown = Shown { placed, body: &body, lanes: &layout.lanes, length: layout.length, marks: layout.marks };
    let title =
        Title { kind: KIND.into(), tolerances: NOTHING.into(), unit: NOTHING.into(), ..title_block(job, layout, NONE) };
    let paper = Paper::sheet(job.sheet_size.unwrap_or(job.home_paper()), false);
    let named = format!("{KIND}: {}", layout.titled());
    let foot = [layout.hold_down(cleat.is_some()), CAUTIONS.to_string()];
    let sheet = page::sheet(&shown, &named, paper, title.clone(), &foot);
    Some(Draft { sheet, title })
}
