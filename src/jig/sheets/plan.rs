//! Plan, section and table of lanes.

use kurbo::{Circle, Point, Rect, Size, Vec2};

use super::hole::Hole;
use super::model::{self, HEAD, WASHER, number_of};
use super::piece::{self, Piece};
use super::{CAUTIONS, Draft, Drawer};
use crate::drawing::Group;
use crate::drawing::balloon::{self, Ends};
use crate::drawing::filled::Illustration;
use crate::drawing::frame::{outline, rectangle};
use crate::drawing::page::{Block, RUNNING};
use crate::drawing::paper::{FIFTH, FULL, HALF, Paper, Scale};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::table::{Cell, Table};
use crate::drawing::view::View;
use crate::drawing::wood::Wood;
use crate::jig::Jig;
use crate::jig::cleat::Cleat;
use crate::jig::fences::{BOTTOM_EASED, Fence, Screw};
use crate::jig::parts::{Part, PartKind};
use crate::layout::Placed;
use crate::shape::polygon::microns;
use crate::terms::Edge;
use crate::trig::{Polar, apart};
use crate::units::fixed;
use crate::views::assembly::{Assembly, TooLarge, candidates, turned};
use crate::views::plan::{self, Style, Top};
use crate::views::section::{Body, CutPart, Lean};

const KIND: &str = "Wooden jig";

/// What found no room on the sheet of the plan.
pub(super) struct Left {
    /// The table of lanes, with this style's columns.
    table: Option<Style>,
    /// What there is to say of the lanes.
    lanes: bool,
    /// What there is to say of the jig.
    about: bool,
    /// The section.
    pub(super) section: bool,
}

impl Left {
    /// The table and the notes.
    pub(super) fn pieces(&self, kind: &'static str, jig: &Jig, page: Size) -> Vec<Piece> {
        let width = page.width;
        let mut pieces = Vec::new();
        if let Some(style) = self.table {
            let heading = Block::heading("lanes-heading", "Lanes");
            pieces.extend(piece::tabled(kind, vec![heading], &table(jig, style), page));
        }
        let mut notes = if self.lanes { of_lanes(jig) } else { Vec::new() };
        notes.extend(if self.about { about(jig) } else { Vec::new() });
        let line = |(i, words): (usize, &String)| {
            Block::paragraph(&format!("lanes-note-{}", i + 1), "–", words, RUNNING, width)
        };
        pieces.extend(piece::pieces(kind, notes.iter().enumerate().map(line).collect(), width));
        pieces
    }
}

/// What goes on the sheet beside the plan.
#[derive(Clone, Copy)]
struct With {
    table: bool,
    section: bool,
    /// What there is to say of the lanes.
    lanes: bool,
    /// What there is to say of the jig.
    about: bool,
}

/// The plan with its section and its table on one sheet that a printer at home takes, else without the one or the
/// other; a jig too long for that is broken off and shown on several sheets.
pub(super) fn sheets(drawer: &Drawer, illustration: &Illustration) -> Result<(Vec<Draft>, Left), TooLarge> {
    const DIMENSIONED: &[Style] = &[Style::Dimensioned];
    const TABULAR: &[Style] = &[Style::Tabular];
    const BOTH: &[Style] = &[Style::Dimensioned, Style::Tabular];
    let paper = drawer.size();
    let at = |scales: &[Scale]| turned(scales.iter().map(|s| (paper, *s)).collect());
    let (large, all) = (at(&[FULL, HALF]), at(&[FULL, HALF, FIFTH]));
    let with = |table, section, about| With { table, section, lanes: true, about };
    // Smaller scales show nothing that a woodworker can use.
    let mut larger = candidates(drawer.job.sheet_size, drawer.home());
    larger.retain(|(_, scale)| scale.factor >= FIFTH.factor);
    let tries = [
        (DIMENSIONED, large.clone(), with(true, true, true)),
        (DIMENSIONED, large.clone(), with(true, false, true)),
        (DIMENSIONED, large.clone(), with(true, true, false)),
        (DIMENSIONED, large.clone(), with(true, false, false)),
        (DIMENSIONED, large.clone(), with(false, true, true)),
        (DIMENSIONED, large, with(false, true, false)),
        (DIMENSIONED, all.clone(), with(false, false, true)),
        (DIMENSIONED, all.clone(), with(false, false, false)),
        (TABULAR, all.clone(), with(true, true, true)),
        (TABULAR, all.clone(), with(true, true, false)),
        (TABULAR, all.clone(), with(true, false, true)),
        (TABULAR, all.clone(), with(true, false, false)),
        (TABULAR, all, with(false, false, false)),
        (BOTH, larger, with(true, false, true)),
    ];
    for (styles, papers, beside) in tries {
        if let Ok(draft) = sheet(drawer, illustration, styles, papers, beside, &[]) {
            let table = (!beside.table).then_some(styles[0]);
            return Ok((vec![draft], Left { table, lanes: false, about: !beside.about, section: !beside.section }));
        }
    }
    // Where a lane is too narrow for its own dimension, the table has the numbers of all.
    let stretched = [DIMENSIONED, TABULAR].into_iter().find_map(|styles| {
        let drafts = (2..=drawer.jig.lanes.len()).find_map(|n| in_stretches(drawer, illustration, styles, n));
        drafts.zip(Some(styles[0]))
    });
    let (drafts, style) = stretched.ok_or_else(|| TooLarge::of(&drawer.jig.lanes))?;
    Ok((drafts, Left { table: Some(style), lanes: true, about: true, section: true }))
}

