//! Verifying: finished blocks, test bevels, corrections, wear, budgets, and trials of the uncertainty.

use std::fs;

use approx::assert_relative_eq;
use serde_json::{Value, json};

use super::support::{demo, file, home, parsed, refusal, run, stdout, tells_of};
use stopwright::jig::{self, Jig, board};
use stopwright::lanes;
use stopwright::solve::uncertainty::COVERAGE;
use stopwright::solve::{angle_of_bevel, trial};

fn jig_of(job: &Value) -> (stopwright::job::Job, Jig) {
    let job = parsed(job);
    let jig = jig::lay_out(&job, &board::lanes(&job).unwrap()).unwrap();
    (job, jig)
}

fn demo_job() -> Value {
    serde_json::from_str(&fs::read_to_string(demo()).unwrap()).unwrap()
}

/// Fence distances of the demo's lanes, by id.
fn fences() -> Vec<(String, f64)> {
    let set = lanes::of_job(&parsed(&demo_job())).unwrap();
    set.lanes.iter().map(|l| (l.request.id.clone(), l.setting.fence_distance)).collect()
}

/// The same as its sheet asks for them: in hundredths of a millimetre.
fn asked() -> Vec<(String, f64)> {
    fences().into_iter().map(|(id, fence)| (id, (fence * 100.0).round() / 100.0)).collect()
}

/// Runs `verify` on measurements of the demo's block: exit code and JSON.
fn verify(measured: &Value, extra: &[&str]) -> (i32, Value) {
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "measured.json", measured);
    let demo = demo().display().to_string();
    let mut arguments = vec!["verify", &demo, &path, "--json"];
    arguments.extend(extra);
    let output = run(&arguments);
    let text = String::from_utf8(output.stdout).unwrap();
    let value =
        serde_json::from_str(&text).unwrap_or_else(|_| panic!("{text} {}", String::from_utf8_lossy(&output.stderr)));
    (output.status.code().unwrap(), value)
}

#[test]
fn a_block_with_known_errors_is_judged_with_those_very_errors() {
    let set = lanes::of_job(&parsed(&demo_job())).unwrap();
    let off = [0.2, -0.3, 0.05, -0.9, 0.0, 0.6];
    let lanes: Vec<Value> = asked()
        .iter()
        .zip(off)
        .map(|((id, fence), e)| json!({ "id": id, "measured": [fence + e - 0.04, fence + e + 0.04] }))
        .collect();
    let (code, verdicts) = verify(&json!({ "format": 1, "lanes": lanes }), &[]);
    let judged = verdicts["lanes"].as_array().unwrap();
    assert_eq!(judged.len(), 6);
    for ((v, e), lane) in judged.iter().zip(off).zip(&set.lanes) {
        let number = |key: &str| v[key].as_f64().unwrap();
        assert_relative_eq!(number("correction"), -e, epsilon = 1e-9);
        let built = lane.angle_at(lane.printed() + e).unwrap();
        assert_relative_eq!(number("angle_as_built"), built, epsilon = 1e-9);
        assert_relative_eq!(number("error"), built - lane.request.angle, epsilon = 1e-9);
        let width = lane.request.width.unwrap();
        assert_relative_eq!(number("skew"), (0.08 / width).atan().to_degrees(), epsilon = 1e-9);
        assert_eq!(v["within_tolerance"], json!((built - lane.request.angle).abs() <= 0.5));
        assert!(number("error_uncertainty") > 0.0);
    }
    // −0.9 mm on a chisel at 25° is +0.37°, +0.6 mm at 35° is −0.46°: all inside; the guard band takes the edge cases.
    assert_eq!((code, &verdicts["pass"]), (0, &json!(true)));
    let (code, guarded) = verify(&json!({ "format": 1, "lanes": lanes }), &["--guard-band"]);
    assert_eq!((code, &guarded["pass"]), (1, &json!(false)));
    assert!(guarded["decision_rule"].as_str().unwrap().contains("JCGM 106"));
    for (simple, guarded) in judged.iter().zip(guarded["lanes"].as_array().unwrap()) {
        let reach = simple["error"].as_f64().unwrap().abs() + simple["error_uncertainty"].as_f64().unwrap();
        assert_eq!(guarded["within_tolerance"], json!(reach <= 0.5));
        assert!(simple["within_limits"] == json!(true) || guarded["within_limits"] == json!(false));
    }
}

/// A worn roller is reckoned with for all lanes; those that were not measured are taken as made, and named.
#[test]
fn lanes_that_were_not_measured_are_named_where_wear_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let (id, fence) = &fences()[0];
    let measured = json!({ "format": 1, "lanes": [{ "id": id, "measured": fence }] });
    let measured = file(folder.path(), "measured.json", &measured);
    let said = stdout(&["verify", &demo().display().to_string(), &measured, "--guide", "narrow-side-clamp"]);
    let (_, named) = said.split_once("Not measured, so the job's own distances were used: ").unwrap();
    let (named, _) = named.split_once("\n\n").unwrap_or((named, ""));
    let named: Vec<&str> = named.split([',', ' ', '\n']).filter(|word| !word.is_empty()).collect();
    let others: Vec<String> = fences().into_iter().map(|(id, _)| id).filter(|other| other != id).collect();
    assert!(others.iter().all(|other| named.contains(&other.as_str())), "{said}");
    assert!(!named.contains(&id.as_str()), "{said}");
}

