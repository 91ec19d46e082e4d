//! How reports speak: as wide as the terminal, each thing once, in the workshop's words, coloured only where that is wanted.

use std::fs;
use std::path::Path;

use serde_json::json;
use tempfile::TempDir;

use crate::support::{file, home, program};

/// Beginnings and words that readers had to turn round, and names that belong into the source's comments.
const NEVER: [&str; 44] = [
    "registering edge",
    "apron",
    "inch gives",
    "U(p)",
    "U(angle)",
    "U (k = 2)",
    "U is ",
    "MIND:",
    "The roller hangs",
    "let it overhang",
    "Computed, not tried",
    "you trust",
    "cuts at 45° and clears",
    "may add ±",
    "forced by",
    "proven the fewest",
    "that no fewer do",
    "are left of the blade",
    "an edge wants",
    "wants now",
    "which wants",
    "as the edge wants to be",
    "that is struck stands",
    "that is only pushed",
    "usual for the class",
    "must be right within",
    "not told from",
    "risk 5 %",
    "The back is touched",
    "Not all steps are sound",
    "a finger in",
    "root mean square",
    "an assumption",
    "is to be ",
    "are to be ",
    "for want of",
    "found the text",
    "of a kit: letter",
    "chi-square",
    "degrees of freedom",
    "Jacobian",
    "trade's",
    "hangs together",
    "Taken as made",
];

/// People who wrote papers: their names stay in comments.
const PEOPLE: [&str; 10] =
    ["Archard", "Preston", "Moler", "Baarda", "Rabinowicz", "Hutchings", "Björck", "Lawson", "Bonferroni", "Dirichlet"];

/// No line of any report is wider than the terminal, no report says a thing twice, and none has an old word of `NEVER`.
#[test]
fn reports_speak_plainly() {
    let folder = bench();
    let reports: Vec<(String, String)> = commands()
        .into_iter()
        .map(|command| {
            let text = said(folder.path(), &command, None);
            (command, text)
        })
        .collect();
    every_report_fits_the_terminal(folder.path(), &reports);
    nothing_is_said_twice(&reports);
    reports_and_sheets_speak_the_workshops_words(folder.path(), &reports);
}

/// A folder with the examples, and with a job and a kit whose names are as long as they may be, in mm and inches.
fn bench() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let examples = folder.path().join("examples");
    fs::create_dir(&examples).expect("a folder in it");
    for entry in fs::read_dir(home().join("examples")).expect("the examples").flatten() {
        if entry.path().extension().is_some_and(|e| e == "json") {
            fs::copy(entry.path(), examples.join(entry.file_name())).expect("a copy");
        }
    }
    let name = "grandfather's much loved plane";
    let long = "the long and much loved block plane of grandfather's chest";
    for (units, thickness, width) in [("mm", 3.0, 38.0), ("in", 0.118, 1.5)] {
        let blade =
            |name: String, tool: &str| json!({ "name": name, "tool": tool, "width": width, "thickness": thickness });
        let blades = [blade(format!("{name}, one"), "block-plane-iron"), blade(format!("{name}, two"), "plane-iron")];
        let kit = json!({ "format": 1, "title": long, "units": units, "blades": blades, "grits": ["P220", "P800"] });
        file(folder.path(), &format!("kit-{units}.json"), &kit);
        let job = json!({ "format": 1, "title": long, "units": units, "guide": "narrow-side-clamp",
            "kit": format!("kit-{units}.json"), "wood": {} });
        file(folder.path(), &format!("kit-job-{units}.json"), &job);
        let settings = json!([{ "id": "grandfathers-block-plane", "tool": "block-plane-iron", "angles": [25, 30, 35],
            "thickness": thickness, "width": width }, { "tool": "bench-chisel", "angles": [25, 30] }]);
        let job = json!({ "format": 1, "title": long, "units": units, "guide": "twin-roller", "settings": settings });
        file(folder.path(), &format!("job-{units}.json"), &job);
    }
    folder
}

