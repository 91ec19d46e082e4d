//! How much of a sheet is used, and what fills one that is nearly empty, so that small drawings do not lie lost on large
//! paper.

use kurbo::{Rect, Size};

use super::clash;
use super::frame::TITLE_BLOCK;
use super::style::SMALL;
use super::{Anchor, Group, Sheet, Text};
use crate::shape::font::wrap;

/// Side of the squares by which the use of a sheet is told, mm.
const SQUARE: f64 = 5.0;
/// What a sheet should be filled to at least (our choice).
pub const LEAST: f64 = 1.0 / 3.0;
/// Space between a picture that fills a sheet and what stands there, mm.
const SPACE: f64 = 4.0;
/// Smallest picture that is worth its place, mm.
const SMALLEST: f64 = 25.0;

/// Share of the squares inside the frame and outside the title block that some mark's bounds touch.
pub fn filled(sheet: &Sheet) -> f64 {
    let squares = Squares::of(sheet);
    let drawn = squares.taken.iter().filter(|taken| **taken).count();
    let title = squares.span(title_block(sheet));
    let (columns, rows) = (title[0].clone(), title[1].clone());
    let of_title = columns.flat_map(|x| rows.clone().map(move |y| [x, y])).filter(|at| squares.is_taken(*at)).count();
    let free = (squares.frame.area() - TITLE_BLOCK.area()) / (SQUARE * SQUARE);
    (drawn - of_title) as f64 / free.max(1.0)
}

/// A picture for a sheet that would else be nearly empty.
pub struct Illustration<'a> {
    /// Its proportions.
    pub size: Size,
    /// What it shows.
    pub caption: &'static str,
    /// Draws it no larger than this, its upper left corner at the origin, and tells its size, mm.
    pub draw: Box<dyn Fn(Size) -> (Vec<Group>, Size) + 'a>,
}

impl Illustration<'_> {
    /// A nearly empty sheet with the picture in the free place in which it is largest; any other sheet as it is.
    pub fn on(&self, sheet: Sheet) -> Sheet {
        if filled(&sheet) >= LEAST {
            return sheet;
        }
        let Some(room) = self.room(&sheet).filter(|room| room.width().min(room.height()) >= SMALLEST) else {
            return sheet;
        };
        let lines = self.lines(room.width());
        let (groups, size) = (self.draw)(Size::new(room.width(), room.height() - caption(&lines)));
        let corner = room.center() - Size::new(size.width, size.height + caption(&lines)).to_vec2() / 2.0;
        let mut illustrated = sheet.clone();
        illustrated.groups.extend(groups.into_iter().map(|g| g.moved(corner.to_vec2())));
        let mut words = Group::new("illustration-caption", "note");
        let middle = room.center().x;
        for (i, line) in lines.iter().enumerate() {
            let y = corner.y + size.height + caption(&lines[..=i]);
            words.text(Text::new((middle, y), SMALL, Anchor::Middle, line.as_str()));
        }
        illustrated.groups.push(words);
        if clash::find(&illustrated).is_empty() { illustrated } else { sheet }
    }

    /// The free place of a sheet in which it is largest.
    fn room(&self, sheet: &Sheet) -> Option<Rect> {
        let mut squares = Squares::of(sheet);
        squares.mark(title_block(sheet));
        let scale = |room: &Rect| {
            let high = room.height() - caption(&self.lines(room.width()));
            (room.width() / self.size.width).min(high / self.size.height)
        };
        let rooms = squares.free().into_iter().map(|room| room.inset(-SPACE)).filter(|room| room.width() > 0.0);
        rooms.max_by(|a, b| scale(a).total_cmp(&scale(b)))
    }

    fn lines(&self, width: f64) -> Vec<String> {
        wrap(&format!("{}, not to scale", self.caption), SMALL, width)
    }
}

/// Height of a caption's lines with the space above them, mm.
fn caption(lines: &[String]) -> f64 {
    (0.5 + 1.5 * lines.len() as f64) * SMALL
}

fn title_block(sheet: &Sheet) -> Rect {
    let frame = sheet.paper.frame();
    Rect::new(frame.x1 - TITLE_BLOCK.width, frame.y1 - TITLE_BLOCK.height, frame.x1, frame.y1)
}

/// The squares inside a frame, and which are taken.
struct Squares {
    frame: Rect,
    columns: usize,
    rows: usize,
    taken: Vec<bool>,
}

impl Squares {
    /// With those taken that some mark's bounds touch.
    fn of(sheet: &Sheet) -> Self {
        let frame = sheet.paper.frame();
        let [columns, rows] = [frame.width(), frame.height()].map(|side| (side / SQUARE) as usize);
        let mut squares = Self { frame, columns, rows, taken: vec![false; columns * rows] };
        for mark in sheet.groups.iter().filter(|g| g.class != "frame").flat_map(|g| &g.marks) {
            let bounds = clash::extent(&[Group { marks: vec![mark.clone()], ..Group::default() }]);
            if bounds.x0 <= bounds.x1 {
                squares.mark(bounds);
            }
        }
        squares
    }

    /// Columns and rows that an area touches.
    fn span(&self, area: Rect) -> [std::ops::Range<usize>; 2] {
        let span = |from: f64, to: f64, most: usize| {
            let square = |at: f64| ((at / SQUARE).floor().max(0.0) as usize).min(most);
            square(from)..(square(to) + 1).min(most)
        };
        let Rect { x0, y0, x1, y1 } = area - self.frame.origin().to_vec2();
        [span(x0, x1, self.columns), span(y0, y1, self.rows)]
    }

