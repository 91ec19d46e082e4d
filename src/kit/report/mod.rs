//! What is advised of a kit and which fences serve it: values for machines, and text for people.

pub mod text;

pub use text::text;

use serde::Serialize;

use super::advice::{Advice, Advised, FlagKind};
use super::another;
use super::drift::Drift;
use super::fences::{Fence, FencePlan};
use super::interval::{Ask, Bench};
use super::{Kit, KitBlade};
use crate::kit::PlannedKit;
use crate::lane::checks::land_assumed;
use crate::lane::{self, Bevel};
use crate::terms::{SeatName, letter};
use crate::units::Written;

/// The report; mm and degrees, full digits.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report<'a> {
    /// Title of the kit.
    pub kit: &'a str,
    /// Name of the guide.
    pub guide: &'a str,
    /// ± degrees that an angle may be off.
    pub tolerance: f64,
    /// Height of the roller's track above the honing surface.
    pub roller_level: f64,
    /// Thickness of the block that the fences are for.
    pub block_thickness: f64,
    /// How far off a fence may be made, ±: each fence leaves as much room.
    pub fence_within: f64,
    /// Whether blades of both seats may share a fence.
    pub across_seats: bool,
    /// The blades, in the order of the kit.
    pub blades: Vec<BladeReport<'a>>,
    /// The fences, the farthest first.
    pub fences: Vec<FenceReport<'a>>,
    /// How many fences there are, and how many are proven to be needed.
    pub fewest: Fewest<'a>,
    /// How people read its lengths.
    #[serde(skip)]
    pub written: Written,
}

/// The number of fences and its proof.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fewest<'a> {
    /// How many there are.
    pub fences: usize,
    /// How many bevels no two of which one fence could serve: no fewer fences can do.
    pub proven: usize,
    /// What one fence more would change; null where no bevels share a fence.
    pub more: Option<MoreReport>,
    /// What one fence fewer would cost; null where no two fences could be one.
    pub fewer: Option<FewerReport<'a>>,
}

/// One fence more.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MoreReport {
    /// Letter of the lane that would become two.
    pub lane: String,
    /// The largest error among all bevels, now and then.
    pub worst: [f64; 2],
    /// How far the fence with the least room may be off, now and then, ±.
    pub room: [f64; 2],
}

/// One fence fewer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FewerReport<'a> {
    /// Letters of the lanes that would become one.
    pub lanes: [String; 2],
    /// The blade that would be furthest off.
    pub blade: &'a str,
    /// `primary` or `micro-bevel`.
    pub bevel: &'static str,
    /// The angle wanted of it.
    pub angle: f64,
    /// How far off it would be.
    pub worst: f64,
    /// How far the one fence may be off before a bevel leaves its tolerance, ±; 0 or less where no place serves them all.
    pub room: f64,
}

/// A blade.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BladeReport<'a> {
    /// The user's name for it.
    pub name: &'a str,
    /// Its tool class.
    pub tool: &'a str,
    /// The seat it goes in.
    pub seat: SeatName,
    /// Width.
    pub width: f64,
    /// Thickness at the edge.
    pub thickness: f64,
    /// The primary bevel.
    pub primary: BevelReport<'a>,
    /// The micro-bevel; null for none.
    pub micro: Option<BevelReport<'a>>,
    /// Why there is no micro-bevel; null where there is one.
    pub no_micro: Option<&'a str>,
    /// How it cuts in its plane; null for a chisel.
    pub cutting: Option<CuttingReport>,
    /// What is unsafe for the edge, or must be done first.
    pub flags: Vec<FlagReport>,
}

/// A bevel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BevelReport<'a> {
    /// Degrees.
    pub angle: f64,
    /// Whether the user stated it.
    pub stated: bool,
    /// Why.
    pub reason: &'a str,
    /// Letter of the lane that sets it; null where no fence serves it, or none is needed.
    pub lane: Option<String>,
    /// Whether it needs no lane: the blade has this bevel already, and only its micro-bevel is honed.
    pub passing: bool,
    /// The angle that the lane sets.
    pub set: Option<f64>,
    /// That less the one wanted.
    pub error: Option<f64>,
    /// How far the angle may be off besides, by the tolerance of the blade's thickness alone, ±; null where none is
    /// stated.
    pub by_thickness: Option<f64>,
    /// The same by the height of the lands that the seat grips; null where it grips none, or no tolerance is stated.
    pub by_land: Option<f64>,
}

/// How an iron cuts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CuttingReport {
    /// Angle of the bed.
    pub bed: f64,
    /// Whether the user stated it.
    pub bed_stated: bool,
    /// `up` or `down`.
    pub bevel: &'static str,
    /// Effective cutting angle.
    pub angle: f64,
    /// Clearance behind the edge.
    pub clearance: f64,
    /// How to come by a larger cutting angle, where the work asks for one.
    pub steeper: Option<String>,
}

