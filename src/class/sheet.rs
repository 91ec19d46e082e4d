//! The sheets of a class: a lesson of one page, and a label for each block.

use super::report;
use super::wear::Roller;
use super::{Class, Row, Sets, Shared, alike, short_numbers};
use crate::drawing::Sheet;
use crate::drawing::frame::Title;
use crate::drawing::page::{Block, Column, Pages, REMARK, RUNNING, balanced, columns};
use crate::drawing::paper::{NONE, Paper};
use crate::drawing::table::{Cell, Table};
use crate::kit::Kit;
use crate::layout::Placed;
use crate::terms::PaperSize;
use crate::units::{FINE, short};

/// Widths of the lesson's columns that are filled in by hand, mm.
const BY_HAND: [f64; 5] = [44.0, 28.0, 16.0, 22.0, 26.0];
/// Most rows of the lesson's own settings.
const OWN_ROWS: usize = 12;
/// Width of a label's column of tools, mm.
const TOOL: f64 = 52.0;
/// Width of a column for what was measured, mm.
const BLANK: f64 = 24.0;

/// At the foot of the lesson.
const CAUTIONS: &str = "Sharp edges cut: keep fingers behind the edge, and carry a blade with its edge down and covered. Wear eye protection at a grinder. Follow your tools' makers' instructions, your teacher and local rules.";
/// At the foot of a label.
const SHORT_CAUTIONS: &str = "Sharp edges cut: keep fingers behind the edge.";

/// The lesson, then the labels.
pub fn sheets(class: &Class, size: PaperSize) -> Vec<Sheet> {
    let feet = [CAUTIONS, SHORT_CAUTIONS].map(|words| [words.to_string()]);
    let pages = |of: Option<&Shared>, page: [usize; 2]| Pages {
        title: format!("{}: {}", kind(of), class.job.title),
        paper: Paper::sheet(size, false),
        title_block: Title {
            title: class.job.title.clone(),
            kind: kind(of),
            guide: short_numbers(&of.map_or_else(|| class.all(), |block| block.guides.clone())),
            // The lesson is the same whatever the guides measure.
            fingerprint: of.map(|block| block.job.fingerprint()),
            block: None,
            page,
            scale: NONE,
            projection: class.job.projection_angle,
            tolerances: format!("±{}°", short(class.job.tolerance, 3)),
            unit: class.job.written.unit().into(),
            date: class.job.date.clone(),
        },
        foot: &feet[usize::from(of.is_some())],
    };
    let area = pages(None, [1, 1]).area();
    // As many blank rows as go on the one page.
    let with = |rows: usize| columns(lesson(rows, area.width), area.height, None);
    let one_page = (0..=OWN_ROWS).rev().map(with).find(|columns| columns.len() == 1);
    let lesson = one_page.unwrap_or_else(|| with(0)).into_iter().map(|column| (None, column));
    let label = |(i, block)| {
        let columns = balanced(&label(class, i, block, area.width), area.height);
        columns.into_iter().map(move |column| (Some(block), column))
    };
    let labels = class.blocks.iter().enumerate().flat_map(label);
    let all: Vec<(Option<&Shared>, Column)> = lesson.chain(labels).collect();
    let count = all.len();
    all.into_iter().enumerate().map(|(i, (of, column))| pages(of, [i + 1, count]).sheet(column.groups)).collect()
}

/// What a sheet is: the lesson, or the label of a block.
fn kind(of: Option<&Shared>) -> String {
    of.map_or_else(|| "Lesson".into(), |block| format!("Label of {}", block.name().to_lowercase()))
}

/// The lesson, with so many rows for one's own settings.
fn lesson(rows: usize, width: f64) -> Vec<Block> {
    let paragraph = |id: String, lead: &str, words: &str| Block::paragraph(&id, lead, words, REMARK, width);
    let mut blocks = vec![
        Block::heading("why", "Why a block?"),
        paragraph("why-1".into(), "", WHY),
        Block::heading("order", "The order of work"),
    ];
    blocks.extend(
        ORDER.iter().enumerate().map(|(i, words)| paragraph(format!("order-{}", i + 1), &format!("{}.", i + 1), words)),
    );
    blocks.push(Block::heading("mistakes", "Three mistakes"));
    blocks.extend(
        MISTAKES
            .iter()
            .enumerate()
            .map(|(i, words)| paragraph(format!("mistake-{}", i + 1), &format!("{}.", i + 1), words)),
    );
    blocks.push(Block::heading("own", "My settings"));
    blocks.push(paragraph(
        "own-name".into(),
        "",
        "My name: ________________________   My guide: ______   My block: ______",
    ));
    let heading = [["tool", ""], ["bevel", ""], ["angle", "°"], ["lane", ""], ["measured", "°"]];
    let mut table = Table::new("own", &heading, vec![vec![Cell::default(); heading.len()]; rows]);
    table.least = BY_HAND.to_vec();
    if rows > 0 {
        blocks.extend(Block::table(&table, width));
    }
    blocks
}

