//! Reads the file of what was measured on the piece.

use super::piece::APART;
use super::{Axis, LengthKind};
use crate::input::fault::Faults;
use crate::measure::spread;
use crate::profile::testpiece::{SizeFile, TestPieceFile};
use crate::profile::{self, fields::Fields};
use crate::trig::Inverse;
use crate::units::{EXACT, Units};

/// How far off a length may be by itself, where nothing is stated, mm: the hand's feel and a printed wall's roughness
/// (common practice, no source).
pub const READ_WITHIN: f64 = 0.05;

/// Least tolerance that may be stated, mm: every length has its weight by it.
const LEAST_WITHIN: f64 = 0.001;

/// A reading further from what was meant is a slip: of the length, and mm beyond it.
const SLIP: (f64, f64) = (0.05, 2.0);

/// All that was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// The unit of the file's bare numbers.
    pub units: Units,
    /// Half-width of the error common to all lengths, mm; none where nothing is known of it.
    pub instrument: Option<f64>,
    /// The lengths that have readings, in the order of the file.
    pub sizes: Vec<Size>,
}

/// A length that was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Size {
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
    /// Half-width of its own tolerance, mm: what is stated, and `√3·s/√n` of the readings' scatter (see [`spread`]).
    pub within: f64,
}

impl Readings {
    /// Reads `bytes`.
    ///
    /// # Errors
    /// All faults of the file; one for an axis without readings of one kind at lengths [`APART`] or more.
    pub fn parse(source: &str, bytes: &[u8]) -> Result<Self, Faults> {
        let read = profile::read::<TestPieceFile>(source, bytes)?;
        let mut r = Reader::of(&read, read.value.units);
        let file = &read.value;
        let instrument = r.mm(&["instrument"], file.instrument.as_ref());
        let within = r.mm(&["within"], file.within.as_ref()).unwrap_or(READ_WITHIN);
        let mut sizes = Vec::new();
        for (axis, lists) in Axis::ALL.into_iter().zip([&file.x, &file.y]) {
            let before = sizes.len();
            for (kind, list) in LengthKind::ALL.into_iter().zip([&lists.same_way, &lists.outside]) {
                for (i, size) in list.iter().enumerate() {
                    sizes.extend(r.size(axis, kind, i, size, within));
                }
            }
            r.apart(axis, &sizes[before..]);
        }
        r.finish()?;
        Ok(Self { units: read.value.units, instrument, sizes })
    }
}

type Reader<'a> = Fields<'a, TestPieceFile>;

impl Reader<'_> {
    /// A length with its readings; none where it has none or they have faults.
    fn size(&mut self, axis: Axis, kind: LengthKind, index: usize, file: &SizeFile, within: f64) -> Option<Size> {
        let index = index.to_string();
        let at = [axis.name(), kind.field(), &index];
        let path = [&at[..], &["length"]].concat();
        if self.read.spoiled(&path) {
            return None;
        }
        let length = self.length(&path, &file.length);
        if length.within.is_some() {
            self.fault(&path, "a tolerance of what was meant", "the length alone");
        }
        let slip = SLIP.0 * length.mm + SLIP.1;
        let (mut taken, mut widest): (Vec<f64>, f64) = (Vec::new(), 0.0);
        for (i, form) in file.readings.iter().enumerate() {
            let (Some(form), i) = (&form.0, i.to_string()) else { continue };
            let path = [&at[..], &["readings", &i]].concat();
            let reading = self.length(&path, form);
            if (reading.mm - length.mm).abs() > slip {
                let found = format!("a reading of {} for {}", self.said(reading.mm), self.said(length.mm));
                let allowed =
                    format!("{} to {}", self.units.short(length.mm - slip, EXACT), self.said(length.mm + slip));
                self.fault(&path, found, allowed);
            }
            if reading.within.is_some_and(|w| w < LEAST_WITHIN) {
                let allowed = format!("a tolerance of {} or more, or none stated", self.said(LEAST_WITHIN));
                self.fault(&path, "a reading without any error", allowed);
            }
            taken.push(reading.mm);
            widest = widest.max(reading.within.unwrap_or(within));
        }
        let (mean, scatter) = spread::combine(&taken, 0.0);
        let count = taken.len();
        (count > 0).then(|| Size { axis, kind, length: length.mm, mean, count, within: widest.hypotenuse(scatter) })
    }

    /// A scale comes from lengths of one kind far enough apart.
    fn apart(&mut self, axis: Axis, sizes: &[Size]) {
        let spans = LengthKind::ALL.map(|kind| {
            let lengths = || sizes.iter().filter(|s| s.kind == kind).map(|s| s.length);
            lengths().fold(0.0, f64::max) - lengths().fold(f64::INFINITY, f64::min)
        });
        if spans.iter().all(|span| *span < APART) {
            let found = match sizes.len() {
                0 => "no readings".to_string(),
                _ => format!("readings at lengths {} apart", self.said(spans.into_iter().fold(0.0, f64::max))),
            };
            let allowed = format!("readings of one kind at two lengths {} apart or more", self.said(APART));
            self.fault(&[axis.name()], found, allowed);
        }
    }
}
