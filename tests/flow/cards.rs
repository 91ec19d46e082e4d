//! Bench cards, the log and the index page of a kit.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::{Value, json};
use tempfile::tempdir;

use super::support::{card_sheets, file, run, stdout, written_as_made};
use stopwright::drawing::{Mark, Sheet, Text, clash};
use stopwright::format::{ArtifactKind, Wanted};
use stopwright::job::Job;
use stopwright::kit::advice;
use stopwright::lane::Bevel;
use stopwright::make;
use stopwright::stones::camber::pressure::Kernel;
use stopwright::stones::camber::strokes::{FOLLOWS, Place};
use stopwright::stones::grits::Work;
use stopwright::terms::PaperSize;
use stopwright::units::{Units, Written};
use stopwright::{card, lanes};

const KIT: &str = "examples/alder-lane-kit.json";
const JOB: &str = "examples/alder-lane-kit-job.json";

fn job() -> Job {
    let bytes = std::fs::read(JOB).expect("the example");
    Job::parse(JOB, &bytes, &stopwright_program::cli::files::Disk::beside(Path::new(JOB)))
        .unwrap_or_else(|e| panic!("{e}"))
}

/// Every bevel of every blade has its lane on the blade's card, and the lane sets it within the tolerance.
#[test]
fn every_bevel_is_on_its_blades_card() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let set = lanes::of_job(&job).expect("lanes");
    let cards = card::cards(kit, &job, &set);
    assert_eq!(cards.len(), kit.blades.len());
    for (card, blade) in cards.iter().zip(&kit.blades) {
        let advised = advice::advise(blade);
        let wanted = [(Bevel::Primary, advised.primary.angle), (Bevel::Micro, advised.micro.angle)];
        assert_eq!(card.blade, blade.name);
        for (bevel, angle) in wanted {
            let Some(setting) = card.settings.iter().find(|s| s.bevel == bevel) else {
                // A primary bevel that the blade has already needs no lane; a micro-bevel at its angle is none.
                let passes = blade.current == Some(angle) && bevel == Bevel::Primary;
                assert!(passes || advised.micro.angle == advised.primary.angle, "{} {angle}", card.blade);
                continue;
            };
            assert_eq!(setting.wanted, angle, "{}", card.blade);
            assert!((setting.set - angle).abs() <= job.tolerance + 1e-9, "{}: {setting:?}", card.blade);
            let lane = set.lanes.iter().find(|l| l.request.id == setting.lane).expect("the lane");
            assert_eq!(setting.fence, lane.fence());
        }
        assert!(!card.settings.is_empty());
    }
    let jack = &cards[0];
    assert!(jack.camber.is_some() && jack.change.is_some() && jack.regrind.is_some());
}

/// All words on some sheets.
fn words(sheets: Vec<(String, Sheet)>) -> String {
    let marks: Vec<Mark> = sheets.into_iter().flat_map(|(_, s)| s.groups).flat_map(|g| g.marks).collect();
    let texts = marks.iter().filter_map(|m| if let Mark::Text(t) = m { Some(t.words.as_str()) } else { None });
    texts.collect::<Vec<_>>().join(" ")
}

/// A card says what is done in the order in which it is done, and each work its lane; what follows heavy work is set anew.
#[test]
fn a_card_is_in_working_order() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let cards = card::cards(kit, &job, &lanes::of_job(&job).expect("lanes"));
    for card in &cards {
        let in_micro = card.camber.as_ref().is_some_and(|c| c.on.1 == Bevel::Micro);
        let work = if in_micro { ["shape", "hone", "camber"] } else { ["camber", "shape", "hone"] };
        let order = [&["mind", "first"][..], &work, &["burr", "test", "due", "grinder", "care"]].concat();
        let sheets = card_sheets(&job, kit, &cards, PaperSize::A4, Some(&card.blade));
        let ids: Vec<String> = sheets.iter().flat_map(|(_, s)| &s.groups).map(|g| g.id.clone()).collect();
        let places: Vec<usize> = order.iter().filter_map(|id| ids.iter().position(|g| g == id)).collect();
        assert!(places.len() >= 6 && places.is_sorted(), "{}: {ids:?}", card.blade);
        let said = words(sheets);
        if let Some(camber) = &card.camber {
            let lane = camber.lane.as_ref().expect("a lane");
            let turn = if in_micro { " when its turn comes" } else { "" };
            let of_bevel = card.settings.iter().find(|s| s.bevel == camber.on.1).expect("a setting");
            assert_eq!(
                (lane, said.contains(&format!("Lane {lane}, {}{turn}. A round", camber.on.0))),
                (&of_bevel.lane, true),
                "{said}"
            );
        }
        assert!(card.change.is_none() || said.contains("Then set the blade again in lane"), "{said}");
    }
    assert!(cards[0].change.is_some() && cards.iter().filter(|c| c.camber.is_some()).count() >= 3);
}

