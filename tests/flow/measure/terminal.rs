//! The questions through a pseudo-terminal.

use std::process::Command;

use rexpect::session::{PtySession, spawn_command};

use super::*;

fn spawn(folder: &Path) -> PtySession {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stopwright"));
    command.current_dir(folder).arg("measure");
    spawn_command(command, Some(20_000)).unwrap()
}

/// Waits for the cursor and types.
fn type_line(session: &mut PtySession, line: &str) -> String {
    let before = session.exp_string("> ").unwrap_or_else(|e| panic!("before {line:?}: {e}"));
    session.send_line(line).unwrap();
    before
}

#[test]
fn a_whole_guide_is_measured_at_a_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = spawn(folder.path());
    let mut asked = String::new();
    for line in MM[..4].iter().chain(&["far too long"]).chain(&MM[4..]) {
        asked += &type_line(&mut session, line);
    }
    let rest = session.exp_eof().unwrap();
    assert!(asked.contains("Jaws across the roller") && asked.contains("\"far too long\""), "{asked}");
    assert!(rest.contains("own-guide-side-iron.svg"), "{rest}");
    let status = format!("{:?}", session.process().wait().unwrap());
    assert!(status.contains("Exited") && status.ends_with(" 0)"), "{status}");
    assert_eq!(guide_in(&folder.path().join("out/own-guide/own-guide.json")).name, "own-guide");
}

#[test]
fn ctrl_c_leaves_nothing_at_any_question() {
    for answered in [0, 5, MM.len() - 1] {
        let folder = tempfile::tempdir().unwrap();
        let mut session = spawn(folder.path());
        for line in &MM[..answered] {
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

#[test]
fn the_end_of_typing_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = spawn(folder.path());
    type_line(&mut session, "own-guide");
    session.exp_string("> ").unwrap();
    session.send_control('d').unwrap();
    let rest = session.exp_eof().unwrap();
    assert!(rest.contains("the answers end here"), "{rest}");
    assert!(empty(folder.path()));
}
