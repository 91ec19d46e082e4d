//! Several jobs in one run: results, conflicts, interrupts, what a killed run leaves.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Output;

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use serde_json::{Value, json};

use super::support::{any_job, demo, file, job_of, program, refusal, run};

#[cfg(unix)]
mod interrupts;
#[cfg(target_os = "linux")]
mod terminal;

/// Random jobs as files in `folder`, the same ones each time; every twelfth is too steep for its block.
fn random_jobs(folder: &Path, count: usize) -> Vec<String> {
    let mut runner = TestRunner::deterministic();
    let mut next = |i: usize| {
        let mut job = any_job().new_tree(&mut runner).unwrap().current();
        if i % 12 == 5 {
            job["settings"][0]["angles"] = json!([55]);
        }
        job
    };
    (0..count).map(|i| file(folder, &format!("job{i:03}.json"), &next(i))).collect()
}

/// All files below a folder with their content, and all folders with none; no folder, no entries.
fn tree(folder: &Path) -> BTreeMap<PathBuf, Option<Vec<u8>>> {
    fn collect(at: &Path, base: &Path, all: &mut BTreeMap<PathBuf, Option<Vec<u8>>>) {
        for entry in fs::read_dir(at).into_iter().flatten().map(Result::unwrap) {
            let path = entry.path();
            let is_dir = path.is_dir();
            let name = path.strip_prefix(base).unwrap().to_path_buf();
            all.insert(name, (!is_dir).then(|| fs::read(&path).unwrap()));
            if is_dir {
                collect(&path, base, all);
            }
        }
    }
    let mut all = BTreeMap::new();
    collect(folder, folder, &mut all);
    all
}

/// Makes jobs in one run, in `folder`.
fn made(folder: &Path, jobs: &[String], more: &[&str]) -> Output {
    program().current_dir(folder).arg("make").args(jobs).args(more).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn hundreds_of_jobs_come_out_as_when_made_singly_and_bad_ones_stop_only_themselves() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let mut jobs = random_jobs(at, 160);
    fs::write(at.join("torn.json"), "{ \"format\": 1, ").unwrap();
    fs::create_dir(at.join("more.json")).unwrap();
    let stray = json!({ "format": 1, "title": "stray", "guide": "no-such-guide", "settings": [] });
    for (place, bad) in [(3, "torn.json"), (90, "more.json"), (120, "absent.json"), (150, "stray.json")] {
        let path = at.join(bad).display().to_string();
        jobs.insert(place, path);
    }
    file(at, "stray.json", &stray);

    let output = made(at, &jobs, &["--out", "together", "--only", "stl,drawing,offsets"]);
    let (said, errors) = (text(&output.stdout), text(&output.stderr));
    let (mut bad, mut in_full, mut warned, mut sound) = (String::new(), String::new(), String::new(), 0);
    for job in &jobs {
        let name = Path::new(job).file_stem().unwrap().display().to_string();
        let single = format!("singly/{name}");
        let one = made(at, std::slice::from_ref(job), &["--out", &single, "--only", "stl,drawing,offsets", "--quiet"]);
        let refused = text(&one.stderr);
        if one.status.success() {
            sound += 1;
            // Quiet or not, what concerns the result is said.
            warned.extend(refused.lines().map(|line| format!("{job}: {line}\n")));
            assert!(
                said.contains(&format!("{job}: ")) && said.contains(&format!(" files in together/{name}")),
                "{name}"
            );
            assert!(tree(&at.join("together").join(&name)).len() >= 5, "four files and the record");
        } else {
            assert_eq!(one.status.code(), Some(2), "{refused}");
            in_full += &format!("{job} was not made:\n{refused}");
            let line: Vec<&str> = refused.lines().map(str::trim).collect();
            bad += &format!("{job}: NOT MADE: {}\n", line.join(" "));
        }
    }
    assert!(sound > 70 && jobs.len() - sound > 10, "{sound} of {} can be made: no test", jobs.len());
    assert_eq!(output.status.code(), Some(2));
    assert!(!warned.is_empty(), "no job is worth a warning: no test");
    assert_eq!(errors, in_full + &warned, "each failure in full, then warnings, in the order of the command line");
    assert!(said.contains(&format!("\n{bad}\n{sound} of {} jobs made in ", jobs.len())), "{said}");
    assert_eq!(tree(&at.join("together")), tree(&at.join("singly")));

    // The order of what is said does not hang on how many hands there are.
    let clock = |said: &str| said.lines().filter(|l| !l.contains(" jobs made in ")).collect::<Vec<_>>().join("\n");
    for hands in ["1", "7"] {
        let again = made(at, &jobs, &["--out", "together", "--only", "stl,drawing,offsets", "-j", hands]);
        assert_eq!(clock(&text(&again.stdout)), clock(&said));
        assert_eq!(text(&again.stderr), errors);
    }
}

