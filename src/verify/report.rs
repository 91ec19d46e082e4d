//! What `verify` found, for people.

use super::angles::{self, AngleReport, By, Offset};
use super::plates::{PlateVerdict, Plates};
use super::verdict::{LaneVerdict, Verdicts};
use super::wear::Wear;
use super::{BEVEL_READ_WITHIN, THICKNESS_READ_WITHIN};
use crate::error;
use crate::format::columns::aligned;
use crate::honing::scatter::coverage;
use crate::lanes::LaneSet;
use crate::profile::measured::{CorrectionLine, CorrectionsFile};
use crate::units::{FINE, Written, counted, fixed, short, signed};

fn words(row: &[&str]) -> Vec<String> {
    row.iter().map(ToString::to_string).collect()
}

/// The verdicts, and what plates and test bevels say or could say.
pub fn text(
    set: &LaneSet,
    verdicts: &Verdicts,
    written: Written,
    plates: Option<&Plates>,
    report: Option<&AngleReport>,
) -> String {
    let mut text = String::new();
    if !verdicts.lanes.is_empty() {
        text += &lanes(verdicts, written, plates);
    }
    let on_a_plate = |id: &String| plates.is_some_and(|p| p.lanes.iter().any(|lane| &lane.id == id));
    let not_measured: Vec<&str> =
        verdicts.not_measured.iter().filter(|id| !on_a_plate(id)).map(String::as_str).collect();
    if !not_measured.is_empty() {
        text += &format!("Not measured: {}\n", not_measured.join(", "));
    }
    if let Some(plates) = plates {
        text += &on_the_plate(plates, verdicts.tolerance);
    }
    match report {
        Some(report) => text += &weighed(report, written),
        None => text += &before_angles(set, written),
    }
    text
}

/// What the plate showed, lane by lane, and how settings scatter.
fn on_the_plate(plates: &Plates, tolerance: f64) -> String {
    let mut rows = vec![
        words(&["on the plate", "settings", "wanted", "found", "error", "±", ""]),
        words(&["", "", "°", "°", "°", "°", ""]),
    ];
    let row = |p: &PlateVerdict| {
        let verdict = if p.within_tolerance { "passes" } else { "FAILS" };
        vec![
            p.id.clone(),
            p.settings.to_string(),
            short(p.angle, 3),
            fixed(p.measured_angle, 2),
            signed(p.error, 2),
            fixed(p.error_uncertainty, 2),
            verdict.into(),
        ]
    };
    rows.extend(plates.lanes.iter().map(row));
    let passing = plates.lanes.iter().filter(|p| p.within_tolerance).count();
    let mut text = format!(
        "\n{}\n{passing} of {} on the plate: the bevel within ±{}°. A plate shows the angle itself, so it judges a lane better than the fence does.\n",
        aligned(&rows, 1),
        counted(plates.lanes.len(), "lane passes", "lanes pass"),
        short(tolerance, 3)
    );
    let unstated: Vec<&str> = plates.lanes.iter().filter(|p| !p.bevels_stated).map(|p| p.id.as_str()).collect();
    if !unstated.is_empty() {
        text += &format!(
            "Present bevel not stated: {}. These hold if the bevel at the edge is no steeper than the lane's angle; a steeper one stands on its heel.\n",
            unstated.join(", ")
        );
    }
    text + &scattered(plates)
}

/// How settings scatter, and where to write it down.
fn scattered(plates: &Plates) -> String {
    let s = fixed(plates.scatter, 2);
    match (plates.degrees_of_freedom, plates.scatter_measured) {
        (Some(freedom), true) => {
            let (settings, k) = (short(freedom + 1.0, 0), coverage(freedom));
            format!(
                "Settings made again differ by s = {s}° (standard deviation). A single setting is within ± {}° (k = {}, as {settings} settings tell s only roughly). Write it into the job: \"honing\": {{ \"scatter\": {s}, \"settings\": {settings} }}\n",
                fixed(k * plates.scatter, 2),
                short(k, 1)
            )
        }
        (Some(_), false) => format!("How settings differ is as the job states it: s = {s}°.\n"),
        (None, _) => format!(
            "How settings differ is assumed: s = {s}°. Set one blade five times and measure each setting on the plate to know yours.\n"
        ),
    }
}

fn lanes(verdicts: &Verdicts, written: Written, plates: Option<&Plates>) -> String {
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
        beyond(verdicts, written, plates),
        skewed(verdicts, written),
        verdicts.rule.at_the_bench(),
        short(verdicts.tolerance, 3)
    )
}

/// Says of every fence that lies beyond the limits of its sheet, though its angle is within the tolerance, why it fails.
fn beyond(verdicts: &Verdicts, written: Written, plates: Option<&Plates>) -> String {
    let right =
        |id: &String| plates.is_some_and(|p| p.lanes.iter().any(|lane| &lane.id == id && lane.within_tolerance));
    let left_alone = |v: &LaneVerdict| {
        let beyond = !v.within_tolerance || !v.within_limits;
        (beyond && v.parallel && right(&v.id)).then(|| {
            format!("{}: the fence is beyond the limits of its sheet, but on the plate the angle is right. Leave it where it is.\n", v.id)
        })
    };
    let beyond = verdicts.lanes.iter().filter(|v| v.within_tolerance && !v.within_limits && !right(&v.id));
    let said = |v: &LaneVerdict| {
        format!(
            "{}: this fence sets {}°, within the tolerance, but the sheet allows only ±{} about {}. (Limits are the same on both sides; those of a kit also keep the two bevels of a blade apart.) Move the fence.\n",
            v.id,
            fixed(v.angle_as_built, 2),
            written.fixed(v.limit, FINE),
            written.length(v.asked)
        )
    };
    beyond.map(said).chain(verdicts.lanes.iter().filter_map(left_alone)).collect()
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

fn weighed(report: &AngleReport, written: Written) -> String {
    let mut rows = vec![
        words(&["angle of", "measured", "expected", "differs", "±", "shows errors"]),
        words(&["", "°", "°", "°", "°", &format!("from, {}", written.unit())]),
    ];
    for a in &report.angles {
        rows.push(vec![
            format!("{}, {}", a.id, if a.taken == By::Plate { "plate" } else { "test bevel" }),
            fixed(a.measured_angle, 2),
            fixed(a.expected_angle, 2),
            signed(a.difference, 2),
            fixed(a.difference_uncertainty, 2),
            written.fixed(a.smallest_bias, FINE).to_string(),
        ]);
    }
    let said = |o: &Offset| {
        let seat = o.seat.map_or_else(String::new, |seat| format!("{} seat: ", error::capital(&seat.to_string())));
        let advice = written.reworded(&o.advice);
        format!("{seat}{}.\n", if seat.is_empty() { error::capital(&advice) } else { advice })
    };
    format!("\n{}\n{}", aligned(&rows, 1), report.offsets.iter().map(said).collect::<String>())
}

/// What would show the angle itself, said before anyone measures one.
fn before_angles(set: &LaneSet, written: Written) -> String {
    let sharpest = set.lanes.iter().map(angles::smallest_bias).min_by(|a, b| a.1.total_cmp(&b.1));
    let Some((degrees, mm)) = sharpest else { return String::new() };
    format!(
        "\nFences prove the block, not the angle. Prove that on a plate: set a blade, stand the guide with it on glass or a \
         saw's table, and measure two heights of the blade's back. \"stopwright plate\" makes the sheet for it.\n\
         A test bevel shows less: with calipers (±{}) and a rule (±{}) a single flat bevel shows a guide error from {}° or {} \
         of projection in the best of these lanes.\n",
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
