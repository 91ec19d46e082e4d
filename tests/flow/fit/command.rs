//! `stopwright fit`: whole, partial, too few, an outlier, bad input.

use std::fs;

use serde_json::{Value, json};

use super::facts::{CASE_A, file as known};
use crate::support::{file, home, refusal, run, stdout, tells_of};
use stopwright::guide::Guide;

fn report(value: &Value, more: &[&str]) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let path = file(folder.path(), "known.json", value);
    serde_json::from_str(&stdout(&[&["fit", &path, "--json"], more].concat())).unwrap()
}

/// Projection of case A at any angle, mm.
fn case_a(degrees: f64) -> f64 {
    let (sin, cos) = degrees.to_radians().sin_cos();
    (9.5 + 20.8 * cos) / sin - 15.8
}

/// D measured, so that the rest follows from pairs.
fn roller() -> Value {
    json!({ "roller": { "diameter": { "value": 19, "within": 0.05 } }, "seats": { "iron": { "locates": "underside" } } })
}

fn names(value: &Value, key: &str) -> Vec<String> {
    let name = |v: &Value| v[key].as_str().unwrap().to_string();
    value.as_array().unwrap().iter().map(name).collect()
}

#[test]
fn a_whole_guide_is_written_and_read_back() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("new/my-guide.json");
    let path = file(folder.path(), "known.json", &known(&CASE_A, Some(0.05), roller()));
    let text = stdout(&["fit", &path, "--out", &out.display().to_string()]);
    assert!(text.contains("The profile is complete") && text.contains("Your settings agree"), "{text}");
    assert!(text.contains("single lengths of the guide poorly"), "the fact about near collinearity: {text}");
    let guide = Guide::parse("my-guide.json", &fs::read(&out).unwrap()).unwrap();
    assert!((guide.roller.diameter.mm - 19.0).abs() < 0.05 && guide.roller.diameter.within.is_some());
    // Written again it is replaced; changed by hand it is not, unless forced.
    stdout(&["fit", &path, "--out", &out.display().to_string()]);
    fs::write(&out, "mine").unwrap();
    let said = refusal(&["fit", &path, "--out", &out.display().to_string()]);
    assert!(said.contains("--force"), "{said}");
    stdout(&["fit", &path, "--out", &out.display().to_string(), "--force"]);
    assert!(Guide::parse("my-guide.json", &fs::read(&out).unwrap()).is_ok());
}

#[test]
fn the_report_holds_everything() {
    let r = report(&known(&CASE_A, Some(0.05), roller()), &["--angles", "22.5,35"]);
    assert_eq!(r["whole"], true);
    assert_eq!(r["lacks"], json!([]));
    assert_eq!(r["covariance"]["parameters"], json!(["roller.diameter", "seats.iron.height", "face.axle_to_face"]));
    assert_eq!(r["covariance"]["matrix"].as_array().unwrap().len(), 3);
    assert_eq!(r["covariance"]["matrix"][0][1], r["covariance"]["matrix"][1][0]);
    assert_eq!(r["residuals"].as_array().unwrap().len(), CASE_A.len());
    assert_eq!(r["disagreeing"], json!([]));
    assert_eq!(r["predicted"].as_array().unwrap().len(), 2);
    assert_eq!(r["predicted"][1]["angle"], 35.0);
    let p = r["predicted"][1]["projection"].as_f64().unwrap();
    assert!((p - 30.4682).abs() < 1e-3, "{p}");
    let next = &r["next_measurement"];
    let better = |v: &Value| v["largest_uncertainty"].as_f64().unwrap();
    assert!(better(next) < next["largest_uncertainty_now"].as_f64().unwrap());
    for candidate in next["candidates"].as_array().unwrap() {
        assert!(better(candidate) >= better(next));
    }
    assert_eq!(r["test"]["degrees_of_freedom"], 3);
}

/// The promised gain is what the measurement really brings.
#[test]
fn the_advised_measurement_brings_what_was_said() {
    let base = known(&CASE_A[..4], Some(0.25), json!({}));
    let r = report(&base, &["--angles", "20,45"]);
    let candidates = r["next_measurement"]["candidates"].as_array().unwrap();
    let promised = candidates.iter().find(|c| c["what"] == "roller.diameter").unwrap();
    let mut more = base.clone();
    more["measured"] = json!({ "roller": { "diameter": { "value": 19, "within": 0.05 } } });
    let then = report(&more, &["--angles", "20,45"]);
    let largest = then["next_measurement"]["largest_uncertainty_now"].as_f64().unwrap();
    assert!((largest - promised["largest_uncertainty"].as_f64().unwrap()).abs() < 1e-9, "{largest} {promised}");
}

