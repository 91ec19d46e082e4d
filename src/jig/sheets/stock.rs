//! The cut list, how it comes out of stock, and what is to be bought.

use kurbo::{Affine, Point, Rect};

use super::{Draft, Drawer};
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

pub(super) fn sheets(drawer: &Drawer) -> Vec<Draft> {
    drawer.text("Cut list", |pages| {
        let width = pages.area().width;
        let mut blocks = vec![Block::heading("cut-list-heading", "Cut list, finished sizes")];
        blocks.extend(Block::table(&cut_list(drawer), width));
        for (i, words) in materials(drawer).iter().enumerate() {
            let mut line = Block::paragraph(&format!("material-{}", i + 1), "", words, RUNNING, width);
            line.above = 1.6;
            blocks.push(line);
        }
        blocks.push(Block::heading("stock-heading", "Out of stock"));
        for (i, cut) in drawer.jig.cutting.stocks.iter().enumerate() {
            blocks.extend(stock(drawer, i + 1, cut, width));
        }
        blocks.push(Block::heading("hardware-heading", "Hardware"));
        for (i, item) in drawer.jig.hardware.iter().enumerate() {
            let count = if item.count > 0 { item.count.to_string() } else { "–".into() };
            let mut line = Block::paragraph(&format!("hardware-{}", i + 1), &count, &item.what, RUNNING, width);
            line.above = 1.2;
            blocks.push(line);
        }
        blocks
    })
}

/// What the parts are made of: a line a material, with the letters of its parts.
fn materials(drawer: &Drawer) -> Vec<String> {
    let mut lines: Vec<(String, Vec<&str>)> = Vec::new();
    for part in &drawer.jig.parts {
        let words = format!("{}, grain {}", part.material, part.grain);
        match lines.iter_mut().find(|(w, _)| *w == words) {
            Some((_, letters)) => letters.push(&part.letter),
            None => lines.push((words, vec![&part.letter])),
        }
    }
    lines.into_iter().map(|(words, letters)| format!("{}: {words}", letters.join(", "))).collect()
}

fn cut_list(drawer: &Drawer) -> Table {
    let unit = drawer.jig.written.unit();
    let heading = [["part", ""], ["quantity", ""], ["length", unit], ["width", unit], ["thickness", unit]];
    let row = |part: &crate::jig::parts::Part| {
        let size = |i: usize, what: &str| Cell {
            words: drawer.bare(part.size[i]),
            value: Some((format!("cut-{}-{what}", part.letter), part.size[i])),
        };
        vec![
            Cell::words(format!("{} {}", part.letter, part.kind.name())),
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
        blocks.push(picture(cut, board, &format!("stock-{number}-{}", i + 1), most, length));
    }
    let note = cut.note.as_ref().map(|n| Block::paragraph(&format!("stock-{number}-note"), "", n, RUNNING, most));
    blocks.extend(note);
    blocks
}

/// A board with its pieces lettered; drawn to fit, a narrow one wider than it is.
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