/// Every grade of a cambered blade replayed, stroke by stroke: what they wear in all is the arc and an even wear, within
/// [`FOLLOWS`] of the arc's depth. Without the later grades' share it would be another arc.
#[test]
fn the_wear_of_all_grades_is_the_arc() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let cards = card::cards(kit, &job, &lanes::of_job(&job).expect("lanes"));
    let mut replayed = 0;
    for (card, (blade, advice)) in cards.iter().zip(kit.blades.iter().zip(kit.advice())) {
        let Some(camber) = &card.camber else { continue };
        let (width, depth) = (camber.curve.width, camber.curve.depth);
        let [first, second] = [advice.primary.angle.to_radians(), advice.micro.angle.to_radians()];
        let thickness = blade.blade.thickness.mm;
        let bevel = thickness / (first + blade.blade.taper.degrees.to_radians()).sin();
        let narrow = (depth / 2.0 * first.sin() / (second - first).sin()).min(bevel);
        // How far back a stroke on a grade, evenly pressed, takes the edge, by the load, slide and hardness stated.
        let back = |grain: f64, bevel_is: Bevel| {
            let (long, angle) = if bevel_is == Bevel::Primary { (bevel, first) } else { (narrow, second) };
            0.01 * (grain / 100.0).min(1.0) * 30.0 * 150.0 / (7000.0 * width * long) / angle.sin()
        };
        let round = |x: f64| -> f64 {
            let strokes = |(place, count): (&Place, u32)| {
                let sides = if place.at == 0.0 { vec![0.0] } else { vec![place.at, -place.at] };
                let pressed = sides.iter().map(|at| Kernel::Stiff.pressure(width, 16.0, x, *at)).sum::<f64>();
                f64::from(count) * pressed
            };
            camber.places.iter().zip(camber.rounds.counts).map(strokes).sum()
        };
        let level = 20.0;
        let worn = |x: f64| {
            let here = f64::from(camber.rounds.rounds) * round(x) * back(camber.on.0.grain(), camber.on.1);
            let later = camber.later.iter().map(|g| (round(x) + level) * back(g.grain(), Bevel::Micro));
            here + later.sum::<f64>()
        };
        let points: Vec<f64> = (0..200).map(|i| width / 2.0 * (f64::from(i) + 0.5) / 200.0).collect();
        let over: Vec<f64> = points.iter().map(|x| worn(*x) - camber.curve.at(*x)).collect();
        let mean = over.iter().sum::<f64>() / 200.0;
        let rms = (over.iter().map(|o| (o - mean).powi(2)).sum::<f64>() / 200.0).sqrt();
        assert!(rms <= FOLLOWS * depth, "{}: {rms} of {depth}, {:?}", card.blade, camber.rounds);
        assert!(camber.later.is_empty() || camber.before_later() < depth, "{camber:?}");
        replayed += 1;
    }
    assert!(replayed >= 3);
}

/// Grinder and burr are warned of once on the card of a blade that is ground, and the burr alone on one that is not.
#[test]
fn cautions_stand_once_on_a_card() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let cards = card::cards(kit, &job, &lanes::of_job(&job).expect("lanes"));
    let mut ground = 0;
    for card in &cards {
        let own = words(card_sheets(&job, kit, &cards, PaperSize::A4, Some(&card.blade)));
        let grinds = card.change.is_some()
            || card.regrind.is_some()
            || card.camber.as_ref().is_some_and(|c| c.is_for_a_grinder());
        ground += usize::from(grinds);
        assert_eq!(own.matches("no gloves").count(), usize::from(grinds), "{own}");
        assert_eq!(own.matches("never along it").count(), 1, "{own}");
    }
    assert!(ground > 0);
}

