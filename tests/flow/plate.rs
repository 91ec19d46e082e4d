//! The proof on a plate: what readings come to, what they are held against, and the sheet that shows where to measure.

use std::fs;

use serde_json::{Value, json};

use super::support::{demo, file, home, parsed, refusal, run, stdout, tells_of};
use stopwright::drawing::clash;
use stopwright::honing::plate::difference;
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::plate::{self, sheet};
use stopwright::terms::{Along, PaperSize, ProjectionAngle};

/// Heights of the back at P and Q for an angle, mm.
fn heights(degrees: f64, apart: f64) -> [f64; 2] {
    [12.5, 12.5 + difference(degrees, apart, Along::Back)]
}

/// Runs `verify` on readings of the demo's block: exit code and JSON.
fn verified(measured: &Value, extra: &[&str]) -> (i32, Value) {
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "measured.json", measured);
    let demo = demo().display().to_string();
    let output = run(&[&["verify", &demo, &path, "--json"], extra].concat());
    (output.status.code().unwrap(), serde_json::from_slice(&output.stdout).unwrap())
}

fn at_30(angles: &[f64]) -> Vec<Value> {
    let of = |a: &f64| json!({ "id": "plane-iron-30", "heights": heights(*a, 70.0), "apart": 70, "bevel": 25 });
    angles.iter().map(of).collect()
}

/// The figures of the sine bar: 60 mm, ±0.03 mm in each height; and of an inclinometer turned end for end.
#[test]
fn readings_alone_give_an_angle_with_its_uncertainty() {
    let found = |arguments: &[&str]| -> Value {
        serde_json::from_str(&stdout(&[&["plate", "--json"], arguments].concat())).unwrap()
    };
    let exact = found(&["--heights", "12,42", "--apart", "60 mm +- 0 mm"]);
    assert!((exact["angle"].as_f64().unwrap() - 30.0).abs() < 1e-9);
    let u = exact["uncertainty"]["expanded"].as_f64().unwrap();
    assert!((u - 0.054).abs() < 1e-3, "{u}");
    let scribed = found(&["--heights", "12,42", "--apart", "60"]);
    let of_length = scribed["causes"][1]["standard"].as_f64().unwrap();
    assert!((2.0 * of_length - 0.127).abs() < 1e-3, "{of_length}");
    let tangent = found(&["--heights", "12,42", "--apart", "60", "--along", "plate"]);
    assert!((tangent["angle"].as_f64().unwrap() - 0.5f64.atan().to_degrees()).abs() < 1e-9);
    let turned = found(&["--inclinometer", "30.4,29.6"]);
    assert_eq!(turned["angle"], json!(30.0));
    let inches = found(&["--heights", "1/2,1 1/2", "--apart", "2", "--units", "in"]);
    assert!((inches["angle"].as_f64().unwrap() - 30.0).abs() < 1e-9);
    // Five settings: one alone has s, with k of four degrees of freedom (JCGM 100:2008, table G.2: 2.87, from memory).
    let five = ["12,42.1", "12,41.9", "12,42", "12,42.2", "12,41.8"];
    let all: Vec<&str> = five.iter().flat_map(|h| ["--heights", h]).chain(["--apart", "60 mm +- 0 mm"]).collect();
    let five = found(&all);
    let [s, mean, one] =
        [&five["scatter"], &five["uncertainty"]["expanded"], &five["uncertainty_of_one_setting"]["expanded"]]
            .map(|v| v.as_f64().unwrap());
    assert!(one > 2.5 * s && mean < 0.6 * one, "{s} {mean} {one}");
}

