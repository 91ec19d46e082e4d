//! Whatever a sound file says, a fit ends in finite numbers; whatever a broken one says, in faults.

use proptest::prelude::*;
use serde_json::{Value, json};

use super::facts::{CASE_A, file, fitted};
use stopwright::fit::report::{report, text};
use stopwright::fit::{Settings, fit};
use stopwright::units::{Units, Written};

fn toleranced(range: std::ops::Range<f64>, most: f64) -> impl Strategy<Value = Value> {
    (range, prop::option::of(prop_oneof![Just(0.0), 0.0..most]), any::<bool>()).prop_map(|(v, within, whole)| {
        let v = if whole { json!(v.round().max(1.0) as i64) } else { json!(v) };
        within.map_or(v.clone(), |w| json!({ "value": v, "within": w }))
    })
}

fn pair() -> impl Strategy<Value = Value> {
    let seat = prop::sample::select(vec!["iron", "chisel"]);
    let blade = (toleranced(1.0..20.0, 5.0), -4.0..4.0f64, 0.0..2.0f64, toleranced(-90.0..90.0, 40.0));
    (seat, blade, toleranced(5.0..60.0, 20.0), toleranced(1.0..290.0, 100.0)).prop_map(
        |(seat, (thickness, taper, slack, level), angle, projection)| {
            json!({ "seat": seat, "thickness": thickness, "taper": { "value": taper, "within": slack }, "land": 0.9,
                "roller_level": level, "angle": angle, "projection": projection })
        },
    )
}

fn measured() -> impl Strategy<Value = Value> {
    let locates = || prop::option::of(prop::sample::select(vec!["underside", "back", "sides"]));
    let maybe = |range, most| prop::option::of(toleranced(range, most));
    (maybe(4.0..120.0, 50.0), maybe(0.0..200.0, 50.0), maybe(0.0..180.0, 50.0), locates(), locates(), 0.0..1.0f64)
        .prop_map(|(diameter, over, height, iron, chisel, instrument)| {
            json!({ "instrument": instrument, "roller": { "diameter": diameter }, "face": { "over_roller": over },
                "seats": { "iron": { "over_roller": height, "locates": iron }, "chisel": { "locates": chisel } } })
        })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    /// However senseless the numbers: no panic, no infinity, and a whole profile is one that can be read.
    #[test]
    fn any_sound_file_is_fitted(known in prop::collection::vec(pair(), 1..12), measured in measured()) {
        let value = json!({ "format": 1, "name": "any", "measured": measured, "known": known });
        let settings = Settings::parse("any.json", value.to_string().as_bytes()).unwrap_or_else(|e| panic!("{e}"));
        let fitted = fit(&settings, &[5.0, 30.0, 60.0]).unwrap_or_else(|e| panic!("{e}: {value}"));
        let report = report(&settings, &fitted, Written::of(Units::Mm));
        for p in report.predicted.iter().filter(|p| p.projection.is_some()) {
            prop_assert!(p.projection.unwrap().is_finite() && p.uncertainty.unwrap().is_finite());
        }
        for r in &report.residuals {
            prop_assert!(r.residual.is_finite() && r.standardised.is_none_or(f64::is_finite));
        }
        prop_assert!(report.parameters.iter().all(|p| p.value.is_none_or(f64::is_finite)));
        prop_assert!(!text(&report).contains("NaN"));
        if report.whole {
            let profile = report.profile.text().unwrap();
            let guide = stopwright::guide::Guide::parse("fitted.json", profile.as_bytes());
            prop_assert!(guide.is_ok(), "{}\n{profile}", guide.unwrap_err());
        }
    }

    /// Texts with a stretch cut out or overwritten give faults or are sound; never a panic.
    #[test]
    fn broken_texts_never_panic(from in 0usize..1500, length in 0usize..40, with in ".{0,12}") {
        let example = include_str!("../../../examples/known-settings.json");
        let (from, to) = (from.min(example.len()), (from + length).min(example.len()));
        let bytes = [&example.as_bytes()[..from], with.as_bytes(), &example.as_bytes()[to..]].concat();
        if let Ok(settings) = Settings::parse("known.json", &bytes) {
            prop_assert!(fit(&settings, &[30.0]).is_ok());
        }
    }
}

