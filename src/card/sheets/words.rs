//! What a card says in words: a line for each thing, with what it is about in front.

use kurbo::Affine;

use super::{About, lines};
use crate::card::{Camber, Card, Reshape};
use crate::drawing::page::Block;
use crate::drawing::{Anchor, Group, Text};
use crate::error;
use crate::lane::{Bevel, notes};
use crate::shape::font::wrap;
use crate::stones::bevel::change::Begins;
use crate::stones::camber::Curve;
use crate::stones::camber::rock;
use crate::stones::camber::strokes::BY_HAND;
use crate::stones::cautions;
use crate::stones::grits::Work;
use crate::units::{counted, fixed, short};

const TEST: &str = "Turn the edge under a lamp: no bright line should show. It should pare softwood end grain clean, without white streaks. Never test on skin.";
pub(in crate::card) const BACK: &str =
    "Lay the back flat on the finest grade only. Alternate with the bevel until the burr is gone.";
const WIPE: &str = "Wipe all between grades; the seat too.";
const PROOF: &str = "Prove each lane's angle on a plate before you hone with it: plate.pdf shows how.";
/// In place of [`CAUTION`] where there is little room.
const EDGES: &str = "Edges cut: fingers behind the edge, blade away from you.";
const CAUTION: &str =
    "Sharp edges cut: fingers behind the edge, blade away from you. Makers' instructions and local rules first.";
/// How long the first grade is used, and how long each after it.
pub(in crate::card) const UNTIL: [&str; 2] =
    ["a burr runs along the whole edge", "the scratches of the grade before are gone"];
/// In place of [`cautions::GRINDER`] where there is little room.
const GRINDER: &str = "Eye protection, light passes, cool often.";

/// Height of the lead that stands above its words, with the space below, by the height of the lettering.
const OVER_WORDS: f64 = 1.5;

/// Ids of the cautions.
pub(super) const GRINDER_ID: &str = "grinder";
const CAUTION_ID: &str = "care";
/// Id of what is said of the burr.
pub(super) const BURR_ID: &str = "burr";

/// Most lines of a paragraph that is not parted.
const PIECE: usize = 6;

/// Something a card says.
pub(super) struct Line {
    /// Id of its group.
    pub id: &'static str,
    /// What it is about.
    pub lead: &'static str,
    /// The words.
    pub words: String,
}

impl Line {
    /// Whether it warns of what may hurt.
    pub fn is_caution(&self) -> bool {
        [GRINDER_ID, CAUTION_ID].contains(&self.id)
    }

    /// As a paragraph, what it is about in front of all lines, `indent` mm from them.
    pub fn beside(&self, size: f64, indent: f64, width: f64) -> Block {
        Block::lines(self.id, self.lead, &self.words, size, indent, width)
    }

    /// As paragraphs of a few lines, so that a long one may go on over the next side.
    pub fn pieces(&self, size: f64, indent: f64, width: f64) -> Vec<Block> {
        let lines = wrap(&self.words, size, width - indent);
        if lines.len() <= PIECE {
            return vec![self.beside(size, indent, width)];
        }
        let step = lines::down(&lines, size);
        let piece = |(i, part): (usize, &[String])| {
            let mut group = Group::new(if i == 0 { self.id.into() } else { format!("{}-{}", self.id, i + 1) }, "note");
            if i == 0 {
                group.text(Text::new((0.0, size), size, Anchor::Start, self.lead).bold());
            }
            for (k, line) in part.iter().enumerate() {
                group.text(Text::new((indent, size + k as f64 * step), size, Anchor::Start, line.as_str()));
            }
            let height = part.len() as f64 * step;
            Block { height, above: 0.0, keeps: false, groups: vec![group] }
        };
        lines.chunks(PIECE).enumerate().map(piece).collect()
    }

    /// As a paragraph without what it is about.
    pub fn alone(&self, size: f64, width: f64) -> Block {
        Block::lines(self.id, "", &self.words, size, 0.0, width)
    }

