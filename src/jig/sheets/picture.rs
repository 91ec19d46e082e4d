//! How the jig looks put together and pulled apart, and how a fence is fixed.

use kurbo::{Point, Rect, Size};

use super::Drawer;
use super::model::{self, HEAD, Model, WASHER, What};
use super::piece::{self, Piece};
use super::plan::Left;
use crate::cores;
use crate::drawing::axonometric::{self, Axonometry, Direction, Seen};
use crate::drawing::balloon::{self, Ends};
use crate::drawing::clash::{self, around, extent};
use crate::drawing::dimension::leader;
use crate::drawing::filled::Illustration;
use crate::drawing::frame::rectangle;
use crate::drawing::page::{Block, RUNNING};
use crate::drawing::paper::{FIFTH, FULL, HALF, Scale, TENTH, TWICE};
use crate::drawing::style::{Fill, LARGE, Pen, SMALL, VALUE};
use crate::drawing::view::View;
use crate::drawing::wood;
use crate::drawing::{Anchor, Group, Text};
use crate::jig::fences::EASED;
use crate::shape::font::width;
use crate::trig::toward;
use crate::views::assembly::cut_lane;
use crate::views::plan::Style;
use crate::views::section::{Lean, SectionView, hatch};

/// Height of a picture's heading with the space below it, mm.
const HEADING: f64 = LARGE + 4.0;
/// Space between the pictures, mm.
const BETWEEN: f64 = 6.0;
/// Least height of the picture of the jig, mm.
const LEAST_PICTURE: f64 = 30.0;
/// Tallest section, mm.
const TALLEST_SECTION: f64 = 75.0;
/// Space between what is drawn and its part references, mm.
const CLEAR_OF: f64 = 7.0;
/// Grain in pictures is so many times as far apart as in sections: it must not hide the outlines.
const SPARSER: f64 = 1.6;
/// From where pictures are seen.
const FROM: Direction = Direction { azimuth: 30.0, elevation: 40.0 };
/// How much of its part must be seen around a leader's dot, mm, best first.
const AROUND: [f64; 3] = [1.2, 0.7, 0.3];
/// Places that are tried for a dot, along a part and across it.
const PLACES: [usize; 2] = [13, 7];

/// How much of a page both pictures may take, the most first; in less the screws of the parts run together.
pub(super) const ROOMS: [f64; 3] = [0.95, 0.8, 0.65];
/// What its pages are called.
const KIND: &str = "Assembly";

/// Both pictures, on paper `width` mm wide and `room` mm high.
pub(super) fn piece(drawer: &Drawer, width: f64, room: f64) -> Piece {
    let together = model::together(drawer.jig);
    let mut notes = vec!["The pictures are not to scale. A number in a circle is that of the part in the cut list."];
    if together.is_broken {
        notes.push("The pictures show one end of the jig; the other lanes are made alike.");
    }
    let notes = Block::paragraph("picture-note", "", &notes.join(" "), RUNNING, width);
    let (pictures, height) = pictures(drawer, &together, width, room - notes.above - notes.height);
    Piece::of(KIND, vec![Block::figure(pictures, height), notes], width)
}

/// How a fence is fixed, and what found no room beside the plan.
pub(super) fn others(drawer: &Drawer, left: &Left, page: Size) -> Vec<Piece> {
    let width = page.width;
    // A wide strip goes on the sheet at full size only.
    let of_scale = |scale: Scale| {
        let (detail, tall) = detail(drawer, scale.factor);
        let heading = Block::heading("detail-heading", &format!("How a fence is fixed, {}", scale.name));
        piece::whole(KIND, vec![heading, Block::figure(detail, tall)]).loose()
    };
    let large = of_scale(TWICE);
    let mut all = vec![if large.size.width <= width { large } else { of_scale(FULL) }];
    if left.section {
        all.extend(section(drawer, page).map(|block| piece::whole(KIND, vec![block]).loose()));
    }
    all.extend(left.pieces(KIND, drawer.jig, page));
    all
}

