//! Full-size drawings cut into tiles: put together again they are the whole, and nothing overlaps anything.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use kurbo::{Affine, Axis, Point, Rect, Size, Vec2};
use proptest::prelude::*;

use stopwright::drawing::frame::outline;
use stopwright::drawing::style::{Fill, Pen};
use stopwright::drawing::tiles::{FullSize, TileTitle, Tiling, Untileable, tiles};
use stopwright::drawing::{Anchor, Group, Mark, Sheet, Text, clash};
use stopwright::terms::PaperSize;

/// As near as the tiles must come to the whole, mm.
const NEAR: f64 = 0.01;
const EXACT: [f64; 2] = [100.0, 100.0];

fn tiling(paper: PaperSize, overlap: f64, printed_bar: [f64; 2]) -> Tiling {
    Tiling { paper, overlap, printed_bar }
}

fn title() -> TileTitle {
    TileTitle {
        title: "Jig, top: board and stops".into(),
        guide: "narrow side-clamp".into(),
        enter_at: "“printed_bar” of the job".into(),
        notes: vec!["Saws and drills hurt: follow their makers' instructions and local rules.".into()],
        caution: "Edges cut: instructions and rules come first.".into(),
        before: 0,
    }
}

/// A board with a fence line a lane, centre lines, square lines, screws, a rounded corner, lettering both ways and a
/// dimension.
fn template(size: Size, lanes: usize) -> FullSize {
    let Size { width: w, height: h } = size;
    let mut board = Group::new("outline", "feature");
    board.path([outline(size.to_rect())], true, Pen::Wide, Fill::None);
    let mut groups = vec![board];
    let pitch = w / lanes as f64;
    for i in 0..lanes {
        let x = pitch * (i as f64 + 0.5);
        let fence = h * (0.3 + 0.4 * i as f64 / lanes as f64);
        let mut lane = Group::new(format!("lane-{i}"), "feature").with("fence", fence);
        lane.line((x - 0.4 * pitch, fence), (x + 0.4 * pitch, fence), Pen::Wide);
        lane.line((x, 3.0), (x, h - 3.0), Pen::Chain);
        lane.line((x - 3.0, fence / 2.0), (x + 3.0, fence / 2.0), Pen::Narrow);
        lane.text(Text::new((x + 0.8, fence - 2.0), 3.5, Anchor::Start, format!("{}°", 20 + i)));
        lane.text(Text::new((x - 1.5, h - 4.0), 2.5, Anchor::Start, format!("iron {i}")).turned(-90.0));
        groups.push(lane);
        let mut screw = Group::new(format!("screw-{i}"), "feature");
        let centre = Point::new(x + 0.25 * pitch, fence + 0.12 * h);
        let radius = (0.08 * pitch).min(2.2);
        screw.circle(centre, radius, Pen::Narrow, Fill::Tint);
        screw.line(centre - (4.0, 0.0), centre + (4.0, 0.0), Pen::Chain);
        screw.line(centre - (0.0, 4.0), centre + (0.0, 4.0), Pen::Chain);
        groups.push(screw);
    }
    let mut curves = Group::new("curves", "feature");
    let radius = 0.45 * w.min(h);
    let centre = (0.5 * w, 0.5 * h);
    curves.circle(centre, radius, Pen::Dashed, Fill::None);
    curves.marks.push(Mark::Arc {
        centre: Point::new(w, h),
        radius,
        angles: [TAU / 2.0, 0.75 * TAU],
        pen: Pen::Narrow,
    });
    curves.path([[(0.1 * w, h), (0.5 * w, 0.9 * h), (0.9 * w, h)]], false, Pen::Narrow, Fill::None);
    curves.path([[(0.0, 0.2 * h), (0.06 * w, 0.1 * h), (0.0, 0.05 * h)]], true, Pen::Narrow, Fill::Pale);
    groups.push(curves);
    FullSize { size, groups }
}

fn cut(drawing: &FullSize, tiling: &Tiling) -> Vec<Sheet> {
    tiles(drawing, tiling, &title()).unwrap_or_else(|e| panic!("{:?}: {e}", drawing.size))
}

