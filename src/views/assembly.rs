//! Plan, table, notes and, if wanted, a section on one sheet, which chooses paper, scale and arrangement itself: the first of a stated
//! list on which nothing overlaps.

use kurbo::{Point, Size, Vec2};

use super::plan::{PlanView, Style, Top};
use super::section::{Body, SectionView};
use crate::drawing::frame::{BARS_HEIGHT, BARS_WIDTH, Notes, TITLE_BLOCK, Title, check_bars, frame};
use crate::drawing::paper::{FIFTH, FULL, HALF, Paper, Scale, TENTH, TWENTIETH};
use crate::drawing::table::Table;
use crate::drawing::{Sheet, clash};
use crate::layout::Placed;
use crate::terms::{Edge, PaperSize, ProjectionAngle};

/// No sheet takes the drawing without an overlap.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("the drawing of {lanes} lanes fits on no sheet up to A3 without overlaps: make two blocks of them")]
pub struct TooLarge {
    /// How many lanes were to be drawn.
    pub lanes: usize,
}

/// What a section through a lane cuts.
type BodyAt<'a> = Box<dyn Fn(&Placed) -> Body<'a> + 'a>;

/// A table, by the way of dimensioning.
type TableOf<'a> = Box<dyn Fn(Style) -> Table + 'a>;

/// What goes on the sheet.
pub struct Assembly<'a> {
    /// Title of the drawing, for readers that cannot see it.
    pub title: String,
    /// The title block, for a scale.
    pub title_block: Box<dyn Fn(Scale) -> Title + 'a>,
    /// Ways of dimensioning in the order they are tried.
    pub styles: &'static [Style],
    /// Papers and scales in the order they are tried.
    pub papers: Vec<(Paper, Scale)>,
    /// What is seen from above.
    pub top: Top<'a>,
    /// What a section through a lane cuts, where it goes on this sheet.
    pub body: Option<BodyAt<'a>>,
    /// The table of lanes, where it goes on this sheet.
    pub table: Option<TableOf<'a>>,
    /// The notes.
    pub notes: Box<dyn Fn(Style, Scale) -> Vec<String> + 'a>,
}

impl Assembly<'_> {
    /// The sheet.
    ///
    /// # Errors
    /// [`TooLarge`] where everything overlaps.
    pub fn sheet(&self) -> Result<Sheet, TooLarge> {
        let lanes = self.top.lanes;
        let too_large = TooLarge { lanes: lanes.len() };
        for &style in self.styles {
            let cut = cut_lane(lanes, style).ok_or(too_large.clone())?;
            let body = self.body.as_ref().map(|body| body(cut));
            let drawing = Drawing {
                assembly: self,
                plan: PlanView::new(&self.top, style, cut),
                section: body.as_ref().map(|body| SectionView::new(body, cut)),
                table: self.table.as_ref().map(|table| table(style)),
                style,
            };
            for &(paper, scale) in &self.papers {
                for parts in 1..=3 {
                    if let Some(sheet) = drawing.on(paper, scale, parts)
                        && clash::find(&sheet).is_empty()
                    {
                        return Ok(sheet);
                    }
                }
            }
        }
        Err(too_large)
    }
}

/// Papers and scales in the order they are tried: the stated size, or what a printer at home takes first; larger scales
/// before smaller.
pub fn candidates(size: Option<PaperSize>, home: PaperSize) -> Vec<(Paper, Scale)> {
    turned(match size {
        Some(size) => [FULL, HALF, FIFTH, TENTH, TWENTIETH].map(|s| (size, s)).to_vec(),
        None => vec![
            (home, FULL),
            (home, HALF),
            (PaperSize::A3, FULL),
            (PaperSize::A3, HALF),
            (home, FIFTH),
            (PaperSize::A3, FIFTH),
            (PaperSize::A3, TENTH),
            (PaperSize::A3, TWENTIETH),
        ],
    })
}

/// Each paper upright, then level.
pub fn turned(order: Vec<(PaperSize, Scale)>) -> Vec<(Paper, Scale)> {
    let turned = |(size, scale)| [false, true].map(|landscape| (Paper::sheet(size, landscape), scale));
    order.into_iter().flat_map(turned).collect()
}

