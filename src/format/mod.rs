//! Emitters: each turns one model into the bytes of one kind of file.

mod artifact;
pub mod columns;
pub mod dxf;
pub mod pdf;
pub mod png;
pub mod step;
pub mod stl;
pub mod svg;
pub mod threemf;

pub use artifact::{Artifact, ArtifactKind, NotWritten, Wanted};
