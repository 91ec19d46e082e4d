//! Questions for a job, a kit, known settings and measured fences: with the answers piped in, through a pseudo-terminal,
//! and what is made of the written files. All blades and guides here are invented.

#[cfg(target_os = "linux")]
mod terminal;

use std::fs;
use std::path::Path;
use std::process::Output;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::support::{empty, fed, program, typed_lines};
use stopwright::ask::job::JobForm;
use stopwright::ask::kit::KitForm;
use stopwright::ask::measured::MeasuredForm;
use stopwright::ask::settings::SettingsForm;
use stopwright::ask::{Ask, Folder, Form, Key};
use stopwright::guide::named::NoFiles;
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::questions::{Session, State};
use stopwright::units::Units;

/// A job with two kinds of blade, in mm.
const JOB: &[&str] = &[
    "narrow-side-clamp",
    "",
    "plane-iron",
    "25 30",
    "2.4",
    "51",
    "yes",
    "bench-chisel",
    "",
    "",
    "",
    "1.3",
    "",
    "",
    "",
    "Two blades",
    "",
    "",
];

/// A kit of two blades.
const KIT: &[&str] = &[
    "mm",
    "jack",
    "plane-iron",
    "51",
    "2.41; 2.39; 2.40",
    "27",
    "140",
    "plain-carbon",
    "softwood, hardwood",
    "y",
    "1/2 chisel",
    "bench-chisel",
    "1/2 in",
    "",
    "",
    "",
    "",
    "",
    "",
    "",
    "Small kit",
    "",
    "",
];

/// Three known settings, of which the second keeps seat and thickness of the first.
const SETTINGS: &[&str] = &[
    "leaflet guide",
    "",
    "iron",
    "",
    "20",
    "79.0",
    "2.4",
    "yes",
    "",
    "25",
    "60.0",
    "",
    "yes",
    "",
    "30",
    "47.0",
    "",
    "",
    "16.0 +- 0.05",
    "",
    "",
    "",
];

/// Runs `ask` in `folder` with `lines` piped in.
fn piped(folder: &Path, arguments: &[&str], lines: &[&str]) -> Output {
    fed(program().current_dir(folder).arg("ask").args(arguments), &typed_lines(lines))
}

/// What a run says that must succeed, with its sentences on one line each; no line of it is wider than a terminal.
fn answered(folder: &Path, arguments: &[&str], lines: &[&str]) -> String {
    let output = piped(folder, arguments, lines);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{said}\n{}", String::from_utf8_lossy(&output.stderr));
    let wide = said.lines().find(|line| line.chars().count() > 80);
    assert_eq!(wide, None);
    said.replace("\n  ", " ").replace("\n     ", " ")
}

