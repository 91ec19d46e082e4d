//! Words with leader lines to the parts they name, in the manner of ISO 128-2: a leader ends in a dot within an area, in
//! an arrow on an outline, and in nothing on a dimension line; it runs neither level nor upright, so that it is told from
//! the lines of the part. Places are searched so that no word is crossed and no two leaders meet.

use kurbo::{Line, ParamCurveNearest, Point, Rect, Vec2};

use super::Word;
use crate::drawing::clash::{self, Lettering};
use crate::drawing::dimension::LIFT;
use crate::drawing::style::{Fill, Pen, SMALL};
use crate::drawing::{Anchor, Group, Mark, Text};

/// How a leader ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tip {
    /// In a dot, within an area.
    Dot,
    /// In an arrow, on an outline.
    Arrow,
    /// In nothing, on a dimension line.
    Plain,
}

impl Tip {
    /// As a drawing's data has it.
    fn name(self) -> &'static str {
        match self {
            Tip::Dot => "dot",
            Tip::Arrow => "arrow",
            Tip::Plain => "plain",
        }
    }
}

/// A word to be written beside a drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Callout {
    /// The word.
    pub word: Word,
    /// The point of its part that the leader ends on, mm of paper.
    pub at: Point,
    /// How it ends there.
    pub tip: Tip,
    /// Where the word stands best as seen from there, degrees counter-clockwise from the right.
    pub toward: f64,
}

/// Radius of a leader's dot, mm.
const DOT: f64 = 0.6;
/// Least space between the line below a word and a line of the drawing, mm.
const APART: f64 = 0.8;
/// Between the elbow and the word, mm.
const BEFORE: f64 = 0.5;
/// Directions that are tried, degrees from one to the next; the level and the upright ones are left out.
const TURN: f64 = 15.0;
/// Lengths of leaders that are tried, mm.
const LENGTHS: [f64; 11] = [5.0, 7.0, 9.0, 11.5, 14.0, 17.0, 20.0, 24.0, 28.0, 33.0, 38.0];
/// What a line of the drawing that a leader crosses costs, in mm of its length.
const CROSSING: f64 = 2.5;
/// What a leader costs that turns away from where its word stands best, in mm of its length for a degree.
const TURNED: f64 = 0.12;
/// How often each word is placed anew, the others standing where they do.
const ROUNDS: usize = 4;

/// A place for a word.
struct Place {
    lines: [[Point; 2]; 2],
    text: Text,
    box_: Lettering,
    cost: f64,
}

impl Callout {
    /// The place at the end of a leader `length` mm long in the direction `degrees`.
    fn place(&self, degrees: f64, length: f64, segments: &[[Point; 2]]) -> Place {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let elbow = self.at + length * Vec2::new(cos, -sin);
        let (sign, anchor) = if cos < 0.0 { (-1.0, Anchor::End) } else { (1.0, Anchor::Start) };
        let mut text = Text::new(elbow + (sign * BEFORE, 0.0), SMALL, anchor, self.word.name());
        text.at.y -= LIFT + text.descent();
        let end = elbow + (sign * (text.width() + 2.0 * BEFORE), 0.0);
        let leader = [self.at, elbow];
        let crossed = segments.iter().filter(|s| cross(leader, **s)).count();
        let off = ((degrees - self.toward + 540.0).rem_euclid(360.0) - 180.0).abs();
        let cost = length + CROSSING * crossed as f64 + TURNED * off;
        Place { lines: [leader, [elbow, end]], box_: Lettering::new(&text), text, cost }
    }

    /// All places that are tried.
    fn places<'a>(&'a self, segments: &'a [[Point; 2]]) -> impl Iterator<Item = Place> + 'a {
        let turns = (1..(360.0 / TURN) as usize).map(|i| i as f64 * TURN).filter(|d| d % 90.0 != 0.0);
        turns.flat_map(move |degrees| LENGTHS.map(move |length| self.place(degrees, length, segments)))
    }

