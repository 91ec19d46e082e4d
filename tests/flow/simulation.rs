//! A contact simulation that the solver and the lane's rules are held against.
//!
//! Method: guide, blade and block are plain polygons and the roller is a circle, seen from the side. Honing, the guide
//! is turned about its axle by small steps and then by bisection until its lowest corner is on the stone, and the bevel
//! is the angle of the back found there. On the block, shapes slide until a corner of one meets a side of the other.
//! Nothing here uses the closed form of the angle relation or any function of `solve` for what it expects; of the
//! library only the answers are taken. The guides are random, but the same at every run.
//!
//! Limits: one plane only, so no rollers beside a blade and no skewed edges; sharp corners and rigid parts; of the
//! guide no more than a thin plate behind its face and the roller. What lies within [`CLOSE`] of a limit is left out,
//! as there rounding decides.

mod bench;
mod plane;
mod rig;

use std::cell::Cell;

use proptest::prelude::*;

use bench::{Assembly, Part, Touch, against_edge, board, set_by_fence};
use plane::{Corner, bisect, distance};
use rig::{Form, Rig, each, refused, rigs};
use stopwright::lane::checks::Rule;
use stopwright::lane::{BlockEdge, Lane, NoLane};
use stopwright::solve::section::Section;
use stopwright::solve::{self, NoSetting};

/// How near to a limit nothing is compared, mm or degrees.
const CLOSE: f64 = 1e-9;

/// Agreement asked of angles (degrees) and lengths (mm).
const SAME: f64 = 1e-9;

/// Axle to face of all kinds of guides, and of those whose roller stands out past the face.
const ANY_AXLE_TO_FACE: std::ops::Range<f64> = -20.0..60.0;
const SHORT_AXLE_TO_FACE: std::ops::Range<f64> = -15.0..20.0;

/// A margin that leaves the face out of a simulation.
const NO_FACE: f64 = -1e4;

/// Counts what was compared, so that a check that meets nothing fails.
struct Tally<const N: usize>([Cell<usize>; N]);

impl<const N: usize> Tally<N> {
    fn new() -> Self {
        Self(std::array::from_fn(|_| Cell::new(0)))
    }

    fn add(&self, kind: usize) {
        self.0[kind].set(self.0[kind].get() + 1);
    }

    fn expect(&self, least: [usize; N]) {
        let counts = self.0.each_ref().map(Cell::get);
        assert!(counts.iter().zip(least).all(|(&c, l)| c >= l), "compared only {counts:?} times, wanted {least:?}");
    }
}

fn close(a: f64, b: f64, within: f64) -> bool {
    (a - b).abs() <= within
}

/// Lane, and guide with blade as the library's projection places it.
fn placed(rig: &Rig) -> Option<(Lane, Assembly)> {
    let lane = rig.lane().ok()?;
    let guide = Assembly::new(rig, lane.setting.projection);
    Some((lane, guide))
}

/// The bevel that the simulation sees a fence set for a blade in a guide, degrees.
pub fn seen(section: &Section<f64>, edge: BlockEdge, primary: f64, fence: f64) -> Option<f64> {
    let rig = Rig {
        radius: section.roller_radius,
        roller_level: section.roller_level,
        pair: false,
        seat: section.seat_height,
        axle_to_face: section.axle_to_face,
        bottom: section.face_bottom,
        square_error: section.square_error.to_degrees(),
        locates: section.locates,
        form: Form::Direct,
        thickness: section.thickness,
        taper: section.taper.to_degrees(),
        land: section.land,
        land_taper: section.land_taper.to_degrees(),
        angle: primary,
        primary: Some(primary),
        block: edge.thickness,
        relief: edge.relief,
        fence,
    };
    honed(&rig, set_by_fence(&rig, &board(rig.block, rig.relief), fence)?)
}

/// The bevel that `projection` hones, as long as it is the edge that comes down; degrees.
fn honed(rig: &Rig, projection: f64) -> Option<f64> {
    let guide = Assembly::new(rig, projection);
    let touch = guide.lower(rig.axle_height(), NO_FACE, true)?;
    Some(touch.bevel)
}

