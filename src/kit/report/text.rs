//! The report on a kit for people.

use super::{BevelReport, BladeReport, FenceReport, FewerReport, MoreReport, Report};
use crate::error;
use crate::format::columns::aligned;
use crate::format::marked;
use crate::lane::{self, notes};
use crate::units::{self, FINE, Written, counted, fixed, rounded_up, short};

/// The report as text: blade by blade, then the fences and their proof.
pub fn text(report: &Report<'_>) -> String {
    let mut text = format!(
        "{}: {} in the guide {}, within ±{}°. Measure each fence from the edge it is used from.\n\n",
        report.kit,
        counted(report.blades.len(), "blade", "blades"),
        report.guide,
        short(report.tolerance, 3)
    );
    let level = notes::level(report.roller_level, |mm| report.written.size(mm));
    text.extend(level.map(|words| format!("{}\n\n", error::sentence(&words))));
    text.extend(report.blades.iter().map(|b| blade(b, report.written)));
    text += &fences(&report.fences, report.written);
    marked::practice(&(text + &proof(report)))
}

/// The blades: what each is, and what is advised of it, a line each.
pub fn blades(report: &Report<'_>) -> Vec<(String, Vec<String>)> {
    let of = |b: &BladeReport<'_>| {
        let text = blade(b, report.written);
        let mut lines = text.lines().map(|line| line.trim().to_string()).filter(|line| !line.is_empty());
        (lines.next().unwrap_or_default(), lines.collect())
    };
    report.blades.iter().map(of).collect()
}

/// What is proven of the number of fences, and what another would change, a line each.
pub fn conclusion(report: &Report<'_>) -> Vec<String> {
    proof(report).lines().filter(|line| !line.is_empty()).map(String::from).collect()
}

fn blade(blade: &BladeReport<'_>, written: Written) -> String {
    let mut text = format!(
        "{} ({}, {} wide, {} thick)\n",
        blade.name,
        blade.tool,
        written.size(blade.width),
        written.size(blade.thickness)
    );
    text += &bevel("primary", &blade.primary);
    text += &match (&blade.micro, blade.no_micro) {
        (Some(micro), _) => bevel("micro-bevel", micro),
        (None, reason) => format!("  {}\n", reason.unwrap_or("no micro-bevel")),
    };
    if let Some(cutting) = &blade.cutting {
        text += &format!(
            "  Cutting angle {}°, clearance angle {}° (bevel {}, {}° bed{}).\n",
            short(cutting.angle, 2),
            short(cutting.clearance, 2),
            cutting.bevel,
            short(cutting.bed, 2),
            if cutting.bed_stated { "" } else { ", as usual" }
        );
        text.extend(cutting.steeper.iter().map(|steeper| format!("  {steeper}\n")));
    }
    text.extend(blade.flags.iter().map(|flag| format!("  Warning: {}\n", flag.message)));
    text.push('\n');
    text
}

fn bevel(name: &str, bevel: &BevelReport<'_>) -> String {
    let lane = match (&bevel.lane, bevel.error) {
        (Some(lane), Some(error)) => format!("lane {lane}, {} off", signed(error)),
        _ if bevel.passing => "no lane needed".into(),
        _ => "no lane".into(),
    };
    let doubt = doubt(bevel);
    format!("  {name} {}°: {lane}{doubt}; {}\n", short(bevel.angle, 2), bevel.reason)
}

/// What is left open of the blade, where it is enough to be read.
fn doubt(bevel: &BevelReport<'_>) -> String {
    let read = |degrees: Option<f64>| degrees.map(|d| fixed(d, 2)).filter(|d| d != "0.00");
    match (read(bevel.by_thickness), read(bevel.by_land)) {
        (Some(thickness), Some(land)) => {
            format!(" (blade thickness could shift this by ±{thickness}°, the land by ±{land}°)")
        }
        (Some(thickness), None) => format!(" (blade thickness could shift this by ±{thickness}°)"),
        (None, Some(land)) => format!(" (the land could shift this by ±{land}°)"),
        (None, None) => String::new(),
    }
}

fn signed(degrees: f64) -> String {
    units::signed(degrees, 2) + "°"
}

