//! Every reader, fed with anything: an answer in its stated ranges, or faults that can be shown. What the program
//! writes of an answer is read again as the same.
//!
//! The first byte, a digit, selects the reader; what follows is the file. A job may have a second file after a zero byte, which
//! every path in it then leads to.

#![no_main]

use std::fmt::Debug;
use std::sync::OnceLock;

use schemars::JsonSchema;
use serde::Serialize;
use serde::de::DeserializeOwned;

use libfuzzer_sys::fuzz_target;
use stopwright::lane::Lane;
use stopwright::lanes;
use stopwright::fit::{self, Settings};
use stopwright::guide::{Guide, ToolClass};
use stopwright::guide::named::{NoFiles, Sources};
use stopwright::input::fault::Faults;
use stopwright::input::length::{Angle, Length};
use stopwright::job::Job;
use stopwright::lanes::LaneSet;
use stopwright::measure::{build, flags};
use stopwright::profile::{self, FitFile, GuideProfile, JobFile, ToolProfile};
use stopwright::profile::measured::{CorrectionsFile, MeasuredFile};
use stopwright::units::Written;
use stopwright::verify::bevels;
use stopwright::verify::corrections::{self, Of};
use stopwright::verify::readings::Readings;
use stopwright::verify::verdict::{self, Rule, Sheets, Verdicts};


fuzz_target!(|data: &[u8]| {
    let Some((which, text)) = data.split_first() else { return };
    match which.wrapping_sub(b'0') % 7 {
        0 => guide(text),
        1 => tool(text),
        2 => job(text),
        3 => known_settings(text),
        4 => measured(text),
        5 => corrected(text),
        _ => answers(text),
    }
});

fn guide(text: &[u8]) {
    let written = written_again::<GuideProfile>(text);
    let Some(guide) = sound(Guide::parse("x", text)) else { return };
    ranged(guide.roller.diameter, [4.0, 120.0]);
    ranged(guide.face.axle_to_face.measured(), [-60.0, 210.0]);
    angle(guide.face.square_error, [-5.0, 5.0]);
    assert!(guide.seats().count() > 0);
    for (_, seat) in guide.seats() {
        ranged(seat.height.measured(), [-60.0, 180.0]);
        assert!(seat.blade_width.is_none_or(|[low, high]| 0.5 <= low && low <= high && high <= 150.0));
        assert!(seat.blade_thickness.is_none_or(|[low, high]| 0.2 <= low && low <= high && high <= 25.0));
    }
    assert_eq!(Guide::parse("x", written.expect("sound").as_bytes()), Ok(guide));
}

fn tool(text: &[u8]) {
    let written = written_again::<ToolProfile>(text);
    let Some(tool) = sound(ToolClass::parse("x", text)) else { return };
    assert!(0.5 <= tool.width[0] && tool.width[0] <= tool.width[1] && tool.width[1] <= 150.0);
    ranged(tool.thickness, [0.2, 25.0]);
    angle(tool.taper, [-5.0, 5.0]);
    assert!(tool.angles.iter().all(|a| (5.0..=60.0).contains(&a.angle)));
    assert_eq!(ToolClass::parse("x", written.expect("sound").as_bytes()), Ok(tool));
}

/// The one file that every path leads to.
struct Beside<'a>(Option<&'a [u8]>);

impl Sources for Beside<'_> {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        let one = self.0.filter(|_| !path.ends_with("-log.json"));
        one.map_or_else(|| NoFiles.load(path), |bytes| Ok((path.into(), bytes.to_vec())))
    }
}

