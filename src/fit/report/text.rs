//! A fit in words and tables.

use super::{GainReport, Report, TestReport};
use crate::units::{EXACT, fixed, short};

/// The report for people.
pub fn text(report: &Report) -> String {
    let mut out = format!("{}: fitted from {} known settings\n", report.guide, report.residuals.len());
    out += &parameters(report);
    out += &residuals(report);
    out += &disagreeing(report);
    out += &predicted(report);
    out += &next(report);
    if report.whole {
        out += "\nThe profile is whole: --out PROFILE.json writes it, --json prints it.\n";
    } else {
        out += &format!("\nThe profile is partial; it lacks {}.\n", report.lacks.join(", "));
    }
    for missing in &report.missing {
        out += &format!("Missing: {missing}.\n");
    }
    for note in &report.notes {
        out += &format!("note: {note}\n");
    }
    out
}

fn parameters(report: &Report) -> String {
    let length = |mm: f64| report.written.fixed(mm, EXACT).to_string();
    let mut out = format!("\n{:<22} {:>10} {:>10}\n", "length", report.written.unit(), "U (k = 2)");
    for p in &report.parameters {
        out += &match (p.value, p.uncertainty) {
            (Some(value), Some(u)) => format!("{:<22} {:>10} {:>10}\n", p.name, length(value), length(u)),
            _ => format!("{:<22} {:>10}\n", p.name, "open"),
        };
    }
    out
}

fn residuals(report: &Report) -> String {
    // A thousand lines help nobody: beyond a page the worst are shown.
    const MOST: usize = 40;
    let mut rows: Vec<_> = report.residuals.iter().collect();
    let all = rows.len();
    if all > MOST {
        let size = |s: Option<f64>| s.map_or(0.0, f64::abs);
        rows.sort_by(|a, b| size(b.standardised).total_cmp(&size(a.standardised)));
        rows.truncate(MOST);
    }
    let mut out = format!("\n{:<7} {:>7} {:>11} {:>9} {:>7}\n", "seat", "angle", "projection", "residual", "w");
    for r in rows {
        out += &format!(
            "{:<7} {:>6}° {:>11} {:>9} {:>7}{}\n",
            r.seat,
            short(r.angle, 3),
            report.written.fixed(r.projection, EXACT).to_string(),
            report.written.fixed(r.residual, EXACT).to_string(),
            r.standardised.map_or("-".into(), |w| fixed(w, 2)),
            if r.agrees { "" } else { "  does not agree" }
        );
    }
    if all > MOST {
        out += &format!("the {MOST} worst of {all}; --json gives all\n");
    }
    out
}

fn disagreeing(report: &Report) -> String {
    let TestReport { risk, critical, .. } = report.test;
    let risk = short(risk * 100.0, 1);
    if report.disagreeing.is_empty() {
        return format!("All agree (|w| below {}, risk {risk} % over all).\n", fixed(critical, 2));
    }
    let list = |left_out: bool| {
        let some = report.disagreeing.iter().filter(|d| d.left_out == left_out);
        some.map(|d| d.field.as_str()).collect::<Vec<_>>().join(", ")
    };
    let mut out = String::new();
    let (gone, among) = (list(true), list(false));
    let limit = format!("|w| above {}, risk {risk} % over all", fixed(critical, 2));
    if !gone.is_empty() {
        out += &format!("Left out, as it does not agree with the rest ({limit}): {gone}\n");
    }
    if !among.is_empty() {
        out += &format!("Something is wrong among these, and the rest cannot settle what ({limit}): {among}\n");
    }
    out
}

fn predicted(report: &Report) -> String {
    let mut out =
        format!("\n{:<7} {:>7} {:>10} {:>11} {:>10}\n", "seat", "angle", "thickness", "projection", "U (k = 2)");
    for p in &report.predicted {
        let thickness = p.thickness.map_or("-".into(), |t| report.written.short(t, EXACT).to_string());
        out += &format!("{:<7} {:>6}° {:>10} ", p.seat, short(p.angle, 3), thickness);
        out += &match (p.projection, p.uncertainty, &p.reason) {
            (Some(projection), Some(u), _) => format!(
                "{:>11} {:>10}",
                report.written.fixed(projection, EXACT).to_string(),
                report.written.fixed(u, EXACT).to_string()
            ),
            (.., reason) => format!("none: {}", report.written.reworded(reason.as_deref().unwrap_or_default())),
        };
        out += match (p.determined, p.inside_known_angles) {
            (false, _) => "  leans on usual sizes\n",
            (true, false) => "  outside the known angles\n",
            (true, true) => "\n",
        };
    }
    out
}

fn next(report: &Report) -> String {
    let Some(next) = &report.next_measurement else { return String::new() };
    let what = |g: &GainReport| match (&g.seat, g.angle) {
        (Some(seat), Some(angle)) => format!("a further pair in the {seat} seat at {}°", short(angle, 2)),
        _ => format!("{}, measured directly", g.what),
    };
    format!(
        "\nThe one further measurement that helps most: {} (± {}). It takes the largest uncertainty of the \
         projections above from {} to {}.\n",
        what(&next.best),
        report.written.short(next.best.within, EXACT).said(),
        report.written.fixed(next.largest_uncertainty_now, EXACT),
        report.written.fixed(next.best.largest_uncertainty, EXACT).said()
    )
}
