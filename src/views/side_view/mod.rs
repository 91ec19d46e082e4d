//! The side view of one setting: guide, roller, seat, face and blade to scale, on the stone or at the block, with the
//! measured lengths dimensioned. A wrong measurement should look wrong at a glance, and so should a refused setting.
//!
//! * `honing`, `setting`: the view on the stone and the one at the block; `refused`: what a refused setting bears.
//! * `detail`: a small micro-bevel, enlarged; `numbers`: the setting and what it was worked out from, as tables.
//! * `arranged`: how all that goes on the sheet, the view as large as it can be.

mod arranged;
mod card;
mod detail;
mod honing;
mod numbers;
mod refused;
mod setting;
mod stone;

use kurbo::{Point, Rect, Vec2};

use self::detail::LetterAt;

use super::figure::Figure;
use crate::drawing::dimension::{End, Linear};
use crate::drawing::filled::{LEAST, filled};
use crate::drawing::frame::Title;
use crate::drawing::paper::{FIFTH, FIVE_TIMES, FULL, HALF, Paper, Scale, TENTH, TWICE};
use crate::drawing::view::View;
use crate::drawing::{Group, Sheet, clash};
use crate::error;
use crate::guide::{Guide, Seat};
use crate::honing::stone::Stone;
use crate::lane::checks::Rule;
use crate::lane::{BlockEdge, Lane, notes};
use crate::layout::OVERHANG_MARGIN;
use crate::solve::contact;
use crate::terms::{PaperSize, ProjectionAngle};
use crate::units::{COARSE, FINE};

/// What a side view shows the guide on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stand {
    /// The stone, as when honing.
    Stone,
    /// A stone whose length, shape or film is stated.
    OwnStone(Stone),
    /// The block's edge, as when setting the blade.
    Block {
        /// The block's edge.
        edge: BlockEdge,
        /// Height of the fence above the table, mm.
        fence_height: f64,
        /// Overhang over the bench, mm.
        overhang: f64,
        /// Whether there is a groove at the fence's foot.
        foot_relief: bool,
    },
}

/// The job that a side view belongs to, as its title block says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OfJob<'a> {
    /// The job's fingerprint.
    pub fingerprint: &'a str,
    /// The job's date, if it has one.
    pub date: Option<&'a str>,
    /// Which of several blocks the lane is on, and how many there are; `None` of one alone.
    pub block: Option<[usize; 2]>,
}

/// Scales of the view, the largest first.
const SCALES: [Scale; 6] = [FIVE_TIMES, TWICE, FULL, HALF, FIFTH, TENTH];
/// How many choices of places for words without a clash are tried at a scale.
const TRIED: usize = 4;

/// Draws the side view of `lane`, at the largest scale at which it goes on the paper, or on a smaller paper where it
/// would be lost on A3; `job` is the one that it comes from, if any.
pub fn sheet(
    guide: &Guide,
    job: Option<OfJob<'_>>,
    lane: &Lane,
    stand: Stand,
    size: Option<PaperSize>,
    projection: ProjectionAngle,
) -> Sheet {
    let home = PaperSize::at_home(lane.request.written.first());
    let on = |size| on_paper(guide, job, lane, stand, size, projection);
    let sheet = on(size.unwrap_or(home));
    // A3 where it is asked for, but not for what is lost on it.
    if size == Some(PaperSize::A3) && filled(&sheet) < LEAST {
        let smaller = on(home);
        if clash::find(&smaller).len() <= clash::find(&sheet).len() {
            return smaller;
        }
    }
    sheet
}

fn on_paper(
    guide: &Guide,
    job: Option<OfJob<'_>>,
    lane: &Lane,
    stand: Stand,
    size: PaperSize,
    projection: ProjectionAngle,
) -> Sheet {
    let seat = guide.seat_for(lane.request.seat).1;
    let drawn = |scale, places| Drawn { guide, job, seat, lane, stand, scale, projection, places };
    let papers = [true, false].map(|landscape| {
        let paper = Paper::sheet(size, landscape);
        (paper, drawn(FULL, Places::FIRST).rooms(paper))
    });
    // Should nothing be clear (a guide of a most unusual shape), the sheet with the fewest overlaps serves.
    let mut best: Option<(usize, Sheet)> = None;
    // A sheet on which not all goes that may stand beside the view bears what it must.
    for beside in [Beside::All, Beside::Least] {
        for scale in SCALES {
            let view = View::upright((0.0, 0.0), scale.factor);
            let standing = drawn(scale, Places::FIRST).standing(&view);
            let extent = clash::extent(&standing);
            // What does not go without its dimensions does not with them.
            if papers.iter().all(|(_, rooms)| !rooms.takes(extent)) {
                continue;
            }
            let mut tried = 0;
            for places in places() {
                let drawn = drawn(scale, places);
                let dimensions = drawn.dimensions(&view);
                let extent = extent.union(clash::extent(&dimensions));
                if papers.iter().all(|(_, rooms)| !rooms.takes(extent)) {
                    continue;
                }
                let figure = [standing.clone(), dimensions].concat();
                let overlaps = clash::among(&figure).len();
                if best.as_ref().is_some_and(|(least, _)| *least <= overlaps) {
                    continue;
                }
                for (paper, rooms) in &papers {
                    let Some(sheet) = drawn.sheet(*paper, rooms, &figure, extent, beside) else { continue };
                    let clashes = clash::find(&sheet).len();
                    if clashes == 0 {
                        return sheet;
                    }
                    if best.as_ref().is_none_or(|(least, _)| clashes < *least) {
                        best = Some((clashes, sheet));
                    }
                }
                tried += usize::from(overlaps == 0);
                if tried == TRIED {
                    break;
                }
            }
        }
    }
    best.map(|(_, sheet)| sheet).unwrap_or_else(|| {
        let drawn = drawn(TENTH, Places::FIRST);
        let view = View::upright((0.0, 0.0), TENTH.factor);
        let [(paper, rooms), _] = &papers;
        drawn.bare_sheet(*paper, rooms, [drawn.standing(&view), drawn.dimensions(&view)].concat())
    })
}