/// The window of a tile; none on a plan.
struct Window {
    name: String,
    part: Rect,
    turn: f64,
    scale: [f64; 2],
    origin: Vec2,
}

fn window(sheet: &Sheet) -> Option<Window> {
    let group = sheet.groups.iter().find(|g| g.id == "tile-window")?;
    let text = |name: &str| group.data.iter().find(|(n, _)| *n == name).unwrap().1.clone();
    let number = |name: &str| text(name).parse::<f64>().unwrap();
    Some(Window {
        name: text("tile"),
        part: Rect::new(number("x0"), number("y0"), number("x1"), number("y1")),
        turn: number("turn"),
        scale: [number("scale-x"), number("scale-y")],
        origin: Vec2::new(number("origin-x"), number("origin-y")),
    })
}

impl Window {
    /// A point of the sheet in the drawing.
    fn back(&self, p: Point) -> Point {
        let [x, y] = self.scale;
        Affine::rotate(-self.turn.to_radians()) * Affine::scale_non_uniform(1.0 / x, 1.0 / y) * (p - self.origin)
    }
}

/// A line or arc of the drawing.
enum Curve {
    Line(Point, Point),
    Arc(Point, f64, [f64; 2]),
}

impl Curve {
    fn length(&self) -> f64 {
        match self {
            Curve::Line(a, b) => a.distance(*b),
            Curve::Arc(_, r, [from, to]) => r * (to - from),
        }
    }

    fn at(&self, along: f64) -> Point {
        match self {
            Curve::Line(a, b) => a.lerp(*b, along / self.length()),
            Curve::Arc(c, r, [from, _]) => *c + *r * Vec2::from_angle(from + along / r),
        }
    }

    /// How far along the curve `p` is, and how far off it.
    fn place(&self, p: Point) -> (f64, f64) {
        let along = match self {
            Curve::Line(a, b) => (p - *a).dot(*b - *a) / self.length(),
            Curve::Arc(c, r, [from, _]) => {
                let along = ((p - *c).atan2() - from).rem_euclid(TAU) * r;
                // Just before the beginning is not far past the end.
                if along > TAU * r - NEAR { along - TAU * r } else { along }
            }
        };
        let q = self.at(along.clamp(0.0, self.length()));
        (along, p.distance(q))
    }
}

fn curves(group: &Group) -> Vec<Curve> {
    let mut all = Vec::new();
    for mark in &group.marks {
        match mark {
            Mark::Line { from, to, .. } => all.push(Curve::Line(*from, *to)),
            Mark::Path { contours, closed, pen, .. } if *pen != Pen::None => {
                for c in contours {
                    all.extend(c.windows(2).map(|w| Curve::Line(w[0], w[1])));
                    if *closed {
                        all.push(Curve::Line(c[c.len() - 1], c[0]));
                    }
                }
            }
            Mark::Circle { centre, radius, .. } => all.push(Curve::Arc(*centre, *radius, [0.0, TAU])),
            Mark::Arc { centre, radius, angles, .. } => all.push(Curve::Arc(*centre, *radius, *angles)),
            _ => {}
        }
    }
    all
}

/// Short pieces of what tiles show of a group, in the drawing.
fn pieces(sheets: &[Sheet], id: &str) -> Vec<[Point; 2]> {
    let mut all = Vec::new();
    for sheet in sheets {
        let Some(window) = window(sheet) else { continue };
        for curve in sheet.groups.iter().filter(|g| g.id == id).flat_map(curves) {
            let length = curve.length();
            let parts = if matches!(curve, Curve::Arc(..)) { (length / 0.2).ceil().max(1.0) as usize } else { 1 };
            let at = |i: usize| window.back(curve.at(length * i as f64 / parts as f64));
            all.extend((0..parts).map(|i| [at(i), at(i + 1)]));
        }
    }
    all
}

