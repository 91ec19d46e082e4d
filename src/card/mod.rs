//! What is needed at the stones for one blade: its lanes, its abrasives with their strokes, camber, burr, and when the
//! primary bevel is due.

pub mod files;
pub(crate) mod sheets;
pub mod steps;

use crate::cores;
use crate::error;
use crate::guide::Guide;
use crate::job::Job;
use crate::kit::advice::{Advice, FlagKind};
use crate::kit::drift::Drift;
use crate::kit::report::land_warning;
use crate::kit::{Kit, KitBlade};
use crate::lane::{self, Bevel, Lane, Member, NoLane, notes};
use crate::lanes::LaneSet;
use crate::layout::{OVERHANG_MARGIN, usual_fence_height};
use crate::log::Log;
use crate::solve::contact;
use crate::stones::bevel::change::Begins;
use crate::stones::bevel::micro::{self, Habit, Regrind};
use crate::stones::bevel::{self, Change};
use crate::stones::camber::curve::Curve;
use crate::stones::camber::rate;
use crate::stones::camber::rock::{self, USUAL_FINGER};
use crate::stones::camber::strokes::{self, BY_HAND, Bench, Kernel, Place, Rounds};
use crate::stones::grits::{self, Grade, Step, abrasive};
use crate::terms::{Steel, Use};
use crate::trig::Trig;
use crate::units::{Written, short};
use crate::views::in_use::{Held, InUse, Support};

/// A blade's card.
#[derive(Debug, Clone, PartialEq)]
pub struct Card {
    /// The user's name for the blade.
    pub blade: String,
    /// Its tool class.
    pub class: String,
    /// Width and thickness, mm.
    pub size: [f64; 2],
    /// The group of its steel.
    pub steel: Option<Steel>,
    /// What it is used for.
    pub uses: Vec<Use>,
    /// Primary bevel, then the micro-bevel where there is one.
    pub settings: Vec<Setting>,
    /// The abrasives in their order; none where the kit states none.
    pub steps: Vec<Step>,
    /// How they are used and cared for, by their kinds.
    pub care: Vec<&'static str>,
    /// What those took by the log, strokes by grade; none where nobody counted.
    pub counts: Vec<(Grade, u32)>,
    /// The present bevel made into the wanted one, where they differ.
    pub change: Option<Reshape>,
    /// The arc that its edge is wanted to have; `None` for a straight edge.
    pub curve: Option<Curve>,
    /// How its camber is made; `None` for a straight edge, and where no abrasive is known to make it on.
    pub camber: Option<Camber>,
    /// The bevels that no lane serves, and that are honed without the guide.
    pub freehand: Vec<Bevel>,
    /// When the primary bevel is due, where there is a micro-bevel.
    pub regrind: Option<Regrind>,
    /// What is unsafe for the edge, or must be done first.
    pub flags: Vec<String>,
    /// How far the roller's track lies above the honing surface, mm, negative below it.
    pub roller_level: f64,
    /// What of its lanes could not be checked.
    pub unchecked: Vec<String>,
}

/// A bevel and the lane that sets it.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Which bevel.
    pub bevel: Bevel,
    /// The lane's sign, as it stands on block and jig: of a kit its letter.
    pub lane: String,
    /// The angle wanted, degrees.
    pub wanted: f64,
    /// The angle that the lane sets for this blade, degrees.
    pub set: f64,
    /// The lane's fence distance, mm.
    pub fence: f64,
    /// How far the edge then stands out of the guide's face, mm.
    pub projection: f64,
    /// The blade in that lane.
    pub in_use: InUse,
}

/// A change of the primary bevel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reshape {
    /// Present and wanted bevel, degrees.
    pub angles: [f64; 2],
    /// Where the new bevel begins.
    pub begins: Begins,
    /// Steel to come off, mm³.
    pub steel: f64,
    /// How far the edge goes back, mm.
    pub recession: f64,
    /// How far the angle drifts if the blade stays clamped, where that matters.
    pub drift: Option<Drift>,
}

