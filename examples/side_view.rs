//! What does a guide look like from its measurements? The side view as SVG text, without any file.
//!
//! `cargo run --example side_view > side.svg`

use stopwright::drawing::side_view::{self, Stand};
use stopwright::emit;
use stopwright::job::Job;
use stopwright::lane;
use stopwright::profile::builtin::NoFiles;
use stopwright::profile::job::ProjectionAngle;

/// Draws the first lane of the demo on the stone.
///
/// # Errors
/// None with the demo; the signature is that of the library's calls.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = Job::parse("tool-chest.json", include_bytes!("tool-chest.json"), &NoFiles)?;
    let lanes = lane::of_job(&job).map_err(|failed| failed[0].clone())?;
    let sheet = side_view::sheet(&job.guide, &lanes.lanes[0], Stand::Stone, None, ProjectionAngle::Third);
    println!("{}", String::from_utf8(emit::svg::write(&sheet))?);
    Ok(())
}
