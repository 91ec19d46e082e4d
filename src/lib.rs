//! Stopwright makes *setting blocks* for honing guides.
//!
//! How far a blade stands out of a honing guide sets its bevel angle. A setting block makes that repeatable: the guide's
//! face is held against the block's edge, and the blade is slid out to a fence. From the measured geometry of one's own
//! guide the library works out the fence for every blade and angle, lays the lanes out as a block, and gives it as a
//! model to print or as drawings and a cut list for wood; then it judges what was made by what was measured on it.
//!
//! ```
//! use stopwright::prelude::*;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let guide = Guide::named("narrow-side-clamp")?; // or Guide::try_from(profile)?, or Guide::parse("mine.json", text)?
//! let setting = guide.setting(Blade::iron(2.4), 30.0)?; // projection, fence distance, slope, uncertainty
//! assert!((setting.projection - 47.0888).abs() < 1e-4);
//!
//! let job = Job::new(guide).lanes("plane-iron", [25.0, 30.0, 35.0])?;
//! let block = job.block()?; // solved, laid out, its solid checked
//! let stl: Vec<u8> = block.stl()?; // every fence measured in it
//! let svg: Vec<u8> = block.drawing()?.svg();
//! # assert_eq!(block.layout.lanes.len(), 3);
//! # assert!(stl.len() > 10_000 && svg.starts_with(b"<?xml"));
//! # Ok(())
//! # }
//! ```
//!
//! # The flow
//!
//! ```text
//!  text ── input ── profile ── guide ─┬─ solve ── lane ──┬── layout ──┬── block ────┐
//!                     │               │                  │            ├── jig       │
//!  known settings ── fit ─────────────┤           lanes ─┘            │             ├── make ── files
//!  caliper readings ─ measure ────────┘             │                 │             │
//!                                                   │                 │             │
//!  blades ── kit ── advice, fewest fences ──────────┴─────────────────┴── card,     │
//!              stones: bevel, camber, grits                               gauges ───┘
//!
//!  below all of them:  shape ── solid ── drawing ── format          afterwards:  verify, log, testpiece
//! ```
//!
//! Functions are pure: values in, values or bytes out. Lengths are mm and angles degrees everywhere but in formulas,
//! whose names say radians. There is no file, clock, signal or thread of our own: those are of the program, a package of
//! its own. So the library builds for `wasm32-unknown-unknown`.
//!
//! Every product ([`block`], [`jig`], [`gauges`], [`testpiece`], [`card`]) has the same rooms: `mod.rs` plans it,
//! `sheet.rs` or `sheets/` draws it, `check.rs` measures it in the written file, `report.rs` tells of it, `files.rs` makes
//! its files. [`make`] only puts them in order.

// The platform's functions of angles differ in the last place: see `trig`.
#![cfg_attr(not(test), warn(clippy::disallowed_methods))]

pub use stopwright_ground::{cores, drawing, error, format, input, shape, solid, stages, terms, trig, units, wood};

pub mod notices;

pub mod profile;
pub mod questions;

pub mod guide;
pub mod solve;

pub mod fit;
pub mod measure;

pub mod honing;
pub mod lane;
pub mod layout;
pub mod views;

pub mod stones;

pub mod kit;
pub mod log;

pub mod job;
pub mod lanes;

pub mod block;
pub mod card;
pub mod gauges;
pub mod jig;
pub mod plate;
pub mod testpiece;

pub mod class;
pub mod verify;

pub mod ask;

pub mod make;

pub mod answer;

mod front;

/// What most callers need.
pub mod prelude {
    pub use crate::drawing::Sheet;
    pub use crate::format::{Artifact, ArtifactKind, Wanted};
    pub use crate::front::{Block, NoBlock};
    pub use crate::guide::named::{NoFiles, Sources};
    pub use crate::guide::{Blade, Guide, Seated};
    pub use crate::job::Job;
    pub use crate::lanes::LaneSet;
    pub use crate::make::{Made, make};
    pub use crate::profile::GuideProfile;
    pub use crate::solve::Setting;
    pub use crate::terms::SeatName;
    pub use crate::units::Units;
}
