//! Measures a written STL of the piece: every length to be measured, by rays through the mesh that a printer will get.

use std::io::Cursor;

use super::piece::{Distance, Piece};
use super::{Axis, LengthKind};
use crate::block::check::ALLOWED;

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
    #[error("the written STL cannot be read back: {0}")]
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
    let mesh = stl_io::read_stl(&mut Cursor::new(stl))?;
    let corner = |i: usize| {
        let v = mesh.vertices[i];
        [v[0], v[1], v[2]].map(f64::from)
    };
    let facets: Vec<[[f64; 3]; 3]> = mesh.faces.iter().map(|f| f.vertices.map(corner)).collect();
    piece.distances().into_iter().map(|d| read(&facets, d)).collect()
}

fn read(facets: &[[[f64; 3]; 3]], distance: Distance) -> Result<Reading, Mismeasured> {
    let wanted = distance.length;
    let met = |height: f64, choose: fn(f64, f64) -> f64| {
        let hits = facets.iter().filter_map(|t| crossing(t, distance.axis, distance.line, height));
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

/// Where the line along `axis`, at `line` across it and `height` above the bed, crosses a triangle.
fn crossing(triangle: &[[f64; 3]; 3], axis: Axis, line: f64, height: f64) -> Option<f64> {
    let along = axis as usize;
    let [a, b, c] = triangle.map(|p| [p[1 - along] - line, p[2] - height]);
    let area = |p: [f64; 2], q: [f64; 2]| p[0] * q[1] - p[1] * q[0];
    let weights = [area(b, c), area(c, a), area(a, b)];
    let total: f64 = weights.iter().sum();
    // A triangle seen edge-on has no crossing of its own; its neighbours have.
    if total == 0.0 || weights.iter().any(|w| w * total < 0.0) {
        return None;
    }
    Some(weights.iter().zip(triangle).map(|(w, p)| w * p[along]).sum::<f64>() / total)
}
