//! The section of a blade against a simulation that knows nothing of its formulas: a slab of steel is clipped by
//! half-planes with a polygon library, and areas and lengths are read off what is left.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use proptest::prelude::*;
use serde_json::Value;

use super::support::{refusal, stdout};
use stopwright::stones::bevel::{Blade, Change, Habit, Nick, micro};

type Point = [f64; 2];

/// How far the clipping's grid and the closed forms may differ, mm and mm².
const GRID: f64 = 1e-6;

/// Where the slab ends, mm: past the longest bevel tried, and before a tapered blade is down to nothing.
const FAR: f64 = 25.0;

/// A slab of steel, back along x, `t` thick square to the underside at the origin.
fn slab(t: f64, taper: f64) -> Vec<Point> {
    let (sin, cos) = taper.to_radians().sin_cos();
    let underside = |x: f64| t / cos - x * sin / cos;
    vec![[-FAR, 0.0], [FAR, 0.0], [FAR, underside(FAR)], [-FAR, underside(-FAR)]]
}

/// What a stone takes off that meets the back at `x` under `angle` degrees: everything on its side.
fn stone(x: f64, angle: f64) -> Vec<Point> {
    let (sin, cos) = angle.to_radians().sin_cos();
    let at = |along: f64, out: f64| [x + along * cos - out * sin, along * sin + out * cos];
    vec![at(-150.0, 0.0), at(150.0, 0.0), at(150.0, 150.0), at(-150.0, 150.0)]
}

fn ground(steel: &[Point], stone: &[Point]) -> Vec<Point> {
    let left =
        vec![steel.to_vec()].overlay_as::<i64>(&vec![stone.to_vec()], OverlayRule::Difference, FillRule::NonZero);
    // Planes through the same edge may leave slivers of the grid's size.
    let blade = left.iter().map(|shape| shape[0].clone()).max_by(|p, q| area(p).total_cmp(&area(q))).unwrap();
    let all: f64 = left.iter().map(|shape| area(&shape[0])).sum();
    assert!(all - area(&blade) < GRID, "the blade fell apart");
    blade
}

fn area(outline: &[Point]) -> f64 {
    let next = outline.iter().cycle().skip(1);
    outline.iter().zip(next).map(|(p, q)| p[0] * q[1] - p[1] * q[0]).sum::<f64>().abs() / 2.0
}

/// Length of the outline's side that lies on the line from `x` on the back at `angle` degrees.
fn side(outline: &[Point], x: f64, angle: f64) -> f64 {
    let (sin, cos) = angle.to_radians().sin_cos();
    let on = outline.iter().filter(|p| (-(p[0] - x) * sin + p[1] * cos).abs() < 1e-7);
    let along: Vec<f64> = on.map(|p| (p[0] - x) * cos + p[1] * sin).collect();
    let end = |least: fn(f64, f64) -> f64| along.iter().copied().reduce(least).unwrap();
    end(f64::max) - end(f64::min)
}

