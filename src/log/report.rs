//! What the log tells: the last act, and what is due.

use serde_json::{Value, json};

use super::Standing;
use crate::stones::bevel::micro::USUAL_RECESSION;
use crate::units::{FINE, Written};

/// The standings for machines.
pub fn json(kit: &str, standings: &[Standing]) -> Value {
    json!({ "kit": kit, "blades": standings.iter().map(as_json).collect::<Vec<_>>() })
}

fn as_json(standing: &Standing) -> Value {
    json!({
        "blade": standing.blade,
        "last": standing.last.map(|(day, what)| json!({ "date": day.to_string(), "what": what.word() })),
        "honings": standing.honings,
        "micro_width": standing.width,
        "measured": standing.measured,
        "widest": standing.widest,
        "honings_left": standing.left,
        "due": standing.is_due(),
    })
}

/// The table of a kit's blades, in lengths as `shown`.
pub fn table(title: &str, standings: &[Standing], shown: Written) -> String {
    let width = standings.iter().map(|s| s.blade.chars().count()).fold(5, usize::max);
    let mut text = format!("{title}: what was done and what is due\n\n");
    let head = format!("micro {}", shown.unit());
    let across = head.chars().count().max(8);
    text += &format!("{:<width$}  last                 honings  {head:>across$}     left\n", "blade");
    for s in standings {
        let last = s.last.map_or_else(|| "–".into(), |(day, what)| format!("{day} {}", what.word()));
        let micro = s
            .width
            .map_or_else(|| "–".into(), |w| shown.fixed(w, FINE).to_string() + if s.measured { "" } else { "*" });
        let left = match s.left {
            Some(0) => "REGRIND".into(),
            Some(left) => left.to_string(),
            None => "–".into(),
        };
        text += &format!("{:<width$}  {last:<20} {:>7}  {micro:>across$}  {left:>7}\n", s.blade, s.honings);
    }
    text += "\nLeft: honings until the micro-bevel is too wide and the primary bevel should be reground.\n";
    if standings.iter().any(|s| s.width.is_some() && !s.measured) {
        text += &format!(
            "* estimate, with {} of edge worn away in a honing. Give --micro-width now and then, and the blade's own figure is used.\n",
            shown.size(USUAL_RECESSION)
        );
    }
    text
}