#[test]
fn a_lane_is_meant_by_the_name_of_its_setting_or_of_its_tool() {
    let folder = tempfile::tempdir().unwrap();
    let mut job = demo_job();
    job["settings"][0]["id"] = json!("smoother");
    let job = file(folder.path(), "job.json", &job);
    for tool in ["smoother", "plane-iron"] {
        let lanes = json!([{ "tool": tool, "angle": 30, "measured": 47.1 }]);
        let measured = file(folder.path(), "measured.json", &json!({ "format": 1, "lanes": lanes }));
        let found: Value = serde_json::from_slice(&run(&["verify", &job, &measured, "--json"]).stdout).unwrap();
        assert_eq!(found["lanes"][0]["id"], "smoother-30", "{tool}");
    }
    // Where two are meant, none is taken.
    let mut twice = demo_job();
    let mut second = twice["settings"][0].clone();
    second["id"] = json!("second");
    twice["settings"].as_array_mut().unwrap().push(second);
    let job = file(folder.path(), "twice.json", &twice);
    let said = refusal(&["verify", &job, &folder.path().join("measured.json").display().to_string()]);
    assert!(said.contains("more than one lane of that tool and angle") && said.contains("an id instead"), "{said}");
}

#[test]
fn the_json_keeps_to_the_contract() {
    let (_, verdicts) =
        verify(&json!({ "format": 1, "lanes": [{ "tool": "plane-iron", "angle": 30, "measured": 47.1 }] }), &[]);
    let mut fields: Vec<&String> = verdicts["lanes"][0].as_object().unwrap().keys().collect();
    fields.sort();
    let contract = [
        "angle",
        "angle_as_built",
        "asked",
        "correction",
        "error",
        "error_uncertainty",
        "fence_distance",
        "id",
        "limit",
        "measured",
        "parallel",
        "right_further",
        "seat",
        "skew",
        "tool",
        "within_limits",
        "within_tolerance",
    ];
    assert_eq!(fields, contract);
    assert_eq!(verdicts["lanes"][0]["skew"], Value::Null);
    assert_eq!(verdicts["not_measured"].as_array().unwrap().len(), 5);
}

/// What `verify` writes, `make` reads; a slip becomes no correction, and none takes the table from under the blade.
#[test]
fn a_fence_is_not_moved_further_than_a_block_allows() {
    let folder = tempfile::tempdir().unwrap();
    let demo = demo().display().to_string();
    let slip = json!({ "format": 1, "lanes": [{ "id": "plane-iron-30", "measured": 75 }] });
    let (slip, to) = (file(folder.path(), "slip.json", &slip), folder.path().join("c.json").display().to_string());
    let said = refusal(&["verify", &demo, &slip, "--write-corrections", &to]);
    assert!(said.contains("plane-iron-30: its fence would be moved by -27.91 mm; at most 20.00 mm"), "{said}");
    let title = demo_job()["title"].clone();
    let mut steep = demo_job();
    steep["settings"][1]["angles"] = json!([40]);
    let steep = file(folder.path(), "steep.json", &steep);
    let lines = json!([{ "id": "plane-iron-30", "making": -20 }, { "id": "bench-chisel-40", "making": -20 }]);
    let far = file(folder.path(), "far.json", &json!({ "format": 2, "job": title, "corrections": lines }));
    let said = refusal(&["make", &steep, "--corrections", &far]);
    // 22.60 mm less the bevel's 3.2 mm / tan 25° = 6.86 mm is 15.74 mm of table.
    assert!(tells_of(&said, "corrections[1].making") && said.contains("leaves -4.26 mm of table"), "{said}");
    assert!(!said.contains("corrections[0]"), "{said}");
    // To the very end of the table is too far as well.
    let (_, jig) = jig_of(&serde_json::from_str(&fs::read_to_string(&steep).unwrap()).unwrap());
    let lane = jig.lanes.iter().map(|p| &p.lane).find(|l| l.request.id == "bench-chisel-40").unwrap();
    let lines = json!([{ "id": "bench-chisel-40", "making": -lane.table_support }]);
    let end = file(folder.path(), "end.json", &json!({ "format": 2, "job": title, "corrections": lines }));
    let said = refusal(&["make", &steep, "--corrections", &end]);
    assert!(said.contains("leaves 0.00 mm of table"), "{said}");
}

/// A jig built to the very fractions that its sheet asks for passes, and nothing is left to correct.
#[test]
fn a_fraction_that_was_asked_for_is_no_error() {
    let folder = tempfile::tempdir().unwrap();
    for denominator in [16, 64] {
        let mut job = demo_job();
        job["wood"] = json!({ "lengths": "in", "fraction": denominator });
        let (_, jig) = jig_of(&job);
        let built: Vec<Value> = jig
            .lanes
            .iter()
            .map(|p| json!({ "id": p.lane.request.id, "measured": { "value": jig.printed(p), "within": 0.02 } }))
            .collect();
        let job = file(folder.path(), "job.json", &job);
        let measured = file(folder.path(), "m.json", &json!({ "format": 1, "lanes": built }));
        let judged: Value = serde_json::from_str(&stdout(&["verify", &job, &measured, "--wood", "--json"])).unwrap();
        assert_eq!(judged["pass"], true);
        for lane in judged["lanes"].as_array().unwrap() {
            assert!(lane["correction"].as_f64().unwrap().abs() < 1e-9, "{lane}");
        }
        let to = folder.path().join("c.json").display().to_string();
        let said = refusal(&["verify", &job, &measured, "--wood", "--write-corrections", &to]);
        assert!(said.contains("no lane that needs a correction"), "{said}");
    }
}

