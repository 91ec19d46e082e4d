//! No random numbers, for a module that imports nothing: who asks for them gets an error. `zip` asks for them when it
//! encrypts, and when it extracts into a folder.

use std::fmt;

/// That there are none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Error;

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str("there are no random numbers here")
    }
}

impl std::error::Error for Error {}

/// Would fill `_bytes`.
///
/// # Errors
/// Always.
pub fn fill(_bytes: &mut [u8]) -> Result<(), Error> {
    Err(Error)
}

/// Would give a number.
///
/// # Errors
/// Always.
pub fn u64() -> Result<u64, Error> {
    Err(Error)
}
