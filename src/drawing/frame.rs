//! Frame, title block, projection symbol, check bars and notes: what every sheet bears.

use kurbo::{Point, Rect, Size};

use super::paper::{Paper, Scale};
use super::style::{Fill, LARGE, Pen, SMALL, VALUE};
use super::{Anchor, Group, Text};
use crate::shape::font::{self, fit, wrap};
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
    /// Fingerprint of the state of guide and job; `None` where there is no job.
    pub fingerprint: Option<String>,
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

/// Width of the title's field, mm.
const TITLE_FIELD: f64 = 92.0;
/// Letters of a unit; more are two units.
const ONE_UNIT: usize = 2;
/// Width of the fingerprint's field, mm.
const FINGERPRINT_FIELD: f64 = 22.0;

/// What made the sheet, as its title block says.
pub const MADE: &str = concat!("Stopwright ", env!("CARGO_PKG_VERSION"));

/// A field of a title block: its caption, its width in mm, its words (none where a hand fills them in), their height.
pub type Field<'a> = (&'a str, f64, &'a str, f64);

/// Frame, and a title block of two rows of fields.
pub fn ruled(paper: Paper, scale: Option<&str>, rows: [&[Field<'_>]; 2]) -> [Group; 2] {
    let bounds = paper.frame();
    let mut frame = Group::new("frame", "frame");
    frame.path([outline(bounds)], true, Pen::Wide, Fill::None);
    let mut block = Group::new("title-block", "frame");
    block.data.extend(scale.map(|scale| ("scale", scale.to_string())));
    let at = Point::new(bounds.x1 - TITLE_BLOCK.width, bounds.y1 - TITLE_BLOCK.height);
    block.path([rectangle(at, (bounds.x1, bounds.y1))], true, Pen::Wide, Fill::Paper);
    let height = TITLE_BLOCK.height / 2.0;
    let middle = at + (0.0, height);
    field_row(&mut block, at, height, rows[0]);
    field_row(&mut block, middle, height, rows[1]);
    block.line(middle, (bounds.x1, middle.y), Pen::Narrow);
    [frame, block]
}

/// Frame and title block of a sheet.
pub fn frame(paper: Paper, title: &Title) -> Vec<Group> {
    let fingerprint = title.fingerprint.as_deref();
    let rest = TITLE_BLOCK.width - TITLE_FIELD - fingerprint.map_or(0.0, |_| FINGERPRINT_FIELD);
    let mut upper_row = vec![
        ("title", TITLE_FIELD, title.title.as_str(), title_size(&title.title)),
        ("guide", rest, title.guide.as_str(), VALUE),
    ];
    upper_row.extend(fingerprint.map(|signs| ("fingerprint", FINGERPRINT_FIELD, signs, VALUE)));
    let sheet = match title.page {
        Some([page, of]) => format!("{} {page}/{of}", paper.name()),
        None => paper.name().to_string(),
    };
    // A sheet of several says its number and may have two units; one alone has more to say of itself.
    let [document, tolerances, unit, sized] = match title.page {
        Some(_) => [33.0, 27.0, 20.5, 31.0],
        None => [42.0, 32.0, if title.unit.len() > ONE_UNIT { 20.5 } else { 11.0 }, 18.0],
    };
    let scale = 12.5;
    // The projection symbol closes the lower row.
    let rest = TITLE_BLOCK.width - SYMBOL_FIELD - (document + tolerances + unit + scale + sized);
    let lower_row = [
        ("document", document, title.kind.as_str(), VALUE),
        ("tolerances", tolerances, title.tolerances.as_str(), VALUE),
        ("unit", unit, title.unit.as_str(), VALUE),
        ("scale", scale, title.scale.name, VALUE),
        ("sheet", sized, sheet.as_str(), VALUE),
        ("computed by", rest, MADE, SMALL),
    ];
    let [frame, block] = ruled(paper, Some(title.scale.name), [&upper_row, &lower_row]);
    let mut mark =
        Group::new("projection-symbol", "frame").with("projection", format!("{:?}", title.projection).to_lowercase());
    let bounds = paper.frame();
    let centre = Point::new(bounds.x1 - SYMBOL_FIELD / 2.0, bounds.y1 - TITLE_BLOCK.height / 4.0);
    projection_symbol(&mut mark, centre, title.projection);
    vec![frame, block, mark]
}

/// Height of a title: a long one is smaller before any of it is cut.
fn title_size(title: &str) -> f64 {
    if font::width(title, LARGE, false) <= TITLE_FIELD - 2.0 * FIELD_PAD { LARGE } else { VALUE }
}

/// Space between a field's edge and its words, mm.
pub const FIELD_PAD: f64 = 1.2;
/// Space above a field's caption, mm.
const OVER_CAPTION: f64 = 1.0;
/// Space below the baseline of a field's words, mm: what hangs below it is clear of the rule.
pub const UNDER_WORDS: f64 = 2.2;

/// A row of a title block's fields.
pub fn field_row(block: &mut Group, at: impl Into<Point>, height: f64, fields: &[Field<'_>]) {
    let Point { mut x, y } = at.into();
    for (i, (name, width, words, size)) in fields.iter().enumerate() {
        if i > 0 {
            block.line((x, y), (x, y + height), Pen::Narrow);
        }
        let left = x + FIELD_PAD;
        block.text(Text::new((left, y + OVER_CAPTION + SMALL), SMALL, Anchor::Start, *name));
        let words = fit(words, *size, width - 2.0 * FIELD_PAD);
        block.text(Text::new((left, y + height - UNDER_WORDS), *size, Anchor::Start, words));
        x += width;
    }
    block.line((x, y), (x, y + height), Pen::Narrow);
}

/// Width of the projection symbol's field, mm.
const SYMBOL_FIELD: f64 = 24.0;
/// Radii of the truncated cone's ends, mm: ISO 5456-2 draws it with diameters of two to one.
const CONE_ENDS: [f64; 2] = [4.0, 2.0];
/// Length of the cone, mm.
const CONE_LENGTH: f64 = 6.0;
/// How far the middles of both views stand from the middle of the symbol, mm.
const CONE_APART: f64 = 5.0;
/// How far centre lines run past the outlines, mm.
const PAST_OUTLINE: f64 = 1.0;

/// The truncated cone of ISO 5456-2 in its two views.
fn projection_symbol(group: &mut Group, Point { x, y }: Point, projection: ProjectionAngle) {
    let [large, small] = CONE_ENDS;
    // Both symbols have the small end at the left and show it in full, as seen from the left; a view from the left
    // stands at the left in third angle and at the right in first angle.
    let (cone, rings) = match projection {
        ProjectionAngle::Third => (x + CONE_APART, x - CONE_APART),
        ProjectionAngle::First => (x - CONE_APART, x + CONE_APART),
    };
    let (x0, x1) = (cone - CONE_LENGTH / 2.0, cone + CONE_LENGTH / 2.0);
    group.path([[(x0, y - small), (x1, y - large), (x1, y + large), (x0, y + small)]], true, Pen::Narrow, Fill::None);
    for radius in CONE_ENDS {
        group.circle((rings, y), radius, Pen::Narrow, Fill::None);
    }
    let reach = CONE_APART + large + 1.5 * PAST_OUTLINE;
    group.line((x - reach, y), (x + reach, y), Pen::Chain);
    group.line((rings, y - large - PAST_OUTLINE), (rings, y + large + PAST_OUTLINE), Pen::Chain);
}

/// Height that the check bars need, mm.
pub const BARS_HEIGHT: f64 = 15.0;
/// Width that they need, mm: the longer one, and its words.
pub const BARS_WIDTH: f64 = INCH_BAR + 24.0;
/// Length of the bar in millimetres.
pub(super) const MM_BAR: f64 = 100.0;
/// Length of the bar in inches, mm.
pub(super) const INCH_BAR: f64 = 4.0 * MM_PER_INCH;
/// How far the bars lie below the top, mm.
const BARS_DOWN: [f64; 2] = [3.0, 10.5];
/// Half the length of a bar's ticks, at its ends and between them, mm.
const TICKS: [f64; 2] = [2.0, 1.0];

/// Bars of 100 mm and 4 in, upper left corner at `at`.
pub fn check_bars(at: impl Into<Point>) -> Vec<Group> {
    let Point { x: left, y: top } = at.into();
    [("check-bar-mm", MM_BAR, "100 mm", 10, BARS_DOWN[0]), ("check-bar-in", INCH_BAR, "4 in", 4, BARS_DOWN[1])]
        .into_iter()
        .map(|(id, length, words, parts, down)| {
            let mut bar = Group::new(id, "check-bar").with("value", length);
            let y = top + down;
            bar.line((left, y), (left + length, y), Pen::Narrow);
            for i in 0..=parts {
                let x = left + length * f64::from(i) / f64::from(parts);
                let tick = if i == 0 || i == parts { TICKS[0] } else { TICKS[1] };
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
/// How far the words of a note stand in from its bullet, mm.
const INDENT: f64 = 3.5;

impl Notes {
    /// Breaks `notes` into lines; the first line of each note stands out by a bullet.
    pub fn new(notes: &[String], width: f64) -> Self {
        let mut lines = Vec::new();
        for note in notes {
            for (i, line) in wrap(note, SMALL, width - INDENT).into_iter().enumerate() {
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
            group.text(Text::new((x + INDENT, y), SMALL, Anchor::Start, line.as_str()));
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
