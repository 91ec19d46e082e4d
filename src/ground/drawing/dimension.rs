//! Linear and angular dimensions after ISO 129-1: narrow lines, filled arrows, text above the line, readable from the
//! bottom or from the right of the sheet.

use kurbo::{Point, Vec2};

use super::style::{ARROW, CLEAR, Pen, VALUE};
use super::{Anchor, Group, Mark, Text};
use crate::trig::{Polar, Trig, toward};

/// How far an extension line runs past the dimension line, mm.
const PAST: f64 = 1.5;
/// Gap between the feature and its extension line, mm.
const GAP: f64 = 0.8;
/// Space between dimension line and text, mm.
pub const LIFT: f64 = 0.9;

/// A linear dimension between two measured points.
#[derive(Debug, Clone, PartialEq)]
pub struct Linear {
    /// The measured points, on the sheet.
    pub ends: [Point; 2],
    /// Where the dimension line runs: a point on it.
    pub through: Point,
    /// Direction that is measured along (unit).
    pub along: Vec2,
    /// What is written.
    pub words: String,
    /// Whether extension lines are drawn from the measured points.
    pub extended: bool,
    /// At which end the text goes when it does not fit between the arrows.
    pub outside: End,
    /// Whether the text goes outside even where it would fit.
    pub always_outside: bool,
}

/// An end of a dimension.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// At the first point.
    First,
    /// At the second point.
    Second,
    /// At neither where the text alone goes between the points: the arrows then stand outside. Else at the second.
    Between,
}

/// A displacement's direction and length; one without length has none.
fn directed(d: Vec2) -> (Vec2, f64) {
    let length = d.size().max(1e-12);
    // Kurbo divides by multiplying with the reciprocal, which rounds twice.
    (Vec2::new(d.x / length, d.y / length), length)
}

/// Turn of text along `direction`, degrees, so that it reads from the bottom or the right.
pub fn reading_turn(direction: Vec2) -> f64 {
    let mut turn = direction.turn().to_degrees();
    // A line straight down or up reads from the right: -90.
    if turn >= 90.0 - 1e-9 {
        turn -= 180.0;
    }
    if turn < -90.0 - 1e-9 {
        turn += 180.0;
    }
    turn
}

/// The unit direction in which text turned so stands above its baseline.
fn above(turn: f64) -> Vec2 {
    let (sin, cos) = turn.to_radians().sine_cosine();
    Vec2::new(sin, -cos)
}

impl Linear {
    /// A dimension with extension lines, whose words stand at the second point where they do not fit.
    pub fn new(ends: [Point; 2], through: impl Into<Point>, along: impl Into<Vec2>, words: impl Into<String>) -> Self {
        let (through, along, words) = (through.into(), along.into(), words.into());
        Self { ends, through, along, words, extended: true, outside: End::Second, always_outside: false }
    }

    /// Where the two arrows touch.
    fn feet(&self) -> [Point; 2] {
        self.ends.map(|e| self.through + self.along * (e - self.through).dot(self.along))
    }

    /// Length on paper, mm.
    pub fn length(&self) -> f64 {
        let [a, b] = self.feet();
        (b - a).dot(self.along).abs()
    }

    /// Space that the text needs along the line, mm.
    pub fn text_width(&self) -> f64 {
        crate::shape::font::width(&self.words, VALUE, false)
    }

    /// Whether text and arrows fit between the ends.
    pub fn fits_inside(&self) -> bool {
        !self.always_outside && self.text_width() + 2.0 * ARROW + 2.0 * CLEAR <= self.length()
    }

    /// Whether text without arrows fits between the ends, and is to stand there.
    fn is_squeezed(&self) -> bool {
        self.outside == End::Between && !self.always_outside && self.text_width() + 2.0 * CLEAR <= self.length()
    }

    /// How far line and text run past the end when the text stands outside, mm.
    pub fn outside_reach(&self) -> f64 {
        ARROW + 2.0 + self.text_width()
    }