/// A blade too short for a bevel goes without a lane there, forces none, and its card says how to hone it.
#[test]
fn a_blade_too_short_for_a_bevel_is_left_out() {
    let folder = tempdir().expect("a folder");
    // At 25° irons stand out by 60.0 mm and at 30° by 47.1 mm, and the guide holds 11.0 mm.
    let blade = |name: &str, length: f64| {
        json!({ "name": name, "tool": "plane-iron", "width": 50, "thickness": 2.4,
        "length": length, "primary": 25, "micro": 30 })
    };
    let kit = json!({ "format": 1, "title": "short", "grits": ["P220", "P800"],
        "blades": [blade("worn", 62.0), blade("stub", 40.0)] });
    let path = |name: &str| folder.path().join(name).display().to_string();
    let job = json!({ "format": 1, "title": "short", "guide": "narrow-side-clamp", "kit": "kit.json" });
    std::fs::write(path("kit.json"), kit.to_string()).expect("written");
    std::fs::write(path("job.json"), job.to_string()).expect("written");
    let report: Value =
        serde_json::from_str(&stdout(&["kit", &path("kit.json"), "--guide", "narrow-side-clamp", "--json"]))
            .expect("JSON");
    assert_eq!(report["fences"].as_array().map(Vec::len), Some(1), "{report}");
    let lane = |blade: usize, bevel: &str| report["blades"][blade][bevel]["lane"].clone();
    assert_eq!(
        [lane(0, "primary"), lane(0, "micro"), lane(1, "primary"), lane(1, "micro")].map(|l| l.is_null()),
        [true, false, true, true]
    );
    assert_eq!(report["blades"][0]["flags"][0]["kind"], "unserved");
    for words in ["62.0 mm left", "71.1 mm needed", "11.0 mm are held in the guide"] {
        assert!(report["blades"][0]["flags"].to_string().contains(words), "{words}: {report}");
    }

    let out = path("made");
    let made = run(&["make", &path("job.json"), "--out", &out]);
    let said = String::from_utf8_lossy(&made.stdout).into_owned();
    assert_eq!(made.status.code(), Some(3), "{said}");
    for bevel in ["worn, primary 25°", "stub, primary 25°", "stub, micro-bevel 30°"] {
        assert!(said.contains(&format!("LEFT OUT: {bevel}")), "{bevel}: {said}");
    }
    let disk = stopwright_program::cli::files::Disk::beside(Path::new(&path("job.json")));
    let job = Job::parse("job.json", &std::fs::read(path("job.json")).expect("the job"), &disk).expect("sound");
    let cards = card::cards(job.kit.as_ref().expect("a kit"), &job, &lanes::of_job(&job).expect("lanes"));
    assert_eq!(cards.iter().map(|c| c.settings.len()).collect::<Vec<_>>(), [1, 0]);
    let flags = cards.iter().map(|c| c.flags.concat()).collect::<Vec<_>>();
    for (flags, words) in [
        (&flags[0], "hone the primary of 25° without the guide"),
        (&flags[0], "62.0 mm left"),
        (&flags[1], "hone the micro-bevel of 30° without the guide"),
        (&flags[1], "40.0 mm left, 58.1 mm needed"),
    ] {
        assert!(flags.contains(words), "{words}: {flags}");
    }
}

/// Nobody's strokes are printed to the unit: a card says what to look for, and with a log's counts what its user's took.
#[test]
fn strokes_are_the_users_own_or_none() {
    let folder = tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name).display().to_string();
    std::fs::copy(KIT, path("alder-lane-kit.json")).expect("copied");
    std::fs::copy(JOB, path("job.json")).expect("copied");
    let said = || {
        let bytes = std::fs::read(path("job.json")).expect("the job");
        let disk = stopwright_program::cli::files::Disk::beside(&folder.path().join("job.json"));
        let job = Job::parse("job.json", &bytes, &disk).unwrap_or_else(|e| panic!("{e}"));
        let kit = job.kit.as_ref().expect("a kit");
        let cards = card::counted(card::cards(kit, &job, &lanes::of_job(&job).expect("lanes")), job.log.as_ref());
        words(card_sheets(&job, kit, &cards, PaperSize::A4, Some("jack")))
    };
    let before = said();
    assert!(
        before.contains("until the scratches of the grade before are gone") && !before.contains("P400 ×"),
        "{before}"
    );
    assert!(!before.contains("Yours took"), "{before}");
    let kit = path("alder-lane-kit.json");
    for (day, count) in [("2026-03-01", "P400=12, P800=9"), ("2026-03-09", "P400=16")] {
        let out = run(&["log", &kit, "--honed", "jack", "--date", day, "--strokes", count, "--quiet"]);
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    }
    let after = said();
    assert!(after.contains("Yours took about 14 strokes on P400, 9 strokes on P800."), "{after}");
    for refused in ["P400", "P400=0", "400=5"] {
        assert_eq!(run(&["log", &kit, "--honed", "jack", "--strokes", refused]).status.code(), Some(2), "{refused}");
    }
}

