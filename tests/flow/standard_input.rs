//! `-` in place of a file.

use std::process::Output;

use serde_json::Value;

use super::support::{demo, fed, home, program, stdout};

fn json_of(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn piped(arguments: &[&str], bytes: &[u8]) -> Output {
    fed(program().args(arguments).current_dir(home()), bytes)
}

#[test]
fn a_dash_reads_what_the_file_would_say() {
    let job = std::fs::read(demo()).unwrap();
    let measured = std::fs::read(home().join("examples/tool-chest-measured.json")).unwrap();
    let guide = std::fs::read(home().join("profiles/guides/narrow-side-clamp.json")).unwrap();
    let (demo, at) = (demo().display().to_string(), home().join("examples/tool-chest-measured.json"));
    let at = at.display().to_string();
    let cases: [(&[&str], &[&str], &[u8]); 5] = [
        (&["offsets", "-", "--json"], &["offsets", &demo, "--json"], &job),
        (&["offsets", "-", "--tool", "plane-iron"], &["offsets", "narrow-side-clamp", "--tool", "plane-iron"], &guide),
        (&["verify", "-", &at, "--json"], &["verify", &demo, &at, "--json"], &job),
        (&["verify", &demo, "-", "--json"], &["verify", &demo, &at, "--json"], &measured),
        (
            &["fit", "-", "--json"],
            &["fit", "examples/known-settings.json", "--json"],
            &std::fs::read(home().join("examples/known-settings.json")).unwrap(),
        ),
    ];
    for (dash, named, bytes) in cases {
        let named = program().args(named).current_dir(home()).output().unwrap();
        let dash_said = piped(dash, bytes);
        assert_eq!(dash_said.status.code(), named.status.code(), "{dash:?}");
        assert_eq!(dash_said.stdout, named.stdout, "{dash:?}");
    }
}

#[test]
fn a_job_from_a_pipe_is_made_and_faults_name_their_place_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out").display().to_string();
    let made = piped(&["make", "-", "--only", "offsets", "--out", &out], &std::fs::read(demo()).unwrap());
    assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
    let kept = stdout(&["offsets", &demo().display().to_string(), "--json"]);
    let offsets = json_of(&std::fs::read_to_string(folder.path().join("out/offsets.json")).unwrap());
    assert_eq!(offsets["lanes"], json_of(&kept)["lanes"]);

    let job = std::fs::read_to_string(demo()).unwrap().replace("\"mm\"", "\"feet\"");
    let bad = piped(&["offsets", "-"], job.as_bytes());
    let said = String::from_utf8(bad.stderr).unwrap();
    assert_eq!(bad.status.code(), Some(2));
    assert!(said.contains("standard input:4:12: units cannot be \"feet\""), "{said}");

    let twice = piped(&["verify", "-", "-"], &std::fs::read(demo()).unwrap());
    let said = String::from_utf8(twice.stderr).unwrap();
    assert_eq!(twice.status.code(), Some(2), "{said}");
    assert!(said.contains("standard input"), "{said}");
}
