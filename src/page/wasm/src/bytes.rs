//! Bytes between a module and its caller, who shares its memory.

/// Bytes: where they begin, and how many there are.
#[derive(Debug)]
#[repr(C)]
pub struct Bytes {
    start: *mut u8,
    length: usize,
}

impl Bytes {
    /// Bytes that stay until they are given back.
    pub fn given(bytes: Vec<u8>) -> *mut Self {
        let bytes = Box::leak(bytes.into_boxed_slice());
        Box::into_raw(Box::new(Self { start: bytes.as_mut_ptr(), length: bytes.len() }))
    }

    /// Bytes that were given away, as they come back.
    ///
    /// # Safety
    /// They were given away with this start and length, and do not come back twice.
    pub unsafe fn back(start: *mut u8, length: usize) -> Box<[u8]> {
        // SAFETY: the caller's word.
        unsafe { Box::from_raw(std::ptr::slice_from_raw_parts_mut(start, length)) }
    }
}

/// Room for bytes of the caller's.
#[unsafe(no_mangle)]
pub extern "C" fn allocate(length: usize) -> *mut u8 {
    Box::leak(vec![0; length].into_boxed_slice()).as_mut_ptr()
}

/// Gives bytes of the module's back.
///
/// # Safety
/// `bytes` are of [`Bytes::given`], and are not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn release(bytes: *mut Bytes) {
    // SAFETY: the caller's word, here and for what it points to.
    drop(unsafe {
        let Bytes { start, length } = *Box::from_raw(bytes);
        Bytes::back(start, length)
    });
}