/// Cards speak of the kinds of abrasive that a kit has, and of no other; of a kit that says none, in neutral words.
#[test]
fn cards_speak_of_the_kits_own_abrasives() {
    let folder = tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name).display().to_string();
    let said = |grits: Value| {
        let mut kit: Value = serde_json::from_slice(&std::fs::read(KIT).expect("the example")).expect("JSON");
        kit["grits"] = grits;
        std::fs::write(path("alder-lane-kit.json"), kit.to_string()).expect("written");
        std::fs::copy(JOB, path("job.json")).expect("copied");
        let bytes = std::fs::read(path("job.json")).expect("the job");
        let disk = stopwright_program::cli::files::Disk::beside(&folder.path().join("job.json"));
        let job = Job::parse("job.json", &bytes, &disk).unwrap_or_else(|e| panic!("{e}"));
        let kit = job.kit.as_ref().expect("a kit");
        let cards = card::cards(kit, &job, &lanes::of_job(&job).expect("lanes"));
        words(card_sheets(&job, kit, &cards, PaperSize::A4, Some("try plane")))
    };
    let stones = said(json!(["1000 water-stone", "4000 water-stone", "8000 water-stone"]));
    assert!(
        stones.contains("JIS 1000") && stones.contains("Flatten them often") && stones.contains("No oil"),
        "{stones}"
    );
    assert!(!stones.contains("Paper") && !stones.contains("Film") && !stones.contains("as its maker says"), "{stones}");
    let paper = said(json!(["P220 paper", "P400 paper", "P2000 paper"]));
    assert!(paper.contains("Push lightly, or only pull") && !paper.contains("stones:"), "{paper}");
    let unsaid = said(json!(["P220", "P400", "P2000"]));
    assert!(unsaid.contains("as its maker says") && !unsaid.contains("Paper:"), "{unsaid}");
}

/// A blade of 20° that becomes one of 25° drifts by some half a degree while it stays clamped; report and card say so, and
/// neither speaks of it where the edge does not go back.
#[test]
fn a_drift_in_the_guide_is_said() {
    let folder = tempdir().expect("a folder");
    let mut kit: Value = serde_json::from_slice(&std::fs::read(KIT).expect("the example")).expect("JSON");
    kit["blades"][0]["current"] = json!(20);
    let path = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(path("alder-lane-kit.json"), kit.to_string()).expect("written");
    std::fs::copy(JOB, path("job.json")).expect("copied");
    let said = stdout(&["kit", &path("alder-lane-kit.json"), "--guide", "narrow-side-clamp", "--json"]);
    let report: Value = serde_json::from_str(&said).expect("JSON");
    let drifts = |blade: &Value| -> Vec<String> {
        let flags = blade["flags"].as_array().expect("flags").iter().filter(|f| f["kind"] == "drift");
        flags.filter_map(|f| f["message"].as_str()).map(str::to_string).collect()
    };
    let drift = drifts(&report["blades"][0]);
    assert!(drift.len() == 1 && drift[0].contains("1.4 mm") && drift[0].contains("grows by 0.5°"), "{drift:?}");
    let bytes = std::fs::read(path("job.json")).expect("the job");
    let disk = stopwright_program::cli::files::Disk::beside(&folder.path().join("job.json"));
    let steep = Job::parse("job.json", &bytes, &disk).unwrap_or_else(|e| panic!("{e}"));
    for (job, drifts) in [(steep, true), (job(), false)] {
        let kit = job.kit.as_ref().expect("a kit");
        let cards = card::cards(kit, &job, &lanes::of_job(&job).expect("lanes"));
        let own = words(card_sheets(&job, kit, &cards, PaperSize::A4, Some("jack")));
        assert_eq!(own.contains("its angle grows by 0.5°. Clamp it again"), drifts, "{own}");
    }
}

/// All papers that cards are made on.
const PAPERS: [PaperSize; 6] =
    [PaperSize::A4, PaperSize::A3, PaperSize::Letter, PaperSize::A5, PaperSize::HalfLetter, PaperSize::Index];

