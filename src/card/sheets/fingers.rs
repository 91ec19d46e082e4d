//! Where the finger presses for a camber: dots on a blade seen from above, each with its strokes in one round.

use kurbo::Point;

use super::About;
use super::words::Line;
use crate::card::Camber;
use crate::drawing::page::Block;
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Text};
use crate::shape::font;
use crate::views::figure::break_line;

/// Width of the blade on paper unless its counts need more, mm.
const WIDTH: f64 = 50.0;
/// The same on a small card, mm.
const SMALL_CARD_WIDTH: f64 = 40.0;
/// How far its corners are drawn behind the middle of its edge, mm: more than they are, so that it is seen.
const SAG: f64 = 2.4;
/// Straight runs of the drawn edge.
const RUNS: u32 = 24;
/// Radius of a dot, mm.
const DOT: f64 = 1.1;
/// Level of the dots below the corners, mm.
const DOTS: f64 = 3.4;
/// Space between things, mm.
const SPACE: f64 = 1.2;
/// Space between the lowest words and the line that breaks the blade off, mm: it strays.
const OVER_BREAK: f64 = 1.8;
/// Space between the figure and the words beside it, mm.
const BESIDE: f64 = 4.0;
/// Least width of words beside the figure, by the height of their lettering.
const BESIDE_WORDS: f64 = 12.0;

/// A dot: its place's number, its side, its distance from the blade's middle in mm (to the right), and its strokes.
struct Dot {
    id: String,
    at: f64,
    count: u32,
}

/// The dots of a round, from the corners in.
fn dots(camber: &Camber) -> Vec<Dot> {
    let pressed = camber.places.iter().zip(camber.rounds.counts).enumerate().filter(|(_, (_, count))| *count > 0);
    let both = |(i, (place, count)): (usize, (&crate::stones::camber::strokes::Place, u32))| {
        let dot = |side: &str, at: f64| Dot { id: format!("finger-{}{side}", i + 1), at, count };
        if place.at == 0.0 { vec![dot("", 0.0)] } else { vec![dot("-left", -place.at), dot("-right", place.at)] }
    };
    pressed.flat_map(both).collect()
}

/// The figure, and what is said of the camber beside it, `width` mm wide in lettering of `size` mm.
pub(super) fn block(camber: &Camber, line: &Line, size: f64, width: f64, about: &About<'_>) -> Block {
    let least = if about.is_small() { SMALL_CARD_WIDTH } else { WIDTH };
    let dots = dots(camber);
    let across = camber.curve.width;
    // Counts stand clear of one another: in smaller lettering, and then on a wider blade.
    let nearest = (0..dots.len()).flat_map(|i| (0..i).map(move |j| (i, j)));
    let nearest = nearest.map(|(i, j)| (dots[i].at - dots[j].at).abs()).fold(across, f64::min);
    let widest = |height: f64| {
        let words = dots.iter().map(|dot| font::width(&dot.count.to_string(), height, true));
        (words.fold(0.0, f64::max) + SPACE) * across / nearest
    };
    let height = if widest(VALUE) <= least { VALUE } else { SMALL };
    let wide = widest(height).max(least).min(width);
    let scale = wide / across;

    let top = SMALL + SPACE;
    let level = top + SAG + DOTS;
    let counts = level + DOT + SPACE + height;
    let below = counts + 2.0 * SPACE + SMALL;
    let bottom = below + OVER_BREAK;
    let mut blade = Group::new("finger-places", "figure")
        .with("width", across)
        .with("rounds", camber.rounds.rounds)
        .with("grade", camber.on.0);
    let edge = |i: u32| {
        let x = f64::from(i) / f64::from(RUNS);
        Point::new(x * wide, top + SAG * (2.0 * x - 1.0).powi(2))
    };
    let outline = std::iter::once(Point::new(0.0, bottom)).chain((0..=RUNS).map(edge)).chain([(wide, bottom).into()]);
    blade.path([outline.collect::<Vec<_>>()], false, Pen::Wide, Fill::None);
    blade.path([break_line((0.0, bottom).into(), (wide, bottom).into())], false, Pen::Narrow, Fill::None);
    // A small card says what it is about here, others over the words.
    let small = about.is_small();
    if small {
        blade.text(Text::new((0.0, SMALL), SMALL, Anchor::Start, line.lead).bold());
    }
    let edge = if small {
        (wide, Anchor::End, "edge from above")
    } else {
        (wide / 2.0, Anchor::Middle, "edge, seen from above")
    };
    blade.text(Text::new((edge.0, SMALL), SMALL, edge.1, edge.2));
    blade.text(Text::new((wide / 2.0, below), SMALL, Anchor::Middle, "strokes in one round"));
    let mut groups = vec![blade];
    for Dot { id, at, count } in dots {
        let x = wide / 2.0 + at * scale;
        let mut group = Group::new(id, "figure").with("at", at).with("count", count);
        group.circle((x, level), DOT, Pen::Narrow, Fill::Ink);
        group.text(Text::new((x, counts), height, Anchor::Middle, count.to_string()).bold());
        groups.push(group);
    }

    let high = bottom + SPACE;
    // Beside the figure where there is room for words, else below it.
    let beside = width - wide - BESIDE;
    let (corner, room) =
        if beside >= BESIDE_WORDS * size { ((wide + BESIDE, 0.0), beside) } else { ((0.0, high), width) };
    let words = if small { line.alone(size, room) } else { line.above(size, room) };
    let height = high.max(corner.1 + words.height);
    groups.extend(words.groups.into_iter().map(|group| group.moved(corner)));
    Block::figure(groups, height)
}