    /// As a paragraph, what it is about above it.
    pub fn above(&self, size: f64, width: f64) -> Block {
        let mut block = Block::lines(self.id, self.lead, &self.words, size, 0.0, width);
        let words = block.groups.iter_mut().flat_map(|group| &mut group.marks).skip(1);
        for mark in words {
            *mark = mark.clone().placed(Affine::translate((0.0, OVER_WORDS * size)));
        }
        Block { height: block.height + OVER_WORDS * size, ..block }
    }
}

/// The grades of a bevel.
pub(super) struct Grades {
    /// Id of its group.
    pub id: &'static str,
    /// Which bevel.
    pub lead: &'static str,
    /// Where it is set.
    pub lane: String,
    /// The grades, coarse to fine.
    pub grades: Vec<String>,
    /// How long each is used.
    pub until: String,
}

/// What stands on a card.
pub(super) enum Item {
    /// Words.
    Line(Line),
    /// A bevel's grades.
    Grades(Grades),
    /// The planned camber, with its figure.
    Camber(Line),
}

/// What is to be known first, and then all else in working order. What is the same of all blades is left to the kit's card
/// where that is in the set; a small card says the least.
pub(super) fn items(card: &Card, about: &About<'_>) -> Vec<Item> {
    let small = about.is_small();
    let line = |id, lead, words: String| (!words.is_empty()).then_some(Item::Line(Line { id, lead, words }));
    let level = notes::level(card.roller_level, |mm| about.written.size(mm));
    let first = [
        line("mind", "warning", sentences(&card.flags)),
        line("level", "roller", level.map_or(String::new(), |words| error::sentence(&words))),
        line("first", "reshape", card.change.map_or(String::new(), |c| change(&c, card, about))),
    ];
    // A camber in the micro-bevel comes with a grade of the micro-bevel's.
    let camber_on = |bevel: Bevel| {
        let there = card.camber.as_ref().filter(|camber| camber.on.1 == bevel);
        there.map(|c| Item::Camber(Line { id: "camber", lead: "camber", words: camber(c, about) }))
    };
    let unplanned = card.curve.filter(|_| card.camber.is_none());
    let [shape, hone] = grades(card, small);
    let grinds =
        card.change.is_some() || card.regrind.is_some() || card.camber.as_ref().is_some_and(Camber::is_for_a_grinder);
    let grinder = String::from(if small { GRINDER } else { cautions::GRINDER });
    let all_else = [
        line("camber", "camber", unplanned.map_or(String::new(), |curve| unplanned_camber(&curve, card, about))),
        camber_on(Bevel::Primary),
        shape.map(Item::Grades),
        hone.map(Item::Grades),
        camber_on(Bevel::Micro),
        line(BURR_ID, "burr", if small { String::new() } else { burr() }),
        line("test", "test", if small || about.with_kit { String::new() } else { TEST.into() }),
        line("due", "regrind", due(card, about)),
        line(GRINDER_ID, "grinder", if grinds && !small { grinder.clone() } else { String::new() }),
        line("abrasives", "care", if small || about.with_kit { String::new() } else { abrasives(card) }),
        line("unchecked", "guide", sentences(&card.unchecked)),
        line(GRINDER_ID, "grinder", if grinds && small { grinder } else { String::new() }),
        line(CAUTION_ID, "caution", if small { EDGES } else { CAUTION }.into()),
    ];
    first.into_iter().chain(all_else).flatten().collect()
}

