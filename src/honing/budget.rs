//! The whole budget of a lane's angle, from the calipers to the stone.
//!
//! Guide, blade and fence contribute as [`crate::lane::budget`] has it. What happens at the bench comes beside them: settings
//! scatter, a speck lies on the seat, the clamp turns the blade, stones wear. What was not stated is assumed, and marked so.
//! Scatter that was measured holds what turns a blade on its seat from one setting to the next, so specks and clamp count
//! beside it only where they are stated.

use serde::Serialize;

use super::scatter::Expanded;
use super::stone::{self, ASSUMED_FLAT};
use super::{ASSUMED_SCATTER, Honing, flex, seat, square};
use crate::format::columns::aligned;
use crate::input::length::rectangular;
use crate::lane::Lane;
use crate::lane::budget;
use crate::solve::uncertainty::COVERAGE;
use crate::terms::Locates;
use crate::units::{EXACT, Written, fixed, short};

/// One contribution to the angle on the steel.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Line {
    /// What it comes from.
    pub quantity: &'static str,
    /// Half-width of what it is known to, or of scatter its standard deviation; mm, degrees or N.
    pub within: f64,
    /// `mm`, `degrees` or `N`.
    pub unit: &'static str,
    /// Whether nobody stated it.
    pub assumed: bool,
    /// Whether it arises at the bench: in neither guide, blade nor fence.
    pub at_the_bench: bool,
    /// Standard uncertainty of the angle from it alone, degrees.
    pub standard: f64,
    /// Degrees of freedom, where it was evaluated from a few readings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub degrees_of_freedom: Option<f64>,
    /// Share in the variance of the angle, 0 to 1.
    pub share: f64,
}

/// All that a lane's angle is uncertain by.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Budget {
    /// Its contributions, the largest first.
    pub contributions: Vec<Line>,
    /// Expanded uncertainty of guide, blade and fence, degrees, k = 2; null where nothing at all was stated of them.
    pub of_block_and_guide: Option<f64>,
    /// Combined standard uncertainty at the bench, degrees.
    pub standard: f64,
    /// Effective degrees of freedom; null where they are infinite.
    pub degrees_of_freedom: Option<f64>,
    /// Coverage factor at the bench.
    pub coverage_factor: f64,
    /// Expanded uncertainty at the bench, degrees.
    pub expanded: f64,
}

/// What arises at the bench, of a blade set in `lane`.
fn at_the_bench(lane: &Lane, honing: &Honing) -> Vec<Line> {
    let (section, fence, p) = (&lane.setting.section, lane.setting.fence_distance, lane.setting.projection);
    let line = |quantity, within: f64, unit, assumed, standard: f64| Line {
        quantity,
        within,
        unit,
        assumed,
        at_the_bench: true,
        standard,
        degrees_of_freedom: None,
        share: 0.0,
    };
    // A change that is as likely anywhere between none and this much either way.
    let bounded = |quantity, within, unit, assumed, change: Option<f64>| {
        change.map(|change| line(quantity, within, unit, assumed, rectangular(change.abs())))
    };
    let mut all = Vec::new();
    let measured = honing.scatter.is_some();
    match honing.scatter {
        Some(scatter) => all.push(Line {
            degrees_of_freedom: Some(scatter.freedom),
            ..line("setting again", scatter.s, "degrees", false, scatter.s)
        }),
        None => all.push(line("setting again", ASSUMED_SCATTER, "degrees", true, ASSUMED_SCATTER)),
    }
    let length = honing.seat_length();
    let turned = |when, turn| seat::half_width(section, fence, lane.edge_shape, when, turn, length);
    let (turn, stated) = honing.speck_turn();
    if stated || !measured {
        let within = honing.speck.unwrap_or(super::ASSUMED_SPECK);
        let change = turned(seat::Turned::BeforeSetting, turn);
        all.extend(bounded("speck on the seat", within, "mm", !stated, change));
    }
    let (turn, stated) = honing.creep_turn();
    if stated || !measured {
        let change = turned(seat::Turned::AfterSetting, turn);
        all.extend(bounded("blade turned by the clamp", turn, "degrees", !stated, change));
    }
    let stone = &honing.stone;
    let depth = stone.hollow_along.unwrap_or(ASSUMED_FLAT);
    let change = stone::change_along(section, p, stone.length(), depth);
    all.extend(bounded("stone along its length", depth.abs(), "mm", stone.hollow_along.is_none(), change));
    if let Some(film) = stone.film {
        all.extend(bounded("film under the edge", film, "mm", false, stone::change_by_film(section, p, film)));
    }
    if let Some(width) = lane.request.width.filter(|w| *w > 0.0) {
        let change = flex::change(section, p, width, &honing.load);
        let assumed = honing.load == flex::Load::default();
        all.extend(bounded("blade bending", honing.load.force, "N", assumed, change));
        if honing.out_of_square != 0.0 && section.locates == Locates::Sides {
            let off = honing.out_of_square.abs();
            let change = square::change(width, off, lane.setting.mm_per_degree);
            all.extend(bounded("edge out of square", off, "degrees", false, Some(change)));
        }
    }
    all
}