/// The sheet asks for fences parallel to their edge within 0.1 mm over a blade's width: more fails, and the side is said.
#[test]
fn a_fence_that_is_not_parallel_fails() {
    let folder = tempfile::tempdir().unwrap();
    let (id, fence) = fences().swap_remove(1);
    let demo = demo().display().to_string();
    for (apart, passes, side) in [(0.08, true, "right"), (0.25, false, "right"), (-0.25, false, "left")] {
        let sides = json!([fence - apart / 2.0, fence + apart / 2.0]);
        let path = file(folder.path(), "m.json", &json!({ "format": 1, "lanes": [{ "id": id, "measured": sides }] }));
        let output = run(&["verify", &demo, &path]);
        assert_eq!(output.status.code(), Some(i32::from(!passes)));
        let said = String::from_utf8(output.stdout).unwrap();
        let named = said.contains(&format!("the {side} side of this fence is 0.25 mm further"));
        assert_eq!(named, !passes, "{said}");
    }
}

/// A job in inches is answered in inches.
#[test]
fn verify_speaks_the_jobs_units() {
    let folder = tempfile::tempdir().unwrap();
    let mut job = demo_job();
    job["units"] = json!("in");
    for setting in job["settings"].as_array_mut().unwrap() {
        for field in ["thickness", "land", "width"] {
            if let Some(value) = setting.get(field).cloned() {
                let inches = |v: &Value| json!(format!("{v} mm"));
                setting[field] = match value.get("value") {
                    Some(nominal) => json!({ "value": inches(nominal), "within": inches(&value["within"]) }),
                    None => inches(&value),
                };
            }
        }
    }
    let job = file(folder.path(), "job.json", &job);
    let lanes = json!([{ "id": "plane-iron-30", "measured": "47.089 mm" }]);
    let path = file(folder.path(), "m.json", &json!({ "format": 1, "units": "in", "lanes": lanes }));
    let said = stdout(&["verify", &job, &path]);
    let head: Vec<&str> = said.lines().nth(1).unwrap().split_whitespace().collect();
    assert_eq!(head.iter().filter(|unit| **unit == "in").count(), 5, "{said}");
    assert!(said.contains("1.854"), "{said}");
}

/// A printer that places every fence wrong by its own amount: the corrected block comes out right.
#[test]
fn a_corrected_block_measures_right() {
    let folder = tempfile::tempdir().unwrap();
    let demo = demo().display().to_string();
    let (corrections, out) =
        (folder.path().join("c.json").display().to_string(), folder.path().join("o").display().to_string());
    let printer = [-0.31, 0.12, -0.07, 0.55, -0.2, 0.4];
    let first: Vec<Value> =
        asked().iter().zip(printer).map(|((id, f), e)| json!({ "id": id, "measured": f + e })).collect();
    verify(&json!({ "format": 1, "lanes": first }), &["--write-corrections", &corrections]);
    let made: Value =
        serde_json::from_str(&stdout(&["make", &demo, "--corrections", &corrections, "--out", &out, "--json"]))
            .unwrap();
    let mut second = Vec::new();
    for ((id, fence), e) in asked().into_iter().zip(printer) {
        let reading = made["blocks"][0]["readings"].as_array().unwrap().iter().find(|r| r["id"] == json!(id)).unwrap();
        // What the program measured in its own STL, and what the printer makes of it.
        let printed = reading["measured"][0].as_f64().unwrap() + e;
        assert!((reading["wanted"].as_f64().unwrap() - (fence - e)).abs() <= 0.005);
        assert!((printed - fence).abs() < 0.006, "but for what the sheet rounds");
        second.push(json!({ "id": id, "measured": printed }));
    }
    let sheets = ["block.svg", "block-sheet-2.svg"].map(|name| folder.path().join("o").join(name));
    let drawing: String = sheets.iter().filter_map(|sheet| fs::read_to_string(sheet).ok()).collect();
    assert!(drawing.contains("CORRECTED: Alder Lane tool chest"), "the title says so");
    for ((_, fence), e) in asked().into_iter().zip(printer) {
        // What is to be finished, with the limits about it, and beside it where the file has it.
        let limits = format!("\n{fence:.2} ±");
        assert_eq!(drawing.matches(&limits).count(), 1, "{limits}");
        let in_file = [-0.005, 0.0, 0.005].map(|more| format!("\n{:.2}\n", fence - e + more));
        assert!(in_file.iter().any(|words| drawing.contains(words)), "{fence} {e}");
        assert!(!drawing.contains(&format!("\n{:.2} ±", fence - e)), "no limits about what was moved");
    }
    let (code, verdicts) = verify(&json!({ "format": 1, "lanes": second }), &["--corrections", &corrections]);
    assert_eq!(code, 0);
    assert!(verdicts["lanes"].as_array().unwrap().iter().all(|v| v["error"].as_f64().unwrap().abs() < 0.006));
}

