//! The fence distances at which one bevel of one blade comes out within its tolerance and no rule refuses it.
//!
//! The tolerances of guide and blade are no part of it: an interval is of the blade as it was measured. How far the
//! blade's thickness or its lands alone may put an angle off is told beside it ([`Ask::doubt`]). The tolerance that a fence is made
//! to is: a fence is looked for where it serves the bevel however it comes out ([`Ask::places`]).
//!
//! Two bevels of one blade never share a fence, as there would then be no micro-bevel: each may be off toward the other
//! by a quarter of the step between them at most, so that half of the step is left.

use super::advice::Advice;
use super::{Kit, KitBlade};
use crate::cores;
use crate::guide::Guide;
use crate::input::length::Length;
use crate::lane::checks::{self, Gravity, STANDING_RULES, Standing};
use crate::lane::{self, Bevel, BlockEdge, LEAST_THICKNESS, NoFence, NoLane, Request, id_of};
use crate::solve::contact::{self, EdgeShape};
use crate::solve::measured::Measured;
use crate::solve::section::Section;
use crate::solve::{self, ANGLE_RANGE, NoSetting, halving, projection};
use crate::terms::{Locates, SeatName};
use crate::units::Written;

/// One bevel of one blade, and the fences that serve it.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// The blade's place in the kit.
    pub blade: usize,
    /// The seat that the blade goes in.
    pub seat: SeatName,
    /// Which bevel.
    pub bevel: Bevel,
    /// The angle asked for, degrees.
    pub angle: f64,
    /// Whether it goes without a fence where no other bevel's happens to serve it: a primary bevel that the blade
    /// already has, below its micro-bevel.
    pub passing: bool,
    /// Smallest and largest fence distance that serve it, mm.
    pub interval: [f64; 2],
    /// Smallest and largest distance that a fence may be meant to have so that it serves it however it comes out, mm:
    /// the interval less the making tolerance at both ends, or its middle where that leaves nothing.
    pub places: [f64; 2],
    /// The fence distance that gives the very angle, or the nearest to it that no rule refuses, mm.
    pub ideal: f64,
    /// The projection that gives it, mm.
    pub projection: f64,
    /// The blade in the guide.
    pub(super) seated: Seated,
    /// The angle at the ideal fence less the one asked for, degrees.
    off: f64,
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
    /// The shallowest and the steepest angle at which the guide holds the blade soundly for this bevel, degrees; `None`
    /// where there is none.
    pub reach: Option<[f64; 2]>,
    /// The thickest block, mm, at which a fence would serve it, where only the roller that strikes the block is in the
    /// way.
    pub thickness_limit: Option<f64>,
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
    /// Whether blades of both seats may share a fence.
    pub across_seats: bool,
    /// How well fences are made, ± mm: the coarser of print and wood where the same fences are made in both.
    pub made_within: f64,
    /// How its reader takes lengths.
    pub written: Written,
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
    /// The blade in the guide, seen from the side.
    pub fn section(&self) -> &Section<f64> {
        &self.seated.section
    }

    /// How far the angle at a fence, mm, is from the one asked for, degrees: in truth.
    pub fn error(&self, fence: f64) -> Option<f64> {
        self.seated.angle(fence).map(|angle| angle - self.angle)
    }

    /// The least and the greatest error that its interval leaves, degrees.
    pub fn allowed(&self) -> [f64; 2] {
        // The nearer fence sets the larger angle.
        let [near, far] = self.interval;
        [far, near].map(|fence| self.error(fence).unwrap_or(0.0))
    }

    /// Whether a fence, mm, still sets it as it must once the roller has lost `lost` mm of its diameter.
    pub fn is_set_with_worn_roller(&self, fence: f64, lost: f64) -> bool {
        let worn = Seated { section: self.seated.section.with_worn_roller(lost), ..self.seated };
        let [least, greatest] = self.allowed();
        worn.angle(fence).is_some_and(|set| (least..=greatest).contains(&(set - self.angle)))
    }

    /// How far the edge stands out of the face at a fence, mm.
    pub fn projection_at(&self, fence: f64) -> Option<f64> {
        contact::projection_of_fence(&self.seated.section, fence, self.seated.edge)
    }

    /// How far the angle at a fence, mm, is from the one asked for, nearly: a parabola through the ideal fence and the ends of the tolerance.
    pub(super) fn about(&self, fence: f64) -> f64 {
        let x = fence - self.ideal;
        self.off + x * (self.curve[0] + x * self.curve[1])
    }

    /// Thickest block, mm, that the roller does not strike at the ideal fence.
    pub fn thickness_limit(&self) -> f64 {
        contact::thickness_limit(&self.seated.section, self.projection, self.seated.edge)
    }

    /// How far off the angle may be at the ideal fence by what the tolerances of the blade's own measures leave open.
    pub fn doubt(&self, blade: &KitBlade) -> Doubt {
        let (section, blade) = (&self.seated.section, &blade.blade);
        let whole = blade.whole_side.height;
        // The larger of both ways.
        let off = |within: f64, measured: fn(&mut Section<f64>, f64, bool)| {
            let to = |by: f64| {
                let mut other = *section;
                measured(&mut other, by, whole);
                let set = Seated::new(other, self.seated.edge).angle(self.ideal)?;
                Some((set - self.angle - self.off).abs())
            };
            Some(to(-within)?.max(to(within)?))
        };
        let gripped = blade.land.filter(|_| section.locates == Locates::Sides && !whole);
        Doubt {
            thickness: blade.thickness.within.and_then(|within| {
                off(within, |section, by, whole| {
                    section.thickness += by;
                    section.land += if whole { by } else { 0.0 };
                })
            }),
            land: gripped
                .and_then(|land| off(land.within?, |section, by, _| section.land = (section.land + by).max(0.0))),
        }
    }
}

