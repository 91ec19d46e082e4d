//! Frame, title block, projection symbol, check bars and notes: what every sheet bears.

use kurbo::{Point, Rect, Size};

use super::paper::{Paper, Scale};
use super::style::{CLEAR, Fill, LARGE, Pen, SMALL, VALUE};
use super::{Anchor, Group, Text, leading};
use crate::shape::font::{self, wrap};
use crate::terms::ProjectionAngle;
use crate::units::MM_PER_INCH;

/// Width and height of the title block, mm (180 mm is the most that ISO 7200 allows).
pub const TITLE_BLOCK: Size = Size::new(180.0, TITLE_ROW + 2.0 * FIELD_ROW);
/// Height of the title's row, mm: two lines of values below a caption.
const TITLE_ROW: f64 = 17.25;
/// Height of the other rows, mm.
const FIELD_ROW: f64 = 10.5;

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
    /// Which of several blocks, and how many there are; `None` of one alone.
    pub block: Option<[usize; 2]>,
    /// Number of the sheet, and of all sheets of the set.
    pub page: [usize; 2],
    /// The scale.
    pub scale: Scale,
    /// The projection symbol.
    pub projection: ProjectionAngle,
    /// General tolerances.
    pub tolerances: String,
    /// The unit of its lengths.
    pub unit: String,
    /// The job's date; a blank to fill in where it has none.
    pub date: Option<String>,
}

/// Width of the title's field, mm.
const TITLE_FIELD: f64 = 104.0;
/// Width of the fingerprint's field, mm.
const FINGERPRINT_FIELD: f64 = 24.0;
/// Width of the field for which of several blocks, mm.
const BLOCK_FIELD: f64 = 20.0;

/// Least and greatest width of the date's field, mm: what it needs beyond the least is taken from the three beside it.
const DATE_FIELDS: [f64; 2] = [24.0, 39.0];
/// Width of the fields for a name, filled in by hand, where the date leaves them theirs, mm.
const HAND_FIELD: f64 = 20.0;

/// Width of the field that a date needs, mm.
fn date_field(date: &str) -> f64 {
    // A little more than that, as it is measured again in its field.
    font::width(date, SMALL, false) + 2.0 * FIELD_PAD + 0.01
}

/// Whether a date goes into its field.
pub fn takes_date(date: &str) -> bool {
    date_field(date) <= DATE_FIELDS[1]
}

/// What made the sheet, as its title block says.
pub const MADE: &str = concat!("Stopwright ", env!("CARGO_PKG_VERSION"));

/// A field of a title block: its caption, its width in mm, and its words (none where a hand fills them in).
pub type Field<'a> = (&'a str, f64, &'a str);

/// Height of a row of a form's title block, mm.
const FORM_ROW: f64 = 14.0;
/// Height of a form's title block, mm: it has fewer fields.
pub const FORM_BLOCK: f64 = 2.0 * FORM_ROW;

