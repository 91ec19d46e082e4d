//! What is done at the stones with one blade, a step at a time: in figures to be read from a distance, and few words.

use super::Card;
use super::sheets::words::{BACK, UNTIL};
use crate::error;
use crate::lane::{Bevel, Lane};
use crate::stones::cautions;
use crate::stones::grits::{Grade, Work};
use crate::units::{FINE, Written, short};

/// The steps with one blade.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    /// What the blade, or the lane, is called.
    pub of: String,
    /// The steps in their order.
    pub steps: Vec<Step>,
    /// What is unsafe, or must be done first; whole sentences.
    pub cautions: Vec<String>,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What is done, in a few words.
    pub what: String,
    /// What stands largest.
    pub figure: String,
    /// The rest of it; whole sentences.
    pub words: Vec<String>,
    /// The grade on which strokes are counted, and how many it usually takes, where that is known.
    pub strokes_on: Option<(Grade, Option<u32>)>,
}

/// What is done with the blade of a card.
pub fn of_card(card: &Card, written: Written) -> Steps {
    let mut steps = Vec::new();
    for setting in &card.settings {
        let out = written.fixed(setting.projection, FINE).said();
        let angle = short(setting.wanted, 2);
        steps.push(Step {
            what: format!("Set the blade in lane {}", setting.lane),
            figure: setting.lane.clone(),
            words: vec![format!("{}, {angle}°. It stands out {out}.", error::capital(setting.bevel.name()))],
            strokes_on: None,
        });
        steps.extend(hone(card, setting.bevel));
    }
    for bevel in &card.freehand {
        steps.push(Step {
            what: format!("The {} without the guide", bevel.name()),
            figure: "–".into(),
            words: vec!["The guide cannot set it.".into()],
            strokes_on: None,
        });
        steps.extend(hone(card, *bevel));
    }
    if !steps.is_empty() {
        steps.push(Step {
            what: "Take the burr off".into(),
            figure: "burr".into(),
            words: vec![cautions::BURR.into(), BACK.into()],
            strokes_on: None,
        });
    }
    Steps { of: card.blade.clone(), steps, cautions: card.flags.iter().map(|flag| error::sentence(flag)).collect() }
}

/// A step a grade: the coarsest on the primary bevel, the others on the micro-bevel, or where there is none all on the
/// primary.
fn hone(card: &Card, bevel: Bevel) -> Vec<Step> {
    let has = |bevel| card.settings.iter().any(|s| s.bevel == bevel) || card.freehand.contains(&bevel);
    let both = has(Bevel::Primary) && has(Bevel::Micro);
    let is_here = |work: Work| match (both, bevel) {
        (false, Bevel::Primary) => true,
        (false, Bevel::Micro) | (true, Bevel::Micro) => work != Work::Primary,
        (true, Bevel::Primary) => work == Work::Primary,
    };
    let mut here: Vec<_> = card.steps.iter().filter(|step| is_here(step.work)).collect();
    here.dedup_by_key(|step| step.grade);
    let until = |i: usize| format!("Until {}.", UNTIL[usize::from(i > 0)]);
    let step = |(i, step): (usize, &crate::stones::grits::Step)| {
        let usual = card.counts.iter().find(|(grade, _)| *grade == step.grade).map(|(_, count)| *count);
        Step {
            what: format!("Hone on {}", step.grade),
            figure: step.grade.to_string(),
            words: vec![until(i)],
            strokes_on: Some((step.grade, usual.or(step.strokes))),
        }
    };
    here.into_iter().enumerate().map(step).collect()
}

/// What is done in one lane, where no blades are listed.
pub fn of_lane(lane: &Lane) -> Steps {
    let request = &lane.request;
    let out = request.written.fixed(lane.projection(), FINE).said();
    let name = format!("{} {}", request.label, request.angle_words());
    let set = Step {
        what: "Set the blade".into(),
        figure: request.sign(),
        words: vec![format!(
            "Lane {name}. Wipe the seat. Hold the guide's face against the block's edge and slide the blade out to the fence. It stands out {out}."
        )],
        strokes_on: None,
    };
    let burr = Step {
        what: "Take the burr off".into(),
        figure: "burr".into(),
        words: vec![cautions::BURR.into(), BACK.into()],
        strokes_on: None,
    };
    let hone = Step {
        what: "Hone".into(),
        figure: request.angle_words(),
        words: vec![format!("Until {}.", UNTIL[0])],
        strokes_on: None,
    };
    Steps { of: name, steps: vec![set, hone, burr], cautions: Vec::new() }
}