/// Twelve bevels that show the guide 0.8 mm short: the finished distances change by that, a block with them sets the
/// angles, and the same offset is not found a second time.
#[test]
fn an_offset_of_the_guide_changes_what_is_to_be_finished() {
    let folder = tempfile::tempdir().unwrap();
    let set = lanes::of_job(&parsed(&demo_job())).unwrap();
    let bevels = |moved: f64| -> Value {
        let honed = |l: &stopwright::lane::Lane| l.angle_at(l.setting.fence_distance + moved - 0.8).unwrap();
        let line = |l: &stopwright::lane::Lane| json!({ "id": l.request.id, "thickness": l.request.blade.thickness.mm, "angle_read": { "value": honed(l), "within": 0.1 } });
        set.lanes.iter().map(line).collect()
    };
    let corrections = folder.path().join("c.json").display().to_string();
    verify(&json!({ "format": 1, "bevels": bevels(0.0) }), &["--write-corrections", &corrections]);
    let written: Value = serde_json::from_str(&fs::read_to_string(&corrections).unwrap()).unwrap();
    let offset = written["corrections"][0]["guide"].as_f64().unwrap();
    assert!((offset - 0.8).abs() < 0.03 && written["corrections"][0].get("making").is_none(), "{written}");
    let out = folder.path().join("o").display().to_string();
    stdout(&["make", &demo().display().to_string(), "--corrections", &corrections, "--out", &out, "--quiet"]);
    let drawing = fs::read_to_string(folder.path().join("o/block.svg")).unwrap();
    for (_, fence) in fences() {
        assert!(drawing.contains(&format!("\n{:.2} ±", fence + offset)), "{fence}");
    }
    assert!(!drawing.contains("in the file"), "the file has the fences where they are to be finished");
    let numbers: Value =
        serde_json::from_str(&fs::read_to_string(folder.path().join("o/offsets.json")).unwrap()).unwrap();
    let lane = &numbers["lanes"][0]["correction"];
    assert_eq!((&lane["guide"], &lane["finished"]), (&json!(offset), &lane["in_file"]));
    // The corrected block as finished, and bevels honed on it.
    let finished: Vec<Value> =
        fences().into_iter().map(|(id, fence)| json!({ "id": id, "measured": fence + offset })).collect();
    let again = json!({ "format": 1, "lanes": finished, "bevels": bevels(offset) });
    let (code, verdicts) = verify(&again, &["--corrections", &corrections]);
    assert_eq!(code, 0);
    assert!(verdicts["lanes"].as_array().unwrap().iter().all(|v| v["error"].as_f64().unwrap().abs() < 1e-9));
    assert_eq!(verdicts["angles"]["offsets"][0]["trusted"], json!(false), "{verdicts}");
}

/// Corrections of the first form do not say what they are for.
#[test]
fn corrections_of_the_first_form_are_refused_and_the_way_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let old = json!({ "format": 1, "job": "Alder Lane tool chest", "corrections": [{ "id": "plane-iron-30", "correction": 0.1 }] });
    let old = file(folder.path(), "c.json", &old);
    let said = refusal(&["make", &demo().display().to_string(), "--corrections", &old]);
    assert!(tells_of(&said, "format") && said.contains("--write-corrections"), "{said}");
}

/// A block that was made before the guide was measured anew: its fingerprint says so, to `verify` and in its files.
#[test]
fn a_stale_block_is_told_by_its_fingerprint() {
    let folder = tempfile::tempdir().unwrap();
    let demo = demo().display().to_string();
    let out = folder.path().join("o");
    stdout(&["make", &demo, "--out", out.to_str().unwrap(), "--quiet"]);
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap();
    let numbers: Value = serde_json::from_str(&read("offsets.json")).unwrap();
    let ours = numbers["fingerprint"].as_str().unwrap();
    assert_eq!(ours.len(), 4);
    for name in ["block.svg", "side-iron.svg"] {
        assert!(read(name).contains(&format!("\n{ours}\n")), "{name} bears it");
    }
    let stl = fs::read(out.join("block.stl")).unwrap();
    assert!(String::from_utf8_lossy(&stl[..80]).contains(ours), "and so does the file for the printer");
    let mut measured =
        json!({ "format": 1, "fingerprint": ours, "lanes": [{ "id": "plane-iron-30", "measured": 47.1 }] });
    let said = |measured: &Value| stdout(&["verify", &demo, &file(folder.path(), "m.json", measured)]);
    assert!(!said(&measured).contains("Warning"), "a block of this state");
    measured["fingerprint"] = json!("3333");
    let warned = said(&measured);
    assert!(warned.starts_with("Warning: this block has the fingerprint 3333") && warned.contains(ours), "{warned}");
    // Nor are its errors anything that a new block should be corrected by.
    measured["lanes"][0]["measured"] = json!(47.6);
    let path = file(folder.path(), "m.json", &measured);
    let to = folder.path().join("c.json").display().to_string();
    assert!(refusal(&["verify", &demo, &path, "--write-corrections", &to]).contains("3333"));
    // The guide measured anew: both states are said.
    let mut worn: Value = serde_json::from_str(&stdout(&["profiles", "narrow-side-clamp"])).unwrap();
    worn["name"] = json!("mine");
    let same = stdout(&["verify", &demo, "--guide", &file(folder.path(), "same.json", &worn)]);
    assert!(same.contains(&format!("stays {ours}")), "{same}");
    worn["roller"]["diameter"] = json!(15.7);
    let anew = stdout(&["verify", &demo, "--guide", &file(folder.path(), "worn.json", &worn)]);
    assert!(anew.contains(&format!("This block has the fingerprint {ours}")), "{anew}");
    // What test bevels showed of the guide is worth nothing once it is measured anew; a printer's error stays.
    let corrections = |part: &str| {
        let lines = json!([{ "id": "plane-iron-30", part: 0.2 }]);
        let of = json!({ "format": 2, "job": "Alder Lane tool chest", "fingerprint": "3333", "corrections": lines });
        file(folder.path(), "c.json", &of)
    };
    let to = folder.path().join("corrected").display().to_string();
    let said = refusal(&["make", &demo, "--corrections", &corrections("guide"), "--out", &to]);
    assert!(tells_of(&said, "fingerprint"), "{said}");
    stdout(&["make", &demo, "--corrections", &corrections("making"), "--out", &to, "--quiet"]);
}

