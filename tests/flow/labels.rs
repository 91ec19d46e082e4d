//! The lettering of a block: what it says, where it stands, and that a nozzle can print it.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use i_overlay::mesh::float::outline::offset::OutlineOffset;
use i_overlay::mesh::float::style::{LineJoin, OutlineStyle};
use kurbo::Rect;
use proptest::prelude::*;
use serde_json::{Value, json};

use super::support::{any_job, job_of, laid_out, parsed};
use stopwright::block::{self, Layout, regions, slabs};
use stopwright::lanes;
use stopwright::shape::lines::{Label, wall};
use stopwright::shape::polygon::{Outline, Region};
use stopwright::terms::{Edge, Labels};

type Shapes = Vec<Vec<Vec<[f64; 2]>>>;

fn shapes(region: &Region) -> Shapes {
    let mm = |o: &Outline| -> Vec<[f64; 2]> { o.iter().map(|c| c.map(|v| f64::from(v) / 1000.0)).collect() };
    let contours: Vec<Vec<[f64; 2]>> = region.iter().map(mm).collect();
    contours.overlay(&Shapes::new(), OverlayRule::Subject, FillRule::EvenOdd)
}

fn of_lane<'a>(layout: &'a Layout, id: &str) -> Option<&'a Label> {
    layout.lettering.labels.iter().find(|l| l.lane.as_deref() == Some(id))
}

fn words(label: &Label) -> String {
    label.lines.iter().map(|l| l.words.as_str()).collect::<Vec<_>>().join(" ")
}

/// What a lane reads but for its projection, which is the line with a decimal point and no degree sign.
fn without_projection(label: &Label) -> String {
    let is_projection =
        |words: &str| words.contains('.') && words.chars().all(|c| c.is_ascii_digit() || ".\"".contains(c));
    let lines = label.lines.iter().map(|l| l.words.as_str()).filter(|words| !is_projection(words));
    lines.collect::<Vec<_>>().join(" ")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 80, max_global_rejects: 4000, ..ProptestConfig::default() })]

    #[test]
    fn lettering_stands_clear_on_the_middle_and_is_printable(
        value in any_job(),
        nozzle in prop::sample::select(vec![0.25, 0.4, 0.6, 0.8]),
        raised in any::<bool>(),
    ) {
        let mut value = value;
        value["print"] = json!({ "bed": [2000, 2000], "nozzle": nozzle });
        if raised {
            value["block"]["labels"] = json!("raised");
        }
        let job = parsed(&value);
        let Ok(set) = lanes::of_job(&job) else { return Err(TestCaseError::reject("no lanes")) };
        let Ok(layout) = block::lay_out(&job, &set) else { return Err(TestCaseError::reject("refused")) };
        let regions = regions::regions_of(&layout);
        // On the raised middle, a wall away from its sides.
        let (letters, middle) = (shapes(&regions.letters), shapes(&regions.middle));
        // Around the tip of a notch a distance is an arc; a mitre would ask for more.
        let inner: Shapes = middle.outline(&OutlineStyle::new(0.01 - wall(nozzle)).line_join(LineJoin::Round(0.1)));
        let outside = letters.overlay(&inner, OverlayRule::Difference, FillRule::EvenOdd);
        prop_assert!(outside.is_empty(), "letters stand too near to a side of the raised middle");
        // What shares its place with nothing else.
        let labels = &layout.lettering.labels;
        for (i, label) in labels.iter().enumerate() {
            let meets = |r: Rect| !label.extent.intersect(r).is_zero_area();
            prop_assert!(!labels[i + 1..].iter().any(|other| meets(other.extent)));
            for hole in &layout.screw_holes {
                prop_assert!(!meets(Rect::from_center_size(*hole, (9.99, 9.99))), "a screw's head covers {label:?}");
            }
        }
        // One large height and one small for all lanes, none below 3 mm.
        let of_lanes = || labels.iter().filter(|l| l.lane.is_some());
        let mut heights: Vec<i64> =
            of_lanes().flat_map(|l| &l.lines).map(|line| (1000.0 * line.height).round() as i64).collect();
        heights.sort_unstable();
        heights.dedup();
        prop_assert!(heights.len() <= 2 && heights.iter().all(|h| *h >= 3000), "{heights:?}");
        // No two lanes read alike, whatever their projections.
        let mut read: Vec<String> = of_lanes().map(without_projection).collect();
        read.sort();
        let all = read.len();
        read.dedup();
        prop_assert_eq!(read.len(), all, "lanes read alike: {:?}", read);
        // Whose block it is stands in a frame of its own, and nothing else does.
        prop_assert!(labels.iter().all(|l| l.lane.is_none() == l.frame.is_some()));
        // Gaps between all signs stay open and strokes whole: as many pieces and holes, half a nozzle thinner or
        // thicker (mathematical morphology; Serra, Image Analysis and Mathematical Morphology, from memory).
        let parts = |s: &Shapes| (s.len(), s.iter().map(Vec::len).sum::<usize>());
        for half in [-0.499 * nozzle, 0.499 * nozzle] {
            let moved: Shapes = letters.outline(&OutlineStyle::new(half).line_join(LineJoin::Round(0.3)));
            prop_assert_eq!(parts(&moved), parts(&letters), "at {} mm", half);
        }
        // Every lane is named or missed.
        for placed in &layout.lanes {
            let id = &placed.lane.request.id;
            let missed = layout.lettering.notes.iter().any(|n| n.contains(id.as_str()));
            prop_assert!(of_lane(&layout, id).is_some() || missed, "{} is neither lettered nor said to be left out", id);
        }
        prop_assert!(slabs::build(&layout).is_ok());
    }
}

