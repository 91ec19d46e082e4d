//! Camber against simulations that know nothing of its formulas: a plane's sole and a blade in space, a guide rocked
//! until it rests, and least squares by trying every set of columns.

use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;
use serde_json::Value;

use super::support::{refusal, stdout};
use stopwright::stones::camber::nnls::nnls;
use stopwright::stones::camber::rock::{self, Stance};
use stopwright::stones::camber::strokes::{Bench, Kernel};
use stopwright::stones::camber::{Curve, Wanted, wanted};

/// Formulas of a segment of a circle as handbooks have them (*Machinery's Handbook*, from memory):
/// r = (c² + 4h²) / 8h, h = r − ½ √(4r² − c²), c = 2 √(h (2r − h)).
#[test]
fn the_arc_is_the_handbooks_segment() {
    for (c, h) in [(51.0, 1.304f64), (60.0, 0.21), (44.0, 0.07), (12.0, 5.9)] {
        let curve = wanted::curve(Wanted::Depth(h), c, 45.0).unwrap();
        let r = (c * c + 4.0 * h * h) / (8.0 * h);
        assert!((curve.radius() - r).abs() < 1e-9 * r, "{c} {h}");
        assert!((r - 0.5 * (4.0 * r * r - c * c).sqrt() - curve.at(c / 2.0)).abs() < 1e-9);
        assert!((2.0 * (h * (2.0 * curve.radius() - h)).sqrt() - c).abs() < 1e-9);
    }
}

