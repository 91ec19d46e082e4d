//! Every reader of a file that tells of guides, blades, jobs and what was measured, fed with anything: an answer in its
//! stated ranges, or faults that can be shown. What the program writes of an answer is read again as the same.
//!
//! The first byte, a digit, selects the reader; what follows is the file. A job may have a second file after a zero
//! byte, which every path in it then leads to.

#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use stopwright::fit::{self, Settings};
use stopwright::guide::named::NoFiles;
use stopwright::guide::{Guide, ToolClass};
use stopwright::job::Job;
use stopwright::lanes::{self, LaneSet};
use stopwright::measure::{build, flags};
use stopwright::profile::measured::{CorrectionsFile, MeasuredFile};
use stopwright::profile::{FitFile, GuideProfile, JobFile, TestPieceFile, ToolProfile};
use stopwright::testpiece::{self, judge};
use stopwright::units::{Units, Written};
use stopwright::verify::corrections::{self, Of};
use stopwright::verify::readings::Readings;
use stopwright::verify::verdict::{self, Rule, Sheets, Verdicts};
use stopwright::verify::{angles, plates, report};
use stopwright_fuzz::{Beside, angle, finite, lines, plain, ranged, sound, split, written_again};

fuzz_target!(|data: &[u8]| {
    let Some((which, text)) = data.split_first() else { return };
    match which.wrapping_sub(b'0') % 8 {
        0 => guide(text),
        1 => tool(text),
        2 => job(text),
        3 => known_settings(text),
        4 => measured(text),
        5 => corrected(text),
        6 => answers(text),
        _ => test_piece(text),
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

fn job(text: &[u8]) {
    let (text, beside) = split(text);
    let beside = Beside(beside);
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
    assert!([job.print.bed.width, job.print.bed.height].iter().all(|b| (50.0..=2000.0).contains(b)));
    assert!(job.print.layer <= job.print.nozzle);
    assert!(job.wood.printed_bar.iter().all(|b| (97.0..=103.0).contains(b)));
    assert!(0.0 <= job.wood.season.dry && job.wood.season.dry <= job.wood.season.damp);
    match lanes::of_job(&job) {
        Ok(set) => set.lanes.iter().for_each(finite),
        Err(unsolved) => assert!(!unsolved.is_empty() && unsolved.iter().all(|e| plain(&e.to_string()))),
    }
    assert_eq!(Job::parse("x", written.expect("sound").as_bytes(), &beside), Ok(job));
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
    let (profile, lacks) = fit::profile::profile(&settings, &fitted);
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
    let (sheets, rule) = (Sheets::of(job, Of::Block), Rule::Guarded);
    let plates = plates::judge(set, &readings, &job.honing, job.tolerance, rule);
    let weighed = angles::weigh(set, &readings, plates.as_ref());
    for lane in plates.iter().flat_map(|p| &p.lanes) {
        assert!((lane.error + lane.error_uncertainty).is_finite(), "{lane:?}");
    }
    match verdict::judge(set, &readings, sheets, job.tolerance, rule) {
        Err(cause) => assert!(plain(&cause.to_string())),
        Ok(verdicts) => {
            assert!(verdicts.lanes.iter().all(|l| (l.angle_as_built + l.error_uncertainty).is_finite()));
            assert!(lines(&report::text(set, &verdicts, job.written, plates.as_ref(), weighed.as_ref())));
            let file = corrections::corrections_from(Of::Block, job, set, &verdicts, weighed.as_ref());
            if let Ok(file) = file.map_err(|cause| assert!(plain(&cause.to_string())))
                && !file.corrections.is_empty()
            {
                let text = serde_json::to_string(&file).expect("finite numbers");
                let (mut job, mut moved) = (job.clone(), set.clone());
                corrections::apply("corrections", text.as_bytes(), Of::Block, &mut job, &mut moved)
                    .unwrap_or_else(|e| panic!("{e}"));
                assert_eq!(corrections::corrections_from(Of::Block, &job, &moved, &none(&job), None), Ok(file));
            }
        }
    }
    assert_eq!(Readings::parse("x", written.expect("sound").as_bytes(), set), Ok(readings));
}

/// Verdicts where nothing was measured.
fn none(job: &Job) -> Verdicts {
    Verdicts {
        pass: true,
        tolerance: job.tolerance,
        parallel_within: job.block.fence_within,
        decision_rule: "",
        rule: Rule::Guarded,
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

fn test_piece(text: &[u8]) {
    let written = written_again::<TestPieceFile>(text);
    let Some(readings) = sound(testpiece::Readings::parse("x", text)) else { return };
    let judged = judge::judge(&readings).expect("lengths that are apart give a scale");
    for axis in &judged.axes {
        assert!((axis.scale + axis.scale_uncertainty).is_finite(), "{axis:?}");
        assert!(axis.growth.is_none_or(f64::is_finite) && axis.growth_uncertainty.is_none_or(f64::is_finite));
    }
    for units in [Units::Mm, Units::Inch] {
        assert!(lines(&testpiece::report::text(&judged, Written::of(units))));
    }
    assert_eq!(testpiece::Readings::parse("x", written.expect("sound").as_bytes()), Ok(readings));
}
