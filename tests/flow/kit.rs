//! Kits: what is advised, the fewest fences, the block for them, the command.

mod fewest;
mod files;
mod kept;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::simulation;
use super::support::home;
use stopwright::drawing::Mark;
use stopwright::format::Wanted;
use stopwright::guide::Guide;
use stopwright::guide::named::{self, NoFiles, Sources};
use stopwright::input::length::Length;
use stopwright::job::Job;
use stopwright::kit::Kit;
use stopwright::kit::advice::{self, Advice, SteeperBy};
use stopwright::kit::interval::Bench;
use stopwright::lane::{BlockEdge, Lane};
use stopwright::make;
use stopwright::units::{Units, Written};
use stopwright::verify::corrections::{self, Of};
use stopwright::verify::{readings, verdict};
use stopwright::views::side_view::{self, Stand};
use stopwright::{lanes, solve};

/// The block's edge where nothing tells another.
const EDGE: BlockEdge = BlockEdge { thickness: 12.0, relief: 0.6, fence_within: Some(0.1) };

fn guide(name: &str) -> Guide {
    named::guide(name, &NoFiles).unwrap()
}

fn kit_of(blades: Value) -> Kit {
    let text = json!({ "format": 1, "title": "kit", "blades": blades }).to_string();
    Kit::parse("kit.json", text.as_bytes(), &NoFiles).unwrap_or_else(|e| panic!("{e}"))
}

fn advised(kit: &Kit) -> Vec<Advice> {
    kit.blades.iter().map(advice::advise).collect()
}

fn bench(guide: &Guide, tolerance: f64) -> Bench<'_> {
    Bench {
        guide,
        level: Length::exact(0.0),
        edge: EDGE,
        tolerance,
        across_seats: false,
        made_within: 0.1,
        written: Written::of(Units::Mm),
    }
}

/// A blade that the narrow side-clamp holds, with both angles stated.
fn any_blade() -> impl Strategy<Value = Value> {
    let taper = prop_oneof![3 => Just(0.0), 1 => -0.8..0.8f64];
    // Some are ground so far down that they do not reach every fence.
    let length = prop_oneof![2 => Just(None), 1 => (25.0..110.0f64).prop_map(Some)];
    (any::<bool>(), 2.1..4.0f64, 12.0..40.0f64, 0.0..12.0f64, taper, 0.7..1.0f64, length).prop_map(
        |(chisel, thickness, primary, more, taper, land, length)| {
            let mut blade = json!({
                "tool": if chisel { "bench-chisel" } else { "plane-iron" },
                "width": if chisel { 20 } else { 50 },
                "thickness": thickness,
                "taper": taper,
                "primary": primary,
                "micro": primary + more,
                "length": length,
            });
            if chisel {
                blade["land"] = json!(land * thickness);
            }
            blade
        },
    )
}

/// Kits of so many blades.
fn any_kit(blades: std::ops::Range<usize>) -> impl Strategy<Value = Kit> {
    prop::collection::vec(any_blade(), blades).prop_map(|mut blades| {
        blades.iter_mut().enumerate().for_each(|(i, blade)| blade["name"] = json!(format!("blade {i}")));
        kit_of(json!(blades))
    })
}

/// The examples of the project, as files.
struct Examples;

impl Sources for Examples {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        let bytes = std::fs::read(home().join("examples").join(path)).map_err(|e| e.to_string())?;
        Ok((path.to_string(), bytes))
    }
}

fn demo_job() -> Job {
    let (name, bytes) = Examples.load("alder-lane-kit-job.json").unwrap();
    Job::parse(&name, &bytes, &Examples).unwrap_or_else(|e| panic!("{e}"))
}

/// A blade's section in its plane, drawn and measured: the sole is y = 0, the edge at the origin, the shaving comes
/// from the right. No formula of the advice is used; the bevel is the back turned about the edge.
fn drawn(bed: f64, edge: f64, up: bool) -> [f64; 2] {
    let turned = |degrees: f64| {
        let (sin, cos) = degrees.to_radians().sin_cos();
        [-cos, sin]
    };
    // The face that lies on the bed rises to the left at the bed's angle; bevel down, that is the back's other side,
    // and the back itself is parallel to it.
    let back = turned(bed);
    let by = edge.to_radians() * if up { 1.0 } else { -1.0 };
    let (sin, cos) = by.sin_cos();
    // Turning a face that points left by a positive angle steepens it.
    let bevel = [back[0] * cos + back[1] * sin, back[1] * cos - back[0] * sin];
    let above_sole = |v: [f64; 2]| v[1].atan2(-v[0]).to_degrees();
    let (rake, relief) = if above_sole(back) > above_sole(bevel) { (back, bevel) } else { (bevel, back) };
    [above_sole(rake), above_sole(relief)]
}

