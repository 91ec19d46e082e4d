//! Kit files and the command: what is read, what is refused, what is written.

use super::super::support::{file, refusal, run, stdout, tells_of};
use super::*;

fn sound() -> Value {
    json!({ "format": 1, "title": "kit", "blades": [
        { "name": "jack", "tool": "plane-iron", "width": 51, "bed": 45, "bevel": "down", "primary": 25, "micro": 30 },
        { "name": "chisel", "tool": "bench-chisel", "width": 20, "use": ["chopping"] } ] })
}

fn refused(change: impl Fn(&mut Value)) -> String {
    let folder = tempfile::tempdir().unwrap();
    let mut kit = sound();
    change(&mut kit);
    refusal(&["kit", &file(folder.path(), "kit.json", &kit), "--guide", "narrow-side-clamp"])
}

#[test]
fn kits_that_are_wrong_are_refused_with_their_place() {
    for (change, field, allowed) in [
        (
            &(|k: &mut Value| k["blades"][1]["name"] = json!("jack")) as &dyn Fn(&mut Value),
            "blades[1].name",
            "of its own",
        ),
        (&|k| k["blades"][0]["name"] = json!("  "), "blades[0].name", "that can be read"),
        (&|k| k["blades"][0]["micro"] = json!(24), "blades[0].micro", "primary bevel or more"),
        (&|k| k["blades"][1]["bevel"] = json!("up"), "blades[1].bevel", "only with an iron"),
        (&|k| k["blades"][1]["bed"] = json!(45), "blades[1].bed", "only with an iron"),
        (&|k| k["blades"][1]["use"] = json!(["paring", "paring"]), "blades[1].use", "each use once"),
        (&|k| k["blades"][1]["use"] = json!(["carving"]), "blades[1].use[0]", "reversing-grain"),
        (&|k| k["blades"][1]["steel"] = json!("A3"), "blades[1].steel", "D2"),
        (&|k| k["blades"][1]["camber"] = json!({ "plane": "jack" }), "blades[1].camber", "its depth"),
        (&|k| k["blades"][0]["camber"] = json!({}), "blades[0].camber", "one of"),
        (&|k| k["blades"][0]["camber"] = json!({ "plane": "jack", "depth": 1 }), "blades[0].camber", "one of"),
        (&|k| k["blades"][0]["camber"] = json!({ "depth": -1 }), "blades[0].camber.depth", "0 to 5"),
        (&|k| k["blades"][0]["thickness"] = json!(0), "blades[0].thickness", "0.2 to 25"),
        (&|k| k["blades"][1]["land"] = json!(9), "blades[1].land", "at most the blade's thickness"),
        (&|k| k["blades"][0]["tool"] = json!("scraper"), "blades[0].tool", "bench-chisel"),
        (&|k| k["blades"][0]["angle"] = json!(30), "blades[0].angle", "Use name"),
        (&|k| k["blades"] = json!([]), "blades", "a list of 1"),
        (&|k| k["tolerance"] = json!(0), "tolerance", "0.05"),
        (&|k| k["grits"] = json!(["P220", ""]), "grits[1]", "a text of 1"),
    ] {
        let said = refused(change);
        assert!(tells_of(&said, field) && said.contains(allowed), "{field}: {said}");
        assert!(said.contains(".json:1:"), "{said}");
    }
}

#[test]
fn a_thousand_faults_are_not_all_told() {
    let said = refused(|k| {
        let blade = k["blades"][1].clone();
        k["blades"] = json!(vec![blade; 1000]);
    });
    assert!(said.lines().count() <= 101, "{}", said.lines().count());
}

#[test]
fn a_job_has_either_settings_or_a_kit() {
    let folder = tempfile::tempdir().unwrap();
    file(folder.path(), "kit.json", &sound());
    let mut job = json!({ "format": 1, "title": "both", "guide": "narrow-side-clamp", "kit": "kit.json",
        "settings": [{ "tool": "plane-iron", "angles": [25] }] });
    let out = folder.path().join("out").display().to_string();
    let make = |job: &Value| refusal(&["make", &file(folder.path(), "job.json", job), "--out", &out]);
    let said = make(&job);
    assert!(said.contains("kit: a kit beside settings"), "{said}");
    job.as_object_mut().unwrap().remove("settings");
    job["kit"] = json!("none.json");
    let said = make(&job);
    assert!(tells_of(&said, "kit") && said.contains("the path of a kit"), "{said}");
    job.as_object_mut().unwrap().remove("kit");
    let said = make(&job);
    assert!(said.contains("settings: neither settings nor a kit"), "{said}");
    // A fault of the kit is told with the kit's name, and a blade that nothing serves with its own.
    let mut kit = sound();
    kit["blades"][0]["micro"] = json!(24);
    file(folder.path(), "kit.json", &kit);
    job["kit"] = json!("kit.json");
    let said = make(&job);
    assert!(said.contains("kit.json:1:") && said.contains("blades[0].micro"), "{said}");
    kit["blades"][0]["micro"] = json!(30);
    kit["blades"][0]["width"] = json!(90);
    file(folder.path(), "kit.json", &kit);
    job["block"] = json!({});
    let strict = refusal(&["make", &file(folder.path(), "job.json", &job), "--strict", "--out", &out]);
    assert!(strict.contains("jack, primary 25°") && strict.contains("90.00 mm wide"), "{strict}");
}

