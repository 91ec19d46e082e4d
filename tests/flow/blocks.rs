//! Layout, solid and STL: properties that hold for every job, and the rules of the whole block.

use std::io::Cursor;
use std::process::Output;

use approx::assert_relative_eq;
use proptest::prelude::*;
use serde_json::json;

use super::solids::hold_shell_against_mesh;
use super::support::{any_job, file, job_of, laid_out, parsed, program};
use stopwright::block::files::Printed;
use stopwright::block::{self, check, files, regions, slabs};
use stopwright::format::Wanted;
use stopwright::format::stl;
use stopwright::guide::Taken;
use stopwright::input::length::Length;
use stopwright::lanes;
use stopwright::layout::order;
use stopwright::make::{self, Made, NotMade};
use stopwright::shape::polygon::{self, doubled_area};
use stopwright::solid;
use stopwright::solid::probe::ALLOWED;
use stopwright::terms::Edge;
use stopwright::units::fixed;

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, max_global_rejects: 4000, ..ProptestConfig::default() })]

    /// Shell closed and mesh watertight and of the right volume (else `make` fails), fences where they are meant,
    /// and every number on the drawing the one of the offsets.
    #[test]
    fn every_block_that_is_made_is_sound(value in any_job()) {
        let job = parsed(&value);
        match make::make(&job, Wanted::everything(), &()) {
            Ok(made) => sound(&made)?,
            Err(NotMade::NoLanes(_) | NotMade::Block(files::NotMade::Refused(_))) => return Err(TestCaseError::reject("refused")),
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        }
    }
}

fn sound(made: &Made) -> Result<(), TestCaseError> {
    prop_assert_eq!(made.blocks.iter().map(|b| b.layout.lanes.len()).sum::<usize>(), made.offsets.lanes.len());
    for printed in &made.blocks {
        sound_block(made, printed)?;
    }
    Ok(())
}

fn sound_block(made: &Made, printed: &Printed) -> Result<(), TestCaseError> {
    let Printed { name, layout, stack, readings, .. } = printed;
    let block = &solid::build(stack.clone()).unwrap();
    let file = |ending: &str| {
        let name = format!("{name}.{ending}");
        &made.artifacts.iter().find(|a| a.name == name).unwrap().bytes
    };
    // The mesh, read back by a reader that is not ours, has the slabs' volume.
    let mesh = stl_io::read_stl(&mut Cursor::new(file("stl"))).unwrap();
    prop_assert!(mesh.validate().is_ok(), "stl_io finds the mesh broken");
    let slabs: f64 =
        block.stack.slabs.iter().map(|s| polygon::area(&s.region) * f64::from(s.z[1] - s.z[0]) / 1000.0).sum();
    prop_assert!((block.mesh.volume() - slabs).abs() < 1e-9 * slabs);
    hold_shell_against_mesh(block);
    let low = mesh.vertices.iter().map(|v| v[2]).fold(f32::INFINITY, f32::min);
    prop_assert_eq!(low, 0.0);
    // Fences.
    prop_assert_eq!(readings.len(), layout.lanes.len());
    prop_assert!(readings.iter().all(|r| r.difference() <= ALLOWED));
    // The drawing.
    // Table and notes have a sheet of their own where one does not take all.
    let of_drawing = |file: &str| file == format!("{name}.svg") || file.starts_with(&format!("{name}-sheet-"));
    let svg: String = made
        .artifacts
        .iter()
        .filter(|a| of_drawing(&a.name) && a.name.ends_with(".svg"))
        .map(|a| String::from_utf8(a.bytes.clone()).unwrap())
        .collect();
    let here = |id: &str| layout.lanes.iter().any(|p| p.lane.request.id == id);
    for offset in made.offsets.lanes.iter().filter(|o| here(&o.id)) {
        let cell = format!("data-value=\"{}\" id=\"table-{}-fence_distance\"", offset.fence_distance, offset.id);
        prop_assert!(svg.contains(&cell), "{}", cell);
        let words = fixed(offset.fence_distance, 2);
        prop_assert!(svg.contains(&words), "{}", words);
    }
    // The raised middle keeps its thickness, and no lane overlaps another.
    for edge in [&layout.near, &layout.far] {
        prop_assert!(edge.windows(2).all(|w| (w[0].x[1] - w[1].x[0]).abs() < 1e-9));
        prop_assert!((edge[0].x[0].abs() + (edge[edge.len() - 1].x[1] - layout.length).abs()) < 1e-9);
    }
    prop_assert!(layout.depth + 1e-9 >= order::depth(&layout.near, &layout.far, layout.middle));
    Ok(())
}

