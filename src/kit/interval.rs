//! The fence distances at which one bevel of one blade comes out within its tolerance and no rule refuses it.
//!
//! The tolerances of guide and blade are no part of it: an interval is of the blade as it was measured. How far the
//! blade's thickness alone may put an angle off is told beside it ([`Ask::doubt`]).

use rayon::iter::{Either, IndexedParallelIterator, IntoParallelIterator, ParallelIterator};

use super::advice::Advice;
use super::{Kit, KitBlade};
use crate::guide::Guide;
use crate::input::length::Length;
use crate::lane::checks::{self, Gravity, Standing};
use crate::lane::{self, Bevel, BlockEdge, NoFence, NoLane, Request, id_of};
use crate::solve::contact::{self, EdgeShape};
use crate::solve::measured::Measured;
use crate::solve::section::Section;
use crate::solve::{self, NoSetting, projection};

/// One bevel of one blade, and the fences that serve it.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// The blade's place in the kit.
    pub blade: usize,
    /// Which bevel.
    pub bevel: Bevel,
    /// The angle asked for, degrees.
    pub angle: f64,
    /// Smallest and largest fence distance that serve it, mm.
    pub interval: [f64; 2],
    /// The fence distance that gives the very angle, mm.
    pub ideal: f64,
    /// The projection that gives it, mm.
    pub projection: f64,
    /// The blade in the guide.
    pub(super) seated: Seated,
    /// Change of the angle at a fence near the ideal one, degrees a mm and a mm².
    curve: [f64; 2],
}

/// A bevel that no fence serves.
#[derive(Debug, Clone, PartialEq)]
pub struct Unserved {
    /// The blade's place in the kit.
    pub blade: usize,
    /// Which bevel.
    pub bevel: Bevel,
    /// The angle asked for, degrees.
    pub angle: f64,
    /// Why.
    pub cause: NoFence,
}

/// Where fences are looked for.
#[derive(Debug, Clone, Copy)]
pub struct Bench<'a> {
    /// The guide.
    pub guide: &'a Guide,
    /// Height of the roller's track above the honing surface.
    pub level: Length,
    /// The block's edge.
    pub edge: BlockEdge,
    /// ± degrees.
    pub tolerance: f64,
}

/// A blade in a guide at a block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Seated {
    pub section: Section<f64>,
    pub edge: EdgeShape,
    /// Fence distance less projection, mm, where it is always the same: in a guide that does not tilt at the block.
    flat: Option<f64>,
}

impl Seated {
    fn new(section: Section<f64>, edge: EdgeShape) -> Self {
        // Any projection shows it.
        let flat = (section.tilt() == 0.0).then(|| contact::fence_distance(&section, 0.0, edge));
        Self { section, edge, flat }
    }

    fn fence(&self, projection: f64) -> f64 {
        self.flat
            .map_or_else(|| contact::fence_distance(&self.section, projection, self.edge), |more| projection + more)
    }

    /// The angle, degrees, that a fence sets; near a setting that is known to be one.
    pub fn angle(&self, fence: f64) -> Option<f64> {
        match self.flat {
            Some(more) => projection::angle(&self.section, fence - more),
            None => solve::angle_of_fence(&self.section, fence, self.edge).ok(),
        }
    }

    fn at(&self, degrees: f64) -> Result<[f64; 2], NoSetting> {
        projection::projection_checked(&self.section, degrees).map(|p| [p, self.fence(p)])
    }
}

impl Ask {
    /// How far the angle at a fence, mm, is from the one asked for, degrees: in truth.
    pub fn error(&self, fence: f64) -> Option<f64> {
        self.seated.angle(fence).map(|angle| angle - self.angle)
    }

    /// The same, nearly: a parabola through the ideal fence and the ends of the tolerance.
    pub(super) fn about(&self, fence: f64) -> f64 {
        let x = fence - self.ideal;
        x * (self.curve[0] + x * self.curve[1])
    }

    /// How far off the angle may be by the blade's thickness alone, ± degrees, at the ideal fence: that of a blade so
    /// much thicker. `None` where no tolerance of it is stated.
    pub fn doubt(&self, blade: &KitBlade) -> Option<f64> {
        let thickness = self.seated.section.thickness + blade.blade.thickness.within?;
        let thicker = Seated::new(Section { thickness, ..self.seated.section }, self.seated.edge);
        Some((thicker.angle(self.ideal)? - self.angle).abs())
    }
}

/// The bevels that a blade asks for: primary and micro-bevel, or one if there is no other.
pub fn bevels(advice: &Advice) -> impl Iterator<Item = (Bevel, f64)> {
    let (primary, micro) = (advice.primary.angle, advice.micro.angle);
    let second = (micro > primary).then_some((Bevel::Micro, micro));
    std::iter::once((Bevel::Primary, primary)).chain(second)
}

/// Fewer blades than this are done sooner than they are shared out.
const WORTH_SHARING: usize = 500;

/// All bevels of a kit; those of a large one on all cores.
pub fn of_kit(kit: &Kit, advice: &[Advice], bench: &Bench<'_>) -> (Vec<Ask>, Vec<Unserved>) {
    let of_blade = |index: usize| of_blade(&kit.blades[index], index, &advice[index], bench);
    // In the order of the blades, whoever does them.
    let each = (0..kit.blades.len()).into_par_iter().with_min_len(WORTH_SHARING).flat_map_iter(of_blade);
    each.partition_map(|found| match found {
        Ok(ask) => Either::Left(ask),
        Err(unserved) => Either::Right(unserved),
    })
}

