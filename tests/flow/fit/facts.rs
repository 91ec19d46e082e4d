//! Facts of the design about fitting, and how what was measured enters.

use serde_json::{Value, json};

use crate::support::{stdout, tells_of};
use stopwright::fit::{Fitted, Settings, fit};

/// Projections of case A of the design (D 19, h 18.4, e 15.8, t 2.4, underside), mm, by 20, 25, 30, 35, 40°.
pub const CASE_A: [(f64, f64); 5] =
    [(20.0, 69.1237), (25.0, 51.2847), (30.0, 39.2267), (35.0, 30.4682), (40.0, 23.7679)];

pub fn fitted(file: &Value, angles: &[f64]) -> Fitted {
    let settings = Settings::parse("known.json", file.to_string().as_bytes()).unwrap_or_else(|e| panic!("{e}"));
    fit(&settings, angles).unwrap()
}

pub fn file(pairs: &[(f64, f64)], within: Option<f64>, measured: Value) -> Value {
    let known: Vec<Value> = pairs
        .iter()
        .map(|&(angle, p)| {
            let projection = within.map_or(json!(p), |w| json!({ "value": p, "within": w }));
            // Whole degrees: the names of settings.
            json!({ "seat": "iron", "thickness": 2.4, "angle": angle as i64, "projection": projection })
        })
        .collect();
    json!({ "format": 1, "name": "case A", "measured": measured, "known": known })
}

fn projection_at_35(pairs: &[(f64, f64)], within: f64, measured: Value) -> (f64, f64) {
    let fitted = fitted(&file(pairs, Some(within), measured), &[35.0]);
    let p = &fitted.predictions[0];
    (p.projection.clone().unwrap(), p.uncertainty)
}

/// Exact pairs at 25 and 30° fix 35° to 0.1 mm, though three lengths are open.
#[test]
fn two_exact_pairs_fix_a_third_angle_to_a_tenth() {
    let (p, u) = projection_at_35(&CASE_A[1..3], 1e-6, json!({}));
    assert!((p - 30.4682).abs() < 0.1, "{p}");
    assert!(u > (p - 30.4682).abs() && u < 0.25, "{u}");
    // With the roller measured they fix it to what the table's digits are worth.
    let (p, u) =
        projection_at_35(&CASE_A[1..3], 1e-6, json!({ "roller": { "diameter": { "value": 19, "within": 0.05 } } }));
    assert!((p - 30.4682).abs() < 2e-4, "{p}");
    assert!(u < 0.002, "{u}");
}

/// p35 = 1.74 p30 − 0.74 p25: errors are multiplied by about two.
#[test]
fn errors_of_the_pairs_are_amplified() {
    let at = |d25: f64, d30: f64| projection_at_35(&[(25.0, 51.2847 + d25), (30.0, 39.2267 + d30)], 1e-6, json!({})).0;
    let base = at(0.0, 0.0);
    assert!((at(0.0, 0.1) - base - 0.174).abs() < 0.002, "{}", at(0.0, 0.1) - base);
    assert!((at(0.1, 0.0) - base + 0.074).abs() < 0.002, "{}", at(0.1, 0.0) - base);
}

/// Pairs rounded to a millimetre leave 35° uncertain by about a millimetre; that is their default tolerance.
#[test]
fn rounded_pairs_leave_a_millimetre() {
    let rounded = file(&[(25.0, 51.0), (30.0, 39.0)], None, json!({}));
    let text = rounded.to_string().replace("51.0", "51").replace("39.0", "39");
    let settings = Settings::parse("known.json", text.as_bytes()).unwrap();
    assert_eq!(settings.pairs[0].projection.within, Some(0.5));
    let fitted = fit(&settings, &[35.0]).unwrap();
    // 2·0.5/√3·√(1.74² + 0.74²) = 1.09.
    assert!((fitted.predictions[0].uncertainty - 1.1).abs() < 0.1, "{}", fitted.predictions[0].uncertainty);
    assert!((fitted.predictions[0].projection.clone().unwrap() - 30.4682).abs() < 1.1);
}

/// Single lengths are poorly determined where projections are well.
#[test]
fn lengths_hang_loose_where_projections_hold() {
    let fitted = fitted(&file(&CASE_A, Some(0.25), json!({})), &[30.0]);
    assert_eq!(fitted.determined.open, 0);
    assert!(2.0 * fitted.covariance[(0, 0)].sqrt() > 5.0, "U of the diameter");
    assert!(fitted.predictions[0].uncertainty < 0.25);
}

