//! Emitters: each turns one model into the bytes of one kind of file.

mod artifact;
pub(crate) mod columns;
pub mod dxf;
pub(crate) mod marked;
pub mod narrow;
pub mod pdf;
pub mod png;
pub mod step;
pub mod stl;
pub mod svg;
pub mod threemf;
#[cfg(feature = "cli")]
pub mod wrap;

pub use artifact::{Artifact, ArtifactKind, NotWritten, Wanted};

/// A path by the `$builder` of a library that draws, whose numbers `$number` makes of ours.
macro_rules! traced {
    ($builder:ty, $path:expr, $number:expr) => {{
        let mut builder = <$builder>::new();
        let at = |p: kurbo::Point| -> (f32, f32) { ($number(p.x), $number(p.y)) };
        for element in $path {
            match element {
                kurbo::PathEl::MoveTo(p) => builder.move_to(at(p).0, at(p).1),
                kurbo::PathEl::LineTo(p) => builder.line_to(at(p).0, at(p).1),
                kurbo::PathEl::QuadTo(a, p) => builder.quad_to(at(a).0, at(a).1, at(p).0, at(p).1),
                kurbo::PathEl::CurveTo(a, b, p) => {
                    builder.cubic_to(at(a).0, at(a).1, at(b).0, at(b).1, at(p).0, at(p).1);
                }
                kurbo::PathEl::ClosePath => builder.close(),
            }
        }
        builder.finish()
    }};
}
use traced;