/// Everything on the tiles lies on the drawing, and all of the drawing is on the tiles.
fn assert_whole(drawing: &FullSize, sheets: &[Sheet]) {
    for group in &drawing.groups {
        let pieces = pieces(sheets, &group.id);
        let whole = curves(group);
        let on = |curve: &Curve, piece: &[Point; 2]| piece.iter().all(|p| curve.place(*p).1 < NEAR);
        for piece in &pieces {
            assert!(whole.iter().any(|c| on(c, piece)), "{}: {piece:?} is not of the drawing", group.id);
        }
        for curve in &whole {
            let mut shown: Vec<[f64; 2]> = Vec::new();
            for piece in pieces.iter().filter(|p| on(curve, p)) {
                let [a, b] = piece.map(|p| curve.place(p).0);
                let [a, b] = [a.min(b), a.max(b)];
                // A piece of a circle across its beginning.
                if b - a > curve.length() / 2.0 && matches!(curve, Curve::Arc(..)) {
                    shown.extend([[b, curve.length()], [0.0, a]]);
                } else {
                    shown.push([a, b]);
                }
            }
            shown.sort_by(|a, b| a[0].total_cmp(&b[0]));
            let reached = shown
                .iter()
                .fold(0.0, |reached: f64, [a, b]| if *a < reached + NEAR { reached.max(*b) } else { reached });
            assert!(reached > curve.length() - NEAR, "{}: shown to {reached} of {}", group.id, curve.length());
        }
    }
}

fn texts(group: &Group) -> impl Iterator<Item = &Text> {
    group.marks.iter().filter_map(|m| if let Mark::Text(t) = m { Some(t) } else { None })
}

/// Every word of the drawing is on one tile, once, and in the tile's window; a label may be broken between words.
fn assert_lettered(drawing: &FullSize, sheets: &[Sheet]) {
    for group in &drawing.groups {
        let mut wanted: Vec<&str> = texts(group).flat_map(|t| t.words.split(' ')).collect();
        let mut found = Vec::new();
        for sheet in sheets {
            let Some(window) = window(sheet) else { continue };
            for text in sheet.groups.iter().filter(|g| g.id == group.id).flat_map(texts) {
                found.extend(text.words.split(' '));
                for corner in text.corners().map(|p| window.back(p)) {
                    let inside = window.part.inset(1e-9).contains(corner);
                    assert!(inside, "{} leaves {}", text.words, window.name);
                }
                assert!((-90.0..90.0).contains(&text.turn), "{} is turned by {}", text.words, text.turn);
            }
        }
        wanted.sort_unstable();
        found.sort_unstable();
        assert_eq!(wanted, found, "{}", group.id);
    }
}

/// Each register mark is on two tiles, at the same place of the drawing; every pair of neighbours has one.
fn assert_registered(sheets: &[Sheet], overlap: f64) {
    let mut places: BTreeMap<&str, Vec<(String, Point)>> = BTreeMap::new();
    let mut joined = 0;
    for sheet in sheets {
        let Some(window) = window(sheet) else { continue };
        for group in &sheet.groups {
            if group.class == "tile-register" {
                let Some(Mark::Circle { centre, .. }) = group.marks.last() else { panic!("no ring") };
                places.entry(&group.id).or_default().push((window.name.clone(), window.back(*centre)));
            }
            if group.class == "tile-match" {
                joined += 1;
                let other = &group.data[0].1;
                let other = sheets.iter().filter_map(self::window).find(|w| w.name == *other).unwrap();
                let shared = window.part.intersect(other.part).size();
                assert!(
                    [shared.width, shared.height].iter().any(|s| (s - overlap).abs() < 1e-9),
                    "{} shares {shared:?}",
                    window.name
                );
            }
        }
    }
    let mut pairs: Vec<String> = Vec::new();
    for (id, at) in &places {
        let [(a, p), (b, q)] = &at[..] else { panic!("{id} is on {at:?}") };
        assert!(a != b && p.distance(*q) < 1e-9, "{id}: {at:?}");
        pairs.push(format!("{a} {b}"));
    }
    pairs.sort();
    pairs.dedup();
    assert_eq!(2 * pairs.len(), joined, "match lines without a register mark");
}

