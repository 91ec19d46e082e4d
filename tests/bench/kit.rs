//! How long a kit takes, from its text to the values of its report; a large one on two cores: `cargo bench --bench kit`.

use divan::{Bencher, black_box};
use serde_json::{Value, json};

use stopwright::guide::Guide;
use stopwright::guide::named::{self, NoFiles};
use stopwright::input::length::Length;
use stopwright::kit::advice::{self, Advice};
use stopwright::kit::interval::Bench;
use stopwright::kit::report::report;
use stopwright::kit::{Kit, PlannedKit, fences};
use stopwright::lane::BlockEdge;
use stopwright::units::{Units, Written};

const BLADES: [usize; 3] = [10, 1000, 10_000];
const STEELS: [&str; 5] = ["plain-carbon", "A2", "D2", "powder", "laminated"];
const USES: [&str; 3] = ["softwood", "hardwood", "end-grain"];
const EDGE: BlockEdge = BlockEdge { thickness: 12.0, relief: 0.6, fence_within: Some(0.1) };

fn main() {
    divan::main();
}

/// A kit of blades that differ, a tenth of them tapered, some with angles of their own and some without.
fn text(blades: usize) -> String {
    let blade = |i: usize| -> Value {
        let share = (i as f64 * 0.618_033_988_749_895).fract();
        let chisel = i % 2 == 1;
        let mut blade = json!({
            "name": format!("blade {i}"),
            "tool": if chisel { "bench-chisel" } else { "plane-iron" },
            "width": if chisel { 10.0 + 20.0 * share } else { 45.0 + 14.0 * share },
            "thickness": { "value": ((2.1 + 1.2 * share) * 100.0).round() / 100.0, "within": 0.05 },
            "length": 120,
            "steel": STEELS[i % STEELS.len()],
            "use": [USES[i % USES.len()]],
        });
        if chisel {
            blade["land"] = json!(2.0);
        }
        if i % 10 < 2 {
            blade["taper"] = json!(((share - 0.5) * 100.0).round() / 100.0);
        }
        if !i.is_multiple_of(3) {
            blade["primary"] = json!(((20.0 + 8.0 * share) * 10.0).round() / 10.0);
            blade["micro"] = json!(((29.0 + 8.0 * share) * 10.0).round() / 10.0);
        }
        blade
    };
    json!({ "format": 1, "title": "bench", "blades": (0..blades).map(blade).collect::<Vec<_>>() }).to_string()
}

fn guide() -> Guide {
    named::guide("narrow-side-clamp", &NoFiles).expect("built in")
}

fn kit(blades: usize) -> Kit {
    Kit::parse("bench.json", text(blades).as_bytes(), &NoFiles).expect("a sound kit")
}

fn bench(guide: &Guide) -> Bench<'_> {
    Bench {
        guide,
        level: Length::exact(0.0),
        edge: EDGE,
        tolerance: 0.5,
        across_seats: false,
        made_within: 0.1,
        written: Written::of(Units::Mm),
    }
}

fn advise(kit: &Kit) -> Vec<Advice> {
    kit.blades.iter().map(advice::advise).collect()
}

#[divan::bench(args = BLADES)]
fn a_read(bencher: Bencher, blades: usize) {
    let text = text(blades);
    bencher.bench(|| Kit::parse("bench.json", black_box(text.as_bytes()), &NoFiles));
}

#[divan::bench(args = BLADES)]
fn b_advice(bencher: Bencher, blades: usize) {
    let kit = kit(blades);
    bencher.bench(|| advise(black_box(&kit)));
}

#[divan::bench(args = BLADES)]
fn c_fences(bencher: Bencher, blades: usize) {
    let (kit, guide) = (kit(blades), guide());
    let advice = advise(&kit);
    bencher.bench(|| fences::plan(black_box(&kit), &advice, &bench(&guide)));
}

#[divan::bench(args = BLADES)]
fn d_report(bencher: Bencher, blades: usize) {
    let (kit, guide) = (kit(blades), guide());
    let bench = bench(&guide);
    let planned = PlannedKit::new(&kit, &bench);
    bencher.bench(|| black_box(report(&kit, &planned, &bench).fewest));
}

/// All of it: text in, the report's values out.
#[divan::bench(args = BLADES)]
fn e_all(bencher: Bencher, blades: usize) {
    let (text, guide) = (text(blades), guide());
    bencher.bench(|| {
        let kit = Kit::parse("bench.json", black_box(text.as_bytes()), &NoFiles).expect("a sound kit");
        let bench = bench(&guide);
        let planned = PlannedKit::new(&kit, &bench);
        black_box(report(&kit, &planned, &bench).fewest.proven)
    });
}
