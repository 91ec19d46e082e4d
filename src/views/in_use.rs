//! A small figure of a lane in use: the guide with its blade, the edge, the fence, which lane, and how the block or jig
//! is held. It is drawn to scale, at whatever scale its room takes.

use kurbo::{Point, Rect, Size};

use super::figure::{Figure, GROUND, ground};
use crate::drawing::clash::{among, around, extent};
use crate::drawing::style::{ARROW, Fill, Pen, SMALL};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Text};
use crate::lane::{Lane, Member};
use crate::shape::font;
use crate::solve::contact;

/// How a block or jig is held while a blade is set. Lengths are mm, from the edge in use inward.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// Clamped down anywhere on the bench: it is thicker than the roller is low.
    Anywhere,
    /// Clamped down so that it sticks out past the front of the bench by as much.
    Overhanging(f64),
    /// By a cleat that hangs against the front of the bench.
    Cleat {
        /// Where the cleat begins and ends; the bench begins where it ends.
        x: [f64; 2],
        /// How far it reaches down.
        height: f64,
    },
}

impl Held {
    /// Where the bench begins.
    fn bench(self) -> f64 {
        match self {
            Held::Anywhere => 0.0,
            Held::Overhanging(out) => out,
            Held::Cleat { x, .. } => x[1],
        }
    }

    /// The cleat, where there is one: its extent, and how far it reaches down.
    fn cleat(self) -> Option<([f64; 2], f64)> {
        match self {
            Held::Cleat { x, height } => Some((x, height)),
            Held::Anywhere | Held::Overhanging(_) => None,
        }
    }
}

/// What a guide is set on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Support {
    /// Thickness of the board, mm.
    pub thickness: f64,
    /// Height of the fences above the table, mm.
    pub fence_height: f64,
    /// How it is held.
    pub held: Held,
}

/// A lane in use.
#[derive(Debug, Clone, PartialEq)]
pub struct InUse {
    sign: String,
    figure: Figure,
    fence: f64,
    support: Support,
}

/// How much of the raised middle behind a fence is drawn, mm.
const MIDDLE: f64 = 22.0;
/// Height of the lane's sign on it, as a share of the height of board and fence.
const SIGN: f64 = 0.55;
/// Width of the middle by that of the sign.
const AROUND_SIGN: f64 = 1.5;
/// The largest scale, and the smallest that is tried.
const SCALES: [f64; 2] = [1.0, 0.1];
/// From one scale that is tried to the next.
const SMALLER: f64 = 0.96;
/// Space between words and lines, mm of paper.
const CLEAR: f64 = 0.9;
/// Length of the arrow of a clamp, mm of paper.
const PRESS: f64 = ARROW + 1.5;

impl InUse {
    /// The lane with one of the blades of a kit that share it.
    pub fn of_member(lane: &Lane, member: &Member, support: Support) -> Self {
        let (section, request) = (member.section, &member.request);
        let out = crate::lane::projection_at(member, lane);
        let axle = contact::axle_on_block(&section, out, lane.edge_shape);
        let figure = Figure::on_block(section, out, request.angle, request.primary(), axle);
        Self { sign: lane.request.sign(), figure, fence: lane.finished(), support }
    }

    /// Height of the sign, mm of the model, at a scale: on paper it is [`SMALL`] or higher.
    fn sign_height(&self, k: f64) -> f64 {
        (SIGN * (self.support.thickness + self.support.fence_height)).max(SMALL / k)
    }

    /// Where the drawn block ends, mm from the edge.
    fn right(&self, k: f64) -> f64 {
        self.fence + MIDDLE.max(AROUND_SIGN * font::width(&self.sign, self.sign_height(k), true))
    }

    /// The box around all that is drawn to scale, mm of the model, `y` up from the table.
    fn extent(&self, k: f64) -> Rect {
        let (f, s) = (&self.figure, &self.support);
        let body = [(f.rear(), f.top()), (f.section().axle_to_face, f.top()), (f.rear(), f.face_low())];
        let guide = f.blade().into_iter().chain(body.map(Point::from)).map(|p| f.at(p));
        let (axle, r) = (f.at((0.0, 0.0)), f.section().roller_radius);
        let low = s.held.cleat().map_or(0.0, |(_, height)| height);
        let block = [(0.0, -s.thickness - low), (self.right(k), s.fence_height)].map(Point::from);
        around(guide.chain([axle - (r, r), axle + (r, r)]).chain(block))
    }

