//! The commands as a user calls them.

use std::fs;
use std::path::PathBuf;

use serde_json::{Value, json};

use super::support::{demo, file, job_of, program, reference_guide, refusal, stdout, words_of};

#[test]
fn make_leaves_everything_in_one_folder_and_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let demo = demo().display().to_string();
    let output = program().current_dir(folder.path()).args(["make", &demo]).output().unwrap();
    assert!(output.status.success());
    let said = String::from_utf8(output.stdout).unwrap();
    let out = folder.path().join("out/tool-chest");
    for name in ["block.stl", "block.svg", "side-iron.svg", "side-chisel.svg", "offsets.json"] {
        assert!(out.join(name).is_file(), "{name}");
    }
    // The summary says what to do next, and on demand lists every file; no line of it is wider than a terminal.
    for words in [
        "14 files in out/tool-chest; --details lists them.",
        "\nNext: Print block.3mf · read block.pdf · prove the angle with plate.pdf · open index.html in a browser\n",
        "sits 29.90 mm below the table",
        "These figures are calculated",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    let details =
        program().current_dir(folder.path()).args(["make", &demo, "--details"]).env("COLUMNS", "80").output().unwrap();
    let details = String::from_utf8(details.stdout).unwrap();
    assert!(details.contains("out/tool-chest/side-chisel.svg: ") && details.contains("roller below"), "{details}");
    assert_eq!(details.lines().find(|line| line.chars().count() > 80), None, "{details}");
    let left: Vec<String> = fs::read_dir(&out)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .filter(|n| n.ends_with(".part"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn make_and_offsets_agree_and_machines_can_read_both() {
    let folder = tempfile::tempdir().unwrap();
    let (demo, out) = (demo().display().to_string(), folder.path().join("o").display().to_string());
    let made: Value = serde_json::from_str(&stdout(&["make", &demo, "--out", &out, "--json"])).unwrap();
    let table: Value = serde_json::from_str(&stdout(&["offsets", &demo, "--json"])).unwrap();
    let written: Value =
        serde_json::from_str(&fs::read_to_string(folder.path().join("o/offsets.json")).unwrap()).unwrap();
    assert_eq!(table, written);
    assert_eq!(table["lanes"], made["lanes"]);
    assert_eq!(made["files"].as_array().unwrap().len(), 14);
    let lane = &table["lanes"][1];
    let mut fields: Vec<&String> = lane.as_object().unwrap().keys().collect();
    fields.sort();
    let mut contract = vec![
        "id",
        "seat",
        "tool",
        "angle",
        "thickness",
        "taper",
        "projection",
        "fence_distance",
        "mm_per_degree",
        "projection_uncertainty",
        "angle_uncertainty",
        "table_support",
        "face_bearing",
        "roller_below_table",
        "warnings",
    ];
    contract.sort_unstable();
    assert_eq!(fields, contract);
}

#[test]
fn offsets_of_a_guide_are_the_reference_tables() {
    let folder = tempfile::tempdir().unwrap();
    let text = stdout(&[
        "offsets",
        &file(folder.path(), "reference.json", &reference_guide()),
        "--seat",
        "iron",
        "--thickness",
        "2.4",
        "--taper",
        "0",
        "--roller-level",
        "0",
        "--angles",
        "25,30,35",
        "--json",
    ]);
    let table: Value = serde_json::from_str(&text).unwrap();
    // Case A of the design's reference table.
    for (lane, p) in table["lanes"].as_array().unwrap().iter().zip([51.2847, 39.2267, 30.4682]) {
        assert!((lane["projection"].as_f64().unwrap() - p).abs() <= 5.0e-5);
        assert_eq!(lane["projection"], lane["fence_distance"]);
        assert_eq!(lane["tool"], Value::Null);
        assert_eq!(lane["seat"], "iron");
    }
    assert!((table["lanes"][0]["mm_per_degree"].as_f64().unwrap() + 2.87).abs() < 0.01);
}

/// A bevel-edged chisel whose lands nobody measured: the class's usual ones, with what they may cost, above the table.
#[test]
fn lands_that_nobody_measured_are_warned_of_first() {
    let lane = |extra: &[&str]| {
        let base = ["offsets", "narrow-side-clamp", "--tool", "bench-chisel", "--thickness", "3.2", "--angles", "35"];
        let all = [&base[..], extra].concat();
        let table: Value = serde_json::from_str(&stdout(&[&all[..], &["--json"]].concat())).unwrap();
        (stdout(&all), table["lanes"][0].clone())
    };
    let (guessed, assumed) = lane(&[]);
    assert!(
        guessed.starts_with("Warning: bench-chisel-35: the height of the blade's side lands was not measured"),
        "{guessed}"
    );
    assert!(guessed.contains("1.5 ± 1.0 mm") && guessed.contains("land 1.50"), "{guessed}");
    assert_eq!(assumed["land"], 1.5);
    let (known, measured) = lane(&["--land", "1.3", "--land-taper", "0"]);
    assert!(!known.contains("side lands") && known.contains("land 1.30"), "{known}");
    // p = (8 + (17.1 + 0.65) cos 35°) / sin 35° − 11, by hand.
    assert!((measured["projection"].as_f64().unwrap() - 28.30).abs() < 5e-3);
    // Half the lands' taper turns the bevel: what 0.8° costs is 0.4° at the same projection.
    let (_, tapered) = lane(&["--land", "1.3", "--land-taper", "0.8"]);
    let more = |lane: &Value| lane["projection"].as_f64().unwrap();
    let by_slope = measured["mm_per_degree"].as_f64().unwrap() * 0.4;
    assert!((more(&tapered) - more(&measured) - by_slope).abs() < 0.01, "{tapered}");
    // The sheets of block and jig say so before anything else.
    let folder = tempfile::tempdir().unwrap();
    let mut job = job_of(1, 1);
    job["settings"][1]["land"] = Value::Null;
    job["wood"] = serde_json::json!({});
    let job = file(folder.path(), "job.json", &job);
    for command in ["make", "cutsheet"] {
        let out = folder.path().join(command);
        stdout(&[command, &job, "--out", &out.display().to_string()]);
        let files = fs::read_dir(out).unwrap().map(|entry| entry.unwrap().path());
        let said = |path: PathBuf| {
            fs::read_to_string(path).is_ok_and(|svg| words_of(&svg).contains("side lands was not measured"))
        };
        assert!(files.filter(|path| path.extension().is_some_and(|e| e == "svg")).any(said), "{command}");
    }
    // A firmer's land is its whole side.
    let table: Value = serde_json::from_str(&stdout(&[
        "offsets",
        "narrow-side-clamp",
        "--tool",
        "firmer-chisel",
        "--thickness",
        "4.1",
        "--angles",
        "30",
        "--json",
    ]))
    .unwrap();
    assert_eq!(table["lanes"][0]["land"], 4.1);
    assert!(!table["lanes"][0]["warnings"].to_string().contains("side lands"));
}

/// Where the lands are the whole sides, their taper is the blade's: one quantity, in value and in error.
#[test]
fn a_whole_side_tapers_with_its_blade() {
    let lane = |tool: &str, more: &[&str]| {
        let of_tool = ["offsets", "narrow-side-clamp", "--tool", tool, "--angles", "27", "--json", "--budget"];
        let table: Value = serde_json::from_str(&stdout(&[&of_tool, more].concat())).unwrap();
        table["lanes"][0].clone()
    };
    for (tool, thickness) in [("firmer-chisel", 4.0), ("mortise-chisel", 7.5)] {
        let projection =
            |taper: &str, land: &[&str]| lane(tool, &[&["--taper", taper], land].concat())["projection"].clone();
        // By the design's α = β + λ/2, H = h + L/2 · cos(λ/2), with λ = τ; stated lands go the same way.
        assert_eq!(projection("0.8", &[]), projection("0.8", &["--land-taper", "0.8"]));
        let p = projection("0.8", &[]).as_f64().unwrap();
        let (alpha, level) = (27.4f64.to_radians(), 17.1 + thickness / 2.0 * 0.4f64.to_radians().cos());
        let by_hand = (8.0 + level * alpha.cos()) / alpha.sin() - 11.0;
        assert!((p - by_hand).abs() < 1e-9, "{tool}: {p} {by_hand}");
        // A stated taper of the lands goes before the blade's.
        assert_eq!(projection("0.8", &["--land-taper", "0"]), projection("0", &[]));

        // The budget has one taper and one thickness, and each weighs what another blade at the same fence shows.
        let budget = lane(tool, &["--width", "12"])["budget"].clone();
        let quantities = budget.as_array().unwrap();
        let weight = |name: &str| {
            let of_name = quantities.iter().find(|q| q["quantity"] == name);
            of_name.map(|q| q["degrees_per_unit"].as_f64().unwrap())
        };
        assert_eq!([weight("side lands"), weight("taper of the side lands")], [None; 2]);
        let sets = |thickness: f64, taper: f64| {
            let fence = lane(tool, &[])["fence_distance"].as_f64().unwrap().to_string();
            let [thickness, taper] = [thickness, taper].map(|v| v.to_string());
            let of_tool = ["angle", "narrow-side-clamp", "--tool", tool, "--fence", &fence, "--json"];
            let blade = ["--thickness", &thickness, "--taper", &taper];
            let said: Value = serde_json::from_str(&stdout(&[&of_tool[..], &blade].concat())).unwrap();
            said["angle"].as_f64().unwrap()
        };
        // Degrees the bevel changes by where thickness or taper is so much more than it was taken for: by central differences.
        let by_taper = (sets(thickness, 0.05) - sets(thickness, -0.05)) / 0.1;
        let by_thickness = (sets(thickness + 0.05, 0.0) - sets(thickness - 0.05, 0.0)) / 0.1;
        for (name, found) in [("taper", by_taper), ("blade thickness", by_thickness)] {
            let told = weight(name).unwrap();
            assert!((told.abs() - found.abs()).abs() < 2e-3 && found.abs() > 0.1, "{tool} {name}: {told} {found}");
        }
    }
}

#[test]
fn an_uncertainty_is_null_only_where_nothing_was_stated() {
    let folder = tempfile::tempdir().unwrap();
    let guide = serde_json::json!({ "format": 1, "name": "bare", "roller": { "diameter": 19 }, "face": { "axle_to_face": 15.8 },
        "seats": { "iron": { "height": 18.4, "locates": "underside" } } });
    let path = file(folder.path(), "bare.json", &guide);
    let lane = |extra: &[&str]| -> Value {
        let mut arguments = vec!["offsets", &path, "--angles", "30", "--json"];
        arguments.extend(extra);
        serde_json::from_str::<Value>(&stdout(&arguments)).unwrap()["lanes"][0].clone()
    };
    let bare = lane(&["--thickness", "2.4"]);
    assert!(bare["projection_uncertainty"].is_null() && bare["angle_uncertainty"].is_null());
    let blade = lane(&["--thickness", "2.4 mm +- 0.1 mm"]);
    // dp/dt = cot 30°, u = 0.1/√3, k = 2 (JCGM 100:2008, 4.3.7 and 5.1.2).
    let expected = 2.0 * 0.1 / 3f64.sqrt() / 30f64.to_radians().tan();
    assert!((blade["projection_uncertainty"].as_f64().unwrap() - expected).abs() < 1e-12);
    let fence = lane(&["--thickness", "2.4", "--fence-within", "0.2"]);
    assert!(fence["projection_uncertainty"].is_null() && fence["angle_uncertainty"].is_number());
    // The checks that need what the profile lacks are named as not made.
    let notes = bare["warnings"].as_array().unwrap();
    assert!(notes.iter().filter(|w| w.as_str().unwrap().starts_with("not checked")).count() >= 4, "{notes:?}");
}

#[test]
fn offsets_prints_lanes_that_make_refuses() {
    let folder = tempfile::tempdir().unwrap();
    let mut job = job_of(1, 1);
    job["settings"][0]["angles"] = serde_json::json!([60]);
    let path = file(folder.path(), "steep.json", &job);
    let table = stdout(&["offsets", &path]);
    assert!(table.contains("NO BLOCK: plane-iron-60"), "{table}");
    let out = folder.path().join("out").display().to_string();
    let refused = refusal(&["make", &path, "--out", &out]);
    assert!(refused.contains("plane-iron-60") && refused.contains("more than 0.5 mm"), "{refused}");
    assert!(!folder.path().join("out").exists());
}

#[test]
fn angle_answers_from_fence_projection_and_bevel() {
    let degrees = |arguments: &[&str]| -> f64 {
        let mut all = vec!["angle"];
        all.extend(arguments);
        all.push("--json");
        serde_json::from_str::<Value>(&stdout(&all)).unwrap()["angle"].as_f64().unwrap()
    };
    let seat = ["narrow-side-clamp", "--seat", "iron", "--thickness", "2.4"];
    let with = |extra: &[&'static str]| degrees(&[&seat[..], extra].concat());
    assert!((with(&["--fence", "47.0890"]) - 30.0).abs() < 1e-4);
    assert!((with(&["--projection", "60.0410"]) - 25.0).abs() < 1e-4);
    assert!((with(&["--fence", "1 55/64 in"]) - 29.94).abs() < 5e-3);
    // Sine rule: t / L = 1/2 is 30°.
    assert!((degrees(&["--thickness", "3.1", "--bevel-length", "6.2"]) - 30.0).abs() < 1e-9);
}

/// Where the heel or the guide's front meets the stone first, or no block serves the setting, the angle is not given
/// without a word: `angle` says what `offsets` says of the same setting.
#[test]
fn angle_says_what_touches_before_the_edge() {
    let json = |arguments: &[&str]| -> Value { serde_json::from_str(&stdout(arguments)).unwrap() };
    let folder = tempfile::tempdir().unwrap();
    let guide = file(folder.path(), "reference.json", &reference_guide());
    let (mut sound, mut unsound) = (0, 0);
    for degrees in (0..20).map(|i| 14.0 + 2.0 * f64::from(i)) {
        for primary in [12.0, 25.0, 32.0] {
            let (degrees, primary) = (degrees.to_string(), primary.to_string());
            let blade =
                [guide.as_str(), "--seat", "iron", "--thickness", "2.4", "--width", "50", "--primary", &primary];
            let lane =
                json(&[&["offsets"], &blade[..], &["--angles", &degrees, "--json"]].concat())["lanes"][0].clone();
            let refused = |warnings: &Value, words: &str| -> Vec<String> {
                let all = warnings.as_array().unwrap().iter().map(|w| w.as_str().unwrap());
                all.filter_map(|w| w.strip_prefix(words)).map(str::to_string).collect()
            };
            let (fence, projection) = (lane["fence_distance"].to_string(), lane["projection"].to_string());
            let from_fence = json(&[&["angle"], &blade[..], &["--fence", &fence, "--json"]].concat());
            let from_out = json(&[&["angle"], &blade[..], &["--projection", &projection, "--json"]].concat());
            let expected = refused(&lane["warnings"], "no block can serve this: ");
            let found = refused(&from_fence["warnings"], "the guide cannot hone this angle: ");
            assert_eq!(found.len(), expected.len(), "{degrees} {primary}: {from_fence}");
            assert_eq!(from_fence["sound"], expected.is_empty());
            let touches = expected.iter().any(|w| w.contains("stone"));
            assert_eq!(from_out["sound"], !touches, "{degrees} {primary}: {from_out}");
            if touches { unsound += 1 } else { sound += 1 }
        }
    }
    assert!(sound > 10 && unsound > 20, "{sound} {unsound}");
    let heel = stdout(&[
        "angle",
        &guide,
        "--seat",
        "iron",
        "--thickness",
        "2.4",
        "--width",
        "50",
        "--primary",
        "25",
        "--projection",
        "69.1237",
    ]);
    assert!(
        heel.contains("20.0°")
            && heel.contains("Warning: the guide cannot hone this angle: at 20° the heel of the 25°")
    );
    // A flat bevel that was measured to hundredths is no heel before its edge.
    let flat = stdout(&[
        "angle",
        &guide,
        "--seat",
        "iron",
        "--thickness",
        "2.4",
        "--width",
        "50",
        "--primary",
        "30",
        "--projection",
        "39.24",
    ]);
    assert!(!flat.contains("Warning"), "{flat}");
    // Without a fence there is no block whose rules must be kept.
    let by = |what| stdout(&["angle", "narrow-side-clamp", "--tool", "bench-chisel", what, "28"]);
    let is_of_blocks = |said: &str| said.contains("wherever the fence is");
    assert!(is_of_blocks(&by("--fence")) && !is_of_blocks(&by("--projection")));
}

/// The angle in a view's name is no page's number: one view does not take another away.
#[test]
fn views_of_several_angles_stand_side_by_side() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    for angle in ["25", "30"] {
        stdout(&["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", angle, "--out", &out]);
    }
    assert!(["plane-iron-25.svg", "plane-iron-30.svg"].iter().all(|name| folder.path().join(name).is_file()));
}

/// The stone is drawn as long and as hollow as it is stated, at full size here: its lowest place lies so far below its
/// ends, and the film is as thick as it is.
#[test]
fn show_draws_the_stone_that_is_stated() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    let base = ["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "30", "--out", &out];
    let stone = ["--stone", "200", "--hollow", "0.4", "--film", "0.2"];
    let said = stdout(&[&base[..], &stone].concat());
    assert!(said.contains("0.4 mm hollow") && said.contains("a film 0.2 mm thick"), "{said}");
    let svg = std::fs::read_to_string(folder.path().join("plane-iron-30.svg")).unwrap();
    assert!(svg.contains("data-scale=\"1:1\""));
    let first_path = |id: &str| -> Vec<[f64; 2]> {
        let (_, after) = svg.split_once(&format!("id=\"{id}\"")).unwrap();
        let (_, path) = after.split_once("d=\"M").unwrap();
        let points = path.split('Z').next().unwrap().split('L');
        let point = |p: &str| p.split_once(' ').map(|(x, y)| [x.parse().unwrap(), y.parse().unwrap()]);
        points.filter_map(point).collect()
    };
    // Down is larger; the last two points are below.
    let top = first_path("stone");
    let top = &top[..top.len() - 2];
    let (first, last) = (top[0], top[top.len() - 1]);
    let lowest = top.iter().map(|p| p[1]).fold(0.0, f64::max);
    assert!((last[0] - first[0] - 200.0).abs() < 1e-3 && (lowest - first[1] - 0.4).abs() < 2e-3, "{top:?}");
    let film = first_path("film");
    let [low, high] = [f64::max, f64::min].map(|end| film.iter().map(|p| p[1]).reduce(end).unwrap());
    assert!((low - high - 0.2).abs() < 1e-3, "{film:?}");
}

#[test]
fn show_draws_both_views() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    let base = ["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "30", "--out", &out];
    stdout(&base);
    let mut block = base.to_vec();
    block.push("--block");
    stdout(&block);
    let honing = fs::read_to_string(folder.path().join("plane-iron-30.svg")).unwrap();
    for id in [
        "dim-projection",
        "dim-bevel-angle",
        "dim-axle-to-face",
        "dim-seat-height",
        "dim-face-bottom",
        "dim-roller-diameter",
        "stone",
        "contact",
    ] {
        assert!(honing.contains(&format!("id=\"{id}\"")), "{id}");
    }
    let setting = fs::read_to_string(folder.path().join("plane-iron-30-block.svg")).unwrap();
    for id in [
        "dim-fence_distance",
        "dim-roller-below-table",
        "dim-thickness",
        "dim-fence-height",
        "dim-overhang",
        "bench",
        "block",
    ] {
        assert!(setting.contains(&format!("id=\"{id}\"")), "{id}");
    }
    assert!(!setting.contains("id=\"stone\""));
}

#[test]
fn quiet_is_quiet_and_block_makes_the_block_alone() {
    let folder = tempfile::tempdir().unwrap();
    let (demo, out) = (demo().display().to_string(), folder.path().join("b").display().to_string());
    assert_eq!(stdout(&["block", &demo, "--out", &out, "--quiet"]), "");
    let mut names: Vec<String> =
        fs::read_dir(folder.path().join("b")).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    let block = [
        "block-sheet-2.svg",
        "block.3mf",
        "block.pdf",
        "block.step",
        "block.stl",
        "block.svg",
        "picture.png",
        "picture.svg",
    ];
    assert_eq!(names, [&[".stopwright"], &block[..]].concat());
}

#[test]
fn foreign_and_changed_files_are_not_replaced_without_force() {
    let folder = tempfile::tempdir().unwrap();
    let (demo, out) = (demo().display().to_string(), folder.path().display().to_string());
    let drawing = folder.path().join("block.svg");
    fs::write(&drawing, "mine").unwrap();
    let refused = refusal(&["make", &demo, "--out", &out]);
    assert!(refused.contains("block.svg") && refused.contains("--force"), "{refused}");
    assert_eq!(fs::read_to_string(&drawing).unwrap(), "mine");
    assert!(!folder.path().join("block.stl").exists(), "nothing at all is written");
    stdout(&["make", &demo, "--out", &out, "--force"]);
    assert_ne!(fs::read_to_string(&drawing).unwrap(), "mine");
    // Its own files it replaces, as long as nobody changed them.
    stdout(&["make", &demo, "--out", &out]);
    let mut text = fs::read_to_string(&drawing).unwrap();
    text.push_str("<!-- my note -->");
    fs::write(&drawing, &text).unwrap();
    refusal(&["make", &demo, "--out", &out]);
    assert_eq!(fs::read_to_string(&drawing).unwrap(), text);
}

#[test]
fn completions_are_printed_for_every_shell() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = stdout(&["completions", shell]);
        assert!(script.contains("stopwright") && script.contains("roller-level"), "{shell}");
    }
}

/// What a job does not have is not made, and that is no success.
#[test]
fn only_what_a_job_has_is_made() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out");
    let demo = demo().display().to_string();
    for (only, missing) in [("cards", "cards"), ("gauges,cards,offsets", "cards, gauges")] {
        let said = refusal(&["make", &demo, "--only", only, "--out", out.to_str().unwrap()]);
        assert!(said.contains(&format!("{missing}, which only a job with a \"kit\" has")), "{said}");
        assert!(said.contains("stl, 3mf, step"), "{said}");
        assert!(!out.exists());
    }
    let said = stdout(&["make", &demo, "--only", "offsets", "--out", out.to_str().unwrap()]);
    assert!(!said.contains("written STL"), "none is: {said}");
}

/// Settings are warned of limits that are closer than a fence is made to, as kits are; and of blades that are not known
/// well enough for the tolerance.
#[test]
fn what_cannot_be_kept_is_warned_of() {
    let folder = tempfile::tempdir().unwrap();
    let said = |tolerance: f64| {
        let mut job: Value = serde_json::from_str(&fs::read_to_string(demo()).unwrap()).unwrap();
        job["tolerance"] = json!(tolerance);
        stdout(&["offsets", &file(folder.path(), "job.json", &job)])
    };
    let usual = said(0.5);
    assert!(!usual.contains("closer than") && !usual.contains("not known well enough"), "{usual}");
    let close = said(0.05);
    assert!(close.contains("closer than the 0.10 mm you can work to"), "{close}");
    assert!(close.matches("guide and blade are not known well enough for the ±0.05° allowed").count() == 1, "{close}");
}
