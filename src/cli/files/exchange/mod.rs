//! New files for old, all or none, through whatever happens in between: a full disk, a file that nobody may replace. Who
//! is killed or without power between two renames leaves each file whole, and a record with which the next run makes the
//! set whole.
//!
//! Every new file is written beside its place and forced to the disk; every old one is kept under a second name; only then
//! are the new ones renamed into their places. Where a rename fails, what was replaced before is put back. The folder is
//! forced to the disk after the first file, the record, which thus is never behind the others, and at the end.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::TempPath;

use super::folder_of;
use crate::cores;

/// A file to be put in its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct New<'a> {
    pub path: PathBuf,
    pub bytes: &'a [u8],
}

/// What a disk does for an exchange; a trait, so that the tests can fail each step and cut the power after it.
pub(super) trait Filing {
    /// A file beside its place; gone when dropped.
    type Part;

    /// Writes `bytes` beside `path`.
    fn write(&mut self, path: &Path, bytes: &[u8]) -> io::Result<Self::Part>;

    /// Forces what was written to the disk; the first that failed, by its place.
    fn settle(&mut self, parts: &[Self::Part]) -> Result<(), (usize, io::Error)>;

    /// A second name for what stands at `path`; `None` where nothing does.
    fn keep(&mut self, path: &Path) -> io::Result<Option<Self::Part>>;

    /// Renames a part into its place.
    fn put(&mut self, part: Self::Part, path: &Path) -> io::Result<()>;

    /// Renames what was kept back into its place; where it stays instead, as an error, if that fails.
    fn put_back(&mut self, kept: Self::Part, path: &Path) -> Result<(), PathBuf>;

    /// Removes what stands at `path`.
    fn remove(&mut self, path: &Path) -> io::Result<()>;

    /// Forces the names in `folder` to the disk.
    fn force(&mut self, folder: &Path) -> io::Result<()>;
}

/// An exchange that did not come about.
#[derive(Debug)]
pub(super) struct NotDone {
    /// The file at which it ended.
    pub path: PathBuf,
    pub cause: io::Error,
    /// Files that are new and could not be put back; none, and all is as it was.
    pub stuck: Vec<Stuck>,
}

/// A new file whose old one could not be put back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stuck {
    /// The file.
    pub path: PathBuf,
    /// Where the old one is, so that nothing is lost; `None` where there was none.
    pub old: Option<PathBuf>,
}

/// Puts all files into their places in `folder`, the first of them first of all, or none.
pub(super) fn exchange<F: Filing>(disk: &mut F, folder: &Path, files: &[New<'_>]) -> Result<(), NotDone> {
    let not = |path: &Path| {
        let path = path.to_path_buf();
        move |cause| NotDone { path, cause, stuck: Vec::new() }
    };
    let mut parts = Vec::with_capacity(files.len());
    for file in files {
        parts.push(disk.write(&file.path, file.bytes).map_err(not(&file.path))?);
    }
    // All together: one takes most of the others with it.
    disk.settle(&parts).map_err(|(i, cause)| not(&files[i].path)(cause))?;
    let mut kept = Vec::with_capacity(files.len());
    for file in files {
        kept.push(disk.keep(&file.path).map_err(not(&file.path))?);
    }
    let mut done = 0;
    let mut failed = None;
    for (i, (part, file)) in parts.into_iter().zip(files).enumerate() {
        let put = disk.put(part, &file.path);
        done += usize::from(put.is_ok());
        let forced = put.and_then(|()| if i == 0 { disk.force(folder) } else { Ok(()) });
        if let Err(cause) = forced {
            failed = Some((file.path.clone(), cause));
            break;
        }
    }
    let failed = match failed {
        None => disk.force(folder).err().map(|cause| (folder.to_path_buf(), cause)),
        failed => failed,
    };
    let Some((path, cause)) = failed else { return Ok(()) };
    let mut stuck = Vec::new();
    for (file, kept) in files.iter().zip(kept).take(done).rev() {
        let old = match kept {
            Some(kept) => disk.put_back(kept, &file.path).map_err(Some),
            None => disk.remove(&file.path).map_err(|_| None),
        };
        if let Err(old) = old {
            stuck.push(Stuck { path: file.path.clone(), old });
        }
    }
    stuck.reverse();
    // Whether or not that lasts, the failure is said.
    let _ = disk.force(folder);
    Err(NotDone { path, cause, stuck })
}

/// The first part of the name of every file that is written beside its place.
const BEFORE: &str = ".stopwright-";
/// The last part.
const AFTER: &str = ".part";
/// Letters and digits between the two, of which there are 62: nobody guesses them.
const BETWEEN: usize = 16;

/// Whether a name is that of a file that a run writes beside its place, or wrote and was killed.
pub(super) fn is_part(name: &str) -> bool {
    let between = name.strip_prefix(BEFORE).and_then(|rest| rest.strip_suffix(AFTER));
    between.is_some_and(|between| between.len() == BETWEEN && between.bytes().all(|b| b.is_ascii_alphanumeric()))
}

fn named<'a, 'b>() -> tempfile::Builder<'a, 'b> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(BEFORE).suffix(AFTER).rand_bytes(BETWEEN);
    builder
}

