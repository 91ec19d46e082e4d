//! The block's sheet: plan, section, table, notes. It chooses paper, scale and arrangement itself: the first of a
//! stated list on which nothing overlaps.

use super::frame::{BARS_HEIGHT, BARS_WIDTH, Notes, TITLE_BLOCK, Title, check_bars, frame};
use super::paper::{FIFTH, FULL, HALF, Paper, Scale, TENTH, TWENTIETH};
use super::plan::{Plan, Style, label};
use super::section::Section;
use super::table::{Cell, Table};
use super::{Point, Sheet, clash};
use crate::emit::offsets::inches;
use crate::job::Job;
use crate::layout::regions::{self, Regions};
use crate::layout::{Layout, Placed, SCREW_HOLE};
use crate::profile::job::{EdgeFile, ProjectionAngle, SheetSize};
use crate::solid::slabs::Stack;
use crate::units::{Units, fixed, short};

/// No sheet takes the drawing without an overlap.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("the drawing of {lanes} lanes fits on no sheet up to A3 without overlaps: make two blocks of them")]
pub struct TooLarge {
    /// How many lanes were to be drawn.
    pub lanes: usize,
}

/// Draws the block's sheet.
///
/// # Errors
/// [`TooLarge`] where even tabular dimensioning on A3 overlaps.
pub fn sheet(job: &Job, layout: &Layout, stack: &Stack) -> Result<Sheet, TooLarge> {
    let regions = regions::of(layout);
    for style in [Style::Dimensioned, Style::Tabular] {
        let cut = cut_lane(layout, style).ok_or(TooLarge { lanes: 0 })?;
        let drawing = Drawing {
            job,
            layout,
            plan: Plan::new(layout, &regions, style, cut),
            section: Section::new(layout, stack, cut),
            table: table(layout, style),
            regions: &regions,
        };
        for (paper, scale) in candidates(job) {
            for parts in 1..=3 {
                if let Some(sheet) = drawing.on(paper, scale, parts)
                    && clash::find(&sheet).is_empty()
                {
                    return Ok(sheet);
                }
            }
        }
    }
    Err(TooLarge { lanes: layout.lanes.len() })
}

/// The lane that the section is cut through, of the near edge where it has any: the deepest, which shows most, or, in
/// the crowd of tabular dimensioning, one in the middle, clear of the overall dimensions.
fn cut_lane(layout: &Layout, style: Style) -> Option<&Placed> {
    let pick = |edge| {
        let lanes: Vec<&Placed> = layout.lanes.iter().filter(|p| p.edge == edge).collect();
        let fence = |p: &&&Placed| p.lane.fence();
        match style {
            Style::Dimensioned => lanes.iter().max_by(|a, b| fence(a).total_cmp(&fence(b))).copied(),
            Style::Tabular => lanes.get(lanes.len() / 2).copied(),
        }
    };
    pick(EdgeFile::Near).or_else(|| pick(EdgeFile::Far))
}

/// Papers and scales in the order they are tried: what a printer at home takes first, larger scales before smaller.
fn candidates(job: &Job) -> Vec<(Paper, Scale)> {
    let home = if job.units == Units::Inch { SheetSize::Letter } else { SheetSize::A4 };
    let order: Vec<(SheetSize, Scale)> = match job.sheet_size {
        Some(size) => [FULL, HALF, FIFTH, TENTH, TWENTIETH].map(|s| (size, s)).to_vec(),
        None => vec![
            (home, FULL),
            (home, HALF),
            (SheetSize::A3, FULL),
            (SheetSize::A3, HALF),
            (home, FIFTH),
            (SheetSize::A3, FIFTH),
            (SheetSize::A3, TENTH),
            (SheetSize::A3, TWENTIETH),
        ],
    };
    let turned = |(size, scale)| [false, true].map(|landscape| (Paper { size, landscape }, scale));
    order.into_iter().flat_map(turned).collect()
}

