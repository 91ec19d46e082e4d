//! How wood moves with the moisture of the air.
//!
//! Source of nearly all: USDA Forest Products Laboratory, *Wood Handbook*, FPL-GTR-190 (2010), called "the handbook"
//! here. The values are averages of their species; single boards differ.

mod moisture;
mod movement;
mod species;

pub use moisture::{Climate, HUMIDITY, NoMoisture, TEMPERATURE};
pub use movement::{ALONG_GRAIN, Cut, LINEAR, MDF, NoSeason, PLYWOOD, Season, Stuff, drift, season};
pub use species::{SOFT_BELOW, Species};
