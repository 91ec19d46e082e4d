//! The proof's files.

use super::{Proof, sheet};
use crate::format::{Artifact, NotWritten, pdf, sheet_files};
use crate::terms::{PaperSize, ProjectionAngle};

/// The sheet that shows where to measure, as PDF and as pictures.
///
/// # Errors
/// [`NotWritten`].
pub fn files(proof: &Proof, size: PaperSize, projection: ProjectionAngle) -> Result<Vec<Artifact>, NotWritten> {
    let sheets = sheet::sheets(proof, size, projection);
    let title = format!("Proof on a plate: {}", proof.title);
    let about = pdf::About { title: &title, subject: "Where to measure a set blade, and what it should come to" };
    sheet_files("plate.pdf", "where to measure on a plate, to print", &sheets, &about)
}
