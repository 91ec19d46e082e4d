//! How does a job become a printable block? Everything in memory: text in, STL and SVG bytes out.
//!
//! `cargo run --example block_from_a_job`

use stopwright::prelude::*;

/// Makes the demo's block.
///
/// # Errors
/// None with the demo; the signature is that of the library's calls.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let job = Job::parse("tool-chest.json", include_bytes!("tool-chest.json"), &NoFiles)?;
    let block = job.block()?;
    let (plan, stl, svg) = (&block.layout, block.stl()?, block.drawing()?.svg());
    println!("{} × {} mm, {:.1} cm³", plan.length, plan.depth, block.solid.mesh.volume() / 1000.0);
    for placed in &plan.lanes {
        println!("{:<18} {:8.3} mm", placed.lane.request.id, placed.lane.fence());
    }
    println!("{} bytes of STL, {} of SVG", stl.len(), svg.len());
    Ok(())
}
