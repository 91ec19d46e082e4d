//! A fit in words and tables.

use super::{GainReport, Report};
use crate::format::columns::aligned;
use crate::units::{EXACT, FINE, counted, short};

/// The report for people.
pub fn text(report: &Report) -> String {
    let settings = counted(report.residuals.len(), "known setting", "known settings");
    let mut out = format!("{}: fitted from {settings}. ± figures: expanded uncertainty, k = 2.\n", report.guide);
    out += &parameters(report);
    out += &residuals(report);
    out += &disagreeing(report);
    out += &predicted(report);
    out += &next(report);
    if report.whole {
        out += "\nThe profile is complete: --out PROFILE.json writes it.\n";
    } else {
        out += &format!("\nThe profile is not complete; it lacks {}.\n", report.lacks.join(", "));
    }
    for missing in &report.missing {
        out += &format!("Missing: {missing}.\n");
    }
    for note in &report.notes {
        out += &format!("Note: {note}\n");
    }
    out
}

fn cells<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(String::from).to_vec()
}

fn parameters(report: &Report) -> String {
    let mut rows = vec![cells(["length", report.written.unit(), "±"])];
    let length = |mm: f64| report.written.fixed(mm, FINE).to_string();
    for p in &report.parameters {
        rows.push(match (p.value, p.uncertainty) {
            (Some(value), Some(u)) => vec![p.name.clone(), length(value), length(u)],
            _ => cells([&p.name, "open", ""]),
        });
    }
    format!("\n{}", aligned(&rows, 1))
}

fn residuals(report: &Report) -> String {
    // A thousand lines help nobody: beyond a page the worst are shown.
    const MOST: usize = 40;
    let mut found: Vec<_> = report.residuals.iter().collect();
    let all = found.len();
    if all > MOST {
        let size = |s: Option<f64>| s.map_or(0.0, f64::abs);
        found.sort_by(|a, b| size(b.standardised).total_cmp(&size(a.standardised)));
        found.truncate(MOST);
    }
    let unit = report.written.unit();
    let mut rows = vec![cells(["seat", "angle", "projection", "off the fit", ""]), cells(["", "°", unit, unit, ""])];
    for r in found {
        rows.push(vec![
            r.seat.to_string(),
            short(r.angle, 3),
            report.written.fixed(r.projection, FINE).to_string(),
            report.written.signed(r.residual, FINE).to_string(),
            if r.agrees { "" } else { "does not agree" }.into(),
        ]);
    }
    let mut out = format!("\n{}", aligned(&rows, 1));
    if all > MOST {
        out += &format!("The {MOST} worst of {all}; --json gives all.\n");
    }
    out
}

fn disagreeing(report: &Report) -> String {
    if report.disagreeing.is_empty() {
        return "Your settings agree with one another. (statistics: --json)\n".into();
    }
    let list = |left_out: bool| {
        let some = report.disagreeing.iter().filter(|d| d.left_out == left_out);
        some.map(|d| d.field.as_str()).collect::<Vec<_>>().join(", ")
    };
    let mut out = String::new();
    let (gone, among) = (list(true), list(false));
    if !gone.is_empty() {
        out += &format!("Left out, because it does not agree with the rest: {gone} (statistics: --json)\n");
    }
    if !among.is_empty() {
        out +=
            &format!("One or more of these is wrong, and the rest cannot show which: {among} (statistics: --json)\n");
    }
    out
}

fn predicted(report: &Report) -> String {
    let unit = report.written.unit();
    let mut rows =
        vec![cells(["seat", "angle", "thickness", "projection", "±", ""]), cells(["", "°", unit, unit, unit, ""])];
    for p in &report.predicted {
        let [projection, uncertainty] = [p.projection, p.uncertainty]
            .map(|mm| mm.map_or("–".into(), |mm| report.written.fixed(mm, FINE).to_string()));
        let remark = match (&p.reason, p.determined, p.inside_known_angles) {
            (Some(reason), ..) if p.projection.is_none() => &report.written.reworded(reason),
            (_, false, _) => "leans on usual sizes",
            (_, true, false) => "outside the known angles",
            (_, true, true) => "",
        };
        rows.push(vec![
            p.seat.to_string(),
            short(p.angle, 3),
            p.thickness.map_or("–".into(), |t| report.written.short(t, EXACT).to_string()),
            projection,
            uncertainty,
            remark.into(),
        ]);
    }
    format!("\n{}", aligned(&rows, 1))
}

fn next(report: &Report) -> String {
    helps(report).map_or_else(String::new, |words| format!("\n{words}\n"))
}

/// The further measurement that would help most, and by how much: two sentences.
pub fn helps(report: &Report) -> Option<String> {
    let next = report.next_measurement.as_ref()?;
    let what = |g: &GainReport| match (&g.seat, g.angle) {
        (Some(seat), Some(angle)) => format!("another known setting in the {seat} seat at {}°", short(angle, 2)),
        _ => format!("{}, measured directly", g.what),
    };
    Some(format!(
        "One more measurement would help most: {} (± {}). It takes the largest ± figure of the projections above from \
         {} to {}.",
        what(&next.best),
        report.written.short(next.best.within, EXACT).said(),
        report.written.fixed(next.largest_uncertainty_now, FINE),
        report.written.fixed(next.best.largest_uncertainty, FINE).said()
    ))
}
