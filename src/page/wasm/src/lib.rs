//! The library as the WebAssembly of the standalone page: its one function that answers, for a caller that shares its
//! memory. Nothing is imported: it has no file, clock, network or random number.
//!
//! A caller gets room for a request by [`bytes::allocate`], writes the request into it, has it answered by [`answer`],
//! reads the answer, and gives it back by [`bytes::release`]. After a trap, [`fault`] says what a panic said; the instance
//! is not to be asked again.

use std::panic;
use std::sync::{Once, OnceLock};

use stopwright::answer::wire;

pub mod bytes;

use bytes::Bytes;

static FAULT: OnceLock<String> = OnceLock::new();

/// Answers a request, which is given back by this.
///
/// # Safety
/// `request` is of [`bytes::allocate`] for this length, and is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn answer(request: *mut u8, length: usize) -> *mut Bytes {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| panic::set_hook(Box::new(|info| drop(FAULT.set(info.to_string())))));
    // SAFETY: the caller's word.
    let request = unsafe { Bytes::back(request, length) };
    Bytes::given(wire::answered(&request))
}

/// What a panic said; no bytes where there was none.
#[unsafe(no_mangle)]
pub extern "C" fn fault() -> *mut Bytes {
    Bytes::given(FAULT.get().cloned().unwrap_or_default().into_bytes())
}