    /// Draws it, as large as `room` mm of paper take it with its words, in the middle of that room, whose upper left corner
    /// is at `at`; the ids of its groups begin with `prefix`.
    pub fn draw(&self, at: impl Into<Point>, room: Size, prefix: &str) -> Vec<Group> {
        let fits = |groups: &[Group]| {
            let all = extent(groups).size();
            all.width <= room.width && all.height <= room.height
        };
        let [largest, smallest] = SCALES;
        let scales = std::iter::successors(Some(largest), |k| Some(k * SMALLER)).take_while(|k| *k >= smallest);
        let mut fitting = scales.map(|k| self.drawn(k, prefix)).filter(|groups| fits(groups)).peekable();
        // Where words meet at every scale, it is at least as large as it goes.
        let largest = fitting.peek().cloned();
        let clear = fitting.find(|groups| among(groups).is_empty()).or(largest);
        let groups = clear.unwrap_or_else(|| self.drawn(smallest, prefix));
        let place = Rect::from_origin_size(at, room).center() - extent(&groups).center();
        groups.into_iter().map(|group| group.moved(place)).collect()
    }

    /// Draws it at a scale, the edge at the origin.
    fn drawn(&self, k: f64, prefix: &str) -> Vec<Group> {
        let all = self.extent(k);
        let view = View::upright((0.0, 0.0), k);
        let Support { thickness: t, fence_height, held } = self.support;
        let id = |name: &str| format!("{prefix}{name}");

        let right = self.right(k);
        let mut bench = Group::new(id("bench"), "figure");
        let front = view.at((held.bench(), -t));
        bench.line(front, view.at((right, -t)), Pen::DoubleDot);
        bench.line(front, front + (0.0, GROUND), Pen::DoubleDot);
        ground(&mut bench, front, view.at((right, -t)));

        let mut block = Group::new(id("block"), "figure").with("lane", &self.sign).with("fence", self.fence);
        if let Some(([from, to], height)) = held.cleat() {
            let corners = [(from, -t), (to, -t), (to, -t - height), (from, -t - height)];
            block.path([view.all(corners)], true, Pen::Wide, Fill::Tint);
        }
        let (fence, top) = (self.fence, fence_height);
        let corners = [(0.0, -t), (0.0, 0.0), (fence, 0.0), (fence, top), (right, top), (right, -t)];
        block.path([view.all(corners)], true, Pen::Wide, Fill::Tint);
        let sign = Text::new((0.0, 0.0), k * self.sign_height(k), Anchor::Middle, self.sign.as_str()).bold();
        // What hangs below its baseline is part of it.
        let down = (sign.height - sign.descent()) / 2.0;
        let middle = view.at(((fence + right) / 2.0, (top - t) / 2.0));
        block.text(Text { at: middle + (0.0, down), ..sign });

        let mut groups = vec![bench, block];
        groups.extend(self.figure.draw(&view, prefix));
        groups.push(self.words(&view, &all, id("words")));
        groups
    }

    /// What points at edge and fence, and what holds the block.
    fn words(&self, view: &View, all: &Rect, id: String) -> Group {
        let Support { thickness: t, fence_height, .. } = self.support;
        let mut group = Group::new(id, "figure");
        // Above the guide, so that no word meets it however near the fence is.
        let above = view.at((0.0, all.y1)).y - CLEAR;
        let fence = view.at((self.fence, fence_height));
        group.line(fence, (fence.x, above - SMALL), Pen::Narrow);
        group.text(Text::new((fence.x - CLEAR, above), SMALL, Anchor::End, "fence"));
        let below = view.at((0.0, all.y0)).y.max(view.at((0.0, -t)).y + GROUND) + CLEAR + SMALL;
        let edge = view.at((0.0, -t));
        group.line(edge, (edge.x, below), Pen::Narrow);
        group.text(Text::new((edge.x + CLEAR, below), SMALL, Anchor::Start, "edge"));
        let tip = fence + (2.0, 0.0);
        group.line(tip - (0.0, PRESS), tip - (0.0, ARROW), Pen::Narrow);
        group.arrow(tip, (0.0, 1.0));
        group.text(Text::new(fence + (CLEAR, -PRESS - 1.5 * CLEAR), SMALL, Anchor::Start, "clamp"));
        group
    }
}