/// How far off an angle may be by what is left open of a blade, ± degrees; `None` where no tolerance is stated, or where
/// the seat does not feel it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubt {
    /// By its thickness alone.
    pub thickness: Option<f64>,
    /// By the height of the lands that the seat grips alone.
    pub land: Option<f64>,
}

/// The bevels that a blade asks for: primary and micro-bevel, or one if there is no other.
pub fn bevels(advice: &Advice) -> impl Iterator<Item = (Bevel, f64)> {
    let (primary, micro) = (advice.primary.angle, advice.micro.angle);
    let second = (micro > primary).then_some((Bevel::Micro, micro));
    std::iter::once((Bevel::Primary, primary)).chain(second)
}

/// The angle that is advised of a bevel, degrees.
fn wanted(bevel: Bevel, advice: &Advice) -> f64 {
    match bevel {
        Bevel::Primary => advice.primary.angle,
        Bevel::Micro => advice.micro.angle,
    }
}

/// Fewer blades than this are done sooner than they are shared out.
const WORTH_SHARING: usize = 500;

/// All bevels of a kit; those of a large one on all cores.
pub fn asks_of_kit(kit: &Kit, advice: &[Advice], bench: &Bench<'_>) -> (Vec<Ask>, Vec<Unserved>) {
    let blades: Vec<usize> = (0..kit.blades.len()).collect();
    let of_blade = |i: &usize| of_blade(&kit.blades[*i], *i, &advice[*i], bench).collect::<Vec<_>>();
    let (mut asks, mut unserved) = (Vec::new(), Vec::new());
    for found in cores::each(&blades, WORTH_SHARING, of_blade).into_iter().flatten() {
        match found {
            Ok(ask) => asks.push(ask),
            Err(none) => unserved.push(none),
        }
    }
    (asks, unserved)
}

/// The bevels of one blade.
fn of_blade<'a>(
    blade: &'a KitBlade,
    index: usize,
    advice: &'a Advice,
    bench: &'a Bench<'_>,
) -> impl Iterator<Item = Result<Ask, Unserved>> + 'a {
    bevels(advice)
        .map(move |(bevel, angle)| {
            ask_of(blade, index, bevel, angle, advice, bench).ok_or_else(|| {
                let cause = cause(blade, bevel, angle, advice, bench);
                let edge = BlockEdge { thickness: bench.edge.thickness.min(LEAST_THICKNESS), ..bench.edge };
                let on_the_thinnest = ask_of(blade, index, bevel, angle, advice, &Bench { edge, ..*bench });
                let thickness_limit = on_the_thinnest.map(|ask| ask.thickness_limit());
                Unserved {
                    blade: index,
                    bevel,
                    angle,
                    cause,
                    reach: reach(blade, bevel, advice, bench),
                    thickness_limit,
                }
            })
        })
        // A bevel that the blade has already needs no guide.
        .filter(move |found| !found.as_ref().is_err_and(|u| is_passing(blade, u.bevel, advice, bench.tolerance)))
}

/// Angles that differ by less are the same, degrees.
const ROUNDING: f64 = 1e-6;

/// The primary bevel that the heel is at while a bevel is set, degrees: the smaller of the present and the wanted.
fn heel(blade: &KitBlade, advice: &Advice) -> f64 {
    blade.current.map_or(advice.primary.angle, |current| current.min(advice.primary.angle))
}

/// Whether a bevel is one that the blade has already and that is not honed: its primary, below a micro-bevel.
fn is_passing(blade: &KitBlade, bevel: Bevel, advice: &Advice, tolerance: f64) -> bool {
    let (primary, micro) = (advice.primary.angle, advice.micro.angle);
    let has = |now: f64| now <= primary + ROUNDING && now >= primary - tolerance;
    bevel == Bevel::Primary && micro > primary && blade.current.is_some_and(has)
}

