//! What angles that were measured say of the guide: those of honed test bevels, and those of blades on a plate.
//!
//! A bevel's angle comes from `sin(β + τ) = t / L` or from a protractor, coarsely. Its difference from the angle that
//! its lane sets is noise, and perhaps an offset δ of the guide or of one seat: something that makes every projection
//! longer or shorter by the same length. To first order each difference is `d = (dβ/dF)·δ`; weighted least squares
//! gives δ and its uncertainty. A lane's angle on a plate counts as one with the
//! uncertainty of its mean. Noise and bias are told apart by two questions: is δ larger than its expanded
//! uncertainty (k = 2), and do they agree with one δ (chi-square at 95 %, JCGM 100:2008 H.3.5 reasons alike)?

use serde::Serialize;
use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::plates::{PlateVerdict, Plates};
use super::readings::{BevelReading, BevelTaken, Readings};
use super::{BEVEL_READ_WITHIN, THICKNESS_READ_WITHIN, lane_by_id};
use crate::input::length::rectangular;
use crate::lane::Lane;
use crate::lanes::LaneSet;
use crate::solve;
use crate::solve::uncertainty::COVERAGE;
use crate::terms::SeatName;
use crate::trig::{Inverse, Trig};
use crate::units::{fixed, signed};

/// How an angle was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum By {
    /// From a honed test bevel.
    Bevel,
    /// On a plate.
    Plate,
}

/// One angle against its lane.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AngleResult {
    /// How it was taken.
    pub taken: By,
    /// The lane it was set in.
    pub id: String,
    /// How many settings it is of.
    pub settings: usize,
    /// Its seat.
    pub seat: SeatName,
    /// Its angle as measured, degrees.
    pub measured_angle: f64,
    /// The angle its lane sets, degrees: from the measured fence where there is one.
    pub expected_angle: f64,
    /// Measured minus expected, degrees.
    pub difference: f64,
    /// Expanded uncertainty of the measurement, degrees: k = 2; on a plate with the scatter of settings, and the k that
    /// follows.
    pub difference_uncertainty: f64,
    /// The smallest bias that an angle measured so could reveal, mm of projection.
    pub smallest_bias: f64,
    #[serde(skip)]
    mm_per_degree: f64,
}

/// An offset of the whole guide or of one seat.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Offset {
    /// `null` for the whole guide.
    pub seat: Option<SeatName>,
    /// How much shorter every projection really is than the geometry says, mm: what all fences should be moved by.
    pub offset: f64,
    /// Expanded uncertainty (k = 2), mm.
    pub uncertainty: f64,
    /// How many angles it rests on: a bevel each, and a setting on a plate each.
    pub angles: usize,
    /// Chi-square of the angles against one offset, and its 95 % limit; the limit is null for a single one.
    pub chi_square: f64,
    /// The 95 % quantile.
    pub chi_square_limit: Option<f64>,
    /// Whether they agree with one offset.
    pub consistent: bool,
    /// Whether it is a bias to be trusted: at least two angles, consistent, and larger than its uncertainty.
    pub trusted: bool,
    /// The same in words.
    pub advice: String,
}

/// What the angles say.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AngleReport {
    /// Each of them.
    pub angles: Vec<AngleResult>,
    /// The offset of the guide, or of each seat where the seats do not agree.
    pub offsets: Vec<Offset>,
}

/// Degrees that a bevel's measured angle may be off (standard uncertainty), and the angle itself.
fn angle_of(bevel: &BevelReading, lane: &Lane) -> Option<(f64, f64)> {
    let t = bevel.thickness;
    match bevel.taken {
        BevelTaken::Read(angle, within) => Some((angle, rectangular(within))),
        BevelTaken::Length(length, within) => {
            let taper = lane.request.blade.taper.degrees;
            let angle = solve::angle_of_bevel(t.mm, length, taper)?;
            // d(sin β)/dt = 1/L, d(sin β)/dL = −t/L².
            let cos = (angle + taper).to_radians().cosine();
            let of_t = rectangular(t.within.unwrap_or(THICKNESS_READ_WITHIN)) / length;
            let of_l = rectangular(within) * t.mm / (length * length);
            Some((angle, (of_t.hypotenuse(of_l) / cos).to_degrees()))
        }
    }
}

/// The smallest bias, degrees and mm of projection, that a bevel of this lane could reveal, with a caliper and a rule
/// of the usual coarseness: twice the standard uncertainty of one such bevel.
pub fn smallest_bias(lane: &Lane) -> (f64, f64) {
    let t = lane.setting.section.thickness;
    let taper = lane.request.blade.taper.degrees;
    let length = t / (lane.request.angle + taper).to_radians().sine();
    let bevel = BevelReading {
        id: String::new(),
        thickness: crate::input::length::Length::within(t, THICKNESS_READ_WITHIN),
        taken: BevelTaken::Length(length, BEVEL_READ_WITHIN),
    };
    let u = angle_of(&bevel, lane).map_or(f64::INFINITY, |(_, u)| u);
    (COVERAGE * u, COVERAGE * u * lane.setting.mm_per_degree.abs())
}

