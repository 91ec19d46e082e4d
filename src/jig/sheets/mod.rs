//! The wooden jig's sheets, in the order in which they are used at the bench.
//!
//! * `words`: the words, and the order of use.
//! * `plan`: plan, section and table of lanes.
//! * `shop`: the pages of all that follows but the template, packed; `piece`: what stands on them.
//! * `broken`: long parts, broken off where they repeat.
//! * `model`: the jig as solids; `picture`: how it looks put together and pulled apart, and how a fence is fixed.
//! * `parts`: every part with its sizes; `stock`: the cut list and how it comes out of stock.
//! * `work`: the order of work; `proving`: what was made against what was wanted, and the year's drift.
//! * `template`: the full-size template, on tiles and for machines.

mod broken;
mod hole;
mod model;
mod parts;
mod picture;
mod piece;
mod plan;
mod proving;
mod shop;
mod stock;
pub mod template;
mod words;
mod work;

use kurbo::Rect;

use super::Jig;
use crate::drawing::frame::{Title, frame};
use crate::drawing::paper::Scale;
use crate::drawing::tiles::Untileable;
use crate::drawing::{Group, Sheet};
use crate::job::Job;
use crate::layout::marked_title;
use crate::terms::PaperSize;
use crate::views::assembly::TooLarge;

/// What every sheet says, since each may hang alone at the bench.
pub(super) const CAUTIONS: &str = "Edges, saws, planes and drills cut, and dust harms eyes and lungs: wear eye protection, clamp small parts, keep hands behind the cutting edge and out of its way, clear the dust. The tools' makers' instructions and local rules come before this sheet.";

/// Why there are no sheets.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotDrawn {
    /// The plan goes on no sheet.
    #[error(transparent)]
    TooLarge(#[from] TooLarge),
    /// The template cannot be cut into tiles.
    #[error("the template")]
    Untileable(#[from] Untileable),
}

/// All sheets.
///
/// # Errors
/// [`NotDrawn`].
pub fn sheets(job: &Job, jig: &Jig) -> Result<Vec<Sheet>, NotDrawn> {
    let drawer = Drawer { job, jig };
    let mut drafts: Vec<Draft> = words::sheet(&drawer).into_iter().collect();
    let illustration = picture::illustration(&drawer);
    let (planned, left) = plan::sheets(&drawer, &illustration)?;
    drafts.extend(planned);
    drafts.extend(shop::sheets(&drawer, &left, &illustration));
    let tiles = template::sheets(&drawer, drafts.len())?;
    let count = drafts.len() + tiles.len();
    let numbered = drafts.into_iter().enumerate().map(|(i, draft)| draft.numbered([i + 1, count]));
    Ok(numbered.chain(tiles).collect())
}

/// The plan alone, for a screen, and the box around it; `None` of a jig without lanes.
pub fn plan_alone(job: &Job, jig: &Jig) -> Option<(Vec<Group>, Rect)> {
    plan::alone(&Drawer { job, jig })
}

/// A sheet whose number is not known yet.
#[derive(Clone)]
pub(super) struct Draft {
    sheet: Sheet,
    title: Title,
}

impl Draft {
    fn numbered(mut self, page: [usize; 2]) -> Sheet {
        self.title.page = page;
        self.sheet.groups.retain(|g| g.class != "frame");
        let rest = std::mem::take(&mut self.sheet.groups);
        self.sheet.groups = frame(self.sheet.paper, &self.title);
        self.sheet.groups.extend(rest);
        self.sheet
    }
}

/// What all sheets are drawn from.
pub(super) struct Drawer<'a> {
    job: &'a Job,
    jig: &'a Jig,
}

impl Drawer<'_> {
    /// The sheets asked for, else what the user's printer takes.
    fn size(&self) -> PaperSize {
        self.job.sheet_size.unwrap_or(self.home())
    }

    fn home(&self) -> PaperSize {
        if self.jig.written.mm { PaperSize::A4 } else { PaperSize::Letter }
    }

    fn title(&self, kind: &str, scale: Scale) -> Title {
        Title {
            title: marked_title(self.jig.title.clone(), &self.jig.lanes),
            kind: kind.into(),
            guide: self.jig.guide.clone(),
            fingerprint: Some(self.jig.fingerprint.clone()),
            scale,
            projection: self.job.projection_angle,
            tolerances: "ISO 2768-c".into(),
            unit: self.jig.written.unit().into(),
            block: None,
            page: [0, 0],
            date: self.job.date.clone(),
        }
    }

    /// A length as the shop reads it, with its unit.
    fn said(&self, mm: f64) -> String {
        self.jig.written.said(mm, 1)
    }

    /// A size that a tool or a screw has, in the unit it is sold in.
    fn tool(&self, mm: f64) -> String {
        self.jig.written.native(mm).to_string()
    }

    /// A length as the shop reads it, for dimensions.
    fn bare(&self, mm: f64) -> String {
        self.jig.written.bare(mm, 1)
    }
}
