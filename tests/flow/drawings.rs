//! The drawings: nothing overlaps anything, and lines, lettering, scales and sheets are those of the standards.

use kurbo::{Point, Size};
use proptest::prelude::*;
use serde_json::json;

use super::support::{any_job, draw_block, job_of, laid_out, parsed};
use stopwright::block::sheets::picture;
use stopwright::block::{self, cleat, slabs};
use stopwright::drawing::clash::Clash;
use stopwright::drawing::frame::TITLE_BLOCK;
use stopwright::drawing::paper::Paper;
use stopwright::drawing::style::{Fill, NARROW, Pen, WIDE};
use stopwright::drawing::{Group, Mark, Sheet, clash};
use stopwright::guide::Guide;
use stopwright::guide::named::{GUIDES, TOOLS};
use stopwright::input::length::Length;
use stopwright::lane::checks::Gravity;
use stopwright::lane::{BlockEdge, Lane, Request, build};
use stopwright::lanes;
use stopwright::terms::{Edge, PaperSize, ProjectionAngle};
use stopwright::views::assembly::{beside_marks, numbered};
use stopwright::views::side_view::{self, Stand};

/// The sheets of a block's drawing.
fn sheets_of(value: &serde_json::Value) -> Vec<Sheet> {
    let (job, layout) = laid_out(value);
    let block = slabs::build(&layout).unwrap();
    let cleat = job.block.cleat.then(|| cleat::cleat_of(&layout).unwrap());
    numbered(draw_block(&job, &layout, cleat.as_ref(), &block.stack).unwrap())
}

/// The first of them, which has the plan.
fn sheet_of(value: &serde_json::Value) -> Sheet {
    sheets_of(value).remove(0)
}

/// Sixty lanes: too many to dimension each in its lane.
fn crowded() -> serde_json::Value {
    let angles = |from: f64| (0..30).map(|i| from + 0.5 * f64::from(i)).collect::<Vec<_>>();
    let mut value = job_of(1, 1);
    value["settings"][0]["angles"] = json!(angles(20.0));
    value["settings"][1]["angles"] = json!(angles(22.0));
    value
}

#[test]
fn nothing_collides_from_one_lane_to_sixty() {
    for (irons, chisels) in [(1, 0), (2, 0), (0, 2), (3, 3), (4, 3), (6, 6), (10, 10), (30, 30)] {
        let mut value = if irons > 16 { crowded() } else { job_of(irons, chisels) };
        for projection in ["third", "first"] {
            value["sheet"] = json!({ "projection": projection });
            for sheet in sheets_of(&value) {
                assert_eq!(clash::find(&sheet), [], "{irons} irons, {chisels} chisels");
            }
        }
    }
}

