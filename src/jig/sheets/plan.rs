//! Plan, section and table of lanes.

use kurbo::{Point, Rect, Vec2};

use super::{CAUTIONS, Draft, Drawer};
use crate::drawing::Group;
use crate::drawing::frame::outline;
use crate::drawing::page::{Block, RUNNING};
use crate::drawing::paper::{FIFTH, FULL, HALF, Paper, Scale};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::table::{Cell, Table};
use crate::drawing::view::View;
use crate::jig::Jig;
use crate::jig::fences::BOTTOM_EASED;
use crate::layout::Placed;
use crate::shape::polygon::microns;
use crate::units::fixed;
use crate::views::assembly::{Assembly, TooLarge, candidates, turned};
use crate::views::plan::{Style, Top};
use crate::views::section::{Body, CutPart, Lean};

const KIND: &str = "Wooden jig";

/// The plan with its table on one sheet that a printer at home takes, else the plan alone and the table on the next,
/// else on whatever sheet takes it.
pub(super) fn sheets(drawer: &Drawer) -> Result<Vec<Draft>, TooLarge> {
    const DIMENSIONED: &[Style] = &[Style::Dimensioned];
    const TABULAR: &[Style] = &[Style::Tabular];
    let paper = drawer.size();
    let at = |scales: &[Scale]| turned(scales.iter().map(|s| (paper, *s)).collect());
    let (large, all) = (at(&[FULL, HALF]), at(&[FULL, HALF, FIFTH]));
    let tries = [
        (DIMENSIONED, large, true),
        (DIMENSIONED, all.clone(), false),
        (TABULAR, all.clone(), true),
        (TABULAR, all, false),
        (&[Style::Dimensioned, Style::Tabular], candidates(drawer.job.sheet_size, drawer.home()), true),
    ];
    let mut refused = None;
    for (styles, papers, with_table) in tries {
        match sheet(drawer, styles, papers, with_table) {
            Ok(draft) if with_table => return Ok(vec![draft]),
            Ok(draft) => {
                let tables = lanes(drawer, styles[0]);
                return Ok([vec![draft], tables].concat());
            }
            Err(too_large) => refused = Some(too_large),
        }
    }
    Err(refused.unwrap_or(TooLarge { lanes: drawer.jig.lanes.len() }))
}

/// The table and the notes that found no room beside the plan.
fn lanes(drawer: &Drawer, style: Style) -> Vec<Draft> {
    drawer.text("Lanes", |pages| {
        let mut blocks = Block::table(&table(drawer.jig, style), pages.area().width);
        let notes = about(drawer.jig);
        blocks.extend(notes.iter().enumerate().map(|(i, words)| {
            Block::paragraph(&format!("lanes-note-{}", i + 1), "–", words, RUNNING, pages.area().width)
        }));
        blocks
    })
}

fn sheet(
    drawer: &Drawer,
    styles: &'static [Style],
    papers: Vec<(Paper, Scale)>,
    with_table: bool,
) -> Result<Draft, TooLarge> {
    let jig = drawer.jig;
    let title_block = |scale| drawer.title(KIND, scale);
    let sheet = Assembly {
        title: format!("{KIND}: {}", jig.title),
        title_block: Box::new(title_block),
        styles,
        papers,
        top: Top {
            length: jig.length,
            depth: jig.depth,
            lanes: &jig.lanes,
            marks: true,
            features: Box::new(|view| features(jig, view)),
            words: Box::new(|placed| fence_words(jig, placed)),
            size: Box::new(|mm| drawer.bare(mm)),
        },
        body: None,
        table: with_table.then_some(Box::new(|style| table(jig, style))),
        notes: Box::new(move |style, scale| notes(jig, style, scale, with_table)),
    }
    .sheet()?;
    let title = title_block(Scale::named(&sheet.scale));
    Ok(Draft { sheet, title })
}

/// The fence distance with its limits, as it is dimensioned.
fn fence_words(jig: &Jig, placed: &Placed) -> String {
    format!("{} ±{}", jig.fence_words(placed), jig.limit_words(placed))
}

