//! Work on all cores; on this one alone where the system gives no threads, as in WebAssembly or at a limit of processes.

use std::sync::LazyLock;

use rayon::iter::{IndexedParallelIterator, IntoParallelRefIterator, ParallelIterator};
use rayon::{ThreadPool, ThreadPoolBuilder};

/// The threads; `None` where the system refused one. They are our own, as the pool that rayon makes unasked panics then.
static POOL: LazyLock<Option<ThreadPool>> = LazyLock::new(|| ThreadPoolBuilder::new().build().ok());

/// Does both, side by side where there is a second core.
pub(crate) fn both<A: Send, B: Send>(one: impl FnOnce() -> A + Send, other: impl FnOnce() -> B + Send) -> (A, B) {
    both_on(POOL.as_ref(), one, other)
}

fn both_on<A: Send, B: Send>(
    pool: Option<&ThreadPool>,
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B + Send,
) -> (A, B) {
    match pool {
        Some(pool) => pool.join(one, other),
        None => (one(), other()),
    }
}

/// What `work` gives for each item, in their order; at least `together` items are done by one core.
pub(crate) fn each<I: Sync, T: Send>(items: &[I], together: usize, work: impl Fn(&I) -> T + Sync) -> Vec<T> {
    each_on(POOL.as_ref(), items, together, work)
}

fn each_on<I: Sync, T: Send>(
    pool: Option<&ThreadPool>,
    items: &[I],
    together: usize,
    work: impl Fn(&I) -> T + Sync,
) -> Vec<T> {
    match pool {
        Some(pool) => pool.install(|| items.par_iter().with_min_len(together).map(&work).collect()),
        None => items.iter().map(work).collect(),
    }
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
