//! The progress bar, through a pseudo-terminal.

use rexpect::session::spawn_command;

use super::*;

/// All that appears on a terminal.
fn screen(folder: &Path, arguments: &[&str]) -> String {
    let mut command = program();
    command.current_dir(folder).env("TERM", "xterm").arg("make").args(arguments);
    spawn_command(command, Some(60_000)).unwrap().exp_eof().unwrap()
}

#[test]
fn a_progress_bar_is_seen_at_a_terminal_unless_nothing_or_json_is_wanted() {
    let folder = tempfile::tempdir().unwrap();
    let names: Vec<String> = (0..9).map(|i| format!("job{i}.json")).collect();
    for name in &names {
        file(folder.path(), name, &job_of(2, 2));
    }
    let with = |jobs: usize, more: &[&'static str]| -> String {
        let mut arguments: Vec<&str> = names[..jobs].iter().map(String::as_str).collect();
        arguments.extend(more);
        screen(folder.path(), &arguments)
    };
    let seen = with(9, &[]);
    let (bar, summary) = seen.split_at(seen.rfind("\u{1b}[").unwrap());
    assert!((1..=9).any(|done| bar.contains(&format!(" {done}/9"))), "{seen:?}");
    assert!(
        summary.contains("9 of 9 jobs made in ") && !summary.contains("/9"),
        "cleared before the summary: {seen:?}"
    );
    for quiet in [with(9, &["--quiet"]), with(9, &["--json"]), with(1, &["--color", "never"])] {
        assert!(!quiet.contains('\u{1b}') && !quiet.contains("/9"), "{quiet:?}");
    }
}
