//! Files put in their places: all or none, by one run at a time, and nothing of anybody else's without force.
//!
//! An interrupt waits until a writing is done. A run that was killed in the middle of one leaves files beside their
//! places, which nobody will rename any more; the next writing into the folder removes them.

use std::ffi::OsStr;
use std::fs;
use std::io;
use std::path::{Component, Path, PathBuf};

use super::exchange::{self, New, NotDone, Real};
use super::existing::{self, There};
use super::lock::{Lock, NoLock};
use super::record::{RECORD, Record};
use super::{folder_of, missing, remove_empty};
use crate::cli::failure::Failure;
use crate::cli::interrupt;
use crate::cores;
use crate::format::Artifact;

/// Name of the lock of a folder, by which one run at a time writes into it.
const FOLDER_LOCK: &str = ".stopwright.lock";

/// Writes all artifacts into `folder`, or none of them; gives their paths.
///
/// # Errors
/// [`Failure::File`], [`Failure::InTheWay`] or [`Failure::Busy`]; the folder is then as it was. [`Failure::Torn`] where it
/// is not.
pub fn write_all(folder: &Path, artifacts: &[Artifact], force: bool) -> Result<Vec<PathBuf>, Failure> {
    write_all_when(folder, artifacts, force, || Ok(()))
}

/// The same, unless `go` says no before anything is touched.
///
/// # Errors
/// Those of [`write_all`] and of `go`.
pub fn write_all_when(
    folder: &Path,
    artifacts: &[Artifact],
    force: bool,
    go: impl FnOnce() -> Result<(), Failure>,
) -> Result<Vec<PathBuf>, Failure> {
    let files: Vec<(&OsStr, &[u8])> = artifacts.iter().map(|a| (OsStr::new(&a.name), a.bytes.as_slice())).collect();
    write(folder, &files, force, go)
}

/// Writes one file where the user wants it, as safely as artifacts.
///
/// # Errors
/// Those of [`write_all`].
pub fn write_file(path: &Path, bytes: &[u8], force: bool) -> Result<(), Failure> {
    let Some(name) = path.file_name() else {
        return Err(Failure::InTheWay { path: path.into(), what: "it names no file" });
    };
    write(folder_of(path), &[(name, bytes)], force, || Ok(())).map(|_| ())
}

