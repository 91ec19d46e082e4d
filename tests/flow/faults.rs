//! What a disk and a system can do to a run: other runs, full and limited disks, links in the place of files, pipes that
//! nobody writes, signals. Nothing is half-written, nobody else's file is touched, and nothing waits for ever.

use std::ffi::OsStr;
use std::fs;
use std::io::{BufRead, BufReader};
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::{MetadataExt, PermissionsExt, chown, symlink};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use super::support::{demo, file, job_of, program};

/// Longer than anything here may take, and not for ever.
const PATIENCE: Duration = Duration::from_secs(20);

fn started(folder: &Path, arguments: &[&str]) -> Child {
    let mut command = program();
    command.current_dir(folder).args(arguments).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command.spawn().unwrap()
}

/// The end of a run, which must come.
fn ended(mut child: Child) -> Output {
    let start = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if start.elapsed() > PATIENCE {
            child.kill().unwrap();
            panic!("it does not end");
        }
        thread::sleep(Duration::from_millis(2));
    }
    child.wait_with_output().unwrap()
}

fn ran(folder: &Path, arguments: &[&str]) -> Output {
    ended(started(folder, arguments))
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn sh(folder: &Path, script: &str) -> Output {
    Command::new("sh").current_dir(folder).arg("-c").arg(script).output().unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// A copy of the program's path for a shell.
fn path() -> String {
    format!("'{}'", env!("CARGO_BIN_EXE_stopwright"))
}

fn kit(folder: &Path, name: &str, blades: usize) -> String {
    let blade = |i: usize| json!({ "name": format!("blade {i}"), "tool": "bench-chisel", "width": 20 });
    let kit = json!({ "format": 1, "title": "bench", "blades": (0..blades).map(blade).collect::<Vec<_>>() });
    file(folder, name, &kit)
}

/// A job, or a guide that a job names, that is a pipe nobody writes: an interrupt ends the wait.
#[test]
fn a_pipe_that_nobody_writes_is_not_waited_for_after_an_interrupt() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    assert!(sh(at, "mkfifo pipe.json").status.success());
    let mut job: Value = serde_json::from_str(&fs::read_to_string(demo()).unwrap()).unwrap();
    job["guide"] = json!("pipe.json");
    job.as_object_mut().unwrap().remove("kit");
    file(at, "job.json", &job);
    for (jobs, signal, code) in
        [(&["pipe.json"][..], "INT", 130), (&["job.json"], "TERM", 143), (&["job.json", "pipe.json"], "INT", 130)]
    {
        let child = started(at, &[&["make"], jobs].concat());
        thread::sleep(Duration::from_millis(300));
        let start = Instant::now();
        assert!(sh(at, &format!("kill -{signal} {}", child.id())).status.success());
        let output = ended(child);
        assert_eq!(output.status.code(), Some(code), "{}", said(&output));
        assert!(start.elapsed() < Duration::from_secs(5), "{:?}", start.elapsed());
        assert!(!at.join("out").exists());
    }
}

/// The same of other commands that read a file: each ends by the signal or with its code, and leaves nothing.
#[test]
fn no_command_waits_on_after_an_interrupt() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    assert!(sh(at, "mkfifo pipe.json").status.success());
    let demo = demo().display().to_string();
    let commands: [&[&str]; 10] = [
        &["fit", "pipe.json", "--out", "guide.json"],
        &["kit", "pipe.json", "--guide", "narrow-side-clamp"],
        &["card", "pipe.json"],
        &["log", "pipe.json", "--honed", "chisel"],
        &["verify", &demo, "pipe.json", "--write-corrections", "corrections.json"],
        &["offsets", "pipe.json", "--tool", "plane-iron", "--angles", "25"],
        &["show", "pipe.json", "--tool", "plane-iron", "--angle", "25"],
        &["cutsheet", "pipe.json"],
        &["class", "pipe.json", "--guides", "narrow-side-clamp"],
        &["plate", "pipe.json"],
    ];
    for (arguments, (signal, number)) in commands.iter().zip([("INT", 2), ("TERM", 15)].iter().cycle()) {
        let mut child = started(at, arguments);
        thread::sleep(Duration::from_millis(200));
        assert_eq!(child.try_wait().unwrap(), None, "{arguments:?} does not read the pipe");
        let start = Instant::now();
        assert!(sh(at, &format!("kill -{signal} {}", child.id())).status.success());
        let output = ended(child);
        assert!(start.elapsed() < Duration::from_secs(5), "{arguments:?}: {:?}", start.elapsed());
        let (code, by) = (output.status.code(), std::os::unix::process::ExitStatusExt::signal(&output.status));
        assert!(code == Some(128 + number) || by == Some(*number), "{arguments:?}: {}", said(&output));
        assert_eq!(names(at), ["pipe.json"], "{arguments:?}");
    }
}

