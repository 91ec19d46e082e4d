//! A camber, for people and machines.

use serde_json::{Value, json};

use super::rock::{Judgement, PRESSED_AT, Pose, Rock, Verdict};
use super::strokes::{BY_HAND, Bench, Fit, Kernel, StrokePlan, TRADE_RULE};
use super::wanted::USUAL_BED;
use super::{Wanted, rate};
use crate::format::columns::aligned;
use crate::format::marked;
use crate::stones::grits::Grade;
use crate::terms::PlaneKind;
use crate::units::{fixed, short};

/// All that is said of a camber.
#[derive(Debug, Clone, PartialEq)]
pub struct Camber {
    /// What was wanted.
    pub asked: Wanted,
    /// Angle of the back to the sole, degrees.
    pub bed: f64,
    /// Full-width shaving that just feathers out, mm.
    pub shaving: f64,
    /// How far the guide must rock.
    pub rock: Rock,
    /// What is made, and how.
    pub bench: Bench,
    /// The grade that makes it and how much of the bevel it hones, mm from the edge, where the wear of a stroke is by them.
    pub made_on: Option<(Grade, f64)>,
    /// The strokes; `None` for a straight edge.
    pub plan: Option<StrokePlan>,
    /// The guide that holds it.
    pub held: Option<Held>,
}

/// A guide that holds a cambered blade.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// Its name.
    pub guide: String,
    /// Its roller judged; `None` where the profile does not give its width.
    pub judgement: Option<Judgement>,
    /// The corner on the stone; `None` where the blade is not known well enough, or the roller runs elsewhere.
    pub pose: Option<Pose>,
    /// Why the guide does not hone the blade at this angle, where it does not.
    pub refused: Vec<String>,
    /// Whether the roller runs on the stone that the edge is honed on: the pose is worked out for no other.
    pub on_same_stone: bool,
}

/// The report for people.
pub fn text(camber: &Camber) -> String {
    let Bench { curve, angle, .. } = camber.bench;
    let radius = match curve.measurable_radius() {
        _ if curve.depth == 0.0 => "straight".into(),
        Some(radius) => format!("{} mm", fixed(radius, 0)),
        None => "too flat to measure".into(),
    };
    let rows: Vec<Vec<String>> = [
        ("depth at the corners, measured along the back", format!("{} mm", fixed(curve.depth, 2))),
        ("radius", radius),
        ("full-width shaving that feathers out", format!("{} mm", fixed(camber.shaving, 2))),
        ("gap under each corner with the guide level", format!("{} mm", fixed(camber.rock.rise, 2))),
        ("rock for the corner to touch", format!("{}°", fixed(camber.rock.corner, 1))),
        ("rock for halfway to the corner", format!("{}°", fixed(camber.rock.chord, 1))),
    ]
    .map(|(what, value)| vec![what.to_string(), value])
    .into();
    let mut text = format!(
        "Camber of a blade {} mm wide on a bed of {}°, honed at {}°{}\n{}",
        short(curve.width, 2),
        short(camber.bed, 2),
        short(angle, 2),
        asked(camber.asked),
        aligned(&rows, 1)
    );
    if camber.bed < USUAL_BED && curve.depth > 0.0 {
        text += &format!(
            "A lower bed needs more camber for the same shaving: on a {}° bed {} mm would do.\n",
            short(USUAL_BED, 1),
            fixed(camber.shaving / USUAL_BED.to_radians().sin(), 2)
        );
    }
    if let Some(held) = &camber.held {
        text += &format!("\n{}\n", held_text(held));
    }
    match &camber.plan {
        Some(plan) => text += &plan_text(camber, plan),
        None => text += "\nA straight edge: press evenly.\n",
    }
    marked::practice(&text)
}

