//! How long each stage takes, and how it grows from 1 to 60 lanes: `cargo bench`.

use divan::{Bencher, black_box};
use serde_json::{Value, json};

use stopwright::block::sheets::{drawing, picture};
use stopwright::block::{self, Layout, check, slabs};
use stopwright::fit::{self, Settings};
use stopwright::format::Wanted;
use stopwright::format::{stl, svg};
use stopwright::guide::named::NoFiles;
use stopwright::jig::files;
use stopwright::job::Job;
use stopwright::layout::split::{self, Room};
use stopwright::make;
use stopwright::solid::Solid;
use stopwright::solve::trial;
use stopwright::views::assembly::numbered;
use stopwright::{lane, lanes};

const LANES: [usize; 5] = [1, 6, 12, 30, 60];

fn main() {
    divan::main();
}

/// A job with so many lanes, half of them irons and half chisels.
fn text(lanes: usize) -> String {
    let angles = |n: usize, from: f64| (0..n).map(|i| from + 0.5 * i as f64).collect::<Vec<_>>();
    let irons = lanes.div_ceil(2);
    let mut settings: Vec<Value> = vec![json!({ "tool": "plane-iron", "angles": angles(irons, 20.0), "width": 51 })];
    if lanes > irons {
        settings.push(json!({ "tool": "bench-chisel", "angles": angles(lanes - irons, 22.0), "width": 32 }));
    }
    json!({ "format": 1, "title": "bench", "guide": "narrow-side-clamp", "settings": settings }).to_string()
}

fn job(lanes: usize) -> Job {
    Job::parse("bench.json", text(lanes).as_bytes(), &NoFiles).expect("a sound job")
}

fn plan(job: &Job) -> Layout {
    let set = lanes::of_job(job).expect("all lanes have settings");
    block::lay_out(job, &set).expect("nothing is refused")
}

fn block(layout: &Layout) -> Solid {
    slabs::build(layout).expect("sound")
}

#[divan::bench(args = LANES)]
fn a_read(bencher: Bencher, lanes: usize) {
    let text = text(lanes);
    bencher.bench(|| Job::parse("bench.json", black_box(text.as_bytes()), &NoFiles));
}

#[divan::bench(args = LANES)]
fn b_solve(bencher: Bencher, lanes: usize) {
    let job = job(lanes);
    bencher.bench(|| lanes::of_job(black_box(&job)));
}

#[divan::bench(args = LANES)]
fn c_layout(bencher: Bencher, lanes: usize) {
    let job = job(lanes);
    let set = lanes::of_job(&job).expect("all lanes have settings");
    bencher.bench(|| block::lay_out(black_box(&job), black_box(&set)));
}

/// Six lanes fit one block; ten are divided exactly, more by the rule. 600 lanes must stay under 50 ms.
#[divan::bench(args = [6, 10, 30, 60, 600])]
fn c_split(bencher: Bencher, lanes: usize) {
    let job = job(lanes.min(60));
    let set = lanes::of_job(&job).expect("all lanes have settings");
    let lanes: Vec<lane::Lane> = set.lanes.iter().cycle().take(lanes).cloned().collect();
    let room = Room { bed: job.print.bed, margin: 0.0, middle: 20.0 };
    let face_width = job.guide.face.width.map(|w| w.mm);
    bencher.bench(|| split::split(black_box(&lanes), &job.block, face_width, &room));
}

#[divan::bench(args = LANES)]
fn d_solid(bencher: Bencher, lanes: usize) {
    let layout = plan(&job(lanes));
    bencher.bench(|| slabs::build(black_box(&layout)));
}

#[divan::bench(args = LANES)]
fn e_stl(bencher: Bencher, lanes: usize) {
    let block = block(&plan(&job(lanes)));
    bencher.bench(|| stl::write(black_box(&block.mesh), "bench"));
}

#[divan::bench(args = LANES)]
fn f_gauge(bencher: Bencher, lanes: usize) {
    let layout = plan(&job(lanes));
    let stl = stl::write(&block(&layout).mesh, "bench").expect("written");
    bencher.bench(|| check::measure(black_box(&stl), black_box(&layout), [1.0; 3]));
}

#[divan::bench(args = LANES)]
fn g_drawing(bencher: Bencher, lanes: usize) {
    let job = job(lanes);
    let layout = plan(&job);
    let block = block(&layout);
    let picture = picture::picture(&block.stack, "bench", picture::USUAL);
    bencher.bench(|| {
        let illustration = picture.illustration();
        let drafts = drawing::sheets(black_box(&job), black_box(&layout), None, &block.stack, &illustration);
        drafts.map(|drafts| numbered(drafts).iter().map(svg::write).collect::<Vec<_>>())
    });
}

#[divan::bench(args = LANES)]
fn h_cutsheet(bencher: Bencher, lanes: usize) {
    let job = job(lanes);
    bencher.bench(|| files::cutsheet(black_box(&job), &()));
}

#[divan::bench(args = LANES)]
fn i_make(bencher: Bencher, lanes: usize) {
    let job = job(lanes);
    bencher.bench(|| make::make(black_box(&job), Wanted::everything(), &()));
}

/// A million draws of the angle that a fence of the demo's kind sets.
#[divan::bench(sample_count = 10)]
fn i_million_trials_of_an_angle(bencher: Bencher) {
    let set = lanes::of_job(&job(1)).expect("all lanes have settings");
    let lane = &set.lanes[0];
    bencher.bench(|| trial::angle(black_box(&lane.measured), lane.fence(), 0.1, lane.edge_shape, 1_000_000, 1));
}

/// A million draws of a projection.
#[divan::bench(sample_count = 10)]
fn j_million_trials_of_a_projection(bencher: Bencher) {
    let set = lanes::of_job(&job(1)).expect("all lanes have settings");
    let lane = &set.lanes[0];
    bencher.bench(|| trial::projection(black_box(&lane.measured), lane.setting.angle.to_radians(), 1_000_000, 1));
}

/// Known settings of the narrow side-clamp, four blades, angles to a quarter of a degree.
fn known(pairs: usize) -> String {
    let pair = |i: usize| {
        let (angle, thickness) = (20.0 + 20.0 * (i as f64 * 0.618_034).fract(), [2.1, 2.4, 3.0, 3.4][i % 4]);
        let (sin, cos) = f64::to_radians(angle).sin_cos();
        let projection = (9.5 + (18.4 + thickness) * cos) / sin - 15.8;
        json!({ "seat": "iron", "thickness": { "value": thickness, "within": 0.05 },
            "angle": { "value": angle, "within": 0.25 }, "projection": (projection * 10.0).round() / 10.0 })
    };
    let known: Vec<Value> = (0..pairs).map(pair).collect();
    let measured =
        json!({ "instrument": 0.02, "roller": { "diameter": 19.0 }, "seats": { "iron": { "locates": "underside" } } });
    json!({ "format": 1, "name": "bench", "measured": measured, "known": known }).to_string()
}

const PAIRS: [usize; 3] = [10, 100, 1000];

/// With predictions and the advised measurement; 1,000 pairs must stay under 5 ms.
#[divan::bench(args = PAIRS)]
fn i_fit(bencher: Bencher, pairs: usize) {
    let settings = Settings::parse("bench.json", known(pairs).as_bytes()).expect("sound");
    bencher.bench(|| fit::fit(black_box(&settings), black_box(&[25.0, 30.0, 35.0])));
}

#[divan::bench(args = PAIRS)]
fn j_read_known(bencher: Bencher, pairs: usize) {
    let text = known(pairs);
    bencher.bench(|| Settings::parse("bench.json", black_box(text.as_bytes())));
}
