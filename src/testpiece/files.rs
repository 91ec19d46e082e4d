//! The test piece's files.

use std::time::Duration;

use super::{Piece, check, form, sheet};
use crate::format::{Artifact, stl, svg};
use crate::make::{Clock, NotMade};
use crate::solid::{self, Solid};
use crate::terms::PaperSize;
use crate::units::Units;

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
    /// How long each stage took.
    pub timings: Vec<(&'static str, Duration)>,
}

/// Makes the printer's test piece: STL, check sheet, and the form for its readings in `units`.
///
/// # Errors
/// [`NotMade`]; then nothing is to be written at all.
pub fn test_piece(piece: &Piece, size: PaperSize, units: Units) -> Result<TestPiece, NotMade> {
    let mut clock = Clock::start();
    let block = solid::build(piece.stack())?;
    clock.lap("solid");
    let stl = stl::write(&block.mesh, "test piece of the printer")
        .map_err(|e| NotMade::NotWritten { what: "test-piece.stl", cause: e.to_string() })?;
    clock.lap("stl");
    let readings = check::measure(&stl, piece)?;
    clock.lap("gauge");
    let svg = svg::write(&sheet::sheet(piece, size, units));
    clock.lap("drawing");
    let form = form::text(piece, units).into_bytes();
    let artifact = |name: &str, what, bytes| Artifact { name: name.into(), what, bytes };
    let artifacts = vec![
        artifact("test-piece.stl", "the piece, to print (mm)", stl),
        artifact("test-piece.svg", "what to measure on it, and blanks", svg),
        artifact("test-piece-measured.json", "the form for the readings", form),
    ];
    Ok(TestPiece { piece: *piece, block, readings, artifacts, timings: clock.timings })
}
