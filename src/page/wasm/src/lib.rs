//! The library as WebAssembly: memory for a request, its answer, and memory given back. What goes in and out is told in
//! `stopwright::answer::wire`.
//!
//! It is a package of its own since exports need `unsafe`, which the library forbids itself.

use std::sync::{Mutex, Once, PoisonError};

use stopwright::answer::wire;

/// What the last panic said; a page tells it before it begins anew.
static FAULT: Mutex<String> = Mutex::new(String::new());

/// An answer that is given out: where its bytes are, and how many.
#[repr(C)]
pub struct Given {
    at: *mut u8,
    length: usize,
}

/// Gives memory for a request of so many bytes.
#[unsafe(no_mangle)]
pub extern "C" fn allocate(length: usize) -> *mut u8 {
    Box::into_raw(vec![0; length].into_boxed_slice()).cast()
}

/// Answers the request of so many bytes that was put at `at`, and takes its memory back. The answer stays until it is
/// released.
///
/// # Safety
/// `at` is from [`allocate`] with the same length, and was not answered before.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn answer(at: *mut u8, length: usize) -> *mut Given {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        std::panic::set_hook(Box::new(|info| {
            *FAULT.lock().unwrap_or_else(PoisonError::into_inner) = info.to_string();
        }));
    });
    let request = unsafe { Box::from_raw(std::ptr::slice_from_raw_parts_mut(at, length)) };
    given(wire::answered(&request))
}

/// What the last panic said.
#[unsafe(no_mangle)]
pub extern "C" fn fault() -> *mut Given {
    given(FAULT.lock().unwrap_or_else(PoisonError::into_inner).clone().into_bytes())
}

fn given(bytes: Vec<u8>) -> *mut Given {
    let bytes = bytes.into_boxed_slice();
    let length = bytes.len();
    Box::into_raw(Box::new(Given { at: Box::into_raw(bytes).cast(), length }))
}

/// Takes the memory of an answer back.
///
/// # Safety
/// `given` is from [`answer`], and was not released before.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn release(given: *mut Given) {
    let Given { at, length } = *unsafe { Box::from_raw(given) };
    drop(unsafe { Box::from_raw(std::ptr::slice_from_raw_parts_mut(at, length)) });
}
