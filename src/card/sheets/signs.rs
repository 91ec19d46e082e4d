//! What is read from two metres: the sign of each lane, as it stands on the block, with a figure of its use; and the
//! blade's name.

use kurbo::{Point, Size};

use super::About;
use super::lines::{Face, broken};
use crate::card::Card;
use crate::drawing::frame::rectangle;
use crate::drawing::page::Block;
use crate::drawing::style::{Fill, LARGE, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Text};
use crate::lane::Bevel;
use crate::shape::font::{self, wrap};
use crate::units::{fixed, short};

/// Height of a lane's sign, mm: read from two metres (common practice has a hundredth of the distance; no source).
pub const SIGN: f64 = 20.0;
/// Least width of a cell, mm, and the most that its values make it.
const CELL: [f64; 2] = [32.0, 37.0];
/// Space in a cell beside its words, mm.
const PAD: f64 = 1.6;
/// Space between cells, mm.
const BETWEEN: f64 = 2.0;
/// Least width of the figure of use, mm, and its height where it stands below the signs.
const FIGURE: Size = Size::new(30.0, 32.0);
/// From one value to the next, by the height of the lettering.
const LEADING: f64 = 1.77;
/// Heights of a name, mm, and the most lines at each but the last.
const NAMES: [(f64, usize); 3] = [(2.0 * VALUE, 1), (LARGE, 2), (VALUE, usize::MAX)];
/// The same on a small card, and on that of a kit, whose list needs the room.
const SMALL_CARD_NAMES: [(f64, usize); 3] = [(2.0 * VALUE, 1), (LARGE, 1), (VALUE, usize::MAX)];
const SMALL_KIT_NAMES: [(f64, usize); 2] = [(LARGE, 1), (VALUE, usize::MAX)];
/// Space below a name, mm.
const UNDER_NAME: f64 = 1.0;
/// What stands in a sign's place where no lane sets a bevel.
const NO_LANE: &str = "–";
/// Decimals of how far an edge stands out of the guide: what a rule, or calipers in inches, show.
const PROJECTION: [usize; 2] = [1, 3];

/// A value of a cell: its id, itself, and how it is said.
type Value = (String, f64, String);

/// A bevel and the lane that sets it.
struct Cell {
    bevel: Bevel,
    caption: String,
    wanted: Option<f64>,
    sign: String,
    values: Vec<Value>,
}

fn cells(card: &Card, about: &About<'_>) -> Vec<Cell> {
    let by_lane = card.settings.iter().map(|s| {
        let id = |what: &str| format!("{}-{what}", s.bevel.name());
        let out = about.written.fixed(s.projection, PROJECTION).said();
        let mut values = vec![(id("projection"), s.projection, format!("stands out {out}"))];
        if !about.is_small() {
            values.insert(0, (id("set"), s.set, format!("lane sets {}°", fixed(s.set, 1))));
        }
        let name = if about.is_small() { lead(s.bevel) } else { s.bevel.name() };
        let caption = format!("{name} {}°", short(s.wanted, 2));
        Cell { bevel: s.bevel, caption, wanted: Some(s.wanted), sign: s.lane.clone(), values }
    });
    let by_hand = card.freehand.iter().map(|bevel| Cell {
        bevel: *bevel,
        caption: bevel.name().into(),
        wanted: None,
        sign: NO_LANE.into(),
        values: vec![(format!("{}-freehand", bevel.name()), f64::NAN, "without the guide".into())],
    });
    let mut all: Vec<Cell> = by_lane.chain(by_hand).collect();
    all.sort_by_key(|cell| cell.bevel);
    all
}

/// A bevel in a word.
fn lead(bevel: Bevel) -> &'static str {
    match bevel {
        Bevel::Primary => "primary",
        Bevel::Micro => "micro",
    }
}

impl Cell {
    fn width(&self) -> f64 {
        let caption = font::width(&self.caption, VALUE, true);
        let values = self.values.iter().map(|value| font::width(&value.2, SMALL, false)).fold(0.0, f64::max);
        let [least, most] = CELL;
        let by_words = (values + 2.0 * PAD).clamp(least, most);
        by_words.max(font::width(&self.sign, SIGN, true) + 2.0 * PAD).max(caption + 2.0 * PAD)
    }

    /// How far its sign reaches below its baseline, mm: J and Q do.
    fn hang(&self) -> f64 {
        self.sign_at(Point::ORIGIN).descent()
    }

    fn sign_at(&self, at: Point) -> Text {
        Text::new(at, SIGN, Anchor::Middle, self.sign.as_str()).bold()
    }

    /// Its values in lines of a cell.
    fn lines(&self, width: f64) -> Vec<(&Value, Vec<String>)> {
        self.values.iter().map(|value| (value, wrap(&value.2, SMALL, width - 2.0 * PAD))).collect()
    }

