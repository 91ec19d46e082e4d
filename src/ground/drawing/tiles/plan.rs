//! How the tiles lie, and what to do with them: a small picture and the notes.

use kurbo::{Affine, Point, Rect};

use super::grid::{Grid, name};
use super::place::nearest;
use super::{AXES, FullSize, TileTitle};
use crate::drawing::clash::segments;
use crate::drawing::frame::{Notes, outline};
use crate::drawing::style::{Fill, LARGE, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Mark, Text};

/// Space between picture and notes, mm.
const SPACE: f64 = 4.0;
/// Width of the picture beside the notes, mm.
const BESIDE: f64 = 62.0;
/// Least width of notes, mm.
const NOTES: f64 = 44.0;
/// Widest notes that read well, mm.
const WIDEST: f64 = 150.0;
/// Least size of a tile in the picture, mm.
const LEAST: [f64; 2] = [9.0, 5.5];

/// Picture and notes in `area`, with the tile that they stand on shaded; none if they do not fit.
pub fn draw(
    grid: &Grid,
    spread: &FullSize,
    title: &TileTitle,
    on: Option<[usize; 2]>,
    area: Rect,
) -> Option<Vec<Group>> {
    let (low, width, height) = (area.origin(), area.width(), area.height());
    let notes = |width: f64| (width >= NOTES).then(|| Notes::new(&words(grid, title), width.min(WIDEST)));
    if grid.tiles().count() == 1 {
        // Alone on their page they are as large as that takes.
        let sizes: &[f64] = if on.is_none() { &[LARGE, VALUE, SMALL] } else { &[SMALL] };
        let notes = |size: &f64| Notes::sized(&words(grid, title), width.min(WIDEST * size / SMALL), *size);
        let notes = sizes.iter().filter(|_| width >= NOTES).map(notes).find(|notes| notes.height() <= height)?;
        return Some(vec![notes.draw(low)]);
    }
    let beside = || {
        let notes = notes(width - BESIDE - SPACE).filter(|n| n.height() <= height)?;
        let (map, _) = picture(grid, spread, on, Rect { x1: low.x + BESIDE, ..area })?;
        Some((map, notes.draw((low.x + BESIDE + SPACE, low.y))))
    };
    let above = || {
        let notes = notes(width)?;
        let room = Rect { y1: area.y1 - notes.height() - SPACE, ..area };
        let (map, bottom) = picture(grid, spread, on, room)?;
        Some((map, notes.draw((low.x, bottom + SPACE))))
    };
    let (map, notes) = if on.is_some() { beside().or_else(above) } else { above() }?;
    Some(vec![map, notes])
}

fn words(grid: &Grid, title: &TileTitle) -> Vec<String> {
    let mut notes = vec![
        "Print at 100 % (actual size), never fitted to the page. Measure the bars of every sheet, along the paper \
         and across it, before you use it."
            .to_string(),
        format!(
            "Bars that are off: enter what those of 100 mm measure, along and across, at {}, and print again.",
            title.enter_at
        ),
    ];
    if grid.tiles().count() > 1 {
        notes.push(
            "Chain lines through crosses in circles are match lines. Of two sheets cut one along its match line and lay it on the other, so that \
             crosses, match lines and all other lines meet."
                .into(),
        );
    }
    notes.push("Put it on the wood with a dry adhesive, such as double-sided tape: wet glue swells paper.".into());
    notes.push("For laying out only: calipers decide.".into());
    notes.extend(title.notes.iter().cloned());
    notes
}

/// The tiles as they lie, with the drawing's wide lines, and where the picture ends below. It is to scale, unless its
/// tiles would be too narrow for their names.
fn picture(grid: &Grid, spread: &FullSize, on: Option<[usize; 2]>, area: Rect) -> Option<(Group, f64)> {
    let cells: Vec<([usize; 2], Rect)> = grid.tiles().map(|t| (t, grid.cell(t))).collect();
    let room = [area.width(), area.height()];
    let even = (0..2).map(|i| room[i] / grid.size[i]).fold(f64::INFINITY, f64::min);
    let scale = [0, 1].map(|i| {
        let narrowest = cells.iter().map(|(_, cell)| cell.size().get_coord(AXES[i])).fold(f64::INFINITY, f64::min);
        even.max(LEAST[i] / narrowest)
    });
    if (0..2).any(|i| scale[i] * grid.size[i] > room[i] + 1e-9) {
        return None;
    }
    let view = Affine::scale_non_uniform(scale[0], scale[1]).then_translate(area.origin().to_vec2());
    let all = view.transform_rect_bbox(Rect::new(0.0, 0.0, grid.size[0], grid.size[1]));
    let map = |lines: &[[Point; 2]]| {
        let mut map = Group::new("tile-map", "tile-map");
        for (_, cell) in cells.iter().filter(|(tile, _)| on == Some(*tile)) {
            map.path([outline(view.transform_rect_bbox(*cell))], true, Pen::None, Fill::Tint);
        }
        for [a, b] in lines {
            map.line(view * *a, view * *b, Pen::Narrow);
        }
        for (axis, joints) in grid.joints.iter().enumerate() {
            for joint in joints {
                let at = |across: f64| view * AXES[axis].pack_point(*joint, across);
                map.line(at(0.0), at(grid.size[1 - axis]), Pen::Chain);
            }
        }
        map.path([outline(all)], true, Pen::Wide, Fill::None);
        let names = names(&cells, view, &segments(&map))?;
        names.into_iter().for_each(|name| map.text(name));
        Some(map)
    };
    // The drawing's lines may leave no room for the names.
    let map = map(&wide(spread)).or_else(|| map(&[]))?;
    Some((map, all.y1))
}

/// The names of the tiles, clear of `lines`.
fn names(cells: &[([usize; 2], Rect)], view: Affine, lines: &[[Point; 2]]) -> Option<Vec<Text>> {
    let place = |(tile, cell): &([usize; 2], Rect)| {
        let cell = view.transform_rect_bbox(*cell);
        let sized = |height: f64| {
            let middle = (cell.center().x, (cell.y0 + cell.y1 + height) / 2.0);
            let text = Text::new(middle, height, Anchor::Middle, name(*tile)).bold();
            nearest(&text, cell, |letters| !lines.iter().any(|l| letters.meets(*l)))
        };
        sized(VALUE).or_else(|| sized(SMALL))
    };
    cells.iter().map(place).collect()
}

/// The wide lines of the drawing.
fn wide(spread: &FullSize) -> Vec<[Point; 2]> {
    let is_wide = |m: &&Mark| {
        matches!(
            m,
            Mark::Line { pen: Pen::Wide, .. } | Mark::Path { pen: Pen::Wide, .. } | Mark::Arc { pen: Pen::Wide, .. }
        )
    };
    let marks = spread.groups.iter().flat_map(|g| &g.marks).filter(is_wide).cloned().collect();
    segments(&Group { marks, ..Group::default() })
}