#[test]
fn the_plate_judges_before_the_fence() {
    // A fence right by its sheet, and an angle that is not.
    let fence = json!([{ "id": "plane-iron-30", "measured": 47.09 }]);
    let off = json!({ "format": 1, "lanes": fence, "plates": at_30(&[30.6, 30.7, 30.65, 30.55, 30.5]) });
    let (code, found) = verified(&off, &[]);
    assert_eq!((code, &found["pass"]), (1, &json!(false)), "{found}");
    let lane = &found["plates"]["lanes"][0];
    assert!((lane["measured_angle"].as_f64().unwrap() - 30.6).abs() < 1e-9, "{lane}");
    assert_eq!(lane["settings"], json!(5));
    assert_eq!(found["plates"]["scatter_measured"], json!(true));
    let offset = &found["angles"]["offsets"][0];
    assert_eq!(offset["trusted"], json!(true), "{offset}");
    assert!((offset["offset"].as_f64().unwrap() - 0.6 * 2.18).abs() < 0.05, "{offset}");
    // A fence beyond its limits, and an angle that is right: the guide makes up for it.
    let beyond =
        json!({ "format": 1, "lanes": [{ "id": "plane-iron-30", "measured": 48.4 }], "plates": at_30(&[30.1, 29.9]) });
    let (code, found) = verified(&beyond, &[]);
    assert_eq!((code, &found["pass"]), (0, &json!(true)), "{found}");
    assert_eq!(found["lanes"][0]["within_limits"], json!(false));
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "m.json", &beyond);
    let said = stdout(&["verify", &demo().display().to_string(), &path]);
    assert!(said.contains("on the plate the angle is right"), "{said}");
    // A guard band counts what the reading is uncertain by: 0.42° is within 0.5°, and not with 0.25° of room.
    let near = json!({ "format": 1, "plates": at_30(&[30.42]) });
    assert_eq!([verified(&near, &[]).0, verified(&near, &["--guard-band"]).0], [0, 1]);
}

/// Packed otherwise than the job's stone, or with another blade, the plate shows another angle; the verdict is the lane's.
#[test]
fn packing_and_blade_are_allowed_for() {
    let set = lanes::of_job(&parsed(&serde_json::from_str(&fs::read_to_string(demo()).unwrap()).unwrap())).unwrap();
    let lane = set.lanes.iter().find(|l| l.request.id == "plane-iron-30").unwrap();
    let mut section = lane.setting.section;
    section.roller_level = -2.0;
    section.thickness = 3.0;
    let packed = lane.angle_of(&section, lane.finished()).unwrap();
    assert!((packed - 30.0).abs() > 1.0, "{packed}");
    let reading = json!({ "id": "plane-iron-30", "heights": heights(packed, 70.0), "apart": 70, "thickness": 3, "roller_level": -2 });
    let (_, found) = verified(&json!({ "format": 1, "plates": [reading] }), &[]);
    let lane = &found["plates"]["lanes"][0];
    assert!(lane["error"].as_f64().unwrap().abs() < 1e-9, "{lane}");
    assert_eq!(lane["bevels_stated"], json!(false));
}

/// Of a kit the blade is named, as several share a lane.
#[test]
fn a_blade_of_a_kit_is_named() {
    let job = home().join("examples/alder-lane-kit-job.json");
    let text = fs::read(&job).unwrap();
    let read = Job::parse("job", &text, &stopwright_program::cli::files::Disk::beside(&job)).unwrap();
    let set = lanes::of_job(&read).unwrap();
    let lane = set.lanes.iter().find(|l| l.members.len() > 1).expect("blades that share a lane");
    let folder = tempfile::tempdir().unwrap();
    let judged = |blade: &str, degrees: f64| -> (i32, String) {
        let reading = json!({ "id": lane.request.id, "blade": blade, "heights": heights(degrees, 80.0), "apart": 80 });
        let path = file(folder.path(), "m.json", &json!({ "format": 1, "plates": [reading] }));
        let output = run(&["verify", &job.display().to_string(), &path, "--json"]);
        let text = if output.stdout.is_empty() { output.stderr } else { output.stdout };
        (output.status.code().unwrap(), String::from_utf8(text).unwrap())
    };
    for member in &lane.members {
        let set = lane.angle_of(&member.section, lane.finished()).unwrap();
        let (code, said) = judged(&member.name, set);
        let found: Value = serde_json::from_str(&said).unwrap();
        assert_eq!(code, 0, "{found}");
        assert!(found["plates"]["lanes"][0]["difference"].as_f64().unwrap().abs() < 1e-9, "{found}");
    }
    let (code, said) = judged("no such blade", 30.0);
    assert!(code == 2 && said.contains("plates[0].blade"), "{said}");
}

