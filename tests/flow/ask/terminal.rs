//! The questions through a pseudo-terminal.

use super::super::support::terminal::{ctrl_c_leaves_nothing, spawn, type_line};
use super::*;

/// Types all lines, with a detour at the `wrong`th: help, a wrong answer and a step back that Enter undoes. Gives all
/// that was said.
fn typed(folder: &Path, arguments: &[&str], lines: &[&str], wrong: usize) -> String {
    let mut session = spawn(folder, &[&["ask"], arguments].concat());
    let mut said = String::new();
    for (i, line) in lines.iter().enumerate() {
        if i == wrong {
            for detour in ["help", "no such answer!", "<", ""] {
                said += &type_line(&mut session, detour);
            }
        }
        said += &type_line(&mut session, line);
    }
    said += &session.exp_eof().unwrap();
    let status = format!("{:?}", session.process().wait().unwrap());
    assert!(status.contains("Exited") && status.ends_with(" 0)"), "{status}\n{said}");
    // The terminal's bytes come as one character each.
    said.replace("\r\n", "\n").replace('\u{c2}', "")
}

#[test]
fn each_kind_of_file_is_asked_for_at_a_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let measured = ["", "", "60", "47", "", "", "", "", "", "", ""];
    for (arguments, lines, wrong, file) in [
        (&["job"][..], JOB, 3, "two-blades.json"),
        (&["kit"][..], KIT, 3, "small-kit.json"),
        (&["settings"][..], SETTINGS, 4, "leaflet-guide-settings.json"),
        (&["measured", "two-blades.json"][..], &measured[..], 3, "two-blades-measured.json"),
    ] {
        let said = typed(folder.path(), arguments, lines, wrong);
        assert!(said.contains(&format!("{file} is written.\nNext: stopwright ")), "{said}");
        assert!(said.contains("Enter keeps") && said.contains("help says it"), "{said}");
        assert!(said.contains("is not an angle") || said.contains("is not a length"), "{said}");
        assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
        assert!(folder.path().join(file).is_file());
    }
}

#[test]
fn an_interrupt_leaves_nothing_at_any_question() {
    ctrl_c_leaves_nothing(&["ask", "job"], JOB);
}
