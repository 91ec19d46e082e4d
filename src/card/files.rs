//! The cards' files.

use super::sheets::{self, AT_A_TIME, About, Which};
use super::{Card, cards as all_cards, counted};
use crate::cores;
use crate::drawing::Sheet;
use crate::format::{Artifact, NotWritten, pdf, svg};
use crate::job::Job;
use crate::kit::Kit;
use crate::lanes::LaneSet;
use crate::stages::{Count, Stages};
use crate::terms::PaperSize;
use crate::units::Units;

/// The paper of cards unless another is asked for: half of what a printer at home takes.
pub fn usual_size(units: Units) -> PaperSize {
    if units == Units::Inch { PaperSize::HalfLetter } else { PaperSize::A5 }
}

/// A size of paper in a file's name.
pub fn file_word(size: PaperSize) -> &'static str {
    match size {
        PaperSize::A4 => "a4",
        PaperSize::A3 => "a3",
        PaperSize::Letter => "letter",
        PaperSize::A5 => "a5",
        PaperSize::HalfLetter => "half-letter",
        PaperSize::Index => "3x5",
    }
}

/// Takes pictures of cards.
pub type Pictures<'a> = dyn FnMut(Vec<Artifact>) + Send + 'a;

/// A set of cards of a kit on one size of paper: that of the kit, then one of each blade; or that of one blade alone.
#[derive(Debug, Clone, Copy)]
pub struct Set<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its kit.
    pub kit: &'a Kit,
    /// A card a blade.
    pub cards: &'a [Card],
    /// The paper.
    pub size: PaperSize,
    /// The blade, where only one is wanted.
    pub only: Option<&'a str>,
}

impl Set<'_> {
    /// The cards as a PDF called `name`; `pictures` is given a picture a page as they are drawn, where it is there.
    ///
    /// # Errors
    /// [`NotWritten`].
    pub fn printed(
        &self,
        name: &str,
        mut pictures: Option<&mut Pictures<'_>>,
        stages: &dyn Stages,
    ) -> Result<Artifact, NotWritten> {
        let refused = NotWritten::of("the bench cards");
        let mut document = pdf::Document::default();
        let mut parts = 0;
        let of = if self.only.is_some() { 1 } else { self.cards.len() + 1 };
        let taken = self.draw(|sheets| {
            if let Some(take) = &mut pictures {
                take(cores::each(&sheets, 1, |(name, sheet)| Artifact {
                    name: format!("{name}.svg"),
                    what: "a bench card".into(),
                    bytes: svg::write(sheet),
                }));
            }
            document.add(sheets.iter().map(|(_, sheet)| sheet))?;
            parts += 1;
            stages.done(Count { what: "cards", done: of.min(parts * AT_A_TIME), of });
            Ok(())
        });
        let title = format!("Bench cards: {}", self.kit.title);
        let about = pdf::About { title: &title, subject: "Bench cards: lanes, abrasives and strokes of each blade" };
        let bytes = taken.and_then(|()| document.finish(&about)).map_err(refused)?;
        Ok(Artifact { name: format!("{name}.pdf"), what: "bench cards, to print".into(), bytes })
    }

    /// Draws them; `take` has the sheets part by part, each with its name.
    ///
    /// # Errors
    /// That of `take`.
    pub fn draw<E>(&self, take: impl FnMut(Vec<(String, Sheet)>) -> Result<(), E>) -> Result<(), E> {
        let Self { job, kit, cards, size, only } = *self;
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
        let blades = numbered
            .filter(|which| matches!(which, Which::Blade(card, _) if only.is_none_or(|name| card.blade == name)));
        sheets::sheets(&of_kit.into_iter().chain(blades).collect::<Vec<_>>(), &about, take)
    }
}

/// The bench cards of a job's kit, on the usual paper and on index cards; `pictures` is given those of the usual paper.
///
/// # Errors
/// [`NotWritten`].
pub fn cards(
    job: &Job,
    kit: &Kit,
    lanes: &LaneSet,
    pictures: &mut Pictures<'_>,
    stages: &dyn Stages,
) -> Result<[Artifact; 2], NotWritten> {
    let cards = counted(all_cards(kit, job, lanes), job.log.as_ref());
    let usual = Set { job, kit, cards: &cards, size: usual_size(job.written.first()), only: None };
    let (usual, small) = cores::both(
        || usual.printed("cards", Some(pictures), stages),
        || Set { size: PaperSize::Index, ..usual }.printed("cards-3x5", None, &()),
    );
    Ok([usual?, small?])
}
