//! Jobs of any number of lanes and their lettered blocks, for benches and ratios.

use serde_json::{Value, json};
use stopwright::job::Job;
use stopwright::lane;
use stopwright::layout::{self, Layout};
use stopwright::profile::builtin::NoFiles;

/// A job with so many lanes, half of them irons and half chisels, all of different angles from 20° to 40°.
pub fn text(lanes: usize) -> String {
    let irons = lanes.div_ceil(2);
    let step = f64::min(0.5, 20.0 / irons as f64);
    let angles = |n: usize, from: f64| (0..n).map(|i| from + step * i as f64).collect::<Vec<_>>();
    let mut settings: Vec<Value> = vec![json!({ "tool": "plane-iron", "angles": angles(irons, 20.0), "width": 51 })];
    if lanes > irons {
        settings.push(json!({ "tool": "bench-chisel", "angles": angles(lanes - irons, 22.0), "width": 32 }));
    }
    json!({ "format": 1, "title": "bench", "guide": "narrow-side-clamp", "settings": settings }).to_string()
}

/// The job of [`text`].
pub fn job(lanes: usize) -> Job {
    parsed(&text(lanes))
}

/// The job of a text.
pub fn parsed(text: &str) -> Job {
    Job::parse("bench.json", text.as_bytes(), &NoFiles).expect("a sound job")
}

/// The plan of a job.
pub fn plan(job: &Job) -> Layout {
    let set = lane::of_job(job).expect("all lanes have settings");
    layout::lay_out(job, &set).expect("nothing is refused")
}
