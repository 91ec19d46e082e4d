//! The side view of one setting: guide, roller, seat, face and blade to scale, on the stone or at the block, with the
//! measured lengths dimensioned. A wrong measurement should look wrong at a glance, and so should a refused setting.

mod honing;
mod refused;
mod setting;

use kurbo::{Point, Vec2};

use self::refused::Band;
use super::figure::Figure;
use crate::drawing::dimension::{End, Linear};
use crate::drawing::frame::{BARS_HEIGHT, Notes, TITLE_BLOCK, Title, check_bars, frame};
use crate::drawing::paper::{FIFTH, FULL, HALF, Paper, Scale, TWICE};
use crate::drawing::view::View;
use crate::drawing::{Group, Sheet, clash};
use crate::error;
use crate::guide::{Guide, Seat};
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

/// Draws the side view of `lane`; `fingerprint` is that of the job it comes from, if any.
pub fn sheet(
    guide: &Guide,
    fingerprint: Option<&str>,
    lane: &Lane,
    stand: Stand,
    size: Option<PaperSize>,
    projection: ProjectionAngle,
) -> Sheet {
    let size = size.unwrap_or(PaperSize::at_home(lane.request.written.first()));
    let paper = Paper::sheet(size, true);
    let mut best: Option<(usize, Sheet)> = None;
    for scale in [TWICE, FULL, HALF, FIFTH] {
        for places in places() {
            let seat = guide.seat_for(lane.request.seat).1;
            let sheet = Drawn { guide, fingerprint, seat, lane, stand, paper, scale, projection, places }.sheet();
            let clashes = clash::find(&sheet).len();
            if clashes == 0 {
                return sheet;
            }
            // Should nothing be clear (a guide of a most unusual shape), the sheet with the fewest overlaps serves.
            if best.as_ref().is_none_or(|(least, _)| clashes < *least) {
                best = Some((clashes, sheet));
            }
        }
    }
    best.expect("at least one scale was tried").1
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
}

/// Places for words, best first.
fn places() -> impl Iterator<Item = Places> {
    let bevels = [BevelWords::Inside, BevelWords::Behind, BevelWords::Ahead];
    let rollers = [RollerWords::Behind, RollerWords::Before, RollerWords::High, RollerWords::Low, RollerWords::Under];
    bevels.into_iter().flat_map(move |bevel| {
        rollers.into_iter().flat_map(move |roller| {
            [End::Second, End::First].into_iter().map(move |bottom| Places { bevel, roller, bottom })
        })
    })
}

struct Drawn<'a> {
    guide: &'a Guide,
    fingerprint: Option<&'a str>,
    seat: &'a Seat,
    lane: &'a Lane,
    stand: Stand,
    paper: Paper,
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

    fn sheet(&self) -> Sheet {
        let lane = self.lane;
        let section = lane.setting.section;
        let p = lane.projection();
        let figure = match self.stand {
            Stand::Stone => Figure::on_stone(section, p, lane.request.angle, lane.request.primary()),
            Stand::Block { .. } => {
                let axle = contact::axle_on_block(&section, p, lane.edge_shape);
                Figure::on_block(section, p, lane.request.angle, lane.request.primary(), axle)
            }
        };
        let kind = match self.stand {
            Stand::Stone => "Side view, honing",
            Stand::Block { .. } => "Side view, setting",
        };
        let corrected = if lane.correction.is_any() { "CORRECTED: " } else { "" };
        let request = &lane.request;
        let title = Title {
            title: format!("{corrected}{} {}, {} seat", request.label, request.angle_words(), request.seat),
            kind: kind.into(),
            guide: self.guide.name.clone(),
            fingerprint: self.fingerprint.map(str::to_string),
            scale: self.scale,
            projection: self.projection,
            tolerances: "as measured".into(),
            unit: lane.request.written.unit().into(),
            page: None,
        };
        let mut groups = frame(self.paper, &title);
        let bounds = self.paper.frame();
        let band = Band::new(&self.refusals(), bounds.width());
        // Drawn once to see how much room it takes, then in the middle of the space above the title block.
        let loose = self.figure_and_dimensions(&View::upright((0.0, 0.0), self.scale.factor), &figure);
        let extent = clash::extent(&loose);
        let bars = self.scale.factor == 1.0;
        let foot = TITLE_BLOCK.height + if bars { BARS_HEIGHT } else { 0.0 };
        let head = band.as_ref().map_or(0.0, Band::height);
        let middle = Point::new((bounds.x0 + bounds.x1) / 2.0, (bounds.y0 + head + bounds.y1 - foot) / 2.0);
        let origin = middle - extent.center().to_vec2();
        if let Some(band) = &band {
            groups.extend([refused::stamp(middle), band.draw(bounds)]);
        }
        groups.extend(self.figure_and_dimensions(&View::upright(origin, self.scale.factor), &figure));
        groups.extend(self.lower_left());
        if bars {
            groups.extend(check_bars((bounds.x0 + 6.0, bounds.y1 - foot)));
        }
        let refused = if band.is_some() { "REFUSED. " } else { "" };
        let title = format!("{refused}{kind}: {}", title.title);
        Sheet { title, paper: self.paper, scale: self.scale.name.into(), groups }
    }

    fn figure_and_dimensions(&self, view: &View, figure: &Figure) -> Vec<Group> {
        let mut groups = match self.stand {
            Stand::Stone => self.stone(view, figure),
            Stand::Block { edge, fence_height, overhang, foot_relief } => {
                self.block(view, edge, fence_height, overhang, foot_relief)
            }
        };
        groups.extend(figure.draw(view, "guide-"));
        match self.stand {
            Stand::Stone => {
                groups.push(Self::contacts(view, figure));
                groups.extend(self.honing_dimensions(view, figure));
            }
            Stand::Block { edge, fence_height, overhang, .. } => {
                groups.extend(self.setting_dimensions(view, figure, edge, fence_height));
                groups.push(self.overhang_dimension(view, edge, overhang));
            }
        }
        groups.extend(self.collisions(view, figure));
        groups
    }

    /// The notes, beside the title block.
    fn lower_left(&self) -> Vec<Group> {
        let (bounds, lane) = (self.paper.frame(), self.lane);
        let written = lane.request.written;
        let space = bounds.x1 - TITLE_BLOCK.width - bounds.x0 - 4.0;
        let top = bounds.y1 - TITLE_BLOCK.height + 1.5;
        let mut said: Vec<String> = match self.stand {
            Stand::Stone => {
                vec![format!(
                    "Solid lines: measured or calculated. Dashed lines: for illustration. In {}; N, M over the roller.",
                    written.unit()
                )]
            }
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
        said.push("Edges cut. Follow your tools' makers' instructions.".into());
        let notes = Notes::new(&said, space);
        // As high as the title block, or higher where they are more.
        let top = top.min(bounds.y1 - notes.height() - 1.5);
        vec![notes.draw((bounds.x0 + 2.0, top))]
    }
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
