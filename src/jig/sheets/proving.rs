//! The check sheet, and how far the fences drift over the year.

use super::{Draft, Drawer};
use crate::drawing::page::{Block, Pages, REMARK, RUNNING};
use crate::drawing::table::{Cell, Table};
use crate::jig::movement::Drift;
use crate::layout::Placed;
use crate::units::{fixed, short};

/// Width of a column that is filled in by hand, mm.
const BLANK: f64 = 22.0;

pub(super) fn sheets(drawer: &Drawer) -> Vec<Draft> {
    drawer.text("Check sheet", |pages| {
        let mut blocks = readings(drawer, pages);
        blocks.extend(movement(drawer, pages));
        blocks
    })
}

fn readings(drawer: &Drawer, pages: &Pages) -> Vec<Block> {
    let jig = drawer.jig;
    let width = pages.area().width;
    let unit = jig.written.first_unit();
    let heading = [["lane", "id"], ["fence", unit], ["limits", unit], ["left", ""], ["right", ""], ["passes", ""]];
    let row = |i: &usize| {
        let placed = &jig.lanes[*i];
        let id = &placed.lane.request.id;
        let wanted = if jig.written.mm { fixed(placed.lane.finished(), 2) } else { jig.fence_words(placed) };
        let value = |what: &str, mm: f64| Some((format!("check-{id}-{what}"), mm));
        vec![
            Cell::words(id),
            Cell { words: wanted, value: value("fence", jig.printed(placed)) },
            Cell { words: format!("±{}", jig.limit_words(placed)), value: value("limits", jig.limit(placed)) },
            Cell::default(),
            Cell::default(),
            Cell::default(),
        ]
    };
    let order = jig.in_order();
    let mut table = Table::new("check", &heading, order.iter().map(row).collect());
    table.least = vec![0.0, 0.0, 0.0, BLANK, BLANK, BLANK];
    let text = |id: &str, words: String| Block::paragraph(id, "", &words, RUNNING, width);
    let mut blocks = vec![
        Block::heading("check-heading", "Fences, as made"),
        text("check-how", "Clamp a straight bar against the lane's own edge. Measure from it to the fence with the calipers' inside jaws where the blade's two sides will lie, left and right as seen from that edge.".into()),
    ];
    blocks.extend(Block::table(&table, width));
    let id = order.first().map_or("", |i| jig.lanes[*i].lane.request.id.as_str());
    let say = |id: &str, words: &str| Block::paragraph(id, "", words, RUNNING, width);
    blocks.push(say(
        "check-file",
        "Write the readings into a file, say measured.json, one line a lane, left then right:",
    ));
    blocks.push(say(
        "check-file-1",
        &format!("{{ \"format\": 1, \"units\": \"{unit}\", \"fingerprint\": \"{}\", \"lanes\": [", jig.fingerprint),
    ));
    blocks.push(say("check-file-2", &format!("    {{ \"id\": \"{id}\", \"measured\": [LEFT, RIGHT] }} ] }}")));
    let corrected = jig.corrected_by.as_ref().map(|file| format!(" --corrections {file}")).unwrap_or_default();
    blocks.push(say("check-run", "and run:"));
    blocks.push(say("check-run-1", &format!("    stopwright verify JOB.json measured.json --wood{corrected}")));
    blocks
}

fn movement(drawer: &Drawer, pages: &Pages) -> Vec<Block> {
    let jig = drawer.jig;
    let width = pages.area().width;
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
    let kept = |id: &str, words: String| Block { keeps: true, ..Block::paragraph(id, "", &words, RUNNING, width) };
    let mut blocks = vec![
        Block::heading("drift-heading", "Wood moves"),
        kept(
            "drift-how",
            format!(
                "How far each fence drifts over the year, from {} % moisture in the wood when it is driest to {} % when it is dampest, made at {} %: board of {}, grain {}; strips of {}. From the edge to a strip's middle the board moves, from there to the fence the strip, the other way.",
                short(season.dry, 1),
                short(season.damp, 1),
                short(season.made, 1),
                jig.board.material(),
                jig.board.grain_words(),
                crate::jig::board::words(jig.stock.stuff())
            ),
        ),
    ];
    blocks.extend(Block::table(&Table::new("drift", &heading, rows), width));
    for (i, advice) in jig.movement.advice.iter().enumerate() {
        blocks.push(Block::paragraph(&format!("drift-advice-{}", i + 1), "!", &format!("{advice}."), RUNNING, width));
    }
    let source = "Movement in width = size × coefficient × change of moisture (USDA Wood Handbook, FPL-GTR-190, eq. 13-2, table 13-5); moisture of the air's wood by its eq. 4-5. Averages of the species: single boards differ.";
    blocks.push(Block::paragraph("drift-source", "", source, REMARK, width));
    blocks
}
