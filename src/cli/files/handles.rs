//! Files that stay open while others are made and put in their places, so that they reach the disk together: as many as
//! the system lets a program have, with some left for whatever else is to be opened.

use std::fs::File;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering::Relaxed;
use std::sync::{Arc, LazyLock};

/// Files that other work opens, whatever there is to do; some jobs of a batch may each need others.
const OTHERS: usize = 16;
/// Where there is no limit, one that every system knows.
const MANY: usize = 10_240;

static FREE: LazyLock<AtomicUsize> = LazyLock::new(|| AtomicUsize::new((limit() / 4 * 3).saturating_sub(OTHERS)));

/// Lets the program have as many files and connections open as the system gives who asks; some begin with 256.
pub fn open_many() {
    LazyLock::force(&FREE);
}

/// Room for one file that stays open, given back when dropped.
#[derive(Debug)]
pub(super) struct Room(&'static AtomicUsize);

impl Room {
    /// Room for one more; `None` where too few would be left for the rest.
    pub fn for_one() -> Option<Self> {
        Self::of(&FREE)
    }

    fn of(free: &'static AtomicUsize) -> Option<Self> {
        free.fetch_update(Relaxed, Relaxed, |free| free.checked_sub(1)).is_ok().then(|| Self(free))
    }
}

impl Drop for Room {
    fn drop(&mut self) {
        self.0.fetch_add(1, Relaxed);
    }
}

/// A file that stays open, in a room of its own, until the last that holds it lets go.
pub(super) type Handle = Arc<(File, Room)>;

/// How many files the program may have open, once it has asked for all.
fn limit() -> usize {
    #[cfg(unix)]
    {
        use rustix::process::{Resource, getrlimit, setrlimit};
        let mut limit = getrlimit(Resource::Nofile);
        limit.current = limit.maximum.or(Some(MANY as u64));
        let _ = setrlimit(Resource::Nofile, limit);
        getrlimit(Resource::Nofile).current.map_or(MANY, |now| usize::try_from(now).unwrap_or(MANY))
    }
    #[cfg(not(unix))]
    MANY
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rooms_are_given_once_until_they_are_given_back() {
        static TWO: AtomicUsize = AtomicUsize::new(2);
        for _ in 0..3 {
            let both = [Room::of(&TWO), Room::of(&TWO)];
            assert!(both.iter().all(Option::is_some) && Room::of(&TWO).is_none() && Room::of(&TWO).is_none());
        }
        assert_eq!(TWO.load(Relaxed), 2);
    }
}
