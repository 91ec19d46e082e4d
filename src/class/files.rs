//! The files of a class: lesson and labels, the blocks, and all of it for machines.

use super::{Class, report, sheet};
use crate::block::files::{self as of_block, NotMade};
use crate::format::{Artifact, NotWritten, Wanted, pdf, svg};
use crate::stages::Stages;
use crate::terms::PaperSize;

/// The files of a class: its sheets on paper of this size, its blocks, and its numbers.
///
/// # Errors
/// [`NotMade`].
pub fn files(class: &Class, size: PaperSize, stages: &dyn Stages) -> Result<Vec<Artifact>, NotMade> {
    let sheets = sheet::sheets(class, size);
    let title = format!("Class: {}", class.job.title);
    let about = pdf::About { title: &title, subject: "A lesson of one page, and a label for each block" };
    let bytes = pdf::write(&sheets, &about).map_err(NotWritten::of("class.pdf"))?;
    let artifact = |name: String, what: &'static str, bytes| Artifact { name, what: what.into(), bytes };
    let mut files = vec![artifact("class.pdf".into(), "the lesson and the blocks' labels, to print", bytes)];
    files.extend(sheets.iter().enumerate().map(|(i, sheet)| {
        let name = if i == 0 { "class.svg".into() } else { format!("class-{}.svg", i + 1) };
        artifact(name, "the same as a picture", svg::write(sheet))
    }));
    let json = format!("{:#}\n", report::json(class));
    files.push(artifact("class.json".into(), "the class's numbers with all digits", json.into_bytes()));
    stages.end("class");
    for block in &class.blocks {
        for piece in &block.pieces {
            let (_, made) = of_block::make(&block.job, piece.clone(), Wanted::block(), stages)?;
            files.extend(made);
        }
    }
    Ok(files)
}