/// The lane that the section is cut through, of the near edge where it has any: the deepest, which shows most, or, in
/// the crowd of tabular dimensioning, one in the middle, clear of the overall dimensions.
pub fn cut_lane(lanes: &[Placed], style: Style) -> Option<&Placed> {
    let pick = |edge| {
        let of_edge: Vec<&Placed> = lanes.iter().filter(|p| p.edge == edge).collect();
        let fence = |p: &&&Placed| p.lane.fence();
        match style {
            Style::Dimensioned => of_edge.iter().max_by(|a, b| fence(a).total_cmp(&fence(b))).copied(),
            Style::Tabular => of_edge.get(of_edge.len() / 2).copied(),
        }
    };
    pick(Edge::Near).or_else(|| pick(Edge::Far))
}

struct Drawing<'p, 'a> {
    assembly: &'p Assembly<'a>,
    plan: PlanView<'p, 'a>,
    section: Option<SectionView<'p, 'a>>,
    table: Option<Table>,
    style: Style,
}

/// Space between the parts of a sheet, mm.
const SPACE: f64 = 4.0;

impl Drawing<'_, '_> {
    /// The sheet on this paper, if its parts go on it.
    fn on(&self, paper: Paper, scale: Scale, parts: usize) -> Option<Sheet> {
        let bounds = paper.frame();
        let area = Size::new(bounds.width() - 2.0 * SPACE, bounds.height() - SPACE);
        let (views, plan_at, section_at) = self.views(scale.factor);
        let table = self.table.as_ref().map_or(Size::ZERO, |t| t.size(parts));
        let bars = scale.factor == 1.0;
        // Bars stand beside the title block where the paper is wide enough, else above it.
        let bars_beside = area.width - TITLE_BLOCK.width >= BARS_WIDTH;
        let foot = TITLE_BLOCK.height + SPACE + if bars && !bars_beside { BARS_HEIGHT + SPACE } else { 0.0 };
        let from = bounds.origin() + (SPACE, SPACE);
        let beside = area.width - views.width - 2.0 * SPACE;
        let clear_of_title = views.width <= area.width - TITLE_BLOCK.width - SPACE && !(bars && bars_beside);
        let views_height = if clear_of_title { area.height } else { area.height - foot };
        let (table_at, notes_at, notes_width) = if beside >= table.width.max(70.0) && views.height <= views_height {
            let x = from.x + views.width + 2.0 * SPACE;
            (Point::new(x, from.y + 2.0), Point::new(x, from.y + table.height + SPACE + 2.0), beside)
        } else if views.width <= area.width && table.width <= area.width {
            let at = from + (0.0, views.height) + (0.0, SPACE);
            let notes_beside = area.width - table.width - 2.0 * SPACE;
            if notes_beside >= 70.0 {
                (at, at + (table.width, 0.0) + (2.0 * SPACE, 0.0), notes_beside)
            } else {
                (at, at + (0.0, table.height) + (0.0, SPACE), area.width)
            }
        } else {
            return None;
        };
        let notes = Notes::new(&(self.assembly.notes)(self.style, scale), notes_width);
        let bottom = (table_at.y + table.height).max(notes_at.y + notes.height());
        if bottom > bounds.y1 - foot {
            return None;
        }
        let mut groups = frame(paper, &(self.assembly.title_block)(scale));
        groups.extend(self.plan.draw(from + plan_at, scale.factor));
        if let Some(section) = &self.section {
            groups.extend(section.draw(from + section_at, scale.factor));
        }
        groups.extend(self.table.iter().flat_map(|t| t.draw(table_at, parts)));
        groups.push(notes.draw(notes_at));
        if bars {
            let y = if bars_beside { bounds.y1 - BARS_HEIGHT } else { bounds.y1 - TITLE_BLOCK.height - BARS_HEIGHT };
            groups.extend(check_bars((from.x + 2.0, y)));
        }
        Some(Sheet { title: self.assembly.title.clone(), paper, scale: scale.name.into(), groups })
    }

    /// Size of plan and section together, and where their origins lie in it.
    fn views(&self, k: f64) -> (Size, Vec2, Vec2) {
        let p = self.plan.around(k);
        let (s, block_height) = match &self.section {
            Some(section) => (section.around(k), k * section.height()),
            None => ([0.0; 4], 0.0),
        };
        let left = p[0].max(s[0]);
        let width = left + k * self.assembly.top.depth + p[1].max(s[1]);
        let plan_height = p[2] + k * self.assembly.top.length + p[3];
        let section_height = s[2] + block_height + s[3];
        let (plan_top, section_top) = match (self.assembly.title_block)(FULL).projection {
            ProjectionAngle::Third => (0.0, plan_height),
            ProjectionAngle::First => (section_height, 0.0),
        };
        let size = Size::new(width, plan_height + section_height);
        (size, Vec2::new(left, plan_top + p[2]), Vec2::new(left, section_top + s[2] + block_height))
    }
}