/// An edge without camber has no gauge of it.
#[test]
fn a_camber_of_nothing_is_none() {
    let folder = tempfile::tempdir().unwrap();
    let gauges = |depth: f64| {
        let mut kit = sound();
        kit["blades"][0]["camber"] = json!({ "depth": depth });
        file(folder.path(), "kit.json", &kit);
        let job = json!({ "format": 1, "title": "kit", "guide": "narrow-side-clamp", "kit": "kit.json" });
        let job = file(folder.path(), "job.json", &job);
        let out = folder.path().join(format!("out-{depth}"));
        stdout(&["make", &job, "--only", "gauges", "--out", &out.display().to_string()]);
        let names = std::fs::read_dir(out).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        names.filter(|name| name.starts_with("gauge-camber") && name.ends_with(".stl")).count()
    };
    assert_eq!([gauges(0.0), gauges(0.3)], [0, 1]);
}

#[test]
fn a_job_is_known_by_its_kit() {
    for (text, is) in [(r#"{ "kit": "k.json" }"#, true), (r#"{ "settings": [] }"#, true), (r#"{ "seats": {} }"#, false)]
    {
        assert_eq!(Job::is_job("x.json", text.as_bytes()), Ok(is));
    }
}

#[test]
fn the_command_reports_and_writes_a_job_that_makes_the_block() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("kits")).unwrap();
    let kit = file(&folder.path().join("kits"), "kit.json", &sound());
    let job = folder.path().join("job.json").display().to_string();
    let arguments =
        ["kit", &kit, "--guide", "narrow-side-clamp", "--tolerance", "0.4", "--roller-level", "-2", "--job", &job];
    let said = stdout(&arguments);
    for words in
        ["jack (plane-iron", "primary 25°", "micro-bevel 30°", "clearance angle 15°", "the fewest possible", "job.json"]
    {
        assert!(said.contains(words), "{words}: {said}");
    }
    let written: Value = serde_json::from_slice(&std::fs::read(&job).unwrap()).unwrap();
    assert_eq!([&written["kit"], &written["tolerance"]], [&json!("kits/kit.json"), &json!(0.4)]);
    let report: Value = serde_json::from_str(&stdout(&[
        "kit",
        &kit,
        "--guide",
        "narrow-side-clamp",
        "--tolerance",
        "0.4",
        "--roller-level",
        "-2",
        "--json",
    ]))
    .unwrap();
    let out = folder.path().join("out").display().to_string();
    let made: Value = serde_json::from_str(&stdout(&["make", &job, "--out", &out, "--json"])).unwrap();
    let fences = report["fences"].as_array().unwrap();
    assert_eq!(fences.len(), made["lanes"].as_array().unwrap().len());
    for (fence, lane) in fences.iter().zip(made["lanes"].as_array().unwrap()) {
        assert_eq!(fence["lane"], lane["id"]);
        let apart = fence["distance"].as_f64().unwrap() - lane["fence_distance"].as_f64().unwrap();
        assert!(apart.abs() < 1e-9, "{fence} {lane}");
    }
    let page = std::fs::read_to_string(folder.path().join("out/index.html")).unwrap();
    assert!(page.contains("the fewest possible"), "what is proven of the fences stands on the page too");
    // Somebody else's file stays.
    std::fs::write(&job, "mine").unwrap();
    let said = refusal(&arguments);
    assert!(said.contains("--force"), "{said}");
    assert_eq!(std::fs::read(&job).unwrap(), b"mine");
    assert!(run(&[&arguments[..], &["--force"]].concat()).status.success());
}

#[test]
fn what_the_seat_does_not_hold_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let mut kit = sound();
    kit["blades"][0]["width"] = json!(70);
    kit["blades"][1]["length"] = json!(40);
    kit["blades"][1]["land"] = json!(1.5);
    let kit = file(folder.path(), "kit.json", &kit);
    let report: Value =
        serde_json::from_str(&stdout(&["kit", &kit, "--guide", "narrow-side-clamp", "--json"])).unwrap();
    assert_eq!(report["blades"][0]["flags"][0]["kind"], "unserved");
    assert!(report["blades"][0]["primary"]["lane"].is_null());
    assert_eq!(report["blades"][1]["flags"][0]["kind"], "unserved");
    // One whose micro-bevel alone is out of reach: that is no bevel that needs no lane.
    let mut kit_of_one = sound();
    kit_of_one["blades"] =
        json!([{ "name": "steep", "tool": "plane-iron", "width": 50, "thickness": 2.4, "primary": 30, "micro": 60 }]);
    let of_one = file(folder.path(), "one.json", &kit_of_one);
    let report: Value =
        serde_json::from_str(&stdout(&["kit", &of_one, "--guide", "narrow-side-clamp", "--json"])).unwrap();
    let [primary, micro] = ["primary", "micro"].map(|bevel| &report["blades"][0][bevel]);
    assert!(primary["lane"].is_string() && micro["lane"].is_null(), "{report}");
    assert_eq!([&primary["passing"], &micro["passing"]], [&json!(false), &json!(false)], "{report}");
    let said = stdout(&["kit", &kit, "--guide", "narrow-side-clamp"]);
    assert!(
        said.contains("Warning: no fence sets its primary: the seat does not hold a blade 70.00 mm wide"),
        "{said}"
    );
}
