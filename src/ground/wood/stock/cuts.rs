//! From a packing to rectangles and to saw cuts in order.

use super::search::Packing;
use super::{Area, Board, Cut, Grid, Placement, Saw, mm};

/// A rectangle in micrometres.
#[derive(Clone, Copy)]
struct Rect {
    x: [i64; 2],
    y: [i64; 2],
}

impl Rect {
    fn area(self) -> Area {
        Area { x: self.x.map(mm), y: self.y.map(mm) }
    }

    /// This rectangle with another extent along the axis that cuts of `saw` part.
    fn with(self, saw: Saw, extent: [i64; 2]) -> Self {
        match saw {
            Saw::Rip => Rect { y: extent, ..self },
            Saw::Crosscut => Rect { x: extent, ..self },
        }
    }

    fn extent(self, saw: Saw) -> [i64; 2] {
        match saw {
            Saw::Rip => self.y,
            Saw::Crosscut => self.x,
        }
    }
}

/// The boards of a packing.
pub fn boards(packing: &Packing, grid: &Grid) -> Vec<Board> {
    (0..packing.boards()).map(|board| Sawing::new(grid).board(packing, board)).collect()
}

struct Sawing<'a> {
    grid: &'a Grid,
    cuts: Vec<Cut>,
    placements: Vec<Placement>,
    offcuts: Vec<Area>,
}

impl<'a> Sawing<'a> {
    fn new(grid: &'a Grid) -> Self {
        Self { grid, cuts: Vec::new(), placements: Vec::new(), offcuts: Vec::new() }
    }

    fn board(mut self, packing: &Packing, board: usize) -> Board {
        let grid = self.grid;
        let sections = || packing.sections.iter().enumerate().filter(move |(_, s)| s.board == board);
        let used: i64 = sections().map(|(_, s)| s.length).sum();
        let length = grid.length.unwrap_or(used - grid.kerf + 2 * grid.trim[0] + grid.held);
        let mut rest = Some(Rect { x: [0, length], y: [0, grid.width] });
        rest = rest.map(|r| self.trim(r, Saw::Rip, grid.trim[1]));
        rest = rest.map(|r| self.trim(r, Saw::Crosscut, grid.trim[0]));
        let mut parts = Vec::new();
        for (i, section) in sections() {
            parts.extend(self.cut_off(&mut rest, Saw::Crosscut, section.length).map(|part| (i, part)));
        }
        self.keep(rest);
        for (i, part) in parts {
            self.section(packing, i, part);
        }
        self.offcuts.sort_by(|a, b| b.size().total_cmp(&a.size()));
        Board { length: mm(length), placements: self.placements, cuts: self.cuts, offcuts: self.offcuts }
    }

    fn section(&mut self, packing: &Packing, section: usize, part: Rect) {
        let mut rest = Some(part);
        let mut strips = Vec::new();
        for (i, strip) in packing.strips.iter().enumerate().filter(|(_, s)| s.section == section) {
            strips.extend(self.cut_off(&mut rest, Saw::Rip, strip.width).map(|part| (i, part)));
        }
        self.keep(rest);
        for (i, part) in strips {
            let mut rest = Some(part);
            for (e, _) in packing.placed.iter().filter(|(_, strip)| *strip == i) {
                let entry = &packing.entries[*e];
                let area = self.cut_off(&mut rest, Saw::Crosscut, entry.length).map(Rect::area);
                self.placements.extend(area.map(|area| Placement { piece: entry.kind, turned: entry.turned, area }));
            }
            self.keep(rest);
        }
    }

    /// Takes `margin` off the near edge; the kerf lies within it.
    fn trim(&mut self, from: Rect, saw: Saw, margin: i64) -> Rect {
        let [start, end] = from.extent(saw);
        if margin > 0 {
            self.cut(from, saw, [(start + margin - self.grid.kerf).max(start), start + margin]);
        }
        from.with(saw, [start + margin, end])
    }

    /// Cuts a part off the near side of `rest` that takes `size` with its kerf, and leaves there what remains.
    fn cut_off(&mut self, rest: &mut Option<Rect>, saw: Saw, size: i64) -> Option<Rect> {
        let from = (*rest)?;
        let [start, end] = from.extent(saw);
        let at = start + size - self.grid.kerf;
        let kerf = [at, (start + size).min(end)];
        if at < end {
            self.cut(from, saw, kerf);
        }
        *rest = (kerf[1] < end).then(|| from.with(saw, [kerf[1], end]));
        Some(from.with(saw, [start, at]))
    }

    fn cut(&mut self, from: Rect, saw: Saw, kerf: [i64; 2]) {
        self.cuts.push(Cut { from: from.area(), saw, kerf: kerf.map(mm) });
    }

    fn keep(&mut self, rest: Option<Rect>) {
        self.offcuts.extend(rest.map(Rect::area));
    }
}