fn job(text: &[u8]) {
    let mut files = text.splitn(2, |b| *b == 0);
    let text = files.next().unwrap_or_default();
    let beside = Beside(files.next());
    let written = written_again::<JobFile>(text);
    let Some(job) = sound(Job::parse("x", text, &beside)) else { return };
    assert!((0.05..=5.0).contains(&job.tolerance));
    for setting in &job.settings {
        ranged(setting.blade.thickness, [0.2, 25.0]);
        angle(setting.blade.taper, [-5.0, 5.0]);
        ranged(setting.roller_level, [-100.0, 100.0]);
        assert!((0.5..=150.0).contains(&setting.width));
        assert!(setting.angles.iter().all(|a| (5.0..=60.0).contains(a)));
    }
    assert!(job.block.thickness.is_none_or(|t| (4.0..=80.0).contains(&t)));
    assert!(job.block.middle.is_none_or(|i| (3.0..=60.0).contains(&i)) && (0.2..=20.0).contains(&job.block.clearance));
    assert!([job.print.bed.width, job.print.bed.height].iter().all(|b| (50.0..=2000.0).contains(b)) && job.print.layer <= job.print.nozzle);
    assert!(job.wood.printed_bar.iter().all(|b| (97.0..=103.0).contains(b)));
    assert!(0.0 <= job.wood.season.dry && job.wood.season.dry <= job.wood.season.damp);
    match lanes::of_job(&job) {
        Ok(set) => set.lanes.iter().for_each(finite),
        Err(unsolved) => assert!(!unsolved.is_empty() && unsolved.iter().all(|e| plain(&e.to_string()))),
    }
    assert_eq!(Job::parse("x", written.expect("sound").as_bytes(), &beside), Ok(job));
}

fn finite(lane: &Lane) {
    let numbers = [lane.fence(), lane.setting.projection, lane.roller_below_table, lane.overhang, lane.table_support];
    assert!(numbers.iter().all(|n| n.is_finite()), "{}: {numbers:?}", lane.request.id);
    assert!(lane.limits[0] <= lane.limits[1], "{}: {:?}", lane.request.id, lane.limits);
    assert!(lane.findings.iter().all(|f| plain(&f.message)));
}

/// More known settings than this only take longer.
const MOST_PAIRS: usize = 24;

fn known_settings(text: &[u8]) {
    written_again::<FitFile>(text);
    let Some(settings) = sound(Settings::parse("x", text)) else { return };
    for pair in &settings.pairs {
        ranged(pair.projection, [0.1, 300.0]);
        angle(pair.angle, [5.0, 60.0]);
        ranged(pair.level, [-100.0, 100.0]);
        assert!(pair.seat < settings.seats.len());
    }
    if settings.pairs.len() > MOST_PAIRS {
        return;
    }
    let fitted = fit::fit(&settings, &[20.0, 30.0]).expect("sound settings are never singular");
    let (profile, lacks) = stopwright::fit::profile::profile(&settings, &fitted);
    if lacks.is_empty() {
        let text = profile.text().expect("finite numbers");
        Guide::parse("fitted", text.as_bytes()).unwrap_or_else(|e| panic!("{e}\n{text}"));
    }
}

/// The job and the lanes of the example, which measurements and corrections are for.
fn example() -> &'static (Job, LaneSet) {
    static EXAMPLE: OnceLock<(Job, LaneSet)> = OnceLock::new();
    EXAMPLE.get_or_init(|| {
        let text = include_str!("../../examples/tool-chest.json");
        let job = Job::parse("example", text.as_bytes(), &NoFiles).expect("sound");
        let lanes = lanes::of_job(&job).expect("solved");
        (job, lanes)
    })
}