/// What is the same of all blades of a kit.
pub(super) fn of_all(cards: &[Card], about: &About<'_>) -> Vec<Line> {
    let care = cards.first().map_or(String::new(), abrasives);
    let all = [
        ("proof", "proof", if about.is_small() { "" } else { PROOF }.into()),
        ("grades", "grades", format!("The first until {}; each after it until {}.", UNTIL[0], UNTIL[1])),
        (BURR_ID, "burr", burr()),
        ("test", "test", TEST.into()),
        (GRINDER_ID, "grinder", cautions::GRINDER.into()),
        ("abrasives", "care", care),
        (CAUTION_ID, "caution", if about.is_small() { EDGES } else { CAUTION }.into()),
    ];
    let said = all.into_iter().filter(|(.., words)| !words.is_empty());
    let mut lines: Vec<Line> = said.map(|(id, lead, words)| Line { id, lead, words }).collect();
    if about.is_small() {
        // Below the list in front there is room for a line.
        lines.rotate_right(1);
    }
    lines
}

fn burr() -> String {
    format!("{} {BACK}", cautions::BURR)
}

/// How a card's abrasives are used and cared for.
fn abrasives(card: &Card) -> String {
    let all = card.care.iter().copied().chain((!card.steps.is_empty()).then_some(WIPE));
    all.collect::<Vec<_>>().join(" ")
}

/// Findings as sentences.
fn sentences(findings: &[String]) -> String {
    findings.iter().map(|finding| error::sentence(finding)).collect::<Vec<_>>().join(" ")
}

/// The lane that sets a bevel, as a sentence begins.
fn in_lane(lane: Option<&str>) -> String {
    lane.map_or_else(|| "Without the guide".to_string(), |lane| format!("Lane {lane}"))
}

fn lane(card: &Card, bevel: Bevel) -> Option<&str> {
    card.settings.iter().find(|s| s.bevel == bevel).map(|s| s.lane.as_str())
}

fn change(change: &Reshape, card: &Card, about: &About<'_>) -> String {
    let [from, to] = change.angles.map(|a| short(a, 2));
    let how = match change.begins {
        Begins::AtHeel if about.is_small() => "Stop when a burr comes up.".to_string(),
        Begins::AtHeel => "Work starts at the heel and reaches the edge last. Stop when a burr comes up.".to_string(),
        Begins::AtEdge => {
            format!(
                "The edge wears back by {}; the old bevel stays at the heel until the end.",
                about.said(change.recession, 2)
            )
        }
    };
    let again = lane(card, Bevel::Primary);
    let again = again.map_or(String::new(), |lane| format!(" Then set the blade again in lane {lane}."));
    let drift = change.drift.map_or(String::new(), |drift| {
        format!(
            " While the blade stays clamped, its angle grows by {}°. Clamp it again at the lane on the way.",
            fixed(drift.degrees, 1)
        )
    });
    format!("Regrind the primary bevel from {from}° to {to}°. {how}{drift}{again}")
}

/// The grades of the primary bevel, and those of the micro-bevel; without a micro-bevel all are for the primary.
fn grades(card: &Card, small: bool) -> [Option<Grades>; 2] {
    let on = |work: Work| card.steps.iter().filter(move |s| s.work == work).map(|s| s.grade.to_string());
    let [primary, micro] = [Bevel::Primary, Bevel::Micro].map(|bevel| lane(card, bevel));
    let shape: Vec<String> = on(Work::Primary).collect();
    let hone: Vec<String> = on(Work::Micro).chain(on(Work::Finest)).collect();
    // A primary bevel that stays as it is has no lane.
    let stays = primary.is_none() && micro.is_some();
    let first = (!shape.is_empty() && !stays).then(|| Grades {
        id: "shape",
        lead: "primary",
        lane: in_lane(primary),
        grades: shape,
        until: if small { String::new() } else { format!("Until {}.", UNTIL[0]) },
    });
    let took: Vec<String> = card
        .counts
        .iter()
        .map(|(grade, count)| format!("{} on {grade}", counted(*count as usize, "stroke", "strokes")))
        .collect();
    let took = if took.is_empty() { String::new() } else { format!("Yours took about {}.", took.join(", ")) };
    let until = if small { took } else { format!("On each until {}. {took}", UNTIL[1]) };
    let is_micro = micro.is_some() || card.freehand.contains(&Bevel::Micro);
    let then = (!hone.is_empty()).then(|| Grades {
        id: "hone",
        lead: if is_micro { "micro" } else { "hone" },
        lane: in_lane(if card.freehand.contains(&Bevel::Micro) { None } else { micro.or(primary) }),
        grades: hone,
        until: until.trim_end().to_string(),
    });
    [first, then]
}

