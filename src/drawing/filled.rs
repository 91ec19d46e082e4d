//! How much of a sheet is used, so that small drawings do not lie lost on large paper.

use kurbo::Rect;

use super::clash;
use super::frame::TITLE_BLOCK;
use super::{Group, Sheet};

/// Side of the squares by which the use of a sheet is told, mm.
const SQUARE: f64 = 5.0;
/// What a sheet should be filled to at least (our choice).
pub const LEAST: f64 = 1.0 / 3.0;

/// Share of the squares inside the frame and outside the title block that some mark's bounds touch.
pub fn filled(sheet: &Sheet) -> f64 {
    let frame = sheet.paper.frame();
    let [wide, high] = [frame.width(), frame.height()].map(|side| (side / SQUARE) as usize);
    let mut taken = vec![false; wide * high];
    let mut mark_all = |area: Rect, value: bool| {
        let span = |from: f64, to: f64, most: usize| {
            let square = |at: f64| ((at / SQUARE).floor().max(0.0) as usize).min(most);
            square(from)..(square(to) + 1).min(most)
        };
        for y in span(area.y0 - frame.y0, area.y1 - frame.y0, high) {
            for x in span(area.x0 - frame.x0, area.x1 - frame.x0, wide) {
                taken[y * wide + x] = value;
            }
        }
    };
    for group in sheet.groups.iter().filter(|g| g.class != "frame") {
        for mark in &group.marks {
            let bounds = clash::extent(&[Group { marks: vec![mark.clone()], ..Group::default() }]);
            if bounds.x0 <= bounds.x1 {
                mark_all(bounds, true);
            }
        }
    }
    let title = Rect::new(frame.x1 - TITLE_BLOCK.width, frame.y1 - TITLE_BLOCK.height, frame.x1, frame.y1);
    mark_all(title, false);
    let free = (frame.area() - TITLE_BLOCK.area()) / (SQUARE * SQUARE);
    taken.into_iter().filter(|taken| *taken).count() as f64 / free.max(1.0)
}
