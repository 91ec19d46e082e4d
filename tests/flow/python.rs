//! Libraries of Python that judge what the program makes.
//!
//! They live in a virtual environment of their own, made anew whenever the pinned versions change.

use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use super::support::home;

/// Lets `run.py` of a folder of `tests` judge the program, with the libraries that its `requirements.txt` pins.
pub fn judge(folder: &str, objection: &str) {
    // One run at a time, in whatever process: they share the environment.
    let lock =
        File::create(Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{folder}.lock"))).expect("a lock file");
    lock.lock().expect("the lock");
    let folder = home().join("tests").join(folder);
    let python = environment(&folder);
    let judged = run(Command::new(&python).arg("-B").arg(folder.join("run.py")).arg(env!("CARGO_BIN_EXE_stopwright")));
    assert!(judged.status.success(), "{objection}:\n{}", said(&judged));
}

/// The interpreter of an environment that holds the pinned libraries.
fn environment(folder: &Path) -> PathBuf {
    let wanted = fs::read_to_string(folder.join("requirements.txt")).expect("the pinned versions");
    let home = folder.join(".venv");
    let stamp = home.join("requirements.txt");
    let python = home.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
    let is_whole = fs::read_to_string(&stamp).is_ok_and(|installed| installed == wanted) && works(&python);
    if !is_whole {
        succeed(Command::new(system_python()).args(["-m", "venv", "--clear"]).arg(&home));
        succeed(
            Command::new(&python)
                .args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r"])
                .arg(folder.join("requirements.txt")),
        );
        // Last, so that an environment left half-made is made anew.
        fs::write(&stamp, wanted).expect("a stamp of what was installed");
    }
    python
}

/// Python 3 as the system has it.
fn system_python() -> &'static str {
    let found = ["python3", "python"].into_iter().find(|name| works(Path::new(name)));
    found.expect("Python 3 is not installed")
}

/// Whether this is an interpreter of Python 3 that runs.
fn works(python: &Path) -> bool {
    let version = Command::new(python).args(["-c", "import sys; sys.exit(sys.version_info.major != 3)"]).output();
    version.is_ok_and(|output| output.status.success())
}

/// Runs a command that must succeed.
fn succeed(command: &mut Command) {
    let output = run(command);
    assert!(output.status.success(), "{command:?} failed:\n{}", said(&output));
}

/// Runs a command to its end.
fn run(command: &mut Command) -> Output {
    command.output().unwrap_or_else(|cause| panic!("{command:?} cannot be run: {cause}"))
}

/// All that a command said.
fn said(output: &Output) -> String {
    format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr))
}
