//! The fewest fences against brute force and against an integer program.

use microlp::{ComparisonOp, OptimizationDirection, Problem};
use proptest::prelude::*;

use super::*;
use stopwright::guide::Guide;
use stopwright::kit::Kit;
use stopwright::kit::another;
use stopwright::kit::fences::{FencePlan, plan, stab};
use stopwright::kit::interval::Ask;
use stopwright::lane::checks::Gravity;
use stopwright::lane::{Bevel, Request, build};
use stopwright::solve;
use stopwright::solve::measured::Measured;
use stopwright::units::{Units, Written};

const TOLERANCE: f64 = 0.5;

/// How well a fence of [`EDGE`] is made, ± mm.
const WITHIN: f64 = 0.1;

/// The fewest of `columns`, sets of up to 64 rows, that cover all rows: an exhaustive search that always branches on
/// the row that fewest columns cover. Any set that covers all has one of them.
fn cover(columns: &[u64], rows: usize) -> usize {
    fn search(columns: &[u64], open: u64, used: usize, best: &mut usize) {
        if open == 0 {
            *best = used;
            return;
        }
        if used + 1 >= *best {
            return;
        }
        let covering = |row: usize| columns.iter().filter(|c| *c >> row & 1 == 1).count();
        let row = (0..64).filter(|row| open >> row & 1 == 1).min_by_key(|row| covering(*row)).unwrap();
        for column in columns.iter().filter(|c| *c >> row & 1 == 1) {
            search(columns, open & !column, used + 1, best);
        }
    }
    let all = if rows == 64 { u64::MAX } else { (1 << rows) - 1 };
    let mut best = rows + 1;
    search(columns, all, 0, &mut best);
    best
}

/// The same as an integer program: a variable a column, each row covered once or more, as few as can be.
fn program(columns: &[Vec<usize>], rows: usize) -> usize {
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    let variables: Vec<_> = columns.iter().map(|_| problem.add_binary_var(1.0)).collect();
    for row in 0..rows {
        let covering = columns.iter().zip(&variables).filter(|(c, _)| c.contains(&row)).map(|(_, v)| (*v, 1.0));
        problem.add_constraint(covering.collect::<Vec<_>>(), ComparisonOp::Ge, 1.0);
    }
    problem.solve().unwrap().objective().round() as usize
}

fn holds([low, high]: [f64; 2], point: f64) -> bool {
    (low..=high).contains(&point)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(5000))]
    /// On whole numbers, where ends meet. Any point can be moved on to the next right end, so these are all there are.
    #[test]
    fn points_are_as_few_as_brute_force_finds(
        intervals in prop::collection::vec((0u8..40, 0u8..12), 1..14)
    ) {
        let intervals: Vec<[f64; 2]> =
            intervals.into_iter().map(|(low, wide)| [f64::from(low), f64::from(low + wide)]).collect();
        let column = |point: f64| {
            intervals.iter().enumerate().filter(|(_, i)| holds(**i, point)).fold(0, |bits, (row, _)| bits | 1 << row)
        };
        let columns: Vec<u64> = intervals.iter().map(|i| column(i[1])).collect();
        let stabs = stab(&intervals);
        prop_assert_eq!(stabs.len(), cover(&columns, intervals.len()));
        let mut served: Vec<usize> = stabs.iter().flat_map(|s| s.members.clone()).collect();
        served.sort_unstable();
        prop_assert_eq!(served, (0..intervals.len()).collect::<Vec<_>>());
        for stab in &stabs {
            let point = intervals[stab.forced_by][1];
            prop_assert!(stab.members.iter().all(|&i| holds(intervals[i], point)));
        }
    }
}

/// Whether a fence serves a bevel, asked of the lane's own solver and rules and not of the interval. Toward the blade's
/// other bevel the angle may be off by a quarter of the step between both.
fn serves(kit: &Kit, guide: &Guide, ask: &Ask, fence: f64) -> bool {
    // What the ends of intervals, found by halving, may be off by.
    const CLOSE: f64 = 1e-7;
    let (blade, advice) = (&kit.blades[ask.blade], advice::advise(&kit.blades[ask.blade]));
    let (primary, step) = (advice.primary.angle, advice.micro.angle - advice.primary.angle);
    let (seat_name, seat) = guide.seat_for(blade.seat());
    let measured = Measured::new(guide, seat, blade.blade, Length::exact(0.0)).unwrap();
    let Ok(angle) = solve::angle_of_fence(&measured.section(&measured.values()), fence, EDGE.shape()) else {
        return false;
    };
    let heel = if ask.bevel == Bevel::Primary || primary - angle < CLOSE { primary.min(angle) } else { primary };
    let request = Request {
        id: "it".into(),
        label: "it".into(),
        tool: None,
        seat: seat_name,
        angle,
        wanted: ask.angle,
        asked: None,
        blade: blade.blade,
        width: Some(blade.width),
        length: blade.length,
        primary: Some(heel),
        usual_primary: None,
        roller_level: Length::exact(0.0),
        edge: None,
        written: Written::of(Units::Mm),
    };
    let sound = build(guide, &request, EDGE, TOLERANCE)
        .is_ok_and(|lane| lane.findings.iter().all(|f| f.gravity != Gravity::Refusal));
    let toward = if step > 0.0 { TOLERANCE.min(step / 4.0) } else { TOLERANCE };
    let [low, high] = if ask.bevel == Bevel::Primary { [TOLERANCE, toward] } else { [toward, TOLERANCE] };
    sound && (-low - CLOSE..=high + CLOSE).contains(&(angle - ask.angle))
}

