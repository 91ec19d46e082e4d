//! The title strip of a card: of which guide, state and set it is. On a small card it is a line; on others it has a
//! field for each thing, as a title block has.

use kurbo::Point;

use super::About;
use super::lines::{broken, down};
use crate::drawing::frame::{FIELD_PAD, Field, MADE, field_row, rectangle};
use crate::drawing::page::Block;
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Text, leading};
use crate::shape::font::{self, wrap};

/// Space between two entries of a line, mm.
const BETWEEN: f64 = 3.0;
/// Space between the rule and the lettering of a line, mm.
const UNDER_RULE: f64 = 1.0;
/// Height of a row of fields whose words are one line, mm.
const ROW: f64 = 10.5;
/// Least width of the field of the date, which a hand fills in where the job has none, mm.
const DATE: f64 = 18.0;

/// What a strip says of its side.
pub(super) struct Place<'a> {
    /// Whose card it is, where nothing on this side says it in large lettering.
    pub name: Option<&'a str>,
    /// Which card of the set.
    pub card: String,
    /// Which side or page of the card; empty of one alone.
    pub side: String,
}

/// The strip, `width` mm wide.
pub(super) fn block(place: &Place<'_>, about: &About<'_>, width: f64) -> Block {
    if about.is_small() { line(place, about, width) } else { fields(place, about, width) }
}

/// Everything in a line, or more where names are long.
fn line(place: &Place<'_>, about: &About<'_>, width: f64) -> Block {
    let side = [place.card.as_str(), &place.side].into_iter().filter(|words| !words.is_empty());
    let number = side.collect::<Vec<_>>().join(", ");
    // What is the same of both sides stands in front.
    let of_set = if place.name.is_none() { vec![about.guide, about.fingerprint] } else { vec![about.fingerprint] };
    let made = about.date.into_iter().chain([MADE]).filter(|_| place.name.is_none());
    let entries = place.name.into_iter().chain(of_set).chain([number.as_str()]).chain(made);
    let mut group = Group::new("title-strip", "note");
    group.line((0.0, 0.0), (width, 0.0), Pen::Narrow);
    let all: Vec<String> = entries.clone().map(String::from).collect();
    let step = down(&all, SMALL);
    let (mut x, mut y) = (0.0, UNDER_RULE + SMALL + all.iter().map(|words| accent(words, SMALL)).fold(0.0, f64::max));
    for words in entries {
        let lines = wrap(words, SMALL, width);
        let wide = lines.iter().map(|line| font::width(line, SMALL, false)).fold(0.0, f64::max);
        if x > 0.0 && x + wide > width {
            (x, y) = (0.0, y + step);
        }
        for (i, line) in lines.iter().enumerate() {
            y += if i > 0 { step } else { 0.0 };
            group.text(Text::new((x, y), SMALL, Anchor::Start, line.as_str()));
        }
        x += wide + BETWEEN;
    }
    Block::figure(vec![group], y + 0.3 * SMALL)
}

fn accent(words: &str, height: f64) -> f64 {
    Text::new(Point::ORIGIN, height, Anchor::Start, words).accent()
}

/// A field for each thing.
fn fields(place: &Place<'_>, about: &About<'_>, width: f64) -> Block {
    let natural = |caption: &str, words: &str| {
        let [caption, words] = [caption, words].map(|said| font::width(said, SMALL, false));
        caption.max(words) + 2.0 * FIELD_PAD + 1.0
    };
    let date = about.date.unwrap_or_default();
    let mut right = vec![("card", place.card.as_str())];
    if !place.side.is_empty() {
        right.push(("page", &place.side));
    }
    right.extend([("fingerprint", about.fingerprint), ("date", date), ("drawn", MADE)]);
    let widths = right.iter().map(|(caption, words)| {
        let natural = natural(caption, words);
        // A date may be as long as a third of the strip.
        if *caption == "date" { natural.max(DATE).min(width / 3.0) } else { natural }
    });
    let widths: Vec<f64> = widths.collect();
    let rest = width - widths.iter().sum::<f64>();
    let columns = right.iter().zip(&widths).map(|((caption, words), wide)| (*caption, *wide, *words));
    let fields: Vec<Field<'_>> = std::iter::once(("guide", rest, about.guide)).chain(columns).collect();
    // As high as the field of the most lines in the smallest lettering.
    let more = fields.iter().map(|(_, wide, words)| {
        let lines = broken(words, SMALL, false, wide - 2.0 * FIELD_PAD);
        let step = leading(lines.iter().map(String::as_str), SMALL);
        // One line may stand in larger lettering.
        let lettering = if lines.len() > 1 { SMALL } else { VALUE };
        lines.len().saturating_sub(1) as f64 * step + lettering + accent(words, VALUE)
    });
    let height = ROW - VALUE + more.fold(VALUE, f64::max);
    let mut group = Group::new("title-strip", "table");
    group.path([rectangle((0.0, 0.0), (width, height))], true, Pen::Wide, Fill::None);
    field_row(&mut group, (0.0, 0.0), height, &fields);
    Block::figure(vec![group], height)
}