/// How a camber is made.
#[derive(Debug, Clone, PartialEq)]
pub struct Camber {
    /// The wanted arc.
    pub curve: Curve,
    /// How far the guide rocks for the corner, degrees.
    pub rock: f64,
    /// Whether the roller lets it, where its width is known and the guide is used.
    pub roller: Option<rock::Verdict>,
    /// The grade it is made on, and the bevel.
    pub on: (Grade, Bevel),
    /// The lane that sets that bevel; `None` where it is honed without the guide.
    pub lane: Option<String>,
    /// The grades after it, each of which goes over the edge with one of its rounds.
    pub later: Vec<Grade>,
    /// Finger places from the corner in.
    pub places: [Place; 4],
    /// Strokes at them.
    pub rounds: Rounds,
    /// How far the corner has gone back after the first round, mm: what to measure.
    pub after_first: f64,
}

impl Camber {
    /// How deep the arc is at the corners when the later grades take over, mm; they bring it to what is wanted.
    pub fn before_later(&self) -> f64 {
        self.curve.depth * (1.0 - self.rounds.left_to_later())
    }

    /// Whether it takes more strokes than one makes by hand.
    pub fn is_for_a_grinder(&self) -> bool {
        self.rounds.total() > BY_HAND
    }
}

/// The cards of a job's kit whose lanes are `set`, blade by blade; none where the lanes are no kit's.
pub fn cards(kit: &Kit, job: &Job, set: &LaneSet) -> Vec<Card> {
    let advice = set.kit.iter().flat_map(|planned| &planned.advice);
    let support = support(job, set);
    let advice: Vec<(usize, &Advice)> = advice.enumerate().collect();
    cores::each(&advice, 8, |(index, advice)| card(kit, *index, advice, &job.guide, set, support))
}

/// Thickness and height of a cleat whose own size is the block's or the jig's to know, mm.
const CLEAT: [f64; 2] = [20.0, 20.0];

/// What the guide is set on: the block of the lanes, held as it must be for the roller to pass the bench.
fn support(job: &Job, set: &LaneSet) -> Support {
    let most = |of: fn(&Lane) -> f64| set.lanes.iter().map(of).fold(0.0, f64::max);
    let thickness = set.edge.thickness;
    let out = most(|lane| lane.overhang) + OVERHANG_MARGIN;
    let held = if job.block.cleat || job.states_wood && job.wood.cleat {
        Held::Cleat { x: [out, out + CLEAT[0]], height: CLEAT[1] }
    } else if most(|lane| lane.roller_below_table) <= thickness {
        Held::Anywhere
    } else {
        Held::Overhanging(out)
    };
    let fence_height = job.block.fence_height.unwrap_or_else(|| usual_fence_height(&set.lanes));
    Support { thickness, fence_height, held }
}

/// The same cards with what their grades took by a log.
pub fn counted(cards: Vec<Card>, log: Option<&Log>) -> Vec<Card> {
    let Some(log) = log.map(Log::counts) else { return cards };
    let with = |card: Card| {
        let took = |step: &Step| Some((step.grade, log.usual(&card.blade, &step.grade)?));
        let counts = card.steps.iter().filter_map(took).collect();
        Card { counts, ..card }
    };
    cards.into_iter().map(with).collect()
}

