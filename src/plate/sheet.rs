//! The sheet that shows where to measure: the guide on the plate, what each lane should come to, and room for readings.

use kurbo::{Point, Rect, Vec2};

use super::{Expected, Proof, figure, first_line};
use crate::drawing::dimension::{Linear, drawn};
use crate::drawing::frame::Title;
use crate::drawing::page::{Block, Pages, RUNNING, balanced};
use crate::drawing::paper::{FIFTH, HALF, Paper, Scale, TENTH};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::table::{Cell, Table};
use crate::drawing::view::View;
use crate::drawing::{Group, Sheet, clash};
use crate::honing::plate::Packing;
use crate::solve::section::Section;
use crate::terms::{PaperSize, ProjectionAngle};
use crate::trig::toward;
use crate::units::{FINE, short};
use crate::views::figure::{Figure, ground};

/// What the sheets are called.
const KIND: &str = "Proof on a plate";
/// Width of a column that is filled in by hand, mm.
const BLANK: f64 = 19.0;
/// Width of the column of lanes where it has the blades of a kit too, mm.
const BLADE: f64 = 48.0;
/// Most of a page's height that the figure takes.
const FIGURE: f64 = 0.3;
/// Scales of the figure, the largest first.
const SCALES: [Scale; 3] = [HALF, FIFTH, TENTH];
/// How far the plate runs past guide and blade, mm.
const PLATE: f64 = 8.0;
/// Space from the end of the blade to the dimension of a height, mm of paper.
const BESIDE: f64 = 6.0;
/// How much further aside the height at P is drawn where it meets something, mm of paper.
const ASIDE: [f64; 5] = [0.0, 3.0, 6.0, 10.0, 15.0];
/// Space from the blade to the dimension of the length along it, mm of paper.
const ABOVE: f64 = 6.0;

const CAUTIONS: &str = "The blade is sharp: lower it onto the plate gently, keep fingers behind the edge, and never slide the edge over glass. Follow your tools' makers' instructions.";

/// The sheets.
pub fn sheets(proof: &Proof, size: PaperSize, projection: ProjectionAngle) -> Vec<Sheet> {
    let paper = Paper::sheet(size, false);
    let foot = [CAUTIONS.to_string()];
    let pages = |scale: Scale, page: [usize; 2]| Pages {
        title: format!("{KIND}: {}", proof.title),
        paper,
        title_block: Title {
            title: proof.title.clone(),
            kind: KIND.into(),
            guide: proof.guide.clone(),
            fingerprint: Some(proof.fingerprint.clone()),
            block: None,
            page,
            scale,
            projection,
            tolerances: format!("±{}°", short(proof.tolerance, 3)),
            unit: proof.written.unit().into(),
            date: proof.date.clone(),
        },
        foot: &foot,
    };
    let area = pages(HALF, [1, 1]).area();
    let (scale, view) = on_the_plate(proof, area.width, FIGURE * area.height);
    let mut blocks = vec![
        Block::heading("plate-heading", "Does the set blade have the angle?"),
        Block::paragraph(
            "plate-why",
            "",
            "The block is as true as you measure it; the angle depends on the guide too. Measure the angle itself before a stone touches the blade.",
            RUNNING,
            area.width,
        ),
        view,
    ];
    blocks.extend(how(proof).iter().enumerate().map(|(i, words)| {
        Block::paragraph(&format!("plate-step-{}", i + 1), &format!("{}.", i + 1), words, RUNNING, area.width)
    }));
    // Before the table, which may take a page of its own.
    blocks.push(Block::paragraph("plate-then", "", &then(proof), RUNNING, area.width));
    blocks.extend(Block::table(&table(proof), area.width));
    let columns = balanced(&blocks, area.height);
    let count = columns.len();
    columns.into_iter().enumerate().map(|(i, column)| pages(scale, [i + 1, count]).sheet(column.groups)).collect()
}

/// What to do, step by step.
fn how(proof: &Proof) -> Vec<String> {
    let written = proof.written;
    let apart = written.size(proof.apart);
    let mut steps = vec![
        format!(
            "Wipe the seat. Mark two lines across the blade's back, P {} from the edge and Q {apart} behind P. Better still, tape two equal drill shanks across the back: their distance is what calipers read over both, less one diameter.",
            written.size(first_line(proof.written))
        ),
        "Set the blade with the block and clamp it. Its bevel at the edge must be no steeper than the lane's angle, or it stands on its heel.".to_string(),
    ];
    steps.extend(packed(proof));
    steps.push(
        "Stand the guide on a flat plate, such as float glass or a saw's table: the roller on it, the edge on it, the back up."
            .into(),
    );
    steps.push(
        "Measure how high the back stands above the plate at P and at Q: the end of the calipers' beam on the back, the depth rod down past the side of the blade to the plate. Hold them the same way at both lines, so that what they read too much cancels. Write both down."
            .into(),
    );
    steps.push(
        "Set the blade anew and measure again, five times in one lane. So you also learn how well you set.".into(),
    );
    steps
}

