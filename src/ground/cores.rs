//! Work on all cores; on this one alone where the system gives no threads, as in WebAssembly or at a limit of processes.

use std::sync::{LazyLock, Mutex, PoisonError};

use rayon::iter::{IntoParallelIterator, ParallelIterator};
use rayon::{ThreadPool, ThreadPoolBuilder};

/// The threads; `None` where the system refused one. They are our own, as the pool that rayon makes unasked panics then.
static POOL: LazyLock<Option<ThreadPool>> = LazyLock::new(|| ThreadPoolBuilder::new().build().ok());

/// Does both, side by side where there is a second core.
pub fn both<A: Send, B: Send>(one: impl FnOnce() -> A + Send, other: impl FnOnce() -> B + Send) -> (A, B) {
    both_on(POOL.as_ref(), one, other)
}

fn both_on<A: Send, B: Send>(
    pool: Option<&ThreadPool>,
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    let Some(pool) = pool else { return (one(), other()) };
    let (mut first, mut second) = (None, None);
    join(pool, Box::new(|| first = Some(one())), Box::new(|| second = Some(other())));
    first.zip(second).expect("a panic in either has gone on to the caller")
}

/// By pointers, so that what the pool does is compiled once and not anew for every caller.
fn join(pool: &ThreadPool, one: Box<dyn FnOnce() + Send + '_>, other: Box<dyn FnOnce() + Send + '_>) {
    pool.join(one, other);
}

/// What `work` gives for each item, in their order; at least `together` items are done by one core.
pub fn each<I: Sync, T: Send>(items: &[I], together: usize, work: impl Fn(&I) -> T + Sync) -> Vec<T> {
    each_on(POOL.as_ref(), items, together, work)
}

/// Most parts that items are shared out in: enough that no core is idle for long beside a part that takes longer.
const MOST_PARTS: usize = 64;

fn each_on<I: Sync, T: Send>(
    pool: Option<&ThreadPool>,
    items: &[I],
    together: usize,
    work: impl Fn(&I) -> T + Sync,
) -> Vec<T> {
    let Some(pool) = pool else { return items.iter().map(work).collect() };
    let parts: Vec<&[I]> = items.chunks(together.max(items.len().div_ceil(MOST_PARTS)).max(1)).collect();
    let done: Vec<Mutex<Vec<T>>> = parts.iter().map(|_| Mutex::default()).collect();
    share_out(pool, parts.len(), &|n| {
        let results = parts[n].iter().map(&work).collect();
        *done[n].lock().unwrap_or_else(PoisonError::into_inner) = results;
    });
    done.into_iter().flat_map(|part| part.into_inner().unwrap_or_else(PoisonError::into_inner)).collect()
}

/// By a pointer, for the same reason as [`join`].
fn share_out(pool: &ThreadPool, parts: usize, work: &(dyn Fn(usize) + Sync)) {
    pool.install(|| (0..parts).into_par_iter().for_each(work));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_threads_the_caller_does_it_all() {
        let here = std::thread::current().id();
        let who = || std::thread::current().id();
        assert_eq!(each_on(None, &[0; 50], 1, |_| who()), [here; 50]);
        assert_eq!(both_on(None, who, who), (here, here));
    }

    #[test]
    fn results_are_in_the_order_of_the_items() {
        let items: Vec<u32> = (0..1000).collect();
        assert_eq!(each(&items, 1, |i| i * i), items.iter().map(|i| i * i).collect::<Vec<_>>());
        assert_eq!(both(|| 1, || "two"), (1, "two"));
        // Within each other.
        assert_eq!(each(&items[..9], 1, |i| both(|| *i, || each(&items[..3], 1, |j| j + i))).len(), 9);
    }
}
