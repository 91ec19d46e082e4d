//! A fitted guide: for machines as JSON with full digits, for people as text.

mod notes;
mod text;

pub use text::{helps, text};

use serde::Serialize;

use super::agree::RISK;
use super::model::{Source, Unknown};
use super::predict::{Candidate, Gain, Prediction};
use super::profile::{self, Profile};
use super::{Fitted, Settings};
use crate::solve::uncertainty::COVERAGE;
use crate::terms::SeatName;
use crate::units::Written;

/// How the test for disagreeing pairs is named.
const TEST: &str = "each residual over its standard deviation against a two-sided normal quantile, with the risk shared out over all pairs and direct measurements";

/// A fit, as JSON gives it: mm, degrees and full digits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// Name of the guide.
    pub guide: String,
    /// Whether the profile is whole.
    pub whole: bool,
    /// The profile, as far as it can stand alone; lengths in the file's units.
    pub profile: Profile,
    /// Fields that a whole profile must have and this has not.
    pub lacks: Vec<String>,
    /// What is missing for the lengths that nothing determines.
    pub missing: Vec<String>,
    /// The guide's lengths.
    pub parameters: Vec<ParameterReport>,
    /// Of the lengths that are determined, mm².
    pub covariance: CovarianceReport,
    /// One entry a known pair.
    pub residuals: Vec<ResidualReport>,
    /// Projections for the angles asked.
    pub predicted: Vec<PredictedReport>,
    /// Pairs and measurements that do not agree with the rest.
    pub disagreeing: Vec<DisagreeingReport>,
    /// The test that says so.
    pub test: TestReport,
    /// The further measurement that would help most.
    pub next_measurement: Option<NextReport>,
    /// What to mind.
    pub notes: Vec<String>,
    /// How people read its lengths.
    #[serde(skip)]
    pub written: Written,
}

/// A length of the guide.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ParameterReport {
    /// Its field in a profile.
    pub name: String,
    /// mm; null where nothing determines it.
    pub value: Option<f64>,
    /// Expanded (k = 2), mm.
    pub uncertainty: Option<f64>,
    /// Whether the pairs and measurements determine it.
    pub determined: bool,
}

/// Covariances of the determined lengths.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CovarianceReport {
    /// Their fields.
    pub parameters: Vec<String>,
    /// mm².
    pub matrix: Vec<Vec<f64>>,
}

/// A known pair against the fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ResidualReport {
    /// Seat.
    pub seat: SeatName,
    /// Degrees.
    pub angle: f64,
    /// As known, mm.
    pub projection: f64,
    /// Known less fitted, mm.
    pub residual: f64,
    /// Standard uncertainty it was weighted by, mm.
    pub standard_uncertainty: f64,
    /// The residual over its own standard deviation; null where nothing else speaks about it.
    pub standardised: Option<f64>,
    /// Whether it agrees with the rest.
    pub agrees: bool,
}

/// A predicted projection.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PredictedReport {
    /// Seat.
    pub seat: SeatName,
    /// Degrees.
    pub angle: f64,
    /// mm; null where the guide cannot be set so.
    pub projection: Option<f64>,
    /// Expanded (k = 2), mm; null with it.
    pub uncertainty: Option<f64>,
    /// Blade thickness it is for, mm.
    pub thickness: Option<f64>,
    /// Taper it is for, degrees.
    pub taper: f64,
    /// Roller level it is for, mm.
    pub roller_level: f64,
    /// Whether pairs and measurements determine it; if not, usual sizes of guides stand in.
    pub determined: bool,
    /// Whether it lies within the known angles of its seat.
    pub inside_known_angles: bool,
    /// Why there is no projection.
    pub reason: Option<String>,
}

/// Something that does not agree with the rest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DisagreeingReport {
    /// Field of the file.
    pub field: String,
    /// Seat of a pair.
    pub seat: Option<SeatName>,
    /// Angle of a pair, degrees.
    pub angle: Option<f64>,
    /// Projection of a pair, mm.
    pub projection: Option<f64>,
    /// Its standardised residual.
    pub standardised: Option<f64>,
    /// Whether the fit was made without it; if not, it is one of several of which the rest cannot settle which is wrong.
    pub left_out: bool,
}

/// The test for disagreement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestReport {
    /// Its name and source.
    pub name: &'static str,
    /// Risk of any false alarm.
    pub risk: f64,
    /// What standardised residuals are compared with.
    pub critical: f64,
    /// Sum of squared standardised misfits.
    pub chi_square: f64,
    /// Equations less unknowns.
    pub degrees_of_freedom: usize,
}

/// The further measurement that would help most.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextReport {
    /// The best.
    #[serde(flatten)]
    pub best: GainReport,
    /// Largest uncertainty (k = 2) of the predictions now, mm.
    pub largest_uncertainty_now: f64,
    /// Mean uncertainty now, mm.
    pub mean_uncertainty_now: f64,
    /// All that were weighed, the best first.
    pub candidates: Vec<GainReport>,
}

/// What a further measurement would do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GainReport {
    /// Field of a length, or `known` for a further pair.
    pub what: String,
    /// Seat of a further pair.
    pub seat: Option<SeatName>,
    /// Angle of a further pair, degrees.
    pub angle: Option<f64>,
    /// How well it is taken to come out, ± mm.
    pub within: f64,
    /// Largest uncertainty (k = 2) of the predictions after it, mm.
    pub largest_uncertainty: f64,
    /// Mean uncertainty after it, mm.
    pub mean_uncertainty: f64,
}