/// Twelve bevels honed 0.8 mm short in projection, each read finely: the offset is found and trusted; coarse ones show
/// no bias; and one that is far off is said to disagree.
#[test]
fn test_bevels_tell_bias_from_noise() {
    let set = lanes::of_job(&parsed(&demo_job())).unwrap();
    let bevels = |short: f64, within: f64, odd: f64| -> Value {
        let lines: Vec<Value> = set
            .lanes
            .iter()
            .enumerate()
            .map(|(i, l)| {
                let angle = l.angle_at(l.setting.fence_distance - short).unwrap() + if i == 0 { odd } else { 0.0 };
                json!({ "id": l.request.id, "thickness": l.request.blade.thickness.mm, "angle_read": { "value": angle, "within": within } })
            })
            .collect();
        json!({ "format": 1, "bevels": lines })
    };
    let (_, found) = verify(&bevels(0.8, 0.1, 0.0), &[]);
    let offset = &found["angles"]["offsets"][0];
    assert_eq!((offset["trusted"].clone(), offset["seat"].clone()), (json!(true), Value::Null));
    // To first order: the angle is not quite linear in the projection.
    assert!((offset["offset"].as_f64().unwrap() - 0.8).abs() < 0.03, "{offset}");
    // One of them shows it just as well, and is not relied on alone.
    let mut one = bevels(0.8, 0.1, 0.0);
    one["bevels"].as_array_mut().unwrap().truncate(1);
    let (_, one) = verify(&one, &[]);
    let alone = &one["angles"]["offsets"][0];
    assert!(alone["advice"].as_str().unwrap().starts_with("one test bevel shows a guide error"), "{alone}");
    assert_eq!(alone["trusted"], json!(false));
    let (_, coarse) = verify(&bevels(0.8, 3.0, 0.0), &[]);
    assert_eq!(coarse["angles"]["offsets"][0]["trusted"], json!(false));
    assert!(coarse["angles"]["offsets"][0]["advice"].as_str().unwrap().contains("show no guide error"));
    let (_, odd) = verify(&bevels(0.0, 0.1, 2.0), &[]);
    assert!(odd["angles"]["offsets"].as_array().unwrap().iter().any(|o| o["consistent"] == json!(false)));
}

#[test]
fn one_seat_that_is_off_is_told_from_the_other() {
    let set = lanes::of_job(&parsed(&demo_job())).unwrap();
    let lines: Vec<Value> = set
        .lanes
        .iter()
        .map(|l| {
            let short = if l.request.seat.name() == "chisel" { 0.7 } else { 0.0 };
            let angle = l.angle_at(l.setting.fence_distance - short).unwrap();
            json!({ "id": l.request.id, "thickness": l.request.blade.thickness.mm, "angle_read": { "value": angle, "within": 0.1 } })
        })
        .collect();
    let (_, found) = verify(&json!({ "format": 1, "bevels": lines }), &[]);
    let offsets = found["angles"]["offsets"].as_array().unwrap();
    assert_eq!(offsets.len(), 2);
    for o in offsets {
        assert_eq!(o["trusted"], json!(o["seat"] == "chisel"), "{o}");
    }
}

/// The sine-bar rule: height = length × sine. Constants of a 5 in sine bar as handbooks tabulate them (Machinery's
/// Handbook, constants for setting a 5-inch sine bar; values from memory).
#[test]
fn the_bevel_rule_is_the_sine_bars() {
    for (degrees, constant) in [(10.0, 0.86824), (20.0, 1.71010), (25.0, 2.11309), (30.0, 2.50000), (35.0, 2.86788)] {
        let angle = angle_of_bevel(constant, 5.0, 0.0).unwrap();
        assert!((angle - degrees).abs() < 1.5e-4, "{degrees}: {angle}");
    }
    assert!(angle_of_bevel(5.0, 5.0, 0.0).is_none());
}

