//! The documents' pictures, made anew.

use std::fs;
use std::path::Path;

use crate::support::{demo as demo_job, home, parsed, stdout};
use stopwright::block::sheets::{picture, printing};
use stopwright::block::{self, slabs};
use stopwright::format::png::{self, Frame};
use stopwright::format::svg;
use stopwright::lanes;
use stopwright::views::words::demo;

/// Longer side of the figure of the words as PNG, pixels.
const PIXELS: f64 = 1600.0;

/// Every picture: its name in `examples/pictures`, and its bytes.
pub fn made() -> Vec<(&'static str, Vec<u8>)> {
    let folder = tempfile::tempdir().unwrap();
    let (at, demo) = (folder.path(), demo_job().display().to_string());
    let kit = home().join("examples/alder-lane-kit-job.json").display().to_string();
    let (out, of_kit) = (at.display().to_string(), at.join("kit").display().to_string());
    let of_proof = at.join("proof").display().to_string();
    stdout(&["make", &demo, "--out", &out]);
    stdout(&["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "30", "--out", &out]);
    stdout(&["measure", "--sheet", "--out", &out]);
    stdout(&["cutsheet", &demo, "--out", &out]);
    stdout(&["testpiece", "--out", &out]);
    let proof = home().join("examples/proof-job.json").display().to_string();
    stdout(&["plate", &proof, "--apart", "70", "--out", &of_proof]);
    stdout(&["make", &kit, "--out", &of_kit]);
    let (evening, of_class) = (home().join("examples/evening.json"), at.join("class").display().to_string());
    stdout(&["class", &evening.display().to_string(), "--guides", "wide-side-clamp", "--out", &of_class]);
    fs::write(at.join("print.svg"), print_sheet()).unwrap();
    let [svg, png] = words_figure();
    fs::write(at.join("words.svg"), svg).unwrap();
    fs::write(at.join("words.png"), png).unwrap();
    [
        ("words.svg", "words.svg"),
        ("words.png", "words.png"),
        ("block.svg", "block.svg"),
        ("block.png", "picture.png"),
        ("print.svg", "print.svg"),
        ("test-piece.svg", "test-piece.svg"),
        ("plate.svg", "proof/plate.svg"),
        ("side-honing.svg", "plane-iron-30.svg"),
        ("measure-sheet.svg", "measure-sheet.svg"),
        ("cutsheet-plan.svg", "cutsheet-02.svg"),
        ("cutsheet-assembly.svg", "cutsheet-03.svg"),
        ("kit-block.png", "kit/picture.png"),
        ("card.svg", "kit/card-01.svg"),
        ("lesson.svg", "class/class.svg"),
        ("gauge-bevel.svg", "kit/gauge-bevel-page-1.svg"),
    ]
    .map(|(name, file)| (name, read(&at.join(file))))
    .to_vec()
}

fn read(path: &Path) -> Vec<u8> {
    fs::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// The figure of the words, of the demo guide, as SVG and as PNG.
fn words_figure() -> [Vec<u8>; 2] {
    let (sheet, area) = demo::picture();
    let per_mm = PIXELS / area.width().max(area.height());
    [svg::write_part(&sheet, area), png::write(&sheet, &Frame { area, per_mm }).unwrap()]
}

/// The first page of the demo's PDF that follows the drawing: what to mind at the printer.
fn print_sheet() -> Vec<u8> {
    let job = parsed(&serde_json::from_slice(&fs::read(demo_job()).unwrap()).unwrap());
    let set = lanes::of_job(&job).unwrap();
    let layout = block::lay_out(&job, &set).unwrap();
    let stack = slabs::stack_of(&layout);
    let picture = picture::picture(&stack, &layout.named(), picture::USUAL);
    svg::write(&printing::sheets(&job, &layout, None, &[("block", &stack)], &picture)[0].sheet)
}