/// What a sheet bears that would else be nearly empty.
pub(super) fn illustration<'a>(drawer: &Drawer) -> Illustration<'a> {
    let together = model::together(drawer.jig);
    let whole = Axonometry { origin: Point::ORIGIN, scale: 1.0, direction: FROM }.extent(&together.bodies()).size();
    let draw = move |room: Size| {
        let scale = (room.width / whole.width).min(room.height / whole.height);
        piece::to_corner(picture(&together, scale, &References::default()).groups)
    };
    Illustration { size: whole, caption: "The jig, from the near edge", draw: Box::new(draw) }
}

/// A picture in its frame's corner, and its size.
struct Picture {
    groups: Vec<Group>,
    size: Rect,
}

/// Both pictures, side by side or one below the other: whichever shows them larger.
fn pictures(drawer: &Drawer, together: &Model, wide: f64, tall: f64) -> (Vec<Group>, f64) {
    let apart = model::apart(drawer.jig);
    let beside = References::of(&apart, drawer).beside();
    let extents = [together, &apart]
        .map(|m| Axonometry { origin: Point::ORIGIN, scale: 1.0, direction: FROM }.extent(&m.bodies()));
    let fit = |e: Rect, w: f64, h: f64| (w / e.width()).min(h / e.height());
    let high = tall - HEADING;
    // The parts pulled apart need about half as much again.
    let share = |all: f64| [0.4 * (all - BETWEEN), 0.6 * (all - BETWEEN)];
    let (across, down) = (share(wide), share(high - HEADING - BETWEEN));
    let level = [fit(extents[0], across[0], high), fit(extents[1], across[1] - beside, high)];
    let upright = [fit(extents[0], wide, down[0]), fit(extents[1], wide - beside, down[1])];
    let is_level = level[0] + level[1] >= upright[0] + upright[1];
    let scales = if is_level { level } else { upright };
    let (mut first, second) = cores::both(
        || picture(together, scales[0], &References::default()),
        || picture(&apart, scales[1], &References::of(&apart, drawer)),
    );
    // The column of part references may be higher than the parts.
    let rest = high - HEADING - BETWEEN - second.size.height();
    if !is_level && first.size.height() > rest {
        let smaller = fit(extents[0], wide, rest.max(LEAST_PICTURE));
        first = picture(together, smaller, &References::default());
    }
    let (mut groups, mut height) = (Vec::new(), 0.0f64);
    let titles = ["The jig, from the near edge", "Its parts"];
    let columns = [0.0, across[0] + BETWEEN];
    for (i, picture) in [first, second].into_iter().enumerate() {
        let room = if is_level { across[i] } else { wide };
        let (x, y) = if is_level { (columns[i], 0.0) } else { (0.0, height) };
        let mut title = Group::new(if i == 0 { "picture-heading" } else { "apart-heading" }, "note");
        let size = [LARGE, VALUE].into_iter().find(|size| width(titles[i], *size, true) <= room).unwrap_or(SMALL);
        title.text(Text::new((x, y + LARGE), size, Anchor::Start, titles[i]).bold());
        groups.push(title);
        let by = (x + (room - picture.size.width()) / 2.0 - picture.size.x0, y + HEADING - picture.size.y0);
        groups.extend(picture.groups.into_iter().map(|g| g.moved(by)));
        let bottom = y + HEADING + picture.size.height();
        height = if is_level { height.max(bottom) } else { bottom + BETWEEN };
    }
    (groups, height)
}