/// A blade in space: its back at the bed angle to the sole, its edge an arc in the back, set for a cut.
fn thickness_at(curve: &Curve, bed: f64, cut: f64, x: f64) -> f64 {
    let (sin, cos) = bed.to_radians().sin_cos();
    // Along the blade, up its back, as a vector over the sole: forward and up.
    let up_the_back = [cos, sin];
    let middle = [0.0, -cut];
    let edge = [middle[0] + curve.at(x) * up_the_back[0], middle[1] + curve.at(x) * up_the_back[1]];
    (-edge[1]).max(0.0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_shaving_ends_where_it_should(
        width in 30.0..70.0f64, bed in 12.0..60.0f64, cut in 0.02..0.4f64, share in 0.7..1.0f64,
    ) {
        let shaving = share * width;
        let asked = Wanted::Shaving { thickness: cut, width: Some(shaving) };
        let curve = wanted::curve(asked, width, bed).unwrap();
        prop_assert!((thickness_at(&curve, bed, cut, 0.0) - cut).abs() < 1e-12);
        prop_assert!(thickness_at(&curve, bed, cut, 0.499 * shaving) > 0.0);
        prop_assert_eq!(thickness_at(&curve, bed, cut, 0.5001 * shaving), 0.0);
        let full = wanted::curve(Wanted::Depth(curve.depth), width, bed).unwrap();
        let feathers = wanted::shaving_of(&full, bed).unwrap();
        prop_assert!(thickness_at(&full, bed, feathers, width / 2.0).abs() < 1e-12);
    }
}

/// A guide in space, rocked and let down until roller and edge both rest on the stone.
struct Rig {
    /// Points of the two rims and of the edge, from the axle's middle.
    rims: [Vec<[f64; 3]>; 2],
    edge: Vec<[f64; 3]>,
}

const RIM_POINTS: usize = 2_000;
const EDGE_POINTS: usize = 2_001;

/// Where a guide came to rest.
struct Rest {
    /// Index of the edge's point on the stone.
    touches: usize,
    /// Sine of the axle's slope.
    axle: f64,
    /// Lowest point of the other end of the roller over the stone, mm.
    lift: f64,
    /// Cosine of the back's angle against the stone.
    back: f64,
}

impl Rig {
    fn new(curve: &Curve, angle: f64, stance: Stance) -> Self {
        let (sin, cos) = angle.to_radians().sin_cos();
        let rim = |x: f64| {
            // Only the lower part can touch: finer there.
            let at = |i: usize| (i as f64 / RIM_POINTS as f64 - 0.5) * 0.6;
            (0..=RIM_POINTS).map(|i| [x, stance.radius * at(i).sin(), -stance.radius * at(i).cos()]).collect()
        };
        let edge = |i: usize| {
            let x = curve.width * (i as f64 / (EDGE_POINTS - 1) as f64 - 0.5);
            let back = curve.at(x);
            [x, stance.reach - back * cos, -stance.radius + back * sin]
        };
        Self { rims: [rim(stance.roller / 2.0), rim(-stance.roller / 2.0)], edge: (0..EDGE_POINTS).map(edge).collect() }
    }

    /// Rocked by `rock` radians about the way it is pushed, then nodded until it rests on roller and edge.
    fn rest(&self, rock: f64, angle: f64) -> Rest {
        let turned = |p: &[f64; 3], nod: f64| {
            let (sin, cos) = rock.sin_cos();
            let (x, z) = (p[0] * cos + p[2] * sin, -p[0] * sin + p[2] * cos);
            let (sin, cos) = nod.sin_cos();
            [x, p[1] * cos - z * sin, p[1] * sin + z * cos]
        };
        let lowest =
            |points: &[[f64; 3]], nod: f64| points.iter().map(|p| turned(p, nod)[2]).fold(f64::INFINITY, f64::min);
        let (mut low, mut high) = (-0.3, 0.3);
        for _ in 0..60 {
            let nod = (low + high) / 2.0;
            let roller = lowest(&self.rims[0], nod).min(lowest(&self.rims[1], nod));
            // A nod upward lifts the edge against the roller.
            if lowest(&self.edge, nod) < roller { low = nod } else { high = nod }
        }
        let heights: Vec<f64> = self.edge.iter().map(|p| turned(p, low)[2]).collect();
        let touches = (0..EDGE_POINTS).min_by(|a, b| heights[*a].total_cmp(&heights[*b])).unwrap();
        let [near, far] = [0, 1].map(|i| lowest(&self.rims[i], low));
        let (sin, cos) = angle.to_radians().sin_cos();
        let normal = turned(&[0.0, sin, cos], low);
        Rest { touches, axle: turned(&[1.0, 0.0, 0.0], low)[2], lift: (far - near).abs(), back: normal[2] }
    }
}

/// The guide is rocked a little further at a time until the corner of the edge is what touches.
#[test]
fn a_rocked_guide_comes_to_rest_where_the_closed_form_says() {
    for (width, depth, angle, radius, reach, roller) in [
        (51.0, 1.3, 25.0, 9.5, 45.0, 9.5),
        (51.0, 1.3, 30.0, 8.0, 38.0, 40.0),
        (60.0, 0.2, 30.0, 12.7, 40.0, 30.0),
        (44.0, 3.0, 35.0, 25.0, 60.0, 20.0),
    ] {
        let (curve, stance) = (Curve { width, depth }, Stance { radius, reach, roller });
        let rig = Rig::new(&curve, angle, stance);
        let (mut low, mut high) = (0.0, 0.4);
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if rig.rest(middle, angle).touches < EDGE_POINTS - 1 { low = middle } else { high = middle }
        }
        let rest = rig.rest(high, angle);
        let pose = rock::pose(&curve, angle, stance).unwrap();
        // The edge is a chain of chords: the last one's slope is less than the corner's by half a step's share.
        let step = pose.rock / EDGE_POINTS as f64 * 2.0;
        assert!(
            (rest.axle.abs().asin().to_degrees() - pose.rock).abs() < step,
            "{pose:?} {}",
            rest.axle.abs().asin().to_degrees()
        );
        assert!(
            (rest.back.acos().to_degrees() - pose.angle).abs() < 5e-3,
            "{pose:?} {}",
            rest.back.acos().to_degrees()
        );
        assert!((rest.lift - pose.lift).abs() < 2e-3 * pose.lift, "{pose:?} {}", rest.lift);
        // Without the nod, the simple form is near; halfway to the corner touches at its chord's rock.
        let simple = rock::rock(&curve, angle);
        assert!((simple.corner / pose.rock - 1.0).abs() < 0.05, "{simple:?} {pose:?}");
        let halfway = rig.rest(simple.chord.to_radians(), angle).touches as f64 / (EDGE_POINTS - 1) as f64;
        assert!((halfway - 0.75).abs() < 0.02, "{halfway}");
    }
}

