//! A folder held open: what is looked at, written and renamed in it by name is in this one, also where its own name leads
//! elsewhere by then.

#[cfg(not(unix))]
mod named;
#[cfg(unix)]
mod open;

#[cfg(not(unix))]
pub(super) use named::Folder;
#[cfg(unix)]
pub(super) use open::Folder;

use std::ffi::OsStr;
use std::io;
use std::path::{Path, PathBuf};

/// What stands at a name itself: a link is not followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Nothing,
    File,
    Folder,
    Link,
    /// A device, a pipe or the like.
    Other,
}

impl Folder {
    /// The path by which it was opened.
    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// What messages call a file in it.
    pub(super) fn join(&self, name: &OsStr) -> PathBuf {
        self.path.join(name)
    }
}

/// Where a path leads that a command was given: nothing is the folder that it runs in.
fn there(path: &Path) -> &Path {
    if path.as_os_str().is_empty() { Path::new(".") } else { path }
}

/// Whether names reached the disk; as well as can be where a system or a disk forces no folder.
fn as_forced(forced: io::Result<()>) -> io::Result<()> {
    match forced {
        Err(e) if matches!(e.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => Ok(()),
        forced => forced,
    }
}

#[cfg(all(test, unix))]
mod tests {
    use std::fs;

    use super::*;

    /// Whoever guessed the name of a file before it is made, and put a link there, gets nothing written through it.
    #[test]
    fn no_link_is_followed() {
        let at = tempfile::tempdir().expect("a folder");
        fs::write(at.path().join("other"), "not ours").expect("written");
        let (folder, name) = (Folder::open(at.path()).expect("open"), OsStr::new("planted"));
        for to in ["other", "nothing"] {
            std::os::unix::fs::symlink(to, at.path().join(name)).expect("a link");
            assert_eq!(folder.make(name).map_err(|e| e.kind()).err(), Some(io::ErrorKind::AlreadyExists));
            assert!(folder.read(name).is_err() && folder.read_or_make(name).is_err());
            assert!(folder.unnamed().and_then(|file| folder.name(&file, name)).is_err());
            assert_eq!(folder.kind(name).expect("there"), Kind::Link);
            folder.remove(name).expect("removed");
        }
        assert_eq!(fs::read_to_string(at.path().join("other")).expect("read"), "not ours");
    }
}
