//! How far does a blade stick out for 30°, and how well is that known? One setting from a measured guide.
//!
//! `cargo run --example one_setting`

use stopwright::guide::Blade;
use stopwright::guide::named::{self, NoFiles};
use stopwright::input::length::{Angle, Length};
use stopwright::solve::contact::EdgeShape;
use stopwright::solve::measured::Measured;
use stopwright::solve::{angle_of_fence, solve};
use stopwright::terms::SeatName;

/// Solves for one setting and asks the inverse of its answer.
///
/// # Errors
/// None with the built-in guide; the signature is that of the library's calls.
pub fn main() -> Result<(), Box<dyn std::error::Error>> {
    let guide = named::guide("narrow-side-clamp", &NoFiles)?;
    let (_, seat) = guide.seat_for(SeatName::Iron);
    let blade = Blade { thickness: Length::within(2.4, 0.1), taper: Angle::exact(0.0), land: None };
    let measured = Measured::new(&guide, seat, blade, Length::exact(0.0))?;
    let edge = EdgeShape { bearing_height: 11.4 };
    let setting = solve(&measured, 30.0, edge, Some(0.1))?;
    println!("projection {:.2} mm, {:.2} mm per degree", setting.projection, setting.mm_per_degree);
    // Case A of the design's reference table.
    assert!((setting.projection - 39.2267).abs() < 5e-5);
    if let Some(u) = setting.uncertainty.angle {
        println!("the bevel comes out within {u:.2}° (U, k = 2)");
    }
    let back = angle_of_fence(&setting.section, setting.fence_distance, edge)?;
    assert!((back - 30.0).abs() < 1e-9);
    Ok(())
}