#[test]
fn a_partial_profile_says_what_it_lacks_and_is_not_written() {
    let value = known(&CASE_A, Some(0.5), json!({ "seats": { "iron": { "locates": "underside" } } }));
    let r = report(&value, &[]);
    assert_eq!(r["whole"], false);
    assert!(r["lacks"].as_array().unwrap().contains(&json!("roller.diameter")), "{}", r["lacks"]);
    assert_eq!(r["missing"], json!([]), "nothing is open, it is only poorly determined");
    assert!(r["predicted"].as_array().unwrap().iter().all(|p| p["determined"] == true));
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("guide.json");
    let path = file(folder.path(), "known.json", &value);
    let said = refusal(&["fit", &path, "--out", &out.display().to_string()]);
    assert!(said.contains("lacks roller.diameter") && !out.exists(), "{said}");
    // A seat of which nobody said what it locates is not whole either.
    let mut measured = roller();
    measured["seats"] = json!({});
    let r = report(&known(&CASE_A, Some(0.05), measured), &[]);
    assert_eq!(r["lacks"], json!(["seats.iron.locates"]));
}

#[test]
fn too_few_data_say_what_is_missing_and_what_can_be_predicted() {
    let r = report(&known(&CASE_A[1..3], Some(0.05), roller()), &["--angles", "27"]);
    assert_eq!(r["missing"], json!([]), "a diameter and two pairs are enough");
    let r = report(&known(&CASE_A[1..3], Some(0.05), json!({})), &["--angles", "25,35"]);
    let missing = r["missing"][0].as_str().unwrap();
    assert!(missing.starts_with("one more of roller.diameter, seats.iron.height, face.axle_to_face"), "{missing}");
    assert_eq!(r["covariance"]["parameters"], json!([]));
    assert_eq!(r["predicted"][0]["determined"], true, "25° is one of the pairs");
    assert_eq!(r["predicted"][1]["determined"], false);
    assert!((r["predicted"][1]["projection"].as_f64().unwrap() - 30.4682).abs() < 0.3);
    assert_eq!(names(&r["parameters"], "name"), ["roller.diameter", "seats.iron.height", "face.axle_to_face"]);
    assert!(r["parameters"].as_array().unwrap().iter().all(|p| p["value"].is_null()));
    assert!(r["residuals"].as_array().unwrap().iter().all(|p| p["standardised"].is_null()));
    let one = report(&known(&CASE_A[2..3], Some(0.05), json!({})), &["--angles", "30,35"]);
    assert!(one["missing"][0].as_str().unwrap().starts_with("2 more of"));
    let close = one["predicted"][0]["uncertainty"].as_f64().unwrap();
    let far = one["predicted"][1]["uncertainty"].as_f64().unwrap();
    assert!(close < 0.06 && far > 1.0 && far < 10.0, "{close} {far}");
    assert!((one["predicted"][1]["projection"].as_f64().unwrap() - 30.4682).abs() < far);
}

#[test]
fn a_pair_that_does_not_agree_is_found_and_left_out() {
    let mut pairs = CASE_A.to_vec();
    pairs[1].1 += 2.0;
    let r = report(&known(&pairs, Some(0.25), roller()), &["--angles", "25"]);
    assert_eq!(names(&r["disagreeing"], "field"), ["known[1]"]);
    assert_eq!(r["disagreeing"][0]["left_out"], true);
    let agree: Vec<bool> = r["residuals"].as_array().unwrap().iter().map(|v| v["agrees"].as_bool().unwrap()).collect();
    assert_eq!(agree, [true, false, true, true, true]);
    let [residual, standardised] = ["residual", "standardised"].map(|key| r["residuals"][1][key].as_f64().unwrap());
    assert!((residual - 2.0).abs() < 0.05);
    // In units of what it may be off: its own uncertainty, that of a rectangle, and a little of the others'.
    let own = residual / (0.25 / 3f64.sqrt());
    assert!(standardised < own && standardised > own / 1.5, "{standardised} {own}");
    assert!((r["predicted"][0]["projection"].as_f64().unwrap() - 51.2847).abs() < 0.05);
    // Two errors that have nothing to do with each other are both found.
    let mut eight: Vec<(f64, f64)> = (0..8).map(|i| 18.0 + 3.0 * f64::from(i)).map(|a| (a, case_a(a))).collect();
    eight[1].1 += 3.0;
    eight[6].1 -= 3.0;
    let mut named = names(&report(&known(&eight, Some(0.25), roller()), &[])["disagreeing"], "field");
    named.sort();
    assert_eq!(named, ["known[1]", "known[6]"]);
    // One equation more than unknowns tells that something is wrong, not what.
    let r = report(&known(&pairs[..3], Some(0.25), roller()), &[]);
    assert!(r["disagreeing"].as_array().unwrap().len() >= 3, "{}", r["disagreeing"]);
    assert!(r["disagreeing"].as_array().unwrap().iter().all(|d| d["left_out"] == false));
    assert!(r["residuals"].as_array().unwrap().iter().all(|d| d["agrees"] == false));
    assert!(r["notes"].to_string().contains("do not agree within their tolerances"), "{}", r["notes"]);
}