/// The plan in so many stretches, each on a sheet of its own; none where one does not fit. What is told of all lanes
/// stands once, on the pages that follow.
fn in_stretches(
    drawer: &Drawer,
    illustration: &Illustration,
    styles: &'static [Style],
    count: usize,
) -> Option<Vec<Draft>> {
    let paper = drawer.size();
    let papers = turned([FULL, HALF, FIFTH].map(|scale| (paper, scale)).to_vec());
    let stretches: Vec<(Jig, [f64; 2])> = (0..count).filter_map(|i| stretch(drawer.jig, i, count)).collect();
    let words = |i: usize, [from, to]: [f64; 2]| {
        format!(
            "The jig is longer than the sheet and broken off: part {} of {}, from {} to {} of its {} from the left end.",
            i + 1,
            stretches.len(),
            drawer.bare(from),
            drawer.bare(to),
            drawer.said(drawer.jig.length)
        )
    };
    let each = stretches.iter().enumerate().map(|(i, (jig, span))| {
        let part = Drawer { job: drawer.job, jig };
        let beside = With { table: false, section: false, lanes: false, about: false };
        let mut draft = sheet(&part, illustration, styles, papers.clone(), beside, &[words(i, *span)]).ok()?;
        // From break to break is no size of the jig.
        draft.sheet.groups.retain(|g| g.id != "dim-length");
        for board in draft.sheet.groups.iter_mut().filter(|g| g.id == "plan-board") {
            board.data.push(("from", span[0].to_string()));
        }
        Some(draft)
    });
    each.collect()
}

/// How far the board is shown beyond the strips of a stretch, mm.
const BEYOND: f64 = 3.0;

/// One of `count` stretches of a jig, from the left, as if it were a jig, and where it begins and ends, mm.
fn stretch(jig: &Jig, index: usize, count: usize) -> Option<(Jig, [f64; 2])> {
    let [from, to] = [index, index + 1].map(|i| jig.length * i as f64 / count as f64);
    let middle = |f: &Fence| f.area.center().x;
    let fences: Vec<&Fence> = jig.fences.iter().filter(|f| from <= middle(f) && middle(f) < to).collect();
    let lanes: Vec<usize> = fences.iter().flat_map(|f| f.lanes.iter().copied()).collect();
    let spans = || lanes.iter().map(|i| jig.lanes[*i].x);
    let low = spans().map(|x| x[0]).fold(f64::INFINITY, f64::min) - BEYOND;
    let high = spans().map(|x| x[1]).fold(0.0, f64::max) + BEYOND;
    if lanes.is_empty() {
        return None;
    }
    let span = [low.max(0.0), high.min(jig.length)];
    let by = Vec2::new(-span[0], 0.0);
    let length = span[1] - span[0];
    let fence = |f: &&Fence| Fence {
        area: f.area + by,
        lanes: f.lanes.iter().filter_map(|i| lanes.iter().position(|k| k == i)).collect(),
        screws: f.screws.iter().map(|s| Screw { at: s.at + by, ..*s }).collect(),
        pins: f.pins.iter().map(|p| *p + by).collect(),
        ..(*f).clone()
    };
    let placed = |i: &usize| {
        let placed = jig.lanes[*i].clone();
        Placed { x: placed.x.map(|x| x + by.x), centre: placed.centre + by.x, ..placed }
    };
    let cleat = jig.cleat.clone().map(|c| {
        let area = c.area + by;
        let screws = c.screws.iter().map(|s| Screw { at: s.at + by, ..*s });
        Cleat {
            area: Rect { x0: area.x0.max(0.0), x1: area.x1.min(length), ..area },
            screws: screws.filter(|s| 0.0 < s.at.x && s.at.x < length).collect(),
            ..c
        }
    });
    let ends = [span[0] > 0.0, span[1] < jig.length];
    let part = Jig {
        length,
        fences: fences.iter().map(fence).collect(),
        lanes: lanes.iter().map(placed).collect(),
        cleat,
        broken: ends,
        ..jig.clone()
    };
    Some((part, span))
}

