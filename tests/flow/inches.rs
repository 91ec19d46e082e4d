//! Who reads inches reads inches everywhere, who reads millimetres sees none, and the values are right as well as the unit.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::support::{any_job, cases, demo, draw_block, file, job_of, parsed, run};
use stopwright::block::sheets::{picture, printing};
use stopwright::block::{self, slabs};
use stopwright::drawing::{Mark, Sheet, clash};
use stopwright::jig::{self, board, sheets};
use stopwright::lane::report::{self, Shown};
use stopwright::lanes;
use stopwright::terms::LengthsShown;
use stopwright::units::MM_PER_INCH;
use stopwright::views::assembly::numbered;

/// What a reader of inches sees in millimetres all the same, and why.
const STAYS: [(&str, &str); 4] = [
    ("100 mm", "the check bar: whichever rule lies at hand, the bar of 4 in stands beside it"),
    ("(mm)", "STL and DXF have no unit, and are in mm"),
    ("0.40 mm [", "a nozzle is sold by mm; the inches stand beside it"),
    ("0.20 mm [", "a layer is set in mm; the inches stand beside it"),
];

/// Whether a word is a metric unit.
fn is_metric(word: &str) -> bool {
    let bare = word.trim_matches(|c: char| !c.is_alphanumeric() && c != '²' && c != '³');
    ["mm", "cm", "cm³", "mm²", "mm³", "µm", "millimetre", "millimetres"].contains(&bare)
        || ["mm", "cm"].iter().any(|unit| bare.strip_suffix(unit).is_some_and(|n| n.parse::<f64>().is_ok()))
}

/// Lines that show a metric unit for no listed reason.
fn metric(text: &str) -> Vec<String> {
    let shows =
        |line: &&str| line.split_whitespace().any(is_metric) && !STAYS.iter().any(|(kept, _)| line.contains(kept));
    text.lines().filter(shows).map(|line| line.trim().to_string()).collect()
}

/// Lines that show inches: the unit behind a number or alone in a heading, or its sign.
fn imperial(text: &str) -> Vec<String> {
    let shows = |line: &&str| {
        let words: Vec<&str> = line.split_whitespace().collect();
        let number = |word: &str| word.trim_matches(|c: char| !c.is_ascii_digit()).chars().any(|c| c.is_ascii_digit());
        let unit = |word: &str| ["in", "in,", "in.", "in;", "in:", "in)", "in]"].contains(&word);
        let after_number = (1..words.len()).any(|i| {
            let goes_on = words.get(i + 1).is_some_and(|next| ["the", "a", "its"].contains(next));
            unit(words[i]) && number(words[i - 1]) && words[i - 1].len() < 8 && !goes_on
        });
        let alone = words.len() == 1 && words[0] == "in";
        (after_number || alone || line.contains('″')) && !line.contains("4 in") && !line.contains("lane")
    };
    text.lines().filter(shows).map(|line| line.trim().to_string()).collect()
}

/// All lettering of a sheet, a line each.
fn lettering(sheet: &Sheet) -> String {
    let marks = sheet.groups.iter().flat_map(|group| &group.marks);
    let words = marks.filter_map(|mark| if let Mark::Text(text) = mark { Some(text.words.clone()) } else { None });
    words.collect::<Vec<_>>().join("\n")
}

/// All lettering of the SVG files in a folder.
fn drawn(folder: &Path) -> String {
    let mut all = String::new();
    for entry in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
        if entry.is_dir() {
            all += &drawn(&entry);
        } else if entry.extension().is_some_and(|ending| ending == "svg") {
            for part in fs::read_to_string(&entry).unwrap().split("<text").skip(1) {
                let words =
                    part.split_once('>').map_or("", |(_, rest)| rest).split("</text>").next().unwrap_or_default();
                all += &format!("{words}\n");
            }
        }
    }
    all
}

/// The lengths of a value as texts with their unit, so that they keep when the file's unit is another.
fn with_units(value: &Value, within_a_length: bool) -> Value {
    const LENGTHS: [&str; 11] = [
        "thickness",
        "land",
        "width",
        "length",
        "roller_level",
        "middle",
        "depth",
        "shaving",
        "heel",
        "upper",
        "apart",
    ];
    match value {
        Value::Object(fields) => fields
            .iter()
            .map(|(name, value)| {
                let length =
                    LENGTHS.contains(&name.as_str()) || within_a_length && name != "taper" && name != "land_taper";
                (name.clone(), with_units(value, length))
            })
            .collect(),
        Value::Array(items) => items.iter().map(|item| with_units(item, within_a_length)).collect(),
        Value::Number(number) if within_a_length => json!(format!("{number} mm")),
        other => other.clone(),
    }
}

