//! The sheet beside the printer: how the block looks, how it lies on the bed, how to slice it, what it weighs.

use kurbo::{Point, Rect, Size, Vec2};

use super::picture::Picture;
use crate::block::cleat::Cleat;
use crate::block::{Layout, print, regions};
use crate::drawing::frame::{Title, outline};
use crate::drawing::page::{Block, Pages, REMARK, RUNNING};
use crate::drawing::paper::{NONE, Paper};
use crate::drawing::style::{Fill, Pen, SMALL};
use crate::drawing::table::{Cell, Table};
use crate::drawing::{Anchor, Group, Text};
use crate::job::Job;
use crate::shape::polygon::{Outline, millimetres};
use crate::shape::stack::Stack;
use crate::units::{COARSE, MM_PER_INCH, WHOLE, fixed};
use crate::views::assembly::Draft;

/// Tallest pictures, mm, the best first: a lower one where all then goes on one page.
const TALLEST: [f64; 4] = [78.0, 62.0, 48.0, 34.0];
/// Largest picture of the bed, mm.
const BED: f64 = 50.0;

/// Where the table of masses begins beside the bed, mm.
const BESIDE_BED: f64 = 5.0 * SMALL + 6.0;

/// What every sheet says at its foot.
const CAUTIONS: &str = "A printer's nozzle and bed burn, and molten plastic gives off fumes: air the room and follow the instructions of the makers of printer and filament, and local rules. These figures are calculated. Measure every fence, and prove the angle on a plate, before you rely on a lane. Sharp edges cut.";

/// Draws the sheet of a block, which looks like `picture`; `parts` are the names of its files and their slabs.
pub fn sheets(
    job: &Job,
    layout: &Layout,
    cleat: Option<&Cleat>,
    parts: &[(&str, &Stack)],
    picture: &Picture,
) -> Vec<Draft> {
    let kind = "Print";
    let title_block = Title {
        title: layout.marked(),
        kind: kind.into(),
        guide: layout.guide.clone(),
        fingerprint: Some(layout.fingerprint.clone()),
        scale: NONE,
        projection: job.projection_angle,
        tolerances: "ISO 2768-m".into(),
        unit: layout.written.unit().into(),
        block: layout.number,
        page: [1, 1],
        date: job.date.clone(),
    };
    let pages = Pages {
        title: format!("{kind}: {}", layout.titled()),
        paper: Paper::sheet(job.sheet_size.unwrap_or(job.home_paper()), false),
        title_block,
        foot: &[CAUTIONS.to_string()],
    };
    let width = pages.area().width;
    let mut drawn = TALLEST.iter().map(|tallest| {
        pages.flow_evenly(&blocks(job, layout, cleat, parts, picture.within(Size::new(width, *tallest)), width))
    });
    let first = drawn.next().unwrap_or_default();
    let sheets = if first.len() == 1 { first } else { drawn.find(|sheets| sheets.len() == 1).unwrap_or(first) };
    sheets.into_iter().map(|sheet| Draft { sheet, title: pages.title_block.clone() }).collect()
}

/// What stands on the sheet, below a picture of the given size.
fn blocks(
    job: &Job,
    layout: &Layout,
    cleat: Option<&Cleat>,
    parts: &[(&str, &Stack)],
    (picture, size): (Vec<Group>, Size),
    width: f64,
) -> Vec<Block> {
    let picture = picture.into_iter().map(|g| g.moved(((width - size.width) / 2.0, 0.0))).collect();
    let (mut bed, bed_size) = on_the_bed(job, layout);
    let weights = weights(job, parts);
    // Beside a bed that is far wider than deep the table is the higher of the two.
    let beside_bed = bed_size.height.max(BESIDE_BED + weights.size(1).height);
    bed.extend(weights.draw((bed_size.width + 6.0, BESIDE_BED), 1));
    let mut blocks = vec![
        Block::heading("picture-heading", "The block, from the near edge"),
        Block::figure(picture, size.height),
        Block::heading("bed-heading", "On the bed, and sliced"),
        Block::figure(bed, beside_bed),
    ];
    blocks.extend(advice(job, layout, width));
    if let Some(cleat) = cleat {
        // As long as shops sell them: whole millimetres, or eighths of an inch.
        let step = layout.written.choose(1.0, MM_PER_INCH / 8.0);
        let [short, long] = cleat.screws.map(|mm| mm / step);
        let screws = [short.ceil(), long.floor()].map(|steps| layout.written.native(steps * step));
        let words = format!(
            "Screw the cleat under the block with two No. 8 wood screws, {} to {} long, through the holes of the raised middle; its sides then hang on the bench's edge, for the near edge as for the far one.",
            screws[0],
            screws[1].said()
        );
        blocks.push(Block::paragraph("cleat", "", &words, RUNNING, width));
    }
    blocks.push(Block::paragraph(
        "solid",
        "",
        "Weights are for solid parts; infill makes them lighter. Slicer settings are a starting point; your printer maker's advice comes first.",
        REMARK,
        width,
    ));
    blocks
}