fn assert_sound(drawing: &FullSize, tiling: &Tiling) -> Vec<Sheet> {
    let sheets = cut(drawing, tiling);
    for (i, sheet) in sheets.iter().enumerate() {
        assert_eq!(clash::find(sheet), [], "{:?} {tiling:?}: page {}, {}", drawing.size, i + 1, sheet.title);
        let mut ids: Vec<&str> = sheet.groups.iter().map(|g| g.id.as_str()).collect();
        ids.sort_unstable();
        assert!(ids.windows(2).all(|w| w[0] != w[1]), "an id twice");
        let bars = sheet.groups.iter().filter(|g| g.class == "check-bar").count();
        assert_eq!(bars, if sheet.scale == "1:1" { 4 } else { 0 });
    }
    for window in sheets.iter().filter_map(window) {
        assert!(!["A3", "A4", "A5"].contains(&window.name.as_str()), "a tile is called as a paper is");
    }
    let notes = sheets.iter().flat_map(|s| &s.groups).filter(|g| g.id == "notes").count();
    assert_eq!(notes, 1, "{:?}", drawing.size);
    assert_whole(drawing, &sheets);
    assert_lettered(drawing, &sheets);
    assert_registered(&sheets, tiling.overlap);
    sheets
}

/// Room for the drawing as measured on the tiles' frames: 10 mm margins, a rim of 6 mm, a strip of 17 mm, or 13 on a level sheet.
fn fewest(size: [f64; 2], paper: [f64; 2], overlap: f64) -> usize {
    let mut least = usize::MAX;
    for [w, h] in [paper, [paper[1], paper[0]]] {
        let strip = if w > h { 13.0 } else { 17.0 };
        let room = [w - 20.0 - 12.0, h - 20.0 - 12.0 - strip];
        for [a, b] in [size, [size[1], size[0]]] {
            for columns in 1..30 {
                for rows in 1..30 {
                    let reach = |n: usize, room: f64| n as f64 * room - (n - 1) as f64 * overlap;
                    if reach(columns, room[0]) >= a && reach(rows, room[1]) >= b {
                        least = least.min(columns * rows);
                    }
                }
            }
        }
    }
    least
}

const SIZES: [([f64; 2], usize); 11] = [
    ([60.0, 40.0], 1),
    ([178.0, 254.0], 3),
    ([180.0, 120.0], 3),
    ([200.0, 300.0], 3),
    ([300.0, 200.0], 5),
    ([420.0, 150.0], 7),
    ([520.0, 300.0], 8),
    ([700.0, 90.0], 12),
    ([900.0, 400.0], 14),
    ([400.0, 900.0], 6),
    ([4000.0, 60.0], 40),
];