/// The bevel of a tapered iron is as uncertain as a small change of its thickness and of its length tells.
#[test]
fn a_bevel_of_a_tapered_iron_is_as_uncertain_as_its_lengths() {
    let folder = tempfile::tempdir().unwrap();
    let mut job = demo_job();
    job["settings"] = json!([{ "tool": "laminated-iron", "angles": [30] }]);
    let job = file(folder.path(), "job.json", &job);
    let (t, l, taper) = (7.0, 14.5, -1.0);
    let thickness = json!({ "value": t, "within": 0.05 });
    let bevel =
        json!({ "id": "laminated-iron-30", "thickness": thickness, "bevel_length": { "value": l, "within": 0.2 } });
    let bevels = file(folder.path(), "bevels.json", &json!({ "format": 1, "bevels": [bevel] }));
    let found: Value = serde_json::from_str(&stdout(&["verify", &job, &bevels, "--json"])).unwrap();
    let of = |t: f64, l: f64| angle_of_bevel(t, l, taper).unwrap();
    let slope = |one: f64, other: f64| (one - other) / 2e-4;
    let by_t = slope(of(t + 1e-4, l), of(t - 1e-4, l)) * 0.05 / 3f64.sqrt();
    let by_l = slope(of(t, l + 1e-4), of(t, l - 1e-4)) * 0.2 / 3f64.sqrt();
    let told = found["angles"]["angles"][0]["difference_uncertainty"].as_f64().unwrap();
    assert_relative_eq!(told, COVERAGE * by_t.hypot(by_l), max_relative = 1e-6);
}

/// JCGM 101: a million draws agree in standard deviation with the propagated uncertainty, within 2 %, for every lane
/// of the demo.
#[test]
fn a_million_trials_agree_with_the_propagation() {
    let set = lanes::of_job(&parsed(&demo_job())).unwrap();
    for lane in &set.lanes {
        let u = lane.setting.uncertainty;
        let p = trial::projection(&lane.measured, lane.setting.angle.to_radians(), 1_000_000, 7);
        assert_relative_eq!(p.deviation, u.projection.unwrap() / COVERAGE, max_relative = 0.02);
        let a = trial::angle(&lane.measured, lane.setting.fence_distance, 0.1, lane.edge_shape, 1_000_000, 11);
        assert_relative_eq!(a.deviation, u.angle.unwrap() / COVERAGE, max_relative = 0.02);
        assert!(a.interval[0] < lane.request.angle && lane.request.angle < a.interval[1]);
        assert!((a.mean - lane.request.angle).abs() < 0.02);
    }
}

/// Draws come in runs of thousands, of which the last is no longer than it takes.
#[test]
fn no_more_draws_are_made_than_asked_for() {
    let set = lanes::of_job(&parsed(&demo_job())).unwrap();
    let tried = |draws| trial::projection(&set.lanes[0].measured, 30f64.to_radians(), draws, 7);
    // Of one draw there is no deviation.
    let [none, one, two] = [0, 1, 2].map(tried);
    assert!(none.mean.is_nan() && one.deviation.is_nan() && one.interval == [one.mean; 2]);
    assert!(two.deviation > 0.0);
    let [short, full] = [20_000, 1 << 15].map(tried);
    assert_ne!(short, full);
}

/// A rectangle of half-width a has the standard deviation a/√3 (JCGM 100:2008, 4.3.7), drawn and stated alike.
#[test]
fn one_rectangle_alone_is_a_over_root_three() {
    let mut job = demo_job();
    job["guide"] = json!("bare.json");
    job["settings"] = json!([{ "tool": "plane-iron", "angles": [30], "thickness": { "value": 2.4, "within": 0.3 }, "taper": 0, "width": 51 }]);
    let folder = tempfile::tempdir().unwrap();
    let guide = json!({ "format": 1, "name": "bare", "roller": { "diameter": 19, "arrangement": "centre" }, "face": { "axle_to_face": 15.8, "bottom": 3.5 },
        "seats": { "iron": { "height": 18.4, "locates": "underside" } } });
    file(folder.path(), "bare.json", &guide);
    let path = file(folder.path(), "job.json", &job);
    let table: Value = serde_json::from_str(&stdout(&["offsets", &path, "--json", "--budget"])).unwrap();
    let lane = &table["lanes"][0];
    let expected = 2.0 * 0.3 / 3f64.sqrt() / 30f64.to_radians().tan();
    assert_relative_eq!(lane["projection_uncertainty"].as_f64().unwrap(), expected, max_relative = 1e-12);
    let shares: f64 = lane["budget"].as_array().unwrap().iter().map(|l| l["share"].as_f64().unwrap()).sum();
    assert_relative_eq!(shares, 1.0, max_relative = 1e-12);
    assert_eq!(lane["budget"][0]["quantity"], "blade thickness");
    let squares: f64 =
        lane["budget"].as_array().unwrap().iter().map(|l| l["angle_uncertainty"].as_f64().unwrap().powi(2)).sum();
    assert_relative_eq!(squares.sqrt(), lane["angle_uncertainty"].as_f64().unwrap(), max_relative = 1e-9);
}

