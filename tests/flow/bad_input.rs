//! Bad input: exit code 2, a message that names the place and what is allowed, nothing written, no panic.

use std::fs;
use std::path::Path;
use std::process::Stdio;

use proptest::prelude::*;
use serde_json::{Value, json};

use super::support::{demo, file, home, job_of, program, refusal, tells_of};
use stopwright::guide::named::{GUIDES, NoFiles, TOOLS};
use stopwright::guide::{Guide, ToolClass};
use stopwright::input::length;
use stopwright::job::Job;
use stopwright::units::Units;

/// Runs `make` on a job's text; it must be refused, and leave nothing behind.
fn refused(text: &[u8]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.json");
    fs::write(&path, text).unwrap();
    let out = folder.path().join("made");
    let said = refusal(&["make", &path.display().to_string(), "--out", &out.display().to_string()]);
    assert!(!out.exists(), "something was written");
    said
}

fn with(change: impl Fn(&mut Value)) -> String {
    let mut job = job_of(1, 1);
    change(&mut job);
    refused(job.to_string().as_bytes())
}

#[test]
fn texts_that_are_no_json() {
    let whole = fs::read(demo()).unwrap();
    for (text, place) in [
        (&b""[..], "job.json:1:1"),
        (b"   \n ", "job.json:1:1"),
        (b"\x00\x01\x02", "job.json:1:1: this is not JSON"),
        (b"{\"format\": 1\xff}", "job.json:1:13"),
        (b"{\"format\": NaN}", "job.json:1:12"),
        (b"{\"format\": 1,}", "job.json:1:13"),
    ] {
        let said = refused(text);
        assert!(said.contains("job.json") && said.contains(place), "{said}");
    }
    let said = refused(&whole[..whole.len() / 2]);
    assert!(said.contains("job.json:") && said.contains("Close "), "{said}");
    let said = refused(&[&whole[..], b" {}"].concat());
    assert!(said.contains("nothing after it"), "{said}");
    let said = refused("[".repeat(100_000).as_bytes());
    assert!(said.contains("job.json:1:128: more than 127 brackets within one another"), "{said}");
}

#[test]
fn fields_that_are_wrong() {
    for (change, field, allowed) in [
        (
            &(|j: &mut Value| j["settings"][0]["angles"] = json!("30")) as &dyn Fn(&mut Value),
            "settings[0].angles",
            "Write [30].",
        ),
        (&|j| j["title"] = json!(7), "title", "Write \"7\"."),
        (&|j| j["titel"] = json!("x"), "titel", "Did you mean \"title\"? Use format"),
        (&|j| j["settings"][1]["tool"] = json!("scraper"), "settings[1].tool", "bench-chisel"),
        (&|j| j["guide"] = json!("my-guide"), "guide", "narrow-side-clamp"),
        (&|j| j["guide"] = json!("not-there.json"), "guide", "narrow-side-clamp"),
        (&|j| j["settings"][0]["thickness"] = json!(0), "settings[0].thickness", "0.2 to 25 mm"),
        (&|j| j["settings"][0]["thickness"] = json!(-2.4), "settings[0].thickness", "0.2 to 25 mm"),
        (&|j| j["settings"][0]["thickness"] = json!("3/0 in"), "settings[0].thickness", "a number"),
        (&|j| j["settings"][0]["thickness"] = json!("2.4"), "settings[0].thickness", "Write 2.4 without quotes"),
        (&|j| j["settings"][0]["thickness"] = json!({ "value": 2.4 }), "settings[0].thickness", "within"),
        (
            &|j| j["settings"][0]["thickness"] = json!({ "value": 2.4, "within": -1 }),
            "settings[0].thickness.within",
            "a tolerance",
        ),
        (&|j| j["settings"][0]["angles"] = json!([4.9]), "settings[0].angles[0]", "5 to 60"),
        (&|j| j["settings"][0]["angles"] = json!([]), "settings[0].angles", "a list of 1"),
        (&|j| j["settings"][0]["angles"] = json!([30, 30]), "settings[0].angles[1]", "each lane once"),
        (&|j| j["settings"][1]["land"] = json!(9), "settings[1].land", "at most the blade's thickness"),
        (&|j| j["tolerance"] = json!(0), "tolerance", "0.05 to 5"),
        (&|j| j["block"] = json!({ "middle": 1 }), "block.middle", "3 to 60 mm"),
        (&|j| j["print"] = json!({ "bed": [220] }), "print.bed", "a list of 2"),
        (&|j| j["sheet"] = json!({ "size": "B5" }), "sheet.size", "A4"),
        (&|j| j["format"] = json!(2), "format", "1"),
        (&|j| j["units"] = json!("cm"), "units", "\"mm\" or \"in\""),
    ] {
        let said = with(change);
        assert!(tells_of(&said, field), "{field}: {said}");
        assert!(said.contains("job.json:1:"), "{said}");
        assert!(said.contains(allowed), "{field}: {said}");
    }
    let twice = job_of(1, 1).to_string().replacen("\"title\":", "\"title\":\"a\",\"title\":", 1);
    assert!(refused(twice.as_bytes()).contains("a second time"));
    let huge = job_of(1, 1).to_string().replacen("\"width\":51", "\"width\":1e999", 1);
    assert!(refused(huge.as_bytes()).contains("job.json:1:"));
}