/// What is put under edge or roller, where the job's roller does not run on the stone.
fn packed(proof: &Proof) -> Option<String> {
    let mut all: Vec<(String, Vec<&str>)> = Vec::new();
    for lane in &proof.lanes {
        let words = match lane.packing {
            Packing::None => continue,
            Packing::UnderEdge(mm) => format!("under the edge, {} thick", proof.written.size(mm)),
            Packing::UnderRoller(mm) => format!("under the roller, {} thick", proof.written.size(mm)),
        };
        match all.iter_mut().find(|(of, _)| *of == words) {
            Some((_, ids)) if ids.contains(&lane.id.as_str()) => {}
            Some((_, ids)) => ids.push(&lane.id),
            None => all.push((words, vec![&lane.id])),
        }
    }
    let every = all.len() == 1 && proof.lanes.iter().all(|lane| lane.packing != Packing::None);
    let said = |(words, ids): &(String, Vec<&str>)| {
        if every { format!("a flat strip {words}") } else { format!("for {}: a flat strip {words}", ids.join(", ")) }
    };
    (!all.is_empty()).then(|| {
        format!(
            "The job's roller does not run on the stone's own level. Put in {}.",
            all.iter().map(said).collect::<Vec<_>>().join("; ")
        )
    })
}

/// What to do with the readings.
fn then(proof: &Proof) -> String {
    format!(
        "Q less P should be as the table below says. With another length between the lines, the difference is that length times the sine of the angle. An inclinometer on the back reads the angle at once: read it, turn guide and blade end for end beneath it, read again, and take the mean; so its zero cancels. \"stopwright ask measured\" takes the readings, and \"stopwright verify\" judges them, with the fingerprint {}.",
        proof.fingerprint
    )
}

fn table(proof: &Proof) -> Table {
    let unit = proof.written.first_unit();
    let heading = [
        ["lane", ""],
        ["angle", "°"],
        ["Q less P", unit],
        ["from", unit],
        ["to", unit],
        ["P", unit],
        ["Q", unit],
        ["Q less P", unit],
    ];
    let number = |mm: f64| proof.written.first().fixed(mm, FINE).to_string();
    let row = |(row, lane): (usize, &Expected)| {
        let value = |what: &str, mm: f64| Cell { words: number(mm), value: Some((format!("plate-{row}-{what}"), mm)) };
        let mut cells = vec![
            Cell::words(lane.words()),
            Cell::words(short(lane.angle, 3)),
            value("difference", lane.difference),
            value("least", lane.limits[0]),
            value("most", lane.limits[1]),
        ];
        cells.resize(heading.len(), Cell::default());
        cells
    };
    let mut table = Table::new("plate", &heading, proof.lanes.iter().enumerate().map(row).collect());
    table.first = proof.lanes.iter().any(|lane| lane.blade.is_some()).then_some(BLADE);
    table.least = vec![0.0, 0.0, 0.0, 0.0, 0.0, BLANK, BLANK, BLANK];
    table
}

/// The guide on the plate, no wider and higher than so many mm of paper, and its scale.
fn on_the_plate(proof: &Proof, width: f64, height: f64) -> (Scale, Block) {
    let at = |scale: &Scale| {
        let drawn = |more: &f64| drawn_at(proof, scale.factor, *more);
        let clear = ASIDE.iter().map(drawn).find(|groups| clash::among(groups).is_empty());
        let groups = clear.unwrap_or_else(|| drawn(&ASIDE[0]));
        (clash::extent(&groups), groups)
    };
    let fits = |(_, (extent, _)): &(Scale, (Rect, Vec<Group>))| extent.width() <= width && extent.height() <= height;
    let mut drawn = SCALES.into_iter().map(|scale| (scale, at(&scale)));
    let (scale, (extent, groups)) = drawn.find(fits).unwrap_or_else(|| (TENTH, at(&TENTH)));
    let left = (width - extent.width()) / 2.0 - extent.x0;
    let groups = groups.into_iter().map(|g| g.moved((left, -extent.y0))).collect();
    (scale, Block::figure(groups, extent.height()))
}

