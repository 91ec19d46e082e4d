//! The kit keeps its word: what it calls served can be made, by seat, with room for making it; what no fence serves is
//! left out and said, and stops nothing else.

use std::path::Path;

use super::super::support::{card_sheets, file, reference_guide, refusal, run, stdout};
use super::*;
use stopwright::kit::PlannedKit;
use stopwright::kit::fences::FencePlan;
use stopwright::lane::checks::{Gravity, Rule};
use stopwright::lane::{Bevel, NoLane};
use stopwright::terms::{Edge, SeatName};
use stopwright::{block, error};

fn planned(kit: &Kit, guide: &Guide, tolerance: f64) -> FencePlan {
    PlannedKit::new(kit, &bench(guide, tolerance)).plan
}

/// A kit as text in memory, beside a guide whose roller stands out past its face.
struct InMemory(String);

impl Sources for InMemory {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        if path.ends_with("-log.json") {
            return Err(format!("{path}: nobody keeps a log"));
        }
        let text = if path == STRIKING { striking().to_string() } else { self.0.clone() };
        Ok((path.to_string(), text.into_bytes()))
    }
}

/// The file of that guide.
const STRIKING: &str = "striking.json";

/// The reference guide with its axle 6 mm behind the face: r = 9.5, so its roller clears a block of
/// 18.4 − √(9.5² − 6²) = 11.03 mm in the iron seat.
fn striking() -> Value {
    let mut guide = reference_guide();
    guide["face"]["axle_to_face"] = json!(6);
    guide
}

fn job_with(blades: Value, guide: &str, more: Value) -> Job {
    let kit = InMemory(json!({ "format": 1, "title": "kit", "blades": blades }).to_string());
    let mut job = json!({ "format": 1, "title": "kit", "guide": guide, "kit": "kit.json" });
    job.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    Job::parse("job.json", job.to_string().as_bytes(), &kit).unwrap_or_else(|e| panic!("{e}"))
}

/// What is planned, the block's rules take: no lane is refused, whatever the guide and the block's thickness.
#[test]
fn no_fence_of_a_plan_is_refused_by_the_block() {
    use proptest::test_runner::{RngSeed, TestRunner};
    let config =
        ProptestConfig { rng_seed: RngSeed::Fixed(17), failure_persistence: None, ..ProptestConfig::with_cases(150) };
    let guides =
        prop::sample::select(vec![STRIKING, "narrow-side-clamp", "wide-side-clamp", "top-clamp", "twin-roller"]);
    let thickness = prop::option::of(6.0..30.0f64);
    let (left_out, struck) = (std::cell::Cell::new(0), std::cell::Cell::new(0));
    TestRunner::new(config)
        .run(&(prop::collection::vec(any_blade(), 1..6), guides, thickness), |(mut blades, guide, thickness)| {
            blades.iter_mut().enumerate().for_each(|(i, blade)| blade["name"] = json!(format!("blade {i}")));
            let job = job_with(json!(blades), guide, json!({ "block": { "thickness": thickness } }));
            let strikes =
                |left: &[NoLane]| left.iter().filter(|l| error::chain(*l).contains("strikes a block")).count();
            let set = match lanes::of_job(&job) {
                Ok(set) => set,
                Err(none) => {
                    prop_assert!(!none.is_empty());
                    struck.set(struck.get() + strikes(&none));
                    return Ok(());
                }
            };
            for finding in set.lanes.iter().flat_map(|l| &l.findings) {
                prop_assert!(finding.gravity != Gravity::Refusal, "{}", finding.message);
            }
            prop_assert_eq!(set.lanes.len(), set.kit.as_ref().unwrap().plan.fences.len());
            left_out.set(left_out.get() + set.left_out.len());
            struck.set(struck.get() + strikes(&set.left_out));
            Ok(())
        })
        .unwrap_or_else(|e| panic!("{e}"));
    assert!(left_out.get() > 20 && struck.get() > 5, "{left_out:?} {struck:?}");
}

