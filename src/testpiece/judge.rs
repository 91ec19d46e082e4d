//! Scale and growth of each axis from what was read.
//!
//! Each length gives one equation, weighted by its standard uncertainty u = w/√3 (JCGM 100:2008, 4.3.7):
//!
//! ```text
//! mean − L = (s − 1)·L + 2g (outside only) + δ
//! ```
//!
//! with a scale s and a growth g for each axis, and one δ for all lengths: what the caliper, or the way it is held against
//! the datum face, does alike to all of them (5.2: what is common is correlated). Nothing need be known of δ: the scale
//! rests on differences of lengths, in which it cancels, however large. Where the caliper's tolerance is stated, δ is
//! about zero within it, as one more equation. All are solved together by the orthogonal factorisation of
//! [`least_squares`]; uncertainties follow from its covariance and are expanded with k = 2. Each length is tested against
//! the rest as in [`agree`].
//!
//! Not considered: temperature (the piece is measured as warm as blocks will be used), and a caliper whose own scale is
//! off, which reads as the printer's.

use nalgebra::{DMatrix, DVector};
use serde::Serialize;

use super::readings::{Readings, Size};
use super::{Axis, LengthKind};
use crate::fit::agree::{self, RISK, quantile};
use crate::fit::least_squares::{self, Deficient, Refine, Solution};
use crate::input::length::rectangular;
use crate::profile::job::ScaleFile;
use crate::solve::uncertainty::COVERAGE;

/// Scales that a job takes.
pub const SCALES: [f64; 2] = [0.95, 1.05];

/// What was found of one axis.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AxisFound {
    /// The axis.
    pub axis: Axis,
    /// Measured size over meant size.
    pub scale: f64,
    /// Its expanded uncertainty (k = 2).
    pub scale_uncertainty: f64,
    /// How far each wall stands out, mm; null where no outside size was measured.
    pub growth: Option<f64>,
    /// Its expanded uncertainty (k = 2), mm.
    pub growth_uncertainty: Option<f64>,
    /// Whether the scale differs from 1 by its uncertainty or more.
    pub significant: bool,
}

/// What was found of one length.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SizeFound {
    /// The axis that it lies along.
    pub axis: Axis,
    /// What it lies between.
    pub kind: LengthKind,
    /// As meant, mm.
    pub length: f64,
    /// Mean of its readings, mm.
    pub mean: f64,
    /// How many.
    pub count: usize,
    /// Standard uncertainty that it was weighted by, mm.
    pub standard_uncertainty: f64,
    /// Mean less fitted length, mm.
    pub residual: f64,
    /// The residual over its own standard deviation; null where nothing else speaks about what the length says.
    pub standardised: Option<f64>,
    /// Whether it agrees with the rest.
    pub agrees: bool,
}

/// What to do about the scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Advice {
    /// Put the scale into the job.
    Scale,
    /// Neither scale is told from 1.
    LeaveAlone,
    /// The readings do not agree: nothing is to be built on them.
    MeasureAgain,
    /// A scale that no job takes.
    OutOfRange,
}

/// What the piece tells.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    /// Both axes.
    pub axes: [AxisFound; 2],
    /// The lengths, in the order of the file.
    pub sizes: Vec<SizeFound>,
    /// The error common to all lengths as fitted, mm; null where none was fitted.
    pub instrument_error: Option<f64>,
    /// Whether the readings agree.
    pub agree: bool,
    /// What standardised residuals are compared with: the two-sided quantile for [`RISK`] over all.
    pub critical: f64,
    /// Sum of the squared standardised misfits.
    pub chi_square: f64,
    /// Equations less unknowns.
    pub degrees_of_freedom: usize,
    /// What to do.
    pub advice: Advice,
    /// What to put into the job, where there is something.
    pub scale: Option<ScaleFile>,
}

impl Judged {
    /// Whether something is wrong with the readings.
    pub fn failed(&self) -> bool {
        matches!(self.advice, Advice::MeasureAgain | Advice::OutOfRange)
    }
}

/// The unknowns' columns.
struct Columns {
    scale: [usize; 2],
    growth: [Option<usize>; 2],
    instrument: Option<usize>,
    count: usize,
}