const WHY: &str = "How far the blade sticks out of the guide decides the angle of its bevel. On the block a fence stops the blade at that distance; the flat in front of it, with its letter, is a lane. Set the blade in the same way every time, and the bevel comes out at the same angle. A lane is right only for the tools and guides that the block's label names for it.";

/// The order of work. Common practice, no source.
const ORDER: [&str; 8] = [
    "Look up the number on your guide, and take the block whose label has it. The label shows the lane for your tool and bevel: write it down below.",
    "Clamp the block to the bench as its drawing says, the lane's edge toward you, so that the roller hangs clear. Wipe blade, guide and block. Remove any burr from the back.",
    "Put the blade into the guide, back up, so tight that it only just slides. Hold the guide's front flat against the block's edge, with the blade flat on the table and in line with its marks.",
    "Slide the blade gently up to the fence until it touches. A cambered blade touches in the middle only. Clamp it, and look once more: guide flat against the block, blade against the fence.",
    "The first time in a lane, check the angle before you hone: stand roller and edge on a flat plate, back up, and lay an inclinometer on the back. The bevel must be no steeper than the lane's angle. Never slide the edge.",
    "Hone on the coarse stone until there is a burr along the whole edge; feel for it off the back, away from the edge. Leave this out where the primary bevel is good already.",
    "Go on to the finer stones, and stay on each until the scratches of the last one are gone. For a micro-bevel set the blade again in its own lane, and take a few light strokes on the finest stone.",
    "Lay the back flat on the finest stone only. Take a few strokes on back and bevel by turns until the burr is gone. Wipe everything dry.",
];

/// The mistakes that are made most. Common practice, no source.
const MISTAKES: [&str; 3] = [
    "You use the lane of another guide or tool: it looks right, and the angle is wrong. Compare the numbers.",
    "There is dirt in the seat, or the guide is not flat against the block: the blade sits crooked.",
    "You leave the first stone without a burr: the bevel has not reached the edge, and nothing finer helps.",
];

/// The label of a block.
fn label(class: &Class, index: usize, block: &Shared, width: f64) -> Vec<Block> {
    let id = |what: &str| format!("label-{}-{what}", index + 1);
    let paragraph = |what: &str, words: &str| Block::paragraph(&id(what), "", words, RUNNING, width);
    let mut blocks = vec![Block::heading(&id("heading"), &block.name())];
    blocks.extend(guides_of(&id("guides"), class, block, width));
    let mark = block.job.fingerprint();
    let marked = match block.is_marked() {
        true => format!("Use this label only with the block that is marked {mark}."),
        false => format!("The block bears no mark: write {mark} on it, and use this label with it only."),
    };
    blocks.push(paragraph("fingerprint", &marked));
    blocks.push(Block::heading(&id("which"), "Which lane?"));
    let rows = block.rows(class);
    blocks.extend(lanes_of_tools(&id("lanes"), class.kit(), block, &rows, width));
    let has = |what: Sets| rows.iter().any(|row| row.sets.contains(&what));
    if has(Sets::ByHand) {
        blocks.push(paragraph(
            "by-hand",
            "By hand: this guide does not set it. Use another guide that does, or hone it by hand.",
        ));
    }
    if has(Sets::Passing) {
        blocks.push(paragraph("passing", "A dash: the blade has this bevel already. Hone only its micro-bevel."));
    }
    blocks.push(Block::heading(&id("fences"), "Check the block"));
    blocks.push(paragraph(
        "measure",
        "Measure each fence from the edge of the block that it is used from: it must lie between the limits. Then prove an angle on a plate.",
    ));
    keep_with_next(&mut blocks);
    blocks.extend(Block::table(&fences(&id("fence"), class, block), width));
    blocks.push(Block::heading(&id("recheck"), "Check the rollers"));
    blocks.push(paragraph("day", &report::recheck(class, block)));
    keep_with_next(&mut blocks);
    blocks.extend(Block::table(&rollers(&id("roller"), class, block), width));
    blocks.push(paragraph("wear", &report::wear(class)));
    blocks
}

/// Keeps what stands last on the page of what comes next.
fn keep_with_next(blocks: &mut [Block]) {
    if let Some(last) = blocks.last_mut() {
        last.keeps = true;
    }
}

/// The guides of a block: in a sentence, or in a table where that is long.
fn guides_of(id: &str, class: &Class, block: &Shared, width: f64) -> Vec<Block> {
    const LONG: usize = 200;
    let name = |guide: usize| class.guides[guide].guide.name.clone();
    let said: Vec<String> =
        block.guides.iter().map(|&guide| format!("guide {} ({})", guide + 1, name(guide))).collect();
    let said = format!("For {}.", said.join(", "));
    if said.chars().count() <= LONG {
        return vec![Block::paragraph(id, "", &said, RUNNING, width)];
    }
    let row = |&guide: &usize| vec![Cell::words(name(guide)), Cell::words((guide + 1).to_string())];
    let table = Table::new(id, &[["for guide", ""], ["number", ""]], block.guides.iter().map(row).collect());
    Block::table(&table, width)
}