fn features(jig: &Jig, view: &View) -> Vec<Group> {
    let mut board = Group::new("plan-board", "feature").with("area", jig.length * jig.depth);
    board.path([view.all(outline(jig.area()))], true, Pen::Wide, Fill::None);
    let mut below = Group::new("plan-cleat", "feature");
    if let Some(cleat) = &jig.cleat {
        below.path([view.all(outline(cleat.area))], true, Pen::Dashed, Fill::None);
    }
    let mut groups = vec![board, below];
    let mut marks = Group::new("plan-marks", "feature");
    for placed in &jig.lanes {
        for [from, to] in jig.mark_lines(placed) {
            marks.line(view.at(from), view.at(to), Pen::Narrow);
        }
    }
    groups.push(marks);
    for (i, fence) in jig.fences.iter().enumerate() {
        let mut strip = Group::new(format!("plan-fence-{}", i + 1), "feature").with("part", &fence.letter);
        strip.path([view.all(outline(fence.area))], true, Pen::Wide, Fill::Tint);
        let k = view.scale;
        for screw in &fence.screws {
            let hole = Hole { at: screw.at, radius: jig.stock.fixing.clearance / 2.0, slot: screw.slot };
            strip.path([view.all(hole.outline())], true, Pen::Narrow, Fill::Paper);
        }
        for pin in &fence.pins {
            let radius = jig.stock.fixing.pin / 2.0 * k;
            strip.circle(view.at(*pin), radius, Pen::Narrow, Fill::Paper);
        }
        groups.push(strip);
    }
    groups
}

/// A round hole or a slot along the edges.
pub(super) struct Hole {
    pub(super) at: Point,
    pub(super) radius: f64,
    pub(super) slot: f64,
}

impl Hole {
    /// Its outline as a polygon.
    pub(super) fn outline(&self) -> Vec<Point> {
        const HALF: usize = 12;
        let end = |sign: f64, from: f64| {
            (0..=HALF).map(move |i| {
                let out = Vec2::from_angle(from + std::f64::consts::PI * i as f64 / HALF as f64);
                self.at + (sign * self.slot / 2.0, 0.0) + self.radius * out
            })
        };
        let quarter = std::f64::consts::FRAC_PI_2;
        let mut outline: Vec<Point> = end(1.0, -quarter).chain(end(-1.0, quarter)).collect();
        let meet = |a: &Point, b: &Point| a.distance(*b) < 1e-9;
        outline.dedup_by(|a, b| meet(a, b));
        // A round one ends where it begins.
        if outline.first().zip(outline.last()).is_some_and(|(first, last)| meet(first, last)) {
            outline.pop();
        }
        outline
    }
}

pub(super) fn body<'a>(drawer: &'a Drawer, placed: &Placed, scale: &str) -> Body<'a> {
    let jig = drawer.jig;
    let thickness = jig.board.thickness;
    let (bed, table_top, top) = (0, microns(thickness), microns(thickness + jig.stock.height));
    let span = |area: Rect| [area.y0, area.y1].map(microns);
    let mut parts = vec![CutPart { boxes: vec![[span(jig.area()), [bed, table_top]]], lean: Lean::Right }];
    for fence in jig.fences.iter().filter(|f| f.area.x0 <= placed.centre && placed.centre <= f.area.x1) {
        parts.push(CutPart { boxes: vec![[span(fence.area), [table_top, top]]], lean: Lean::Left });
    }
    if let Some(cleat) = &jig.cleat {
        parts.push(CutPart { boxes: vec![[span(cleat.area), [-microns(cleat.height), bed]]], lean: Lean::Left });
    }
    Body {
        depth: jig.depth,
        thickness,
        fence_height: jig.stock.height,
        bench: jig.bench(),
        below: jig.cleat.as_ref().map_or(0.0, |c| c.height),
        parts,
        title: format!("A–A, {scale}"),
        size: Box::new(|mm| drawer.bare(mm)),
    }
}

fn table(jig: &Jig, style: Style) -> Table {
    let numbered = style == Style::Tabular;
    let written = jig.written;
    let mut heading = vec![[if numbered { "no., lane" } else { "lane" }, ""], ["part", ""]];
    if written.mm {
        heading.extend([["fence", "mm"], ["limits", "mm"]]);
    }
    if written.inches {
        heading.extend([["fence", "in"], ["fraction", "gives, °"]]);
    }
    if !written.mm {
        heading.push(["limits", "in"]);
    }
    if !numbered {
        heading.push([if written.mm { "mm per" } else { "in per" }, "degree"]);
    }
    heading.push(["± angle", "°"]);
    let rows = jig.lanes.iter().enumerate().map(|(i, p)| row(jig, i, p, numbered)).collect();
    Table::new("offsets", &heading, rows)
}