/// Two jobs, eight runs, one folder: nobody fails for it, and what is left is wholly one or the other.
#[test]
fn eight_runs_into_one_folder_leave_one_whole_set() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let jobs = [file(at, "a.json", &job_of(3, 2)), file(at, "b.json", &job_of(2, 3))];
    let only = ["--only", "stl,drawing,sides,offsets"];
    let content = |folder: &Path| -> Vec<(String, Vec<u8>)> {
        let files = names(folder).into_iter().filter(|name| name != ".stopwright");
        files.map(|name| (name.clone(), fs::read(folder.join(name)).unwrap())).collect()
    };
    let whole: Vec<_> = jobs
        .iter()
        .map(|job| {
            let out = format!("{job}-alone");
            assert!(ran(at, &[&["make", job, "--out", &out], &only[..]].concat()).status.success());
            content(&at.join(out))
        })
        .collect();
    for round in 0..4 {
        let runs: Vec<Child> =
            (0..8).map(|i| started(at, &[&["make", &jobs[i % 2], "--out", "shared"], &only[..]].concat())).collect();
        for run in runs {
            let output = ended(run);
            assert_eq!(output.status.code(), Some(0), "round {round}: {}", said(&output));
        }
        let left = content(&at.join("shared"));
        let names_of = |set: &[(String, Vec<u8>)]| set.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
        // Both have the same files; pages of a longer set go with it.
        assert!(whole.contains(&left), "round {round}: {:?}", names_of(&left));
    }
}