fn sheet(
    drawer: &Drawer,
    illustration: &Illustration,
    styles: &'static [Style],
    papers: Vec<(Paper, Scale)>,
    beside: With,
    first: &[String],
) -> Result<Draft, TooLarge> {
    let jig = drawer.jig;
    let title_block = |scale| drawer.title(KIND, scale);
    let sheet = Assembly {
        title: format!("{KIND}: {}", jig.title),
        title_block: Box::new(title_block),
        styles,
        papers,
        text: drawer.size(),
        top: top(jig, drawer),
        body: beside.section.then_some(Box::new(|placed| body(drawer, placed, ""))),
        table: beside.table.then_some(Box::new(|style| table(jig, style))),
        notes: Box::new(move |style, scale| first.iter().cloned().chain(notes(jig, style, scale, beside)).collect()),
        illustration,
    }
    .sheet()?;
    let title = title_block(Scale::named(&sheet.scale));
    Ok(Draft { sheet, title })
}

/// Scales of the plan on a screen, the one with the largest lettering first.
const ON_SCREEN: [f64; 2] = [HALF.factor, FULL.factor];

/// The plan alone, for a screen, and the box around it.
pub(super) fn alone(drawer: &Drawer) -> Option<(Vec<Group>, Rect)> {
    plan::alone(&top(drawer.jig, drawer), &ON_SCREEN)
}

/// What is seen from above.
fn top<'a>(jig: &'a Jig, drawer: &'a Drawer<'_>) -> Top<'a> {
    Top {
        length: jig.length,
        depth: jig.depth,
        lanes: &jig.lanes,
        marks: true,
        features: Box::new(|view| features(jig, view)),
        words: Box::new(|placed| fence_words(jig, placed)),
        size: Box::new(|mm| drawer.bare(mm)),
        aside: ASIDE,
        past: [0.0; 2],
    }
}

/// The fence distance with its limits, as it is dimensioned.
fn fence_words(jig: &Jig, placed: &Placed) -> String {
    format!("{} ±{}", jig.fence_words(placed), jig.limit_words(placed))
}