#[test]
fn each_lane_says_its_tool_angle_and_projection_toward_its_own_edge() {
    let (_, layout) = laid_out(&job_of(3, 3));
    assert!(layout.lettering.notes.is_empty(), "{:?}", layout.lettering.notes);
    for placed in &layout.lanes {
        let label = of_lane(&layout, &placed.lane.request.id).unwrap();
        let mut said: Vec<&str> = label.lines.iter().map(|l| l.words.as_str()).collect();
        let angle = format!("{}°", placed.lane.request.angle);
        assert_eq!(said[0], angle);
        let mut expected =
            [angle, placed.lane.request.label.to_uppercase(), format!("{:.1}", placed.lane.setting.projection)];
        said.sort_unstable();
        expected.sort_unstable();
        assert_eq!(said, expected);
        // The angle stands out.
        assert!(
            label.lines[1..].iter().all(|l| label.lines[0].height >= 1.5 * l.height && l.height >= 3.0),
            "{label:?}"
        );
        // It stands next to its fence and is read from its edge: the first line is the farther one.
        let first = label.lines[0].at.y;
        let last = label.lines[label.lines.len() - 1].at.y;
        match placed.edge {
            Edge::Near => {
                assert!((label.extent.y0 - placed.lane.fence() - wall(0.4)).abs() < 1e-6);
                assert!(first > last && label.lines.iter().all(|l| !l.turned));
            }
            Edge::Far => {
                assert!((layout.depth - label.extent.y1 - placed.lane.fence() - wall(0.4)).abs() < 1e-6);
                assert!(first < last && label.lines.iter().all(|l| l.turned));
            }
        }
        assert!((label.extent.center().x - placed.centre).abs() < 1e-6, "in the middle of its lane");
    }
    let mark = layout.lettering.labels.iter().find(|l| l.lane.is_none()).unwrap();
    assert!(words(mark).contains("NARROW-SIDE-CLAMP"), "{}", words(mark));
}

#[test]
fn two_guides_make_two_marks() {
    let mark = |guide: &str| {
        let mut value = job_of(2, 0);
        value["guide"] = json!(guide);
        let (_, layout) = laid_out(&value);
        words(layout.lettering.labels.iter().find(|l| l.lane.is_none()).unwrap())
    };
    assert_ne!(mark("narrow-side-clamp"), mark("wide-side-clamp"));
}