/// Fifty entries at once, by two kits that share a log, which is a link, while an editor saves one kit again and again: no
/// entry is lost, the link stays one, and mode and words of the log stay.
#[test]
fn no_line_of_a_log_is_lost() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let kits = [kit(at, "one.json", 3), kit(at, "other.json", 3)];
    fs::create_dir(at.join("kept")).unwrap();
    let first = ["log", &kits[0], "--file", "kept/log.json", "--honed", "blade 0", "--note", "the first"];
    assert!(ran(at, &first).status.success());
    let real = at.join("kept/log.json");
    fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).unwrap();
    // Another's, where this user may give files away.
    let _ = chown(&real, Some(1234), None);
    let owner = fs::metadata(&real).unwrap().uid();
    symlink("kept/log.json", at.join("shared.json")).unwrap();
    let runs: Vec<Child> = (0..50)
        .map(|i| {
            let (blade, note) = (format!("blade {}", i % 3), format!("entry {i}"));
            let log = if i % 5 == 0 { "kept/log.json" } else { "shared.json" };
            let run = started(at, &["log", &kits[i % 2], "--file", log, "--honed", &blade, "--note", &note, "--quiet"]);
            fs::copy(at.join(&kits[0]), at.join("saved.json")).unwrap();
            fs::rename(at.join("saved.json"), at.join(&kits[0])).unwrap();
            run
        })
        .collect();
    for run in runs {
        let output = ended(run);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    }
    let log: Value = serde_json::from_str(&fs::read_to_string(&real).unwrap()).unwrap();
    let mut notes: Vec<&str> = log["entries"].as_array().unwrap().iter().map(|e| e["note"].as_str().unwrap()).collect();
    assert_eq!(notes.remove(0), "the first");
    notes.sort_unstable();
    let mut all: Vec<String> = (0..50).map(|i| format!("entry {i}")).collect();
    all.sort();
    assert_eq!(notes, all);
    assert!(fs::symlink_metadata(at.join("shared.json")).unwrap().is_symlink());
    assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o640);
    assert_eq!(fs::metadata(&real).unwrap().uid(), owner);
    assert_eq!(names(&at.join("kept")), ["log.json"]);
    // Where a link leads to nothing, that is what is said, and no file is made there.
    fs::remove_file(&real).unwrap();
    let output = ran(at, &["log", &kits[0], "--file", "shared.json", "--honed", "blade 0"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(said(&output).trim(), "shared.json was left alone: it is a link to a file that is not there.");
    assert_eq!(names(&at.join("kept")), [""; 0]);
}

/// What a run that was killed left beside a log goes with the next line; what only looks like it stays.
#[test]
fn what_a_killed_log_left_goes_with_the_next_line() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let kit = kit(at, "kit.json", 1);
    for name in [".stopwright-0123456789abcdef.part", ".stopwright-mine.part"] {
        fs::write(at.join(name), "{").unwrap();
    }
    fs::create_dir(at.join("logs")).unwrap();
    let refused = ran(at, &["log", &kit, "--file", "logs", "--honed", "blade 0"]);
    assert_eq!(said(&refused), "logs was left alone: it is a folder.\n");
    fs::remove_dir(at.join("logs")).unwrap();
    assert!(ran(at, &["log", &kit, "--honed", "blade 0"]).status.success());
    assert_eq!(names(at), [".stopwright-mine.part", "kit-log.json", "kit.json"]);
}

/// A folder that is replaced by a link to another's while a run waits for its turn there: the run says so, writes
/// nothing, and touches nothing of the other's.
#[test]
fn a_folder_that_becomes_a_link_is_not_left() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let (job, kit) = (file(at, "job.json", &job_of(1, 1)), kit(at, "kit.json", 1));
    let make = ["make", &job, "--only", "stl,offsets", "--out", "set"];
    let log = ["log", &kit, "--file", "logs/log.json", "--honed", "blade 0", "--note", "the line"];
    for (arguments, own, lock, file) in
        [(&make[..], "set", ".stopwright.lock", "block.stl"), (&log[..], "logs", ".log.json.lock", "log.json")]
    {
        fs::create_dir(at.join("others")).unwrap();
        fs::create_dir(at.join(own)).unwrap();
        assert!(ran(at, arguments).status.success());
        let first = fs::read(at.join(own).join(file)).unwrap();
        fs::write(at.join("others").join(file), "mine").unwrap();
        let held = fs::File::create(at.join(own).join(lock)).unwrap();
        held.lock().unwrap();
        let mut run = started(at, arguments);
        let mut told = String::new();
        while !told.contains("Waiting for") {
            let read = BufReader::new(run.stderr.as_mut().unwrap()).read_line(&mut told).unwrap();
            assert!(read > 0, "it did not wait: {told}");
        }
        fs::rename(at.join(own), at.join("aside")).unwrap();
        symlink("others", at.join(own)).unwrap();
        drop(held);
        let output = ended(run);
        assert_eq!(output.status.code(), Some(2), "{}", said(&output));
        let moved = format!("{own}: cannot write: the folder was moved or replaced in the meantime");
        assert!(said(&output).contains(&moved), "{}", said(&output));
        assert_eq!(names(&at.join("others")), [file]);
        assert_eq!(fs::read_to_string(at.join("others").join(file)).unwrap(), "mine");
        assert!(!names(&at.join("aside")).iter().any(|name| name.ends_with(".lock") || name.ends_with(".part")));
        assert_eq!(fs::read(at.join("aside").join(file)).unwrap(), first);
        for done in ["others", "aside"] {
            fs::remove_dir_all(at.join(done)).unwrap();
        }
    }
}