/// Whether a paper bears two cards side by side.
fn bears_two(size: PaperSize) -> bool {
    matches!(size, PaperSize::A4 | PaperSize::A3 | PaperSize::Letter)
}

/// The lettering of the groups whose ids end so, whatever card of a sheet they are on.
fn lettering<'a>(sheet: &'a Sheet, ends: &str) -> Vec<&'a Text> {
    let groups = sheet.groups.iter().filter(|g| g.id.ends_with(ends));
    groups.flat_map(|g| &g.marks).filter_map(|m| if let Mark::Text(t) = m { Some(t) } else { None }).collect()
}

/// Share of the frame's squares of 5 mm that the box around some mark touches; frames themselves do not count.
fn used(sheet: &Sheet) -> f64 {
    const SQUARE: f64 = 5.0;
    let bounds = |group: &stopwright::drawing::Group| clash::extent(std::slice::from_ref(group));
    let frame = bounds(sheet.groups.iter().find(|g| g.id == "frame").expect("a frame"));
    let (wide, high) = ((frame.width() / SQUARE) as usize, (frame.height() / SQUARE) as usize);
    let mut taken = vec![false; wide * high];
    for mark in sheet.groups.iter().filter(|g| g.class != "frame").flat_map(|g| &g.marks) {
        let mut one = stopwright::drawing::Group::new("one", "note");
        one.marks.push(mark.clone());
        let all = bounds(&one);
        let squares = |low: f64, high: f64, most: usize| {
            let at = |mm: f64| (mm / SQUARE).floor().clamp(0.0, most as f64 - 1.0) as usize;
            at(low)..=at(high)
        };
        for row in squares(all.y0 - frame.y0, all.y1 - frame.y0, high) {
            for column in squares(all.x0 - frame.x0, all.x1 - frame.x0, wide) {
                taken[row * wide + column] = true;
            }
        }
    }
    taken.iter().filter(|taken| **taken).count() as f64 / taken.len() as f64
}

/// Names as long as a kit may have them: accents on capitals, words that are wider than a cell, letters that hang, hyphens
/// that are drawn as the wider minus signs.
const NAMES: [&str; 5] = [
    "a name of forty characters, as it may be",
    "Stemmeisensatzverlängerungsgriff für Ůhoř",
    "thick Ůhoř with a long boxwood handle, by the jig",
    "WWWWWWWWWWWWWWWWWWWW MMMMMMMMMMMMMMMMMM",
    "[-1[-2[-3[-4[-5[-6[-7[-8[-9[-0 plane",
];

/// Nothing overlaps anything on any paper, with words as long as a kit may have them; no card is lost, none is cut off, and
/// no page is under a third full.
#[test]
fn cards_are_clear_on_every_paper() {
    let job = job();
    let mut kit = job.kit.clone().expect("a kit");
    kit.blades.iter_mut().zip(NAMES).for_each(|(blade, name)| blade.name = name.into());
    let set = lanes::of_job(&Job { kit: Some(kit.clone()), ..job.clone() }).expect("lanes");
    let cards = card::cards(&kit, &job, &set);
    for units in ["mm", "in", "both"] {
        let inches = units != "mm";
        let written = Written { mm: units != "in", inches, ..Written::of(Units::Mm) };
        let job = Job { written, ..job.clone() };
        for size in PAPERS {
            let sheets = card_sheets(&job, &kit, &cards, size, None);
            // A card a blade and the kit's, on a sheet each or two a sheet; a card may take more.
            let fewest = (kit.blades.len() + 1).div_ceil(if bears_two(size) { 2 } else { 1 });
            assert!(sheets.len() >= fewest, "{size:?}");
            for (name, sheet) in &sheets {
                assert_eq!(clash::find(sheet), [], "{name} {size:?} {units}");
                let ids: BTreeSet<&str> = sheet.groups.iter().map(|g| g.id.as_str()).collect();
                assert_eq!(ids.len(), sheet.groups.len(), "{name} {size:?}");
                assert!(used(sheet) >= 1.0 / 3.0, "{name} {size:?} {units}: {}", used(sheet));
            }
            let headings = sheets.iter().map(|(_, sheet)| {
                let lines = lettering(sheet, "heading").into_iter().filter(|text| text.bold);
                lines.map(|text| text.words.as_str()).collect::<String>().replace(' ', "").replace('−', "-")
            });
            let headings: String = headings.collect();
            for blade in &kit.blades {
                assert!(headings.contains(&blade.name.replace(' ', "")), "{}: {headings}", blade.name);
            }
        }
    }
}

