//! The printed block's sheet.

use crate::block::regions::{self, Regions};
use crate::block::{Layout, SCREW_HOLE};
use crate::drawing::frame::Title;
use crate::drawing::paper::Scale;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::table::{Cell, Table};
use crate::drawing::view::View;
use crate::drawing::{Group, Sheet};
use crate::job::Job;
use crate::lane::report::inches;
use crate::layout::Placed;
use crate::shape::polygon::{self, Outline, Region, millimetres};
use crate::shape::stack::Stack;
use crate::units::{Units, fixed, short};
use crate::views::assembly::{Assembly, TooLarge, candidates};
use crate::views::plan::{Style, Top};
use crate::views::section::{Body, CutPart, Lean, crossings};

/// Draws the block's sheet.
///
/// # Errors
/// [`TooLarge`] where even tabular dimensioning on A3 overlaps.
pub fn sheet(job: &Job, layout: &Layout, stack: &Stack) -> Result<Sheet, TooLarge> {
    let regions = regions::regions_of(layout);
    Assembly {
        title: format!("Setting block: {}", layout.titled()),
        title_block: Box::new(|scale| title_block(job, layout, scale)),
        styles: &[Style::Dimensioned, Style::Tabular],
        papers: candidates(job.sheet_size, job.home_paper()),
        top: Top {
            length: layout.length,
            depth: layout.depth,
            lanes: &layout.lanes,
            marks: layout.marks,
            features: Box::new(|view| features(layout, &regions, view)),
            words: Box::new(fence_words),
            size: Box::new(|mm| fixed(mm, 2)),
        },
        body: Some(Box::new(|placed| body(layout, stack, placed))),
        table: Some(Box::new(|style| table(layout, style))),
        notes: Box::new(|style, scale| notes(layout, &regions, style, scale)),
    }
    .sheet()
}

/// What a section through a lane cuts.
pub(super) fn body<'a>(layout: &Layout, stack: &Stack, placed: &Placed) -> Body<'a> {
    Body {
        depth: layout.depth,
        thickness: layout.thickness,
        fence_height: layout.fence_height,
        bench: layout.overhang,
        below: 0.0,
        title: "A–A".into(),
        parts: vec![CutPart { boxes: cut(stack, placed), lean: Lean::Right }],
        size: Box::new(|mm| fixed(mm, 2)),
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
    format!("{} ±{}", fixed(placed.lane.finished(), 2), fixed(placed.lane.fence_tolerance(), 2))
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

/// The table of offsets; with tabular dimensioning lanes are numbered and what the drawing can spare is left out.
fn table(layout: &Layout, style: Style) -> Table {
    let numbered = style == Style::Tabular;
    let full = [
        ["lane", ""],
        ["fence", "mm"],
        ["limits", "mm"],
        ["fence", "in, 1/64"],
        ["mm per", "degree"],
        ["fraction", "gives, °"],
        ["± angle", "°"],
    ];
    let kept = |column: usize| !numbered || !SPARED.contains(&column);
    let mut heading: Vec<[String; 2]> =
        full.iter().enumerate().filter(|(i, _)| kept(*i)).map(|(_, h)| h.map(String::from)).collect();
    // Beside what is to be finished, where the files have the fence.
    let moved = layout.lanes.iter().any(|p| p.lane.correction.making != 0.0);
    if moved {
        heading.insert(IN_FILE, ["in the file", "mm"].map(String::from));
    }
    if numbered {
        heading[0][0] = "no., lane".into();
    }
    let row = |(i, placed): (usize, &Placed)| {
        let name = if numbered { format!("{} {}", i + 1, placed.label()) } else { placed.label() };
        let mut cells = vec![Cell::words(name)];
        cells.extend(values(placed).into_iter().enumerate().filter(|(i, _)| kept(i + 1)).map(|(_, cell)| cell));
        if moved {
            cells.insert(IN_FILE, in_file(placed));
        }
        cells
    };
    let rows = layout.lanes.iter().enumerate().map(row).collect();
    Table { id: "offsets".into(), heading, rows, least: Vec::new() }
}

/// The columns that a numbered table goes without: the fraction of an inch with what it gives, and the change a degree.
const SPARED: [usize; 3] = [3, 4, 5];

/// The column of a corrected block's table that says where its files have the fence: after the limits.
const IN_FILE: usize = 3;

fn in_file(placed: &Placed) -> Cell {
    let fence = placed.lane.fence();
    Cell { words: fixed(fence, 2), value: Some((format!("table-{}-in_file", placed.lane.request.id), fence)) }
}

/// A lane's numbers for the table, with the values they stand for.
fn values(placed: &Placed) -> Vec<Cell> {
    let lane = &placed.lane;
    let cell = |what: &str, words: String, value: f64| Cell {
        words,
        value: Some((format!("table-{}-{what}", lane.request.id), value)),
    };
    let (fraction, gives) = inches(lane);
    let fence = lane.finished();
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

pub(super) fn title_block(job: &Job, layout: &Layout, scale: Scale) -> Title {
    Title {
        title: layout.titled(),
        kind: "Setting block".into(),
        guide: layout.guide.clone(),
        fingerprint: Some(layout.fingerprint.clone()),
        scale,
        projection: job.projection_angle,
        tolerances: "ISO 2768-m".into(),
        unit: "mm".into(),
        page: None,
    }
}

/// How the block is used, as the hand goes.
const IN_USE: &str = "Remove any burr. Hold the guide's front flat against the block's edge, with the blade flat on the table and parallel to the marks. Slide the blade gently up to the fence and clamp. Turn the block round for the other edge.";

fn notes(l: &Layout, regions: &Regions, style: Style, scale: Scale) -> Vec<String> {
    let mut notes = crate::layout::first_notes(&l.lanes, |mm| Units::Mm.short(mm, [2, 2]).said());
    notes.extend(crate::layout::limit_notes(&l.lanes, l.tolerance));
    notes.push(format!(
        "Every fence must be parallel to its edge, and every reference edge straight and square to the table, within {} mm.",
        short(l.fence_within, 3)
    ));
    notes.extend(crate::layout::correction_notes(&l.lanes));
    let mut reliefs = Vec::new();
    if let Some([width, height]) = l.front_relief {
        reliefs.push(format!("Relief {width} × {height} mm along all bottom edges."));
    }
    if let (Some([width, depth]), false) = (l.foot_relief, regions.grooves.is_empty()) {
        reliefs.push(format!("Groove {width} wide, {depth} deep at the foot of each fence."));
    }
    if !l.screw_holes.is_empty() {
        reliefs.push(format!(
            "Holes Ø {SCREW_HOLE} through, for a cleat below, held in a vice, or to screw the block down."
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