fn row(jig: &Jig, index: usize, placed: &Placed, numbered: bool) -> Vec<Cell> {
    let lane = &placed.lane;
    let cell = |what: &str, words: String, value: f64| Cell {
        words,
        value: Some((format!("table-{}-{what}", lane.request.id), value)),
    };
    let name = if numbered { format!("{} {}", index + 1, placed.label()) } else { placed.label() };
    let part = jig.fence_of(index).map_or("", |f| f.letter.as_str());
    let mut cells = vec![Cell::words(name), Cell::words(part)];
    if jig.written.mm {
        cells.push(cell("fence_distance", fixed(lane.finished(), 2), lane.finished()));
        cells.push(cell("limits", format!("±{}", jig.limit_words(placed)), jig.limit(placed)));
    }
    if jig.written.inches {
        let (inches, gives) = jig.inches(placed);
        cells.push(cell("inches", inches.to_string(), inches.mm()));
        cells.push(gives.map_or(Cell::words("none"), |g| cell("inches_give", fixed(g, 2), g)));
    }
    if !jig.written.mm {
        cells.push(cell("limits", format!("±{}", jig.limit_words(placed)), jig.limit(placed)));
    }
    if !numbered {
        let slope = lane.setting.mm_per_degree;
        cells.push(cell("mm_per_degree", jig.written.change(slope), slope));
    }
    let uncertainty = lane.setting.uncertainty.angle;
    cells.push(uncertainty.map_or(Cell::words("–"), |u| cell("angle_uncertainty", fixed(u, 2), u)));
    cells
}

/// What there is to say of the jig as a whole.
fn about(jig: &Jig) -> Vec<String> {
    let mut notes = vec![
        format!(
            "Reference edges straight and square to the board's top, fences parallel to them within {} over a blade's width; bottom arris of the edges eased by no more than {}, top arris crisp.",
            jig.written.fine(jig.fence_within).said(),
            jig.written.fine(BOTTOM_EASED).said()
        ),
        format!(
            "Board: {}, grain {}. Strips on {} screws in holes Ø {}, pushed to their line, measured, then {}.",
            jig.board.material(),
            jig.board.grain_words(),
            jig.stock.fixing.called,
            jig.written.native(jig.stock.fixing.clearance),
            if jig.board.slides() { "glued in the middle only: their ends slide in slots" } else { "pinned or glued" }
        ),
        jig.hold_down(),
    ];
    notes.extend(crate::layout::correction_notes(&jig.lanes, jig.written));
    notes.extend(crate::layout::unchecked_notes(&jig.lanes));
    if jig.stock.facing > 0.0 {
        notes.push(format!("Distances are to the face of the {} hard facing.", jig.written.said(jig.stock.facing, 2)));
    }
    if !jig.movement.advice.is_empty() {
        notes.push("Wood moves, and in this jig it matters: see the check sheet.".into());
    }
    notes
}

fn notes(jig: &Jig, style: Style, scale: Scale, all: bool) -> Vec<String> {
    let mut notes = crate::layout::first_notes(&jig.lanes, |mm| jig.written.said(mm, 2));
    notes.extend(crate::layout::limit_notes(&jig.lanes, jig.tolerance));
    let asked = jig.asked();
    let lanes = || jig.lanes.iter().map(|placed| &placed.lane);
    notes.extend(lanes().filter_map(|lane| asked.too_coarse(lane)).map(|w| w + "."));
    notes.extend(lanes().filter_map(|lane| asked.too_close(lane)).map(|w| format!("Warning: {w}.")));
    if all {
        notes.extend(about(jig));
    }
    notes.push("These figures are calculated. Hone a test bevel and measure it before you rely on a lane.".into());
    if style == Style::Tabular {
        notes.push("Dimensions by lane number in the table of lanes (ISO 129-1, tabular dimensioning).".into());
    }
    if scale.name == "1:1" {
        notes.push("Measure the check bars before you rely on a print of this sheet.".into());
    }
    notes.push("Section A–A is on the sheet named Assembly.".into());
    notes.push(CAUTIONS.into());
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_corner_of_a_hole_is_there_twice() {
        for (slot, corners) in [(0.0, 24), (6.0, 26)] {
            let outline = Hole { at: Point::new(10.0, 20.0), radius: 2.25, slot }.outline();
            assert_eq!(outline.len(), corners);
            for (i, a) in outline.iter().enumerate() {
                let b = outline[(i + 1) % corners];
                assert!(a.distance(b) > 0.1, "{slot}: {a:?} {b:?}");
            }
        }
    }
}
