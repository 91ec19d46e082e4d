//! One run at a time: who works on a folder or a log holds a lock on a file beside it, in which it says who it is.
//!
//! The file goes when the lock does. Who has waited for it looks whether it still is the one at its place: another run
//! may have removed it, and a third have put its own there. A run that was killed leaves the file and no lock.

use std::ffi::{OsStr, OsString};
use std::fs::{File, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::Path;
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use time::OffsetDateTime;

use super::folder::Folder;
use crate::cli::failure::Failure;
use crate::cli::interrupt::{self, Hold};
use crate::cli::tell_at_once;

/// After this it is said who is waited for.
const PATIENT: Duration = Duration::from_secs(1);
/// After this it is given up.
const LONGEST: Duration = Duration::from_secs(60);
/// How often is looked.
const LOOK: Duration = Duration::from_millis(10);

/// A lock that is held until it is dropped; interrupts wait as long, so that its file goes.
#[derive(Debug)]
pub struct Lock {
    folder: Arc<Folder>,
    name: OsString,
    file: File,
    _held: Hold,
}

/// Why there is no lock.
#[derive(Debug)]
pub(super) enum NoLock {
    /// The system refuses its file.
    File(io::Error),
    /// Another run holds it, and has for long; or an interrupt came.
    Held(Failure),
}

/// What became of one try.
enum Try {
    Taken(File),
    /// The file there is not the one that was locked.
    Gone,
    Held(File),
}

impl Lock {
    /// Takes the lock whose file is `name` in `folder`, for work on `what`; waits for who holds it, and says so after a
    /// while. A disk that knows no locks gives one that holds nobody off.
    pub(super) fn take(folder: &Arc<Folder>, name: &OsStr, what: &Path) -> Result<Self, NoLock> {
        Self::taken_within(folder, name, what, LONGEST)
    }

    fn taken_within(folder: &Arc<Folder>, name: &OsStr, what: &Path, longest: Duration) -> Result<Self, NoLock> {
        let (held, start) = (interrupt::hold(), Instant::now());
        let mut is_said = false;
        loop {
            match Self::try_once(folder, name).map_err(NoLock::File)? {
                Try::Taken(file) => {
                    let lock = Self { folder: Arc::clone(folder), name: name.into(), file, _held: held };
                    lock.sign();
                    return Ok(lock);
                }
                Try::Gone => {}
                Try::Held(file) => {
                    interrupt::check().map_err(NoLock::Held)?;
                    let waited = start.elapsed();
                    if waited >= longest {
                        return Err(NoLock::Held(Failure::Busy {
                            path: what.into(),
                            holder: holder(file),
                            seconds: longest.as_secs(),
                        }));
                    }
                    if waited >= PATIENT && !is_said {
                        is_said = true;
                        tell_at_once(&format!("Waiting for {}, which writes {}.\n", holder(file), what.display()));
                    }
                    thread::sleep(LOOK);
                }
            }
        }
    }

    fn try_once(folder: &Folder, name: &OsStr) -> io::Result<Try> {
        let file = folder.read_or_make(name)?;
        match file.try_lock() {
            Err(TryLockError::WouldBlock) => return Ok(Try::Held(file)),
            // A disk that knows no locks: everybody goes on.
            Err(TryLockError::Error(_)) | Ok(()) => {}
        }
        if !folder.is_at(&file, name) {
            return Ok(Try::Gone);
        }
        Ok(Try::Taken(file))
    }

    /// Writes down who holds it, only for whom it keeps waiting: where that cannot be written, on a full disk, the lock
    /// holds all the same.
    fn sign(&self) {
        let now = OffsetDateTime::now_local().unwrap_or_else(|_| OffsetDateTime::now_utc());
        let (hour, minute, second) = now.time().as_hms();
        let word = format!("process {}, since {hour:02}:{minute:02}:{second:02}", std::process::id());
        let _ = self.file.set_len(0).and_then(|()| (&self.file).write_all(word.as_bytes()));
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // While the lock still holds: after it, the file may be another's.
        let _ = self.folder.remove(&self.name);
    }
}

/// Who holds a lock, as its file says.
fn holder(mut file: File) -> String {
    let mut word = String::new();
    let read = file.rewind().and_then(|()| file.take(80).read_to_string(&mut word));
    let is_word = read.is_ok() && word.starts_with("process ") && !word.contains(char::is_control);
    if is_word { format!("another run of stopwright ({word})") } else { "another run of stopwright".into() }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::*;

    const NAME: &str = ".lock";

    fn taken(folder: &Path) -> Result<Lock, NoLock> {
        let open = Arc::new(Folder::open(folder).expect("a folder"));
        Lock::take(&open, OsStr::new(NAME), folder)
    }

    #[test]
    fn who_waits_too_long_is_told_for_whom() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join(NAME);
        let held = taken(folder.path()).expect("free");
        let open = Arc::new(Folder::open(folder.path()).expect("a folder"));
        let soon = Duration::from_millis(30);
        let Err(NoLock::Held(failure)) = Lock::taken_within(&open, OsStr::new(NAME), folder.path(), soon) else {
            panic!("it is held");
        };
        assert_eq!(failure.exit_code(), 2);
        let who = format!("another run of stopwright (process {}, since ", std::process::id());
        assert!(failure.told().contains(&who), "{}", failure.told());
        drop(held);
        assert!(!path.exists());
        drop(taken(folder.path()).expect("free again"));
        // What a killed run left holds nobody off.
        fs::write(&path, "process 1, since 00:00:00").expect("written");
        drop(taken(folder.path()).expect("no one holds it"));
    }

    #[test]
    fn a_link_in_its_place_is_not_followed() {
        let folder = tempfile::tempdir().expect("a folder");
        let (path, other) = (folder.path().join(NAME), folder.path().join("other"));
        fs::write(&other, "mine").expect("written");
        #[cfg(unix)]
        std::os::unix::fs::symlink(&other, &path).expect("a link");
        assert!(matches!(taken(folder.path()), Err(NoLock::File(_))));
        assert_eq!(fs::read_to_string(other).expect("still there"), "mine");
    }

    /// Threads that each hold it for a moment: never two at once, although the file comes and goes.
    #[test]
    fn only_one_holds_it_at_a_time() {
        use std::sync::atomic::{AtomicUsize, Ordering::SeqCst};
        let folder = tempfile::tempdir().expect("a folder");
        let (inside, most) = (AtomicUsize::new(0), AtomicUsize::new(0));
        thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    for _ in 0..40 {
                        let _lock = taken(folder.path()).expect("in time");
                        most.fetch_max(inside.fetch_add(1, SeqCst) + 1, SeqCst);
                        thread::yield_now();
                        inside.fetch_sub(1, SeqCst);
                    }
                });
            }
        });
        assert_eq!(most.into_inner(), 1);
    }
}
