//! The check sheet, and how far the fences drift over the year.

use kurbo::Size;

use super::Drawer;
use super::piece::{self, Piece};
use crate::drawing::page::{Block, REMARK, RUNNING};
use crate::drawing::style::Pen;
use crate::drawing::table::{Cell, Table};
use crate::drawing::{Anchor, Group, Text};
use crate::jig::movement::Drift;
use crate::layout::Placed;
use crate::shape::font;
use crate::units::{fixed, short};

/// What its pages are called.
const KIND: &str = "Check sheet";
/// What the pages are called that tell of the year's drift.
const DRIFT: &str = "Wood moves";
/// Width of a column that is filled in by hand, mm.
const BLANK: f64 = 22.0;
/// Height of a line to write on, mm: what a pencil needs.
const TO_WRITE: f64 = 9.0;
/// Space between a blank's name and its line, and between one blank and the next, mm.
const BESIDE_NAME: [f64; 2] = [2.0, 6.0];

pub(super) fn pieces(drawer: &Drawer, page: Size) -> Vec<Piece> {
    let mut pieces = readings(drawer, page);
    pieces.extend(movement(drawer, page));
    pieces
}

/// The form of what is measured: a row a lane, in the order in which `stopwright ask measured --wood` asks for them.
fn readings(drawer: &Drawer, page: Size) -> Vec<Piece> {
    let (jig, width) = (drawer.jig, page.width);
    let unit = jig.written.first_unit();
    let heading = [
        ["lane", ""],
        ["edge", ""],
        ["fence", unit],
        ["limits", unit],
        ["left", unit],
        ["right", unit],
        ["passes", "yes, no"],
    ];
    let row = |i: &usize| {
        let placed = &jig.lanes[*i];
        let id = &placed.lane.request.id;
        let wanted = if jig.written.mm { fixed(placed.lane.finished(), 2) } else { jig.fence_words(placed) };
        let value = |what: &str, mm: f64| Some((format!("check-{id}-{what}"), mm));
        vec![
            Cell::words(placed.label()),
            Cell::words(placed.edge.name()),
            Cell { words: wanted, value: value("fence", jig.printed(placed)) },
            Cell { words: format!("±{}", jig.limit_words(placed)), value: value("limits", jig.limit(placed)) },
            Cell::default(),
            Cell::default(),
            Cell::default(),
        ]
    };
    let mut table = Table::new("check", &heading, jig.in_order().iter().map(row).collect());
    table.least = vec![0.0, 0.0, 0.0, 0.0, BLANK, BLANK, BLANK];
    let text = |id: &str, words: &str| Block::paragraph(id, "", words, RUNNING, width);
    let lead = vec![
        Block::heading("check-heading", "Check sheet: fences, as made"),
        text(
            "check-how",
            "Clamp a straight bar against the lane's own edge. Measure from it to the fence with the calipers' inside jaws where the blade's two sides will lie, left and right as seen from that edge. Write both down.",
        ),
        blanks(&["date", "measured by", "calipers"], width),
    ];
    let corrected = jig.corrected_by.as_ref().map(|file| format!(" --corrections {file}")).unwrap_or_default();
    let kept = |block: Block| Block { keeps: true, ..block };
    let enter = vec![
        kept(text(
            "check-enter",
            &format!(
                "To enter the readings, type the first line below with the name of your job's file for JOB. It asks for the fingerprint, {}, then for each row of this form in its order. It writes the file JOB-measured.json. The second line judges every lane:",
                jig.fingerprint
            ),
        )),
        kept(text("check-ask", "    stopwright ask measured JOB.json --wood")),
        text("check-verify", &format!("    stopwright verify JOB.json JOB-measured.json --wood{corrected}")),
    ];
    in_one_or_more(KIND, lead, &table, enter, page)
}