/// Commands over all examples and options, in the order in which they need each other's files.
fn commands() -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for job in ["examples/tool-chest", "examples/alder-lane-kit-job", "kit-job-mm", "kit-job-in", "job-mm", "job-in"] {
        for command in [
            "make {}",
            "make {} --details",
            "offsets {}",
            "offsets {} --details",
            "offsets {} --budget",
            "cutsheet {}",
            "cutsheet {} --details --lengths both",
            "cutsheet {} --lengths in --fraction 16",
            "gauges {}",
            "gauges {} --details",
            "gauges {} --square --camber 51,0.25",
            "picture {}",
            "card {}",
            "verify {} --guide examples/worn-side-clamp.json",
        ] {
            all.push(command.replace("{}", &format!("{job}.json")));
        }
    }
    for kit in ["examples/alder-lane-kit", "kit-mm", "kit-in"] {
        for command in [
            "kit {} --guide narrow-side-clamp",
            "kit {} --guide narrow-side-clamp --tolerance 0.3 --across-seats",
            "kit {} --guide examples/worn-side-clamp.json",
            "log {}",
        ] {
            all.push(command.replace("{}", &format!("{kit}.json")));
        }
    }
    for guide in ["narrow-side-clamp", "wide-side-clamp", "top-clamp", "bench-roller", "twin-roller"] {
        for command in [
            "offsets {} --tool plane-iron --angles 20,25,30,60",
            "offsets {} --tool plane-iron --units in --width 2 --details",
            "offsets {} --tool bench-chisel --budget --angles 25",
            "angle {} --tool plane-iron --fence 40",
            "angle {} --tool plane-iron --projection 69",
            "show {} --tool bench-chisel --angle 25 --block",
        ] {
            all.push(command.replace("{}", guide));
        }
    }
    let measured = "examples/tool-chest.json examples/tool-chest-measured.json";
    all.extend([
        format!("verify {measured}"),
        format!("verify {measured} --guard-band --write-corrections c.json"),
        format!("verify {measured} --wood"),
        format!("verify {measured} --guide examples/worn-side-clamp.json"),
    ]);
    all.extend(
        [
            "make examples/tool-chest.json --corrections c.json --out out/again",
            "make examples/tool-chest.json examples/alder-lane-kit-job.json --out out/all",
            "log examples/alder-lane-kit.json --honed jack --micro-width 0.6 --date 2026-03-01",
            "log examples/alder-lane-kit.json --reground jack --date 2026-03-09",
            "fit examples/known-settings.json",
            "measure --sheet",
            "measure --name mine --set roller.diameter=16 --set face.over_roller=19.01 --set seats.iron.locates=underside --set seats.iron.over_roller=30",
            "bevel --thickness 3 --primary 25 --micro 30 --recession 0.2",
            "bevel --thickness 3 --width 51 --primary 30 --change-to 25",
            "bevel --thickness 3 --primary 25 --recession 0.8",
            "camber --width 51 --plane jack",
            "camber --width 51 --depth 0.4 --guide narrow-side-clamp --tool plane-iron --grit P220",
            "camber --width 2 --plane smoother --units in",
            "grits P220,P400,P600,P800,P1500,P2000",
            "grits P80,P2000,3um",
            "testpiece",
            "testpiece examples/test-piece-measured.json",
            "gauges --angles 25,30,35",
            "gauges --angles 25,30 --metal --details",
            "gauges --camber 51,0.25 --square=60",
            "profiles",
        ]
        .map(String::from),
    );
    all
}

/// What a command says at `folder`, on both streams, as wide as `columns`.
fn said(folder: &Path, command: &str, columns: Option<&str>) -> String {
    let mut run = program();
    run.current_dir(folder).args(command.split_whitespace()).env_remove("COLUMNS");
    if let Some(columns) = columns {
        run.env("COLUMNS", columns);
    }
    let output = run.output().expect("it runs");
    let text = String::from_utf8(output.stdout).expect("text") + &String::from_utf8(output.stderr).expect("text");
    assert!(!text.is_empty() && !text.contains("Internal error"), "{command}: {text}");
    text
}

