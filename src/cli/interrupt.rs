//! Interrupts: SIGINT (Ctrl-C), SIGTERM, SIGHUP (the terminal goes) and SIGQUIT.
//!
//! As long as nothing holds them back they end the program at once, as they would without this module. While files
//! are written, and for as long as a run of jobs lasts, they are held back and only remembered: no further job begins,
//! none that is in the making is written, and the exit code says what came. However many come, they do no more.

use std::sync::atomic::Ordering::SeqCst;
use std::sync::atomic::{AtomicBool, AtomicUsize};

#[cfg(unix)]
use signal_hook::consts::{SIGHUP, SIGQUIT};
use signal_hook::consts::{SIGINT, SIGTERM};
use signal_hook::flag;

use super::failure::Failure;

static AT_ONCE: AtomicBool = AtomicBool::new(true);
static CAUGHT: AtomicUsize = AtomicUsize::new(0);
/// Nobody asks: that the signal is taken is enough.
#[cfg(unix)]
static PAST_A_LIMIT: AtomicBool = AtomicBool::new(false);

/// The signals that interrupt, with the exit code of each, and whether one that was ignored before stays so.
const SIGNALS: &[(i32, usize, bool)] = &[
    (SIGINT, 130, false),
    (SIGTERM, 143, false),
    #[cfg(unix)]
    (SIGHUP, 129, true),
    #[cfg(unix)]
    (SIGQUIT, 131, false),
];

/// Takes the interrupts over. Where the system refuses, they end the program at once, as ever. A hangup that whoever
/// started the program wants ignored, as `nohup` does, stays so.
pub(super) fn install() {
    let ignored = ignored();
    for &(signal, exit_code, stays_ignored) in SIGNALS {
        if stays_ignored && ignored >> (signal - 1) & 1 == 1 {
            continue;
        }
        // Remembered first: the second action may not return.
        let _ = flag::register_usize(signal, &CAUGHT, exit_code)
            .and_then(|_| flag::register_conditional_default(signal, &AT_ONCE));
    }
    // At the limit of a file's size writing then fails, like at any other, instead of ending the program on the spot.
    #[cfg(unix)]
    let _ = flag::register(libc::SIGXFSZ, &PAST_A_LIMIT);
}

/// The signals that are ignored, a bit each; none where the system does not say.
fn ignored() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let bits = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    bits.and_then(|bits| u64::from_str_radix(bits.trim(), 16).ok()).unwrap_or(0)
}

/// Holds interrupts back until it is dropped.
#[derive(Debug)]
#[must_use]
pub(super) struct Hold {
    at_once_before: bool,
}

/// Holds interrupts back; holds may lie within each other.
pub(super) fn hold() -> Hold {
    Hold { at_once_before: AT_ONCE.swap(false, SeqCst) }
}

impl Drop for Hold {
    fn drop(&mut self) {
        // After the first interrupt the rest are remembered only: one more must not end the program while it says
        // what was made.
        AT_ONCE.store(self.at_once_before && caught().is_none(), SeqCst);
    }
}

/// The exit code of the last interrupt that was held back, if one came: 128 and the number of the signal, as shells
/// give it.
pub(super) fn caught() -> Option<u8> {
    u8::try_from(CAUGHT.load(SeqCst)).ok().filter(|code| *code != 0)
}

/// Whether to go on.
///
/// # Errors
/// [`Failure::Interrupted`].
pub(super) fn check() -> Result<(), Failure> {
    caught().map_or(Ok(()), |exit_code| Err(Failure::Interrupted { exit_code }))
}
