//! The gauges' sheets: every plate at full size, what is to be seen in use, and what to mind.
//!
//! A bevel plate has a sheet of its own; camber plates share sheets, as many as go on one. What a sheet does not take
//! goes on to the next. Every sheet with a plate bears the check bars.

pub mod cuts;
mod in_use;
mod words;

use kurbo::{Point, Size, Vec2};

use super::bevel::{Bevel, End as Flank, Limit, within};
use super::light::Making;
use super::plate::THICKNESS;
use super::report::curve;
use super::{Plate, Shape, Wanted};
use crate::drawing::dimension::{Linear, drawn};
use crate::drawing::frame::{BARS_HEIGHT, MADE, Notes, TITLE_BLOCK, check_bars, framed};
use crate::drawing::page::{Block, Column, REMARK, RUNNING, balanced};
use crate::drawing::paper::{FULL, Paper};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::table::{Cell, Table};
use crate::drawing::view::View;
use crate::drawing::{Group, Sheet, clash};
use crate::shape::polygon::Outline;
use crate::units::{COARSE, EXACT, FINE, Written, short};

/// Space between the frame and what stands on a sheet, mm.
const MARGIN: f64 = 4.0;
/// Room for dimensions to the left of a plate and below it, mm.
const BESIDE: [f64; 2] = [14.0, 11.0];
/// Space between a plate and the words beside it, mm.
const BESIDE_PLATE: f64 = 6.0;
/// The narrowest column of words beside a plate, mm.
const NARROWEST: f64 = 55.0;
/// Height of camber plates with their dimensions that share a sheet, mm.
const SHARED: f64 = 120.0;

/// Id of the group that holds a plate's outline at full size.
pub fn outline_id(plate: &Plate) -> String {
    format!("{}-outline", plate.name)
}

/// The sheets, each with the name of its file.
pub fn sheets(wanted: &Wanted, plates: &[Plate]) -> Vec<(String, Sheet)> {
    together(plates).into_iter().flat_map(|group| of_group(wanted, &group)).collect()
}

/// The plates that go on one sheet.
fn together(plates: &[Plate]) -> Vec<Vec<&Plate>> {
    let mut groups: Vec<Vec<&Plate>> = Vec::new();
    let camber = |p: &Plate| matches!(p.shape, Shape::Camber(_));
    let height = |p: &Plate| p.size.height + BESIDE[1] + 12.0;
    for plate in plates {
        match groups.last_mut() {
            Some(group)
                if camber(plate)
                    && group.iter().all(|p| camber(p))
                    && group.iter().map(|p| height(p)).sum::<f64>() + height(plate) <= SHARED =>
            {
                group.push(plate);
            }
            _ => groups.push(vec![plate]),
        }
    }
    groups
}

fn of_group(wanted: &Wanted, plates: &[&Plate]) -> Vec<(String, Sheet)> {
    let Some(first) = plates.first() else { return Vec::new() };
    let maker = Maker { wanted, paper: Paper::sheet(wanted.paper, false), kind: first.shape.words() };
    let sheets = maker.flow(maker.blocks(plates));
    let of = sheets.len();
    let named = |(i, sheet)| {
        let page = if of == 1 { String::new() } else { format!("-page-{}", i + 1) };
        (format!("{}{page}", first.name), sheet)
    };
    sheets.into_iter().enumerate().map(named).collect()
}

struct Maker<'a> {
    wanted: &'a Wanted,
    paper: Paper,
    kind: &'static str,
}

