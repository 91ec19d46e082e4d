//! Work on many items on all cores, each by itself: one that fails, or in which the program itself fails, stops no
//! other.
//!
//! The threads work beside the one that waits for them: it sees an interrupt wherever they are, even where one waits for
//! a file that never comes. What is being written by then is written to its end; the rest is left.

use std::cell::Cell;
use std::num::NonZeroUsize;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering::Relaxed;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use super::failure::Failure;
use super::interrupt;
use super::panics::isolated;

/// Stack of a thread, bytes: as large as the first thread's usually is, so that a job that can be made can be made
/// among others.
const STACK: usize = 8 << 20;

/// How often it is looked whether an interrupt came.
const LOOK: Duration = Duration::from_millis(10);

/// An item's turn at work.
pub(super) struct Turn<'a> {
    state: &'a State,
    writes: Cell<bool>,
}

impl Turn<'_> {
    /// From here to the end of the item's work nothing is left half-done.
    ///
    /// # Errors
    /// [`Failure::Interrupted`].
    pub fn write(&self) -> Result<(), Failure> {
        let mut now = self.state.now();
        interrupt::check()?;
        if !self.writes.replace(true) {
            now.writing += 1;
        }
        Ok(())
    }
}

/// How far the work is.
#[derive(Default)]
struct State {
    now: Mutex<Now>,
    changed: Condvar,
}

#[derive(Default)]
struct Now {
    /// Items that must be waited for, whatever comes.
    writing: usize,
    done: usize,
}

impl State {
    fn now(&self) -> MutexGuard<'_, Now> {
        self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits until `count` items are done; after an interrupt only until nothing is being written, which then does not
    /// begin any more.
    fn wait(&self, count: usize) {
        let mut now = self.now();
        while now.done < count && (interrupt::caught().is_none() || now.writing > 0) {
            now = self.changed.wait_timeout(now, LOOK).unwrap_or_else(PoisonError::into_inner).0;
        }
    }
}

/// What became of an item, once it is done.
type Done<T> = Mutex<Option<Result<T, Failure>>>;

/// Starts a thread.
type Start = fn(Box<dyn FnOnce() + Send>) -> std::io::Result<()>;

fn start(hand: Box<dyn FnOnce() + Send>) -> std::io::Result<()> {
    thread::Builder::new().stack_size(STACK).spawn(hand).map(drop)
}

