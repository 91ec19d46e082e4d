//! A disk whose steps fail and whose power is cut: after every step, every set of names that may have reached the disk by
//! then is looked at.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use super::*;

type Inode = usize;

/// What a file holds as long as the power is on, and whether that was forced to the disk.
#[derive(Debug, Clone)]
struct Held {
    bytes: Vec<u8>,
    forced: bool,
}

/// A change of a name that may or may not have reached the disk.
#[derive(Debug, Clone)]
enum Change {
    Name(PathBuf, Inode),
    Remove(PathBuf),
    Rename(PathBuf, PathBuf),
}

#[derive(Debug, Clone, Default)]
struct Power {
    contents: Vec<Held>,
    names: BTreeMap<PathBuf, Inode>,
    /// Names that have surely reached the disk, and the changes since.
    forced: BTreeMap<PathBuf, Inode>,
    changes: Vec<Change>,
    steps: usize,
    /// The steps that fail, from one of them on or a single one.
    fails: Option<(usize, usize)>,
    /// What was seen after each step.
    seen: Vec<Vec<BTreeMap<PathBuf, Option<Vec<u8>>>>>,
}

impl Power {
    fn with(files: &[(&str, &[u8])]) -> Self {
        let mut disk = Self::default();
        for (name, bytes) in files {
            disk.contents.push(Held { bytes: bytes.to_vec(), forced: true });
            disk.names.insert(name.into(), disk.contents.len() - 1);
        }
        disk.forced = disk.names.clone();
        disk
    }

    fn apply(names: &mut BTreeMap<PathBuf, Inode>, change: &Change) {
        match change {
            Change::Name(path, inode) => _ = names.insert(path.clone(), *inode),
            Change::Remove(path) => _ = names.remove(path),
            Change::Rename(from, to) => {
                if let Some(inode) = names.remove(from) {
                    names.insert(to.clone(), inode);
                }
            }
        }
    }

    fn change(&mut self, change: Change) {
        Self::apply(&mut self.names, &change);
        self.changes.push(change);
    }

    fn step(&mut self) -> io::Result<()> {
        self.steps += 1;
        match self.fails {
            Some((first, last)) if (first..=last).contains(&self.steps) => Err(io::Error::other("made to fail")),
            _ => Ok(()),
        }
    }

    /// What may stand on the disk if the power went now; `None` is a file that is not whole.
    fn after_a_cut(&self) -> Vec<BTreeMap<PathBuf, Option<Vec<u8>>>> {
        let count = self.changes.len();
        (0..1_usize << count)
            .map(|set| {
                let mut names = self.forced.clone();
                for (_, change) in self.changes.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1) {
                    Self::apply(&mut names, change);
                }
                let whole = |inode: Inode| self.contents[inode].forced.then(|| self.contents[inode].bytes.clone());
                names.into_iter().map(|(path, inode)| (path, whole(inode))).collect()
            })
            .collect()
    }

    fn look(&mut self) {
        let now = self.after_a_cut();
        self.seen.push(now);
    }

    fn there(&self) -> BTreeMap<PathBuf, Vec<u8>> {
        self.names.iter().map(|(path, inode)| (path.clone(), self.contents[*inode].bytes.clone())).collect()
    }
}

impl Filing for Power {
    type Part = PathBuf;

    fn write(&mut self, name: &OsStr, content: Content<'_>) -> io::Result<PathBuf> {
        self.step()?;
        let Content::Bytes(bytes) = content else { return Err(io::Error::other("only bytes are written here")) };
        let part = Path::new(name).with_extension(format!("{}.part", self.steps));
        self.contents.push(Held { bytes: bytes.to_vec(), forced: false });
        let inode = self.contents.len() - 1;
        self.change(Change::Name(part.clone(), inode));
        self.look();
        Ok(part)
    }

    fn settle(&mut self, parts: &[PathBuf]) -> Result<(), (usize, io::Error)> {
        for (i, part) in parts.iter().enumerate() {
            self.step().map_err(|cause| (i, cause))?;
            self.contents[self.names[part]].forced = true;
            self.look();
        }
        Ok(())
    }

    fn keep(&mut self, name: &OsStr) -> io::Result<Option<PathBuf>> {
        self.step()?;
        let Some(inode) = self.names.get(Path::new(name)).copied() else { return Ok(None) };
        let kept = Path::new(name).with_extension(format!("{}.part", self.steps));
        self.change(Change::Name(kept.clone(), inode));
        Ok(Some(kept))
    }

    fn stay(&mut self) -> io::Result<()> {
        self.step()
    }

    fn put(&mut self, part: PathBuf, name: &OsStr) -> io::Result<()> {
        self.step()?;
        self.change(Change::Rename(part, name.into()));
        self.look();
        Ok(())
    }