/// 46.6° itself is refused, as the guide's front comes too near to the stone; 46.2° is not.
#[test]
fn a_fence_off_the_very_angle_serves_where_that_alone_is_refused() {
    let kit = kit_of(json!([{ "name": "scraper", "tool": "plane-iron", "width": 50, "thickness": 2.4, "taper": 0,
        "primary": 46.6, "micro": 46.6 }]));
    let guide = Guide::parse("reference.json", reference_guide().to_string().as_bytes()).unwrap();
    let plan = planned(&kit, &guide, 0.5);
    assert_eq!((plan.unserved.len(), plan.fences.len()), (0, 1), "{:?}", plan.unserved);
    let set = 46.6 + plan.asks[0].error(plan.fences[0].distance).unwrap();
    assert!((46.1..46.4).contains(&set), "{set}");
    // Too far off, and there is none; it says which angle is the steepest.
    let kit = kit_of(json!([{ "name": "scraper", "tool": "plane-iron", "width": 50, "thickness": 2.4, "taper": 0,
        "primary": 50, "micro": 50 }]));
    let plan = planned(&kit, &guide, 0.5);
    let reach = plan.unserved[0].reach.unwrap();
    assert!(plan.fences.is_empty() && (46.0..46.5).contains(&reach[1]), "{reach:?}");
}

/// Two bevels of one blade come out at least half as far apart as they were asked for, each on a fence of its own.
#[test]
fn a_micro_bevel_is_never_lost_on_the_fence_of_its_primary() {
    for (primary, micro, tolerance) in [(25.0, 27.0, 0.5), (29.0, 30.0, 0.5), (25.0, 30.0, 2.5), (30.0, 31.5, 5.0)] {
        let kit = kit_of(json!([{ "name": "jack", "tool": "plane-iron", "width": 50, "thickness": 2.4,
            "primary": primary, "micro": micro }]));
        for name in ["narrow-side-clamp", "wide-side-clamp", "top-clamp"] {
            let guide = guide(name);
            let plan = planned(&kit, &guide, tolerance);
            assert_eq!(plan.fences.len(), 2, "{primary} {micro} {name}");
            // Anywhere that the plan allows them to stand.
            let angle = |bevel: Bevel, end: usize| {
                let place = plan.asks.iter().position(|a| a.bevel == bevel).unwrap();
                let fence = plan.fences.iter().find(|f| f.members == [place]).unwrap();
                plan.asks[place].angle + plan.asks[place].error(fence.common[end]).unwrap()
            };
            let step = angle(Bevel::Micro, 1) - angle(Bevel::Primary, 0);
            assert!(step >= (micro - primary) / 2.0 - 1e-6, "{primary} {micro} {name}: {step}");
        }
    }
}

/// Made worse than a fence is made, the block would still set every bevel; a bevel too narrow for that is warned of.
#[test]
fn fences_leave_room_for_making_them() {
    let mut job = demo_job();
    for within in [0.05, 0.1, 0.2] {
        job.block.fence_within = within;
        let set = lanes::of_job(&job).unwrap();
        for lane in &set.lanes {
            let room = (lane.fence() - lane.limits[0]).min(lane.limits[1] - lane.fence());
            assert!(room >= within - 1e-9, "{}: {room} of {within}", lane.request.id);
        }
    }
    job.block.fence_within = 1.0;
    let set = lanes::of_job(&job).unwrap();
    let warned = |l: &Lane| l.findings.iter().any(|f| f.rule == Rule::Sharing && f.gravity == Gravity::Warning);
    assert!(set.lanes.iter().any(warned));
    // 30.5° would do for both of these, by a twentieth of a degree either way: 0.1 mm or so.
    let two = json!([
        { "name": "one", "tool": "plane-iron", "width": 50, "thickness": 2.4, "primary": 30.05, "micro": 30.05 },
        { "name": "other", "tool": "plane-iron", "width": 50, "thickness": 2.4, "primary": 30.95, "micro": 30.95 } ]);
    let count = |within: f64| {
        let job = job_with(two.clone(), "narrow-side-clamp", json!({ "block": { "fence_within": within } }));
        lanes::of_job(&job).unwrap().lanes.len()
    };
    assert_eq!([0.0, 0.05, 0.2].map(count), [1, 1, 2]);
}

