//! What stands in a place already: looked at without following a link, without waiting, and no more of it than is needed.

use std::ffi::OsStr;
use std::fs;
use std::io::{self, Read};

use sha2::{Digest, Sha256};

use super::folder::{Folder, Kind};

/// What stands at a name in a folder.
#[derive(Debug)]
pub(super) enum There {
    Nothing,
    File(fs::File),
    Folder,
    Link,
    /// A device, a pipe or the like.
    Other,
}

/// What stands at a name itself: a link is not followed.
///
/// # Errors
/// What the system says.
pub(super) fn at(folder: &Folder, name: &OsStr) -> io::Result<There> {
    match folder.kind(name)? {
        Kind::Nothing => Ok(There::Nothing),
        Kind::Folder => Ok(There::Folder),
        Kind::Link => Ok(There::Link),
        Kind::Other => Ok(There::Other),
        Kind::File => {
            let file = folder.read(name)?;
            // Another may have come in its place in the meantime.
            Ok(if file.metadata()?.is_file() { There::File(file) } else { There::Other })
        }
    }
}

/// SHA-256 of some bytes, in hexadecimal.
pub(super) fn sum(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// SHA-256 of a file, in hexadecimal; of one larger than what the program writes, of its beginning only, which is the
/// sum of nothing that it wrote.
///
/// # Errors
/// What the system says.
pub(super) fn sum_of(file: fs::File) -> io::Result<String> {
    const LARGEST: u64 = 4 << 30;
    let mut file = file.take(LARGEST);
    let (mut sum, mut piece) = (Sha256::new(), vec![0; 1 << 16]);
    loop {
        match file.read(&mut piece) {
            Ok(0) => return Ok(hex(&sum.finalize())),
            Ok(n) => sum.update(&piece[..n]),
            Err(e) if e.kind() == io::ErrorKind::Interrupted => {}
            Err(e) => return Err(e),
        }
    }
}

fn hex(sum: &[u8]) -> String {
    sum.iter().map(|b| format!("{b:02x}")).collect()
}
