//! What the test piece tells, for people and machines.

use serde_json::{Value, json};

use super::files::TestPiece;
use super::judge::{Advice, AxisFound, Judged, SCALES, SizeFound};
use crate::format::columns::aligned;
use crate::job::PrintOptions;
use crate::units::{COARSE, EXACT, FINE, MM_PER_INCH, WHOLE, Written, fixed, short};

/// What every reader of a scale should know.
const NOTES: [&str; 3] = [
    "± figures: expanded uncertainty, k = 2, from the tolerances you gave and the scatter of the readings. A caliper that \
     does not read zero when closed makes no difference.",
    "Temperature is left out: a degree makes PLA about 0.007 % longer (a usual figure, from memory).",
    "A scale error of your caliper looks like one of the printer. Compare the caliper with a length that you know.",
];

/// What to do with the piece and its form.
pub const NEXT: &str = "\nNext: print the piece, measure it as the sheet says, fill in test-piece-measured.json, and run stopwright testpiece on that file.\n";

/// What was made: how large the piece is, and how right its written model.
pub fn made(made: &TestPiece, written: Written) -> String {
    let [x, y] = made.piece.size();
    let volume = made.block.stack.volume();
    let difference = made.readings.iter().map(|r| (r.measured - r.distance.length).abs()).fold(0.0, f64::max);
    format!(
        "Test piece: {}, {}, {} g of PLA if printed solid\n\
         Lengths measured in the written STL: {}, right within {}.\n",
        written.sides([x, y, made.block.stack.height()], COARSE),
        written.volume(volume),
        fixed(PrintOptions::default().mass(volume), 0),
        made.readings.len(),
        written.more(difference, EXACT).said()
    )
}

/// The same for machines, mm.
pub fn made_json(made: &TestPiece) -> Value {
    json!({
        "size": made.piece.size(),
        "height": made.block.stack.height(),
        "volume": made.block.stack.volume(),
        "lengths": made.readings.iter().map(|r| json!({
            "axis": r.distance.axis, "kind": r.distance.kind, "length": r.distance.length, "measured": r.measured,
        })).collect::<Vec<_>>(),
    })
}

fn words(row: &[&str]) -> Vec<String> {
    row.iter().map(ToString::to_string).collect()
}

/// The report for people.
pub fn text(judged: &Judged, written: Written) -> String {
    let verdict = if judged.degrees_of_freedom == 0 {
        "Too few lengths were measured to see whether they agree.".to_string()
    } else if judged.agree {
        "Your readings agree with one another. (statistics: --json)".to_string()
    } else {
        "Your readings do NOT agree with one another. (statistics: --json)".to_string()
    };
    let mut text =
        format!("{}\n{}\n{verdict}\n{}\n", sizes(&judged.sizes, written), axes(&judged.axes, written), advice(judged));
    if let Some(snippet) = snippet(judged) {
        text += &format!("\n{snippet}\n");
    }
    text.push('\n');
    for note in NOTES {
        text += &format!("Note: {note}\n");
    }
    text
}

fn sizes(sizes: &[SizeFound], written: Written) -> String {
    let unit = written.unit();
    let mut rows = vec![
        words(&["axis", "faces", "meant", "mean", "readings", "differs", ""]),
        words(&["", "", unit, unit, "", unit, ""]),
    ];
    for s in sizes {
        rows.push(vec![
            s.axis.name().into(),
            s.kind.words().into(),
            written.short(s.length, EXACT).to_string(),
            written.fixed(s.mean, EXACT).to_string(),
            s.count.to_string(),
            written.signed(s.mean - s.length, EXACT).to_string(),
            if s.agrees { "" } else { "does not agree" }.into(),
        ]);
    }
    aligned(&rows, 2)
}

fn axes(axes: &[AxisFound], written: Written) -> String {
    let unit = written.unit();
    let span = written.choose(100.0, 4.0 * MM_PER_INCH);
    let mut rows = vec![
        words(&[
            "axis",
            "scale",
            "±",
            &format!("in {}", written.first_alone().short(span, WHOLE).said()),
            "growth",
            "±",
            "",
        ]),
        words(&["", "", "", unit, unit, unit, ""]),
    ];
    for a in axes {
        let or_none = |value: Option<String>| value.unwrap_or_else(|| "–".into());
        rows.push(vec![
            a.axis.name().into(),
            fixed(a.scale, 5),
            fixed(a.scale_uncertainty, 5),
            written.signed(span * (a.scale - 1.0), FINE).to_string(),
            or_none(a.growth.map(|g| written.signed(g, EXACT).to_string())),
            or_none(a.growth_uncertainty.map(|u| written.fixed(u, EXACT).to_string())),
            if a.significant { "" } else { "no scale error found" }.into(),
        ]);
    }
    aligned(&rows, 1)
}

fn advice(judged: &Judged) -> String {
    let [low, high] = SCALES;
    match judged.advice {
        Advice::Scale if judged.axes.iter().all(|a| a.significant) => {
            "Put this into the job; its files are then scaled to make up for it:".into()
        }
        Advice::Scale => {
            "Put this into the job; its files are then scaled to make up for it (an axis without a scale error is left alone):"
                .into()
        }
        Advice::LeaveAlone => "No scale error found on either axis: leave the scale at 100 %.".into(),
        Advice::MeasureAgain => {
            "Look for slips and measure again, or give wider tolerances. Do not use these scales.".into()
        }
        Advice::OutOfRange => format!(
            "A job takes scales of {low} to {high} only. Look for a slip, or for a scale set in the slicer or the printer."
        ),
    }
}

/// The lines for the job.
fn snippet(judged: &Judged) -> Option<String> {
    let scale = judged.scale?;
    let within = scale.within.map_or_else(String::new, |w| format!(", \"within\": {}", short(w, 5)));
    Some(format!(
        "\"print\": {{ \"scale\": {{ \"x\": {}, \"y\": {}{within} }} }}",
        short(scale.x, 5),
        short(scale.y, 5)
    ))
}

/// The report for machines, full digits.
pub fn json(judged: &Judged) -> Value {
    let mut value = json!(judged);
    if let Some(all) = value.as_object_mut() {
        all.remove("scale");
    }
    value["print"] = judged.scale.map_or(Value::Null, |scale| json!({ "scale": scale }));
    value["notes"] = json!(NOTES);
    value
}
