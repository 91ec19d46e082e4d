//! The figure: a guide at its block, from above and on the stone, and the edge of its blade, with the words at their
//! parts.

use kurbo::Rect;

use super::shown::Shown;
use super::{edge, setting, small};
use crate::drawing::style::SMALL;
use crate::drawing::{Anchor, Group, Text};

/// Height of a view's heading with the space below, mm.
const HEADING: f64 = SMALL + 1.0;

/// Space below a view, mm.
const BELOW: f64 = 2.0;

/// How high the rows of views are, mm: at the block; on the stone, edge, from above; the small ones.
pub type Rows = [f64; 3];

/// Draws a part of the figure in its room.
type Draw = fn(Rect) -> Vec<Group>;

/// Draws all views in rows of these heights, `width` mm wide, the upper left corner at the origin.
pub fn draw(shown: &Shown, width: f64, rows: Rows) -> Vec<Group> {
    let [first, second, third] = rows;
    let mut groups = Vec::new();
    let mut view = |id: &str, heading: &str, cell: Rect, draw: &dyn Fn(Rect) -> Vec<Group>| {
        let mut head = Group::new(format!("heading-{id}"), "note");
        head.text(Text::new((cell.x0, cell.y0 + SMALL), SMALL, Anchor::Start, heading).bold());
        groups.push(head);
        groups.extend(draw(Rect { y0: cell.y0 + HEADING, y1: cell.y1 - BELOW, ..cell }));
    };
    let row = |top: f64, height: f64, from: f64, to: f64| Rect::new(from * width, top, to * width, top + height);
    view("block", "Setting: the guide at the block, cut through a lane", row(0.0, first, 0.0, 1.0), &|room| {
        setting::at_block(shown, room)
    });
    let [stone, enlarged] = [0.44, 0.72];
    view("stone", "Honing: the guide on the stone", row(first, second, 0.0, stone), &|room| {
        edge::on_stone(shown, room)
    });
    view("edge", "The edge, enlarged", row(first, second, stone, enlarged), &|room| edge::enlarged(shown, room));
    view("above", "The block from above", row(first, second, enlarged, 1.0), &|room| setting::from_above(shown, room));
    let small: [(&str, &str, Draw); 4] = [
        ("land", "A chisel, on its edge", small::lands),
        ("camber", "A cambered edge", small::camber),
        ("bed", "An iron in its plane", small::bed_angle),
        ("kerf", "A saw cut", small::kerf),
    ];
    let part = 1.0 / small.len() as f64;
    for (i, (id, heading, draw)) in small.into_iter().enumerate() {
        let from = i as f64 * part;
        view(id, heading, row(first + second, third, from, from + part), &draw);
    }
    groups
}
