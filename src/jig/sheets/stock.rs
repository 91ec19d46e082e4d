//! The cut list, how it comes out of stock, and what is to be bought.

use kurbo::{Affine, Point, Rect, Size};

use super::Drawer;
use super::piece::{self, Piece};
use crate::drawing::frame::outline;
use crate::drawing::page::{Block, RUNNING};
use crate::drawing::style::{Fill, Pen, VALUE};
use crate::drawing::table::{Cell, Table};
use crate::drawing::{Anchor, Group, Text};
use crate::jig::cutting::Cut;
use crate::shape::font::width;
use crate::units::fixed;
use crate::wood::stock::{Area, Board};

/// Heights of a board's picture, mm of paper.
const TALLEST: f64 = 36.0;
const LOWEST: f64 = 7.0;

/// What its pages are called.
const KIND: &str = "Cut list";
/// Narrowest column of words beside a table, mm.
const NARROWEST: f64 = 56.0;
/// Narrowest column of the cut list's words, mm.
const NARROWEST_LIST: f64 = 80.0;

pub(super) fn pieces(drawer: &Drawer, page: Size) -> Vec<Piece> {
    let width = page.width;
    let heading = Block::heading("cut-list-heading", "Cut list, finished sizes");
    let table = cut_list(drawer);
    let listed = table.size(1).width.clamp(NARROWEST_LIST, width);
    let materials = |wide: f64| {
        let line = move |(i, words): (usize, String)| {
            let mut line = Block::paragraph(&format!("material-{}", i + 1), "", &words, RUNNING, wide);
            line.above = 1.6;
            line
        };
        materials(drawer).into_iter().enumerate().map(line).collect::<Vec<Block>>()
    };
    // A short list stands with its materials wherever there is room.
    let tables = Block::table(&table, width);
    let blocks = [vec![heading.clone()], tables.clone(), materials(listed)].concat();
    let whole = Piece::of(KIND, blocks, listed).loose();
    let mut pieces = if tables.len() == 1 && whole.size.height <= page.height {
        vec![whole]
    } else {
        let mut long = piece::tabled(KIND, vec![heading], &table, page);
        long.push(Piece::of(KIND, materials(width), width));
        long
    };
    // Beside the table where there is room for words.
    let beside = width - piece::BESIDE - table.size(1).width;
    let column = if beside >= NARROWEST { beside } else { width };
    let mut hardware = vec![Block::heading("hardware-heading", "Hardware")];
    for (i, item) in drawer.jig.hardware.iter().enumerate() {
        let count = if item.count > 0 { item.count.to_string() } else { "–".into() };
        let mut line = Block::paragraph(&format!("hardware-{}", i + 1), &count, &item.what, RUNNING, column);
        line.above = 1.2;
        hardware.push(line);
    }
    pieces.push(Piece::of(KIND, hardware, column).loose());
    let mut blocks = vec![Block::heading("stock-heading", "Cutting plan")];
    for (i, cut) in drawer.jig.cutting.stocks.iter().enumerate() {
        blocks.extend(stock(drawer, i + 1, cut, width));
    }
    pieces.extend(piece::pieces(KIND, blocks, width));
    pieces
}

/// What the parts are made of: a line a material, with the numbers of its parts.
fn materials(drawer: &Drawer) -> Vec<String> {
    let mut lines: Vec<(String, Vec<&str>)> = Vec::new();
    for part in &drawer.jig.parts {
        let words = part.described();
        match lines.iter_mut().find(|(w, _)| *w == words) {
            Some((_, numbers)) => numbers.push(&part.number),
            None => lines.push((words, vec![&part.number])),
        }
    }
    lines.into_iter().map(|(words, numbers)| format!("{}: {words}", numbers.join(", "))).collect()
}