/// A block is made as thin as the roller asks, and a fence that no such block serves is not counted.
#[test]
fn a_roller_that_strikes_is_told_before_fences_are_counted() {
    let blades =
        json!([{ "name": "jack", "tool": "plane-iron", "width": 50, "thickness": 2.4, "primary": 25, "micro": 30 }]);
    let with = |block: Value| job_with(blades.clone(), STRIKING, block);
    let set = lanes::of_job(&with(json!({}))).unwrap();
    assert_eq!((set.edge.thickness, set.lanes.len(), set.left_out.len()), (10.5, 2, 0));
    let guide = Guide::parse("g.json", striking().to_string().as_bytes()).unwrap();
    let plan = planned(&kit_of(blades.clone()), &guide, 0.5);
    assert_eq!((plan.fences.len(), plan.proven(), plan.unserved.len()), (0, 0, 2));
    assert!((plan.thickness_limit() - 11.03).abs() < 0.01, "{}", plan.thickness_limit());
    let none = lanes::of_job(&with(json!({ "block": { "thickness": 12 } }))).unwrap_err();
    assert!(none.len() == 2 && error::chain(&none[0]).contains("strikes a block 12.00 mm thick"), "{none:?}");
    let wooden = stopwright::jig::board::lanes(&with(json!({}))).unwrap();
    assert!(wooden.edge.thickness < 11.03 && wooden.lanes.len() == 2, "{:?}", wooden.edge);
}

#[test]
fn each_seat_has_its_fences_and_its_edge() {
    let job = demo_job();
    let set = lanes::of_job(&job).unwrap();
    let kit = job.kit.as_ref().unwrap();
    for lane in &set.lanes {
        assert!(lane.members.iter().all(|m| kit.blades[m.blade].seat() == lane.request.seat), "{}", lane.request.id);
    }
    let (layouts, _) = block::lay_out_all(&job, &set).unwrap();
    for placed in layouts.iter().flat_map(|l| &l.lanes) {
        assert_eq!(placed.edge == Edge::Near, placed.lane.request.seat == SeatName::Iron, "{}", placed.label());
    }
    let wooden = stopwright::jig::files::cutsheet(&job, &()).unwrap_or_else(|e| panic!("{e}")).jig;
    for placed in &wooden.lanes {
        assert_eq!(placed.edge == Edge::Near, placed.lane.request.seat == SeatName::Iron, "{}", placed.label());
    }
    let shared = lanes::of_job(&Job { across_seats: true, ..job.clone() }).unwrap();
    assert!(shared.lanes.len() < set.lanes.len());
    let of_both = |l: &Lane| {
        let seats: Vec<SeatName> = l.members.iter().map(|m| kit.blades[m.blade].seat()).collect();
        seats.contains(&SeatName::Iron) && seats.contains(&SeatName::Chisel)
    };
    assert!(shared.lanes.iter().any(of_both));
    // The command says the same, and its job keeps to it.
    let folder = tempfile::tempdir().unwrap();
    let written = folder.path().join("job.json").display().to_string();
    let kit = home().join("examples/alder-lane-kit.json").display().to_string();
    let base = ["kit", &kit, "--guide", "narrow-side-clamp", "--json"];
    let fences = |text: String| serde_json::from_str::<Value>(&text).unwrap()["fences"].as_array().unwrap().len();
    assert_eq!(fences(stdout(&base)), set.lanes.len());
    let across = stdout(&[&base[..], &["--across-seats", "--job", &written]].concat());
    assert_eq!(fences(across), shared.lanes.len());
    let written: Value = serde_json::from_slice(&std::fs::read(&written).unwrap()).unwrap();
    assert_eq!(written["share_across_seats"], json!(true));
}

/// Block, jig and cards speak of one set of lanes: where both are made, fences leave room for the coarser; where the jig
/// alone comes out otherwise, it says so.
#[test]
fn block_and_jig_of_a_job_have_the_same_lanes() {
    // Within ±0.1 mm one fence does for both of these, within the ±0.2 mm of wood it does not.
    let two = json!([
        { "name": "one", "tool": "plane-iron", "width": 50, "thickness": 2.4, "primary": 30.07, "micro": 30.07 },
        { "name": "other", "tool": "plane-iron", "width": 50, "thickness": 2.4, "primary": 30.93, "micro": 30.93 } ]);
    let lanes_of = |more: Value| {
        let job = job_with(two.clone(), "narrow-side-clamp", more);
        let wooden = stopwright::jig::files::cutsheet(&job, &()).unwrap_or_else(|e| panic!("{e}")).jig;
        let said = wooden.findings.iter().any(|f| f.message.contains("other lanes than this jig"));
        ([lanes::of_job(&job).unwrap().lanes.len(), wooden.lanes.len()], said)
    };
    assert_eq!(lanes_of(json!({ "wood": {} })), ([2, 2], false));
    assert_eq!(lanes_of(json!({})), ([1, 2], true));
}

