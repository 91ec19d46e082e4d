//! What there is to say of a wooden jig: for machines as JSON with full digits, for people as aligned text.

use serde_json::{Value, json};

use super::{Jig, work};
use crate::format::columns::aligned;
use crate::lane::report;
use crate::layout;
use crate::units::{counted, fixed, short};

/// The jig's numbers: lanes as in `offsets.json`, parts, hardware, stock and movement; mm and degrees.
pub fn json(jig: &Jig) -> Value {
    json!({
        "guide": jig.guide,
        "fingerprint": jig.fingerprint,
        "lanes": report::offsets(&jig.guide, jig.lanes.iter().map(|p| &p.lane)).lanes,
        "board": {
            "length": jig.length, "depth": jig.depth, "thickness": jig.board.thickness,
            "material": jig.board.material(), "grain": jig.board.grain_words(),
        },
        "fences": jig.fences.iter().map(|f| json!({
            "part": f.number, "edge": f.edge, "x": [f.area.x0, f.area.x1], "y": [f.area.y0, f.area.y1],
            "lanes": f.lanes.iter().map(|i| jig.lanes[*i].lane.request.id.as_str()).collect::<Vec<_>>(),
            "screws": f.screws.iter().map(|s| json!({ "at": <(f64, f64)>::from(s.at), "slot": s.slot })).collect::<Vec<_>>(),
            "pins": f.pins.iter().map(|pin| <(f64, f64)>::from(*pin)).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "fence": {
            "width": jig.stock.width, "height": jig.stock.height, "facing": jig.stock.facing,
            "clearance": jig.stock.fixing.clearance, "pilot": jig.stock.fixing.pilot, "screw": jig.stock.screw,
        },
        "cleat": jig.cleat.as_ref().map(|c| json!({
            "x": [c.area.x0, c.area.x1], "y": [c.area.y0, c.area.y1], "height": c.height,
            "screws": c.screws.iter().map(|s| json!({ "at": <(f64, f64)>::from(s.at), "slot": s.slot })).collect::<Vec<_>>(),
            "clearance": c.clearance,
        })),
        "places": jig.lanes.iter().map(|p| json!({
            "id": p.lane.request.id, "edge": p.edge, "centre": p.centre, "blade_width": p.blade_width,
            "limit": jig.limit(p), "printed": jig.printed(p),
        })).collect::<Vec<_>>(),
        "parts": jig.parts.iter().map(|p| json!({
            "part": p.number, "kind": p.kind.name(), "count": p.count, "size": p.size,
            "material": p.material, "grain": p.grain,
        })).collect::<Vec<_>>(),
        "hardware": jig.hardware.iter().map(|h| json!({ "count": h.count, "what": h.what })).collect::<Vec<_>>(),
        "stock": jig.cutting.stocks.iter().map(|c| json!({
            "what": c.what, "width": c.width, "thickness": c.thickness, "plan": c.plan,
            "pieces": c.pieces.iter().map(|p| json!({
                "name": p.name, "length": p.length, "width": p.width, "count": p.count,
            })).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "movement": {
            "season": jig.movement.season,
            "drifts": jig.lanes.iter().zip(&jig.movement.drifts).map(|(p, d)| json!({
                "id": p.lane.request.id, "fence": d.fence, "angle": d.angle, "passes": d.passes,
            })).collect::<Vec<_>>(),
        },
        "roller_below_table": jig.roller_below_table,
        "hold_down": jig.hold_down(),
        "left_out": report::left_out(&jig.left_out, jig.written),
        "warnings": jig.findings.iter().map(|f| f.message.as_str()).collect::<Vec<_>>(),
    })
}

/// The jig for people: parts, then what to set, longest first.
pub fn text(jig: &Jig) -> String {
    let unit = jig.written.unit();
    // What makes the whole table doubtful stands above it.
    let first = layout::first_notes(&jig.lanes, |mm| jig.written.said(mm, 2));
    let mut text: String = first.iter().map(|words| format!("{words}\n")).collect();
    text += &format!(
        "{}: {}, board {} × {} × {} {unit}\n\n",
        jig.title,
        counted(jig.lanes.len(), "lane", "lanes"),
        jig.written.bare(jig.length, 1),
        jig.written.bare(jig.depth, 1),
        jig.written.bare(jig.board.thickness, 1)
    );
    let mut rows = vec![["part", "material", "quantity", "length", "width", "thick"].map(String::from).to_vec()];
    rows.extend(jig.parts.iter().map(|p| {
        let mut row = vec![format!("{} {}", p.number, p.kind.name()), p.material.clone(), p.count.to_string()];
        row.extend(p.size.map(|mm| jig.written.bare(mm, 1)));
        row
    }));
    text += &aligned(&rows, 2);
    text += "\nSet the fences in this order, each from its own edge:\n\n";
    let year = format!("year ±{}", jig.written.first_unit());
    let mut rows = vec![["lane", "part, edge", "gauge", "limits", "sets °", &year].map(String::from).to_vec()];
    for setting in work::settings(jig) {
        let placed = &jig.lanes[setting.lane];
        let printed = jig.printed(placed);
        let drift = jig.movement.drifts[setting.lane];
        rows.push(vec![
            placed.lane.request.id.clone(),
            format!("{}, {}", setting.part, setting.edge.name()),
            jig.fence_words(placed),
            format!("±{}", jig.limit_words(placed)),
            placed.lane.angle_at(printed).map_or("none".into(), |a| fixed(a, 2)),
            jig.written.limit(drift.fence[0].abs().max(drift.fence[1].abs())),
        ]);
    }
    text += &aligned(&rows, 2);
    text += &report::corrected_lines(jig.lanes.iter().map(|p| &p.lane));
    let season = jig.movement.season;
    text += &format!(
        "\nOver the year the wood goes from {} to {} % moisture. {}\n",
        short(season.dry, 1),
        short(season.damp, 1),
        jig.hold_down()
    );
    text
}