#[test]
fn tiles_make_the_whole_and_nothing_overlaps() {
    for (size, lanes) in SIZES {
        for (paper, extent) in [(PaperSize::A4, [210.0, 297.0]), (PaperSize::Letter, [215.9, 279.4])] {
            for overlap in [10.0, 12.0, 20.0] {
                let sheets =
                    assert_sound(&template(Size::new(size[0], size[1]), lanes), &tiling(paper, overlap, EXACT));
                let count = sheets.iter().filter(|s| window(s).is_some()).count();
                assert_eq!(count, fewest(size, extent, overlap), "{size:?} on {paper:?}");
                assert!(sheets.len() <= count + 1);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
    #[test]
    fn any_board_on_any_printer(
        w in 60.0..900.0f64, h in 40.0..400.0f64, letter in any::<bool>(),
        overlap in 10.0..30.0f64, along in 97.0..103.0f64, across in 97.0..103.0f64,
    ) {
        let paper = if letter { PaperSize::Letter } else { PaperSize::A4 };
        assert_sound(&template(Size::new(w, h), (w / 50.0).ceil() as usize), &tiling(paper, overlap, [along, across]));
    }
}

/// What a printer makes of a bar drawn so is 100 mm: it prints `measured` for 100.
#[test]
fn bars_and_drawing_make_up_for_the_printer() {
    let measured = [99.6, 100.3];
    for size in [(300.0, 200.0), (60.0, 40.0), (420.0, 150.0)] {
        for sheet in cut(&template(size.into(), 3), &tiling(PaperSize::A4, 12.0, measured)) {
            let Some(window) = window(&sheet) else { continue };
            let printed = if sheet.paper.landscape { measured } else { [measured[1], measured[0]] };
            for (id, length, axis) in [
                ("check-bar-mm", 100.0, Axis::Horizontal),
                ("check-bar-in", 101.6, Axis::Horizontal),
                ("check-bar-mm-upright", 100.0, Axis::Vertical),
                ("check-bar-in-upright", 101.6, Axis::Vertical),
            ] {
                let bar = sheet.groups.iter().find(|g| g.id == id).unwrap();
                let Mark::Line { from, to, .. } = bar.marks[0] else { panic!("no bar") };
                let bar = to - from;
                let measured = bar.get_coord(axis).abs() * printed[axis as usize] / 100.0;
                assert!((measured - length).abs() < 1e-9, "{id}");
                assert_eq!(bar.get_coord(axis.cross()), 0.0);
            }
            for (scale, printed) in window.scale.iter().zip(printed) {
                assert!((scale * printed / 100.0 - 1.0).abs() < 1e-12);
            }
            let said =
                sheet.groups.iter().flat_map(texts).any(|t| t.words.contains("measured 99.6 along, 100.3 across"));
            assert!(said, "{} does not say that it is scaled", sheet.title);
        }
    }
}

/// A label longer than the way a match line can be moved is put where it is whole.
#[test]
fn lettering_in_the_way_of_a_match_line_is_moved() {
    let mut drawing = template(Size::new(350.0, 250.0), 1);
    let mut long = Group::new("long", "feature");
    long.text(Text::new((175.0, 20.0), 5.0, Anchor::Middle, "a label of some length across the middle"));
    drawing.groups.push(long);
    let sheets = assert_sound(&drawing, &tiling(PaperSize::A4, 12.0, EXACT));
    assert!(sheets.len() > 1);
    let Mark::Text(text) = &mut drawing.groups.last_mut().unwrap().marks[0] else { panic!("no label") };
    text.words = "wider than any tile ".repeat(8);
    let refused = tiles(&drawing, &tiling(PaperSize::A4, 12.0, EXACT), &title());
    assert!(matches!(&refused, Err(Untileable::Lettering(words)) if words.starts_with("wider")), "{refused:?}");
}

/// Words that a match line cuts stay between the outlines around them: in two lines where they have no room in one.
#[test]
fn words_without_room_in_one_line_are_broken_and_stay_where_they_belong() {
    // A board of two tiles, parted by walls into rooms so narrow that a match line runs through words in the middle one.
    let size = Size::new(360.0, 100.0);
    let mut board = Group::new("outline", "feature");
    board.path([outline(size.to_rect())], true, Pen::Wide, Fill::None);
    let rooms = [[0.0, 60.0], [60.0, 300.0], [300.0, 360.0]];
    for x in [60.0, 300.0] {
        board.line((x, 0.0), (x, 100.0), Pen::Wide);
    }
    for y in [43.0, 57.0] {
        board.line((60.0, y), (300.0, y), Pen::Wide);
    }
    let words = "a name that is nearly as long as its room goes, the widest of all chisels and irons that there are in the chest 25°";
    let mut name = Group::new("name", "lane-label");
    name.text(Text::new((180.0, 50.0), 3.5, Anchor::Middle, words));
    let drawing = FullSize { size, groups: vec![board, name] };
    let sheets = assert_sound(&drawing, &tiling(PaperSize::A4, 12.0, EXACT));
    let found: Vec<(Point, String)> = sheets
        .iter()
        .filter_map(|sheet| Some((sheet, window(sheet)?)))
        .flat_map(|(sheet, window)| {
            let own: Vec<&Text> = sheet.groups.iter().filter(|g| g.id == "name").flat_map(texts).collect();
            own.into_iter().map(|t| (window.back(t.at), t.words.clone())).collect::<Vec<_>>()
        })
        .collect();
    assert!(found.len() > 1, "{found:?}");
    for (at, words) in &found {
        let [low, high] = rooms[1];
        assert!(low < at.x && at.x < high && 43.0 < at.y && at.y < 57.0, "{words} at {at}");
    }
    assert_eq!(found.iter().map(|(_, words)| words.as_str()).collect::<Vec<_>>().join(" "), words);
}

/// Match lines miss screws and centre lines where the sheets have room to move them, else as far as they can.
#[test]
fn match_lines_keep_off_screws_and_lines_along_them() {
    let off = |size: (f64, f64), mark: Mark| {
        let mut feature = Group::new("feature", "feature");
        feature.marks.push(mark);
        let drawing = FullSize { size: size.into(), groups: vec![feature] };
        let sheets = assert_sound(&drawing, &tiling(PaperSize::A4, 12.0, EXACT));
        let windows: Vec<Window> = sheets.iter().filter_map(window).collect();
        assert_eq!(windows.len(), 2);
        ((windows[0].part.x1 + windows[1].part.x0) / 2.0 - size.0 / 2.0).abs()
    };
    let screw = Mark::Circle { centre: Point::new(150.0, 50.0), radius: 2.0, pen: Pen::Wide, fill: Fill::None };
    assert!(off((300.0, 180.0), screw) >= 8.0 + 2.0);
    let line = |x: f64, h: f64| Mark::Line { from: Point::new(x, 3.0), to: Point::new(x, h - 3.0), pen: Pen::Chain };
    assert!(off((300.0, 180.0), line(150.0, 180.0)) >= 8.0);
    // Two tiles of 178 mm that share 12 mm reach 344 mm: 2 mm each are left.
    assert!((off((340.0, 240.0), line(170.0, 240.0)) - 2.0).abs() < 1e-9);
}

#[test]
fn numbers_out_of_range_are_refused() {
    let at = |(w, h), overlap, bar| {
        tiles(&FullSize { size: Size::new(w, h), groups: vec![] }, &tiling(PaperSize::A4, overlap, bar), &title())
    };
    assert!(matches!(at((f64::NAN, 50.0), 12.0, EXACT), Err(Untileable::Size(..))));
    assert!(matches!(at((50.0, 4001.0), 12.0, EXACT), Err(Untileable::Size(..))));
    assert!(matches!(at((50.0, 50.0), 2.0, EXACT), Err(Untileable::Overlap(_))));
    assert!(matches!(at((50.0, 50.0), 12.0, [100.0, 0.0]), Err(Untileable::PrintedBar(..))));
}

/// Found by random jobs, once they had guides of their own: a long name ran over the strip's edge, and the jig was refused
/// for it.
#[test]
fn the_longest_names_stay_in_the_strip() {
    let drawing = template(Size::new(330.0, 120.0), 4);
    let wide = "W".repeat(60);
    let [high, plain] = ["Ügly Ärgö ".repeat(12), "Drawer".to_string()];
    for paper in [PaperSize::A4, PaperSize::Letter] {
        for (words, name) in [(&plain, &wide), (&wide, &wide), (&high, &plain), (&high, &high), (&high, &wide)] {
            let said = TileTitle { title: words.clone(), guide: format!("HGMC, {name}"), ..title() };
            let sheets =
                tiles(&drawing, &tiling(paper, 15.0, EXACT), &said).unwrap_or_else(|e| panic!("{said:?}: {e}"));
            for sheet in &sheets {
                assert_eq!(clash::find(sheet), [], "{said:?}");
                let strip = sheet.groups.iter().find(|group| group.id == "title-block").unwrap();
                let words = |mark: &Mark| if let Mark::Text(text) = mark { Some(text.words.clone()) } else { None };
                let all: Vec<String> = strip.marks.iter().filter_map(words).collect();
                assert!(all.iter().any(|line| line.starts_with("HGMC,")), "{all:?}");
                // A short title is never shortened for the name below it.
                assert!(said.title != plain || all.contains(&plain), "{all:?}");
            }
        }
    }
}
