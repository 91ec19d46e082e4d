//! Boxes on the sheet, found through a grid of cells.

use kurbo::{Point, Rect, Size};

/// Finds boxes.
#[derive(Debug)]
pub struct Index {
    boxes: Vec<Rect>,
    grid: Grid,
    /// The boxes that reach into each cell, row by row.
    cells: Vec<Vec<usize>>,
}

impl Index {
    /// A few boxes to a cell.
    pub fn new(boxes: Vec<Rect>) -> Self {
        let all = boxes.iter().copied().reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        let per_side = (boxes.len() / 4).isqrt().max(1);
        let cell = (all.size() / per_side as f64).max(Size::new(f64::MIN_POSITIVE, f64::MIN_POSITIVE));
        let grid = Grid { origin: all.origin(), cell, per_side };
        let mut cells = vec![Vec::new(); per_side * per_side];
        for (i, b) in boxes.iter().enumerate() {
            grid.cells(b).for_each(|[column, row]| cells[row * per_side + column].push(i));
        }
        Self { boxes, grid, cells }
    }

    /// The boxes that meet `bounds`, each once.
    pub fn over(&self, bounds: Rect) -> impl Iterator<Item = usize> + '_ {
        let start = self.grid.cell_of(bounds.x0, bounds.y0);
        self.grid.cells(&bounds).flat_map(move |[column, row]| {
            // A box that reaches into several cells is found in the first.
            let first = move |b: &Rect| {
                let [c, r] = self.grid.cell_of(b.x0, b.y0);
                [c.max(start[0]), r.max(start[1])] == [column, row]
            };
            let here = self.cells[row * self.grid.per_side + column].iter().copied();
            here.filter(move |&i| self.boxes[i].overlaps(bounds) && first(&self.boxes[i]))
        })
    }
}

/// As many cells in a row as in a column.
#[derive(Debug)]
struct Grid {
    origin: Point,
    cell: Size,
    per_side: usize,
}

impl Grid {
    /// Column and row of a place; places outside count to the cells at the border.
    fn cell_of(&self, x: f64, y: f64) -> [usize; 2] {
        // The conversion makes what is negative zero.
        [(x - self.origin.x) / self.cell.width, (y - self.origin.y) / self.cell.height]
            .map(|i| (i as usize).min(self.per_side - 1))
    }

    fn cells(&self, bounds: &Rect) -> impl Iterator<Item = [usize; 2]> + use<> {
        let [from, to] = [self.cell_of(bounds.x0, bounds.y0), self.cell_of(bounds.x1, bounds.y1)];
        (from[1]..=to[1]).flat_map(move |row| (from[0]..=to[0]).map(move |column| [column, row]))
    }
}
