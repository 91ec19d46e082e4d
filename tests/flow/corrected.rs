//! What is made with corrections: block, jig, cards, index and numbers of one folder agree, and say that they are corrected.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use super::support::{demo, file, run, stdout, words_of};
use stopwright::block;
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::verify::corrections::{self, Of};
use stopwright_program::cli::files::Disk;

const KIT_JOB: &str = "examples/alder-lane-kit-job.json";

fn demo_with_wood(folder: &Path) -> String {
    let mut job: Value = serde_json::from_str(&fs::read_to_string(demo()).unwrap()).unwrap();
    job["wood"] = json!({});
    file(folder, "job.json", &job)
}

fn corrections_of(folder: &Path, name: &str, title: &str, lines: Value) -> String {
    file(folder, name, &json!({ "format": 2, "job": title, "corrections": lines }))
}

fn both_parts(folder: &Path) -> String {
    let lines =
        json!([{ "id": "plane-iron-25", "making": -0.2, "guide": 0.4 }, { "id": "plane-iron-30", "making": 0.1 }]);
    corrections_of(folder, "c.json", "Alder Lane tool chest", lines)
}

fn numbers(path: &Path) -> Value {
    serde_json::from_str(&fs::read_to_string(path).unwrap()).unwrap()
}

fn lane<'a>(of: &'a Value, id: &str) -> &'a Value {
    of["lanes"].as_array().unwrap().iter().find(|l| l["id"] == json!(id)).unwrap()
}

/// The guide's part moves block and jig alike, the printer's the block alone; both bear one fingerprint, say that they
/// are corrected, and what the jig's sheet says to type judges the jig as it asks for it.
#[test]
fn block_and_jig_of_one_folder_agree() {
    let folder = tempfile::tempdir().unwrap();
    let (job, file_of) = (demo_with_wood(folder.path()), both_parts(folder.path()));
    let [plain, out] = ["plain", "out"].map(|name| folder.path().join(name));
    stdout(&["make", &job, "--out", plain.to_str().unwrap(), "--quiet"]);
    let said = stdout(&["make", &job, "--corrections", &file_of, "--out", out.to_str().unwrap()]);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    // Both parts of the one, and of the other the printer's alone.
    for words in ["because the last block came out +0.20 mm off", "because the last block came out -0.10 mm off"] {
        assert_eq!(said.matches(words).count(), 1, "{words}: {said}");
    }
    assert_eq!(said.matches("+0.40 mm of that is the guide error").count(), 1, "{said}");
    let [block, jig] = ["offsets.json", "cutsheet.json"].map(|name| numbers(&out.join(name)));
    let [uncorrected, _] = ["offsets.json", "cutsheet.json"].map(|name| numbers(&plain.join(name)));
    assert_eq!(block["fingerprint"], jig["fingerprint"]);
    assert_ne!(block["fingerprint"], uncorrected["fingerprint"]);
    for id in ["plane-iron-25", "plane-iron-30"] {
        let moved = if id == "plane-iron-25" { 0.4 } else { 0.0 };
        let before = lane(&uncorrected, id)["fence_distance"].as_f64().unwrap();
        for made in [&block, &jig] {
            assert!((lane(made, id)["fence_distance"].as_f64().unwrap() - before - moved).abs() < 1e-9, "{id}");
        }
    }
    let making = |of: &Value| lane(of, "plane-iron-25")["correction"]["making"].as_f64();
    assert_eq!((making(&block), making(&jig)), (Some(-0.2), Some(0.0)));
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap();
    for name in ["block.svg", "cutsheet-01.svg", "picture.svg"] {
        assert!(read(name).contains("CORRECTED"), "{name}");
    }
    assert!(String::from_utf8_lossy(&fs::read(out.join("block.stl")).unwrap()[..80]).contains("CORRECTED"));
    let sheets = fs::read_dir(&out).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap());
    let said: String = sheets.filter(|n| n.starts_with("cutsheet-") && n.ends_with(".svg")).map(|n| read(&n)).collect();
    let command = "stopwright verify JOB.json JOB-measured.json --wood --corrections c.json";
    assert!(words_of(&said).contains(command), "the command line");
    // The jig as its sheet asks for it, judged by that command line; and without the file that it names.
    let built: Vec<Value> =
        jig["places"].as_array().unwrap().iter().map(|p| json!({ "id": p["id"], "measured": p["printed"] })).collect();
    let measured = json!({ "format": 1, "fingerprint": jig["fingerprint"], "lanes": built });
    let measured = file(folder.path(), "measured.json", &measured);
    let told = stdout(&["verify", &job, &measured, "--wood", "--corrections", &file_of]);
    assert!(!told.contains("Warning") && !told.contains("FAILS"), "{told}");
    let told = String::from_utf8(run(&["verify", &job, &measured, "--wood"]).stdout).unwrap();
    assert!(told.starts_with("Warning: this block has the fingerprint"), "{told}");
    // The terminal says it too.
    let out = folder.path().join("jig").display().to_string();
    let told = stdout(&["cutsheet", &job, "--corrections", &file_of, "--out", &out]);
    assert!(told.contains("CORRECTED: plane-iron-25: finish the fence at 60.44 mm"), "{told}");
    assert!(!told.contains("CORRECTED: plane-iron-30"), "an error of making is the printed block's: {told}");
}

