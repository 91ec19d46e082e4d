//! The printed block's drawing, on one sheet or more.

use kurbo::Rect;

use crate::block::cleat::{self, Cleat};
use crate::block::regions::{self, Regions};
use crate::block::{Layout, SCREW_HOLE};
use crate::drawing::Group;
use crate::drawing::filled::{Illustration, LEAST, filled};
use crate::drawing::frame::{Title, outline};
use crate::drawing::paper::{FULL, HALF, Paper, Scale};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::table::{Cell, Table};
use crate::drawing::view::View;
use crate::job::Job;
use crate::lane::Lane;
use crate::lane::report::inches;
use crate::layout::Placed;
use crate::shape::polygon::{self, Outline, Region, microns, millimetres};
use crate::shape::stack::Stack;
use crate::terms::{Edge, PaperSize};
use crate::units::{EXACT, FINE, Written, fixed};
use crate::views::assembly::{Assembly, Draft, TooLarge, candidates, turned};
use crate::views::plan::{self, FENCE_LETTER, Style, Top, WIDTH_LETTER};
use crate::views::section::{Body, CutPart, Lean, crossings};

/// Draws the block's sheets: all on one where that goes, else the views first, then table and notes; what would be nearly
/// empty bears the illustration.
///
/// # Errors
/// [`TooLarge`] where even tabular dimensioning on A3 overlaps.
pub fn sheets(
    job: &Job,
    layout: &Layout,
    cleat: Option<&Cleat>,
    stack: &Stack,
    illustration: &Illustration,
) -> Result<Vec<Draft>, TooLarge> {
    let regions = regions::regions_of(layout);
    let on = |styles: &'static [Style], papers: Vec<(Paper, Scale)>| {
        Assembly {
            title: format!("Setting block: {}", layout.titled()),
            title_block: Box::new(|scale| title_block(job, layout, scale)),
            styles,
            papers,
            text: job.home_paper(),
            top: top(layout, &regions, cleat),
            body: Some(Box::new(|placed| body(layout, cleat, stack, placed))),
            table: Some(Box::new(|style| table(layout, style))),
            notes: Box::new(|style, scale| notes(layout, cleat, &regions, style, scale)),
            illustration,
        }
        .sheets()
    };
    let home = job.home_paper();
    let drawn = |size: Option<PaperSize>| {
        let mut refused = TooLarge::of(&layout.lanes);
        for (styles, papers) in tries(size, home) {
            match on(styles, papers) {
                Ok(drafts) => return Ok(drafts),
                Err(too_large) => refused = too_large,
            }
        }
        Err(refused)
    };
    let drafts = drawn(job.sheet_size)?;
    // A3 where it is asked for, but not for what is lost on it.
    let is_filled = |drafts: &[Draft]| drafts.iter().all(|draft| filled(&draft.sheet) >= LEAST);
    if job.sheet_size == Some(PaperSize::A3) && !is_filled(&drafts) {
        let smaller = drawn(Some(home));
        return Ok(smaller.ok().filter(|smaller| is_filled(smaller)).unwrap_or(drafts));
    }
    Ok(drafts)
}

/// Ways of dimensioning, with the papers and scales on which they are tried.
type Try = (&'static [Style], Vec<(Paper, Scale)>);

/// Ways of dimensioning, papers and scales in the order they are tried.
fn tries(size: Option<PaperSize>, home: PaperSize) -> Vec<Try> {
    let large = |size: PaperSize| turned([FULL, HALF].map(|scale| (size, scale)).to_vec());
    match size {
        Some(size) => {
            vec![(DIMENSIONED, large(size)), (TABULAR, large(size)), (BOTH, candidates(Some(size), home))]
        }
        // Where lengths are in inches nobody has A3: all that Letter takes is tried first.
        None if home == PaperSize::Letter => vec![
            (DIMENSIONED, large(home)),
            (TABULAR, large(home)),
            (BOTH, candidates(Some(home), home)),
            (BOTH, candidates(None, home)),
        ],
        None => vec![
            (DIMENSIONED, large(home)),
            (TABULAR, large(home)),
            (DIMENSIONED, large(PaperSize::A3)),
            (TABULAR, large(PaperSize::A3)),
            (BOTH, candidates(None, home)),
        ],
    }
}

const DIMENSIONED: &[Style] = &[Style::Dimensioned];
const TABULAR: &[Style] = &[Style::Tabular];
const BOTH: &[Style] = &[Style::Dimensioned, Style::Tabular];

/// The plan alone, for a screen, and the box around it; `None` of a block without lanes.
pub fn plan_alone(layout: &Layout, cleat: Option<&Cleat>) -> Option<(Vec<Group>, Rect)> {
    let regions = regions::regions_of(layout);
    plan::alone(&top(layout, &regions, cleat), &ON_SCREEN)
}

/// Scales of the plan on a screen, the one with the largest lettering first.
const ON_SCREEN: [f64; 2] = [HALF.factor, FULL.factor];

/// What is seen from above.
fn top<'a>(layout: &'a Layout, regions: &'a Regions, cleat: Option<&'a Cleat>) -> Top<'a> {
    Top {
        length: layout.length,
        depth: layout.depth,
        lanes: &layout.lanes,
        marks: layout.marks,
        features: Box::new(move |view| features(layout, regions, cleat, view)),
        words: Box::new(fence_words),
        size: Box::new(|mm| layout.written.short(mm, FINE).to_string()),
        aside: 0.0,
        past: cleat.map_or([0.0; 2], |c| [-c.area.y0, c.area.y1 - layout.depth].map(|past| past.max(0.0))),
    }
}

