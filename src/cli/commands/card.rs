//! `card`: bench cards on any size of paper.

use std::path::Path;

use super::blade::Reader;
use super::make::default_folder;
use crate::card::files::{card_files, card_sheets, usual_size};
use crate::cli::args::CardArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::{Said, report};
use crate::input::fault::Faults;
use crate::job::Job;
use crate::lane::report::left_out_lines;
use crate::terms::PaperSize;
use crate::verify::corrections::{self, Of};
use crate::{card, lanes};

pub(super) fn card(args: &CardArgs) -> Result<Said, Failure> {
    let mut job = Job::parse(&args.job.display().to_string(), &files::read(&args.job)?, &Disk::beside(&args.job))?;
    job.strict = args.strict;
    args.lengths.show(&mut job);
    let no_kit = || Faults::argument("JOB", "a job without a kit", "a job whose lanes come from a \"kit\"");
    if job.kit.is_none() {
        return Err(no_kit().into());
    }
    let mut lanes = lanes::of_job(&job).map_err(|lanes| Failure::NoLanes(lanes).read_in(job.written))?;
    if let Some(path) = &args.corrections {
        corrections::apply(&path.display().to_string(), &files::read(path)?, Of::Block, &mut job, &mut lanes)?;
    }
    let kit = job.kit.as_ref().ok_or_else(no_kit)?;
    if let Some(name) = &args.blade
        && !kit.blades.iter().any(|b| b.name == *name)
    {
        let mut reader = Reader::new(job.units);
        let names: Vec<&str> = kit.blades.iter().map(|b| b.name.as_str()).collect();
        reader.fault("--blade", format!("\"{name}\", which is no blade of the kit"), names.join(", "));
        reader.finish()?;
    }
    let cards = card::counted(card::cards(kit, &job.guide, &lanes), job.log.as_ref());
    let size = args.size.unwrap_or(usual_size(job.written.first()));
    let sheets = card_sheets(&job, kit, &cards, size, args.blade.as_deref());
    let name = format!("cards-{}", word(size));
    let artifacts = card_files(&format!("Bench cards: {}", kit.title), &name, &sheets, false)?;
    let folder = args.out.clone().unwrap_or_else(|| default_folder(&args.job));
    let paths = files::write_all(&folder, &artifacts, args.force)?;
    let said = another_block(&folder, &job.fingerprint())
        + &left_out_lines(&lanes.left_out, job.written)
        + &report::written(&artifacts, &paths);
    let out = if args.quiet { String::new() } else { said };
    Ok(Said { out, exit_code: report::exit_code(lanes.left_out.len()), ..Said::default() })
}

/// Warns where the block whose numbers lie in the folder belongs to another state of guide and job than the cards.
fn another_block(folder: &Path, fingerprint: &str) -> String {
    let numbers = files::read(&folder.join("offsets.json")).ok();
    let numbers = numbers.and_then(|bytes| serde_json::from_slice::<serde_json::Value>(&bytes).ok());
    match numbers.as_ref().and_then(|n| n["fingerprint"].as_str()) {
        Some(of_block) if of_block != fingerprint => format!(
            "Warning: the block in {} bears the fingerprint {of_block}, these cards {fingerprint}: guide or job has changed since, or the block was made with other corrections (--corrections). Make the block anew, or the cards with its corrections, before you use these cards.\n",
            folder.display()
        ),
        _ => String::new(),
    }
}

/// A size of paper in a file's name.
fn word(size: PaperSize) -> &'static str {
    match size {
        PaperSize::A4 => "a4",
        PaperSize::A3 => "a3",
        PaperSize::Letter => "letter",
        PaperSize::A5 => "a5",
        PaperSize::HalfLetter => "half-letter",
        PaperSize::Index => "3x5",
    }
}