/// A line for each setting of the slicer.
fn advice(job: &Job, layout: &Layout, width: f64) -> Vec<Block> {
    let lines = print::advice(job, layout).into_iter();
    let block = |(i, [what, how]): (usize, [String; 2])| {
        Block::lines(&format!("advice-{}", i + 1), &what, &how, RUNNING, ADVICE, width)
    };
    lines.enumerate().map(block).collect()
}

/// Width of the first column of the advice, mm.
const ADVICE: f64 = 24.0;

/// Volume and mass of the parts.
fn weights(job: &Job, parts: &[(&str, &Stack)]) -> Table {
    let heading = [["part", ""], ["volume", job.written.volume_unit()], ["mass", "g"]];
    let row = |(name, stack): &(&str, &Stack)| {
        let volume = stack.volume();
        let mass = job.print.mass(volume);
        vec![
            Cell::words(*name),
            Cell {
                words: job.written.volume_digits(volume).to_string(),
                value: Some((format!("{name}-volume"), volume)),
            },
            Cell { words: fixed(mass, 0), value: Some((format!("{name}-mass"), mass)) },
        ]
    };
    let mut table = Table::new("weights", &heading, parts.iter().map(row).collect());
    table.least = vec![40.0, 30.0, 30.0];
    table
}

/// The bed from above with the block on it as it is turned, and the size of the bed's figure, mm.
fn on_the_bed(job: &Job, layout: &Layout) -> (Vec<Group>, Size) {
    let Size { width, height: depth } = job.print.bed;
    let own = if layout.turned { (layout.depth, layout.length) } else { (layout.length, layout.depth) };
    // A block of one lane may be larger than the bed.
    let whole = Size::new(width.max(own.0), depth.max(own.1));
    let k = BED / whole.width.max(whole.height);
    let size = whole * k;
    let mut bed = Group::new("bed", "figure").with("width", width).with("depth", depth);
    let area = Rect::from_center_size(size.to_rect().center(), job.print.bed * k);
    bed.path([outline(area)], true, Pen::Narrow, Fill::Pale);
    let corner = Vec2::new((whole.width - own.0) / 2.0, (whole.height - own.1) / 2.0);
    let at = |Point { x, y }: Point| {
        let Point { x, y } = if layout.turned { Point::new(layout.depth - y, x) } else { Point::new(x, y) } + corner;
        Point::new(x * k, size.height - y * k)
    };
    let drawn = |o: &Outline| -> Vec<Point> { o.iter().map(|c| at(millimetres(*c))).collect() };
    let regions = regions::regions_of(layout);
    let mut block = Group::new("bed-block", "figure").with("turned", layout.turned);
    block.path([drawn(&regions.board[0])], true, Pen::Narrow, Fill::Lit);
    block.path([drawn(&regions.middle[0])], true, Pen::Narrow, Fill::Half);
    let mut words = Group::new("bed-words", "note");
    let say = |y: f64, words: String| Text::new((size.width + 6.0, y), SMALL, Anchor::Start, words);
    words.text(say(SMALL + 2.0, format!("bed {}", job.written.sides([width, depth], WHOLE))));
    let turn = if layout.turned { ", turned by a quarter" } else { "" };
    words.text(say(
        3.0 * SMALL + 2.0,
        format!("block {}{turn}", job.written.sides([layout.length, layout.depth], COARSE)),
    ));
    let near = if layout.turned { "right" } else { "lower" };
    words.text(say(5.0 * SMALL + 2.0, format!("the near edge is the {near} one")));
    (vec![bed, block, words], size)
}
