//! One sheet: its frame, title strip, check bars, part of the drawing, match lines and register marks.
//!
//! Around the room for the drawing runs a rim, in which the bars and the names of the neighbours stand.

use kurbo::{Point, Rect, Vec2};

use super::grid::{Grid, name};
use super::margins::{RIM, frame, strip_height, usable};
use super::place::{Register, owner};
use super::{AXES, FullSize, TileTitle, clip, plan, spread};
use crate::drawing::frame::{FIELD_PAD, INCH_BAR, MADE, MM_BAR, field_row, outline};
use crate::drawing::paper::Paper;
use crate::drawing::style::{Fill, LARGE, Pen, SMALL, VALUE};
use crate::drawing::{Anchor, Group, Mark, Sheet, Text, clash, leading};
use crate::shape::font;
use crate::units::short;

/// From a window's edge to the baseline of lettering of [`VALUE`] height beyond it, mm.
const BEYOND: f64 = VALUE + 0.9;
/// How far the baseline of the bars' words lies below their middle, mm: descenders stay in the rim.
const WORDS_DOWN: f64 = 1.3;
/// Space between the words beside a bar, mm.
const GAP: f64 = 2.5;
/// Half the space between the two bars that stand back to back, mm.
const APART: f64 = 0.4;
/// Length of a bar's ticks, at its ends and between them, mm.
const TICKS: [f64; 2] = [2.0, 1.2];
/// Space between the window's rim and what stands in the rest of the sheet, mm.
const CLEAR_OF_RIM: f64 = 1.5;
/// Width that the name of the tile above needs between the note and the window's side, mm.
const NAME_ROOM: f64 = 40.0;

/// A tile to be drawn.
pub struct Tile<'a> {
    /// The arrangement.
    pub grid: &'a Grid,
    /// Its column and row.
    pub tile: [usize; 2],
    /// What it says.
    pub title: &'a TileTitle,
    /// Whether names too long for the title strip are shortened.
    pub shortens: bool,
}