/// The angles that a bevel may come out at, degrees; see the module.
fn tolerated(bevel: Bevel, angle: f64, advice: &Advice, tolerance: f64) -> [f64; 2] {
    let step = advice.micro.angle - advice.primary.angle;
    let toward_other = if step > 0.0 { tolerance.min(step / 4.0) } else { tolerance };
    match bevel {
        Bevel::Primary => [angle - tolerance, angle + toward_other],
        Bevel::Micro => [angle - toward_other, angle + tolerance],
    }
}

/// A blade in the guide at the block, with the rules that it must keep; `None` where the seat does not hold it.
struct Held<'a> {
    seated: Seated,
    bench: &'a Bench<'a>,
    bevel: Bevel,
    width: f64,
    length: Option<f64>,
    /// How far the heel reaches back, degrees.
    primary: f64,
    bearing: Option<f64>,
}

impl<'a> Held<'a> {
    fn new(blade: &KitBlade, bevel: Bevel, advice: &Advice, bench: &'a Bench<'a>) -> Option<Self> {
        let (_, seat) = bench.guide.seat_for(blade.seat());
        let width = blade.width_in(bench.guide);
        if !checks::is_held(seat, blade.blade.thickness.mm, width) {
            return None;
        }
        let measured = Measured::for_bevel(bench.guide, seat, blade.blade, bench.level, wanted(bevel, advice)).ok()?;
        let seated = Seated::new(measured.section(&measured.values()), bench.edge.shape());
        // Flat on the block it bears alike at any projection.
        let bearing = seated.flat.and_then(|_| Standing::bearing(&seated.section, 0.0, seated.edge));
        Some(Self { seated, bench, bevel, width, length: blade.length, primary: heel(blade, advice), bearing })
    }

    /// Which rules refuse an angle, degrees; `None` where it has no setting.
    fn refusals(&self, degrees: f64) -> Option<[bool; STANDING_RULES]> {
        let [projection, fence] = self.seated.at(degrees).ok()?;
        // A primary bevel is what is honed here: it comes out as the fence sets it, and its heel with it.
        let primary = if self.bevel == Bevel::Primary { self.primary.min(degrees) } else { self.primary };
        let standing = Standing {
            guide: self.bench.guide,
            section: &self.seated.section,
            edge: self.seated.edge,
            bearing: self.bearing,
            width: self.width,
            primary,
            length: self.length,
            thickness: self.bench.edge.thickness,
        };
        Some(standing.refusals(degrees, projection, fence))
    }

    fn is_sound(&self, degrees: f64) -> bool {
        self.refusals(degrees).is_some_and(|refused| !refused.contains(&true))
    }

    /// The angles of a span, degrees, that are set soundly. Settings end at some angle, and every rule refuses on one
    /// side of some angle: what each leaves of a span is a span.
    fn sound_span(&self, span: [f64; 2]) -> Option<[f64; 2]> {
        if span.iter().all(|&end| self.is_sound(end)) {
            return Some(span);
        }
        let in_range = [span[0].max(ANGLE_RANGE[0]), span[1].min(ANGLE_RANGE[1])];
        let mut left = narrowed(in_range, |degrees| self.refusals(degrees).is_some())?;
        for rule in 0..STANDING_RULES {
            left = narrowed(left, |degrees| self.refusals(degrees).is_some_and(|refused| !refused[rule]))?;
        }
        left.iter().all(|&end| self.is_sound(end)).then_some(left)
    }
}

/// How near the end of a span is found, degrees; far finer than anything that can be made.
const FINE: f64 = 1e-9;

/// The part of a span that keeps what ends at some angle in it, or is kept everywhere or nowhere; `None` for none.
fn narrowed([low, high]: [f64; 2], keeps: impl Fn(f64) -> bool) -> Option<[f64; 2]> {
    if low > high {
        return None;
    }
    match [low, high].map(&keeps) {
        [true, true] => Some([low, high]),
        [true, false] => Some([low, halving::farthest(low, high, FINE, keeps)]),
        [false, true] => Some([halving::farthest(high, low, FINE, keeps), high]),
        [false, false] => None,
    }
}

