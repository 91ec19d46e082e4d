//! Unpacks the library of the standalone page, which browsers cannot: they know gzip, and LZMA makes the page a quarter
//! smaller.

use std::io::Read;

use lzma_rust2::LzmaReader;

#[path = "../../src/bytes.rs"]
pub mod bytes;

use bytes::Bytes;

/// The most memory that unpacking takes, KiB: of the window, which is as large as the library.
const MEMORY: u32 = 64 << 10;

/// What is packed, by LZMA with its own header; no bytes where it cannot be read. What stands after it is passed over.
///
/// # Safety
/// `packed` is of [`bytes::allocate`] for this length, and is not used again.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn unpacked(packed: *mut u8, length: usize) -> *mut Bytes {
    // SAFETY: the caller's word.
    let packed = unsafe { Bytes::back(packed, length) };
    let mut unpacked = Vec::new();
    let read = LzmaReader::new_mem_limit(&packed[..], MEMORY, None).and_then(|mut r| r.read_to_end(&mut unpacked));
    Bytes::given(if read.is_ok() { unpacked } else { Vec::new() })
}
