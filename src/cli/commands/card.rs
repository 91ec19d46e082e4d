//! `card`: bench cards on any size of paper.

use std::path::Path;

use super::blade::Reader;
use super::make::default_folder;
use crate::cli::args::CardArgs;
use crate::cli::failure::Failure;
use crate::cli::files::{self, Disk};
use crate::cli::progress::{self, Counter};
use crate::cli::{Said, report};
use stopwright::card::files::{Set, file_word, usual_size};
use stopwright::input::document::composed;
use stopwright::input::fault::{Fault, Faults};
use stopwright::job::Job;
use stopwright::lane::report::left_out_lines;
use stopwright::verify::corrections::{self, Of};
use stopwright::{card, lanes};

pub(super) fn card(args: &CardArgs) -> Result<Said, Failure> {
    let _shown = progress::begin(!args.quiet);
    let (source, bytes) = files::document(&args.job)?;
    let mut job = Job::parse(&source, &bytes, &Disk::beside(&args.job))?;
    job.strict = args.strict;
    args.lengths.show(&mut job);
    let no_kit = || Faults::argument("JOB", "a job without a kit", "a job whose lanes come from a \"kit\"");
    if job.kit.is_none() {
        return Err(no_kit().into());
    }
    let mut lanes = lanes::of_job(&job).map_err(|lanes| Failure::NoLanes(lanes).read_in(job.written))?;
    if let Some(path) = &args.corrections {
        let (source, bytes) = files::document(path)?;
        corrections::apply(&source, &bytes, Of::Block, &mut job, &mut lanes)?;
    }
    let kit = job.kit.as_ref().ok_or_else(no_kit)?;
    let blade = args.blade.as_deref().map(composed);
    if let Some(name) = &blade
        && !kit.blades.iter().any(|b| b.name == *name)
    {
        let mut reader = Reader::new(job.units);
        reader.add(Fault::unknown("--blade", name, kit.names()));
        reader.finish()?;
    }
    let cards = card::counted(card::cards(kit, &job, &lanes), job.log.as_ref());
    let size = args.paper.unwrap_or(usual_size(job.written.first()));
    let set = Set { job: &job, kit, cards: &cards, size, only: blade.as_deref() };
    let artifacts = [set.printed(&format!("cards-{}", file_word(size)), None, &Counter)?];
    let folder = args.out.clone().unwrap_or_else(|| default_folder(&args.job));
    let paths = files::write_all(&folder, &artifacts, args.force)?;
    let warnings = another_block(&folder, &job.fingerprint()) + &left_out_lines(&lanes.left_out, job.written);
    let out = if args.quiet { String::new() } else { warnings.clone() + &report::written(&artifacts, &paths) };
    let said = Said::with_warnings(out, warnings, !args.quiet);
    Ok(Said { exit_code: report::exit_code(lanes.left_out.len()), ..said })
}

/// Warns where the block whose numbers lie in the folder belongs to another state of guide and job than the cards.
fn another_block(folder: &Path, fingerprint: &str) -> String {
    let numbers = files::read(&folder.join("offsets.json")).ok();
    let numbers = numbers.and_then(|bytes| serde_json::from_slice::<serde_json::Value>(&bytes).ok());
    match numbers.as_ref().and_then(|n| n["fingerprint"].as_str()) {
        Some(of_block) if of_block != fingerprint => format!(
            "Warning: the block in {} has the fingerprint {of_block}, these cards have {fingerprint}. Guide or job has changed since, or the block was made with other corrections. Before you use these cards, make the block again, or give the cards its corrections (--corrections).\n",
            folder.display()
        ),
        _ => String::new(),
    }
}
