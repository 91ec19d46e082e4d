//! A setting that the rules refuse: its side view says so across the sheet, and rings what is in the way.

use kurbo::{Point, Rect, Size};

use super::{Drawn, Stand};
use crate::drawing::clash::around;
use crate::drawing::frame::rectangle;
use crate::drawing::style::{Fill, LARGE, Pen, SMALL, VALUE};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Text};
use crate::error;
use crate::lane::checks::{Finding, Gravity, Rule};
use crate::shape::font::{self, wrap};
use crate::shape::runs;
use crate::solve::contact;
use crate::terms::Arrangement;
use crate::views::figure::Figure;

/// The word that stands across the sheet.
const WORD: &str = "REFUSED";
/// Space between the band and what is next to it, mm.
const PAD: f64 = 3.0;
/// Space from one line of reasons to the next, mm.
const LEADING: f64 = VALUE * 1.5;
/// Capitals of the word behind the drawing, mm.
const STAMP: f64 = 30.0;
/// How far that word rises to the right, degrees.
const RISE: f64 = 20.0;
/// How far straight runs may leave its curves, mm.
const SAG: f64 = 0.05;
/// Radius of the ring round a place where something is in the way, mm.
const RING: f64 = 3.0;

/// The band at the top of a refused setting's sheet: the word and the reasons.
pub(super) struct Band {
    lines: Vec<String>,
    words_at: f64,
}

impl Band {
    /// The band of these reasons on a sheet `width` mm wide inside its frame; `None` where nothing is refused.
    pub(super) fn new(refusals: &[&Finding], width: f64) -> Option<Self> {
        let words_at = font::width(WORD, LARGE, true) + 3.0 * PAD;
        let wrapped = |f: &&Finding| wrap(&error::sentence(&f.message), VALUE, width - words_at - PAD);
        let lines: Vec<String> = refusals.iter().flat_map(wrapped).collect();
        (!lines.is_empty()).then_some(Self { lines, words_at })
    }

    /// Height on paper, with the space below, mm.
    pub(super) fn height(&self) -> f64 {
        self.box_height() + PAD
    }

    fn box_height(&self) -> f64 {
        (self.lines.len() as f64 * LEADING).max(LARGE) + 2.0 * PAD
    }

    /// Draws it along the top of the frame.
    pub(super) fn draw(&self, frame: Rect) -> Group {
        let mut band = Group::new("refused", "note");
        let corners = rectangle(frame.origin(), (frame.x1, frame.y0 + self.box_height()));
        band.path([corners], true, Pen::Wide, Fill::Half);
        let word = Text::new(frame.origin() + (PAD, PAD + LARGE), LARGE, Anchor::Start, WORD).bold();
        band.text(word);
        for (i, line) in self.lines.iter().enumerate() {
            let at = frame.origin() + (self.words_at, PAD + VALUE + i as f64 * LEADING);
            band.text(Text::new(at, VALUE, Anchor::Start, line.as_str()));
        }
        band
    }
}

/// The word across the drawing in the middle of `room`, pale and behind it, no larger than goes there.
pub(super) fn stamp(room: Rect) -> Group {
    let drawn = |height: f64| {
        let text = Text::new(Point::ORIGIN, height, Anchor::Middle, WORD).bold().turned(-RISE);
        runs(&text.outlines(), SAG)
    };
    let full = around(drawn(STAMP).into_iter().flatten()).size();
    let least = room.size() - Size::new(2.0 * PAD, 2.0 * PAD);
    let fit = (least.width / full.width).min(least.height / full.height).clamp(0.0, 1.0);
    let contours = drawn(fit * STAMP);
    let by = room.center() - around(contours.iter().flatten().copied()).center();
    let mut stamp = Group::new("refused-stamp", "note");
    stamp.path(contours, true, Pen::None, Fill::Half);
    stamp.moved(by)
}

impl Drawn<'_> {
    /// What the rules refuse of the setting.
    pub(super) fn refusals(&self) -> Vec<&Finding> {
        self.lane.findings.iter().filter(|f| f.gravity == Gravity::Refusal).collect()
    }

    /// A ring round each place where something is in the way, as far as this view shows it.
    pub(super) fn collisions(&self, view: &View, figure: &Figure) -> Option<Group> {
        let places: Vec<Point> =
            self.refusals().iter().filter_map(|finding| self.place(finding.rule, figure)).collect();
        if places.is_empty() {
            return None;
        }
        let mut group = Group::new("collisions", "figure").with("places", places.len());
        for place in places {
            let at = view.at(place);
            group.circle(at, RING, Pen::Wide, Fill::None);
            group.cross(at, RING + SMALL / 2.0, Pen::Narrow);
        }
        Some(group)
    }

    /// Where a rule is broken, in the model: a point that this view shows, or `None`.
    fn place(&self, rule: Rule, figure: &Figure) -> Option<Point> {
        let section = figure.section();
        let low_end = || section.face_bottom.map(|bottom| figure.at((section.face_at(bottom), bottom)));
        match (rule, self.stand) {
            (Rule::HeelFirst, Stand::Stone | Stand::OwnStone(_)) | (Rule::TableSupport, Stand::Block { .. }) => {
                Some(figure.at(figure.heel()))
            }
            (Rule::StoneClearance, Stand::Stone | Stand::OwnStone(_)) | (Rule::FaceBearing, Stand::Block { .. }) => {
                low_end()
            }
            // Of a pair of rollers the gap shows only from above.
            (Rule::RollerUnderBlade, _) if self.guide.roller.arrangement == Some(Arrangement::Centre) => {
                Some(figure.at((0.0, section.roller_radius)))
            }
            (Rule::RollerStrikes, Stand::Block { .. }) => {
                let lane = self.lane;
                let (p, edge) = (lane.setting.projection, lane.edge_shape);
                let (x, _) = contact::axle_on_block(section, p, edge);
                Some(Point::new(x.max(0.0), -contact::thickness_limit(section, p, edge)))
            }
            (
                Rule::HeelFirst
                | Rule::TableSupport
                | Rule::StoneClearance
                | Rule::FaceBearing
                | Rule::RollerUnderBlade
                | Rule::RollerStrikes
                | Rule::BladeFit
                | Rule::BladeLength
                | Rule::Sharing
                | Rule::Room
                | Rule::Uncertain
                | Rule::LandAssumed
                | Rule::KnownSetting
                | Rule::Stone
                | Rule::Flex
                | Rule::Square
                | Rule::Block,
                _,
            ) => None,
        }
    }
}
