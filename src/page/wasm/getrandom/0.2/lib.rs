//! No random numbers, by the names of an earlier version. `rand` asks for them, on which the CAD kernel depends for tests
//! of its own.

pub use none::{Error, fill as getrandom};