/// The table of offsets; with tabular dimensioning lanes are numbered and what the drawing can spare is left out.
fn table(layout: &Layout, style: Style) -> Table {
    let numbered = style == Style::Tabular;
    let full = [
        ["lane", ""],
        ["fence", "mm"],
        ["limits", "mm"],
        ["fence", "in, 1/64"],
        ["mm per", "degree"],
        ["inch gives", "°"],
        ["U (k = 2)", "°"],
    ];
    let columns = if numbered { 5 } else { full.len() };
    let mut heading: Vec<[String; 2]> = full[..columns].iter().map(|h| h.map(String::from)).collect();
    if numbered {
        heading[0][0] = "no., lane".into();
    }
    let row = |(i, placed): (usize, &Placed)| {
        let name = if numbered { format!("{} {}", i + 1, label(placed)) } else { label(placed) };
        let mut cells = vec![Cell::words(name)];
        cells.extend(values(placed));
        cells.truncate(columns);
        cells
    };
    let rows = layout.lanes.iter().enumerate().map(row).collect();
    Table { id: "offsets".into(), heading, rows }
}

/// A lane's numbers for the table, with the values they stand for.
fn values(placed: &Placed) -> Vec<Cell> {
    let lane = &placed.lane;
    let cell = |what: &str, words: String, value: f64| Cell {
        words,
        value: Some((format!("table-{}-{what}", lane.request.id), value)),
    };
    let (fraction, gives) = inches(lane);
    let fence = lane.fence();
    let slope = lane.setting.mm_per_degree;
    vec![
        cell("fence_distance", fixed(fence, 2), fence),
        cell("limits", format!("±{}", fixed(lane.fence_tolerance(), 2)), lane.fence_tolerance()),
        cell("inches", fraction.to_string(), fraction.mm()),
        cell("mm_per_degree", fixed(slope, 2), slope),
        gives.map_or(Cell::words("none"), |g| cell("inches_give", fixed(g, 2), g)),
        lane.setting.uncertainty.angle.map_or(Cell::words("–"), |u| cell("angle_uncertainty", fixed(u, 2), u)),
    ]
}

struct Drawing<'a> {
    job: &'a Job,
    layout: &'a Layout,
    plan: Plan<'a>,
    section: Section<'a>,
    table: Table,
    regions: &'a Regions,
}

/// Space between the parts of a sheet, mm.
const SPACE: f64 = 4.0;