impl Tile<'_> {
    /// The window on the sheet.
    fn shown(&self) -> Rect {
        self.grid.window(self.tile).with_origin(usable(self.grid.paper).origin())
    }

    /// What the drawing leaves free, below it and at its right.
    pub fn free(&self) -> [Rect; 2] {
        let (usable, shown) = (usable(self.grid.paper), self.shown());
        [Rect { y0: shown.y1 + RIM + CLEAR_OF_RIM, ..usable }, Rect { x0: shown.x1 + RIM + CLEAR_OF_RIM, ..usable }]
    }

    /// The sheet, which is page `page[0]` of `page[1]`.
    pub fn sheet(&self, drawing: &FullSize, spread: &FullSize, registers: &[Register], page: [usize; 2]) -> Sheet {
        let grid = self.grid;
        let window = grid.window(self.tile);
        let shown = self.shown();
        let offset = shown.origin() - window.origin();
        let mut groups = framed(grid.paper);
        groups.extend(self.title_strip(page));
        groups.push(self.window(drawing, offset));
        groups.extend(spread.groups.iter().filter_map(|g| self.part(g, window, offset)));
        groups.extend(self.match_lines(window, offset));
        let here = registers.iter().filter(|r| r.tiles.contains(&self.tile));
        groups.extend(here.map(|r| r.draw(r.at + offset)));
        let (bars, ends) = bars(grid);
        groups.extend(bars);
        let words = self.standing_words();
        let usable = usable(grid.paper);
        let note_end = usable.x0 + font::width(&words, SMALL, false);
        let mut note = Group::new("tile-note", "note");
        note.text(Text::new((usable.x0, usable.y0 - RIM + 4.2), SMALL, Anchor::Start, words));
        groups.push(note);
        groups.extend(self.joins(shown, ends, note_end));
        let title = format!("{}, tile {}", self.title.title, name(self.tile));
        Sheet { title, paper: grid.paper, scale: "1:1".into(), groups }
    }

    /// What a test or a reader needs to put the tiles together again.
    fn window(&self, drawing: &FullSize, offset: Vec2) -> Group {
        let origin = spread::view(self.grid).translation() + offset;
        let [x, y] = self.grid.factor;
        let window = self.grid.window(self.tile);
        let corner =
            |u: f64, v: f64| if self.grid.turned { (drawing.size.width - v / y, u / x) } else { (u / x, v / y) };
        let part = Rect::from_points(corner(window.x0, window.y0), corner(window.x1, window.y1));
        Group::new("tile-window", "tile-window")
            .with("tile", name(self.tile))
            .with("x0", part.x0)
            .with("y0", part.y0)
            .with("x1", part.x1)
            .with("y1", part.y1)
            .with("turn", spread::turn(self.grid))
            .with("scale-x", x)
            .with("scale-y", y)
            .with("origin-x", origin.x)
            .with("origin-y", origin.y)
    }

    /// What this tile shows of a group.
    fn part(&self, group: &Group, window: Rect, offset: Vec2) -> Option<Group> {
        let own = |mark: &Mark| match mark {
            Mark::Text(text) if owner(text, self.grid) == self.tile => vec![mark.clone()],
            _ => clip::mark(mark, window),
        };
        let marks: Vec<Mark> = group.marks.iter().flat_map(own).collect();
        (!marks.is_empty()).then(|| Group { marks, ..group.clone() }.moved(offset))
    }

    fn match_lines(&self, window: Rect, offset: Vec2) -> Vec<Group> {
        let line = |axis: usize, joint: f64, other: [usize; 2]| {
            let (from, to) = window.get_coords(AXES[axis].cross());
            let at = |across: f64| AXES[axis].pack_point(joint, across) + offset;
            let mut group = Group::new(format!("tile-match-{}", name(other)), "tile-match").with("joins", name(other));
            group.line(at(from), at(to), Pen::Chain);
            group
        };
        self.neighbours()
            .map(|(other, axis)| line(axis, self.grid.joints[axis][self.tile[axis].min(other[axis])], other))
            .collect()
    }

    /// The tiles beside this one, and the axis along which they lie.
    fn neighbours(&self) -> impl Iterator<Item = ([usize; 2], usize)> {
        let tile = self.tile;
        self.grid.neighbours().into_iter().filter_map(move |([a, b], axis)| match tile {
            t if t == a => Some((b, axis)),
            t if t == b => Some((a, axis)),
            _ => None,
        })
    }

    /// The names of the neighbours, each outside the window at its side: at the left above the upright bar, at the top
    /// beside the note, below the window beside the level bar.
    fn joins(&self, shown: Rect, [level, upright]: [f64; 2], note_end: f64) -> Vec<Group> {
        let usable = usable(self.grid.paper);
        let middle = |a: f64, b: f64| (a + b) / 2.0;
        let below = if shown.y1 + RIM <= usable.y1 { shown.center().x } else { middle(level, usable.x1) };
        let above = if shown.x1 - note_end > NAME_ROOM { shown.x1 } else { usable.x1 };
        let draw = |(other, axis): ([usize; 2], usize)| {
            let words = format!("joins {}", name(other));
            let after = other[axis] > self.tile[axis];
            let (at, turn, room) = match (axis, after) {
                (0, true) => ((shown.x1 + BEYOND, shown.center().y), -90.0, f64::MAX),
                (0, false) => ((usable.x0 - RIM + BEYOND, middle(usable.y0, upright)), -90.0, upright - usable.y0),
                (_, true) => ((below, shown.y1 + BEYOND), 0.0, f64::MAX),
                (_, false) => ((middle(note_end, above), usable.y0 - RIM + BEYOND), 0.0, f64::MAX),
            };
            let height = if font::width(&words, VALUE, false) + 1.0 < room { VALUE } else { SMALL };
            let mut group = Group::new(format!("tile-joins-{}", name(other)), "tile-joins");
            group.text(Text::new(at, height, Anchor::Middle, words).turned(turn));
            group
        };
        self.neighbours().map(draw).collect()
    }

    /// What every tile says, since tiles go astray.
    fn standing_words(&self) -> String {
        match scaled_for(self.grid) {
            Some(scaled) => format!("Print at 100 %. {scaled} {}", self.title.caution),
            None => format!("Print at 100 %. For laying out only: calipers decide. {}", self.title.caution),
        }
    }

    fn title_strip(&self, page: [usize; 2]) -> Vec<Group> {
        let [columns, rows] = self.grid.count();
        let place = format!("{}, {} of {rows} × {columns}", self.tile[1] + 1, self.tile[0] + 1);
        strip(self.grid.paper, (self.title, self.shortens), [&name(self.tile), &place, "1:1"], page)
    }
}