/// The whole budget of a lane's angle; `fence_within` is the tolerance a fence is made to, mm.
pub fn budget(lane: &Lane, fence_within: Option<f64>, honing: &Honing) -> Budget {
    let of_block = budget::budget(lane, fence_within).into_iter().map(|line| Line {
        quantity: line.quantity,
        within: line.within,
        unit: line.unit,
        assumed: false,
        at_the_bench: false,
        standard: line.angle_uncertainty / COVERAGE,
        degrees_of_freedom: None,
        share: 0.0,
    });
    let mut contributions: Vec<Line> = of_block.chain(at_the_bench(lane, honing)).collect();
    let parts = contributions.iter().map(|l| (l.standard, l.degrees_of_freedom.unwrap_or(f64::INFINITY)));
    let all = Expanded::of(parts);
    for line in &mut contributions {
        line.share = if all.standard > 0.0 { (line.standard / all.standard).powi(2) } else { 0.0 };
    }
    contributions.sort_by(|a, b| b.share.total_cmp(&a.share));
    Budget {
        contributions,
        of_block_and_guide: lane.setting.uncertainty.angle,
        standard: all.standard,
        degrees_of_freedom: all.freedom.is_finite().then_some(all.freedom),
        coverage_factor: all.k,
        expanded: all.expanded(),
    }
}

/// How far a contribution is known, in words.
fn known_to(line: &Line, written: Written) -> String {
    let sign = if line.quantity == "setting again" { "s " } else { "±" };
    let value = match line.unit {
        "degrees" => fixed(line.within, 3) + "°",
        "mm" => written.fixed(line.within, EXACT).said(),
        unit => format!("{} {unit}", fixed(line.within, 0)),
    };
    format!("{sign}{value}{}", if line.assumed { " *" } else { "" })
}

/// The budgets as text: a block a lane.
pub fn table(lanes: &[&Lane], fence_within: Option<f64>, honing: &Honing, written: Written) -> String {
    let mut text = "\nWhat each contribution adds to ± angle, the most first:\n".to_string();
    for lane in lanes {
        let found = budget(lane, fence_within, honing);
        let of_block = found.of_block_and_guide.map_or_else(|| "not stated".into(), |u| format!("{}°", fixed(u, 2)));
        text += &format!(
            "\n{}: ± angle of block and guide {of_block}; at the bench {}° (k = {})\n",
            lane.request.id,
            fixed(found.expanded, 2),
            short(found.coverage_factor, 1)
        );
        let mut rows = vec![["  contribution", "known to", "adds", "share"].map(String::from).to_vec()];
        rows.extend(found.contributions.iter().map(|line| {
            vec![
                format!("  {}", line.quantity),
                known_to(line, written),
                format!("{}°", fixed(COVERAGE * line.standard, 3)),
                format!("{} %", fixed(line.share * 100.0, 0)),
            ]
        }));
        text += &aligned(&rows, 1);
    }
    text + "* Assumed; say what yours is under \"honing\" in the job. \"Adds\" is with k = 2. Proving the angle on a plate replaces \
            \"setting again\" by what you measure: stopwright help plate.\n"
}