/// A roller worn by 0.3 mm lowers every angle: what each lane sets is what the fresh solver says of the old fence.
#[test]
fn a_guide_measured_again_is_judged_against_the_block() {
    let folder = tempfile::tempdir().unwrap();
    let mut worn: Value = serde_json::from_str(&stdout(&["profiles", "narrow-side-clamp"])).unwrap();
    worn["roller"]["diameter"] = json!(15.7);
    let path = file(folder.path(), "worn.json", &worn);
    let demo = demo().display().to_string();
    let now: Value = serde_json::from_str(&stdout(&["verify", &demo, "--guide", &path, "--json"])).unwrap();
    assert_eq!(now["pass"], json!(true));
    let limit = now["roller_diameter_limit"].as_f64().unwrap();
    assert!(limit < 15.7 && limit > 15.0);
    for (l, (id, fence)) in now["lanes"].as_array().unwrap().iter().zip(fences()) {
        assert_eq!(l["id"], json!(id));
        assert!(l["error"].as_f64().unwrap() < 0.0);
        assert_relative_eq!(l["fence_distance"].as_f64().unwrap(), fence, epsilon = 1e-12);
    }
    // The same guide with its lengths taken over the roller wears alike: its axle, seats and face stay where they are.
    // So it does with a flat parallel in the seats, of which a groove takes the middle.
    for parallel in [0.0, 6.0] {
        let mut over = worn.clone();
        over["face"]["over_roller"] = json!(worn["face"]["axle_to_face"]["value"].as_f64().unwrap() + 15.7 / 2.0);
        over["face"].as_object_mut().unwrap().remove("axle_to_face");
        for (seat, share) in [("iron", 1.0), ("chisel", 0.5)] {
            let height = worn["seats"][seat]["height"]["value"].as_f64().unwrap();
            over["seats"][seat]["over_roller"] = json!(height + 15.7 / 2.0 + share * parallel);
            over["seats"][seat].as_object_mut().unwrap().remove("height");
            if parallel > 0.0 {
                over["seats"][seat]["gauge"] = json!(parallel);
            }
        }
        let path = file(folder.path(), "over.json", &over);
        let of_over: Value = serde_json::from_str(&stdout(&["verify", &demo, "--guide", &path, "--json"])).unwrap();
        let of_over = of_over["roller_diameter_limit"].as_f64().unwrap();
        if parallel == 0.0 {
            assert_eq!(of_over, limit);
        }
        assert_relative_eq!(of_over, limit, epsilon = 1e-9);
    }
    worn["roller"]["diameter"] = json!(limit - 0.05);
    let path = file(folder.path(), "worn-out.json", &worn);
    let output = run(&["verify", &demo, "--guide", &path]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stdout).contains("Make a new block"));
    // A guide that lacks a seat of the block is not quietly tried with the other one.
    assert!(refusal(&["verify", &demo, "--guide", "top-clamp"]).contains("no chisel seat"));
}

#[test]
fn measurements_that_cannot_be_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let demo = demo().display().to_string();
    let refused = |value: Value| {
        let path = file(folder.path(), "m.json", &value);
        refusal(&["verify", &demo, &path])
    };
    let all = refused(json!({ "format": 1, "lanes": [
        { "id": "plane-iron-31", "measured": 39 },
        { "tool": "plane-iron", "measured": 39 },
        { "id": "plane-iron-30", "measured": [39, "x"] },
        { "id": "plane-iron-30", "measured": -4 },
        { "id": "plane-iron-35", "measured": [1, 2, 3] } ],
        "bevels": [{ "id": "plane-iron-30", "bevel_length": 1 }, { "id": "plane-iron-30" }] }));
    for field in [
        "lanes[0].id",
        "lanes[1]",
        "lanes[2].measured[1]",
        "lanes[3].measured",
        "lanes[4].measured",
        "bevels[0].bevel_length",
        "bevels[1]",
    ] {
        assert!(tells_of(&all, field), "{field} in\n{all}");
    }
    assert!(refused(json!({ "format": 1 })).contains("at least one measurement"));
    let twice = refused(
        json!({ "format": 1, "lanes": [{ "id": "plane-iron-30", "measured": 39 }, { "id": "plane-iron-30", "measured": 39 }] }),
    );
    assert!(twice.contains("each lane once"));
    // A distance that no bevel of this guide could need.
    assert!(
        refused(json!({ "format": 1, "lanes": [{ "id": "plane-iron-30", "measured": 2 }] })).contains("plane-iron-30")
    );
    let other = file(
        folder.path(),
        "c.json",
        &json!({ "format": 2, "job": "another", "corrections": [{ "id": "x", "making": 0.1 }] }),
    );
    let said = refusal(&["make", &demo, "--corrections", &other]);
    assert!(tells_of(&said, "job") && tells_of(&said, "corrections[0].id"), "{said}");
}

#[test]
fn the_examples_measurements_are_judged() {
    let measured = home().join("examples/tool-chest-measured.json").display().to_string();
    let output = run(&["verify", &demo().display().to_string(), &measured]);
    assert_eq!(output.status.code(), Some(1));
    let said = String::from_utf8(output.stdout).unwrap();
    assert_eq!(said.lines().filter(|l| l.ends_with("passes")).count(), 5, "{said}");
    assert_eq!(said.matches("FAILS").count(), 1, "{said}");
}

/// Before anyone hones a test bevel the program says what it could reveal at best.
#[test]
fn the_coarseness_of_bevels_is_said_first() {
    let folder = tempfile::tempdir().unwrap();
    let path =
        file(folder.path(), "m.json", &json!({ "format": 1, "lanes": [{ "id": "plane-iron-30", "measured": 47.1 }] }));
    let said = stdout(&["verify", &demo().display().to_string(), &path]);
    assert!(
        said.contains("single flat bevel") && said.contains("on a plate") && said.contains("mm of projection"),
        "{said}"
    );
}

