//! Kits, from their text to their cards: the plan of fences keeps what it promises, lanes have numbers, and cards of a
//! few blades are drawn without a clash.
//!
//! The first byte says in which guide the kit is planned, and how; then the kit follows, and after a zero byte a class
//! of blades, which every path in it leads to.

#![no_main]

use libfuzzer_sys::fuzz_target;
use serde_json::{json, to_string};
use stopwright::card::{self, Card, files, steps};
use stopwright::drawing::clash;
use stopwright::guide::named::{GUIDES, Sources};
use stopwright::job::Job;
use stopwright::kit::interval::Bench;
use stopwright::kit::report::{report, text};
use stopwright::kit::{Kit, PlannedKit};
use stopwright::lane::Lane;
use stopwright::lanes::{self, LaneSet};
use stopwright::profile::KitFile;
use stopwright::terms::PaperSize;
use stopwright_fuzz::{Beside, angle, finite, lines, plain, ranged, sound, split, written_again};

/// A kit of more blades only takes longer to plan.
const MOST_BLADES: usize = 16;
/// Cards of more blades only take longer to draw.
const MOST_DRAWN: usize = 2;

fuzz_target!(|data: &[u8]| {
    let Some((how, files)) = data.split_first() else { return };
    let (text, class) = split(files);
    let class = Beside(class);
    let written = written_again::<KitFile>(text);
    let Some(kit) = sound(Kit::parse("x", text, &class)) else { return };
    for blade in &kit.blades {
        assert!((0.5..=150.0).contains(&blade.width));
        ranged(blade.blade.thickness, [0.2, 25.0]);
        angle(blade.blade.taper, [-5.0, 5.0]);
    }
    assert_eq!(Kit::parse("x", written.expect("sound").as_bytes(), &class).as_ref(), Ok(&kit));
    if kit.blades.len() <= MOST_BLADES {
        planned(*how, &kit, &Folder { kit: text, class });
    }
});

/// The kit beside a job, and the class that it refers to.
struct Folder<'a> {
    kit: &'a [u8],
    class: Beside<'a>,
}

const KIT: &str = "kit.json";

impl Sources for Folder<'_> {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        if path == KIT { Ok((path.into(), self.kit.to_vec())) } else { self.class.load(path) }
    }
}

/// What the first byte says: the guide, whether seats share fences, the paper, and inches.
fn planned(how: u8, kit: &Kit, folder: &Folder<'_>) {
    let how = usize::from(how.wrapping_sub(b'0'));
    let (guide, across_seats) = (GUIDES[how % GUIDES.len()].name, how / 5 % 2 == 1);
    let size = [PaperSize::A5, PaperSize::Index, PaperSize::HalfLetter, PaperSize::A4][how / 10 % 4];
    let text = json!({
        "format": 1, "title": "fuzzed", "guide": guide, "kit": KIT, "share_across_seats": across_seats,
        "tolerance": kit.tolerance, "units": kit.units,
    });
    let Some(job) = sound(Job::parse("job", text.to_string().as_bytes(), folder)) else { return };
    assert_eq!(job.kit.as_ref(), Some(kit));
    match lanes::of_job(&job) {
        Err(unserved) => assert!(!unserved.is_empty() && unserved.iter().all(|e| plain(&e.to_string()))),
        Ok(set) => {
            set.lanes.iter().for_each(finite);
            fences(&job, kit, &set);
            cards(&job, kit, &set, size);
        }
    }
}

/// Every bevel has one fence that serves it, or a reason; no fewer fences do.
fn fences(job: &Job, kit: &Kit, set: &LaneSet) {
    let planned @ PlannedKit { advice, plan } = set.kit.as_ref().expect("planned");
    assert_eq!(advice.len(), kit.blades.len());
    for advice in advice {
        assert!(5.0 <= advice.primary.angle && advice.primary.angle <= advice.micro.angle, "{advice:?}");
        assert!(advice.micro.angle <= 60.0 && advice.flags.iter().all(|f| plain(&f.message)), "{advice:?}");
    }
    let mut served = vec![0; plan.asks.len()];
    for fence in &plan.fences {
        assert!(fence.common[0] <= fence.distance && fence.distance <= fence.common[1], "{fence:?}");
        assert!(fence.members.contains(&fence.forced_by), "{fence:?}");
        for &member in &fence.members {
            served[member] += 1;
            let error = plan.asks[member].error(fence.distance).expect("a fence that serves sets an angle");
            assert!(error.abs() <= job.tolerance + 1e-6, "{error} {fence:?}");
        }
    }
    for (ask, times) in plan.asks.iter().zip(served) {
        assert!(times == 1 || times == 0 && ask.passing, "{times} fences: {ask:?}");
    }
    let forced: Vec<[f64; 2]> = plan.fences.iter().map(|f| plan.asks[f.forced_by].places).collect();
    let seat = |i: usize| (!plan.across_seats).then(|| plan.asks[plan.fences[i].forced_by].seat);
    for (i, a) in forced.iter().enumerate() {
        for (j, b) in forced[..i].iter().enumerate() {
            assert!(seat(i) != seat(j) || a[1] < b[0] || b[1] < a[0], "{a:?} and {b:?} could share a fence");
        }
    }
    let bench = Bench {
        guide: &job.guide,
        level: job.roller_level,
        edge: set.edge,
        tolerance: job.tolerance,
        across_seats: job.across_seats,
        made_within: job.block.fence_within,
        written: job.written,
    };
    let report = report(kit, planned, &bench);
    assert!(report.fewest.proven <= report.fewest.fences && report.fewest.fences == plan.fences.len());
    assert!(lines(&text(&report)) && to_string(&report).is_ok());
}

fn cards(job: &Job, kit: &Kit, set: &LaneSet, size: PaperSize) {
    let cards = card::cards(kit, job, set);
    assert_eq!(cards.len(), kit.blades.len());
    for card in &cards {
        numbers(card, &set.lanes);
        let steps = steps::of_card(card, job.written);
        assert!(steps.steps.iter().all(|s| plain(&s.what) && plain(&s.figure) && s.words.iter().all(|w| plain(w))));
        assert!(steps.cautions.iter().all(|c| plain(c)), "{:?}", steps.cautions);
    }
    if cards.len() > MOST_DRAWN {
        return;
    }
    let drawn = files::Set { job, kit, cards: &cards, size, only: None }.draw(|sheets| {
        for (name, sheet) in &sheets {
            assert_eq!(clash::find(sheet), [], "{name}");
        }
        Ok::<(), ()>(())
    });
    assert_eq!(drawn, Ok(()));
}

fn numbers(card: &Card, lanes: &[Lane]) {
    for setting in &card.settings {
        assert!(lanes.iter().any(|lane| lane.request.sign() == setting.lane), "{}", setting.lane);
        let all = [setting.wanted, setting.set, setting.fence, setting.projection];
        assert!(all.iter().all(|n| n.is_finite()), "{all:?}");
    }
    if let Some(change) = &card.change {
        assert!(change.steel.is_finite() && change.recession >= 0.0 && change.recession.is_finite(), "{change:?}");
    }
    if let Some(camber) = &card.camber {
        assert!(camber.rock.is_finite() && camber.after_first >= 0.0 && camber.after_first.is_finite(), "{camber:?}");
    }
    if let Some(regrind) = &card.regrind {
        assert!(regrind.width > 0.0 && regrind.width_per_honing > 0.0 && regrind.width.is_finite(), "{regrind:?}");
    }
}
