//! The test piece's check sheet: what to measure on it, how the calipers are held, and a table of blanks.
//!
//! One page, upright on A4 or Letter: the plan at half size with every length numbered, two side views at full size,
//! the table, notes.

use kurbo::Point;

use super::piece::{BAR, BAR_HEIGHT, Distance, NEAR, Piece, WALL_HEIGHT};
use super::{Axis, LengthKind};
use crate::drawing::dimension::{Linear, drawn};
use crate::drawing::frame::{FORM_BLOCK, MADE, Notes, form, rectangle};
use crate::drawing::paper::{FULL, HALF, Paper};
use crate::drawing::style::{Fill, Pen, SMALL, VALUE};
use crate::drawing::table::{Cell, Table};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Sheet, Text, clash};
use crate::shape::font::wrap;
use crate::shape::polygon::Outline;
use crate::terms::PaperSize;
use crate::units::Written;

/// Space around the parts, mm.
const SPACE: f64 = 4.0;
/// Space from one dimension line to the next, mm.
const STEP: f64 = 7.5;
/// Width of a blank, mm.
const BLANK: f64 = 27.0;
/// Width of the column of side views, mm.
const VIEWS: f64 = 50.0;
/// Decimals of lengths that are meant: of inches one more than calipers show, as they are whole millimetres.
const MEANT: [usize; 2] = [2, 4];
/// Width of a common caliper's beam, mm (common practice, no source).
const BEAM: f64 = 16.0;
/// Space from one line of small lettering to the next, mm.
const LEADING: f64 = 1.5 * SMALL;

const TITLE: &str = "Test piece of the printer";

/// What to mind; `CALIPERS` stands for the size of calipers that are long enough, `CLEAR` for how far the jaws keep off.
const NOTES: [&str; 7] = [
    "Print it as it lies, not turned: the arm with one mark along the bed's width (x), the arm with two along its depth \
     (y). Filament, layers, speed and slicer settings as for blocks, no scale set.",
    "Let it cool on the bed, and measure it at the temperature that blocks are used at: 10 degrees more make PLA about \
     0.07 % longer (a usual figure, from memory).",
    "Wipe the jaws. Check that the calipers read zero when closed, and with the depth rod on a flat surface. CALIPERS calipers are long enough.",
    "Lay the piece on a flat board, its outer face flush with the board's edge. Touch lightly, CLEAR or more above its \
     underside, clear of corners and of the seam where layers begin. Let go between readings.",
    "Same way: where calipers have faces for steps at head and slider, those serve as well as the rod.",
    "Write the readings into test-piece-measured.json in place of null (null means not measured), and run: stopwright testpiece test-piece-measured.json",
    "Burrs and brims cut and spoil readings: take them off. Makers' instructions for printer and filament come first.",
];

/// What to mind, in a shop's own sizes.
fn notes(written: Written) -> [String; 7] {
    let clear = written.native(written.choose(1.0, 1.5875)).said();
    NOTES.map(|note| note.replace("CALIPERS", written.choose("150 mm", "6 in")).replace("CLEAR", &clear))
}

/// The sheet for `piece`, lengths and readings as `written`.
pub fn sheet(piece: &Piece, size: PaperSize, written: Written) -> Sheet {
    let paper = Paper::sheet(size, false);
    let bounds = paper.frame();
    let distances = piece.distances();
    let mut groups = frame(paper, written);
    let depth = HALF.factor * piece.size()[1];
    let origin = Point::new(bounds.x0 + 4.0 * STEP + SPACE + 3.0, bounds.y0 + SPACE + 6.0 + depth);
    groups.extend(plan(piece, &distances, origin, written));
    let views = side_views(&distances, Point::new(bounds.x1 - VIEWS - SPACE, bounds.y0 + SPACE));
    let views_end = clash::extent(&views).y1;
    groups.extend(views);
    let table = table(&distances, written);
    let table_at = (bounds.x0 + SPACE, (origin.y + 4.0 * STEP + 2.0).max(views_end) + SPACE);
    groups.extend(table.draw(table_at, 1));
    let notes = Notes::new(&notes(written), bounds.width() - 2.0 * SPACE);
    let notes_at = bounds.y1 - FORM_BLOCK - 2.0 - notes.height();
    groups.push(notes.draw((bounds.x0 + SPACE, notes_at)));
    Sheet { title: TITLE.into(), paper, scale: HALF.name.into(), groups }
}

