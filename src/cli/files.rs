//! The only place that touches the disk.
//!
//! Artifacts are written beside their place and renamed into it, all or none. A small record in the folder,
//! `.stopwright`, holds the name and SHA-256 of every file the program wrote there; a file that is not in it, or that
//! was changed since, is not replaced unless forced.
//!
//! An interrupt waits until a writing is done. A run that was killed in the middle of one leaves files of the form
//! `.NAME.PROCESS.part`; who writes one holds a lock on it, which ends with the process, so that the next writing into
//! the folder knows which ones nobody will rename any more, and removes them.

use std::collections::BTreeMap;
use std::fs;
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering::Relaxed;

use sha2::{Digest, Sha256};

use super::failure::Failure;
use super::interrupt;
use crate::format::Artifact;
use crate::guide::named::Sources;
use crate::input::document::LARGEST_FILE;
use crate::input::fault::Faults;
use crate::input::nearest::nearest;

/// Name of the record of written files.
const RECORD: &str = ".stopwright";

/// Stands for standard input where a file can be named.
const STANDARD_INPUT: &str = "-";

/// The file or the standard input that the user named: what messages call it, and its bytes, no more than can be an
/// input.
///
/// # Errors
/// Those of [`read`]; standard input that was read already.
pub fn document(path: &Path) -> Result<(String, Vec<u8>), Failure> {
    static TAKEN: AtomicBool = AtomicBool::new(false);
    if !is_standard_input(path) {
        return Ok((path.display().to_string(), read(path)?));
    }
    if TAKEN.swap(true, Relaxed) {
        return Err(Faults::argument("-", "standard input a second time", "it for one file only").into());
    }
    let name = "standard input";
    let bytes = limited(io::stdin().lock());
    bytes.map(|bytes| (name.into(), bytes)).map_err(|cause| Failure::File { path: name.into(), doing: "read", cause })
}

/// Whether a path stands for standard input.
pub fn is_standard_input(path: &Path) -> bool {
    path == Path::new(STANDARD_INPUT)
}

/// Reads a file; no more than can be an input.
///
/// # Errors
/// [`Failure::File`] or [`Failure::Folder`].
pub fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    read_limited(path).map_err(|cause| match cause.kind() {
        _ if path.is_dir() => Failure::Folder { path: path.into() },
        io::ErrorKind::NotFound => Failure::Missing { path: path.into(), near: near(path) },
        _ => Failure::File { path: path.into(), doing: "read", cause },
    })
}

/// Entries of a folder that are looked at for a name like another.
const LOOKED_AT: usize = 10_000;

/// The file that is there and has a name like that of `path`, or lies in a folder with a name like its folder's.
fn near(path: &Path) -> Option<PathBuf> {
    let name = path.file_name()?.to_str()?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let there = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    if !there.is_dir() {
        return near(folder).map(|folder| folder.join(name)).filter(|path| path.exists());
    }
    let entries = fs::read_dir(there).ok()?.take(LOOKED_AT).flatten();
    let names: Vec<String> =
        entries.filter_map(|e| e.file_name().into_string().ok()).filter(|n| !n.starts_with('.')).collect();
    let with_ending = names.iter().find(|known| known.strip_suffix(".json") == Some(name)).map(String::as_str);
    with_ending.or_else(|| nearest(name, names.iter().map(String::as_str))).map(|near| folder.join(near))
}

fn read_limited(path: &Path) -> io::Result<Vec<u8>> {
    limited(fs::File::open(path)?)
}

