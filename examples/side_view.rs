//! What does a guide look like from its measurements? The side view as SVG text, without any file.
//!
//! `cargo run --example side_view > side.svg`

use stopwright::lanes;
use stopwright::prelude::*;
use stopwright::terms::ProjectionAngle;
use stopwright::views::side_view::{self, Stand};

/// Draws a plane iron at 30° on the stone.
///
/// # Errors
/// None with the built-in guide; the signature is that of the library's calls.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = Job::new(Guide::named("narrow-side-clamp")?).lanes("plane-iron", [30.0])?;
    let set = lanes::of_job(&job).map_err(|failed| failed[0].clone())?;
    let sheet = side_view::sheet(&job.guide, None, &set.lanes[0], Stand::Stone, None, ProjectionAngle::Third);
    println!("{}", String::from_utf8(sheet.svg())?);
    Ok(())
}
