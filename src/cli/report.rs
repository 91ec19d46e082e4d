//! What a user reads: what was made, where, and what to mind.

use std::path::{Path, PathBuf};
use std::time::Duration;

use serde_json::json;

use crate::emit::{cutsheet as jig, offsets};
use crate::gauge::Reading;
use crate::lane::Lane;
use crate::lane::checks::{Finding, Gravity};
use crate::make::{Artifact, CutSheet, Made};
use crate::units::fixed;

/// The summary of `make`.
pub fn made(title: &str, made: &Made, paths: &[PathBuf]) -> String {
    let layout = &made.layout;
    let mut text = format!(
        "{title}: {} lanes, block {} × {} × {} mm, {} cm³\n",
        layout.lanes.len(),
        fixed(layout.length, 1),
        fixed(layout.depth, 1),
        fixed(made.block.stack.height(), 1),
        fixed(made.block.stack.volume() / 1000.0, 1),
    );
    let lanes: Vec<&Lane> = layout.lanes.iter().map(|p| &p.lane).collect();
    text += &offsets::table(&layout.guide, &lanes);
    text += &format!(
        "\nFences measured in the written STL: {} lanes, largest difference {} mm.\n",
        made.readings.len(),
        fixed(made.readings.iter().map(Reading::difference).fold(0.0, f64::max), 5)
    );
    text += &format!("{}\n", layout.hold_down());
    for finding in &layout.findings {
        text += &format!("{}: {}\n", sign(finding), finding.message);
    }
    for finding in made.jig.iter().flat_map(|jig| &jig.findings) {
        text += &format!("wooden jig: {}: {}\n", sign(finding), finding.message);
    }
    text.push('\n');
    text += &written(&made.artifacts, paths);
    text += "\nComputed, not tried at a bench: hone a test bevel and measure it before you trust a lane.\n";
    text
}

/// The summary of `make` for machines.
pub fn made_json(made: &Made, folder: &Path, paths: &[PathBuf]) -> String {
    let layout = &made.layout;
    let mut value = json!({
        "folder": folder.display().to_string(),
        "files": paths.iter().map(|p| p.display().to_string()).collect::<Vec<_>>(),
        "block": {
            "length": layout.length, "depth": layout.depth, "height": made.block.stack.height(),
            "thickness": layout.thickness, "fence_height": layout.fence_height,
            "volume": made.block.stack.volume(), "hang_depth": layout.hang_depth, "overhang": layout.overhang,
            "slabs": made.block.stack.slabs.iter().map(|s| json!({
                "bottom": f64::from(s.z[0]) / 1000.0, "top": f64::from(s.z[1]) / 1000.0,
                "area": crate::layout::regions::area(&s.region),
            })).collect::<Vec<_>>(),
        },
        "guide": made.offsets.guide,
        "lanes": made.offsets.lanes,
        "places": layout.lanes.iter().map(|p| json!({
            "id": p.lane.request.id, "edge": p.edge, "x": p.x, "centre": p.centre, "blade_width": p.blade_width,
        })).collect::<Vec<_>>(),
        "readings": made.readings.iter().map(|r| json!({
            "id": r.id, "wanted": r.wanted, "measured": r.measured, "difference": r.difference(),
        })).collect::<Vec<_>>(),
        "hold_down": layout.hold_down(),
        "warnings": layout.findings.iter().map(|f| f.message.clone()).collect::<Vec<_>>(),
    });
    if let Some(made) = &made.jig {
        value["jig"] = jig::json(made);
    }
    format!("{value:#}\n")
}

/// The summary of `cutsheet`.
pub fn cutsheet(made: &CutSheet, paths: &[PathBuf]) -> String {
    let mut text = jig::text(&made.jig);
    for finding in &made.jig.findings {
        text += &format!("{}: {}\n", sign(finding), finding.message);
    }
    text.push('\n');
    text += &written(&made.artifacts, paths);
    text += "\nComputed, not tried at a bench: hone a test bevel and measure it before you trust a lane.\n";
    text
}

/// The summary of `cutsheet` for machines.
pub fn cutsheet_json(made: &CutSheet, folder: &Path, paths: &[PathBuf]) -> String {
    let mut value = jig::json(&made.jig);
    value["folder"] = json!(folder.display().to_string());
    value["files"] = json!(paths.iter().map(|p| p.display().to_string()).collect::<Vec<_>>());
    format!("{value:#}\n")
}

/// A line a file.
pub fn written(artifacts: &[Artifact], paths: &[PathBuf]) -> String {
    artifacts.iter().zip(paths).map(|(a, p)| format!("{:<28} {}\n", p.display(), a.what)).collect()
}

/// A line a stage.
pub fn timings(timings: &[(&'static str, Duration)]) -> String {
    let line = |(stage, took): &(&str, Duration)| format!("{stage:<10} {:8.3} ms\n", took.as_secs_f64() * 1000.0);
    timings.iter().map(line).collect()
}

/// The word a finding is introduced by.
pub fn sign(finding: &Finding) -> &'static str {
    match finding.gravity {
        Gravity::Refusal => "refused",
        Gravity::Warning => "warning",
        Gravity::NotChecked => "note",
    }
}
