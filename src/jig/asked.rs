//! What the sheets ask of a fence: the distance as it is written, and its limits.
//!
//! A fraction of an inch may be coarser than the angle allows, or leave less between its limits than a fence can be made
//! to. Then a finer one is asked for, down to 1/64 in, and thousandths where that is too coarse as well. Where none
//! leaves enough, the one that leaves most is asked for, and that is said.

use crate::job::WoodOptions;
use crate::lane::Lane;
use crate::units::{InchFraction, THOUSANDTH, Written, fixed};

/// What arithmetic may lose, mm.
const ROUNDING: f64 = 1e-9;

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

/// How the sheets of a jig ask for fences.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// How lengths are written.
    pub written: Written,
    /// How well a fence can be placed, ± mm.
    pub within: f64,
}

impl Asked {
    /// Those of a jig of these options.
    pub fn of(wood: &WoodOptions) -> Self {
        Self { written: wood.written, within: wood.fence_within }
    }

    /// The distance in inches of `lane`: to the coarsest fraction, from the one asked for on, that leaves as much about it
    /// as a fence is made to, or thousandths; where none does, what leaves most.
    pub fn inches(self, lane: &Lane) -> Inches {
        let fence = lane.finished();
        let denominators = [16, 32, 64].into_iter().filter(|d| *d >= self.written.denominator);
        let fractions = denominators
            .map(|denominator| Inches::Fraction { fraction: InchFraction::nearest(fence, denominator), denominator });
        let all: Vec<Inches> = fractions.chain([Inches::Thousandths((fence / THOUSANDTH).round())]).collect();
        let room = |inches: &Inches| lane.tolerance_about(inches.mm(), THOUSANDTH);
        let enough = all.iter().find(|inches| room(inches) >= self.within - ROUNDING);
        // The first of those that leave most is the coarsest.
        let most = || all.iter().rev().max_by(|a, b| room(a).total_cmp(&room(b)));
        enough.or_else(most).copied().unwrap_or(Inches::Thousandths((fence / THOUSANDTH).round()))
    }

    /// The fence distance of `lane` that its sheet asks for, mm: in hundredths of a millimetre, or as [`Asked::inches`]
    /// gives it.
    pub fn printed(self, lane: &Lane) -> f64 {
        if self.written.mm { lane.printed() } else { self.inches(lane).mm() }
    }

    /// The tolerance about that, ± mm.
    pub fn limit(self, lane: &Lane) -> f64 {
        if self.written.mm { lane.fence_tolerance() } else { lane.tolerance_about(self.printed(lane), THOUSANDTH) }
    }

    /// What is to be said where a finer fraction is asked for than was wanted.
    pub(in crate::jig) fn too_coarse(self, lane: &Lane) -> Option<String> {
        let inches = self.inches(lane);
        let wanted = format!("1/{} in", self.written.denominator);
        (self.written.inches && inches.step() != wanted).then(|| {
            format!(
                "{}: {wanted} is too coarse to keep the angle, so this fence is given to {}",
                lane.request.id,
                inches.step()
            )
        })
    }

    /// What is to be said where the limits are closer than a fence is made to.
    pub(in crate::jig) fn too_close(self, lane: &Lane) -> Option<String> {
        let limit = self.limit(lane);
        (limit < self.within - ROUNDING).then(|| {
            format!(
                "{}: this fence must be within {}, closer than the {} you said you can work to. Measure it, and move it",
                lane.request.id,
                self.written.fine(limit.max(0.0)).said(),
                self.written.fine(self.within).said()
            )
        })
    }
}
