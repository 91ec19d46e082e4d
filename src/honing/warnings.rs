//! What at the bench takes more of a lane's tolerance than it should.

use super::{Honing, SHARE, flex, square, stone};
use crate::lane::Lane;
use crate::lane::checks::{Finding, Gravity, Rule};
use crate::terms::Locates;
use crate::units::{EXACT, fixed, short, signed};

/// Depth of a camber that a stone makes unasked from which on it is told of, mm: a thin shaving (common practice, no source).
const CAMBER: f64 = 0.03;
/// Shortest travel on a stone that is worth a stroke, mm (common practice, no source).
const TRAVEL: f64 = 50.0;

/// What is worth a warning of a blade set in `lane`, whose angle may be off by ± `tolerance` degrees.
pub fn of(lane: &Lane, honing: &Honing, tolerance: f64) -> Vec<Finding> {
    let most = SHARE * tolerance;
    let (section, p) = (&lane.setting.section, lane.projection());
    let (degrees, written, stone) = (lane.request.angle, lane.request.written, &honing.stone);
    let said = |mm: f64| written.short(mm, EXACT).said();
    let too_much = |change: &f64| change.abs() > most;
    let quarter = format!("more than a quarter of the ±{}° allowed", short(tolerance, 3));
    let mut all = Vec::new();
    if let Some(depth) = stone.hollow_along
        && let Some(change) = stone::change_along(section, p, stone.length(), depth).filter(too_much)
    {
        let shape = if depth > 0.0 { "hollow" } else { "crowned" };
        all.push(Finding::warning(
            Rule::Stone,
            format!(
                "a stone {} {shape} over its length of {} changes the angle by {}°, {quarter}. Flatten it first",
                said(depth.abs()),
                said(stone.length()),
                signed(change, 2)
            ),
        ));
    }
    if let (Some(depth), Some(width)) = (stone.hollow_across, lane.request.width) {
        let width = width.min(stone.width());
        let camber = stone::camber(width, stone.width(), depth, degrees);
        if camber.abs() > CAMBER {
            let shape = if depth > 0.0 { "cambers" } else { "hollows" };
            all.push(Finding::warning(
                Rule::Stone,
                format!(
                    "a stone {} out of flat across its width {shape} the edge by {}. Flatten it first",
                    said(depth.abs()),
                    written.fixed(camber.abs(), [2, 3]).said()
                ),
            ));
        }
    }
    if let Some(film) = stone.film
        && let Some(change) = stone::change_by_film(section, p, film).filter(too_much)
    {
        all.push(Finding::warning(
            Rule::Stone,
            format!(
                "a film {} thick under the edge alone changes the angle by {}°, {quarter}. Let the roller run on a film as thick, or state the level of its track in the job",
                said(film),
                signed(change, 2)
            ),
        ));
    }
    if let Some(length) = stone.length {
        let (room, travel) = (stone::room(section, p), stone::travel(section, p, length));
        if travel < TRAVEL {
            let left = if travel > 0.0 {
                format!("leaves {} for the stroke", said(travel.floor()))
            } else {
                "is too short".into()
            };
            all.push(Finding::warning(
                Rule::Stone,
                format!(
                    "from edge to roller this setting takes {}; a stone {} long {left}. Let the roller run beside the stone, on a board as high as it",
                    said(room.ceil()),
                    said(length)
                ),
            ));
        }
    }
    if let Some(width) = lane.request.width.filter(|w| *w > 0.0) {
        if let Some(change) = flex::change(section, p, width, &honing.load).filter(too_much) {
            all.push(Finding::warning(
                Rule::Flex,
                format!(
                    "a load of {} N, {} behind the edge, bends this blade by {}°, {quarter}. Press lightly, close to the edge",
                    short(honing.load.force, 1),
                    said(honing.load.behind),
                    fixed(change.abs(), 2)
                ),
            ));
        }
        let off = honing.out_of_square.abs();
        let change = square::change(width, off, lane.setting.mm_per_degree);
        if section.locates != Locates::Sides && off > 0.0 {
            let message = format!(
                "the fence squares the edge, not the blade: with an edge {}° out of square the bevel is {}° square to its edge, and {}° along the blade",
                short(off, 2),
                short(degrees, 2),
                fixed(square::along_the_blade(degrees, off), 2)
            );
            all.push(Finding { rule: Rule::Square, gravity: Gravity::Note, message });
        }
        if section.locates == Locates::Sides && change > most {
            all.push(Finding::warning(
                Rule::Square,
                format!(
                    "an edge {}° out of square stands out {} further at one corner. Honed until the whole edge is reached, the angle is {}° off, {quarter}. Grind the edge square first",
                    short(off, 2),
                    written.fixed(square::corner(width, off), [2, 3]).said(),
                    fixed(change, 2)
                ),
            ));
        }
    }
    all
}
