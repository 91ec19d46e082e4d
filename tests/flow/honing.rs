//! What moves an angle at the bench, against a simulation of contact of its own: points and lines that are turned and slid
//! until they touch, a beam that is integrated step by step, and a Monte Carlo of the whole chain from the readings to the
//! steel. Nothing here uses a formula of `honing` or `solve` for what it expects; of the library only answers are taken, and
//! the section that readings stand for.

use std::f64::consts::PI;

use fastrand::Rng;

use super::support::parsed;
use stopwright::honing::seat::{self, Turned};
use stopwright::honing::{Honing, budget, flex, plate, square, stone};
use stopwright::lane::Lane;
use stopwright::lanes;
use stopwright::solve::section::Section;
use stopwright::terms::{Along, Locates};

type P = [f64; 2];

fn turned([x, y]: P, by: f64, [cx, cy]: P) -> P {
    let (s, c) = by.sin_cos();
    [cx + (x - cx) * c - (y - cy) * s, cy + (x - cx) * s + (y - cy) * c]
}

/// A root of `f`, which changes its sign once between `low` and `high`.
fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let rising = f(high) > 0.0;
    for _ in 0..80 {
        let middle = (low + high) / 2.0;
        if (f(middle) > 0.0) == rising { high = middle } else { low = middle }
    }
    (low + high) / 2.0
}

/// A blade in a guide, seen from the side, in the guide's frame.
#[derive(Clone, Copy)]
struct Rig {
    section: Section<f64>,
    /// Turns of the blade on its seat: by how much, radians, and about which point of the seat.
    turns: [(f64, f64); 2],
    /// Of the edge: how far it gives way, mm, and how much its back turns up, radians.
    bent: (f64, f64),
}

impl Rig {
    fn of(section: Section<f64>) -> Self {
        Self { section, turns: [(0.0, 0.0); 2], bent: (0.0, 0.0) }
    }

    /// Directions of back and underside before any turn.
    fn directions(&self) -> [f64; 2] {
        let s = &self.section;
        match s.locates {
            Locates::Underside => [s.taper, 0.0],
            Locates::Back => [0.0, -s.taper],
            Locates::Sides => [s.land_taper / 2.0, s.land_taper / 2.0 - s.taper],
        }
    }

    /// The edge with the blade out by `p`, the first `n` turns done.
    fn edge(&self, p: f64, n: usize) -> P {
        let s = &self.section;
        let level = match s.locates {
            Locates::Underside => s.seat_height + s.thickness,
            Locates::Back => s.seat_height,
            Locates::Sides => s.seat_height + s.land / 2.0 * (s.land_taper / 2.0).cos(),
        };
        let mut edge = [s.axle_to_face + p, level];
        for (by, pivot) in &self.turns[..n] {
            edge = turned(edge, *by, [*pivot, s.seat_height]);
        }
        edge
    }

    fn turn(&self, n: usize) -> f64 {
        self.turns[..n].iter().map(|t| t.0).sum()
    }

    /// The fence distance at which the blade, out by `p`, stops with its underside flat on the table and the face against the
    /// upright edge, `bearing` mm high: the first turn is there already.
    fn fence(&self, p: f64, bearing: f64) -> f64 {
        let s = &self.section;
        let flat = -(self.directions()[1] + self.turn(1));
        let edge = self.edge(p, 1);
        let on_table = |point: P| {
            let [x, y] = turned(point, flat, edge);
            [x - edge[0], y - edge[1] + s.thickness]
        };
        let face = |n: f64| on_table([s.axle_to_face + (s.seat_height - n) * s.square_error.tan(), n]);
        // The face from its lower end upward, as far as the upright edge reaches.
        let low = s.face_bottom.unwrap_or(-1e3);
        // A straight face: two of its points tell where it is at any height.
        let (zero, one) = (face(0.0)[1], face(1.0)[1]);
        let level = |y: f64| (y - zero) / (one - zero);
        let ends = [level(0.0), level(-bearing).max(low)];
        -ends.map(|n| face(n)[0]).into_iter().fold(f64::NEG_INFINITY, f64::max)
    }