/// Runs the program in `folder` and gives what it says.
fn ran(folder: &Path, arguments: &[&str]) -> String {
    let output = program().current_dir(folder).args(arguments).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// The command that the program says to type next, without its name.
fn next(said: &str) -> Vec<String> {
    let line = said.lines().find_map(|line| line.strip_prefix("Next: stopwright ")).unwrap_or_else(|| panic!("{said}"));
    line.split(' ').map(String::from).collect()
}

fn json_in(folder: &Path, name: &str) -> Value {
    serde_json::from_slice(&fs::read(folder.join(name)).unwrap()).unwrap()
}

#[test]
fn a_job_is_asked_for_and_its_block_is_made() {
    let folder = tempfile::tempdir().unwrap();
    let said = answered(folder.path(), &["job"], JOB);
    assert!(said.contains("Write two-blades.json? (Enter: yes)"), "{said}");
    let job = json_in(folder.path(), "two-blades.json");
    assert_eq!(job["settings"][0], json!({ "tool": "plane-iron", "angles": [25, 30], "thickness": 2.4, "width": 51 }));
    assert_eq!(job["settings"][1], json!({ "tool": "bench-chisel", "angles": [25, 30, 35], "land": 1.3 }));
    assert!(job.get("wood").is_none() && job.get("print").is_none());
    let next = next(&said);
    assert_eq!(next, ["make", "two-blades.json"]);
    ran(folder.path(), &next.iter().map(String::as_str).collect::<Vec<_>>());
    assert!(folder.path().join("out/two-blades/block.stl").is_file());
}

#[test]
fn a_job_in_inches_is_inches_throughout() {
    let folder = tempfile::tempdir().unwrap();
    let lines =
        ["1", "in", "plane-iron", "30", "3/32", "2 +- 1/64", "n", "both", "8 1/2 x 8 1/2", "Inch iron", "", "yes"];
    let said = answered(folder.path(), &["job"], &lines);
    assert!(!said.split("Which kind of blade?").nth(1).unwrap().contains(" mm"), "{said}");
    let job = json_in(folder.path(), "inch-iron.json");
    assert_eq!(job["settings"][0]["thickness"], "3/32 in");
    assert_eq!(job["settings"][0]["width"], "2 +- 1/64 in");
    assert_eq!((&job["print"]["bed"], &job["wood"]), (&json!(["8 1/2 in", "8 1/2 in"]), &json!({})));
    ran(folder.path(), &["make", "inch-iron.json"]);
    assert!(
        fs::read_dir(folder.path().join("out/inch-iron"))
            .unwrap()
            .flatten()
            .any(|e| { e.file_name().to_string_lossy().starts_with("cutsheet") })
    );
}

/// What the reader of the file refuses is refused at its question, in the same words.
#[test]
fn wrong_answers_are_refused_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let lines = [
        "top-clmp",
        "nowhere.json",
        "top-clamp",
        "feet",
        "in",
        "plane-irn",
        "plane-iron",
        "99",
        "27,5",
        "25, 25",
        "25, 30",
        "2,4",
        "0.24 cm",
        "9",
        "1/4; 1/2; 1/8; 2 in",
        "1/8",
        "200",
        "2",
        "maybe",
        "no",
        "wood",
        "jig",
        "",
        "../up",
        "a name",
        "",
    ];
    let said = answered(folder.path(), &["job"], &lines);
    for words in [
        "guide cannot be \"top-clmp\". Did you mean \"top-clamp\"?",
        "guide: there is no file \"nowhere.json\".",
        "units cannot be \"feet\". Use \"mm\" or \"in\".",
        "tool cannot be \"plane-irn\". Did you mean \"plane-iron\"?",
        "angles cannot be 99. Use a number from 5 to 60.",
        "\"27,5\" has a decimal comma. Write \"27.5\"",
        "angles: plane-iron at 25° a second time.",
        "thickness: \"2,4\" has a decimal comma. Write \"2.4 in\".",
        "thickness: \"0.24 cm\": cm is not supported. Write \"2.4 mm\", or use in.",
        "thickness cannot be 9. Use 0.0079 to 0.9843 in.",
        "apart are a slip, not scatter",
        "width cannot be 200. Use 0.0197 to 5.9055 in.",
        "the answer cannot be \"maybe\". Use yes or no.",
        "what to make cannot be \"wood\". Use \"block\", \"jig\" or \"both\".",
        "the file cannot be \"../up\".",
        "Next: stopwright cutsheet \"a name.json\"",
    ] {
        assert!(said.contains(words), "{words}\n{said}");
    }
    ran(folder.path(), &["cutsheet", "a name.json"]);
}

/// The coarsest reading says how close a mean can be, wherever it stands.
#[test]
fn readings_give_one_tolerance_in_any_order() {
    let thickness = |readings: &str| {
        let folder = tempfile::tempdir().unwrap();
        let lines: Vec<&str> = KIT.iter().map(|line| if line.contains(';') { readings } else { *line }).collect();
        answered(folder.path(), &["kit"], &lines);
        let kit: Value = serde_json::from_slice(&fs::read(folder.path().join("small-kit.json")).unwrap()).unwrap();
        kit["blades"][0]["thickness"].clone()
    };
    let coarse_first = thickness("2; 2.02");
    assert_eq!(coarse_first, thickness("2.02; 2"));
    assert!(coarse_first["within"].as_f64().unwrap() >= 0.5, "{coarse_first}");
}

/// A known setting is one projection, not several readings of it.
#[test]
fn where_one_length_is_asked_for_several_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let mut lines = SETTINGS.to_vec();
    lines.insert(5, "79.0; 79.2");
    let said = answered(folder.path(), &["settings"], &lines);
    assert!(said.contains("projection: \"79.0; 79.2\" is not a length"), "{said}");
}

#[test]
fn going_back_keeps_answers_and_another_unit_drops_the_bare_lengths() {
    let folder = tempfile::tempdir().unwrap();
    let to_units =
        ["narrow-side-clamp", "mm", "plane-iron", "", "2.4", "<", "", "", "back", "back", "back", "back", "back"];
    let in_inches = ["in", "", "", "help", "skip", "2", "back", "", "no", "", "", "", "iron", "quit"];
    let said = answered(folder.path(), &["job"], &[&to_units[..], &in_inches].concat());
    for words in ["Enter keeps 2.4.", "Enter keeps mm.", "Enter keeps 25, 30, 35.", "Enter keeps 2."] {
        assert!(said.contains(words), "{words}\n{said}");
    }
    let (_, after) = said.split_once("Enter keeps mm.").unwrap();
    assert!(after.contains("(Enter: 0.079 to 0.11 in, as usual)") && !after.contains("2.4."), "{after}");
    assert!(said.ends_with("Stopped: nothing was written.\n") && empty(folder.path()));
}