#[test]
fn a_wider_nozzle_letters_larger() {
    let height = |nozzle: f64| {
        let mut value = job_of(2, 0);
        value["settings"][0]["width"] = json!(66);
        value["print"] = json!({ "nozzle": nozzle, "layer": 0.1, "bed": [400, 400] });
        value["block"] = json!({ "middle": 60 });
        let (_, layout) = laid_out(&value);
        assert!(layout.lettering.notes.is_empty(), "{:?}", layout.lettering.notes);
        layout.lettering.labels[0].lines.iter().map(|l| l.height).fold(f64::INFINITY, f64::min)
    };
    assert!(height(0.25) >= 3.0);
    assert!(height(0.8) > 5.5);
}

#[test]
fn what_finds_no_room_is_shortened_or_left_out_and_said() {
    let thin = |middle: Value| {
        let mut value = job_of(3, 3);
        value["block"] = json!({ "middle": middle });
        laid_out(&value).1
    };
    let layout = thin(json!(5));
    let notes = layout.lettering.notes.join("\n");
    assert!(notes.contains("leave no room") && notes.contains("not lettered"), "{notes}");
    assert!(layout.findings.iter().any(|f| notes.contains(&f.message)));
    assert!(slabs::build(&layout).is_ok());
    // Left to itself the middle is as thick as it must be.
    assert!(thin(json!(null)).lettering.notes.is_empty());
}

#[test]
fn signs_that_do_not_print_are_said() {
    let mut value = job_of(1, 0);
    value["title"] = json!("Öl & Stein ₨");
    let (_, layout) = laid_out(&value);
    let mark = words(layout.lettering.labels.iter().find(|l| l.lane.is_none()).unwrap());
    assert!(mark.contains("OEL & STEIN") && !mark.contains('₨'), "{mark}");
    let note = layout.lettering.notes.join("\n");
    assert!(note.contains("Öl & Stein ₨") && note.contains("OEL & STEIN"), "{note}");
}

#[test]
fn without_labels_nothing_is_lettered_and_the_middle_is_thinner() {
    let mut value = job_of(3, 3);
    let (_, with) = laid_out(&value);
    value["block"] = json!({ "labels": "none" });
    let (_, without) = laid_out(&value);
    assert_eq!(without.labels, Labels::None);
    assert!(without.lettering.labels.is_empty() && regions::regions_of(&without).letters.is_empty());
    assert!(without.depth < with.depth);
}

#[test]
fn inches_are_lettered_in_inches() {
    let mut value = job_of(1, 0);
    value["units"] = json!("in");
    value["settings"][0]["thickness"] = json!("2.4 mm");
    value["settings"][0]["width"] = json!(2);
    let (_, layout) = laid_out(&value);
    let placed = &layout.lanes[0];
    let label = words(of_lane(&layout, &placed.lane.request.id).unwrap());
    assert!(label.contains(&format!("{:.3}\"", placed.lane.setting.projection / 25.4)), "{label}");
}

/// Two names that relief cannot tell apart get what does, and that is said.
#[test]
fn lanes_that_would_read_alike_are_told_apart() {
    let mut value = job_of(1, 0);
    value["settings"] = json!([
        { "tool": "plane-iron", "id": "Müller", "angles": [25], "width": 51 },
        { "tool": "plane-iron", "id": "Mueller", "angles": [25], "width": 44, "thickness": 3 },
    ]);
    let (_, layout) = laid_out(&value);
    let read: Vec<String> =
        layout.lettering.labels.iter().filter(|l| l.lane.is_some()).map(without_projection).collect();
    assert!(read.len() == 2 && read[0] != read[1], "{read:?}");
    assert!(read.iter().any(|r| r.contains("51 MM")) && read.iter().any(|r| r.contains("44 MM")), "{read:?}");
    let notes = layout.lettering.notes.join("\n");
    assert!(notes.contains("read alike"), "{notes}");
}