/// The blade must come off the fence's foot and lie in its own lane: widths, margins and edges as the design says.
#[test]
fn lanes_are_as_wide_as_their_blades_need_and_end_lanes_let_the_whole_face_bear() {
    let (job, layout) = laid_out(&job_of(3, 3));
    let face = job.guide.face.width.unwrap().mm;
    for placed in &layout.lanes {
        let beside = [placed.centre - placed.x[0], placed.x[1] - placed.centre];
        for side in beside {
            assert!(side >= placed.blade_width / 2.0 + job.block.clearance - 1e-9);
        }
        assert!(placed.centre >= face / 2.0 - 1e-9 && layout.length - placed.centre >= face / 2.0 - 1e-9);
    }
    let of = |edge| layout.lanes.iter().filter(move |p| p.edge == edge).map(|p| p.lane.setting.fence_distance);
    assert!(of(Edge::Near).is_sorted_by(|a, b| a >= b), "near edge by falling projection");
    assert!(of(Edge::Far).is_sorted_by(|a, b| a <= b), "far edge by rising projection");
}

#[test]
fn each_refusal_of_the_block_says_its_limit() {
    let refused = |change: &dyn Fn(&mut serde_json::Value)| {
        let mut value = job_of(1, 0);
        change(&mut value);
        match make::make(&parsed(&value), Wanted::everything(), &()) {
            Err(NotMade::Block(files::NotMade::Refused(e))) => e.to_string(),
            other => panic!("not refused: {}", other.is_ok()),
        }
    };
    let low = refused(&|v| v["block"] = json!({ "fence_height": 4 }));
    assert!(low.contains("give at least 4.80 mm"), "{low}");
    let thick = refused(&|v| v["settings"][0]["thickness"] = json!(6));
    assert!(thick.contains("it holds 1.50 mm to 5.00 mm"), "{thick}");
    let wide = refused(&|v| v["settings"][0]["width"] = json!(70));
    assert!(wide.contains("it holds 35.00 mm to 67.00 mm"), "{wide}");
    let steep = refused(&|v| v["settings"][0]["angles"] = json!([60]));
    assert!(steep.contains("clear the stone by more than 0.5 mm"), "{steep}");
    let heel = refused(&|v| v["settings"][0]["primary"] = json!(30));
    assert!(heel.contains("Regrind the primary to 22° or less"), "{heel}");
}

/// Found by fuzzing: a guide that says nothing of its seat and face takes blades of half a millimetre, whose block is so
/// short that the notches for the seam met in it, and the mesh was not closed.
#[test]
fn blocks_of_the_narrowest_blades_are_sound() {
    let folder = tempfile::tempdir().unwrap();
    let guide = json!({ "format": 1, "name": "own", "roller": { "diameter": 23.15 },
        "face": { "axle_to_face": -9.91 }, "seats": { "chisel": { "height": 23.225, "locates": "underside" } } });
    file(folder.path(), "own.json", &guide);
    for angles in [json!([50]), json!([50, 51.59]), json!([50, 51.59, 53.18])] {
        for width in [0.5, 0.65, 0.7, 1.0, 2.0, 3.0, 4.5, 6.0] {
            let job = json!({ "format": 1, "title": "narrow", "guide": "own.json", "block": { "clearance": 0.2 },
                "settings": [{ "tool": "plane-iron", "angles": angles, "width": width }] });
            let path = file(folder.path(), "job.json", &job);
            let make = |more: &[&str]| {
                let out = folder.path().join("out");
                program().args(["make", &path, "--out"]).arg(out).args(more).output().unwrap()
            };
            let said = |output: &Output| String::from_utf8_lossy(&output.stderr).into_owned();
            let block = make(&["--only", "stl"]);
            assert_eq!(block.status.code(), Some(0), "{width} {angles}: {}", said(&block));
            // Drawings need room for their words.
            let all = make(&[]);
            let is_drawn = all.status.code() == Some(0);
            assert!(
                is_drawn || width < 3.0 && said(&all).contains("more clearance"),
                "{width} {angles}: {}",
                said(&all)
            );
        }
    }
}

/// Found by random jobs: 2.72 mm and the 2 mm over it are a hair more than 4.72 mm when all are stored, and the fence
/// height that a refusal had named was refused.
#[test]
fn a_fence_height_that_is_named_as_enough_is_enough() {
    for (thickness, height, is_enough) in [(2.72, 4.72, true), (3.06, 5.06, true), (2.72, 4.71, false)] {
        let mut value = job_of(1, 0);
        value["settings"][0]["thickness"] = json!(thickness);
        value["block"] = json!({ "fence_height": height });
        let made = make::make(&parsed(&value), Wanted::everything(), &());
        assert_eq!(made.is_ok(), is_enough, "{thickness}, {height}: {:?}", made.err());
    }
}

/// Four millimetres over the thickest blade as its tolerance may have it, in whole millimetres, and never below eight.
#[test]
fn fences_stand_over_the_thickest_blade() {
    for (thickness, within, height) in [(2.4, 0.1, 8.0), (4.0, 0.0, 8.0), (4.0, 0.1, 9.0), (4.9, 0.2, 10.0)] {
        let mut value = job_of(1, 1);
        value["settings"][0]["thickness"] = json!({ "value": thickness, "within": within });
        value["settings"][1]["thickness"] = json!({ "value": 2, "within": 0.1 });
        assert_eq!(laid_out(&value).1.fence_height, height, "{thickness} ± {within}");
    }
}