fn measured(text: &[u8]) {
    let (job, set) = example();
    let written = written_again::<MeasuredFile>(text);
    let Some(readings) = sound(Readings::parse("x", text, set)) else { return };
    assert!(readings.fences.iter().all(|f| (0.1..=300.0).contains(&f.fence) && (0.0..=150.0).contains(&f.within)));
    let weighed = bevels::weigh(set, &readings);
    match verdict::judge(set, &readings, SHEETS, 0.5, Rule::Guarded) {
        Err(cause) => assert!(plain(&cause.to_string())),
        Ok(verdicts) => {
            assert!(verdicts.lanes.iter().all(|l| (l.angle_as_built + l.error_uncertainty).is_finite()));
            let file = corrections::corrections_from(Of::Block, job, set, &verdicts, weighed.as_ref());
            if let Ok(file) = file.map_err(|cause| assert!(plain(&cause.to_string())))
                && !file.corrections.is_empty()
            {
                let text = serde_json::to_string(&file).expect("finite numbers");
                let (mut job, mut moved) = (job.clone(), set.clone());
                corrections::apply("corrections", text.as_bytes(), Of::Block, &mut job, &mut moved).unwrap_or_else(|e| panic!("{e}"));
                assert_eq!(corrections::corrections_from(Of::Block, &job, &moved, &none(), None), Ok(file));
            }
        }
    }
    assert_eq!(Readings::parse("x", written.expect("sound").as_bytes(), set), Ok(readings));
}

/// The printed block's sheets.
const SHEETS: Sheets = Sheets { wood: None, parallel_within: 0.2, written: Written { mm: true, inches: false, denominator: 64 } };

fn none() -> Verdicts {
    Verdicts {
        pass: true,
        tolerance: 0.5,
        parallel_within: SHEETS.parallel_within,
        decision_rule: "",
        lanes: Vec::new(),
        not_measured: Vec::new(),
    }
}

fn corrected(text: &[u8]) {
    let (job, set) = example();
    written_again::<CorrectionsFile>(text);
    let mut moved = set.clone();
    if sound(corrections::apply("x", text, Of::Block, &mut job.clone(), &mut moved)).is_some() {
        assert!(moved.lanes.iter().all(|l| l.correction.total().abs() <= 20.0));
    }
}

/// Answers as flags, a line each; the profile they make must be one.
fn answers(text: &[u8]) {
    let Ok(text) = std::str::from_utf8(text) else { return };
    let Some(answers) = sound(flags::read(text.lines())) else { return };
    let profile = build::profile(&answers).expect("nothing is missing after flags");
    let text = build::text(&profile).expect("finite numbers");
    Guide::parse("measured", text.as_bytes()).unwrap_or_else(|e| panic!("{e}\n{text}"));
}

/// The value, or `None` after a look at the faults.
fn sound<T>(read: Result<T, Faults>) -> Option<T> {
    read.map_err(|faults| {
        assert!(!faults.0.is_empty());
        for fault in &faults.0 {
            assert!(!fault.found.is_empty() && !fault.allowed.is_empty());
            assert!(plain(&fault.to_string()), "{:?}", fault.to_string());
            // The schema must refuse whatever the type does not take.
            assert_ne!(fault.allowed, "a value of the documented form", "{fault}");
        }
    })
    .ok()
}

/// One line that a terminal can show.
fn plain(words: &str) -> bool {
    !words.is_empty() && !words.chars().any(char::is_control)
}

/// What the program writes of a file without faults, after seeing that it is read as the same.
fn written_again<T>(text: &[u8]) -> Option<String>
where
    T: JsonSchema + Serialize + DeserializeOwned + PartialEq + Debug + Send,
{
    let read = |text: &[u8]| {
        let read = profile::read::<T>("x", text)?;
        read.finish(Faults::default())?;
        Ok::<T, Faults>(read.value)
    };
    let value = sound(read(text))?;
    let written = serde_json::to_string(&value).expect("finite numbers");
    assert_eq!(read(written.as_bytes()).unwrap_or_else(|e| panic!("{e}\n{written}")), value);
    Some(written)
}

fn ranged(length: Length, [low, high]: [f64; 2]) {
    assert!((low..=high).contains(&length.mm), "{length:?}");
    assert!(length.within.is_none_or(|w| w >= 0.0 && w.is_finite()), "{length:?}");
}

fn angle(angle: Angle, [low, high]: [f64; 2]) {
    assert!((low..=high).contains(&angle.degrees), "{angle:?}");
    assert!(angle.within.is_none_or(|w| w >= 0.0 && w.is_finite()), "{angle:?}");
}
