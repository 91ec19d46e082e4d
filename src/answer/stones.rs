//! What is done at the stones, a step at a time, and the log of it.

use super::bench::{KIT, LOG, Laid};
use super::parts::Parts;
use super::reply::{AtTheStones, Files, Stones};
use crate::card;
use crate::error;
use crate::format::Artifact;
use crate::job::Job;
use crate::kit::Kit;
use crate::lanes::LaneSet;
use crate::log::{Day, Entry, Log, NoDay};
use crate::stones::grits::Grade;
use crate::terms::Done;

/// Said where lanes are honed, not blades.
const UNLISTED: &str = "Honings are written down of blades that are listed: choose \"Advised, for each blade that I own\" under My blades.";

/// The blades of the bench, or where none are listed its lanes, step by step.
pub(super) fn shown(laid: &Laid) -> Result<Stones, Vec<String>> {
    let (job, set) = (laid.job()?, laid.lanes()?);
    let mut faults = super::left_out(set, job.written);
    let blades = match &job.kit {
        Some(kit) => of_kit(job, kit, set),
        None => set.lanes.iter().map(card::steps::of_lane).map(shown_of).collect(),
    };
    let log = match job.kit.as_ref().map(|kit| log_of(laid, kit)) {
        None => None,
        Some(Ok(log)) => Some(log.in_time().into_iter().rev().map(words).collect()),
        Some(Err(wrong)) => {
            faults.extend(wrong);
            Some(Vec::new())
        }
    };
    let notes = if log.is_none() { vec![UNLISTED.to_string()] } else { Vec::new() };
    Ok(Stones { blades, log, notes, faults })
}

fn of_kit(job: &Job, kit: &Kit, set: &LaneSet) -> Vec<AtTheStones> {
    let cards = card::counted(card::cards(kit, job, set), job.log.as_ref());
    cards.iter().map(|card| shown_of(card::steps::of_card(card, job.written))).collect()
}

fn shown_of(all: card::steps::Steps) -> AtTheStones {
    let step = |step: card::steps::Step| super::reply::StoneStep {
        what: step.what,
        figure: step.figure,
        words: step.words,
        grade: step.strokes_on.map(|(grade, _)| grade.to_string()),
        strokes: step.strokes_on.and_then(|(_, count)| count),
    };
    AtTheStones { blade: all.of, steps: all.steps.into_iter().map(step).collect(), cautions: all.cautions }
}

fn log_of(laid: &Laid, kit: &Kit) -> Result<Log, Vec<String>> {
    match laid.files.0.get(LOG) {
        None => Ok(Log::new(kit)),
        Some(text) => Log::parse(LOG, text.as_bytes(), kit).map_err(|faults| super::told(&faults)),
    }
}

fn words(entry: &Entry) -> String {
    let strokes: Vec<String> = entry.strokes.iter().map(|(grade, count)| format!("{count} on {grade}")).collect();
    let strokes = if strokes.is_empty() { String::new() } else { format!(": {}", strokes.join(", ")) };
    format!("{} {} {}{strokes}", entry.day, entry.blade, entry.what.word())
}

/// Writes a honing down and gives the whole log as a file.
///
/// # Errors
/// Why it is not written; whole sentences.
pub(super) fn record(
    laid: &Laid,
    day: &str,
    blade: &str,
    strokes: &[(String, u32)],
    parts: &mut Parts,
) -> Result<Files, Vec<String>> {
    let job = laid.job()?;
    let kit = job.kit.as_ref().ok_or_else(|| vec!["Only blades that are listed have a log.".to_string()])?;
    if !kit.blades.iter().any(|known| known.name == blade) {
        return Err(vec![format!("There is no blade called {blade}.")]);
    }
    let mut log = log_of(laid, kit)?;
    let day =
        Day::parse(day).map_err(|NoDay(found)| vec![format!("The day cannot be {found}. Give {}.", NoDay::ALLOWED)])?;
    let counted = |(grade, count): &(String, u32)| -> Result<(Grade, u32), Vec<String>> {
        Ok((grade.parse().map_err(|e| vec![error::sentence(&format!("{e}"))])?, *count))
    };
    let strokes = strokes.iter().filter(|(_, count)| *count > 0).map(counted).collect::<Result<_, _>>()?;
    log.add(Entry { day, blade: blade.into(), what: Done::Honed, micro_width: None, strokes, note: None });
    let text = log.text().map_err(|e| vec![error::sentence(&e.to_string())])?;
    let what = format!("log of {KIT}");
    parts.file(Artifact { name: LOG.into(), what: what.clone().into(), bytes: text.into_bytes() });
    Ok(Files { what: vec![what], warnings: Vec::new() })
}