/// Does `work` on each item, on up to `threads` threads (all cores where it is `None`); the results are in the order
/// of the items. The items are begun in that order too.
pub(super) fn run<I: Send + Sync + 'static, T: Send + 'static>(
    items: Vec<I>,
    threads: Option<NonZeroUsize>,
    work: impl Fn(&I, &Turn<'_>) -> Result<T, Failure> + Send + Sync + 'static,
) -> Vec<Result<T, Failure>> {
    run_on(items, threads, work, start)
}

fn run_on<I: Send + Sync + 'static, T: Send + 'static>(
    items: Vec<I>,
    threads: Option<NonZeroUsize>,
    work: impl Fn(&I, &Turn<'_>) -> Result<T, Failure> + Send + Sync + 'static,
    start: Start,
) -> Vec<Result<T, Failure>> {
    let count = items.len();
    // Two for a core: one computes while the other waits for the disk.
    let usual = || thread::available_parallelism().map_or(1, |cores| 2 * cores.get());
    let threads = threads.map_or_else(usual, NonZeroUsize::get).min(count);
    let results: Arc<Vec<Done<T>>> = Arc::new(items.iter().map(|_| Mutex::default()).collect());
    let state = Arc::new(State::default());
    let hand = {
        let (results, state, next) = (Arc::clone(&results), Arc::clone(&state), AtomicUsize::new(0));
        Arc::new(move || {
            loop {
                let i = next.fetch_add(1, Relaxed);
                let Some((item, result)) = items.get(i).zip(results.get(i)) else { return };
                let turn = Turn { state: &state, writes: Cell::new(false) };
                let done = isolated(|| work(item, &turn));
                *result.lock().unwrap_or_else(PoisonError::into_inner) = Some(done);
                let mut now = state.now();
                now.done += 1;
                now.writing -= usize::from(turn.writes.get());
                state.changed.notify_all();
            }
        })
    };
    // A thread that the system refuses is a hand less; where it gives none, this one works.
    let mut started = 0;
    for _ in 0..threads {
        let hand = Arc::clone(&hand);
        started += usize::from(start(Box::new(move || hand())).is_ok());
    }
    if started == 0 {
        hand();
    }
    state.wait(count);
    let unfinished =
        || Err(interrupt::check().err().unwrap_or_else(|| Failure::Program("the job was not begun".into())));
    let taken = |result: &Mutex<Option<_>>| result.lock().unwrap_or_else(PoisonError::into_inner).take();
    results.iter().map(|result| taken(result).unwrap_or_else(unfinished)).collect()
}

#[cfg(test)]
mod tests {
    use std::panic;
    use std::thread::ThreadId;

    use super::*;

    fn threads(n: usize) -> Option<NonZeroUsize> {
        NonZeroUsize::new(n)
    }

    #[test]
    fn results_are_in_the_order_of_the_items_and_each_is_worked_on_once() {
        static CALLS: AtomicUsize = AtomicUsize::new(0);
        let items: Vec<u64> = (0..50).collect();
        for n in [1, 2, 8, 500] {
            CALLS.store(0, Relaxed);
            let squares = run(items.clone(), threads(n), |i, _| {
                CALLS.fetch_add(1, Relaxed);
                // The first ones take longest.
                thread::sleep(Duration::from_micros(50 * (50 - i)));
                if i % 7 == 3 { Err(Failure::Program(i.to_string().into())) } else { Ok(i * i) }
            });
            assert_eq!(CALLS.load(Relaxed), items.len());
            for (i, square) in items.iter().zip(squares) {
                match square {
                    Ok(square) => assert_eq!(square, i * i),
                    Err(e) => assert!(i % 7 == 3 && e.told().ends_with(&format!(": {i}")), "{i}: {e}"),
                }
            }
        }
        assert!(run(Vec::new(), threads(4), |_: &u8, _| Ok(())).is_empty());
    }

    #[test]
    fn a_panic_takes_no_other_item_with_it_and_is_reported() {
        let items: Vec<usize> = (0..40).collect();
        let results = run(items.clone(), threads(3), |i, _| match i % 10 {
            4 => panic!("item {i} is odd"),
            5 => panic::resume_unwind(Box::new(*i)),
            6 => panic::panic_any("plain"),
            _ => Ok(*i),
        });
        for (i, result) in items.iter().zip(results) {
            let said = match i % 10 {
                4 => format!("item {i} is odd"),
                5 => "no reason given".into(),
                6 => "plain".into(),
                _ => {
                    assert_eq!(result.ok(), Some(*i));
                    continue;
                }
            };
            let failure = result.expect_err("a panic");
            assert_eq!(failure.exit_code(), 70);
            assert!(failure.told().ends_with(&format!("panic: {said}")), "{failure}");
        }
    }

    /// Where the system gives no thread the caller works; where it gives some, they do everything.
    #[test]
    fn a_refused_thread_is_a_hand_less() {
        let refuse: Start = |_| Err(std::io::ErrorKind::WouldBlock.into());
        let some: Start = |hand| {
            static GIVEN: AtomicUsize = AtomicUsize::new(0);
            if GIVEN.fetch_add(1, Relaxed) < 1 {
                super::start(hand)
            } else {
                Err(std::io::ErrorKind::WouldBlock.into())
            }
        };
        let ids = |start: Start| -> Vec<ThreadId> {
            let work = |_: &u8, turn: &Turn<'_>| turn.write().map(|()| thread::current().id());
            let results = run_on(vec![0; 9], threads(4), work, start);
            results.into_iter().map(|r| r.expect("no failure")).collect()
        };
        let here = thread::current().id();
        assert_eq!(ids(refuse), [here; 9]);
        let one = ids(some);
        assert!(one[0] != here && one.iter().all(|id| *id == one[0]));
    }
}
