//! The proof's files.

use super::{Proof, sheet};
use crate::format::{Artifact, NotWritten, pdf, svg};
use crate::terms::{PaperSize, ProjectionAngle};

/// The sheet that shows where to measure, as PDF and as pictures.
///
/// # Errors
/// [`NotWritten`].
pub fn files(proof: &Proof, size: PaperSize, projection: ProjectionAngle) -> Result<Vec<Artifact>, NotWritten> {
    let sheets = sheet::sheets(proof, size, projection);
    let title = format!("Proof on a plate: {}", proof.title);
    let about = pdf::About { title: &title, subject: "Where to measure a set blade, and what it should come to" };
    let bytes = pdf::write(&sheets, &about).map_err(NotWritten::of("plate.pdf"))?;
    let mut files =
        vec![Artifact { name: "plate.pdf".into(), what: "where to measure on a plate, to print".into(), bytes }];
    files.extend(sheets.iter().enumerate().map(|(i, sheet)| {
        let name = if i == 0 { "plate.svg".into() } else { format!("plate-{}.svg", i + 1) };
        Artifact { name, what: "the same as a picture".into(), bytes: svg::write(sheet) }
    }));
    Ok(files)
}