/// Frame and title block, with blanks for printer, filament, calipers and date.
fn frame(paper: Paper, written: Written) -> Vec<Group> {
    let upper_row = [("title", 84.0, TITLE), ("printer", 36.0, ""), ("filament", 36.0, ""), ("date", 24.0, "")];
    let lower_row = [
        ("calipers, their step and error", 52.0, ""),
        ("readings in", 20.0, written.unit()),
        ("sheet", 22.0, "1 of 1"),
        ("paper", 22.0, paper.name()),
        ("scale", 16.0, HALF.name),
        ("computed by", 48.0, MADE),
    ];
    form(paper, Some(HALF.name), [&upper_row, &lower_row])
}

/// The plan, the L's corner at `origin`, with every length as a numbered dimension.
fn plan(piece: &Piece, distances: &[Distance], origin: Point, written: Written) -> Vec<Group> {
    let view = View::upright(origin, HALF.factor);
    let all = |outlines: &[Outline]| outlines.iter().map(|o| view.outline(o)).collect::<Vec<_>>();
    let mut bars = Group::new("plan-bars", "feature");
    bars.path(all(&[piece.outline()]), true, Pen::Wide, Fill::Paper);
    let mut walls = Group::new("plan-walls", "feature");
    walls.path(all(&piece.walls()), true, Pen::Wide, Fill::Tint);
    let mut marks = Group::new("plan-marks", "feature");
    marks.path(all(&piece.marks()), true, Pen::Narrow, Fill::Ink);
    let mut groups = vec![bars, walls, marks];
    groups.extend(distances.iter().enumerate().map(|(i, d)| dimension(i + 1, d, distances, &view, written)));
    let mut names = Group::new("plan-axes", "note");
    let [mx, my] = piece.far.map(|far| (NEAR + BAR + far) / 2.0);
    names.text(Text::new(view.at((mx, BAR)) - (0.0, 2.0), VALUE, Anchor::Middle, "x: one mark"));
    let y = view.at((BAR, my)) + (2.0, 0.0) + (VALUE, 0.0);
    names.text(Text::new(y, VALUE, Anchor::Middle, "y: two marks").turned(-90.0));
    groups.push(names);
    groups
}

/// A length on the outer side of its arm: short ones next to the arm, and of those the longer first, so that no
/// extension line runs through the words beside a shorter one.
fn dimension(number: usize, distance: &Distance, all: &[Distance], view: &View, written: Written) -> Group {
    let short_one = |d: &Distance| d.length < 2.0 * NEAR;
    let order = |d: &Distance| if short_one(d) { (0, -d.length) } else { (1, d.length) };
    let nearer = all.iter().filter(|d| d.axis == distance.axis && order(d) < order(distance)).count();
    let level = STEP * (1.0 + nearer as f64);
    // Where the wall begins above the outer side of its arm.
    let from_side = if short_one(distance) { BAR } else { 0.0 };
    let inside = view.at((0.0, 0.0));
    let (wall, along, through) = match distance.axis {
        Axis::X => ((distance.length, from_side), (1.0, 0.0), inside + (0.0, level)),
        Axis::Y => ((from_side, distance.length), (0.0, 1.0), inside - (level, 0.0)),
    };
    let words = format!("{number}: {}", written.short(distance.length, MEANT));
    let linear = Linear::new([inside, view.at(wall)], through, along, words);
    drawn(&number.to_string(), distance.kind.field(), distance.length, &linear)
}