/// A file with a field's old name is told the new one, and nothing that only follows from it; what else is wrong is told
/// as well.
#[test]
fn renamed_fields_are_told_by_their_names_of_today() {
    let folder = tempfile::tempdir().unwrap();
    let told = |said: &str, field: &str, new: &str| {
        let whole = format!("{field} is not a field of this file. Use \"{new}\", its name of today.");
        assert!(said.contains(&whole), "{said}");
    };
    let text = job_of(1, 1).to_string().replacen('{', "{\n \"block\": {\n  \"island\": 14 },\n", 1);
    let said = refused(text.as_bytes());
    told(&said, "block.island", "middle");
    assert!(said.contains("job.json:3:3: ") && said.lines().count() == 1, "{said}");
    let said = with(|j| j["block"] = json!({ "island": 1, "marks": 3 }));
    told(&said, "block.island", "middle");
    assert!(said.contains("3 to 60 mm") && tells_of(&said, "block.marks") && said.lines().count() == 3, "{said}");

    let guide = json!({ "format": 1, "name": "g", "roller": { "diameter": 19 }, "face": { "reach": 15.8 },
        "seats": { "iron": { "height": 18.4, "locates": "underside" } } });
    let said = refusal(&["offsets", &file(folder.path(), "g.json", &guide), "--thickness", "2.4", "--angles", "30"]);
    told(&said, "face.reach", "axle_to_face");
    assert_eq!(said.lines().count(), 1, "{said}");

    let known = fs::read_to_string(home().join("examples/known-settings.json")).unwrap();
    let mut known: Value = serde_json::from_str(&known).unwrap();
    known["measured"]["face"] = json!({ "reach": 15.8 });
    let said = refusal(&["fit", &file(folder.path(), "known.json", &known)]);
    told(&said, "measured.face.reach", "axle_to_face");
    assert_eq!(said.lines().count(), 1, "{said}");

    // Both names, in either order, and a name that means nothing where it stands.
    for both in [r#"{ "island": 14, "middle": 14 }"#, r#"{ "middle": 14, "island": 14 }"#] {
        let text = job_of(1, 1).to_string().replacen('{', &format!("{{\"block\": {both}, "), 1);
        told(&refused(text.as_bytes()), "block.island", "middle");
    }
    let said = with(|j| j["reach"] = json!(15.8));
    assert!(said.contains("reach is not a field of this file. Use format"), "{said}");
}

/// JSON Schema counts 1.0 as an integer.
#[test]
fn whole_numbers_may_be_written_with_decimals() {
    let mut job = job_of(1, 0);
    job["wood"] = json!({ "fraction": 64 });
    let written = job.to_string().replace(":1,", ":1.0,").replace(":64}", ":6.4e1}");
    assert!(written.contains("\"format\":1.0,") && written.contains("6.4e1"), "{written}");
    assert!(Job::parse("x", written.as_bytes(), &NoFiles).is_ok());
    let half = written.replace("6.4e1", "32.5");
    assert!(Job::parse("x", half.as_bytes(), &NoFiles).unwrap_err().to_string().contains("Use 16, 32 or 64."));
}

/// What is echoed of a file cannot command the terminal it is shown on.
#[test]
fn control_characters_are_shown_as_escapes() {
    for change in [
        &(|j: &mut Value| j["settings"][0]["thickness"] = json!("2\u{1b}[2J")) as &dyn Fn(&mut Value),
        &|j| j["\u{1b}[2J"] = json!(1),
        &|j| j["units"] = json!("\u{1b}[2J"),
    ] {
        let said = with(change);
        assert!(said.contains("\\u001b[2J") && !said.contains('\u{1b}'), "{said:?}");
    }
}

