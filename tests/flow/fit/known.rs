//! Known settings in use: a lane at one of them is that setting; blades of which nothing was measured; tapering lands.

use serde_json::{Value, json};

use crate::support::{file, stdout, tells_of};

/// The projection of a bevel in the groove of a guide of roller 16, axle to face 11 and centre line 17.1 mm, from the
/// three distances that add up along the seat: the groove falls from the back by half the lands' taper, so that seat and
/// stone stand at `β + λ/2`.
fn in_a_groove(degrees: f64, land: f64, taper: f64) -> f64 {
    let [alpha, half] = [degrees + taper / 2.0, taper / 2.0].map(f64::to_radians);
    8.0 / alpha.sin() + (17.1 + land / 2.0 * half.cos()) / alpha.tan() - 11.0
}

/// Settings of a guide of roller 16, axle to face 11 and seat 21.9 mm with an iron of 2.4 mm, read to half a millimetre;
/// the one of 25° is off by as much as that may be.
fn settings(thickness: Option<f64>) -> Value {
    let pair = |(angle, projection): (u8, f64)| {
        let mut pair = json!({ "seat": "iron", "angle": angle, "projection": { "value": projection, "within": 0.25 } });
        if let Some(t) = thickness {
            pair["thickness"] = json!(t);
        }
        pair
    };
    let known = [(20, 79.0), (25, 60.25), (30, 47.0), (40, 30.5)].map(pair);
    json!({ "format": 1, "name": "known", "known": known, "measured": {
        "roller": { "diameter": { "value": 16, "within": 0.05 } },
        "face": { "axle_to_face": { "value": 11, "within": 0.1 } },
        "seats": { "iron": { "locates": "underside" } } } })
}