fn write(
    folder: &Path,
    files: &[(&OsStr, &[u8])],
    force: bool,
    go: impl FnOnce() -> Result<(), Failure>,
) -> Result<Vec<PathBuf>, Failure> {
    if let Some((name, _)) = files.iter().find(|(name, _)| !is_name(name)) {
        return Err(Failure::Program(format!("a file was to be called {}", name.display()).into()));
    }
    let _held = interrupt::hold();
    go()?;
    let missing = missing(folder);
    let result = entered(folder).and_then(|lock| {
        // The new folders' own names, before anything is in them.
        for path in &missing {
            exchange::force_names(folder_of(path)).map_err(cannot_write(path))?;
        }
        let written = put(folder, files, force);
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

/// Creates `folder` and those around it, and waits until no other run writes into it.
fn entered(folder: &Path) -> Result<Lock, Failure> {
    let mut refused = io::Error::from(io::ErrorKind::NotFound);
    for _ in 0..100 {
        if let Err(cause) = fs::create_dir_all(folder) {
            if folder.exists() && !folder.is_dir() {
                return Err(Failure::InTheWay { path: folder.into(), what: "it is a file and a folder is needed" });
            }
            refused = cause;
        } else {
            match Lock::take(&folder.join(FOLDER_LOCK), folder) {
                Ok(lock) => return Ok(lock),
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

fn cannot_write(path: &Path) -> impl Fn(io::Error) -> Failure {
    let path = path.to_path_buf();
    move |cause| Failure::File { path: path.clone(), doing: "write", cause }
}

/// Puts the files into a folder that is this run's alone.
fn put(folder: &Path, files: &[(&OsStr, &[u8])], force: bool) -> Result<Vec<PathBuf>, Failure> {
    let record_path = folder.join(RECORD);
    let mut record = Record::of(folder).map_err(cannot_write(&record_path))?;
    let paths: Vec<PathBuf> = files.iter().map(|(name, _)| folder.join(name)).collect();
    let sums: Vec<String> = cores::each(files, 1, |(_, bytes)| existing::sum(bytes));
    let places: Vec<_> = paths.iter().zip(files).zip(&sums).collect();
    let is_free = |((path, (name, _)), sum): &((&PathBuf, &(&OsStr, &[u8])), &String)| {
        free(path, force, |there| record.knows(&key(name), there) || there == *sum)
    };
    cores::each(&places, 1, is_free).into_iter().collect::<Result<(), Failure>>()?;
    remove_abandoned(folder);
    for ((name, _), sum) in files.iter().zip(sums) {
        record.add(&key(name), sum);
    }
    // The record goes first and still knows the old contents, so that whatever comes between it and the others leaves
    // nothing that a later run would take for somebody else's file.
    let text = record.text();
    let mut new = vec![New { path: record_path, bytes: text.as_bytes() }];
    new.extend(paths.iter().zip(files).map(|(path, (_, bytes))| New { path: path.clone(), bytes }));
    exchange::exchange(&mut Real, folder, &new).map_err(failed(&new))?;
    let names: Vec<String> = files.iter().map(|(name, _)| key(name)).collect();
    remove_surplus(folder, &names, &record);
    Ok(paths)
}

/// What a file is called in the record: its name, with a stand-in for what is no text or would end a line.
fn key(name: &OsStr) -> String {
    name.to_string_lossy().replace(char::is_control, "\u{fffd}")
}

/// What an exchange that failed is told as.
fn failed<'a>(new: &'a [New<'a>]) -> impl Fn(NotDone) -> Failure + 'a {
    |NotDone { path, cause, stuck }| {
        if stuck.is_empty() {
            return cannot_write(&path)(cause);
        }
        let is_stuck = |path: &PathBuf| stuck.iter().any(|stuck| stuck.path == *path);
        let old = new.iter().map(|file| file.path.clone()).filter(|path| !is_stuck(path)).collect();
        Failure::Torn { path, new: stuck, old, cause }
    }
}

/// What a file is that no record knows.
const FOREIGN: &str = "stopwright did not make it, or it has been edited since. Use --force to replace it";

/// Whether a new file may stand at `path`: nothing does, or a file that the program `knows` by its sum, or force.
fn free(path: &Path, force: bool, knows: impl FnOnce(&str) -> bool) -> Result<(), Failure> {
    let in_the_way = |what| Err(Failure::InTheWay { path: path.into(), what });
    let cannot_read = |cause| Failure::File { path: path.into(), doing: "read", cause };
    match existing::at(path) {
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
    let cannot_read = |cause| Failure::File { path: folder.join(RECORD), doing: "read", cause };
    let path = folder.join(name);
    if let Ok(There::Nothing) = existing::at(&path) {
        return Ok(());
    }
    let record = Record::of(folder).map_err(cannot_read)?;
    free(&path, false, |there| record.knows(&key(OsStr::new(name)), there))
}

/// Puts `bytes` in the place of a file of the user's that was read before, or a new one there; a link there stays one, and
/// the file that it leads to is replaced.
///
/// # Errors
/// [`Failure::File`] or [`Failure::InTheWay`]; the file is then as it was.
pub fn replace(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let _held = interrupt::hold();
    let path = behind_links(path)?;
    match existing::at(&path) {
        Ok(There::Nothing | There::File(_)) => {}
        Ok(There::Folder) => return Err(Failure::InTheWay { path, what: "it is a folder" }),
        Ok(There::Link | There::Other) => return Err(Failure::InTheWay { path, what: "it is no ordinary file" }),
        Err(cause) => return Err(cannot_write(&path)(cause)),
    }
    let folder = folder_of(&path);
    // Only who is alone in a folder can tell what a killed run left there from what another just begins.
    let _alone = Lock::take(&folder.join(FOLDER_LOCK), folder).map_err(no_lock(&path))?;
    remove_abandoned(folder);
    let new = [New { path: path.clone(), bytes }];
    exchange::exchange(&mut Real, folder, &new).map_err(failed(&new))
}

/// The file that a path leads to; the path itself where nothing is there yet.
fn behind_links(path: &Path) -> Result<PathBuf, Failure> {
    match existing::at(path) {
        Ok(There::Link) => fs::canonicalize(path).map_err(cannot_write(path)),
        _ => Ok(path.into()),
    }
}

/// Waits until no other run of the program works on `file`, as long as the answer is held: for what is read, changed and
/// written again.
///
/// # Errors
/// [`Failure::Busy`] where that lasts; [`Failure::File`] where nothing can be written beside it.
pub fn alone(file: &Path) -> Result<Lock, Failure> {
    let real = behind_links(file)?;
    let mut name = OsStr::new(".").to_os_string();
    name.push(real.file_name().unwrap_or_default());
    name.push(".lock");
    Lock::take(&folder_of(&real).join(name), file).map_err(no_lock(file))
}

/// What it is told as that there is no lock for work on `file`.
fn no_lock(file: &Path) -> impl Fn(NoLock) -> Failure {
    let refused = cannot_write(file);
    move |no_lock| match no_lock {
        NoLock::Held(failure) => failure,
        NoLock::File(cause) => refused(cause),
    }
}

/// Removes the pages of an earlier, longer set, such as `cutsheet-09.svg` where there are eight now; only those that
/// the program wrote and nobody changed since. One that cannot be removed does no harm. A set has a first page: the
/// angle in a side view's name numbers nothing.
fn remove_surplus(folder: &Path, names: &[String], record: &Record) {
    let pages = names.iter().filter_map(|name| page_of_set(name));
    let sets: Vec<(&str, &str)> = pages.filter(|(_, number, _)| *number == "01").map(|(a, _, b)| (a, b)).collect();
    let surplus = |name: &&String| {
        let of_set = page_of_set(name).is_some_and(|(before, _, after)| sets.contains(&(before, after)));
        of_set && !names.contains(*name) && is_name(OsStr::new(*name))
    };
    for name in record.names().filter(surplus) {
        let path = folder.join(name);
        let Ok(There::File(file)) = existing::at(&path) else { continue };
        if existing::sum_of(file).is_ok_and(|sum| record.knows(name, &sum)) {
            let _ = fs::remove_file(&path);
        }
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
fn remove_abandoned(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let ours = entry.file_name().to_str().is_some_and(exchange::is_part);
        if let (true, Ok(There::File(file))) = (ours, existing::at(&entry.path()))
            && file.try_lock().is_ok()
        {
            let _ = fs::remove_file(entry.path());
        }
    }
}