/// Both parts move a fence, so either changes the fingerprint; a file that moves nothing does not.
#[test]
fn corrections_are_in_the_fingerprint() {
    let fingerprint = |making: f64, guide: f64| {
        let mut job = Job::parse("demo", &fs::read(demo()).unwrap(), &Disk::beside(&demo())).unwrap();
        let before = job.fingerprint();
        let mut set = lanes::of_job(&job).unwrap();
        let line = json!([{ "id": "plane-iron-30", "making": making, "guide": guide }]);
        let of = json!({ "format": 2, "job": job.title, "corrections": line }).to_string();
        corrections::apply("c.json", of.as_bytes(), Of::Block, &mut job, &mut set).unwrap();
        assert_eq!(job.fingerprint_uncorrected(), before);
        assert_eq!(lanes::of_job(&job).unwrap(), set, "lanes of a corrected job are corrected");
        (before, job.fingerprint())
    };
    let (before, unmoved) = fingerprint(0.0, 0.0);
    assert_eq!(before, unmoved);
    let mut all = vec![unmoved, fingerprint(0.1, 0.0).1, fingerprint(0.0, 0.1).1, fingerprint(0.1, 0.1).1];
    all.dedup();
    assert_eq!(all.len(), 4);
}

/// The block is lettered with what is to be finished, and its mark says that it is corrected where that goes; no lane
/// says less for it.
#[test]
fn a_corrected_block_is_lettered_as_its_sheet() {
    let mut job = Job::parse("demo", &fs::read(demo()).unwrap(), &Disk::beside(&demo())).unwrap();
    // Room for the mark with all its words.
    job.block.middle = Some(60.0);
    let mut set = lanes::of_job(&job).unwrap();
    let plain = block::lay_out(&job, &set).unwrap();
    let line = json!([{ "id": "plane-iron-25", "making": -0.2, "guide": 0.4 }]);
    let of = json!({ "format": 2, "job": job.title, "corrections": line }).to_string();
    corrections::apply("c.json", of.as_bytes(), Of::Block, &mut job, &mut set).unwrap();
    let layout = block::lay_out(&job, &set).unwrap();
    let words = |layout: &block::Layout, id: Option<&str>| {
        let label = layout.lettering.labels.iter().find(|l| l.lane.as_deref() == id).unwrap();
        label.lines.iter().map(|l| l.words.as_str()).collect::<Vec<_>>().join(" ")
    };
    let iron = |layout| words(layout, Some("plane-iron-25"));
    assert!(iron(&plain).contains("60.0") && iron(&layout).contains("60.4"), "{}", iron(&layout));
    assert!(!words(&plain, None).contains("CORRECTED"));
    let mark = words(&layout, None);
    assert!(mark.contains("CORRECTED") && mark.contains(&job.fingerprint()), "{mark}");
    assert_eq!(layout.lettering.rank, plain.lettering.rank);
    // Where it does not go, it is dropped before the fingerprint, and no lane says less for it.
    job.block.middle = None;
    let usual = block::lay_out(&job, &set).unwrap();
    let mark = words(&usual, None);
    assert!(mark.contains(&job.fingerprint()), "{mark}");
    assert_eq!(usual.lettering.rank.said, plain.lettering.rank.said);
}