/// Links to endless devices, pipes and folders in the place of what is to be written or of the record: refused by name,
/// read no further, and left as they are.
#[test]
fn what_is_no_ordinary_file_is_neither_read_nor_replaced() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = file(at, "a.json", &job_of(1, 0));
    let out = at.join("out/a");
    fs::create_dir_all(&out).unwrap();
    let refused = |place: &str, more: &[&str], words: &str| {
        let output = ran(at, &[&["make", &job], more].concat());
        assert_eq!(output.status.code(), Some(2), "{place}");
        let said = said(&output);
        assert!(said.contains(place) && said.contains(words), "{said}");
        assert_eq!(names(&out), [place]);
    };
    for place in ["block.stl", ".stopwright"] {
        let there = out.join(place);
        symlink("/dev/zero", &there).unwrap();
        refused(place, &[], if place == "block.stl" { "it is a link" } else { "it is no file" });
        assert!(fs::symlink_metadata(&there).unwrap().is_symlink());
        fs::remove_file(&there).unwrap();
        assert!(sh(&out, &format!("mkfifo {place}")).status.success());
        for force in [&[][..], &["--force"]] {
            refused(place, force, if place == "block.stl" { "it is no ordinary file" } else { "it is no file" });
        }
        fs::remove_file(&there).unwrap();
        fs::create_dir(&there).unwrap();
        refused(place, &["--force"], if place == "block.stl" { "it is a folder" } else { "it is no file" });
        fs::remove_dir(&there).unwrap();
    }
    fs::write(out.join(".stopwright"), vec![b'a'; 17 << 20]).unwrap();
    refused(".stopwright", &[], "too large");
    fs::remove_file(out.join(".stopwright")).unwrap();
    // A link is replaced where that is said; what it leads to is nobody's business here.
    let other = at.join("precious");
    fs::write(&other, "mine").unwrap();
    symlink(&other, out.join("block.stl")).unwrap();
    assert!(ran(at, &["make", &job, "--force"]).status.success());
    assert_eq!(fs::read_to_string(&other).unwrap(), "mine");
    assert!(fs::symlink_metadata(out.join("block.stl")).unwrap().is_file());
    // A link to a folder is a folder all the same: that is how its user wants it.
    fs::rename(&out, at.join("elsewhere")).unwrap();
    symlink(at.join("elsewhere"), &out).unwrap();
    assert!(ran(at, &["make", &job]).status.success());
}

/// A full disk and the limit of a file's size: nothing is left, and the exit code says so.
#[test]
fn at_a_limit_nothing_is_left() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = file(at, "a.json", &job_of(4, 4));
    for blocks in [1, 8, 40, 100] {
        let output = sh(at, &format!("ulimit -f {blocks}; exec {} make {job}", path()));
        assert_eq!(output.status.code(), Some(2), "{blocks}: {}", said(&output));
        assert!(said(&output).contains("cannot write"), "{}", said(&output));
        assert!(!at.join("out").exists(), "{blocks}");
    }
    let kit = kit(at, "kit.json", 2);
    assert!(ran(at, &["log", &kit, "--honed", "blade 0"]).status.success());
    let before = fs::read(at.join("kit-log.json")).unwrap();
    let note = "so long ".repeat(20);
    for _ in 0..9 {
        assert!(ran(at, &["log", &kit, "--honed", "blade 1", "--note", note.trim()]).status.success());
    }
    let whole = fs::read(at.join("kit-log.json")).unwrap();
    assert!(whole.len() > 1024 && whole.len() > before.len());
    let output = sh(at, &format!("ulimit -f 1; exec {} log {kit} --honed 'blade 1'", path()));
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(fs::read(at.join("kit-log.json")).unwrap(), whole);
    assert_eq!(names(at), ["a.json", "kit-log.json", "kit.json"]);
    for arguments in
        ["--version", "help", "help make", "--help", "make --help", "offsets narrow-side-clamp --tool plane-iron"]
    {
        let output = sh(at, &format!("{} {arguments} > /dev/full", path()));
        assert_eq!(output.status.code(), Some(2), "{arguments}");
        assert!(said(&output).starts_with("standard output: cannot write"), "{}", said(&output));
    }
}

