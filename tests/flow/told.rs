//! What reports, sheets and cards say of the same thing: all of it, once, and alike.

use std::path::Path;

use serde_json::{Value, json};
use tempfile::tempdir;

use super::support::{card_sheets, demo, file, home, reference_guide, run, stdout};
use stopwright::card;
use stopwright::drawing::{Mark, clash};
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::terms::PaperSize;
use stopwright_program::cli::files::Disk;

/// Reads the job at `path` with what it refers to.
fn read(path: &str) -> Job {
    let disk = Disk::beside(Path::new(path));
    Job::parse(path, &std::fs::read(path).unwrap(), &disk).unwrap_or_else(|e| panic!("{e}"))
}

/// The job of a kit, written beside it; `more` goes into the job.
fn job_of(folder: &Path, blades: Value, grits: Value, guide: &str, more: Value) -> String {
    file(folder, "kit.json", &json!({ "format": 1, "title": "kit", "grits": grits, "blades": blades }));
    let mut job = json!({ "format": 1, "title": "kit", "guide": guide, "kit": "kit.json" });
    job.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    file(folder, "job.json", &job)
}

fn iron(name: &str) -> Value {
    json!({ "name": name, "tool": "plane-iron", "width": 50, "thickness": 2.4, "primary": 25, "micro": 30 })
}

/// All words of a job's cards: those of the kit first, then those of each blade; sheets are clear on every paper.
fn cards(job: &str) -> String {
    let job = read(job);
    let kit = job.kit.as_ref().unwrap();
    let cards = card::cards(kit, &job, &lanes::of_job(&job).unwrap());
    let sheets = |size| card_sheets(&job, kit, &cards, size, None);
    for (name, sheet) in [PaperSize::A5, PaperSize::Index, PaperSize::HalfLetter].into_iter().flat_map(sheets) {
        assert_eq!(clash::find(&sheet), [], "{name}");
    }
    let marks = sheets(PaperSize::A5).into_iter().flat_map(|(_, s)| s.groups).flat_map(|g| g.marks);
    let words = marks.filter_map(|mark| if let Mark::Text(text) = mark { Some(text.words) } else { None });
    words.collect::<Vec<_>>().join(" ")
}

