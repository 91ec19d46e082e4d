//! The block's files for other programs, and its picture: what they hold is what the slabs are.

use std::collections::HashSet;
use std::io::Cursor;

use lib3mf::Model;
use serde_json::json;

use super::support::{job_of, laid_out};
use stopwright::block::sheets::picture;
use stopwright::block::slabs;
use stopwright::drawing::axonometric::Direction;
use stopwright::drawing::clash;
use stopwright::format::{png, step, svg, threemf};
use stopwright::shape::stack::Stack;
use stopwright::solid::{Solid, shell};

const TITLE: &str = "Ålder \"Lane\" <tools> & more, it's 30°";

fn block(irons: usize, chisels: usize) -> Solid {
    let mut value = job_of(irons, chisels);
    value["title"] = json!(TITLE);
    slabs::build(&laid_out(&value).1).unwrap()
}

fn step_of(stack: &Stack) -> String {
    let shell = shell::build(stack).unwrap();
    let part = step::Part { name: TITLE, shell: &shell, place: [0.0; 3] };
    String::from_utf8(step::write(&[part], TITLE).unwrap()).unwrap()
}

#[test]
fn the_3mf_holds_the_mesh_and_the_words() {
    let block = block(3, 3);
    let part = threemf::Part { name: TITLE, mesh: &block.mesh, place: [12.5, 7.0, 0.0] };
    let about = threemf::About { title: TITLE, description: "Made for a narrow side-clamp." };
    let bytes = threemf::write(&[part], &about).unwrap();
    assert_eq!(bytes, threemf::write(&[part], &about).unwrap());
    // Source: PKWARE's APPNOTE, 4.3.7: a ZIP file begins with PK 3 4.
    assert!(bytes.starts_with(b"PK\x03\x04"));
    let model = Model::from_reader(Cursor::new(bytes)).unwrap();
    assert_eq!(model.unit, "millimeter");
    assert_eq!(model.get_metadata("Description"), Some(about.description));
    let object = &model.resources.objects[0];
    // The library's own reader leaves attributes escaped.
    let name = object.name.as_deref().unwrap_or_default().replace("&quot;", "\"").replace("&apos;", "'");
    assert_eq!(name.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&"), TITLE);
    let mesh = object.mesh.as_ref().unwrap();
    assert_eq!(mesh.vertices.iter().map(|v| [v.x, v.y, v.z]).collect::<Vec<_>>(), block.mesh.corners);
    let triangles = mesh.triangles.iter().map(|t| [t.v1, t.v2, t.v3].map(|i| i as u32));
    assert_eq!(triangles.collect::<Vec<_>>(), block.mesh.triangles);
}

#[test]
fn the_step_file_is_whole_and_has_the_corners_of_the_slabs() {
    let block = block(4, 3);
    let text = step_of(&block.stack);
    assert_eq!(text, step_of(&block.stack));
    assert!(text.is_ascii());
    let entities: HashSet<&str> =
        text.lines().filter(|l| l.starts_with('#')).filter_map(|l| l.split_once('=').map(|(id, _)| id)).collect();
    let used = text.split('#').skip(1).map(|s| s.split(|c: char| !c.is_ascii_digit()).next().unwrap());
    assert!(used.clone().count() > 1000);
    assert!(used.clone().all(|id| entities.contains(format!("#{id}").as_str())));
    let points = text.lines().filter_map(|l| l.split_once("=CARTESIAN_POINT('',(")).map(|(_, p)| {
        let numbers = p.trim_end_matches("));").split(',').map(|n| (n.parse::<f64>().unwrap() * 1000.0).round() as i32);
        numbers.collect::<Vec<i32>>()
    });
    let points: HashSet<Vec<i32>> = points.collect();
    for slab in &block.stack.slabs {
        for [x, y] in slab.region.iter().flatten() {
            assert!(slab.z.iter().all(|z| points.contains(&vec![*x, *y, *z])), "{x} {y}");
        }
    }
}

#[test]
fn the_picture_is_drawn_from_every_side_and_is_not_empty() {
    for (irons, chisels) in [(1, 0), (3, 3), (10, 10)] {
        let stack = block(irons, chisels).stack;
        for (azimuth, elevation) in [(30.0, 40.0), (-150.0, 20.0), (0.0, 90.0), (90.0, 0.0), (200.0, -35.0)] {
            let picture = picture::picture(&stack, TITLE, Direction { azimuth, elevation });
            assert_eq!(clash::find(&picture.sheet), []);
            let text = String::from_utf8(svg::write_part(&picture.sheet, picture.area)).unwrap();
            assert!(text.contains("id=\"block-faces\"") && text.contains("&lt;tools&gt;"));
            let [width, height] = [picture.area.width(), picture.area.height()];
            let frame = png::Frame { area: picture.area, per_mm: 400.0 / width };
            let bytes = png::write(&picture.sheet, &frame).unwrap();
            assert_eq!(bytes, png::write(&picture.sheet, &frame).unwrap());
            let mut decoder = ::png::Decoder::new(Cursor::new(bytes));
            decoder.set_transformations(::png::Transformations::EXPAND);
            let mut reader = decoder.read_info().unwrap();
            let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
            let info = reader.next_frame(&mut pixels).unwrap();
            assert_eq!((info.width, info.height), (400, (height * frame.per_mm).round() as u32));
            assert_eq!(pixels[..3], [0xff; 3], "the ground is white");
            let dark = pixels.chunks(3).filter(|p| p.iter().all(|c| *c < 0x80)).count();
            assert!(dark > 400, "{azimuth} {elevation}: {dark}");
        }
    }
}
