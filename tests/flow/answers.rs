//! What a page is answered, against what the command line makes of the same files.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use serde_json::{Value, json};
use tempfile::tempdir;

use stopwright::answer::bench::FormName;
use stopwright::answer::fields::{Field, Input, Typed};
use stopwright::answer::reply::{Opened, Proof};
use stopwright::answer::{Answer, Bench, Reply, Request, Want, answer, wire};
use stopwright::job::Job;
use stopwright::units::Units;

use super::support::{home, run, stdout};

fn ask(bench: &Bench, want: Want) -> Answer {
    answer(&Request { bench: bench.clone(), want })
}

/// A bench on which this was typed.
fn typed(forms: Value) -> Bench {
    serde_json::from_value(json!({ "typed": forms })).expect("a bench")
}

/// The three lengths without which there is no guide.
fn three_lengths() -> Value {
    json!({ "roller.diameter": "19.02", "face.over_roller": "26.3", "seats.iron.over_roller": "31.4" })
}

fn opened(bench: &Bench, name: &str, text: &str) -> Opened {
    match ask(bench, Want::Open { name: name.into(), text: text.into() }).reply {
        Reply::Opened(opened) => opened,
        other => panic!("{name}: {other:?}"),
    }
}

/// A bench with files of the examples, opened one after the other.
fn with_examples(names: &[&str]) -> Bench {
    names.iter().fold(Bench::default(), |bench, name| {
        let text = fs::read_to_string(home().join("examples").join(name)).unwrap();
        let opened = opened(&bench, name, &text);
        assert_eq!(opened.faults, Vec::<String>::new(), "{name}");
        opened.bench
    })
}

fn everything(bench: &Bench) -> BTreeMap<String, Vec<u8>> {
    files(ask(bench, Want::Files { kinds: Vec::new(), zipped: false, corrected: false }))
}

fn files(answer: Answer) -> BTreeMap<String, Vec<u8>> {
    match answer.reply {
        Reply::Files(_) => answer.parts.into_iter().map(|part| (part.name, part.bytes)).collect(),
        other => panic!("{other:?}"),
    }
}

/// All files of a folder, but for the list of them that the command line keeps for itself.
fn written(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entry = |entry: std::io::Result<fs::DirEntry>| {
        let path = entry.unwrap().path();
        (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(&path).unwrap())
    };
    fs::read_dir(folder).unwrap().map(entry).filter(|(name, _)| name != ".stopwright").collect()
}

/// Holds files against those of the command line, whose names and sizes stand in the message.
fn assert_same(answered: &BTreeMap<String, Vec<u8>>, made: &BTreeMap<String, Vec<u8>>) {
    let sizes = |files: &BTreeMap<String, Vec<u8>>| -> Vec<(String, usize)> {
        files.iter().map(|(name, bytes)| (name.clone(), bytes.len())).collect()
    };
    assert_eq!(sizes(answered), sizes(made));
    for (name, bytes) in answered {
        assert!(bytes == &made[name], "{name} differs");
    }
}

fn text_of(path: &Path) -> String {
    path.display().to_string()
}

/// Writes the files that a bench makes into a folder, as its "save" gives them.
fn laid_out(bench: &Bench, folder: &Path) {
    let saved = files(ask(bench, Want::Save)).into_values().next().expect("one file");
    let bundle: Value = serde_json::from_slice(&saved).unwrap();
    for (name, file) in bundle["bench"].as_object().expect("files by name") {
        fs::write(folder.join(name), format!("{file:#}\n")).unwrap();
    }
}

