//! Random small jobs, most of them sound, from the solver to the measured STL: no panic, and whatever is laid out
//! keeps what a block promises.

#![no_main]

use serde_json::{Value, json};

use arbitrary::Arbitrary;
use libfuzzer_sys::fuzz_target;
use stopwright::block::{self, Layout, check, slabs};
use stopwright::format::stl;
use stopwright::guide::named::{GUIDES, Sources};
use stopwright::job::Job;
use stopwright::lanes;
use stopwright::lanes::LaneSet;
use stopwright::layout::order;
use stopwright::terms::{Edge, Labels};
use stopwright::verify::corrections::{self, Of};

/// A share of a range.
#[derive(Arbitrary, Debug, Clone, Copy)]
struct Share(u16);

impl Share {
    /// In hundredths, so that lengths meet often.
    fn of(self, low: f64, high: f64) -> f64 {
        ((low + (high - low) * f64::from(self.0) / f64::from(u16::MAX)) * 100.0).round() / 100.0
    }
}

/// Of fixed size, so that a changed byte changes one thing.
#[derive(Arbitrary, Debug)]
struct Plan {
    guide: Guide,
    settings: [Setting; 4],
    block: Block,
    bed: Option<[Share; 2]>,
    corrections: [Option<(u8, Share)>; 3],
}

#[derive(Arbitrary, Debug)]
enum Guide {
    BuiltIn(u8),
    Own { roller: Share, axle_to_face: Share, face: Option<Share>, bottom: Option<Share>, seats: [Option<Seat>; 2] },
}

#[derive(Arbitrary, Debug)]
struct Seat {
    height: Share,
    locates: Locates,
}

#[derive(Arbitrary, Debug)]
enum Locates {
    Underside,
    Back,
    Sides,
}

#[derive(Arbitrary, Debug)]
struct Setting {
    tool: u8,
    lanes: u8,
    first: Share,
    step: Share,
    thickness: Option<Share>,
    width: Option<Share>,
    taper: Option<Share>,
    level: Option<Share>,
    primary: Option<Share>,
    edge: Option<bool>,
}

#[derive(Arbitrary, Debug)]
struct Block {
    thickness: Option<Share>,
    fence_height: Option<Share>,
    middle: Option<Share>,
    clearance: Option<Share>,
    switches: [Option<bool>; 5],
    labels: Option<u8>,
}

const MOST_LANES: usize = 20;

fuzz_target!(|plan: Plan| {
    let (text, guide) = (plan.job().to_string(), Beside(plan.guide().to_string()));
    let Ok(mut job) = Job::parse("job", text.as_bytes(), &guide) else { return };
    let Ok(mut set) = lanes::of_job(&job) else { return };
    if let Some(text) = plan.corrections(&set)
        && corrections::apply("corrections", text.as_bytes(), Of::Block, &mut job, &mut set).is_err()
    {
        return;
    }
    let Ok((layouts, fewest)) = block::lay_out_all(&job, &set) else { return };
    assert!(1 <= fewest.bound && fewest.bound <= layouts.len());
    all_lanes_are_there(&job, &set, &layouts);
    for layout in &layouts {
        block_is_sound(&job, layout, &text);
    }
});

fn block_is_sound(job: &Job, layout: &Layout, text: &str) {
    strips_fill_both_edges(layout);
    middle_is_thick(layout, job.block.middle.unwrap_or(layout.middle));
    let block = slabs::build(layout).unwrap_or_else(|e| panic!("{e}\n{text}"));
    let raised = if layout.labels == Labels::Raised { layout.label_depth } else { 0.0 };
    let size = [layout.length, layout.depth, layout.thickness + layout.fence_height + raised];
    for corner in &block.mesh.corners {
        assert!(corner.iter().zip(size).all(|(c, most)| (-0.0006..=most + 0.0006).contains(c)), "{corner:?} {size:?}");
    }
    let stl = stl::write(&block.mesh, &layout.title).expect("into memory");
    let readings = check::measure(&stl, layout, [1.0; 3]).unwrap_or_else(|e| panic!("{e}\n{text}"));
    assert_eq!(readings.len(), layout.lanes.len());
}

/// Every lane once in all blocks together, on the edge it asked for, with its blade and clearance inside it and no
/// other lane across it.
fn all_lanes_are_there(job: &Job, set: &LaneSet, layouts: &[Layout]) {
    assert_eq!(layouts.iter().map(|l| l.lanes.len()).sum::<usize>(), set.lanes.len());
    for lane in &set.lanes {
        let placed =
            layouts.iter().flat_map(|l| &l.lanes).find(|p| p.lane.request.id == lane.request.id).expect("placed");
        assert!(lane.request.edge.is_none_or(|edge| edge == placed.edge));
        let half = placed.blade_width / 2.0 + job.block.clearance - 1e-9;
        assert!(placed.x[0] <= placed.centre - half && placed.centre + half <= placed.x[1], "{placed:?}");
    }
    for layout in layouts {
        for (i, a) in layout.lanes.iter().enumerate() {
            for b in layout.lanes[..i].iter().filter(|b| b.edge == a.edge) {
                assert!(a.x[1] <= b.x[0] + 1e-9 || b.x[1] <= a.x[0] + 1e-9, "{a:?} {b:?}");
            }
        }
    }
}