/// Found by random jobs, once they had guides of their own: where the width of the guide's front is not known, a block for
/// narrow blades is so narrow that the letter of the cutting plane stood on the extension line of the block's length, on
/// every paper, and the job was refused.
#[test]
fn a_block_as_narrow_as_its_chisels_is_drawn() {
    for (size, width, thickness, angles) in [
        ("A3", 4.07, 2.17, vec![19.5, 24.5, 33.5]),
        ("A4", 5.18, 3.38, vec![24.5, 36.0]),
        ("A3", 5.1, 3.0, vec![20.0]),
        ("Letter", 3.5, 2.0, vec![25.0]),
    ] {
        let mut job =
            parsed(&json!({ "format": 1, "title": "narrow", "guide": "twin-roller", "sheet": { "size": size },
            "settings": [{ "tool": "mortise-chisel", "angles": angles, "width": width, "thickness": thickness }],
            "block": { "screw_holes": false } }));
        job.guide.face.width = None;
        let layout = block::lay_out(&job, &lanes::of_job(&job).unwrap()).unwrap();
        assert!(layout.length < 30.0, "{}", layout.length);
        let solid = slabs::build(&layout).unwrap();
        let drawn = draw_block(&job, &layout, None, &solid.stack);
        for sheet in numbered(drawn.unwrap_or_else(|e| panic!("{width}: {e}"))) {
            assert_eq!(clash::find(&sheet), [], "{width}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, max_global_rejects: 4000, ..ProptestConfig::default() })]
    #[test]
    fn nothing_collides_in_any_job(value in any_job(), size in prop::sample::select(vec!["A4", "A3", "Letter"])) {
        let mut value = value;
        value["sheet"] = json!({ "size": size });
        let job = parsed(&value);
        let Ok(set) = lanes::of_job(&job) else { return Err(TestCaseError::reject("no lanes")) };
        let Ok(layout) = stopwright::block::lay_out(&job, &set) else { return Err(TestCaseError::reject("refused")) };
        let block = slabs::build(&layout).unwrap();
        match draw_block(&job, &layout, None, &block.stack) {
            Ok(drafts) => for sheet in numbered(drafts) {
                prop_assert_eq!(clash::find(&sheet), []);
            },
            // Only a stated small sheet may be too small for many lanes.
            Err(e) => prop_assert!(size != "A3" && layout.lanes.len() > 6, "{}", e),
        }
    }
}

/// Every guide with every tool that it holds, on the stone and at the block.
#[test]
fn side_views_are_clear_for_every_guide_and_tool() {
    let mut drawn = 0;
    for guide in GUIDES {
        for tool in TOOLS {
            let level = if guide.name == "bench-roller" { -12 } else { 0 };
            let angles = [15.0, 17.5, 20.0, 22.5, 25.0, 27.5, 30.0, 33.0, 35.0, 38.0, 40.0, 42.5];
            let value = json!({ "format": 1, "title": "t", "guide": guide.name, "roller_level": level,
                "settings": [{ "tool": tool.name, "angles": angles, "primary": 15 }] });
            let job = parsed(&value);
            let set = lanes::of_job(&job).unwrap();
            for lane in &set.lanes {
                let block = Stand::Block { edge: set.edge, fence_height: 9.0, overhang: 5.0, foot_relief: true };
                for stand in [Stand::Stone, block] {
                    let sheet = side_view::sheet(&job.guide, None, lane, stand, None, ProjectionAngle::Third);
                    assert_eq!(clash::find(&sheet), [], "{} {} {}", guide.name, lane.request.id, sheet.title);
                    drawn += 1;
                }
            }
        }
    }
    assert_eq!(drawn, GUIDES.len() * TOOLS.len() * 24);
}

/// A profile's guide with all of its plain lengths times a factor of their own.
fn changed(profile: &str, factors: &[f64]) -> Option<Guide> {
    fn change(value: &mut serde_json::Value, factors: &mut impl Iterator<Item = f64>) {
        for name in ["diameter", "axle_to_face", "bottom", "height", "over_roller", "bottom_over_roller"] {
            let Some(mm) = value.get_mut(name).and_then(|length| length.get_mut("value")) else { continue };
            let (Some(number), Some(factor)) = (mm.as_f64(), factors.next()) else { continue };
            *mm = json!(number * factor);
        }
    }
    let mut value: serde_json::Value = serde_json::from_str(profile).ok()?;
    let mut factors = factors.iter().copied();
    for part in ["roller", "face"] {
        change(&mut value[part], &mut factors);
    }
    for seat in ["iron", "chisel"] {
        change(&mut value["seats"][seat], &mut factors);
    }
    Guide::parse("guide.json", value.to_string().as_bytes()).ok()
}

/// A lane of `guide` at `angle`, where it has one, and the edge of the block that it is for.
fn lane_at(guide: &Guide, tool: &str, angle: f64, level: f64) -> Option<(Lane, BlockEdge)> {
    let value = json!({ "format": 1, "title": "t", "guide": "narrow-side-clamp",
        "settings": [{ "tool": tool, "angles": [30], "primary": 20 }] });
    let sample = lanes::of_job(&parsed(&value)).unwrap();
    let level = Length::exact(level);
    let request = Request { angle, wanted: angle, roller_level: level, ..sample.lanes[0].request.clone() };
    build(guide, &request, sample.edge, 0.5).ok().map(|lane| (lane, sample.edge))
}

/// The side views of a lane, on the stone and at the block.
fn both_views(guide: &Guide, lane: &Lane, edge: BlockEdge, size: Option<PaperSize>) -> [Sheet; 2] {
    let block = Stand::Block { edge, fence_height: 9.0, overhang: lane.overhang + 5.0, foot_relief: true };
    [Stand::Stone, block].map(|stand| side_view::sheet(guide, None, lane, stand, size, ProjectionAngle::Third))
}

/// Whatever the angle: no mark leaves the frame, and none lies over the title block, areas without an outline included.
#[test]
fn side_views_keep_to_their_frame_at_every_angle() {
    let (mut drawn, mut detailed) = (0, 0);
    for guide in GUIDES {
        let level = if guide.name == "bench-roller" { -12.0 } else { 0.0 };
        let guide = Guide::parse(guide.name, guide.text.as_bytes()).unwrap();
        for angle in (10..=60).step_by(2) {
            for tool in ["plane-iron", "bench-chisel"] {
                let Some((lane, edge)) = lane_at(&guide, tool, f64::from(angle), level) else { continue };
                for sheet in both_views(&guide, &lane, edge, None) {
                    assert_eq!(clash::find(&sheet), [], "{} {tool} {angle}: {}", guide.name, sheet.title);
                    // A blade that stands out as far as at 10° goes on no sheet at full size.
                    let large = ["5:1", "2:1", "1:1", "1:2"].contains(&sheet.scale.as_str());
                    assert!(large || angle < 15, "{} {tool} {angle}: {}", guide.name, sheet.scale);
                    detailed += usize::from(sheet.groups.iter().any(|g| g.id == "detail"));
                    drawn += 1;
                }
            }
        }
    }
    assert!(drawn > 300 && detailed > 80, "{drawn} {detailed}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, max_global_rejects: 4000, ..ProptestConfig::default() })]
    /// The same of guides that nobody has thought of.
    #[test]
    fn side_views_of_any_guide_keep_to_their_frame(
        which in 0..GUIDES.len(),
        factors in prop::collection::vec(0.6..1.7f64, 8),
        angle in 10.0..60.0f64,
        size in prop::sample::select(vec![None, Some(PaperSize::A4), Some(PaperSize::Letter), Some(PaperSize::A3)]),
    ) {
        let Some(guide) = changed(GUIDES[which].text, &factors) else { return Err(TestCaseError::reject("no guide")) };
        let Some((lane, edge)) = lane_at(&guide, "plane-iron", angle, 0.0) else {
            return Err(TestCaseError::reject("no lane"));
        };
        for sheet in both_views(&guide, &lane, edge, size) {
            let out: Vec<_> = clash::find(&sheet).into_iter().filter(|clash| clash.1 == "frame").collect();
            prop_assert_eq!(out, vec![], "{}", sheet.title);
        }
    }
}

/// An area without an outline covers what is below it as any other does.
#[test]
fn an_area_over_the_title_block_is_a_clash() {
    let guide = Guide::parse("guide", GUIDES[0].text.as_bytes()).unwrap();
    let (lane, edge) = lane_at(&guide, "plane-iron", 30.0, 0.0).unwrap();
    let [mut sheet, _] = both_views(&guide, &lane, edge, None);
    let frame = sheet.paper.frame();
    let corner = Point::new(frame.x1, frame.y1);
    let mut area = Group::new("area", "figure");
    let corners = [corner - (40.0, 20.0), corner - (20.0, 20.0), corner - (20.0, 10.0)];
    area.path([corners], true, Pen::None, Fill::Tint);
    sheet.groups.push(area);
    assert_eq!(clash::find(&sheet), [Clash("area".into(), "frame".into())]);
}

/// The pens of a sheet's group.
fn pens(sheet: &Sheet, id: &str) -> Vec<Pen> {
    let group = sheet.groups.iter().find(|g| g.id == id).unwrap_or_else(|| panic!("no {id}"));
    group.marks.iter().map(Mark::pen).collect()
}

/// In a side view the guide is what is drawn, and beside the block an adjacent part; the blade is broken off in both.
#[test]
fn guide_and_blade_are_adjacent_parts_beside_a_block() {
    let guide = Guide::parse("guide", GUIDES[0].text.as_bytes()).unwrap();
    let (lane, edge) = lane_at(&guide, "plane-iron", 30.0, 0.0).unwrap();
    let sheets = both_views(&guide, &lane, edge, None);
    for sheet in &sheets {
        assert_eq!(pens(sheet, "guide-blade"), [Pen::None, Pen::Wide, Pen::Narrow]);
        assert_eq!(pens(sheet, "guide-face"), [Pen::Wide]);
        assert_eq!(pens(sheet, "guide-body"), [Pen::DoubleDot]);
    }
    assert!(pens(&sheets[1], "bench").contains(&Pen::DoubleDot));
    let section = sheet_of(&job_of(2, 0));
    assert_eq!(pens(&section, "section-blade"), [Pen::None, Pen::DoubleDot, Pen::Narrow]);
    for part in ["section-face", "section-body"] {
        assert_eq!(pens(&section, part), [Pen::DoubleDot], "{part}");
    }
    // Its outline does not end square: the line across the tail strays from the straight one.
    for (sheet, id) in [(&sheets[0], "guide-blade"), (&section, "section-blade")] {
        let group = sheet.groups.iter().find(|g| g.id == id).unwrap();
        let [_, Mark::Path { contours: outline, closed, .. }, Mark::Path { contours: tail, .. }] = &group.marks[..]
        else {
            panic!("{group:?}")
        };
        assert!(!closed);
        let (from, to) = (tail[0][0], *tail[0].last().unwrap());
        assert_eq!([from, to], [*outline[0].last().unwrap(), outline[0][0]], "from one side of the blade to the other");
        let across = (to - from) / (to - from).hypot();
        let strays = tail[0].iter().map(|p| (*p - from).cross(across).abs()).fold(0.0, f64::max);
        assert!(strays > 0.2 * (to - from).hypot().min(3.0), "{strays}");
    }
}

/// The numbers beside a side view are the lane's.
#[test]
fn the_tables_of_a_side_view_hold_the_numbers_of_its_lane() {
    let guide = Guide::parse("guide", GUIDES[0].text.as_bytes()).unwrap();
    let (lane, edge) = lane_at(&guide, "plane-iron", 30.0, 0.0).unwrap();
    let [stone, block] = both_views(&guide, &lane, edge, None);
    for (sheet, id, value) in [
        (&stone, "number-projection", lane.projection()),
        (&block, "number-fence", lane.finished()),
        (&block, "number-below", lane.own_roller_below_table()),
        (&stone, "number-D", 16.0),
    ] {
        assert_eq!(words(sheet, id), Some(format!("{value:.2}")), "{id}");
    }
    for (sheet, id) in [(&stone, "dim-projection"), (&block, "dim-roller-below-table")] {
        let said = words(sheet, id).unwrap();
        assert!(said.starts_with('(') && said.ends_with(')'), "{said} follows from others");
    }
    assert_eq!(words(&stone, "dim-seat-height").as_deref(), Some("21.90"), "measured");
}

/// How far a fence may be off is the same beside its side view as on the block's drawing, and how far an angle may be off
/// has its two decimals.
#[test]
fn a_side_view_allows_a_fence_what_the_drawing_allows() {
    let guide = Guide::parse("guide", GUIDES[0].text.as_bytes()).unwrap();
    let mut compared = 0;
    for angle in 20..=45 {
        let Some((lane, edge)) = lane_at(&guide, "plane-iron", f64::from(angle), 0.0) else { continue };
        let [_, block] = both_views(&guide, &lane, edge, None);
        let within = |name: &str| {
            let row = (0..).find(|i| words(&block, &format!("setting-1-{i}-0")).unwrap() == name).unwrap();
            words(&block, &format!("setting-1-{row}-2")).unwrap()
        };
        let allowed = within("fence distance");
        assert_eq!(format!("{:.2} ±{allowed}", lane.finished()), lane.fence_words());
        assert_eq!(within("bevel angle"), format!("{:.2}°", lane.setting.uncertainty.angle.unwrap()));
        compared += 1;
    }
    assert!(compared > 20, "{compared} angles");
}

/// The words of a sheet's group, if it has the group.
fn words(sheet: &Sheet, id: &str) -> Option<String> {
    let group = sheet.groups.iter().find(|g| g.id == id)?;
    let texts = group.marks.iter().filter_map(|m| if let Mark::Text(t) = m { Some(t.words.as_str()) } else { None });
    Some(texts.collect::<Vec<_>>().join(" "))
}

/// Where a sheet rings what is in the way, mm of paper.
fn rings(sheet: &Sheet) -> Vec<Point> {
    let marks = sheet.groups.iter().filter(|g| g.id == "collisions").flat_map(|g| &g.marks);
    marks.filter_map(|m| if let Mark::Circle { centre, .. } = m { Some(*centre) } else { None }).collect()
}

/// A refused setting's side views bear the word and every reason, and ring a place on each guide; a sound one's do not.
#[test]
fn a_refused_setting_says_so_across_its_side_view() {
    let (mut refused, mut sound, mut ringed) = (0, 0, 0);
    for guide in GUIDES {
        let level = if guide.name == "bench-roller" { -12 } else { 0 };
        let value = json!({ "format": 1, "title": "t", "guide": guide.name, "roller_level": level,
            "settings": [{ "tool": "plane-iron", "angles": [15, 20, 30, 40, 42.5], "primary": 35 }] });
        let job = parsed(&value);
        let set = lanes::of_job(&job).unwrap();
        for lane in &set.lanes {
            let reasons: Vec<_> = lane.findings.iter().filter(|f| f.gravity == Gravity::Refusal).collect();
            let block = Stand::Block { edge: set.edge, fence_height: 9.0, overhang: 5.0, foot_relief: true };
            for stand in [Stand::Stone, block] {
                let sheet = side_view::sheet(&job.guide, None, lane, stand, None, ProjectionAngle::Third);
                assert_eq!(clash::find(&sheet), [], "{} {}", guide.name, lane.request.id);
                let band = words(&sheet, "refused");
                assert_eq!(sheet.title.starts_with("REFUSED"), band.is_some());
                let Some(band) = band else {
                    assert!(reasons.is_empty() && rings(&sheet).is_empty(), "{} {reasons:?}", lane.request.id);
                    sound += 1;
                    continue;
                };
                refused += 1;
                ringed += usize::from(!rings(&sheet).is_empty());
                assert!(!reasons.is_empty() && band.starts_with("REFUSED"), "{band}");
                for reason in &reasons {
                    assert!(band.contains(&reason.message[1..]), "{band}: {}", reason.message);
                }
            }
        }
    }
    assert!(refused > 20 && sound > 10 && ringed > 10, "{refused} {sound} {ringed}");
}

/// The heel of a 35° primary honed at 30° is below the stone: the ring is round the lowest corner of the drawn blade.
#[test]
fn the_ring_is_where_the_heel_strikes_the_stone() {
    let value = json!({ "format": 1, "title": "t", "guide": "narrow-side-clamp",
        "settings": [{ "tool": "plane-iron", "angles": [30], "primary": 35 }] });
    let job = parsed(&value);
    let set = lanes::of_job(&job).unwrap();
    let sheet = side_view::sheet(&job.guide, None, &set.lanes[0], Stand::Stone, None, ProjectionAngle::Third);
    let outline = |id: &str| {
        let marks = sheet.groups.iter().filter(|g| g.id == id).flat_map(|g| &g.marks);
        let corners =
            marks.filter_map(|m| if let Mark::Path { contours, .. } = m { Some(contours.concat()) } else { None });
        corners.collect::<Vec<_>>().concat()
    };
    let lowest = outline("guide-blade").into_iter().max_by(|a, b| a.y.total_cmp(&b.y)).unwrap();
    let surface = sheet.groups.iter().find(|g| g.id == "stone").and_then(|g| g.marks.first());
    let Some(Mark::Line { from: Point { y: stone, .. }, .. }) = surface else { panic!("{surface:?}") };
    let stone = *stone;
    let [ring] = rings(&sheet)[..] else { panic!("{:?}", rings(&sheet)) };
    assert!(ring.distance(lowest) < 1e-6 && ring.y > stone, "{ring:?} {lowest:?} {stone}");
}

/// ISO 216 (A4, A3), and US Letter of 8.5 × 11 in.
#[test]
fn sheets_have_their_standard_sizes() {
    let extent = |size, landscape| Paper::sheet(size, landscape).extent();
    assert_eq!(extent(PaperSize::A4, false), Size::new(210.0, 297.0));
    assert_eq!(extent(PaperSize::A3, true), Size::new(420.0, 297.0));
    let Size { width: w, height: h } = extent(PaperSize::Letter, false);
    assert!((w - 8.5 * 25.4).abs() < 1e-9 && (h - 11.0 * 25.4).abs() < 1e-9);
    // ISO 5457: 20 mm filing margin, 10 mm elsewhere.
    assert_eq!(Paper::sheet(PaperSize::A4, false).frame(), kurbo::Rect::new(20.0, 10.0, 200.0, 287.0));
}

#[test]
fn lines_and_lettering_keep_to_the_standards() {
    // ISO 128-2: line widths of the series 0.25, 0.35, 0.5 …, wide to narrow 2:1.
    assert_eq!((WIDE, NARROW), (0.5, 0.25));
    let sheet = sheet_of(&job_of(4, 3));
    // ISO 5455.
    assert!(["1:1", "1:2", "1:5", "1:10", "1:20"].contains(&sheet.scale.as_str()));
    for group in &sheet.groups {
        for mark in &group.marks {
            if let Mark::Text(text) = mark {
                // ISO 3098-1: 2.5 and 3.5 are nominal heights; values are 3.5 or more.
                let least = if ["dimension", "table-value", "lane-label"].contains(&group.class) { 3.5 } else { 2.5 };
                assert!(text.height >= least, "{}: {}", group.id, text.words);
            }
        }
    }
}

#[test]
fn check_bars_stand_on_full_size_sheets_only() {
    let bars = |sheet: &Sheet| sheet.groups.iter().filter(|g| g.class == "check-bar").count();
    let mut small = job_of(1, 0);
    small["settings"][0]["angles"] = json!([35]);
    let full = sheet_of(&small);
    assert_eq!((full.scale.as_str(), bars(&full)), ("1:1", 2));
    let half = sheet_of(&job_of(6, 6));
    assert_eq!((half.scale.as_str(), bars(&half)), ("1:2", 0));
}

/// The box of a group's lines and lettering.
fn extent_of(sheets: &[Sheet], id: &str) -> kurbo::Rect {
    let group = sheets.iter().flat_map(|s| &s.groups).find(|g| g.id == id).unwrap_or_else(|| panic!("no {id}"));
    clash::extent(std::slice::from_ref(group))
}

/// Near edge below, far edge above, one looks to the left, and the section stands upright and says that it is turned.
#[test]
fn the_near_edge_is_at_the_bottom_of_the_plan() {
    let value = job_of(3, 3);
    let (_, layout) = laid_out(&value);
    let sheets = sheets_of(&value);
    let board = extent_of(&sheets, "plan-board");
    assert!(board.width() > board.height(), "the plan is landscape where the block is long: {board}");
    for placed in &layout.lanes {
        let label = extent_of(&sheets, &format!("label-{}", placed.lane.request.id));
        let is_near = placed.edge == Edge::Near;
        assert!(if is_near { label.y0 > board.y1 } else { label.y1 < board.y0 }, "{label} {board}");
    }
    let said: Vec<String> = sheets.iter().filter_map(|sheet| words(sheet, "section-title")).collect();
    assert_eq!(said, ["A–A 90°"]);
    let plane = sheets[0].groups.iter().find(|g| g.id == "cutting-plane").unwrap();
    let arrows =
        plane.marks.iter().filter_map(|m| if let Mark::Arrow { toward, .. } = m { Some(toward.x) } else { None });
    assert_eq!(arrows.collect::<Vec<_>>(), [-1.0, -1.0]);
}

/// In tabular dimensioning one lane shows what the table's letter spans, and the column bears it.
#[test]
fn the_letter_of_the_table_is_on_the_plan() {
    let sheets = sheets_of(&crowded());
    let said = |id: &str| sheets.iter().find_map(|sheet| words(sheet, id));
    let drawn: Vec<_> = sheets.iter().map(|s| (s.paper.name(), s.scale.as_str())).collect();
    assert_eq!(said("dim-fence-letter").as_deref(), Some("f"), "{drawn:?}");
    let head = said("offsets-1").unwrap();
    assert!(head.contains("f (fence)") && head.contains("w (width)"), "{head}");
    assert_eq!(sheets_of(&job_of(1, 0)).iter().find_map(|s| words(s, "dim-fence-letter")), None);
}

/// What the guide's roller needs is auxiliary, and whole sizes have no zeros.
#[test]
fn sizes_are_written_as_a_drafter_does() {
    let sheets = sheets_of(&job_of(1, 0));
    let said = |id: &str| sheets.iter().find_map(|sheet| words(sheet, id)).unwrap();
    let roller = said("dim-roller-below-table");
    assert!(roller.starts_with('(') && roller.ends_with(')'), "{roller}");
    assert_eq!(said("dim-thickness"), "12");
}

/// A cleat that is asked for is there on the smallest lettered block too: its lanes say no more than leaves its screws room.
#[test]
fn a_cleat_hangs_from_the_smallest_block() {
    for angles in [json!([24]), json!([24, 24.5]), json!([22, 25, 28, 31])] {
        for (width, title) in [(6, "Trial"), (25, "A title of some length for a small block")] {
            let setting = json!({ "tool": "bench-chisel", "angles": angles, "width": width, "land": 1 });
            let mut value = json!({ "format": 1, "title": title, "guide": "narrow-side-clamp", "settings": [setting] });
            value["block"] = json!({ "cleat": true });
            let (_, layout) = laid_out(&value);
            assert_eq!(layout.screw_holes.len(), 2, "{value}");
            assert!(cleat::cleat_of(&layout).is_ok(), "{value}");
            assert!(layout.hold_down(true).contains("Hang the cleat"), "{value}");
            // What is left off for them is said.
            let is_whole = layout.lettering.rank.said == 3 * layout.lanes.len() as u32;
            let is_said = layout.lettering.notes.iter().any(|note| note.contains("leave no room for"));
            assert!(is_whole || is_said, "{value} {:?}", layout.lettering.notes);
        }
    }
}

/// A cleat that is asked for is in the plan, in the section and in the picture, and the bench meets it.
#[test]
fn a_cleat_is_drawn_wherever_the_block_is() {
    let mut value = job_of(3, 3);
    assert!(sheets_of(&value).iter().all(|s| s.groups.iter().all(|g| g.id != "plan-cleat")));
    value["block"] = json!({ "cleat": true });
    let (_, layout) = laid_out(&value);
    let made = cleat::cleat_of(&layout).unwrap();
    let sheets = sheets_of(&value);
    let (board, drawn) = (extent_of(&sheets, "plan-board"), extent_of(&sheets, "plan-cleat"));
    let scale = board.width() / layout.length;
    assert!((drawn.width() / scale - made.area.width()).abs() < 1e-6, "{drawn}");
    let bench = extent_of(&sheets, "section-bench");
    let cut = extent_of(&sheets, "section-cut");
    let of_section = cut.width() / layout.depth;
    assert!((bench.x0 - cut.x0 - of_section * made.area.y1).abs() < 1e-6, "{bench} {cut}");
    let ids: Vec<String> = picture::cleat_bodies(&layout, &made).into_iter().map(|body| body.id).collect();
    assert_eq!(ids, ["cleat", "screw-1", "screw-2"]);
}

/// No section runs along a mark: the plane stands beside the line in the lane's middle.
#[test]
fn the_plane_stands_beside_the_marks() {
    for (irons, chisels) in [(1, 0), (0, 1), (3, 3), (6, 6)] {
        let (_, layout) = laid_out(&job_of(irons, chisels));
        for placed in &layout.lanes {
            let plane = beside_marks(placed).centre;
            assert!(placed.x[0] < plane && plane < placed.x[1]);
            for mark in [-0.25, 0.0, 0.25].map(|part| placed.centre + part * placed.blade_width) {
                assert!((mark - plane).abs() > 0.4, "{plane} {mark}");
            }
        }
    }
}

/// Every sheet of the drawing is filled to a third at least: the box around all but frame and title block.
#[test]
fn no_sheet_is_nearly_empty() {
    for (irons, chisels) in [(1, 0), (2, 0), (3, 3), (6, 6), (10, 10)] {
        for sheet in sheets_of(&job_of(irons, chisels)) {
            let rest: Vec<_> = sheet.groups.iter().filter(|g| g.class != "frame").cloned().collect();
            let (drawn, frame) = (clash::extent(&rest), sheet.paper.frame());
            let filled = drawn.area() / (frame.area() - TITLE_BLOCK.area());
            assert!(filled > 1.0 / 3.0, "{irons} {chisels}: {filled} of {} on {}", sheet.title, sheet.paper.name());
        }
    }
}

/// What the clash test would miss if it were blind: a sound sheet, then one text moved.
#[test]
fn the_clash_test_sees() {
    let mut sheet = sheet_of(&job_of(3, 3));
    // One lane's name on top of another's.
    let mut names = sheet.groups.iter_mut().filter(|g| g.class == "lane-label");
    let (one, other) = (names.next().unwrap(), names.next().unwrap());
    if let (Mark::Text(here), Mark::Text(there)) = (&mut one.marks[0], &other.marks[0]) {
        here.at = there.at;
    }
    assert!(!clash::find(&sheet).is_empty());
}

/// A numbered table keeps the uncertainty, and what is beyond the tolerance is warned of beside the limits.
#[test]
fn uncertainty_is_on_every_sheet() {
    let words = |value: &serde_json::Value| {
        let text = |m: &Mark| if let Mark::Text(t) = m { Some(t.words.clone()) } else { None };
        let sheets = sheets_of(value);
        let marks = sheets.iter().flat_map(|sheet| &sheet.groups).flat_map(|g| &g.marks);
        marks.filter_map(text).collect::<Vec<_>>().join(" ")
    };
    for job in [job_of(2, 0), job_of(6, 6), crowded()] {
        assert!(words(&job).contains("± angle"), "{job}");
    }
    assert!(words(&crowded()).contains("no., lane"), "a numbered table is among them");
    let mut job = job_of(2, 0);
    assert!(!words(&job).contains("± angle is more than"));
    job["settings"][0]["thickness"] = json!({ "value": 2.4, "within": 2 });
    let said = words(&job);
    assert!(said.contains("Warning: ± angle is more than the ±0.5° allowed with plane-iron."), "{said}");
    assert!(said.contains("a fence shifts its bevel by ±0.5° at most"), "{said}");
}