/// A file may be called anything: no name turns a line around, breaks it or commands what shows it.
#[test]
fn names_that_somebody_gave_are_told_with_their_hidden_signs_shown() {
    let name = "a\u{202e}b\n\u{1b}[2J.json";
    let told = "a\\u202eb\\n\\u001b[2J.json";
    let job = fs::read_to_string(home().join("examples/proof-job.json")).unwrap();
    let mut elsewhere: Value = serde_json::from_str(&job).unwrap();
    elsewhere["guide"] = json!(name);
    let refused = |text: &str| match ask(&Bench::default(), Want::Open { name: name.into(), text: text.into() }).reply {
        Reply::Refused(lines) => lines,
        other => panic!("{other:?}"),
    };
    let bundle = json!({ "format": 1, "bench": { name: {} } }).to_string();
    let bench = with_examples(&["proof-job.json"]);
    let lines = [
        refused("[]"),
        refused("{"),
        refused(r#"{ "bench": 1 }"#),
        refused(&bundle),
        opened(&Bench::default(), "job.json", &elsewhere.to_string()).faults,
        match ask(&bench, Want::Files { kinds: vec![name.into()], zipped: false, corrected: false }).reply {
            Reply::Refused(lines) => lines,
            other => panic!("{other:?}"),
        },
    ];
    for lines in lines {
        assert!(lines.iter().any(|line| line.contains(told)), "{lines:?}");
        assert!(!lines.iter().any(|line| line.contains(char::is_control) || line.contains('\u{202e}')), "{lines:?}");
    }
    let request = json!({ "bench": { name: 1 }, "want": "start" }).to_string();
    let answer = String::from_utf8(wire::answered(request.as_bytes()).split_off(4)).unwrap();
    let answer: Value = serde_json::from_str(&answer).unwrap();
    assert!(answer["reply"]["refused"][0].as_str().unwrap().contains(told), "{answer}");
}

#[test]
fn three_lengths_make_a_block_the_same_as_the_command_lines() {
    let bench = typed(json!({ "guide": three_lengths() }));
    let folder = tempdir().unwrap();
    laid_out(&bench, folder.path());
    let out = folder.path().join("out");
    stdout(&["make", &text_of(&folder.path().join("job.json")), "--out", &text_of(&out)]);
    let answered = everything(&bench);
    assert!(answered.contains_key("block.stl") && answered.contains_key("block.pdf"));
    assert_same(&answered, &written(&out));
}

#[test]
fn files_of_the_examples_are_the_command_lines_byte_for_byte() {
    let examples: [(&[&str], &str); 2] = [
        (&["tool-chest.json"], "tool-chest.json"),
        (&["alder-lane-kit.json", "alder-lane-kit-job.json"], "alder-lane-kit-job.json"),
    ];
    for (names, job) in examples {
        let out = tempdir().unwrap();
        let arguments = ["make", &text_of(&home().join("examples").join(job)), "--out", &text_of(out.path())];
        run(&[&arguments[..], &["--force"]].concat());
        assert_same(&everything(&with_examples(names)), &written(out.path()));
    }
}

#[test]
fn a_guide_of_known_settings_is_the_one_that_fit_makes() {
    let bench = with_examples(&["known-settings.json"]);
    let Reply::Guide(shown) = ask(&bench, Want::Guide).reply else { panic!("no guide") };
    assert_eq!((shown.faults, shown.name.as_deref()), (Vec::new(), Some("alder-lane-side-clamp")));
    let folder = tempdir().unwrap();
    laid_out(&bench, folder.path());
    let out = folder.path().join("out");
    run(&["make", &text_of(&folder.path().join("job.json")), "--out", &text_of(&out)]);
    assert_same(&everything(&bench), &written(&out));
}

#[test]
fn wood_alone_gives_the_cut_sheet_of_its_own_command() {
    let bench = typed(json!({ "guide": three_lengths(), "block": { "make": "jig" } }));
    let folder = tempdir().unwrap();
    laid_out(&bench, folder.path());
    let out = folder.path().join("out");
    stdout(&["cutsheet", &text_of(&folder.path().join("job.json")), "--out", &text_of(&out)]);
    let want = Want::Files { kinds: vec!["cut-sheet".into()], zipped: false, corrected: false };
    assert_same(&files(ask(&bench, want)), &written(&out));
    // Nothing is shown of a block that nobody prints.
    match ask(&bench, Want::Block { lane: None }).reply {
        Reply::Block(shown) => {
            assert!(shown.blocks.is_empty() && shown.jig.is_some() && shown.faults.is_empty());
            assert_eq!(shown.files.iter().map(|file| file.kind.as_str()).collect::<Vec<_>>(), ["cut-sheet"]);
        }
        other => panic!("{other:?}"),
    }
}

/// What the fields of a form say, by key.
fn fields(form: &stopwright::answer::bench::Formed) -> BTreeMap<&str, &Field> {
    form.fields.iter().map(|field| (field.key.as_str(), field)).collect()
}

fn proof(bench: &Bench) -> Proof {
    match ask(bench, Want::Proof).reply {
        Reply::Proof(proof) => proof,
        other => panic!("{other:?}"),
    }
}

#[test]
fn readings_get_the_verdict_of_verify_and_a_corrected_block() {
    let mut bench = typed(json!({ "guide": three_lengths() }));
    let before = proof(&bench);
    assert_eq!((before.passes, before.lanes.len(), before.can_be_corrected), (None, 0, false));
    let asked = fields(&before.form)["lanes.0.measured"].how.clone();
    let asked: f64 = asked.split_whitespace().find_map(|word| word.parse().ok()).expect("a distance on the sheet");
    let readings = Typed::from([("lanes.0.measured".to_string(), format!("{:.2}; {:.2}", asked - 0.8, asked - 0.74))]);
    bench.typed.insert(stopwright::answer::bench::FormName::Measured, readings);
    let after = proof(&bench);
    assert!(after.can_be_corrected && after.lanes.len() == 1, "{after:?}");
    assert!(after.lanes[0].move_it.ends_with("away from its edge."), "{}", after.lanes[0].move_it);

    let folder = tempdir().unwrap();
    laid_out(&bench, folder.path());
    let at = |name: &str| text_of(&folder.path().join(name));
    let judged = run(&["verify", &at("job.json"), &at("measured.json"), "--json"]);
    let judged: Value = serde_json::from_slice(&judged.stdout).unwrap();
    assert_eq!(judged["pass"], json!(after.passes.unwrap()));
    assert_eq!(judged["lanes"][0]["id"], json!(after.lanes[0].id));
    run(&["verify", &at("job.json"), &at("measured.json"), "--write-corrections", &at("corrections.json")]);
    stdout(&["make", &at("job.json"), "--corrections", &at("corrections.json"), "--out", &at("out")]);
    let corrected = Want::Files { kinds: Vec::new(), zipped: false, corrected: true };
    assert_same(&files(ask(&bench, corrected)), &written(&folder.path().join("out")));
}

#[test]
fn a_honing_is_written_down_as_log_does() {
    let mut bench = with_examples(&["alder-lane-kit.json", "alder-lane-kit-job.json"]);
    let Reply::Stones(stones) = ask(&bench, Want::Stones).reply else { panic!("no stones") };
    let blade = stones.blades.iter().find(|b| b.steps.iter().any(|s| s.grade.is_some())).expect("a blade with grades");
    let grade = blade.steps.iter().find_map(|step| step.grade.clone()).expect("a grade");
    let record =
        Want::Record { day: "2026-11-28".into(), blade: blade.blade.clone(), strokes: vec![(grade.clone(), 14)] };
    let log = files(ask(&bench, record));
    let folder = tempdir().unwrap();
    let kit = folder.path().join("kit.json");
    fs::copy(home().join("examples/alder-lane-kit.json"), &kit).unwrap();
    let strokes = format!("{grade}=14");
    stdout(&["log", &text_of(&kit), "--honed", &blade.blade, "--date", "2026-11-28", "--strokes", &strokes]);
    assert_eq!(log["kit-log.json"], fs::read(folder.path().join("kit-log.json")).unwrap());
    bench.opened.insert("kit-log.json".into(), String::from_utf8(log["kit-log.json"].clone()).unwrap());
    let Reply::Stones(stones) = ask(&bench, Want::Stones).reply else { panic!("no stones") };
    assert_eq!(stones.log.as_ref().map(Vec::len), Some(1), "{:?}", stones.log);
    // Lanes of angles have no log, which is said before they are honed.
    let lanes = typed(json!({ "guide": three_lengths() }));
    let Reply::Stones(stones) = ask(&lanes, Want::Stones).reply else { panic!("no stones") };
    assert_eq!(stones.log, None);
    assert!(stones.notes[0].contains("blades that are listed"), "{:?}", stones.notes);
}

#[test]
fn a_saved_bench_opens_as_it_was() {
    let benches = [
        typed(
            json!({ "guide": three_lengths(), "block": { "print.bed": "180; 180", "block.cleat": "yes", "make": "both" } }),
        ),
        typed(json!({ "guide": three_lengths(), "block": { "make": "jig" } })),
        Bench { of_jig: true, ..typed(json!({ "guide": three_lengths(), "block": { "make": "both" } })) },
        with_examples(&["alder-lane-kit.json", "alder-lane-kit-job.json"]),
        with_examples(&["known-settings.json"]),
        // Too little for a guide yet.
        serde_json::from_value(json!({ "guide": "known-settings", "typed": {
            "known-settings": { "known.0.seat": "iron", "known.0.angle": "12", "known.0.projection": "57.8" }
        } }))
        .unwrap(),
    ];
    for bench in benches {
        let saved = files(ask(&bench, Want::Save)).remove("my-bench.json").expect("a file");
        let again = opened(&Bench::default(), "my-bench.json", std::str::from_utf8(&saved).unwrap());
        assert_eq!(again.faults, Vec::<String>::new());
        assert_eq!((&again.bench.guide, again.bench.of_jig), (&bench.guide, bench.of_jig));
        let saved_again = files(ask(&again.bench, Want::Save)).remove("my-bench.json").expect("a file");
        assert_eq!(String::from_utf8(saved_again), String::from_utf8(saved));
    }
}

/// A guide has seats for more kinds of blades than a job may name.
#[test]
fn a_job_opens_with_its_own_lanes_alone() {
    let text = r#"{ "format": 1, "title": "one", "guide": "twin-roller",
        "settings": [{ "tool": "block-plane-iron", "angles": [27, 30], "width": "40 mm" }] }"#;
    let opened = opened(&Bench::default(), "one.json", text);
    assert_eq!(opened.faults, Vec::<String>::new());
    match ask(&opened.bench, Want::Block { lane: None }).reply {
        Reply::Block(block) => {
            let ids: Vec<&str> = block.lanes.iter().map(|lane| lane.id.as_str()).collect();
            assert_eq!(ids, ["block-plane-iron-27", "block-plane-iron-30"]);
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_is_wrong_stands_at_its_field() {
    let mut guide = three_lengths();
    guide["roller.diameter"] = json!("19,02,3");
    let Reply::Guide(shown) = ask(&typed(json!({ "guide": guide })), Want::Guide).reply else { panic!("no guide") };
    let form = shown.form.expect("a form");
    let refused = fields(&form)["roller.diameter"].refused.clone().expect("refused");
    assert!(refused.starts_with("\"19") && refused.contains("4 to 120 mm"), "{refused}");
    assert_eq!((form.file, shown.sides.len()), (None, 0));

    // Only the reader of the whole file knows this one: two lanes of one name.
    let block = json!({ "settings.0.angles": "25", "settings.0.another": "yes", "settings.1.tool": "plane-iron",
        "settings.1.id": "plane-iron", "settings.1.angles": "25" });
    let bench = typed(json!({ "guide": three_lengths(), "block": block }));
    let Reply::Block(shown) = ask(&bench, Want::Block { lane: None }).reply else { panic!("no block") };
    let refused = fields(&shown.form)["settings.1.angles"].refused.clone().expect("refused");
    assert!(refused.contains("a second time"), "{refused}");
    // Another view has that field: there it is said of which.
    let what = &fields(&shown.form)["settings.1.angles"].what;
    assert!(
        shown.faults.iter().any(|fault| fault.starts_with(what) && fault.ends_with(&refused)),
        "{:?}",
        shown.faults
    );
}

/// Many telephones have a comma and no point on their keys for numbers.
#[test]
fn decimal_commas_are_read_and_said() {
    let mut guide = three_lengths();
    guide["roller.diameter"] = json!("19,02; 19,04");
    let Reply::Guide(shown) = ask(&typed(json!({ "guide": guide })), Want::Guide).reply else { panic!("no guide") };
    let form = shown.form.expect("a form");
    let field = fields(&form)["roller.diameter"];
    assert_eq!((field.refused.as_deref(), field.noticed[0].as_str()), (None, "Read as 19.02; 19.04."));
    assert!(form.file.expect("a profile").text.contains("19.03"));
}

/// A maker's table alone leads to a block, and what it does not tell is said to be taken as usual.
#[test]
fn known_settings_alone_lead_to_a_block() {
    let pairs = json!({ "known.0.seat": "iron", "known.0.angle": "25", "known.0.projection": "57.8", "known.0.another": "yes",
        "known.1.angle": "30", "known.1.projection": "44.3", "known.1.another": "yes", "known.2.angle": "35",
        "known.2.projection": "34.5" });
    let bench: Bench =
        serde_json::from_value(json!({ "guide": "known-settings", "typed": { "known-settings": pairs } })).unwrap();
    let Reply::Block(shown) = ask(&bench, Want::Block { lane: None }).reply else { panic!("no block") };
    assert_eq!((shown.faults.len(), shown.blocks.len()), (0, 1), "{:?}", shown.faults);
    // Each known setting is the block's own, to the digit that it was given with.
    let projections: Vec<&str> =
        shown.table.as_ref().expect("a table").rows.iter().map(|row| row[3].as_str()).collect();
    assert_eq!(projections, ["57.80", "44.30", "34.50"]);
    assert!(shown.notes[0].starts_with("Nobody measured the roller"), "{:?}", shown.notes);
}

#[test]
fn a_refused_lane_says_so_beside_itself() {
    let mut guide = three_lengths();
    guide["face.bottom_over_roller"] = json!("20");
    guide["seats.iron.blade_width"] = json!("35; 50");
    let bench = typed(json!({ "guide": guide, "block": { "settings.0.width": "60" } }));
    let Reply::Block(shown) = ask(&bench, Want::Block { lane: None }).reply else { panic!("no block") };
    assert!(!shown.lanes.is_empty() && shown.blocks.is_empty(), "{shown:?}");
    assert!(
        shown.lanes.iter().all(|lane| lane.refused.iter().any(|words| words.contains("wide"))),
        "{:?}",
        shown.lanes
    );
    assert_eq!(shown.faults, Vec::<String>::new());
}

/// A request is answered from its bytes, whatever they are.
#[test]
fn any_bytes_get_an_answer() {
    let wrong: [&[u8]; 6] = [
        b"",
        b"{",
        b"\xff\xfe",
        b"{\"want\":\"everything\"}",
        b"{\"want\":{\"files\":{\"kinds\":[\"../../etc/passwd\"]}}}",
        b"{\"want\":\"guide\",\"bench\":{\"path\":\"/etc\"}}",
    ];
    for request in wrong {
        let answer = wire::answered(request);
        let length = u32::from_le_bytes(answer[..4].try_into().unwrap()) as usize;
        let head: Value = serde_json::from_slice(&answer[4..4 + length]).unwrap();
        assert!(head["reply"]["refused"][0].is_string(), "{head}");
        assert_eq!(answer.len(), 4 + length);
    }
}

/// A name that is markup or a script comes back as the text that it is, in the very letters.
#[test]
fn names_are_text() {
    let name = "<script>alert(1)</script>";
    let bench = typed(json!({ "guide": three_lengths(), "block": { "title": name } }));
    for (file, bytes) in everything(&bench) {
        if file.ends_with(".svg") || file.ends_with(".html") {
            assert!(!String::from_utf8_lossy(&bytes).contains("<script>alert"), "{file}");
        }
    }
}

/// What a terminal says of typing is not said where words are ticked.
#[test]
fn ticked_choices_say_nothing_of_commas() {
    let bench = with_examples(&["alder-lane-kit.json"]);
    let Reply::Blades(blades) = ask(&bench, Want::Blades).reply else { panic!("no blades") };
    let ticked: Vec<&Field> = blades.form.fields.iter().filter(|field| field.input == Input::Several).collect();
    assert!(!ticked.is_empty());
    assert!(ticked.iter().all(|field| !field.how.contains("comma")), "{:?}", ticked[0].how);
}

/// Whoever changes the unit after typing does not change what was measured.
#[test]
fn lengths_keep_their_unit_when_another_is_chosen() {
    let typed = typed(json!({
        "guide": { "roller.diameter": "19,02; 19.04", "face.over_roller": "26.3", "seats.iron.over_roller": "31.4 mm +- 0.05 mm" },
        "block": { "print.bed": "180; 180", "title": "Before" },
        "measured": { "lanes.0.measured": "51.2" }
    }));
    let Reply::Bench(inch) = ask(&typed, Want::Units(Units::Inch)).reply else { panic!("no bench") };
    let guide = &inch.typed[&FormName::Guide];
    assert_eq!(guide["roller.diameter"], "19.02 mm; 19.04 mm");
    assert_eq!(guide["seats.iron.over_roller"], "31.4 mm +- 0.05 mm");
    assert_eq!(inch.typed[&FormName::Block]["title"], "Before");
    let [before, after] = [&typed, &inch].map(|bench| bench.laid().job.expect("a job"));
    assert_eq!((before.units, after.units), (Units::Mm, Units::Inch));
    let lengths = |job: &Job| {
        let bed = job.print.bed;
        [job.guide.roller.diameter.mm, job.guide.face.axle_to_face.measured().mm, bed.width, bed.height]
    };
    for (a, b) in lengths(&before).into_iter().zip(lengths(&after)) {
        assert!((a - b).abs() < 1e-4, "{a} is {b}");
    }
    // Again, and nothing is written twice.
    let Reply::Bench(again) = ask(&inch, Want::Units(Units::Inch)).reply else { panic!("no bench") };
    assert_eq!(again, inch);
}

/// Every reply is read back as what it was, and keeps to its schema's words.
#[test]
fn replies_go_through_json_unchanged() {
    let bench = typed(json!({ "guide": three_lengths() }));
    let wants = [
        Want::Start,
        Want::Guide,
        Want::Blades,
        Want::Block { lane: None },
        Want::Model { block: 0 },
        Want::Picture { block: 0 },
        Want::Proof,
        Want::Stones,
        Want::Notices,
    ];
    for want in wants {
        let reply = ask(&bench, want.clone()).reply;
        assert!(!matches!(reply, Reply::Refused(_)), "{want:?}: {reply:?}");
        let text = serde_json::to_string(&reply).unwrap();
        assert_eq!(serde_json::from_str::<Reply>(&text).unwrap(), reply);
    }
    let [request, reply] = wire::schemas();
    assert_eq!(request["title"], "Stopwright request");
    assert!(reply["oneOf"].as_array().is_some_and(|kinds| kinds.len() >= 10), "{reply}");
}

/// What is asked for a block that there is not is refused in words.
#[test]
fn there_is_no_second_block() {
    let bench = typed(json!({ "guide": three_lengths() }));
    for want in [Want::Model { block: 7 }, Want::Picture { block: 7 }] {
        let Reply::Refused(why) = ask(&bench, want).reply else { panic!("a block") };
        assert_eq!(why, ["There is no block 8: the job has 1."]);
    }
}

/// The triangles of a model are the mesh of the printed file, and its lines lie on it.
#[test]
fn the_model_is_the_printed_mesh() {
    let bench = typed(json!({ "guide": three_lengths() }));
    let answer = ask(&bench, Want::Model { block: 0 });
    let Reply::Model(model) = &answer.reply else { panic!("no model") };
    let stl = everything(&bench)["block.stl"].clone();
    // Binary STL: a head of 80 bytes, a count, and 50 bytes a facet: a normal, three corners, two bytes.
    let count = u32::from_le_bytes(stl[80..84].try_into().unwrap()) as usize;
    let triangles = &answer.parts[model.triangles].bytes;
    assert_eq!(triangles.len(), count * 36);
    let corners_of = |facet: &[u8]| facet[12..48].to_vec();
    let mut of_file: Vec<Vec<u8>> = stl[84..].chunks(50).map(corners_of).collect();
    let mut shown: Vec<Vec<u8>> = triangles.chunks(36).map(<[u8]>::to_vec).collect();
    of_file.sort();
    shown.sort();
    assert!(of_file == shown, "the shown triangles are not those of the file");
    let edges = &answer.parts[model.edges].bytes;
    assert!(edges.len().is_multiple_of(24) && !edges.is_empty());
    let at = |bytes: &[u8]| bytes.to_vec();
    let corners: std::collections::BTreeSet<Vec<u8>> = triangles.chunks(12).map(at).collect();
    assert!(edges.chunks(12).all(|end| corners.contains(end)), "a line ends away from the mesh");
}