#[test]
fn all_faults_of_a_file_are_shown_in_one_run() {
    let said = with(|j| {
        j["titel"] = json!("x");
        j["guide"] = json!("mine");
        j["settings"][0]["tool"] = json!("scraper");
        j["settings"][0]["angles"] = json!([99, "x"]);
        j["settings"][1]["thickness"] = json!("1/0 in");
        j["block"] = json!({ "thickness": -1, "marks": 3 });
    });
    for field in [
        "titel",
        "guide",
        "settings[0].tool",
        "settings[0].angles[0]",
        "settings[0].angles[1]",
        "settings[1].thickness",
        "block.thickness",
        "block.marks",
    ] {
        assert!(tells_of(&said, field), "{field} is missing in:\n{said}");
    }
    assert_eq!(said.lines().count(), 8, "{said}");
}

/// A file that is none of ours takes no longer than it is long, and says no more than one can read.
#[test]
fn a_file_full_of_faults_is_refused_at_once() {
    let fields: Vec<String> = (0..200_000).map(|i| format!("\"k{i}\":0")).collect();
    let start = std::time::Instant::now();
    let faults = Job::parse("x", format!("{{{}}}", fields.join(",")).as_bytes(), &NoFiles).unwrap_err();
    assert!(start.elapsed().as_secs() < 10, "{:?}", start.elapsed());
    // The three fields that a job must have are missing as well; that it has no settings either is not told any more.
    assert_eq!(faults.0.len(), 101);
    assert!(faults.to_string().contains("200003 faults, of which the first 100 are shown"));
}

#[test]
fn guides_that_contradict_themselves() {
    let folder = tempfile::tempdir().unwrap();
    let sound = json!({ "format": 1, "name": "g", "roller": { "diameter": 19 }, "face": { "axle_to_face": 15.8 },
        "seats": { "iron": { "height": 18.4, "locates": "underside" } } });
    for (change, field) in [
        (&(|g: &mut Value| g["face"]["over_roller"] = json!(25)) as &dyn Fn(&mut Value), "face.over_roller"),
        (&|g| g["face"] = json!({}), "face.axle_to_face"),
        (&|g| g["roller"]["arrangement"] = json!("pair"), "roller.gap"),
        (&|g| g["roller"]["gap"] = json!(70), "roller.gap"),
        (&|g| g["seats"] = json!({}), "seats"),
        (&|g| g["seats"]["iron"]["gauge"] = json!(5), "seats.iron.gauge"),
        (&|g| g["seats"]["iron"]["blade_width"] = json!([60, 30]), "seats.iron.blade_width"),
        (&|g| g["seats"]["iron"]["locates"] = json!("top"), "seats.iron.locates"),
    ] {
        let mut guide = sound.clone();
        change(&mut guide);
        let path = file(folder.path(), "guide.json", &guide);
        let said = refusal(&["offsets", &path, "--thickness", "2.4", "--angles", "30"]);
        assert!(said.contains("guide.json:1:") && tells_of(&said, field), "{field}: {said}");
    }
    let mut job = job_of(1, 0);
    job["guide"] = json!("guide.json");
    let said = refusal(&["make", &file(folder.path(), "job.json", &job)]);
    assert!(said.contains("guide.json"), "{said}");
}

#[test]
fn arguments_that_are_wrong() {
    let base = ["offsets", "narrow-side-clamp", "--angles", "30"];
    for (extra, field) in [
        (&["--thickness", "x"][..], "--thickness"),
        (&["--thickness", "0"], "--thickness"),
        (&["--thickness", "1/0 in"], "--thickness"),
        (&["--thickness", "2.4", "--taper", "nan"], "--taper"),
        (&["--thickness", "2.4", "--roller-level", "-500"], "--roller-level"),
        (&["--tool", "scraper"], "--tool"),
        (&["--seat", "chisel", "--thickness", "3"], "--land"),
        (&[], "--thickness"),
    ] {
        let said = refusal(&[&base[..], extra].concat());
        assert!(tells_of(&said, field), "{field}: {said}");
    }
    assert!(
        refusal(&["offsets", "top-clamp", "--seat", "chisel", "--thickness", "3", "--angles", "30"])
            .contains("no chisel seat")
    );
    assert!(refusal(&["offsets", "no-such-guide", "--tool", "plane-iron"]).contains("narrow-side-clamp"));
    assert!(
        refusal(&["offsets", "narrow-side-clamp", "--tool", "plane-iron", "--angles", "30,,x"])
            .matches("--angles")
            .count()
            == 2
    );
    assert!(refusal(&["angle", "narrow-side-clamp", "--tool", "plane-iron"]).contains("exactly one of --fence"));
    assert!(refusal(&["angle", "--thickness", "5", "--bevel-length", "4"]).contains("longer than the blade is thick"));
    assert!(refusal(&["profiles", "nothing"]).contains("plane-iron"));
    assert!(refusal(&["make", "no/such/job.json"]).contains("no/such/job.json"));
}

