//! Files to be written: their kinds, and what is wanted of them.

use std::borrow::Cow;

/// A file to be written: its name and bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Artifact {
    /// Name within the job's folder.
    pub name: String,
    /// What it is, in a few words.
    pub what: Cow<'static, str>,
    /// Content; nothing where who listens to the stages has taken it to its place.
    pub bytes: Vec<u8>,
}

/// A kind of artifact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArtifactKind {
    /// The printed block as STL.
    Stl,
    /// The same as 3MF.
    ThreeMf,
    /// The same as STEP.
    Step,
    /// The block's drawing, and how to print it.
    Drawing,
    /// A picture of the block.
    Picture,
    /// A side view a seat.
    Sides,
    /// The lanes' numbers.
    Offsets,
    /// Where to measure a set blade on a plate.
    Plate,
    /// The wooden jig, where the job asks for it.
    Wood,
    /// Bench cards, of a kit.
    Cards,
    /// Gauges, of a kit.
    Gauges,
    /// A page that shows everything.
    Index,
}

impl ArtifactKind {
    /// All kinds.
    pub const ALL: [ArtifactKind; 12] = [
        ArtifactKind::Stl,
        ArtifactKind::ThreeMf,
        ArtifactKind::Step,
        ArtifactKind::Drawing,
        ArtifactKind::Picture,
        ArtifactKind::Sides,
        ArtifactKind::Offsets,
        ArtifactKind::Plate,
        ArtifactKind::Wood,
        ArtifactKind::Cards,
        ArtifactKind::Gauges,
        ArtifactKind::Index,
    ];

    /// Whether only a job with a kit has it.
    pub fn is_of_kits(self) -> bool {
        matches!(self, ArtifactKind::Cards | ArtifactKind::Gauges)
    }

    /// What it is, in a few words.
    pub fn what(self) -> &'static str {
        match self {
            ArtifactKind::Stl => "the block to print, STL",
            ArtifactKind::ThreeMf => "the block to print, 3MF",
            ArtifactKind::Step => "the block for other CAD programs, STEP",
            ArtifactKind::Drawing => "drawing, and how to print the block",
            ArtifactKind::Picture => "picture of the block",
            ArtifactKind::Sides => "side views",
            ArtifactKind::Offsets => "the lanes' numbers with all digits",
            ArtifactKind::Plate => "where to prove the angle on a plate",
            ArtifactKind::Wood => "the wooden jig, to print and build from",
            ArtifactKind::Cards => "bench cards",
            ArtifactKind::Gauges => "gauges",
            ArtifactKind::Index => "a page that shows everything",
        }
    }

    /// The word that a command line names it by.
    pub fn name(self) -> &'static str {
        match self {
            ArtifactKind::Stl => "stl",
            ArtifactKind::ThreeMf => "3mf",
            ArtifactKind::Step => "step",
            ArtifactKind::Picture => "picture",
            ArtifactKind::Drawing => "drawing",
            ArtifactKind::Sides => "sides",
            ArtifactKind::Offsets => "offsets",
            ArtifactKind::Plate => "plate",
            ArtifactKind::Wood => "wood",
            ArtifactKind::Cards => "cards",
            ArtifactKind::Gauges => "gauges",
            ArtifactKind::Index => "index",
        }
    }
}

/// Which kinds of artifacts are wanted: a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted(u32);

impl Wanted {
    /// Everything a job asks for.
    pub fn everything() -> Self {
        Self::only(&ArtifactKind::ALL)
    }

    /// The printed block alone: its files, drawing and picture.
    pub fn block() -> Self {
        Self::only(&[
            ArtifactKind::Stl,
            ArtifactKind::ThreeMf,
            ArtifactKind::Step,
            ArtifactKind::Drawing,
            ArtifactKind::Picture,
        ])
    }

    /// These kinds.
    pub fn only(kinds: &[ArtifactKind]) -> Self {
        Self(kinds.iter().fold(0, |bits, kind| bits | 1 << *kind as u32))
    }

    /// Whether `kind` is wanted.
    pub fn has(self, kind: ArtifactKind) -> bool {
        self.0 & 1 << kind as u32 != 0
    }
}

/// Why an artifact was not written: a fault of the program.
#[derive(Debug, thiserror::Error)]
#[error("{what}")]
pub struct NotWritten {
    /// Which artifact.
    pub what: &'static str,
    /// Why.
    #[source]
    pub cause: Box<dyn std::error::Error + Send + Sync>,
}

impl NotWritten {
    /// What an emitter's refusal becomes.
    pub fn of<E: Into<Box<dyn std::error::Error + Send + Sync>>>(what: &'static str) -> impl Fn(E) -> Self {
        move |cause| Self { what, cause: cause.into() }
    }
}