#[test]
fn an_own_guide_in_the_folder_is_offered_first() {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("out/mine");
    fs::create_dir_all(&own).unwrap();
    fs::write(own.join("mine.json"), ran(folder.path(), &["profiles", "top-clamp"])).unwrap();
    let said = answered(folder.path(), &["job"], &["", "", "plane-iron", "", "", "", "", "", "", "", "", ""]);
    assert!(
        said.contains("(Enter: out/mine/mine.json)") && said.contains("1 out/mine/mine.json: for irons; your own"),
        "{said}"
    );
    assert_eq!(json_in(folder.path(), "plane-iron.json")["guide"], "out/mine/mine.json");
    ran(folder.path(), &["make", "plane-iron.json", "--quiet"]);
}

#[test]
fn a_kit_is_asked_for_and_goes_through_kit() {
    let folder = tempfile::tempdir().unwrap();
    let said = answered(folder.path(), &["kit"], KIT);
    assert!(said.contains("3 readings: 2.4 ± 0.01 mm."), "{said}");
    let kit = json_in(folder.path(), "small-kit.json");
    assert_eq!(kit["blades"][0]["use"], json!(["softwood", "hardwood"]));
    assert_eq!(kit["blades"][0]["thickness"]["value"], 2.4);
    assert_eq!(kit["blades"][1], json!({ "name": "1/2 chisel", "tool": "bench-chisel", "width": "1/2 in" }));
    let next = next(&said);
    assert!(ran(folder.path(), &next.iter().map(String::as_str).collect::<Vec<_>>()).contains("jack"));
    let twice = ["mm", "jack", "plane-iron", "", "", "", "", "", "", "yes", "jack", "plough", "quit"];
    assert!(answered(folder.path(), &["kit"], &twice).contains("name: \"jack\" a second time"));
}

#[test]
fn known_settings_are_asked_for_and_fitted() {
    let folder = tempfile::tempdir().unwrap();
    let said = answered(folder.path(), &["settings"], SETTINGS);
    let file = json_in(folder.path(), "leaflet-guide-settings.json");
    assert_eq!(file["known"].as_array().unwrap().len(), 3);
    assert_eq!(file["known"][1], json!({ "seat": "iron", "angle": 25, "projection": 60.0, "thickness": 2.4 }));
    // The digits as written tell how well a projection is known.
    assert!(fs::read_to_string(folder.path().join("leaflet-guide-settings.json")).unwrap().contains("79.0"));
    assert!(ran(folder.path(), &next(&said).iter().map(String::as_str).collect::<Vec<_>>()).contains("leaflet guide"));
    let longer = ["g", "mm", "iron", "", "25", "40", "", "yes", "", "30", "50", "quit"];
    assert!(answered(folder.path(), &["settings"], &longer).contains("a steeper bevel needs a shorter projection"));
}

#[test]
fn fences_are_asked_for_lane_by_lane_and_verified() {
    let folder = tempfile::tempdir().unwrap();
    answered(folder.path(), &["job", "--out", "two.json"], &[&JOB[..JOB.len() - 2], &["yes"]].concat());
    let nothing = ["", "", "", "", "", "", "", "", "", "", "yes", "quit"];
    assert!(
        answered(folder.path(), &["measured", "two.json"], &nothing).contains("neither lanes nor bevels nor plates")
    );
    let lines = [
        "",
        "",
        "59.99; 60.01",
        "70",
        "back",
        "46.9",
        "",
        "skip",
        "28.3",
        "yes",
        "plane-iron-30",
        "",
        "12.3; 47.4",
        "70",
        "25",
        "yes",
        "",
        "inclinometer",
        "30.1",
        "29.9",
        "",
        "no",
        "yes",
        "plane-iron-30",
        "",
        "4.85",
        "2.41",
        "yes",
        "bench-chisel-25",
        "angle",
        "25.5",
        "",
        "no",
        "",
        "",
    ];
    let said = answered(folder.path(), &["measured", "two.json"], &lines);
    assert!(said.contains("plane-iron 25°: how far is the fence") && said.contains("off the"), "{said}");
    let file = json_in(folder.path(), "two-measured.json");
    assert_eq!(file["lanes"][0], json!({ "id": "plane-iron-25", "measured": [59.99, 60.01] }));
    assert_eq!(file["lanes"].as_array().unwrap().len(), 3, "{file}");
    assert_eq!(file["bevels"][1], json!({ "id": "bench-chisel-25", "angle_read": 25.5 }));
    assert_eq!(
        file["plates"],
        json!([
            { "id": "plane-iron-30", "heights": [12.3, 47.4], "apart": 70, "bevel": 25 },
            { "id": "plane-iron-30", "inclinometer": 30.1, "turned": 29.9, "bevel": 25 }
        ])
    );
    let next = next(&said);
    assert_eq!(next[..2], ["verify", "two.json"]);
    let output = program().current_dir(folder.path()).args(&next).output().unwrap();
    assert!(String::from_utf8_lossy(&output.stdout).contains("plane-iron"), "{output:?}");
}