/// A flag.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FlagReport {
    /// What it is about.
    pub kind: &'static str,
    /// What and by how much.
    pub message: String,
}

/// A fence.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FenceReport<'a> {
    /// Letter of its lane.
    pub lane: String,
    /// From the block's reference edge.
    pub distance: f64,
    /// Smallest and largest distance that serves all its bevels.
    pub common: [f64; 2],
    /// Smallest and largest distance that it may be meant to have, so that it serves all however it comes out.
    pub places: [f64; 2],
    /// How far it may be off before one of them leaves its tolerance, ±.
    pub room: f64,
    /// The largest error among its bevels.
    pub worst: f64,
    /// What it serves.
    pub serves: Vec<ServedReport<'a>>,
    /// The bevel that forces it.
    pub forced_by: ForcedReport<'a>,
}

/// A bevel of a fence.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ServedReport<'a> {
    /// The blade.
    pub blade: &'a str,
    /// `primary` or `micro-bevel`.
    pub bevel: &'static str,
    /// The angle wanted.
    pub angle: f64,
    /// The error at this fence.
    pub error: Option<f64>,
}

/// The bevel that forces a fence.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ForcedReport<'a> {
    /// The blade.
    pub blade: &'a str,
    /// `primary` or `micro-bevel`.
    pub bevel: &'static str,
    /// The angle wanted.
    pub angle: f64,
    /// Smallest and largest fence distance that serves it.
    pub interval: [f64; 2],
    /// The same, less what a fence may come out off at both ends.
    pub places: [f64; 2],
}

/// Gathers the report.
pub fn report<'a>(kit: &'a Kit, planned: &'a PlannedKit, bench: &Bench<'a>) -> Report<'a> {
    let PlannedKit { advice, plan } = planned;
    let fence_of = plan.fence_of();
    let error = |(ask, fence): (&Ask, &Option<usize>)| ask.error(plan.fences[(*fence)?].distance);
    let errors: Vec<Option<f64>> = plan.asks.iter().zip(&fence_of).map(error).collect();
    let found = Found { plan, fence_of: &fence_of, errors: &errors };
    let mut next = 0;
    let mut blades = Vec::with_capacity(kit.blades.len());
    for (index, (blade, advice)) in kit.blades.iter().zip(advice).enumerate() {
        let from = next;
        while plan.asks.get(next).is_some_and(|ask| ask.blade == index) {
            next += 1;
        }
        blades.push(blade_report(blade, index, advice, &found, from..next, bench));
    }
    Report {
        kit: &kit.title,
        guide: &bench.guide.name,
        tolerance: bench.tolerance,
        roller_level: bench.level.mm,
        block_thickness: bench.edge.thickness,
        fence_within: bench.made_within,
        across_seats: bench.across_seats,
        blades,
        fences: (0..plan.fences.len()).map(|i| fence_report(kit, i, &found)).collect(),
        fewest: fewest(kit, plan),
        written: bench.written,
    }
}

fn fewest<'a>(kit: &'a Kit, plan: &FencePlan) -> Fewest<'a> {
    let more = another::one_more(plan).map(|more| MoreReport {
        lane: letter(more.fence),
        worst: [plan.fences.iter().map(|f| f.worst(&plan.asks)).fold(0.0, f64::max), more.worst],
        room: [plan.fences.iter().map(Fence::room).fold(f64::INFINITY, f64::min), more.room],
    });
    let fewer = another::one_fewer(plan).map(|fewer| {
        let ask = &plan.asks[fewer.ask];
        FewerReport {
            lanes: fewer.fences.map(letter),
            blade: &kit.blades[ask.blade].name,
            bevel: ask.bevel.name(),
            angle: ask.angle,
            worst: fewer.worst,
            room: fewer.room,
        }
    });
    Fewest { fences: plan.fences.len(), proven: plan.proven(), more, fewer }
}

/// The plan, and what follows of it for every bevel.
struct Found<'p> {
    plan: &'p FencePlan,
    fence_of: &'p [Option<usize>],
    errors: &'p [Option<f64>],
}

impl Found<'_> {
    /// Whether a bevel that has this place among the asks, if any, needs no lane.
    fn needs_no_lane(&self, blade: usize, bevel: Bevel, place: Option<usize>) -> bool {
        match place {
            Some(ask) => self.plan.asks[ask].passing,
            None => !self.plan.unserved.iter().any(|u| u.blade == blade && u.bevel == bevel),
        }
    }
}