/// Found by random jobs, once they had dates: one that was too wide for its field of the title block left no sheet clear, and
/// was told as too many lanes. Dates as people write them go into theirs; what does not is refused where it stands.
#[test]
fn dates_as_people_write_them_go_into_their_field() {
    let of = |date: &str| with(|job| job["sheet"] = json!({ "date": date }));
    for date in ["2026-11-30", "30 November 2026", "November 30, 2026", "Mon, 30 Nov 2026", "30/11/2026"] {
        let mut job = job_of(2, 1);
        job["sheet"] = json!({ "date": date });
        let folder = tempfile::tempdir().unwrap();
        let path = file(folder.path(), "dated.json", &job);
        let out = folder.path().join("out");
        let done =
            program().args(["make", &path, "--only", "drawing", "--out", out.to_str().unwrap()]).output().unwrap();
        assert!(done.status.success(), "{date}: {}", String::from_utf8_lossy(&done.stderr));
        assert!(fs::read_to_string(out.join("block.svg")).unwrap().contains(date), "{date}");
    }
    let said = of("WWWWWWWWWWWWWWWWWWWW");
    assert!(said.contains("sheet.date") && said.contains("goes into its field"), "{said}");
}

/// How far a length may be off is not dropped in silence where nothing comes of it.
#[test]
fn what_a_flag_could_not_use_is_refused() {
    let off = "9 mm +- 0.1 mm";
    for (arguments, flag) in [
        (&["angle", "narrow-side-clamp", "--thickness", "2.4", "--projection", off][..], "--projection"),
        (&["angle", "--thickness", "2.4", "--bevel-length", off], "--bevel-length"),
        (&["bevel", "--thickness", off, "--primary", "25"], "--thickness"),
        (&["camber", "--width", off, "--plane", "jack"], "--width"),
        (&["offsets", "narrow-side-clamp", "--tool", "plane-iron", "--width", off], "--width"),
        (&["show", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "30", "--film", "1 mm +- 0.1 mm"], "--film"),
        (&["gauges", "--square=9 mm +- 0.1 mm"], "--square"),
    ] {
        let said = refusal(arguments);
        assert!(said.contains(flag) && said.contains("without \"±\""), "{said}");
    }
}

#[test]
fn geometry_without_an_answer_is_refused_not_guessed() {
    let folder = tempfile::tempdir().unwrap();
    // Seat so far below the axle that the other branch is met: a·cos α + H ≤ 0.
    let guide = json!({ "format": 1, "name": "deep", "roller": { "diameter": 20 }, "face": { "axle_to_face": -50 },
        "seats": { "iron": { "height": -12, "locates": "back" } } });
    let path = file(folder.path(), "deep.json", &guide);
    let said = refusal(&["offsets", &path, "--thickness", "3", "--angles", "30,40"]);
    assert_eq!(said.matches("too far below the axle").count(), 2, "{said}");
    let said = refusal(&["offsets", "bench-roller", "--tool", "plane-iron", "--angles", "58", "--roller-level", "-24"]);
    assert!(said.contains("above 0"), "{said}");
    let said = refusal(&["angle", "narrow-side-clamp", "--tool", "plane-iron", "--fence", "2"]);
    assert!(said.contains("5° to 60°"), "{said}");
}

#[test]
fn outputs_that_cannot_be_written() {
    let folder = tempfile::tempdir().unwrap();
    let demo = demo().display().to_string();
    let taken = folder.path().join("taken");
    fs::write(&taken, "a file").unwrap();
    let said = refusal(&["make", &demo, "--out", &taken.display().to_string()]);
    assert!(said.contains("taken") && said.contains("folder is needed"), "{said}");
    let under = taken.join("deeper");
    assert!(refusal(&["make", &demo, "--out", &under.display().to_string()]).contains("taken"));
    assert_eq!(fs::read_to_string(&taken).unwrap(), "a file");
    if Path::new("/proc").is_dir() {
        assert!(refusal(&["make", &demo, "--out", "/proc/stopwright/out"]).contains("cannot write"));
    }
}