    /// How far the blade is out with its edge against a fence.
    fn projection(&self, fence: f64, bearing: f64) -> f64 {
        root(fence - 20.0, fence + 20.0, |p| self.fence(p, bearing) - fence)
    }

    /// The bevel that it hones, degrees, on a stone whose length is an arc of a radius, mm, hollow where positive, and flat
    /// where infinite; `film` mm of something lie under the edge.
    fn honed(&self, p: f64, radius: f64, film: f64) -> f64 {
        let s = &self.section;
        let mut edge = self.edge(p, 2);
        edge[1] += self.bent.0;
        let axle = s.roller_radius + s.roller_level;
        // Down until the edge meets the stone; the axle is at (0, axle).
        let gap = |by: f64| {
            let [x, y] = turned(edge, by, [0.0, 0.0]);
            match radius.is_finite() {
                true => {
                    // Of a huge circle: its height there.
                    let drop = x * x / (radius.abs() + (radius * radius - x * x).sqrt());
                    axle + y - film - drop.copysign(radius)
                }
                false => axle + y - film,
            }
        };
        let by = root(-1.5, 0.4, gap);
        let [x, _] = turned(edge, by, [0.0, 0.0]);
        let tangent = if radius.is_finite() { (x / radius).asin() } else { 0.0 };
        let back = self.directions()[0] + self.turn(2) + by + self.bent.1;
        (tangent - back).to_degrees()
    }
}

/// The demo's lanes, and those of guides that locate the back and run a roller on the bench.
fn all_lanes() -> Vec<Lane> {
    let jobs = [
        serde_json::json!({ "format": 1, "title": "a", "guide": "narrow-side-clamp", "settings": [
            { "tool": "plane-iron", "angles": [25, 30, 35] }, { "tool": "bench-chisel", "angles": [25, 30, 35] }] }),
        serde_json::json!({ "format": 1, "title": "b", "guide": "top-clamp", "settings": [
            { "tool": "plane-iron", "angles": [25, 35] }, { "tool": "bench-chisel", "angles": [30] }] }),
        serde_json::json!({ "format": 1, "title": "c", "guide": "bench-roller", "roller_level": -12, "settings": [
            { "tool": "plane-iron", "angles": [25, 30] }, { "tool": "bench-chisel", "angles": [30] }] }),
    ];
    let of = |job: &serde_json::Value| lanes::of_job(&parsed(job)).unwrap().lanes;
    let all: Vec<Lane> = jobs.iter().flat_map(of).collect();
    assert!(all.len() >= 9);
    all
}

fn close(a: f64, b: f64, within: f64, what: &str) {
    assert!((a - b).abs() <= within, "{what}: {a} against {b}");
}

#[test]
fn the_simulation_sees_the_angle_asked_for() {
    for lane in all_lanes() {
        let rig = Rig::of(lane.setting.section);
        let p = rig.projection(lane.setting.fence_distance, lane.edge_shape.bearing_height);
        close(p, lane.setting.projection, 1e-7, &lane.request.id);
        close(rig.honed(p, f64::INFINITY, 0.0), lane.request.angle, 1e-7, &lane.request.id);
    }
}