/// The form on the jig's check sheet and the questions have the same rows in the same order; what is entered is judged.
#[test]
fn fences_of_the_wooden_jig_are_asked_for_row_by_row_as_its_form_has_them() {
    let folder = tempfile::tempdir().unwrap();
    answered(folder.path(), &["job", "--out", "two.json"], &[&JOB[..JOB.len() - 2], &["yes"]].concat());
    ran(folder.path(), &["cutsheet", "two.json", "--out", "jig", "--quiet"]);
    let sheets = fs::read_dir(folder.path().join("jig")).unwrap().map(|file| file.unwrap().path());
    let sheets = sheets.filter(|path| path.extension().is_some_and(|ending| ending == "svg"));
    let form = sheets.map(|path| fs::read_to_string(path).unwrap()).find(|svg| svg.contains("check-blanks")).unwrap();
    assert!(form.contains("stopwright ask measured JOB.json --wood"));
    let row = |part: &str| {
        let (tag, _) = part.split_once('>')?;
        let (value, rest) = tag.split_once('"')?;
        let id = rest.split_once("id=\"check-")?.1.strip_suffix("-fence\"")?;
        let read: f64 = value.parse().ok()?;
        Some((id.to_string(), format!("{read:.2}")))
    };
    let rows: Vec<(String, String)> = form.split("data-value=\"").skip(1).filter_map(row).collect();
    assert_eq!(rows.len(), 5, "{rows:?}");
    let readings: Vec<String> = rows.iter().map(|(_, value)| format!("{value}; {value}")).collect();
    let lines: Vec<&str> =
        ["", ""].into_iter().chain(readings.iter().map(String::as_str)).chain(["", "", "", ""]).collect();
    let said = answered(folder.path(), &["measured", "two.json", "--wood"], &lines);
    let file = json_in(folder.path(), "two-measured.json");
    let entered: Vec<&str> =
        file["lanes"].as_array().unwrap().iter().map(|lane| lane["id"].as_str().unwrap()).collect();
    assert_eq!(entered, rows.iter().map(|(id, _)| id.as_str()).collect::<Vec<_>>());
    assert!(said.contains(&format!("The sheet says {} ±", rows[0].1)), "{said}");
    let next = next(&said);
    assert_eq!(next[..3], ["verify", "--wood", "two.json"]);
    ran(folder.path(), &next.iter().map(String::as_str).collect::<Vec<_>>());
}

#[test]
fn a_command_wider_than_a_terminal_is_broken_where_a_shell_takes_it() {
    let folder = tempfile::tempdir().unwrap();
    answered(folder.path(), &["job", "--out", "two.json"], &[&JOB[..JOB.len() - 2], &["yes"]].concat());
    let file = "readings-of-the-block-that-was-printed-in-the-second-week-of-march.json";
    let lines = ["", "", "60", "", "", "", "", "", "", "yes"];
    let output = piped(folder.path(), &["measured", "two.json", "--out", file], &lines);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(said.ends_with(&format!("Next: stopwright verify two.json \\\n  {file}\n")), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "{said}");
}

#[test]
fn no_file_of_somebody_else_is_replaced() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("mine.json"), "mine").unwrap();
    let output = piped(folder.path(), &["job", "--out", "mine.json"], JOB);
    assert_eq!((output.status.code(), output.stdout.is_empty()), (Some(2), true));
    let lines = [&JOB[..JOB.len() - 2], &["mine", "other", ""]].concat();
    let said = answered(folder.path(), &["job"], &lines);
    assert!(said.contains("mine.json was left alone: stopwright did not make it"), "{said}");
    assert_eq!(fs::read_to_string(folder.path().join("mine.json")).unwrap(), "mine");
    assert!(folder.path().join("other.json").is_file());
    answered(folder.path(), &["job", "--out", "mine.json", "--force"], &[&JOB[..JOB.len() - 2], &["yes"]].concat());
    assert_eq!(json_in(folder.path(), "mine.json")["title"], "Two blades");
}

