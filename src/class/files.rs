//! The files of a class: lesson and labels, the blocks, and all of it for machines.

use super::{Class, report, sheet};
use crate::block::files::{self as of_block, NotMade};
use crate::format::{Artifact, Wanted, pdf, sheet_files};
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
    let mut files = sheet_files("class.pdf", "the lesson and the blocks' labels, to print", &sheets, &about)?;
    let json = format!("{:#}\n", report::json(class));
    let what = "the class's numbers with all digits";
    files.push(Artifact { name: "class.json".into(), what: what.into(), bytes: json.into_bytes() });
    stages.end("class");
    for block in &class.blocks {
        for piece in &block.pieces {
            let (_, made) = of_block::make(&block.job, piece.clone(), Wanted::block(), stages)?;
            files.extend(made);
        }
    }
    Ok(files)
}
