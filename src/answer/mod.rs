//! The whole tool as one function: what is on the bench and what is wanted of it in; words, pictures and files out. A page
//! needs nothing else, and knows no geometry, no rule and no wording of its own.
//!
//! 1. [`mod@bench`]: what was opened and typed, and the files that it makes; [`fields`]: the forms it is typed into.
//! 2. [`request`]: what is asked; [`reply`]: what is said to it, with the `parts` that hold its bytes.
//! 3. A file for each view: `guide`, `blades`, `block` with its `model`, `proof`, `stones`; `made` makes the files, `opened`
//!    opens and saves, `start` is what a page begins with.
//! 4. `last` keeps what was laid last, as a page asks several things of the same bench.
//! 5. [`wire`]: requests and answers as bytes, and their schemas.

pub mod bench;
mod blades;
mod block;
pub mod fields;
mod guide;
mod last;
pub mod made;
mod model;
mod opened;
mod parts;
mod proof;
pub mod reply;
pub mod request;
mod start;
mod stones;
pub mod wire;

pub use bench::Bench;
pub use reply::{Answer, Part, Reply};
pub use request::{Request, Want};

use crate::error;
use crate::input::fault::Faults;
use crate::lane::NoLane;
use crate::lane::checks::Finding;
use crate::lanes::LaneSet;
use crate::layout::Refused;
use crate::notices::NOTICES;
use crate::shape::script::on_a_line;
use crate::units::Written;
use parts::Parts;

/// Answers a request. It touches no file, clock or network, and says of everything that is wrong what to type instead.
pub fn answer(request: &Request) -> Answer {
    let mut parts = Parts::default();
    let reply = replied(request, &mut parts).unwrap_or_else(refusal);
    match reply {
        Reply::Refused(_) => Answer { reply, parts: Vec::new() },
        reply => Answer { reply, parts: parts.0 },
    }
}

fn replied(Request { bench, want }: &Request, parts: &mut Parts) -> Result<Reply, Vec<String>> {
    let laid = || last::laid(bench);
    Ok(match want {
        Want::Start => Reply::Start(start::shown(parts)),
        Want::Guide => Reply::Guide(guide::shown(bench, parts)),
        Want::Blades => Reply::Blades(blades::shown(bench, &laid())),
        Want::Block { lane } => Reply::Block(block::shown(&laid(), bench.makes_a_jig_alone(), lane.as_deref(), parts)),
        Want::Model { block } => Reply::Model(model::shown(&laid(), *block, parts)?),
        Want::Picture { block } => Reply::Picture(model::pictured(&laid(), *block, parts)?),
        Want::Files { kinds, zipped, corrected } => {
            let job = laid().job()?.clone();
            let corrections = corrected.then(|| proof::corrected(bench, job.clone())).transpose()?;
            Reply::Files(made::made(job, kinds, *zipped, corrections.as_deref(), parts)?)
        }
        Want::Proof => Reply::Proof(proof::shown(bench, laid().job()?.clone())?),
        Want::Stones => Reply::Stones(stones::shown(&laid())?),
        Want::Record { day, blade, strokes } => Reply::Files(stones::record(&laid(), day, blade, strokes, parts)?),
        Want::Open { name, text } => Reply::Opened(opened::opened(bench, name, text)?),
        Want::Units(units) => Reply::Bench(bench.in_units(*units)),
        Want::Save => Reply::Files(opened::saved(bench, parts)?),
        Want::Notices => Reply::Notices(NOTICES.into()),
    })
}

/// A refusal, which may repeat what somebody called a file or typed.
fn refusal(lines: Vec<String>) -> Reply {
    Reply::Refused(lines.iter().map(|line| seen(line)).collect())
}

/// A line whose hidden signs are shown, and no more of it than can be read.
fn seen(line: &str) -> String {
    const MOST: usize = 4000;
    on_a_line(line, MOST)
}

/// Faults of a file, a sentence or two each.
fn told(faults: &Faults) -> Vec<String> {
    faults.0.iter().map(bench::said).collect()
}

/// Why lanes have no setting; whole sentences.
fn not_set(failed: &[NoLane], written: Written) -> Vec<String> {
    failed.iter().map(|lane| error::sentence(&written.reworded(&error::chain(lane)))).collect()
}

/// Why nothing is laid out; whole sentences.
fn refused(refused: &Refused) -> Vec<String> {
    refused.0.iter().map(|line| error::sentence(line)).collect()
}

/// What no lane serves; whole sentences.
fn left_out(set: &LaneSet, written: Written) -> Vec<String> {
    let said =
        |lane: &NoLane| format!("Left out: {}. Hone it without the guide.", written.reworded(&error::chain(lane)));
    set.left_out.iter().map(said).collect()
}

/// Findings; whole sentences.
fn said(findings: &[Finding]) -> Vec<String> {
    findings.iter().map(|finding| error::sentence(&filled_in(&finding.said()))).collect()
}

/// What a profile lacks and what is done at a terminal, as a form has it.
const LACKS: [[&str; 2]; 7] = [
    ["what \"stopwright offsets --budget\" puts on top", "what is shown with the guide to add most"],
    ["\"stopwright plate\" makes the sheet for it", "the sheet plate.pdf among the block's files shows where"],
    ["the profile lacks face.bottom", "B is not filled in"],
    ["the profile lacks face.width", "F is not filled in"],
    ["the profile lacks roller.arrangement", "it is not said where the roller runs"],
    ["the profile lacks the seat's blade_width", "w is not filled in"],
    ["the profile lacks the seat's blade_thickness", "t is not filled in"],
];

/// Words for somebody who fills in forms and sees no profile.
fn filled_in(words: &str) -> String {
    LACKS.iter().fold(words.to_string(), |words, [field, letter]| words.replace(field, letter))
}
