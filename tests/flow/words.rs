//! The words of the trade: all of them in the figure or beside it, their leaders on the parts that they name.

use kurbo::{BezPath, ParamCurveNearest, Point, Shape};
use proptest::prelude::*;
use serde_json::json;

use super::support::{any_job, cases, job_of, laid_out, parsed};
use stopwright::block::{self, Layout, cleat, sheets, slabs};
use stopwright::drawing::style::SMALL;
use stopwright::drawing::{Group, Mark, Sheet, clash};
use stopwright::guide::named::{GUIDES, TOOLS};
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::views::words::{Word, demo, glossary};

/// What the project's rules for speech keep, and what they put in the place of older words.
const KEPT: [&str; 29] = [
    "guide",
    "roller",
    "seat",
    "face",
    "projection",
    "bevel",
    "heel",
    "micro-bevel",
    "burr",
    "back",
    "camber",
    "bed angle",
    "land",
    "kerf",
    "arris",
    "cleat",
    "fence",
    "lane",
    "near edge",
    "far edge",
    "table",
    "middle",
    "reference edge",
    "axle to face",
    "roller below the table",
    "quantity",
    "± projection",
    "± angle",
    "Warning",
];

/// Words that no part bears.
const WITHOUT_PART: [Word; 4] = [Word::Quantity, Word::ProjectionWithin, Word::AngleWithin, Word::Warning];

/// The group that draws the part of each word.
fn part(word: Word) -> &'static str {
    match word {
        Word::Guide => "section-body",
        Word::Roller => "section-roller",
        Word::Seat => "section-seat",
        Word::Face => "section-face",
        Word::Blade => "section-blade",
        Word::Projection => "span-projection",
        Word::AxleToFace => "span-axle-to-face",
        Word::Back | Word::Edge | Word::Bevel | Word::Heel | Word::MicroBevel => "enlarged-blade",
        Word::Burr => "enlarged-burr",
        Word::Camber => "cambered-iron",
        Word::Land => "chisel-end",
        Word::BedAngle => "bed-angle-arc",
        Word::Stone => "words-stone",
        Word::Block | Word::Table | Word::Fence | Word::Middle | Word::ReferenceEdge | Word::Arris | Word::Cleat => {
            "section-cut"
        }
        Word::Lane => "above-lanes",
        Word::NearEdge | Word::FarEdge => "above-board",
        Word::RollerBelowTable => "span-roller-below-table",
        Word::Kerf => "sawn-board",
        Word::Quantity | Word::ProjectionWithin | Word::AngleWithin | Word::Warning => "",
    }
}

fn group<'a>(sheet: &'a Sheet, id: &str) -> Option<&'a Group> {
    sheet.groups.iter().find(|g| g.id == id)
}

fn paths(group: &Group) -> Vec<BezPath> {
    group.marks.iter().map(Mark::path).collect()
}

/// How far a point is from the nearest line of a group, mm.
fn off_lines(group: &Group, point: Point) -> f64 {
    let paths = paths(group);
    let segments = paths.iter().flat_map(BezPath::segments);
    segments.map(|s| s.nearest(point, 1e-9).distance_sq.sqrt()).fold(f64::INFINITY, f64::min)
}

/// Where a word's leader ends, and how; `None` where the figure does not bear the word.
fn leader(sheet: &Sheet, word: Word) -> Option<(Point, String)> {
    let group = group(sheet, &format!("word-{}", word.id()))?;
    let data = |name: &str| group.data.iter().find(|(n, _)| *n == name).unwrap().1.clone();
    let at: Vec<f64> = data("at").split(' ').map(|v| v.parse().unwrap()).collect();
    let words: Vec<&str> =
        group.marks.iter().filter_map(|m| if let Mark::Text(t) = m { Some(t.words.as_str()) } else { None }).collect();
    assert_eq!(words, [word.name()]);
    // The leader is drawn to the very point that it states, wherever the figure was moved to.
    let Mark::Line { from, .. } = &group.marks[0] else { panic!("{word:?} has no leader") };
    let moved = *from - Point::new(at[0], at[1]);
    assert!(moved.hypot() < 400.0);
    Some((*from, data("tip")))
}

/// Each word's leader ends on its part: an arrow or a plain end on a line of it, a dot within its area.
fn assert_leaders_end_on_parts(sheet: &Sheet, about: &str) -> usize {
    let mut found = 0;
    for word in Word::ALL {
        let Some((at, tip)) = leader(sheet, word) else { continue };
        let part = group(sheet, part(word)).unwrap_or_else(|| panic!("{about}: no part of {word:?}"));
        match tip.as_str() {
            "dot" if word == Word::Kerf => {
                let board = paths(part)[0].bounding_box();
                assert!(
                    board.contains(at) && paths(part)[0].winding(at) == 0,
                    "{about}: the kerf is what is not there"
                );
            }
            "dot" => assert!(paths(part).iter().any(|p| p.winding(at) != 0), "{about}: {word:?} at {at}"),
            _ => assert!(off_lines(part, at) < 0.05, "{about}: {word:?} is {} mm off", off_lines(part, at)),
        }
        found += 1;
    }
    found
}

/// A shallow angle and a roller that runs below the stone: the lowest and widest figure there is (random job 2118).
#[test]
fn a_roller_below_the_stone_keeps_to_its_figure() {
    let sheet = page(&json!({
        "format": 1, "title": "deep", "guide": "wide-side-clamp", "roller_level": -11.13, "sheet": { "size": "A3" },
        "settings": [
            { "id": "set0", "tool": "mortise-chisel", "angles": [11.5], "thickness": 2, "primary": 11.5 },
            { "id": "set1", "tool": "spokeshave-iron", "angles": [11, 11.5], "width": 62.38, "primary": 11 },
        ],
        "block": { "fence_height": 4.7, "screw_holes": true, "cleat": true },
    }));
    assert_eq!(clash::find(&sheet), []);
}

