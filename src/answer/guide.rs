//! The guide, and what it sets.

use super::bench::{Bench, Formed, GuideBy};
use super::parts::Parts;
use super::reply::{GuideShown, Table};
use crate::error;
use crate::fit::{self, Settings, report};
use crate::guide::Guide;
use crate::lane::{DEFAULT_FENCE_WITHIN, Lane, budget, notes, report::setting_rows};
use crate::lanes::usual::{self, UsualSeat};
use crate::units::{EXACT, Written, fixed};
use crate::views::side_view::{self, Stand};

/// The widest side view on a screen, mm of paper: so wide its lettering can still be read on a telephone.
pub(super) const WIDEST: f64 = 150.0;

/// The least gain that a further measurement is advised for, mm: the last digit that is written.
const LEAST_GAIN: f64 = 0.01;

/// Angles at which known settings are asked what they leave open, degrees (common practice, no source).
const ANGLES: [f64; 3] = [25.0, 30.0, 35.0];

/// The guide of the bench.
pub(super) fn shown(bench: &Bench, parts: &mut Parts) -> GuideShown {
    let form = match bench.guide {
        GuideBy::Calipers { .. } => Some(bench.guide_form()),
        GuideBy::KnownSettings => Some(bench.settings_form()),
        GuideBy::Profile { .. } => None,
    };
    let none = GuideShown {
        form: None,
        name: None,
        sides: Vec::new(),
        table: None,
        known: None,
        helps: None,
        notes: Vec::new(),
        faults: Vec::new(),
    };
    let helps = form.as_ref().and_then(|form| helps_to_fit(bench, form));
    match bench.guide() {
        Ok(guide) => {
            let mut shown = of_guide(&guide, parts, none);
            shown.helps = helps.or(shown.helps);
            shown.notes.splice(0..0, bench.taken_as_usual());
            GuideShown { form, ..shown }
        }
        Err(faults) => GuideShown { form, faults, helps, ..none },
    }
}

fn of_guide(guide: &Guide, parts: &mut Parts, mut shown: GuideShown) -> GuideShown {
    let written = Written::of(guide.units);
    let seats = match usual::of_guide(guide) {
        Ok(seats) => seats,
        Err(faults) => return GuideShown { faults: vec![faults.to_string()], ..shown },
    };
    shown.name = Some(guide.name.clone());
    for seat in &seats {
        if let Some(lane) = seat.drawn() {
            let (groups, area) = side_view::alone(guide, lane, Stand::Stone, WIDEST);
            let title = format!("{}, {} seat, {} on the stone", guide.name, seat.name, lane.request.angle_words());
            shown.sides.push(parts.picture(&format!("side-{}.svg", seat.name), &title, &groups, area));
        }
        let failed = seat.failed.iter().map(|lane| format!("No setting: {}.", error::chain(lane)));
        shown.faults.extend(failed.map(|fault| format!("{fault} Did you measure everything where the picture shows?")));
    }
    let lanes: Vec<&Lane> = seats.iter().flat_map(|seat| &seat.lanes).collect();
    if !lanes.is_empty() {
        shown.table = Some(settings(&lanes, written, typical(&seats, written)));
    }
    if let Some(lane) = seats.iter().find_map(UsualSeat::drawn) {
        let lines = budget::budget(lane, Some(DEFAULT_FENCE_WITHIN));
        shown.helps = helps(&lines);
        shown.known = Some(known(&lines, lane, written));
    }
    let unchecked = notes::unchecked(lanes.iter().copied()).into_iter();
    shown.notes = unchecked.map(|words| error::sentence(&super::filled_in(&words))).collect();
    shown
}

/// What budgets have that is no length of the guide: the making of a fence, and the blade's own sizes.
const NOT_OF_THE_GUIDE: [&str; 6] =
    ["fence", "blade thickness", "taper", "side lands", "taper of the side lands", "roller level"];

