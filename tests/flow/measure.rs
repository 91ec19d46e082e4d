//! Measuring a guide: by questions with the answers piped in, by flags, through a pseudo-terminal; and the sheet.
//! All guides here are invented.

mod sheet;
#[cfg(target_os = "linux")]
mod terminal;

use std::fs;
use std::path::Path;
use std::process::Output;

use proptest::prelude::*;
use serde_json::Value;

use super::support::{empty, fed, program, run, stdout, typed_lines};
use stopwright::guide::{Blade, Guide, Taken};
use stopwright::input::length::Length;
use stopwright::measure::{Session, State, build, words};
use stopwright::solve::measured::Measured;
use stopwright::terms::{Locates, SeatName};

/// A guide in mm: one seat, a parallel, several readings.
const MM: &[&str] = &[
    "own-guide",
    "mm",
    "0.01",
    "0.02 mm",
    "18.98; 19.00; 19.02",
    "centre",
    "skip",
    "25.31;",
    "25.29;",
    "25.30",
    "12.7 mm +- 0.1 mm",
    "52",
    "iron",
    "underside",
    "6.00",
    "33.90",
    "35; 67",
    "1.5 to 5",
    "invented for a test",
    "yes",
];

/// Runs `measure` in `folder` with `lines` piped in.
fn piped(folder: &Path, arguments: &[&str], lines: &[&str]) -> Output {
    fed(program().current_dir(folder).arg("measure").args(arguments), &typed_lines(lines))
}

