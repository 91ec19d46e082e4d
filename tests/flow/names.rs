//! Names in the scripts that people write: shown alike on all outputs, or refused by name before anything is written.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use super::support::{file, home, job_of, program, refusal};

/// Everything that is made of a job in `folder`.
fn made(folder: &Path, job: &Value) -> String {
    let path = file(folder, "job.json", job);
    let out = folder.join("made");
    let output = program().args(["make", &path, "--out", &out.display().to_string()]).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn read(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join("made").join(name)).unwrap()
}

#[test]
fn names_that_cannot_be_shown_are_refused_by_code_point() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("made");
    let said = |job: &Value| {
        let said = refusal(&["make", &file(folder.path(), "job.json", job), "--out", &out.display().to_string()]);
        assert!(!out.exists(), "something was written");
        said
    };
    for (name, found) in [
        (
            "台刨",
            "title has \"刨\" (U+5228), \"台\" (U+53F0), which the drawings' font cannot show. Use Latin, Greek or Cyrillic letters.",
        ),
        ("מקצוע", "which is read from right to left, and the drawings are not."),
        ("a\u{200b}b", "title has U+200B, which nobody can see. Take it out."),
        ("a\u{202e}b", "title has U+202E, which nobody can see."),
        ("🪚 saw", "title has \"🪚\" (U+1FA9A), which the drawings' font cannot show."),
        ("x\u{30c}", "title has U+030C, a mark that makes no sign"),
        ("two\nlines", "title has U+000A, which nobody can see."),
    ] {
        let mut job = job_of(1, 0);
        job["title"] = json!(name);
        let told = said(&job);
        assert!(told.contains(found) && told.contains("job.json:1:"), "{told}");
        job["title"] = json!("fine");
        job["settings"][0]["id"] = json!(name);
        assert!(said(&job).contains("settings[0].id has "));
    }
    // Of guides, kits and blades as well, whoever reads them.
    let guide = fs::read_to_string(home().join("profiles/guides/top-clamp.json")).unwrap();
    let path = folder.path().join("guide.json");
    fs::write(&path, guide.replacen("\"name\": \"top-clamp\"", "\"name\": \"鉋\"", 1)).unwrap();
    let guide = path.display().to_string();
    let told = refusal(&["offsets", &guide, "--tool", "plane-iron"]);
    assert!(
        told.contains("guide.json:3:11: name has \"鉋\" (U+924B), which the drawings' font cannot show."),
        "{told}"
    );
    let kit = fs::read_to_string(home().join("examples/alder-lane-kit.json")).unwrap();
    let path = folder.path().join("kit.json");
    fs::write(&path, kit.replacen("\"try plane\"", "\"長台\"", 1)).unwrap();
    let told = refusal(&["kit", &path.display().to_string(), "--guide", "narrow-side-clamp"]);
    assert!(told.contains("kit.json:12:15: blades[1].name has "), "{told}");
    let told = refusal(&["measure", "--name", "鉋", "--set", "roller.diameter=16"]);
    assert!(told.contains("(U+924B)"), "{told}");
}

/// As on paper, so in the file; in relief in capitals and plain letters, which the report says.
#[test]
fn names_of_europe_are_lettered() {
    let folder = tempfile::tempdir().unwrap();
    let mut job = job_of(1, 0);
    job["title"] = json!("Müller Łø ß");
    let report = made(folder.path(), &job);
    assert!(read(folder.path(), "block.svg").contains("Müller Łø ß"));
    let path = folder.path().join("job.json").display().to_string();
    let out = folder.path().join("made").display().to_string();
    let output = program().args(["make", &path, "--out", &out, "--json"]).output().unwrap();
    let json: Value = serde_json::from_slice(&output.stdout).unwrap();
    let labels = json["blocks"][0]["labels"].to_string();
    assert!(labels.chars().all(|c| c.is_ascii() || "°Ł".contains(c)), "{labels}");
    for word in ["MUELLER", "ŁOE", "SS"] {
        assert!(labels.contains(word), "{word}: {labels}");
    }
    assert!(report.contains("is lettered as"), "{report}");
}

/// The same name is the same whichever keyboard it is from: accents are composed, and places are told as the file has them.
#[test]
fn accents_are_composed() {
    let folder = tempfile::tempdir().unwrap();
    let (composed, apart) = ("Rähmchen é", "Ra\u{308}hmchen e\u{301}");
    let mut job = job_of(1, 0);
    let drawn = [composed, apart].map(|title| {
        job["title"] = json!(title);
        made(folder.path(), &job);
        read(folder.path(), "block.svg")
    });
    assert!(drawn[0].contains(composed));
    assert_eq!(drawn[0], drawn[1]);
    let text = format!("{{\"title\": \"{apart}\", \"format\": 2}}");
    let path = folder.path().join("wrong.json");
    fs::write(&path, &text).unwrap();
    let told = refusal(&["make", &path.display().to_string()]);
    let column = text.split("2}").next().unwrap().chars().count() + 1;
    assert!(told.contains(&format!("wrong.json:1:{column}: format cannot be 2")), "{told}");
}

/// No drawing or page names a font that somebody sells or that must be installed: letters are drawn by their outlines, and
/// the text over them is there to be found and selected.
#[test]
fn drawings_look_alike_without_any_font() {
    let folder = tempfile::tempdir().unwrap();
    let job = home().join("examples/alder-lane-kit-job.json").display().to_string();
    let out = folder.path().display().to_string();
    assert!(matches!(program().args(["make", &job, "--out", &out]).output().unwrap().status.code(), Some(0 | 3)));
    let mut drawings = 0;
    for entry in fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path()) {
        let name = entry.file_name().unwrap().to_string_lossy().into_owned();
        let is_svg = name.ends_with(".svg");
        if !is_svg && !name.ends_with(".html") {
            continue;
        }
        let text = fs::read_to_string(&entry).unwrap();
        for sold in ["Verdana", "Arial", "Helvetica", "Segoe", "DejaVu", "@font-face", "url("] {
            assert!(!text.contains(sold), "{name} has {sold}");
        }
        if !is_svg {
            continue;
        }
        drawings += 1;
        assert_eq!(text.matches("font-family").count(), 1, "{name}");
        assert!(text.contains("font-family=\"sans-serif\""), "{name}");
        let texts = text.matches("<text ").count();
        assert_eq!(text.matches("pointer-events=\"all\"").count(), texts, "{name}: text is seen twice");
        assert_eq!(text.matches("class=\"letters\"").count(), texts, "{name}: text without letters");
        for used in text.split("xlink:href=\"#").skip(1).map(|rest| rest.split('"').next().unwrap()) {
            assert_eq!(text.matches(&format!("<path id=\"{used}\"")).count(), 1, "{name}: {used}");
        }
    }
    assert!(drawings > 10, "{drawings}");
}
