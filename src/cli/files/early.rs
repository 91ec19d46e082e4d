//! Large files that go to the disk as they are made, so that they need not be held until the last is made: without a
//! name, so that nothing is left of them where a run ends before that.
//!
//! What cannot be written so, as on a full disk, on a system without such files or where too many are open, stays in
//! memory and is written at the end, when it is also said why it cannot be.

use std::collections::HashMap;
use std::fs::File;
use std::io::{self, Write};
use std::path::Path;
use std::sync::mpsc::{self, Sender};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, JoinHandle};

use super::existing;
use super::folder::Folder;
use super::handles::{Handle, Room};
use stopwright::format::Artifact;

/// Smaller files stay in memory, bytes.
const LEAST: usize = 1 << 15;

/// A file on the disk that has no name yet.
#[derive(Debug)]
pub(super) struct Unnamed {
    pub file: Handle,
    /// Its SHA-256.
    pub sum: String,
}

/// The files of one run that are on the disk already, by the names that they will have.
#[derive(Debug, Default)]
pub struct Early {
    /// A folder on the disk where they will be; `None` where nothing is written early.
    folder: Option<Folder>,
    files: Mutex<HashMap<String, Unnamed>>,
    /// Who forces files to the disk while others are made.
    forcing: Mutex<Option<Forcing>>,
}

/// A thread that forces files to the disk, and the way to it.
#[derive(Debug)]
struct Forcing {
    files: Sender<Handle>,
    hand: JoinHandle<io::Result<()>>,
}

impl Early {
    /// For files that will be in `folder`, which need not be there yet.
    pub fn of(folder: &Path) -> Self {
        let there = folder.ancestors().find_map(|folder| Folder::open(folder).ok());
        Self { folder: there, ..Self::default() }
    }

    /// Writes a file that is large and takes its bytes away.
    pub fn take(&self, artifact: &mut Artifact) {
        let Some(folder) = self.folder.as_ref().filter(|_| artifact.bytes.len() >= LEAST) else { return };
        let Some(room) = Room::for_one() else { return };
        let Ok(file) = written(folder, &artifact.bytes) else { return };
        let file = Arc::new((file, room));
        self.force(&file);
        let sum = existing::sum(&artifact.bytes);
        artifact.bytes = Vec::new();
        let mut files = self.files.lock().unwrap_or_else(PoisonError::into_inner);
        files.insert(artifact.name.clone(), Unnamed { file, sum });
    }

    /// The files, by their names.
    ///
    /// # Errors
    /// Where one could not be forced to the disk: the system says that once, and not again to who asks at the end.
    pub(super) fn into_files(self) -> io::Result<HashMap<String, Unnamed>> {
        if let Some(Forcing { files, hand }) = self.forcing.into_inner().unwrap_or_else(PoisonError::into_inner) {
            drop(files);
            hand.join().unwrap_or_else(|_| Err(io::Error::other("forcing files to the disk ended early")))?;
        }
        Ok(self.files.into_inner().unwrap_or_else(PoisonError::into_inner))
    }

    /// Begins to force a file to the disk; where the system gives no thread that is left for the end.
    fn force(&self, file: &Handle) {
        let mut forcing = self.forcing.lock().unwrap_or_else(PoisonError::into_inner);
        if forcing.is_none() {
            let (files, to_force) = mpsc::channel::<Handle>();
            let force = move || to_force.into_iter().try_for_each(|file| file.0.sync_data());
            *forcing = thread::Builder::new().spawn(force).ok().map(|hand| Forcing { files, hand });
        }
        if let Some(Forcing { files, .. }) = &*forcing {
            let _ = files.send(Arc::clone(file));
        }
    }
}

fn written(folder: &Folder, bytes: &[u8]) -> io::Result<File> {
    let mut file = folder.unnamed()?;
    file.write_all(bytes)?;
    Ok(file)
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::PathBuf;

    use super::super::write::write_all_when;
    use super::*;

    fn artifact(name: &str, size: usize) -> Artifact {
        Artifact { name: name.into(), what: "one".into(), bytes: (0..size).map(|i| i as u8).collect() }
    }

    /// Whether the system has files without a name here.
    fn has_unnamed(at: &Path) -> bool {
        Folder::open(at).is_ok_and(|folder| folder.unnamed().is_ok())
    }

    /// Writes a large and a small file by way of `early`, and looks at what comes of it.
    fn assert_written(early: Early, folder: &Path) {
        let whole = [artifact("large", LEAST + 1), artifact("small", 9)];
        let mut left = whole.clone();
        left.iter_mut().for_each(|artifact| early.take(artifact));
        assert_eq!(left[1], whole[1]);
        let names = || fs::read_dir(folder).map_or(0, Iterator::count);
        assert_eq!(names(), 0, "nothing has a name yet");
        let paths = write_all_when(folder, &left, early, false, || Ok(())).expect("written");
        assert_eq!(paths, ["large", "small"].map(|name| folder.join(name)).to_vec() as Vec<PathBuf>);
        assert!(whole.iter().zip(&paths).all(|(whole, path)| fs::read(path).is_ok_and(|there| there == whole.bytes)));
        // With the record and no other.
        assert_eq!(names(), 3);
    }

    #[test]
    fn a_large_file_is_written_before_it_has_a_name() {
        let at = tempfile::tempdir().expect("a folder");
        let folder = at.path().join("not/there yet");
        let early = Early::of(&folder);
        let mut large = artifact("large", LEAST);
        early.take(&mut large);
        assert_eq!(large.bytes.is_empty(), has_unnamed(at.path()));
        assert_written(Early::of(&folder), &folder);
        // Nobody named it.
        drop(early);
        assert_eq!(fs::read_dir(&folder).expect("a folder").count(), 3);
    }

    /// A system tells it once that a file did not reach the disk, to whoever asks first.
    #[cfg(unix)]
    #[test]
    fn what_could_not_be_forced_is_told_at_the_end() {
        let early = Early::default();
        // A pipe cannot be forced.
        let (_, end) = io::pipe().expect("a pipe");
        early.force(&Arc::new((File::from(std::os::fd::OwnedFd::from(end)), Room::for_one().expect("room"))));
        assert!(early.into_files().is_err());
        assert!(Early::default().into_files().expect("nothing to force").is_empty());
    }

    #[test]
    fn what_cannot_be_written_early_stays_until_the_end() {
        let at = tempfile::tempdir().expect("a folder");
        assert_written(Early::default(), &at.path().join("one"));
        // What cannot be named, as on another disk, is copied: a file that had a name and lost it.
        let lost = at.path().join("lost");
        let mut file = fs::OpenOptions::new().read(true).write(true).create_new(true).open(&lost).expect("made");
        fs::remove_file(&lost).expect("removed");
        let whole = artifact("large", LEAST);
        file.write_all(&whole.bytes).expect("written");
        let early = Early::default();
        let file = Arc::new((file, Room::for_one().expect("room")));
        let unnamed = Unnamed { file, sum: existing::sum(&whole.bytes) };
        early.files.lock().expect("nobody else").insert(whole.name.clone(), unnamed);
        let paths =
            write_all_when(at.path(), &[Artifact { bytes: Vec::new(), ..whole.clone() }], early, false, || Ok(()));
        assert_eq!(fs::read(&paths.expect("written")[0]).expect("there"), whole.bytes);
    }
}
