//! How does a job become a printable block? Everything in memory: text in, STL bytes out.
//!
//! `cargo run --example block_from_a_job`

use stopwright::block::{self, check, slabs};
use stopwright::format::stl;
use stopwright::guide::named::NoFiles;
use stopwright::job::Job;
use stopwright::lanes;

/// Makes the demo's block and prints what was measured in its STL.
///
/// # Errors
/// None with the demo; the signature is that of the library's calls.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let text = include_str!("tool-chest.json");
    let job = Job::parse("tool-chest.json", text.as_bytes(), &NoFiles)?;
    let lanes = lanes::of_job(&job).map_err(|failed| failed[0].clone())?;
    let plan = block::lay_out(&job, &lanes)?;
    let block = slabs::build(&plan)?;
    let stl = stl::write(&block.mesh, &plan.title)?;
    let readings = check::measure(&stl, &plan, [1.0; 3])?;
    println!(
        "{} × {} mm, {:.1} cm³, {} triangles",
        plan.length,
        plan.depth,
        block.mesh.volume() / 1000.0,
        block.mesh.triangles.len()
    );
    for reading in readings {
        println!(
            "{:<18} {:8.3} mm, as written {:8.3} {:8.3}",
            reading.id, reading.wanted, reading.measured[0], reading.measured[1]
        );
    }
    Ok(())
}