/// That the tiles make up for the printer, if they do.
fn scaled_for(grid: &Grid) -> Option<String> {
    let [along, across] = grid.printed_bar;
    (grid.printed_bar != [MM_BAR, MM_BAR]).then(|| {
        format!("Scaled for 100 mm bars that measured {} along, {} across.", short(along, 2), short(across, 2))
    })
}

fn framed(paper: Paper) -> Vec<Group> {
    let mut group = Group::new("frame", "frame");
    group.path([outline(frame(paper))], true, Pen::Narrow, Fill::None);
    vec![group]
}

/// The title strip: the tile's name, title and guide, its place among the tiles, scale, sheet and maker.
fn strip(
    paper: Paper,
    (title, shortens): (&TileTitle, bool),
    [name, place, scale]: [&str; 3],
    [page, pages]: [usize; 2],
) -> Vec<Group> {
    let frame = frame(paper);
    let height = strip_height(paper);
    let at = Point::new(frame.x0, frame.y1 - height);
    let mut group = Group::new("title-block", "frame").with("scale", scale);
    group.path([outline(Rect { y0: at.y, ..frame })], true, Pen::Narrow, Fill::Paper);
    let first = font::width(name, LARGE, true).max(9.0) + 4.0;
    group.text(Text::new(at + (first / 2.0, (height + LARGE) / 2.0), LARGE, Anchor::Middle, name).bold());
    group.line((at.x + first, at.y), (at.x + first, frame.y1), Pen::Narrow);
    let sheet = format!("{}, {page} of {pages}", paper.name());
    let row =
        [("row, column", place), ("scale", scale), ("sheet", &sheet), ("computed by", MADE)].map(|(name, words)| {
            let width = font::width(name, SMALL, false).max(font::width(words, VALUE, false)) + 3.4;
            (name, width, words)
        });
    let second = frame.x1 - row.iter().map(|field| field.1).sum::<f64>();
    let room = second - at.x - first - 2.0 * FIELD_PAD;
    let parts = [&title.title, &title.guide].map(|words| font::wrap(words, SMALL, room));
    let pitch = leading(parts.iter().flatten().map(String::as_str), SMALL);
    let with = |lines: Vec<String>| {
        let mut group = group.clone();
        let first_line = (height + SMALL - (lines.len() as f64 - 1.0) * pitch) / 2.0;
        for (i, line) in lines.into_iter().enumerate() {
            let down = first_line + i as f64 * pitch;
            group.text(Text::new(at + (first + FIELD_PAD, down), SMALL, Anchor::Start, line));
        }
        group.line((second, at.y), (second, frame.y1), Pen::Narrow);
        field_row(&mut group, (second, at.y), height, &row);
        vec![group]
    };
    if !shortens {
        return with(parts.concat());
    }
    // As much as stands clear in it.
    let mut fewer = (2..=parts.iter().map(Vec::len).sum()).rev().map(|most| with(kept(parts.clone(), most, room)));
    fewer.find(|strip| clash::among(strip).is_empty()).unwrap_or_else(|| with(parts.concat()))
}