/// The same job for a shop that reads inches.
fn in_inches(value: &Value) -> Value {
    let mut job = with_units(value, false);
    job["units"] = json!("in");
    job
}

/// The value of a fraction's words, in: `2 23/64`.
fn read(words: &str) -> Option<f64> {
    words.split(' ').try_fold(0.0, |sum, part| match part.split_once('/') {
        Some((over, under)) => Some(sum + over.parse::<f64>().ok()? / under.parse::<f64>().ok()?),
        None => Some(sum + part.parse::<f64>().ok()?),
    })
}

/// The words of the cells and dimensions of a sheet whose id has such an end, with the id before it.
fn cells(sheet: &Sheet, begins: &str, ends: &str) -> BTreeMap<String, String> {
    let named = |id: &str| Some(id.strip_prefix(begins)?.strip_suffix(ends)?.to_string());
    let words = |marks: &[Mark]| {
        marks.iter().find_map(|mark| if let Mark::Text(t) = mark { Some(t.words.clone()) } else { None })
    };
    sheet.groups.iter().filter_map(|group| Some((named(&group.id)?, words(&group.marks)?))).collect()
}

/// Every command on one folder of files, and what it says and draws.
fn told(folder: &Path, commands: &[Vec<&str>]) -> String {
    let mut all = String::new();
    for command in commands {
        let output = super::support::program().current_dir(folder).args(command).output().unwrap();
        assert!(output.status.code().is_some_and(|code| code <= 3), "{command:?}: {output:?}");
        all += &format!("$ {}\n", command.join(" ").replace("mm", ""));
        all += &String::from_utf8(output.stdout).unwrap();
        all += &String::from_utf8(output.stderr).unwrap();
    }
    all + &drawn(folder)
}

