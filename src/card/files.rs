//! The cards' files.

use super::sheets::{self, About, Which};
use super::{Card, cards as all_cards, counted};
use crate::drawing::Sheet;
use crate::format::{Artifact, NotWritten, pdf, svg};
use crate::job::Job;
use crate::kit::Kit;
use crate::lanes::LaneSet;
use crate::terms::PaperSize;
use crate::units::Units;

/// The paper of cards unless another is asked for: half of what a printer at home takes.
pub fn usual_size(units: Units) -> PaperSize {
    if units == Units::Inch { PaperSize::HalfLetter } else { PaperSize::A5 }
}

/// Draws the cards of a kit on one size of paper: that of the kit, then one of each blade; or the blade `only` alone.
pub fn card_sheets(job: &Job, kit: &Kit, cards: &[Card], size: PaperSize, only: Option<&str>) -> Vec<(String, Sheet)> {
    let fingerprint = job.fingerprint();
    let about = About {
        kit: &kit.title,
        guide: &job.guide.name,
        fingerprint: &fingerprint,
        with_kit: only.is_none(),
        date: job.date.as_deref(),
        written: job.written,
        size,
    };
    let of_kit = only.is_none().then_some(Which::Kit(cards));
    let numbered = cards.iter().enumerate().map(|(i, card)| Which::Blade(card, [i + 1, cards.len()]));
    let blades =
        numbered.filter(|which| matches!(which, Which::Blade(card, _) if only.is_none_or(|name| card.blade == name)));
    sheets::sheets(&of_kit.into_iter().chain(blades).collect::<Vec<_>>(), &about)
}

/// The cards as files: a PDF called `name`, and a picture a page.
///
/// # Errors
/// [`NotWritten`].
pub fn card_files(
    title: &str,
    name: &str,
    sheets: &[(String, Sheet)],
    pictures: bool,
) -> Result<Vec<Artifact>, NotWritten> {
    let pages: Vec<Sheet> = sheets.iter().map(|(_, sheet)| sheet.clone()).collect();
    let about = pdf::About { title, subject: "Bench cards: lanes, abrasives and strokes of each blade" };
    let bytes = pdf::write(&pages, &about).map_err(NotWritten::of("the bench cards"))?;
    let mut files = vec![Artifact { name: format!("{name}.pdf"), what: "bench cards, to print".into(), bytes }];
    if pictures {
        files.extend(sheets.iter().map(|(name, sheet)| Artifact {
            name: format!("{name}.svg"),
            what: "a bench card".into(),
            bytes: svg::write(sheet),
        }));
    }
    Ok(files)
}

/// The bench cards of a job's kit, on the usual paper and on index cards.
pub fn cards(job: &Job, kit: &Kit, lanes: &LaneSet) -> Result<(Vec<Card>, Vec<Artifact>), NotWritten> {
    let cards = counted(all_cards(kit, job, lanes), job.log.as_ref());
    let title = format!("Bench cards: {}", kit.title);
    let usual = card_sheets(job, kit, &cards, usual_size(job.written.first()), None);
    let mut files = card_files(&title, "cards", &usual, true)?;
    let small = card_sheets(job, kit, &cards, PaperSize::Index, None);
    files.extend(card_files(&title, "cards-3x5", &small, false)?);
    Ok((cards, files))
}
