//! How far does a blade stick out for 30°, and how well is that known? One setting from a measured guide.
//!
//! `cargo run --example one_setting`

use stopwright::prelude::*;

/// Solves for one setting of a built-in guide.
///
/// # Errors
/// None with the built-in guide; the signature is that of the library's calls.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let setting = Guide::named("narrow-side-clamp")?.setting(Blade::iron(2.4), 30.0)?;
    println!("projection {:.2} mm, {:.2} mm per degree", setting.projection, setting.mm_per_degree);
    // By hand: (8 + (21.9 + 2.4) cos 30°) / sin 30° − 11.
    assert!((setting.projection - 47.0888).abs() < 5e-5);
    if let Some(u) = setting.uncertainty.angle {
        println!("the bevel comes out within {u:.2}° (U, k = 2)");
    }
    Ok(())
}