/// How the calipers are held: the corner from the side at full size, once for each kind of length.
fn side_views(distances: &[Distance], at: Point) -> Vec<Group> {
    let mut groups = Vec::new();
    let mut y = at.y;
    for kind in LengthKind::ALL {
        let numbers: Vec<String> =
            distances.iter().enumerate().filter(|(_, d)| d.kind == kind).map(|(i, _)| (i + 1).to_string()).collect();
        let (heading, above, how) = match kind {
            LengthKind::SameWay => (
                "Same way",
                BEAM,
                "The calipers on edge, the end of the beam flat against the outer face of the bar. The depth rod passes \
                 over the bar to the wall; to the far one, along the bar.",
            ),
            LengthKind::Outside => (
                "Outside",
                BEAM + WALL_HEIGHT,
                "The outside jaws from above: one on the outer face of the bar, one on the far face of the wall, no \
                 higher than the bar.",
            ),
        };
        let mut words = Group::new(format!("how-{}", kind.field()), "note");
        words.text(
            Text::new(
                (at.x, y + SMALL),
                SMALL,
                Anchor::Start,
                format!("{heading} ({}), {}", numbers.join(", "), FULL.name),
            )
            .bold(),
        );
        let floor = y + SMALL + 4.0 + above;
        groups.extend(side_view(kind, Point::new(at.x + BEAM, floor)));
        for (i, line) in wrap(how, SMALL, VIEWS).into_iter().enumerate() {
            words.text(Text::new((at.x, floor + 3.5 + SMALL + LEADING * i as f64), SMALL, Anchor::Start, line));
            y = floor + 3.5 + LEADING * (i as f64 + 1.0);
        }
        groups.push(words);
        y += 6.0;
    }
    groups
}

/// One of them; the foot of the bar's outer face is at `origin`.
fn side_view(kind: LengthKind, origin: Point) -> Vec<Group> {
    let view = View::upright(origin, FULL.factor);
    let area = |[x0, x1]: [f64; 2], [z0, z1]: [f64; 2]| rectangle(view.at((x0, z1)), view.at((x1, z0)));
    let over = NEAR + BAR;
    let id = |what: &str| format!("{what}-{}", kind.field());
    let mut piece = Group::new(id("side"), "figure");
    piece.path([area([BAR, over + 4.0], [0.0, BAR_HEIGHT])], true, Pen::Narrow, Fill::Paper);
    let parts = vec![area([0.0, BAR], [0.0, BAR_HEIGHT]), area([NEAR, over], [0.0, WALL_HEIGHT])];
    piece.path(parts, true, Pen::Wide, Fill::Tint);
    let mut calipers = Group::new(id("calipers"), "figure");
    let pieces = match kind {
        LengthKind::SameWay => {
            let rod = 0.5 * BEAM;
            vec![area([-BEAM + 2.0, 0.0], [0.3, BEAM]), area([0.0, NEAR], [rod - 1.0, rod + 1.0])]
        }
        LengthKind::Outside => {
            let top = BEAM + WALL_HEIGHT;
            let jaw = |x: [f64; 2]| area(x, [1.0, WALL_HEIGHT + 6.0]);
            vec![jaw([-4.0, 0.0]), jaw([over, over + 4.0]), area([-4.0, over + 4.0], [WALL_HEIGHT + 6.0, top])]
        }
    };
    calipers.path(pieces, true, Pen::Narrow, Fill::Pale);
    let mut bench = Group::new(id("bench"), "figure");
    bench.line(view.at((0.0, 0.0)), view.at((over + 6.0, 0.0)), Pen::Wide);
    vec![piece, calipers, bench]
}

fn table(distances: &[Distance], written: Written) -> Table {
    let unit = written.unit();
    let heading = [
        ["no.", ""],
        ["axis", ""],
        ["faces", ""],
        ["meant", unit],
        ["reading 1", unit],
        ["reading 2", unit],
        ["reading 3", unit],
    ];
    let row = |(i, d): (usize, &Distance)| {
        let value = Some((format!("table-{}", i + 1), d.length));
        let mut cells = vec![
            Cell::words((i + 1).to_string()),
            Cell::words(d.axis.name()),
            Cell::words(d.kind.words()),
            Cell { words: written.short(d.length, MEANT).to_string(), value },
        ];
        cells.resize(heading.len(), Cell::default());
        cells
    };
    let mut table = Table::new("lengths", &heading, distances.iter().enumerate().map(row).collect());
    table.least = vec![12.0, 14.0, 24.0, 18.0, BLANK, BLANK, BLANK];
    table
}
