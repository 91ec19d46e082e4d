//! Frame, title block, projection symbol, check bars and notes: what every sheet bears.

use kurbo::{Point, Rect, Size};

use super::paper::{Paper, Scale};
use super::style::{Fill, LARGE, Pen, SMALL, VALUE};
use super::{Anchor, Group, Text};
use crate::shape::font::{fit, wrap};
use crate::terms::ProjectionAngle;
use crate::units::MM_PER_INCH;

/// Width and height of the title block, mm (180 mm is the most that ISO 7200 allows).
pub const TITLE_BLOCK: Size = Size::new(180.0, 28.0);

/// What the title block says.
#[derive(Debug, Clone, PartialEq)]
pub struct Title {
    /// The drawing's title.
    pub title: String,
    /// What kind of drawing.
    pub kind: String,
    /// The guide.
    pub guide: String,
    /// The scale.
    pub scale: Scale,
    /// The projection symbol.
    pub projection: ProjectionAngle,
    /// General tolerances.
    pub tolerances: String,
    /// The unit of its lengths.
    pub unit: String,
    /// Number of the sheet and of all sheets, where there are several.
    pub page: Option<[usize; 2]>,
}

/// Frame and title block of a sheet.
pub fn frame(paper: Paper, title: &Title) -> Vec<Group> {
    let bounds = paper.frame();
    let mut frame = Group::new("frame", "frame");
    frame.path([outline(bounds)], true, Pen::Wide, Fill::None);
    let mut block = Group::new("title-block", "frame").with("scale", title.scale.name);
    let at = Point::new(bounds.x1 - TITLE_BLOCK.width, bounds.y1 - TITLE_BLOCK.height);
    block.path([rectangle(at, (bounds.x1, bounds.y1))], true, Pen::Wide, Fill::Paper);
    // Two rows of fields; the projection symbol closes the lower one.
    let upper_row = [("title", 92.0, title.title.as_str(), LARGE), ("guide", 88.0, title.guide.as_str(), VALUE)];
    let symbol = 24.0;
    let made = concat!("Stopwright ", env!("CARGO_PKG_VERSION"));
    let sheet = match title.page {
        Some([page, of]) => format!("{} {page}/{of}", paper.name()),
        None => paper.name().to_string(),
    };
    // A sheet of several says its number and may have two units; one alone has more to say of itself.
    let [document, tolerances, unit, sized] = match title.page {
        Some(_) => [33.0, 27.0, 20.5, 31.0],
        None => [42.0, 32.0, 11.0, 18.0],
    };
    let ruled = document + tolerances + unit + 12.5 + sized;
    let lower_row = [
        ("document", document, title.kind.as_str(), VALUE),
        ("tolerances", tolerances, title.tolerances.as_str(), VALUE),
        ("unit", unit, title.unit.as_str(), VALUE),
        ("scale", 12.5, title.scale.name, VALUE),
        ("sheet", sized, sheet.as_str(), VALUE),
        ("computed by", TITLE_BLOCK.width - symbol - ruled, made, SMALL),
    ];
    field_row(&mut block, at, 14.0, &upper_row);
    let middle = at + (0.0, 14.0);
    field_row(&mut block, middle, 14.0, &lower_row);
    block.line(middle, (bounds.x1, middle.y), Pen::Narrow);
    let mut mark =
        Group::new("projection-symbol", "frame").with("projection", format!("{:?}", title.projection).to_lowercase());
    projection_symbol(&mut mark, Point::new(bounds.x1 - symbol / 2.0, bounds.y1 - 7.0), title.projection);
    vec![frame, block, mark]
}

/// A row of a title block's fields, each a caption, its width, its words and their height.
pub fn field_row(block: &mut Group, at: impl Into<Point>, height: f64, fields: &[(&str, f64, &str, f64)]) {
    let Point { mut x, y } = at.into();
    for (i, (name, width, words, size)) in fields.iter().enumerate() {
        if i > 0 {
            block.line((x, y), (x, y + height), Pen::Narrow);
        }
        block.text(Text::new((x + 1.2, y + 1.0 + SMALL), SMALL, Anchor::Start, *name));
        let words = fit(words, *size, width - 2.4);
        block.text(Text::new((x + 1.2, y + height - 2.2), *size, Anchor::Start, words));
        x += width;
    }
    block.line((x, y), (x, y + height), Pen::Narrow);
}