/// A table with what leads it and what follows: in one piece, wherever there is room, where it is short; else in several,
/// the table in as many as it needs.
fn in_one_or_more(kind: &'static str, lead: Vec<Block>, table: &Table, after: Vec<Block>, page: Size) -> Vec<Piece> {
    let tables = Block::table(table, page.width);
    if tables.len() == 1 {
        let all = lead.iter().chain(&tables).chain(&after).cloned().collect();
        let whole = Piece::of(kind, all, page.width).loose();
        if whole.size.height <= page.height {
            return vec![whole];
        }
    }
    let mut pieces = piece::tabled(kind, lead, table, page);
    pieces.extend(piece::pieces(kind, after, page.width));
    pieces
}

/// Named lines to write on, side by side.
fn blanks(names: &[&str], width: f64) -> Block {
    let mut group = Group::new("check-blanks", "note");
    let [after, between] = BESIDE_NAME;
    let named: f64 = names.iter().map(|name| font::width(name, RUNNING, false) + after).sum();
    let each = (width - named - between * (names.len() as f64 - 1.0)) / names.len() as f64;
    let mut x = 0.0;
    for name in names {
        group.text(Text::new((x, TO_WRITE - 1.0), RUNNING, Anchor::Start, *name));
        x += font::width(name, RUNNING, false) + after;
        group.line((x, TO_WRITE), (x + each, TO_WRITE), Pen::Narrow);
        x += each + between;
    }
    Block::figure(vec![group], TO_WRITE + 1.0)
}

fn movement(drawer: &Drawer, page: Size) -> Vec<Piece> {
    let (jig, width) = (drawer.jig, page.width);
    let season = jig.movement.season;
    let unit = jig.written.first_unit();
    let heading = [["lane", ""], ["driest", unit], ["sets", "°"], ["dampest", unit], ["sets", "°"], ["limits", ""]];
    let row = |(placed, drift): (&Placed, &Drift)| {
        let id = &placed.lane.request.id;
        let signed = |what: &str, mm: f64| Cell {
            words: jig.written.change(mm),
            value: Some((format!("drift-{id}-{what}"), mm)),
        };
        let sets = |what: &str, angle: Option<f64>| match angle {
            Some(angle) => Cell { words: fixed(angle, 2), value: Some((format!("drift-{id}-{what}"), angle)) },
            None => Cell::words("none"),
        };
        vec![
            Cell::words(placed.label()),
            signed("dry", drift.fence[0]),
            sets("dry-sets", drift.angle[0]),
            signed("damp", drift.fence[1]),
            sets("damp-sets", drift.angle[1]),
            Cell::words(if drift.passes { "within" } else { "beyond" }),
        ]
    };
    let rows = jig.lanes.iter().zip(&jig.movement.drifts).map(row).collect();
    let lead = vec![
        Block::heading("drift-heading", DRIFT),
        Block::paragraph(
            "drift-how",
            "",
            &format!(
                "How far each fence drifts over the year, from {} % moisture in the wood when it is driest to {} % when it is dampest, made at {} %: board of {}; strips of {}. From the edge to a strip's middle the board moves, from there to the fence the strip, the other way.",
                short(season.dry, 1),
                short(season.damp, 1),
                short(season.made, 1),
                jig.board.described(),
                crate::jig::board::words(jig.stock.stuff())
            ),
            RUNNING,
            width,
        ),
    ];
    let table = Table::new("drift", &heading, rows);
    let mut blocks = Vec::new();
    for (i, advice) in jig.movement.advice.iter().enumerate() {
        blocks.push(Block::paragraph(&format!("drift-advice-{}", i + 1), "!", &format!("{advice}."), RUNNING, width));
    }
    let source = "Movement in width = size × coefficient × change of moisture (USDA Wood Handbook, FPL-GTR-190, eq. 13-2, table 13-5); moisture of the air's wood by its eq. 4-5. Averages of the species: single boards differ.";
    blocks.push(Block::paragraph("drift-source", "", source, REMARK, width));
    in_one_or_more(DRIFT, lead, &table, blocks, page)
}