/// A picture with its grain and references.
fn picture(model: &Model, scale: f64, references: &References) -> Picture {
    let view = Axonometry { origin: Point::ORIGIN, scale, direction: FROM };
    let bodies = model.bodies();
    let count = bodies.len();
    let mut groups = axonometric::draw(&bodies, &view, "picture");
    for (group, solid) in groups[count..].iter_mut().zip(&model.solids) {
        if let What::Part(number) = &solid.what {
            group.data.push(("part", number.clone()));
        }
    }
    let seen = Seen::new(&bodies, &view);
    let grain =
        model.grain(&seen, FROM, scale / SPARSER).into_iter().zip(&model.solids).filter(|(runs, _)| !runs.is_empty());
    let grain = grain.map(|(runs, solid)| {
        let mut group = Group::new(format!("{}-grain", solid.body.id), "picture");
        for [from, to] in runs {
            group.line(from, to, Pen::Narrow);
        }
        group
    });
    let grain: Vec<Group> = grain.collect();
    groups.splice(count..count, grain);
    if !model.axes.is_empty() {
        let mut axes = Group::new("apart-axes", "picture");
        for [from, to] in model.axes.iter().flat_map(|axis| seen.open(axis)) {
            axes.line(from, to, Pen::Chain);
        }
        groups.push(axes);
    }
    let drawn = view.extent(&bodies);
    let referred = references.draw(model, &seen, &view, drawn);
    let size = if referred.is_empty() { drawn } else { drawn.union(extent(&referred)) };
    groups.extend(referred);
    Picture { groups, size }
}

/// What is referred to in a picture: parts by number at its right, the rest by name at its left.
#[derive(Default)]
struct References {
    parts: Vec<What>,
    named: Vec<(What, String)>,
}

impl References {
    /// Of all that a model has.
    fn of(model: &Model, drawer: &Drawer) -> Self {
        let mut parts: Vec<What> = Vec::new();
        for solid in &model.solids {
            if matches!(solid.what, What::Part(_)) && !parts.contains(&solid.what) {
                parts.push(solid.what.clone());
            }
        }
        let stock = &drawer.jig.stock;
        let mut named = vec![
            (What::FenceScrew, format!("screw {}", stock.fixing.called)),
            (What::Washer, "washer".to_string()),
            (What::Pin, "pin".to_string()),
        ];
        named.extend(drawer.jig.cleat.as_ref().map(|c| (What::CleatScrew, format!("screw {}", c.called))));
        named.retain(|(what, _)| model.solids.iter().any(|s| s.what == *what));
        Self { parts, named }
    }

    /// How much paper they need beside the picture, mm.
    fn beside(&self) -> f64 {
        let words = self.named.iter().map(|(_, words)| width(words, RUNNING, false)).fold(0.0, f64::max);
        2.0 * CLEAR_OF + 2.0 * balloon::RADIUS + words + 2.0
    }

    fn draw(&self, model: &Model, seen: &Seen, view: &Axonometry, drawn: Rect) -> Vec<Group> {
        let reach = [drawn.y0 + balloon::RADIUS, drawn.y1 - balloon::RADIUS];
        let tips = |whats: &[&What], side: f64| -> Vec<(usize, Point)> {
            let tip = |(i, what): (usize, &&What)| place_on(what, model, seen, view, side).map(|p| (i, p));
            whats.iter().enumerate().filter_map(tip).collect()
        };
        let numbers: Vec<&What> = self.parts.iter().collect();
        let right = tips(&numbers, 1.0);
        let x = drawn.x1 + CLEAR_OF + balloon::RADIUS;
        let places = balloon::column(&points(&right), x, reach);
        let mut groups: Vec<Group> = Vec::new();
        for ((i, tip), place) in right.into_iter().zip(places) {
            if let What::Part(number) = &self.parts[i] {
                groups.push(balloon::balloon(&format!("balloon-{number}"), number, place, tip, Ends::Dot));
            }
        }
        let names: Vec<&What> = self.named.iter().map(|(what, _)| what).collect();
        let left = tips(&names, -1.0);
        let places = balloon::column(&points(&left), drawn.x0 - CLEAR_OF, reach);
        for ((i, tip), place) in left.into_iter().zip(places) {
            groups.push(balloon::named(&format!("named-{}", i + 1), &self.named[i].1, place, tip));
        }
        groups
    }
}

fn points(tips: &[(usize, Point)]) -> Vec<Point> {
    tips.iter().map(|(_, p)| *p).collect()
}