impl Drawing<'_> {
    /// The sheet on this paper, if its parts go on it.
    fn on(&self, paper: Paper, scale: Scale, parts: usize) -> Option<Sheet> {
        let [upper, lower] = paper.frame();
        let area = [lower[0] - upper[0] - 2.0 * SPACE, lower[1] - upper[1] - SPACE];
        let (views, plan_at, section_at) = self.views(scale.factor);
        let table = self.table.size(parts);
        let bars = scale.factor == 1.0;
        // Bars stand beside the title block where the paper is wide enough, else above it.
        let bars_beside = area[0] - TITLE_BLOCK[0] >= BARS_WIDTH;
        let foot = TITLE_BLOCK[1] + SPACE + if bars && !bars_beside { BARS_HEIGHT + SPACE } else { 0.0 };
        let from = [upper[0] + SPACE, upper[1] + SPACE];
        let place = |notes_width: f64, table_at: Point, notes_at: Point| (table_at, notes_at, notes_width);
        let beside = area[0] - views[0] - 2.0 * SPACE;
        let clear_of_title = views[0] <= area[0] - TITLE_BLOCK[0] - SPACE && !(bars && bars_beside);
        let views_height = if clear_of_title { area[1] } else { area[1] - foot };
        let (table_at, notes_at, notes_width) = if beside >= table[0].max(70.0) && views[1] <= views_height {
            let x = from[0] + views[0] + 2.0 * SPACE;
            place(beside, [x, from[1] + 2.0], [x, from[1] + table[1] + SPACE + 2.0])
        } else if views[0] <= area[0] && table[0] <= area[0] {
            let y = from[1] + views[1] + SPACE;
            let notes_beside = area[0] - table[0] - 2.0 * SPACE;
            if notes_beside >= 70.0 {
                place(notes_beside, [from[0], y], [from[0] + table[0] + 2.0 * SPACE, y])
            } else {
                place(area[0], [from[0], y], [from[0], y + table[1] + SPACE])
            }
        } else {
            return None;
        };
        let notes = Notes::new(&self.notes(scale), notes_width);
        let bottom = (table_at[1] + table[1]).max(notes_at[1] + notes.height());
        if bottom > lower[1] - foot {
            return None;
        }
        let mut groups = frame(paper, &self.title(scale));
        groups.extend(self.plan.draw([from[0] + plan_at[0], from[1] + plan_at[1]], scale.factor));
        groups.extend(self.section.draw([from[0] + section_at[0], from[1] + section_at[1]], scale.factor));
        groups.extend(self.table.draw(table_at, parts));
        groups.push(notes.draw(notes_at));
        if bars {
            let y = if bars_beside { lower[1] - BARS_HEIGHT } else { lower[1] - TITLE_BLOCK[1] - BARS_HEIGHT };
            groups.extend(check_bars([from[0] + 2.0, y]));
        }
        Some(Sheet { title: format!("Setting block: {}", self.layout.title), paper, scale: scale.name.into(), groups })
    }

    /// Size of plan and section together, and where their origins lie in it.
    fn views(&self, k: f64) -> ([f64; 2], Point, Point) {
        let (p, s) = (self.plan.around(k), self.section.around(k));
        let left = p[0].max(s[0]);
        let width = left + k * self.layout.depth + p[1].max(s[1]);
        let plan_height = p[2] + k * self.layout.length + p[3];
        let block_height = k * (self.layout.thickness + self.layout.fence_height);
        let section_height = s[2] + block_height + s[3];
        let (plan_top, section_top) = match self.job.projection_angle {
            ProjectionAngle::Third => (0.0, plan_height),
            ProjectionAngle::First => (section_height, 0.0),
        };
        let size = [width, plan_height + section_height];
        (size, [left, plan_top + p[2]], [left, section_top + s[2] + block_height])
    }

    fn title(&self, scale: Scale) -> Title {
        Title {
            title: self.layout.title.clone(),
            kind: "Setting block".into(),
            guide: self.layout.guide.clone(),
            scale,
            projection: self.job.projection_angle,
            tolerances: "ISO 2768-m".into(),
        }
    }

    fn notes(&self, scale: Scale) -> Vec<String> {
        let l = self.layout;
        let mut notes = vec![
            format!(
                "Fence distances are from their own registering edge: near edge at the left, far edge at the right. Their limits keep the bevel within ±{}° of the angle.",
                short(l.tolerance, 3)
            ),
            format!(
                "Every fence parallel to its edge, every registering edge straight and square to the apron, within {} mm.",
                short(l.fence_within, 3)
            ),
        ];
        let corrected: Vec<String> = l
            .lanes
            .iter()
            .filter(|p| p.lane.correction != 0.0)
            .map(|p| {
                format!(
                    "{} {}{}",
                    label(p),
                    if p.lane.correction > 0.0 { "+" } else { "" },
                    fixed(p.lane.correction, 2)
                )
            })
            .collect();
        if !corrected.is_empty() {
            notes.push(format!(
                "Corrected block: fences moved by what an earlier one measured, mm: {}.",
                corrected.join(", ")
            ));
        }
        let mut reliefs = Vec::new();
        if let Some([width, height]) = l.front_relief {
            reliefs.push(format!("Relief {width} × {height} mm along all bottom edges."));
        }
        if let (Some([width, depth]), false) = (l.foot_relief, self.regions.grooves.is_empty()) {
            reliefs.push(format!("Groove {width} wide, {depth} deep at the foot of each fence."));
        }
        if !l.screw_holes.is_empty() {
            reliefs.push(format!(
                "Holes Ø {SCREW_HOLE} through, for a cleat below, held in a vise, or to screw the block down."
            ));
        }
        if !reliefs.is_empty() {
            notes.push(reliefs.join(" "));
        }
        notes.push(l.hold_down());
        notes.push("Face flat on the edge, blade flat on the apron, in line with the marks. Ease the blade up to the fence, burr off first. Turn the block round for the far edge.".into());
        notes.push("Computed, not tried at a bench: hone a test bevel and measure it before you trust a lane.".into());
        notes.push(
            "Sharp edges cut: keep fingers behind the edge. Follow your tools' makers' instructions and local rules."
                .into(),
        );
        if self.plan.style() == Style::Tabular {
            notes.push("Dimensions by lane number in the table (ISO 129-1, tabular dimensioning).".into());
        }
        if scale.factor == 1.0 {
            notes.push("Measure the check bars before you trust a print of this sheet.".into());
        }
        notes
    }
}