    fn draw(&self, place: Place) -> Group {
        let mut group = Group::new(format!("word-{}", self.word.id()), "word")
            .with("tip", self.tip.name())
            .with("at", format!("{} {}", self.at.x, self.at.y));
        for [from, to] in place.lines {
            group.line(from, to, Pen::Narrow);
        }
        match self.tip {
            Tip::Dot => group.circle(self.at, DOT, Pen::None, Fill::Ink),
            Tip::Arrow => {
                let along = self.at - place.lines[0][1];
                group.arrow(self.at, along / along.hypot());
            }
            Tip::Plain => {}
        }
        group.text(place.text);
        group
    }
}

impl Place {
    /// Whether it keeps to `bounds` and clear of the drawing.
    fn is_clear(&self, bounds: Rect, segments: &[[Point; 2]], texts: &[Lettering]) -> bool {
        let inside = self.text.corners().into_iter().chain(self.lines.concat()).all(|p| bounds.contains(p));
        inside
            && !segments.iter().any(|s| self.box_.meets(*s) || near(self.lines[1], *s))
            && !texts.iter().any(|t| self.box_.overlaps(t) || self.lines.iter().any(|l| t.meets(*l)))
    }

    /// Whether it keeps clear of another.
    fn is_clear_of(&self, other: &Place) -> bool {
        let meet = |place: &Place, of: &Place| place.lines.iter().any(|l| of.box_.meets(*l));
        let crossed = self.lines.iter().any(|a| other.lines.iter().any(|b| cross(*a, *b)));
        !crossed && !self.box_.overlaps(&other.box_) && !meet(self, other) && !meet(other, self)
    }
}

/// Whether two straight lines meet or run within [`APART`] of each other.
fn near(a: [Point; 2], b: [Point; 2]) -> bool {
    let off = |line: [Point; 2], p: Point| Line::new(line[0], line[1]).nearest(p, 1e-6).distance_sq;
    let least = a.map(|p| off(b, p)).into_iter().chain(b.map(|p| off(a, p))).fold(f64::INFINITY, f64::min);
    least < APART * APART || cross(a, b)
}

/// Whether two straight lines meet.
fn cross(a: [Point; 2], b: [Point; 2]) -> bool {
    let side = |[from, to]: [Point; 2], p: Point| (to - from).cross(p - from);
    let parted = |l: [Point; 2], other: [Point; 2]| side(l, other[0]) * side(l, other[1]) > 0.0;
    !parted(a, b) && !parted(b, a) && Line::new(a[0], a[1]).crossing_point(Line::new(b[0], b[1])).is_some()
}

/// The words beside what is `drawn`, within `bounds`: each at the place of least cost that is clear of all else. One that
/// finds none stands where it would stand alone; the sheet's clashes then tell.
pub fn draw(callouts: &[Callout], drawn: &[Group], bounds: Rect) -> Vec<Group> {
    let segments: Vec<[Point; 2]> = drawn.iter().flat_map(clash::segments).collect();
    let marks = drawn.iter().flat_map(|g| &g.marks);
    let texts: Vec<Lettering> =
        marks.filter_map(|m| if let Mark::Text(t) = m { Some(Lettering::new(t)) } else { None }).collect();
    let clear: Vec<Vec<Place>> = callouts
        .iter()
        .map(|c| c.places(&segments).filter(|p| p.is_clear(bounds, &segments, &texts)).collect())
        .collect();
    let mut chosen: Vec<Option<usize>> = vec![None; callouts.len()];
    for _ in 0..ROUNDS {
        // Who has the least choice goes first.
        let mut order: Vec<usize> = (0..callouts.len()).collect();
        order.sort_by_key(|i| clear[*i].len());
        for i in order {
            chosen[i] = None;
            let others = || chosen.iter().enumerate().filter_map(|(j, at)| at.map(|at| &clear[j][at]));
            let free = clear[i].iter().enumerate().filter(|(_, p)| others().all(|other| p.is_clear_of(other)));
            let best = free.min_by(|a, b| a.1.cost.total_cmp(&b.1.cost)).map(|(at, _)| at);
            chosen[i] = best;
        }
    }
    let placed = callouts.iter().zip(clear).zip(chosen).map(|((callout, clear), chosen)| {
        let alone = || callout.place(callout.toward, LENGTHS[2], &segments);
        let place = chosen.and_then(|at| clear.into_iter().nth(at)).unwrap_or_else(alone);
        callout.draw(place)
    });
    placed.collect()
}
