//! Files put in their places: all or none, by one run at a time, and nothing of anybody else's without force.
//!
//! An interrupt waits until a writing is done. A run that was killed in the middle of one leaves files beside their
//! places, which nobody will rename any more; the next writing into the folder removes them.

use std::collections::HashSet;
use std::ffi::{OsStr, OsString};
use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};
use std::sync::Arc;

use super::early::{Early, Unnamed};
use super::exchange::{self, Content, New, NotDone, Real};
use super::existing::{self, There};
use super::folder::{Folder, Kind};
use super::lock::{Lock, NoLock};
use super::record::{RECORD, Record};
use super::{folder_of, force_names, missing, remove_empty};
use crate::cli::failure::{Failure, Stuck};
use crate::cli::interrupt;
use stopwright::cores;
use stopwright::format::Artifact;

/// Name of the lock of a folder, by which one run at a time writes into it.
pub(super) const FOLDER_LOCK: &str = ".stopwright.lock";

/// Writes all artifacts into `folder`, or none of them; gives their paths.
///
/// # Errors
/// [`Failure::File`], [`Failure::InTheWay`] or [`Failure::Busy`]; the folder is then as it was. [`Failure::Torn`] where it
/// is not.
pub fn write_all(folder: &Path, artifacts: &[Artifact], force: bool) -> Result<Vec<PathBuf>, Failure> {
    write_all_when(folder, artifacts, Early::default(), force, || Ok(()))
}

/// The same, with what is on the disk early, unless `go` says no before anything is touched.
///
/// # Errors
/// Those of [`write_all`] and of `go`.
pub fn write_all_when(
    folder: &Path,
    artifacts: &[Artifact],
    early: Early,
    force: bool,
    go: impl FnOnce() -> Result<(), Failure>,
) -> Result<Vec<PathBuf>, Failure> {
    let mut early = early.into_files().map_err(cannot_write(folder))?;
    let files = artifacts.iter().map(|Artifact { name, bytes, .. }| ToWrite {
        name: OsStr::new(name),
        bytes,
        early: early.remove(name),
    });
    write(folder, files.collect(), force, go)
}

/// A file that is to be written.
struct ToWrite<'a> {
    name: &'a OsStr,
    bytes: &'a [u8],
    /// Where it is on the disk already.
    early: Option<Unnamed>,
}

impl<'a> ToWrite<'a> {
    fn sum(&self) -> String {
        self.early.as_ref().map_or_else(|| existing::sum(self.bytes), |early| early.sum.clone())
    }

    fn into_new(self) -> New<'a> {
        let content = match self.early {
            Some(early) => Content::Early(early.file),
            None => Content::Bytes(self.bytes),
        };
        New { name: self.name, content }
    }
}

/// Writes one file where the user wants it, as safely as artifacts.
///
/// # Errors
/// Those of [`write_all`].
pub fn write_file(path: &Path, bytes: &[u8], force: bool) -> Result<(), Failure> {
    let Some(name) = path.file_name() else {
        return Err(Failure::InTheWay { path: path.into(), what: "it names no file" });
    };
    write(folder_of(path), vec![ToWrite { name, bytes, early: None }], force, || Ok(())).map(|_| ())
}

fn write(
    folder: &Path,
    files: Vec<ToWrite<'_>>,
    force: bool,
    go: impl FnOnce() -> Result<(), Failure>,
) -> Result<Vec<PathBuf>, Failure> {
    if let Some(file) = files.iter().find(|file| !is_name(file.name)) {
        return Err(Failure::Program(format!("a file was to be called {}", file.name.display()).into()));
    }
    let _held = interrupt::hold();
    go()?;
    let missing = missing(folder);
    let result = entered(folder).and_then(|(open, lock)| {
        // The new folders' own names, before anything is in them.
        for path in &missing {
            force_names(folder_of(path)).map_err(cannot_write(path))?;
        }
        let written = put(&open, files, force);
        drop(lock);
        written
    });
    if result.is_err() {
        remove_empty(&missing);
    }
    result
}

/// Whether a name is that of a file in a folder, and leads nowhere else.
pub fn is_name(name: &OsStr) -> bool {
    let mut parts = Path::new(name).components();
    matches!((parts.next(), parts.next()), (Some(Component::Normal(only)), None) if only == name)
}

