//! What several modules need: running the program, random jobs, folders that go away.

#[cfg(target_os = "linux")]
pub mod terminal;

use std::convert::Infallible;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use proptest::prelude::*;
use serde_json::{Value, json};

use stopwright::block::cleat::Cleat;
use stopwright::block::sheets::{drawing, picture};
use stopwright::block::{self, Layout};
use stopwright::card::Card;
use stopwright::card::files::Set;
use stopwright::drawing::Sheet;
use stopwright::format::{ArtifactKind, Wanted};
use stopwright::guide::named::{GUIDES, NoFiles};
use stopwright::job::Job;
use stopwright::kit::Kit;
use stopwright::lanes;
use stopwright::make::{self, Made};
use stopwright::shape::stack::Stack;
use stopwright::terms::PaperSize;
use stopwright::views::assembly::{Draft, TooLarge};
use stopwright_program::cli::files::Disk;

/// The program under test.
pub fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_stopwright"))
}

/// Runs `command` with `bytes` piped in.
pub fn fed(command: &mut Command, bytes: &[u8]) -> Output {
    let piped = command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = piped.spawn().expect("the program starts");
    // A run that is refused at once, or asks nothing, reads nothing of it.
    match child.stdin.take().expect("it was piped").write_all(bytes) {
        Err(e) if e.kind() != std::io::ErrorKind::BrokenPipe => panic!("{e}"),
        _ => {}
    }
    child.wait_with_output().expect("the program ends")
}

/// Answers as they are typed, a line each.
pub fn typed_lines(answers: &[&str]) -> Vec<u8> {
    answers.iter().map(|answer| format!("{answer}\n")).collect::<String>().into_bytes()
}

/// Whether a folder holds nothing.
pub fn empty(folder: &Path) -> bool {
    std::fs::read_dir(folder).expect("the folder is there").next().is_none()
}

/// Runs the program and gives its output.
pub fn run(arguments: &[&str]) -> Output {
    program().args(arguments).output().expect("the program starts")
}

/// Standard output of a run that must succeed.
pub fn stdout(arguments: &[&str]) -> String {
    let output = run(arguments);
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// Standard error of a run that must be refused with exit code 2 and say nothing else.
pub fn refusal(arguments: &[&str]) -> String {
    let output = run(arguments);
    let text = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {text}");
    assert!(output.stdout.is_empty(), "{arguments:?} printed something");
    assert!(!text.contains("panicked"), "{text}");
    text
}

/// Whether a field is told of, in any of the ways that faults are said.
pub fn tells_of(said: &str, field: &str) -> bool {
    let ways = [" cannot be ", " is missing.", " has ", " is not a field of this file.", ": "];
    said.lines().any(|line| {
        ways.iter().any(|way| {
            let told = format!("{field}{way}");
            line.starts_with(&told) || line.contains(&format!(": {told}"))
        })
    })
}

/// The project's own folder.
pub fn home() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The demo job's path.
pub fn demo() -> PathBuf {
    home().join("examples/tool-chest.json")
}

/// Writes `value` as a file in `folder` and gives its path.
pub fn file(folder: &Path, name: &str, value: &Value) -> String {
    let path = folder.join(name);
    std::fs::write(&path, value.to_string()).unwrap();
    path.display().to_string()
}

/// The profile of cases A and F of the design's reference table.
pub fn reference_guide() -> Value {
    let mut guide: Value = serde_json::from_str(GUIDES[0].text).unwrap();
    assert_eq!(guide["name"], "narrow-side-clamp");
    guide["name"] = json!("reference");
    guide["roller"]["diameter"]["value"] = json!(19.0);
    guide["face"]["axle_to_face"]["value"] = json!(15.8);
    guide["seats"]["iron"]["height"]["value"] = json!(18.4);
    guide["seats"]["chisel"]["height"]["value"] = json!(13.2);
    guide
}

/// A job on the narrow side-clamp with `irons` and `chisels` lanes.
pub fn job_of(irons: usize, chisels: usize) -> Value {
    let angles = |n: usize, from: f64| (0..n).map(|i| from + 1.5 * i as f64).collect::<Vec<_>>();
    let mut settings = Vec::new();
    if irons > 0 {
        settings.push(json!({ "tool": "plane-iron", "angles": angles(irons, 22.0), "width": 51 }));
    }
    if chisels > 0 {
        settings.push(json!({ "tool": "bench-chisel", "angles": angles(chisels, 24.0), "width": 32 }));
    }
    json!({ "format": 1, "title": "lanes", "guide": "narrow-side-clamp", "settings": settings })
}

/// As many random cases as the environment asks for (`PROPTEST_CASES`, for long runs by hand), else `usual`.
pub fn cases(usual: u32) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|n| n.parse().ok());
    ProptestConfig::with_cases(asked.unwrap_or(usual))
}

/// The job of a JSON value.
pub fn parsed(value: &Value) -> Job {
    Job::parse("job.json", value.to_string().as_bytes(), &NoFiles).unwrap_or_else(|e| panic!("{e}"))
}

