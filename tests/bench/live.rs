//! How long a page waits that lays the block out anew at every change: `cargo bench --bench live`, and with
//! `-- kit layout` only what has all these words in its name.
//!
//! Every stage is repeated in one process, on the labelled demo, on a kit of eight lanes, and on twelve lanes that take
//! two blocks; and whole answers of the page as they go over the wire. The first call of all finds nothing remembered of
//! the font; it stands beside the least, the middle and the 95th of 100. All stages but the layout are those of one block
//! or one lane.

use std::cell::Cell;
use std::hint::black_box;
use std::time::Instant;

use stopwright::answer::bench::FormName;
use stopwright::answer::{Bench, Reply, Request, Want, answer, wire};
use stopwright::block::sheets::{drawing, picture};
use stopwright::block::{self, slabs};
use stopwright::format::svg;
use stopwright::guide::named::Sources;
use stopwright::job::Job;
use stopwright::lane::Lane;
use stopwright::lanes::{self, LaneSet};
use stopwright::terms::ProjectionAngle;
use stopwright::views::assembly::numbered;
use stopwright::views::side_view::{self, Stand};

const DEMO: &str = include_str!("../../examples/tool-chest.json");
const KIT_JOB: &str = include_str!("../../examples/alder-lane-kit-job.json");
const KIT: &str = include_str!("../../examples/alder-lane-kit.json");
const TWELVE: &str = r#"{ "format": 1, "title": "Twelve lanes", "guide": "narrow-side-clamp", "settings": [
    { "tool": "plane-iron", "angles": [25, 27.5, 30, 32.5, 35, 37.5], "width": 51 },
    { "tool": "bench-chisel", "angles": [22.5, 25, 27.5, 30, 32.5, 35], "width": 32 }] }"#;

/// How often a stage is repeated.
const TIMES: usize = 200;

fn main() {
    println!("{:<36} {:>9} {:>9} {:>9} {:>9}  ms", "", "first", "min", "median", "p95");
    for (name, text) in [("demo", DEMO), ("kit", KIT_JOB), ("twelve lanes", TWELVE)] {
        let job = Job::parse(name, text.as_bytes(), &Kit).expect("a sound job");
        stages(name, &job);
    }
    let demo = opened(&Bench::default(), "tool-chest.json", DEMO);
    for (name, bench) in
        [("demo", &demo), ("kit", &opened(&opened(&demo, "alder-lane-kit.json", KIT), "job.json", KIT_JOB))]
    {
        // Somebody types a title.
        let typed = Cell::new(0);
        let changed = |want| {
            typed.set(typed.get() + 1);
            let mut bench = bench.clone();
            bench
                .typed
                .entry(FormName::Block)
                .or_default()
                .insert("title".into(), format!("Mine {}", typed.get() % 50));
            asked(&bench, want)
        };
        timed(name, "answer: side, plan, table", || changed(Want::Block { lane: None }));
        timed(name, "answer: mesh", || changed(Want::Model { block: 0 }));
        timed(name, "answer: mesh, after the plan", || asked(bench, Want::Model { block: 0 }));
    }
}

/// What goes over the wire for a request.
fn asked(bench: &Bench, want: Want) -> Vec<u8> {
    wire::answered(&serde_json::to_vec(&Request { bench: bench.clone(), want }).expect("a request is JSON"))
}

fn opened(bench: &Bench, name: &str, text: &str) -> Bench {
    match answer(&Request { bench: bench.clone(), want: Want::Open { name: name.into(), text: text.into() } }).reply {
        Reply::Opened(opened) => opened.bench,
        other => panic!("{name}: {other:?}"),
    }
}

/// The kit that a job refers to.
struct Kit;

impl Sources for Kit {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        if path.ends_with("kit.json") { Ok((path.into(), KIT.into())) } else { Err(format!("there is no {path}")) }
    }
}

fn stages(name: &str, job: &Job) {
    timed(name, "layout", || {
        let set = solved(job);
        block::lay_out_all(job, &set).expect("nothing is refused")
    });
    let set = solved(job);
    let (layouts, _) = block::lay_out_all(job, &set).expect("nothing is refused");
    let layout = &layouts[0];
    timed(name, "solid", || slabs::build(layout).expect("sound"));
    let lane = &layout.lanes[0].lane;
    let stand = Stand::Block {
        edge: set.edge,
        fence_height: layout.fence_height,
        overhang: layout.overhang,
        foot_relief: layout.foot_relief.is_some(),
    };
    timed(name, "side view on the stone", || side_view(job, lane, Stand::Stone));
    timed(name, "side view at the block", || side_view(job, lane, stand));
    let stack = slabs::stack_of(layout);
    timed(name, "picture", || svg::write(&picture::picture(&stack, &layout.title, picture::USUAL).sheet));
    let picture = picture::picture(&stack, &layout.title, picture::USUAL);
    timed(name, "drawing", || {
        let drafts = drawing::sheets(job, layout, None, &stack, &picture.illustration()).expect("it goes on a sheet");
        numbered(drafts).iter().map(svg::write).collect::<Vec<_>>()
    });
}

fn solved(job: &Job) -> LaneSet {
    lanes::of_job(job).expect("all lanes have settings")
}

fn side_view(job: &Job, lane: &Lane, stand: Stand) -> Vec<u8> {
    svg::write(&side_view::sheet(&job.guide, None, lane, stand, None, ProjectionAngle::Third))
}

/// Prints how long a stage of a job takes at first, at least, in the middle and at the 95th of 100, ms.
fn timed<T>(job: &str, name: &str, stage: impl Fn() -> T) {
    let name = format!("{job}, {name}");
    // Cargo adds a flag of its own.
    if std::env::args().skip(1).any(|word| !word.starts_with("--") && !name.contains(&word)) {
        return;
    }
    let once = || {
        let start = Instant::now();
        let made = black_box(stage());
        let time = 1000.0 * start.elapsed().as_secs_f64();
        drop(made);
        time
    };
    let first = once();
    let mut times: Vec<f64> = (0..TIMES).map(|_| once()).collect();
    times.sort_by(f64::total_cmp);
    let at = |share: f64| times[((TIMES - 1) as f64 * share) as usize];
    println!("{name:<36} {first:>9.3} {:>9.3} {:>9.3} {:>9.3}", at(0.0), at(0.5), at(0.95));
}