/// Cards, index and numbers of a corrected kit give the fences as they are to be finished, and cards that are printed
/// again take the same file.
#[test]
fn a_corrected_kit_agrees_with_its_cards() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let out_words = out.to_str().unwrap();
    let lines = json!([{ "id": "A", "guide": 1.5 }, { "id": "B", "making": 0.2 }]);
    let file_of = corrections_of(folder.path(), "c.json", "Alder Lane drawer", lines);
    let only = "stl,cards,offsets,index";
    stdout(&["make", KIT_JOB, "--corrections", &file_of, "--only", only, "--out", out_words, "--quiet"]);
    let made = numbers(&out.join("offsets.json"));
    let fence = lane(&made, "A")["fence_distance"].as_f64().unwrap();
    assert_eq!(lane(&made, "A")["fence_distance"], lane(&made, "A")["correction"]["finished"]);
    let plain: Value = serde_json::from_str(&stdout(&["offsets", KIT_JOB, "--json"])).unwrap();
    assert!((fence - lane(&plain, "A")["fence_distance"].as_f64().unwrap() - 1.5).abs() < 1e-9);
    let index = fs::read_to_string(out.join("index.html")).unwrap();
    let row = index.lines().find(|l| l.contains(">A</th>")).unwrap();
    assert!(row.contains(&format!("{fence:.2}")), "{row}");
    assert!(index.contains("<h1>CORRECTED: ") && index.contains("CORRECTED: A: finish the fence at"));
    let said = stdout(&["card", KIT_JOB, "--corrections", &file_of, "--out", out_words, "--force"]);
    assert!(!said.contains("Warning"), "{said}");
    let said = stdout(&["card", KIT_JOB, "--out", out_words, "--force"]);
    assert!(said.contains("Warning") && said.contains("--corrections"), "{said}");
}

/// A kit's jig has the block's lanes for sure only where the job states the wood: else the block's corrections for the
/// guide are none of it.
#[test]
fn a_jig_with_other_lanes_is_not_corrected_by_the_blocks() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out").display().to_string();
    let of_guide = corrections_of(folder.path(), "c.json", "Alder Lane drawer", json!([{ "id": "A", "guide": 0.5 }]));
    for arguments in [
        vec!["make", KIT_JOB, "--corrections", &of_guide, "--only", "wood", "--out", &out],
        vec!["cutsheet", KIT_JOB, "--corrections", &of_guide, "--out", &out],
    ] {
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    }
    let told =
        String::from_utf8(run(&["make", KIT_JOB, "--corrections", &of_guide, "--only", "wood", "--out", &out]).stderr)
            .unwrap();
    assert!(told.contains("Add \"wood\" to the job"), "{told}");
}

/// Fences of a kit hang on what they can be made to: a jig made alone bears a fingerprint of its own, so that block, cards
/// and jig of other lanes are told apart; where the job states the wood all bear one.
#[test]
fn a_kits_jig_alone_is_told_from_its_block() {
    let kit = Job::parse(KIT_JOB, &fs::read(KIT_JOB).unwrap(), &Disk::beside(Path::new(KIT_JOB))).unwrap();
    assert_ne!(kit.fingerprint(), kit.clone().for_a_jig().fingerprint());
    let stated = Job { states_wood: true, ..kit };
    assert_eq!(stated.fingerprint(), stated.clone().for_a_jig().fingerprint());
}
