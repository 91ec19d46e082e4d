//! What a page begins with: the built-in guides to choose from, and where calipers go.

use super::bench::Bench;
use super::guide::WIDEST;
use super::parts::Parts;
use super::reply::{GuideKind, Measured, Start};
use crate::guide::Guide;
use crate::guide::named::{self, GUIDES, NoFiles};
use crate::lanes::usual::{self, UsualSeat};
use crate::measure::sheet;
use crate::views::side_view::{self, Stand};

pub(super) fn shown(parts: &mut Parts) -> Start {
    let guides = GUIDES.iter().filter_map(|b| Some(kind(&named::guide(b.name, &NoFiles).ok()?, parts))).collect();
    let measuring = sheet::alone()
        .into_iter()
        .map(|figure| {
            let name = format!("measure-{}.svg", figure.letter);
            let picture = parts.picture(&name, figure.title, &figure.groups, figure.area);
            Measured { letter: figure.letter.into(), picture }
        })
        .collect();
    Start { version: env!("CARGO_PKG_VERSION").into(), bench: Bench::default(), guides, measuring }
}

fn kind(guide: &Guide, parts: &mut Parts) -> GuideKind {
    let seats = usual::of_guide(guide).unwrap_or_default();
    let lane = seats.iter().find_map(UsualSeat::drawn);
    let picture = lane.map(|lane| {
        let (groups, area) = side_view::undimensioned(guide, lane, Stand::Stone, WIDEST);
        parts.picture(&format!("{}.svg", guide.name), &format!("{}, from the side", guide.name), &groups, area)
    });
    // The rest of the notes says that its sizes are invented.
    let about = guide.notes.as_deref().unwrap_or_default().split(" Invented").next().unwrap_or_default();
    GuideKind { name: guide.name.clone(), about: about.trim().to_string(), picture }
}