    fn put_back(&mut self, kept: PathBuf, name: &OsStr) -> Result<(), OsString> {
        self.put(kept.clone(), name).map_err(|_| kept.into())
    }

    fn remove(&mut self, name: &OsStr) -> io::Result<()> {
        self.step()?;
        self.change(Change::Remove(name.into()));
        Ok(())
    }

    fn force(&mut self) -> io::Result<()> {
        self.step()?;
        self.forced = self.names.clone();
        self.changes.clear();
        self.look();
        Ok(())
    }
}

const OLD: [(&str, &[u8]); 3] = [(".record", b"old record"), ("block.stl", b"old block"), ("sheet.pdf", b"old sheet")];
const NEW: [(&str, &[u8]); 4] = [
    (".record", b"record of old and new"),
    ("block.stl", b"new block"),
    ("sheet.pdf", b"new sheet"),
    ("more.svg", b"more"),
];

fn new() -> Vec<New<'static>> {
    NEW.map(|(name, bytes)| New { name: OsStr::new(name), content: Content::Bytes(bytes) }).into()
}

/// Whatever reaches the disk when the power goes: each file is wholly the old or wholly the new one, no file is new
/// beside an old record, and once success is said all of them are new.
#[test]
fn a_power_cut_at_any_moment_tears_nothing() {
    let mut disk = Power::with(&OLD);
    exchange(&mut disk, new()).expect("nothing fails");
    assert!(disk.seen.len() > 8);
    for after in disk.seen.iter().flatten() {
        for (path, new) in NEW {
            let there = after.get(Path::new(path));
            let old = OLD.iter().find(|(of, _)| *of == path).map(|(_, bytes)| bytes.to_vec());
            let whole = [old.map(Some), Some(Some(new.to_vec()))];
            assert!(whole.contains(&there.cloned()), "{path}: {there:?}");
            let record_is_new = after[Path::new(NEW[0].0)] == Some(NEW[0].1.to_vec());
            assert!(record_is_new || there != Some(&Some(new.to_vec())), "{path} is new and the record is not");
        }
    }
    for after in disk.after_a_cut() {
        assert!(NEW.iter().all(|(path, bytes)| after[Path::new(path)].as_deref() == Some(*bytes)), "{after:?}");
    }
}

/// On the disk itself: a place that became a folder takes nothing back, and the old file is found where it is said to be.
#[test]
fn what_cannot_be_put_back_is_not_lost() {
    let folder = tempfile::tempdir().expect("a folder");
    let (name, path) = (OsStr::new("block.stl"), folder.path().join("block.stl"));
    let mut disk = Real(Arc::new(Folder::open(folder.path()).expect("a folder")));
    fs::write(&path, "old").expect("written");
    for _ in 0..2 {
        let kept = disk.keep(name).expect("kept").expect("something to keep");
        fs::remove_file(&path).expect("removed");
        fs::create_dir(&path).expect("a folder in its place");
        let beside = folder.path().join(disk.put_back(kept, name).expect_err("a folder is there"));
        assert_eq!(fs::read_to_string(&beside).expect("still there"), "old");
        assert!(folder.path().join("block.stl.before").exists());
        // Once more, with that name taken.
        fs::remove_dir(&path).expect("removed");
        fs::copy(&beside, &path).expect("copied");
    }
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 3);
}

/// Each step fails once, and once with all that follow: either everything is as it was, or what is not is named.
#[test]
fn what_fails_is_put_back_or_named() {
    let steps = {
        let mut disk = Power::with(&OLD);
        exchange(&mut disk, new()).expect("nothing fails");
        disk.steps
    };
    let old: BTreeMap<PathBuf, Vec<u8>> = OLD.iter().map(|(path, bytes)| (path.into(), bytes.to_vec())).collect();
    let mut stuck = 0;
    for first in 1..=steps {
        for last in [first, usize::MAX] {
            let mut disk = Power { fails: Some((first, last)), ..Power::with(&OLD) };
            let failed = exchange(&mut disk, new()).expect_err("a step failed");
            let there = disk.there();
            let is_old = |path: &str| there.get(Path::new(path)) == old.get(Path::new(path));
            for (path, _) in NEW {
                let stuck = failed.stuck.iter().find(|stuck| stuck.name == path);
                assert_eq!(is_old(path), stuck.is_none(), "step {first} to {last}: {path}");
                // What was there is still there, where the failure says.
                let kept = stuck.and_then(|stuck| stuck.old.as_ref()).map(|at| &there[Path::new(at)]);
                assert!(stuck.is_none() || kept == old.get(Path::new(path)), "step {first} to {last}: {path}");
            }
            stuck += failed.stuck.len();
            assert!(last == usize::MAX || failed.stuck.is_empty());
        }
    }
    assert!(stuck > 0, "nothing ever was stuck");
}
