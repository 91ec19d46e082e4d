//! Words of the library's that flags take: how a flag spells each, and what help says of it.
//!
//! Where help says more or less than the schema does, it is stated here.

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use stopwright::format::ArtifactKind;
use stopwright::terms::{Along, LengthsShown, PaperSize, PlaneKind, SeatName};
use stopwright::units::Units;

/// Reads one of `words`.
fn one_of<T: Copy + Send + Sync + 'static>(
    words: impl IntoIterator<Item = (T, PossibleValue)>,
) -> impl TypedValueParser<Value = T> {
    let words: Vec<(T, PossibleValue)> = words.into_iter().collect();
    let spelled: Vec<PossibleValue> = words.iter().map(|(_, spelled)| spelled.clone()).collect();
    PossibleValuesParser::new(spelled).try_map(move |given| {
        let meant = words.iter().find(|(_, spelled)| spelled.matches(&given, false));
        meant.map(|(word, _)| *word).ok_or("no word that this flag takes")
    })
}

fn word(name: &'static str, help: &'static str) -> PossibleValue {
    PossibleValue::new(name).help(help)
}

/// Reads a guide's seat.
pub fn seat() -> impl TypedValueParser<Value = SeatName> {
    one_of([
        (SeatName::Iron, word("iron", "The seat for plane irons")),
        (SeatName::Chisel, word("chisel", "The seat for chisels")),
    ])
}

/// Reads what the length between two heights lies along.
pub fn along() -> impl TypedValueParser<Value = Along> {
    one_of([(Along::Back, word("back", "The blade's back")), (Along::Plate, word("plate", "The plate"))])
}

/// Reads a bench plane.
pub fn plane() -> impl TypedValueParser<Value = PlaneKind> {
    one_of([
        (PlaneKind::Jack, word("jack", "For rough work")),
        (PlaneKind::Try, word("try", "For flat faces and straight edges")),
        (PlaneKind::Smoother, word("smoother", "For the finish")),
    ])
}

/// Reads the unit of bare numbers.
pub fn unit() -> impl TypedValueParser<Value = Units> {
    one_of([(Units::Mm, word("mm", "Millimetres")), (Units::Inch, word("in", "Inches"))])
}

/// Reads how lengths are shown.
pub fn lengths() -> impl TypedValueParser<Value = LengthsShown> {
    one_of([
        (LengthsShown::Mm, word("mm", "Millimetres")),
        (LengthsShown::In, word("in", "Inches and fractions")),
        (LengthsShown::Both, word("both", "Both, millimetres first")),
    ])
}

/// Reads kinds of files.
pub fn kind() -> impl TypedValueParser<Value = ArtifactKind> {
    one_of(ArtifactKind::ALL.map(|kind| (kind, PossibleValue::new(kind.name()))))
}

/// The papers that a printer at home takes.
fn papers() -> [(PaperSize, PossibleValue); 5] {
    [
        (PaperSize::A4, word("A4", "ISO A4").alias("a4")),
        (PaperSize::A5, word("A5", "ISO A5").alias("a5")),
        (PaperSize::Letter, word("Letter", "US Letter").alias("letter")),
        (PaperSize::HalfLetter, word("half-letter", "Half of a US Letter")),
        (PaperSize::Index, word("index", "Index card of 3 × 5 in")),
    ]
}

/// Reads a paper for cards.
pub fn card_paper() -> impl TypedValueParser<Value = PaperSize> {
    one_of(papers())
}

/// Reads a paper for one page: of those that flags name, the ones that take drawings.
pub fn page() -> impl TypedValueParser<Value = PaperSize> {
    one_of(papers().into_iter().filter(|(size, _)| size.takes_drawings()))
}
