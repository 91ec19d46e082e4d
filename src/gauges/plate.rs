//! A flat plate: its plan, its lettering, its slabs.

use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use kurbo::{Point, Size};

use crate::lane::FRONT_RELIEF;
use crate::shape::lines::{self, Line, RELIEF_DEPTH};
use crate::shape::polygon::{Corner, Outline, Region, microns, reversed, united};
use crate::shape::stack::{Slab, Stack};

/// Thickness of a plate, mm.
pub const THICKNESS: f64 = 3.0;
/// How far the stock of a square stands above its plate, mm.
pub const STOCK_RISE: f64 = 4.0;

/// A gauge in its plan, lower left corner at the origin; `Shape` is what it is for, and its measures.
#[derive(Debug, Clone, PartialEq)]
pub struct Plate<Shape> {
    /// Name of its files.
    pub name: String,
    /// What it is for.
    pub shape: Shape,
    /// Width and height of the plan, mm.
    pub size: Size,
    /// Its outline, counter-clockwise.
    pub outline: Outline,
    /// The part of it that stands higher.
    pub stock: Option<Outline>,
    /// Lines sunk into its top.
    pub marks: Vec<Outline>,
    /// What it says.
    pub lettering: Lettering,
}

/// Lettering of one height.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lettering {
    /// Height of capitals, mm.
    pub height: f64,
    /// The lines.
    pub lines: Vec<Line>,
    /// Their polygons.
    pub region: Region,
}

impl Lettering {
    /// Adds a line whose ink has its middle at `x`, on the baseline `y`, mm.
    pub(super) fn centred(&mut self, words: &str, middle: impl Into<Point>, nozzle: f64) {
        let [left, right] = lines::ink(words, self.height, nozzle);
        let at = middle.into() - ((left + right) / 2.0, 0.0);
        self.put(Line { words: words.into(), height: self.height, at, turned: false }, nozzle);
    }

    fn put(&mut self, line: Line, nozzle: f64) {
        self.region.extend(lines::polygons(&line, nozzle));
        self.lines.push(line);
    }

    /// The same turned by half a turn within a plate of this size, mm.
    pub(super) fn turned(self, size: Size) -> Self {
        let turned = |l: Line| Line { at: (size.to_vec2() - l.at.to_vec2()).to_point(), turned: !l.turned, ..l };
        let lines = self.lines.into_iter().map(turned);
        Self { height: self.height, lines: lines.collect(), region: half_turn(&self.region, size) }
    }

    /// Takes over the lines of another of the same height.
    pub(super) fn add(&mut self, other: Self) {
        self.lines.extend(other.lines);
        self.region.extend(other.region);
    }
}

/// Width of a line's ink, mm.
pub(super) fn ink_width(words: &str, height: f64, nozzle: f64) -> f64 {
    let [left, right] = lines::ink(words, height, nozzle);
    right - left
}

/// Outlines turned by half a turn within a rectangle of this size, mm.
pub(super) fn half_turn(region: &[Outline], size: Size) -> Region {
    region.iter().map(|o| o.iter().map(|c| turned(*c, size)).collect()).collect()
}

/// A corner turned by half a turn within a rectangle of this size, mm.
pub(super) fn turned([x, y]: Corner, size: Size) -> Corner {
    [microns(size.width) - x, microns(size.height) - y]
}

impl<Shape> Plate<Shape> {
    /// The same with its shape as one of several.
    pub(super) fn among<Of>(self, shapes: impl FnOnce(Shape) -> Of) -> Plate<Of> {
        let Self { name, shape, size, outline, stock, marks, lettering } = self;
        Plate { name, shape: shapes(shape), size, outline, stock, marks, lettering }
    }

    /// Its slabs, from the bed up: the foot inside the relief along the bottom edges, the plate, its lettering, its
    /// stock.
    pub fn stack(&self) -> Stack {
        let plate = vec![self.outline.clone()];
        let mut lettered = plate.clone();
        let sunk = self.marks.iter().chain(&self.lettering.region);
        lettered.extend(sunk.map(reversed));
        let foot = inset(&self.outline, FRONT_RELIEF[0]);
        let levels = [0.0, FRONT_RELIEF[1], THICKNESS - RELIEF_DEPTH, THICKNESS, THICKNESS + STOCK_RISE].map(microns);
        let regions = [Some(foot), Some(plate), Some(lettered), self.stock.clone().map(|o| vec![o])];
        let slabs = regions.into_iter().zip(levels.windows(2));
        Stack { slabs: slabs.filter_map(|(region, z)| Some(Slab { z: [z[0], z[1]], region: region? })).collect() }
    }

    /// Its largest height, mm.
    pub fn height(&self) -> f64 {
        if self.stock.is_some() { THICKNESS + STOCK_RISE } else { THICKNESS }
    }
}

/// A counter-clockwise outline moved inward by `by` mm.
fn inset(outline: &Outline, by: f64) -> Region {
    let mm = vec![outline.iter().map(|c| c.map(|v| f64::from(v) / 1000.0)).collect::<Vec<_>>()];
    let shapes = mm.outline(&OutlineStyle::new(-by).line_join(LineJoin::Miter(0.5)));
    let on_grid = |contour: Vec<[f64; 2]>| -> Outline { contour.into_iter().map(|c| c.map(microns)).collect() };
    // Sides that rounding to the grid has made cross are parted again.
    united(&shapes.into_iter().flatten().map(on_grid).collect::<Vec<_>>())
}