/// An old block beside the new ones would have fences of its own; what somebody changed is theirs, and stays.
#[test]
fn blocks_that_a_job_no_longer_has_do_not_stay() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let out = at.join("out/a");
    let made = |lanes: usize, more: &[&str]| {
        let job = file(at, "a.json", &job_of(lanes, lanes));
        let output = ran(at, &[&["make", job.as_str()], more].concat());
        assert!(output.status.success(), "{}", said(&output));
        names(&out)
    };
    let fresh = made(2, &[]);
    assert!(fresh.contains(&"block.stl".to_string()), "{fresh:?}");
    let several = made(12, &[]);
    assert!(several.iter().any(|name| name == "block-2.step") && !several.iter().any(|name| name == "block.step"));
    fs::write(out.join("block-2.svg"), "mine now").unwrap();
    fs::write(out.join("block-9.stl"), "never theirs").unwrap();
    let mut left = made(2, &[]);
    left.retain(|name| !["block-2.svg", "block-9.stl"].contains(&name.as_str()));
    assert_eq!(left, fresh);
    assert_eq!(fs::read_to_string(out.join("block-2.svg")).unwrap(), "mine now");
    // What is not made anew is not taken away.
    let drawn = made(2, &["--only", "drawing"]);
    assert!(drawn.contains(&"block.stl".to_string()) && drawn.contains(&"picture.svg".to_string()), "{drawn:?}");
}

/// A set has more files than some systems let a program open: they need not all be open at once. Where not even a few
/// may, everything is as it was.
#[test]
fn a_set_may_have_more_files_than_may_be_open() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = file(at, "a.json", &job_of(14, 14));
    let there = || if at.join("out/a").exists() { names(&at.join("out/a")) } else { Vec::new() };
    let (mut made, mut refused) = (0, 0);
    for (kind, limit) in [("-Sn", 12), ("-n", 32), ("-n", 24), ("-n", 16), ("-n", 12), ("-n", 8), ("-n", 6), ("-n", 5)]
    {
        // Then again, where there is a set to be replaced.
        for _ in 0..2 {
            let before = there();
            let output = sh(at, &format!("ulimit {kind} {limit}; exec {} make {job}", path()));
            let now = there();
            if output.status.success() {
                made += 1;
                assert!(now.len() > 32, "{now:?}");
            } else {
                refused += 1;
                assert_eq!(output.status.code(), Some(2), "{}", said(&output));
                assert!(limit < 8 && now == before, "{limit}: {now:?}: {}", said(&output));
            }
        }
        let _ = fs::remove_dir_all(at.join("out"));
    }
    assert!(made >= 12 && refused >= 2, "{made} made, {refused} refused");
}