#[test]
fn several_jobs_all_made_give_exit_code_0_and_a_folder_each() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let jobs = [file(at, "a.json", &job_of(2, 1)), file(at, "b.json", &job_of(1, 0))];
    let output = made(at, &jobs, &["--timings"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    assert!(said.contains("3 lanes, 14 files in out/a") && said.contains("1 lane, 13 files in out/b"), "{said}");
    assert!(said.contains("\n2 of 2 jobs made in ") && said.contains("These figures are calculated"), "{said}");
    assert_eq!(text(&output.stderr).matches("drawing").count(), 1, "stages are summed over the jobs");
    assert!(at.join("out/a/side-chisel.svg").is_file() && at.join("out/b/block.stl").is_file());
    let quiet = made(at, &jobs, &["--quiet"]);
    assert!(quiet.status.success() && quiet.stdout.is_empty());
    // What concerns the result is said all the same: nobody measured the chisels' lands.
    let warned = text(&quiet.stderr);
    assert!(warned.lines().count() > 0 && warned.lines().all(|line| line.contains("arning")), "{warned}");
}

#[test]
fn json_of_several_jobs_is_one_document() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let jobs = [file(at, "a.json", &job_of(2, 1)), "absent.json".to_string(), file(at, "b.json", &job_of(1, 0))];
    let output = made(at, &jobs, &["--json"]);
    assert_eq!(output.status.code(), Some(2));
    let all: Value = serde_json::from_slice(&output.stdout).unwrap();
    let told = all["jobs"].as_array().unwrap();
    assert_eq!(told.len(), 3);
    for i in [0, 2] {
        let one = made(at, &jobs[i..=i], &["--json"]);
        let mut alone: Value = serde_json::from_slice(&one.stdout).unwrap();
        assert!(alone["files"].as_array().unwrap().len() >= 4);
        alone["job"] = json!(jobs[i]);
        assert_eq!(told[i], alone);
    }
    let one = made(at, &jobs[1..2], &["--json"]);
    assert!(one.stdout.is_empty());
    let error = text(&one.stderr).trim_end().to_string();
    assert_eq!(told[1], json!({ "job": "absent.json", "error": error, "exit_code": 2 }));
}

#[test]
fn jobs_that_would_share_a_folder_are_refused_before_anything_starts() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    for sub in ["x", "y"] {
        fs::create_dir(at.join(sub)).unwrap();
    }
    let [x, y, z] = ["x/chest.json", "y/chest.json", "y/CHEST.json"].map(|name| file(at, name, &job_of(1, 0)));
    let out = at.join("out").display().to_string();
    let refused = |jobs: &[&str]| {
        let mut arguments = vec!["make", "--out", &out];
        arguments.extend(jobs);
        let text = refusal(&arguments);
        assert!(!at.join("out").exists());
        text
    };
    let both = refused(&[&x, &demo().display().to_string(), &y]);
    assert!(both.contains(&x) && both.contains(&y) && both.contains("both to be written to"), "{both}");
    let capitals = refused(&[&x, &z]);
    assert!(capitals.contains(&z) && capitals.contains("capitals"), "{capitals}");
    let around = at.join("x/../x/chest.json").display().to_string();
    let twice = refused(&[&x, &around]);
    assert!(twice.contains("twice"), "{twice}");
    let corrections = refused(&[&x, &demo().display().to_string(), "--corrections", "c.json"]);
    assert!(corrections.contains("--corrections") && corrections.contains("2 jobs"), "{corrections}");
}

#[cfg(unix)]
#[test]
fn folders_that_lead_to_one_place_are_found_out() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let [a, b] = ["a.json", "b.json"].map(|name| file(at, name, &job_of(1, 0)));
    fs::create_dir_all(at.join("out/a")).unwrap();
    std::os::unix::fs::symlink("a", at.join("out/b")).unwrap();
    let text = refusal(&["make", &a, &b, "--out", &at.join("out").display().to_string()]);
    assert!(text.contains("both to be written to"), "{text}");
    assert!(tree(&at.join("out/a")).is_empty());
}

#[test]
fn a_folder_in_place_of_a_job_says_what_to_type() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().display().to_string();
    let text = refusal(&["make", &path]);
    assert!(text.contains("is a folder. Name a job file") && text.contains(&format!("{path}/*.json")), "{text}");
}

