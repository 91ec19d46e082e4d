//! The printed block's sheet.

use crate::block::regions::{self, Regions};
use crate::block::{Layout, SCREW_HOLE};
use crate::drawing::frame::Title;
use crate::drawing::paper::{Paper, Scale};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::table::{Cell, Table};
use crate::drawing::view::View;
use crate::drawing::{Group, Sheet};
use crate::job::Job;
use crate::lane::Lane;
use crate::lane::report::inches;
use crate::layout::Placed;
use crate::shape::polygon::{self, Outline, Region, millimetres};
use crate::shape::stack::Stack;
use crate::terms::PaperSize;
use crate::units::{EXACT, FINE, Written, fixed};
use crate::views::assembly::{Assembly, TooLarge, candidates};
use crate::views::plan::{Style, Top};
use crate::views::section::{Body, CutPart, Lean, crossings};

/// Draws the block's sheet.
///
/// # Errors
/// [`TooLarge`] where even tabular dimensioning on A3 overlaps.
pub fn sheet(job: &Job, layout: &Layout, stack: &Stack) -> Result<Sheet, TooLarge> {
    let regions = regions::regions_of(layout);
    let on = |papers: Vec<(Paper, Scale)>| {
        Assembly {
            title: format!("Setting block: {}", layout.titled()),
            title_block: Box::new(|scale| title_block(job, layout, scale)),
            styles: &[Style::Dimensioned, Style::Tabular],
            papers,
            top: Top {
                length: layout.length,
                depth: layout.depth,
                lanes: &layout.lanes,
                marks: layout.marks,
                features: Box::new(|view| features(layout, &regions, view)),
                words: Box::new(fence_words),
                size: Box::new(|mm| layout.written.fixed(mm, FINE).to_string()),
            },
            body: Some(Box::new(|placed| body(layout, stack, placed))),
            table: Some(Box::new(|style| table(layout, style))),
            notes: Box::new(|style, scale| notes(layout, &regions, style, scale)),
        }
        .sheet()
    };
    let home = job.home_paper();
    // Where lengths are in inches nobody has A3: all that Letter takes is tried first.
    if (job.sheet_size, home) == (None, PaperSize::Letter)
        && let Ok(sheet) = on(candidates(Some(home), home))
    {
        return Ok(sheet);
    }
    on(candidates(job.sheet_size, home))
}

/// What a section through a lane cuts.
pub(super) fn body<'a>(layout: &'a Layout, stack: &Stack, placed: &Placed) -> Body<'a> {
    Body {
        depth: layout.depth,
        thickness: layout.thickness,
        fence_height: layout.fence_height,
        bench: layout.overhang,
        below: 0.0,
        title: "A–A".into(),
        parts: vec![CutPart { boxes: cut(stack, placed), lean: Lean::Right }],
        size: Box::new(|mm| layout.written.fixed(mm, FINE).to_string()),
    }
}

/// What the section at a lane cuts of the slabs, µm.
fn cut(stack: &Stack, placed: &Placed) -> Vec<[[i32; 2]; 2]> {
    let cuts = |slab: &crate::shape::stack::Slab| {
        let z = slab.z;
        crossings(&slab.region, placed.centre).into_iter().map(move |y| [y, z])
    };
    stack.slabs.iter().flat_map(cuts).collect()
}

/// The finished fence distance with its limits, as it is dimensioned.
fn fence_words(placed: &Placed) -> String {
    placed.lane.fence_words()
}

