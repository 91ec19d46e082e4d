//! The table of offsets: for machines as JSON with full digits, for people as aligned text.

use serde::Serialize;

use super::budget::BudgetLine;
use super::checks::{Finding, Gravity, Rule};
use super::{Correction, Lane, NoLane, Request, notes};
use crate::error;
use crate::format::columns::aligned;
use crate::terms::{Locates, SeatName};
use crate::units::{COARSE, FINE, InchFraction, Units, Written, fixed, short};

/// The offsets of a guide.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Offsets {
    /// Name of the guide.
    pub guide: String,
    /// Fingerprint of the state of guide and job; left out where there is no job.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fingerprint: Option<String>,
    /// One entry a lane.
    pub lanes: Vec<OffsetLane>,
    /// What no lane serves; left out where there is nothing.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<LeftOut>,
}

/// A bevel that no lane serves.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// The blade, the bevel and its angle.
    pub bevel: String,
    /// Why.
    pub reason: String,
}

/// What is left out, for machines; its words are those of the report.
pub fn left_out(left_out: &[NoLane], written: Written) -> Vec<LeftOut> {
    let of = |lane: &NoLane| LeftOut { bevel: lane.to_string(), reason: written.reworded(&error::causes(lane)) };
    left_out.iter().map(of).collect()
}

/// The same for people: a line a bevel.
pub fn left_out_lines(left_out: &[NoLane], written: Written) -> String {
    let line =
        |lane: &NoLane| format!("LEFT OUT: {}. Hone it without the guide.\n", written.reworded(&error::chain(lane)));
    left_out.iter().map(line).collect()
}

/// One lane's numbers: mm and degrees, full digits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OffsetLane {
    /// Unique name.
    pub id: String,
    /// Seat the blade is in.
    pub seat: SeatName,
    /// Tool class, if any.
    pub tool: Option<String>,
    /// Bevel angle.
    pub angle: f64,
    /// Blade thickness at the edge.
    pub thickness: f64,
    /// Taper, positive when thicker at the edge.
    pub taper: f64,
    /// Height of the side lands, where the seat grips them.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub land: Option<f64>,
    /// How far the roller's track lies above the honing surface, negative below it; left out where it is on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub roller_level: Option<f64>,
    /// From the face to the edge, along the seat, at the finished fence.
    pub projection: f64,
    /// From the block's reference edge to the finished fence.
    pub fence_distance: f64,
    /// Change of the fence distance with the angle.
    pub mm_per_degree: f64,
    /// Expanded (k = 2), mm: guide, blade and roller level; null where nothing at all was stated.
    pub projection_uncertainty: Option<f64>,
    /// Expanded (k = 2), degrees: that, and the making of the fence; null where nothing at all was stated.
    pub angle_uncertainty: Option<f64>,
    /// Blade on the table behind its heel.
    pub table_support: f64,
    /// Height over which face and edge bear; null where the face's lower end is not known.
    pub face_bearing: Option<f64>,
    /// How far the roller reaches below the table.
    pub roller_below_table: f64,
    /// What a block could not serve, what will not work well, what could not be checked.
    pub warnings: Vec<String>,
    /// What an earlier block's measurements change of the fence; left out where they change nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub correction: Option<Corrected>,
    /// What each measured quantity contributes, where it was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub budget: Option<Vec<BudgetLine>>,
}

/// A corrected fence, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Corrected {
    /// The parts of the correction.
    #[serde(flatten)]
    pub by: Correction,
    /// The distance to be measured on the finished block.
    pub finished: f64,
    /// The distance in the block's files.
    pub in_file: f64,
}

/// The offsets of `lanes`.
pub fn offsets<'a>(guide: &str, lanes: impl IntoIterator<Item = &'a Lane>) -> Offsets {
    let lanes = lanes.into_iter().map(offset_lane).collect();
    Offsets { guide: guide.to_string(), fingerprint: None, lanes, left_out: Vec::new() }
}

fn offset_lane(lane: &Lane) -> OffsetLane {
    let (request, setting) = (&lane.request, &lane.setting);
    let warning = |f: &crate::lane::checks::Finding| match f.gravity {
        Gravity::Refusal => format!("no block can serve this: {}", f.message),
        Gravity::Warning | Gravity::Note => f.message.clone(),
    };
    OffsetLane {
        id: request.id.clone(),
        seat: request.seat,
        tool: request.tool.clone(),
        angle: request.angle,
        thickness: request.blade.thickness.mm,
        taper: request.blade.taper.degrees,
        land: gripped(lane),
        roller_level: Some(request.roller_level.mm).filter(|level| *level != 0.0),
        projection: lane.projection(),
        fence_distance: lane.finished(),
        mm_per_degree: setting.mm_per_degree,
        projection_uncertainty: setting.uncertainty.projection,
        angle_uncertainty: setting.uncertainty.angle,
        table_support: lane.table_support,
        face_bearing: lane.face_bearing,
        roller_below_table: lane.roller_below_table,
        warnings: lane.findings.iter().map(warning).collect(),
        correction: corrected(lane),
        budget: None,
    }
}