fn fences(fences: &[FenceReport<'_>], written: Written) -> String {
    let head = ["lane", "needed for", "fence", "may be", "largest", "bevels"].map(String::from).to_vec();
    let within = format!("off, ± {}", written.unit());
    let unit = ["", "", written.unit(), &within, "error, °", "set"].map(String::from).to_vec();
    let row = |f: &FenceReport<'_>| {
        vec![
            f.lane.clone(),
            format!("{}, {} {}°", f.forced_by.blade, f.forced_by.bevel, short(f.forced_by.angle, 2)),
            written.fixed(f.distance, FINE).to_string(),
            written.less(printed_room(f, written), FINE).to_string(),
            fixed(f.worst, 2),
            f.serves.len().to_string(),
        ]
    };
    let rows: Vec<Vec<String>> = [head, unit].into_iter().chain(fences.iter().map(row)).collect();
    let mut text = aligned(&rows, 2);
    text.push('\n');
    for fence in fences {
        let served = fence.serves.iter().map(|s| format!("{}, {} {}°", s.blade, s.bevel, short(s.angle, 2)));
        text += &format!("{}: {}\n", fence.lane, served.collect::<Vec<_>>().join("; "));
    }
    text
}

/// How far a fence may be off as the block's sheet writes it: counted from the true and from the printed distance, and
/// rounded down, ± mm.
pub fn printed_room(fence: &FenceReport<'_>, written: Written) -> f64 {
    let printed = written.as_printed(fence.distance);
    lane::tolerance_within(fence.common, [fence.distance, printed], written.caliper_step())
}

fn proof(report: &Report<'_>) -> String {
    let fewest = &report.fewest;
    let fences = if fewest.fences == 1 { "fence" } else { "fences" };
    let apart = if report.across_seats { "" } else { " of one seat" };
    let mut text = if fewest.proven == fewest.fences {
        format!(
            "\n{} {fences}, the fewest possible: made within ±{}, no fence can set two of the bevels{apart} under 'needed for'.\n",
            fewest.fences,
            report.written.length(report.fence_within)
        )
    } else {
        format!(
            "\n{} {fences} found; at least {} are needed, so fewer may be possible.\n",
            fewest.fences, fewest.proven
        )
    };
    text.extend(fewest.more.iter().map(|more| more_words(more, report)));
    text.extend(fewest.fewer.iter().map(|fewer| fewer_words(fewer, report)));
    text
}

/// What one fence more would better, in a sentence.
fn more_words(more: &MoreReport, report: &Report<'_>) -> String {
    let [worst_now, worst_then] = more.worst.map(|degrees| fixed(degrees, 2));
    // No more than the table says.
    let least = report.fences.iter().map(|f| printed_room(f, report.written)).fold(more.room[0], f64::min);
    let [room_now, room_then] = [least, more.room[1]].map(|mm| report.written.under(mm));
    let error =
        (worst_now != worst_then).then(|| format!("the largest error falls from {worst_now}° to {worst_then}°"));
    let room = (room_now != room_then).then(|| format!("each fence may be ±{room_then} off instead of ±{room_now}"));
    let better: Vec<String> = error.into_iter().chain(room).collect();
    if better.is_empty() {
        return "One fence more would change nothing that you can measure.\n".into();
    }
    format!("With one fence more (lane {} in two) {}.\n", more.lane, better.join(", and "))
}

/// The least room that is read as any, ± mm.
const LEAST_SHOWN: f64 = 0.01;

/// What one fence fewer would cost, in a sentence.
fn fewer_words(fewer: &FewerReport<'_>, report: &Report<'_>) -> String {
    let lanes = format!("With one fence fewer (lanes {} and {} as one)", fewer.lanes[0], fewer.lanes[1]);
    if fewer.worst > report.tolerance {
        format!(
            "{lanes} the {} of the {}, {}°, would be {}° off, more than the {}° allowed.\n",
            fewer.bevel,
            fewer.blade,
            short(fewer.angle, 2),
            rounded_up(fewer.worst, 2),
            short(report.tolerance, 3)
        )
    } else if fewer.room >= LEAST_SHOWN {
        format!(
            "{lanes} the fence would have to be within ±{}, closer than the ±{} you can work to.\n",
            report.written.under(fewer.room),
            report.written.length(report.fence_within)
        )
    } else {
        format!("{lanes} no fence would set all of its bevels with every micro-bevel clear of its primary.\n")
    }
}