/// The lines of title and guide, no more than `most`: first the guide is shortened, of which the other sheets have the whole,
/// and of it at least a line is left.
fn kept([mut title, mut guide]: [Vec<String>; 2], most: usize, room: f64) -> Vec<String> {
    let of_guide = guide.len().min(most.saturating_sub(title.len()).max(1));
    for (part, lines) in [(&mut guide, of_guide), (&mut title, most.saturating_sub(of_guide))] {
        if lines < part.len() {
            part.truncate(lines);
            if let Some(last) = part.last_mut() {
                while font::width(&format!("{last}…"), SMALL, false) > room && last.pop().is_some() {}
                last.push('…');
            }
        }
    }
    [title, guide].concat()
}

/// Bars of 100 mm and 4 in, level and upright, made up for the printer like the drawing; and where their words end:
/// along the sheet's width and height.
fn bars(grid: &Grid) -> (Vec<Group>, [f64; 2]) {
    let usable = usable(grid.paper);
    let ways = if grid.paper.landscape { ["along", "across"] } else { ["across", "along"] };
    let level = bar(["", ways[0]], Point::new(usable.x0, usable.y1 + RIM / 2.0), Vec2::new(1.0, 0.0), grid.factor[0]);
    let upright =
        bar(["-upright", ways[1]], Point::new(usable.x0 - RIM / 2.0, usable.y1), Vec2::new(0.0, -1.0), grid.factor[1]);
    let ends = [usable.x0 + level.1, usable.y1 - upright.1];
    (level.0.into_iter().chain(upright.0).collect(), ends)
}

/// Two bars back to back, from `at` in the direction `along`, with their words behind them; and how far they reach.
fn bar([suffix, way]: [&str; 2], at: Point, along: Vec2, factor: f64) -> (Vec<Group>, f64) {
    let on = |a: f64, up: f64| at + a * along - up * along.turn_90();
    let turn = along.y * 90.0;
    let mut words_at = INCH_BAR * factor + GAP;
    let mut groups = Vec::new();
    for (unit, length, parts, side, words) in
        [("mm", MM_BAR, 10, 1.0, format!("100 mm {way}")), ("in", INCH_BAR, 4, -1.0, "4 in".to_string())]
    {
        let mut group =
            Group::new(format!("check-bar-{unit}{suffix}"), "check-bar").with("value", length).with("factor", factor);
        let end = length * factor;
        group.line(on(0.0, APART * side), on(end, APART * side), Pen::Narrow);
        for i in 0..=parts {
            let tick = if i == 0 || i == parts { TICKS[0] } else { TICKS[1] };
            let a = end * f64::from(i) / f64::from(parts);
            group.line(on(a, APART * side), on(a, tick * side), Pen::Narrow);
        }
        let text = Text::new(on(words_at, -WORDS_DOWN), VALUE, Anchor::Start, words).turned(turn);
        words_at += text.width() + GAP;
        group.text(text);
        groups.push(group);
    }
    (groups, words_at)
}

/// The page that shows how the tiles lie, where no tile has room for it.
pub fn plan(grid: &Grid, spread: &FullSize, (title, shortens): (&TileTitle, bool), page: [usize; 2]) -> Sheet {
    let usable = usable(grid.paper);
    let mut groups = framed(grid.paper);
    let [columns, rows] = grid.count();
    let place = format!("all of {rows} × {columns}");
    let (name, what) = if columns * rows > 1 { ("Plan", "plan of the tiles") } else { ("Notes", "notes") };
    groups.extend(strip(grid.paper, (title, shortens), [name, &place, "–"], page));
    groups.extend(
        plan::draw(grid, spread, title, None, Rect { y1: usable.y1 + RIM / 2.0, ..usable }).unwrap_or_default(),
    );
    Sheet { title: format!("{}, {what}", title.title), paper: grid.paper, scale: "–".into(), groups }
}