/// A single blade whose name is longer than the widest column is listed as large as it goes below the title, and a word is
/// broken only where no lettering is small enough for it.
#[test]
fn a_kit_of_one_long_name_is_clear() {
    let job = job();
    let mut kit = job.kit.clone().expect("a kit");
    kit.blades.truncate(1);
    for (name, unbroken) in
        NAMES.map(|name| (name, false)).into_iter().chain([("pecan-hickory-sprucewithprimarymicronh%?", true)])
    {
        kit.blades[0].name = name.into();
        let set = lanes::of_job(&Job { kit: Some(kit.clone()), ..job.clone() }).expect("lanes");
        let cards = card::cards(&kit, &job, &set);
        for size in PAPERS {
            let sheets = card_sheets(&job, &kit, &cards, size, None);
            for (of, sheet) in &sheets {
                assert_eq!(clash::find(sheet), [], "{name} on {of} {size:?}");
            }
            let listed = sheets.iter().flat_map(|(_, sheet)| lettering(sheet, "kit-1-name"));
            let lines: Vec<&str> = listed.map(|text| text.words.as_str()).collect();
            assert!(!lines.is_empty(), "{name} {size:?}");
            let within = lines.iter().rev().skip(1).any(|line| !line.ends_with(['-', '−']));
            assert!(!(unbroken && within), "{lines:?} {size:?}");
        }
    }
}

/// Every card leads with its lanes' signs, 20 mm high or more, and a figure of the lane in use, and has a box for each grade.
#[test]
fn cards_are_read_from_two_metres() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let cards = card::cards(kit, &job, &lanes::of_job(&job).expect("lanes"));
    for size in PAPERS {
        for card in &cards {
            let sheets = card_sheets(&job, kit, &cards, size, Some(&card.blade));
            let first = &sheets[0].1;
            let signs: Vec<&Text> = lettering(first, "-lane");
            let lanes: Vec<&str> = card.settings.iter().map(|s| s.lane.as_str()).collect();
            assert_eq!(signs.iter().map(|t| t.words.as_str()).collect::<Vec<_>>(), lanes, "{} {size:?}", card.blade);
            assert!(signs.iter().all(|t| t.height >= 20.0), "{signs:?}");
            for part in ["use-block", "use-body", "use-blade", "use-words"] {
                assert!(first.groups.iter().any(|g| g.id.ends_with(part)), "{} {size:?}: {part}", card.blade);
            }
            let figure: Vec<&str> = lettering(first, "use-words").iter().map(|t| t.words.as_str()).collect();
            assert_eq!(figure, ["fence", "edge", "clamp"]);
            let boxes = sheets.iter().flat_map(|(_, s)| &s.groups).filter(|g| g.id == "shape" || g.id == "hone");
            let boxes = boxes.flat_map(|g| &g.marks).filter(|m| matches!(m, Mark::Path { closed: true, .. })).count();
            let hones = card.settings.iter().any(|s| s.bevel == Bevel::Primary);
            let shaping = card.steps.iter().filter(|s| s.work == Work::Primary).count();
            assert_eq!(boxes, card.steps.len() - if hones { 0 } else { shaping }, "{} {size:?}", card.blade);
            let dots: Vec<f64> = sheets
                .iter()
                .flat_map(|(_, s)| &s.groups)
                .filter(|g| g.id.starts_with("finger-") && g.id != "finger-places")
                .flat_map(|g| g.data.iter().filter(|(name, _)| *name == "at"))
                .map(|(_, at)| at.parse().expect("a number"))
                .collect();
            // Dots stand on both sides alike, and there are some on a card with a planned camber.
            assert!(dots.iter().all(|at| dots.contains(&-at)), "{dots:?}");
            assert_eq!(dots.is_empty(), card.camber.is_none(), "{} {size:?}", card.blade);
        }
    }
}

/// J and Q hang below the line: nothing below runs into them, on any paper.
#[test]
fn signs_that_hang_are_clear_of_what_is_below() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let mut cards = card::cards(kit, &job, &lanes::of_job(&job).expect("lanes"));
    for (card, sign) in cards.iter_mut().zip(["J", "Q", "W", "JJ"]) {
        card.settings.iter_mut().for_each(|s| s.lane = sign.into());
    }
    for size in PAPERS {
        for (name, sheet) in card_sheets(&job, kit, &cards, size, None) {
            assert_eq!(clash::find(&sheet), [], "{name} {size:?}");
        }
    }
}