/// The view alone, for a screen: at the largest scale at which it is at most `widest` mm of paper wide, and the box around
/// it. Where no choice of places for its words is clear, the one with the fewest overlaps.
pub fn alone(guide: &Guide, lane: &Lane, stand: Stand, widest: f64) -> (Vec<Group>, Rect) {
    let seat = guide.seat_for(lane.request.seat).1;
    let drawn = |scale: Scale, places| {
        let drawn =
            Drawn { guide, job: None, seat, lane, stand, scale, projection: ProjectionAngle::default(), places };
        let view = View::upright((0.0, 0.0), scale.factor);
        let mut groups = [drawn.standing(&view), drawn.dimensions(&view)].concat();
        // The detail that it rings is not shown.
        groups.retain(|group| group.id != detail::RING);
        groups
    };
    let fits = |scale: &Scale| clash::extent(&drawn(*scale, Places::FIRST)).width() <= widest;
    let scale = SCALES.into_iter().find(fits).unwrap_or(TENTH);
    let mut best: Option<(usize, Vec<Group>)> = None;
    for places in places() {
        let groups = drawn(scale, places);
        let overlaps = clash::among(&groups).len();
        let is_better = best.as_ref().is_none_or(|(least, _)| overlaps < *least);
        if is_better {
            best = Some((overlaps, groups));
        }
        if overlaps == 0 {
            break;
        }
    }
    let groups = best.map_or_else(|| drawn(scale, Places::FIRST), |(_, groups)| groups);
    let extent = clash::extent(&groups);
    (groups, extent)
}

/// Guide, blade and what they stand on, without any dimension, and the box around them, for a small picture.
pub fn undimensioned(guide: &Guide, lane: &Lane, stand: Stand, widest: f64) -> (Vec<Group>, Rect) {
    let (groups, _) = alone(guide, lane, stand, widest);
    let groups: Vec<Group> = groups.into_iter().filter(|group| group.class == "figure").collect();
    let extent = clash::extent(&groups);
    (groups, extent)
}

/// What stands beside a view.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Beside {
    /// Notes, check bars, tables and the detail.
    All,
    /// Notes and check bars.
    Least,
}

/// Where the words of the bevel angle stand.
#[derive(Debug, Clone, Copy, PartialEq)]
enum BevelWords {
    /// Between stone and blade, inside the arc.
    Inside,
    /// Between stone and blade, behind the arc.
    Behind,
    /// In front of the edge.
    Ahead,
}

/// On which side of the roller its diameter is written.
#[derive(Debug, Clone, Copy, PartialEq)]
enum RollerWords {
    /// Behind it, low.
    Behind,
    /// Before it, low, under the guide.
    Before,
    /// Behind it, above the axle.
    High,
    /// Behind it, close to the stone.
    Low,
    /// Below the stone.
    Under,
}

/// Where the words stand that have a choice.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Places {
    bevel: BevelWords,
    roller: RollerWords,
    bottom: End,
    /// Whether columns of dimensions stand further apart than is usual.
    apart: bool,
}

impl Places {
    /// The best choice.
    const FIRST: Self =
        Self { bevel: BevelWords::Inside, roller: RollerWords::Behind, bottom: End::Second, apart: false };
}

/// Places for words, best first.
fn places() -> impl Iterator<Item = Places> {
    let bevels = [BevelWords::Inside, BevelWords::Behind, BevelWords::Ahead];
    let rollers = [RollerWords::Behind, RollerWords::Before, RollerWords::High, RollerWords::Low, RollerWords::Under];
    [false, true].into_iter().flat_map(move |apart| {
        bevels.into_iter().flat_map(move |bevel| {
            rollers.into_iter().flat_map(move |roller| {
                [End::Second, End::First].into_iter().map(move |bottom| Places { bevel, roller, bottom, apart })
            })
        })
    })
}

struct Drawn<'a> {
    guide: &'a Guide,
    job: Option<OfJob<'a>>,
    seat: &'a Seat,
    lane: &'a Lane,
    stand: Stand,
    scale: Scale,
    projection: ProjectionAngle,
    places: Places,
}