/// Weighs the bevels of `readings` and the angles on a plate; `None` without any.
pub fn weigh(set: &LaneSet, readings: &Readings, plates: Option<&Plates>) -> Option<AngleReport> {
    let bevels = readings.bevels.iter().filter_map(|b| result(set, readings, b));
    let plates = plates.into_iter().flat_map(|p| &p.lanes).filter_map(|plate| on_a_plate(set, plate));
    let angles: Vec<AngleResult> = bevels.chain(plates).collect();
    if angles.is_empty() {
        return None;
    }
    let mut seats: Vec<SeatName> = angles.iter().map(|b| b.seat).collect();
    seats.sort();
    seats.dedup();
    let all: Vec<&AngleResult> = angles.iter().collect();
    let whole = offset(None, &all);
    let by_seat: Vec<Offset> =
        seats.iter().map(|s| offset(Some(*s), &angles.iter().filter(|b| b.seat == *s).collect::<Vec<_>>())).collect();
    // The seats differ when their offsets do by more than the expanded uncertainty of the difference.
    let differ = match &by_seat[..] {
        [a, b] => (a.offset - b.offset).abs() > a.uncertainty.hypotenuse(b.uncertainty),
        _ => false,
    };
    let one_seat = seats.len() == 1;
    let offsets = if differ || one_seat { by_seat } else { vec![whole] };
    Some(AngleReport { angles, offsets })
}

/// A lane's angle on the plate as one of the angles.
fn on_a_plate(set: &LaneSet, plate: &PlateVerdict) -> Option<AngleResult> {
    let lane = lane_by_id(set, &plate.id)?;
    Some(AngleResult {
        taken: By::Plate,
        id: plate.id.clone(),
        settings: plate.settings,
        seat: plate.seat,
        measured_angle: plate.measured_angle,
        expected_angle: plate.measured_angle - plate.difference,
        difference: plate.difference,
        difference_uncertainty: plate.error_uncertainty,
        smallest_bias: plate.error_uncertainty * lane.setting.mm_per_degree.abs(),
        mm_per_degree: lane.setting.mm_per_degree,
    })
}

fn result(set: &LaneSet, readings: &Readings, bevel: &BevelReading) -> Option<AngleResult> {
    let lane = lane_by_id(set, &bevel.id)?;
    let (measured_angle, u) = angle_of(bevel, lane)?;
    let fence = readings.fences.iter().find(|f| f.id == bevel.id).map(|f| f.fence);
    let expected_angle = expected(lane, fence, bevel.thickness.mm)?;
    Some(AngleResult {
        taken: By::Bevel,
        id: bevel.id.clone(),
        settings: 1,
        seat: lane.request.seat,
        measured_angle,
        expected_angle,
        difference: measured_angle - expected_angle,
        difference_uncertainty: COVERAGE * u,
        smallest_bias: COVERAGE * u * lane.setting.mm_per_degree.abs(),
        mm_per_degree: lane.setting.mm_per_degree,
    })
}

/// The angle that the lane sets a blade as thick as the test blade to.
fn expected(lane: &Lane, fence: Option<f64>, thickness: f64) -> Option<f64> {
    let mut section = lane.setting.section;
    section.thickness = thickness;
    lane.angle_of(&section, fence.unwrap_or(lane.finished())).ok()
}

fn offset(seat: Option<SeatName>, angles: &[&AngleResult]) -> Offset {
    let weight = |b: &AngleResult| (COVERAGE / b.difference_uncertainty).powi(2);
    // A bevel steeper than expected means a projection too short: d = δ / mm_per_degree with δ ≤ 0.
    let gain = |b: &AngleResult| 1.0 / b.mm_per_degree;
    let sum = |f: &dyn Fn(&AngleResult) -> f64| angles.iter().map(|b| f(b)).sum::<f64>();
    let information = sum(&|b| weight(b) * gain(b).powi(2));
    let longer = sum(&|b| weight(b) * gain(b) * b.difference) / information;
    let chi_square = sum(&|b| weight(b) * (b.difference - gain(b) * longer).powi(2));
    let uncertainty = COVERAGE / information.sqrt();
    let freedom = angles.len() as f64 - 1.0;
    let chi_square_limit = ChiSquared::new(freedom).ok().map(|c| c.inverse_cdf(0.95));
    let consistent = chi_square_limit.is_none_or(|limit| chi_square <= limit);
    let offset = -longer;
    let seen = offset.abs() > uncertainty;
    let count: usize = angles.iter().map(|a| a.settings).sum();
    let trusted = count >= 2 && consistent && seen;
    // Test bevels alone keep their name.
    let only_bevels = angles.iter().all(|a| a.taken == By::Bevel);
    let (them, one) = if only_bevels { ("test bevels", "test bevel") } else { ("angles you measured", "angle") };
    let more = if only_bevels { "hone and measure another" } else { "set the blade again and measure another" };
    let anew = if only_bevels { ", each a single flat bevel," } else { "" };
    let [found, doubt] = [signed(offset, 2), fixed(uncertainty, 2)];
    let advice = match (count, consistent, seen) {
        (_, false, _) => {
            format!("the {them} disagree by more than they should: measure them again{anew} before you rely on any")
        }
        (_, true, false) => {
            format!("the {them} show no guide error; they are too coarse to show one below {doubt} mm")
        }
        (1, true, true) => {
            format!("one {one} shows a guide error of {found} mm ± {doubt} mm: {more} before you rely on it")
        }
        (_, true, true) => {
            format!(
                "the {them} show a guide error of {found} mm ± {doubt} mm: move the fences by it, or measure the guide again"
            )
        }
    };
    Offset { seat, offset, uncertainty, angles: count, chi_square, chi_square_limit, consistent, trusted, advice }
}