/// A primary bevel that the blade has already asks for no fence, and says so; one to be ground does.
#[test]
fn a_bevel_that_stays_as_it_is_gets_no_fence_of_its_own() {
    let jack = |current: f64| {
        let jack = json!({ "name": "jack", "tool": "plane-iron", "width": 50, "thickness": 2.4, "current": current,
            "primary": 25, "micro": 30 });
        planned(&kit_of(json!([jack])), &guide("narrow-side-clamp"), 0.5)
    };
    assert_eq!((jack(25.0).fences.len(), jack(25.0).fence_of()), (1, vec![None, Some(0)]));
    assert_eq!(jack(24.6).fences.len(), 1);
    assert_eq!((jack(27.0).fences.len(), jack(24.0).fences.len()), (2, 2));
    // Where another blade's fence happens to set it, it goes there, and moves nothing.
    let two = |current: Value| {
        let mut blades = json!([
            { "name": "jack", "tool": "plane-iron", "width": 50, "thickness": 2.4, "primary": 25, "micro": 30 },
            { "name": "try plane", "tool": "plane-iron", "width": 50, "thickness": 2.5, "primary": 25, "micro": 33 } ]);
        blades[1]["current"] = current;
        planned(&kit_of(blades), &guide("narrow-side-clamp"), 0.5)
    };
    let (has, alone) = (two(json!(25)), jack(27.0));
    assert_eq!(has.fence_of()[2], has.fence_of()[0]);
    assert_eq!(has.fences[0].distance, alone.fences[0].distance);
    let folder = tempfile::tempdir().unwrap();
    let kit = json!({ "format": 1, "title": "kit", "blades": [
        { "name": "jack", "tool": "plane-iron", "width": 50, "current": 25, "primary": 25, "micro": 30 } ] });
    let said = stdout(&["kit", &file(folder.path(), "kit.json", &kit), "--guide", "narrow-side-clamp"]);
    assert!(said.contains("primary 25°: no lane needed"), "{said}");
    // A bevel that is the edge is honed again and again: that no fence sets it is told.
    let wide = |micro: f64| {
        let wide = json!({ "name": "wide one", "tool": "plane-iron", "width": 90, "current": 30, "primary": 30,
            "micro": micro });
        let unserved = planned(&kit_of(json!([wide])), &guide("narrow-side-clamp"), 0.5).unserved;
        unserved.iter().map(|u| u.angle).collect::<Vec<_>>()
    };
    assert_eq!([wide(30.0), wide(33.0)], [[30.0], [33.0]]);
}

/// A drawer of which one blade is too wide for the guide, and another is to be steeper than it goes.
fn drawer(folder: &Path) -> String {
    let kit = json!({ "format": 1, "title": "kit", "grits": ["P220", "P800"], "blades": [
        { "name": "jack", "tool": "plane-iron", "width": 51, "primary": 25, "micro": 30 },
        { "name": "wide one", "tool": "plane-iron", "width": 90, "primary": 25, "micro": 30 },
        { "name": "scraping iron", "tool": "plane-iron", "width": 50, "primary": 25, "micro": 55 } ] });
    file(folder, "kit.json", &kit);
    file(folder, "reference.json", &reference_guide());
    let job = json!({ "format": 1, "title": "drawer", "guide": "reference.json", "kit": "kit.json", "wood": {} });
    file(folder, "job.json", &job)
}