#[test]
fn the_edge_comes_down_at_the_angle_asked_for() {
    const ROLLER: usize = Part::Face as usize + 1;
    let tally = Tally::new();
    each(rigs(ANY_AXLE_TO_FACE), 14_000, |rig| {
        let Some((lane, guide)) = placed(rig) else { return Ok(()) };
        let alone = guide.lower(rig.axle_height(), NO_FACE, true).expect("the edge comes down");
        prop_assert!(close(alone.bevel, rig.angle, SAME), "{}°", alone.bevel);
        if !rig.pair && guide.roller_to_blade().0 < rig.radius - CLOSE {
            prop_assert!(refused(&lane, Rule::RollerUnderBlade));
            tally.add(ROLLER);
            return Ok(());
        }
        // Between a pair of rollers a bevel may lie right under the axle: turning down, its heel then passes its lowest
        // point before the edge comes, and the pose is reached only by putting the guide there.
        let under_axle = rig.pair && alone.heel_ahead < CLOSE;
        if under_axle || rig.primary.is_some_and(|p| close(p, rig.angle, CLOSE)) {
            return Ok(());
        }
        let margin = if rig.bottom.is_some() { 0.0 } else { NO_FACE };
        let Touch { part, bevel, .. } = guide.lower(rig.axle_height(), margin, false).expect("a part comes down");
        // A single bevel lies flat: edge and heel come down together.
        let part = if part == Part::Heel && rig.primary.is_none() { Part::Edge } else { part };
        match part {
            Part::Edge => prop_assert!(close(bevel, rig.angle, SAME) && !refused(&lane, Rule::HeelFirst), "{bevel}°"),
            Part::Heel => prop_assert!(refused(&lane, Rule::HeelFirst)),
            Part::Face => prop_assert!(refused(&lane, Rule::StoneClearance)),
        }
        tally.add(part as usize);
        Ok(())
    });
    tally.expect([5000, 500, 500, 500]);
}

#[test]
fn where_no_setting_is_found_no_projection_hones_so_steep() {
    let tally = Tally::new();
    each(rigs(ANY_AXLE_TO_FACE), 8_000, |rig| {
        let Err(NoLane::Unsolved { cause, .. }) = rig.lane() else { return Ok(()) };
        // From a hundredth of a millimetre to some metres.
        let tried = (0..32).map(|i| 0.01 * 1.5f64.powi(i));
        let steepest = tried.filter_map(|p| honed(rig, p)).fold(0.0, f64::max);
        prop_assert!(steepest < rig.angle + CLOSE, "{steepest}°");
        match cause {
            NoSetting::WrongBranch { .. } => tally.add(0),
            NoSetting::BehindFace { .. } => tally.add(1),
            other => prop_assert!(false, "{other:?}"),
        }
        Ok(())
    });
    tally.expect([100, 500]);
}

#[test]
fn a_guide_within_half_a_millimetre_of_the_stone_is_refused() {
    let tally = Tally::new();
    each(rigs(ANY_AXLE_TO_FACE), 8_000, |rig| {
        let Some((lane, guide)) = placed(rig).filter(|_| rig.bottom.is_some()) else { return Ok(()) };
        let face_first =
            |margin: f64| guide.lower(rig.axle_height(), margin, true).is_some_and(|touch| touch.part == Part::Face);
        if face_first(0.5 - CLOSE) == face_first(0.5 + CLOSE) {
            let met = face_first(0.5);
            prop_assert_eq!(refused(&lane, Rule::StoneClearance), met);
            tally.add(usize::from(met));
        }
        Ok(())
    });
    tally.expect([2500, 500]);
}

#[test]
fn a_roller_within_half_a_millimetre_of_the_blade_is_refused() {
    let tally = Tally::new();
    each(rigs(ANY_AXLE_TO_FACE), 6_000, |rig| {
        let Some((lane, guide)) = placed(rig) else { return Ok(()) };
        if rig.pair {
            return Ok(());
        }
        let (gap, underside) = guide.roller_to_blade();
        let clearance = gap - rig.radius - 0.5;
        if clearance.abs() < CLOSE {
            return Ok(());
        }
        let said = refused(&lane, Rule::RollerUnderBlade);
        if clearance < 0.0 {
            prop_assert!(said, "the roller is {clearance} mm too near");
            tally.add(0);
        } else if underside {
            // A roller nearest to the bevel or the blade's end has more room than the rule sees.
            prop_assert!(!said, "the roller has {clearance} mm to spare");
            tally.add(1);
        }
        Ok(())
    });
    tally.expect([1000, 500]);
}

#[test]
fn the_fence_stands_where_face_and_block_touch() {
    let tally = Tally::new();
    each(rigs(ANY_AXLE_TO_FACE), 8_000, |rig| {
        let Some((lane, guide)) = placed(rig) else { return Ok(()) };
        let Some((set, corner)) = against_edge(&guide, &board(rig.block, rig.relief)) else {
            prop_assert!(refused(&lane, Rule::FaceBearing), "the face passes over the block");
            tally.add(0);
            return Ok(());
        };
        let fence = set.blade[bench::EDGE].x;
        prop_assert!(close(lane.setting.fence_distance, fence, SAME), "{} {fence}", lane.setting.fence_distance);
        prop_assert!(close(lane.table_support, fence - set.heel_to_edge(), SAME));
        if let Some(said) = lane.face_bearing {
            let bearing = f64::min(-set.plate[bench::FACE_LOWER_END].y, rig.block - rig.relief);
            prop_assert!(close(said, bearing, SAME), "{said} {bearing}");
        }
        // Where the face lies flat all its corners touch, and which is named means nothing.
        if close(fence, lane.setting.projection, 1e-6) {
            tally.add(1);
        } else {
            match corner {
                Corner::Fixed(bench::ARRIS) => tally.add(2),
                Corner::Fixed(bench::EDGE_FOOT) => tally.add(3),
                Corner::Moving(bench::FACE_LOWER_END) => tally.add(4),
                _ => prop_assert!(false, "{corner:?} touches first"),
            }
        }
        Ok(())
    });
    tally.expect([100, 100, 500, 500, 500]);
}