/// A disk that fills up in the middle, as the limit on a file's size makes it: what was there stays whole.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_everything_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let demo = demo().display().to_string();
    let out = folder.path().join("o");
    let limited = || {
        let script = "trap '' XFSZ; ulimit -f 8; exec \"$0\" make \"$1\" --out \"$2\"";
        let output = std::process::Command::new("sh")
            .args(["-c", script, env!("CARGO_BIN_EXE_stopwright"), &demo, &out.display().to_string()])
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(2));
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.contains("cannot write"), "{said}");
    };
    limited();
    assert!(!out.exists(), "nothing was there before, nothing is there now");
    super::support::stdout(&["make", &demo, "--out", &out.display().to_string()]);
    let list = || {
        let mut all: Vec<(String, Vec<u8>)> = fs::read_dir(&out)
            .unwrap()
            .map(|e| e.unwrap().path())
            .map(|p| (p.display().to_string(), fs::read(&p).unwrap()))
            .collect();
        all.sort();
        all
    };
    let before = list();
    limited();
    assert_eq!(list(), before);
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_standard_output_is_a_failure_and_a_closed_one_is_not() {
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let status = program().arg("profiles").stdout(Stdio::from(full)).stderr(Stdio::null()).status().unwrap();
    assert_eq!(status.code(), Some(2));
    let mut child = program().args(["profiles", "--schema", "job"]).stdout(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    assert_eq!(child.wait().unwrap().code(), Some(0));
}

/// Every reader, fed with anything: an answer or faults, never a panic. The same text twice gives the same answer.
fn read_all(bytes: &[u8]) {
    let faults = [
        Guide::parse("x", bytes).err(),
        ToolClass::parse("x", bytes).err(),
        Job::parse("x", bytes, &NoFiles).err(),
        Job::is_job("x", bytes).err(),
    ];
    for fault in faults.into_iter().flatten() {
        assert!(!fault.0.is_empty());
        assert!(fault.0.iter().all(|f| !f.found.is_empty() && (!f.allowed.is_empty() || f.mend.is_some())));
    }
}

/// A sound text of each kind, to break.
fn sound_texts() -> Vec<String> {
    let built_in = GUIDES.iter().chain(TOOLS).map(|b| b.text.to_string());
    built_in.chain([fs::read_to_string(demo()).unwrap(), job_of(2, 2).to_string()]).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1500))]

    #[test]
    fn random_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        read_all(&bytes);
    }

    #[test]
    fn hand_broken_texts_are_read_or_refused(
        which in any::<prop::sample::Index>(),
        at in any::<prop::sample::Index>(),
        cut in 0usize..12,
        paste in prop::sample::select(vec!["", "{", "}", "[", "]", "\"", ",", ":", "null", "-1", "1e999", "1/0", "\u{0}", "\"1/0 in\"", "{\"value\":1,\"within\":-1}", "\u{feff}", "\\ud800"]),
    ) {
        let texts = sound_texts();
        let mut bytes = which.get(&texts).clone().into_bytes();
        let from = at.index(bytes.len());
        let to = (from + cut).min(bytes.len());
        bytes.splice(from..to, paste.bytes());
        read_all(&bytes);
    }

    #[test]
    fn any_text_is_a_length_or_refused(text in "\\PC{0,20}", numeric in "[-0-9 ./+in\"m±e]{0,16}") {
        for t in [&text, &numeric] {
            for bare in [None, Some(Units::Mm), Some(Units::Inch)] {
                if let Ok(l) = length::parse(t, bare) {
                    prop_assert!(l.mm.is_finite() && l.within.is_none_or(|w| w >= 0.0 && w.is_finite()), "{t}");
                }
            }
        }
    }
}

/// A name that is nearly one of ours is met by the one that was meant, for fields and values alike.
#[test]
fn what_was_meant_is_named() {
    for (change, meant) in [
        (
            &(|j: &mut Value| j["units"] = json!("MM")) as &dyn Fn(&mut Value),
            "units cannot be \"MM\". Did you mean \"mm\"?",
        ),
        (
            &|j| j["guide"] = json!("narow-side-clmp"),
            "guide cannot be \"narow-side-clmp\". Did you mean \"narrow-side-clamp\"?",
        ),
        (
            &|j| j["settings"][0]["tool"] = json!("plane iron"),
            "tool cannot be \"plane iron\". Did you mean \"plane-iron\"?",
        ),
        (
            &|j| j["settings"][0]["thicknes"] = json!(2),
            "settings[0].thicknes is not a field of this file. Did you mean \"thickness\"?",
        ),
        (
            &|j| j["wood"] = json!({ "board": { "material": "timber", "species": "european-beach" } }),
            "wood.board.species cannot be \"european-beach\". Did you mean \"european-beech\"?",
        ),
        (&|j| j["settings"][0]["thickness"] = json!("2,4 mm"), "Write \"2.4 mm\""),
        (&|j| j["settings"][0]["thickness"] = json!("0.24 cm"), "cm is not supported. Write \"2.4 mm\""),
    ] {
        let said = with(change);
        assert!(said.contains(meant), "{meant}: {said}");
    }
}

