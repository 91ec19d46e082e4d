//! Linear and angular dimensions after ISO 129-1: narrow lines, filled arrows, text above the line, readable from the
//! bottom or from the right of the sheet.

use super::style::{ARROW, CLEAR, Pen, VALUE};
use super::{Anchor, Group, Mark, Point, Text};

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
    pub along: Point,
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
}

fn add(a: Point, b: Point, k: f64) -> Point {
    [a[0] + b[0] * k, a[1] + b[1] * k]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn less(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1]]
}

/// Turn of text along `direction`, degrees, so that it reads from the bottom or the right.
pub fn reading_turn(direction: Point) -> f64 {
    let mut turn = direction[1].atan2(direction[0]).to_degrees();
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
fn above(turn: f64) -> Point {
    let (sin, cos) = turn.to_radians().sin_cos();
    [sin, -cos]
}

impl Linear {
    /// Where the two arrows touch.
    fn feet(&self) -> [Point; 2] {
        self.ends.map(|e| add(self.through, self.along, dot(less(e, self.through), self.along)))
    }

    /// Length on paper, mm.
    pub fn length(&self) -> f64 {
        let [a, b] = self.feet();
        dot(less(b, a), self.along).abs()
    }

    /// Space that the text needs along the line, mm.
    pub fn text_width(&self) -> f64 {
        crate::shape::font::width(&self.words, VALUE, false)
    }

    /// Whether text and arrows fit between the ends.
    pub fn fits_inside(&self) -> bool {
        !self.always_outside && self.text_width() + 2.0 * ARROW + 2.0 * CLEAR <= self.length()
    }

    /// How far line and text run past the end when the text stands outside, mm.
    pub fn outside_reach(&self) -> f64 {
        ARROW + 2.0 + self.text_width()
    }

    /// Draws the dimension into `group`.
    pub fn draw(&self, group: &mut Group) {
        let [a, b] = self.feet();
        let unit = {
            let d = less(b, a);
            let n = dot(d, d).sqrt().max(1e-12);
            [d[0] / n, d[1] / n]
        };
        if self.extended {
            for (end, foot) in self.ends.iter().zip([a, b]) {
                let d = less(foot, *end);
                let n = dot(d, d).sqrt();
                if n > GAP {
                    let u = [d[0] / n, d[1] / n];
                    group.line(add(*end, u, GAP), add(foot, u, PAST), Pen::Narrow);
                }
            }
        }
        let turn = reading_turn(self.along);
        let up = above(turn);
        let text = |at: Point| {
            let mut text = Text::new(at, VALUE, Anchor::Middle, self.words.as_str()).turned(turn);
            text.at = add(at, up, LIFT + text.descent());
            text
        };
        let middle = [(a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0];
        if self.fits_inside() {
            group.line(a, b, Pen::Narrow);
            self.arrows(group, a, b, unit, false);
            group.text(text(middle));
            return;
        }
        let arrows_outside = self.length() < 2.0 * ARROW + 1.0;
        let tail = if arrows_outside { ARROW + 2.0 } else { 0.0 };
        let reach = self.outside_reach();
        let (outer, outward) = match self.outside {
            End::First => (a, [-unit[0], -unit[1]]),
            End::Second => (b, unit),
        };
        let (far, inner) = (add(outer, outward, reach), if outer == a { b } else { a });
        group.line(far, add(inner, outward, -tail), Pen::Narrow);
        self.arrows(group, a, b, unit, arrows_outside);
        group.text(text(add(far, outward, -self.text_width() / 2.0)));
    }

    fn arrows(&self, group: &mut Group, a: Point, b: Point, unit: Point, outside: bool) {
        let back = [-unit[0], -unit[1]];
        let (first, second) = if outside { (unit, back) } else { (back, unit) };
        group.marks.push(Mark::Arrow { tip: a, toward: first });
        group.marks.push(Mark::Arrow { tip: b, toward: second });
    }
}

/// A linear dimension as a group of its own, `dim-ID`, with its true value and the measured points as data.
pub fn drawn(id: &str, kind: &str, value: f64, linear: &Linear) -> Group {
    let mut group = Group::new(format!("dim-{id}"), "dimension").with("kind", kind).with("value", value);
    for (name, end) in [("from", linear.ends[0]), ("to", linear.ends[1])] {
        group = group.with(name, format!("{} {}", end[0], end[1]));
    }
    linear.draw(&mut group);
    group
}

/// An angle at `centre` between two directions (radians, clockwise on the sheet from its right), as an arc with arrows.
///
/// `text_at` is the middle of the text's baseline.
pub fn angular(group: &mut Group, centre: Point, radius: f64, angles: [f64; 2], words: &str, text_at: Point) {
    group.marks.push(Mark::Arc { centre, radius, angles, pen: Pen::Narrow });
    for (angle, sense) in [(angles[0], -1.0), (angles[1], 1.0)] {
        let (sin, cos) = angle.sin_cos();
        let tip = [centre[0] + radius * cos, centre[1] + radius * sin];
        // An arrow is straight and the arc is not: turn it back by half its length on the arc.
        let (sin, cos) = (angle - sense * ARROW / 2.0 / radius).sin_cos();
        group.marks.push(Mark::Arrow { tip, toward: [-sin * sense, cos * sense] });
    }
    group.text(Text::new(text_at, VALUE, Anchor::Middle, words));
}

/// A leader from `tip` to `elbow`, and on to lettering that starts there (to the left when `leftward`).
pub fn leader(group: &mut Group, tip: Point, elbow: Point, leftward: bool, words: &str) {
    let d = less(tip, elbow);
    let n = dot(d, d).sqrt().max(1e-12);
    group.line(elbow, tip, Pen::Narrow);
    group.marks.push(Mark::Arrow { tip, toward: [d[0] / n, d[1] / n] });
    let width = crate::shape::font::width(words, VALUE, false);
    let (sign, anchor) = if leftward { (-1.0, Anchor::End) } else { (1.0, Anchor::Start) };
    group.line(elbow, [elbow[0] + sign * (width + 1.0), elbow[1]], Pen::Narrow);
    let mut text = Text::new([elbow[0] + sign * 0.5, elbow[1]], VALUE, anchor, words);
    text.at[1] -= LIFT + text.descent();
    group.text(text);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_reads_from_the_bottom_or_the_right() {
        for (direction, turn) in [([1.0, 0.0], 0.0), ([-1.0, 0.0], 0.0), ([0.0, 1.0], -90.0), ([0.0, -1.0], -90.0)] {
            assert!((reading_turn(direction) - turn).abs() < 1e-9, "{direction:?}");
        }
        assert!((reading_turn([0.8, 0.6]) - 36.87).abs() < 0.01);
        assert!((reading_turn([-0.8, -0.6]) - 36.87).abs() < 0.01);
    }
}
