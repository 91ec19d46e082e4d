//! What stands in a place already: looked at without following a link, without waiting, and no more of it than is needed.

use std::fs;
use std::io::{self, Read};
use std::path::Path;

use sha2::{Digest, Sha256};

/// What stands at a path.
#[derive(Debug)]
pub(super) enum There {
    Nothing,
    File(fs::File),
    Folder,
    Link,
    /// A device, a pipe or the like.
    Other,
}

/// What stands at `path` itself: a link is not followed.
///
/// # Errors
/// What the system says.
pub(super) fn at(path: &Path) -> io::Result<There> {
    let kind = match fs::symlink_metadata(path) {
        Ok(there) => there.file_type(),
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(There::Nothing),
        Err(e) => return Err(e),
    };
    if kind.is_dir() {
        return Ok(There::Folder);
    }
    if kind.is_symlink() {
        return Ok(There::Link);
    }
    if !kind.is_file() {
        return Ok(There::Other);
    }
    let file = itself(fs::OpenOptions::new().read(true)).open(path)?;
    // Another may have come in its place in the meantime.
    Ok(if file.metadata()?.is_file() { There::File(file) } else { There::Other })
}

/// Opens without following a link at the end of the path, and without waiting for who is at the other end of a pipe.
pub(super) fn itself(options: &mut fs::OpenOptions) -> &mut fs::OpenOptions {
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.custom_flags(libc::O_NOFOLLOW | libc::O_NONBLOCK | libc::O_CLOEXEC);
    }
    options
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