/// A file of another kind is known for what it is, and one is told where it goes.
#[test]
fn a_file_of_another_kind_is_known() {
    let example = |name: &str| home().join("examples").join(name).display().to_string();
    let job = example("tool-chest.json");
    let told = refusal(&["kit", &job, "--guide", "top-clamp"]);
    assert!(told.contains("this is a job. It goes to make"), "{told}");
    for (arguments, said) in [
        (&["make", "alder-lane-kit.json"][..], "this is a kit. It goes to kit or log"),
        (&["make", "known-settings.json"], "this is a file of known settings. It goes to fit"),
        (&["fit", "worn-side-clamp.json"], "this is a guide profile. It goes to offsets or show"),
        (&["make", "tool-chest-measured.json"], "this is a file of measured fences. It goes to verify"),
        (&["make", "test-piece-measured.json"], "this is a file of readings of a test piece"),
    ] {
        let told = refusal(&[arguments[0], &example(arguments[1])]);
        assert!(told.contains(said) && told.lines().count() == 1, "{arguments:?}: {told}");
    }
}

/// Slips of the pen are told as what they are, with what to type, all in one run and together with what is wrong in fields.
#[test]
fn slips_of_the_pen_are_told_with_what_to_type() {
    let whole = fs::read_to_string(demo()).unwrap();
    for (from, to, told) in [
        ("\"format\": 1,", "\"format\": 1", "job.json:2:14: a comma is missing after 1. Put , here."),
        ("[25, 30, 35]", "[25, 30, 35,]", "job.json:8:50: a comma too many before ]. Take it out."),
        (
            "\"narrow-side-clamp\"",
            "“narrow-side-clamp”",
            "job.json:6:12: “ is not a plain quote. Write \"narrow-side-clamp\".",
        ),
        ("\"width\": 51", "\"width\": 50,8", "job.json:8:108: 50,8 has a decimal comma. Write 50.8."),
        ("\"width\": 51", "\"width\": 2\"", "job.json:8:108: 2\" has no quotes. Write \"2 in\"."),
        (
            "\"width\": 51",
            "\"width\": \"2″\"",
            "job.json:8:108: settings[0].width: \"2″\" has no unit. Write \"2 in\".",
        ),
        ("\"width\": 51", "\"width\": \"1½ in\"", "Write \"1 1/2 in\"."),
        ("[25, 30, 35]", "[25°, 30]", "job.json:8:40: 25° is not a plain number. Write 25."),
        ("[25, 30, 35]", "[\"25°\", 30]", "job.json:8:40: settings[0].angles[0] cannot be \"25°\". Write 25."),
        ("\"title\"", "\"Title\"", "job.json:3:3: Title is not a field of this file. Did you mean \"title\"?"),
    ] {
        assert!(whole.contains(from), "{from}");
        let said = refused(whole.replacen(from, to, 1).as_bytes());
        assert!(said.contains(told) && said.lines().count() == 1, "{told}: {said}");
        // The same with the line ends of another system and the mark that some editors put before a text.
        let said = refused(format!("\u{feff}{}", whole.replacen(from, to, 1).replace('\n', "\r\n")).as_bytes());
        assert!(said.contains(told) && said.lines().count() == 1, "{told}: {said}");
    }
    let many = whole.replacen("\"format\": 1,", "\"format\": 1", 1).replacen("[25, 30, 35]", "[99, 30,]", 1);
    let said = refused(many.replacen("\"mm\"", "\"cm\"", 1).as_bytes());
    for told in [
        "2:14: a comma is missing",
        "4:12: units cannot be \"cm\"",
        "8:40: settings[0].angles[0] cannot be 99",
        "8:46: a comma too many",
    ] {
        assert!(said.contains(&format!("job.json:{told}")), "{told}: {said}");
    }
    assert_eq!(said.lines().count(), 4, "{said}");
}