#[test]
fn a_roller_that_strikes_the_block_is_refused_with_its_limit() {
    let tally = Tally::new();
    each(rigs(SHORT_AXLE_TO_FACE), 8_000, |rig| {
        let Some((lane, guide)) = placed(rig) else { return Ok(()) };
        let Some((set, _)) = against_edge(&guide, &board(rig.block, rig.relief)) else { return Ok(()) };
        let (axle, r) = (set.axle, rig.radius);
        prop_assert!(close(lane.roller_below_table, r - axle.y, SAME));
        prop_assert!(close(lane.overhang, f64::max(0.0, axle.x + r), SAME));
        let said = refused(&lane, Rule::RollerStrikes);
        let strikes = |thickness: f64, relief: f64| distance(axle, &board(thickness, relief)).0 < r;
        prop_assert!(said || !strikes(rig.block - CLOSE, rig.relief));
        // Grazing the edge's plane, the limit hangs on the last digits; above the table it is none of the board's.
        if (axle.x + r).abs() < 1e-3 || axle.y > 0.0 {
            return Ok(());
        }
        const THICKEST: f64 = 500.0;
        let limit =
            if strikes(THICKEST, 0.0) { bisect(0.0, THICKEST, 1e-12, |t| strikes(t, 0.0)) } else { f64::INFINITY };
        if limit < 1e-6 {
            prop_assert!(lane.thickness_limit < 1e-6 && said);
            tally.add(0);
        } else if limit.is_infinite() {
            prop_assert!(lane.thickness_limit.is_infinite() && !said);
            tally.add(1);
        } else {
            prop_assert!(close(lane.thickness_limit, limit, SAME), "{} {limit}", lane.thickness_limit);
            prop_assert!(close(rig.block, limit, CLOSE) || said == strikes(rig.block, 0.0));
            tally.add(if said { 2 } else { 3 });
        }
        Ok(())
    });
    tally.expect([500, 500, 500, 300]);
}

#[test]
fn a_planted_fence_gives_the_angle_it_was_seen_to_set() {
    let tally = Tally::new();
    each(rigs(ANY_AXLE_TO_FACE), 8_000, |rig| {
        let Some(projection) = set_by_fence(rig, &board(rig.block, rig.relief), rig.fence) else { return Ok(()) };
        let found = solve::angle_of_fence(&rig.section(), rig.fence, rig.edge().shape());
        let [least, most] = solve::ANGLE_RANGE;
        if projection < CLOSE {
            prop_assert!(projection > -CLOSE || matches!(found, Err(NoSetting::BehindFace { .. })), "{found:?}");
            return Ok(());
        }
        match honed(rig, projection) {
            None => {
                prop_assert!(found.is_err(), "{found:?}, and the edge never comes down");
                tally.add(0);
            }
            Some(seen) if close(seen, least, CLOSE) || close(seen, most, CLOSE) => {}
            Some(seen) if seen < least || seen > most => {
                prop_assert!(matches!(found, Err(NoSetting::AngleOutOfRange { .. })), "{found:?} {seen}");
                tally.add(1);
            }
            Some(seen) => {
                prop_assert!(found.as_ref().is_ok_and(|&f| close(f, seen, SAME)), "{found:?} {seen}");
                tally.add(2);
            }
        }
        Ok(())
    });
    tally.expect([100, 100, 5000]);
}

#[test]
fn limits_and_slope_of_a_fence_are_what_moving_it_shows() {
    let tally = Tally::new();
    each(rigs(ANY_AXLE_TO_FACE), 4_000, |rig| {
        let Some((lane, _)) = placed(rig) else { return Ok(()) };
        let board = board(rig.block, rig.relief);
        let set = |fence: f64| {
            let projection = set_by_fence(rig, &board, fence).filter(|&p| fence > 0.0 && p > CLOSE)?;
            honed(rig, projection)
        };
        // At an end of the tolerance where no setting is, the lane's limit is an estimate.
        let [Some(steep), Some(shallow)] = lane.limits.map(set) else { return Ok(()) };
        prop_assert!(close(steep, rig.angle + rig::TOLERANCE, SAME), "{steep}");
        prop_assert!(close(shallow, rig.angle - rig::TOLERANCE, SAME), "{shallow}");
        const STEP: f64 = 1e-3;
        let fence = lane.setting.fence_distance;
        let [Some(above), Some(below)] = [fence + STEP, fence - STEP].map(set) else { return Ok(()) };
        let slope = 2.0 * STEP / (above - below);
        prop_assert!(close(lane.setting.mm_per_degree / slope, 1.0, 1e-5), "{slope}");
        tally.add(0);
        Ok(())
    });
    tally.expect([2000]);
}
