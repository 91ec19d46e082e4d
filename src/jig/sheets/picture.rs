//! How the jig looks, and how a fence is fixed.

use kurbo::Point;

use super::plan::Hole;
use super::{Draft, Drawer};
use crate::drawing::axonometric::{self, Axonometry, Body, Direction, Prism};
use crate::drawing::clash::extent;
use crate::drawing::dimension::leader;
use crate::drawing::frame::{outline, rectangle};
use crate::drawing::page::{Block, RUNNING};
use crate::drawing::paper::{FIFTH, FULL, HALF, TENTH};
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Text};
use crate::jig::Jig;
use crate::jig::fences::EASED;
use crate::terms::Edge;
use crate::views::assembly::cut_lane;
use crate::views::plan::Style;
use crate::views::section::{Lean, SectionView, hatch};

/// Tallest and lowest picture, mm.
const TALLEST: f64 = 95.0;
const LOWEST: f64 = 40.0;
/// What headings and spaces of the page take, mm.
const HEADINGS: f64 = 34.0;
/// Tallest section, mm.
const TALLEST_SECTION: f64 = 75.0;
/// How much larger than life the fixing is drawn.
const DETAIL: f64 = 2.0;
/// Height of a lane's lettering on the board, mm of the jig.
const LETTERING: f64 = 4.0;
/// Between a fence and its lettering, mm of the jig.
const BEFORE_FENCE: f64 = 4.0;

pub(super) fn sheets(drawer: &Drawer) -> Vec<Draft> {
    let notes = ["The picture is not to scale. Parts under the board show where they stick out.".to_string()];
    drawer.pages("Assembly", &notes, |pages| {
        let width = pages.area().width;
        let (detail, tall) = detail(drawer);
        let section = section(drawer, width);
        // The picture takes what the others leave of the page.
        let room = pages.area().height - tall - section.height - HEADINGS;
        let (picture, height) = picture(drawer.jig, width, room.clamp(LOWEST, TALLEST));
        vec![
            Block::heading("picture-heading", "The jig, from the near edge"),
            Block::figure(picture, height),
            section,
            Block::heading("detail-heading", "How a fence is fixed, 2:1"),
            Block::figure(detail, tall),
        ]
    })
}

/// The jig's bodies, the board's bed at `z = 0`.
pub(super) fn bodies(jig: &Jig) -> Vec<Body> {
    let prism = |region, z, lettering| Prism { region, z, lettering };
    let t = jig.board.thickness;
    let mut all = vec![Body {
        id: "picture-board".into(),
        prisms: vec![prism(vec![outline(jig.area()).to_vec()], [0.0, t], lettering(jig))],
    }];
    for (i, fence) in jig.fences.iter().enumerate() {
        let hole = |s: &crate::jig::fences::Screw| {
            let hole = Hole { at: s.at, radius: jig.stock.fixing.clearance / 2.0, slot: s.slot };
            hole.outline().into_iter().rev().collect::<Vec<_>>()
        };
        let mut region = vec![outline(fence.area).to_vec()];
        region.extend(fence.screws.iter().map(hole));
        let prisms = vec![prism(region, [t, t + jig.stock.height], Vec::new())];
        all.push(Body { id: format!("picture-fence-{}", i + 1), prisms });
    }
    if let Some(cleat) = &jig.cleat {
        let prisms = vec![prism(vec![outline(cleat.area).to_vec()], [-cleat.height, 0.0], Vec::new())];
        all.push(Body { id: "picture-cleat".into(), prisms });
    }
    all
}