#[test]
fn every_word_is_in_the_figure_or_beside_it_and_in_the_text() {
    let (sheet, _) = demo::picture();
    let text = glossary();
    for kept in KEPT {
        let word = Word::ALL.into_iter().find(|w| w.name() == kept).unwrap_or_else(|| panic!("no word {kept}"));
        assert!(text.lines().any(|l| l.trim().starts_with(kept) && l.ends_with(word.meaning())), "{kept}");
        assert_eq!(leader(&sheet, word).is_none(), WITHOUT_PART.contains(&word), "{kept} in the figure");
    }
    let words = page_words(&page(&job_of(3, 3)));
    for word in Word::ALL {
        assert!(words.contains(&word.name().to_string()), "{word:?} on the page");
    }
}

#[test]
fn the_text_figure_bears_the_words_and_keeps_to_80_columns() {
    let text = glossary();
    let figure = text.split("What each word means").next().unwrap();
    let lines: Vec<&str> = text.lines().collect();
    for line in &lines {
        assert!(line.chars().count() <= 80 && line.trim_end() == *line, "{line}");
    }
    for word in Word::ALL.into_iter().filter(|word| *word != Word::Stone) {
        assert_eq!(figure.contains(word.name()), !WITHOUT_PART.contains(&word), "{word:?}");
    }
}

#[test]
fn the_figure_of_the_demo_guide_is_clear_and_its_leaders_end_on_parts() {
    let (sheet, area) = demo::picture();
    assert_eq!(clash::find(&sheet), []);
    assert!(area.contains_rect(clash::extent(&sheet.groups)));
    assert_eq!(assert_leaders_end_on_parts(&sheet, "demo"), Word::ALL.len() - WITHOUT_PART.len());
    // The face against the near edge, the edge at the fence, the roller below the table: as the solver has them.
    demo::shown(|shown| {
        let lane = &shown.placed.lane;
        assert!((lane.finished() - 47.09).abs() < 0.01, "an iron at 30° in the demo guide: {}", lane.finished());
        assert!((lane.own_roller_below_table() - 29.9).abs() < 1e-9);
    });
}

/// The page of a job's block.
fn page(value: &serde_json::Value) -> Sheet {
    let (job, layout) = laid_out(value);
    page_of(&job, &layout)
}

fn page_of(job: &Job, layout: &Layout) -> Sheet {
    let block = slabs::build(layout).unwrap();
    let cleat = job.block.cleat.then(|| cleat::cleat_of(layout).ok()).flatten();
    sheets::words::sheet(job, layout, cleat.as_ref(), &block.stack).unwrap().numbered([1, 1])
}

fn page_words(sheet: &Sheet) -> Vec<String> {
    let marks = sheet.groups.iter().flat_map(|g| &g.marks);
    marks.filter_map(|m| if let Mark::Text(t) = m { Some(t.words.clone()) } else { None }).collect()
}

fn assert_page(sheet: &Sheet, about: &str) {
    assert_eq!(clash::find(sheet), [], "{about}");
    assert!(assert_leaders_end_on_parts(sheet, about) >= 27, "{about}");
    let heights = sheet.groups.iter().flat_map(|g| &g.marks);
    let mut heights = heights.filter_map(|m| if let Mark::Text(t) = m { Some(t.height) } else { None });
    assert!(heights.all(|h| h >= SMALL), "{about}");
    // What stands lowest above the title block fills the page.
    let foot = clash::extent(std::slice::from_ref(group(sheet, "cautions").unwrap())).y0;
    let low = clash::extent(std::slice::from_ref(group(sheet, "meaning").unwrap())).y1;
    assert!(low <= foot && foot - low < 25.0, "{about}: {} mm are empty", foot - low);
    assert!(group(sheet, "use").is_some());
}

/// Every guide with every tool that it holds, on A4 and Letter, with a cleat and without.
#[test]
fn the_page_is_clear_and_full_for_every_guide_and_tool() {
    let mut drawn = 0;
    for guide in GUIDES {
        for tool in TOOLS {
            for (size, cleat, edge) in [("A4", false, "near"), ("Letter", true, "far")] {
                let level = if guide.name == "bench-roller" { -12 } else { 0 };
                let value = json!({ "format": 1, "title": "t", "guide": guide.name, "roller_level": level,
                    "sheet": { "size": size }, "block": { "cleat": cleat },
                    "settings": [{ "tool": tool.name, "angles": [30], "edge": edge }] });
                let job = parsed(&value);
                let Ok(set) = lanes::of_job(&job) else { continue };
                let Ok(layout) = block::lay_out(&job, &set) else { continue };
                assert_page(&page_of(&job, &layout), &format!("{} {} {size}", guide.name, tool.name));
                drawn += 1;
            }
        }
    }
    assert!(drawn >= 40, "only {drawn} drawn");
}

proptest! {
    #![proptest_config(cases(60))]
    #[test]
    fn the_page_is_clear_in_any_job(value in any_job(), size in prop::sample::select(vec!["A4", "Letter"])) {
        let mut value = value;
        value["sheet"] = json!({ "size": size });
        let job = parsed(&value);
        let Ok(set) = lanes::of_job(&job) else { return Ok(()) };
        let Ok(layout) = block::lay_out(&job, &set) else { return Ok(()) };
        assert_page(&page_of(&job, &layout), &value.to_string());
    }
}