/// A kit whose micro-bevel is 0.6° above its primary: the bevels stay apart by half of that, and its fences closer than
/// the tolerance alone would have them.
fn close_bevels(folder: &std::path::Path) -> String {
    let blades =
        json!([{ "name": "iron", "tool": "plane-iron", "width": 50, "thickness": 3, "primary": 25, "micro": 25.6 }]);
    file(
        folder,
        "kit.json",
        &json!({ "format": 1, "title": "Close", "units": "mm", "tolerance": 0.5, "blades": blades }),
    );
    file(
        folder,
        "close.json",
        &json!({ "format": 1, "title": "Close", "guide": "narrow-side-clamp", "kit": "kit.json", "wood": {} }),
    )
}

/// What the sheets write is what `verify` judges by: at the very limits a fence passes, beyond them it fails, and where
/// its angle is within the tolerance for all that, it is said why.
#[test]
fn verify_keeps_to_the_limits_of_the_sheets() {
    let folder = tempfile::tempdir().unwrap();
    let inches = json!({ "lengths": "in", "fraction": 16 });
    let mut wooden = demo_job();
    wooden["wood"] = inches;
    let wooden = file(folder.path(), "wooden.json", &wooden);
    let close = close_bevels(folder.path());
    let demo = demo().display().to_string();
    let mut beyond = 0;
    for (job, wood) in [(&demo, false), (&close, false), (&close, true), (&wooden, true)] {
        let judged = |lanes: &Value| {
            let path = file(folder.path(), "m.json", &json!({ "format": 1, "lanes": lanes }));
            let mut arguments = vec!["verify", job, &path];
            arguments.extend(wood.then_some("--wood"));
            let told = String::from_utf8(run(&arguments).stdout).unwrap();
            arguments.push("--json");
            let output = run(&arguments);
            let value: Value = serde_json::from_slice(&output.stdout).unwrap();
            (output.status.code(), value["lanes"].clone(), told)
        };
        let offsets: Value = serde_json::from_str(&stdout(&["offsets", job, "--json"])).unwrap();
        let all = offsets["lanes"].as_array().unwrap().iter();
        let start: Vec<Value> = all.map(|l| json!({ "id": l["id"], "measured": l["fence_distance"] })).collect();
        let (_, lanes, _) = judged(&json!(start));
        let at = |off: f64| -> Value {
            let lane = |l: &Value| json!({ "id": l["id"], "measured": l["asked"].as_f64().unwrap() + off * l["limit"].as_f64().unwrap() });
            lanes.as_array().unwrap().iter().map(lane).collect()
        };
        for off in [-1.0, 0.0, 1.0] {
            assert_eq!(judged(&at(off)).0, Some(0), "{job} {off}");
        }
        for off in [-1.01, 1.01] {
            let (code, found, told) = judged(&at(off));
            assert_eq!(code, Some(1), "{job} {off}");
            for lane in found.as_array().unwrap() {
                assert_eq!(lane["within_limits"], json!(false), "{lane}");
                let id = lane["id"].as_str().unwrap();
                let said = told.contains(&format!("{id}: this fence sets")) && told.contains("the sheet allows only");
                assert_eq!(said, lane["within_tolerance"] == json!(true), "{told}");
                beyond += usize::from(said);
            }
        }
    }
    assert!(beyond >= 4, "{beyond}");
}

/// With a worn guide the bevels of a blade must stay apart as well: within the tolerance is not enough.
#[test]
fn a_worn_guide_keeps_the_bevels_apart() {
    let folder = tempfile::tempdir().unwrap();
    let close = close_bevels(folder.path());
    let judged = |diameter: f64| -> Value {
        let mut worn: Value = serde_json::from_str(&stdout(&["profiles", "narrow-side-clamp"])).unwrap();
        worn["roller"]["diameter"] = json!(diameter);
        let path = file(folder.path(), "worn.json", &worn);
        serde_json::from_slice(&run(&["verify", &close, "--guide", &path, "--json"]).stdout).unwrap()
    };
    assert_eq!(judged(16.0)["pass"], json!(true));
    let worn = judged(15.6);
    let micro = worn["lanes"].as_array().unwrap().iter().find(|l| l["angle"] == json!(25.6)).unwrap();
    let error = micro["error"].as_f64().unwrap();
    assert!(-0.5 < error && error < -0.15, "{micro}");
    assert_eq!(micro["within_tolerance"], json!(false), "{micro}");
}

/// Readings that are what the sheet asks for, to the last digit that calipers show, correct nothing.
#[test]
fn readings_as_asked_call_for_no_correction() {
    let folder = tempfile::tempdir().unwrap();
    let demo = demo().display().to_string();
    let to = folder.path().join("c.json").display().to_string();
    let readings = |off: f64| -> Value {
        asked().into_iter().map(|(id, fence)| json!({ "id": id, "measured": [fence, fence + 2.0 * off] })).collect()
    };
    for off in [0.0, 0.004, -0.004] {
        let path = file(folder.path(), "m.json", &json!({ "format": 1, "lanes": readings(off) }));
        let said = refusal(&["verify", &demo, &path, "--write-corrections", &to]);
        assert!(said.contains("no lane that needs a correction"), "{said}");
    }
    let (_, told) = verify(&json!({ "format": 1, "lanes": readings(0.02) }), &["--write-corrections", &to]);
    assert!(told["lanes"].as_array().unwrap().iter().all(|l| (l["correction"].as_f64().unwrap() + 0.02).abs() < 1e-9));
}