fn features(jig: &Jig, view: &View) -> Vec<Group> {
    let mut board = Group::new("plan-board", "feature").with("area", jig.length * jig.depth);
    let Rect { x0, y0, x1, y1 } = jig.area();
    match jig.broken {
        [false, false] => board.path([view.all(outline(jig.area()))], true, Pen::Wide, Fill::None),
        // An end that is broken off has no outline.
        [true, false] => board.path([view.all([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])], false, Pen::Wide, Fill::None),
        [false, true] => board.path([view.all([(x1, y0), (x0, y0), (x0, y1), (x1, y1)])], false, Pen::Wide, Fill::None),
        [true, true] => {
            let edges = [y0, y1].map(|y| view.all([(x0, y), (x1, y)]));
            board.path(edges, false, Pen::Wide, Fill::None);
        }
    }
    let mut groups = vec![board];
    groups.extend(breaks(jig, view));
    let mut marks = Group::new("plan-marks", "feature");
    for placed in &jig.lanes {
        for [from, to] in jig.mark_lines(placed) {
            marks.line(view.at(from), view.at(to), Pen::Narrow);
        }
    }
    groups.push(marks);
    let fixing = jig.stock.fixing;
    let k = view.scale;
    for (i, fence) in jig.fences.iter().enumerate() {
        let mut strip = Group::new(format!("plan-fence-{}", i + 1), "feature").with("part", &fence.number);
        strip.path([view.all(outline(fence.area))], true, Pen::Wide, Fill::Tint);
        for screw in &fence.screws {
            // The washer covers its hole; below it a slot shows at both ends.
            let hole = Hole { at: screw.at, radius: fixing.clearance / 2.0, slot: screw.slot };
            strip.path([view.all(hole.outline())], true, Pen::Narrow, Fill::Paper);
            strip.circle(view.at(screw.at), k * fixing.washer / 2.0, Pen::Narrow, Fill::Pale);
            strip.circle(view.at(screw.at), k * fixing.shank, Pen::Narrow, Fill::Paper);
        }
        for pin in &fence.pins {
            strip.circle(view.at(*pin), k * fixing.pin / 2.0, Pen::Narrow, Fill::Ink);
        }
        groups.push(strip);
    }
    // What is hidden below the board is dashed, over all that hides it.
    let mut below = Group::new("plan-cleat", "feature").with("part", number_of(jig, PartKind::Cleat));
    let cleat = jig.cleat.as_ref();
    if let Some(cleat) = cleat {
        below.path([view.all(outline(cleat.area))], true, Pen::Dashed, Fill::None);
    }
    groups.push(below);
    for (i, screw) in cleat.into_iter().flat_map(|c| c.screws.iter().map(move |s| (c, s))).enumerate() {
        groups.push(cleat_screw(jig, i + 1, screw, view));
    }
    groups.extend(numbers(jig, view));
    groups
}

/// A screw of the cleat from above: its head, its shank, and its slot where it has one; dashed below a strip.
fn cleat_screw(jig: &Jig, number: usize, (cleat, screw): (&Cleat, &Screw), view: &View) -> Group {
    let head = cleat.head / 2.0;
    let is_hidden = jig.fences.iter().any(|f| f.area.inset(head).contains(screw.at));
    let (pen, fill) = if is_hidden { (Pen::Dashed, Fill::None) } else { (Pen::Narrow, Fill::Paper) };
    let mut group = Group::new(format!("plan-cleat-screw-{number}"), "feature");
    if screw.slot > 0.0 {
        let slot = Hole { at: screw.at, radius: cleat.clearance / 2.0, slot: screw.slot };
        group.path([view.all(slot.outline())], true, pen, fill);
    }
    group.circle(view.at(screw.at), view.scale * head, pen, fill);
    group.circle(view.at(screw.at), view.scale * cleat.shank / 2.0, pen, Fill::None);
    group
}

/// Width and height of a break line's jag, mm of paper.
const JAG: [f64; 2] = [3.0, 1.2];
/// How far up the board the jag is, as a part of its width: clear of the number of the cleat.
const JAG_UP: f64 = 0.2;

/// Break lines where a stretch of a longer jig ends, beside the outline that is left there.
fn breaks(jig: &Jig, view: &View) -> Vec<Group> {
    let ends = [("plan-break-left", 0.0, jig.broken[0]), ("plan-break-right", jig.length, jig.broken[1])];
    let broken = ends.into_iter().filter(|(.., is_broken)| *is_broken);
    let line = |(id, x, _)| {
        let mut group = Group::new(id, "feature");
        let [low, high] = [0.0, jig.depth].map(|y| view.at((x, y)));
        let along = (high - low) / (high - low).size();
        let (middle, out) = (low.lerp(high, JAG_UP), along.turn_90());
        let [wide, high_jag] = JAG;
        let jag = [
            low - 2.0 * along,
            middle - wide / 2.0 * along,
            middle - wide / 4.0 * along + high_jag * out,
            middle + wide / 4.0 * along - high_jag * out,
            middle + wide / 2.0 * along,
            high + 2.0 * along,
        ];
        group.path([jag], false, Pen::Narrow, Fill::None);
        group
    };
    broken.map(line).collect()
}

