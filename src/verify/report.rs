//! What `verify` found, for people.

use super::bevels::{self, BevelReport, Offset};
use super::verdict::{LaneVerdict, Verdicts};
use super::wear::Wear;
use super::{BEVEL_READ_WITHIN, THICKNESS_READ_WITHIN};
use crate::error;
use crate::format::columns::aligned;
use crate::lanes::LaneSet;
use crate::profile::measured::{CorrectionLine, CorrectionsFile};
use crate::units::{FINE, Written, counted, fixed, short, signed};

fn words(row: &[&str]) -> Vec<String> {
    row.iter().map(ToString::to_string).collect()
}

/// The verdicts, and what test bevels say or could say.
pub fn text(set: &LaneSet, verdicts: &Verdicts, written: Written, report: Option<&BevelReport>) -> String {
    let mut text = String::new();
    if !verdicts.lanes.is_empty() {
        text += &lanes(verdicts, written);
    }
    if !verdicts.not_measured.is_empty() {
        text += &format!("Not measured: {}\n", verdicts.not_measured.join(", "));
    }
    match report {
        Some(report) => text += &weighed(report, written),
        None => text += &before_bevels(set, written),
    }
    text
}

fn lanes(verdicts: &Verdicts, written: Written) -> String {
    let unit = written.unit();
    let length = |mm: f64| written.fixed(mm, FINE).to_string();
    let mut rows = vec![
        words(&["lane", "asked", "limits", "found", "sets", "error", "±", "skew", "move", ""]),
        words(&["", unit, unit, unit, "°", "°", "°", unit, unit, ""]),
    ];
    for v in &verdicts.lanes {
        rows.push(vec![
            v.id.clone(),
            length(v.asked),
            format!("±{}", length(v.limit)),
            length(v.measured),
            fixed(v.angle_as_built, 2),
            signed(v.error, 2),
            fixed(v.error_uncertainty, 2),
            v.right_further.map_or_else(|| "–".into(), |mm| written.signed(mm, FINE).to_string()),
            written.signed(v.correction, FINE).to_string(),
            if v.passes() { "passes" } else { "FAILS" }.into(),
        ]);
    }
    let passing = verdicts.lanes.iter().filter(|v| v.passes()).count();
    let of_how_many = counted(verdicts.lanes.len(), "lane passes", "lanes pass");
    format!(
        "{}\n{}{}{passing} of {of_how_many}: {}, and the bevel within ±{}°.\nAsked: the fence on the sheet. Found: the fence as you measured it. Skew: how much further from the edge the right side is. Move: how far to move the fence, + away from the edge. ± figures: expanded uncertainty, k = 2.\n",
        aligned(&rows, 1),
        beyond(verdicts, written),
        skewed(verdicts, written),
        verdicts.rule.at_the_bench(),
        short(verdicts.tolerance, 3)
    )
}

/// Says of every fence that lies beyond the limits of its sheet, though its angle is within the tolerance, why it fails.
fn beyond(verdicts: &Verdicts, written: Written) -> String {
    let beyond = verdicts.lanes.iter().filter(|v| v.within_tolerance && !v.within_limits);
    let said = |v: &LaneVerdict| {
        format!(
            "{}: this fence sets {}°, within the tolerance, but the sheet allows only ±{} about {}. (Limits are the same on both sides; those of a kit also keep the two bevels of a blade apart.) Move the fence.\n",
            v.id,
            fixed(v.angle_as_built, 2),
            written.fixed(v.limit, FINE),
            written.length(v.asked)
        )
    };
    beyond.map(said).collect()
}

/// Says of every fence that is not parallel to its edge which side lies too far.
fn skewed(verdicts: &Verdicts, written: Written) -> String {
    let said = |v: &LaneVerdict| {
        let further = v.right_further.filter(|_| !v.parallel)?;
        let side = if further > 0.0 { "right" } else { "left" };
        Some(format!(
            "{}: the {side} side of this fence is {} further from the edge, and the sheet allows {} over the blade's width. Turn it back.\n",
            v.id,
            written.length(further.abs()),
            written.length(verdicts.parallel_within)
        ))
    };
    verdicts.lanes.iter().filter_map(said).collect()
}