fn offsets(guide: &str, more: &[&str]) -> Value {
    let all = [&["offsets", guide, "--seat", "iron", "--json"], more].concat();
    serde_json::from_str(&stdout(&all)).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

/// An angle that is known exactly is written as the number that it is.
#[test]
fn an_exact_angle_of_a_known_setting_has_no_tolerance() {
    let folder = tempfile::tempdir().unwrap();
    let mut known = settings(Some(2.4));
    known["known"][0]["angle"] = json!({ "value": 20, "within": 0 });
    known["known"][2]["angle"] = json!({ "value": 30, "within": 0.1 });
    let known = file(folder.path(), "known.json", &known);
    let fitted = folder.path().join("guide.json").display().to_string();
    stdout(&["fit", &known, "--out", &fitted]);
    let fitted: Value = serde_json::from_slice(&std::fs::read(&fitted).unwrap()).unwrap();
    let angles: Vec<&Value> = fitted["known"].as_array().unwrap().iter().map(|pair| &pair["angle"]).collect();
    assert!(angles[0].is_number() && angles[1].is_number(), "{angles:?}");
    assert_eq!(*angles[2], json!({ "value": 30.0, "within": 0.1 }));
}

#[test]
fn a_lane_at_a_known_setting_is_that_setting() {
    let folder = tempfile::tempdir().unwrap();
    let known = file(folder.path(), "known.json", &settings(Some(2.4)));
    let fitted = folder.path().join("guide.json").display().to_string();
    stdout(&["fit", &known, "--out", &fitted]);
    for guide in [&known, &fitted] {
        let made = offsets(guide, &["--thickness", "2.4", "--angles", "25,26"]);
        let [at, beside] = [&made["lanes"][0], &made["lanes"][1]];
        assert!((number(&at["projection"]) - 60.25).abs() < 1e-6, "{at}");
        // Its own uncertainty: half a millimetre read, 0.25/√3, twice (JCGM 100:2008, 4.3.7 and 6.2).
        assert!((number(&at["projection_uncertainty"]) - 0.5 / 3f64.sqrt()).abs() < 1e-5, "{at}");
        assert!(at["warnings"].to_string().contains("your known setting, 60.25 mm"), "{at}");
        // The next angle is the fit's, of all four.
        assert!((number(&beside["projection"]) - 57.03).abs() < 0.15, "{beside}");
        assert!(!beside["warnings"].to_string().contains("known setting"), "{beside}");
        // Another blade is none of the known ones, nor is the roller on another level.
        for other in [["--thickness", "2.5"], ["--thickness", "2.4"]] {
            let level: &[&str] = if other[1] == "2.4" { &["--roller-level=-1"] } else { &[] };
            let made = offsets(guide, &[&other[..], &["--angles", "25"], level].concat());
            assert!(!made["lanes"][0]["warnings"].to_string().contains("known setting"), "{made}");
        }
        // And back: the angle of the setting is the one that it is known by.
        let blade = ["--seat", "iron", "--thickness", "2.4", "--projection", "60.25", "--json"];
        let angle: Value = serde_json::from_str(&stdout(&[&["angle", guide], &blade[..]].concat())).unwrap();
        assert_eq!(number(&angle["angle"]), 25.0, "{angle}");
    }
}

/// An angle that was measured, and not named, is no setting to go by: the fit of all knows it better.
#[test]
fn a_measured_angle_is_no_named_setting() {
    let folder = tempfile::tempdir().unwrap();
    let mut value = settings(Some(2.4));
    value["known"][1]["angle"] = json!({ "value": 25, "within": 0.5 });
    let known = file(folder.path(), "known.json", &value);
    let made = offsets(&known, &["--thickness", "2.4", "--angles", "25"]);
    assert!(!made["lanes"][0]["warnings"].to_string().contains("known setting"), "{made}");
    assert!(number(&made["lanes"][0]["angle_uncertainty"]) < 0.3, "{made}");
}

/// A kit's blade is served from the known setting too, and its card, its lane and `offsets` say one projection.
#[test]
fn a_kit_uses_known_settings() {
    let folder = tempfile::tempdir().unwrap();
    file(folder.path(), "known.json", &settings(Some(2.4)));
    let blade = json!({ "name": "jack", "tool": "plane-iron", "thickness": 2.4, "taper": 0, "width": 51, "primary": 25, "micro": 25 });
    file(folder.path(), "kit.json", &json!({ "format": 1, "title": "one", "blades": [blade] }));
    let job = json!({ "format": 1, "title": "known", "guide": "known.json", "kit": "kit.json" });
    let job = file(folder.path(), "job.json", &job);
    let made: Value = serde_json::from_str(&stdout(&["offsets", &job, "--json"])).unwrap();
    assert!((number(&made["lanes"][0]["projection"]) - 60.25).abs() < 1e-6, "{made}");
}

/// Settings that do not agree with the rest are not used as they are.
#[test]
fn a_setting_that_was_left_out_is_not_used() {
    let folder = tempfile::tempdir().unwrap();
    let mut value = settings(Some(2.4));
    value["known"][1]["projection"]["value"] = json!(63.0);
    for (angle, projection) in [(22.5, 68.47), (27.5, 52.98), (35.0, 37.6)] {
        value["known"]
            .as_array_mut()
            .unwrap()
            .push(json!({ "seat": "iron", "thickness": 2.4, "angle": { "value": angle, "within": 0 },
            "projection": { "value": projection, "within": 0.25 } }));
    }
    let known = file(folder.path(), "known.json", &value);
    let fit: Value = serde_json::from_str(&stdout(&["fit", &known, "--json"])).unwrap();
    assert_eq!(fit["disagreeing"][0]["left_out"], true, "{fit}");
    let made = offsets(&known, &["--thickness", "2.4", "--angles", "25"]);
    assert!((number(&made["lanes"][0]["projection"]) - 60.0).abs() < 0.3, "{made}");
}

/// Where no setting states the thickness all are of one blade: its projections come out as if the thickness were known,
/// and only what would need it is said to be open.
#[test]
fn settings_of_one_blade_need_no_thickness() {
    let folder = tempfile::tempdir().unwrap();
    let fit = |value: &Value, name: &str| -> Value {
        let path = file(folder.path(), name, value);
        serde_json::from_str(&stdout(&["fit", &path, "--angles", "22,25,33", "--json"])).unwrap()
    };
    let (own, stated) = (fit(&settings(None), "own.json"), fit(&settings(Some(2.4)), "stated.json"));
    for (own, stated) in own["predicted"].as_array().unwrap().iter().zip(stated["predicted"].as_array().unwrap()) {
        assert_eq!(own["determined"], true, "{own}");
        assert!(own["thickness"].is_null());
        for what in ["projection", "uncertainty"] {
            assert!((number(&own[what]) - number(&stated[what])).abs() < 2e-4, "{what}: {own} {stated}");
        }
    }
    assert_eq!((&own["whole"], &own["lacks"]), (&json!(false), &json!(["seats.iron.height"])));
    let missing = own["missing"].as_array().unwrap();
    assert!(missing.len() == 1 && missing[0].as_str().unwrap().contains("the thickness of the blade"), "{missing:?}");
    // With the seat measured the blade's thickness follows from the settings, and the guide is whole.
    let mut measured = settings(None);
    measured["measured"]["seats"]["iron"]["height"] = json!({ "value": 21.9, "within": 0.05 });
    let measured = fit(&measured, "measured.json");
    assert_eq!((&measured["whole"], &measured["missing"]), (&json!(true), &json!([])), "{measured}");
    // A job cannot do without: its blades are of any thickness.
    let own = folder.path().join("own.json").display().to_string();
    let said = crate::support::refusal(&["offsets", &own, "--seat", "iron", "--thickness", "2.4", "--angles", "30"]);
    assert!(said.contains("leave open: seats.iron.height"), "{said}");
    // A thickness in some settings alone was forgotten in the others.
    let mut some = settings(Some(2.4));
    some["known"][2].as_object_mut().unwrap().remove("thickness");
    let said = crate::support::refusal(&["fit", &file(folder.path(), "some.json", &some)]);
    assert!(tells_of(&said, "known[2].thickness") && said.contains("other settings of the iron seat"), "{said}");
}

/// Lands that taper by 0.8° turn the blade in a groove by half of it: with the taper stated the guide is found, without it
/// the height of its groove comes out too low by what half a degree makes.
#[test]
fn lands_that_taper_are_fitted_as_they_lie() {
    let folder = tempfile::tempdir().unwrap();
    let fit = |stated: bool| -> Value {
        let pair = |angle: f64| {
            let mut pair = json!({ "seat": "chisel", "thickness": 3.2, "land": 1.3, "angle": { "value": angle, "within": 0 },
                "projection": { "value": in_a_groove(angle, 1.3, 0.8), "within": 0.01 } });
            if stated {
                pair["land_taper"] = json!(0.8);
            }
            pair
        };
        let known = [20.0, 25.0, 30.0, 35.0].map(pair);
        let value = json!({ "format": 1, "name": "groove", "known": known, "measured": {
            "roller": { "diameter": { "value": 16, "within": 0.001 } },
            "face": { "axle_to_face": { "value": 11, "within": 0.001 } },
            "seats": { "chisel": { "locates": "sides" } } } });
        let path = file(folder.path(), "groove.json", &value);
        serde_json::from_str(&stdout(&["fit", &path, "--angles", "27", "--json"])).unwrap()
    };
    let with = fit(true);
    assert_eq!(with["disagreeing"], json!([]), "{with}");
    assert!((number(&with["parameters"][1]["value"]) - 17.1).abs() < 0.005, "{with}");
    assert!((number(&with["predicted"][0]["projection"]) - in_a_groove(27.0, 1.3, 0.8)).abs() < 0.005, "{with}");
    let without = fit(false);
    assert!(
        without["disagreeing"] != json!([]) || (number(&without["parameters"][1]["value"]) - 17.1).abs() > 0.1,
        "{without}"
    );
}
