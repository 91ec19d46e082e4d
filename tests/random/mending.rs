//! Refusals read as their reader would: the limit is taken out of the words and put where they say. Where a refusal's limit
//! is of a length between guide, blade and stone, the angle is moved by a degree the way that makes room.

use serde_json::{Value, json};

/// How often a job is mended before it is given up: each of its lanes may need a few steps.
pub const MOST: usize = 400;

/// Mends after which the lane that is still refused is left out.
pub const PATIENCE: usize = 24;

/// Does what the first line of a refusal says that changes anything; a job that stays as it is has been told no limit.
pub fn mend(value: &mut Value, refusal: &str) {
    let before = value.clone();
    for line in refusal.lines() {
        by_line(value, line);
        if *value != before {
            return;
        }
    }
}

fn by_line(value: &mut Value, line: &str) {
    if line.contains("a cleat, and no screw holes") {
        value["block"]["screw_holes"] = json!(true);
    } else if let Some(least) = line.starts_with("block.fence_height").then(|| after(line, "give at least ")).flatten()
    {
        value["block"]["fence_height"] = json!(least);
    } else if let Some(least) =
        line.starts_with("wood.fences.height").then(|| above(value, line, "at least ")).flatten()
    {
        value["wood"]["fences"]["height"] = json!(least);
    } else if let Some(index) = after(line, "settings[").filter(|_| line.contains("lands of")) {
        if let Some(thick) = after(line, "on a blade ") {
            value["settings"][index as usize]["land"] = json!(thick);
        }
    } else if let Some(index) = after(line, "settings[").filter(|_| line.contains("].angles[")) {
        // It has been moved out of what anybody hones.
        if let Some(angles) = value["settings"][index as usize]["angles"].as_array_mut() {
            angles.pop();
        }
    } else if let Some(most) = line.contains("strikes a block").then(|| length(value, line, "at most ")).flatten() {
        // Printed or in wood.
        let is_printed = value["block"]["thickness"].as_f64().is_some_and(|thick| thick > most);
        let of = if is_printed { &mut value["block"] } else { &mut value["wood"]["board"] };
        of["thickness"] = json!(most);
    } else if line.contains("more clearance") {
        let [usual, more] = if value["units"] == "in" { [0.08, 0.04] } else { [2.0, 1.0] };
        let clearance = value["block"]["clearance"].as_f64().unwrap_or(usual);
        value["block"]["clearance"] = json!(((clearance + more) * 1e4).round() / 1e4);
    } else if let Some((number, angle)) = lane(line) {
        of_lane(&mut value["settings"][number], angle, line);
    }
}

fn of_lane(setting: &mut Value, angle: f64, line: &str) {
    if let Some([low, high]) = range(line) {
        let field = if line.contains(" thick; it holds") { "thickness" } else { "width" };
        let is = setting[field].as_f64().unwrap_or(low);
        setting[field] = json!(is.clamp(low, high));
    } else if let Some(primary) = after(line, "Regrind the primary to ") {
        setting["primary"] = json!(primary);
    } else if let Some(primary) = after(line, "the heel of its ").filter(|_| line.contains("beyond the table")) {
        // A steeper primary has a shorter bevel.
        setting["primary"] = json!((primary + 1.0).min(angle));
        if primary >= angle {
            moved(setting, angle, -1.0);
        }
    } else if let Some(gap) = after(line, "does not pass between rollers ") {
        setting["width"] = json!(gap - 1.0);
    } else if line.contains("must clear the stone") || line.contains("would need a projection of") {
        moved(setting, angle, -1.0);
    } else if line.contains("the blade's underside clears the roller by") {
        moved(setting, angle, 1.0);
    }
}

/// Takes the lane that a refusal begins with out of its setting; whether there was one.
pub fn leave_out(value: &mut Value, refusal: &str) -> bool {
    let Some((number, _)) = lane(refusal.lines().next().unwrap_or_default()) else { return false };
    let Some(settings) = value["settings"].as_array_mut() else { return false };
    // Its own angle may have been moved just now.
    if let Some(angles) = settings.get_mut(number).and_then(|setting| setting["angles"].as_array_mut()) {
        angles.pop();
    }
    true
}

/// Whether some setting has no lane any more.
pub fn is_empty(value: &Value) -> bool {
    value["settings"]
        .as_array()
        .is_some_and(|all| all.iter().any(|s| s["angles"].as_array().is_some_and(Vec::is_empty)))
}

/// Puts another angle in the place of one.
fn moved(setting: &mut Value, angle: f64, by: f64) {
    let Some(angles) = setting["angles"].as_array() else { return };
    let mut angles: Vec<f64> = angles.iter().filter_map(Value::as_f64).filter(|a| *a != angle).collect();
    // What another lane has already, or nobody hones, is left out.
    if !angles.contains(&(angle + by)) && (10.0..=55.0).contains(&(angle + by)) || angles.is_empty() {
        angles.push(angle + by);
    }
    angles.sort_by(f64::total_cmp);
    setting["angles"] = json!(angles);
    if setting["primary"].as_f64().is_some_and(|primary| primary > angle + by) {
        setting["primary"] = json!(angle + by);
    }
}

/// The setting and the angle that a line begins with: `set2-31.5: …`, or `set2 of the drawer-31.5: …`.
fn lane(line: &str) -> Option<(usize, f64)> {
    let (id, _) = line.split_once(": ")?;
    let (name, angle) = id.strip_prefix("set")?.split_once('-')?;
    let (number, _) = name.split_once(' ').unwrap_or((name, ""));
    Some((number.parse().ok()?, angle.parse().ok()?))
}

/// The number that follows some words.
fn after(line: &str, words: &str) -> Option<f64> {
    let (_, rest) = line.split_once(words)?;
    let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(rest.len());
    rest[..end].trim_end_matches('.').parse().ok()
}

/// The length that follows some words, in the unit of the job, down to no more than it; sheets may be in the other unit.
fn length(job: &Value, line: &str, words: &str) -> Option<f64> {
    in_its_unit(job, line, words, f64::floor)
}

/// The same, up to no less.
fn above(job: &Value, line: &str, words: &str) -> Option<f64> {
    in_its_unit(job, line, words, f64::ceil)
}

fn in_its_unit(job: &Value, line: &str, words: &str, rounded: impl Fn(f64) -> f64) -> Option<f64> {
    let number = after(line, words)?;
    let (_, rest) = line.split_once(words)?;
    let is_mm = rest.trim_start_matches(|c: char| c.is_ascii_digit() || c == '.').starts_with(" mm");
    let factor = match (is_mm, job["units"] == "in") {
        (true, true) => 1.0 / 25.4,
        (false, false) => 25.4,
        _ => return Some(number),
    };
    Some(rounded(number * factor * 1e4) / 1e4)
}

/// The limits of `it holds 1.50 mm to 5.00 mm`, in the unit of the job.
fn range(line: &str) -> Option<[f64; 2]> {
    let low = after(line, "it holds ")?;
    let (_, rest) = line.split_once("it holds ")?;
    Some([low, after(rest, " to ")?])
}
