//! The library's front door: from a guide to a setting, and from a job to its block, in a few calls.
//!
//! Everything here is short for calls of the rooms behind it, which give more choice.

use crate::block::check;
use crate::block::cleat;
use crate::block::sheets::{self, picture};
use crate::block::{self, Layout};
use crate::drawing::Sheet;
use crate::error;
use crate::format::{NotWritten, stl};
use crate::guide::named::{self, NoFiles};
use crate::guide::{Guide, Seated};
use crate::input::fault::Faults;
use crate::input::length::Length;
use crate::job::Job;
use crate::lane::{BlockEdge, DEFAULT_FENCE_WITHIN, FRONT_RELIEF, NoFence, NoLane, USUAL_THICKNESS};
use crate::lanes;
use crate::layout::Refused;
use crate::profile::GuideProfile;
use crate::solid::{NotSound, Solid};
use crate::solve::measured::Measured;
use crate::solve::{self, Setting};
use crate::views::assembly::TooLarge;

impl Guide {
    /// A guide that is compiled in, by its name.
    ///
    /// # Errors
    /// That there is none of that name, and which there are.
    pub fn named(name: &str) -> Result<Self, Faults> {
        named::guide(name, &NoFiles)
    }

    /// How far a blade stands out at a bevel angle, degrees, and where the fence of a block of the usual thickness goes;
    /// the roller runs on the stone.
    ///
    /// # Errors
    /// [`NoFence::Unsolved`] where geometry has no answer, [`NoFence::Land`] where the seat grips the sides of a blade
    /// whose lands are not stated.
    pub fn setting(&self, blade: Seated, angle: f64) -> Result<Setting, NoFence> {
        let (_, seat) = self.seat_for(blade.seat);
        let measured = Measured::new(self, seat, blade.blade, Length::exact(0.0))?;
        let edge =
            BlockEdge { thickness: USUAL_THICKNESS, relief: FRONT_RELIEF[1], fence_within: Some(DEFAULT_FENCE_WITHIN) };
        Ok(solve::solve(&measured, angle, edge.shape(), edge.fence_within)?)
    }
}

impl TryFrom<GuideProfile> for Guide {
    type Error = Faults;

    /// Resolves a profile that was built in code, by the same rules as a file.
    fn try_from(profile: GuideProfile) -> Result<Self, Faults> {
        let text = serde_json::to_vec(&profile)
            .map_err(|e| Faults::argument("PROFILE", e.to_string(), "a profile that can be written as JSON"))?;
        Guide::parse("the profile", &text)
    }
}

impl Job {
    /// The printed block of all its lanes: solved, laid out, and its solid checked.
    ///
    /// # Errors
    /// [`NoBlock`].
    pub fn block(&self) -> Result<Block<'_>, NoBlock> {
        let set = lanes::of_job(self).map_err(NoBlock::NoLanes)?;
        let layout = block::lay_out(self, &set)?;
        let solid = block::slabs::build(&layout)?;
        Ok(Block { job: self, layout, solid })
    }
}

/// A printed block.
#[derive(Debug, Clone)]
pub struct Block<'j> {
    job: &'j Job,
    /// Its plan, with its lanes in their places.
    pub layout: Layout,
    /// Its solid.
    pub solid: Solid,
}

impl Block<'_> {
    /// The block as binary STL, mm, in which every fence was measured after it was written.
    ///
    /// # Errors
    /// [`NoBlock::NotWritten`] or [`NoBlock::Mismeasured`]: faults of the program.
    pub fn stl(&self) -> Result<Vec<u8>, NoBlock> {
        let factors = self.job.print.factors(self.layout.turned);
        let bytes = stl::write(&self.solid.mesh.scaled(factors), &self.layout.with_fingerprint())
            .map_err(NotWritten::of("the STL"))?;
        check::measure(&bytes, &self.layout, factors)?;
        Ok(bytes)
    }

    /// Its dimensioned drawing: the first sheet of it, which has the views.
    ///
    /// # Errors
    /// [`TooLarge`] where no sheet takes it.
    pub fn drawing(&self) -> Result<Sheet, TooLarge> {
        let drawn = self.drawings()?.into_iter().next();
        drawn.ok_or_else(|| TooLarge::of(&self.layout.lanes))
    }

    /// All sheets of its dimensioned drawing: table and notes have their own where one does not take all.
    ///
    /// # Errors
    /// [`TooLarge`] where no sheet takes it.
    pub fn drawings(&self) -> Result<Vec<Sheet>, TooLarge> {
        let stack = &self.solid.stack;
        let cleat = self.job.block.cleat.then(|| cleat::cleat_of(&self.layout).ok()).flatten();
        let below = cleat.iter().flat_map(|cleat| picture::cleat_bodies(&self.layout, cleat));
        let below: Vec<_> = below.collect();
        let picture = picture::picture_with(stack, &below, &self.layout.titled(), picture::USUAL);
        Ok(sheets::all(
            self.job,
            &self.layout,
            ("block", stack),
            cleat.as_ref().map(|cleat| ("cleat", cleat)),
            &picture,
        )?
        .of_drawing()
        .to_vec())
    }
}

/// Why there is no block.
#[derive(Debug, thiserror::Error)]
pub enum NoBlock {
    /// Lanes without a setting.
    #[error("{}", error::lines(.0))]
    NoLanes(Vec<NoLane>),
    /// The rules refuse it.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// The solid failed its checks.
    #[error(transparent)]
    NotSound(#[from] NotSound),
    /// The written STL failed its measurement.
    #[error(transparent)]
    Mismeasured(#[from] check::Mismeasured),
    /// It could not be written.
    #[error(transparent)]
    NotWritten(#[from] NotWritten),
}
