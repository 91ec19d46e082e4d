//! A judged set of abrasives, for people and machines.

use serde_json::{Value, json};

use super::abrasive::{Abrasive, care, is_usual_set};
use super::steps::{ADVICE, LONG, REMOVAL, SCRATCH, WASTED};
use super::{Grade, Judged, Verdict};
use crate::format::columns::aligned;
use crate::format::marked;
use crate::units::{fixed, short};

/// The report for people on a set of abrasives.
pub fn text(judged: &Judged, set: &[Abrasive]) -> String {
    let head = |cells: [&str; 6]| cells.map(str::to_string).to_vec();
    let mut rows = vec![head(["grade", "for", "grain", "ratio", "strokes", ""]), head(["", "", "µm", "", "", ""])];
    for step in &judged.steps {
        rows.push(vec![
            step.grade.to_string(),
            step.work.words().into(),
            short(step.grade.grain(), 2),
            step.ratio.map_or_else(|| "–".into(), |r| fixed(r, 2)),
            step.strokes.map_or_else(|| "–".into(), |n| n.to_string()),
            step.verdict.map_or("", Verdict::word).into(),
        ]);
    }
    let mut text = format!("{}\n{}\n\n", aligned(&rows, 2), verdict(judged));
    for advice in ADVICE.into_iter().chain(care(set)) {
        text += &format!("{advice}\n");
    }
    text.push('\n');
    for note in notes(judged) {
        text += &format!("Note: {note}\n");
    }
    marked::practice(&text)
}

fn verdict(judged: &Judged) -> String {
    let names: Vec<String> = judged.fewest.iter().map(ToString::to_string).collect();
    let grades: Vec<Grade> = judged.steps.iter().map(|s| s.grade).collect();
    if is_usual_set(&grades) {
        return "This is the usual set of three water stones. Its steps are long, and many use them (common practice, no source)."
            .into();
    }
    if judged.fewest.len() == judged.steps.len() {
        let whole = if judged.is_sound() { "The steps are sound" } else { "Some steps are long" };
        return format!(
            "{whole}: about {} strokes after the first grade, and no grade can be left out.",
            judged.strokes
        );
    }
    format!(
        "You could skip some grades: {} take about {} strokes instead of {}.",
        names.join(", "),
        judged.fewest_strokes,
        judged.strokes
    )
}

/// What the numbers rest on.
fn notes(judged: &Judged) -> Vec<String> {
    let mut notes = vec![
        format!(
            "a step of more than {LONG} is long, one of less than {WASTED} is wasted (common practice, no source)."
        ),
        format!(
            "strokes are estimates: they take scratches to be {SCRATCH} of a grain deep, and a stroke to wear {REMOVAL} of a grain. Look at the scratches, and count yours."
        ),
    ];
    for source in judged.steps.iter().map(|s| s.grade.source()) {
        let note = format!("grain sizes: {source}.");
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    notes
}

/// The same for machines.
pub fn json(judged: &Judged) -> Value {
    json!({
        "grades": judged.steps.iter().map(|s| json!({
            "grade": s.grade.to_string(),
            "grain": s.grade.grain(),
            "source": s.grade.source(),
            "for": s.work.words(),
            "ratio": s.ratio,
            "verdict": s.verdict.map(Verdict::word),
            "strokes": s.strokes,
            "removal": s.removal,
        })).collect::<Vec<_>>(),
        "strokes": judged.strokes,
        "sound": judged.is_sound(),
        "fewest": judged.fewest.iter().map(ToString::to_string).collect::<Vec<_>>(),
        "fewest_strokes": judged.fewest_strokes,
        "model": { "scratch": SCRATCH, "removal": REMOVAL, "long": LONG, "wasted": WASTED },
    })
}
