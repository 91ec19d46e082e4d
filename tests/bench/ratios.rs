//! Times from the stack of slabs to a checked mesh, to the shell and to an STL, as JSON.
//!
//! `cargo bench --bench ratios` prints the times, and with `-- --polygons` the outlines of the labelled demo as well, in
//! µm, so that `tests/oracles/speed.py` can have other programs make the same solid.

use std::hint::black_box;
use std::time::Instant;

use serde_json::{Value, json};
use stl_io::{Normal, Triangle, Vertex};

use stopwright::block::slabs;
use stopwright::format::Wanted;
use stopwright::format::stl;
use stopwright::make;
use stopwright::shape::stack::Stack;
use stopwright::solid::mesh::{self, Mesh};
use stopwright::solid::{self, levels, shell};
use stopwright::terms::Labels;

#[path = "labelled.rs"]
mod labelled;

const DEMO: &str = include_str!("../../examples/tool-chest.json");
const LANES: [usize; 3] = [6, 60, 600];
/// The shell of more triangles than this takes minutes.
const SHELL_UP_TO: usize = 100_000;

fn main() {
    let with_polygons = std::env::args().any(|a| a == "--polygons");
    let mut demo = labelled::parsed(DEMO);
    let mut cases = Vec::new();
    for (name, labels) in [("sunk", Labels::Sunk), ("raised", Labels::Raised)] {
        demo.block.labels = labels;
        let layout = labelled::plan(&demo);
        let stack = slabs::stack_of(&layout);
        let mut case = timed(&format!("demo, {name}"), layout.lanes.len(), &stack);
        if with_polygons {
            case["slabs"] = stack
                .slabs
                .iter()
                .map(|s| json!({ "z": s.z, "region": s.region.iter().map(|o| o.to_vec()).collect::<Vec<_>>() }))
                .collect();
        }
        cases.push(case);
    }
    for lanes in LANES {
        let layout = labelled::plan(&labelled::job(lanes));
        cases.push(timed(&format!("{lanes} lanes, sunk"), lanes, &slabs::stack_of(&layout)));
    }
    println!("{}", json!({ "cases": cases, "stl_of_make": stl_of_make() }));
}

/// All times of one stack, seconds.
fn timed(name: &str, lanes: usize, stack: &Stack) -> Value {
    let block = solid::build(stack.clone()).expect("sound");
    let mesh = &block.mesh;
    let ready = triangles(mesh);
    let mesh_alone = median(|| (), |()| mesh::triangulate(stack, &levels::levels_of(stack)));
    let checked = median(|| stack.clone(), solid::build);
    let with_shell = (ready.len() <= SHELL_UP_TO)
        .then(|| median(|| stack.clone(), |s| (shell::build(&s).expect("closed"), solid::build(s))));
    let stl = median(|| (), |()| stl::write(mesh, "bench").expect("written"));
    let bare = median(Vec::new, |mut bytes: Vec<u8>| stl_io::write_stl(&mut bytes, ready.iter()).map(|()| bytes));
    json!({
        "name": name, "lanes": lanes, "triangles": ready.len(), "volume": mesh.volume(),
        "corners": stack.slabs.iter().flat_map(|s| &s.region).map(|o| o.len()).sum::<usize>(),
        "mesh": mesh_alone, "checked": checked, "with_shell": with_shell, "stl": stl, "bare_stl": bare,
    })
}

/// The triangles as `stl_io` takes them. It does not look at the normals.
fn triangles(mesh: &Mesh) -> Vec<Triangle> {
    let corner = |i: u32| Vertex::new(mesh.corners[i as usize].map(|v| v as f32));
    let triangle = |t: &[u32; 3]| Triangle { normal: Normal::new([0.0; 3]), vertices: t.map(corner) };
    mesh.triangles.iter().map(triangle).collect()
}

/// Share of the demo's whole run that writing its STL takes.
fn stl_of_make() -> f64 {
    let job = labelled::parsed(DEMO);
    let share = |_: usize| {
        let start = Instant::now();
        let made = make::make(&job, Wanted::everything(), &()).expect("made");
        let all = start.elapsed().as_secs_f64();
        let meshes: Vec<_> = made.blocks.iter().map(|b| solid::build(b.stack.clone()).expect("sound").mesh).collect();
        let start = Instant::now();
        for (block, mesh) in made.blocks.iter().zip(&meshes) {
            black_box(stl::write(mesh, &block.layout.title).expect("written"));
        }
        start.elapsed().as_secs_f64() / all
    };
    middle((0..9).map(share).collect())
}

/// Median time, seconds, of what takes a fresh value each time: at least 5 runs, at most 101, about two seconds.
fn median<T, R>(fresh: impl Fn() -> T, run: impl Fn(T) -> R) -> f64 {
    let mut times: Vec<f64> = Vec::new();
    while times.len() < 5 || times.len() < 101 && times.iter().sum::<f64>() < 2.0 {
        let value = fresh();
        let start = Instant::now();
        let made = black_box(run(black_box(value)));
        times.push(start.elapsed().as_secs_f64());
        drop(made);
    }
    middle(times)
}

fn middle(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
