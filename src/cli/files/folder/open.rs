//! By the folder's own handle: names are looked up in it, never in what its path has come to mean.

use std::ffi::{OsStr, OsString};
use std::fs::{File, Permissions};
use std::io;
#[cfg(target_os = "linux")]
use std::os::fd::AsRawFd;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{MetadataExt, PermissionsExt, fchown};
use std::path::{Path, PathBuf};

use rustix::fs::{AtFlags, Dir, FileType, Mode, OFlags, Stat};
use rustix::io::{Errno, retry_on_intr};

use super::{Kind, as_forced, there};

/// A folder held open.
#[derive(Debug)]
pub(in crate::cli::files) struct Folder {
    pub(super) path: PathBuf,
    file: File,
}

impl Folder {
    /// Opens a folder.
    ///
    /// # Errors
    /// What the system says; so for all of these.
    pub(in crate::cli::files) fn open(path: &Path) -> io::Result<Self> {
        let flags = OFlags::RDONLY | OFlags::DIRECTORY | OFlags::CLOEXEC;
        let file = retry_on_intr(|| rustix::fs::open(there(path), flags, Mode::empty()))?;
        Ok(Self { path: path.into(), file: file.into() })
    }

    /// Whether its path still leads to it.
    pub(in crate::cli::files) fn is_at_its_path(&self) -> bool {
        let now = there(&self.path).metadata();
        self.file.metadata().is_ok_and(|own| now.is_ok_and(|now| is_same(&own, now.dev(), now.ino())))
    }

    /// What stands at a name.
    pub(in crate::cli::files) fn kind(&self, name: &OsStr) -> io::Result<Kind> {
        let Some(there) = self.stat(name)? else { return Ok(Kind::Nothing) };
        Ok(match file_type(&there) {
            FileType::RegularFile => Kind::File,
            FileType::Directory => Kind::Folder,
            FileType::Symlink => Kind::Link,
            _ => Kind::Other,
        })
    }

    fn stat(&self, name: &OsStr) -> io::Result<Option<Stat>> {
        match rustix::fs::statat(&self.file, name, AtFlags::SYMLINK_NOFOLLOW) {
            Err(Errno::NOENT) => Ok(None),
            there => Ok(Some(there?)),
        }
    }

    /// Opens what stands at a name, without following a link there and without waiting for who is at the other end of a pipe.
    pub(in crate::cli::files) fn read(&self, name: &OsStr) -> io::Result<File> {
        self.open_at(name, OFlags::RDONLY)
    }

    /// The same for reading and writing, and makes a file where there is none.
    pub(in crate::cli::files) fn read_or_make(&self, name: &OsStr) -> io::Result<File> {
        self.open_at(name, OFlags::RDWR | OFlags::CREATE)
    }

    /// Makes a file to write to where nothing is.
    pub(in crate::cli::files) fn make(&self, name: &OsStr) -> io::Result<File> {
        self.open_at(name, OFlags::WRONLY | OFlags::CREATE | OFlags::EXCL)
    }

    /// Makes a file without a name, which is gone when it is closed without having been given one.
    #[cfg(target_os = "linux")]
    pub(in crate::cli::files) fn unnamed(&self) -> io::Result<File> {
        let flags = OFlags::RDWR | OFlags::TMPFILE | OFlags::CLOEXEC;
        Ok(retry_on_intr(|| rustix::fs::openat(&self.file, ".", flags, as_any()))?.into())
    }

    /// Gives such a file a name.
    #[cfg(target_os = "linux")]
    pub(in crate::cli::files) fn name(&self, file: &File, name: &OsStr) -> io::Result<()> {
        let own = format!("/proc/self/fd/{}", file.as_raw_fd());
        Ok(rustix::fs::linkat(rustix::fs::CWD, own, &self.file, name, AtFlags::SYMLINK_FOLLOW)?)
    }

    /// There are none.
    #[cfg(not(target_os = "linux"))]
    pub(in crate::cli::files) fn unnamed(&self) -> io::Result<File> {
        Err(io::ErrorKind::Unsupported.into())
    }

    /// There are none.
    #[cfg(not(target_os = "linux"))]
    pub(in crate::cli::files) fn name(&self, _: &File, _: &OsStr) -> io::Result<()> {
        Err(io::ErrorKind::Unsupported.into())
    }

    fn open_at(&self, name: &OsStr, flags: OFlags) -> io::Result<File> {
        let flags = flags | OFlags::NOFOLLOW | OFlags::NONBLOCK | OFlags::CLOEXEC;
        Ok(retry_on_intr(|| rustix::fs::openat(&self.file, name, flags, as_any()))?.into())
    }

    /// Whether `file` is what stands at a name.
    pub(in crate::cli::files) fn is_at(&self, file: &File, name: &OsStr) -> bool {
        let Ok(Some(there)) = self.stat(name) else { return false };
        file.metadata().is_ok_and(|own| is_same(&own, there.st_dev, there.st_ino))
    }

    /// Gives what stands at a name a second one.
    pub(in crate::cli::files) fn link(&self, name: &OsStr, second: &OsStr) -> io::Result<()> {
        Ok(rustix::fs::linkat(&self.file, name, &self.file, second, AtFlags::empty())?)
    }

    /// Gives what stands at a name another one, in the place of what has that now.
    pub(in crate::cli::files) fn rename(&self, name: &OsStr, other: &OsStr) -> io::Result<()> {
        Ok(rustix::fs::renameat(&self.file, name, &self.file, other)?)
    }

    /// Removes a file or a link.
    pub(in crate::cli::files) fn remove(&self, name: &OsStr) -> io::Result<()> {
        Ok(rustix::fs::unlinkat(&self.file, name, AtFlags::empty())?)
    }

    /// Its names; none where it cannot be listed.
    pub(in crate::cli::files) fn names(&self) -> Vec<OsString> {
        let entries = Dir::read_from(&self.file).into_iter().flatten().flatten();
        entries.map(|entry| OsStr::from_bytes(entry.file_name().to_bytes()).to_os_string()).collect()
    }

    /// Forces its names to the disk, where the system can.
    pub(in crate::cli::files) fn force(&self) -> io::Result<()> {
        as_forced(self.file.sync_all())
    }

    /// Gives a file the mode and the owner of the one at a name, as far as the system lets it.
    pub(in crate::cli::files) fn be_as(&self, file: &File, name: &OsStr) {
        let Ok(Some(there)) = self.stat(name) else { return };
        if file_type(&there) != FileType::RegularFile {
            return;
        }
        if file.metadata().is_ok_and(|own| (own.uid(), own.gid()) != (there.st_uid, there.st_gid)) {
            let _ = fchown(file, Some(there.st_uid), Some(there.st_gid));
        }
        // Last: a change of owner takes away bits of the mode.
        let _ = file.set_permissions(Permissions::from_mode(there.st_mode & 0o7777));
    }
}

/// The mode of any new file: what the user's mask takes away is taken away.
fn as_any() -> Mode {
    Mode::RUSR | Mode::WUSR | Mode::RGRP | Mode::WGRP | Mode::ROTH | Mode::WOTH
}

fn file_type(there: &Stat) -> FileType {
    FileType::from_raw_mode(there.st_mode)
}

/// Whether two are one file; the numbers of devices and files have other widths on other systems.
fn is_same(own: &impl MetadataExt, device: impl TryInto<u64>, inode: impl TryInto<u64>) -> bool {
    device.try_into().is_ok_and(|device| device == own.dev()) && inode.try_into().is_ok_and(|inode| inode == own.ino())
}