#[test]
fn of_many_settings_the_worst_are_shown() {
    let folder = tempfile::tempdir().unwrap();
    let said = |n: u32| {
        let pairs: Vec<(f64, f64)> = (0..n).map(|i| 20.0 + 0.5 * f64::from(i)).map(|a| (a, case_a(a))).collect();
        stdout(&["fit", &file(folder.path(), "known.json", &known(&pairs, Some(0.25), roller()))])
    };
    assert!(!said(40).contains("worst of"));
    assert!(said(41).contains("The 40 worst of 41; --json gives all."), "{}", said(41));
    let rows = |n: u32| said(n).lines().filter(|line| line.starts_with("iron")).count();
    assert_eq!(rows(41), rows(40));
}

#[test]
fn bad_input_is_refused_with_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let mut bad = known(&CASE_A[..2], None, json!({}));
    bad["known"][0]["angle"] = json!(61);
    bad["known"][1]["projection"] = json!("1/0 in");
    bad["known"][1]["thickness"] = Value::Null;
    bad["measured"] = json!({ "roller": { "gap": 60 }, "face": { "axle_to_face": 15, "over_roller": 25 },
        "seats": { "chisel": { "height": 13, "gauge": 4 }, "iron": { "blade_width": [60, 30] } } });
    bad["knwon"] = json!([]);
    let path = file(folder.path(), "known.json", &bad);
    let said = refusal(&["fit", &path]);
    for (field, allowed) in [
        ("known[0].angle", "5 to 60 degrees"),
        ("known[1].projection", "a number"),
        ("known[1].thickness", "none in the whole seat"),
        ("measured.roller.gap", "only for a pair"),
        ("measured.face.over_roller", "one of the two"),
        ("measured.seats.chisel.gauge", "over_roller only"),
        ("measured.seats.iron.blade_width", "the smaller first"),
        ("knwon", "Did you mean \"known\"? Use format"),
    ] {
        let line = said.lines().find(|l| tells_of(l, field));
        let line = line.unwrap_or_else(|| panic!("{field} is missing in:\n{said}"));
        assert!(line.contains("known.json:1:") && line.contains(allowed), "{line}");
    }
    let mut sides = known(&CASE_A[..2], None, json!({ "seats": { "iron": { "locates": "sides" } } }));
    sides["known"][1]["land"] = json!(2.8);
    let said = refusal(&["fit", &file(folder.path(), "sides.json", &sides)]);
    assert!(tells_of(&said, "known[0].land") && tells_of(&said, "known[1].land"), "{said}");
    for (count, is_sound) in [(0, false), (2000, true), (2001, false)] {
        let mut many = known(&[], None, roller());
        many["known"] = (0..count).map(|i| known(&[CASE_A[i % 5]], Some(0.1), json!({}))["known"][0].clone()).collect();
        let output = run(&["fit", &file(folder.path(), "many.json", &many)]);
        assert_eq!(output.status.success(), is_sound, "{count}: {}", String::from_utf8_lossy(&output.stderr));
    }
    assert!(refusal(&["fit", "not-there.json"]).contains("not-there.json"));
    let example = home().join("examples/known-settings.json").display().to_string();
    assert!(refusal(&["fit", &example, "--angles", "25,x"]).contains("--angles"));
}