/// All text of the files in a folder whose names begin and end so, with line breaks of drawings taken out.
fn written(folder: &Path, begins: &str, ends: &str) -> String {
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let named = |path: &std::path::PathBuf| {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        name.starts_with(begins) && name.ends_with(ends)
    };
    let text = files.filter(named).map(|path| std::fs::read_to_string(path).unwrap()).collect::<String>();
    // Words of a note go on in the next line's element.
    let mut words = String::new();
    for part in text.split('<') {
        words += part.split_once('>').map_or("", |(_, words)| words).trim();
        words.push(' ');
    }
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_roller_off_the_stone_is_said_wherever_its_lanes_are() {
    let folder = tempdir().unwrap();
    let job = job_of(
        folder.path(),
        json!([iron("jack")]),
        json!(["P220", "P800"]),
        "bench-roller",
        json!({ "roller_level": -12, "wood": {} }),
    );
    let out = folder.path().join("made");
    let made = stdout(&["make", &job, "--out", &out.display().to_string()]);
    let level = "The roller runs 12 mm below the top of the stone";
    assert!(made.contains(level), "{made}");
    for (begins, ends) in
        [("block", ".svg"), ("cutsheet", ".svg"), ("side", ".svg"), ("card", ".svg"), ("index", "html")]
    {
        assert!(written(&out, begins, ends).contains(level), "{begins}");
    }
    assert!(stdout(&["cutsheet", &job, "--out", &out.display().to_string(), "--force"]).contains(level));
    let offsets: Value = serde_json::from_slice(&std::fs::read(out.join("offsets.json")).unwrap()).unwrap();
    assert!(offsets["lanes"].as_array().unwrap().iter().all(|lane| lane["roller_level"] == -12.0), "{offsets}");
    assert!(stdout(&["offsets", &job]).contains(level));
    // On the stone there is nothing to say.
    let demo = demo().display().to_string();
    assert!(
        !stdout(&["offsets", &demo]).contains("roller runs")
            && !stdout(&["offsets", &demo, "--json"]).contains("roller_level")
    );
}

#[test]
fn what_is_not_known_of_lands_and_guide_is_said_once_on_everything() {
    let folder = tempdir().unwrap();
    let mut guide = reference_guide();
    guide["face"].as_object_mut().unwrap().remove("bottom");
    file(folder.path(), "guide.json", &guide);
    let blades = json!([
        { "name": "wide", "tool": "bench-chisel", "width": 30, "thickness": 3, "primary": 25, "micro": 30 },
        { "name": "narrow", "tool": "bench-chisel", "width": 12, "thickness": 3, "primary": 25, "micro": 30 }
    ]);
    let job = job_of(folder.path(), blades, json!(["P220", "P800"]), "guide.json", json!({ "wood": {} }));
    let out = folder.path().join("made");
    let at = out.display().to_string();
    stdout(&["make", &job, "--out", &at]);
    let report = stdout(&["cutsheet", &job, "--out", &at, "--force"]);
    let (land, unchecked) =
        ("he height of the blade's side lands was not measured", "ot checked: whether the guide clears the stone");
    for words in [land, unchecked] {
        assert_eq!(report.matches(words).count(), 1, "{words}: {report}");
        for begins in ["block", "card"] {
            assert!(written(&out, begins, ".svg").contains(words), "{begins}: {words}");
        }
        assert!(written(&out, "cutsheet", ".svg").contains(words), "{words}");
    }
    assert!(report.contains("Warning: wide, narrow: the height"), "{report}");
    let cards = cards(&job);
    assert_eq!(cards.matches(land.split_once(' ').unwrap().1).count(), 2, "{cards}");
}

#[test]
fn a_gripped_chisel_is_in_doubt_by_its_land() {
    let said = stdout(&[
        "kit",
        &home().join("examples/alder-lane-kit.json").display().to_string(),
        "--guide",
        "narrow-side-clamp",
    ]);
    assert!(!said.contains("±0.00°"), "{said}");
    let chisel = said.split("\n\n").find(|part| part.starts_with("1 1/4 bench chisel")).unwrap();
    // Half of ±0.1 mm of land is ±0.05 mm of the edge's level: ± 0.05·cot 30° over a slope of some 1.7 mm a degree.
    assert!(
        chisel.contains("(the land could shift this by ±0.05°)") && !chisel.contains("blade thickness"),
        "{chisel}"
    );
    let iron = said.split("\n\n").find(|part| part.contains("spokeshave (")).unwrap();
    assert!(iron.contains("(blade thickness could shift this by ±0.0"), "{iron}");
    // A land that nobody measured is told as far off in the same words' figures.
    let folder = tempdir().unwrap();
    let blades = json!([{ "name": "it", "tool": "bench-chisel", "primary": 30, "micro": 30 },
        { "name": "firmer", "tool": "firmer-chisel", "width": 12, "primary": 30, "micro": 30 }]);
    let kit = file(folder.path(), "kit.json", &json!({ "format": 1, "title": "kit", "blades": blades }));
    let said = stdout(&["kit", &kit, "--guide", "narrow-side-clamp"]);
    assert!(
        said.contains("the land could shift this by ±0.50°") && said.contains("the bevel may be off by 0.5°"),
        "{said}"
    );
    // Where the land is the whole side, its thickness is what counts: ±0.8 mm, at a slope 19.1/17.9 as steep or so.
    let firmer = said.split("\n\n").find(|part| part.starts_with("firmer")).unwrap();
    assert!(
        firmer.contains("blade thickness could shift this by ±0.38°") && !firmer.contains("the land could"),
        "{firmer}"
    );
}

#[test]
fn a_camber_without_abrasives_stands_on_its_card() {
    let folder = tempdir().unwrap();
    let mut blade = iron("jack");
    blade["camber"] = json!({ "plane": "jack" });
    let job = job_of(folder.path(), json!([blade]), Value::Null, "narrow-side-clamp", json!({}));
    let said = cards(&job);
    assert!(said.contains("1.25 mm at the corners, radius 250 mm"), "{said}");
    assert!(said.contains("the kit names no abrasives"), "{said}");
    // In the table of all blades too: the arc of 250 mm is 250 − √(250² − 25²) deep.
    assert!(said.contains("A 25 B 30 1.25 "), "{said}");
}

#[test]
fn a_card_without_the_guide_speaks_of_no_guide() {
    let folder = tempdir().unwrap();
    let blade =
        json!({ "name": "no fit", "tool": "laminated-iron", "width": 60, "thickness": 7, "camber": { "depth": 0.3 } });
    let mut half = iron("half");
    (half["micro"], half["camber"]) = (json!(55), json!({ "depth": 0.1 }));
    let job = job_of(
        folder.path(),
        json!([blade, iron("jack"), half]),
        json!(["P220", "P800"]),
        "wide-side-clamp",
        json!({}),
    );
    let read = read(&job);
    let kit = read.kit.as_ref().unwrap();
    let cards_of = card::cards(kit, &read, &lanes::of_job(&read).unwrap());
    let words = |name: &str| {
        let sheets = card_sheets(&read, kit, &cards_of, PaperSize::A5, Some(name));
        let marks = sheets.into_iter().flat_map(|(_, s)| s.groups).flat_map(|g| g.marks);
        let words = marks.filter_map(|mark| if let Mark::Text(text) = mark { Some(text.words) } else { None });
        words.collect::<Vec<_>>().join(" ")
    };
    let said = words("no fit");
    assert!(said.contains("Without the guide P220"), "{said}");
    for words in ["roller", "Set the blade again", "Lane "] {
        assert!(!said.contains(words), "{words}: {said}");
    }
    // A micro-bevel that the guide does not set is not honed in the primary's lane.
    let said = words("half");
    assert!(said.contains("Lane A P220") && said.contains("Without the guide P800"), "{said}");
}

/// Where a difference is meant, two amounts that read alike are never told of it.
#[test]
fn no_difference_is_told_of_amounts_that_read_alike() {
    let folder = tempdir().unwrap();
    let blade = |name: &str, thickness: f64, primary: f64, micro: f64| json!({ "name": name, "tool": "plane-iron", "width": 44, "thickness": thickness, "primary": primary, "micro": micro });
    for (a, b) in [(25.0, 25.6), (25.0, 30.0), (28.0, 28.0), (22.0, 35.5)] {
        for thicker in [0.0, 0.01, 0.3, 0.9] {
            let kit = json!({ "format": 1, "title": "kit", "blades":
                [blade("one", 2.2, a, b), blade("two", 2.2 + thicker, a, b), blade("three", 2.2, 28.0, 28.0)] });
            let path = file(folder.path(), "kit.json", &kit);
            let said = stdout(&["kit", &path, "--guide", "narrow-side-clamp"]);
            let between = |from: &str, middle: &str| {
                said.split(from)
                    .skip(1)
                    .filter_map(|rest| {
                        let rest = rest.split(['.', ',']).take(3).collect::<Vec<_>>().join(".");
                        let (first, second) = rest.split_once(middle)?;
                        let number =
                            |text: &str| text.chars().filter(|c| c.is_ascii_digit() || *c == '.').collect::<String>();
                        Some([number(first), number(second.split_whitespace().next()?)])
                    })
                    .collect::<Vec<_>>()
            };
            for [first, second] in [
                between("falls from ", "° to "),
                between("each fence may be ±", " mm off instead of ±"),
                between("have to be within ±", "closer than the ±"),
            ]
            .concat()
            {
                assert_ne!(first.trim_end_matches('.'), second.trim_end_matches('.'), "{said}");
            }
        }
    }
    // A camber that the later grades deepen by less than is read.
    let mut deep = iron("deep");
    deep["camber"] = json!({ "depth": 1 });
    let job = job_of(folder.path(), json!([deep]), json!(["P220", "P400", "P2000"]), "narrow-side-clamp", json!({}));
    let said = cards(&job);
    let target = said.split("grind it first, to ").nth(1).unwrap().split(" mm").next().unwrap();
    assert!(!said.contains(&format!("makes it {target}")), "{said}");
}

/// The report of a kit, and the sheet of its block, give every fence the same room.
#[test]
fn report_and_sheet_give_a_fence_the_same_room() {
    let example = |name: &str| home().join("examples").join(name).display().to_string();
    let said = stdout(&["kit", &example("alder-lane-kit.json"), "--guide", "narrow-side-clamp"]);
    let set = lanes::of_job(&read(&example("alder-lane-kit-job.json"))).unwrap();
    for lane in &set.lanes {
        let row = said.lines().find(|line| line.starts_with(&format!("{}  ", lane.request.id))).unwrap();
        let room = format!(" {:.2} ", lane.fence_tolerance());
        assert!(row.contains(&room), "{room}: {row}");
    }
}

#[test]
fn sizes_of_blades_are_written_alike() {
    let folder = tempdir().unwrap();
    let mut blades = json!([iron("a"), iron("b"), iron("c")]);
    for (blade, width) in blades.as_array_mut().unwrap().iter_mut().zip([57.15, 44.45, 50.8]) {
        blade["width"] = json!(width);
    }
    let job = job_of(folder.path(), blades, json!(["P220"]), "narrow-side-clamp", json!({}));
    let kit = folder.path().join("kit.json").display().to_string();
    let (report, cards) = (stdout(&["kit", &kit, "--guide", "narrow-side-clamp"]), cards(&job));
    for size in ["57.15 mm wide, 2.4 mm thick", "44.45 mm wide, 2.4 mm thick", "50.8 mm wide, 2.4 mm thick"] {
        assert!(report.contains(size) && cards.contains(size), "{size}: {report} {cards}");
    }
}

/// A micro-bevel hardly steeper than its primary is soon too wide.
#[test]
fn nothing_is_due_after_no_honings() {
    let folder = tempdir().unwrap();
    let mut close = iron("close");
    close["micro"] = json!(25.6);
    let job = job_of(folder.path(), json!([close]), json!(["P220", "P800"]), "narrow-side-clamp", json!({}));
    let said = cards(&job);
    assert!(said.contains("or after every honing") && !said.contains("0 honings"), "{said}");
}

/// With one of everything, no report counts it as several.
#[test]
fn one_is_not_several() {
    let folder = tempdir().unwrap();
    let mut demo: Value = serde_json::from_slice(&std::fs::read(demo()).unwrap()).unwrap();
    let first = demo["settings"][0].clone();
    demo["settings"] = json!([first]);
    demo["settings"][0]["angles"] = json!([30]);
    demo["wood"] = json!({});
    let one = file(folder.path(), "one.json", &demo);
    let mut blade = iron("it");
    blade["micro"] = json!(25);
    let of_kit =
        job_of(folder.path(), json!([blade]), json!(["P220", "P800"]), "narrow-side-clamp", json!({ "wood": {} }));
    let kit = folder.path().join("kit.json").display().to_string();
    let out = folder.path().join("made").display().to_string();
    let runs: [&[&str]; 8] = [
        &["make", &one, "--out", &out],
        &["make", &of_kit, "--out", &out, "--force"],
        &["make", &one, &of_kit, "--out", &out, "--only", "stl", "--force"],
        &["cutsheet", &one, "--out", &out, "--force"],
        &["kit", &kit, "--guide", "narrow-side-clamp"],
        &["offsets", &one],
        &["gauges", &one, "--out", &out, "--force"],
        &["bevel", "--thickness", "2.4", "--primary", "25", "--micro", "26.5"],
    ];
    for arguments in runs {
        let output = run(arguments);
        let said = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(!said.is_empty(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        let words: Vec<&str> = said.split_whitespace().collect();
        for pair in words.windows(2).filter(|pair| pair[0] == "1") {
            let word = pair[1].trim_end_matches([',', '.', ':', ';', ')']);
            let is_several = word.len() > 3 && word.ends_with('s') && word.bytes().all(|b| b.is_ascii_lowercase());
            assert!(!is_several, "{arguments:?}: {pair:?} in {said}");
        }
    }
}

/// Of several blocks, what is of one alone is said with its name.
#[test]
fn what_is_of_one_block_bears_its_name() {
    let folder = tempdir().unwrap();
    let job = json!({ "format": 1, "title": "many", "guide": "top-clamp", "print": { "bed": [180, 180] }, "settings": [
        { "tool": "plane-iron", "angles": [20, 22, 25, 27, 30, 33, 35, 38], "thickness": 2.4, "width": 60, "primary": 20 },
        { "tool": "bench-chisel", "angles": [20, 25, 30, 33, 35, 40], "thickness": 3.2, "width": 32, "primary": 20 } ] });
    let job = file(folder.path(), "job.json", &job);
    let out = folder.path().join("made").display().to_string();
    let said = stdout(&["make", &job, "--only", "stl", "--out", &out]);
    let reaches: Vec<&str> = said.lines().filter(|line| line.contains("The roller sits ")).collect();
    assert!(reaches.len() > 1 && reaches.iter().all(|line| line.starts_with("block-")), "{said}");
    let alike: std::collections::BTreeSet<_> = reaches.iter().map(|line| line.split("The roller").nth(1)).collect();
    assert_eq!(alike.len(), reaches.len(), "{said}");
}