/// How deep an arc is at the corners, and its radius where that can be measured.
fn arc(curve: &Curve, about: &About<'_>) -> String {
    let radius = curve.measurable_radius().map_or(String::new(), |mm| format!(", radius {}", about.said(mm, 0)));
    format!("{} at the corners{radius}", about.said(curve.depth, 2))
}

/// A camber without strokes, and why there are none.
fn unplanned_camber(curve: &Curve, card: &Card, about: &About<'_>) -> String {
    let why = if card.steps.is_empty() {
        "No strokes are given, because the kit names no abrasives (grits)"
    } else {
        "The kit's abrasives cannot make it with strokes"
    };
    format!("{}. {why}: work the corners, look at the edge against a straight rule, and go on.", arc(curve, about))
}

fn camber(camber: &Camber, about: &About<'_>) -> String {
    // The figure of a small card says it alone.
    let round = if about.is_small() {
        ""
    } else {
        " A round: press with a finger at each dot, as many strokes as stand there."
    };
    let roller = match camber.roller {
        Some(rock::Verdict::Cannot) => " The roller does not let the guide rock this far: work freehand.",
        Some(rock::Verdict::Tips) => " The wide roller only tips: press over the very corner.",
        Some(rock::Verdict::Freely) | None => "",
    };
    let (grade, bevel) = camber.on;
    // The primary bevel is begun with it, and much of it goes; in a micro-bevel the grades before come first.
    let [turn, again] = match bevel {
        Bevel::Primary if camber.lane.is_none() => ["", ""],
        Bevel::Primary => ["", " Set the blade again afterwards."],
        Bevel::Micro => [" when its turn comes", ""],
    };
    let wanted = about.said(camber.curve.depth, 2);
    let target = about.said(camber.before_later(), 2);
    let made = if camber.is_for_a_grinder() {
        // What is too flat to measure is too little to grind.
        let ground =
            camber.curve.measurable_radius().map(|_| format!("grind it first, to {target} at the corners, or "));
        format!("On {grade} that is more than {BY_HAND} strokes: {}use a coarser grade", ground.unwrap_or_default())
    } else {
        format!("Measure after the first round. Rounds on {grade} = {target} divided by your reading")
    };
    let names: Vec<String> = camber.later.iter().map(ToString::to_string).collect();
    let later = if names.is_empty() {
        String::new()
    } else {
        // Where what they add is too little to be read.
        let done = match target == wanted {
            true => "keeps it so".to_string(),
            false if about.is_small() => "makes the rest".to_string(),
            false => format!("makes it {wanted}"),
        };
        let several = names.len() > 1;
        let on = if several { "on each" } else { "on" };
        let all = if several { "finer grade".to_string() } else { names.join(", ") };
        format!(" Then one such round {on} {all}, before its level strokes, {done}.")
    };
    format!(
        "{}. {}, {grade}{turn}.{round} {made}.{later}{roller}{again}",
        arc(&camber.curve, about),
        in_lane(camber.lane.as_deref()),
    )
}

fn due(card: &Card, about: &About<'_>) -> String {
    card.regrind.map_or(String::new(), |r| {
        let after = match r.honings {
            0 | 1 => "every honing".to_string(),
            honings => format!("about {honings} honings"),
        };
        let width = about.said(r.width, 1);
        if about.is_small() {
            format!("At a micro-bevel of {width}, or after {after}.")
        } else {
            format!("When the micro-bevel reaches {width}, or after {after} (estimate).")
        }
    })
}
