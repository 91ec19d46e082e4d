//! What the sheets ask of a fence: the distance as it is written, and its limits.
//!
//! A fraction of an inch may be coarser than the angle allows. Then a finer one is asked for, down to 1/64 in, and
//! thousandths where that is too coarse as well: never a distance whose limits leave nothing between them.

use crate::lane::Lane;
use crate::units::{InchFraction, MM_PER_INCH, Written, fixed};

/// A thousandth of an inch, mm: the step of limits in a shop that reads inches.
pub const THOUSANDTH: f64 = MM_PER_INCH / 1000.0;

/// A fence distance in inches, as it is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Inches {
    /// To a fraction of one over `denominator`.
    Fraction {
        /// The distance.
        fraction: InchFraction,
        /// What it is a multiple of one over.
        denominator: u32,
    },
    /// So many thousandths: no fraction keeps the angle.
    Thousandths(f64),
}

impl Inches {
    /// The distance in inches of `lane`: to one over `denominator`, or finer where that leaves its limits nothing.
    pub fn nearest(lane: &Lane, denominator: u32) -> Self {
        let denominators = [16, 32, 64].into_iter().filter(|d| *d >= denominator);
        denominators
            .map(|denominator| Inches::Fraction {
                fraction: InchFraction::nearest(lane.finished(), denominator),
                denominator,
            })
            .find(|inches| lane.tolerance_about(inches.mm(), THOUSANDTH) > 0.0)
            .unwrap_or(Inches::Thousandths((lane.finished() / THOUSANDTH).round()))
    }

    /// The same in millimetres.
    pub fn mm(self) -> f64 {
        match self {
            Inches::Fraction { fraction, .. } => fraction.mm(),
            Inches::Thousandths(count) => count * THOUSANDTH,
        }
    }

    /// To what it is given, in words: `1/64 in`.
    pub fn step(self) -> String {
        match self {
            Inches::Fraction { denominator, .. } => format!("1/{denominator} in"),
            Inches::Thousandths(_) => "0.001 in".into(),
        }
    }
}

impl std::fmt::Display for Inches {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Inches::Fraction { fraction, .. } => fraction.fmt(f),
            Inches::Thousandths(count) => f.pad(&fixed(count / 1000.0, 3)),
        }
    }
}

/// The fence distance of `lane` that its sheet asks for, mm: in hundredths of a millimetre, or as [`Inches`] give it.
pub fn printed(lane: &Lane, written: Written) -> f64 {
    if written.mm { written.rounded(lane.finished(), 2) } else { Inches::nearest(lane, written.denominator).mm() }
}

/// The tolerance about that, ± mm.
pub fn limit(lane: &Lane, written: Written) -> f64 {
    if written.mm { lane.fence_tolerance() } else { lane.tolerance_about(printed(lane, written), THOUSANDTH) }
}

/// What is to be said where a coarser fraction was asked for than the angle allows.
pub(in crate::jig) fn too_coarse(lane: &Lane, written: Written) -> Option<String> {
    let inches = Inches::nearest(lane, written.denominator);
    let asked = InchFraction::nearest(lane.finished(), written.denominator).mm();
    let coarse = written.inches && lane.tolerance_about(asked, THOUSANDTH) <= 0.0;
    coarse.then(|| {
        format!(
            "{}: 1/{} in is too coarse to keep its angle, so its fence is given to {}",
            lane.request.id,
            written.denominator,
            inches.step()
        )
    })
}
