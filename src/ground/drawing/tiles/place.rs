//! Where lettering and register marks stand clear of everything.

use std::sync::LazyLock;

use kurbo::{Circle, Insets, Point, Rect, Shape};

use super::grid::{ARM, BESIDE_JOINT, Grid, REGISTER, name};
use super::{AXES, FullSize, Untileable};
use crate::drawing::balloon::cross;
use crate::drawing::clash::{Lettering, Lines, around, segments};
use crate::drawing::frame::outline;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::{Group, Mark, Text};
use crate::trig::toward;

/// How far lettering is moved at the most, and in which steps, mm.
const REACH: f64 = 120.0;
const STEP: f64 = 1.0;
/// The same inside the outlines around it.
const REACH_INSIDE: f64 = 40.0;
const STEP_INSIDE: f64 = 0.5;
/// How far what is moved keeps from lettering before and behind it, mm: so that words are read apart, or as it must.
const APART: [f64; 2] = [1.2, 0.0];
/// From one line of broken words to the next, by the height of its lettering.
const LEADING: f64 = 1.5;
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

/// Places around one, the nearest first: along its line lettering is moved more readily than off it.
struct Around {
    step: f64,
    steps: Vec<[i16; 2]>,
}

/// Places anywhere near, and those inside outlines: put in order once, which takes longer than most searches.
static ANYWHERE: LazyLock<Around> = LazyLock::new(|| Around::new(REACH, STEP));
static INSIDE: LazyLock<Around> = LazyLock::new(|| Around::new(REACH_INSIDE, STEP_INSIDE));

impl Around {
    /// As far as `reach` mm, in steps of `step` mm.
    fn new(reach: f64, step: f64) -> Self {
        let most = (reach / step).floor() as i16;
        let mut steps: Vec<[i16; 2]> = (-most..=most).flat_map(|i| (-most..=most).map(move |j| [i, j])).collect();
        steps.sort_by_key(|steps| {
            let [i, j] = steps.map(i32::from);
            i * i + 9 * j * j
        });
        Self { step, steps }
    }

    /// The text moved to the nearest place in `area` that `clear` allows.
    fn nearest(&self, text: &Text, area: Rect, clear: impl Fn(&Lettering) -> bool) -> Option<Text> {
        let letters = spaced(text);
        let along = toward(text.turn.to_radians());
        let by = |[i, j]: &[i16; 2]| self.step * (f64::from(*i) * along + f64::from(*j) * along.turn_90());
        let goes = |letters: Lettering| within(&letters, area) && clear(&letters);
        let found = self.steps.iter().map(by).find(|by| goes(letters.moved(*by)))?;
        Some(Text { at: text.at + found, ..text.clone() })
    }
}

/// The text moved to the nearest place in `area` that `clear` allows.
pub fn nearest(text: &Text, area: Rect, clear: impl Fn(&Lettering) -> bool) -> Option<Text> {
    ANYWHERE.nearest(text, area, clear)
}

/// Moves what lettering a match line crosses, or overlaps anything, and breaks words in two lines that else had to leave
/// the outlines around them; gives how much was moved.
///
/// # Errors
/// [`Untileable::Lettering`] where there is no clear place on its tile.
pub fn settle(spread: &mut FullSize, grid: &Grid) -> Result<usize, Untileable> {
    let walls = walls(spread);
    let mut moved = 0;
    loop {
        match moved_until_broken(spread, grid, &walls, &mut moved)? {
            Some([group, mark]) => break_in_two(&mut spread.groups[group], mark),
            None => return Ok(moved),
        }
    }
}