#[test]
fn nothing_is_written_when_the_answers_end_or_the_user_says_no() {
    for (kind, lines) in [("job", JOB), ("kit", KIT), ("settings", SETTINGS)] {
        for cut in 0..lines.len() {
            let folder = tempfile::tempdir().unwrap();
            let output = piped(folder.path(), &[kind], &lines[..cut]);
            let error = String::from_utf8(output.stderr).unwrap();
            assert_eq!(output.status.code(), Some(2), "{kind} {cut}: {error}");
            assert!(error.contains("nothing was written") && empty(folder.path()), "{kind} {cut}: {error}");
        }
        let folder = tempfile::tempdir().unwrap();
        let said = answered(folder.path(), &[kind], &[&lines[..lines.len() - 1], &["no"]].concat());
        assert!(said.ends_with("Stopped: nothing was written.\n") && empty(folder.path()), "{said}");
    }
}

/// One of the four kinds.
fn form(which: usize) -> Box<dyn Form> {
    let folder = || Folder::new(Box::new(NoFiles), &[]);
    match which {
        0 => Box::new(JobForm::new(folder())),
        1 => Box::new(KitForm::new(folder())),
        2 => Box::new(SettingsForm),
        _ => {
            let job = br#"{"format": 1, "title": "t", "guide": "narrow-side-clamp",
                "settings": [{ "tool": "plane-iron", "angles": [25, 30] }]}"#;
            let job = Job::parse("job.json", job, &NoFiles).unwrap();
            let lanes = lanes::of_job(&job).unwrap();
            Box::new(MeasuredForm::new(lanes, Units::Inch, "job.json", "job"))
        }
    }
}

fn any_line() -> impl Strategy<Value = String> {
    let sensible = prop::sample::select(vec![
        "",
        "",
        "",
        "",
        "",
        "",
        "skip",
        "back",
        "<",
        "help",
        "1",
        "2",
        "7",
        "yes",
        "no",
        "in",
        "mm",
        "25",
        "30; 35",
        "27.5",
        "2.4",
        "1/8",
        "1 3/8",
        "2.4 +- 0.1",
        "2.41; 2.40",
        "50 x 60",
        "200",
        "3,5",
        "2 cm",
        "60.00",
        "iron",
        "chisel",
        "sides",
        "back",
        "length",
        "angle",
        "jack",
        "a b",
        "AB12",
        "plane-iron",
        "bench-chisel",
        "x.json",
        "- 5.",
        ".5",
        "1e1",
        "-3",
        "1 3/8;",
        "2.4 mm +- 0.05",
        "25°",
        "0.000",
    ]);
    prop_oneof![12 => sensible.prop_map(String::from), 1 => any::<String>(), 1 => "[0-9./;, +-]{0,9}( mm| in|°)?"]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]
    /// Whatever is typed, no session panics, none says a line that is wider than a terminal, and what it would write is
    /// read without a fault.
    #[test]
    fn any_answers_end_in_a_sound_file_or_in_none(which in 0usize..4, lines in prop::collection::vec(any_line(), 0..60)) {
        let mut session = Session::of(Ask::new(form(which)), Vec::new());
        // Enter ends most of them.
        for line in lines.iter().map(String::as_str).chain(["1", "25", "2", "60"].into_iter().cycle().take(8)).chain([""; 40]) {
            if session.state() != State::Asking {
                break;
            }
            let said = session.answer(line);
            prop_assert!(said.lines().all(|l| l.chars().count() <= 80), "{said}");
        }
        let answers = session.answers();
        if session.state() == State::Done && answers.said(Key::Write) == Some("yes") {
            let text = session.script().written(&answers).text;
            let read = session.script().form().read(&text);
            prop_assert!(read.is_ok(), "{}\n{text}", read.unwrap_err());
        }
    }
}

/// Random answers do reach the end often enough to mean something: plain ones always do.
#[test]
fn the_plain_answers_finish_a_session() {
    for (which, lines) in [JOB, KIT, SETTINGS].into_iter().enumerate() {
        let mut session = Session::of(Ask::new(form(which)), Vec::new());
        for line in lines {
            assert_eq!(session.state(), State::Asking, "before {line:?}");
            session.answer(line);
        }
        assert_eq!(session.state(), State::Done, "{}", session.words());
    }
}