    fn mark(&mut self, area: Rect) {
        let [columns, rows] = self.span(area);
        for y in rows {
            self.taken[y * self.columns + columns.start..y * self.columns + columns.end].fill(true);
        }
    }

    fn is_taken(&self, [column, row]: [usize; 2]) -> bool {
        self.taken[row * self.columns + column]
    }

    /// Every free rectangle that goes no further to either side or up.
    fn free(&self) -> Vec<Rect> {
        let mut found = Vec::new();
        // How many squares are free from each one up.
        let mut heights = vec![0; self.columns];
        for row in 0..self.rows {
            for (column, height) in heights.iter_mut().enumerate() {
                *height = if self.is_taken([column, row]) { 0 } else { *height + 1 };
            }
            for (column, high) in heights.iter().copied().enumerate().filter(|(_, high)| *high > 0) {
                let is_as_high = |h: &&usize| **h >= high;
                let left = heights[..column].iter().rev().take_while(is_as_high).count();
                let right = heights[column..].iter().take_while(is_as_high).count();
                let corner = |x: usize, y: usize| self.frame.origin() + (SQUARE * x as f64, SQUARE * y as f64);
                found.push(Rect::from_points(corner(column - left, row + 1 - high), corner(column + right, row + 1)));
            }
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::paper::{self, Paper};
    use crate::drawing::style::{Fill, Pen};
    use crate::terms::PaperSize;

    fn sheet_with(areas: &[Rect]) -> Sheet {
        let mut drawn = Group::new("drawn", "feature");
        for area in areas {
            let Rect { x0, y0, x1, y1 } = *area;
            drawn.path([[(x0, y0), (x1, y0), (x1, y1), (x0, y1)]], true, Pen::Wide, Fill::None);
        }
        let paper = Paper::sheet(PaperSize::A4, false);
        Sheet { title: "A sheet".into(), paper, scale: paper::NONE.name.into(), groups: vec![drawn] }
    }

    fn box_of(room: Size) -> (Vec<Group>, Size) {
        let mut group = Group::new("picture", "picture");
        let side = room.width.min(room.height);
        group.path([[(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]], true, Pen::Wide, Fill::None);
        (vec![group], Size::new(side, side))
    }

    const PICTURE: Size = Size::new(1.0, 1.0);

    fn illustrated(sheet: &Sheet) -> Sheet {
        Illustration { size: PICTURE, caption: "A box", draw: Box::new(box_of) }.on(sheet.clone())
    }

    fn extent_of(sheet: &Sheet, id: &str) -> Option<Rect> {
        let groups: Vec<Group> = sheet.groups.iter().filter(|g| g.id == id).cloned().collect();
        (!groups.is_empty()).then(|| clash::extent(&groups))
    }

    #[test]
    fn what_is_drawn_counts_by_its_bounds_outside_the_title_block() {
        let frame = sheet_with(&[]).paper.frame();
        assert_eq!(filled(&sheet_with(&[])), 0.0);
        let half = Rect::new(frame.x0, frame.y0, frame.x1, frame.y0 + frame.height() / 2.0);
        assert!((filled(&sheet_with(&[half])) - 0.5 * frame.area() / (frame.area() - TITLE_BLOCK.area())).abs() < 0.02);
        assert_eq!(filled(&sheet_with(&[title_block(&sheet_with(&[])).inset(-6.0)])), 0.0);
    }

    #[test]
    fn a_nearly_empty_sheet_gets_the_picture_in_its_largest_free_place() {
        let frame = sheet_with(&[]).paper.frame();
        let at_left = Rect::new(frame.x0 + 2.0, frame.y0 + 2.0, frame.x0 + 60.0, frame.y0 + 150.0);
        let before = sheet_with(&[at_left]);
        let after = illustrated(&before);
        let [picture, caption] = ["picture", "illustration-caption"].map(|id| extent_of(&after, id).expect(id));
        // The square at the right of what is drawn: its side is what the frame leaves.
        assert!(picture.width() > frame.width() - 60.0 - 2.0 * SPACE - 2.0 * SQUARE, "{picture:?}");
        for place in [picture, caption] {
            assert!(frame.contains_rect(place), "{place:?}");
            assert!(place.intersect(at_left).is_zero_area() && place.intersect(title_block(&after)).is_zero_area());
        }
        assert!(filled(&after) > LEAST && filled(&before) < LEAST);
    }

    #[test]
    fn a_full_sheet_and_one_with_no_place_are_left_as_they_are() {
        let frame = sheet_with(&[]).paper.frame();
        let full = sheet_with(&[frame.inset(-2.0)]);
        assert_eq!(illustrated(&full), full);
        // Strips that leave nothing as wide as a picture, and less than a third of the squares.
        let strips = (0..8).map(|i| frame.y0 + 6.0 + 30.0 * f64::from(i));
        let narrow: Vec<Rect> = strips.map(|y| Rect::new(frame.x0 + 2.0, y, frame.x1 - 2.0, y + 3.0)).collect();
        let sheet = sheet_with(&narrow);
        assert!(filled(&sheet) < LEAST);
        assert_eq!(illustrated(&sheet), sheet);
    }
}