fn asked(asked: Wanted) -> &'static str {
    match asked {
        Wanted::Plane(PlaneKind::Jack) => ", for a jack (an arc of 250 mm: common practice, no source)",
        Wanted::Plane(PlaneKind::Try) => ", for a try plane (a shaving of 0.15 mm: common practice, no source)",
        Wanted::Plane(PlaneKind::Smoother) => ", for a smoother (a shaving of 0.05 mm: common practice, no source)",
        Wanted::Depth(_) | Wanted::Shaving { .. } => "",
    }
}

fn held_text(held: &Held) -> String {
    let refused = held.refused.iter().map(|why| format!("\nWarning: the guide cannot hone this angle: {why}."));
    let Some(j) = &held.judgement else {
        let unknown = format!("{}: the profile does not give the roller's width, so this was not checked.", held.guide);
        return unknown + &refused.collect::<String>();
    };
    let roller = short(j.roller, 1);
    let mut text = match j.verdict {
        Verdict::Freely => format!("{}: the roller is {roller} mm wide and lets the guide rock", held.guide),
        Verdict::Tips => format!(
            "{}: the roller is {roller} mm wide. It only tips over its end, with the finger over the very corner (up to {} mm wide it would rock)",
            held.guide,
            fixed(j.free_up_to, 1)
        ),
        Verdict::Cannot => format!(
            "{}: the roller or rollers take {roller} mm, as much as the blade or more, so no finger on the blade rocks the guide. Camber freehand, or in a guide with a narrow roller",
            held.guide
        ),
    };
    if j.force.is_some() {
        text += &format!(
            ". Press {} mm or more from the middle; when the corner touches, the other end of the roller is {} mm off the stone",
            fixed(j.finger_from, 1),
            fixed(j.lift, 2)
        );
    }
    text += ".";
    if let Some(pose) = held.pose.filter(|_| j.verdict != Verdict::Cannot) {
        text += &format!(
            " The guide then leans {}°, and the corner is honed at {}°.",
            fixed(pose.rock, 2),
            fixed(pose.angle, 2)
        );
    }
    if !held.on_same_stone {
        text += " How far it leans is calculated only for a roller on the stone itself (--roller-level 0).";
    }
    text.extend(refused);
    text + &format!(
        "\nNote: the finger is taken to press {} of the way from roller to edge (estimate). A narrow roller rocks, a wide one tips, a pair does neither (common practice, no source).",
        short(PRESSED_AT, 2)
    )
}

fn plan_text(camber: &Camber, plan: &StrokePlan) -> String {
    let curve = camber.bench.curve;
    let depth = curve.depth;
    let head = |cells: [&str; 4]| cells.map(str::to_string).to_vec();
    let mut rows = vec![head(["finger", "from middle", "a round", "all"]), head(["", "mm", "strokes", "strokes"])];
    for (i, place) in plan.places.iter().enumerate() {
        rows.push(vec![
            place.name.into(),
            fixed(place.at, 1),
            plan.rounds.counts[i].to_string(),
            short(plan.rounded.strokes[i], 0),
        ]);
    }
    let off = |fit: &Fit| format!("about {} mm", fixed(fit.rms, 2));
    let mut text = format!(
        "\nStrokes: {} {}, the same count on either side\n{}",
        plan.rounds.rounds,
        if plan.rounds.rounds == 1 { "round" } else { "rounds" },
        aligned(&rows, 1)
    );
    text += &format!(
        "These rounds follow the arc to {}. The whole edge also wears back about {} mm.\n",
        off(&plan.rounded),
        fixed(plan.rounded.even, 2)
    );
    if plan.rounds.total() > BY_HAND {
        // What is too flat to measure is too little to grind.
        let first = curve.measurable_radius().map_or("", |_| "grind it first, or ");
        text += &format!("That is more than {BY_HAND} strokes: {first}use a coarser grade.\n");
    } else {
        text += &format!(
            "Measure after the first round; expect about {} mm. Rounds in all = {} divided by your reading.\n",
            fixed(plan.after_first, 2),
            fixed(depth, 2)
        );
    }
    let [corner, finger_in, beside, _] = TRADE_RULE.map(|c| short(c, 0));
    text += &format!(
        "A common recipe, {corner} strokes at each corner, {finger_in} one finger-width in and {beside} beside the centre (common \
         practice, no source), follows the arc to {} in about {} rounds. {}\n\n",
        off(&plan.rule),
        fixed(plan.rule_rounds, 0),
        explained(camber.bench.kernel)
    );
    for note in notes(camber) {
        text += &format!("Note: {note}\n");
    }
    text
}

