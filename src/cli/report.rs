//! What a user reads: what was made, where, and what to mind.

use std::path::{Path, PathBuf};
use std::time::Duration;

use serde_json::{Value, json};

use stopwright::block;
use stopwright::block::check::Reading;
use stopwright::error;
use stopwright::format::Artifact;
use stopwright::jig::files::CutSheet;
use stopwright::job::Job;
use stopwright::lane::checks::Gravity;
use stopwright::lane::notes;
use stopwright::lane::report::{self, Shown};
use stopwright::make::Made;
use stopwright::testpiece::{self, files::TestPiece};
use stopwright::units::{EXACT, Written, counted};

/// The summary of `make`.
pub fn made(job: &Job, made: &Made, folder: &Path, paths: &[PathBuf], details: bool) -> String {
    let lanes: usize = made.blocks.iter().map(|b| b.layout.lanes.len()).sum();
    let mut text = format!("{}: {}", job.title, lanes_of(lanes));
    if let [one] = &made.blocks[..] {
        text += &format!(", block {}\n", block::report::size(job, one));
    } else {
        text += &format!(", {} blocks ({})\n", made.blocks.len(), made.fewest);
        for block in &made.blocks {
            text += &format!(
                "{}: {}, {}\n",
                block.name,
                lanes_of(block.layout.lanes.len()),
                block::report::size(job, block)
            );
        }
    }
    let placed = made.blocks.iter().flat_map(|b| &b.layout.lanes);
    text += &format!("Fingerprint of guide and job: {}\n", job.fingerprint());
    text += &report::table(&job.guide.name, &placed.map(|p| &p.lane).collect::<Vec<_>>(), shown(job, details));
    text += &report::left_out_lines(&made.lanes.left_out, job.written);
    let readings: Vec<&Reading> = made.blocks.iter().flat_map(|b| &b.readings).collect();
    text.push('\n');
    if made.artifacts.iter().any(|a| a.name.starts_with("block") && a.name.ends_with(".stl")) {
        text += &format!(
            "Fences measured in the written STL: {}, right within {}.\n",
            lanes_of(readings.len()),
            job.written.more(readings.iter().map(|r| r.difference()).fold(SHOWN, f64::max), EXACT).said()
        );
    }
    text += &block::report::notes(&made.blocks);
    let of_jig = made.jig.iter().flat_map(|jig| &jig.left_out).filter(|l| !made.lanes.left_out.contains(l));
    for line in report::left_out_lines(&of_jig.cloned().collect::<Vec<_>>(), job.wood.written).lines() {
        text += &format!("wooden jig: {line}\n");
    }
    for finding in made.jig.iter().flat_map(|jig| &jig.findings) {
        text += &format!("wooden jig: {}\n", finding.said());
    }
    text += &not_gauged(&made.not_gauged);
    text += NOT_TRIED;
    text.push('\n');
    text += &files(&made.artifacts, folder, paths, details);
    text
}

/// What concerns all that was made of a job and is worth a warning, a line each: what the guide cannot set and what cannot be
/// gauged, and what was found of lanes, blocks and jig.
pub fn warnings_of(job: &Job, made: &Made) -> String {
    let mut lines = report::left_out_lines(&made.lanes.left_out, job.written);
    lines += &not_gauged(&made.not_gauged);
    lines += &report::warning_lines(&made.lanes.lanes);
    lines += &notes::warnings(made.blocks.iter().flat_map(|block| &block.layout.findings));
    lines += &notes::warnings(made.jig.iter().flat_map(|jig| &jig.findings));
    once(&lines)
}

/// Each line of a report once, at its first place.
fn once(lines: &str) -> String {
    let mut seen = std::collections::HashSet::new();
    lines.lines().filter(|line| seen.insert(*line)).map(|line| format!("{line}\n")).collect()
}

/// What concerns a wooden jig and is worth a warning, a line each.
pub fn warnings_of_jig(made: &CutSheet) -> String {
    let jig = &made.jig;
    once(
        &(report::left_out_lines(&jig.left_out, jig.written)
            + &report::warning_lines(jig.lanes.iter().map(|placed| &placed.lane))
            + &notes::warnings(&jig.findings)),
    )
}

/// What cannot be gauged, and why, a line each.
pub fn not_gauged(reasons: &[String]) -> String {
    reasons.iter().map(|reason| format!("left out: {reason}\n")).collect()
}

/// How the table of a job's lanes is shown: in the job's units and the fraction that its wooden jig is asked in.
pub fn shown(job: &Job, details: bool) -> Shown {
    Shown { written: job.written, details }
}

/// What was written: every file, or what to do with the few that a hand needs, and where the others are.
pub fn files(artifacts: &[Artifact], folder: &Path, paths: &[PathBuf], details: bool) -> String {
    if details || artifacts.len() <= MOST_FILES {
        return written(artifacts, paths);
    }
    let named = |begins: &str, end: &str| {
        let is = |name: &&str| name.starts_with(begins) && name.ends_with(end);
        let all: Vec<&str> = artifacts.iter().map(|a| a.name.as_str()).filter(is).collect();
        match all[..] {
            [] => None,
            [one] => Some(one.to_string()),
            [one, other] => Some(format!("{one} and {other}")),
            [first, .., last] => Some(format!("{first} to {last}")),
        }
    };
    let block_or = |end: &str, other: &str| named("block", end).or_else(|| named(other, end));
    let all = [
        ("print ", named("block", ".3mf").or_else(|| block_or(".stl", "gauge")), ""),
        ("read ", block_or(".pdf", "gauges").or_else(|| named("test-piece", ".pdf")), ""),
        ("build in wood from ", named("cutsheet", ".pdf"), ""),
        ("prove the angle with ", named("plate", ".pdf"), ""),
        ("hang ", named("cards.", "pdf"), " by the stones"),
        ("hand out ", named("class", ".pdf"), ""),
        ("open ", named("index", ".html"), " in a browser"),
    ];
    let acts = all.into_iter().filter_map(|(act, name, how)| name.map(|name| format!("{act}{name}{how}")));
    let acts: Vec<String> = acts.collect();
    let count = counted(artifacts.len(), "file", "files");
    let next = if acts.is_empty() { String::new() } else { format!("Next: {}\n", error::capital(&acts.join(" · "))) };
    format!("{count} in {}; --details lists them.\n{next}", folder.display())
}

