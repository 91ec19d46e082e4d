//! A sign of life on the terminal: what is done and how long it has taken, from half a second on.

use std::io::IsTerminal;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use stopwright::stages::{Count, Stages};

/// Nobody misses a sign before this.
const AFTER: Duration = Duration::from_millis(500);
/// How often it is written anew.
const EVERY: Duration = Duration::from_millis(200);

/// What was counted last.
static NOW: Mutex<Option<Count>> = Mutex::new(None);

/// The sign that is shown now.
static SHOWN: Mutex<Option<ProgressBar>> = Mutex::new(None);

/// Lets something be written on standard error, which a sign that is shown there makes way for.
pub(super) fn aside(write: impl FnOnce()) {
    match &*held(&SHOWN) {
        Some(bar) => bar.suspend(write),
        None => write(),
    }
}

/// Hears what is done, for the sign.
#[derive(Debug, Clone, Copy)]
pub(super) struct Counter;

impl Stages for Counter {
    fn begin(&self) {}

    fn end(&self, _: &'static str) {}

    fn done(&self, count: Count) {
        *held(&NOW) = Some(count);
    }
}

/// The sign, as long as it is held.
#[derive(Debug)]
pub(super) struct Progress {
    ended: Arc<(Mutex<bool>, Condvar)>,
    hand: Option<JoinHandle<()>>,
}

/// Begins to show where `seen` and where standard error is a terminal; a thread that the system refuses shows nothing.
pub(super) fn begin(seen: bool) -> Progress {
    let ended = Arc::new((Mutex::new(false), Condvar::new()));
    let shown = Arc::clone(&ended);
    let hand = (seen && std::io::stderr().is_terminal())
        .then(|| thread::Builder::new().spawn(move || show(&shown.0, &shown.1)).ok())
        .flatten();
    Progress { ended, hand }
}

impl Drop for Progress {
    fn drop(&mut self) {
        *held(&self.ended.0) = true;
        self.ended.1.notify_all();
        if let Some(hand) = self.hand.take() {
            // It does nothing that fails.
            let _ = hand.join();
        }
    }
}

fn held<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

fn show(ended: &Mutex<bool>, changed: &Condvar) {
    let start = Instant::now();
    let wait = |now, time| {
        changed.wait_timeout_while(now, time, |ended: &mut bool| !*ended).unwrap_or_else(PoisonError::into_inner).0
    };
    let mut now = wait(held(ended), AFTER);
    if *now {
        return;
    }
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("{msg}") {
        bar.set_style(style);
    }
    *held(&SHOWN) = Some(bar.clone());
    while !*now {
        bar.set_message(words(*held(&NOW), start.elapsed()));
        bar.tick();
        now = wait(now, EVERY);
    }
    *held(&SHOWN) = None;
    bar.finish_and_clear();
}

fn words(done: Option<Count>, took: Duration) -> String {
    let seconds = took.as_secs_f64();
    match done {
        Some(Count { what, done, of }) => format!("At work for {seconds:.0} s: {done} of {of} {what} made"),
        None => format!("At work for {seconds:.0} s"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sign_says_what_was_counted_last() {
        let second = Duration::from_millis(1400);
        assert_eq!(words(None, second), "At work for 1 s");
        Counter.done(Count { what: "blocks", done: 3, of: 70 });
        assert_eq!(words(*held(&NOW), second), "At work for 1 s: 3 of 70 blocks made");
    }
}