/// The least squares over every set of columns, by normal equations, that come out without a negative.
fn by_all_sets(a: &DMatrix<f64>, b: &DVector<f64>) -> f64 {
    let mut least = b.norm();
    for bits in 1u32..1 << a.ncols() {
        let columns: Vec<usize> = (0..a.ncols()).filter(|j| bits >> j & 1 == 1).collect();
        let part = a.select_columns(&columns);
        let Some(x) = (part.transpose() * &part).lu().solve(&(part.transpose() * b)) else { continue };
        if x.iter().all(|v| *v >= 0.0) {
            least = least.min((b - part * x).norm());
        }
    }
    least
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    /// The conditions of Karush, Kuhn and Tucker, and nothing better by any set of columns.
    #[test]
    fn the_least_squares_are_the_least(
        rows in 1usize..9, columns in 1usize..6, values in prop::collection::vec(-1.0..1.0f64, 54),
        zeros in prop::collection::vec(0usize..54, 0..6),
    ) {
        let mut values = values;
        for at in zeros {
            values[at] = 0.0;
        }
        let a = DMatrix::from_row_slice(rows, columns, &values[..rows * columns]);
        let b = DVector::from_row_slice(&values[45..45 + rows]);
        let x = nnls(&a, &b).unwrap();
        prop_assert!(x.iter().all(|v| *v >= 0.0));
        let gradient = a.transpose() * (&b - &a * &x);
        for (g, v) in gradient.iter().zip(x.iter()) {
            prop_assert!(*g <= 1e-8, "a column would help: {}", g);
            prop_assert!(*v == 0.0 || g.abs() <= 1e-7 * (1.0 + v), "a coefficient is not at its best: {} {}", g, v);
        }
        let found = (&b - &a * &x).norm();
        prop_assert!(found <= by_all_sets(&a, &b) + 1e-7, "{} {}", found, by_all_sets(&a, &b));
    }

    /// Of whatever blade: no counts beat the plan, and worn edges are what is said of them.
    #[test]
    fn no_counts_beat_the_plan(
        width in 30.0..70.0f64, depth in 0.02..2.0f64, angle in 20.0..40.0f64, local in any::<bool>(),
        counts in prop::array::uniform4(0.0..300.0f64),
    ) {
        let kernel = if local { Kernel::Local { spread: 4.0 } } else { Kernel::Stiff };
        let bench = Bench { curve: Curve { width, depth }, angle, finger: 16.0, kernel, per_stroke: 0.002, later: 0.0 };
        let plan = bench.plan().unwrap();
        let scale = depth / 1.3;
        let other = bench.fit(counts.map(|c| c * scale)).unwrap();
        prop_assert!(plan.best.rms <= other.rms * (1.0 + 1e-9), "{:?} {:?}", plan.best, other);
        prop_assert!(plan.best.rms <= plan.rule.rms * (1.0 + 1e-9) && plan.best.rms <= plan.rounded.rms * (1.0 + 1e-9));
        let round = plan.rounds.counts.map(f64::from);
        let first = bench.worn(round, width / 2.0) - bench.worn(round, 0.0);
        prop_assert!((first - plan.after_first).abs() < 1e-12);
    }
}

fn json(arguments: &[&str]) -> Value {
    serde_json::from_str(&stdout(&[arguments, &["--json"]].concat())).unwrap()
}

#[test]
fn the_command_plans_a_jack_and_judges_guides() {
    let base = ["camber", "--width", "51", "--plane", "jack"];
    let with = |guide| json(&[&base[..], &["--guide", guide, "--tool", "plane-iron"]].concat());
    let verdict = |guide| with(guide)["guide"]["judgement"]["verdict"].as_str().unwrap().to_string();
    assert_eq!(["narrow-side-clamp", "top-clamp", "twin-roller"].map(verdict), ["freely", "tips", "cannot"]);
    let narrow = with("narrow-side-clamp");
    assert!((narrow["guide"]["pose"]["angle"].as_f64().unwrap() - 25.0).abs() < 1.0, "{narrow}");
    // The usual level of the roller, said outright, changes nothing; on another track the pose is not worked out.
    let at_level = |level: &'static str| {
        let guide = ["--guide", "narrow-side-clamp", "--tool", "plane-iron", level];
        (json(&[&base[..], &guide].concat()), stdout(&[&base[..], &guide].concat()))
    };
    assert_eq!(at_level("--roller-level=0").0, narrow);
    // Where the guide's front meets the stone first, the pose is not given without a word.
    let steep = json(&[&base[..], &["--guide", "narrow-side-clamp", "--tool", "plane-iron", "--angle", "60"]].concat());
    assert!(steep["guide"]["refused"][0].as_str().is_some_and(|why| why.contains("above the stone")), "{steep}");
    assert_eq!(narrow["guide"]["refused"], serde_json::json!([]));
    let (below, said) = at_level("--roller-level=-12");
    assert!(below["guide"]["pose"].is_null() && said.contains("--roller-level 0"), "{said}");
    let [rule, best] = ["rule", "best"].map(|f| narrow["plan"][f]["rms"].as_f64().unwrap());
    assert!(best <= rule && rule < 0.05 * narrow["depth"].as_f64().unwrap(), "{narrow}");
    let said = stdout(&base);
    for part in ["radius", "Strokes:", "more than 300 strokes: grind it first", "Common practice, no source"] {
        assert!(said.contains(part), "{part}: {said}");
    }
    // On a narrow blade, with a coarse grade, it is made by hand, and measured after the first round.
    let by_hand = stdout(&["camber", "--width", "10", "--depth", "0.03", "--thickness", "2", "--grit", "P80"]);
    assert!(by_hand.contains("Measure after the first round") && !by_hand.contains("grind it"), "{by_hand}");
    let straight = stdout(&["camber", "--width", "51", "--depth", "0"]);
    assert!(
        straight.contains("press evenly") && json(&["camber", "--width", "51", "--depth", "0"])["radius"].is_null()
    );
    let low = json(&["camber", "--width", "51", "--shaving", "0.1", "--bed", "12"]);
    let high = json(&["camber", "--width", "51", "--shaving", "0.1"]);
    let told = stdout(&["camber", "--width", "51", "--shaving", "0.1", "--bed", "12"]);
    assert!(told.contains("A lower bed needs more camber") && told.contains("0.14 mm would do"), "{told}");
    assert!(low["depth"].as_f64().unwrap() > 3.0 * high["depth"].as_f64().unwrap());
}

