//! What was laid last: a page asks for the plan and then for the model of the same bench, and need not wait for its lanes
//! twice. An answer is the same with it and without.

use std::sync::{Arc, Mutex, PoisonError};

use super::bench::{Bench, Laid};

static LAST: Mutex<Option<(Bench, Arc<Laid>)>> = Mutex::new(None);

/// All that the bench makes.
pub(super) fn laid(bench: &Bench) -> Arc<Laid> {
    let last = || LAST.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, laid)) = last().as_ref().filter(|(of, _)| of == bench) {
        return Arc::clone(laid);
    }
    let laid = Arc::new(bench.laid());
    *last() = Some((bench.clone(), Arc::clone(&laid)));
    laid
}