/// Space for the numbers of the parts at the right of the board, mm of paper.
const ASIDE: f64 = 2.0 * balloon::RADIUS + 6.0;
/// From the board's right edge to the middle of a number, mm of paper.
const NUMBER_AT: f64 = 9.0;
/// From the end of a part to the tip of its leader, mm of paper.
const TIP_IN: f64 = 2.0;

/// The numbers of the parts in a column at the right of the board, with leaders to those that can be reached from there
/// past nothing else; the exploded view has them all.
fn numbers(jig: &Jig, view: &View) -> Vec<Group> {
    let tip_in = TIP_IN / view.scale;
    let edge = view.at((jig.length, 0.0)).x;
    // Whether nothing lies between a place and the right edge: no other strip, no dimension of a lane.
    let is_free = |tip: Point, own: Option<&Fence>| {
        let way = Rect::new(tip.x, tip.y - 0.5, jig.length, tip.y + 0.5);
        let is_crossed = |f: &Fence| own.is_none_or(|o| o != f) && !f.area.intersect(way).is_zero_area();
        let from_edge = |p: &Placed| if p.edge == Edge::Near { tip.y } else { jig.depth - tip.y };
        let is_before = |p: &Placed| p.x[1] > tip.x && from_edge(p) < p.lane.fence();
        !jig.fences.iter().any(is_crossed) && !jig.lanes.iter().any(is_before)
    };
    let tip_on = |part: &Part| match part.kind {
        PartKind::Fence => {
            let of_part = jig.fences.iter().filter(|f| f.number == part.number);
            let tips = of_part.map(|f| (f, Point::new(f.area.x1 - tip_in, f.area.center().y)));
            tips.filter(|(f, tip)| is_free(*tip, Some(f))).map(|(_, tip)| tip).max_by(|a, b| a.x.total_cmp(&b.x))
        }
        PartKind::Cleat => jig.cleat.as_ref().and_then(|c| {
            let tries = [0.5, 0.3, 0.7, 0.15, 0.85].map(|part| c.area.y0 + part * c.area.height());
            tries.into_iter().map(|y| Point::new(c.area.x1 - tip_in, y)).find(|tip| is_free(*tip, None))
        }),
        PartKind::Board => {
            let tries = (1..20).map(|i| jig.depth * f64::from(i) / 20.0);
            tries.map(|y| Point::new(jig.length - tip_in, y)).find(|tip| is_free(*tip, None))
        }
        PartKind::Facing => None,
    };
    let tips: Vec<(&str, Point)> =
        jig.parts.iter().filter_map(|part| tip_on(part).map(|tip| (part.number.as_str(), view.at(tip)))).collect();
    let [top, bottom] = [jig.depth, 0.0].map(|y| view.at((0.0, y)).y);
    let points: Vec<Point> = tips.iter().map(|(_, tip)| *tip).collect();
    let reach = [top + balloon::RADIUS, bottom - balloon::RADIUS];
    let places = balloon::column(&points, edge + NUMBER_AT, reach);
    let there = tips.into_iter().zip(places).filter(|(_, place)| place.y <= reach[1] + 1e-9);
    there
        .map(|((number, tip), place)| balloon::balloon(&format!("plan-number-{number}"), number, place, tip, Ends::Dot))
        .collect()
}

/// What the board shows where it is cut from edge to edge.
pub(super) fn cut_of_board(jig: &Jig) -> Wood {
    let ends = model::end_of(jig.board.stuff, jig.board.thickness);
    if jig.board.slides() { model::side_of(ends) } else { ends }
}

