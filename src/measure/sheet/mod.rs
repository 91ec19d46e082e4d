//! The sheet for measuring a guide at the bench: where each length is taken, and a table of blanks.
//!
//! It is schematic and has no scale. Its letters are those of the questions that `measure` asks.
//!
//! * `views`: the guide from the side and from the front; `seats`: what M is to, by what a seat locates.
//! * `form`: the table.

mod form;
mod seats;
mod views;

use kurbo::{Point, Rect};

use crate::drawing::frame::{FORM_BLOCK, MADE, Notes, TITLE_BLOCK, UNDER_WORDS, form as framed, rectangle};
use crate::drawing::paper::Paper;
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Sheet, Text, clash};
use crate::terms::PaperSize;

/// Height of the views, mm.
const VIEWS: f64 = 90.0;
/// Space around the parts, mm.
const SPACE: f64 = 2.0;
/// Width of the column of small views, mm.
const SMALL_VIEWS: f64 = 66.0;

const TITLE: &str = "Measuring a honing guide";

const NOTES: [&str; 4] = [
    "Edges cut: take blades out first. Makers' instructions and local rules come before this sheet.",
    "The axle cannot be touched: M, N and B go over the roller, and half of D comes off. Hold the beam square to the \
     seat for M and B, along it for N.",
    "g: thickness of a flat bar clamped where the blade goes. Leave it blank if the caliper jaws reach the seat itself.",
    "Let go between readings. Leave blank what you cannot reach. Then type it in: stopwright measure",
];

/// The sheet, upright on A4 or Letter (A3 has room to spare and serves as well).
pub fn sheet(size: PaperSize) -> Sheet {
    let paper = Paper::sheet(size, false);
    let bounds = paper.frame();
    let mut groups = frame(paper);
    let width = bounds.width();
    let right = bounds.x1 - SMALL_VIEWS;
    groups.extend(views::side(Point::new(bounds.x0 + 48.0, bounds.y0 + 49.0)));
    groups.extend(views::across(Point::new(right, bounds.y0 + SPACE), SMALL_VIEWS));
    groups.extend(seats::draw(Point::new(right, bounds.y0 + 47.6), SMALL_VIEWS));
    let notes = Notes::new(&NOTES.map(String::from), width - 2.0 * SPACE);
    let notes_at = bounds.y1 - FORM_BLOCK - SPACE - notes.height();
    groups.extend(form::draw(Rect { y0: bounds.y0 + VIEWS, y1: notes_at - SPACE, ..bounds }));
    groups.push(notes.draw((bounds.x0 + SPACE, notes_at)));
    Sheet { title: TITLE.into(), paper, scale: "none".into(), groups }
}

/// Where one length is measured, for a screen.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The letter of the length.
    pub letter: &'static str,
    /// What is measured, in words.
    pub title: &'static str,
    /// What is drawn.
    pub groups: Vec<Group>,
    /// The box around it, mm.
    pub area: Rect,
}

/// Every length that is measured on the guide by itself, with the jaws of the caliper where they go.
pub fn alone() -> Vec<Figure> {
    let from_the_side = views::one_by_one().into_iter();
    let front = views::across(Point::ORIGIN, SMALL_VIEWS);
    let from_the_front = FROM_THE_FRONT.into_iter().map(|(letter, title)| (letter, title, front.clone()));
    let figure = |(letter, title, groups): (&'static str, &'static str, Vec<Group>)| {
        let area = clash::extent(&groups);
        Figure { letter, title, groups, area }
    };
    from_the_side.chain(from_the_front).map(figure).collect()
}

/// Lengths that are seen from the front.
const FROM_THE_FRONT: [(&str, &str); 3] = [
    ("R", "R: the width of the roller's tread"),
    ("P", "P: the clear width between two rollers"),
    ("F", "F: the width of the face"),
];

/// Frame and title block with blanks for the guide, the date and the caliper.
fn frame(paper: Paper) -> Vec<Group> {
    let upper_row = [("title", 84.0, TITLE), ("guide", 64.0, ""), ("date", 32.0, "")];
    let caliper = 56.0;
    let lower_row = [
        ("caliper, its step and its error", caliper, ""),
        ("unit", 34.0, ""),
        ("sheet", 22.0, "1 of 1"),
        ("paper", 22.0, paper.name()),
        ("form by", 46.0, MADE),
    ];
    let mut groups = framed(paper, None, [&upper_row, &lower_row]);
    let bounds = paper.frame();
    let boxes = (bounds.x1 - TITLE_BLOCK.width + caliper + 2.0, bounds.y1 - UNDER_WORDS);
    let mut unit = Group::new("unit-boxes", "frame");
    tick_boxes(&mut unit, boxes, VALUE, &["mm", "in"]);
    groups.push(unit);
    groups
}

/// Boxes to tick, each with its word, on a baseline that begins at `at`; gives where the next would begin.
fn tick_boxes(group: &mut Group, at: impl Into<Point>, height: f64, words: &[&str]) -> f64 {
    let side = height + 0.4;
    let Point { mut x, y } = at.into();
    for word in words {
        group.path([rectangle((x, y - side + 0.2), (x + side, y + 0.2))], true, Pen::Narrow, Fill::Paper);
        let text = Text::new((x + side + 1.2, y), height, Anchor::Start, *word);
        x += side + 1.2 + text.width() + 3.6;
        group.text(text);
    }
    x
}

/// A heading over a part, its baseline at `at`.
fn heading(id: &str, at: Point, words: &str) -> Group {
    let mut group = Group::new(id, "note");
    group.text(Text::new(at, SMALL, Anchor::Start, words).bold());
    group
}
