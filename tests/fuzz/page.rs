//! Requests of a page: whatever is on the bench and wanted of it, there is an answer in words that can be shown, with
//! all the parts that it refers to; and a bench that is saved opens as it was.
//!
//! A text that begins with a brace is a request as it is. Else its first line says what is wanted, a letter each
//! ([`Asked::wants`]); every further line puts something on the bench ([`Asked::line`]); and after each zero byte
//! stands a file that is opened, its name on a line of its own.

#![no_main]

use libfuzzer_sys::fuzz_target;
use serde_json::Value;
use stopwright::answer::bench::{FormName, GuideBy, LanesBy};
use stopwright::answer::{Bench, Reply, Request, Want, answer, wire};
use stopwright::format::ArtifactKind;
use stopwright::units::Units;
use stopwright_fuzz::plain;

/// More wants of one bench only take longer.
const MOST_WANTS: usize = 3;

fuzz_target!(|data: &[u8]| {
    if data.starts_with(b"{") {
        held(data);
        return;
    }
    let Ok(text) = std::str::from_utf8(data) else { return };
    let mut files = text.split('\0');
    let asked = Asked::of(files.next().unwrap_or_default());
    let mut bench = asked.bench.clone();
    for file in files {
        let (name, text) = file.split_once('\n').unwrap_or(("", file));
        bench = opened(bench, name, text);
    }
    for want in asked.wants() {
        let request = serde_json::to_vec(&Request { bench: bench.clone(), want }).expect("a request is JSON");
        held(&request);
    }
    if asked.letters.contains('w') {
        saved(&bench);
    }
});

/// What a text asks for.
struct Asked<'a> {
    letters: &'a str,
    bench: Bench,
    day: String,
    blade: String,
    strokes: Vec<(String, u32)>,
}

impl<'a> Asked<'a> {
    fn of(text: &'a str) -> Self {
        let (letters, rest) = text.split_once('\n').unwrap_or((text, ""));
        let (day, blade) = ("2026-11-28".into(), "jack".into());
        let mut asked = Self { letters, bench: Bench::default(), day, blade, strokes: Vec::new() };
        rest.lines().for_each(|line| asked.line(line));
        asked
    }

    /// A letter for the form, then key and text: of the guide, known settings, blades, the block, what was measured,
    /// and what is written in the log. An @ says how something is known or chosen.
    fn line(&mut self, line: &str) {
        let Some((which, line)) = line.split_once(' ') else { return };
        let (key, text) = line.split_once('=').unwrap_or((line, ""));
        let form = match which {
            "g" => FormName::Guide,
            "k" => FormName::KnownSettings,
            "b" => FormName::Blades,
            "j" => FormName::Block,
            "m" => FormName::Measured,
            "r" => return self.record(key, text),
            "@" => return self.known(key, text),
            _ => return,
        };
        self.bench.typed.entry(form).or_default().insert(key.into(), text.into());
    }

    fn record(&mut self, key: &str, text: &str) {
        match key {
            "day" => self.day = text.into(),
            "blade" => self.blade = text.into(),
            grade => self.strokes.extend(text.parse().ok().map(|count| (grade.into(), count))),
        }
    }

    fn known(&mut self, key: &str, text: &str) {
        match key {
            "calipers" => self.bench.guide = GuideBy::Calipers { like: text.into() },
            "known" => self.bench.guide = GuideBy::KnownSettings,
            "profile" => self.bench.guide = GuideBy::Profile { name: text.into() },
            "blades" => self.bench.lanes = LanesBy::Blades,
            "jig" => self.bench.of_jig = true,
            _ => {}
        }
    }

    /// Small letters are views, capitals kinds of files.
    fn wants(&self) -> impl Iterator<Item = Want> {
        let files = |kinds, corrected| Some(Want::Files { kinds, zipped: corrected, corrected });
        let want = move |letter: char| match letter {
            's' => Some(Want::Start),
            'g' => Some(Want::Guide),
            'b' => Some(Want::Blades),
            'k' => Some(Want::Block { lane: Some("s-30".into()) }),
            'm' => Some(Want::Model { block: 0 }),
            'p' => Some(Want::Picture { block: 1 }),
            'v' => Some(Want::Proof),
            't' => Some(Want::Stones),
            'r' => {
                Some(Want::Record { day: self.day.clone(), blade: self.blade.clone(), strokes: self.strokes.clone() })
            }
            'u' => Some(Want::Units(Units::Inch)),
            'c' => files(vec!["stl".into()], true),
            'j' => files(vec!["cut-sheet".into()], false),
            'A'..='L' => files(vec![ArtifactKind::ALL[letter as usize - 'A' as usize].name().into()], false),
            _ => None,
        };
        self.letters.chars().filter_map(want).take(MOST_WANTS)
    }
}

