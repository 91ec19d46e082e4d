//! The test piece's files.

use super::{Piece, check, form, sheet};
use crate::format::{Artifact, NotWritten, stl, svg};
use crate::solid::{self, NotSound, Solid};
use crate::stages::Stages;
use crate::terms::PaperSize;
use crate::units::{Units, Written};

/// The printer's test piece and its files.
#[derive(Debug, Clone)]
pub struct TestPiece {
    /// The piece.
    pub piece: Piece,
    /// The solid.
    pub block: Solid,
    /// Its lengths as measured in the written STL.
    pub readings: Vec<check::Reading>,
    /// The files.
    pub artifacts: Vec<Artifact>,
}

/// Why no test piece was made: faults of the program.
#[derive(Debug, thiserror::Error)]
pub enum NotMade {
    /// The solid failed its checks.
    #[error(transparent)]
    NotSound(#[from] NotSound),
    /// The written STL failed its measurement.
    #[error(transparent)]
    Mismeasured(#[from] check::Mismeasured),
    /// An emitter failed.
    #[error(transparent)]
    NotWritten(#[from] NotWritten),
}

/// Makes the printer's test piece: STL, check sheet, the form for its readings in `units`, and the sheet in lengths as `written`.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn test_piece(
    piece: &Piece,
    size: PaperSize,
    units: Units,
    written: Written,
    stages: &dyn Stages,
) -> Result<TestPiece, NotMade> {
    let block = solid::build(piece.stack())?;
    stages.end("solid");
    let stl = stl::write(&block.mesh, "test piece of the printer").map_err(NotWritten::of("test-piece.stl"))?;
    stages.end("stl");
    let readings = check::measure(&stl, piece)?;
    stages.end("gauge");
    let svg = svg::write(&sheet::sheet(piece, size, written));
    stages.end("drawing");
    let form = form::text(piece, units).into_bytes();
    let artifact = |name: &str, what: &'static str, bytes| Artifact { name: name.into(), what: what.into(), bytes };
    let artifacts = vec![
        artifact("test-piece.stl", "the piece, to print (mm)", stl),
        artifact("test-piece.svg", "what to measure on it, and blanks", svg),
        artifact("test-piece-measured.json", "the form for the readings", form),
    ];
    Ok(TestPiece { piece: *piece, block, readings, artifacts })
}