/// A place well within what is seen of something, as far to the right as there is one, or to the left where `side` is
/// negative.
fn place_on(what: &What, model: &Model, seen: &Seen, view: &Axonometry, side: f64) -> Option<Point> {
    let bodies = model.solids.iter().enumerate().filter(|(_, s)| s.what == *what);
    let mut places: Vec<(usize, Point)> = bodies
        .flat_map(|(i, solid)| solid.body.prisms.iter().flat_map(candidates).map(move |p| (i, view.at(p))))
        .collect();
    // The first that is well within is the one wanted; of those alike, the last.
    places.reverse();
    places.sort_by(|a, b| (side * b.1.x).total_cmp(&(side * a.1.x)));
    let is_well_within = |(i, p): &&(usize, Point), by: f64| {
        let turned = |k: i32| toward(std::f64::consts::FRAC_PI_4 * f64::from(k));
        seen.body_at(*p) == Some(*i) && (0..8).all(|k| seen.body_at(*p + by * turned(k)) == Some(*i))
    };
    AROUND.into_iter().find_map(|by| places.iter().find(|place| is_well_within(place, by)).map(|(_, p)| *p))
}

/// Places on the top of a prism and on its walls toward the viewer.
fn candidates(prism: &axonometric::Prism) -> Vec<[f64; 3]> {
    let area = around(prism.region.iter().take(1).flatten().copied());
    let [along, across] = PLACES;
    let part = |i: usize, of: usize| (i as f64 + 0.5) / of as f64;
    let mut found = Vec::new();
    for i in 0..along {
        let x = area.x0 + area.width() * part(i, along);
        for k in 0..across {
            let y = area.y0 + area.height() * part(k, across);
            found.push([x, y, prism.z[1]]);
            let z = prism.z[0] + (prism.z[1] - prism.z[0]) * part(k, across);
            found.push([x, area.y0, z]);
        }
    }
    found
}

/// The section with the guide in use: no higher than need be, but rather that than small.
fn section(drawer: &Drawer, page: Size) -> Option<Block> {
    let cut = cut_lane(&drawer.jig.lanes, Style::Dimensioned)?;
    let drawn = |scale: Scale| {
        let body = super::plan::body(drawer, cut, scale.name);
        piece::to_corner(SectionView::new(&body, cut).draw((0.0, 0.0), scale.factor))
    };
    let clear = |(groups, size): &(Vec<Group>, Size)| size.width <= page.width && clash::among(groups).is_empty();
    let [large, small] = [[FULL, HALF], [FIFTH, TENTH]].map(|scales| scales.map(drawn).into_iter().filter(clear));
    let large: Vec<(Vec<Group>, Size)> = large.collect();
    let within = |most: f64| large.iter().find(|(_, size)| size.height <= most).cloned();
    let (groups, size) = [TALLEST_SECTION, page.height / 2.0, page.height]
        .into_iter()
        .find_map(within)
        .or_else(|| small.into_iter().find(|(_, size)| size.height <= page.height))?;
    Some(Block::figure(groups, size.height))
}