/// The bench with a file, which is left beside it where it cannot be opened.
fn opened(mut bench: Bench, name: &str, text: &str) -> Bench {
    let want = Want::Open { name: name.into(), text: text.into() };
    match answer(&Request { bench: bench.clone(), want }).reply {
        Reply::Opened(opened) => opened.bench,
        Reply::Refused(why) => {
            assert!(!why.is_empty() && why.iter().all(|w| plain(w)), "{why:?}");
            bench.opened.insert(name.into(), text.into());
            bench
        }
        other => panic!("{other:?}"),
    }
}

/// Holds the answer to a request, as it goes over the wire, to what a page takes for granted.
fn held(request: &[u8]) {
    let bytes = wire::answered(request);
    let length = u32::from_le_bytes(bytes[..4].try_into().expect("four bytes")) as usize;
    let (head, rest) = bytes[4..].split_at(length);
    let head: Value = serde_json::from_slice(head).expect("JSON");
    let parts = head["parts"].as_array().expect("parts");
    let of = |part: &Value| part["length"].as_u64().expect("a length") as usize;
    assert_eq!(parts.iter().map(of).sum::<usize>(), rest.len());
    // A number that is none is null as JSON, and then no reply.
    let reply: Reply = serde_json::from_value(head["reply"].clone()).expect("a reply");
    if let Reply::Refused(why) = &reply {
        assert!(!why.is_empty() && why.iter().all(|w| plain(w)) && parts.is_empty(), "{why:?}");
    }
    referred(&head["reply"], parts.len());
    let mut at = 0;
    for part in parts {
        let bytes = &rest[at..at + of(part)];
        at += bytes.len();
        assert!(!bytes.is_empty(), "{part}");
        if part["media"] == "image/svg+xml" {
            assert!(bytes.starts_with(b"<?xml") || bytes.starts_with(b"<svg"), "{part}");
        }
    }
}

/// What a reply refers to is there, pictures have a size, and what is said can be shown.
fn referred(value: &Value, parts: usize) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| referred(item, parts)),
        Value::Object(members) => {
            if let Some(part) = members.get("part").and_then(Value::as_u64) {
                assert!((part as usize) < parts, "{value}");
                let size = members["size"].as_array().expect("a size");
                assert!(size.iter().all(|side| side.as_f64().is_some_and(|mm| mm > 0.0)), "{value}");
            }
            for (name, said) in members {
                if ["faults", "notes", "warnings", "findings", "refused", "noticed"].contains(&name.as_str()) {
                    let all = said.as_array().map_or(std::slice::from_ref(said), Vec::as_slice);
                    assert!(all.iter().filter_map(Value::as_str).all(plain), "{name}: {said}");
                }
                referred(said, parts);
            }
        }
        _ => {}
    }
}

/// A bench that was saved opens without a fault that it did not have, and saves as the same.
fn saved(bench: &Bench) {
    let save = |bench: &Bench| {
        let answer = answer(&Request { bench: bench.clone(), want: Want::Save });
        let file = answer.parts.into_iter().next().expect("a file").bytes;
        String::from_utf8(file).expect("text")
    };
    let open = |text: &str| match answer(&Request {
        bench: Bench::default(),
        want: Want::Open { name: "my-bench.json".into(), text: text.into() },
    })
    .reply
    {
        Reply::Opened(opened) if opened.faults.is_empty() => Some(opened.bench),
        Reply::Opened(_) | Reply::Refused(_) => None,
        other => panic!("{other:?}"),
    };
    let first = save(bench);
    if let Some(again) = open(&first) {
        let second = save(&again);
        if let Some(third) = open(&second) {
            assert_eq!(save(&third), second);
        }
    }
}
