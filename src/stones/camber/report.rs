//! A camber, for people and machines.

use serde_json::{Value, json};

use super::rock::{Judgement, PRESSED_AT, Pose, Rock, Verdict};
use super::strokes::{BY_HAND, Bench, Fit, Kernel, StrokePlan, TRADE_RULE};
use super::wanted::{JACK_RADIUS, SMOOTHER_SHAVING, TRY_SHAVING, USUAL_BED};
use super::{Wanted, rate};
use crate::format::columns::aligned;
use crate::format::marked;
use crate::stones::grits::Grade;
use crate::terms::PlaneKind;
use crate::trig::Trig;
use crate::units::{COARSE, FINE, WHOLE, Written, fixed, short};

/// Decimals of what strokes leave and wear: hundredths of a millimetre, ten-thousandths of an inch.
const SMALL: [usize; 2] = [2, 4];

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
    /// How people read lengths.
    pub written: Written,
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
    let (Bench { curve, angle, .. }, written) = (camber.bench, camber.written);
    let radius = match curve.measurable_radius() {
        _ if curve.depth == 0.0 => "straight".into(),
        Some(radius) => written.fixed(radius, WHOLE).said(),
        None => "too flat to measure".into(),
    };
    let rows: Vec<Vec<String>> = [
        ("depth at the corners, measured along the back", written.length(curve.depth)),
        ("radius", radius),
        ("full-width shaving that feathers out", written.length(camber.shaving)),
        ("gap under each corner with the guide level", written.length(camber.rock.rise)),
        ("rock for the corner to touch", format!("{}°", fixed(camber.rock.corner, 1))),
        ("rock for halfway to the corner", format!("{}°", fixed(camber.rock.chord, 1))),
    ]
    .map(|(what, value)| vec![what.to_string(), value])
    .into();
    let mut text = format!(
        "Camber of a blade {} wide on a bed of {}°, honed at {}°{}\n{}",
        written.size(curve.width),
        short(camber.bed, 2),
        short(angle, 2),
        asked(camber.asked, written),
        aligned(&rows, 1)
    );
    if camber.bed < USUAL_BED && curve.depth > 0.0 {
        text += &format!(
            "A lower bed needs more camber for the same shaving: on a {}° bed {} would do.\n",
            short(USUAL_BED, 1),
            written.length(camber.shaving / USUAL_BED.to_radians().sine())
        );
    }
    if let Some(held) = &camber.held {
        text += &format!("\n{}\n", held_text(held, written));
    }
    match &camber.plan {
        Some(plan) => text += &plan_text(camber, plan),
        None => text += "\nA straight edge: press evenly.\n",
    }
    marked::practice(&text)
}

fn asked(asked: Wanted, written: Written) -> String {
    let Wanted::Plane(kind) = asked else { return String::new() };
    let (plane, usual) = match kind {
        PlaneKind::Jack => ("a jack", format!("an arc of {}", written.short(JACK_RADIUS, COARSE).said())),
        PlaneKind::Try => ("a try plane", format!("a shaving of {}", written.size(TRY_SHAVING))),
        PlaneKind::Smoother => ("a smoother", format!("a shaving of {}", written.size(SMOOTHER_SHAVING))),
    };
    format!(", for {plane} ({usual}: common practice, no source)")
}

fn held_text(held: &Held, written: Written) -> String {
    let refused = held.refused.iter().map(|why| format!("\nWarning: the guide cannot hone this angle: {why}."));
    let Some(j) = &held.judgement else {
        let unknown = format!("{}: the profile does not give the roller's width, so this was not checked.", held.guide);
        return unknown + &refused.collect::<String>();
    };
    let roller = written.short(j.roller, COARSE).said();
    let mut text = match j.verdict {
        Verdict::Freely => format!("{}: the roller is {roller} wide and lets the guide rock", held.guide),
        Verdict::Tips => format!(
            "{}: the roller is {roller} wide. It only tips over its end, with the finger over the very corner (up to {} wide it would rock)",
            held.guide,
            written.coarse(j.free_up_to)
        ),
        Verdict::Cannot => format!(
            "{}: the roller or rollers take {roller}, as much as the blade or more, so no finger on the blade rocks the guide. Camber freehand, or in a guide with a narrow roller",
            held.guide
        ),
    };
    if j.force.is_some() {
        text += &format!(
            ". Press {} or more from the middle; when the corner touches, the other end of the roller is {} off the stone",
            written.coarse(j.finger_from),
            written.length(j.lift)
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
    let (curve, written) = (camber.bench.curve, camber.written);
    let depth = curve.depth;
    let head = |cells: [&str; 4]| cells.map(str::to_string).to_vec();
    let mut rows =
        vec![head(["finger", "from middle", "a round", "all"]), head(["", written.unit(), "strokes", "strokes"])];
    for (i, place) in plan.places.iter().enumerate() {
        rows.push(vec![
            place.name.into(),
            written.fixed(place.at, COARSE).to_string(),
            plan.rounds.counts[i].to_string(),
            short(plan.rounded.strokes[i], 0),
        ]);
    }
    let off = |fit: &Fit| format!("about {}", written.fixed(fit.rms, SMALL).said());
    let mut text = format!(
        "\nStrokes: {} {}, the same count on either side\n{}",
        plan.rounds.rounds,
        if plan.rounds.rounds == 1 { "round" } else { "rounds" },
        aligned(&rows, 1)
    );
    text += &format!(
        "These rounds follow the arc to {}. The whole edge also wears back about {}.\n",
        off(&plan.rounded),
        written.fixed(plan.rounded.even, SMALL).said()
    );
    if plan.rounds.total() > BY_HAND {
        // What is too flat to measure is too little to grind.
        let first = curve.measurable_radius().map_or("", |_| "grind it first, or ");
        text += &format!("That is more than {BY_HAND} strokes: {first}use a coarser grade.\n");
    } else {
        text += &format!(
            "Measure after the first round; expect about {}. Rounds in all = {} divided by your reading.\n",
            written.length(plan.after_first),
            written.fixed(depth, FINE)
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
    let written = camber.written;
    let wear = format!("{} of an evenly pressed edge", written.minute(camber.bench.per_stroke));
    let by = match camber.made_on {
        Some((grade, worked)) => format!(
            "a stroke is taken to wear {wear}, with {grade} over {} of bevel, fingers that press with {} N and strokes of {} (estimate between two published rates, from memory). The true figure may be several times more or less: measure.",
            written.coarse(worked),
            short(rate::LOAD, 0),
            written.short(rate::SLIDE, WHOLE).said(),
        ),
        None => format!("a stroke wears {wear}, as you stated."),
    };
    let pressure = match camber.bench.kernel {
        Kernel::Stiff => format!(
            "the edge is taken to be stiff and straight. A finger {} elsewhere shifts the mix of strokes, so look at the edge against a rule as you go.",
            written.choose("a millimetre or two", "a sixteenth of an inch")
        ),
        Kernel::Local { .. } => {
            "the pressure is taken to stay near the finger, which lies over the corner to work the corner.".into()
        }
    };
    vec![pressure, by]
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