/// Which lane sets which bevel, a column for guides that use the same, in as many tables as the page's width asks for.
fn lanes_of_tools(id: &str, kit: &Kit, block: &Shared, rows: &[Row], width: f64) -> Vec<Block> {
    /// A heading that is longer is told below the table, signs.
    const LONG: usize = 16;
    let groups = alike(rows);
    let numbers: Vec<String> = groups.iter().map(|group| block.numbers_of(group)).collect();
    let is_long = |of: &String| of.chars().count() > LONG;
    let head = |i: usize| if is_long(&numbers[i]) { format!("column {}", i + 1) } else { numbers[i].clone() };
    let table = |number: usize, of: &[usize]| {
        let heads: Vec<String> = of.iter().map(|&i| head(i)).collect();
        let own = [["tool", ""], ["bevel", ""], ["angle", "°"]];
        let heading: Vec<[&str; 2]> = own.into_iter().chain(heads.iter().map(|of| [of.as_str(), "lane"])).collect();
        let cells = |row: &Row| {
            let own = [kit.blades[row.blade].name.clone(), row.bevel.name().into(), short(row.angle, 2)];
            let lanes = of.iter().map(|&i| block.set_words(row.sets[groups[i][0]]));
            own.into_iter().chain(lanes).map(Cell::words).collect()
        };
        let mut table = Table::new(&format!("{id}-{number}"), &heading, rows.iter().map(cells).collect());
        table.first = Some(TOOL);
        table
    };
    let (mut blocks, mut from, mut number) = (Vec::new(), 0, 0);
    while from < groups.len() {
        let places: Vec<usize> = (from..groups.len()).collect();
        // One column at least.
        let fits = |count: &usize| table(0, &places[..*count]).size(1).width <= width;
        let count = (1..=places.len()).take_while(fits).last().unwrap_or(1);
        number += 1;
        blocks.extend(Block::table(&table(number, &places[..count]), width));
        from += count;
    }
    let long = numbers.iter().enumerate().filter(|(_, of)| is_long(of));
    blocks.extend(long.map(|(i, of)| {
        let words = format!("Column {}: {of}.", i + 1);
        Block::paragraph(&format!("{id}-column-{}", i + 1), "", &words, RUNNING, width)
    }));
    blocks
}

/// What the fences must measure.
fn fences(id: &str, class: &Class, block: &Shared) -> Table {
    let written = class.job.written;
    let unit = written.first_unit();
    let in_pieces = block.pieces.len() > 1;
    let lengths = [["fence", unit], ["from", unit], ["to", unit], ["measured", unit]];
    let piece = in_pieces.then_some(["block", ""]);
    let heading: Vec<[&str; 2]> = [["lane", ""], ["edge", ""]].into_iter().chain(piece).chain(lengths).collect();
    let number = |mm: f64| written.first().fixed(mm, FINE).to_string();
    let row = |(placed, piece): (&Placed, usize)| {
        let lane = &placed.lane;
        let value = |what: &str, mm: f64| Cell {
            words: number(mm),
            value: Some((format!("{id}-{}-{what}", lane.request.id), mm)),
        };
        let piece = in_pieces.then(|| Cell::words(piece.to_string()));
        let before = [lane.request.id.clone(), placed.edge.name().into()].map(Cell::words);
        let [least, most] = report::limits(lane);
        let lengths = [value("distance", lane.printed()), value("least", least), value("most", most), Cell::default()];
        before.into_iter().chain(piece).chain(lengths).collect()
    };
    let mut table = Table::new(id, &heading, block.placed().into_iter().map(row).collect());
    table.least = vec![0.0; heading.len() - 1];
    table.least.push(BLANK);
    table
}

/// How thin the rollers may get.
fn rollers(id: &str, class: &Class, block: &Shared) -> Table {
    let written = class.job.written;
    let unit = written.first_unit();
    let heading = [["bevel affected first", ""], ["guide", ""], ["now", unit], ["least", unit], ["measured", unit]];
    let row = |roller: &Roller| {
        let value = |what: &str, words: String, mm: f64| Cell {
            words,
            value: Some((format!("{id}-{}-{what}", roller.guide + 1), mm)),
        };
        let now = written.first().fixed(roller.diameter, FINE).to_string();
        vec![
            Cell::words(report::first_to_leave(class, block, roller)),
            Cell::words((roller.guide + 1).to_string()),
            value("diameter", now, roller.diameter),
            value("least", report::least(written, roller), roller.least()),
            Cell::default(),
        ]
    };
    let mut table = Table::new(id, &heading, block.recheck.rollers.iter().map(row).collect());
    table.least = vec![0.0, 0.0, 0.0, 0.0, BLANK];
    table
}
