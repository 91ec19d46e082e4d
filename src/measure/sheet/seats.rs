//! What M is to, by what of the blade a seat locates.

use kurbo::Point;

use super::heading;
use super::views::lettered;
use crate::drawing::frame::rectangle;
use crate::drawing::style::{Fill, Pen, SMALL};
use crate::drawing::{Anchor, Group, Text};
use crate::terms::Locates;

/// Sizes of the small figures, mm of paper.
const RADIUS: f64 = 4.5;
const SEAT: f64 = 8.0;
const PARALLEL: f64 = 4.0;
const HALF: f64 = 7.0;

/// Three small figures side by side, upper left corner at `at`.
pub(super) fn draw(at: Point, width: f64) -> Vec<Group> {
    let mut groups = vec![heading("seats-heading", at + (0.0, 2.0), "The seat's level, by what it locates")];
    let all = [
        (Locates::Underside, "M − g − D/2", "on the seat"),
        (Locates::Back, "M − D/2", "up against it"),
        (Locates::Sides, "M − g/2 − D/2", "in a groove"),
    ];
    for (i, (locates, level, how)) in all.into_iter().enumerate() {
        let x = at.x + width * (i as f64 + 0.5) / 3.0 - 2.5;
        groups.extend(figure(Point::new(x, at.y + 21.5), locates));
        let mut words = Group::new(format!("seat-{}-words", locates.name()), "note");
        for (line, text) in [locates.name(), how, level].into_iter().enumerate() {
            let y = at.y + 31.0 + 4.0 * line as f64;
            words.text(Text::new((x + 0.9, y), SMALL, Anchor::Middle, text));
        }
        groups.push(words);
    }
    groups
}

/// Roller, parallel and seat; the axle at `axle`.
fn figure(axle: Point, locates: Locates) -> Vec<Group> {
    let name = locates.name();
    let at = |s: f64, n: f64| axle + (s, -n);
    let top = SEAT + PARALLEL;
    let mut group = Group::new(format!("seat-{name}"), "figure");
    group.circle(axle, RADIUS, Pen::Wide, Fill::Tint);
    let [low, high] = match locates {
        Locates::Underside => [SEAT - 2.0, SEAT],
        Locates::Back => [top, top + 2.0],
        Locates::Sides => [SEAT - 1.0, top + 1.0],
    };
    group.path([rectangle(at(-HALF + 1.5, high), at(HALF - 3.0, low))], true, Pen::Narrow, Fill::Pale);
    group.path([rectangle(at(-HALF, top), at(HALF, SEAT))], true, Pen::Narrow, Fill::Paper);
    // The seat itself.
    let level = match locates {
        Locates::Underside => SEAT,
        Locates::Back => top,
        Locates::Sides => SEAT + PARALLEL / 2.0,
    };
    let (pen, reach) = if locates == Locates::Sides { (Pen::Chain, 1.5) } else { (Pen::Wide, -1.5) };
    group.line(at(-HALF - reach, level), at(HALF - 3.0, level), pen);
    let ends = [at(1.0, -RADIUS), at(HALF, top)];
    let dimension = lettered(&format!("dim-M-{name}"), "M", ends, at(HALF + 3.5, 0.0), (0.0, 1.0));
    vec![group, dimension]
}