impl Columns {
    fn new(readings: &Readings) -> Self {
        let mut count = 0;
        let mut next = || {
            count += 1;
            count - 1
        };
        let outside = |axis| readings.sizes.iter().any(|s| s.axis == axis && s.kind == LengthKind::Outside);
        let scale = Axis::ALL.map(|_| next());
        let growth = Axis::ALL.map(|axis| outside(axis).then(&mut next));
        // Without lengths that growth leaves alone, an error nothing is known of cannot be told from growth.
        let told = readings.sizes.iter().any(|s| s.kind == LengthKind::SameWay);
        let instrument = readings.instrument.map_or(told, |within| within > 0.0).then(&mut next);
        Self { scale, growth, instrument, count }
    }

    /// The coefficients of a length, not yet weighted.
    fn row(&self, size: &Size) -> DVector<f64> {
        let mut row = DVector::zeros(self.count);
        row[self.scale[size.axis as usize]] = size.length;
        if let Some(column) = self.growth[size.axis as usize] {
            row[column] = size.kind.growths();
        }
        if let Some(column) = self.instrument {
            row[column] = 1.0;
        }
        row
    }
}

/// Fits scale and growth.
///
/// # Errors
/// [`Deficient`], which readings that [`Readings::parse`] let through never are.
pub fn judge(readings: &Readings) -> Result<Judged, Deficient> {
    let columns = Columns::new(readings);
    let solution = solve(readings, &columns)?;
    let tested = (0..readings.sizes.len()).filter(|&i| agree::standardised(&solution, i).is_some()).count();
    let critical = quantile(RISK / tested.max(1) as f64);
    let found = |(i, size): (usize, &Size)| {
        let sigma = rectangular(size.within);
        let standardised = agree::standardised(&solution, i);
        SizeFound {
            axis: size.axis,
            kind: size.kind,
            length: size.length,
            mean: size.mean,
            count: size.count,
            standard_uncertainty: sigma,
            residual: solution.residuals[i] * sigma,
            standardised,
            agrees: standardised.is_none_or(|w| w.abs() <= critical),
        }
    };
    let sizes: Vec<SizeFound> = readings.sizes.iter().enumerate().map(found).collect();
    let axes = Axis::ALL.map(|axis| axis_found(axis, &columns, &solution));
    let agree = sizes.iter().all(|s| s.agrees);
    let (advice, scale) = advise(&axes, agree);
    Ok(Judged {
        axes,
        sizes,
        instrument_error: columns.instrument.map(|column| solution.x[column]),
        agree,
        critical,
        chi_square: solution.residuals.norm_squared(),
        degrees_of_freedom: solution.residuals.len() - columns.count,
        advice,
        scale,
    })
}

fn solve(readings: &Readings, columns: &Columns) -> Result<Solution, Deficient> {
    let mut rows = Vec::new();
    let mut wanted = Vec::new();
    for size in &readings.sizes {
        let sigma = rectangular(size.within);
        rows.push(columns.row(size).transpose() / sigma);
        wanted.push((size.mean - size.length) / sigma);
    }
    if let (Some(column), Some(within)) = (columns.instrument, readings.instrument) {
        let mut row = DVector::zeros(columns.count);
        row[column] = 1.0 / rectangular(within);
        rows.push(row.transpose());
        wanted.push(0.0);
    }
    least_squares::solve(&DMatrix::from_rows(&rows), &DVector::from_vec(wanted), Refine::Fully)
}

fn axis_found(axis: Axis, columns: &Columns, solution: &Solution) -> AxisFound {
    let uncertainty = |column: usize| COVERAGE * solution.covariance[(column, column)].sqrt();
    let column = columns.scale[axis as usize];
    let growth = columns.growth[axis as usize];
    AxisFound {
        axis,
        scale: 1.0 + solution.x[column],
        scale_uncertainty: uncertainty(column),
        growth: growth.map(|column| solution.x[column]),
        growth_uncertainty: growth.map(uncertainty),
        significant: solution.x[column].abs() >= uncertainty(column),
    }
}

