//! Boxes on the sheet, found through a grid of cells.

use super::faces::Corner;
use crate::drawing::Point;

/// A box on the sheet.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// Upper left corner.
    pub low: Point,
    /// Lower right corner.
    pub high: Point,
}

impl Bounds {
    /// The box around corners.
    pub fn of<'a>(corners: impl IntoIterator<Item = &'a Corner>) -> Self {
        let none = Self { low: [f64::INFINITY; 2], high: [f64::NEG_INFINITY; 2] };
        corners.into_iter().fold(none, |b, [x, y, _]| b.with(&Self { low: [*x, *y], high: [*x, *y] }))
    }

    /// The same, larger by so much on all sides.
    pub fn grown(self, by: f64) -> Self {
        Self { low: self.low.map(|v| v - by), high: self.high.map(|v| v + by) }
    }

    /// Its area.
    pub fn area(&self) -> f64 {
        (self.high[0] - self.low[0]) * (self.high[1] - self.low[1])
    }

    fn with(self, other: &Self) -> Self {
        Self {
            low: [self.low[0].min(other.low[0]), self.low[1].min(other.low[1])],
            high: [self.high[0].max(other.high[0]), self.high[1].max(other.high[1])],
        }
    }

    fn meets(&self, other: &Self) -> bool {
        (0..2).all(|i| self.low[i] <= other.high[i] && other.low[i] <= self.high[i])
    }
}

/// Finds boxes.
#[derive(Debug)]
pub struct Index {
    boxes: Vec<Bounds>,
    origin: Point,
    cell: Point,
    /// Cells in a row and in a column.
    per_side: usize,
    /// The boxes that reach into each cell.
    cells: Vec<Vec<usize>>,
}

impl Index {
    /// About as many cells as boxes.
    pub fn new(boxes: Vec<Bounds>) -> Self {
        let all = boxes.iter().copied().reduce(|a, b| a.with(&b)).unwrap_or(Bounds { low: [0.0; 2], high: [0.0; 2] });
        let per_side = boxes.len().isqrt().max(1);
        let cell = [0, 1].map(|i| ((all.high[i] - all.low[i]) / per_side as f64).max(f64::MIN_POSITIVE));
        let mut index = Self { boxes: Vec::new(), origin: all.low, cell, per_side, cells: Vec::new() };
        let mut cells = vec![Vec::new(); per_side * per_side];
        for (i, b) in boxes.iter().enumerate() {
            index.cells_of(b).for_each(|c| cells[c].push(i));
        }
        index.boxes = boxes;
        index.cells = cells;
        index
    }

    /// The boxes that meet `bounds`, in order.
    pub fn over(&self, bounds: &Bounds) -> Vec<usize> {
        let near = self.cells_of(bounds).flat_map(|c| &self.cells[c]).copied();
        let mut found: Vec<usize> = near.filter(|&i| self.boxes[i].meets(bounds)).collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// The boxes around a place, in order.
    pub fn at(&self, place: Point) -> impl Iterator<Item = usize> + '_ {
        let here = Bounds { low: place, high: place };
        // A place lies in one cell.
        let near = self.cells_of(&here).flat_map(|c| &self.cells[c]).copied();
        near.filter(move |&i| self.boxes[i].meets(&here))
    }

    fn cells_of(&self, bounds: &Bounds) -> impl Iterator<Item = usize> + use<> {
        let last = self.per_side - 1;
        // The conversion holds numbers outside the range to its ends.
        let number = |i: usize, v: f64| (((v - self.origin[i]) / self.cell[i]) as usize).min(last);
        let [columns, rows] = [0, 1].map(|i| number(i, bounds.low[i])..=number(i, bounds.high[i]));
        let per_side = self.per_side;
        rows.flat_map(move |r| columns.clone().map(move |c| r * per_side + c))
    }
}