/// Diameter and height of the head of a No. 8 screw that stands on the block, mm (from memory).
pub(super) const SCREW_HEAD: [f64; 2] = [8.0, 2.5];
/// Diameter of its shank, mm.
pub(super) const SCREW_SHANK: f64 = 4.2;

/// What a section through a lane cuts, the cleat below it with its screws where there is one.
pub(super) fn body<'a>(layout: &'a Layout, cleat: Option<&Cleat>, stack: &Stack, placed: &Placed) -> Body<'a> {
    let mut body = Body {
        depth: layout.depth,
        thickness: layout.thickness,
        fence_height: layout.fence_height,
        bench: layout.overhang,
        below: 0.0,
        title: "A–A".into(),
        parts: vec![CutPart { boxes: cut(stack, placed), lean: Lean::Right }],
        size: Box::new(|mm| layout.written.short(mm, FINE).to_string()),
        over: Box::new(|_| Vec::new()),
        over_fences: 0.0,
    };
    if let Some(cleat) = cleat {
        let [low, high] = [cleat.area.y0, cleat.area.y1];
        let is_cut = (cleat.area.x0..=cleat.area.x1).contains(&placed.centre);
        body.parts.push(CutPart {
            boxes: vec![[[low, high].map(microns), [-microns(cleat::HEIGHT), 0]]],
            lean: if is_cut { Lean::Left } else { Lean::Hidden },
        });
        // One looks to the left: what stands at the right of the plane is cut away.
        let behind = layout.screw_holes.iter().filter(|hole| hole.x < placed.centre);
        body.parts.extend(behind.map(|hole| {
            let [head, high] = SCREW_HEAD;
            CutPart::screw(hole.y, screw_ends(layout, cleat), [SCREW_SHANK, head], high)
        }));
        body.below = cleat::HEIGHT;
        // The bench meets the side of the cleat that is away from the edge in use.
        body.bench = if placed.edge == Edge::Far { layout.depth - low } else { high };
    }
    body
}