/// Frame with its centring marks, and the title block of a form, in two rows of fields.
pub fn form(paper: Paper, scale: Option<&str>, rows: [&[Field<'_>]; 2]) -> Vec<Group> {
    ruled(paper, scale, &rows.map(|row| (FORM_ROW, row)))
}

/// Frame with its centring marks, and a title block of three rows of fields: the title's, and two less high.
pub fn framed(paper: Paper, scale: &str, [title, middle, lower]: [&[Field<'_>]; 3]) -> Vec<Group> {
    ruled(paper, Some(scale), &[(TITLE_ROW, title), (FIELD_ROW, middle), (FIELD_ROW, lower)])
}

/// Frame with its centring marks, and a title block of rows of fields with their heights, mm.
fn ruled(paper: Paper, scale: Option<&str>, rows: &[(f64, &[Field<'_>])]) -> Vec<Group> {
    let bounds = paper.frame();
    let mut frame = Group::new("frame", "frame");
    frame.path([outline(bounds)], true, Pen::Wide, Fill::None);
    let mut block = Group::new("title-block", "frame");
    block.data.extend(scale.map(|scale| ("scale", scale.to_string())));
    let high: f64 = rows.iter().map(|row| row.0).sum();
    let corner = Point::new(bounds.x1 - TITLE_BLOCK.width, bounds.y1 - high);
    block.path([rectangle(corner, (bounds.x1, bounds.y1))], true, Pen::Wide, Fill::Paper);
    let mut y = corner.y;
    for (height, row) in rows {
        if y > corner.y {
            block.line((corner.x, y), (bounds.x1, y), Pen::Narrow);
        }
        field_row(&mut block, (corner.x, y), *height, row);
        y += height;
    }
    vec![frame, centring_marks(paper), block]
}

/// How far the centring marks reach from the frame into the margin, mm.
const CENTRING: f64 = 5.0;

/// Marks at the ends of the sheet's axes, for copying and filming (ISO 5457, from memory).
fn centring_marks(paper: Paper) -> Group {
    let (bounds, middle) = (paper.frame(), paper.area().center());
    let mut marks = Group::new("centring-marks", "frame");
    for (y, out) in [(bounds.y0, -CENTRING), (bounds.y1, CENTRING)] {
        marks.line((middle.x, y), (middle.x, y + out), Pen::Wide);
    }
    for (x, out) in [(bounds.x0, -CENTRING), (bounds.x1, CENTRING)] {
        marks.line((x, middle.y), (x + out, middle.y), Pen::Wide);
    }
    marks
}

/// Frame and title block of a sheet.
pub fn frame(paper: Paper, title: &Title) -> Vec<Group> {
    let of = |[n, of]: [usize; 2]| format!("{n} of {of}");
    let upper_row = [
        ("title", TITLE_FIELD, title.title.as_str()),
        ("guide", TITLE_BLOCK.width - TITLE_FIELD, title.guide.as_str()),
    ];
    let (sheet, which) = (of(title.page), title.block.map(of));
    let mut middle_row = vec![("sheet", 24.0, sheet.as_str()), ("paper", 24.0, paper.name())];
    middle_row.push(("scale", 20.0, title.scale.name));
    if let Some(which) = &which {
        middle_row.insert(0, ("block", BLOCK_FIELD, which.as_str()));
    }
    if let Some(signs) = &title.fingerprint {
        middle_row.insert(0, ("fingerprint", FINGERPRINT_FIELD, signs.as_str()));
    }
    let rest = TITLE_BLOCK.width - middle_row.iter().map(|field| field.1).sum::<f64>();
    middle_row.insert(0, ("document", rest, title.kind.as_str()));
    let date = title.date.as_deref().unwrap_or_default();
    let date_width = date_field(date).clamp(DATE_FIELDS[0], DATE_FIELDS[1]);
    let less = (date_width - DATE_FIELDS[0]) / 3.0;
    let by_hand = HAND_FIELD - less;
    // The projection symbol closes the lower row.
    let lower_row = [
        ("tolerances", 34.0, title.tolerances.as_str()),
        ("unit", 22.0, title.unit.as_str()),
        ("date", date_width, date),
        ("drawn", by_hand, ""),
        ("checked", by_hand, ""),
        ("computed by", TITLE_BLOCK.width - SYMBOL_FIELD - 120.0 - less, MADE),
    ];
    let mut groups = framed(paper, title.scale.name, [&upper_row, &middle_row, &lower_row]);
    let mut mark =
        Group::new("projection-symbol", "frame").with("projection", format!("{:?}", title.projection).to_lowercase());
    let bounds = paper.frame();
    let centre = Point::new(bounds.x1 - SYMBOL_FIELD / 2.0, bounds.y1 - FIELD_ROW / 2.0);
    projection_symbol(&mut mark, centre, title.projection);
    groups.push(mark);
    groups
}

/// The lines in which `words` stand in a field `width` mm wide and `height` mm high, and the height of their lettering:
/// the largest at which all of them go. The smallest is taken where none does, so that no word is ever left out.
fn in_field(words: &str, width: f64, height: f64) -> (Vec<String>, f64) {
    let most = width - 2.0 * FIELD_PAD;
    let room = height - OVER_CAPTION - SMALL - UNDER_CAPTION - UNDER_WORDS;
    let lines = |size: f64| (font::wrap(words, size, most), size);
    let goes = |(lines, size): &(Vec<String>, f64)| {
        let high = size + (lines.len() as f64 - 1.0) * leading(lines.iter().map(String::as_str), *size);
        high <= room && lines.iter().all(|line| font::width(line, *size, false) <= most)
    };
    let mut tried = [LARGE, VALUE, SMALL].map(lines).into_iter();
    tried.find(goes).unwrap_or_else(|| lines(SMALL))
}

/// Space between a field's edge and its words, mm.
pub const FIELD_PAD: f64 = 1.2;
/// Space above a field's caption, mm.
const OVER_CAPTION: f64 = 1.0;
/// Space below a caption's baseline, mm: what hangs below it is clear of the words.
const UNDER_CAPTION: f64 = 0.3 * SMALL + 2.0 * CLEAR;
/// Space below the baseline of a field's words, mm: what hangs below it is clear of the rule.
pub const UNDER_WORDS: f64 = 1.9;

/// A row of a title block's fields.
pub fn field_row(block: &mut Group, at: impl Into<Point>, height: f64, fields: &[Field<'_>]) {
    let Point { mut x, y } = at.into();
    for (i, (name, width, words)) in fields.iter().enumerate() {
        if i > 0 {
            block.line((x, y), (x, y + height), Pen::Narrow);
        }
        let left = x + FIELD_PAD;
        block.text(Text::new((left, y + OVER_CAPTION + SMALL), SMALL, Anchor::Start, *name));
        let (lines, size) = in_field(words, *width, height);
        let down = leading(lines.iter().map(String::as_str), size);
        let first = y + height - UNDER_WORDS - (lines.len() as f64 - 1.0) * down;
        for (i, line) in lines.into_iter().enumerate() {
            block.text(Text::new((left, first + i as f64 * down), size, Anchor::Start, line));
        }
        x += width;
    }
}

/// Width of the projection symbol's field, mm.
const SYMBOL_FIELD: f64 = 24.0;
/// Radii of the truncated cone's ends, mm: ISO 5456-2 draws it with diameters of two to one.
const CONE_ENDS: [f64; 2] = [3.6, 1.8];
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
#[derive(Debug, Clone)]
pub struct Notes {
    lines: Vec<(String, bool)>,
    /// Height of the lettering, mm.
    size: f64,
}

/// Least space from one line of notes to the next, by the height of the lettering.
const LEADING: f64 = 1.5;
/// How far the words of a note stand in from its bullet, by the height of the lettering.
const INDENT: f64 = 1.4;

impl Notes {
    /// Breaks `notes` into lines; the first line of each note stands out by a bullet.
    pub fn new(notes: &[String], width: f64) -> Self {
        Self::sized(notes, width, SMALL)
    }

    /// The same, lettered `size` mm high.
    pub fn sized(notes: &[String], width: f64, size: f64) -> Self {
        let mut lines = Vec::new();
        for note in notes {
            for (i, line) in wrap(note, size, width - INDENT * size).into_iter().enumerate() {
                lines.push((line, i == 0));
            }
        }
        Self { lines, size }
    }

    fn leading(&self) -> f64 {
        leading(self.lines.iter().map(|(line, _)| line.as_str()), self.size).max(LEADING * self.size)
    }

    /// Height on paper, mm.
    pub fn height(&self) -> f64 {
        self.lines.len() as f64 * self.leading()
    }

    /// Draws them, upper left corner at `at`.
    pub fn draw(&self, at: impl Into<Point>) -> Group {
        let Point { x, y: top } = at.into();
        let mut group = Group::new("notes", "note");
        for (i, (line, first)) in self.lines.iter().enumerate() {
            let y = top + i as f64 * self.leading() + self.size;
            if *first {
                group.text(Text::new((x, y), self.size, Anchor::Start, "–"));
            }
            group.text(Text::new((x + INDENT * self.size, y), self.size, Anchor::Start, line.as_str()));
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
