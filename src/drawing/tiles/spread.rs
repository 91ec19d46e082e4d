//! The drawing as it will lie when the tiles are put together: turned, and made up for a printer whose size is off.

use super::FullSize;
use super::clip::chords;
use super::grid::Grid;
use crate::drawing::dimension::reading_turn;
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Mark, Text};

/// Where the drawing lies when it is spread out.
pub fn view(grid: &Grid) -> View {
    let [x, y] = grid.factor;
    if grid.turned {
        View { origin: [0.0, grid.size[1]], scale: 1.0, first: [0.0, -y], second: [x, 0.0] }
    } else {
        View { origin: [0.0, 0.0], scale: 1.0, first: [x, 0.0], second: [0.0, y] }
    }
}

/// The drawing spread out: mm of paper, x right, y down.
pub fn spread_out(drawing: &FullSize, grid: &Grid) -> FullSize {
    let view = view(grid);
    let laid = |g: &Group| Group { marks: g.marks.iter().map(|m| mark(m, grid, &view)).collect(), ..g.clone() };
    FullSize { size: grid.size, groups: drawing.groups.iter().map(laid).collect() }
}

/// Turn of the drawing, degrees clockwise.
pub fn turn(grid: &Grid) -> f64 {
    if grid.turned { -90.0 } else { 0.0 }
}

fn mark(mark: &Mark, grid: &Grid, view: &View) -> Mark {
    let [x, y] = grid.factor;
    let turn = turn(grid);
    match mark {
        Mark::Line { from, to, pen } => Mark::Line { from: view.at(*from), to: view.at(*to), pen: *pen },
        Mark::Path { contours, closed, pen, fill } => {
            let contours = contours.iter().map(|c| view.all(c)).collect();
            Mark::Path { contours, closed: *closed, pen: *pen, fill: *fill }
        }
        Mark::Circle { centre, radius, pen, fill } if x == y => {
            Mark::Circle { centre: view.at(*centre), radius: radius * x, pen: *pen, fill: *fill }
        }
        Mark::Circle { centre, radius, pen, fill } => {
            let mut round = chords(*centre, *radius, [0.0, std::f64::consts::TAU]);
            round.pop();
            Mark::Path { contours: vec![view.all(&round)], closed: true, pen: *pen, fill: *fill }
        }
        Mark::Arc { centre, radius, angles, pen } if x == y => {
            let angles = angles.map(|a| a + turn.to_radians());
            Mark::Arc { centre: view.at(*centre), radius: radius * x, angles, pen: *pen }
        }
        Mark::Arc { centre, radius, angles, pen } => {
            let contours = vec![view.all(&chords(*centre, *radius, *angles))];
            Mark::Path { contours, closed: false, pen: *pen, fill: crate::drawing::style::Fill::None }
        }
        Mark::Arrow { tip, toward } => {
            let (sin, cos) = turn.to_radians().sin_cos();
            let toward = [toward[0] * cos - toward[1] * sin, toward[0] * sin + toward[1] * cos];
            Mark::Arrow { tip: view.at(*tip), toward }
        }
        Mark::Text(text) => Mark::Text(readable(Text { at: view.at(text.at), turn: text.turn + turn, ..text.clone() })),
    }
}

/// The same lettering in the same box, read from the bottom or the right.
fn readable(text: Text) -> Text {
    let (sin, cos) = text.turn.to_radians().sin_cos();
    let turn = reading_turn([cos, sin]);
    let half = (turn - text.turn).to_radians().cos() < 0.0;
    if !half {
        return Text { turn, ..text };
    }
    let anchor = match text.anchor {
        Anchor::Start => Anchor::End,
        Anchor::Middle => Anchor::Middle,
        Anchor::End => Anchor::Start,
    };
    let at = [text.at[0] + text.height * sin, text.at[1] - text.height * cos];
    Text { at, anchor, turn, ..text }
}
