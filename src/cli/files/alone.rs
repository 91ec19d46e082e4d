//! A file of the user's that is read, changed and written again, such as a log: by one run at a time.

use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::{fs, io};

use super::exchange::{Content, New};
use super::existing::{self, There};
use super::folder::Folder;
use super::lock::Lock;
use super::write::{FOLDER_LOCK, cannot_write, exchange, no_lock, remove_abandoned};
use super::{folder_of, limited};
use crate::cli::failure::Failure;
use crate::cli::interrupt;

/// Such a file, that no other run of the program works on as long as this is held.
#[derive(Debug)]
pub struct Alone {
    folder: Arc<Folder>,
    name: OsString,
    _lock: Lock,
}

impl Alone {
    /// Waits until no other run works on `file`; a link there stays one, and the file that it leads to is meant.
    ///
    /// # Errors
    /// [`Failure::Busy`] where that lasts; [`Failure::InTheWay`] where a link leads to nothing; [`Failure::NoFolder`] or
    /// [`Failure::File`] where nothing can be written beside it.
    pub fn with(file: &Path) -> Result<Self, Failure> {
        let real = match fs::symlink_metadata(file) {
            Ok(there) if there.is_symlink() => fs::canonicalize(file).map_err(|cause| match cause.kind() {
                io::ErrorKind::NotFound => {
                    Failure::InTheWay { path: file.into(), what: "it is a link to a file that is not there" }
                }
                _ => cannot_write(file)(cause),
            })?,
            _ => file.into(),
        };
        // As it was typed, so that messages call the file what the user does.
        let parent = real.parent().unwrap_or(Path::new(""));
        let folder = Arc::new(Folder::open(parent).map_err(|cause| match cause.kind() {
            io::ErrorKind::NotFound => Failure::NoFolder { path: file.into(), folder: parent.into() },
            _ => cannot_write(file)(cause),
        })?);
        let name = real.file_name().unwrap_or_default().to_os_string();
        let mut of_lock = OsString::from(".");
        of_lock.push(&name);
        of_lock.push(".lock");
        let lock = Lock::take(&folder, &of_lock, file).map_err(no_lock(file))?;
        Ok(Self { folder, name, _lock: lock })
    }

    fn path(&self) -> PathBuf {
        self.folder.join(&self.name)
    }

    /// What is in it; `None` where it is not there.
    ///
    /// # Errors
    /// [`Failure::File`] or [`Failure::InTheWay`].
    pub fn read(&self) -> Result<Option<Vec<u8>>, Failure> {
        let cannot_read = |cause| Failure::File { path: self.path(), doing: "read", cause };
        let in_the_way = |what| Err(Failure::InTheWay { path: self.path(), what });
        match existing::at(&self.folder, &self.name).map_err(cannot_read)? {
            There::Nothing => Ok(None),
            There::File(file) => limited(file).map(Some).map_err(cannot_read),
            There::Folder => in_the_way("it is a folder"),
            There::Link | There::Other => in_the_way("it is no ordinary file"),
        }
    }

    /// Puts `bytes` in its place.
    ///
    /// # Errors
    /// [`Failure::File`] or [`Failure::Busy`]; the file is then as it was.
    pub fn replace(&self, bytes: &[u8]) -> Result<(), Failure> {
        let _held = interrupt::hold();
        // Only who is alone in a folder can tell what a killed run left there from what another just begins.
        let path = self.path();
        let lock = Lock::take(&self.folder, OsStr::new(FOLDER_LOCK), folder_of(&path));
        let _alone = lock.map_err(no_lock(&path))?;
        remove_abandoned(&self.folder);
        exchange(&self.folder, vec![New { name: &self.name, content: Content::Bytes(bytes) }])
    }
}