/// Tolerances are read from what is written.
#[test]
fn default_tolerances_are_half_the_last_digit() {
    let text = r#"{ "format": 1, "name": "g", "units": "in",
        "measured": { "roller": { "diameter": 0.75 }, "face": { "over_roller": "45/64 in" } },
        "known": [ { "seat": "iron", "thickness": "2.4 mm", "angle": 29.5, "projection": 1.54 },
                   { "seat": "iron", "thickness": "2.4 mm", "angle": 30, "projection": "39.20 mm" },
                   { "seat": "iron", "thickness": "2.4 mm", "angle": 30.00, "projection": "1 3/8 in" },
                   { "seat": "iron", "thickness": "2.4 mm", "angle": { "value": 31, "within": 0.25 },
                     "projection": "39 mm +- 0.1 mm" } ] }"#;
    let s = Settings::parse("known.json", text.as_bytes()).unwrap();
    let close = |a: Option<f64>, b: f64| assert!((a.unwrap() - b).abs() < 1e-12, "{a:?} {b}");
    close(s.diameter.unwrap().within, 0.005 * 25.4);
    close(s.axle_to_face.unwrap().measured().within, 25.4 / 128.0);
    for (i, (angle, projection)) in
        [(0.05, 0.127), (0.0, 0.005), (0.005, 25.4 / 16.0), (0.25, 0.1)].into_iter().enumerate()
    {
        close(s.pairs[i].angle.within, angle);
        close(s.pairs[i].projection.within, projection);
    }
}

/// An error of thickness that pairs share does not blur projections of the same blade, only the seat's height.
#[test]
fn an_error_of_one_blades_thickness_is_shared() {
    let with = |within: f64| {
        let mut f = file(&CASE_A, Some(0.01), json!({ "roller": { "diameter": { "value": 19, "within": 0.05 } } }));
        for k in f["known"].as_array_mut().unwrap() {
            k["thickness"] = json!({ "value": 2.4, "within": within });
        }
        fitted(&f, &[32.0])
    };
    let (sure, unsure) = (with(0.0), with(0.2));
    let u = |f: &Fitted| f.predictions[0].uncertainty;
    assert!((u(&sure) - u(&unsure)).abs() < 1e-9, "{} {}", u(&sure), u(&unsure));
    let h = |f: &Fitted| f.covariance[(1, 1)];
    assert!((h(&unsure) - h(&sure) - 0.04 / 3.0).abs() < 1e-9, "{} {}", h(&unsure), h(&sure));
}

/// Case F of the design (a groove) and case D (a roller on the bench), with what a caliper takes over the roller.
#[test]
fn every_kind_of_seat_and_measurement_enters_as_the_design_says() {
    let f = json!({ "format": 1, "name": "groove",
        "measured": { "roller": { "diameter": { "value": 19, "within": 0.01 } },
            "face": { "over_roller": { "value": 25.3, "within": 0.01 } },
            "seats": { "chisel": { "over_roller": { "value": 24.7, "within": 0.01 }, "gauge": { "value": 4, "within": 0 }, "locates": "sides" } } },
        "known": [{ "seat": "chisel", "thickness": 3.2, "land": 2.8, "angle": 30, "projection": { "value": 28.4879, "within": 0.0001 } }] });
    // h = M − g/2 − D/2 = 24.7 − 2 − 9.5 = 13.2.
    let out = fitted(&f, &[20.0, 40.0]);
    assert!((out.values[1] - 13.2).abs() < 1e-3, "{}", out.values);
    assert!((out.predictions[0].projection.clone().unwrap() - 52.0893).abs() < 1e-3);
    assert!((out.predictions[1].projection.clone().unwrap() - 16.3790).abs() < 1e-3);
    let d = json!({ "format": 1, "name": "bench roller",
        "measured": { "roller": { "diameter": { "value": 50, "within": 0.01 } }, "seats": { "iron": { "locates": "underside" } } },
        "known": [
            { "seat": "iron", "thickness": 3.0, "roller_level": -12, "angle": 20, "projection": 90.4338 },
            { "seat": "iron", "thickness": 3.0, "roller_level": -12, "angle": 30, "projection": 47.9615 },
            { "seat": "iron", "thickness": 3.0, "roller_level": -12, "angle": 40, "projection": 25.9770 }] });
    let out = fitted(&d, &[35.0]);
    assert!((out.predictions[0].projection.clone().unwrap() - 35.5092).abs() < 1e-3);
    assert!((out.values[1] - 27.0).abs() < 0.05 && (out.values[2] - 30.0).abs() < 0.05, "{}", out.values);
}