#[test]
fn one_blade_that_does_not_fit_stops_no_other() {
    let folder = tempfile::tempdir().unwrap();
    let job = drawer(folder.path());
    let out = folder.path().join("made");
    let at = out.display().to_string();
    let made = |arguments: &[&str]| {
        let output = run(&[arguments, &["--out", &at]].concat());
        assert_eq!(output.status.code(), Some(3), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    };
    let said = made(&["make", &job]);
    for words in [
        "LEFT OUT: wide one, primary 25°",
        "LEFT OUT: scraping iron, micro-bevel 55° (this guide sets up to 46",
        "90.00 mm wide",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    for name in ["block.stl", "index.html", "cards.pdf", "cutsheet.pdf", "offsets.json"] {
        assert!(out.join(name).exists(), "{name}");
    }
    let text = |name: &str| std::fs::read_to_string(out.join(name)).unwrap();
    assert!(text("index.html").contains("Hone these without the guide"));
    let offsets: Value = serde_json::from_str(&text("offsets.json")).unwrap();
    assert_eq!(offsets["left_out"].as_array().map(Vec::len), Some(3), "{offsets}");
    assert!(text("cutsheet.json").contains("left_out"));
    // The cards of what is left out say how to go on without the guide.
    let job_read = Job::parse(
        "job.json",
        text("../job.json").as_bytes(),
        &stopwright_program::cli::files::Disk::beside(Path::new(&job)),
    );
    let job_read = job_read.unwrap();
    let set = lanes::of_job(&job_read).unwrap();
    let cards = stopwright::card::cards(job_read.kit.as_ref().unwrap(), &job_read, &set);
    let flags = cards.iter().map(|c| c.flags.concat()).collect::<Vec<_>>();
    assert!(!flags[0].contains("without the guide"));
    assert!(
        flags[1].contains("hone the primary of 25° without the guide") && flags[1].contains("90.00 mm wide"),
        "{}",
        flags[1]
    );
    assert!(
        flags[2].contains("this guide sets up to") && flags[2].contains("take a few light strokes"),
        "{}",
        flags[2]
    );
    for size in [
        stopwright::terms::PaperSize::A5,
        stopwright::terms::PaperSize::Index,
        stopwright::terms::PaperSize::HalfLetter,
    ] {
        for (name, sheet) in card_sheets(&job_read, job_read.kit.as_ref().unwrap(), &cards, size, None) {
            assert_eq!(stopwright::drawing::clash::find(&sheet), [], "{name} {size:?}");
        }
    }
    for command in ["card", "cutsheet", "block"] {
        assert!(made(&[command, &job, "--force"]).contains("LEFT OUT"), "{command}");
    }
    let several =
        run(&["make", &job, home().join("examples/tool-chest.json").to_str().unwrap(), "--only", "stl", "--out", &at]);
    assert_eq!(several.status.code(), Some(3), "{}", String::from_utf8_lossy(&several.stderr));
    assert!(String::from_utf8(several.stdout).unwrap().contains("left out"));
}

#[test]
fn a_strict_job_is_made_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let job = drawer(folder.path());
    let out = folder.path().join("made").display().to_string();
    for command in ["make", "card", "cutsheet", "block"] {
        let said = refusal(&[command, &job, "--strict", "--out", &out]);
        assert!(said.contains("wide one, primary 25°") && said.contains("90.00 mm wide"), "{command}: {said}");
    }
    assert!(!Path::new(&out).exists());
}

#[test]
fn seats_share_fences_only_of_a_kit() {
    let folder = tempfile::tempdir().unwrap();
    let mut job = super::super::support::job_of(1, 1);
    job["share_across_seats"] = json!(true);
    let said = refusal(&["make", &file(folder.path(), "job.json", &job)]);
    assert!(said.contains("share_across_seats") && said.contains("only with a \"kit\""), "{said}");
}

/// In a groove, lands that nobody measured are said first of the blade that has them, with what they may cost.
#[test]
fn lands_that_nobody_measured_are_said_of_their_blade() {
    let folder = tempfile::tempdir().unwrap();
    let blade = |name: &str| json!({ "name": name, "tool": "bench-chisel", "width": 25, "thickness": 3.2 });
    let (mut measured, assumed) = (blade("one"), blade("other"));
    measured["land"] = json!(1.3);
    let kit = json!({ "format": 1, "title": "two", "blades": [measured, assumed] });
    let kit = file(folder.path(), "kit.json", &kit);
    let report: Value =
        serde_json::from_str(&stdout(&["kit", &kit, "--guide", "narrow-side-clamp", "--json"])).unwrap();
    let first = |blade: usize| report["blades"][blade]["flags"][0]["kind"].clone();
    assert_eq!([first(0), first(1)], [Value::Null, json!("land")]);
    let said = stdout(&["kit", &kit, "--guide", "top-clamp"]);
    assert!(!said.contains("side lands"), "no groove, no lands: {said}");
}