fn blade_report<'a>(
    blade: &'a KitBlade,
    index: usize,
    advice: &'a Advice,
    found: &Found<'_>,
    asks: std::ops::Range<usize>,
    bench: &Bench<'_>,
) -> BladeReport<'a> {
    let bevel = |bevel: Bevel, advised: &'a Advised| {
        let place = asks.clone().find(|&i| found.plan.asks[i].bevel == bevel);
        let doubt = place.filter(|&i| found.fence_of[i].is_some()).map(|i| found.plan.asks[i].doubt(blade));
        BevelReport {
            angle: advised.angle,
            stated: advised.stated,
            reason: &advised.reason,
            lane: place.and_then(|i| found.fence_of[i]).map(letter),
            passing: found.needs_no_lane(index, bevel, place),
            set: place.and_then(|i| found.errors[i].map(|error| advised.angle + error)),
            error: place.and_then(|i| found.errors[i]),
            by_thickness: doubt.and_then(|doubt| doubt.thickness),
            by_land: doubt.and_then(|doubt| doubt.land),
        }
    };
    let has_micro = advice.micro.angle > advice.primary.angle;
    let (seat_name, _) = bench.guide.seat_for(blade.seat());
    BladeReport {
        name: &blade.name,
        tool: blade.tool(),
        seat: seat_name,
        width: blade.width_in(bench.guide),
        thickness: blade.blade.thickness.mm,
        primary: bevel(Bevel::Primary, &advice.primary),
        micro: has_micro.then(|| bevel(Bevel::Micro, &advice.micro)),
        no_micro: (!has_micro).then_some(&advice.micro.reason),
        cutting: advice.cutting.as_ref().map(|c| CuttingReport {
            bed: c.bed,
            bed_stated: c.bed_stated,
            bevel: if c.bevel_up { "up" } else { "down" },
            angle: c.angle,
            clearance: c.clearance,
            steeper: c.steeper.map(|s| s.to_string()),
        }),
        flags: flags(blade, index, advice, found, asks, bench),
    }
}

fn flags(
    blade: &KitBlade,
    index: usize,
    advice: &Advice,
    found: &Found<'_>,
    asks: std::ops::Range<usize>,
    bench: &Bench<'_>,
) -> Vec<FlagReport> {
    let plan = found.plan;
    let flag = |kind: FlagKind, message| FlagReport { kind: kind.name(), message };
    let primary = plan.asks[asks.clone()].iter().find(|ask| ask.bevel == Bevel::Primary);
    let drift =
        primary.and_then(|ask| Drift::of_change(blade, ask.angle, ask.section(), ask.projection, bench.tolerance));
    let land = land_warning(blade, index, plan, bench.written);
    let mut all: Vec<FlagReport> = land.into_iter().map(|words| flag(FlagKind::Land, words)).collect();
    all.extend(advice.flags.iter().map(|f| flag(f.kind, f.message.clone())));
    all.extend(drift.map(|drift| flag(FlagKind::Drift, drift.words(bench.written))));
    let unserved = plan.unserved.iter().filter(|u| u.blade == index);
    all.extend(unserved.map(|u| {
        let nearest = lane::nearest_words(u.angle, u.reach);
        flag(
            FlagKind::Unserved,
            format!("no fence sets its {}{nearest}: {}", u.bevel.name(), bench.written.reworded(&u.cause.to_string())),
        )
    }));
    all
}

/// That nobody measured the lands by which the guide holds the blade at a place of the kit, and what that may cost. The
/// steepest bevel is the one that a wrong height of the lands puts off most.
pub fn land_warning(blade: &KitBlade, index: usize, plan: &FencePlan, written: Written) -> Option<String> {
    let steepest = plan.asks.iter().filter(|a| a.blade == index).max_by(|a, b| a.angle.total_cmp(&b.angle))?;
    land_assumed::assumed(&blade.blade, steepest.section(), steepest.projection).map(|assumed| assumed.words(written))
}

fn fence_report<'a>(kit: &'a Kit, index: usize, found: &Found<'_>) -> FenceReport<'a> {
    let (fence, asks) = (&found.plan.fences[index], &found.plan.asks);
    let served = |&i: &usize| ServedReport {
        blade: kit.blades[asks[i].blade].name.as_str(),
        bevel: asks[i].bevel.name(),
        angle: asks[i].angle,
        error: found.errors[i],
    };
    let forced = &asks[fence.forced_by];
    FenceReport {
        lane: letter(index),
        distance: fence.distance,
        common: fence.common,
        places: fence.places,
        room: fence.room(),
        worst: fence.members.iter().filter_map(|&i| found.errors[i]).map(f64::abs).fold(0.0, f64::max),
        serves: fence.members.iter().map(served).collect(),
        forced_by: ForcedReport {
            blade: kit.blades[forced.blade].name.as_str(),
            bevel: forced.bevel.name(),
            angle: forced.angle,
            interval: forced.interval,
            places: forced.places,
        },
    }
}