fn card(kit: &Kit, index: usize, advice: &Advice, guide: &Guide, set: &LaneSet, support: Support) -> Card {
    let blade = &kit.blades[index];
    let size = [blade.width_in(guide), blade.blade.thickness.mm];
    let section = bevel::Blade::new(size[1], blade.blade.taper.degrees).ok();
    let [primary, micro] = [advice.primary.angle, advice.micro.angle];
    let change = blade.current.filter(|now| (now - primary).abs() > kit.tolerance);
    let has_micro = micro > primary + kit.tolerance;
    let settings = settings(index, set, support);
    let own = || set.lanes.iter().filter(|lane| lane.members.iter().any(|m| m.blade == index));
    let land = set.kit.as_ref().and_then(|planned| land_warning(blade, index, &planned.plan, set.written()));
    // That a bevel must be reground is said with the change itself.
    let flags = advice.flags.iter().filter(|f| f.kind != FlagKind::Regrind).map(|f| f.message.clone());
    let settings_of = |bevel| settings.iter().any(|s| s.bevel == bevel);
    let untouched = (has_micro && settings_of(Bevel::Micro) && !settings_of(Bevel::Primary))
        .then(|| format!("leave the primary bevel as it is, at {}°, and hone only the micro-bevel", short(primary, 2)));
    let freehand =
        set.left_out.iter().filter_map(|lane| without_guide(lane, &blade.name, set.written())).collect::<Vec<_>>();
    let untouched = untouched.filter(|_| freehand.is_empty());
    let freehand_bevels = set.left_out.iter().filter_map(|lane| left_out_bevel(lane, &blade.name)).collect();
    let mut clamped = set.lanes.iter().flat_map(|lane| lane.members.iter().map(move |m| (lane, m)));
    let of_primary = |(_, m): &(&Lane, &Member)| m.blade == index && m.bevel == Bevel::Primary;
    let drift = clamped.find(of_primary).and_then(|(lane, m)| {
        let out = projection(m, lane.fence(), lane.edge_shape);
        Drift::of_change(blade, primary, &m.section, out, kit.tolerance)
    });
    let camber = section
        .and_then(|section| Cambered { kit, advice, guide, section, settings: &settings }.camber(blade, size[0]));
    Card {
        blade: blade.name.clone(),
        class: blade.tool().into(),
        size,
        steel: blade.steel,
        uses: blade.uses.clone(),
        flags: freehand.into_iter().chain(untouched).chain(land).chain(flags).collect(),
        roller_level: own().map(|lane| lane.request.roller_level.mm).next().unwrap_or(0.0),
        unchecked: notes::unchecked(own()),
        settings,
        steps: grits::judge(&kit.grades()).map(|judged| judged.steps).unwrap_or_default(),
        care: abrasive::care(&kit.abrasives),
        counts: Vec::new(),
        change: change.and_then(|now| reshape(section?, [now, primary], size[0], drift)),
        curve: blade.curve(size[0], advice),
        camber,
        freehand: freehand_bevels,
        regrind: section.filter(|_| has_micro).and_then(|s| micro::regrind(&s, primary, micro, Habit::default()).ok()),
    }
}

/// The bevel of the blade that no lane serves.
fn left_out_bevel(lane: &NoLane, blade: &str) -> Option<Bevel> {
    match lane {
        NoLane::Unserved { name, bevel, .. } if name == blade => Some(*bevel),
        _ => None,
    }
}

/// How a bevel of the blade that no lane serves is honed, and why the guide does not set it.
fn without_guide(lane: &NoLane, blade: &str, written: Written) -> Option<String> {
    let NoLane::Unserved { name, bevel, angle, reach, .. } = lane else { return None };
    let how = match bevel {
        Bevel::Primary => "lay heel and edge flat on the stone, lock your wrists, and do not rock",
        Bevel::Micro => {
            "lay the primary bevel flat on the stone, raise the back until only the edge touches, and take a few light strokes"
        }
    };
    (name == blade).then(|| {
        format!(
            "hone the {} of {}° without the guide{}: {how}. Measure the length of the bevel, or check it with a gauge. The guide cannot set it: {}",
            bevel.name(),
            short(*angle, 2),
            lane::nearest_words(*angle, *reach),
            written.reworded(&error::causes(lane))
        )
    })
}

/// The lanes in which the blade at a place of the kit is a member.
fn settings(blade: usize, set: &LaneSet, support: Support) -> Vec<Setting> {
    let mut all: Vec<Setting> = Vec::new();
    for lane in &set.lanes {
        for member in lane.members.iter().filter(|m| m.blade == blade) {
            let fence = lane.finished();
            let Ok(set) = lane.angle_of(&member.section, fence) else { continue };
            let projection = projection(member, fence, lane.edge_shape);
            let Member { bevel, wanted, .. } = *member;
            let in_use = InUse::of_member(lane, member, support);
            all.push(Setting { bevel, lane: lane.request.sign(), wanted, set, fence, projection, in_use });
        }
    }
    all.sort_by_key(|s| s.bevel != Bevel::Primary);
    all
}

fn projection(member: &Member, fence: f64, edge: contact::EdgeShape) -> f64 {
    contact::projection_of_fence(&member.section, fence, edge).unwrap_or(fence)
}