/// Standard output of a piped run that must succeed.
fn answered(folder: &Path, arguments: &[&str], lines: &[&str]) -> String {
    let output = piped(folder, arguments, lines);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn guide_in(path: &Path) -> Guide {
    Guide::parse("own.json", &fs::read(path).unwrap()).unwrap_or_else(|e| panic!("{e}"))
}

/// Seat height h and axle to face e, mm, as the solver sees them.
fn from_axle(guide: &Guide, seat: SeatName) -> [f64; 2] {
    let chisel = Blade::chisel(2.4, 2.0).blade;
    let measured = Measured::new(guide, guide.seat_for(seat).1, chisel, Length::exact(0.0)).unwrap();
    let section = measured.section(&measured.values());
    [section.seat_height, section.axle_to_face]
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn a_guide_in_mm_by_piped_answers() {
    let folder = tempfile::tempdir().unwrap();
    let said = answered(folder.path(), &[], MM);
    let out = folder.path().join("out/own-guide");
    let guide = guide_in(&out.join("own-guide.json"));
    // h = M − g − D/2 = 33.9 − 6 − 9.5, e = N − D/2 = 25.3 − 9.5: case A of the design's reference table.
    let [h, e] = from_axle(&guide, SeatName::Iron);
    assert!(close(h, 18.4) && close(e, 15.8), "{h} {e}");
    for p in ["51.28", "39.23", "30.47"] {
        assert!(said.contains(p), "{said}");
    }
    // √3·s/√n: readings 0.02 apart have s = 0.02, 0.01 apart s = 0.01; one reading has half of the 0.01 step.
    assert!(close(guide.roller.diameter.within.unwrap(), 0.02));
    assert!(close(guide.face.axle_to_face.measured().within.unwrap(), 0.01));
    let (_, seat) = guide.seat_for(SeatName::Iron);
    assert!(close(seat.height.measured().within.unwrap(), 0.005));
    assert!(close(guide.face.bottom.unwrap().measured().within.unwrap(), 0.1));
    assert_eq!((seat.blade_width, seat.blade_thickness), (Some([35.0, 67.0]), Some([1.5, 5.0])));
    assert_eq!((guide.instrument, guide.roller.width), (Some(0.02), None));
    assert!(guide.notes.unwrap().starts_with("invented for a test\nReadings: D 18.98, 19.00, 19.02; N"));
    let view = fs::read_to_string(out.join("own-guide-side-iron.svg")).unwrap();
    assert!(view.contains("dim-axle-to-face") && !out.join("own-guide-side-chisel.svg").exists());
    assert!(said.contains("Read only once: g (iron), M (iron)"), "{said}");
    // The profile is one like any other, and the table is what `offsets` prints of it.
    let path = out.join("own-guide.json").display().to_string();
    let table = stdout(&["offsets", &path, "--tool", "plane-iron", "--angles", "25,30,35"]);
    assert!(table.lines().filter(|l| l.starts_with("plane-iron")).all(|l| said.contains(l)), "{table}\n{said}");
}

#[test]
fn an_inch_guide_with_fractions_back_skip_help_and_wrong_answers() {
    let folder = tempfile::tempdir().unwrap();
    let lines = [
        "a/b",
        "top-clamp",
        "inch guide",
        "cubits",
        "in",
        "skip",
        "0.001",
        "3/4 mm",
        "19,05",
        "3/4; 0.760; 0.95",
        "3/4; 0.751; 0.749",
        "pair",
        "3/8",
        "skip",
        "2 13/16",
        "1 3/4",
        "<",
        "help",
        "1 3/8 in +- 0.002 in",
        "skip",
        "2 1/2",
        "both",
        "back",
        "2",
        "1/8",
        "1 1/16",
        "1/2; 2 1/2",
        "1/4; 1/16",
        "1/16; 1/4",
        "sides",
        "skip",
        "3/16",
        "7/8",
        "1/8 to 1 1/2",
        "skip",
        "back",
        "",
        "skip",
        "skip",
        "no",
        "yes",
    ];
    let said = answered(folder.path(), &["--out", "here"], &lines);
    for words in [
        "\"a/b\"",
        "a built-in profile",
        "units cannot be \"cubits\". Use mm, in.",
        "0.0295 in. Give 0.157 to 4.724 in",
        "has a decimal comma. Write \"19.05 in\"",
        "a slip, not scatter",
        "3 readings: 0.75 ± 0.00781 in",
        "This one is needed: a blade must pass between",
        "Enter keeps 1 3/4.",
        "skip leaves out what you cannot",
        "could mean two things",
        "the larger first",
        "half of g below it",
        "Nothing was typed",
        "write cannot be \"no\". Use yes.",
        "iron seat: whether the guide clears the stone, as the profile lacks face.bottom",
    ] {
        let flat = said.replace("\n  ", " ");
        assert!(flat.contains(words), "{words}\n{said}");
    }
    let guide = guide_in(&folder.path().join("here/inch guide.json"));
    // Back: h = M − D/2. Sides: h = M − g/2 − D/2.
    let [h, e] = from_axle(&guide, SeatName::Iron);
    assert!(close(h, (1.0625 - 0.375) * 25.4) && close(e, 25.4), "{h} {e}");
    let [h, _] = from_axle(&guide, SeatName::Chisel);
    assert!(close(h, (0.875 - 0.09375 - 0.375) * 25.4), "{h}");
    assert_eq!(guide.seat_for(SeatName::Iron).1.locates, Locates::Back);
    assert!(matches!(guide.face.axle_to_face, Taken::OverRoller(l) if close(l.within.unwrap(), 0.0508)));
    let text = fs::read_to_string(folder.path().join("here/inch guide.json")).unwrap();
    assert!(text.contains("\"1 3/8 in\"") && text.contains("\"units\": \"in\""), "{text}");
    assert!(folder.path().join("here/inch guide-side-chisel.svg").is_file());
}

#[test]
fn nothing_is_written_when_the_answers_end_or_the_user_quits() {
    for cut in 0..MM.len() {
        let folder = tempfile::tempdir().unwrap();
        let output = piped(folder.path(), &[], &MM[..cut]);
        let error = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{cut}: {error}");
        assert!(error.contains("standard input: ") && error.contains("nothing was written"), "{error}");
        assert!(empty(folder.path()), "{cut}");
    }
    let folder = tempfile::tempdir().unwrap();
    let mut lines = MM[..12].to_vec();
    lines.push("quit");
    let said = answered(folder.path(), &[], &lines);
    assert!(said.ends_with("Stopped: nothing was written.\n") && empty(folder.path()));
}

#[test]
fn lines_that_are_no_text_are_asked_again() {
    let folder = tempfile::tempdir().unwrap();
    let mut bytes = b"\xff\xfe\n\n".to_vec();
    bytes.extend(vec![b'7'; 10_000]);
    bytes.extend(b"\n\x1b[A\n");
    // The last line of a pipe may lack its end.
    bytes.extend(MM.join("\n").as_bytes());
    let output = fed(program().current_dir(folder.path()).arg("measure"), &bytes);
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{said}");
    for words in ["not UTF-8", "Nothing was typed", "too long for an answer", "control characters"] {
        assert!(said.contains(words), "{words}");
    }
    assert!(folder.path().join("out/own-guide/own-guide.json").is_file());
}

#[test]
fn a_name_that_is_taken_is_seen_before_the_other_questions() {
    let folder = tempfile::tempdir().unwrap();
    let own = folder.path().join("out/own-guide/own-guide.json");
    fs::create_dir_all(own.parent().unwrap()).unwrap();
    fs::write(&own, "mine").unwrap();
    let mut lines = vec!["own-guide"];
    lines.extend_from_slice(MM);
    lines[1] = "second";
    let said = answered(folder.path(), &[], &lines);
    assert!(said.contains("stopwright did not make it") && said.contains("1. name of the guide"));
    assert_eq!(fs::read_to_string(&own).unwrap(), "mine");
    assert!(folder.path().join("out/second/second.json").is_file());
    let output = piped(folder.path(), &["--name", "own-guide"], MM);
    assert_eq!((output.status.code(), output.stdout.is_empty()), (Some(2), true));
    // A name and a unit from the arguments are not asked for.
    answered(folder.path(), &["--force", "--quiet", "--name", "own-guide", "--units", "mm"], &MM[2..]);
    assert_eq!(guide_in(&own).name, "own-guide");
}

#[test]
fn flags_need_no_questions_and_give_the_same_profile() {
    let folder = tempfile::tempdir().unwrap();
    answered(folder.path(), &["--out", "asked"], MM);
    let out = folder.path().join("flags").display().to_string();
    let said = stdout(&[
        "measure",
        "--name",
        "own-guide",
        "--out",
        &out,
        "--set",
        "caliper.resolution=0.01",
        "--set",
        "instrument=0.02 mm",
        "--set",
        "roller.diameter=18.98; 19.00; 19.02",
        "--set",
        "roller.arrangement=centre",
        "--set",
        "face.over_roller=25.31;25.29;25.30",
        "--set",
        "face.bottom_over_roller=12.7 mm +- 0.1 mm",
        "--set",
        "face.width=52",
        "--set",
        "seats.iron.locates=underside",
        "--set",
        "seats.iron.gauge=6.00",
        "--set",
        "seats.iron.over_roller=33.90",
        "--set",
        "seats.iron.blade_width=35; 67",
        "--set",
        "seats.iron.blade_thickness=1.5; 5",
        "--set",
        "notes=invented for a test",
    ]);
    assert!(!said.contains("> ") && said.contains("39.23"), "{said}");
    let read = |dir: &str| fs::read_to_string(folder.path().join(dir).join("own-guide.json")).unwrap();
    assert_eq!(read("asked"), read("flags"));
}

#[test]
fn all_faults_of_the_flags_show_in_one_run() {
    let folder = tempfile::tempdir().unwrap();
    let output = program()
        .current_dir(folder.path())
        .args(["measure", "--name", "../up", "--units", "in"])
        .args(["--set", "roller.diameter=19"])
        .args(["--set", "roller.gap=3"])
        .args(["--set", "roller.width=3/0"])
        .args(["--set", "roller.colour=red"])
        .args(["--set", "nonsense"])
        .args(["--set", "seats.chisel.locates=top"])
        .args(["--set", "face.width=2", "--set", "face.width=2"])
        .output()
        .unwrap();
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{error}");
    for words in [
        "name cannot be \"../up\"",
        "roller.diameter: \"19\", which is 19 in. Give 0.157 to 4.724 in",
        "roller.gap cannot be \"3\". Use only with roller.arrangement=pair",
        "roller.width: \"3/0\" is a fraction over zero",
        "--set cannot be \"roller.colour\". Use name, units",
        "--set cannot be \"nonsense\". Use FIELD=VALUE",
        "seats.chisel.locates cannot be \"top\". Use underside, back, sides",
        "face.width: the same field a second time",
        "face.over_roller is missing. Give 0 to 8.268 in (the projection",
        "seats.chisel.over_roller is missing",
    ] {
        assert!(error.contains(words), "{words}\n{error}");
    }
    assert_eq!(error.lines().count(), 10, "{error}");
    assert!(empty(folder.path()));
    let output = run(&["measure", "--name", "x", "--set", "roller.diameter=19"]);
    assert!(String::from_utf8(output.stderr).unwrap().contains("seats: no seat"));
}

#[test]
fn a_guide_without_any_setting_is_written_and_the_doubt_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().display().to_string();
    let said = stdout(&[
        "measure",
        "--name",
        "odd",
        "--out",
        &out,
        "--set",
        "roller.diameter=20.00",
        "--set",
        "face.over_roller=200.00",
        "--set",
        "seats.iron.locates=underside",
        "--set",
        "seats.iron.over_roller=20.00",
    ]);
    assert!(said.contains("No setting: plane-iron-30") && said.contains("Did you measure everything"), "{said}");
    assert!(folder.path().join("odd.json").is_file() && !folder.path().join("odd-side-iron.svg").exists());
}

#[test]
fn help_has_examples() {
    assert!(stdout(&["measure", "--help"]).contains("stopwright measure --sheet"));
}

/// Whatever is typed, a session neither panics nor ends in a profile that cannot be read.
fn any_line() -> impl Strategy<Value = String> {
    let sensible = prop::sample::select(vec![
        "guide",
        "mm",
        "in",
        "skip",
        "skip",
        "back",
        "<",
        "help",
        "",
        "pair",
        "centre",
        "both",
        "iron",
        "1",
        "2",
        "3",
        "yes",
        "20",
        "1/2 in",
        "20; 20.1",
        "4 mm; 4 mm",
        "20;",
        "{\"value\": 20, \"within\": 1}",
        "2; 5",
        "1 to 1.5",
        "20 +- 0.1",
        "0.5 in",
    ]);
    prop_oneof![12 => sensible.prop_map(String::from), 1 => any::<String>(), 1 => "[0-9./; +-]{0,9}( mm| in)?"]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]
    #[test]
    fn any_answers_end_in_a_sound_profile_or_in_none(lines in prop::collection::vec(any_line(), 0..160)) {
        let mut session = Session::new(Vec::new());
        for line in &lines {
            if session.state() != State::Asking {
                break;
            }
            session.answer(line);
            prop_assert!(session.words().lines().all(|l| l.chars().count() <= 80 || l.contains("notes") || l.contains("keeps")));
        }
        if session.state() == State::Done {
            let text = build::text(&build::profile(&session.answers()).unwrap()).unwrap();
            let guide = Guide::parse("own.json", text.as_bytes());
            prop_assert!(guide.is_ok(), "{}\n{}", guide.unwrap_err(), text);
        }
    }
}

/// The random answers do reach the end often enough to mean something.
#[test]
fn the_plain_answers_finish_a_session() {
    let mut session = Session::new(Vec::new());
    assert!(words::introduction().contains("edges cut"));
    for line in MM {
        session.answer(line);
    }
    assert_eq!(session.state(), State::Done);
    let profile: Value =
        serde_json::from_str(&build::text(&build::profile(&session.answers()).unwrap()).unwrap()).unwrap();
    assert_eq!(profile["face"]["over_roller"]["value"], 25.3);
}
