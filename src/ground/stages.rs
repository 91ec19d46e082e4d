//! The stages of a flow, told as they end, so that who calls the library may time them: it has no clock of its own.

use crate::cores;
use crate::format::Artifact;

/// How many of several things are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Count {
    /// What they are.
    pub what: &'static str,
    /// How many are made.
    pub done: usize,
    /// How many there will be.
    pub of: usize,
}

/// Listens to the stages of a flow.
pub trait Stages: Sync {
    /// Work begins, or goes on, on the calling thread.
    fn begin(&self);

    /// The stage that was worked on ends on the calling thread, and the next one begins.
    fn end(&self, stage: &'static str);

    /// So many of several things are made.
    fn done(&self, _: Count) {}

    /// A file is made that nothing else of the flow reads: who listens may take its bytes to where they go, and leaves
    /// none.
    fn file(&self, _: &mut Artifact) {}
}

/// Nobody listens.
impl Stages for () {
    fn begin(&self) {}

    fn end(&self, _: &'static str) {}
}

/// Does two pieces of work side by side where there is a second core.
pub fn beside<A: Send, B: Send>(
    stages: &dyn Stages,
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    let both = cores::both(
        || {
            stages.begin();
            one()
        },
        || {
            stages.begin();
            other()
        },
    );
    // Waiting for the other is no stage.
    stages.begin();
    both
}