/// A blade turned on its seat, before and after it was set, about either end, either way.
#[test]
fn a_turned_blade_hones_what_the_simulation_sees() {
    for lane in all_lanes() {
        let (section, fence) = (lane.setting.section, lane.setting.fence_distance);
        let bearing = lane.edge_shape.bearing_height;
        let straight = lane.request.angle;
        for turn in [0.286_f64, -0.286, 0.05, -0.05] {
            for pivot in [section.axle_to_face, section.axle_to_face - 20.0] {
                let by = (turn.to_radians(), pivot);
                let mut rig = Rig { turns: [by, (0.0, 0.0)], ..Rig::of(section) };
                let p = rig.projection(fence, bearing);
                let seen = rig.honed(p, f64::INFINITY, 0.0) - straight;
                let edge = lane.edge_shape;
                let found = seat::change(&section, fence, edge, Turned::BeforeSetting, turn, pivot).unwrap();
                close(found, seen, 2e-4, &format!("{} turned {turn} before", lane.request.id));
                rig.turns = [(0.0, 0.0), by];
                let p = Rig::of(section).projection(fence, bearing);
                let seen = rig.honed(p, f64::INFINITY, 0.0) - straight;
                let found = seat::change(&section, fence, edge, Turned::AfterSetting, turn, pivot).unwrap();
                close(found, seen, 1e-6, &format!("{} turned {turn} after", lane.request.id));
                // The turn itself is far more than what the bevel changes by.
                assert!(seen.abs() < 0.75 * turn.abs(), "{}: {seen} of {turn}", lane.request.id);
            }
        }
    }
}

#[test]
fn a_hollow_stone_and_a_film_do_what_the_simulation_sees() {
    let mut hollow = 0;
    for lane in all_lanes() {
        let (section, p) = (lane.setting.section, lane.setting.projection);
        let rig = Rig::of(section);
        let flat = rig.honed(p, f64::INFINITY, 0.0);
        for (length, depth) in [(200.0, 0.3), (200.0, -0.3), (150.0, 1.0)] {
            let Some(found) = stone::change_along(&section, p, length, depth) else {
                assert!(section.roller_level != 0.0);
                continue;
            };
            let radius = (length / 2.0) * (length / 2.0) / (2.0 * depth) + depth / 2.0;
            // The roller stands on the arc's lowest point, and so does the axle on its radius.
            close(found, rig.honed(p, radius, 0.0) - flat, 2e-5, &format!("{}, {depth} hollow", lane.request.id));
            hollow += 1;
        }
        let found = stone::change_by_film(&section, p, 0.15).unwrap();
        close(found, rig.honed(p, f64::INFINITY, 0.15) - flat, 1e-7, "a film");
        assert!(found < 0.0);
    }
    assert!(hollow >= 18);
    // The rule of the sagitta: a hollow of 0.2 mm over 60 mm is 0.2·(50/60)² deep over 50 mm, and longer along the back.
    close(stone::camber(50.0, 60.0, 0.2, 30.0), 2.0 * 0.2 * (50.0f64 / 60.0).powi(2), 1e-12, "camber");
}

/// A beam held at its root, integrated in small steps from the moments of its loads.
fn beam(p: f64, loads: &[(f64, f64)], stiffness: f64) -> (f64, f64) {
    const STEPS: usize = 40_000;
    let step = p / STEPS as f64;
    let (mut slope, mut rise) = (0.0, 0.0);
    for i in 0..STEPS {
        let x = (i as f64 + 0.5) * step;
        // Of loads beyond `x`, upward positive.
        let moment: f64 = loads.iter().filter(|(at, _)| *at > x).map(|(at, f)| f * (at - x)).sum();
        let bent = moment / stiffness * step;
        rise += (slope + bent / 2.0) * step;
        slope += bent;
    }
    (slope, rise)
}