/// What each lane is called, on the board before its fence, to be read from its edge; smaller where the lane is narrow.
fn lettering(jig: &Jig) -> Vec<Text> {
    let lettering = |placed: &crate::layout::Placed| {
        let words = placed.label();
        let room = placed.x[1] - placed.x[0] - 2.0;
        let wide = crate::shape::font::width(&words, LETTERING, true);
        let height = LETTERING * (room / wide).min(1.0);
        let from_edge = placed.lane.finished() - BEFORE_FENCE - height;
        let (y, turn) = match placed.edge {
            Edge::Near => (from_edge, 0.0),
            Edge::Far => (jig.depth - from_edge, 180.0),
        };
        Text::new((placed.centre, y), height, Anchor::Middle, words).turned(turn).bold()
    };
    jig.lanes.iter().filter(|p| p.lane.finished() > BEFORE_FENCE + LETTERING + 1.0).map(lettering).collect()
}

fn picture(jig: &Jig, width: f64, tallest: f64) -> (Vec<Group>, f64) {
    let bodies = bodies(jig);
    let direction = Direction { azimuth: 30.0, elevation: 40.0 };
    let view = |scale: f64, origin: Point| Axonometry { origin, scale, direction };
    let drawn = view(1.0, Point::ORIGIN).extent(&bodies);
    let scale = (width / drawn.width()).min(tallest / drawn.height());
    let left = (width - scale * drawn.width()) / 2.0;
    let groups =
        axonometric::draw(&bodies, &view(scale, Point::new(left - scale * drawn.x0, -scale * drawn.y0)), "picture");
    (groups, scale * drawn.height())
}

/// The section with the guide in use, at the largest scale that goes on the page.
fn section(drawer: &Drawer, width: f64) -> Block {
    let lanes = &drawer.jig.lanes;
    let style = Style::Dimensioned;
    let drawn = [FULL, HALF, FIFTH, TENTH].into_iter().find_map(|scale| {
        let cut = cut_lane(lanes, style)?;
        let body = super::plan::body(drawer, cut, scale.name);
        let section = SectionView::new(&body, cut);
        let groups = section.draw((0.0, 0.0), scale.factor);
        let drawn = extent(&groups);
        let fits = drawn.width() <= width && drawn.height() <= TALLEST_SECTION;
        let by = ((width - drawn.width()) / 2.0 - drawn.x0, -drawn.y0);
        fits.then(|| Block::figure(groups.into_iter().map(|g| g.moved(by)).collect(), drawn.height()))
    });
    drawn.unwrap_or_default()
}

/// A section through a strip, its screw and the board.
fn detail(drawer: &Drawer) -> (Vec<Group>, f64) {
    let jig = drawer.jig;
    let (stock, fixing) = (&jig.stock, jig.stock.fixing);
    let (t, h) = (jig.board.thickness, stock.height);
    let washer = [fixing.washer / 2.0, 1.0];
    let head = 2.2;
    let above = h + washer[1] + head;
    // The board from left to right around the strip, whose front is at 0; z from the table.
    let (left, right) = (-12.0, stock.width + 5.0);
    let view = View::upright((4.0 - DETAIL * left, DETAIL * above + 2.0), DETAIL);
    let block = |a: (f64, f64), b: (f64, f64)| view.all(rectangle(a, b));
    let mut section = Group::new("detail-section", "feature").with("scale", DETAIL);
    let mut hatched = |a: (f64, f64), b: (f64, f64), lean| {
        section.path([block(a, b)], true, Pen::None, Fill::Paper);
        hatch(&mut section, view.at((a.0, b.1)), view.at((b.0, a.1)), lean);
    };
    let hole = fixing.clearance / 2.0;
    let x = stock.facing + (stock.width - stock.facing) / 2.0;
    hatched((left, -t), (right, 0.0), Lean::Right);
    hatched((stock.facing, 0.0), (x - hole, h), Lean::Left);
    hatched((x + hole, 0.0), (stock.width, h), Lean::Left);
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
    let head_shape = [(x - 3.4, top), (x - 2.8, top + head), (x + 2.8, top + head), (x + 3.4, top)];
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
        (x + 2.8, top + head * 0.6),
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
    (groups, bottom + 8.0 + RUNNING)
}