/// The report of a fit.
pub fn report(settings: &Settings, fitted: &Fitted, written: Written) -> Report {
    let (profile, lacks) = profile::profile(settings, fitted);
    let next = fitted.next.as_ref().and_then(|next| {
        let candidates: Vec<GainReport> = next.gains.iter().map(|g| gain(fitted, g)).collect();
        Some(NextReport {
            best: candidates.first()?.clone(),
            largest_uncertainty_now: next.largest,
            mean_uncertainty_now: next.mean,
            candidates,
        })
    });
    Report {
        guide: settings.name.clone(),
        whole: lacks.is_empty(),
        profile,
        missing: notes::missing(fitted),
        parameters: parameters(fitted),
        covariance: covariance(fitted),
        residuals: residuals(settings, fitted),
        predicted: fitted.predictions.iter().map(predicted).collect(),
        disagreeing: disagreeing(settings, fitted),
        test: TestReport {
            name: TEST,
            risk: RISK,
            critical: fitted.disagreement.critical,
            chi_square: fitted.chi_square,
            degrees_of_freedom: fitted.degrees_of_freedom,
        },
        next_measurement: next,
        notes: notes::notes(settings, fitted, &lacks, written),
        written,
        lacks,
    }
}

fn lengths(fitted: &Fitted) -> impl Iterator<Item = (usize, Unknown, bool)> {
    (0..fitted.model.lengths).map(|column| (column, fitted.model.unknowns[column], fitted.determined.unknown(column)))
}

fn parameters(fitted: &Fitted) -> Vec<ParameterReport> {
    let parameter = |(column, unknown, determined): (usize, Unknown, bool)| ParameterReport {
        name: fitted.model.field(unknown),
        value: determined.then(|| fitted.values[column]),
        uncertainty: determined.then(|| COVERAGE * fitted.covariance[(column, column)].sqrt()),
        determined,
    };
    lengths(fitted).map(parameter).collect()
}

fn covariance(fitted: &Fitted) -> CovarianceReport {
    let kept: Vec<(usize, Unknown)> = lengths(fitted).filter(|l| l.2).map(|(c, u, _)| (c, u)).collect();
    CovarianceReport {
        parameters: kept.iter().map(|(_, u)| fitted.model.field(*u)).collect(),
        matrix: kept.iter().map(|&(i, _)| kept.iter().map(|&(j, _)| fitted.covariance[(i, j)]).collect()).collect(),
    }
}

fn residuals(settings: &Settings, fitted: &Fitted) -> Vec<ResidualReport> {
    let residual = |(pair, r): (&crate::fit::settings::Pair, &crate::fit::Residual)| ResidualReport {
        seat: settings.seats[pair.seat].name,
        angle: pair.angle.degrees,
        projection: pair.projection.mm,
        residual: r.residual,
        standard_uncertainty: r.sigma,
        standardised: r.standardised,
        agrees: r.agrees,
    };
    settings.pairs.iter().zip(&fitted.residuals).map(residual).collect()
}

fn predicted(p: &Prediction) -> PredictedReport {
    PredictedReport {
        seat: p.blade.name,
        angle: p.angle,
        projection: p.projection.as_ref().ok().copied(),
        uncertainty: p.projection.is_ok().then_some(p.uncertainty),
        thickness: p.blade.thickness.map(|t| t.mm),
        taper: p.blade.taper.degrees,
        roller_level: p.blade.level.mm,
        determined: p.determined,
        inside_known_angles: p.inside,
        reason: p.projection.as_ref().err().map(ToString::to_string),
    }
}

fn disagreeing(settings: &Settings, fitted: &Fitted) -> Vec<DisagreeingReport> {
    let found = &fitted.disagreement;
    let pair = |index: usize, left_out: bool| {
        let pair = &settings.pairs[index];
        DisagreeingReport {
            field: format!("known[{index}]"),
            seat: Some(settings.seats[pair.seat].name),
            angle: Some(pair.angle.degrees),
            projection: Some(pair.projection.mm),
            standardised: fitted.residuals[index].standardised,
            left_out,
        }
    };
    let among = found.among.iter().filter_map(|source| match source {
        Source::Pair(index) => Some(pair(*index, false)),
        Source::Measured(field) => {
            let field = format!("measured.{field}");
            let (seat, angle, projection, standardised) = (None, None, None, None);
            Some(DisagreeingReport { field, seat, angle, projection, standardised, left_out: false })
        }
        Source::Shared | Source::Usual => None,
    });
    found.left_out.iter().map(|&i| pair(i, true)).chain(among).collect()
}

fn gain(fitted: &Fitted, gain: &Gain) -> GainReport {
    let (what, seat, angle) = match gain.candidate {
        Candidate::Length(column) => (fitted.model.field(fitted.model.unknowns[column]), None, None),
        Candidate::Pair(blade, angle) => ("known".to_string(), Some(fitted.model.blades[blade].name), Some(angle)),
    };
    GainReport {
        what,
        seat,
        angle,
        within: gain.within,
        largest_uncertainty: gain.largest,
        mean_uncertainty: gain.mean,
    }
}

impl Report {
    /// The report as JSON text.
    ///
    /// # Errors
    /// What serde says; all numbers here are finite, so nothing.
    pub fn json(&self) -> Result<String, serde_json::Error> {
        Ok(format!("{}\n", serde_json::to_string_pretty(self)?))
    }
}