#[test]
fn a_block_larger_than_the_bed_is_said_to_be() {
    let mut value = job_of(6, 6);
    value["print"] = json!({ "bed": [200, 150] });
    let (_, layout) = laid_out(&value);
    assert!(layout.findings.iter().any(|f| f.message.contains("the printer's bed 200 × 150 mm")));
    value["print"] = json!({ "bed": [400, 400] });
    let (_, layout) = laid_out(&value);
    assert!(!layout.findings.iter().any(|f| f.message.contains("bed")));
}

/// A guide whose roller stands out past its face: the usual thickness gives way, a stated one is refused.
#[test]
fn the_usual_thickness_gives_way_to_a_roller() {
    let job = |thickness: serde_json::Value| {
        let mut value = job_of(1, 0);
        value["block"] = json!({ "thickness": thickness });
        let mut job = parsed(&value);
        job.guide.roller.diameter = Length::exact(24.0);
        job.guide.face.axle_to_face = Taken::Direct(Length::exact(6.0));
        job
    };
    // n_u − √(r² − e²) = 21.9 − √(12² − 6²) = 11.508 mm; half a millimetre clear and rounded down: 11 mm.
    let set = lanes::of_job(&job(json!(null))).unwrap();
    assert_eq!(set.edge.thickness, 11.0);
    assert!(block::lay_out(&job(json!(null)), &set).is_ok());
    let stated = job(json!(12));
    let refused = block::lay_out(&stated, &lanes::of_job(&stated).unwrap()).unwrap_err().to_string();
    assert!(refused.contains("at most 11.50 mm"), "{refused}");
}

/// A plain plate's volume by hand: no reliefs, marks, holes, labels or notches.
#[test]
fn the_volume_of_a_plain_block_is_board_and_middle() {
    let mut value = job_of(1, 0);
    value["block"] =
        json!({ "foot_relief": false, "front_relief": false, "marks": false, "screw_holes": false, "labels": "none" });
    value["print"] = json!({ "seam_notch": false });
    let (_, layout) = laid_out(&value);
    let fence = (layout.lanes[0].lane.setting.fence_distance * 1000.0).round() / 1000.0;
    let by_hand =
        layout.length * layout.depth * layout.thickness + layout.length * (layout.depth - fence) * layout.fence_height;
    assert_relative_eq!(slabs::build(&layout).unwrap().mesh.volume(), by_hand, max_relative = 1e-12);
}

/// The check itself: a mesh that was tampered with is found out.
#[test]
fn a_shifted_fence_is_measured() {
    let (_, layout) = laid_out(&job_of(2, 1));
    let block = slabs::build(&layout).unwrap();
    let mut mesh = block.mesh.clone();
    let first = &layout.lanes[0];
    let fence = first.lane.setting.fence_distance;
    for corner in mesh.corners.iter_mut().filter(|c| c[2] >= layout.thickness && (c[1] - fence).abs() < 0.001) {
        corner[1] += 0.002;
    }
    let stl = stl::write(&mesh, "shifted").unwrap();
    let error = check::measure(&stl, &layout, [1.0; 3]).unwrap_err().to_string();
    assert!(error.contains(&first.lane.request.id) && error.contains("0.00"), "{error}");
    let sound = stl::write(&block.mesh, "sound").unwrap();
    assert!(check::measure(&sound, &layout, [1.0; 3]).is_ok());
    assert!(check::measure(&sound[..200], &layout, [1.0; 3]).is_err());
}

/// Binary STL: 80-byte header, count, 50 bytes a facet (layout of the format as published with it, from memory).
#[test]
fn the_stl_has_the_formats_layout() {
    let (_, layout) = laid_out(&job_of(1, 1));
    let block = slabs::build(&layout).unwrap();
    let stl = stl::write(&block.mesh, "Über ⌀").unwrap();
    let count = u32::from_le_bytes(stl[80..84].try_into().unwrap()) as usize;
    assert_eq!(count, block.mesh.triangles.len());
    assert_eq!(stl.len(), 84 + 50 * count);
    assert!(stl.starts_with(b"Stopwright") && !stl.starts_with(b"solid"));
    assert!(stl[..80].is_ascii());
}

/// Regions are what the solid is built of: outlines turn the right way and lie inside the board.
#[test]
fn regions_wind_the_right_way() {
    let (_, layout) = laid_out(&job_of(4, 3));
    let r = regions::regions_of(&layout);
    for region in [&r.board, &r.foot, &r.grooved, &r.middle] {
        assert!(doubled_area(&region[0]) > 0);
        assert!(region[1..].iter().all(|hole| doubled_area(hole) < 0));
    }
    assert_eq!(r.grooves.len(), 7);
    assert_eq!(r.marks.len(), 21);
}

/// The same job gives the same bytes.
#[test]
fn making_twice_gives_the_same_bytes() {
    let job = parsed(&job_of(3, 3));
    let [a, b] = [0, 1].map(|_| make::make(&job, Wanted::everything(), &()).unwrap().artifacts);
    assert_eq!(a, b);
}