impl Maker<'_> {
    /// Width that a sheet offers, mm.
    fn width(&self) -> f64 {
        let bounds = self.paper.frame();
        bounds.width() - 2.0 * MARGIN
    }

    fn unit(&self) -> &'static str {
        self.wanted.written.unit()
    }

    fn blocks(&self, plates: &[&Plate]) -> Vec<Block> {
        let mut blocks = vec![Block::figure(check_bars((2.0, 0.0)), BARS_HEIGHT)];
        let mut said = words::words_of(self.wanted, &plates[0].shape).into_iter().enumerate().peekable();
        let paragraph = |(i, words): (usize, String), width: f64| {
            Block::paragraph(&format!("how-{}", i + 1), "–", &words, REMARK, width)
        };
        for plate in plates {
            if let Shape::Camber(camber) = &plate.shape {
                let words = curve(self.wanted, camber);
                let mut named = Block::paragraph(&format!("{}-named", plate.name), "", &words, RUNNING, self.width());
                named.keeps = true;
                blocks.push(named);
            }
            let mut figure = self.plate(plate);
            // Words beside the plate, as many as go there.
            let left = clash::extent(&figure.groups).x1 + BESIDE_PLATE;
            let width = self.width() - left;
            let mut y = 0.0;
            while let Some(next) = said.peek().filter(|_| width >= NARROWEST) {
                let block = paragraph(next.clone(), width);
                if y + block.height > figure.height {
                    break;
                }
                figure.groups.extend(block.groups.into_iter().map(|g| g.moved((left, y))));
                y += block.height + block.above;
                said.next();
            }
            blocks.push(figure);
        }
        let used = in_use::figures(&plates[0].shape);
        let high = clash::extent(&used).y1;
        let mut heading = Block::heading("in-use-heading", "What you see against the light");
        heading.above = 3.0;
        blocks.extend([heading, Block::figure(used, high)]);
        if let Shape::Bevel(bevel) = &plates[0].shape {
            blocks.extend(Block::table(&self.verdicts(bevel), self.width()));
            blocks.extend(Block::table(&self.angles(bevel), self.width()));
        }
        blocks.extend(said.map(|next| paragraph(next, self.width())));
        blocks
    }

    /// A plate at full size with its width and height.
    fn plate(&self, plate: &Plate) -> Block {
        let Size { width: w, height: h } = plate.size;
        let view = View::upright((BESIDE[0], h), FULL.factor);
        let all = |region: &[Outline]| region.iter().map(|o| view.outline(o)).collect::<Vec<_>>();
        let mut outline = Group::new(outline_id(plate), "feature").with("width", w).with("height", h);
        outline.path(all(std::slice::from_ref(&plate.outline)), true, Pen::Narrow, Fill::Lit);
        let mut groups = vec![outline];
        if let Some(stock) = &plate.stock {
            let mut raised = Group::new(format!("{}-stock", plate.name), "feature");
            raised.path(all(std::slice::from_ref(stock)), true, Pen::Narrow, Fill::Half);
            groups.push(raised);
        }
        let mut letters = Group::new(format!("{}-lettering", plate.name), "feature");
        letters.path(all(&plate.lettering.region), true, Pen::None, Fill::Ink);
        letters.path(all(&plate.marks), true, Pen::None, Fill::Ink);
        groups.push(letters);
        let origin = view.at((0.0, 0.0));
        let dimension = |what: &str, value: f64, ends: [Point; 2], through: Point, along: (f64, f64)| {
            // What is gauged is stated elsewhere: these are for finding the plate on the bed.
            let words = self.wanted.written.short(value, COARSE).to_string();
            drawn(&format!("{}-{what}", plate.name), "size", value, &Linear::new(ends, through, along, words))
        };
        groups.push(dimension("width", w, [origin, view.at((w, 0.0))], origin + (0.0, 7.0), (1.0, 0.0)));
        let ends = [origin, view.at((0.0, h))];
        groups.push(dimension("height", h, ends, origin - (6.0, 0.0), (0.0, -1.0)));
        // The words of a low plate's height reach above it.
        let above = (-clash::extent(&groups).y0).max(0.0);
        let groups = groups.into_iter().map(|g| g.moved((0.0, above))).collect();
        Block::figure(groups, above + h + BESIDE[1])
    }

    /// What is seen, and what it says.
    fn verdicts(&self, bevel: &Bevel) -> Table {
        let row = |cells: [&str; 3]| cells.map(Cell::words).to_vec();
        let within = match bevel.claims() {
            [least, most] if least == most => format!("within {}: done", within([least, most])),
            _ => "within what the next table says: done".to_string(),
        };
        let rows = vec![
            row(["at the hole", "at the heel", &within]),
            row(["at the heel", "at the heel", "too shallow: steeper at the stone"]),
            row(["at the hole", "at the hole", "too steep: shallower at the stone"]),
        ];
        Table::new("verdicts", &[["light in the", "notch −"], ["light in the", "notch +"], ["the bevel is", ""]], rows)
    }

    /// The notches in numbers, a row an angle; in one unit where two find no room side by side.
    fn angles(&self, bevel: &Bevel) -> Table {
        let table = self.angles_in(bevel, self.wanted.written);
        if table.size(1).width <= self.width() {
            table
        } else {
            self.angles_in(bevel, self.wanted.written.first_alone())
        }
    }

    fn angles_in(&self, bevel: &Bevel, written: Written) -> Table {
        let unit = written.unit();
        let bare = |mm: f64| written.short(mm, EXACT).to_string();
        let thinnest = format!("thinnest, {unit}");
        let heading = [
            ["bevel", "°"],
            ["notch −", "°"],
            ["notch +", "°"],
            ["good to", "± °"],
            ["hole, radius", unit],
            ["blades from", unit],
            ["to", unit],
            ["gap, of the", &thinnest],
        ];
        let row = |pair: &[crate::gauges::bevel::Notch]| {
            let [lower, upper] = pair else { return Vec::new() };
            let id = short(lower.bevel, 4);
            let value = |what: &str, words: String, value: f64| Cell {
                words,
                value: Some((format!("angle-{id}-{what}"), value)),
            };
            let thinnest = bevel.thinnest([lower, upper], self.wanted.making);
            let gap = [lower, upper].map(|n| n.rest(n.bevel, thinnest).gap);
            let gap = gap[0].min(gap[1]);
            vec![
                Cell::words(short(lower.bevel, 3)),
                value("lower", short(lower.angle, 3), lower.angle),
                value("upper", short(upper.angle, 3), upper.angle),
                value("within", short(lower.within, 2), lower.within),
                value("hole", bare(lower.relief), lower.relief),
                value("from", bare(thinnest), thinnest),
                value("to", bare(bevel.thickness), bevel.thickness),
                value("gap", written.fixed(gap, FINE).to_string(), gap),
            ]
        };
        Table::new("angles", &heading, bevel.notches.chunks(2).map(row).collect())
    }

    /// Blocks one below the other on as many sheets as they need.
    fn flow(&self, blocks: Vec<Block>) -> Vec<Sheet> {
        let bounds = self.paper.frame();
        let cautions = Notes::new(&words::cautions(self.wanted.making), self.width());
        let foot = bounds.y1 - TITLE_BLOCK.height - 2.0 - cautions.height();
        let pages = balanced(&blocks, foot - bounds.y0 - MARGIN - 2.0);
        let of = pages.len();
        let at = bounds.origin().to_vec2() + Vec2::new(MARGIN, MARGIN);
        let sheet = |(i, content): (usize, Column)| {
            let mut groups = self.frame([i + 1, of]);
            groups.extend(content.groups.into_iter().map(|g| g.moved(at)));
            let mut notes = cautions.draw((bounds.x0 + MARGIN, foot));
            notes.id = "cautions".into();
            groups.push(notes);
            let title = format!("{}: {}", self.wanted.title, self.kind);
            Sheet { title, paper: self.paper, scale: FULL.name.into(), groups }
        };
        pages.into_iter().enumerate().map(sheet).collect()
    }

    /// Frame and title block.
    fn frame(&self, [page, of]: [usize; 2]) -> Vec<Group> {
        let sheet = format!("{page} of {of}");
        let upper_row = [("title", 104.0, self.wanted.title.as_str()), ("document", 76.0, self.kind)];
        let made = match self.wanted.making {
            Making::Printed => ("nozzle", self.wanted.written.printer(self.wanted.print.nozzle)),
            Making::Metal => ("to be cut in", "metal".into()),
        };
        let plate = format!("{} thick", self.wanted.said(THICKNESS));
        let middle_row = [
            (made.0, 56.0, made.1.as_str()),
            ("plate", 60.0, plate.as_str()),
            ("sheet", 24.0, sheet.as_str()),
            ("paper", 24.0, self.paper.name()),
            ("scale", 16.0, FULL.name),
        ];
        let lower_row = [
            ("unit", 32.0, self.unit()),
            ("date", 32.0, ""),
            ("drawn", 40.0, ""),
            ("checked", 40.0, ""),
            ("computed by", 36.0, MADE),
        ];
        framed(self.paper, FULL.name, [&upper_row, &middle_row, &lower_row])
    }
}

/// The limit and end at which light shows for a bevel as wanted: what the figures draw.
fn as_wanted(limit: Limit) -> Flank {
    match limit {
        Limit::Lower => Flank::Rim,
        Limit::Upper => Flank::Heel,
    }
}