fn features(layout: &Layout, regions: &Regions, view: &View) -> Vec<Group> {
    let corners = |o: &Outline| view.outline(o);
    let area = |r: &Region| polygon::area(r);
    let mut board = Group::new("plan-board", "feature").with("area", area(&regions.board));
    board.path([corners(&regions.board[0])], true, Pen::Wide, Fill::None);
    let mut cuts = Group::new("plan-grooves", "feature");
    for groove in &regions.grooves {
        cuts.path([corners(groove)], true, Pen::Narrow, Fill::None);
    }
    let mut marks = Group::new("plan-marks", "feature");
    for mark in &regions.marks {
        let [a, b, c, d] = [mark[0], mark[1], mark[2], mark[3]].map(millimetres);
        marks.line(view.at(a.midpoint(b)), view.at(c.midpoint(d)), Pen::Narrow);
    }
    let mut middle = Group::new("plan-middle", "feature").with("area", area(&regions.middle));
    middle.path([corners(&regions.middle[0])], true, Pen::Wide, Fill::Tint);
    let mut letters = Group::new("plan-labels", "feature").with("area", area(&regions.letters));
    if !regions.letters.is_empty() {
        letters.path(regions.letters.iter().map(corners), true, Pen::None, Fill::Ink);
    }
    let mut holes = Group::new("plan-screw-holes", "feature").with("diameter", SCREW_HOLE);
    for hole in &layout.screw_holes {
        let centre = view.at(*hole);
        let radius = SCREW_HOLE / 2.0 * view.scale;
        holes.circle(centre, radius, Pen::Wide, Fill::Paper);
        holes.cross(centre, radius + 1.5, Pen::Chain);
    }
    vec![board, cuts, marks, middle, letters, holes]
}

/// A column of the table of lanes.
struct Column {
    heading: [String; 2],
    /// Whether a numbered table goes without it: the change a degree, what a fraction gives, and the fraction beside
    /// millimetres.
    spared: bool,
    cell: fn(&Placed) -> Cell,
}

/// The columns beside the lane's name, for a shop that reads lengths so.
fn columns(written: Written, moved: bool) -> Vec<Column> {
    let unit = written.unit();
    let column =
        |first: &str, second: &str, cell| Column { heading: [first, second].map(String::from), spared: false, cell };
    let mut all = vec![column("fence", unit, fence_cell), column("limits", unit, limits_cell)];
    if moved {
        // Beside what is to be finished, where the files have the fence.
        all.push(column("in the file", unit, in_file));
    }
    if written.inches {
        let fraction = column("fence", &format!("in, 1/{}", written.denominator), fraction_cell);
        all.push(Column { spared: written.mm, ..fraction });
    }
    all.push(Column { spared: true, ..column(&format!("{unit} per"), "degree", slope_cell) });
    if written.inches {
        all.push(Column { spared: true, ..column("fraction", "gives, °", gives_cell) });
    }
    all.push(column("± angle", "°", uncertainty_cell));
    all
}

/// The table of offsets; with tabular dimensioning lanes are numbered and what the drawing can spare is left out.
fn table(layout: &Layout, style: Style) -> Table {
    let numbered = style == Style::Tabular;
    let moved = layout.lanes.iter().any(|p| p.lane.correction.making != 0.0);
    let columns = columns(layout.written, moved);
    let kept = || columns.iter().filter(|column| !numbered || !column.spared);
    let mut heading = vec![[if numbered { "no., lane" } else { "lane" }, ""].map(String::from)];
    heading.extend(kept().map(|column| column.heading.clone()));
    let row = |(i, placed): (usize, &Placed)| {
        let name = if numbered { format!("{} {}", i + 1, placed.label()) } else { placed.label() };
        std::iter::once(Cell::words(name)).chain(kept().map(|column| (column.cell)(placed))).collect()
    };
    let rows = layout.lanes.iter().enumerate().map(row).collect();
    Table { id: "offsets".into(), heading, rows, least: Vec::new() }
}

/// A cell of a lane with the value that it stands for.
fn cell(lane: &Lane, what: &str, words: impl ToString, value: f64) -> Cell {
    Cell { words: words.to_string(), value: Some((format!("table-{}-{what}", lane.request.id), value)) }
}

fn fence_cell(Placed { lane, .. }: &Placed) -> Cell {
    let fence = lane.finished();
    cell(lane, "fence_distance", lane.request.written.fixed(fence, FINE), fence)
}

