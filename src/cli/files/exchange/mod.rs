//! New files for old, all or none, through whatever happens in between: a full disk, a file that nobody may replace. Who
//! is killed or without power between two renames leaves each file whole, and a record with which the next run makes the
//! set whole.
//!
//! Every new file is written beside its place, or named there where it is on the disk already, and forced to it, all of
//! them together as far as they may be open at once; every old one is kept under a second name; only then are the new ones
//! renamed into their places. Where a rename fails, what was replaced before is put back. The folder is forced to the
//! disk after the first file, the record, which thus is never behind the others, and at the end.

use std::ffi::{OsStr, OsString};
use std::io::{self, Read, Seek};
use std::sync::Arc;

use super::existing::{self, There};
use super::folder::{Folder, Kind};
use super::handles::{Handle, Room};
use stopwright::cores;

/// A file to be put in its place.
#[derive(Debug)]
pub(super) struct New<'a> {
    pub name: &'a OsStr,
    pub content: Content<'a>,
}

/// What is to be in a file.
#[derive(Debug)]
pub(super) enum Content<'a> {
    /// Bytes that are yet to be written.
    Bytes(&'a [u8]),
    /// A file without a name that has them already.
    Early(Handle),
}

/// What a folder does for an exchange; a trait, so that the tests can fail each step and cut the power after it.
pub(super) trait Filing {
    /// A file beside its place; gone when dropped.
    type Part;

    /// Makes a file with `content` beside the place of a name.
    fn write(&mut self, name: &OsStr, content: Content<'_>) -> io::Result<Self::Part>;

    /// Forces what was written to the disk; the first that failed, by its place.
    fn settle(&mut self, parts: &[Self::Part]) -> Result<(), (usize, io::Error)>;

    /// A second name for what stands at one; `None` where nothing does.
    fn keep(&mut self, name: &OsStr) -> io::Result<Option<Self::Part>>;

    /// An error where the folder's path leads to it no longer.
    fn stay(&mut self) -> io::Result<()>;

    /// Renames a part into its place.
    fn put(&mut self, part: Self::Part, name: &OsStr) -> io::Result<()>;

    /// Renames what was kept back into its place; what it is called instead, as an error, if that fails.
    fn put_back(&mut self, kept: Self::Part, name: &OsStr) -> Result<(), OsString>;

    /// Removes what stands at a name.
    fn remove(&mut self, name: &OsStr) -> io::Result<()>;

    /// Forces the folder's names to the disk.
    fn force(&mut self) -> io::Result<()>;
}

/// An exchange that did not come about.
#[derive(Debug)]
pub(super) struct NotDone {
    /// The file at which it ended; `None` where it is the folder.
    pub name: Option<OsString>,
    pub cause: io::Error,
    /// Files that are new and could not be put back; none, and all is as it was.
    pub stuck: Vec<NotBack>,
}

/// A new file whose old one could not be put back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct NotBack {
    /// The file.
    pub name: OsString,
    /// What the old one is called, so that nothing is lost; `None` where there was none.
    pub old: Option<OsString>,
}