/// Whether a fence that is meant to stand there serves a bevel however it comes out; where the bevel leaves less room
/// than a fence is made to, only in the middle.
fn may_stand(kit: &Kit, guide: &Guide, ask: &Ask, fence: f64) -> bool {
    // Of what rounding takes.
    const CLOSE: f64 = 1e-6;
    if ask.places[0] == ask.places[1] {
        return (fence - ask.places[0]).abs() < CLOSE && serves(kit, guide, ask, fence);
    }
    [-1.0, 1.0].iter().all(|side| serves(kit, guide, ask, fence + side * (WITHIN - CLOSE)))
}

/// Whether the largest error of a fence is no larger than anywhere else where all its blades are served.
fn is_best_placed(plan: &FencePlan, fence: usize) -> bool {
    const STEPS: usize = 200;
    let fence = &plan.fences[fence];
    let worst = |distance: f64| {
        let errors = fence.members.iter().map(|&i| plan.asks[i].error(distance).unwrap_or(f64::INFINITY).abs());
        errors.fold(0.0, f64::max)
    };
    let [low, high] = fence.places;
    let least = (0..=STEPS).map(|i| worst(low + (high - low) * i as f64 / STEPS as f64)).fold(f64::INFINITY, f64::min);
    fence.worst(&plan.asks) <= least + 1e-7
}

/// The first kits of a seeded stream, so that every run sees the same.
fn each_kit(blades: std::ops::Range<usize>, cases: u32, check: impl Fn(Kit) -> Result<(), TestCaseError>) {
    use proptest::test_runner::RngSeed;
    use proptest::test_runner::TestRunner;
    let config =
        ProptestConfig { rng_seed: RngSeed::Fixed(6), failure_persistence: None, ..ProptestConfig::with_cases(cases) };
    TestRunner::new(config).run(&any_kit(blades), check).unwrap_or_else(|e| panic!("{e}"));
}

#[test]
fn fences_are_as_few_as_brute_force_finds_and_best_placed() {
    let guide = guide("narrow-side-clamp");
    let shared = std::cell::Cell::new(0);
    each_kit(1..7, 3000, |kit| {
        let plan = plan(&kit, &advised(&kit), &bench(&guide, TOLERANCE));
        prop_assert_eq!(plan.proven(), plan.fences.len());
        let points = plan.asks.iter().flat_map(|a| [a.places[0], a.ideal, a.places[1]].map(|point| (a.seat, point)));
        let column = |(seat, fence)| {
            let of_seat = plan.asks.iter().enumerate().filter(|(_, ask)| ask.seat == seat);
            of_seat.filter(|(_, ask)| may_stand(&kit, &guide, ask, fence)).fold(0u64, |bits, (row, _)| bits | 1 << row)
        };
        let columns: Vec<u64> = points.map(column).collect();
        if !plan.asks.is_empty() {
            prop_assert_eq!(plan.fences.len(), cover(&columns, plan.asks.len()));
        }
        for (i, fence) in plan.fences.iter().enumerate() {
            for &member in &fence.members {
                prop_assert!(serves(&kit, &guide, &plan.asks[member], fence.distance));
            }
            let members = || fence.members.iter().map(|&i| &plan.asks[i]);
            let roomy = members().all(|ask| ask.places[0] < ask.places[1]);
            prop_assert!(!roomy || fence.room() >= WITHIN - 1e-9, "room of {}", fence.room());
            let mut blades: Vec<usize> = members().map(|ask| ask.blade).collect();
            blades.dedup();
            prop_assert_eq!(blades.len(), fence.members.len(), "two bevels of one blade share a fence");
            prop_assert!(is_best_placed(&plan, i));
            shared.set(shared.get() + usize::from(fence.members.len() > 1));
        }
        // One fence more makes nothing worse; one fewer breaks the tolerance, or leaves less room than is needed.
        if let Some(more) = another::one_more(&plan) {
            let worst = plan.fences.iter().map(|f| f.worst(&plan.asks)).fold(0.0, f64::max);
            prop_assert!(more.worst <= worst + 1e-7, "{:?}", more);
        }
        if let Some(fewer) = another::one_fewer(&plan) {
            prop_assert!(fewer.room < WITHIN, "{:?}", fewer);
        }
        Ok(())
    });
    assert!(shared.get() > 1000, "only {} fences were shared", shared.get());
}

#[test]
fn fences_are_as_few_as_an_integer_program_finds() {
    let guide = guide("narrow-side-clamp");
    each_kit(60..150, 12, |kit| {
        let plan = plan(&kit, &advised(&kit), &bench(&guide, TOLERANCE));
        let column = |of: &Ask| {
            let served =
                plan.asks.iter().enumerate().filter(|(_, a)| a.seat == of.seat && holds(a.places, of.places[1]));
            served.map(|(i, _)| i).collect::<Vec<usize>>()
        };
        let columns: Vec<Vec<usize>> = plan.asks.iter().map(column).collect();
        prop_assert_eq!(plan.fences.len(), program(&columns, plan.asks.len()));
        prop_assert_eq!(plan.proven(), plan.fences.len());
        Ok(())
    });
}
