//! What happens at the stones: bevels, camber and grits.

pub mod bevel;
pub mod camber;
pub mod cautions;
pub mod grits;
