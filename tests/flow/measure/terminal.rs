//! The questions through a pseudo-terminal.

use super::super::support::terminal::{ctrl_c_leaves_nothing, spawn, type_line};
use super::*;

#[test]
fn a_whole_guide_is_measured_at_a_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = spawn(folder.path(), &["measure"]);
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
fn an_interrupt_leaves_nothing_at_any_question() {
    ctrl_c_leaves_nothing(&["measure"], MM);
}

#[test]
fn the_end_of_typing_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut session = spawn(folder.path(), &["measure"]);
    type_line(&mut session, "own-guide");
    session.exp_string("> ").unwrap();
    session.send_control('d').unwrap();
    let rest = session.exp_eof().unwrap();
    assert!(rest.contains("the answers end here"), "{rest}");
    assert!(empty(folder.path()));
}