/// Moves lettering up to the first that had better be broken, by its group and its place there.
fn moved_until_broken(
    spread: &mut FullSize,
    grid: &Grid,
    walls: &[[Point; 2]],
    moved: &mut usize,
) -> Result<Option<[usize; 2]>, Untileable> {
    let lines = Lines::of(&spread.groups);
    let mut texts: Vec<([usize; 2], &mut Text)> = Vec::new();
    for (i, group) in spread.groups.iter_mut().enumerate() {
        let marks = group.marks.iter_mut().enumerate();
        texts.extend(marks.filter_map(|(k, m)| if let Mark::Text(t) = m { Some(([i, k], t)) } else { None }));
    }
    let own = |text: &Text| {
        let tile = owner(text, grid);
        let beside = |joint: bool| if joint { BESIDE_JOINT } else { 0.0 };
        let [first, last] =
            [[0, 1].map(|i| beside(tile[i] > 0)), [0, 1].map(|i| beside(tile[i] < grid.joints[i].len()))];
        grid.cell(tile) - Insets::new(first[0], first[1], last[0], last[1])
    };
    let mut letters: Vec<Lettering> = texts.iter().map(|(_, t)| spaced(t)).collect();
    let clear = |i: usize, text: &Lettering, all: &[Lettering], apart: f64| {
        let mut others = all.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, other)| other);
        let around = text.wider(apart);
        !lines.meet(text) && !others.any(|other| around.overlaps(other))
    };
    for i in 0..texts.len() {
        let area = own(texts[i].1);
        if within(&letters[i], area) && clear(i, &letters[i], &letters, 0.0) {
            continue;
        }
        let (place, text) = &mut texts[i];
        let middle = |text: &Lettering| text.corners[0].midpoint(text.corners[2]);
        let from = middle(&letters[i]);
        let is_at_home = |text: &Lettering| !walls.iter().any(|wall| cross([from, middle(text)], *wall));
        let at_home =
            |apart: f64| INSIDE.nearest(text, area, |text| clear(i, text, &letters, apart) && is_at_home(text));
        let mut found = APART.into_iter().find_map(at_home);
        if found.is_none() {
            let wide = around(letters[i].corners).size().max_side();
            if halves(&text.words).is_some() && wide <= area.size().max_side() {
                return Ok(Some(*place));
            }
            found = ANYWHERE.nearest(text, area, |text| clear(i, text, &letters, 0.0));
        }
        **text = found.ok_or_else(|| Untileable::Lettering(text.words.clone()))?;
        letters[i] = spaced(text);
        *moved += 1;
    }
    Ok(None)
}

/// Words and what stands behind their last blank; a number and its fraction are not parted.
fn halves(words: &str) -> Option<(&str, &str)> {
    words.rsplit_once(' ').filter(|(first, _)| first.chars().any(char::is_alphabetic))
}

/// Breaks a text at its last blank.
fn break_in_two(group: &mut Group, mark: usize) {
    let Mark::Text(text) = &mut group.marks[mark] else { return };
    let Some((first, second)) = halves(&text.words) else { return };
    let down = toward(text.turn.to_radians()).turn_90();
    let second = Text { words: second.into(), at: text.at + LEADING * text.height * down, ..text.clone() };
    text.words = first.into();
    group.marks.insert(mark + 1, Mark::Text(second));
}

/// The outlines that part what is drawn.
fn walls(spread: &FullSize) -> Vec<[Point; 2]> {
    let marks = spread.groups.iter().flat_map(|g| &g.marks).filter(|m| m.pen() == Pen::Wide);
    marks.flat_map(|m| segments(&Group { marks: vec![m.clone()], ..Group::default() })).collect()
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
    let lines = Lines::of(&spread.groups);
    let is_free = |at: Point, with_lines: bool| {
        let square = Circle::new(at, REGISTER).bounding_box();
        let corners = outline(square);
        let sides = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)].map(|(i, j)| [corners[i], corners[j]]);
        let is_lettered = sides.into_iter().any(|s| texts.iter().any(|t| t.meets(s)));
        !(is_lettered || with_lines && lines.enter(square))
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
            let find = |with_lines: bool| places.clone().find(|at| is_free(*at, with_lines));
            let clear = find(true).or_else(|| find(false));
            registers.extend(clear.map(|at| {
                let [a, b] = tiles.map(name);
                Register { id: format!("tile-register-{a}-{b}-{}", i + 1), at, tiles }
            }));
        }
    }
    registers
}
