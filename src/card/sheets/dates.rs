//! Ruled lines to write on: when a blade was honed and reground.

use kurbo::{Point, Size};

use crate::drawing::frame::rectangle;
use crate::drawing::style::{Fill, Pen, SMALL};
use crate::drawing::{Anchor, Group, Text};

/// Height of a line to write on, mm.
pub(super) const LINE: f64 = 8.0;
/// Height of their heading, mm.
pub(super) const HEAD: f64 = 5.0;
/// Fewest such lines that are worth their heading.
pub(super) const FEWEST: usize = 2;

/// Names of the columns, and their shares of the width.
pub(super) type Columns = [(&'static str, f64); 5];
/// On a blade's card.
pub(super) const OF_BLADE: Columns =
    [("date", 0.22), ("honed", 0.14), ("reground", 0.18), ("micro-bevel", 0.21), ("remarks", 0.25)];
/// On that of a kit.
pub(super) const OF_KIT: Columns =
    [("date", 0.2), ("blade", 0.28), ("honed", 0.14), ("reground", 0.18), ("remarks", 0.2)];

/// Ruled lines, as many as `room` takes; none where they are too few.
pub(super) fn ruled(at: Point, room: Size, columns: &Columns) -> Option<Group> {
    let count = ((room.height - HEAD) / LINE).floor().max(0.0) as usize;
    if count < FEWEST {
        return None;
    }
    // The lines share what is left over.
    let line = (room.height - HEAD) / count as f64;
    let mut group = Group::new("dates", "table");
    let bottom = at.y + room.height;
    group.path([rectangle(at, (at.x + room.width, bottom))], true, Pen::Wide, Fill::None);
    for i in 0..count {
        let y = at.y + HEAD + i as f64 * line;
        group.line((at.x, y), (at.x + room.width, y), Pen::Narrow);
    }
    let mut x = at.x;
    for (i, (name, share)) in columns.iter().enumerate() {
        if i > 0 {
            group.line((x, at.y), (x, bottom), Pen::Narrow);
        }
        group.text(Text::new((x + 1.4, at.y + 3.7), SMALL, Anchor::Start, *name));
        x += share * room.width;
    }
    Some(group)
}
