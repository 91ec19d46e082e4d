//! What to mind about a fit, in sentences.

use super::lengths;
use crate::fit::model::{Unknown, usual};
use crate::fit::{Fitted, Settings, profile};
use crate::units::{COARSE, Written};

/// What every reader of a fit should know.
pub const COLLINEAR: &str = "Over 20 to 40° the three parts of the angle relation are nearly alike: single lengths of \
    the guide are poorly determined by known settings, projections inside and near the known angles well.";

/// What would close the directions that are open.
pub(super) fn missing(fitted: &Fitted) -> Vec<String> {
    // What nobody stated of a seat's own blade stays open with the seat's height, however many settings there are.
    let own = fitted.model.unknowns.iter().enumerate().filter(|(column, _)| !fitted.determined.unknown(*column));
    let own: Vec<String> = own.filter_map(|(_, unknown)| of_own_blade(fitted, *unknown)).collect();
    let others = fitted.determined.open.saturating_sub(own.len());
    let open: Vec<String> = lengths(fitted).filter(|l| !l.2).map(|(_, u, _)| fitted.model.field(u)).collect();
    let count = match others {
        1 => "one more".to_string(),
        n => format!("{n} more"),
    };
    let others = (others > 0).then(|| format!("{count} of: {}, or a known pair at another angle", open.join(", ")));
    others.into_iter().chain(own).collect()
}

/// What the settings of one blade leave open for others.
fn of_own_blade(fitted: &Fitted, unknown: Unknown) -> Option<String> {
    let (seat, what) = match unknown {
        Unknown::OwnThickness(seat) => (seat, "thickness"),
        Unknown::OwnLand(seat) => (seat, "height of the side lands"),
        _ => return None,
    };
    let seat = fitted.model.seats[seat];
    Some(format!(
        "the {what} of the blade that the settings of the {seat} seat are of, or seats.{seat}.height; without it the \
         projections are those of that blade, and there is no profile"
    ))
}

/// What to mind about a fit.
pub(super) fn notes(settings: &Settings, fitted: &Fitted, lacks: &[String], written: Written) -> Vec<String> {
    let mut notes = vec![COLLINEAR.to_string()];
    if !fitted.disagreement.among.is_empty() {
        notes.push(
            "Settings and measurements do not fit together within their tolerances: no uncertainty here can be relied on \
             before that is cleared up."
                .into(),
        );
    }
    if lacks.is_empty() {
        notes.push(
            "The profile's tolerances are large each; its covariance says how they hang together, so that offsets from it \
             are as well known as the predictions here. A job may also name this file itself as its guide."
                .into(),
        );
    }
    for (_, unknown, determined) in lengths(fitted) {
        let field = fitted.model.field(unknown);
        if determined && lacks.contains(&field) {
            notes.push(format!(
                "{field} is known too poorly to stand alone in a profile (U above {}, or outside what a profile \
                 allows); the predictions use it with all that hangs together with it.",
                written.size(profile::MOST_UNCERTAIN)
            ));
        }
    }
    if fitted.predictions.iter().any(|p| !p.determined) {
        let ranges: Vec<String> = lengths(fitted)
            .filter(|l| !l.2)
            .filter_map(|(_, u, _)| {
                let [low, high] = usual(u)?;
                Some(format!(
                    "{} {} to {}",
                    fitted.model.field(u),
                    written.short(low, COARSE),
                    written.short(high, COARSE).said()
                ))
            })
            .collect();
        notes.push(format!(
            "Predictions that pairs and measurements do not determine lean on usual sizes of guides ({}); their \
             uncertainty says what that is worth.",
            ranges.join(", ")
        ));
    }
    for seat in settings.seats.iter().filter(|s| !s.locates_stated) {
        notes.push(format!(
            "Nothing says what the {} seat locates: the blade's underside is assumed. For blades of one thickness \
             without taper it makes no difference to the projections.",
            seat.name
        ));
    }
    if settings.pairs.iter().any(|p| p.angle.within == Some(0.0)) {
        notes.push(
            "Angles in whole degrees count as exact, as the names of settings do; give those that were measured a \
             tolerance."
                .into(),
        );
    }
    notes
}