/// A section through a strip, its screw and the board, so much larger than they are; and how high it is with the words
/// beside it, mm of paper.
fn detail(drawer: &Drawer, scale: f64) -> (Vec<Group>, f64) {
    let jig = drawer.jig;
    let (stock, fixing) = (&jig.stock, jig.stock.fixing);
    let (t, h) = (jig.board.thickness, stock.height);
    let washer = [fixing.washer / 2.0, WASHER];
    let head = HEAD;
    let above = h + washer[1] + head;
    // The board from left to right around the strip, whose front is at 0; z from the table. Words stand at its left.
    let (left, right) = (-24.0 / scale, stock.width + 5.0);
    let view = View::upright((4.0 - scale * left, scale * above + 2.0), scale);
    let block = |a: (f64, f64), b: (f64, f64)| view.all(rectangle(a, b));
    let mut section = Group::new("detail-section", "feature").with("scale", scale);
    let mut hatched = |a: (f64, f64), b: (f64, f64), lean| {
        section.path([block(a, b)], true, Pen::None, Fill::Paper);
        hatch(&mut section, view.at((a.0, b.1)), view.at((b.0, a.1)), lean);
    };
    let hole = fixing.clearance / 2.0;
    let x = stock.facing + (stock.width - stock.facing) / 2.0;
    // Cut across the strip: its wood shows its end, the board what its grain makes of it.
    hatched((left, -t), (right, 0.0), Lean::Wood(super::plan::cut_of_board(jig)));
    hatched((stock.facing, 0.0), (x - hole, h), Lean::Wood(wood::Wood::Ends));
    hatched((x + hole, 0.0), (stock.width, h), Lean::Wood(wood::Wood::Ends));
    if stock.facing > 0.0 {
        section.path([block((0.0, 0.0), (stock.facing, h))], true, Pen::Wide, Fill::Tint);
    }
    // The eased foot, then outlines: the board's ends are broken off.
    section.path([view.all([(0.0, 0.0), (EASED, 0.0), (0.0, EASED)])], true, Pen::None, Fill::Paper);
    let strip = [(EASED, 0.0), (0.0, EASED), (0.0, h), (stock.width, h), (stock.width, 0.0)];
    section.path([view.all(strip)], false, Pen::Wide, Fill::None);
    for z in [0.0, -t] {
        section.line(view.at((left, z)), view.at((right, z)), Pen::Wide);
    }
    for side in [-1.0, 1.0] {
        section.line(view.at((x + side * hole, 0.0)), view.at((x + side * hole, h)), Pen::Wide);
    }
    let tip = h + washer[1] - stock.screw;
    let shank = fixing.shank / 2.0;
    let screw = [
        (x - shank, h + washer[1]),
        (x - shank, tip + 3.0),
        (x, tip),
        (x + shank, tip + 3.0),
        (x + shank, h + washer[1]),
    ];
    section.path([view.all(screw)], true, Pen::Wide, Fill::Paper);
    section.path([block((x - washer[0], h), (x + washer[0], h + washer[1]))], true, Pen::Wide, Fill::Tint);
    let top = h + washer[1];
    // A head is twice as wide as its shank (common practice, no source).
    let wide = fixing.shank;
    let head_shape = [(x - wide, top), (x - 0.8 * wide, top + head), (x + 0.8 * wide, top + head), (x + wide, top)];
    section.path([view.all(head_shape)], true, Pen::Wide, Fill::Paper);
    let mut groups = vec![section];
    let bare = |mm: f64| drawer.bare(mm);
    let tool = |mm: f64| drawer.tool(mm);
    let elbow_x = view.at((right, 0.0)).x + 6.0;
    let mut called = |id: &str, at: (f64, f64), y: f64, words: String| {
        let mut group = Group::new(format!("detail-{id}"), "dimension");
        leader(&mut group, view.at(at), (elbow_x, y), false, &words);
        groups.push(group);
    };
    let bottom = view.at((0.0, -t)).y;
    let step = ((bottom - 6.0) / 4.0).max(7.0);
    let line = |i: f64| 6.0 + i * step;
    called(
        "screw",
        (x + 0.85 * wide, top + head * 0.6),
        line(0.0),
        format!("screw {} × {}, pan head", fixing.called, tool(stock.screw)),
    );
    called("washer", (x + washer[0], h + washer[1] / 2.0), line(1.0), format!("washer Ø {}", tool(fixing.washer)));
    called("hole", (x + hole, h * 0.6), line(2.0), format!("hole Ø {} in the strip", tool(fixing.clearance)));
    let words = format!("hole Ø {} in the board", tool(fixing.pilot));
    called("pilot", (x + shank, (tip / 2.0).max(-t / 2.0)), line(3.0), words);
    called("board", (right - 2.0, -t + 1.0), line(4.0), format!("board {}", bare(t)));
    let mut fence = Group::new("detail-fence", "dimension");
    let face = view.at((0.0, h * 0.6));
    leader(&mut fence, face, face - (9.0, 4.0), true, "fence");
    let mut eased = Group::new("detail-eased", "dimension");
    let words = format!("eased {}", tool(EASED));
    leader(
        &mut eased,
        view.at((EASED / 2.0, EASED / 2.0)),
        (view.at((2.0, 0.0)).x, view.at((0.0, -t)).y + 7.0),
        false,
        &words,
    );
    groups.extend([fence, eased]);
    (groups, (bottom + 8.0 + RUNNING).max(line(4.0) + 2.0))
}
