//! By the folder's path, where the system has no calls by its handle.

use std::ffi::{OsStr, OsString};
use std::fs::{self, File, OpenOptions};
use std::io;
use std::path::{Path, PathBuf};

use super::{Kind, as_forced, there};

/// A folder by its path.
#[derive(Debug)]
pub(in crate::cli::files) struct Folder {
    pub(super) path: PathBuf,
}

impl Folder {
    /// A folder that is there.
    ///
    /// # Errors
    /// What the system says; so for all of these.
    pub(in crate::cli::files) fn open(path: &Path) -> io::Result<Self> {
        match fs::metadata(there(path))?.is_dir() {
            true => Ok(Self { path: path.into() }),
            false => Err(io::ErrorKind::NotADirectory.into()),
        }
    }

    /// Whether its path still leads to it: it is its path.
    pub(in crate::cli::files) fn is_at_its_path(&self) -> bool {
        true
    }

    /// What stands at a name.
    pub(in crate::cli::files) fn kind(&self, name: &OsStr) -> io::Result<Kind> {
        match fs::symlink_metadata(self.join(name)) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(Kind::Nothing),
            Err(e) => Err(e),
            Ok(there) if there.is_dir() => Ok(Kind::Folder),
            Ok(there) if there.is_symlink() => Ok(Kind::Link),
            Ok(there) => Ok(if there.is_file() { Kind::File } else { Kind::Other }),
        }
    }

    /// Opens what stands at a name.
    pub(in crate::cli::files) fn read(&self, name: &OsStr) -> io::Result<File> {
        File::open(self.join(name))
    }

    /// The same for reading and writing, and makes a file where there is none.
    pub(in crate::cli::files) fn read_or_make(&self, name: &OsStr) -> io::Result<File> {
        OpenOptions::new().read(true).write(true).create(true).truncate(false).open(self.join(name))
    }

    /// Makes a file to write to where nothing is.
    pub(in crate::cli::files) fn make(&self, name: &OsStr) -> io::Result<File> {
        File::create_new(self.join(name))
    }

    /// There are no files without a name.
    pub(in crate::cli::files) fn unnamed(&self) -> io::Result<File> {
        Err(io::ErrorKind::Unsupported.into())
    }

    /// There are no files without a name.
    pub(in crate::cli::files) fn name(&self, _: &File, _: &OsStr) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }

    /// Whether `file` is what stands at a name: one that is open cannot be replaced.
    pub(in crate::cli::files) fn is_at(&self, _: &File, name: &OsStr) -> bool {
        self.join(name).exists()
    }

    /// Gives what stands at a name a second one.
    pub(in crate::cli::files) fn link(&self, name: &OsStr, second: &OsStr) -> io::Result<()> {
        fs::hard_link(self.join(name), self.join(second))
    }

    /// Gives what stands at a name another one, in the place of what has that now.
    pub(in crate::cli::files) fn rename(&self, name: &OsStr, other: &OsStr) -> io::Result<()> {
        fs::rename(self.join(name), self.join(other))
    }

    /// Removes a file or a link.
    pub(in crate::cli::files) fn remove(&self, name: &OsStr) -> io::Result<()> {
        fs::remove_file(self.join(name))
    }

    /// Its names; none where it cannot be listed.
    pub(in crate::cli::files) fn names(&self) -> Vec<OsString> {
        fs::read_dir(there(&self.path)).into_iter().flatten().flatten().map(|entry| entry.file_name()).collect()
    }

    /// Forces its names to the disk, where the system can.
    pub(in crate::cli::files) fn force(&self) -> io::Result<()> {
        let Ok(folder) = File::open(there(&self.path)) else { return Ok(()) };
        match as_forced(folder.sync_all()) {
            Err(e) if e.kind() == io::ErrorKind::PermissionDenied => Ok(()),
            forced => forced,
        }
    }

    /// Gives a file the permissions of the one at a name, as far as the system lets it.
    pub(in crate::cli::files) fn be_as(&self, file: &File, name: &OsStr) {
        if let Ok(there) = fs::symlink_metadata(self.join(name))
            && there.is_file()
        {
            let _ = file.set_permissions(there.permissions());
        }
    }
}
