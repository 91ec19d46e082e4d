//! What to mind about a fit, in sentences.

use super::lengths;
use crate::fit::model::{Unknown, usual};
use crate::fit::{Fitted, Settings, profile};
use crate::units::{COARSE, Written};

/// What every reader of a fit should know.
pub const COLLINEAR: &str = "Known settings give projections well, inside and near the known angles. They give single lengths of the guide poorly.";

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
    let others = (others > 0).then(|| format!("{count} of {}, or a known setting at another angle", open.join(", ")));
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
        "the {what} of the blade that you set in the {seat} seat, or seats.{seat}.height. Without it, the projections are for that blade only, and no profile can be written"
    ))
}

/// What to mind about a fit.
pub(super) fn notes(settings: &Settings, fitted: &Fitted, lacks: &[String], written: Written) -> Vec<String> {
    let mut notes = vec![COLLINEAR.to_string()];
    if !fitted.disagreement.among.is_empty() {
        notes.push(
            "Settings and measurements do not agree within their tolerances. Clear that up before you rely on any ± figure here."
                .into(),
        );
    }
    if lacks.is_empty() {
        notes.push(
            "Each tolerance in the profile is large by itself. The profile also records how they are linked (its covariance), so offsets from it are as good as the predictions here. A job can also name this file itself as its guide."
                .into(),
        );
    }
    for (_, unknown, determined) in lengths(fitted) {
        let field = fitted.model.field(unknown);
        if determined && lacks.contains(&field) {
            notes.push(format!(
                "{field} is known too poorly to stand alone in a profile (± more than {}, or outside what a profile allows). The predictions use it together with what it is linked to.",
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
            "Predictions that your settings and measurements leave open lean on usual sizes of guides ({}). Their ± figures show what that is worth.",
            ranges.join(", ")
        ));
    }
    for seat in settings.seats.iter().filter(|s| !s.locates_stated) {
        notes.push(format!(
            "You did not say what the {} seat locates, so the blade's underside is assumed. For blades of one thickness without taper this makes no difference to the projections.",
            seat.name
        ));
    }
    if settings.pairs.iter().any(|p| p.angle.within == Some(0.0)) {
        notes.push(
            "Angles in whole degrees count as exact, as names of settings. Give angles that you measured a tolerance."
                .into(),
        );
    }
    notes
}