/// The truncated cone of ISO 5456-2 in its two views.
fn projection_symbol(group: &mut Group, Point { x, y }: Point, projection: ProjectionAngle) {
    let (large, small, length) = (4.0, 2.0, 6.0);
    // Both symbols have the small end at the left and show it in full, as seen from the left; a view from the left
    // stands at the left in third angle and at the right in first angle.
    let (cone, rings) = match projection {
        ProjectionAngle::Third => (x + 5.0, x - 5.0),
        ProjectionAngle::First => (x - 5.0, x + 5.0),
    };
    let (x0, x1) = (cone - length / 2.0, cone + length / 2.0);
    group.path([[(x0, y - small), (x1, y - large), (x1, y + large), (x0, y + small)]], true, Pen::Narrow, Fill::None);
    for radius in [large, small] {
        group.circle((rings, y), radius, Pen::Narrow, Fill::None);
    }
    group.line((x - 10.5, y), (x + 10.5, y), Pen::Chain);
    group.line((rings, y - large - 1.0), (rings, y + large + 1.0), Pen::Chain);
}

/// Height that the check bars need, mm.
pub const BARS_HEIGHT: f64 = 15.0;
/// Width that they need, mm.
pub const BARS_WIDTH: f64 = 4.0 * MM_PER_INCH + 24.0;

/// Bars of 100 mm and 4 in, upper left corner at `at`.
pub fn check_bars(at: impl Into<Point>) -> Vec<Group> {
    let Point { x: left, y: top } = at.into();
    [("check-bar-mm", 100.0, "100 mm", 10, 3.0), ("check-bar-in", 4.0 * MM_PER_INCH, "4 in", 4, 10.5)]
        .into_iter()
        .map(|(id, length, words, parts, down)| {
            let mut bar = Group::new(id, "check-bar").with("value", length);
            let y = top + down;
            bar.line((left, y), (left + length, y), Pen::Narrow);
            for i in 0..=parts {
                let x = left + length * f64::from(i) / f64::from(parts);
                let tick = if i == 0 || i == parts { 2.0 } else { 1.0 };
                bar.line((x, y - tick), (x, y + tick), Pen::Narrow);
            }
            bar.text(Text::new((left + length + 2.5, y + VALUE / 2.0), VALUE, Anchor::Start, words));
            bar
        })
        .collect()
}

/// Notes set in lines no wider than `width`.
pub struct Notes {
    lines: Vec<(String, bool)>,
}

/// Space from one line of notes to the next, mm.
const LEADING: f64 = SMALL * 1.5;

impl Notes {
    /// Breaks `notes` into lines; the first line of each note stands out by a bullet.
    pub fn new(notes: &[String], width: f64) -> Self {
        let mut lines = Vec::new();
        for note in notes {
            for (i, line) in wrap(note, SMALL, width - 3.5).into_iter().enumerate() {
                lines.push((line, i == 0));
            }
        }
        Self { lines }
    }

    /// Height on paper, mm.
    pub fn height(&self) -> f64 {
        self.lines.len() as f64 * LEADING
    }

    /// Draws them, upper left corner at `at`.
    pub fn draw(&self, at: impl Into<Point>) -> Group {
        let Point { x, y: top } = at.into();
        let mut group = Group::new("notes", "note");
        for (i, (line, first)) in self.lines.iter().enumerate() {
            let y = top + i as f64 * LEADING + SMALL;
            if *first {
                group.text(Text::new((x, y), SMALL, Anchor::Start, "–"));
            }
            group.text(Text::new((x + 3.5, y), SMALL, Anchor::Start, line.as_str()));
        }
        group
    }
}

/// Corners of a rectangle.
pub fn outline(r: Rect) -> [Point; 4] {
    rectangle((r.x0, r.y0), (r.x1, r.y1))
}

/// Corners of a rectangle, by two opposite ones.
pub fn rectangle(a: impl Into<Point>, b: impl Into<Point>) -> [Point; 4] {
    let (a, b) = (a.into(), b.into());
    [a, Point::new(b.x, a.y), b, Point::new(a.x, b.y)]
}