/// The profile of a fit gives, through the solver, the projections that the fit predicts, as well known as there; and so
/// does the file of known settings itself.
#[test]
fn a_whole_profile_gives_the_same_projections() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("guide.json").display().to_string();
    let example = crate::support::home().join("examples/known-settings.json").display().to_string();
    let report: Value =
        serde_json::from_str(&stdout(&["fit", &example, "--angles", "22,28,35", "--json", "--out", &path])).unwrap();
    for guide in [&path, &example] {
        let blade = ["--seat", "iron", "--thickness", "2.4", "--angles", "22,28,35", "--json", "--budget"];
        let offsets: Value = serde_json::from_str(&stdout(&[&["offsets", guide], &blade[..]].concat())).unwrap();
        for (p, lane) in report["predicted"].as_array().unwrap().iter().zip(offsets["lanes"].as_array().unwrap()) {
            let number = |v: &Value, key: &str| v[key].as_f64().unwrap();
            assert_eq!(p["angle"], lane["angle"]);
            assert!((number(p, "projection") - number(lane, "projection")).abs() < 1e-5);
            let [fitted, in_use] = [number(p, "uncertainty"), number(lane, "projection_uncertainty")];
            assert!((fitted / in_use - 1.0).abs() < 1e-6, "{guide}: {fitted} {in_use}");
            // One line of the budget, and the fence's own.
            let lines = lane["budget"].as_array().unwrap();
            let squares: f64 = lines.iter().map(|l| number(l, "angle_uncertainty").powi(2)).sum();
            assert!((squares.sqrt() / number(lane, "angle_uncertainty") - 1.0).abs() < 1e-9, "{lane}");
            assert_eq!(lines.iter().filter(|l| l["quantity"] == "known settings").count(), 1);
        }
    }
}

/// A job may name the file of known settings as its guide, and Monte Carlo (JCGM 101) draws what hangs together together.
#[test]
fn a_jobs_guide_may_be_its_known_settings() {
    let folder = tempfile::tempdir().unwrap();
    let known = std::fs::read(crate::support::home().join("examples/known-settings.json")).unwrap();
    std::fs::write(folder.path().join("known.json"), known).unwrap();
    let setting = json!({ "tool": "plane-iron", "angles": [25, 32], "thickness": 2.4, "taper": 0, "width": 51 });
    let job = json!({ "format": 1, "title": "known", "guide": "known.json", "settings": [setting] });
    let path = crate::support::file(folder.path(), "job.json", &job);
    let sources = stopwright_program::cli::files::Disk::beside(std::path::Path::new(&path));
    let job = stopwright::job::Job::parse(&path, job.to_string().as_bytes(), &sources).unwrap();
    for lane in &stopwright::lanes::of_job(&job).unwrap().lanes {
        let u = lane.setting.uncertainty.projection.unwrap();
        assert!((0.1..1.0).contains(&u), "{u}");
        let trial = stopwright::solve::trial::projection(&lane.measured, lane.setting.angle.to_radians(), 200_000, 3);
        assert!((2.0 * trial.deviation / u - 1.0).abs() < 0.02, "{u} {trial:?}");
    }
}

/// A length that was measured since does not go with the old covariance.
#[test]
fn a_covariance_belongs_to_its_tolerances() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("guide.json").display().to_string();
    let example = crate::support::home().join("examples/known-settings.json").display().to_string();
    stdout(&["fit", &example, "--out", &path]);
    let mut profile: Value = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
    let refused = |profile: &Value| {
        crate::support::refusal(&[
            "offsets",
            &crate::support::file(folder.path(), "g.json", profile),
            "--seat",
            "iron",
            "--thickness",
            "2.4",
            "--angles",
            "30",
        ])
    };
    let sound = profile.clone();
    profile["face"]["axle_to_face"]["within"] = json!(0.05);
    let said = refused(&profile);
    assert!(tells_of(&said, "covariance") && said.contains("face.axle_to_face"), "{said}");
    profile = sound.clone();
    profile["covariance"]["matrix"][0][1] = json!(50.0);
    assert!(refused(&profile).contains("no covariance"));
    profile = sound;
    profile["covariance"]["matrix"][0].as_array_mut().unwrap().pop();
    assert!(refused(&profile).contains("another size"));
}