/// The section at a lane; `scale` is told in its title where it is not that of the sheet.
pub(super) fn body<'a>(drawer: &'a Drawer, placed: &Placed, scale: &str) -> Body<'a> {
    let jig = drawer.jig;
    let thickness = jig.board.thickness;
    let (bed, table_top, top) = (0, microns(thickness), microns(thickness + jig.stock.height));
    let span = |area: Rect| [area.y0, area.y1].map(microns);
    let board = Lean::Wood(cut_of_board(jig));
    let mut parts = vec![CutPart { boxes: vec![[span(jig.area()), [bed, table_top]]], lean: board }];
    let cut: Vec<&Fence> =
        jig.fences.iter().filter(|f| f.area.x0 <= placed.centre && placed.centre <= f.area.x1).collect();
    let ends = Lean::Wood(Wood::Ends);
    for fence in &cut {
        parts.push(CutPart { boxes: vec![[span(fence.area), [table_top, top]]], lean: ends });
    }
    if let Some(cleat) = &jig.cleat {
        parts.push(CutPart { boxes: vec![[span(cleat.area), [-microns(cleat.height), bed]]], lean: ends });
    }
    let edge = placed.edge;
    // In the section's frame.
    let guide = placed.lane.setting.section;
    let along = if edge == Edge::Near { -guide.axle_to_face } else { jig.depth + guide.axle_to_face };
    let level = thickness - placed.lane.own_roller_below_table() + guide.roller_radius;
    let roller = Circle::new((along, level), guide.roller_radius);
    Body {
        depth: jig.depth,
        thickness,
        fence_height: jig.stock.height,
        bench: jig.bench(),
        below: jig.cleat.as_ref().map_or(0.0, |c| c.height),
        parts,
        title: if scale.is_empty() { "A–A".into() } else { format!("A–A, {scale}") },
        size: Box::new(|mm| drawer.bare(mm)),
        over_fences: WASHER + HEAD,
        over: Box::new(move |view| {
            let mut groups: Vec<Group> =
                cut.iter().enumerate().map(|(i, f)| fence_screw(jig, i + 1, f, view)).collect();
            groups.extend(jig.cleat.as_ref().and_then(|cleat| cut_cleat_screw(jig, cleat, view)));
            groups.extend(section_numbers(jig, &cut, edge, roller, view));
            groups
        }),
    }
}

/// A strip's screw with its washer, moved into the plane of the section; screws are not cut.
fn fence_screw(jig: &Jig, number: usize, fence: &Fence, view: &View) -> Group {
    let (t, h, fixing) = (jig.board.thickness, jig.stock.height, jig.stock.fixing);
    let mut group = Group::new(format!("section-screw-{number}"), "feature");
    let Some(y) = fence.screws.first().map(|s| s.at.y) else { return group };
    let mut around = |half: f64, z: [f64; 2]| {
        let block = rectangle((y - half, z[0]), (y + half, z[1]));
        group.path([view.all(block)], true, Pen::Narrow, Fill::Paper);
    };
    let top = t + h + WASHER;
    around(fixing.clearance / 2.0, [t, t + h]);
    around(fixing.washer / 2.0, [t + h, top]);
    let (shank, tip) = (fixing.shank / 2.0, top - jig.stock.screw);
    let bolt = [
        (y - shank, top),
        (y - shank, tip + fixing.shank),
        (y, tip),
        (y + shank, tip + fixing.shank),
        (y + shank, top),
    ];
    group.path([view.all(bolt)], true, Pen::Narrow, Fill::Paper);
    let (wide, narrow) = (fixing.shank, 0.8 * fixing.shank);
    let head = [(y - wide, top), (y - narrow, top + HEAD), (y + narrow, top + HEAD), (y + wide, top)];
    group.path([view.all(head)], true, Pen::Narrow, Fill::Paper);
    group
}

/// A screw of the cleat, its head sunk, moved into the plane of the section.
fn cut_cleat_screw(jig: &Jig, cleat: &Cleat, view: &View) -> Option<Group> {
    let y = cleat.screws.first()?.at.y;
    let t = jig.board.thickness;
    let (head, shank, tip) = (cleat.head / 2.0, cleat.shank / 2.0, t - cleat.screw);
    let outline = [
        (y - head, t),
        (y - shank, t - (head - shank)),
        (y - shank, tip + cleat.shank),
        (y, tip),
        (y + shank, tip + cleat.shank),
        (y + shank, t - (head - shank)),
        (y + head, t),
    ];
    let mut group = Group::new("section-cleat-screw", "feature");
    group.path([view.all(outline)], true, Pen::Narrow, Fill::Paper);
    Some(group)
}

/// Middle of the section's numbers below the bed, mm of paper: below the bench, within the room that is kept there.
const NUMBERS_DOWN: f64 = 12.8;
/// From the roller, beyond which its axes reach, to a number, mm of paper.
const BESIDE_ROLLER: f64 = 2.5;
/// Middle of the first from the face of the cleat, mm of paper.
const BESIDE_CLEAT: f64 = 7.0;

