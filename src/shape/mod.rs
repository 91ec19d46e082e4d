//! Shapes on a grid of 1 µm, and the font's letters as such shapes: what solids are built of and drawings draw.
//!
//! * [`polygon`]: outlines and regions; [`stack`]: slabs of them, one upon the other.
//! * [`font`]: the font's widths and outlines; [`letters`]: its signs as polygons that a nozzle can print; [`lines`]:
//!   lines of them.

pub mod font;
pub mod letters;
pub mod lines;
pub mod polygon;
pub mod stack;