fn strips_fill_both_edges(layout: &Layout) {
    for strips in [&layout.near, &layout.far] {
        assert!(strips.windows(2).all(|w| (w[0].x[1] - w[1].x[0]).abs() < 1e-9));
        assert!(strips.iter().all(|s| s.x[0] < s.x[1] && s.fence >= 0.0));
        let ends = strips.first().zip(strips.last()).expect("an edge has strips");
        assert!(ends.0.x[0].abs() < 1e-9 && (ends.1.x[1] - layout.length).abs() < 1e-9);
    }
    let fences = |edge| layout.lanes.iter().filter(move |p| p.edge == edge).map(|p| p.lane.fence());
    let lanes =
        |strips: &[order::Strip]| strips.iter().filter(|s| s.lane.is_some()).map(|s| s.fence).collect::<Vec<_>>();
    assert_eq!(fences(Edge::Near).collect::<Vec<_>>(), lanes(&layout.near));
    assert_eq!(fences(Edge::Far).collect::<Vec<_>>(), lanes(&layout.far));
}

/// No fence of one edge is nearer than `least` mm to one of the other, steps between fences included.
fn middle_is_thick(layout: &Layout, least: f64) {
    for near in &layout.near {
        for far in &layout.far {
            let beside = (near.x[0] - far.x[1]).max(far.x[0] - near.x[1]).max(0.0);
            let between = (layout.depth - far.fence - near.fence).max(0.0);
            assert!(beside.hypot(between) >= least - 1e-9, "{beside} {between} {near:?} {far:?}");
        }
    }
}

/// The guide's own file.
struct Beside(String);

impl Sources for Beside {
    fn load(&self, path: &str) -> Result<(String, Vec<u8>), String> {
        if path.ends_with("-log.json") {
            return Err(path.into());
        }
        Ok((path.into(), self.0.clone().into_bytes()))
    }
}

impl Plan {
    fn guide(&self) -> Value {
        let Guide::Own { roller, axle_to_face, face, bottom, seats } = &self.guide else { return Value::Null };
        let diameter = roller.of(6.0, 60.0);
        let seat = |seat: &Option<Seat>| {
            let height = |s: &Seat| diameter / 2.0 + s.height.of(-2.0, 30.0);
            seat.as_ref().map(|s| json!({ "height": height(s), "locates": s.locates.name() }))
        };
        json!({
            "format": 1, "name": "own", "roller": { "diameter": diameter },
            "face": { "axle_to_face": axle_to_face.of(-10.0, 60.0), "width": face.map(|f| f.of(5.0, 150.0)),
                "bottom": bottom.map(|b| b.of(-30.0, 20.0)) },
            "seats": { "iron": seat(&seats[0]), "chisel": seat(&seats[1]) },
        })
    }

    fn job(&self) -> Value {
        let mut left = MOST_LANES;
        let mut settings = Vec::new();
        for (i, setting) in self.settings.iter().enumerate() {
            let lanes = usize::from(setting.lanes % 9).min(left);
            let (first, step) = (setting.first.of(15.0, 50.0), setting.step.of(0.01, 4.0));
            let angles: Vec<f64> = (0..lanes).map(|k| first + step * k as f64).filter(|a| *a <= 60.0).collect();
            left -= angles.len();
            if !angles.is_empty() {
                settings.push(setting.json(i, &angles));
            }
        }
        let guide = match self.guide {
            Guide::BuiltIn(which) => GUIDES[usize::from(which) % GUIDES.len()].name,
            Guide::Own { .. } => "own.json",
        };
        let block = &self.block;
        let [foot, front, marks, holes, cleat] = block.switches;
        json!({
            "format": 1, "title": "fuzzed", "guide": guide, "settings": settings,
            "print": { "bed": self.bed.map(|b| b.map(|side| side.of(50.0, 500.0))) },
            "block": {
                "thickness": block.thickness.map(|t| t.of(4.0, 40.0)),
                "fence_height": block.fence_height.map(|h| h.of(2.0, 40.0)),
                "middle": block.middle.map(|m| m.of(3.0, 60.0)),
                "clearance": block.clearance.map(|c| c.of(0.2, 20.0)),
                "foot_relief": foot, "front_relief": front, "marks": marks, "screw_holes": holes,
                "cleat": cleat.map(|c| c && holes != Some(false)),
                "labels": block.labels.map(|l| ["sunk", "raised", "none"][usize::from(l % 3)]),
            },
        })
    }

    /// Corrections of some of the lanes; `None` without any.
    fn corrections(&self, set: &LaneSet) -> Option<String> {
        let mut lines: Vec<Value> = Vec::new();
        for (which, share) in self.corrections.iter().flatten() {
            let id = &set.lanes[usize::from(*which) % set.lanes.len()].request.id;
            if !lines.iter().any(|l| l["id"] == json!(id)) {
                lines.push(json!({ "id": id, "making": share.of(-20.0, 20.0) * share.of(0.0, 1.0) }));
            }
        }
        let file = json!({ "format": 2, "job": "fuzzed", "corrections": lines });
        (!lines.is_empty()).then(|| file.to_string())
    }
}

impl Locates {
    fn name(&self) -> &'static str {
        match self {
            Locates::Underside => "underside",
            Locates::Back => "back",
            Locates::Sides => "sides",
        }
    }
}

impl Setting {
    fn json(&self, index: usize, angles: &[f64]) -> Value {
        let tools =
            ["plane-iron", "thick-plane-iron", "block-plane-iron", "spokeshave-iron", "bench-chisel", "paring-chisel"];
        json!({
            "tool": tools[usize::from(self.tool) % tools.len()], "id": format!("s{index}"), "angles": angles,
            "thickness": self.thickness.map(|t| t.of(0.5, 12.0)),
            "land": if self.thickness.is_some() { json!(0.4) } else { Value::Null },
            "width": self.width.map(|w| w.of(0.5, 100.0)),
            "taper": self.taper.map(|t| t.of(-3.0, 3.0)),
            "roller_level": self.level.map(|l| l.of(-40.0, 40.0)),
            "primary": self.primary.map(|p| p.of(5.0, 40.0)),
            "edge": self.edge.map(|near| if near { "near" } else { "far" }),
        })
    }
}
