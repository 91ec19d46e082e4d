//! Interrupts and kills at random moments: every folder is whole or not there.

use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use super::*;

/// What is left behind, and what was said.
struct End {
    code: Option<i32>,
    said: String,
    left: BTreeMap<PathBuf, Option<Vec<u8>>>,
}

/// Enough files to be torn apart, and few enough to try often.
const ONLY: [&str; 2] = ["--only", "stl,drawing,sides,offsets"];

/// Makes `jobs` in `folder` and sends signals, each a while after the one before.
fn disturbed(folder: &Path, jobs: &[String], signals: &[(&str, Duration)]) -> End {
    let mut command = program();
    command.current_dir(folder).arg("make").args(jobs).args(ONLY);
    let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    for (signal, wait) in signals {
        thread::sleep(*wait);
        // It may have ended already.
        let _ = Command::new("sh").arg("-c").arg(format!("kill -{signal} {} 2>&-", child.id())).status();
    }
    let output = child.wait_with_output().unwrap();
    assert!(!text(&output.stderr).contains("panicked"), "{}", text(&output.stderr));
    End { code: output.status.code(), said: text(&output.stdout), left: tree(&folder.join("out")) }
}

/// Each job's folder in `left` is as `whole` has it, or not there at all; gives how many are there.
fn whole_or_absent(left: &BTreeMap<PathBuf, Option<Vec<u8>>>, whole: &BTreeMap<PathBuf, Option<Vec<u8>>>) -> usize {
    for (path, content) in left {
        assert!(whole.get(path) == Some(content), "{} should not be there so", path.display());
    }
    let folders: Vec<&PathBuf> = left.iter().filter(|(_, content)| content.is_none()).map(|(path, _)| path).collect();
    for folder in &folders {
        let of = |all: &BTreeMap<PathBuf, _>| all.keys().filter(|p| p.starts_with(folder)).count();
        assert_eq!(of(left), of(whole), "{} is not whole", folder.display());
    }
    folders.len()
}

/// Makes the jobs undisturbed; gives what is left and how long it took.
fn undisturbed(folder: &Path, jobs: &[String]) -> (BTreeMap<PathBuf, Option<Vec<u8>>>, Duration) {
    let start = Instant::now();
    let output = made(folder, jobs, &ONLY);
    assert!(output.status.success(), "{}", text(&output.stderr));
    (tree(&folder.join("out")), start.elapsed())
}

fn jobs(folder: &Path, count: usize) -> Vec<String> {
    (0..count).map(|i| file(folder, &format!("job{i:02}.json"), &job_of(1 + i % 5, i % 4))).collect()
}

#[test]
fn an_interrupt_at_any_moment_leaves_whole_folders_only() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let jobs = jobs(at, 40);
    let (whole, mut took) = undisturbed(at, &jobs);
    let mut rng = fastrand::Rng::with_seed(17);
    let (mut stopped, mut nothing) = (0, 0);
    for i in 0..30 {
        fs::remove_dir_all(at.join("out")).unwrap_or_default();
        if i % 5 == 4 {
            // Whatever else this machine does changes how long a run takes.
            took = undisturbed(at, &jobs).1;
            fs::remove_dir_all(at.join("out")).unwrap();
        }
        let (signal, code) = if i % 2 == 0 { ("INT", 130) } else { ("TERM", 143) };
        let wait = |part: f64, rng: &mut fastrand::Rng| took.mul_f64(part * rng.f64());
        let mut signals = vec![(signal, wait(1.0, &mut rng))];
        if i % 3 == 0 {
            signals.extend([(signal, wait(0.02, &mut rng)), (signal, wait(0.01, &mut rng))]);
        }
        let end = disturbed(at, &jobs, &signals);
        let made = whole_or_absent(&end.left, &whole);
        match end.code {
            Some(0) => assert_eq!(made, jobs.len()),
            Some(given) => {
                assert_eq!(given, code);
                assert!(end.said.contains(&format!("\n{made} of {} jobs made in ", jobs.len())), "{}", end.said);
                let not_made = end.said.matches(": NOT MADE: interrupted").count();
                assert_eq!(not_made, jobs.len() - made);
                stopped += usize::from(not_made > 0);
                nothing += usize::from(made == 0 && !at.join("out").exists());
            }
            // Before it took the interrupts over, or after it let them go.
            None => assert!(made == 0 || made == jobs.len()),
        }
        assert!(made > 0 || !at.join("out").exists(), "an empty folder is left");
    }
    assert!(stopped >= 15, "only {stopped} runs were stopped midway");
    assert!(nothing < 15, "{nothing} runs were stopped before their first job");
}

/// The files of a folder without the record, which knows the contents before as well.
fn files(all: &BTreeMap<PathBuf, Option<Vec<u8>>>, folder: &str) -> BTreeMap<PathBuf, Option<Vec<u8>>> {
    let of_folder = all.iter().filter(|(path, _)| path.starts_with(folder) && !path.ends_with(".stopwright"));
    of_folder.map(|(path, content)| (path.clone(), content.clone())).collect()
}

#[test]
fn where_files_are_replaced_each_folder_is_wholly_old_or_wholly_new() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let versions: [fn(usize) -> Value; 2] = [|i| job_of(1 + i % 5, 1 + i % 3), |i| job_of(2 + i % 3, 1 + i % 2)];
    let write = |version: usize| -> Vec<String> {
        (0..12).map(|i| file(at, &format!("job{i:02}.json"), &versions[version](i))).collect()
    };
    let [(old, _), (new, took)] = [0, 1].map(|version| undisturbed(at, &write(version)));
    let mut rng = fastrand::Rng::with_seed(5);
    for round in 0..14 {
        let end = disturbed(at, &write(round % 2), &[("INT", took.mul_f64(rng.f64()))]);
        assert!(end.left.keys().all(|path| !path.display().to_string().ends_with(".part")));
        for i in 0..12 {
            let name = format!("job{i:02}");
            let there = files(&end.left, &name);
            assert!(there == files(&old, &name) || there == files(&new, &name), "{name} is mixed");
        }
    }
}

#[test]
fn one_job_is_whole_or_absent_too() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let jobs = [file(at, "long.json", &job_of(12, 12))];
    let (whole, took) = undisturbed(at, &jobs);
    let mut rng = fastrand::Rng::with_seed(3);
    let mut stopped = 0;
    for _ in 0..12 {
        fs::remove_dir_all(at.join("out")).unwrap_or_default();
        let end = disturbed(at, &jobs, &[("INT", took.mul_f64(rng.f64()))]);
        let made = whole_or_absent(&end.left, &whole.clone());
        if end.code == Some(130) && made == 0 {
            stopped += 1;
            assert!(end.said.is_empty() && !at.join("out").exists(), "{}", end.said);
        }
    }
    assert!(stopped >= 4, "only {stopped} of 12 were stopped");
}

/// What a kill leaves half-way is cleared away by the next run.
#[test]
fn after_a_kill_the_next_run_makes_everything_whole() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let jobs = jobs(at, 20);
    let (whole, took) = undisturbed(at, &jobs);
    let mut rng = fastrand::Rng::with_seed(11);
    for _ in 0..12 {
        fs::remove_dir_all(at.join("out")).unwrap();
        disturbed(at, &jobs, &[("KILL", took.mul_f64(rng.f64()))]);
        assert!(undisturbed(at, &jobs).0 == whole);
    }
}
