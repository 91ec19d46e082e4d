//! Every outline of every product closes: no solid of a random gauge, test piece, block or cleat has an open edge.
//!
//! A modest slice of cases; ten thousand by hand with `PROPTEST_CASES=10000 cargo test --release --test flow -- outlines`.

use proptest::prelude::*;
use serde_json::Value;

use super::support::{any_job, cases, parsed};
use stopwright::block::{self, cleat, slabs};
use stopwright::gauges::bevel::Asked;
use stopwright::gauges::light::Making;
use stopwright::gauges::{self, Wanted};
use stopwright::job::PrintOptions;
use stopwright::lanes;
use stopwright::shape::stack::Stack;
use stopwright::solid;
use stopwright::stones::camber::curve::Curve;
use stopwright::terms::PaperSize;
use stopwright::testpiece::piece::Piece;
use stopwright::units::{Units, Written};

fn nothing() -> Wanted {
    Wanted {
        bevels: Vec::new(),
        tolerance: 0.5,
        making: Making::Metal,
        cambers: Vec::new(),
        square_width: None,
        print: PrintOptions::default(),
        title: "Alder Lane".into(),
        written: Written::of(Units::Mm),
        paper: PaperSize::A4,
    }
}

/// Why a stack is no sound solid: open edges, another volume than its slabs', a slab that encloses nothing.
fn unsound(stack: Stack) -> Option<String> {
    if let Some(empty) = stack.slabs.iter().position(|s| s.region.iter().all(|o| o.is_empty())) {
        return Some(format!("slab {empty} encloses nothing"));
    }
    solid::build(stack).err().map(|e| e.to_string())
}

/// The gauges that were not watertight at four edges: the last corner of the foot repeated the first.
#[test]
fn cambers_whose_foot_named_its_first_corner_twice() {
    for (width, depth) in [(25.8, 0.76), (27.0, 0.85), (43.0, 1.95)] {
        let asked = Wanted { cambers: vec![("jack".into(), Curve { width, depth })], ..nothing() };
        for plate in gauges::plan(&asked).unwrap() {
            assert_eq!(unsound(plate.stack()), None, "{width} × {depth}");
        }
    }
}

proptest! {
    #![proptest_config(cases(200))]

    #[test]
    fn random_gauges_close(
        angles in prop::collection::btree_set(50u32..595, 0..6), tolerance in 0.1..3.0f64, thickness in 0.5..14.0f64,
        cambers in prop::collection::vec((6.0..145.0f64, 0.02..1.0f64), 1..3), square in 3.0..130.0f64,
        nozzle in prop::sample::select(vec![0.25, 0.4, 0.6, 0.8]), in_tenths in any::<bool>(), inches in any::<bool>(),
    ) {
        let print = PrintOptions { nozzle, ..PrintOptions::default() };
        let units = if inches { Units::Inch } else { Units::Mm };
        let nothing = Wanted { tolerance, print, written: Written::of(units), ..nothing() };
        // Sizes as people write them, or with all digits; depths up to the deepest of the width.
        let round = |mm: f64, to: f64| if in_tenths { (mm * to).round() / to } else { mm };
        let cambers = cambers.into_iter().map(|(width, part)| {
            let deepest = (0.12 * width).min(8.0);
            ("jack iron".to_string(), Curve { width: round(width, 10.0), depth: round(part * deepest, 100.0) })
        });
        let bevel = |a: u32| Asked { angle: f64::from(a) / 10.0, thickness };
        let angles = angles.into_iter().map(|a| Wanted { bevels: vec![bevel(a)], ..nothing.clone() });
        let all = angles
            .chain(cambers.map(|camber| Wanted { cambers: vec![camber], ..nothing.clone() }))
            .chain([Wanted { square_width: Some(round(square, 10.0)), ..nothing.clone() }]);
        for asked in all {
            for plate in gauges::plan(&asked).unwrap_or_default() {
                prop_assert_eq!(unsound(plate.stack()), None, "{} {:?} {:?}", plate.name, plate.shape, plate.size);
            }
        }
    }

    #[test]
    fn random_test_pieces_close(x in 100.0..300.0f64, y in 100.0..300.0f64) {
        if let Ok(piece) = Piece::for_bed(kurbo::Size::new(x, y)) {
            prop_assert_eq!(unsound(piece.stack()), None, "{} {}", x, y);
        }
    }
}

proptest! {
    #![proptest_config(cases(60))]

    #[test]
    fn random_blocks_and_cleats_close(value in any_job(), seams in any::<bool>(), labels in 0..3usize) {
        let mut value: Value = value;
        value["block"]["labels"] = ["none", "sunk", "raised"][labels].into();
        if seams {
            value["print"] = serde_json::json!({ "seam_notch": true });
        }
        let job = parsed(&value);
        let Ok(lanes) = lanes::of_job(&job) else { return Ok(()) };
        let Ok(layout) = block::lay_out(&job, &lanes) else { return Ok(()) };
        prop_assert_eq!(unsound(slabs::stack_of(&layout)), None, "{}", value);
        if let Ok(cleat) = cleat::cleat_of(&layout) {
            prop_assert_eq!(unsound(cleat.stack), None, "cleat of {}", value);
        }
    }
}
