//! Where lettering and register marks stand clear of everything.

use kurbo::{Circle, Insets, Point, Rect, Shape, Vec2};

use super::grid::{ARM, BESIDE_JOINT, Grid, REGISTER, name};
use super::{AXES, FullSize, Untileable};
use crate::drawing::clash::{Lettering, around, clipped, segments};
use crate::drawing::frame::outline;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::{Group, Mark, Text};

/// How far lettering is moved at the most, mm.
const REACH: i32 = 120;
/// Radius of a register mark's circle, mm.
const RING: f64 = 2.5;
/// A match line this long gets two of them, mm.
const LONG: f64 = 60.0;

/// The tile whose own part holds the middle of `text`.
pub fn owner(text: &Text, grid: &Grid) -> [usize; 2] {
    let [a, _, b, _] = text.corners();
    let middle = a.midpoint(b);
    [0, 1].map(|i| grid.joints[i].iter().filter(|joint| **joint < middle.get_coord(AXES[i])).count())
}

/// The box of a text with a little more than the least space, since arcs that are cut are judged by other chords.
fn spaced(text: &Text) -> Lettering {
    Lettering::new(text).grown(0.05)
}

/// Whether all of a text lies in a rectangle.
fn within(text: &Lettering, area: Rect) -> bool {
    area.contains_rect(around(text.corners))
}

/// The text moved to the nearest place in `area` that `clear` allows; along its line it moves more readily than off it.
pub fn nearest(text: &Text, area: Rect, clear: impl Fn(&Lettering) -> bool) -> Option<Text> {
    let mut steps: Vec<[i32; 2]> = (-REACH..=REACH).flat_map(|i| (-REACH..=REACH).map(move |j| [i, j])).collect();
    steps.sort_by_key(|[i, j]| i * i + 9 * j * j);
    let along = Vec2::from_angle(text.turn.to_radians());
    steps.into_iter().find_map(|[i, j]| {
        let moved = Text { at: text.at + f64::from(i) * along + f64::from(j) * along.turn_90(), ..text.clone() };
        let letters = spaced(&moved);
        (within(&letters, area) && clear(&letters)).then_some(moved)
    })
}

/// Moves what lettering a match line crosses, or overlaps anything; gives how much was moved.
///
/// # Errors
/// [`Untileable::Lettering`] where there is no clear place on its tile.
pub fn settle(spread: &mut FullSize, grid: &Grid) -> Result<usize, Untileable> {
    let lines: Vec<[Point; 2]> = spread.groups.iter().flat_map(segments).collect();
    let mut texts: Vec<&mut Text> = spread
        .groups
        .iter_mut()
        .flat_map(|g| &mut g.marks)
        .filter_map(|m| if let Mark::Text(t) = m { Some(t) } else { None })
        .collect();
    let own = |text: &Text| {
        let tile = owner(text, grid);
        let beside = |joint: bool| if joint { BESIDE_JOINT } else { 0.0 };
        let [first, last] =
            [[0, 1].map(|i| beside(tile[i] > 0)), [0, 1].map(|i| beside(tile[i] < grid.joints[i].len()))];
        grid.cell(tile) - Insets::new(first[0], first[1], last[0], last[1])
    };
    let mut letters: Vec<Lettering> = texts.iter().map(|t| spaced(t)).collect();
    let clear = |i: usize, text: &Lettering, all: &[Lettering]| {
        let others = all.iter().enumerate().filter(|(j, _)| *j != i);
        !lines.iter().any(|l| text.meets(*l)) && !others.map(|(_, o)| o).any(|o| text.overlaps(o))
    };
    let mut moved = 0;
    for i in 0..texts.len() {
        let area = own(texts[i]);
        if within(&letters[i], area) && clear(i, &letters[i], &letters) {
            continue;
        }
        let place = nearest(texts[i], area, |text| clear(i, text, &letters));
        *texts[i] = place.ok_or_else(|| Untileable::Lettering(texts[i].words.clone()))?;
        letters[i] = spaced(texts[i]);
        moved += 1;
    }
    Ok(moved)
}

/// A cross in a circle on a match line, drawn at the same place of the drawing on the two tiles that it joins.
#[derive(Debug, Clone, PartialEq)]
pub struct Register {
    /// Its id.
    pub id: String,
    /// Where it stands, in the drawing spread out.
    pub at: Point,
    /// The tiles that show it.
    pub tiles: [[usize; 2]; 2],
}

impl Register {
    /// Draws it at `at`.
    pub fn draw(&self, at: Point) -> Group {
        let mut group = Group::new(&self.id, "tile-register");
        group.cross(at, ARM, Pen::Narrow);
        group.circle(at, RING, Pen::Narrow, Fill::None);
        group
    }
}

/// Register marks of all match lines between two tiles: near both ends, if it is long enough, clear of lettering, and
/// of lines where that can be. Where lettering leaves no room there is none: the drawing's own lines serve.
pub fn registers(spread: &FullSize, grid: &Grid) -> Vec<Register> {
    let texts = spread.groups.iter().flat_map(|g| &g.marks);
    let texts: Vec<Lettering> =
        texts.filter_map(|m| if let Mark::Text(t) = m { Some(Lettering::new(t)) } else { None }).collect();
    let lines: Vec<[Point; 2]> = spread.groups.iter().flat_map(segments).collect();
    let free = |at: Point, lines: &[[Point; 2]]| {
        let square = Circle::new(at, REGISTER).bounding_box();
        let corners = outline(square);
        let sides = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)].map(|(i, j)| [corners[i], corners[j]]);
        !sides.into_iter().any(|s| texts.iter().any(|t| t.meets(s)))
            && !lines.iter().any(|l| clipped(*l, square).is_some())
    };
    let mut registers = Vec::new();
    for (tiles, axis) in grid.neighbours() {
        let (low, high) = grid.cell(tiles[0]).get_coords(AXES[axis].cross());
        let joint = grid.joints[axis][tiles[0][axis]];
        let on_joint = |across: f64| AXES[axis].pack_point(joint, across);
        let middle = (low + high) / 2.0;
        let halves = if high - low < LONG { vec![[low, high]] } else { vec![[low, middle], [middle, high]] };
        for (i, [from, to]) in halves.iter().enumerate() {
            let half = (to - from) / 2.0;
            let steps = (half - REGISTER).floor() as i32;
            let places = (0..=steps).flat_map(|k| [k, -k]).map(|k| on_joint((from + to) / 2.0 + f64::from(k)));
            let clear =
                places.clone().find(|at| free(*at, &lines)).or_else(|| places.clone().find(|at| free(*at, &[])));
            registers.extend(clear.map(|at| {
                let [a, b] = tiles.map(name);
                Register { id: format!("tile-register-{a}-{b}-{}", i + 1), at, tiles }
            }));
        }
    }
    registers
}
