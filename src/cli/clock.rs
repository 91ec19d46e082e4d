//! Times the stages of a flow.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};
use std::thread::{self, ThreadId};
use std::time::{Duration, Instant};

use super::progress::Counter;
use stopwright::stages::{Count, Stages};

/// How long each stage took, in the order in which they first ended; of stages that come several times the sum.
pub(super) type Timings = Vec<(&'static str, Duration)>;

/// A clock that hears every stage end, on whatever thread.
#[derive(Debug)]
pub(super) struct Clock(Mutex<State>);

#[derive(Debug, Default)]
struct State {
    last: HashMap<ThreadId, Instant>,
    timings: Timings,
}

impl Clock {
    /// Begins to time.
    pub fn start() -> Self {
        let clock = Self(Mutex::default());
        clock.begin();
        clock
    }

    /// What was timed.
    pub fn timings(self) -> Timings {
        self.0.into_inner().unwrap_or_else(PoisonError::into_inner).timings
    }

    fn now(&self, hear: impl FnOnce(&mut State, ThreadId, Instant)) {
        let mut state = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        hear(&mut state, thread::current().id(), Instant::now());
    }
}

impl Stages for Clock {
    fn begin(&self) {
        self.now(|state, thread, now| {
            state.last.insert(thread, now);
        });
    }

    fn end(&self, stage: &'static str) {
        self.now(|state, thread, now| {
            let took = now - state.last.insert(thread, now).unwrap_or(now);
            add(&mut state.timings, stage, took);
        });
    }

    fn done(&self, count: Count) {
        Counter.done(count);
    }
}

/// Adds the time of a stage to those of others.
pub(super) fn add(timings: &mut Timings, stage: &'static str, took: Duration) {
    match timings.iter_mut().find(|(name, _)| *name == stage) {
        Some((_, sum)) => *sum += took,
        None => timings.push((stage, took)),
    }
}