/// A measurement with its letter on the measuring sheet, where it has one.
fn lettered(quantity: &str) -> String {
    let letter = match quantity {
        "roller diameter" => "D",
        "axle to face" => "N",
        "seat height" => "M",
        "parallel in the seat" => "g",
        "face's lower end" => "B",
        _ => return quantity.to_string(),
    };
    format!("{quantity} ({letter})")
}

/// What the budget calls all that known settings leave open.
const FITTED: &str = "known settings";

/// What to measure again; nothing where nothing was measured with a tolerance.
fn helps(lines: &[budget::BudgetLine]) -> Option<String> {
    let is_of_guide = |line: &&budget::BudgetLine| !NOT_OF_THE_GUIDE.contains(&line.quantity);
    let most = lines.iter().filter(is_of_guide).find(|line| line.within > 0.0)?;
    let blade = lines.first().filter(|first| !is_of_guide(first) && first.quantity != "fence");
    let blade = blade.map_or_else(String::new, |first| {
        format!(" The {} of a usual blade adds more: measure your own, under blades.", first.quantity)
    });
    if most.quantity == FITTED {
        return Some(format!("Of the guide, the known settings add most. A further one helps.{blade}"));
    }
    Some(format!(
        "Of the guide, the {} adds most. If you measure one length again, measure that.{blade}",
        lettered(most.quantity)
    ))
}

fn typical(seats: &[UsualSeat<'_>], written: Written) -> String {
    let of = |seat: &UsualSeat<'_>| {
        let thickness = seat.class.thickness;
        let within = written.size(thickness.within.unwrap_or(0.0));
        format!("{}, {} ± {within} thick", seat.class.name.replace('-', " "), written.short(thickness.mm, EXACT))
    };
    format!(
        "Usual blades: {}. ± figures: expanded uncertainty, k = 2.",
        seats.iter().map(of).collect::<Vec<_>>().join("; ")
    )
}

/// A table of lanes.
pub(super) fn settings(lanes: &[&Lane], written: Written, caption: String) -> Table {
    let mut rows = setting_rows(lanes, written).into_iter();
    let [names, units] = [rows.next(), rows.next()].map(Option::unwrap_or_default);
    Table {
        caption,
        head: names.into_iter().zip(units).map(|(name, unit)| [name, unit]).collect(),
        rows: rows.collect(),
    }
}

fn known(lines: &[budget::BudgetLine], lane: &Lane, written: Written) -> Table {
    let total = lane.setting.uncertainty.angle.map_or_else(|| "not stated".into(), |u| format!("±{}°", fixed(u, 2)));
    let row = |line: &budget::BudgetLine| {
        let within = if line.unit == "degrees" {
            fixed(line.within, 3) + "°"
        } else {
            written.fixed(line.within, EXACT).said()
        };
        let adds = format!("{}°", fixed(line.angle_uncertainty, 3));
        vec![lettered(line.quantity), format!("±{within}"), adds, format!("{} %", fixed(line.share * 100.0, 0))]
    };
    Table {
        caption: format!("What each measurement adds to the angle, {total} in all, the most first"),
        head: ["measurement", "known to", "adds", "share"].map(|name| [name.to_string(), String::new()]).into(),
        rows: lines.iter().map(row).collect(),
    }
}

/// The measurement that known settings lack most.
fn helps_to_fit(bench: &Bench, form: &Formed) -> Option<String> {
    let file = form.file.as_ref().filter(|_| bench.guide == GuideBy::KnownSettings)?;
    let settings = Settings::parse(&file.name, file.text.as_bytes()).ok()?;
    let fitted = fit::fit(&settings, &ANGLES).ok()?;
    let report = report::report(&settings, &fitted, Written::of(settings.units));
    let next = report.next_measurement.as_ref()?;
    // What would not show in the figures is no help.
    let gains = next.largest_uncertainty_now - next.best.largest_uncertainty >= LEAST_GAIN;
    report::helps(&report).filter(|_| gains)
}