/// What the library makes of the job of a file, whose pictures are more than the page takes, held against what the
/// program writes of it, byte for byte; with the page that shows it and what the program says.
pub fn written_as_made(path: &str, kinds: &[ArtifactKind]) -> (Made, String, String) {
    let bytes = std::fs::read(path).unwrap();
    let job = Job::parse(path, &bytes, &Disk::beside(Path::new(path))).unwrap_or_else(|e| panic!("{e}"));
    let made = make::make(&job, Wanted::only(kinds), &()).unwrap_or_else(|e| panic!("{e}"));
    let pictures = made.artifacts.iter().filter(|artifact| artifact.name.ends_with(".svg"));
    assert!(pictures.map(|picture| picture.bytes.len()).sum::<usize>() > 12_000_000, "the page takes them");
    let out = Path::new(path).with_file_name("out");
    let names: Vec<&str> = kinds.iter().map(|kind| kind.name()).collect();
    let said = stdout(&["make", path, "--only", &names.join(","), "--out", &out.display().to_string()]);
    assert_eq!(std::fs::read_dir(&out).unwrap().count(), made.artifacts.len() + 1, "with the record");
    for artifact in &made.artifacts {
        assert!(std::fs::read(out.join(&artifact.name)).unwrap() == artifact.bytes, "{}", artifact.name);
    }
    let page = std::fs::read_to_string(out.join("index.html")).unwrap();
    assert!(!page.contains("data:image"));
    (made, page, said)
}

/// Job and layout of a JSON value.
pub fn laid_out(value: &Value) -> (Job, Layout) {
    let job = parsed(value);
    let lanes = lanes::of_job(&job).unwrap();
    let layout = block::lay_out(&job, &lanes).unwrap_or_else(|e| panic!("{e}"));
    (job, layout)
}

/// The sheets of a block's drawing, with their picture.
pub fn draw_block(job: &Job, layout: &Layout, cleat: Option<&Cleat>, stack: &Stack) -> Result<Vec<Draft>, TooLarge> {
    let picture = picture::picture(stack, "A block", picture::USUAL);
    drawing::sheets(job, layout, cleat, stack, &picture.illustration())
}

/// Random jobs, most of which can be made: any guide, any tools it holds, any options.
pub fn any_job() -> impl Strategy<Value = Value> {
    let guide =
        prop::sample::select(vec!["narrow-side-clamp", "wide-side-clamp", "top-clamp", "bench-roller", "twin-roller"]);
    let tool = prop::sample::select(vec!["plane-iron", "thick-plane-iron", "block-plane-iron", "bench-chisel"]);
    let angles = prop::collection::btree_set(40u32..76, 1..7);
    let setting = (tool, angles, prop::option::of(2.0..4.0f64), prop::option::of(prop::sample::select(vec!["near", "far"])))
        .prop_map(|(tool, angles, thickness, edge)| {
            let angles: Vec<f64> = angles.into_iter().map(|a| f64::from(a) / 2.0).collect();
            json!({ "tool": tool, "angles": angles, "thickness": thickness, "edge": edge, "width": if tool == "bench-chisel" { 30 } else { 42 } })
        });
    let block = (any::<bool>(), any::<bool>(), any::<bool>(), any::<bool>(), 5.0..30.0f64, prop::option::of(6.0..18.0f64))
        .prop_map(|(foot, front, marks, holes, middle, thickness)| {
            json!({ "foot_relief": foot, "front_relief": front, "marks": marks, "screw_holes": holes, "middle": middle, "thickness": thickness })
        });
    (guide, prop::collection::vec(setting, 1..4), block).prop_map(|(guide, settings, block)| {
        let level = if guide == "bench-roller" { -12 } else { 0 };
        let settings: Vec<Value> = settings
            .into_iter()
            .enumerate()
            .map(|(i, mut s)| {
                s["id"] = json!(format!("set{i}"));
                s
            })
            .collect();
        json!({ "format": 1, "title": "random", "guide": guide, "roller_level": level, "settings": settings, "block": block })
    })
}

/// The words of a sheet, whatever lines they stand on.
pub fn words_of(svg: &str) -> String {
    let texts = svg.split("<text").skip(1).filter_map(|text| text.split_once('>')?.1.split_once('<'));
    texts.flat_map(|(words, _)| words.split_whitespace()).collect::<Vec<_>>().join(" ")
}

/// The cards of a kit on one size of paper, each sheet with its name; of one blade alone where it is named.
pub fn card_sheets(job: &Job, kit: &Kit, cards: &[Card], size: PaperSize, only: Option<&str>) -> Vec<(String, Sheet)> {
    let mut sheets = Vec::new();
    let Ok(()) = Set { job, kit, cards, size, only }.draw(|some| -> Result<(), Infallible> {
        sheets.extend(some);
        Ok(())
    });
    sheets
}