#[test]
fn cutting_angle_and_clearance_are_those_of_the_drawn_section() {
    for bed in [12.0, 20.0, 42.5, 45.0, 55.0] {
        for edge in [25.0, 28.5, 33.0, 40.0] {
            for up in [false, true] {
                let blade = json!({ "name": "it", "tool": "plane-iron", "bed": bed, "bevel": if up { "up" } else { "down" },
                    "primary": edge, "micro": edge });
                let cutting = advised(&kit_of(json!([blade]))).remove(0).cutting.unwrap();
                let [angle, clearance] = drawn(bed, edge, up);
                assert!((cutting.angle - angle).abs() < 1e-9, "{bed} {edge} {up}: {} {angle}", cutting.angle);
                assert!((cutting.clearance - clearance).abs() < 1e-9, "{bed} {edge} {up}");
            }
        }
    }
}

#[test]
fn the_steeper_way_gives_the_wanted_cutting_angle() {
    for (bed, up) in [(12.0, true), (20.0, true), (40.0, false), (45.0, false), (49.0, false)] {
        let blade = json!({ "name": "it", "tool": "plane-iron", "bed": bed, "bevel": if up { "up" } else { "down" },
            "primary": 25, "micro": 28, "use": ["reversing-grain"] });
        let steeper = advised(&kit_of(json!([blade]))).remove(0).cutting.unwrap().steeper.unwrap();
        let reached = match steeper.by {
            SteeperBy::Micro(edge) => drawn(bed, edge, true)[0],
            // A back bevel turns the face that lifts the shaving up about the edge.
            SteeperBy::BackBevel(more) => drawn(bed + more, 28.0 + more, false)[0],
        };
        assert!((reached - steeper.wanted).abs() < 1e-9, "{bed} {up}: {reached}");
    }
}

/// From the written STL back to every blade's angles, by the solver and by the simulation that knows no closed form.
#[test]
fn the_block_of_the_kit_gives_every_blade_its_angles() {
    let job = demo_job();
    let kit = job.kit.as_ref().unwrap();
    let made = make::make(&job, Wanted::block(), &()).unwrap_or_else(|e| panic!("{e}"));
    let mut served = Vec::new();
    for reading in made.blocks.iter().flat_map(|b| &b.readings) {
        let lane = made.lanes.lanes.iter().find(|l| l.request.id == reading.id).unwrap();
        assert!(lane.limits[0] <= lane.fence() && lane.fence() <= lane.limits[1]);
        for (member, measured) in lane.members.iter().flat_map(|m| reading.measured.map(|end| (m, end))) {
            let set = solve::angle_of_fence(&member.section, measured, lane.edge_shape).unwrap();
            assert!((set - member.wanted).abs() <= job.tolerance, "{}: {set} for {}", member.name, member.wanted);
            let primary = member.request.primary.unwrap() - 2.0;
            let seen = simulation::seen(&member.section, made.lanes.edge, primary, measured).unwrap();
            assert!((seen - set).abs() < 1e-9, "{}: {seen} seen, {set}", member.name);
            served.push((member.name.clone(), member.wanted));
        }
    }
    let wanted = advised(kit);
    for (blade, advice) in kit.blades.iter().zip(&wanted) {
        // A primary bevel that the blade has already may go without.
        let passes = blade.current == Some(advice.primary.angle);
        for (angle, may_lack) in [(advice.primary.angle, passes), (advice.micro.angle, false)] {
            assert!(may_lack || served.contains(&(blade.name.clone(), angle)), "{} {angle}", blade.name);
        }
    }
}

