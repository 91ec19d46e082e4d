//! The page "Words and use" before the plan: of the job's own guide at this very jig.

use super::{CAUTIONS, Draft, Drawer, plan};
use crate::drawing::frame::Title;
use crate::drawing::paper::{NONE, Paper};
use crate::views::assembly::cut_lane;
use crate::views::plan::Style;
use crate::views::words::Shown;
use crate::views::words::page::{self, KIND, NOTHING, SHORT};

/// The page; none for a jig without lanes.
pub(super) fn sheet(drawer: &Drawer) -> Option<Draft> {
    let jig = drawer.jig;
    let placed = cut_lane(&jig.lanes, Style::Dimensioned)?;
    let body = plan::body(drawer, placed, NONE.name);
    let shown = Shown { placed, body: &body, lanes: &jig.lanes, length: jig.length, marks: true };
    let title = Title { tolerances: NOTHING.into(), unit: NOTHING.into(), ..drawer.title(SHORT, NONE) };
    let paper = Paper::sheet(drawer.size(), false);
    let named = format!("{KIND}: {}", jig.title);
    let sheet = page::sheet(&shown, &named, paper, title.clone(), &[CAUTIONS.to_string()]);
    Some(Draft { sheet, title })
}
