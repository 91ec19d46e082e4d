//! The library's front door: settings, jobs and guides built in code, by the same rules as files.

use approx::assert_relative_eq;
use serde_json::{Value, json};
use stopwright::guide::named::GUIDES;
use stopwright::lane::NoFence;
use stopwright::prelude::*;

use super::support::{parsed, reference_guide};

/// The design's reference table: case A, a plane iron on its underside, mm.
#[test]
fn a_setting_is_that_of_the_reference_table() {
    let profile: GuideProfile = serde_json::from_value(reference_guide()).unwrap();
    let guide = Guide::try_from(profile).unwrap();
    for (angle, projection) in [(20.0, 69.1237), (25.0, 51.2847), (30.0, 39.2267), (35.0, 30.4682), (40.0, 23.7679)] {
        let setting = guide.setting(Blade::iron(2.4), angle).unwrap();
        assert_relative_eq!(setting.projection, projection, epsilon = 5e-5);
    }
}

#[test]
fn a_setting_without_an_answer_says_why() {
    let guide = Guide::named("narrow-side-clamp").unwrap();
    assert!(matches!(guide.setting(Blade::iron(2.4), 80.0), Err(NoFence::Unsolved(_))));
    let without_land = Seated { seat: SeatName::Chisel, ..Blade::iron(3.2) };
    assert!(matches!(guide.setting(without_land, 30.0), Err(NoFence::Land(_))));
    let unknown = Guide::named("nobody").unwrap_err().to_string();
    assert!(unknown.contains("nobody") && unknown.contains("narrow-side-clamp"), "{unknown}");
}

/// A profile that was built in code is the guide of its file.
#[test]
fn a_profile_in_code_and_its_file_give_the_same_guide() {
    for builtin in GUIDES {
        let profile: GuideProfile = serde_json::from_str(builtin.text).unwrap();
        assert_eq!(Guide::try_from(profile).unwrap(), Guide::named(builtin.name).unwrap(), "{}", builtin.name);
    }
    let mut value: Value = serde_json::from_str(GUIDES[0].text).unwrap();
    value["roller"]["gap"] = json!(5);
    let faults = Guide::try_from(serde_json::from_value::<GuideProfile>(value).unwrap()).unwrap_err().to_string();
    assert!(faults.contains("roller.gap"), "{faults}");
}

#[test]
fn a_job_in_code_makes_the_same_block_as_its_file() {
    let guide = Guide::named("narrow-side-clamp").unwrap();
    let job = Job::new(guide).lanes("plane-iron", [25.0, 30.0]).unwrap().lanes("bench-chisel", [30.0]).unwrap();
    let file = parsed(&json!({
        "format": 1, "title": "narrow-side-clamp", "guide": "narrow-side-clamp",
        "settings": [{ "tool": "plane-iron", "angles": [25, 30] }, { "tool": "bench-chisel", "angles": [30] }]
    }));
    assert_eq!(job, file);
    let block = job.block().unwrap();
    assert_eq!(block.layout.lanes.len(), 3);
    let made = make(&file, Wanted::block(), &()).unwrap();
    let kept = |name: &str| &made.artifacts.iter().find(|a| a.name == name).unwrap().bytes;
    assert_eq!(&block.stl().unwrap(), kept("block.stl"));
    assert_eq!(&block.drawing().unwrap().svg(), kept("block.svg"));
}

#[test]
fn a_lane_twice_and_an_unknown_class_are_faults() {
    let job = Job::new(Guide::named("narrow-side-clamp").unwrap());
    let twice =
        job.clone().lanes("plane-iron", [30.0]).unwrap().lanes("plane-iron", [25.0, 30.0]).unwrap_err().to_string();
    assert!(twice.contains("plane-iron at 30°"), "{twice}");
    assert!(job.clone().lanes("plane-irn", [30.0]).unwrap_err().to_string().contains("plane-irn"));
    let steep = job.lanes("plane-iron", [60.0]).unwrap();
    assert!(matches!(steep.block(), Err(NoBlock::Refused(_))));
    let none = Job::new(Guide::named("narrow-side-clamp").unwrap()).lanes("plane-iron", [80.0]).unwrap();
    let told = none.block().map(|_| ()).unwrap_err().to_string();
    assert!(told.starts_with("plane-iron-80: ") && told.len() > 20, "{told}");
}

/// Worked out by hand from p = (a + H cos α) / sin α − e, mm.
#[test]
fn the_demo_guide_sets_what_its_dimensions_say() {
    let guide = Guide::named("narrow-side-clamp").unwrap();
    let set = |blade: Seated| [25.0, 30.0, 35.0].map(|angle| guide.setting(blade, angle).unwrap().projection);
    for (projections, expected) in
        [(set(Blade::iron(2.4)), [60.04, 47.09, 37.65]), (set(Blade::chisel(3.2, 1.3)), [45.99, 35.74, 28.30])]
    {
        for (projection, expected) in projections.into_iter().zip(expected) {
            assert_relative_eq!(projection, expected, epsilon = 5e-3);
        }
    }
}

/// No built-in guide can be taken for another: in each seat their settings differ by 3 mm at an angle at least.
#[test]
fn built_in_guides_stand_apart() {
    for blade in [Blade::iron(2.4), Blade::chisel(3.2, 1.3)] {
        let curves: Vec<(&str, [f64; 3])> = GUIDES
            .iter()
            .map(|builtin| {
                let guide = Guide::named(builtin.name).unwrap();
                (builtin.name, [25.0, 30.0, 35.0].map(|angle| guide.setting(blade, angle).unwrap().projection))
            })
            .collect();
        for (i, (one, p)) in curves.iter().enumerate() {
            for (other, q) in &curves[i + 1..] {
                let apart = p.iter().zip(q).map(|(p, q)| (p - q).abs()).fold(0.0, f64::max);
                assert!(apart >= 3.0, "{one} and {other}: {apart:.2} mm");
            }
        }
    }
}