fn limited(from: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    // One byte more than allowed, so that the reader of the text sees that it is too large and says so.
    from.take(LARGEST_FILE as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Files on disk, by paths relative to a folder.
#[derive(Debug, Clone)]
pub struct Disk {
    folder: PathBuf,
}

impl Disk {
    /// Paths as on the command line.
    pub fn here() -> Self {
        Self { folder: PathBuf::new() }
    }

    /// Paths relative to the folder a file is in.
    pub fn beside(file: &Path) -> Self {
        Self { folder: file.parent().map(Path::to_path_buf).unwrap_or_default() }
    }
}

impl Sources for Disk {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        let full = self.folder.join(path);
        let bytes = read_limited(&full).map_err(|e| match e.kind() {
            _ if full.is_dir() => format!("\"{path}\" is a folder"),
            io::ErrorKind::NotFound => format!("there is no file \"{path}\""),
            _ => format!("\"{path}\" cannot be read ({e})"),
        })?;
        Ok((full.display().to_string(), bytes))
    }

    fn near(&self, path: &str) -> Option<String> {
        let near = near(&self.folder.join(path))?;
        let own = near.strip_prefix(&self.folder).unwrap_or(&near);
        Some(own.display().to_string())
    }
}

/// Paths, as seen from `folder`, of the JSON files that may be profiles: those in it, and those that `measure` wrote below
/// it; a few hundred at most.
pub fn json_in(folder: &Path) -> Vec<String> {
    const MOST: usize = 200;
    let names = |below: &str| {
        let entries = fs::read_dir(Path::new(".").join(folder).join(below)).into_iter().flatten().flatten();
        let mut names: Vec<String> = entries.filter_map(|entry| entry.file_name().into_string().ok()).collect();
        names.sort();
        names
    };
    let json = |name: &String| name.ends_with(".json") && !name.starts_with('.');
    let mut paths: Vec<String> = names("").into_iter().filter(json).collect();
    for measured in names("out").into_iter().take(MOST) {
        let below = format!("out/{measured}");
        paths.extend(names(&below).into_iter().filter(json).map(|name| format!("{below}/{name}")));
    }
    paths.truncate(MOST);
    paths
}

/// Writes all artifacts into `folder`, or none of them; gives their paths.
///
/// # Errors
/// [`Failure::File`] or [`Failure::InTheWay`]; the folder is then as it was.
pub fn write_all(folder: &Path, artifacts: &[Artifact], force: bool) -> Result<Vec<PathBuf>, Failure> {
    let _held = interrupt::hold();
    let missing = missing(folder);
    let result = create_folder(folder).and_then(|()| stage_and_rename(folder, artifacts, force));
    if result.is_err() {
        remove_empty(&missing);
    }
    result
}

/// Puts `bytes` in the place of a file of the user's that was read before, or a new one there: written beside, then
/// renamed, so that the old one is whole until the new one is.
///
/// # Errors
/// [`Failure::File`]; the file is then as it was.
pub fn replace(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let _held = interrupt::hold();
    let fail = |cause| Failure::File { path: path.into(), doing: "write", cause };
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = path.file_name().and_then(|n| n.to_str());
    let name = name.ok_or_else(|| fail(io::Error::new(io::ErrorKind::InvalidInput, "a name that is no text")))?;
    let mut staged = Staged::default();
    staged.write(folder, name, bytes).map_err(fail)?;
    staged.rename().map_err(|(_, cause)| fail(cause))
}

/// Waits until no other run of the program works on `file`, as long as the answer is held: for what is read, changed
/// and written again. A disk that knows no locks gives none.
pub fn alone(file: &Path) -> Option<fs::File> {
    let file = fs::File::open(file).ok()?;
    file.lock().is_ok().then_some(file)
}

/// Where a path leads, so that two that lead to one place are equal: without links as far as it exists, and without
/// capitals, since on some disks they make no difference.
pub fn place(path: &Path) -> PathBuf {
    let real = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    real.into_os_string().to_ascii_lowercase().into()
}

/// The path of `file` as a file in `folder` refers to it: relative if both can be found, else as it is.
pub fn path_from(folder: &Path, file: &Path) -> String {
    let (Ok(from), Ok(to)) = (fs::canonicalize(folder), fs::canonicalize(file)) else {
        return fs::canonicalize(file).unwrap_or_else(|_| file.to_path_buf()).to_string_lossy().into_owned();
    };
    let (from, to): (Vec<_>, Vec<_>) = (from.components().collect(), to.components().collect());
    let same = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    let up = from[same..].iter().map(|_| "..".into());
    let down = to[same..].iter().map(|c| c.as_os_str().to_string_lossy().into_owned());
    up.chain(down).collect::<Vec<String>>().join("/")
}

/// `folder` and the folders around it, as far as they do not exist; the outermost first.
pub fn missing(folder: &Path) -> Vec<PathBuf> {
    let around = folder.ancestors().take_while(|p| !p.as_os_str().is_empty() && !p.exists());
    let mut missing: Vec<PathBuf> = around.map(Path::to_path_buf).collect();
    missing.reverse();
    missing
}

/// Removes those of `folders`, the innermost last, that are empty; one that cannot be removed does no harm.
pub fn remove_empty(folders: &[PathBuf]) {
    for path in folders.iter().rev() {
        let _ = fs::remove_dir(path);
    }
}

/// Whether [`write_all`] without force would put a new `name` into `folder`; asked early, where a user is about to do
/// much for it.
///
/// # Errors
/// [`Failure::InTheWay`] or [`Failure::File`].
pub fn may_write(folder: &Path, name: &str) -> Result<(), Failure> {
    let (path, record_path) = (folder.join(name), folder.join(RECORD));
    if !path.exists() {
        return Ok(());
    }
    let fail = |path: &Path, cause| Failure::File { path: path.into(), doing: "read", cause };
    let record = Record::read(&record_path).map_err(|e| fail(&record_path, e))?;
    let there = read_limited(&path).map_err(|e| fail(&path, e))?;
    if record.knows(name, &there) {
        return Ok(());
    }
    Err(Failure::InTheWay { path, what: FOREIGN })
}

/// What a file is that no record knows.
const FOREIGN: &str = "stopwright did not make it, or it has been edited since. Use --force to replace it";

/// Creates `folder` and those around it.
fn create_folder(folder: &Path) -> Result<(), Failure> {
    let mut created = fs::create_dir_all(folder);
    for _ in 0..100 {
        // A job that failed may have removed a folder around this one just now, as it was empty.
        if !matches!(&created, Err(e) if e.kind() == io::ErrorKind::NotFound) {
            break;
        }
        created = fs::create_dir_all(folder);
    }
    created.map_err(|cause| match folder.exists() {
        true => Failure::InTheWay { path: folder.into(), what: "it is a file and a folder is needed" },
        false => Failure::File { path: folder.into(), doing: "write", cause },
    })
}

fn stage_and_rename(folder: &Path, artifacts: &[Artifact], force: bool) -> Result<Vec<PathBuf>, Failure> {
    let fail = |path: &Path| {
        let path = path.to_path_buf();
        move |cause| Failure::File { path, doing: "write", cause }
    };
    let record_path = folder.join(RECORD);
    let mut record = Record::read(&record_path).map_err(fail(&record_path))?;
    for artifact in artifacts {
        let path = folder.join(&artifact.name);
        if path.is_dir() {
            return Err(Failure::InTheWay { path, what: "it is a folder" });
        }
        if force || !path.exists() {
            continue;
        }
        let there = fs::read(&path).map_err(fail(&path))?;
        if !record.knows(&artifact.name, &there) && there != artifact.bytes {
            return Err(Failure::InTheWay { path, what: FOREIGN });
        }
    }
    remove_abandoned(folder);
    let mut staged = Staged::default();
    for artifact in artifacts {
        staged.write(folder, &artifact.name, &artifact.bytes).map_err(fail(&folder.join(&artifact.name)))?;
        record.add(&artifact.name, &artifact.bytes);
    }
    // The record goes first and still knows the old contents, so that a crash between two renames leaves nothing that
    // a later run would take for somebody else's file.
    staged.write(folder, RECORD, record.text().as_bytes()).map_err(fail(&record_path))?;
    staged.files.rotate_right(1);
    staged.rename().map_err(|(path, cause)| Failure::File { path, doing: "write", cause })?;
    remove_surplus(folder, artifacts, &record);
    Ok(artifacts.iter().map(|a| folder.join(&a.name)).collect())
}

/// Removes the pages of an earlier, longer set, such as `cutsheet-09.svg` where there are eight now; only those that
/// the program wrote and nobody changed since. One that cannot be removed does no harm. A set has a first page: the
/// angle in a side view's name numbers nothing.
fn remove_surplus(folder: &Path, artifacts: &[Artifact], record: &Record) {
    let pages = artifacts.iter().filter_map(|a| page_of_set(&a.name));
    let sets: Vec<(&str, &str)> = pages.filter(|(_, number, _)| *number == "01").map(|(a, _, b)| (a, b)).collect();
    let surplus = |name: &&String| {
        let of_set = page_of_set(name).is_some_and(|(before, _, after)| sets.contains(&(before, after)));
        artifacts.iter().all(|a| a.name != **name) && of_set
    };
    for name in record.sums.keys().filter(surplus) {
        let path = folder.join(name);
        if fs::read(&path).is_ok_and(|bytes| record.knows(name, &bytes)) {
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

/// Removes the files that a killed run left half-way: those of our form that no process holds a lock on. Where locks
/// cannot be had, they stay, and do no harm.
fn remove_abandoned(folder: &Path) {
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let ours = entry.file_name().to_str().is_some_and(is_part) && entry.file_type().is_ok_and(|t| t.is_file());
        let free = |file: fs::File| file.try_lock().is_ok();
        if ours && fs::OpenOptions::new().write(true).open(entry.path()).is_ok_and(free) {
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Whether a name has the form `.NAME.PROCESS.part`.
fn is_part(name: &str) -> bool {
    let rest = name.strip_prefix('.').and_then(|rest| rest.strip_suffix(".part"));
    let parts = rest.and_then(|rest| rest.rsplit_once('.'));
    parts.is_some_and(|(name, process)| !name.is_empty() && process.parse::<u32>().is_ok())
}

/// Files written beside their place, and locked until they are renamed; what is not renamed is removed again.
#[derive(Default)]
struct Staged {
    files: Vec<Part>,
}

struct Part {
    from: PathBuf,
    to: PathBuf,
    /// Holds the lock.
    _file: fs::File,
}

impl Staged {
    fn write(&mut self, folder: &Path, name: &str, bytes: &[u8]) -> io::Result<()> {
        let from = folder.join(format!(".{name}.{}.part", std::process::id()));
        let mut file = fs::File::create(&from)?;
        // A disk that knows no locks takes files all the same.
        let _ = file.try_lock();
        let written = file.write_all(bytes).and_then(|()| file.sync_data());
        self.files.push(Part { from, to: folder.join(name), _file: file });
        written
    }

    fn rename(&mut self) -> Result<(), (PathBuf, io::Error)> {
        while let Some(Part { from, to, .. }) = self.files.first() {
            fs::rename(from, to).map_err(|e| (to.clone(), e))?;
            self.files.remove(0);
        }
        Ok(())
    }
}

impl Drop for Staged {
    fn drop(&mut self) {
        for part in &self.files {
            let _ = fs::remove_file(&part.from);
        }
    }
}

/// SHA-256 of the files written into a folder: the latest two of each name.
#[derive(Default)]
struct Record {
    sums: BTreeMap<String, Vec<String>>,
}

impl Record {
    fn read(path: &Path) -> io::Result<Self> {
        let text = match fs::read_to_string(path) {
            Ok(text) => text,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(Self::default()),
            Err(e) => return Err(e),
        };
        let mut record = Self::default();
        for (sum, name) in text.lines().filter_map(|line| line.split_once("  ")) {
            record.sums.entry(name.to_string()).or_default().push(sum.to_string());
        }
        Ok(record)
    }

    fn knows(&self, name: &str, bytes: &[u8]) -> bool {
        self.sums.get(name).is_some_and(|sums| sums.contains(&sum(bytes)))
    }

    fn add(&mut self, name: &str, bytes: &[u8]) {
        let sums = self.sums.entry(name.to_string()).or_default();
        let new = sum(bytes);
        sums.retain(|s| *s != new);
        sums.push(new);
        let surplus = sums.len().saturating_sub(2);
        sums.drain(..surplus);
    }

    fn text(&self) -> String {
        let line = |name: &String, s: &String| format!("{s}  {name}\n");
        self.sums.iter().flat_map(|(name, sums)| sums.iter().map(move |s| line(name, s))).collect()
    }
}

fn sum(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}