/// What is run on flags alone; `unit` is the one asked for.
fn on_flags(unit: &str) -> Vec<Vec<&str>> {
    let (iron, wide) = if unit == "in" { ("0.125", "2") } else { ("3", "51") };
    let (fence, back) = if unit == "in" { ("1.5", "0.01") } else { ("38", "0.2") };
    vec![
        vec!["offsets", "narrow-side-clamp", "--tool", "plane-iron", "--details", "--budget", "--units", unit],
        vec!["angle", "narrow-side-clamp", "--tool", "plane-iron", "--fence", fence, "--units", unit],
        vec!["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "30", "--units", unit],
        vec!["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "30", "--block", "--units", unit],
        vec!["bevel", "--thickness", iron, "--primary", "25", "--micro", "30", "--recession", back, "--units", unit],
        vec!["bevel", "--thickness", iron, "--primary", "25", "--change-to", "30", "--width", wide, "--units", unit],
        vec!["bevel", "--thickness", iron, "--primary", "25", "--recession", back, "--units", unit],
        vec!["camber", "--width", wide, "--plane", "jack", "--units", unit],
        vec!["camber", "--width", wide, "--plane", "smoother", "--guide", "narrow-side-clamp", "--units", unit],
        vec!["camber", "--width", wide, "--depth", wide, "--units", unit],
        vec!["gauges", "--angles", "25,30", "--square", "--units", unit],
        vec!["gauges", "--angles", "25,30", "--metal", "--units", unit, "--out", "metal"],
        vec!["testpiece", "--units", unit],
        vec!["profiles", "--units", unit],
    ]
}

/// The demo's job, its kit and their measurements, in a folder.
fn files(folder: &Path, inches: bool) {
    let examples = demo().parent().unwrap().to_path_buf();
    for name in ["tool-chest", "alder-lane-kit", "alder-lane-kit-job", "tool-chest-measured", "worn-side-clamp"] {
        let value: Value = serde_json::from_slice(&fs::read(examples.join(format!("{name}.json"))).unwrap()).unwrap();
        let measured = name == "tool-chest-measured" || name == "worn-side-clamp";
        // Readings and guides are in mm in either shop: the report is in the job's unit.
        let value = if inches && !measured { in_inches(&value) } else { value };
        file(folder, &format!("{name}.json"), &value);
    }
    let mut job: Value = serde_json::from_slice(&fs::read(folder.join("tool-chest.json")).unwrap()).unwrap();
    for (name, wood) in [
        ("plywood", json!({ "fraction": 32 })),
        ("mdf", json!({ "fraction": 32, "board": { "material": "mdf" }, "cleat": false })),
        (
            "timber",
            json!({ "fraction": 16, "board": { "material": "timber", "species": "american-beech", "grain": "across" } }),
        ),
    ] {
        job["wood"] = wood;
        job["block"] = json!({ "cleat": true });
        file(folder, &format!("{name}.json"), &job);
    }
}

/// What is run on those.
fn on_files() -> Vec<Vec<&'static str>> {
    vec![
        vec!["make", "tool-chest.json", "--details"],
        vec!["make", "alder-lane-kit-job.json", "--details"],
        vec!["make", "plywood.json"],
        vec!["cutsheet", "mdf.json"],
        vec!["cutsheet", "timber.json"],
        vec!["offsets", "tool-chest.json", "--details", "--budget"],
        vec!["verify", "tool-chest.json", "tool-chest-measured.json", "--write-corrections", "corrections.json"],
        vec!["verify", "tool-chest.json", "--guide", "worn-side-clamp.json"],
        vec!["verify", "plywood.json", "tool-chest-measured.json", "--wood"],
        vec!["make", "tool-chest.json", "--corrections", "corrections.json", "--out", "corrected"],
        vec!["gauges", "tool-chest.json", "--square"],
        vec!["kit", "alder-lane-kit.json", "--guide", "narrow-side-clamp"],
        vec!["card", "alder-lane-kit-job.json"],
        vec!["log", "alder-lane-kit.json", "--honed", "jack", "--date", "2026-03-01"],
        vec!["log", "alder-lane-kit.json"],
    ]
}

#[test]
fn a_shop_in_inches_reads_inches_everywhere() {
    let folder = tempfile::tempdir().unwrap();
    files(folder.path(), true);
    let said = told(folder.path(), &[on_files(), on_flags("in")].concat());
    assert_eq!(metric(&said), Vec::<String>::new());
    assert!(said.contains("in a degree") && said.contains("in³"), "{said}");
}

#[test]
fn a_shop_in_millimetres_reads_no_inches_unless_it_asks_for_both() {
    let folder = tempfile::tempdir().unwrap();
    files(folder.path(), false);
    let said = told(folder.path(), &[on_files(), on_flags("mm")].concat());
    assert_eq!(imperial(&said), Vec::<String>::new());
    let both = told(folder.path(), &[vec!["make", "tool-chest.json", "--units", "both", "--out", "both"]]);
    assert!(both.contains("mm [in, 1/64]") && both.contains(" mm [") && both.contains(" in]"), "{both}");
}

/// Where 1/32 or 1/16 in is asked for no 64th is seen, but of a fence whose limits need it, which is said.
#[test]
fn no_finer_fraction_is_seen_than_was_asked_for() {
    for fraction in [16, 32] {
        for wood in [
            json!({}),
            json!({ "board": { "material": "mdf" }, "fences": { "species": "eastern-white-pine" } }),
            json!({ "board": { "material": "timber", "species": "american-beech", "grain": "across" } }),
            json!({ "cleat": false }),
        ] {
            let mut value = in_inches(&job_of(3, 3));
            value["wood"] = wood;
            value["wood"]["fraction"] = json!(fraction);
            let job = parsed(&value);
            let jig = jig::lay_out(&job, &board::lanes(&job).unwrap()).unwrap_or_else(|e| panic!("{e}"));
            let finer: Vec<String> = jig
                .lanes
                .iter()
                .filter(|placed| jig.inches(placed).0.step() != format!("1/{fraction} in"))
                .map(|placed| jig.inches(placed).0.to_string())
                .collect();
            let all = sheets::sheets(&job, &jig).unwrap();
            for line in all.iter().map(lettering).collect::<Vec<_>>().join("\n").lines() {
                let known = finer.iter().any(|fence| line.contains(fence)) || line.contains("too coarse");
                assert!(known || !line.contains("/64"), "1/{fraction}: {line}");
            }
            let bought = jig.hardware.iter().map(|h| h.what.clone()).collect::<Vec<_>>().join("\n");
            assert!(!bought.contains("/64"), "{bought}");
        }
    }
}

/// All groups of several sheets as those of one.
fn whole(sheets: &[Sheet]) -> Sheet {
    Sheet { groups: sheets.iter().flat_map(|sheet| sheet.groups.clone()).collect(), ..sheets[0].clone() }
}

proptest! {
    #![proptest_config(ProptestConfig { max_global_rejects: 4000, ..cases(50) })]

    /// Random jobs in inches: no millimetre on any sheet or in any report, nothing overlaps, and each fraction is the
    /// fence's own to half a step of it, each decimal to half a thousandth.
    #[test]
    fn random_jobs_in_inches_are_right(value in any_job(), fraction in prop::sample::select(vec![16u32, 32, 64])) {
        let mut value = in_inches(&value);
        value["wood"] = json!({ "fraction": fraction });
        let job = parsed(&value);
        let Ok(set) = lanes::of_job(&job) else { return Err(TestCaseError::reject("no lanes")) };
        let Ok(layout) = block::lay_out(&job, &set) else { return Err(TestCaseError::reject("refused")) };
        let solid = slabs::build(&layout).unwrap();
        let Ok(drafts) = draw_block(&job, &layout, None, &solid.stack) else {
            return Err(TestCaseError::reject("too many"))
        };
        let sheets = numbered(drafts);
        for sheet in &sheets {
            prop_assert_eq!(clash::find(sheet), []);
        }
        let picture = picture::picture(&solid.stack, "block", picture::USUAL);
        let printing = numbered(printing::sheets(&job, &layout, None, &[("block", &solid.stack)], &picture));
        for sheet in printing.iter().chain(&sheets) {
            prop_assert_eq!(metric(&lettering(sheet)), Vec::<String>::new());
        }
        let lanes: Vec<_> = layout.lanes.iter().map(|placed| &placed.lane).collect();
        let shown = Shown { written: job.written, details: true };
        prop_assert_eq!(metric(&report::table(&job.guide.name, &lanes, shown)), Vec::<String>::new());
        let numbers = report::offsets(&job.guide.name, lanes.iter().copied()).lanes;
        let of_drawing = whole(&sheets);
        let cells = |end: &str| cells(&of_drawing, "table-", end);
        let (fractions, decimals) = (cells("-inches"), cells("-fence_distance"));
        prop_assert_eq!(fractions.len(), numbers.len());
        for lane in numbers {
            let inches = lane.fence_distance / MM_PER_INCH;
            let off = read(&fractions[&lane.id]).unwrap() - inches;
            prop_assert!(off.abs() <= 0.5 / f64::from(fraction) + 1e-9, "{}: {}", lane.id, fractions[&lane.id]);
            let off = decimals[&lane.id].parse::<f64>().unwrap() - inches;
            prop_assert!(off.abs() <= 0.000_5 + 1e-9, "{}: {}", lane.id, decimals[&lane.id]);
        }
    }
}

/// Both units: the second stands in square brackets behind the first, on a sheet where nothing overlaps.
#[test]
fn both_units_stand_on_one_sheet() {
    let mut job = parsed(&job_of(3, 3));
    job.show(LengthsShown::Both);
    let layout = block::lay_out(&job, &lanes::of_job(&job).unwrap()).unwrap();
    let sheets = numbered(draw_block(&job, &layout, None, &slabs::build(&layout).unwrap().stack).unwrap());
    for sheet in &sheets {
        assert_eq!(clash::find(sheet), []);
    }
    let sheet = whole(&sheets);
    let words = lettering(&sheet);
    assert!(
        words.contains("mm [in]") && words.lines().any(|line| line.contains('±') && line.contains(" [")),
        "{words}"
    );
    for (lane, words) in cells(&sheet, "table-", "-fence_distance") {
        let (mm, inches) = words.strip_suffix(']').unwrap().split_once(" [").unwrap();
        let [mm, inches] = [mm, inches].map(|n| n.parse::<f64>().unwrap());
        assert!((mm / MM_PER_INCH - inches).abs() < 0.000_8, "{lane}: {words}");
    }
}

/// A refusal tells its lengths as the user reads them.
#[test]
fn refusals_are_told_in_inches() {
    for arguments in [
        vec!["gauges", "--angles", "25", "--thickness", "1.9", "--units", "in"],
        vec!["gauges", "--camber", "9,0.03", "--units", "in"],
        vec!["gauges", "--square=9", "--units", "in"],
        vec!["testpiece", "--bed", "2,2", "--units", "in"],
        vec!["angle", "--thickness", "0.125", "--bevel-length", "0.1", "--units", "in"],
        vec![
            "bevel",
            "--thickness",
            "0.125",
            "--primary",
            "25",
            "--micro",
            "30",
            "--recession",
            "0.9",
            "--units",
            "in",
        ],
    ] {
        let output = run(&arguments);
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(!output.status.success() && !said.is_empty(), "{arguments:?}");
        assert_eq!(metric(&said), Vec::<String>::new(), "{arguments:?}");
    }
}