/// The levels of the screws' heads and tips, mm from the bed: between the shortest and the longest that hold.
pub(super) fn screw_ends(layout: &Layout, cleat: &Cleat) -> [f64; 2] {
    let top = layout.thickness + layout.fence_height;
    let [short, long] = cleat.screws;
    [top, top - (short + long) / 2.0]
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

fn features(layout: &Layout, regions: &Regions, cleat: Option<&Cleat>, view: &View) -> Vec<Group> {
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
    let mut groups = vec![board, cuts, marks, middle, letters, holes];
    groups.extend(cleat.into_iter().flat_map(|cleat| below(layout, cleat, view)));
    groups
}

/// How far the bench's edge is drawn past the block, mm of paper.
const BENCH_PAST: f64 = 0.9;

/// What the block hides: the cleat and, beside it, the edge of the bench; and the heads of the screws that hold it.
fn below(layout: &Layout, cleat: &Cleat, view: &View) -> Vec<Group> {
    let mut hidden = Group::new("plan-cleat", "feature");
    hidden.path([view.all(outline(cleat.area))], true, Pen::Dashed, Fill::None);
    let mut bench = Group::new("plan-bench", "feature");
    let past = BENCH_PAST / view.scale;
    let ends = [[-past, cleat.area.x0], [cleat.area.x1, layout.length + past]];
    for [from, to] in ends {
        bench.line(view.at((from, cleat.area.y1)), view.at((to, cleat.area.y1)), Pen::DoubleDot);
    }
    let mut heads = Group::new("plan-screws", "feature");
    for hole in &layout.screw_holes {
        heads.circle(view.at(*hole), SCREW_HEAD[0] / 2.0 * view.scale, Pen::Narrow, Fill::None);
    }
    vec![hidden, bench, heads]
}

/// A column of the table of lanes.
struct Column {
    heading: [String; 2],
    /// Whether a numbered table goes without it: the change a degree, what a fraction gives, and the fraction beside
    /// millimetres.
    spared: bool,
    cell: fn(&Placed) -> Cell,
}

/// The columns beside the lane's name, for a shop that reads lengths so; `numbered` where the plan has letters in place
/// of its dimensions.
fn columns(written: Written, moved: bool, numbered: bool) -> Vec<Column> {
    let unit = written.unit();
    let column =
        |first: &str, second: &str, cell| Column { heading: [first, second].map(String::from), spared: false, cell };
    let lettered = |letter: &str, name: &str| if numbered { format!("{letter} ({name})") } else { name.to_string() };
    let mut all = vec![column(&lettered(FENCE_LETTER, "fence"), unit, fence_cell), column("limits", unit, limits_cell)];
    if numbered {
        all.push(column(&lettered(WIDTH_LETTER, "width"), unit, width_cell));
    }
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
    let columns = columns(layout.written, moved, numbered);
    let kept = || columns.iter().filter(|column| !numbered || !column.spared);
    let mut heading = vec![[if numbered { "no., lane" } else { "lane" }, ""].map(String::from)];
    heading.extend(kept().map(|column| column.heading.clone()));
    let row = |(i, placed): (usize, &Placed)| {
        let name = if numbered { format!("{} {}", i + 1, placed.label()) } else { placed.label() };
        std::iter::once(Cell::words(name)).chain(kept().map(|column| (column.cell)(placed))).collect()
    };
    let rows = layout.lanes.iter().enumerate().map(row).collect();
    Table { id: "offsets".into(), heading, rows, least: Vec::new(), first: None }
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

fn width_cell(Placed { lane, x, .. }: &Placed) -> Cell {
    let width = x[1] - x[0];
    cell(lane, "width", lane.request.written.short(width, FINE), width)
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
        title: layout.marked(),
        kind: "Setting block".into(),
        guide: layout.guide.clone(),
        fingerprint: Some(layout.fingerprint.clone()),
        scale,
        projection: job.projection_angle,
        tolerances: "ISO 2768-m".into(),
        unit: layout.written.unit().into(),
        block: layout.number,
        page: [1, 1],
        date: job.date.clone(),
    }
}

/// What the plan has no room to dimension, or has no dimensions for.
fn places(l: &Layout, cleat: Option<&Cleat>, regions: &Regions, style: Style, scale: Scale) -> Vec<String> {
    let mut notes = Vec::new();
    let size = |mm: f64| l.written.short(mm, FINE).to_string();
    if !l.screw_holes.is_empty() {
        let use_of = if cleat.is_some() {
            "for the screws of the cleat"
        } else {
            "for a cleat below, held in a vice, or to screw the block down"
        };
        let at: Vec<String> = l.screw_holes.iter().map(|hole| format!("{}, {}", size(hole.x), size(hole.y))).collect();
        notes.push(format!(
            "Holes Ø {} through, {use_of}. Their middles, along the near edge from its left end and in from it: {}.",
            size(SCREW_HOLE),
            at.join("; ")
        ));
    }
    if style == Style::Dimensioned && !top(l, regions, cleat).shows_widths(scale.factor) {
        notes.push("Widths of the lanes: as in the model (STEP file).".into());
    }
    notes
}

fn notes(l: &Layout, cleat: Option<&Cleat>, regions: &Regions, style: Style, scale: Scale) -> Vec<String> {
    let mut notes = crate::layout::first_notes(&l.lanes, |mm| l.written.size(mm));
    notes.extend(crate::layout::limit_notes(&l.lanes, l.tolerance));
    notes.push(format!(
        "Every fence must be parallel to its edge, and every reference edge straight and square to the table, within {}.",
        l.written.short(l.fence_within, EXACT).said()
    ));
    notes.extend(crate::layout::correction_notes(&l.lanes, l.written));
    let mut reliefs = Vec::new();
    if let Some(relief) = l.front_relief {
        let [width, height] = relief.map(|mm| l.written.short(mm, FINE));
        reliefs.push(format!("Relief {width} wide, {height} high along all bottom edges."));
    }
    if let (Some([width, depth]), false) = (l.foot_relief, regions.grooves.is_empty()) {
        let [width, depth] = [width, depth].map(|mm| l.written.short(mm, FINE));
        reliefs.push(format!("Groove {width} wide, {depth} deep at the foot of each fence."));
    }
    if !reliefs.is_empty() {
        notes.push(reliefs.join(" "));
    }
    notes.extend(places(l, cleat, regions, style, scale));
    notes.push(format!("{} The size in brackets is the guide's.", l.hold_down(cleat.is_some())));
    notes.extend(crate::layout::unchecked_notes(&l.lanes));
    notes.push("These figures are calculated. Prove the angle on a plate before you rely on a lane.".into());
    notes.push(
        "Sharp edges cut: keep fingers behind the edge. Follow your tools' makers' instructions and local rules."
            .into(),
    );
    if style == Style::Tabular {
        notes.push(format!(
            "Dimensions by lane number in the table of lanes (ISO 129-1, tabular dimensioning): {FENCE_LETTER} is the fence, from its edge, and {WIDTH_LETTER} the width of the lane along it."
        ));
    }
    if scale.factor == 1.0 {
        notes.push("Measure the check bars before you rely on a print of this sheet.".into());
    }
    notes
}