fn limits_cell(Placed { lane, .. }: &Placed) -> Cell {
    let within = lane.fence_tolerance();
    cell(lane, "limits", format!("±{}", lane.request.written.less(within, FINE)), within)
}

fn in_file(Placed { lane, .. }: &Placed) -> Cell {
    cell(lane, "in_file", lane.request.written.fixed(lane.fence(), FINE), lane.fence())
}

fn fraction_cell(Placed { lane, .. }: &Placed) -> Cell {
    let (fraction, _) = inches(lane);
    cell(lane, "inches", fraction, fraction.mm())
}

fn slope_cell(Placed { lane, .. }: &Placed) -> Cell {
    let slope = lane.setting.mm_per_degree;
    cell(lane, "mm_per_degree", lane.request.written.fixed(slope, FINE), slope)
}

fn gives_cell(Placed { lane, .. }: &Placed) -> Cell {
    inches(lane).1.map_or(Cell::words("none"), |gives| cell(lane, "inches_give", fixed(gives, 2), gives))
}

fn uncertainty_cell(Placed { lane, .. }: &Placed) -> Cell {
    lane.setting.uncertainty.angle.map_or(Cell::words("–"), |u| cell(lane, "angle_uncertainty", fixed(u, 2), u))
}

pub(super) fn title_block(job: &Job, layout: &Layout, scale: Scale) -> Title {
    Title {
        title: layout.titled(),
        kind: "Setting block".into(),
        guide: layout.guide.clone(),
        fingerprint: Some(layout.fingerprint.clone()),
        scale,
        projection: job.projection_angle,
        tolerances: "ISO 2768-m".into(),
        unit: layout.written.unit().into(),
        page: None,
    }
}

/// How the block is used, as the hand goes.
const IN_USE: &str = "Remove any burr. Hold the guide's front flat against the block's edge, with the blade flat on the table and parallel to the marks. Slide the blade gently up to the fence and clamp. Turn the block round for the other edge.";

fn notes(l: &Layout, regions: &Regions, style: Style, scale: Scale) -> Vec<String> {
    let mut notes = crate::layout::first_notes(&l.lanes, |mm| l.written.size(mm));
    notes.extend(crate::layout::limit_notes(&l.lanes, l.tolerance));
    notes.push(format!(
        "Every fence must be parallel to its edge, and every reference edge straight and square to the table, within {}.",
        l.written.short(l.fence_within, EXACT).said()
    ));
    notes.extend(crate::layout::correction_notes(&l.lanes, l.written));
    let mut reliefs = Vec::new();
    if let Some(relief) = l.front_relief {
        reliefs.push(format!("Relief {} along all bottom edges.", l.written.sides(relief, FINE)));
    }
    if let (Some([width, depth]), false) = (l.foot_relief, regions.grooves.is_empty()) {
        let [width, depth] = [width, depth].map(|mm| l.written.short(mm, FINE));
        reliefs.push(format!("Groove {width} wide, {depth} deep at the foot of each fence."));
    }
    if !l.screw_holes.is_empty() {
        reliefs.push(format!(
            "Holes Ø {} through, for a cleat below, held in a vice, or to screw the block down.",
            l.written.short(SCREW_HOLE, FINE)
        ));
    }
    if !reliefs.is_empty() {
        notes.push(reliefs.join(" "));
    }
    notes.push(l.hold_down());
    notes.push(IN_USE.into());
    notes.extend(crate::layout::unchecked_notes(&l.lanes));
    notes.push("These figures are calculated. Hone a test bevel and measure it before you rely on a lane.".into());
    notes.push(
        "Sharp edges cut: keep fingers behind the edge. Follow your tools' makers' instructions and local rules."
            .into(),
    );
    if style == Style::Tabular {
        notes.push("Dimensions by lane number in the table of lanes (ISO 129-1, tabular dimensioning).".into());
    }
    if scale.factor == 1.0 {
        notes.push("Measure the check bars before you rely on a print of this sheet.".into());
    }
    notes
}