/// On index cards of 3 × 5 in a blade has the two sides of one card, and so has the kit; on other papers it has one side.
#[test]
fn a_blade_has_one_card() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let cards = card::cards(kit, &job, &lanes::of_job(&job).expect("lanes"));
    let all = kit.blades.len() + 1;
    for size in PAPERS {
        let sheets = card_sheets(&job, kit, &cards, size, None);
        let wanted = match size {
            PaperSize::Index => 2 * all,
            size if bears_two(size) => all.div_ceil(2),
            _ => all,
        };
        let names: Vec<&str> = sheets.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(sheets.len(), wanted, "{size:?}: {names:?}");
    }
}

/// The page holds every picture and leads to every other file, and to none that is not there.
#[test]
fn the_index_shows_everything() {
    let made = make::make(&job(), Wanted::everything(), &()).unwrap_or_else(|e| panic!("{e}"));
    let page = made.artifacts.iter().find(|a| a.name == "index.html").expect("the page");
    let page = std::str::from_utf8(&page.bytes).expect("UTF-8");
    let names: BTreeSet<&str> = made.artifacts.iter().map(|a| a.name.as_str()).collect();
    for name in names.iter().filter(|n| **n != "index.html") {
        assert!(page.contains(&format!("href=\"{name}\"")), "{name}");
    }
    let links = page.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next());
    for link in links.filter(|l| !l.starts_with('#')) {
        assert!(names.contains(link), "{link}");
    }
    let pictures = names.iter().filter(|n| n.ends_with(".svg")).count();
    assert_eq!(page.matches("<img ").count(), pictures);
    assert_eq!(page.matches("data:image/svg+xml;base64,").count(), pictures);
    assert!(!page.contains("<script") && !page.contains("http"), "it asks nothing of a network");
}

fn log(folder: &Path, more: &[&str]) -> std::process::Output {
    let file = folder.join("log.json");
    let mut args = vec!["log", KIT, "--file", file.to_str().expect("UTF-8")];
    args.extend(more);
    run(&args)
}

/// Widths that were measured tell how fast the micro-bevel grows: 0.3 mm a honing, 1.5 mm at most, so 5 in all.
#[test]
fn a_log_counts_and_learns() {
    let folder = tempdir().expect("a folder");
    for (day, width) in [("2026-03-01", "0.3"), ("2026-03-09", "0.6")] {
        let out = log(folder.path(), &["--honed", "jack", "--date", day, "--micro-width", width]);
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    }
    let blades = |out: &std::process::Output| -> Value { serde_json::from_slice(&out.stdout).expect("JSON") };
    let jack = |value: &Value| value["blades"][0].clone();
    let seen = jack(&blades(&log(folder.path(), &["--json"])));
    assert_eq!(seen["honings"], 2);
    assert_eq!(seen["measured"], true);
    assert_eq!(seen["honings_left"], 3, "{seen}");
    assert_eq!(seen["due"], false);
    for day in ["2026-03-10", "2026-03-11", "2026-03-12"] {
        assert!(log(folder.path(), &["--honed", "jack", "--date", day, "--quiet"]).status.success());
    }
    let seen = jack(&blades(&log(folder.path(), &["--json"])));
    assert_eq!((seen["honings_left"].as_u64(), seen["due"].as_bool()), (Some(0), Some(true)), "{seen}");
    // Ground anew, the count begins again; what was written before is still there.
    assert!(log(folder.path(), &["--reground", "jack", "--date", "2026-03-13"]).status.success());
    let seen = jack(&blades(&log(folder.path(), &["--json"])));
    assert_eq!(seen["honings"], 0);
    let text = std::fs::read_to_string(folder.path().join("log.json")).expect("the log");
    let file: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(file["entries"].as_array().map(Vec::len), Some(6));
    assert_eq!(file["entries"][1]["micro_width"], json!(0.6));
}

