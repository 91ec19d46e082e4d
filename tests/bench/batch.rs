//! Jobs a second: `cargo bench --bench batch`. Makes a thousand jobs of 1 to 12 lanes in one run of the program (STL,
//! drawing and offsets of each), in a folder that goes away again.

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use serde_json::json;

const JOBS: usize = 1000;

/// The job of number `i`: another guide, other angles and other options from one to the next.
fn job(i: usize) -> serde_json::Value {
    let guides = ["narrow-side-clamp", "wide-side-clamp", "top-clamp", "bench-roller", "twin-roller"];
    let angles = |n: usize, from: f64| (0..n).map(|k| from + 1.5 * k as f64).collect::<Vec<_>>();
    let guide = guides[i % guides.len()];
    let mut settings = vec![json!({ "tool": "plane-iron", "angles": angles(1 + i % 6, 25.0), "width": 42 })];
    if !i.is_multiple_of(3) {
        settings.push(json!({ "tool": "bench-chisel", "angles": angles(1 + i % 5, 25.0), "width": 25 }));
    }
    json!({ "format": 1, "title": format!("job {i}"), "guide": guide, "settings": settings,
        "roller_level": if guide == "bench-roller" { -12 } else { 0 },
        "block": { "middle": 10 + i % 9, "marks": i.is_multiple_of(2), "foot_relief": !i.is_multiple_of(4) } })
}

fn main() {
    let folder = tempfile::tempdir().expect("a folder");
    let names: Vec<String> = (0..JOBS).map(|i| format!("job{i:04}.json")).collect();
    for (i, name) in names.iter().enumerate() {
        std::fs::write(folder.path().join(name), job(i).to_string()).expect("written");
    }
    for threads in ["1", "2", "4"] {
        measure(folder.path(), &names, threads);
    }
}

fn measure(folder: &Path, names: &[String], threads: &str) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stopwright"));
    let start = Instant::now();
    let output = command
        .current_dir(folder)
        .arg("make")
        .args(names)
        .args(["--only", "stl,drawing,offsets", "--timings", "--jobs", threads])
        .output()
        .expect("the program starts");
    let rate = JOBS as f64 / start.elapsed().as_secs_f64();
    let said = String::from_utf8_lossy(&output.stdout);
    let total = said.lines().find(|line| line.contains(" jobs made in ")).unwrap_or_default();
    println!("{threads} threads: {rate:.0} jobs a second ({total})\n{}", String::from_utf8_lossy(&output.stderr));
}