fn blades() -> impl Strategy<Value = (f64, f64, f64, f64)> {
    (1.5..4.0f64, -2.0..2.0f64, 15.0..40.0f64, 2.0..18.0f64)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn a_micro_bevel_is_what_clipping_leaves((t, taper, primary, more) in blades(), share in 0.02..0.98f64) {
        let steeper = primary + more;
        let blade = Blade::new(t, taper).unwrap();
        let whole = Change::new(blade, primary, steeper).unwrap().recession().unwrap();
        let back = share * whole;
        let before = ground(&slab(t, taper), &stone(0.0, primary));
        let after = ground(&before, &stone(back, steeper));
        prop_assert!((side(&before, 0.0, primary) - blade.bevel_length(primary).unwrap()).abs() < GRID);
        let width = micro::width(primary, steeper, back).unwrap();
        prop_assert!((side(&after, back, steeper) - width).abs() < GRID, "{width}");
        prop_assert!((micro::recession(primary, steeper, width).unwrap() - back).abs() < 1e-9);
        prop_assert!((area(&before) - area(&after) - micro::steel(primary, steeper, back).unwrap()).abs() < GRID);
        let left = micro::primary_left(&blade, primary, steeper, back).unwrap();
        prop_assert!((side(&after, 0.0, primary) - left).abs() < GRID, "{left}");
    }

    #[test]
    fn a_regrind_takes_what_clipping_takes((t, taper, primary, more) in blades(), share in 0.05..0.6f64) {
        let (blade, steeper) = (Blade::new(t, taper).unwrap(), primary + more);
        let whole = Change::new(blade, primary, steeper).unwrap().recession().unwrap();
        let widest = micro::width(primary, steeper, share * whole).unwrap();
        let habit = Habit { recession: share * whole / 7.5, widest: Some(widest) };
        let due = micro::regrind(&blade, primary, steeper, habit).unwrap();
        prop_assert_eq!(due.honings, 7);
        let fresh = ground(&slab(t, taper), &stone(0.0, primary));
        let honed = ground(&fresh, &stone(due.recession, steeper));
        let again = ground(&honed, &stone(due.recession, primary));
        prop_assert!((area(&fresh) - area(&honed) - due.honed).abs() < GRID);
        prop_assert!((area(&honed) - area(&again) - due.ground).abs() < GRID, "{:?}", due);
    }

    /// The stone's plane is moved until it has taken a share of the steel; then lengths are read off.
    #[test]
    fn a_change_goes_as_clipping_goes((t, taper, from, more) in blades(), up in any::<bool>(), share in 0.03..0.97f64) {
        let (from, to) = if up { (from, from + more) } else { (from + more, from) };
        let blade = Blade::new(t, taper).unwrap();
        let change = Change::new(blade, from, to).unwrap();
        let before = ground(&slab(t, taper), &stone(0.0, from));
        let taken = |x: f64| area(&before) - area(&ground(&before, &stone(x, to)));
        let end = change.recession().unwrap();
        prop_assert!((taken(end) - change.area().unwrap()).abs() < GRID);
        // From where the plane touches the blade first: the edge, or somewhere before it at the heel.
        let (mut low, mut high) = if up { (0.0, end) } else { (-FAR, 0.0) };
        for _ in 0..50 {
            let middle = (low + high) / 2.0;
            if taken(middle) < share * taken(end) { low = middle } else { high = middle }
        }
        let after = ground(&before, &stone(high, to));
        let progress = change.progress(share).unwrap();
        // The square root makes lengths more sensitive than areas by the reciprocal of its slope.
        let within = GRID / share;
        prop_assert!((side(&after, 0.0, from) - progress.untouched).abs() < within, "{progress:?}");
        prop_assert!((side(&after, high, to) - progress.new_length).abs() < within, "{progress:?}");
        if up {
            prop_assert!((high - progress.recession).abs() < within, "{progress:?} {high}");
        }
    }

    /// What comes off, by area, by the distance between both bevels, and what is left of the blade's bevel.
    #[test]
    fn a_nick_takes_what_clipping_takes((t, taper, primary, _) in blades(), back in 0.05..3.0f64) {
        let nick = Nick::new(&Blade::new(t, taper).unwrap(), primary, back).unwrap();
        let before = ground(&slab(t, taper), &stone(0.0, primary));
        let after = ground(&before, &stone(back, primary));
        prop_assert!((area(&before) - area(&after) - nick.steel).abs() < GRID, "{nick:?}");
        prop_assert!((side(&after, back, primary) - nick.bevel).abs() < GRID, "{nick:?}");
        let (sin, cos) = primary.to_radians().sin_cos();
        let off = after.iter().map(|p| p[0] * sin - p[1] * cos).fold(f64::INFINITY, f64::min);
        prop_assert!((off - nick.off_bevel).abs() < GRID, "{nick:?}");
    }

    #[test]
    fn an_edge_that_goes_back_further_takes_what_clipping_takes(
        (t, taper, from, more) in blades(), up in any::<bool>(), back in 0.0..3.0f64,
    ) {
        let (from, to) = if up { (from, from + more) } else { (from + more, from) };
        let change = Change::new(Blade::new(t, taper).unwrap(), from, to).unwrap();
        let before = ground(&slab(t, taper), &stone(0.0, from));
        let after = ground(&before, &stone(back, to));
        let expected = change.area_with_edge(back).unwrap();
        prop_assert!((area(&before) - area(&after) - expected).abs() < GRID, "{expected}");
    }
}

