//! The guide profile of a fit.
//!
//! Fitted lengths carry the tolerance ±√3·u, whose rectangular distribution has the fitted standard uncertainty u.
//! How their errors hang together stands beside them as their covariance, so that offsets from the profile are as well
//! known as the fit's own predictions. What was not fitted is taken over as written. The caliper's common error is in the
//! fitted tolerances already and is left out.

use serde::Serialize;

use super::Fitted;
use super::model::{Unknown, usual};
use super::settings::{Pair, Settings};
use crate::input::length::{Amount, Angle, AngleForm, Length, LengthForm, TaperForm};
use crate::profile::fit::{RollerPart, SeatPart, SeatsPart};
use crate::profile::guide::{CovarianceProfile, FaceProfile, KnownFile};
use crate::solve::uncertainty::COVERAGE;
use crate::terms::{Arrangement, SeatName};
use crate::units::Units;

/// Largest expanded uncertainty (k = 2) of a length that stands alone in a profile, mm. Beyond it the length says next
/// to nothing without the others, and an offset from it would be off by more than any block is.
pub const MOST_UNCERTAIN: f64 = 5.0;

/// A guide profile, whole or in part, as JSON writes it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Profile {
    format: u32,
    name: String,
    units: Units,
    notes: String,
    roller: RollerPart,
    face: FaceProfile,
    seats: SeatsPart,
    #[serde(skip_serializing_if = "Option::is_none")]
    covariance: Option<CovarianceProfile>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    known: Vec<KnownFile>,
}

/// The profile and what it lacks to be whole: fields, in the order of the profile.
pub fn profile(settings: &Settings, fitted: &Fitted) -> (Profile, Vec<String>) {
    let mut lacks = Vec::new();
    let measured = settings.measured.clone();
    let mut roller = measured.roller.unwrap_or_default();
    let mut face = measured.face.unwrap_or_default();
    let mut seats = measured.seats.unwrap_or_default();
    for (column, unknown) in fitted.model.unknowns[..fitted.model.lengths].iter().enumerate() {
        let form = length(settings.units, fitted, column);
        if form.is_none() {
            lacks.push(fitted.model.field(*unknown));
        }
        match *unknown {
            Unknown::Diameter => {
                roller.diameter = form;
                if roller.arrangement == Some(Arrangement::Pair) && roller.gap.is_none() {
                    lacks.push("roller.gap".into());
                }
            }
            Unknown::Height(seat) => {
                let seat = &settings.seats[seat];
                let part = part(&mut seats, seat.name);
                *part = SeatPart { height: form, over_roller: None, gauge: None, ..part.clone() };
                if !seat.locates_stated {
                    lacks.push(format!("seats.{}.locates", seat.name));
                }
            }
            Unknown::AxleToFace => {
                face.axle_to_face = form;
                face.over_roller = None;
            }
            _ => {}
        }
    }
    let (name, units) = (settings.name.clone(), settings.units);
    let covariance = lacks.is_empty().then(|| covariance(fitted));
    let known = if lacks.is_empty() { known(settings, fitted) } else { Vec::new() };
    (Profile { format: 1, name, units, notes: notes(settings, fitted), roller, face, seats, covariance, known }, lacks)
}

/// The known settings that agree with the rest, each with its tolerance.
fn known(settings: &Settings, fitted: &Fitted) -> Vec<KnownFile> {
    let units = settings.units;
    let plain = |mm: f64| LengthForm::Plain(Amount::Number(rounded(units, mm)));
    let toleranced = |l: Length| match l.within {
        Some(within) => LengthForm::Toleranced {
            value: Amount::Number(rounded(units, l.mm)),
            within: Amount::Number(rounded(units, within)),
        },
        None => plain(l.mm),
    };
    let turned = |a: Angle| (a.degrees != 0.0).then_some(TaperForm::Angle(AngleForm::Plain(a.degrees)));
    let kept = settings.pairs.iter().enumerate().filter(|(i, _)| !fitted.disagreement.left_out.contains(i));
    let of_pair = |(_, pair): (usize, &Pair)| KnownFile {
        seat: settings.seats[pair.seat].name,
        thickness: pair.thickness.map(|t| plain(t.mm)),
        taper: turned(pair.taper),
        land: pair.land.map(|l| plain(l.mm)),
        land_taper: turned(pair.land_taper),
        roller_level: (pair.level.mm != 0.0).then(|| plain(pair.level.mm)),
        angle: match pair.angle.within.filter(|w| *w > 0.0) {
            Some(within) => AngleForm::Toleranced { value: pair.angle.degrees, within },
            None => AngleForm::Plain(pair.angle.degrees),
        },
        projection: toleranced(pair.projection),
    };
    kept.map(of_pair).collect()
}

/// A length in a file's unit, to a nanometre: far below anything that matters, and readable.
fn rounded(units: Units, mm: f64) -> f64 {
    const DIGITS: f64 = 1e6;
    (units.of(mm) * DIGITS).round() / DIGITS
}

/// Covariances of all lengths, mm².
fn covariance(fitted: &Fitted) -> CovarianceProfile {
    let all = 0..fitted.model.lengths;
    CovarianceProfile {
        parameters: all.clone().map(|i| fitted.model.field(fitted.model.unknowns[i])).collect(),
        matrix: all.clone().map(|i| all.clone().map(|j| fitted.covariance[(i, j)]).collect()).collect(),
    }
}

fn part(seats: &mut SeatsPart, name: SeatName) -> &mut SeatPart {
    match name {
        SeatName::Iron => seats.iron.get_or_insert_default(),
        SeatName::Chisel => seats.chisel.get_or_insert_default(),
    }
}

/// A fitted length, if it can stand alone: determined, sure enough, and of a size that a profile may have.
fn length(units: Units, fitted: &Fitted, column: usize) -> Option<LengthForm> {
    let (value, u) = (fitted.values[column], fitted.covariance[(column, column)].sqrt());
    let [low, high] = allowed(fitted.model.unknowns[column])?;
    let sound = fitted.determined.unknown(column) && COVERAGE * u <= MOST_UNCERTAIN && (low..=high).contains(&value);
    let number = |mm: f64| Amount::Number(rounded(units, mm));
    sound.then(|| LengthForm::Toleranced { value: number(value), within: number(3f64.sqrt() * u) })
}

/// The range that a guide profile allows, mm; see [`crate::profile::guide`].
fn allowed(unknown: Unknown) -> Option<[f64; 2]> {
    usual(unknown)?;
    match unknown {
        Unknown::Diameter => Some([4.0, 120.0]),
        Unknown::Height(_) => Some([-60.0, 120.0]),
        _ => Some([-60.0, 150.0]),
    }
}

fn notes(settings: &Settings, fitted: &Fitted) -> String {
    const MOST: usize = 2000;
    let own = format!(
        "Fitted from {} known setting{}. Each tolerance is large by itself; the covariance records how they are linked, and belongs to these lengths only.",
        settings.pairs.len() - fitted.disagreement.left_out.len(),
        if settings.pairs.len() == 1 { "" } else { "s" }
    );
    let all = match &settings.notes {
        Some(notes) => format!("{own} {notes}"),
        None => own,
    };
    all.chars().take(MOST).collect()
}

impl Profile {
    /// The profile as the text of a file.
    ///
    /// # Errors
    /// What serde says; numbers here are finite, so nothing.
    pub fn text(&self) -> Result<String, serde_json::Error> {
        Ok(format!("{}\n", serde_json::to_string_pretty(self)?))
    }
}
