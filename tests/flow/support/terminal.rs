//! The program at a pseudo-terminal.

use std::path::Path;

use rexpect::session::{PtySession, spawn_command};

use super::{empty, program};

/// Starts the program in `folder`.
pub fn spawn(folder: &Path, arguments: &[&str]) -> PtySession {
    let mut command = program();
    command.current_dir(folder).args(arguments);
    spawn_command(command, Some(20_000)).unwrap()
}

/// Waits for the cursor and types.
pub fn type_line(session: &mut PtySession, line: &str) -> String {
    let before = session.exp_string("> ").unwrap_or_else(|e| panic!("before {line:?}: {e}"));
    session.send_line(line).unwrap();
    before
}

/// Interrupts the program after none, some and nearly all of `answers`: it says that nothing was written, and so it is.
pub fn ctrl_c_leaves_nothing(arguments: &[&str], answers: &[&str]) {
    for answered in [0, 5, answers.len() - 1] {
        let folder = tempfile::tempdir().unwrap();
        let mut session = spawn(folder.path(), arguments);
        for line in &answers[..answered] {
            type_line(&mut session, line);
        }
        session.exp_string("> ").unwrap();
        session.send_control('c').unwrap();
        let rest = session.exp_eof().unwrap();
        assert!(rest.contains("interrupted: nothing was written"), "{rest}");
        let status = format!("{:?}", session.process().wait().unwrap());
        assert!(status.ends_with(" 130)"), "{status}");
        assert!(empty(folder.path()), "after {answered} answers");
    }
}