fn corrected(lane: &Lane) -> Option<Corrected> {
    let corrected = || Corrected { by: lane.correction, finished: lane.finished(), in_file: lane.fence() };
    lane.correction.is_any().then(corrected)
}

impl Offsets {
    /// As JSON text with full digits.
    ///
    /// # Errors
    /// Never for the numbers a solved lane has; the signature is serde's.
    pub fn json(&self) -> serde_json::Result<String> {
        let mut text = serde_json::to_string_pretty(self)?;
        text.push('\n');
        Ok(text)
    }
}

/// The fence distance to the nearest fraction of an inch that is asked for, and the angle that the rounding gives in that
/// lane (`None` where it gives none).
pub fn inches(lane: &Lane) -> (InchFraction, Option<f64>) {
    let fraction = InchFraction::nearest(lane.finished(), lane.request.written.denominator);
    (fraction, lane.angle_at(fraction.mm()).ok())
}

/// How a table of lanes is shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// How lengths are written; fences in inches are given in fractions as well.
    pub written: Written,
    /// Whether a second table gives the rest.
    pub details: bool,
}

/// The table for people: what is set, then what is worth a warning, and on demand the rest.
pub fn table(guide: &str, lanes: &[&Lane], shown: Shown) -> String {
    // What makes the whole table doubtful stands above it.
    let mut text = doubts(lanes);
    if !text.is_empty() {
        text.push('\n');
    }
    text += &levels(lanes, shown.written);
    text += &format!("{}\n\n", how_read(guide));
    text += &settings(lanes, shown);
    if shown.details {
        text.push('\n');
        text += &rest(lanes, shown.written);
    }
    text += &corrected_lines(lanes.iter().copied());
    let others = others(lanes);
    if !others.is_empty() {
        text += &format!("\n{others}");
    }
    text
}

/// How a table of lanes is read.
pub fn how_read(guide: &str) -> String {
    format!(
        "Guide: {guide}. Measure each fence from the edge it is used from. ± figures: of block and guide, expanded uncertainty, k = 2."
    )
}

/// All that stands about a table of lanes: what makes it doubtful, where rollers run, what was corrected, and what else
/// was found, a line each.
pub fn remarks(lanes: &[&Lane], written: Written) -> String {
    doubts(lanes) + &levels(lanes, written) + &corrected_lines(lanes.iter().copied()) + &others(lanes)
}

/// What makes all lanes doubtful.
fn doubts(lanes: &[&Lane]) -> String {
    told(lanes, |finding| finding.rule == Rule::LandAssumed)
}

/// Where rollers run that do not run on the stone.
fn levels(lanes: &[&Lane], written: Written) -> String {
    let all = notes::levels(lanes.iter().copied(), |mm| written.size(mm));
    all.iter().map(|words| format!("{}\n", error::sentence(words))).collect()
}

/// What else was found of lanes, and what could not be checked.
fn others(lanes: &[&Lane]) -> String {
    told(lanes, |finding| finding.rule != Rule::LandAssumed && !finding.is_unchecked()) + &unchecked(lanes)
}

/// What could not be checked of lanes, under one head.
fn unchecked(lanes: &[&Lane]) -> String {
    let all = notes::unchecked(lanes.iter().copied());
    let line = |check: &String| format!("  {}\n", check.trim_start_matches("not checked: "));
    match all.is_empty() {
        true => String::new(),
        false => {
            format!("Not checked, because a measurement is missing:\n{}", all.iter().map(line).collect::<String>())
        }
    }
}

/// What was corrected, a line a lane; nothing where nothing was.
pub fn corrected_lines<'a>(lanes: impl IntoIterator<Item = &'a Lane>) -> String {
    let line = |lane: &Lane| corrected(lane).map(|fence| corrected_words(&lane.request, fence));
    lanes.into_iter().filter_map(line).collect()
}

/// What was corrected, and what is to be measured on the finished block.
fn corrected_words(request: &Request, fence: Corrected) -> String {
    let (id, written) = (&request.id, request.written);
    let mut causes = Vec::new();
    if fence.by.making != 0.0 {
        causes.push(format!(
            "The files have it at {}, because the last block came out {} off",
            written.length(fence.in_file),
            written.signed(-fence.by.making, FINE).said()
        ));
    }
    if fence.by.guide != 0.0 {
        causes.push(format!(
            "{} of that is the guide error that measured angles showed",
            written.signed(fence.by.guide, FINE).said()
        ));
    }
    format!("CORRECTED: {id}: finish the fence at {}. {}.\n", written.length(fence.finished), causes.join("; "))
}