#[test]
fn readings_that_cannot_be_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let bad = json!({ "format": 1, "plates": [
        { "id": "plane-iron-30", "heights": [42, 12], "apart": 60 },
        { "id": "plane-iron-30", "heights": [12, 80], "apart": 60 },
        { "id": "plane-iron-30", "heights": [12, 42] },
        { "id": "plane-iron-30", "heights": [12, 42], "apart": 60, "inclinometer": 30 },
        { "id": "plane-iron-30", "heights": [12, 42], "apart": 60, "bevel": 31 },
        { "id": "plane-iron-31", "inclinometer": 30 },
        { "id": "plane-iron-30", "inclinometer": 30, "blade": "jack" },
        { "id": "plane-iron-30", "inclinometer": 30, "roller_level": 99 }
    ] });
    let path = file(folder.path(), "bad.json", &bad);
    let said = refusal(&["verify", &demo().display().to_string(), &path]);
    for field in [
        "plates[0].heights",
        "plates[1].heights",
        "plates[2]",
        "plates[3]",
        "plates[4].bevel",
        "plates[5].id",
        "plates[6].blade",
        "plates[7]",
    ] {
        assert!(tells_of(&said, field), "{field}: {said}");
    }
    assert!(said.contains("stand on its heel"), "{said}");
    let apart = refusal(&["plate", "--heights", "12.3", "42.3", "--apart", "60"]);
    assert!(apart.contains("Write --heights 12.3,42.3."), "{apart}");
    let apart = refusal(&["plate", "--heights", "12.3 mm", "42.3 mm", "--apart", "60"]);
    assert!(apart.contains("Write --heights \"12.3 mm,42.3 mm\"."), "{apart}");
    for arguments in [
        &["plate"][..],
        &["plate", "--heights", "12,42"],
        &["plate", "--heights", "12", "--apart", "60"],
        &["plate", "--heights", "42,12", "--apart", "60"],
        &["plate", "--inclinometer", "95"],
    ] {
        refusal(arguments);
    }
}

/// What a job says of the bench is warned of where it takes more than a quarter of the tolerance, and not below.
#[test]
fn what_takes_a_quarter_of_the_tolerance_is_warned_of() {
    let mut job: Value = serde_json::from_str(&fs::read_to_string(demo()).unwrap()).unwrap();
    let warned = |job: &Value| -> String {
        let folder = tempfile::tempdir().unwrap();
        stdout(&["offsets", &file(folder.path(), "job.json", job)])
    };
    let cases = [
        (json!({ "stone": { "hollow_along": 1 } }), "a stone 1 mm hollow"),
        (json!({ "stone": { "hollow_across": 0.5 } }), "out of flat across its width"),
        (json!({ "stone": { "film": 0.3 } }), "a film 0.3 mm thick"),
        (json!({ "stone": { "length": 100 } }), "a stone 100 mm long"),
        (json!({ "load": 200, "load_behind": 30 }), "bends this blade"),
        (json!({ "out_of_square": 3 }), "Grind the edge square first"),
        (json!({ "out_of_square": 2 }), "and 29.98° along the blade"),
    ];
    let sound = warned(&job);
    for (honing, words) in cases {
        assert!(!sound.contains(words), "{sound}");
        job["honing"] = honing;
        let said = warned(&job);
        assert!(said.contains(words), "{words}: {said}");
    }
    job["honing"] = json!({ "stone": { "hollow_along": 0.1, "film": 0.05, "length": 300 }, "out_of_square": 0.1 });
    let said = warned(&job);
    assert!(!said.contains("a stone") && !said.contains("a film") && !said.contains("square first"), "{said}");
    // A wider tolerance takes more.
    job["honing"] = json!({ "stone": { "film": 0.3 } });
    job["tolerance"] = json!(2);
    assert!(!warned(&job).contains("a film"));
    let folder = tempfile::tempdir().unwrap();
    job["honing"] = json!({ "settings": 5 });
    assert!(tells_of(&refusal(&["offsets", &file(folder.path(), "job.json", &job)]), "honing.settings"));
}