fn cut_list(drawer: &Drawer) -> Table {
    let unit = drawer.jig.written.unit();
    let heading = [["part", ""], ["quantity", ""], ["length", unit], ["width", unit], ["thickness", unit]];
    let row = |part: &crate::jig::parts::Part| {
        let size = |i: usize, what: &str| Cell {
            words: drawer.bare(part.size[i]),
            value: Some((format!("cut-{}-{what}", part.number), part.size[i])),
        };
        vec![
            Cell::words(format!("{} {}", part.number, part.kind.name())),
            Cell::words(part.count.to_string()),
            size(0, "length"),
            size(1, "width"),
            size(2, "thickness"),
        ]
    };
    Table::new("cut-list", &heading, drawer.jig.parts.iter().map(row).collect())
}

fn stock(drawer: &Drawer, number: usize, cut: &Cut, most: f64) -> Vec<Block> {
    let boards = &cut.plan.boards;
    let length = boards.iter().map(|b| b.length).fold(0.0, f64::max);
    let mut words = format!(
        "{}, {} × {} × {}: quantity {}; saw cut {}, {} % left over.",
        cut.what,
        drawer.said(length),
        drawer.said(cut.width),
        drawer.said(cut.thickness),
        boards.len(),
        drawer.said(cut.kerf),
        fixed(cut.plan.waste * 100.0, 0)
    );
    if !cut.plan.proven() {
        words += &format!(" (At least {} in all are needed.)", drawer.said(cut.plan.least_length));
    }
    let mut title = Block::paragraph(&format!("stock-{number}"), "", &words, RUNNING, most);
    title.keeps = true;
    let mut blocks = vec![title];
    for (i, board) in boards.iter().enumerate() {
        // What is to be heeded stands with the last board.
        let keeps = i + 1 == boards.len() && !cut.notes.is_empty();
        blocks.push(Block { keeps, ..picture(cut, board, &format!("stock-{number}-{}", i + 1), most, length) });
    }
    if !cut.notes.is_empty() {
        let words = cut.notes.join(" ");
        blocks.push(Block::paragraph(&format!("stock-{number}-note"), "", &words, RUNNING, most));
    }
    blocks
}

/// A board with its pieces numbered; drawn to fit, a narrow one wider than it is.
fn picture(cut: &Cut, board: &Board, id: &str, most: f64, longest: f64) -> Block {
    let k = (most / longest).min(TALLEST / cut.width);
    let tall = (cut.width * k).max(LOWEST);
    let stretch = tall / (cut.width * k);
    // Down the paper is across the board, from its near edge.
    let scaled = Affine::scale_non_uniform(k, k * stretch);
    let place = |a: &Area| scaled.transform_rect_bbox(Rect::new(a.x[0], a.y[0], a.x[1], a.y[1]));
    let mut bounds = Group::new(id, "figure").with("length", board.length).with("width", cut.width);
    let whole = Area { x: [0.0, board.length], y: [0.0, cut.width] };
    bounds.path([outline(place(&whole))], true, Pen::Narrow, Fill::Pale);
    let mut groups = vec![bounds];
    for (i, placement) in board.placements.iter().enumerate() {
        let a = placement.area;
        let piece = &cut.pieces[placement.piece];
        let mut group = Group::new(format!("{id}-piece-{}", i + 1), "feature")
            .with("part", &piece.name)
            .with("x", format!("{} {}", a.x[0], a.x[1]))
            .with("y", format!("{} {}", a.y[0], a.y[1]));
        group.path([outline(place(&a))], true, Pen::Wide, Fill::Tint);
        let middle = scaled * Point::new((a.x[0] + a.x[1]) / 2.0, (a.y[0] + a.y[1]) / 2.0);
        if width(&piece.name, VALUE, false) + 2.0 < (a.x[1] - a.x[0]) * k {
            group.text(Text::new(middle + (0.0, VALUE / 2.0), VALUE, Anchor::Middle, piece.name.as_str()));
        }
        groups.push(group);
    }
    Block::figure(groups, tall)
}
