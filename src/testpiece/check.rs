//! Measures a written STL of the piece: every length to be measured, by rays through the mesh that a printer will get.

use super::LengthKind;
use super::piece::{Distance, Piece};
use crate::solid::probe::{self, ALLOWED, Facet};

/// What was measured of one length, in the order of [`Piece::distances`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The length.
    pub distance: Distance,
    /// As it is in the file, mm.
    pub measured: f64,
}

/// Why a written file cannot be trusted. These are faults of the program, not of the user.
#[derive(Debug, thiserror::Error)]
pub enum Mismeasured {
    /// It is not an STL.
    #[error("the written STL cannot be read back")]
    Unreadable(#[from] std::io::Error),
    /// A ray met nothing.
    #[error("no wall was found for the length of {0} mm")]
    Missing(f64),
    /// A wall is not where it was meant.
    #[error("the length of {wanted} mm is {measured:.4} mm in the file; at most {ALLOWED} mm off is allowed")]
    Off {
        /// As meant, mm.
        wanted: f64,
        /// As it is, mm.
        measured: f64,
    },
}

/// Reads `stl` back and measures every length of `piece` in it.
///
/// # Errors
/// [`Mismeasured`]: unreadable, a wall missing, or a length off by more than [`ALLOWED`].
pub fn measure(stl: &[u8], piece: &Piece) -> Result<Vec<Reading>, Mismeasured> {
    let mut facets: Vec<Facet> = Vec::new();
    probe::for_each_facet(stl, [1.0; 3], |facet| facets.push(*facet))?;
    piece.distances().into_iter().map(|d| read(&facets, d)).collect()
}

fn read(facets: &[Facet], distance: Distance) -> Result<Reading, Mismeasured> {
    let wanted = distance.length;
    let met = |height: f64, choose: fn(f64, f64) -> f64| {
        let hits = facets.iter().filter_map(|t| probe::crossing(t, distance.axis as usize, [distance.line, height]));
        hits.reduce(choose).ok_or(Mismeasured::Missing(wanted))
    };
    let other: fn(f64, f64) -> f64 = match distance.kind {
        LengthKind::SameWay => f64::min,
        LengthKind::Outside => f64::max,
    };
    let measured = met(distance.heights[1], other)? - met(distance.heights[0], f64::min)?;
    if (measured - wanted).abs() > ALLOWED {
        return Err(Mismeasured::Off { wanted, measured });
    }
    Ok(Reading { distance, measured })
}
