//! Boxes on the sheet, found through a grid of cells.

use crate::drawing::Point;

/// A place on the sheet and a depth toward the viewer, mm of paper.
pub type Corner = [f64; 3];

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
    pub fn around<'a>(corners: impl IntoIterator<Item = &'a Corner>) -> Self {
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
    grid: Grid,
    /// The boxes that reach into each cell, row by row.
    cells: Vec<Vec<usize>>,
}

impl Index {
    /// A few boxes to a cell.
    pub fn new(boxes: Vec<Bounds>) -> Self {
        let all = boxes.iter().copied().reduce(|a, b| a.with(&b)).unwrap_or(Bounds { low: [0.0; 2], high: [0.0; 2] });
        let per_side = (boxes.len() / 4).isqrt().max(1);
        let cell = [0, 1].map(|i| ((all.high[i] - all.low[i]) / per_side as f64).max(f64::MIN_POSITIVE));
        let grid = Grid { origin: all.low, cell, per_side };
        let mut cells = vec![Vec::new(); per_side * per_side];
        for (i, b) in boxes.iter().enumerate() {
            grid.cells(b).for_each(|[column, row]| cells[row * per_side + column].push(i));
        }
        Self { boxes, grid, cells }
    }

    /// The boxes that meet `bounds`, each once.
    pub fn over(&self, bounds: Bounds) -> impl Iterator<Item = usize> + '_ {
        let start = self.grid.cell_of(bounds.low);
        self.grid.cells(&bounds).flat_map(move |[column, row]| {
            // A box that reaches into several cells is found in the first.
            let first = move |b: &Bounds| {
                let [c, r] = self.grid.cell_of(b.low);
                [c.max(start[0]), r.max(start[1])] == [column, row]
            };
            let here = self.cells[row * self.grid.per_side + column].iter().copied();
            here.filter(move |&i| self.boxes[i].meets(&bounds) && first(&self.boxes[i]))
        })
    }
}

/// As many cells in a row as in a column.
#[derive(Debug)]
struct Grid {
    origin: Point,
    cell: Point,
    per_side: usize,
}

impl Grid {
    /// Column and row of a place; places outside count to the cells at the border.
    fn cell_of(&self, place: Point) -> [usize; 2] {
        // The conversion makes what is negative zero.
        [0, 1].map(|i| (((place[i] - self.origin[i]) / self.cell[i]) as usize).min(self.per_side - 1))
    }

    fn cells(&self, bounds: &Bounds) -> impl Iterator<Item = [usize; 2]> + use<> {
        let [from, to] = [self.cell_of(bounds.low), self.cell_of(bounds.high)];
        (from[1]..=to[1]).flat_map(move |row| (from[0]..=to[0]).map(move |column| [column, row]))
    }
}
