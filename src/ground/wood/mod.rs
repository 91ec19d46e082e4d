//! Wood: how it moves with the air's moisture, and how parts come out of boards and battens.

pub mod stock;
pub mod timber;