/// Writing fails for all of them, so that the folders made for it must go again, whoever made them.
#[test]
fn jobs_that_cannot_be_written_leave_no_folders() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let jobs: Vec<String> = (0..12).map(|i| file(at, &format!("job{i}.json"), &job_of(1, 0))).collect();
    fs::write(at.join("blocked"), "").unwrap();
    // No disk takes a name of 300 bytes.
    for out in ["blocked".to_string(), format!("new/er/{}", "z".repeat(300))] {
        let output = made(at, &jobs, &["--out", &out]);
        let errors = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{errors}");
        assert_eq!(errors.matches("cannot write").count(), 12, "{errors}");
    }
    assert_eq!(fs::read(at.join("blocked")).unwrap(), b"");
    assert!(!at.join("new").exists());
}

#[test]
fn only_what_is_named_is_made() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = file(at, "a.json", &job_of(2, 1));
    let names = |list: &str| -> Vec<String> {
        let out = at.join(list);
        let output = run(&["make", &job, "--only", list, "--out", &out.display().to_string()]);
        assert!(output.status.success(), "{list}: {}", text(&output.stderr));
        tree(&out).keys().map(|p| p.display().to_string()).filter(|n| n != ".stopwright").collect()
    };
    assert_eq!(names("stl"), ["block.stl"]);
    assert_eq!(names("drawing"), ["block-sheet-2.svg", "block.pdf", "block.svg"]);
    assert_eq!(names("step,3mf"), ["block.3mf", "block.step"]);
    assert_eq!(names("picture"), ["picture.png", "picture.svg"]);
    assert_eq!(names("sides"), ["side-chisel.svg", "side-iron.svg"]);
    assert_eq!(names("offsets"), ["offsets.json"]);
    assert_eq!(names("plate"), ["plate.pdf", "plate.svg"]);
    assert_eq!(names("offsets,stl,stl"), ["block.stl", "offsets.json"]);
    // The job does not ask for the jig, but the command line does.
    let wood = names("wood");
    assert!(wood.contains(&"cutsheet.pdf".to_string()) && !wood.contains(&"block.stl".to_string()), "{wood:?}");
    assert_eq!(names("index"), ["index.html"]);
    let everything = names("stl,3mf,step,drawing,picture,sides,offsets,plate,index");
    let out = at.join("all").display().to_string();
    assert!(run(&["make", &job, "--out", &out]).status.success());
    assert_eq!(tree(&at.join("all")), tree(&at.join("stl,3mf,step,drawing,picture,sides,offsets,plate,index")));
    assert_eq!(everything.len(), 14);
    let unknown = refusal(&["make", &job, "--only", "stl,gcode"]);
    assert!(unknown.contains("gcode") && unknown.contains("offsets"), "{unknown}");
    refusal(&["make", &job, "--only", ""]);
}

/// A `.part` file is removed only where it has the program's form and nobody holds it; the user's own stay.
#[test]
fn what_a_killed_run_left_is_removed_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let job = file(at, "a.json", &job_of(1, 0));
    let out = at.join("out/a");
    fs::create_dir_all(out.join(".stopwright-aFolderOfAnyone1.part")).unwrap();
    let held = ".stopwright-0123456789abcdef.part";
    let kept = [
        "notes.part",
        ".notes.part",
        ".notes.12.part",
        ".block.stl.4194304.part",
        ".stopwright-notes.part",
        ".stopwright-0123456789abcde!.part",
        "stopwright-0123456789abcdef.part",
        held,
    ];
    let gone = [".stopwright-ABCDEFghijkl0123.part", ".stopwright-zzzzzzzzzzzzzzzz.part"];
    for name in kept.iter().chain(&gone) {
        fs::write(out.join(name), "half").unwrap();
    }
    // Another run is writing this one.
    let held_here = fs::File::options().write(true).open(out.join(held)).unwrap();
    held_here.try_lock().unwrap();
    assert!(made(at, std::slice::from_ref(&job), &[]).status.success());
    let left = |out: &Path| tree(out).into_keys().map(|p| p.display().to_string()).collect::<Vec<_>>();
    let names = left(&out);
    assert!(kept.iter().all(|name| names.contains(&name.to_string())), "{names:?}");
    assert!(gone.iter().all(|name| !names.contains(&name.to_string())), "{names:?}");
    drop(held_here);
    assert!(made(at, &[job], &[]).status.success());
    assert!(!left(&out).contains(&held.to_string()));
}
