//! Logs of honings: what is read is written as the same, entries are added and taken out, and every blade of the kit
//! stands somehow.
//!
//! A log comes first; after a zero byte its kit may follow, and is the one of the examples where it does not.

#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use stopwright::guide::named::NoFiles;
use stopwright::kit::Kit;
use stopwright::log::{self, Log, report};
use stopwright::profile::LogFile;
use stopwright::units::{Units, Written};
use stopwright_fuzz::{lines, sound, split, written_again};

fuzz_target!(|data: &[u8]| {
    let (text, kit) = split(data);
    let own = kit.map(|text| Kit::parse("kit", text, &NoFiles));
    let Some(kit) = own.as_ref().map_or_else(|| Some(example()), |read| read.as_ref().ok()) else { return };
    written_again::<LogFile>(text);
    let Some(mut log) = sound(Log::parse("x", text, kit)) else { return };
    stands(kit, &log);
    counted(&log);
    kept(kit, &log);
    let written = log.text().expect("finite numbers");
    assert_eq!(Log::parse("x", written.as_bytes(), kit).as_ref(), Ok(&log));
    while let Some(entry) = log.undo() {
        assert!(kit.names().any(|name| name == entry.blade));
    }
    assert!(log.entries.is_empty());
});

fn example() -> &'static Kit {
    static EXAMPLE: OnceLock<Kit> = OnceLock::new();
    EXAMPLE.get_or_init(|| {
        let text = include_str!("../../examples/alder-lane-kit.json");
        Kit::parse("example", text.as_bytes(), &NoFiles).expect("sound")
    })
}

fn stands(kit: &Kit, log: &Log) {
    let standings = log::standings(kit, log);
    assert!(standings.iter().map(|s| s.blade.as_str()).eq(kit.names()));
    for standing in &standings {
        assert!(standing.width.is_none_or(|w| w.is_finite() && w >= 0.0), "{standing:?}");
        assert!(standing.widest.is_none_or(|w| w.is_finite() && w > 0.0), "{standing:?}");
        assert!(standing.left.is_some() == standing.width.is_some() && standing.is_due() == (standing.left == Some(0)));
        let own = || log.entries.iter().filter(|e| e.blade == standing.blade);
        assert!(standing.honings as usize <= own().count());
        assert_eq!(standing.last.map(|(day, _)| day), own().map(|e| e.day).max());
    }
    for units in [Units::Mm, Units::Inch] {
        assert!(lines(&report::table(&kit.title, &standings, Written::of(units))));
    }
    assert_eq!(report::json(&kit.title, &standings)["blades"].as_array().map(Vec::len), Some(kit.blades.len()));
}

/// Strokes are told where somebody counted, and are between the least and the most of what was.
fn counted(log: &Log) {
    let counts = log.counts();
    for entry in &log.entries {
        for (grade, _) in &entry.strokes {
            let all = || {
                let of_blade = log.entries.iter().filter(|e| e.blade == entry.blade);
                of_blade.flat_map(|e| &e.strokes).filter(|(g, _)| g == grade).map(|(_, count)| *count)
            };
            let usual = counts.usual(&entry.blade, grade).expect("counted");
            assert!(all().min().is_some_and(|least| least <= usual) && all().max().is_some_and(|most| usual <= most));
        }
    }
}

/// Entries that are written down one by one are read as they were.
fn kept(kit: &Kit, log: &Log) {
    let mut again = Log::new(kit);
    log.entries.iter().for_each(|entry| again.add(entry.clone()));
    let text = again.text().expect("finite numbers");
    let read = Log::parse("again", text.as_bytes(), kit).unwrap_or_else(|e| panic!("{e}\n{text}"));
    assert_eq!(read.entries.len(), log.entries.len());
    for (a, b) in read.entries.iter().zip(&log.entries) {
        // A width in inches may lose the last place on its way.
        let close = a.micro_width.zip(b.micro_width).is_none_or(|(a, b)| (a - b).abs() <= 1e-12 * b);
        assert!(close && a.micro_width.is_some() == b.micro_width.is_some(), "{a:?} {b:?}");
        assert_eq!((a.day, &a.blade, a.what, &a.strokes, &a.note), (b.day, &b.blade, b.what, &b.strokes, &b.note));
    }
}
