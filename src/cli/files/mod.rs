//! The only place that touches the disk.
//!
//! Reading is here; `write` puts new files in their places, all or none, by way of `exchange`. A `record` in each
//! folder knows what the program wrote there, so that what is not in it, or was changed since, is not replaced unless
//! forced; a `lock` lets one run at a time into a folder, which is held open as a `folder`. `alone` is for a file that is
//! read first and then replaced, `early` for large ones that do not wait for the others. `handles` counts what is open.

mod alone;
mod early;
mod exchange;
mod existing;
mod folder;
mod handles;
pub mod lock;
mod record;
mod write;

pub use alone::Alone;
pub use early::Early;
pub(super) use handles::open_many;
pub use write::{is_name, may_write, write_all, write_all_when, write_file};

use std::fs;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering::Relaxed;

use folder::Folder;

use super::failure::Failure;
use stopwright::guide::named::Sources;
use stopwright::input::document::LARGEST_FILE;
use stopwright::input::fault::Faults;
use stopwright::input::nearest::nearest;

/// The folder that a file is in.
pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

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

/// Forces the names in a folder to the disk, where it can be opened and the system can.
fn force_names(folder: &Path) -> io::Result<()> {
    Folder::open(folder).map_or(Ok(()), |folder| folder.force())
}

/// Removes those of `folders`, the innermost last, that are empty; one that cannot be removed does no harm.
pub fn remove_empty(folders: &[PathBuf]) {
    for path in folders.iter().rev() {
        let _ = fs::remove_dir(path);
    }
}
