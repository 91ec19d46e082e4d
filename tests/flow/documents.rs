//! README.md and DEVELOPERS.md against the program.

use std::fs;

use super::support::{demo as demo_job, home, parsed, program, stdout};
use stopwright::block::sheets::{picture, printing};
use stopwright::block::{self, slabs};
use stopwright::format::png::{self, Frame};
use stopwright::format::svg;
use stopwright::lanes;
use stopwright::views::words::demo;

/// The README with every output that it shows made anew: each stands in a text block after a comment that gives its
/// command. Commands of the other blocks are run too, in order, in a folder that has the examples.
fn readme_made_anew() -> (String, String, usize) {
    let readme = fs::read_to_string(home().join("README.md")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    for sub in ["examples", "profiles"] {
        copy(&home().join(sub), &folder.path().join(sub));
    }
    let (mut made, mut commands, mut replacing): (String, usize, Option<String>) = (String::new(), 0, None);
    let mut lines = readme.lines();
    while let Some(line) = lines.next() {
        if replacing.is_some() && line == "```" {
            made += &replacing.take().unwrap();
        }
        if replacing.is_none() {
            made += line;
            made.push('\n');
        }
        let shown = line.strip_prefix("<!-- stopwright ").and_then(|l| l.strip_suffix(" -->"));
        if let Some(command) = shown {
            made += lines.next().unwrap();
            made.push('\n');
            replacing = Some(said(command, folder.path()));
        } else if let Some(command) = line.strip_prefix("stopwright ") {
            let mut command = command.to_string();
            while command.ends_with('\\') {
                let next = lines.next().unwrap();
                made += next;
                made.push('\n');
                command.pop();
                command += next.trim();
            }
            said(&command, folder.path());
            commands += 1;
        }
    }
    (readme, made, commands)
}

/// Runs a command of the README, which must succeed (a verdict may be that a lane fails), and gives what it prints.
fn said(command: &str, folder: &std::path::Path) -> String {
    let mut arguments = shell_words(command);
    let redirect = arguments.iter().position(|w| w == ">").map(|at| arguments.split_off(at)[1].clone());
    let output = program().current_dir(folder).args(&arguments).env("COLUMNS", "80").output().unwrap();
    let failed_lane = arguments[0] == "verify" && output.status.code() == Some(1);
    assert!(output.status.success() || failed_lane, "{command}: {}", String::from_utf8_lossy(&output.stderr));
    if let Some(name) = redirect {
        fs::write(folder.join(name), &output.stdout).unwrap();
    }
    String::from_utf8(output.stdout).unwrap()
}

/// Commands, outputs, the job and the pictures of the README are the program's. `BLESS=1` makes them anew, and still
/// fails.
#[test]
fn the_readme_is_true() {
    let bless = std::env::var_os("BLESS").is_some();
    let mut stale = Vec::new();
    let (readme, mut made, commands) = readme_made_anew();
    assert!(commands >= 12, "only {commands} commands found");
    let job = fs::read_to_string(demo_job()).unwrap();
    let start = made.find("```json\n").unwrap() + "```json\n".len();
    let end = start + made[start..].find("```\n").unwrap();
    made.replace_range(start..end, &job);
    if made != readme {
        stale.push("README.md".to_string());
        if bless {
            fs::write(home().join("README.md"), &made).unwrap();
        }
    }
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    stdout(&["make", &demo_job().display().to_string(), "--out", &out]);
    stdout(&["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "30", "--out", &out]);
    stdout(&["measure", "--sheet", "--out", &out]);
    stdout(&["cutsheet", &demo_job().display().to_string(), "--out", &out]);
    stdout(&["testpiece", "--out", &out]);
    let kit = folder.path().join("kit");
    stdout(&[
        "make",
        &home().join("examples/alder-lane-kit-job.json").display().to_string(),
        "--out",
        &kit.display().to_string(),
    ]);
    let sheets = print_sheets();
    fs::write(folder.path().join("print.svg"), &sheets[0]).unwrap();
    let [svg, png] = words_figure();
    fs::write(folder.path().join("words.svg"), svg).unwrap();
    fs::write(folder.path().join("words.png"), png).unwrap();
    for (made, kept) in [
        ("block.svg", "block.svg"),
        ("picture.png", "block.png"),
        ("print.svg", "print.svg"),
        ("words.svg", "words.svg"),
        ("words.png", "words.png"),
        ("test-piece.svg", "test-piece.svg"),
        ("plane-iron-30.svg", "side-honing.svg"),
        ("measure-sheet.svg", "measure-sheet.svg"),
        ("cutsheet-02.svg", "cutsheet-plan.svg"),
        ("cutsheet-03.svg", "cutsheet-assembly.svg"),
        ("kit/picture.png", "kit-block.png"),
        ("kit/card-01.svg", "card.svg"),
        ("kit/gauge-bevel-page-1.svg", "gauge-bevel.svg"),
    ] {
        let kept = home().join("examples/pictures").join(kept);
        let made = fs::read(folder.path().join(made)).unwrap();
        if fs::read(&kept).unwrap_or_default() != made {
            if bless {
                fs::write(&kept, &made).unwrap();
            }
            stale.push(kept.display().to_string());
        }
    }
    assert!(stale.is_empty(), "not current, run once with BLESS=1: {stale:?}");
}

/// Longer side of the figure of the words as PNG, pixels.
const PIXELS: f64 = 1600.0;

/// The figure of the words, of the demo guide, as SVG and as PNG.
fn words_figure() -> [Vec<u8>; 2] {
    let (sheet, area) = demo::picture();
    let per_mm = PIXELS / area.width().max(area.height());
    [svg::write_part(&sheet, area), png::write(&sheet, &Frame { area, per_mm }).unwrap()]
}

/// The pages of the demo's PDF that follow the drawing.
fn print_sheets() -> Vec<Vec<u8>> {
    let job = parsed(&serde_json::from_slice(&fs::read(demo_job()).unwrap()).unwrap());
    let set = lanes::of_job(&job).unwrap();
    let layout = block::lay_out(&job, &set).unwrap();
    let stack = slabs::stack_of(&layout);
    let picture = picture::picture(&stack, &layout.named(), picture::USUAL);
    printing::sheets(&job, &layout, None, &[("block", &stack)], &picture).iter().map(svg::write).collect()
}

/// The files that DEVELOPERS.md names are there.
#[test]
fn the_developers_guide_names_files_that_exist() {
    let guide = fs::read_to_string(home().join("DEVELOPERS.md")).unwrap();
    let mut named = 0;
    for word in guide.split('`').skip(1).step_by(2) {
        let is_path =
            word.contains('/') && !word.contains([' ', '*', '<', ':', '$', '(']) && !word.starts_with(['/', '-']);
        if is_path && !word.starts_with("out/") && !word.starts_with("target") {
            assert!(home().join(word).exists(), "{word}");
            named += 1;
        }
    }
    assert!(named >= 20, "only {named} files named");
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap().map(Result::unwrap) {
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

/// Words of a command line with double and single quotes.
fn shell_words(line: &str) -> Vec<String> {
    let (mut words, mut word, mut quote, mut open) = (Vec::new(), String::new(), None, false);
    for c in line.chars() {
        match (quote, c) {
            (Some(q), c) if c == q => quote = None,
            (None, '"' | '\'') => {
                quote = Some(c);
                open = true;
            }
            (None, ' ') => {
                if open || !word.is_empty() {
                    words.push(std::mem::take(&mut word));
                }
                open = false;
            }
            (_, c) => word.push(c),
        }
    }
    if open || !word.is_empty() {
        words.push(word);
    }
    words
}