/// Files that are no text of ours are known by what they are.
#[test]
fn files_that_are_no_json_are_known() {
    let whole = fs::read_to_string(demo()).unwrap();
    let wide: Vec<u8> = [0xFF, 0xFE].into_iter().chain(whole.encode_utf16().flat_map(u16::to_le_bytes)).collect();
    let mut stl = [b' '; 134];
    stl[80..84].copy_from_slice(&1u32.to_le_bytes());
    stl[84..].fill(0);
    for (bytes, told) in [
        (&wide[..], "this text is saved as UTF-16. Save it as UTF-8."),
        (&wide[2..], "this text is saved as UTF-16."),
        (&stl, "this is an STL model."),
        (b"solid block\n", "this is an STL model."),
        (b"PK\x03\x04....", "this is a 3MF model or another zipped file."),
        (b"%PDF-1.7\n%\xe2\xe3", "this is a PDF."),
        (b"<?xml version=\"1.0\"?><svg/>", "this is an SVG drawing"),
        (b"{\"title\": \"\xc4lder\"}", "job.json:1:12: a sign that is not UTF-8. Save the file as UTF-8."),
        (b"tool,angle\nplane-iron,25\n", "job.json:1:1: this is not JSON."),
    ] {
        let said = refused(bytes);
        assert!(said.contains(told) && said.lines().count() == 1, "{told}: {said}");
    }
}

/// A file that is not there is told with the one whose name is like it, on the command line and within files.
#[test]
fn a_file_that_is_not_there_is_told_with_its_neighbour() {
    let folder = tempfile::tempdir().unwrap();
    let mut job = job_of(1, 0);
    job["guide"] = json!("my-gide.json");
    let path = file(folder.path(), "tool-chest.json", &job);
    fs::write(folder.path().join("my-guide.json"), "{}").unwrap();
    let said = refusal(&["make", &path.replace("tool-chest", "tol-chest")]);
    assert!(said.contains("there is no such file. Did you mean \"") && said.contains("tool-chest.json\"?"), "{said}");
    let said = refusal(&["make", path.strip_suffix(".json").unwrap()]);
    assert!(said.contains("tool-chest.json\"?"), "{said}");
    let said = refusal(&["make", &path]);
    assert!(said.contains("guide: there is no file \"my-gide.json\". Did you mean \"my-guide.json\"?"), "{said}");
    job["guide"] = json!("my-guide");
    let said = refusal(&["make", &file(folder.path(), "tool-chest.json", &job)]);
    assert!(said.contains("guide cannot be \"my-guide\". Did you mean \"my-guide.json\"?"), "{said}");
}

/// A guide or kit with a slip in it is still known for what it is.
#[test]
fn a_file_of_another_kind_with_a_slip_is_known() {
    let example = |name: &str| fs::read_to_string(home().join("examples").join(name)).unwrap();
    let said = refused(example("worn-side-clamp.json").replacen("\"roller\"", "\"rollr\"", 1).as_bytes());
    assert!(said.contains("this is a guide profile.") && said.lines().count() == 1, "{said}");
    let said = refused(example("alder-lane-kit.json").replacen("\"tolerance\"", "\"tolerence\"", 1).as_bytes());
    assert!(said.contains("this is a kit.") && said.lines().count() == 1, "{said}");
}