fn advise(axes: &[AxisFound; 2], agree: bool) -> (Advice, Option<ScaleFile>) {
    let [low, high] = SCALES;
    if !agree {
        return (Advice::MeasureAgain, None);
    }
    if axes.iter().any(|a| !(low..=high).contains(&a.scale)) {
        return (Advice::OutOfRange, None);
    }
    if axes.iter().all(|a| !a.significant) {
        return (Advice::LeaveAlone, None);
    }
    // Digits beyond the uncertainty by far are of no use in a job.
    let rounded = |value: f64| (value * 1e5).round() / 1e5;
    let [x, y] = [0, 1].map(|i: usize| if axes[i].significant { rounded(axes[i].scale) } else { 1.0 });
    let within = axes.iter().map(|a| a.scale_uncertainty).fold(0.0, f64::max);
    (Advice::Scale, Some(ScaleFile { x, y, within: Some(rounded(within)) }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Units;

    fn size(axis: Axis, kind: LengthKind, length: f64, mean: f64, sigma: f64) -> Size {
        Size { axis, kind, length, mean, count: 1, within: 3f64.sqrt() * sigma }
    }

    /// The calibration of a thermometer of JCGM 100:2008, H.3 (tables H.6 and H.7): a line through eleven points, whose
    /// slope stands for a scale and whose intercept for the caliper's error. Along y only outside sizes are given, whose
    /// growth takes up whatever the caliper does, so that they say nothing about the line.
    #[test]
    fn the_guides_own_line_is_found() {
        let t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511];
        let b = [-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160];
        let line = t.iter().zip(b).map(|(t, b)| size(Axis::X, LengthKind::SameWay, t - 20.0, t - 20.0 + b, 0.0035));
        let beside = [26.0, 146.0].map(|l| size(Axis::Y, LengthKind::Outside, l, l, 0.1));
        let readings = Readings { units: Units::Mm, instrument: None, sizes: line.chain(beside).collect() };
        let judged = judge(&readings).expect("determined");
        // Published: y1 = -0.1712 °C, y2 = 0.002 18, s(y2) = 0.000 67, s = 0.0035 °C with 9 degrees of freedom.
        let delta = judged.instrument_error.expect("fitted");
        assert!((delta + 0.1712).abs() < 5e-5, "{delta}");
        assert!((judged.axes[0].scale - 1.002_18).abs() < 5e-6, "{}", judged.axes[0].scale);
        assert!((judged.axes[0].scale_uncertainty / COVERAGE - 0.000_67).abs() < 5e-6);
        assert_eq!(judged.degrees_of_freedom, 9);
        assert!((judged.chi_square / 9.0 - 1.0).abs() < 0.03, "{}", judged.chi_square);
        assert!(judged.agree && judged.axes[0].significant && !judged.axes[1].significant);
        assert_eq!(judged.scale.map(|s| (s.x, s.y)), Some((1.00218, 1.0)));
    }

    /// One axis by hand, the caliper without error: s − 1 = ΣL·d/ΣL², u = σ/√ΣL²; the growth takes up the outside sizes.
    #[test]
    fn scale_and_growth_by_hand() {
        let sizes = |axis| {
            let same = [(20.0, 0.03), (140.0, -0.38)].map(|(l, d)| size(axis, LengthKind::SameWay, l, l + d, 0.02));
            let outside = size(axis, LengthKind::Outside, 100.0, 100.0, 0.02);
            same.into_iter().chain([outside])
        };
        let readings = Readings { units: Units::Mm, instrument: Some(0.0), sizes: sizes(Axis::X).chain(sizes(Axis::Y)).collect() };
        let judged = judge(&readings).expect("determined");
        let e = (20.0 * 0.03 - 140.0 * 0.38) / (400.0 + 19600.0);
        for axis in &judged.axes {
            assert!((axis.scale - 1.0 - e).abs() < 1e-12);
            assert!((axis.scale_uncertainty - 2.0 * 0.02 / 20000f64.sqrt()).abs() < 1e-12);
            assert!((axis.growth.expect("an outside size") + 50.0 * e).abs() < 1e-12);
        }
        assert_eq!(judged.instrument_error, None);
    }

    #[test]
    fn outside_sizes_alone_give_the_scale() {
        let outside = |axis| [26.0, 146.0].map(|l| size(axis, LengthKind::Outside, l, 0.998 * l + 0.2, 0.02));
        let readings = Readings { units: Units::Mm, instrument: None, sizes: Axis::ALL.into_iter().flat_map(outside).collect() };
        let judged = judge(&readings).expect("determined");
        assert!((judged.axes[1].scale - 0.998).abs() < 1e-12 && judged.degrees_of_freedom == 0);
        assert!(judged.sizes.iter().all(|s| s.standardised.is_none()));
    }
}