/// The numbers of what is cut, below the board on the side of the edge in use.
fn section_numbers(jig: &Jig, cut: &[&Fence], edge: Edge, roller: Circle, view: &View) -> Vec<Group> {
    let (t, h) = (jig.board.thickness, jig.stock.height);
    // From the edge in use inward.
    let inward = |y: f64| if edge == Edge::Near { y } else { jig.depth - y };
    let face =
        jig.cleat.as_ref().map_or(jig.depth / 2.0, |c| inward(if edge == Edge::Near { c.area.y0 } else { c.area.y1 }));
    let bed = view.at((0.0, 0.0)).y;
    let place = |slot: usize| {
        let sign = if edge == Edge::Near { -1.0 } else { 1.0 };
        let x = view.at((inward(face), 0.0)).x + sign * (BESIDE_CLEAT + slot as f64 * balloon::PITCH);
        Point::new(x, bed + NUMBERS_DOWN)
    };
    // The roller may reach there.
    let clear = balloon::RADIUS + view.scale * roller.radius + BESIDE_ROLLER;
    let is_there = |centre: Point| {
        let [a, b] = [0.0, jig.depth].map(|y| view.at((y, 0.0)).x);
        let is_below = a - balloon::RADIUS / 2.0 <= centre.x && centre.x <= b + balloon::RADIUS / 2.0;
        is_below && apart(centre, view.at(roller.center)) > clear
    };
    let of_edge = cut.iter().find(|f| f.edge == edge);
    let mut wanted: Vec<(&str, String, Option<Point>)> = Vec::new();
    if let Some(cleat) = &jig.cleat {
        let y = inward(face + cleat.thickness / 4.0);
        let tip = Point::new(view.at((y, 0.0)).x, bed + NUMBERS_DOWN);
        wanted.push(("cleat", number_of(jig, PartKind::Cleat), Some(tip)));
    }
    if let Some(fence) = of_edge {
        let front = if edge == Edge::Near { fence.area.y0 } else { fence.area.y1 };
        let tip = view.at((inward(inward(front) + 0.15 * fence.area.height()), t + 0.4 * h));
        wanted.push(("fence", fence.number.clone(), Some(tip)));
    }
    wanted.push(("board", number_of(jig, PartKind::Board), None));
    let drawn = wanted.into_iter().enumerate().filter_map(|(slot, (name, number, tip))| {
        let centre = place(slot);
        let tip = tip.unwrap_or(Point::new(centre.x, view.at((0.0, t / 2.0)).y));
        is_there(centre).then(|| balloon::balloon(&format!("section-number-{name}"), &number, centre, tip, Ends::Dot))
    });
    drawn.collect()
}

fn table(jig: &Jig, style: Style) -> Table {
    let numbered = style == Style::Tabular;
    let written = jig.written;
    let mut heading = vec![[if numbered { "no., lane" } else { "lane" }, ""], ["part", ""]];
    if written.mm {
        heading.extend([["fence", "mm"], ["limits", "mm"]]);
    }
    if written.inches {
        heading.extend([["fence", "in"], ["fraction", "gives, °"]]);
    }
    if !written.mm {
        heading.push(["limits", "in"]);
    }
    if !numbered {
        heading.push([if written.mm { "mm per" } else { "in per" }, "degree"]);
    }
    heading.push(["± angle", "°"]);
    let rows = jig.lanes.iter().enumerate().map(|(i, p)| row(jig, i, p, numbered)).collect();
    Table::new("offsets", &heading, rows)
}