/// Why the rule does what it does.
fn explained(kernel: Kernel) -> &'static str {
    match kernel {
        Kernel::Stiff => {
            "The strokes at and near the corners make the curve; those by the centre only wear the whole edge back."
        }
        Kernel::Local { .. } => "It falls straight from the corner to the middle, where the arc falls faster at first.",
    }
}

/// What the strokes rest on.
fn notes(camber: &Camber) -> Vec<String> {
    let wear = format!("{} µm of an evenly pressed edge", short(1000.0 * camber.bench.per_stroke, 4));
    let by = match camber.made_on {
        Some((grade, worked)) => format!(
            "a stroke is taken to wear {wear}, with {grade} over {} mm of bevel, fingers that press with {} N and strokes of {} mm (estimate between two published rates, from memory). The true figure may be several times more or less: measure.",
            fixed(worked, 1),
            short(rate::LOAD, 0),
            short(rate::SLIDE, 0),
        ),
        None => format!("a stroke wears {wear}, as you stated."),
    };
    let pressure = match camber.bench.kernel {
        Kernel::Stiff => {
            "the edge is taken to be stiff and straight. A finger a millimetre or two elsewhere shifts the mix of strokes, so look at the edge against a rule as you go."
        }
        Kernel::Local { .. } => {
            "the pressure is taken to stay near the finger, which lies over the corner to work the corner."
        }
    };
    vec![pressure.into(), by]
}

/// The same for machines.
pub fn json(camber: &Camber) -> Value {
    let curve = camber.bench.curve;
    let mut value = json!({
        "width": curve.width,
        "depth": curve.depth,
        "radius": Some(curve.radius()).filter(|r| r.is_finite()),
        "bed": camber.bed,
        "shaving": camber.shaving,
        "angle": camber.bench.angle,
        "rise": camber.rock.rise,
        "rock": { "corner": camber.rock.corner, "chord": camber.rock.chord },
    });
    if let Some(held) = &camber.held {
        value["guide"] = json!({
            "name": held.guide,
            "refused": held.refused,
            "judgement": held.judgement.map(|j| json!({
                "verdict": j.verdict.word(), "roller": j.roller, "free_up_to": j.free_up_to,
                "finger_from": j.finger_from, "force": j.force, "lift": j.lift,
            })),
            "pose": held.pose.map(|p| json!({ "rock": p.rock, "angle": p.angle, "lift": p.lift })),
        });
    }
    if let Some(plan) = &camber.plan {
        value["plan"] = json!({
            "kernel": match camber.bench.kernel {
                Kernel::Stiff => json!("stiff"),
                Kernel::Local { spread } => json!({ "local": spread }),
            },
            "finger": camber.bench.finger,
            "per_stroke": camber.bench.per_stroke,
            "grade": camber.made_on.map(|(grade, _)| grade.to_string()),
            "worked": camber.made_on.map(|(_, worked)| worked),
            "places": plan.places.iter().map(|p| json!({ "name": p.name, "at": p.at })).collect::<Vec<_>>(),
            "best": fit(&plan.best),
            "rounds": { "counts": plan.rounds.counts, "rounds": plan.rounds.rounds },
            "rounded": fit(&plan.rounded),
            "after_first": plan.after_first,
            "rule": fit(&plan.rule),
            "rule_rounds": plan.rule_rounds,
        });
    }
    value
}

fn fit(fit: &Fit) -> Value {
    json!({ "strokes": fit.strokes, "even": fit.even, "rms": fit.rms, "largest": fit.largest })
}