    /// Its height where signs reach `hang` mm below their baseline.
    fn height(&self, width: f64, hang: f64) -> f64 {
        let lines: usize = self.lines(width).iter().map(|(_, lines)| lines.len()).sum();
        PAD + VALUE + PAD + SIGN + hang + PAD + lines as f64 * LEADING * SMALL
    }

    fn draw(&self, x: f64, size: Size, hang: f64) -> Vec<Group> {
        let name = self.bevel.name();
        let middle = x + size.width / 2.0;
        // The bevel that is honed every time has the wider frame.
        let mut frame = Group::new(format!("{name}-cell"), "table");
        let pen = if self.bevel == Bevel::Micro { Pen::Wide } else { Pen::Narrow };
        frame.path([rectangle((x, 0.0), (x + size.width, size.height))], true, pen, Fill::None);
        let mut caption = match self.wanted {
            Some(angle) => Group::new(format!("{name}-wanted"), "table-value").with("value", angle),
            None => Group::new(format!("{name}-wanted"), "table-cell"),
        };
        let mut y = PAD + VALUE;
        caption.text(Text::new((middle, y), VALUE, Anchor::Middle, self.caption.as_str()).bold());
        let mut sign = Group::new(format!("{name}-lane"), "table-cell").with("lane", &self.sign);
        y += PAD + SIGN;
        sign.text(self.sign_at(Point::new(middle, y)));
        let mut groups = vec![frame, caption, sign];
        y += hang + PAD - (LEADING - 1.0) * SMALL;
        for ((id, value, _), lines) in self.lines(size.width) {
            let mut group = Group::new(id.as_str(), "table-value");
            if value.is_finite() {
                group = group.with("value", value);
            }
            for line in lines {
                y += LEADING * SMALL;
                group.text(Text::new((middle, y), SMALL, Anchor::Middle, line));
            }
            groups.push(group);
        }
        groups
    }
}

/// The signs of a card's lanes, with the figure of use beside them, or below where there is no room; `width` mm wide.
pub(super) fn panel(card: &Card, about: &About<'_>, width: f64) -> Block {
    let cells = cells(card, about);
    let widths: Vec<f64> = cells.iter().map(Cell::width).collect();
    let hang = cells.iter().map(Cell::hang).fold(0.0, f64::max);
    let high = cells.iter().zip(&widths).map(|(cell, width)| cell.height(*width, hang)).fold(0.0, f64::max);
    let mut groups = Vec::new();
    let mut x = 0.0;
    for (cell, width) in cells.iter().zip(&widths) {
        groups.extend(cell.draw(x, Size::new(*width, high), hang));
        x += width + BETWEEN;
    }
    // What is honed every time is the last.
    let Some(last) = card.settings.last() else { return Block::figure(groups, high) };
    if width - x >= FIGURE.width {
        groups.extend(last.in_use.draw((x, 0.0), Size::new(width - x, high), "use-"));
        return Block::figure(groups, high);
    }
    let room = Size::new(width, FIGURE.height);
    groups.extend(last.in_use.draw((0.0, high + BETWEEN), room, "use-"));
    Block::figure(groups, high + BETWEEN + room.height)
}

/// A blade's name, or a kit's title, in bold lettering as large as its length takes it, and what it is, below; a kit's title
/// on a small card stands alone.
pub(super) fn name(name: &str, what: &str, about: &About<'_>, width: f64) -> Block {
    let mut group = Group::new("heading", "note");
    let names: &[(f64, usize)] = match (about.is_small(), what.is_empty()) {
        (false, _) => &NAMES,
        (true, false) => &SMALL_CARD_NAMES,
        (true, true) => &SMALL_KIT_NAMES,
    };
    let fits = |(height, most): &(f64, usize)| broken(name, *height, true, width).len() <= *most;
    let height = names.iter().find(|size| fits(size)).map_or(VALUE, |size| size.0);
    let face = Face::left(height, true);
    let mut bottom = face.set(&mut group, Point::ORIGIN, &broken(name, height, true, width));
    if !what.is_empty() {
        let at = Point::new(0.0, bottom + UNDER_NAME);
        bottom = Face::left(SMALL, false).set(&mut group, at, &broken(what, SMALL, false, width));
    }
    Block { keeps: true, ..Block::figure(vec![group], bottom) }
}

/// What a side after the first begins with.
pub(super) fn continued(name: &str, width: f64) -> Block {
    let mut group = Group::new("heading", "note");
    let lines = broken(&format!("{name}, continued"), VALUE, true, width);
    let bottom = Face::left(VALUE, true).set(&mut group, Point::ORIGIN, &lines);
    Block::figure(vec![group], bottom)
}