/// The figure, the height at P as much further aside, mm of paper.
fn drawn_at(proof: &Proof, k: f64, more: f64) -> Vec<Group> {
    let figure = &figure(&proof.shown);
    let view = &View::upright((0.0, 0.0), k);
    let s = figure.section();
    let edge = figure.at(figure.edge());
    // Along the back, from the edge to the lines.
    let back = toward((180.0 - proof.shown.request.angle).to_radians());
    let from_edge = first_line(proof.written);
    let [first, second] = [from_edge, from_edge + proof.apart].map(|along| edge + along * back);
    let rear = second.x.min(figure.at((figure.tail(), 0.0)).x);

    let mut groups = plate(view, s, edge, rear);
    groups.extend(longer_blade(figure, view, edge + (from_edge + proof.apart + PLATE) * back));
    groups.extend(figure.draw_subject(view, "guide-"));
    groups.extend(marks(view, [first, second], back));
    // The heights, each beside its line, and the length along the back above the blade.
    for (name, point, out) in [("p", first, 1.0), ("q", second, -1.0)] {
        let foot = Point::new(point.x, s.roller_level.min(0.0));
        let value = point.y - foot.y;
        let aside = if out > 0.0 { from_edge * k + BESIDE + more } else { PLATE * k + BESIDE };
        // A large roller may reach further back than Q.
        let beside = if out > 0.0 { point.x } else { point.x.min(-s.roller_radius) };
        let through = view.at((beside, point.y)) + (out * aside, 0.0);
        let linear = Linear::new([view.at(foot), view.at(point)], through, (0.0, 1.0), name.to_uppercase());
        let kind = if name == "p" { "height-p" } else { "height-q" };
        groups.push(drawn(kind, kind, value, &linear));
    }
    let up = Vec2::new(back.y, back.x);
    let over = (figure.top() - figure.edge().y) * k + ABOVE;
    let through = view.at(first) + over * up;
    let along = Vec2::new(back.x, -back.y);
    let words = proof.written.fixed(proof.apart, FINE).to_string();
    let linear = Linear::new([view.at(first), view.at(second)], through, along, words);
    groups.push(drawn("apart", "apart", proof.apart, &linear));
    groups
}

/// The plate, and a packing where roller or edge stands on one.
fn plate(view: &View, s: &Section<f64>, edge: Point, rear: f64) -> Vec<Group> {
    let mut plate = Group::new("plate", "figure").with("level", s.roller_level.min(0.0));
    let low = s.roller_level.min(0.0);
    let [start, end] = [rear.min(-1.2 * s.roller_radius) - PLATE, edge.x + PLATE].map(|x| view.at((x, low)));
    plate.line(start, end, Pen::Wide);
    ground(&mut plate, start, end);
    let packing = match s.roller_level {
        z if z < 0.0 => Some(([edge.x - PLATE, edge.x + PLATE / 2.0], [z, 0.0])),
        z if z > 0.0 => Some(([-0.8 * s.roller_radius, 0.8 * s.roller_radius], [0.0, z])),
        _ => None,
    };
    let mut groups = vec![plate];
    groups.extend(packing.map(|([x0, x1], [y0, y1])| {
        let mut packing = Group::new("packing", "figure").with("thickness", s.roller_level.abs());
        let corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)];
        packing.path([view.all(corners)], true, Pen::Wide, Fill::Tint);
        packing
    }));
    groups
}

/// The blade behind where the figure breaks it off, as far as the second line.
fn longer_blade(figure: &Figure, view: &View, end: Point) -> Option<Group> {
    let blade = figure.blade();
    let [.., low, high] = blade[..] else { return None };
    let [low, high] = [low, high].map(|p| figure.at(p));
    let on = end - high;
    let behind = on.x < 0.0;
    behind.then(|| {
        let mut group = Group::new("blade-behind", "figure");
        let corners = [low, high, high + on, low + on].map(|p| view.at(p));
        group.path([corners], true, Pen::Wide, Fill::Paper);
        group
    })
}

/// The lines on the back, seen on end. Their letters stand at their heights, whose extension lines lead to them.
fn marks(view: &View, [p, q]: [Point; 2], back: Vec2) -> [Group; 2] {
    let normal = Vec2::new(back.y, -back.x);
    [("line-p", p), ("line-q", q)].map(|(id, point)| {
        let mut group = Group::new(id, "figure");
        let [foot, tip] = [-0.6, 3.0].map(|mm| view.at(point + mm / view.scale * normal));
        group.line(foot, tip, Pen::Wide);
        group
    })
}
