//! A panic anywhere is a fault of the program: it is told in the program's words, with its place, and has their exit code.

use std::cell::RefCell;
use std::panic::{self, AssertUnwindSafe};

use super::failure::Failure;

thread_local! {
    /// Where this thread last panicked.
    static PLACE: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// Keeps the place of every panic for [`isolated`], in place of what the runtime would print.
pub(super) fn keep_places() {
    panic::set_hook(Box::new(|info| {
        let place = info.location().map(ToString::to_string);
        PLACE.with(|kept| *kept.borrow_mut() = place);
    }));
}

/// The result of `work`; a panic in it is a fault of the program.
pub(super) fn isolated<T>(work: impl FnOnce() -> Result<T, Failure>) -> Result<T, Failure> {
    panic::catch_unwind(AssertUnwindSafe(work)).unwrap_or_else(|payload| {
        let text = payload.downcast_ref::<String>().map(String::as_str);
        let text = text.or(payload.downcast_ref::<&str>().copied()).unwrap_or("no reason given");
        let place =
            PLACE.with(|kept| kept.borrow_mut().take()).map_or_else(String::new, |place| format!(" at {place}"));
        Err(Failure::Program(format!("it stopped with a panic{place}: {text}").into()))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A panic on this thread or on one of the pool's ends in the program's words and its own exit code.
    #[test]
    fn a_panic_is_a_fault_of_the_program() {
        let here = || -> Result<(), Failure> { panic!("a corner too few") };
        let beside = || -> Result<(), Failure> {
            stopwright::cores::both(|| panic!("a corner too few"), || ());
            Ok(())
        };
        for failure in [isolated(here), isolated(beside)].map(|result| result.expect_err("it panics")) {
            assert_eq!(failure.exit_code(), 70);
            let said = failure.told();
            assert!(
                said.starts_with("Internal error: this is a bug in stopwright, not your file. Nothing was written"),
                "{said}"
            );
            assert!(said.ends_with(": a corner too few"), "{said}");
        }
    }
}
