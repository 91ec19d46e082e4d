//! The order of work.

use kurbo::Size;

use super::Drawer;
use super::piece::{self, Piece};
use crate::drawing::page::{Block, RUNNING};
use crate::drawing::table::{Cell, Table};
use crate::jig::work::{self, Setting, Step};
use crate::units::{THOUSANDTH, fixed, short};

/// What its pages are called.
const KIND: &str = "Order of work";

pub(super) fn pieces(drawer: &Drawer, page: Size) -> Vec<Piece> {
    let width = page.width;
    let before = work::before(drawer.jig);
    let (first, table) = (before.len(), settings(drawer, before.len()));
    let mut blocks = vec![Block::heading("work-heading", KIND)];
    blocks.extend(steps(&before, 0, width));
    let mut pieces = piece::pieces(KIND, blocks, width);
    pieces.extend(piece::tabled(KIND, Vec::new(), &table, page));
    pieces.extend(piece::pieces(KIND, steps(&work::after(drawer.jig), first, width), width));
    pieces
}

fn steps(steps: &[Step], done: usize, width: f64) -> Vec<Block> {
    let draw = |(i, step): (usize, &Step)| {
        let number = done + i + 1;
        let text = format!("{}: {}", step.title, step.text);
        let mut what = Block::paragraph(&format!("step-{number}"), &number.to_string(), &text, RUNNING, width);
        what.keeps = true;
        what.above = 3.6;
        let check = format!("Check: {}", step.check);
        let mut check = Block::paragraph(&format!("step-{number}-check"), "✓", &check, RUNNING, width);
        check.above = 1.2;
        [what, check]
    };
    steps.iter().enumerate().flat_map(draw).collect()
}

/// The lanes from the longest to the shortest, with what to set; `step` is the step they belong to.
fn settings(drawer: &Drawer, step: usize) -> Table {
    let jig = drawer.jig;
    let written = jig.written;
    let mut heading = vec![["step, lane", ""], ["part", ""], ["edge", ""], ["centre from", "left end"]];
    if written.mm {
        heading.push(["gauge", "mm"]);
    }
    if written.inches {
        heading.push(["gauge", "in"]);
    }
    heading.extend([["from", ""], ["to", written.first_unit()], ["sets", "°"]]);
    let row = |(i, setting): (usize, Setting)| {
        let placed = &jig.lanes[setting.lane];
        let lane = &placed.lane;
        let printed = jig.printed(placed);
        let limit = jig.limit(placed);
        let value = |what: &str, mm: f64| Some((format!("set-{}-{what}", lane.request.id), mm));
        // Thousandths of an inch are rounded inward, so that the printed bounds keep the limits.
        let inward = |mm: f64, sense: f64| sense * (sense * mm / THOUSANDTH - 1e-6).ceil() * THOUSANDTH;
        let bound = |what: &str, mm: f64, sense: f64| Cell {
            words: written.limit(if written.mm { mm } else { inward(mm, sense) }),
            value: value(what, mm),
        };
        let mut cells = vec![
            Cell::words(format!("{step}.{} {}", i + 1, setting.label)),
            Cell::words(setting.part),
            Cell::words(setting.edge.name()),
            Cell::words(if written.mm { short(setting.centre, 1) } else { written.bare(setting.centre, 1) }),
        ];
        if written.mm {
            cells.push(Cell { words: fixed(lane.finished(), 2), value: value("gauge", lane.finished()) });
        }
        if written.inches {
            let inches = jig.inches(placed).0;
            cells.push(Cell { words: inches.to_string(), value: value("gauge-in", inches.mm()) });
        }
        cells.extend([bound("lower", printed - limit, 1.0), bound("upper", printed + limit, -1.0)]);
        let sets = lane.angle_at(printed).map_or("none".into(), |angle| fixed(angle, 2));
        cells.push(Cell::words(sets));
        cells
    };
    let rows = work::settings(jig).into_iter().enumerate().map(row).collect();
    Table::new("settings", &heading, rows)
}