/// Exact pairs that contradict each other bent a blade's taper, known to ±1.75°, until the blade lay flat on the stone,
/// where a slope has no bound.
#[test]
fn contradictory_pairs_do_not_bend_a_taper_beyond_what_was_stated() {
    let file = r#"{ "format": 1, "name": "any",
        "measured": { "instrument": 0.0, "roller": { "diameter": 4.0 }, "face": { "over_roller": 0.0 },
            "seats": { "iron": {}, "chisel": {} } },
        "known": [
            { "seat": "iron", "thickness": 1.0, "taper": { "value": 0.0, "within": 0.0 }, "land": 0.9,
                "roller_level": 0.0, "angle": 5.0, "projection": 1.0 },
            { "seat": "chisel", "thickness": { "value": 1.0, "within": 4.0281711648311 },
                "taper": { "value": 0.0, "within": 1.7512422659953168 }, "land": 0.9,
                "roller_level": 0.0, "angle": 5, "projection": 199.07580366903073 },
            { "seat": "iron", "thickness": 1.0, "taper": { "value": 0.0, "within": 0.0 }, "land": 0.9,
                "roller_level": 18.15918689685827, "angle": 5.99991819011173, "projection": 113.24788184877008 },
            { "seat": "iron", "thickness": 1.0, "taper": { "value": 0.0, "within": 0.0 }, "land": 0.9,
                "roller_level": -52.11595843216267, "angle": 6, "projection": { "value": 1.0, "within": 0.0 } }
        ] }"#;
    let settings = Settings::parse("any.json", file.as_bytes()).unwrap_or_else(|e| panic!("{e}"));
    let out = fit(&settings, &[30.0, 60.0]).expect("usual sizes make up for what is missing");
    assert!(
        out.predictions
            .iter()
            .all(|p| p.projection.as_ref().map_or(true, |p| p.is_finite()) && p.uncertainty.is_finite())
    );
}

/// Pairs at one and the same angle determine that angle and no other, however many they are.
#[test]
fn many_pairs_at_one_angle() {
    let out = fitted(&file(&[CASE_A[2]; 50], Some(0.25), json!({})), &[30.0, 35.0]);
    assert_eq!(out.determined.open, 2);
    assert!(out.predictions[0].determined && !out.predictions[1].determined);
    // Fifty times the same: the uncertainty falls with the square root.
    let expected = 2.0 * 0.25 / 3f64.sqrt() / 50f64.sqrt();
    assert!((out.predictions[0].uncertainty - expected).abs() < 1e-6, "{}", out.predictions[0].uncertainty);
}

/// A caliper's common error is in every direct length at once: a diameter's reading does not free a height from it.
#[test]
fn a_common_error_of_the_caliper_does_not_average_out() {
    let measured = |instrument: f64| {
        json!({ "instrument": instrument, "roller": { "diameter": { "value": 19, "within": 0.01 } },
            "face": { "axle_to_face": { "value": 15.8, "within": 0.01 } }, "seats": { "iron": { "height": { "value": 18.4, "within": 0.01 }, "locates": "underside" } } })
    };
    let u = |instrument: f64| {
        fitted(&file(&CASE_A[2..3], Some(5.0), measured(instrument)), &[35.0]).predictions[0].uncertainty
    };
    // dp/dc = ½·csc + cot (height) + cot (thickness) − 1, JCGM 100 5.2.2, beside the independent parts.
    let (csc, cot) = (1.0 / 35f64.to_radians().sin(), 1.0 / 35f64.to_radians().tan());
    let part = |w: f64| w / 3f64.sqrt();
    let own = (0.5 * csc).hypot(cot).hypot(1.0) * part(0.01);
    let common = (0.5 * csc + 2.0 * cot - 1.0) * part(0.05);
    let expected = 2.0 * own.hypot(common);
    assert!((u(0.05) / expected - 1.0).abs() < 0.01, "{} {expected}", u(0.05));
    assert!((u(0.0) / (2.0 * own) - 1.0).abs() < 0.01);
}

/// A blunder in a direct measurement is not blamed on the pairs.
#[test]
fn a_wrong_diameter_is_named() {
    let wrong = json!({ "roller": { "diameter": { "value": 25, "within": 0.05 } } });
    let mut pairs = CASE_A.to_vec();
    pairs.extend([(15.0, 98.9), (45.0, 18.4)]);
    for p in &mut pairs {
        let (sin, cos) = p.0.to_radians().sin_cos();
        p.1 = (9.5 + 20.8 * cos) / sin - 15.8;
    }
    let out = fitted(&file(&pairs, Some(0.02), wrong), &[30.0]);
    let among = format!("{:?}", out.disagreement.among);
    assert!(out.disagreement.left_out.is_empty() && among.contains("roller.diameter"), "{among}");
}

/// Of 400 pairs a fifth is off by 1 mm to 5 mm: these and no others are left out, and the rest give case A.
#[test]
fn all_pairs_that_are_out_of_line_are_found() {
    let mut random = fastrand::Rng::with_seed(29);
    let exact = |angle: f64| {
        let (sin, cos) = angle.to_radians().sin_cos();
        (9.5 + 20.8 * cos) / sin - 15.8
    };
    let (mut pairs, mut off) = (Vec::new(), Vec::new());
    for i in 0..400 {
        let angle = f64::from(20 + i % 21);
        let mut p = exact(angle) + 0.2 * (2.0 * random.f64() - 1.0);
        if random.u32(..5) == 0 {
            p += (1.0 + 4.0 * random.f64()) * if random.bool() { 1.0 } else { -1.0 };
            off.push(i as usize);
        }
        pairs.push((angle, p));
    }
    let found = fitted(&file(&pairs, Some(0.2), json!({})), &[25.0, 30.0, 35.0]);
    let mut left_out = found.disagreement.left_out.clone();
    left_out.sort_unstable();
    assert_eq!(left_out, off);
    for p in &found.predictions {
        let projection = p.projection.clone().unwrap();
        assert!((projection - exact(p.angle)).abs() < p.uncertainty && p.uncertainty < 0.1, "{p:?}");
    }
}