#[test]
fn the_command_says_the_same_to_people_and_machines() {
    let given =
        ["bevel", "--thickness", "3", "--primary", "25", "--micro", "30", "--micro-width", "0.97", "--width", "51"];
    let said = stdout(&given);
    assert!(said.contains("With 0.2 mm of edge worn away, the micro-bevel is 0.97 mm wide"), "{said}");
    let json: Value = serde_json::from_str(&stdout(&[&given[..], &["--change-to", "28", "--json"]].concat())).unwrap();
    assert!((json["micro"]["now"]["recession"].as_f64().unwrap() - 0.2).abs() < 1e-3, "{json}");
    assert_eq!(json["micro"]["regrind"]["honings"], 6);
    assert_eq!(json["change"]["begins"], "edge");
    let inches = stdout(&["bevel", "--thickness", "1/8 in", "--primary", "30", "--change-to", "25"]);
    assert!(inches.contains("3.175 mm thick: 6.35 mm long") && inches.contains("starts at the heel"), "{inches}");
}

/// By hand: sin 30° is a half, so 0.8 mm back is 0.4 mm off the bevel, and 0.8 × 3 mm² of steel.
#[test]
fn the_command_says_how_much_of_a_primary_a_nick_takes() {
    let given = ["bevel", "--thickness", "3", "--primary", "30", "--recession", "0.8"];
    let said = stdout(&given);
    assert!(said.contains("To grind out a nick 0.8 mm deep") && said.contains("line on the back 0.8 mm"), "{said}");
    assert!(said.contains("0.40 mm off the bevel"), "{said}");
    let json: Value = serde_json::from_str(&stdout(&[&given[..], &["--json"]].concat())).unwrap();
    assert!((json["nick"]["steel"].as_f64().unwrap() - 2.4).abs() < 1e-9, "{json}");
    // To 25° at once: ½ · 3² · (cot 25° − cot 30°) and 0.8 × 3 mm² more.
    let both = stdout(&[&given[..], &["--change-to", "25"]].concat());
    assert!(both.contains("Grind it to the new angle at the same time"), "{both}");
    assert!(refusal(&[&given[..6], &["0"]].concat()).contains("the depth of the nick"));
}

/// The grinder's hazards stand once, where steel is ground off; a bevel that is only measured has none.
#[test]
fn the_grinder_is_warned_of_once() {
    let length = ["bevel", "--thickness", "3", "--primary", "30"];
    assert!(!stdout(&length).contains("grinder"));
    for more in [&["--recession", "0.8"][..], &["--change-to", "25"], &["--recession", "0.8", "--change-to", "25"]] {
        let said = stdout(&[&length[..], more].concat());
        for word in ["eye protection", "no gloves", "temper", "local rules"] {
            assert_eq!(said.matches(word).count(), 1, "{word}: {said}");
        }
    }
}

#[test]
fn the_command_refuses_what_makes_no_sense() {
    let faults = refusal(&["bevel", "--thickness", "0", "--primary", "75"]);
    assert!(faults.contains("--thickness") && faults.contains("--primary") && faults.contains("5 to 60"), "{faults}");
    let less = refusal(&["bevel", "--thickness", "3", "--primary", "30", "--micro", "25"]);
    assert!(less.contains("--micro: 25° is not steeper than the primary bevel of 30°"), "{less}");
    let past = refusal(&["bevel", "--thickness", "3", "--primary", "25", "--micro", "30", "--recession", "2"]);
    assert!(past.contains("is past the heel") && past.contains("1.237"), "{past}");
    assert!(
        refusal(&["bevel", "--thickness", "3", "--primary", "25", "--change-to", "25"]).contains("nothing changes")
    );
}