fn ask_of(blade: &KitBlade, index: usize, bevel: Bevel, angle: f64, advice: &Advice, bench: &Bench<'_>) -> Option<Ask> {
    let held = Held::new(blade, bevel, advice, bench)?;
    let seated = held.seated;
    let [low, high] = held.sound_span(tolerated(bevel, angle, advice, bench.tolerance))?;
    let nearest = angle.clamp(low, high);
    let [projection, ideal] = seated.at(nearest).ok()?;
    // A larger angle needs a shorter distance.
    let [near, far] = [seated.at(high).ok()?[1], seated.at(low).ok()?[1]];
    let (seat, _) = bench.guide.seat_for(blade.seat());
    Some(Ask {
        blade: index,
        seat,
        bevel,
        angle,
        passing: is_passing(blade, bevel, advice, bench.tolerance),
        interval: [near, far],
        places: places([near, far], bench.made_within),
        ideal,
        projection,
        seated,
        off: nearest - angle,
        curve: curve(nearest, ideal, (high, near), (low, far)),
    })
}

/// An interval less what a fence may come out off at both ends, or its middle, mm.
fn places([low, high]: [f64; 2], within: f64) -> [f64; 2] {
    if high - low > 2.0 * within { [low + within, high - within] } else { [(low + high) / 2.0; 2] }
}

/// The shallowest and the steepest angle at which the guide holds a blade soundly for a bevel, degrees.
fn reach(blade: &KitBlade, bevel: Bevel, advice: &Advice, bench: &Bench<'_>) -> Option<[f64; 2]> {
    Held::new(blade, bevel, advice, bench)?.sound_span(ANGLE_RANGE)
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
    let (seat_name, _) = bench.guide.seat_for(blade.seat());
    let heel = heel(blade, advice);
    // A fence at the end of its interval gives the heel's angle itself, but for rounding.
    let follows = bevel == Bevel::Primary || heel - angle < ROUNDING;
    Request {
        id: id_of(&blade.name, angle),
        label: blade.name.clone(),
        tool: Some(blade.tool().to_string()),
        seat: seat_name,
        angle,
        wanted: wanted(bevel, advice),
        asked: None,
        blade: blade.blade,
        width: Some(blade.width_in(bench.guide)),
        length: blade.length,
        primary: Some(if follows { heel.min(angle) } else { heel }),
        usual_primary: None,
        roller_level: bench.level,
        edge: None,
        written: bench.written,
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::guide::named::NoFiles;
    use crate::kit::{Kit, advice};
    use crate::lane::checks::testing::{EDGE, METRIC, guide};

    /// A face out of square, or turned by the blade's taper, bears on one end of the edge: the fence is off the projection
    /// by as much, and back again.
    #[test]
    fn a_face_that_leans_moves_every_fence() {
        for (square_error, locates) in [(0.02, Locates::Underside), (0.02, Locates::Back), (0.0, Locates::Back)] {
            let section = Section {
                roller_radius: 8.0,
                roller_level: 0.0,
                seat_height: 9.0,
                axle_to_face: 14.0,
                face_bottom: None,
                square_error,
                thickness: 3.0,
                taper: 0.01,
                land: 1.5,
                land_taper: 0.0,
                locates,
            };
            let edge = EdgeShape { bearing_height: 12.0 };
            let seated = Seated::new(section, edge);
            let fence = contact::fence_distance(&section, 40.0, edge);
            assert!((fence - 40.0).abs() > 0.01, "{square_error} moves nothing");
            assert!((seated.fence(40.0) - fence).abs() < 1e-9, "{square_error}");
            let [set, meant] = [seated.angle(fence), projection::angle(&section, 40.0)].map(|a| a.expect("an angle"));
            assert!((set - meant).abs() < 1e-7, "{square_error}: {set} {meant}");
        }
    }

    /// A fence that gives the primary's angle but for rounding has no heel before its edge; a shallower one has, unless it
    /// is the primary itself that is honed.
    #[test]
    fn a_heel_is_before_its_edge_by_more_than_rounding() {
        let text = r#"{ "format": 1, "title": "one",
            "blades": [{ "name": "it", "tool": "bench-chisel", "primary": 25, "micro": 30 }] }"#;
        let kit = Kit::parse("kit.json", text.as_bytes(), &NoFiles).unwrap_or_else(|e| panic!("{e}"));
        let (blade, advice, guide) = (&kit.blades[0], advice::advise(&kit.blades[0]), guide());
        let bench = Bench {
            guide: &guide,
            level: Length::exact(0.0),
            edge: EDGE,
            tolerance: 0.5,
            across_seats: false,
            made_within: 0.1,
            written: METRIC,
        };
        let primary = |bevel, angle| request(blade, bevel, angle, &advice, &bench).primary;
        let near = 25.0 - ROUNDING / 2.0;
        assert_eq!(primary(Bevel::Micro, near), Some(near));
        assert_eq!([24.0, 30.0].map(|angle| primary(Bevel::Micro, angle)), [Some(25.0); 2]);
        assert_eq!([24.0, 26.0].map(|angle| primary(Bevel::Primary, angle)), [Some(24.0), Some(25.0)]);
    }
}