#[test]
fn a_log_refuses_what_is_not_of_its_kit_and_stays_whole() {
    let folder = tempdir().expect("a folder");
    assert!(log(folder.path(), &["--honed", "jack", "--date", "2026-03-01"]).status.success());
    let path = folder.path().join("log.json");
    let before = std::fs::read(&path).expect("the log");
    let refused: [&[&str]; 4] = [
        &["--honed", "nobody's"],
        &["--honed", "jack", "--date", "2026-02-30"],
        &["--honed", "jack", "--micro-width", "99"],
        &["--honed", "jack", "--note", ""],
    ];
    for args in refused {
        let out = log(folder.path(), args);
        assert_eq!(out.status.code(), Some(2), "{args:?}");
        assert_eq!(std::fs::read(&path).expect("the log"), before, "{args:?}");
    }
    for (from, to, told) in [
        ("Alder Lane drawer", "Another drawer", "kit"),
        ("2026-03-01", "2026-13-01", "date"),
        ("\"jack\"", "\"axe\"", "blade"),
        ("honed", "blunted", "what"),
    ] {
        let text = String::from_utf8(before.clone()).expect("UTF-8").replace(from, to);
        std::fs::write(&path, &text).expect("a broken log");
        let out = log(folder.path(), &["--honed", "jack"]);
        let said = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!(out.status.code(), Some(2), "{to}");
        assert!(said.contains("log.json") && said.contains(told), "{said}");
        assert_eq!(std::fs::read_to_string(&path).expect("the log"), text, "{to}");
    }
}

#[test]
fn cards_of_one_blade_and_of_jobs_without_a_kit() {
    let folder = tempdir().expect("a folder");
    let out_folder = folder.path().to_str().expect("UTF-8");
    let out = run(&["card", JOB, "--blade", "jack", "--paper", "index", "--out", out_folder]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    assert!(folder.path().join("cards-3x5.pdf").exists());
    assert_eq!(run(&["card", JOB, "--blade", "axe", "--out", out_folder]).status.code(), Some(2));
    assert_eq!(run(&["card", "examples/tool-chest.json", "--out", out_folder]).status.code(), Some(2));
}

/// Cards, index and numbers bear one fingerprint; cards that are drawn beside the block of another state say so.
#[test]
fn cards_beside_a_stale_block_say_so() {
    let folder = tempdir().expect("a folder");
    let out = folder.path().to_str().expect("UTF-8");
    assert!(run(&["make", JOB, "--only", "stl,cards,offsets,index", "--out", out, "--quiet"]).status.success());
    let ours = job().fingerprint();
    let read = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("a file");
    assert!(read("index.html").contains(&format!("Fingerprint of guide and job: {ours}")));
    assert!(read("card-01.svg").contains(&format!("\n{ours}\n")));
    assert!(read("cards-kit-01.svg").contains(&ours));
    let card = || {
        let done = run(&["card", JOB, "--out", out, "--force"]);
        String::from_utf8(done.stdout).expect("UTF-8")
    };
    assert!(!card().contains("fingerprint"));
    let stale = read("offsets.json").replace(&format!("\"fingerprint\": \"{ours}\""), "\"fingerprint\": \"3333\"");
    std::fs::write(folder.path().join("offsets.json"), stale).expect("an older block's numbers");
    let said = card();
    assert!(said.contains("has the fingerprint 3333") && said.contains(&ours), "{said}");
}

/// The pictures of many cards are written as they are drawn, and the page shows them without having them.
#[test]
fn cards_of_a_large_kit_are_written_as_they_are_drawn() {
    let folder = tempdir().expect("a folder");
    let blade = |i: usize| {
        json!({ "name": format!("chisel {i}"), "tool": "bench-chisel", "width": 10.0 + 0.1 * i as f64, "thickness": 3,
            "land": 1.2, "steel": "A2", "use": ["softwood"], "primary": 25, "micro": 30 })
    };
    let blades: Vec<Value> = (0..240).map(blade).collect();
    file(folder.path(), "kit.json", &json!({ "format": 1, "title": "Large", "units": "mm", "blades": blades }));
    let job = json!({ "format": 1, "title": "Large", "units": "mm", "guide": "narrow-side-clamp", "kit": "kit.json" });
    let kinds = [ArtifactKind::Cards, ArtifactKind::Index];
    let (made, page, _) = written_as_made(&file(folder.path(), "job.json", &job), &kinds);
    // The sheet to print first, then its pages, as they are listed.
    let names: Vec<&str> = made.artifacts.iter().map(|artifact| artifact.name.as_str()).collect();
    assert_eq!([names[0], names[1], names[names.len() - 2]], ["cards.pdf", "cards-kit-01.svg", "cards-3x5.pdf"]);
    let shown = made.artifacts.iter().filter(|artifact| artifact.name.ends_with(".svg"));
    for name in shown.map(|artifact| &artifact.name) {
        assert_eq!(page.matches(&format!("src=\"{name}\"")).count(), 1, "{name}");
    }
}