/// The least difference that is told, mm: a smaller one is told as this is, rounded up.
const SHOWN: f64 = 1e-6;

/// Files that are listed one by one.
const MOST_FILES: usize = 3;

fn lanes_of(count: usize) -> String {
    counted(count, "lane", "lanes")
}

/// What every summary ends in.
pub const NOT_TRIED: &str = "\nThese figures are calculated. Prove the angle on a plate before you rely on a lane.\n";

/// A job's line among others.
pub fn made_line(job: &Path, made: &Made, folder: &Path) -> String {
    let of_blocks = made.blocks.iter().flat_map(|b| &b.layout.findings);
    let findings = of_blocks.chain(made.jig.iter().flat_map(|jig| &jig.findings));
    let warnings = match findings.filter(|f| f.gravity == Gravity::Warning).count() {
        0 => String::new(),
        1 => ", 1 warning".into(),
        n => format!(", {n} warnings"),
    };
    let left_out = match left_out(made) {
        0 => String::new(),
        n => format!(", {n} left out"),
    };
    format!(
        "{}: {}, {} in {}{left_out}{warnings}\n",
        job.display(),
        lanes_of(made.lanes.lanes.len()),
        counted(made.artifacts.len(), "file", "files"),
        folder.display()
    )
}

/// How many bevels the block or the jig goes without.
pub fn left_out(made: &Made) -> usize {
    made.jig.iter().map(|jig| jig.left_out.len()).fold(made.lanes.left_out.len(), usize::max)
}

/// The exit code where so many bevels are left out.
pub fn exit_code(left_out: usize) -> u8 {
    if left_out > 0 { LEFT_OUT } else { 0 }
}

/// The exit code of what was made, but not whole.
const LEFT_OUT: u8 = 3;

/// The summary of `make` for machines.
pub fn made_json(job: &Job, made: &Made, folder: &Path, paths: &[PathBuf]) -> Value {
    let mut value = json!({
        "folder": folder.display().to_string(),
        "files": paths.iter().map(|p| p.display().to_string()).collect::<Vec<_>>(),
        "guide": made.offsets.guide,
        "fingerprint": made.offsets.fingerprint,
        "lanes": made.offsets.lanes,
        "left_out": made.offsets.left_out,
        "fewest": { "bound": made.fewest.bound, "proven": made.fewest.proven },
        "blocks": made.blocks.iter().map(|b| block::report::json(job, b)).collect::<Vec<_>>(),
    });
    if let Some(made) = &made.jig {
        value["jig"] = stopwright::jig::report::json(made);
    }
    value
}

/// The summary of `cutsheet`.
pub fn cutsheet(made: &CutSheet, folder: &Path, paths: &[PathBuf], details: bool) -> String {
    let mut text = stopwright::jig::report::text(&made.jig);
    text.extend(stopwright::layout::unchecked_notes(&made.jig.lanes).iter().map(|words| format!("Note: {words}\n")));
    text += &report::left_out_lines(&made.jig.left_out, made.jig.written);
    for finding in &made.jig.findings {
        text += &format!("{}\n", finding.said());
    }
    text += NOT_TRIED;
    text.push('\n');
    text += &files(&made.artifacts, folder, paths, details);
    text
}

/// The summary of `cutsheet` for machines.
pub fn cutsheet_json(made: &CutSheet, folder: &Path, paths: &[PathBuf]) -> String {
    let mut value = stopwright::jig::report::json(&made.jig);
    value["folder"] = json!(folder.display().to_string());
    value["files"] = json!(paths.iter().map(|p| p.display().to_string()).collect::<Vec<_>>());
    format!("{value:#}\n")
}

/// The summary of `testpiece`.
pub fn test_piece(made: &TestPiece, written: Written, paths: &[PathBuf]) -> String {
    format!(
        "{}\n{}{}",
        testpiece::report::made(made, written),
        self::written(&made.artifacts, paths),
        testpiece::report::NEXT
    )
}

/// The summary of `testpiece` for machines.
pub fn test_piece_json(made: &TestPiece, folder: &Path, paths: &[PathBuf]) -> String {
    let mut value = testpiece::report::made_json(made);
    value["folder"] = json!(folder.display().to_string());
    value["files"] = json!(paths.iter().map(|p| p.display().to_string()).collect::<Vec<_>>());
    format!("{value:#}\n")
}

/// A line a file.
pub fn written(artifacts: &[Artifact], paths: &[PathBuf]) -> String {
    artifacts.iter().zip(paths).map(|(a, p)| format!("{}: {}\n", p.display(), a.what)).collect()
}

/// A line a stage.
pub fn timings(timings: &[(&'static str, Duration)]) -> String {
    let line = |(stage, took): &(&str, Duration)| format!("{stage:<10} {:8.3} ms\n", took.as_secs_f64() * 1000.0);
    timings.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_said_twice_stands_at_its_first_place() {
        assert_eq!(once("B\nA\nB\nC\nA\n"), "B\nA\nC\n");
    }
}