#[test]
fn the_command_refuses_what_makes_no_sense() {
    let faults =
        refusal(&["camber", "--width", "900", "--depth", "1", "--plane", "jack", "--grit", "220", "--finger", "x"]);
    for part in ["--width", "--depth", "exactly one of --depth", "--grit", "--finger"] {
        assert!(faults.contains(part), "{part}: {faults}");
    }
    assert!(refusal(&["camber", "--depth", "1"]).contains("the blade's width"));
    assert!(refusal(&["camber", "--width", "20", "--depth", "12"]).contains("less than a half circle"));
    assert!(refusal(&["camber", "--width", "51", "--plane", "try", "--guide", "none-such"]).contains("none-such"));
}

/// What a flag says counts: the primary bevel is where the camber is made, and a camber is made on the finest
/// grade that does it in few strokes, as on a card: a smoother's on a fine one, and no grinder is spoken of.
#[test]
fn the_primary_and_the_kind_of_plane_count() {
    let jack = ["camber", "--width", "51", "--plane", "jack"];
    let angle = |extra: &[&str]| json(&[&jack[..], extra].concat())["angle"].as_f64().unwrap();
    assert_eq!(
        [angle(&[]), angle(&["--primary", "30"]), angle(&["--primary", "30", "--angle", "33"])],
        [25.0, 30.0, 33.0]
    );
    assert_eq!(json(&jack)["plan"]["grade"], "P220");
    for width in ["51", "2 in"] {
        let smoother = ["camber", "--width", width, "--plane", "smoother"];
        assert_eq!(json(&smoother)["plan"]["grade"], "P1500");
        let said = stdout(&smoother);
        assert!(!said.contains("grind") && said.contains("Measure after the first round"), "{said}");
    }
    // What is too flat to measure is not ground, on any grade.
    let try_plane = stdout(&["camber", "--width", "51", "--plane", "try", "--grit", "P2500"]);
    assert!(!try_plane.contains("grind it first") && try_plane.contains("use a coarser grade"), "{try_plane}");
}

/// Nobody measures a radius of two metres or a ten-thousandth of a millimetre.
#[test]
fn no_digit_is_given_that_nobody_can_measure() {
    let smoother = stdout(&["camber", "--width", "51", "--plane", "smoother"]);
    assert!(smoother.contains("too flat to measure"), "{smoother}");
    let jack = stdout(&["camber", "--width", "51", "--plane", "jack"]);
    assert!(jack.contains(" 250 mm\n"), "{jack}");
    for text in [smoother, jack] {
        // What is assumed of a stroke's wear is no measurement.
        let measured = text.split("Note:").next().unwrap();
        let long = measured
            .split(|c: char| !c.is_ascii_digit() && c != '.')
            .find(|n| n.trim_end_matches('.').split_once('.').is_some_and(|(_, d)| d.len() > 2));
        assert_eq!(long, None, "{text}");
    }
}
