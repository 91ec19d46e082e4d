//! What does a guide look like from its measurements? The side view as SVG text, without any file.
//!
//! `cargo run --example side_view > side.svg`

use stopwright::format::svg;
use stopwright::guide::named::NoFiles;
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::terms::ProjectionAngle;
use stopwright::views::side_view::{self, Stand};

/// Draws the first lane of the demo on the stone.
///
/// # Errors
/// None with the demo; the signature is that of the library's calls.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = Job::parse("tool-chest.json", include_bytes!("tool-chest.json"), &NoFiles)?;
    let lanes = lanes::of_job(&job).map_err(|failed| failed[0].clone())?;
    let sheet = side_view::sheet(&job.guide, &lanes.lanes[0], Stand::Stone, None, ProjectionAngle::Third);
    println!("{}", String::from_utf8(svg::write(&sheet))?);
    Ok(())
}