/// Wrong flags are told in the manner of all faults.
#[test]
fn wrong_flags_are_told_in_plain_words() {
    let demo = demo().display().to_string();
    for (arguments, told) in [
        (
            &["offsets", "narrow-side-clamp", "--units", "inches"][..],
            "--units cannot be \"inches\". Did you mean in? Use mm, in or both.",
        ),
        (
            &["offsets", "narrow-side-clamp", "--thicknes", "2"],
            "--thicknes is not a flag of stopwright offsets. Did you mean --thickness?",
        ),
        (&["mkae", "x.json"], "\"mkae\" is not a command. Did you mean make?"),
        (&["make"], "JOB is missing. Type: stopwright make "),
        (&["make", &demo, "--json", "--quiet"], "--json cannot be used with --quiet. Use one of them."),
        (&["make", &demo, "--only", "slt"], "--only cannot be \"slt\". Did you mean stl?"),
        (&["make", &demo, "--jobs", "0"], "--jobs cannot be \"0\". Use a whole number from 1 up."),
        (&["make", &demo, "--jobs", "99999999999999999999999999"], "Use a whole number from 1 up."),
        (&["make", &demo, "--jobs", ""], "Use a whole number from 1 up."),
        (&["bevel", "--thickness", "3", "--primary", "30°"], "--primary cannot be \"30°\". Write 30."),
        (
            &["bevel", "--thickness", "3", "--primary", "30", "--micro", "25"],
            "--micro: 25° is not steeper than the primary bevel of 30°.",
        ),
        (&["bevel", "--thickness", "3/32″", "--primary", "30"], "Write \"3/32 in\"."),
        (&["gauges", "--square", "60"], "Write --square=60."),
        (&["grits", "P220,P401"], "GRADES cannot be \"P401\". Did you mean \"P400\"?"),
        (&["profiles", "narow-side-clamp"], "Did you mean \"narrow-side-clamp\"?"),
    ] {
        let said = refusal(arguments);
        assert!(said.contains(told) && !said.contains("error:"), "{arguments:?}: {said}");
    }
    let example = |name: &str| home().join("examples").join(name).display().to_string();
    let (kit, job) = (example("alder-lane-kit.json"), example("alder-lane-kit-job.json"));
    assert!(refusal(&["log", &kit, "--honed", "Jack"]).contains("--honed cannot be \"Jack\". Did you mean \"jack\"?"));
    assert!(
        refusal(&["log", &kit, "--strokes", "P400=12"]).contains("Give --honed BLADE or --reground BLADE with it.")
    );
    assert!(refusal(&["card", &job, "--blade", "smother"]).contains("Did you mean \"smoother\"?"));
}

/// Help is named by what was typed, also where the program bears another name, as with `.exe` at its end.
#[test]
fn a_wrong_flag_leads_to_the_help_of_its_command_by_any_name() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("sw-2.exe");
    fs::copy(env!("CARGO_BIN_EXE_stopwright"), &path).unwrap();
    let out = std::process::Command::new(&path).args(["make", "x.json", "--bogus"]).output().unwrap();
    let said = String::from_utf8(out.stderr).unwrap();
    let words = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(words, "--bogus is not a flag of sw-2.exe make. Type \"sw-2.exe make --help\" for its flags.");
}

/// A reading that no lane can have is told at its place, in figures of a caliper.
#[test]
fn an_absurd_reading_is_told_at_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let measured = fs::read_to_string(home().join("examples/tool-chest-measured.json")).unwrap();
    for (from, to, told) in [
        (
            "45.88",
            "4.588",
            "measured.json:9:56: lanes[3].measured: 4.588 mm cannot be measured in bench-chisel-25: a bevel of 68.51°",
        ),
        ("plane-iron-25", "plane-iron-52", "lanes[0].id cannot be \"plane-iron-52\". Did you mean \"plane-iron-25\"?"),
    ] {
        let path = folder.path().join("measured.json");
        fs::write(&path, measured.replacen(from, to, 1)).unwrap();
        let said = refusal(&["verify", &demo().display().to_string(), &path.display().to_string()]);
        assert!(said.contains(told) && said.lines().count() == 1, "{said}");
    }
}

/// What concerns the result is said on standard error where no report says it, and standard output is clean for a pipe.
#[test]
fn warnings_survive_quiet_and_json() {
    let folder = tempfile::tempdir().unwrap();
    let (demo, out) = (home().join("examples/alder-lane-kit-job.json"), folder.path().display().to_string());
    let demo = demo.display().to_string();
    for extra in ["--quiet", "--json"] {
        let made = program().args(["make", &demo, "--out", &out, extra]).output().unwrap();
        let said = String::from_utf8(made.stderr).unwrap();
        assert!(said.contains("left out: camber gauge"), "{extra}: {said}");
        let printed = String::from_utf8(made.stdout).unwrap();
        match extra {
            "--quiet" => assert!(printed.is_empty()),
            _ => assert!(serde_json::from_str::<Value>(&printed).is_ok(), "{printed}"),
        }
    }
    // A lane whose land is only assumed is worth a warning.
    let lane = ["offsets", "narrow-side-clamp", "--tool", "bench-chisel", "--angles", "30", "--json"];
    let told = program().args(lane).output().unwrap();
    let said = String::from_utf8(told.stderr).unwrap();
    assert!(said.starts_with("Warning: bench-chisel-30: "), "{said}");
    assert!(serde_json::from_slice::<Value>(&told.stdout).is_ok());
    let report = program().args(&lane[..6]).output().unwrap();
    assert!(
        report.stderr.is_empty() && String::from_utf8(report.stdout).unwrap().contains("Warning: bench-chisel-30: ")
    );
}
