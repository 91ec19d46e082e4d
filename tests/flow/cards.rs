//! Bench cards, the log and the index page of a kit.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::{Value, json};
use tempfile::tempdir;

use super::support::{run, stdout};
use stopwright::card::files::card_sheets;
use stopwright::drawing::{Mark, Sheet, clash};
use stopwright::format::Wanted;
use stopwright::job::Job;
use stopwright::kit::advice;
use stopwright::lane::Bevel;
use stopwright::make;
use stopwright::terms::PaperSize;
use stopwright::{card, lanes};

const KIT: &str = "examples/alder-lane-kit.json";
const JOB: &str = "examples/alder-lane-kit-job.json";

fn job() -> Job {
    let bytes = std::fs::read(JOB).expect("the example");
    Job::parse(JOB, &bytes, &stopwright::cli::files::Disk::beside(Path::new(JOB))).unwrap_or_else(|e| panic!("{e}"))
}

/// Every bevel of every blade has its lane on the blade's card, and the lane sets it within the tolerance.
#[test]
fn every_bevel_is_on_its_blades_card() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let set = lanes::of_job(&job).expect("lanes");
    let cards = card::cards(kit, &job.guide, &set);
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

/// Grinder and burr are warned of once on the card of a blade that is ground, and the burr alone on one that is not.
#[test]
fn cautions_stand_once_on_a_card() {
    let job = job();
    let kit = job.kit.as_ref().expect("a kit");
    let cards = card::cards(kit, &job.guide, &lanes::of_job(&job).expect("lanes"));
    let words = |sheets: Vec<(String, Sheet)>| {
        let marks: Vec<Mark> = sheets.into_iter().flat_map(|(_, s)| s.groups).flat_map(|g| g.marks).collect();
        let texts = marks.iter().filter_map(|m| if let Mark::Text(t) = m { Some(t.words.as_str()) } else { None });
        texts.collect::<Vec<_>>().join(" ")
    };
    let mut ground = 0;
    for card in &cards {
        let own = words(card_sheets(&job, kit, &cards, PaperSize::A4, Some(&card.blade)));
        let grinds = card.change.is_some() || card.regrind.is_some();
        ground += usize::from(grinds);
        assert_eq!(own.matches("no gloves").count(), usize::from(grinds), "{own}");
        assert_eq!(own.matches("never along it").count(), 1, "{own}");
    }
    assert!(ground > 0);
}

/// The kit's report and the card need the same length of every blade that is too short.
#[test]
fn report_and_card_need_the_same_length() {
    let folder = tempdir().expect("a folder");
    let mut kit: Value = serde_json::from_slice(&std::fs::read(KIT).expect("the example")).expect("JSON");
    for blade in kit["blades"].as_array_mut().expect("blades") {
        blade["length"] = json!(25);
    }
    let path = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(path("alder-lane-kit.json"), kit.to_string()).expect("written");
    std::fs::copy(JOB, path("job.json")).expect("copied");
    let said = stdout(&["kit", &path("alder-lane-kit.json"), "--guide", "narrow-side-clamp", "--json"]);
    let report: Value = serde_json::from_str(&said).expect("JSON");
    let bytes = std::fs::read(path("job.json")).expect("the job");
    let disk = stopwright::cli::files::Disk::beside(&folder.path().join("job.json"));
    let job = Job::parse("job.json", &bytes, &disk).unwrap_or_else(|e| panic!("{e}"));
    let cards = card::cards(job.kit.as_ref().expect("a kit"), &job.guide, &lanes::of_job(&job).expect("lanes"));
    for (card, blade) in cards.iter().zip(report["blades"].as_array().expect("blades")) {
        let flags = blade["flags"].as_array().expect("flags");
        let short = flags.iter().filter_map(|f| f["message"].as_str()).find(|m| m.contains("left of the blade"));
        let short = short.unwrap_or_else(|| panic!("{blade}"));
        assert!(card.flags.iter().any(|f| f == short), "{}: {short} {:?}", card.blade, card.flags);
        // The card's own table agrees: its longest projection, and what the guide holds.
        let longest = card.settings.iter().map(|s| s.projection).fold(0.0, f64::max);
        let hold = job.guide.face.axle_to_face.measured().mm.max(advice::LEAST_HOLD);
        assert!(short.contains(&format!("{:.1} mm are needed", longest + hold)), "{short} {longest} {hold}");
    }
}

/// Nothing overlaps anything on any paper, with words as long as a kit may have them.
#[test]
fn cards_are_clear_on_every_paper() {
    let job = job();
    let mut kit = job.kit.clone().expect("a kit");
    kit.blades[1].name = "a name of forty characters, as it may be".into();
    let set = lanes::of_job(&Job { kit: Some(kit.clone()), ..job.clone() }).expect("lanes");
    let cards = card::cards(&kit, &job.guide, &set);
    let sizes =
        [PaperSize::A4, PaperSize::A3, PaperSize::Letter, PaperSize::A5, PaperSize::HalfLetter, PaperSize::Index];
    for units in [stopwright::units::Units::Mm, stopwright::units::Units::Inch] {
        let job = Job { units, ..job.clone() };
        for size in sizes {
            let sheets = card_sheets(&job, &kit, &cards, size, None);
            assert!(sheets.len() > kit.blades.len());
            for (name, sheet) in &sheets {
                assert_eq!(clash::find(sheet), [], "{name} {size:?} {units:?}");
                let ids: BTreeSet<&str> = sheet.groups.iter().map(|g| g.id.as_str()).collect();
                assert_eq!(ids.len(), sheet.groups.len(), "{name} {size:?}");
            }
        }
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
    let out = run(&["card", JOB, "--blade", "jack", "--size", "index", "--out", out_folder]);
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
    assert!(said.contains("bears the fingerprint 3333") && said.contains(&ours), "{said}");
}
