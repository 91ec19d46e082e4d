//! Work on many items on all cores, each by itself: one that fails, or in which the program itself fails, stops no
//! other.

use std::num::NonZeroUsize;
use std::sync::OnceLock;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering::Relaxed;
use std::thread;

use super::failure::Failure;
use super::panics::isolated;

/// Stack of a thread, bytes: as large as the first thread's usually is, so that a job that can be made can be made
/// among others.
const STACK: usize = 8 << 20;

/// Does `work` on each item, on up to `threads` threads (all cores where it is `None`); the results are in the order
/// of the items. The items are begun in that order too.
pub(super) fn run<I: Sync, T: Send + Sync>(
    items: &[I],
    threads: Option<NonZeroUsize>,
    work: impl Fn(&I) -> Result<T, Failure> + Sync,
) -> Vec<Result<T, Failure>> {
    let threads = threads.or_else(|| thread::available_parallelism().ok()).map_or(1, NonZeroUsize::get);
    let results: Vec<OnceLock<Result<T, Failure>>> = items.iter().map(|_| OnceLock::new()).collect();
    let next = AtomicUsize::new(0);
    let hand = || loop {
        let i = next.fetch_add(1, Relaxed);
        let Some((item, result)) = items.get(i).zip(results.get(i)) else { return };
        result.get_or_init(|| isolated(|| work(item)));
    };
    thread::scope(|scope| {
        for _ in 1..threads.min(items.len()) {
            // A thread that the system refuses is a hand less; this thread works too, so that everything gets done.
            let _ = thread::Builder::new().stack_size(STACK).spawn_scoped(scope, hand);
        }
        hand();
    });
    let never = || Err(Failure::Program("the job was not begun".into()));
    results.into_iter().map(|result| result.into_inner().unwrap_or_else(never)).collect()
}

#[cfg(test)]
mod tests {
    use std::panic;
    use std::thread::ThreadId;
    use std::time::Duration;

    use super::*;

    fn threads(n: usize) -> Option<NonZeroUsize> {
        NonZeroUsize::new(n)
    }

    #[test]
    fn results_are_in_the_order_of_the_items_and_each_is_worked_on_once() {
        let calls = AtomicUsize::new(0);
        let items: Vec<u64> = (0..50).collect();
        for n in [1, 2, 8, 500] {
            calls.store(0, Relaxed);
            let squares = run(&items, threads(n), |i| {
                calls.fetch_add(1, Relaxed);
                // The first ones take longest.
                thread::sleep(Duration::from_micros(50 * (50 - i)));
                if i % 7 == 3 { Err(Failure::Program(i.to_string().into())) } else { Ok(i * i) }
            });
            assert_eq!(calls.load(Relaxed), items.len());
            for (i, square) in items.iter().zip(squares) {
                match square {
                    Ok(square) => assert_eq!(square, i * i),
                    Err(e) => assert!(i % 7 == 3 && e.told().ends_with(&format!(": {i}")), "{i}: {e}"),
                }
            }
        }
        assert!(run(&[], threads(4), |_: &u8| Ok(())).is_empty());
    }

    #[test]
    fn a_panic_takes_no_other_item_with_it_and_is_reported() {
        let items: Vec<usize> = (0..40).collect();
        let results = run(&items, threads(3), |i| match i % 10 {
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

    #[test]
    fn one_item_or_one_thread_is_worked_on_where_it_was_called() {
        let here = thread::current().id();
        let ids = |n, items: &[u8]| -> Vec<ThreadId> {
            run(items, threads(n), |_| Ok(thread::current().id())).into_iter().map(|r| r.expect("no failure")).collect()
        };
        assert_eq!(ids(8, &[0]), [here]);
        assert_eq!(ids(1, &[0, 1, 2]), [here; 3]);
    }
}
