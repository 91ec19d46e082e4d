//! The blades of a kit that share a lane.

use super::Request;
use crate::solve::section::Section;

/// A blade of a kit in a lane that it shares.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// The blade: its place in the kit.
    pub blade: usize,
    /// The user's name for the blade.
    pub name: String,
    /// Which of its bevels is set here.
    pub bevel: Bevel,
    /// The angle asked for, degrees.
    pub wanted: f64,
    /// Smallest and largest angle that it may come out at, degrees: within the tolerance, soundly held, and clear of the
    /// blade's other bevel.
    pub allowed: [f64; 2],
    /// What is asked of the lane for it alone, at the angle that the fence gives it.
    pub request: Request,
    /// Its side view.
    pub section: Section<f64>,
}

/// Which bevel of a blade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bevel {
    /// The main one.
    Primary,
    /// The small, steeper one at the edge.
    Micro,
}

impl Bevel {
    /// What it is called.
    pub fn name(self) -> &'static str {
        match self {
            Bevel::Primary => "primary",
            Bevel::Micro => "micro-bevel",
        }
    }
}

/// An angle asked for, and the one that a fence sets, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AngleAt {
    /// Asked for.
    pub wanted: f64,
    /// Set.
    pub set: f64,
}

impl AngleAt {
    /// Set minus wanted, degrees.
    pub fn error(self) -> f64 {
        self.set - self.wanted
    }

    /// The one with the largest error.
    pub fn worst(all: impl IntoIterator<Item = Self>) -> Option<Self> {
        all.into_iter().max_by(|a, b| a.error().abs().total_cmp(&b.error().abs()))
    }
}