/// Creates `folder` and those around it, opens it, and waits until no other run writes into it.
fn entered(folder: &Path) -> Result<(Arc<Folder>, Lock), Failure> {
    let mut refused = io::Error::from(io::ErrorKind::NotFound);
    for _ in 0..100 {
        if let Err(cause) = fs::create_dir_all(folder) {
            if folder.exists() && !folder.is_dir() {
                return Err(Failure::InTheWay { path: folder.into(), what: "it is a file and a folder is needed" });
            }
            refused = cause;
        } else {
            let entered = Folder::open(folder).map_err(NoLock::File).and_then(|open| {
                let open = Arc::new(open);
                let lock = Lock::take(&open, OsStr::new(FOLDER_LOCK), folder)?;
                Ok((open, lock))
            });
            match entered {
                Ok(entered) => return Ok(entered),
                Err(NoLock::Held(failure)) => return Err(failure),
                Err(NoLock::File(cause)) => refused = cause,
            }
        }
        // A run that failed may have removed a folder just now, as it was empty.
        if refused.kind() != io::ErrorKind::NotFound {
            break;
        }
    }
    Err(cannot_write(folder)(refused))
}

pub(super) fn cannot_write(path: &Path) -> impl Fn(io::Error) -> Failure {
    let path = path.to_path_buf();
    move |cause| Failure::File { path: path.clone(), doing: "write", cause }
}

/// Puts the files into a folder that is this run's alone.
fn put(folder: &Arc<Folder>, files: Vec<ToWrite<'_>>, force: bool) -> Result<Vec<PathBuf>, Failure> {
    let mut record = Record::of(folder).map_err(cannot_write(&folder.join(OsStr::new(RECORD))))?;
    let names: Vec<&OsStr> = files.iter().map(|file| file.name).collect();
    let sums: Vec<String> = cores::each(&files, 1, ToWrite::sum);
    let places: Vec<(&OsStr, &String)> = names.iter().copied().zip(&sums).collect();
    let is_free = |(name, sum): &(&OsStr, &String)| {
        free(folder, name, force, |there| record.knows(&key(name), there) || there == *sum)
    };
    cores::each(&places, 1, is_free).into_iter().collect::<Result<(), Failure>>()?;
    remove_abandoned(folder);
    for (name, sum) in names.iter().zip(sums) {
        record.add(&key(name), sum);
    }
    // The record goes first and still knows the old contents, so that whatever comes between it and the others leaves
    // nothing that a later run would take for somebody else's file.
    let text = record.text();
    let mut new = vec![New { name: OsStr::new(RECORD), content: Content::Bytes(text.as_bytes()) }];
    new.extend(files.into_iter().map(ToWrite::into_new));
    exchange(folder, new)?;
    let keys: Vec<String> = names.iter().map(|name| key(name)).collect();
    remove_surplus(folder, &keys, &record);
    Ok(names.iter().map(|name| folder.join(name)).collect())
}

/// Puts new files into their places in a folder, or none of them.
pub(super) fn exchange(folder: &Arc<Folder>, new: Vec<New<'_>>) -> Result<(), Failure> {
    let names: Vec<OsString> = new.iter().map(|file| file.name.into()).collect();
    exchange::exchange(&mut Real(Arc::clone(folder)), new).map_err(|NotDone { name, cause, stuck }| {
        let path = name.map_or_else(|| folder.path().into(), |name| folder.join(&name));
        if stuck.is_empty() {
            return cannot_write(&path)(cause);
        }
        let is_stuck = |name: &&OsString| stuck.iter().any(|stuck| stuck.name == **name);
        let old = names.iter().filter(|name| !is_stuck(name)).map(|name| folder.join(name)).collect();
        let at = |name: &OsString| folder.join(name);
        let new = stuck.iter().map(|file| Stuck { path: at(&file.name), old: file.old.as_ref().map(at) }).collect();
        Failure::Torn { path, new, old, cause }
    })
}

/// What a file is called in the record: its name, with a stand-in for what is no text or would end a line.
fn key(name: &OsStr) -> String {
    name.to_string_lossy().replace(char::is_control, "\u{fffd}")
}

/// What a file is that no record knows.
const FOREIGN: &str = "stopwright did not make it, or it has been edited since. Use --force to replace it";

/// Whether a new file may take a name in a folder: nothing has it, or a file that the program `knows` by its sum, or force.
fn free(folder: &Folder, name: &OsStr, force: bool, knows: impl FnOnce(&str) -> bool) -> Result<(), Failure> {
    let in_the_way = |what| Err(Failure::InTheWay { path: folder.join(name), what });
    let cannot_read = |cause| Failure::File { path: folder.join(name), doing: "read", cause };
    match existing::at(folder, name) {
        Ok(There::Nothing) => Ok(()),
        Ok(There::Folder) => in_the_way("it is a folder"),
        Ok(There::Other) => in_the_way("it is no ordinary file"),
        Ok(There::Link | There::File(_)) if force => Ok(()),
        Ok(There::Link) => in_the_way("it is a link. Use --force to put a file in its place"),
        Ok(There::File(file)) => {
            let there = existing::sum_of(file).map_err(cannot_read)?;
            if knows(&there) { Ok(()) } else { in_the_way(FOREIGN) }
        }
        Err(_) if force => Ok(()),
        Err(cause) => Err(cannot_read(cause)),
    }
}

