//! The drawings: nothing overlaps anything, and lines, lettering, scales and sheets are those of the standards.

use kurbo::{Point, Size};
use proptest::prelude::*;
use serde_json::json;

use super::support::{any_job, job_of, laid_out, parsed};
use stopwright::block::sheets::drawing;
use stopwright::block::slabs;
use stopwright::drawing::paper::Paper;
use stopwright::drawing::style::{NARROW, WIDE};
use stopwright::drawing::{Mark, Sheet, clash};
use stopwright::guide::named::{GUIDES, TOOLS};
use stopwright::lane::checks::Gravity;
use stopwright::lanes;
use stopwright::terms::{PaperSize, ProjectionAngle};
use stopwright::views::side_view::{self, Stand};

fn sheet_of(value: &serde_json::Value) -> Sheet {
    let (job, layout) = laid_out(value);
    let block = slabs::build(&layout).unwrap();
    drawing::sheet(&job, &layout, &block.stack).unwrap()
}

#[test]
fn nothing_collides_from_one_lane_to_sixty() {
    for (irons, chisels) in [(1, 0), (2, 0), (0, 2), (3, 3), (4, 3), (6, 6), (10, 10), (30, 30)] {
        let mut value = job_of(irons.min(16), chisels.min(16));
        if irons > 16 {
            let angles = |from: f64| (0..30).map(|i| from + 0.5 * f64::from(i)).collect::<Vec<_>>();
            value["settings"][0]["angles"] = json!(angles(20.0));
            value["settings"][1]["angles"] = json!(angles(22.0));
        }
        for projection in ["third", "first"] {
            value["sheet"] = json!({ "projection": projection });
            let sheet = sheet_of(&value);
            assert_eq!(clash::find(&sheet), [], "{irons} irons, {chisels} chisels");
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
        match drawing::sheet(&job, &layout, &block.stack) {
            Ok(sheet) => prop_assert_eq!(clash::find(&sheet), []),
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
    let stone = outline("stone").iter().map(|p| p.y).fold(f64::INFINITY, f64::min);
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
        let sheet = sheet_of(value);
        let text = |m: &Mark| if let Mark::Text(t) = m { Some(t.words.clone()) } else { None };
        sheet.groups.iter().flat_map(|g| &g.marks).filter_map(text).collect::<Vec<_>>().join(" ")
    };
    for (irons, chisels) in [(2, 0), (6, 6), (16, 10)] {
        let said = words(&job_of(irons, chisels));
        assert!(said.contains("± angle"), "{irons}, {chisels}");
    }
    assert!(words(&job_of(16, 10)).contains("no., lane"), "a numbered table is among them");
    let mut job = job_of(2, 0);
    assert!(!words(&job).contains("± angle is more than"));
    job["settings"][0]["thickness"] = json!({ "value": 2.4, "within": 2 });
    let said = words(&job);
    assert!(said.contains("Warning: ± angle is more than the ±0.5° allowed with plane-iron."), "{said}");
    assert!(said.contains("a fence shifts its bevel by ±0.5° at most"), "{said}");
}