/// The disk itself.
#[derive(Debug, Default)]
pub(super) struct Real;

/// A file of the disk beside its place, locked as long as it is one, so that another run knows that it is not abandoned.
#[derive(Debug)]
pub(super) struct Part {
    path: TempPath,
    file: Option<fs::File>,
}

impl Filing for Real {
    type Part = Part;

    fn write(&mut self, path: &Path, bytes: &[u8]) -> io::Result<Part> {
        let mut builder = named();
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // As any new file: what the user's mask takes away is taken away.
            builder.permissions(fs::Permissions::from_mode(0o666));
        }
        let (mut file, beside) = builder.tempfile_in(folder_of(path))?.into_parts();
        // A disk that knows no locks takes files all the same.
        let _ = file.try_lock();
        file.write_all(bytes)?;
        be_as(&file, path);
        Ok(Part { path: beside, file: Some(file) })
    }

    fn settle(&mut self, parts: &[Part]) -> Result<(), (usize, io::Error)> {
        let forced = cores::each(parts, 1, |part| part.file.as_ref().map_or(Ok(()), fs::File::sync_all));
        forced.into_iter().enumerate().try_for_each(|(i, forced)| forced.map_err(|cause| (i, cause)))
    }

    fn keep(&mut self, path: &Path) -> io::Result<Option<Part>> {
        if fs::symlink_metadata(path).is_err_and(|e| e.kind() == io::ErrorKind::NotFound) {
            return Ok(None);
        }
        let linked = named().make_in(folder_of(path), |beside| fs::hard_link(path, beside));
        let kept = match linked {
            Ok(kept) => kept.into_temp_path(),
            // A disk without links, or a file that the system lets nobody link to.
            Err(_) => {
                let mut copy = named().tempfile_in(folder_of(path))?;
                io::copy(&mut fs::File::open(path)?, &mut copy)?;
                be_as(copy.as_file(), path);
                copy.into_temp_path()
            }
        };
        let file = fs::File::open(&kept).ok().filter(|file| file.try_lock().is_ok());
        Ok(Some(Part { path: kept, file }))
    }

    fn put(&mut self, part: Part, path: &Path) -> io::Result<()> {
        part.path.persist(path).map_err(|e| e.error)
    }

    fn put_back(&mut self, kept: Part, path: &Path) -> Result<(), PathBuf> {
        let Err(refused) = kept.path.persist(path) else { return Ok(()) };
        // Under a name that no later run takes for one of its own, where that can be had.
        let mut name = path.file_name().unwrap_or_default().to_os_string();
        name.push(".before");
        let beside = path.with_file_name(name);
        match refused.path.persist_noclobber(&beside) {
            Ok(()) => Err(beside),
            Err(refused) => {
                let stays = refused.path.to_path_buf();
                // Where not even that can be done, it is not removed either.
                let _ = refused.path.keep();
                Err(stays)
            }
        }
    }

    fn remove(&mut self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn force(&mut self, folder: &Path) -> io::Result<()> {
        force_names(folder)
    }
}

/// Forces the names in a folder to the disk, where the system can.
pub(super) fn force_names(folder: &Path) -> io::Result<()> {
    let Ok(folder) = fs::File::open(folder) else { return Ok(()) };
    match folder.sync_all() {
        // Systems and disks that force no folder.
        Err(e) if matches!(e.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) => Ok(()),
        Err(e) if e.kind() == io::ErrorKind::PermissionDenied && cfg!(not(unix)) => Ok(()),
        forced => forced,
    }
}

/// Gives a new file the mode and the owner of the one that it replaces, as far as the system lets it.
fn be_as(file: &fs::File, path: &Path) {
    let Ok(there) = fs::symlink_metadata(path) else { return };
    if !there.is_file() {
        return;
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::{MetadataExt, fchown};
        if file.metadata().is_ok_and(|own| (own.uid(), own.gid()) != (there.uid(), there.gid())) {
            let _ = fchown(file, Some(there.uid()), Some(there.gid()));
        }
    }
    // Last: a change of owner takes away bits of the mode.
    let _ = file.set_permissions(there.permissions());
}

#[cfg(test)]
mod tests;