#[test]
fn a_blade_bends_as_a_beam_does() {
    for lane in all_lanes() {
        let (section, p) = (lane.setting.section, lane.setting.projection);
        let width = lane.request.width.unwrap();
        for behind in [0.0, 10.0, 25.0, p] {
            let load = flex::Load { behind, ..flex::Load::default() };
            let beta = lane.request.angle.to_radians();
            // Levers about the roller's contact: the edge bears what the fingers do not lay on the roller.
            let rig = Rig::of(section);
            let edge = rig.edge(p, 2);
            let axle = section.roller_radius + section.roller_level;
            let from_roller = (edge[0].hypot(edge[1]).powi(2) - axle * axle).sqrt();
            let answer = load.force * (from_roller - behind * beta.cos()) / from_roller;
            let stiffness = 205_000.0 * width * section.thickness.powi(3) / 12.0;
            let loads = [(p, answer * beta.cos()), (p - behind, -load.force * beta.cos())];
            let (slope, rise) = beam(p, &loads, stiffness);
            let bent = Rig { bent: (rise, slope), ..rig };
            let seen = bent.honed(p, f64::INFINITY, 0.0) - rig.honed(p, f64::INFINITY, 0.0);
            let found = flex::change(&section, p, width, &load).unwrap();
            close(found, seen, 1e-5, &format!("{}, {behind} mm behind the edge", lane.request.id));
        }
    }
    // With the load right at the edge the stone bears it, and nothing bends; so with a load on the guide alone.
    let lane = &all_lanes()[0];
    let at_edge = flex::Load { behind: 0.0, ..flex::Load::default() };
    close(
        flex::change(&lane.setting.section, lane.setting.projection, 51.0, &at_edge).unwrap(),
        0.0,
        1e-12,
        "at the edge",
    );
}

/// Solids in space: the angle of a plane through an edge out of square, and the corner's length.
#[test]
fn an_edge_out_of_square_keeps_its_bevel_square_to_itself() {
    for off in [0.5_f64, 2.0, 5.0] {
        // The stone's plane through the edge, 30° to the back; cut by the plane along the blade.
        let (sin, cos) = off.to_radians().sin_cos();
        let normal = [sin * 0.5, cos * 0.5, -(30f64.to_radians().cos())];
        // Along the blade (y): z = y·ny/(-nz).
        let seen = (normal[1] / -normal[2]).atan().to_degrees();
        close(square::along_the_blade(30.0, off), seen, 1e-9, "along the blade");
        close(square::corner(50.0, off), 50.0 * sin / cos, 1e-9, "the corner");
    }
}

/// The guide on a plate: two points of the back are as high as the rule of the sine bar says, whatever the seat locates.
#[test]
fn the_back_rises_by_the_bevel_on_a_plate() {
    for lane in all_lanes() {
        let rig = Rig::of(lane.setting.section);
        let p = lane.setting.projection;
        let edge = rig.edge(p, 2);
        let axle = lane.setting.section.roller_radius + lane.setting.section.roller_level;
        let by = root(-1.5, 0.4, |by| axle + turned(edge, by, [0.0, 0.0])[1]);
        let along = rig.directions()[0] + PI;
        let height = |from: f64| {
            let point = [edge[0] + from * along.cos(), edge[1] + from * along.sin()];
            axle + turned(point, by, [0.0, 0.0])[1]
        };
        for apart in [40.0, 60.0, 93.7] {
            let taken = plate::Taken::Heights {
                heights: [height(10.0), height(10.0 + apart)],
                within: 0.03,
                apart,
                apart_within: 0.2,
                along: Along::Back,
            };
            let found = taken.angle().unwrap();
            close(found.degrees, lane.request.angle, 1e-7, &lane.request.id);
        }
    }
}