fn weighed(report: &BevelReport, written: Written) -> String {
    let mut rows = vec![
        words(&["test bevel", "measured", "expected", "differs", "±", "shows errors"]),
        words(&["", "°", "°", "°", "°", &format!("from, {}", written.unit())]),
    ];
    for b in &report.bevels {
        rows.push(vec![
            b.id.clone(),
            fixed(b.measured_angle, 2),
            fixed(b.expected_angle, 2),
            signed(b.difference, 2),
            fixed(b.difference_uncertainty, 2),
            written.fixed(b.smallest_bias, FINE).to_string(),
        ]);
    }
    let said = |o: &Offset| {
        let seat = o.seat.map_or_else(String::new, |seat| format!("{} seat: ", error::capital(&seat.to_string())));
        let advice = written.reworded(&o.advice);
        format!("{seat}{}.\n", if seat.is_empty() { error::capital(&advice) } else { advice })
    };
    format!("\n{}\n{}", aligned(&rows, 1), report.offsets.iter().map(said).collect::<String>())
}

/// What test bevels could show, said before anyone hones one.
fn before_bevels(set: &LaneSet, written: Written) -> String {
    let least = set.lanes.iter().map(bevels::smallest_bias).reduce(|a, b| if a.1 <= b.1 { a } else { b });
    let Some((degrees, mm)) = least else { return String::new() };
    format!(
        "\nTest bevels: hone a single flat bevel in a lane (no micro-bevel, no hollow). Measure the thickness at the edge and the \
         length of the bevel, and add them under \"bevels\". With a caliper to {} and the length to {}, one bevel \
         shows a guide error from {}° or {} of projection in the best of these lanes; several bevels show less.\n\
         An ink test is finer: blacken a flat bevel of known angle, set the blade to that angle and take one light stroke. See \
         whether the stone takes the ink off at the edge, at the heel or all over.\n",
        written.size(THICKNESS_READ_WITHIN),
        written.size(BEVEL_READ_WITHIN),
        fixed(degrees, 1),
        written.coarse(mm)
    )
}

/// What corrections were written, by their causes.
pub fn corrections(file: &CorrectionsFile, path: &str) -> String {
    let lanes = |of: fn(&CorrectionLine) -> f64| file.corrections.iter().filter(|line| of(line) != 0.0).count();
    let mut text = format!("\nCorrections: {path}\n");
    if let making @ 1.. = lanes(|line| line.making) {
        text += &format!(
            "  {}: the fence came out off. The next files move it the other way, so that it measures as asked when finished.\n",
            counted(making, "lane", "lanes")
        );
    }
    if let guide @ 1.. = lanes(|line| line.guide) {
        text += &format!(
            "  {}: the guide sets another angle. The finished distance itself changes.\n",
            counted(guide, "lane", "lanes")
        );
    }
    text
}

/// The block with a guide measured again.
pub fn wear(wear: &Wear, as_made: &[String], written: Written) -> String {
    let unit = written.unit();
    let mut rows =
        vec![words(&["lane", "fence", "sets now", "error", "should be", ""]), words(&["", unit, "°", "°", unit, ""])];
    for l in &wear.lanes {
        rows.push(vec![
            l.id.clone(),
            written.fixed(l.fence_distance, FINE).to_string(),
            fixed(l.angle_now, 2),
            signed(l.error, 2),
            written.fixed(l.fence_wanted_now, FINE).to_string(),
            if l.within_tolerance { "still good" } else { "MAKE ANEW" }.into(),
        ]);
    }
    let mut text = format!("The block with {} as measured again:\n\n{}", wear.guide, aligned(&rows, 1));
    if !as_made.is_empty() {
        text += &match as_made.len() == wear.lanes.len() {
            true => "No fence measurements given, so the job's own distances were used.\n".to_string(),
            false => format!("Not measured, so the job's own distances were used: {}\n", as_made.join(", ")),
        };
    }
    text += &match (wear.pass, wear.roller_diameter_limit) {
        (false, _) => "Make a new block from the new profile.\n".to_string(),
        (true, Some(limit)) => format!("Make a new block when the roller is worn to {}.\n", written.length(limit)),
        (true, None) => "Wear of the roller alone will not take a lane out of its tolerance.\n".to_string(),
    };
    text
}
