//! Jobs of any number of lanes and their lettered blocks, for benches and ratios.

use serde_json::{Value, json};

use stopwright::block::{self, Layout};
use stopwright::guide::named::NoFiles;
use stopwright::job::Job;
use stopwright::lanes;

/// A job with so many lanes, half of them irons and half chisels, all of different angles from 20° to 40°.
pub fn text(lanes: usize) -> String {
    let irons = lanes.div_ceil(2);
    let step = f64::min(0.5, 20.0 / irons as f64);
    // A setting holds 60 angles at most.
    let of = |tool: &str, width: u32, n: usize, from: f64| -> Vec<Value> {
        let angles: Vec<f64> = (0..n).map(|i| from + step * i as f64).collect();
        let setting = |(i, angles): (usize, &[f64])| json!({ "id": format!("{tool}-{i}"), "tool": tool, "angles": angles, "width": width });
        angles.chunks(60).enumerate().map(setting).collect()
    };
    let settings = [of("plane-iron", 51, irons, 20.0), of("bench-chisel", 32, lanes - irons, 22.0)].concat();
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
    let set = lanes::of_job(job).expect("all lanes have settings");
    block::lay_out(job, &set).expect("nothing is refused")
}