/// One chain from the readings to the steel, drawn many times: its standard deviation is the budget's within 2 %.
#[test]
fn a_monte_carlo_of_the_whole_chain_agrees_with_the_budget() {
    const DRAWS: usize = 20_000;
    let honing = Honing::default();
    let (speck, _) = honing.speck_turn();
    let (creep, _) = honing.creep_turn();
    let mut random = Rng::with_seed(20_261_128);
    for lane in all_lanes().into_iter().step_by(2) {
        let found = budget::budget(&lane, Some(0.1), &honing);
        let nominal = lane.setting.section;
        let (fence, bearing) = (lane.setting.fence_distance, lane.edge_shape.bearing_height);
        let width = lane.request.width.unwrap();
        // Which end of the seat a blade stays on is the worse, seen by the simulation.
        let spread = |when: usize, turn: f64, pivot: f64| {
            let angle = |turn: f64| {
                let mut rig = Rig::of(nominal);
                rig.turns[when] = (turn.to_radians(), pivot);
                let p = if when == 0 { rig.projection(fence, bearing) } else { lane.setting.projection };
                rig.honed(p, f64::INFINITY, 0.0)
            };
            (angle(turn) - angle(-turn)).abs()
        };
        let ends = [nominal.axle_to_face, nominal.axle_to_face - honing.seat_length()];
        let worse =
            |when, turn| if spread(when, turn, ends[0]) > spread(when, turn, ends[1]) { ends[0] } else { ends[1] };
        let pivots = [worse(0, speck), worse(1, creep)];
        let even = |random: &mut Rng, within: f64| within * (2.0 * random.f64() - 1.0);
        let mut angles = Vec::with_capacity(DRAWS);
        let values = lane.measured.values();
        let withins = lane.measured.withins();
        for _ in 0..DRAWS {
            let mut x = values;
            for (value, within) in x.iter_mut().zip(withins) {
                *value += even(&mut random, within.unwrap_or(0.0));
            }
            let section = lane.measured.section(&x);
            let mut rig = Rig::of(section);
            rig.turns = [
                (even(&mut random, speck).to_radians(), pivots[0]),
                (even(&mut random, creep).to_radians(), pivots[1]),
            ];
            let made = fence + even(&mut random, 0.1);
            let p = rig.projection(made, bearing);
            let load = flex::Load { force: even(&mut random, honing.load.force), ..honing.load };
            let beta = lane.request.angle.to_radians();
            let edge = rig.edge(p, 0);
            let axle = section.roller_radius + section.roller_level;
            let from_roller = (edge[0].powi(2) + edge[1].powi(2) - axle * axle).sqrt();
            let answer = load.force * (from_roller - load.behind * beta.cos()) / from_roller;
            let stiffness = 205_000.0 * width * section.thickness.powi(3) / 12.0;
            let arm = p - load.behind;
            // The textbook's cantilever: F·a²/2EI and F·a²(3p − a)/6EI.
            let (c, a, f) = (beta.cos(), answer, load.force);
            let slope = c * (a * p * p - f * arm * arm) / (2.0 * stiffness);
            let rise = c * (2.0 * a * p.powi(3) - f * arm * arm * (3.0 * p - arm)) / (6.0 * stiffness);
            rig.bent = (rise, slope);
            let depth = even(&mut random, stone::ASSUMED_FLAT);
            let flat = section.roller_level != 0.0 || depth == 0.0;
            let radius = if flat { f64::INFINITY } else { 200.0 * 200.0 / (8.0 * depth) };
            // Box and Muller's normal deviate.
            let (u, v) = (1.0 - random.f64(), random.f64());
            let normal = (-2.0 * u.ln()).sqrt() * (2.0 * PI * v).cos();
            angles.push(rig.honed(p, radius, 0.0) + 0.1 * normal);
        }
        let mean = angles.iter().sum::<f64>() / DRAWS as f64;
        let s = (angles.iter().map(|a| (a - mean).powi(2)).sum::<f64>() / (DRAWS as f64 - 1.0)).sqrt();
        let off = s / found.standard - 1.0;
        println!("{}: drawn {s:.4}°, budget {:.4}°, {:+.2} %", lane.request.id, found.standard, 100.0 * off);
        assert!(off.abs() < 0.02, "{}: drawn {s}, budget {}", lane.request.id, found.standard);
        let sum: f64 = found.contributions.iter().map(|l| l.standard.powi(2)).sum();
        close(sum.sqrt(), found.standard, 1e-12, "the sum of the contributions");
        close(found.coverage_factor, 2.0, 1e-12, "k");
    }
}
