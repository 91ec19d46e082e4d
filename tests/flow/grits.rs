//! Abrasives as a user asks for them; the tables are held against the standards by `tests/oracles/grits.py`.

use proptest::prelude::*;
use serde_json::Value;

use super::support::{refusal, stdout};
use stopwright::stones::grits::steps::{LONG, strokes};
use stopwright::stones::grits::tables::Standard;
use stopwright::stones::grits::{Grade, judge};

fn all() -> Vec<Grade> {
    let of = |s: Standard| s.grades().iter().filter_map(move |(n, _)| Grade::of_standard(s, *n));
    Standard::ALL.into_iter().flat_map(of).collect()
}

fn total(set: &[Grade]) -> u32 {
    set.windows(2).map(|w| strokes(w[0].grain(), w[1].grain())).sum()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Against all subsets of small sets: none with fewer grades, or as many and fewer strokes, makes no longer step.
    #[test]
    fn the_fewest_grades_are_the_fewest(picks in prop::collection::vec(any::<prop::sample::Index>(), 1..9)) {
        let mut set: Vec<Grade> = picks.iter().map(|i| all()[i.index(all().len())]).collect();
        set.sort_by(|a, b| b.grain().total_cmp(&a.grain()));
        set.dedup_by(|a, b| a.grain() == b.grain());
        let gap = |at: usize, to: usize| to == at + 1 || set[at].grain() / set[to].grain() <= LONG;
        let best = (0u32..1 << set.len())
            .map(|bits| (0..set.len()).filter(|i| bits >> i & 1 == 1).collect::<Vec<_>>())
            .filter(|kept| kept.first() == Some(&0) && kept.last() == Some(&(set.len() - 1)))
            .filter(|kept| kept.windows(2).all(|w| gap(w[0], w[1])))
            .map(|kept| (kept.len(), total(&kept.iter().map(|i| set[*i]).collect::<Vec<_>>())))
            .min()
            .unwrap();
        let judged = judge(&set).unwrap();
        prop_assert_eq!((judged.fewest.len(), judged.fewest_strokes), best);
        prop_assert_eq!(judged.fewest_strokes, total(&judged.fewest));
    }

    #[test]
    fn any_text_is_a_grade_or_a_fault(text in "\\PC{0,12}") {
        if let Ok(grade) = text.parse::<Grade>() {
            prop_assert!((0.05..=2500.0).contains(&grade.grain()), "{text}");
            let again = grade.to_string().parse::<Grade>();
            prop_assert!(again.is_ok_and(|g| (g.grain() - grade.grain()).abs() <= 5e-4 * grade.grain().max(1.0)));
        }
    }
}

#[test]
fn every_grade_is_read_as_it_is_written() {
    for grade in all() {
        assert_eq!(grade.to_string().parse(), Ok(grade));
        assert!(!grade.source().is_empty());
    }
}

/// 220 for the primary, then 400, 600, 800, 1500, 2000 for the micro-bevel: common practice, no source.
#[test]
fn the_command_judges_the_common_set() {
    let set = "P220,P400,P600,P800,P1500,P2000";
    let said = stdout(&["grits", set]);
    assert!(
        said.contains("You could skip some grades: P220, P400, P800, P2000 take about 59 strokes instead of"),
        "{said}"
    );
    assert!(said.contains("Use only the finest grade on the back") && said.contains("never along it"), "{said}");
    let json: Value = serde_json::from_str(&stdout(&["grits", set, "--json"])).unwrap();
    let verdicts: Vec<&Value> = json["grades"].as_array().unwrap().iter().map(|g| &g["verdict"]).collect();
    assert_eq!(
        Value::from(verdicts.into_iter().cloned().collect::<Vec<_>>()).to_string(),
        r#"[null,"sound","sound","wasted","sound","wasted"]"#
    );
    let mixed = stdout(&["grits", "CAMI 320, JIS 1000, JIS 4000, 0.5 um"]);
    assert!(mixed.contains("long") && mixed.contains("JIS R 6001") && mixed.contains("ANSI B74.18"), "{mixed}");
}

#[test]
fn the_command_shows_all_faults_of_a_set() {
    let faults = refusal(&["grits", "400,P411,fine,9000 um"]);
    assert_eq!(faults.lines().count(), 4, "{faults}");
    for part in ["\"400\" has no standard. Give P400", "cannot be \"P411\"", "cannot be \"fine\"", "0.05 to 2500"] {
        assert!(faults.contains(part), "{part}: {faults}");
    }
    assert!(refusal(&["grits", ""]).contains("GRADES"));
}

/// The usual set of water stones is called that, finer numbers than JIS's are said to be their makers' own, and care is
/// taken of the kinds that are named.
#[test]
fn the_command_knows_what_makers_print() {
    let usual = stdout(&["grits", "1000 water-stone, 4000 water-stone, 8000 water-stone"]);
    assert!(usual.contains("the usual set of three water stones") && usual.contains("No oil"), "{usual}");
    assert!(!usual.contains("Not all steps are sound") && !usual.contains("Paper:"), "{usual}");
    let finer = stdout(&["grits", "JIS 8000, JIS 16000"]);
    assert!(finer.contains("#16000") && finer.contains("a maker's own number"), "{finer}");
    let others = stdout(&["grits", "325 mesh diamond-plate, F400 oil-stone, 3 um film"]);
    for part in ["ISO 8486", "ASTM E11", "Oil stones:", "Diamond plates:", "Film:"] {
        assert!(others.contains(part), "{part}: {others}");
    }
}