/// The findings of `lanes` that are `wanted`, a line each: what several lanes have alike is said once, with their ids.
fn told(lanes: &[&Lane], wanted: impl Fn(&Finding) -> bool) -> String {
    let of = |lane: &&Lane| -> Vec<((&'static str, String), String)> {
        let findings = lane.findings.iter().filter(|f| wanted(f));
        findings.map(|f| ((sign(f), f.message.clone()), lane.request.id.clone())).collect()
    };
    let groups = notes::grouped(lanes.iter().flat_map(of));
    groups.into_iter().map(|((sign, message), ids)| format!("{sign}: {}: {message}\n", notes::in_a_row(&ids))).collect()
}

fn sign(finding: &Finding) -> &'static str {
    match finding.gravity {
        Gravity::Refusal => "NO BLOCK",
        Gravity::Warning => "Warning",
        Gravity::Note => "Note",
    }
}

/// What is worth a warning in lanes, a line each.
pub fn warning_lines<'a>(lanes: impl IntoIterator<Item = &'a Lane>) -> String {
    told(&lanes.into_iter().collect::<Vec<_>>(), Finding::warns)
}

/// Height of the side lands, mm, where the seat grips them: then they set the edge's level, and the thickness does not.
pub fn gripped(lane: &Lane) -> Option<f64> {
    lane.request.blade.land.filter(|_| lane.setting.section.locates == Locates::Sides).map(|land| land.mm)
}

/// What is set in each lane: the fence, with inches to the fraction of a rule and what that sets.
fn settings(lanes: &[&Lane], shown: Shown) -> String {
    aligned(&setting_rows(lanes, shown.written), 1)
}

/// The same as rows of a table: two of heads, names and units, then one a lane that begins with its id.
pub fn setting_rows(lanes: &[&Lane], written: Written) -> Vec<Vec<String>> {
    let known = |value: Option<f64>, decimals| value.map_or_else(|| "not stated".into(), |v| fixed(v, decimals));
    let unit = written.unit();
    let fraction = format!("in, 1/{}", written.denominator);
    let of_both = format!("mm [{fraction}]");
    let mut columns = vec![["lane", ""], ["angle", "°"], ["blade", unit]];
    columns.extend(match (written.mm, written.inches) {
        (true, true) => vec![["fence", &of_both], ["angle at", "fraction, °"]],
        (false, true) => vec![["fence", unit], ["fence", &fraction], ["angle at", "fraction, °"]],
        _ => vec![["projection", unit], ["fence", unit]],
    });
    columns.push(["± angle", "°"]);
    let mut rows =
        [0, 1].map(|line| columns.iter().map(|head| head[line].to_string()).collect::<Vec<String>>()).to_vec();
    for lane in lanes {
        let bare = |mm: f64| written.fixed(mm, FINE).to_string();
        let blade = match gripped(lane) {
            Some(land) => format!("land {}", bare(land)),
            None => bare(lane.request.blade.thickness.mm),
        };
        let mut row = vec![lane.request.id.clone(), short(lane.request.angle, 3), blade];
        let fence = lane.finished();
        let fraction = InchFraction::nearest(fence, written.denominator);
        let gives = || known(lane.angle_at(fraction.mm()).ok(), 2);
        match (written.mm, written.inches) {
            (true, true) => row.extend([format!("{} [{fraction}]", Units::Mm.fixed(fence, FINE)), gives()]),
            (false, true) => row.extend([bare(fence), fraction.to_string(), gives()]),
            _ => row.extend([bare(lane.projection()), bare(fence)]),
        }
        row.push(known(lane.setting.uncertainty.angle, 2));
        rows.push(row);
    }
    rows
}

/// The rest of what is known of each lane.
fn rest(lanes: &[&Lane], written: Written) -> String {
    let unit = written.unit();
    let names = |all: [&str; 6]| all.map(String::from).to_vec();
    let mut rows = vec![
        names(["lane", "seat", "projection", "± projection", "fence moves", "roller below"]),
        names(["", "", unit, unit, &format!("{unit} a degree"), &format!("table, {unit}")]),
    ];
    for lane in lanes {
        let setting = &lane.setting;
        let bare = |mm: f64| written.fixed(mm, FINE).to_string();
        rows.push(vec![
            lane.request.id.clone(),
            lane.request.seat.to_string(),
            bare(lane.projection()),
            setting.uncertainty.projection.map_or_else(|| "not stated".into(), bare),
            bare(setting.mm_per_degree),
            written.fixed(lane.roller_below_table, COARSE).to_string(),
        ]);
    }
    aligned(&rows, 2)
}