fn reshape(section: bevel::Blade, angles: [f64; 2], width: f64, drift: Option<Drift>) -> Option<Reshape> {
    let change = Change::new(section, angles[0], angles[1]).ok()?;
    Some(Reshape {
        angles,
        begins: change.begins(),
        steel: change.area().ok()? * width,
        recession: change.recession().ok()?,
        drift,
    })
}

/// What a camber is planned from.
struct Cambered<'a> {
    kit: &'a Kit,
    advice: &'a Advice,
    guide: &'a Guide,
    section: bevel::Blade,
    settings: &'a [Setting],
}

impl Cambered<'_> {
    /// The camber on the grade that makes it best; `None` for a straight edge, or a kit without abrasives.
    fn camber(&self, blade: &KitBlade, width: f64) -> Option<Camber> {
        let curve = blade.curve(width, self.advice)?;
        let grades = 0..self.kit.abrasives.len();
        let mut made: Vec<Camber> = grades.filter_map(|index| self.on_grade(index, curve)).collect();
        let best = strokes::made_on(made.iter().map(|c| c.rounds.total()))?;
        Some(made.swap_remove(best))
    }

    fn on_grade(&self, index: usize, curve: Curve) -> Option<Camber> {
        let grades = self.kit.grades();
        let (grade, later) = grades.get(index..)?.split_first()?;
        let bevel = self.bevel(index);
        let angle = self.angle(bevel);
        // What a stroke on a grade takes the edge back, mm along the back.
        let back = |index: usize, grade: &Grade| {
            let bevel = self.bevel(index);
            let area = curve.width * self.worked(bevel, &curve)?;
            Some(rate::per_stroke(grade.grain(), area) / self.angle(bevel).to_radians().sine())
        };
        let here = back(index, grade)?;
        let each_later: Option<f64> = later.iter().enumerate().map(|(i, g)| Some(back(index + 1 + i, g)? / here)).sum();
        let per_stroke = here * angle.to_radians().sine();
        let bench = Bench { curve, angle, finger: USUAL_FINGER, kernel: Kernel::Stiff, per_stroke, later: each_later? };
        let plan = bench.plan().ok()?;
        let lane = self.settings.iter().find(|s| s.bevel == bevel).map(|s| s.lane.clone());
        // Without the guide no roller is in the way.
        let roller = lane.as_ref().and_then(|_| rock::judge(&curve, angle, &self.guide.roller, USUAL_FINGER));
        Some(Camber {
            curve,
            rock: rock::rock(&curve, angle).corner,
            roller: roller.map(|j| j.verdict),
            on: (*grade, bevel),
            lane,
            later: later.to_vec(),
            places: plan.places,
            rounds: plan.rounds,
            after_first: plan.after_first,
        })
    }

    /// The bevel that a grade hones: the coarsest the primary where a lane sets it, the others the micro-bevel where
    /// there is one.
    fn bevel(&self, index: usize) -> Bevel {
        let set = |bevel| self.settings.iter().any(|s| s.bevel == bevel);
        let has_micro = self.advice.micro.angle > self.advice.primary.angle + self.kit.tolerance;
        let primary = !has_micro || (index == 0 && (set(Bevel::Primary) || !set(Bevel::Micro)));
        if primary { Bevel::Primary } else { Bevel::Micro }
    }

    fn angle(&self, bevel: Bevel) -> f64 {
        match bevel {
            Bevel::Primary => self.advice.primary.angle,
            Bevel::Micro => self.advice.micro.angle,
        }
    }

    /// How much of the blade is honed, mm from the edge: all of the primary bevel; of the micro-bevel what there is of it
    /// with half of the camber made.
    fn worked(&self, bevel: Bevel, curve: &Curve) -> Option<f64> {
        let [primary, micro] = [Bevel::Primary, Bevel::Micro].map(|bevel| self.angle(bevel));
        let whole = self.section.bevel_length(primary).ok()?;
        match bevel {
            Bevel::Primary => Some(whole),
            Bevel::Micro => Some(micro::width(primary, micro, curve.depth / 2.0).ok()?.min(whole)),
        }
    }
}
