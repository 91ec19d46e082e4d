//! Emitters: each turns one model into the bytes of one kind of file.

mod artifact;
pub mod columns;
pub mod dxf;
pub mod marked;
pub mod names;
pub(crate) mod number;
mod palette;
pub mod pdf;
pub mod png;
pub mod step;
pub mod stl;
pub mod svg;
pub mod threemf;
pub mod xml;
pub mod zipped;

pub use artifact::{Artifact, ArtifactKind, NotWritten, Wanted};

use crate::drawing::Sheet;

/// Sheets as one PDF of this name, to print, and each as a picture: the first has the PDF's name.
///
/// # Errors
/// [`NotWritten`].
pub fn sheet_files(
    pdf_name: &'static str,
    what: &'static str,
    sheets: &[Sheet],
    about: &pdf::About<'_>,
) -> Result<Vec<Artifact>, NotWritten> {
    let bytes = pdf::write(sheets, about).map_err(NotWritten::of(pdf_name))?;
    let stem = pdf_name.trim_end_matches(".pdf");
    let picture = |(i, sheet): (usize, &Sheet)| Artifact {
        name: if i == 0 { format!("{stem}.svg") } else { format!("{stem}-{}.svg", i + 1) },
        what: "the same as a picture".into(),
        bytes: svg::write(sheet),
    };
    let printed = Artifact { name: pdf_name.into(), what: what.into(), bytes };
    Ok(std::iter::once(printed).chain(sheets.iter().enumerate().map(picture)).collect())
}