    /// Draws the dimension into `group`.
    pub fn draw(&self, group: &mut Group) {
        let [a, b] = self.feet();
        let (unit, _) = directed(b - a);
        if self.extended {
            for (end, foot) in self.ends.iter().zip([a, b]) {
                let (out, length) = directed(foot - *end);
                if length > GAP {
                    group.line(*end + out * GAP, foot + out * PAST, Pen::Narrow);
                }
            }
        }
        let turn = reading_turn(self.along);
        let up = above(turn);
        let text = |at: Point| {
            let mut text = Text::new(at, VALUE, Anchor::Middle, self.words.as_str()).turned(turn);
            text.at += up * (LIFT + text.descent());
            text
        };
        if self.fits_inside() {
            group.line(a, b, Pen::Narrow);
            self.arrows(group, a, b, unit, false);
            group.text(text(a.midpoint(b)));
            return;
        }
        if self.is_squeezed() {
            let tail = unit * (ARROW + 2.0);
            group.line(a - tail, b + tail, Pen::Narrow);
            self.arrows(group, a, b, unit, true);
            group.text(text(a.midpoint(b)));
            return;
        }
        let arrows_outside = self.length() < 2.0 * ARROW + 1.0;
        let tail = if arrows_outside { ARROW + 2.0 } else { 0.0 };
        let reach = self.outside_reach();
        let (outer, outward) = match self.outside {
            End::First => (a, -unit),
            End::Second | End::Between => (b, unit),
        };
        let (far, inner) = (outer + outward * reach, if outer == a { b } else { a });
        group.line(far, inner - outward * tail, Pen::Narrow);
        self.arrows(group, a, b, unit, arrows_outside);
        group.text(text(far - outward * (self.text_width() / 2.0)));
    }

    fn arrows(&self, group: &mut Group, a: Point, b: Point, unit: Vec2, outside: bool) {
        let outward = if outside { -unit } else { unit };
        group.arrow(a, -outward);
        group.arrow(b, outward);
    }
}

/// A linear dimension as a group of its own, `dim-ID`, with its true value and the measured points as data.
pub fn drawn(id: &str, kind: &str, value: f64, linear: &Linear) -> Group {
    let mut group = Group::new(format!("dim-{id}"), "dimension").with("kind", kind).with("value", value);
    for (name, end) in [("from", linear.ends[0]), ("to", linear.ends[1])] {
        group = group.with(name, format!("{} {}", end.x, end.y));
    }
    linear.draw(&mut group);
    group
}

/// An angle at `centre` between two directions (radians, clockwise on the sheet from its right), as an arc with arrows.
///
/// `text_at` is the middle of the text's baseline.
pub fn angular(
    group: &mut Group,
    centre: Point,
    radius: f64,
    angles: [f64; 2],
    words: &str,
    text_at: impl Into<Point>,
) {
    group.marks.push(Mark::Arc { centre, radius, angles, pen: Pen::Narrow });
    for (angle, sense) in [(angles[0], -1.0), (angles[1], 1.0)] {
        let tip = centre + radius * toward(angle);
        // An arrow is straight and the arc is not: turn it back by half its length on the arc.
        group.arrow(tip, sense * toward(angle - sense * ARROW / 2.0 / radius).turn_90());
    }
    group.text(Text::new(text_at, VALUE, Anchor::Middle, words));
}

/// A leader from `tip` to `elbow`, and on to lettering that starts there (to the left when `leftward`).
pub fn leader(group: &mut Group, tip: impl Into<Point>, elbow: impl Into<Point>, leftward: bool, words: &str) {
    let (tip, elbow) = (tip.into(), elbow.into());
    group.line(elbow, tip, Pen::Narrow);
    group.arrow(tip, directed(tip - elbow).0);
    let width = crate::shape::font::width(words, VALUE, false);
    let (sign, anchor) = if leftward { (-1.0, Anchor::End) } else { (1.0, Anchor::Start) };
    group.line(elbow, elbow + (sign * (width + 1.0), 0.0), Pen::Narrow);
    let mut text = Text::new(elbow + (sign * 0.5, 0.0), VALUE, anchor, words);
    text.at.y -= LIFT + text.descent();
    group.text(text);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_reads_from_the_bottom_or_the_right() {
        for (direction, turn) in [((1.0, 0.0), 0.0), ((-1.0, 0.0), 0.0), ((0.0, 1.0), -90.0), ((0.0, -1.0), -90.0)] {
            assert!((reading_turn(direction.into()) - turn).abs() < 1e-9, "{direction:?}");
        }
        assert!((reading_turn(Vec2::new(0.8, 0.6)) - 36.87).abs() < 0.01);
        assert!((reading_turn(Vec2::new(-0.8, -0.6)) - 36.87).abs() < 0.01);
    }
}