/// No line of any report is wider than the terminal, and no word is lost to it.
fn every_report_fits_the_terminal(folder: &Path, reports: &[(String, String)]) {
    for (command, whole) in reports {
        for columns in [80, 60] {
            let text = said(folder, command, Some(&columns.to_string()));
            let wide = text.lines().find(|line| line.chars().count() > columns);
            assert_eq!(wide, None, "{command} at {columns}");
            if !command.starts_with("log") {
                let count = |text: &str, word: &str| text.matches(word).count();
                for word in ["Warning", "passes", "FAILS", "LEFT OUT", "NO BLOCK"] {
                    assert_eq!(count(&text, word), count(whole, word), "{command} at {columns}: {word}");
                }
            }
        }
    }
}

/// What a report has said it does not say again; rows of tables are no sentences.
fn nothing_is_said_twice(reports: &[(String, String)]) {
    for (command, text) in reports {
        let lines = text.lines().filter(|line| !line.trim().contains("  ") && !line.starts_with('{'));
        let mut sentences: Vec<&str> =
            lines.flat_map(|line| line.split(". ")).map(str::trim).filter(|s| s.matches(' ').count() > 5).collect();
        let count = sentences.len();
        sentences.sort_unstable();
        sentences.dedup();
        let is_of_a_kit = command.starts_with("kit") || command.contains("kit-job");
        assert!(sentences.len() == count || is_of_a_kit, "{command}: {text}");
        assert!(text.matches("ommon practice, no source").count() <= 1, "{command}: {text}");
    }
}

/// No report and no sheet has an old word of `NEVER`, nor names people who wrote papers.
fn reports_and_sheets_speak_the_workshops_words(folder: &Path, reports: &[(String, String)]) {
    let mut texts = reports.to_vec();
    let mut folders = vec![folder.join("out")];
    while let Some(at) = folders.pop() {
        for path in fs::read_dir(&at).expect("a folder").flatten().map(|entry| entry.path()) {
            match path.extension().and_then(|e| e.to_str()) {
                _ if path.is_dir() => folders.push(path),
                Some("svg" | "html") => {
                    let file = fs::read_to_string(&path).expect("text");
                    let words = file.split('<').filter_map(|part| part.split_once('>')).map(|(_, words)| words.trim());
                    let words: Vec<&str> = words.filter(|words| !words.is_empty()).collect();
                    texts.push((path.display().to_string(), words.join(" ")));
                }
                _ => {}
            }
        }
    }
    assert!(texts.len() > 200, "{}", texts.len());
    for (what, text) in texts {
        for words in NEVER.iter().chain(&PEOPLE) {
            assert!(!text.contains(words), "{what}: {words}");
        }
        assert!(!text.contains("JCGM"), "{what}");
    }
}

/// Texts in the source that users read have none of them either; comments may name whom they like.
#[test]
fn the_source_has_no_such_words_to_say() {
    let mut folders = vec![home().join("src")];
    while let Some(at) = folders.pop() {
        for path in fs::read_dir(&at).expect("a folder").flatten().map(|entry| entry.path()) {
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let source = fs::read_to_string(&path).expect("text");
            let code = source.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
            let lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
            let text = lines.map(|line| line.trim().trim_end_matches('\\')).collect::<String>();
            for words in NEVER.iter().chain(&PEOPLE) {
                assert!(!text.contains(words), "{}: {words}", path.display());
            }
        }
    }
}

/// Colour is added where it is asked for, to nothing but reports, and takes no word away.
#[test]
fn colour_is_kept_for_terminals() {
    let folder = bench();
    let command = "verify examples/tool-chest.json examples/tool-chest-measured.json";
    let plain = said(folder.path(), command, Some("80"));
    assert!(!plain.contains('\u{1b}'));
    let colored = said(folder.path(), &format!("{command} --color always"), Some("80"));
    assert!(colored.contains("\u{1b}[32m  passes") && colored.contains("\u{1b}[1m"), "{colored}");
    let stripped: String = colored
        .split('\u{1b}')
        .enumerate()
        .map(|(i, part)| match i {
            0 => part,
            _ => part.split_once('m').map_or("", |(_, rest)| rest),
        })
        .collect();
    assert_eq!(stripped, plain);
    for more in ["--color never", "--json --color always"] {
        assert!(!said(folder.path(), &format!("{command} {more}"), None).contains('\u{1b}'), "{more}");
    }
    assert!(!said(folder.path(), "--color never --help", None).contains('\u{1b}'));
}