fn row(jig: &Jig, index: usize, placed: &Placed, numbered: bool) -> Vec<Cell> {
    let lane = &placed.lane;
    let cell = |what: &str, words: String, value: f64| Cell {
        words,
        value: Some((format!("table-{}-{what}", lane.request.id), value)),
    };
    let name = if numbered { format!("{} {}", index + 1, placed.label()) } else { placed.label() };
    let part = jig.fence_of(index).map_or("", |f| f.number.as_str());
    let mut cells = vec![Cell::words(name), Cell::words(part)];
    if jig.written.mm {
        cells.push(cell("fence_distance", fixed(lane.finished(), 2), lane.finished()));
        cells.push(cell("limits", format!("±{}", jig.limit_words(placed)), jig.limit(placed)));
    }
    if jig.written.inches {
        let (inches, gives) = jig.inches(placed);
        cells.push(cell("inches", inches.to_string(), inches.mm()));
        cells.push(gives.map_or(Cell::words("none"), |g| cell("inches_give", fixed(g, 2), g)));
    }
    if !jig.written.mm {
        cells.push(cell("limits", format!("±{}", jig.limit_words(placed)), jig.limit(placed)));
    }
    if !numbered {
        let slope = lane.setting.mm_per_degree;
        cells.push(cell("mm_per_degree", jig.written.change(slope), slope));
    }
    let uncertainty = lane.setting.uncertainty.angle;
    cells.push(uncertainty.map_or(Cell::words("–"), |u| cell("angle_uncertainty", fixed(u, 2), u)));
    cells
}

/// What there is to say of the jig as a whole.
fn about(jig: &Jig) -> Vec<String> {
    let mut notes = vec![
        format!(
            "Reference edges straight and square to the board's top, fences parallel to them within {} over a blade's width; bottom arris of the edges eased by no more than {}, top arris crisp.",
            jig.written.fine(jig.fence_within).said(),
            jig.written.fine(BOTTOM_EASED).said()
        ),
        format!(
            "Board: {}. Strips on {} screws in holes Ø {}, pushed to their line, measured, then {}.",
            jig.board.described(),
            jig.stock.fixing.called,
            jig.written.native(jig.stock.fixing.clearance),
            if jig.board.slides() { "glued in the middle only: their ends slide in slots" } else { "pinned or glued" }
        ),
        jig.hold_down(),
    ];
    notes.extend(crate::layout::correction_notes(&jig.lanes, jig.written));
    notes.extend(crate::layout::unchecked_notes(&jig.lanes));
    if jig.stock.facing > 0.0 {
        notes.push(format!("Distances are to the face of the {} hard facing.", jig.written.said(jig.stock.facing, 2)));
    }
    if !jig.movement.advice.is_empty() {
        notes.push("Wood moves, and in this jig it matters: see the check sheet.".into());
    }
    notes
}

/// What there is to say of the lanes.
fn of_lanes(jig: &Jig) -> Vec<String> {
    let mut notes = crate::layout::first_notes(&jig.lanes, |mm| jig.written.said(mm, 2));
    notes.extend(crate::layout::limit_notes(&jig.lanes, jig.tolerance));
    let asked = jig.asked();
    let lanes = || jig.lanes.iter().map(|placed| &placed.lane);
    notes.extend(lanes().filter_map(|lane| asked.too_coarse(lane)).map(|w| w + "."));
    notes.extend(lanes().filter_map(|lane| asked.too_close(lane)).map(|w| format!("Warning: {w}.")));
    notes
}

fn notes(jig: &Jig, style: Style, scale: Scale, beside: With) -> Vec<String> {
    let mut notes = if beside.lanes { of_lanes(jig) } else { Vec::new() };
    if beside.about {
        notes.extend(about(jig));
    }
    notes.push("These figures are calculated. Prove the angle on a plate before you rely on a lane.".into());
    if style == Style::Tabular {
        notes.push("Dimensions by lane number in the table of lanes (ISO 129-1, tabular dimensioning).".into());
    }
    if scale.name == "1:1" {
        notes.push("Measure the check bars before you rely on a print of this sheet.".into());
    }
    notes.push(if beside.section {
        "Screws are drawn in the plane of section A–A.".into()
    } else {
        "Section A–A is on the sheet named Assembly.".to_string()
    });
    notes.push(CAUTIONS.into());
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_corner_of_a_hole_is_there_twice() {
        for (slot, corners) in [(0.0, 24), (6.0, 26)] {
            let outline = Hole { at: Point::new(10.0, 20.0), radius: 2.25, slot }.outline();
            assert_eq!(outline.len(), corners);
            for (i, a) in outline.iter().enumerate() {
                let b = outline[(i + 1) % corners];
                assert!(a.distance(b) > 0.1, "{slot}: {a:?} {b:?}");
            }
        }
    }
}