#[test]
fn a_kits_lanes_are_laid_out_verified_and_corrected_like_any_other() {
    let mut job = demo_job();
    let mut set = lanes::of_job(&job).unwrap();
    let ids: Vec<&str> = set.lanes.iter().map(|l| l.request.id.as_str()).collect();
    assert_eq!(ids, (0..ids.len()).map(stopwright::terms::letter).collect::<Vec<_>>());
    let seat_and_fence = |l: &Lane| (l.request.seat, -l.fence());
    assert!(set.lanes.windows(2).all(|w| seat_and_fence(&w[0]) < seat_and_fence(&w[1])), "by seat, the farthest first");
    for lane in &set.lanes {
        let worst = lane.worst_at(lane.fence()).unwrap();
        assert!(worst.error().abs() <= job.tolerance);
        // Just outside of the limits a blade leaves its tolerance, or breaks a rule.
        let shared = lane.members.len() > 1;
        assert!(!shared || lane.worst_at(lane.limits[0] - 0.01).unwrap().error().abs() > worst.error().abs());
    }
    // Measured a tenth too far, moved back, and measured right.
    let measured = json!({ "format": 1, "lanes": set.lanes.iter().map(|l|
        json!({ "id": l.request.id, "measured": { "value": l.fence() + 0.1, "within": 0.02 } })).collect::<Vec<_>>() });
    let readings =
        readings::Readings::parse("m.json", measured.to_string().as_bytes(), &set).unwrap_or_else(|e| panic!("{e}"));
    let verdicts =
        verdict::judge(&set, &readings, verdict::Sheets::of(&job, Of::Block), job.tolerance, verdict::Rule::Simple)
            .unwrap();
    let corrections = corrections::corrections_from(Of::Block, &job, &set, &verdicts, None).unwrap();
    let bytes = serde_json::to_vec(&corrections).unwrap();
    let fences: Vec<f64> = set.lanes.iter().map(|l| l.fence()).collect();
    corrections::apply("c.json", &bytes, Of::Block, &mut job, &mut set).unwrap();
    for (lane, fence) in set.lanes.iter().zip(fences) {
        // Moved back to what the sheet asks for, which is rounded to hundredths of a millimetre.
        assert!((lane.fence() - (fence - 0.1)).abs() <= 0.005 + 1e-9);
    }
    make::make_of(&job, set, Wanted::block(), &()).unwrap_or_else(|e| panic!("{e}"));
}

/// Where blades of both seats share lanes, the roller of the one that is drawn is dimensioned: down to the drawn circle.
#[test]
fn a_side_view_dimensions_the_roller_that_it_draws() {
    let job = Job { across_seats: true, ..demo_job() };
    let set = lanes::of_job(&job).unwrap();
    let mut shared = 0;
    for lane in &set.lanes {
        let stand = Stand::Block { edge: set.edge, fence_height: 9.0, overhang: 5.0, foot_relief: true };
        let sheet = side_view::sheet(&job.guide, None, lane, stand, None, job.projection_angle);
        let group = |id: &str| sheet.groups.iter().find(|g| g.id == id).unwrap();
        let circle = group("guide-roller").marks.iter().find_map(|m| match m {
            Mark::Circle { centre, radius, .. } => Some(centre.y + radius),
            _ => None,
        });
        let table = group("block").marks.iter().find_map(|m| match m {
            Mark::Path { contours, .. } => Some(contours[0][3].y),
            _ => None,
        });
        let [one, other] = sheet.scale.split(':').map(|n| n.parse::<f64>().unwrap()).collect::<Vec<_>>()[..] else {
            panic!("{}", sheet.scale)
        };
        let drawn = (circle.unwrap() - table.unwrap()) * other / one;
        let said = group("dim-roller-below-table").data.iter().find(|(name, _)| *name == "value").unwrap();
        assert!((said.1.parse::<f64>().unwrap() - drawn).abs() < 1e-6, "{}: {} {drawn}", lane.request.id, said.1);
        shared += usize::from((lane.roller_below_table - drawn).abs() > 0.01);
    }
    assert!(shared > 0, "no lane has a blade whose roller reaches further down than the drawn one's");
}

#[test]
fn the_wooden_jig_of_a_kit_is_drawn() {
    let made = stopwright::jig::files::cutsheet(&demo_job(), &()).unwrap_or_else(|e| panic!("{e}"));
    assert!(made.jig.lanes.iter().all(|p| p.label().starts_with(char::is_uppercase)));
    assert!(!made.artifacts.is_empty());
}