/// The budget's parts add up to what its head says, with k of the scatter's few settings.
#[test]
fn the_budget_adds_up_from_calipers_to_stone() {
    let mut job: Value = serde_json::from_str(&fs::read_to_string(demo()).unwrap()).unwrap();
    job["honing"] = json!({ "scatter": 0.15, "settings": 5, "speck": 0.05, "creep": 0.05 });
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "job.json", &job);
    let table: Value = serde_json::from_str(&stdout(&["offsets", &path, "--json", "--budget"])).unwrap();
    for lane in table["lanes"].as_array().unwrap() {
        let found = &lane["at_the_bench"];
        let parts = found["contributions"].as_array().unwrap();
        let of = |wanted: &dyn Fn(&Value) -> bool| -> f64 {
            parts.iter().filter(|p| wanted(p)).map(|p| p["standard"].as_f64().unwrap().powi(2)).sum::<f64>().sqrt()
        };
        let all = of(&|_| true);
        assert!((all - found["standard"].as_f64().unwrap()).abs() < 1e-12);
        let block = of(&|p| p["at_the_bench"] == json!(false));
        assert!((2.0 * block - lane["angle_uncertainty"].as_f64().unwrap()).abs() < 1e-9, "{lane}");
        // JCGM 100:2008, G.4.1, by hand.
        let freedom = all.powi(4) / (0.15f64.powi(4) / 4.0);
        assert!((found["degrees_of_freedom"].as_f64().unwrap() - freedom).abs() < 1e-9);
        let k = found["coverage_factor"].as_f64().unwrap();
        assert!(k > 2.0 && k < 2.87, "{k}");
        assert!((found["expanded"].as_f64().unwrap() - k * all).abs() < 1e-12);
        let assumed: Vec<&str> =
            parts.iter().filter(|p| p["assumed"] == json!(true)).map(|p| p["quantity"].as_str().unwrap()).collect();
        assert_eq!(assumed.len(), 2, "{assumed:?}");
        for name in ["setting again", "speck on the seat", "blade turned by the clamp", "fence", "caliper"] {
            assert!(parts.iter().any(|p| p["quantity"] == json!(name)), "{name}: {found}");
        }
    }
    let said = stdout(&["offsets", &path, "--budget"]);
    assert!(said.contains("± angle of block and guide") && said.contains("at the bench"), "{said}");
}

/// A scatter far below all else counts for nothing, with as many effective degrees of freedom as a number has room for: the
/// coverage factor is 2, and the search for it ends.
#[test]
fn a_scatter_that_counts_for_nothing_leaves_the_factor_at_two() {
    let mut job: Value = serde_json::from_str(&fs::read_to_string(demo()).unwrap()).unwrap();
    let folder = tempfile::tempdir().unwrap();
    for scatter in [1e-3, 1e-4, 1e-6] {
        job["honing"] = json!({ "scatter": scatter, "settings": 5 });
        let path = file(folder.path(), "job.json", &job);
        let table: Value = serde_json::from_str(&stdout(&["offsets", &path, "--json", "--budget"])).unwrap();
        for lane in table["lanes"].as_array().unwrap() {
            let k = lane["at_the_bench"]["coverage_factor"].as_f64().unwrap();
            assert!((k - 2.0).abs() < 1e-6, "{scatter}: {k}");
        }
    }
}

/// Found by random jobs, once their sheets for the plate were looked at: the height at Q stood within a large roller that
/// reaches further back.
#[test]
fn the_height_at_q_is_clear_of_a_large_roller() {
    let job = parsed(&json!({ "format": 1, "title": "Drawer", "guide": "bench-roller", "roller_level": -4.47,
        "settings": [{ "tool": "block-plane-iron", "angles": [42], "width": 62.73, "thickness": 5.82 }] }));
    let proof = plate::of_job(&job, &lanes::of_job(&job).unwrap(), None).unwrap();
    for sheet in sheet::sheets(&proof, PaperSize::A4, ProjectionAngle::Third) {
        assert_eq!(clash::find(&sheet), []);
    }
}

/// Nothing overlaps on the sheet, for every built-in guide, level and paper.
#[test]
fn the_sheet_is_clear_on_every_paper() {
    let mut count = 0;
    for guide in ["narrow-side-clamp", "wide-side-clamp", "top-clamp", "twin-roller", "bench-roller"] {
        for level in [0, -12, 6] {
            let job = json!({ "format": 1, "title": "A title that is rather long", "guide": guide, "roller_level": level,
                "settings": [{ "tool": "plane-iron", "angles": [22, 25, 30, 35] }, { "tool": "bench-chisel", "angles": [25, 30] }] });
            let job = parsed(&job);
            let Ok(set) = lanes::of_job(&job) else { continue };
            let proof = plate::of_job(&job, &set, None).unwrap();
            for size in [PaperSize::A4, PaperSize::Letter, PaperSize::A3] {
                for sheet in sheet::sheets(&proof, size, ProjectionAngle::Third) {
                    let clashes = clash::find(&sheet);
                    assert!(clashes.is_empty(), "{guide}, {level}, {size:?}: {clashes:?}");
                    count += 1;
                }
            }
        }
    }
    assert!(count >= 30, "{count}");
}