/// Puts all files into their places in a folder, the first of them first of all, or none.
pub(super) fn exchange<F: Filing>(folder: &mut F, files: Vec<New<'_>>) -> Result<(), NotDone> {
    let not = |name: &OsStr| {
        let name = Some(name.into());
        move |cause| NotDone { name, cause, stuck: Vec::new() }
    };
    let (mut names, mut parts) = (Vec::with_capacity(files.len()), Vec::with_capacity(files.len()));
    for New { name, content } in files {
        parts.push(folder.write(name, content).map_err(not(name))?);
        names.push(name);
    }
    // All together: one takes most of the others with it.
    folder.settle(&parts).map_err(|(i, cause)| not(names[i])(cause))?;
    let mut kept = Vec::with_capacity(names.len());
    for name in &names {
        kept.push(folder.keep(name).map_err(not(name))?);
    }
    // Who moves it later moves files that are where they belong.
    folder.stay().map_err(|cause| NotDone { name: None, cause, stuck: Vec::new() })?;
    let mut done = 0;
    let mut failed = None;
    for (i, (part, &name)) in parts.into_iter().zip(&names).enumerate() {
        let put = folder.put(part, name);
        done += usize::from(put.is_ok());
        let forced = put.and_then(|()| if i == 0 { folder.force() } else { Ok(()) });
        if let Err(cause) = forced {
            failed = Some((Some(name.into()), cause));
            break;
        }
    }
    let failed = match failed {
        None => folder.force().err().map(|cause| (None, cause)),
        failed => failed,
    };
    let Some((name, cause)) = failed else { return Ok(()) };
    let mut stuck = Vec::new();
    for (&name, kept) in names.iter().zip(kept).take(done).rev() {
        let old = match kept {
            Some(kept) => folder.put_back(kept, name).map_err(Some),
            None => folder.remove(name).map_err(|_| None),
        };
        if let Err(old) = old {
            stuck.push(NotBack { name: name.into(), old });
        }
    }
    stuck.reverse();
    // Whether or not that lasts, the failure is said.
    let _ = folder.force();
    Err(NotDone { name, cause, stuck })
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

/// A name for a file beside its place.
fn beside() -> io::Result<OsString> {
    const SIGNS: &[u8; 62] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz";
    let mut dice = [0; BETWEEN];
    getrandom::fill(&mut dice).map_err(io::Error::other)?;
    let between: String = dice.iter().map(|d| char::from(SIGNS[usize::from(*d) % SIGNS.len()])).collect();
    Ok(format!("{BEFORE}{between}{AFTER}").into())
}

/// A folder of the disk itself.
#[derive(Debug)]
pub(super) struct Real(pub Arc<Folder>);

/// A file of the disk beside its place, locked as long as it is one and may stay open, so that another run knows that it
/// is not abandoned; without a lock, that of the folder keeps other runs away.
#[derive(Debug)]
pub(super) struct Part {
    folder: Arc<Folder>,
    name: OsString,
    file: Option<Handle>,
    /// Whether it is still there to be removed.
    is_beside: bool,
}

impl Part {
    fn new(folder: &Arc<Folder>, name: OsString) -> Self {
        Self { folder: Arc::clone(folder), name, file: None, is_beside: true }
    }

    fn rename(&mut self, name: &OsStr) -> io::Result<()> {
        self.folder.rename(&self.name, name)?;
        self.is_beside = false;
        Ok(())
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        if self.is_beside {
            let _ = self.folder.remove(&self.name);
        }
    }
}

impl Real {
    /// A file made anew; forced to the disk at once where it may not stay open until the others are.
    fn written(&self, beside: OsString, name: &OsStr, mut bytes: impl Read) -> io::Result<Part> {
        let mut file = self.0.make(&beside)?;
        let mut part = Part::new(&self.0, beside);
        // A disk that knows no locks takes files all the same.
        let _ = file.try_lock();
        io::copy(&mut bytes, &mut file)?;
        self.0.be_as(&file, name);
        match Room::for_one() {
            Some(room) => part.file = Some(Arc::new((file, room))),
            None => file.sync_all()?,
        }
        Ok(part)
    }

    /// A file that is there already; written once more where it cannot be named, as on another disk.
    fn named(&self, beside: OsString, name: &OsStr, file: Handle) -> io::Result<Part> {
        let _ = file.0.try_lock();
        if self.0.name(&file.0, &beside).is_err() {
            let mut bytes = &file.0;
            bytes.rewind()?;
            return self.written(beside, name, bytes);
        }
        self.0.be_as(&file.0, name);
        let mut part = Part::new(&self.0, beside);
        part.file = Some(file);
        Ok(part)
    }
}

impl Filing for Real {
    type Part = Part;

    fn write(&mut self, name: &OsStr, content: Content<'_>) -> io::Result<Part> {
        let beside = beside()?;
        match content {
            Content::Bytes(bytes) => self.written(beside, name, bytes),
            Content::Early(file) => self.named(beside, name, file),
        }
    }

    fn settle(&mut self, parts: &[Part]) -> Result<(), (usize, io::Error)> {
        let forced = cores::each(parts, 1, |part| part.file.as_ref().map_or(Ok(()), |file| file.0.sync_all()));
        forced.into_iter().enumerate().try_for_each(|(i, forced)| forced.map_err(|cause| (i, cause)))
    }

    fn keep(&mut self, name: &OsStr) -> io::Result<Option<Part>> {
        if self.0.kind(name)? == Kind::Nothing {
            return Ok(None);
        }
        let second = beside()?;
        let (mut part, file) = match self.0.link(name, &second) {
            Ok(()) => (Part::new(&self.0, second.clone()), self.0.read(&second).ok()),
            // A disk without links, or a file that the system lets nobody link to.
            Err(cause) => {
                let There::File(mut old) = existing::at(&self.0, name)? else { return Err(cause) };
                let mut copy = self.0.make(&second)?;
                let part = Part::new(&self.0, second);
                io::copy(&mut old, &mut copy)?;
                self.0.be_as(&copy, name);
                (part, Some(copy))
            }
        };
        let file = file.filter(|file| file.try_lock().is_ok());
        part.file = file.zip(Room::for_one()).map(Arc::new);
        Ok(Some(part))
    }

    fn stay(&mut self) -> io::Result<()> {
        let moved = || io::Error::other("the folder was moved or replaced in the meantime");
        if self.0.is_at_its_path() { Ok(()) } else { Err(moved()) }
    }

    fn put(&mut self, mut part: Part, name: &OsStr) -> io::Result<()> {
        part.rename(name)
    }

    fn put_back(&mut self, mut kept: Part, name: &OsStr) -> Result<(), OsString> {
        if kept.rename(name).is_ok() {
            return Ok(());
        }
        // Under a name that no later run takes for one of its own, where that can be had.
        let mut before = name.to_os_string();
        before.push(".before");
        if self.0.link(&kept.name, &before).is_ok() {
            return Err(before);
        }
        // A disk without links.
        if self.0.kind(&before).is_ok_and(|there| there == Kind::Nothing) && kept.rename(&before).is_ok() {
            return Err(before);
        }
        // Where not even that can be done, it is not removed either.
        kept.is_beside = false;
        Err(kept.name.clone())
    }

    fn remove(&mut self, name: &OsStr) -> io::Result<()> {
        self.0.remove(name)
    }

    fn force(&mut self) -> io::Result<()> {
        self.0.force()
    }
}

#[cfg(test)]
mod tests;