/// The end of a terminal, and the request for a dump, in the midst of the writing: nothing is left beside the files.
#[test]
fn a_hangup_leaves_no_stray_files() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let jobs: Vec<String> = (0..8).map(|i| file(at, &format!("{i}.json"), &job_of(1 + i % 3, 1))).collect();
    let mut rng = fastrand::Rng::with_seed(9);
    let mut stopped = 0;
    for round in 0..16 {
        let child = started(at, &[&["make"], &jobs.iter().map(String::as_str).collect::<Vec<_>>()[..]].concat());
        thread::sleep(Duration::from_millis(rng.u64(0..300)));
        let signal = if round % 2 == 0 { "HUP" } else { "QUIT" };
        sh(at, &format!("ulimit -c 0; kill -{signal} {} 2>&-", child.id()));
        let output = ended(child);
        let own = if signal == "HUP" { 129 } else { 131 };
        let code = output.status.code();
        // Before it took the signals over, or after it was done.
        assert!([Some(own), Some(0), None].contains(&code), "{signal}: {code:?}");
        stopped += usize::from(code == Some(own));
        for set in fs::read_dir(at.join("out")).into_iter().flatten().map(|e| e.unwrap().path()) {
            let stray: Vec<String> =
                names(&set).into_iter().filter(|n| n.ends_with(".part") || n.ends_with(".lock")).collect();
            assert!(stray.is_empty() && set.join("index.html").exists(), "{stray:?}");
        }
        let _ = fs::remove_dir_all(at.join("out"));
    }
    // Where the tests themselves run without a terminal, a hangup may be ignored: half of the signals are others.
    assert!(stopped > 2, "only {stopped} were stopped");
    // Whoever starts the program with a hangup ignored, as nohup does, wants it so.
    let child = Command::new("sh")
        .current_dir(at)
        .args(["-c", &format!("trap '' HUP; exec {} make {}", path(), jobs.join(" "))])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    thread::sleep(Duration::from_millis(60));
    sh(at, &format!("kill -HUP {} 2>&-", child.id()));
    assert_eq!(ended(child).status.code(), Some(0));
}

/// A name that the system takes and that is no text.
#[test]
fn a_file_may_be_called_what_the_system_allows() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let name = OsStr::from_bytes(b"my \xff guide.json");
    let known = super::support::home().join("examples/known-settings.json");
    for force in [false, true] {
        let mut command = program();
        command.current_dir(at).arg("fit").arg(&known).arg("--out").arg(name);
        let output = command.args(force.then_some("--force")).output().unwrap();
        assert!(output.status.success(), "{}", said(&output));
    }
    let left: Vec<_> = fs::read_dir(at).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert!(left.contains(&name.to_os_string()) && left.len() == 2, "{left:?}");
    let modes = fs::metadata(at.join(name)).unwrap().permissions().mode() & 0o777;
    // As the user's mask has it for any new file.
    fs::write(at.join("any"), "").unwrap();
    assert_eq!(modes, fs::metadata(at.join("any")).unwrap().permissions().mode() & 0o777);
}

/// Names in files lead nowhere else: a guide's is refused as `measure` refuses it, others become names of files, and a job
/// that is called two dots and an ending goes into a folder of its own.
#[test]
fn a_name_in_a_file_never_makes_a_path() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path().join("a/b/c");
    fs::create_dir_all(&at).unwrap();
    let mut guide: Value = serde_json::from_str(&super::support::stdout(&["profiles", "narrow-side-clamp"])).unwrap();
    let mut tool: Value = serde_json::from_str(&super::support::stdout(&["profiles", "plane-iron"])).unwrap();
    for name in ["../../x", "/tmp/any", ".hidden", "a\\b", "a/b", "..", "x.", "a:b"] {
        guide["name"] = json!(name);
        let path = file(&at, "guide.json", &guide);
        for arguments in [vec!["show", &path, "--tool", "plane-iron", "--angle", "30"], vec!["offsets", &path]] {
            let output = ran(&at, &arguments);
            assert_eq!(output.status.code(), Some(2), "{name}");
            assert!(
                said(&output).contains("name cannot be") && said(&output).contains("letters, digits"),
                "{}",
                said(&output)
            );
        }
        fs::remove_file(&path).unwrap();
        tool["name"] = json!(name);
        let path = file(&at, "tool.json", &tool);
        for block in [&[][..], &["--block"]] {
            let output = ran(&at, &[&["show", "narrow-side-clamp", "--tool", &path, "--angle", "30"], block].concat());
            assert!(output.status.success(), "{name}: {}", said(&output));
        }
        let mut job = job_of(1, 0);
        job["settings"] = json!([{ "tool": "tool.json", "angles": [30], "thickness": 2.4, "width": 50, "id": name }]);
        let job = file(&at, "job.json", &job);
        let output = ran(&at, &["make", &job]);
        assert!(output.status.success(), "{name}: {}", said(&output));
        fs::remove_file(&path).unwrap();
        fs::remove_file(&job).unwrap();
        assert_eq!(names(&at.join("out")), ["job", "narrow-side-clamp"]);
        assert_eq!(names(&at.join("out/narrow-side-clamp")).len(), 3, "{:?}", names(&at.join("out/narrow-side-clamp")));
        fs::remove_dir_all(at.join("out")).unwrap();
        assert!(names(&at).is_empty() && names(folder.path()) == ["a"] && names(&at.join("../..")) == ["b"]);
    }
    for (job, set) in [("...json", "_"), ("..json", "_"), (".json", "_json")] {
        let job = file(&at, job, &job_of(1, 0));
        assert!(ran(&at, &["make", &job, "--only", "stl"]).status.success());
        assert_eq!(names(&at.join("out")), [set], "{job}");
        fs::remove_dir_all(at.join("out")).unwrap();
        fs::remove_file(&job).unwrap();
    }
}

