//! Emitters: each turns one model into the bytes of one kind of file.

pub mod budget;
mod columns;
pub mod cutsheet;
pub mod dxf;
pub mod fit;
pub mod kit;
pub mod offsets;
pub mod pdf;
pub mod png;
pub mod step;
pub mod stl;
pub mod svg;
pub mod testpiece;
pub mod threemf;
pub mod verdicts;