/// Whether [`write_all`] without force would put a new `name` into `folder`; asked early, where a user is about to do
/// much for it.
///
/// # Errors
/// [`Failure::InTheWay`] or [`Failure::File`].
pub fn may_write(folder: &Path, name: &str) -> Result<(), Failure> {
    let cannot_read = |path| move |cause| Failure::File { path, doing: "read", cause };
    let name = OsStr::new(name);
    let folder = match Folder::open(folder) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(()),
        open => open.map_err(cannot_read(folder.into()))?,
    };
    if folder.kind(name).is_ok_and(|there| there == Kind::Nothing) {
        return Ok(());
    }
    let record = Record::of(&folder).map_err(cannot_read(folder.join(OsStr::new(RECORD))))?;
    free(&folder, name, false, |there| record.knows(&key(name), there))
}

/// What it is told as that there is no lock for work on `file`.
pub(super) fn no_lock(file: &Path) -> impl Fn(NoLock) -> Failure {
    let refused = cannot_write(file);
    move |no_lock| match no_lock {
        NoLock::Held(failure) => failure,
        NoLock::File(cause) => refused(cause),
    }
}

/// Removes what an earlier set had more of than this one: pages, such as `cutsheet-09.svg` where there are eight now, and
/// blocks, such as `block-3.stl` where two take all lanes. Only those that the program wrote and nobody changed since;
/// one that cannot be removed does no harm. A set of pages has a first one: the angle in a side view's name numbers
/// nothing.
fn remove_surplus(folder: &Folder, names: &[String], record: &Record) {
    let pages = names.iter().filter_map(|name| page_of_set(name));
    let sets: Vec<(&str, &str)> = pages.filter(|(_, number, _)| *number == "01").map(|(a, _, b)| (a, b)).collect();
    let blocks: HashSet<(&str, &str)> = names.iter().filter_map(|name| file_of_blocks(name)).collect();
    let is_of_set = |name: &str| {
        page_of_set(name).is_some_and(|(before, _, after)| sets.contains(&(before, after)))
            || file_of_blocks(name).is_some_and(|file| blocks.contains(&file))
    };
    let names: HashSet<&String> = names.iter().collect();
    let surplus = |name: &&String| is_of_set(name) && !names.contains(*name) && is_name(OsStr::new(*name));
    for name in record.names().filter(surplus) {
        let file = OsStr::new(name);
        let Ok(There::File(there)) = existing::at(folder, file) else { continue };
        if existing::sum_of(there).is_ok_and(|sum| record.knows(name, &sum)) {
            let _ = folder.remove(file);
        }
    }
}

/// What a file of printed blocks or of their proof is called without the numbers of block and sheet, and its ending; none
/// for others. A cleat is a part of its block.
fn file_of_blocks(name: &str) -> Option<(&str, &str)> {
    let (rest, ending) = name.rsplit_once('.')?;
    let stem = without_number(without_number(rest, "-sheet-"), "-");
    match stem {
        "block" | "cleat" => Some(("block", ending)),
        "picture" | "plate" => Some((stem, ending)),
        _ => None,
    }
}

/// A name without the number that follows the last `joint` in it, where one does.
fn without_number<'a>(name: &'a str, joint: &str) -> &'a str {
    match name.rsplit_once(joint) {
        Some((before, number)) if !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()) => before,
        _ => name,
    }
}

/// A page's name before its number, the number, and the ending; none where it has no number.
fn page_of_set(name: &str) -> Option<(&str, &str, &str)> {
    let (rest, ending) = name.rsplit_once('.')?;
    let (stem, number) = rest.rsplit_once('-')?;
    (number.len() == 2 && number.bytes().all(|b| b.is_ascii_digit())).then_some((stem, number, ending))
}

/// Removes the files that a killed run left half-way: those of the program's form that no process holds a lock on.
/// Where locks cannot be had, they stay, and do no harm.
pub(super) fn remove_abandoned(folder: &Folder) {
    for name in folder.names() {
        let ours = name.to_str().is_some_and(exchange::is_part);
        if let (true, Ok(There::File(file))) = (ours, existing::at(folder, &name))
            && file.try_lock().is_ok()
        {
            let _ = folder.remove(&name);
        }
    }
}