/// How far the bench is drawn below the block, mm of paper.
const BENCH: f64 = 7.0;
/// Space between rows of dimension lines, mm of paper.
const STEP: f64 = 9.0;

impl Drawn<'_> {
    /// A length as it is dimensioned.
    fn bare(&self, mm: f64) -> String {
        self.lane.request.written.fixed(mm, FINE).to_string()
    }

    /// Guide and blade where they stand.
    fn figure(&self) -> Figure {
        let lane = self.lane;
        let (section, p, request) = (lane.setting.section, lane.projection(), &lane.request);
        match self.stand {
            Stand::Stone | Stand::OwnStone(_) => Figure::on_stone(section, p, request.angle, request.primary()),
            Stand::Block { .. } => {
                let axle = contact::axle_on_block(&section, p, lane.edge_shape);
                Figure::on_block(section, p, request.angle, request.primary(), axle)
            }
        }
    }

    fn kind(&self) -> &'static str {
        match self.stand {
            Stand::Stone | Stand::OwnStone(_) => "Side view, honing",
            Stand::Block { .. } => "Side view, setting",
        }
    }

    fn title(&self) -> Title {
        let (lane, request) = (self.lane, &self.lane.request);
        let corrected = if lane.correction.is_any() { "CORRECTED: " } else { "" };
        Title {
            title: format!("{corrected}{} {}, {} seat", request.label, request.angle_words(), request.seat),
            kind: self.kind().into(),
            guide: self.guide.name.clone(),
            fingerprint: self.job.map(|job| job.fingerprint.to_string()),
            block: self.job.and_then(|job| job.block),
            page: [1, 1],
            scale: self.scale,
            projection: self.projection,
            tolerances: "as measured".into(),
            unit: request.written.unit().into(),
            date: self.job.and_then(|job| job.date).map(str::to_string),
        }
    }

    /// Guide and blade and what they stand on, wherever the words are.
    fn standing(&self, view: &View) -> Vec<Group> {
        let figure = &self.figure();
        let mut groups = match self.stand {
            Stand::Stone => self.stone(view, figure),
            Stand::OwnStone(own) => self.own_stone(view, figure, &own),
            Stand::Block { edge, fence_height, overhang, foot_relief } => {
                self.block(view, edge, fence_height, overhang, foot_relief)
            }
        };
        groups.extend(figure.draw_subject(view, "guide-"));
        groups
    }

    /// What is drawn over that: the dimensions, and what is ringed.
    fn dimensions(&self, view: &View) -> Vec<Group> {
        let figure = &self.figure();
        let mut groups = Vec::new();
        match self.stand {
            Stand::Stone | Stand::OwnStone(_) => {
                groups.push(Self::contacts(view, figure));
                groups.extend(self.honing_dimensions(view, figure));
                if let Stand::OwnStone(own) = self.stand {
                    groups.extend(self.own_stone_dimensions(view, figure, &own));
                }
                let words_ahead = self.places.bevel == BevelWords::Ahead;
                let letter = if words_ahead { LetterAt::Below } else { LetterAt::Ahead };
                groups.extend(detail::ring(view, figure, letter));
            }
            Stand::Block { edge, fence_height, overhang, .. } => {
                groups.extend(self.setting_dimensions(view, figure, edge, fence_height));
                groups.push(self.overhang_dimension(view, edge, overhang));
            }
        }
        groups.extend(self.collisions(view, figure));
        groups
    }

    /// What is said beside the view.
    fn notes(&self) -> Vec<String> {
        let lane = self.lane;
        let written = lane.request.written;
        let mut said: Vec<String> = match self.stand {
            Stand::Stone | Stand::OwnStone(_) => vec![
                "Full lines: measured or calculated. Lines with two dots: for illustration. In round brackets: follows from \
                 the other sizes."
                    .into(),
            ],
            Stand::Block { overhang, .. } => vec![
                format!(
                    "Let the block stick out {} or more past the bench, held down.",
                    written.more(overhang.max(OVERHANG_MARGIN), COARSE).said()
                ),
                "Remove the burr. Slide the blade up to the fence.".into(),
            ],
        };
        let level = notes::level(lane.request.roller_level.mm, |mm| written.size(mm));
        said.extend(level.map(|words| error::sentence(&words)));
        if let Stand::OwnStone(_) = self.stand {
            let of_stone = lane.findings.iter().filter(|f| f.rule == Rule::Stone);
            said.extend(of_stone.map(|f| error::sentence(&f.said())));
        }
        said.extend(self.about_numbers());
        said.push("Edges cut. Follow your tools' makers' instructions.".into());
        said
    }
}

/// The words of an auxiliary dimension, which follows from others: in round brackets (ISO 129-1, from memory).
fn auxiliary(words: &str) -> String {
    format!("({words})")
}

/// A dimension of two points of the model, drawn through a point of the sheet.
fn drawn_between(
    view: &View,
    ends: [impl Into<Point>; 2],
    through: impl Into<Point>,
    along: impl Into<Vec2>,
    words: String,
) -> Linear {
    Linear { outside: End::First, ..Linear::new(ends.map(|e| view.at(e)), through, along, words) }
}