/// Signs that nobody sees, and that turn lines around or command a terminal: refused in what is read, by name, and shown
/// as their escapes where they are in the name of a file.
#[test]
fn hidden_signs_are_refused_or_shown_as_such() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let hidden =
        ['\u{fffe}', '\u{ffff}', '\u{202e}', '\u{2066}', '\u{1b}', '\u{7f}', '\u{9b}', '\u{85}', '\u{2028}', '\r'];
    let kit = kit(at, "kit.json", 1);
    for sign in hidden {
        for field in ["title", "notes", "guide", "a field"] {
            let mut job = job_of(1, 0);
            job[field] = json!(format!("a{sign}b"));
            let path = file(at, "job.json", &job);
            let output = ran(at, &["make", &path]);
            assert_eq!(output.status.code(), Some(2), "{field} U+{:04X}", sign as u32);
            let shown = said(&output);
            assert!(!shown.contains(sign) && shown.lines().count() <= 2, "{field}: {shown:?}");
            if ["title", "notes"].contains(&field) {
                assert!(shown.contains(&format!("{field} has U+{:04X}", sign as u32)), "{shown}");
            }
        }
        let named = format!("na{sign}me.json");
        let path = file(at, &named, &job_of(1, 0));
        for arguments in [
            vec!["make", &path],
            vec!["make", &path, "--json"],
            vec!["make", &path, "--json", "--force"],
            vec!["make", &path, "missing.json", "--force"],
            vec!["offsets", &path],
            vec!["verify", &path, &path],
            vec!["card", &path, "--json"],
            vec!["log", &kit, "--honed", "blade 0", "--note", &named],
            vec!["show", &named, "--angle", "30"],
            vec![&named],
            vec!["make", &format!("--{named}")],
        ] {
            let output = ran(at, &arguments);
            let (out, err) = (String::from_utf8_lossy(&output.stdout).into_owned(), said(&output));
            assert!(!out.contains(sign) && !err.contains(sign), "{arguments:?}: {out:?} {err:?}");
            assert!(
                !err.contains("panicked") && [0, 2].contains(&output.status.code().unwrap()),
                "{arguments:?}: {err}"
            );
            if arguments.contains(&"--json") && output.status.success() {
                let value: Value = serde_json::from_str(&out).expect("JSON");
                assert!(value.to_string().contains("na"));
            }
        }
        fs::remove_file(path).unwrap();
    }
    // A title of two lines, and a name of ten megabytes.
    let mut job = job_of(1, 0);
    job["title"] = json!("two\nlines");
    let path = file(at, "job.json", &job);
    assert!(said(&ran(at, &["make", &path])).contains("title has U+000A"));
    let mut job = job_of(1, 0);
    job["k".repeat(10 << 20).as_str()] = json!(1);
    let path = file(at, "job.json", &job);
    let output = ran(at, &["make", &path]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).len() < 2000 && said(&output).contains("kkkk…"), "{}", said(&output).len());
    assert!(!at.join("kit-log.json").exists());
}