/// The bevels of one blade.
fn of_blade<'a>(
    blade: &'a KitBlade,
    index: usize,
    advice: &'a Advice,
    bench: &'a Bench<'_>,
) -> impl Iterator<Item = Result<Ask, Unserved>> + 'a {
    bevels(advice).map(move |(bevel, angle)| {
        of(blade, index, bevel, angle, advice, bench).ok_or_else(|| {
            let cause = cause(blade, bevel, angle, advice, bench);
            Unserved { blade: index, bevel, angle, cause }
        })
    })
}

/// Angles that differ by less are the same, degrees.
const ROUNDING: f64 = 1e-6;

/// The primary bevel that the heel is at while a bevel is set, degrees: the smaller of the present and the wanted.
fn heel(blade: &KitBlade, advice: &Advice) -> f64 {
    blade.current.map_or(advice.primary.angle, |current| current.min(advice.primary.angle))
}

fn of(blade: &KitBlade, index: usize, bevel: Bevel, angle: f64, advice: &Advice, bench: &Bench<'_>) -> Option<Ask> {
    let (_, seat) = bench.guide.seat_for(blade.seat());
    let width = blade.width_in(seat);
    if !checks::is_held(seat, blade.blade.thickness.mm, width) {
        return None;
    }
    let measured = Measured::new(bench.guide, seat, blade.blade, bench.level).ok()?;
    let seated = Seated::new(measured.section(&measured.values()), bench.edge.shape());
    let [projection, ideal] = seated.at(angle).ok()?;
    let standing = Standing {
        guide: bench.guide,
        section: &seated.section,
        edge: seated.edge,
        bearing: seated.flat.and_then(|_| Standing::bearing(&seated.section, projection, seated.edge)),
        width,
        primary: heel(blade, advice),
    };
    // A primary bevel is what is honed here: it comes out as the fence sets it, and its heel with it.
    let sound = |degrees: f64| {
        let primary = if bevel == Bevel::Primary { standing.primary.min(degrees) } else { standing.primary };
        let [p, fence] = seated.at(degrees).ok()?;
        Standing { primary, ..standing }.is_sound(degrees, p, fence).then_some(fence)
    };
    let ends = [angle + bench.tolerance, angle - bench.tolerance];
    // What is sound at both ends is sound between them, as the rules refuse from some angle on.
    let [low, high] = match ends.map(&sound) {
        [Some(low), Some(high)] => [(ends[0], low), (ends[1], high)],
        _ => {
            sound(angle)?;
            ends.map(|end| farthest(angle, end, &sound))
        }
    };
    let curve = curve(angle, ideal, low, high);
    Some(Ask { blade: index, bevel, angle, interval: [low.1, high.1], ideal, projection, seated, curve })
}

/// The angle nearest to `end` that is still sound, and its fence; `from` is. The rules refuse from some angle on, so
/// that halving finds where.
fn farthest(from: f64, end: f64, sound: &impl Fn(f64) -> Option<f64>) -> (f64, f64) {
    // Degrees; far finer than anything that can be made.
    const FINE: f64 = 1e-9;
    if let Some(fence) = sound(end) {
        return (end, fence);
    }
    let (mut good, mut bad) = (from, end);
    while (good - bad).abs() > FINE {
        let middle = (good + bad) / 2.0;
        if sound(middle).is_some() { good = middle } else { bad = middle }
    }
    (good, sound(good).unwrap_or(f64::NAN))
}

/// The parabola through three settings, as its slope and bend at the middle one.
fn curve(angle: f64, ideal: f64, low: (f64, f64), high: (f64, f64)) -> [f64; 2] {
    let [(x1, y1), (x2, y2)] = [low, high].map(|(degrees, fence)| (fence - ideal, degrees - angle));
    match (x1 != 0.0, x2 != 0.0) {
        (true, true) => {
            let bend = (y1 / x1 - y2 / x2) / (x1 - x2);
            [y1 / x1 - bend * x1, bend]
        }
        (true, false) => [y1 / x1, 0.0],
        (false, true) => [y2 / x2, 0.0],
        (false, false) => [0.0, 0.0],
    }
}

/// What a lane for one bevel alone is asked, at `angle` degrees.
pub fn request(blade: &KitBlade, bevel: Bevel, angle: f64, advice: &Advice, bench: &Bench<'_>) -> Request {
    let (seat_name, seat) = bench.guide.seat_for(blade.seat());
    let heel = heel(blade, advice);
    // A fence at the end of its interval gives the heel's angle itself, but for rounding.
    let follows = bevel == Bevel::Primary || heel - angle < ROUNDING;
    Request {
        id: id_of(&blade.name, angle),
        label: blade.name.clone(),
        tool: Some(blade.tool().to_string()),
        seat: seat_name,
        angle,
        asked: None,
        blade: blade.blade,
        width: Some(blade.width_in(seat)),
        primary: Some(if follows { heel.min(angle) } else { heel }),
        usual_primary: None,
        roller_level: bench.level,
        edge: None,
    }
}

/// Why no fence serves a bevel.
fn cause(blade: &KitBlade, bevel: Bevel, angle: f64, advice: &Advice, bench: &Bench<'_>) -> NoFence {
    match lane::build(bench.guide, &request(blade, bevel, angle, advice, bench), bench.edge, bench.tolerance) {
        Err(NoLane::Unsolved { cause, .. }) => cause.into(),
        Err(NoLane::Land { cause, .. }) => cause.into(),
        Err(NoLane::Unserved { cause, .. }) => cause,
        Ok(lane) => {
            let refused = lane.findings.into_iter().filter(|f| f.gravity == Gravity::Refusal).map(|f| f.message);
            NoFence::Refused(refused.collect())
        }
    }
}
