//! Guide and blade from the side, to scale, wherever they stand.
//!
//! Where the guide is what a sheet is about, what was measured is drawn in full: roller, seat, face, blade. The body
//! around it was not, and is drawn in long dashes with two dots between. Beside a block or a jig the whole guide is an
//! adjacent part, and all of it is drawn so (ISO 128, from memory).

use kurbo::Point;

use crate::drawing::Group;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;
use crate::solve::section::Section;
use crate::terms::Locates;
use crate::trig::{Polar, Trig, toward};

/// How long a micro-bevel is drawn, mm; its true length depends on the honing.
pub const MICRO: f64 = 1.0;
/// How far the body stands above the blade, mm.
const CLAMP: f64 = 7.0;

/// How far the line that breaks off a blade strays to both sides, mm of paper.
const BREAK: f64 = 0.9;
/// Straight runs of that line.
const BREAK_RUNS: u32 = 16;
/// How far the blade is drawn behind the body, mm.
const TAIL: f64 = 14.0;
/// Depth of the hatching below a surface that something stands on, mm of paper.
pub const GROUND: f64 = 2.5;
/// From one stroke of that hatching to the next, mm of paper.
const GROUND_STEP: f64 = 2.5;

/// What the guide is on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    /// What the sheet is about.
    Subject,
    /// Beside what the sheet is about.
    Adjacent,
}

impl Role {
    /// The pen of what was measured.
    fn measured(self) -> Pen {
        match self {
            Role::Subject => Pen::Wide,
            Role::Adjacent => Pen::DoubleDot,
        }
    }
}

/// A guide with a blade in it, turned and moved to where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    section: Section<f64>,
    projection: f64,
    angle: f64,
    primary: f64,
    /// Axle's centre in the model.
    axle: Point,
    /// Turn of the seat in the model, radians, positive when it rises toward the edge.
    turn: f64,
}

impl Figure {
    /// On the stone: the honing surface is `y = 0` and the axle stands over `x = 0`. Angles in degrees.
    pub fn on_stone(section: Section<f64>, projection: f64, angle: f64, primary: f64) -> Self {
        let turn = -section.dip(angle.to_radians());
        Self { section, projection, angle, primary, axle: Point::new(0.0, section.axle_height()), turn }
    }

    /// On the block: the reference edge is `x = 0`, the table `y = 0`, the fence at `x > 0`. Angles in degrees.
    pub fn on_block(section: Section<f64>, projection: f64, angle: f64, primary: f64, axle: impl Into<Point>) -> Self {
        Self { section, projection, angle, primary, axle: axle.into(), turn: section.tilt() }
    }

    /// A point of the guide frame in the model.
    pub fn at(&self, point: impl Into<Point>) -> Point {
        let (along, Point { x: s, y: n }) = (toward(self.turn), point.into());
        self.axle + s * along + n * along.turn_90()
    }

    /// The section it was made of.
    pub fn section(&self) -> &Section<f64> {
        &self.section
    }

    /// The cutting edge in the guide frame.
    pub fn edge(&self) -> Point {
        Point::new(self.section.axle_to_face + self.projection, self.section.edge_level())
    }

    /// Rearmost point of the drawn body along the seat.
    pub fn rear(&self) -> f64 {
        let r = self.section.roller_radius;
        (-0.95 * r).min(self.section.axle_to_face - 2.2 * r)
    }

    /// Level of the drawn body's top.
    pub fn top(&self) -> f64 {
        self.section.edge_level().max(self.section.underside_level()) + CLAMP
    }

    /// Where the face begins, drawn: its measured lower end, else where the body is drawn to.
    pub(super) fn face_low(&self) -> f64 {
        self.section.face_bottom.unwrap_or(0.3 * self.section.underside_level())
    }

    /// Directions of the back and the underside in the guide frame, radians.
    fn blade_turns(&self) -> [f64; 2] {
        match self.section.locates {
            Locates::Underside => [self.section.taper, 0.0],
            Locates::Back => [0.0, -self.section.taper],
            Locates::Sides => {
                let back = self.section.land_taper / 2.0;
                [back, back - self.section.taper]
            }
        }
    }

    /// The micro-bevel's end in the guide frame, `None` where there is no micro-bevel.
    pub fn micro_bevel(&self) -> Option<Point> {
        self.bevels().0
    }

    /// The micro-bevel's end in the guide frame, where there is one, and the heel: where the primary bevel meets the
    /// underside.
    fn bevels(&self) -> (Option<Point>, Point) {
        let edge = self.edge();
        let [back, underside] = self.blade_turns();
        let micro = (self.primary < self.angle)
            .then(|| step(edge, back + self.angle.to_radians(), MICRO.min(self.section.thickness)));
        let corner = micro.unwrap_or(edge);
        let bevel = back + self.primary.to_radians();
        let normal = toward(underside).turn_90();
        let height = (corner - self.underside_at_edge()).dot(normal);
        (micro, step(corner, bevel, height / (bevel - underside).sine()))
    }

    /// The point of the underside across from the edge, square to the underside, in the guide frame.
    fn underside_at_edge(&self) -> Point {
        let [_, underside] = self.blade_turns();
        self.edge() - self.section.thickness * toward(underside).turn_90()
    }

    /// The heel in the guide frame: where the primary bevel meets the underside.
    pub fn heel(&self) -> Point {
        self.bevels().1
    }

    /// Level of the middle of the blade's thickness at its end behind the guide, in the guide frame.
    pub(super) fn blade_middle(&self) -> f64 {
        (self.section.edge_level() + self.section.underside_level()) / 2.0
    }

    /// Rearmost point of the drawn blade along the seat: it is broken off there.
    pub fn tail(&self) -> f64 {
        self.rear() - TAIL
    }

    /// Corners of the blade in the guide frame, from the edge along the bevels to the heel, back to where it is broken
    /// off, and forward along the back.
    pub fn blade(&self) -> Vec<Point> {
        let [back, underside] = self.blade_turns();
        let (edge, base) = (self.edge(), self.underside_at_edge());
        let (micro, heel) = self.bevels();
        let end = self.tail();
        let mut outline = vec![edge];
        outline.extend(micro);
        outline.push(heel);
        outline.push(step(base, underside, (base.x - end) / underside.cosine()));
        outline.push(step(edge, back, (edge.x - end) / back.cosine()));
        outline
    }

    fn outline(&self, view: &View, corners: impl IntoIterator<Item = impl Into<Point>>) -> Vec<Point> {
        view.all(corners.into_iter().map(|corner| self.at(corner)))
    }

    /// Draws guide and blade as adjacent parts, body first: beside a block or a jig, which the sheet is about.
    pub fn draw(&self, view: &View, prefix: &str) -> Vec<Group> {
        self.drawn(view, prefix, Role::Adjacent)
    }

    /// Draws guide and blade as what the sheet is about, body first.
    pub fn draw_subject(&self, view: &View, prefix: &str) -> Vec<Group> {
        self.drawn(view, prefix, Role::Subject)
    }

    fn drawn(&self, view: &View, prefix: &str, role: Role) -> Vec<Group> {
        let s = &self.section;
        let measured = role.measured();
        let id = |name: &str| format!("{prefix}{name}");
        let mut body = Group::new(id("body"), "figure");
        let (low, top, rear) = (self.face_low(), self.top(), self.rear());
        let front = |n: f64| (s.face_at(n), n);
        let outline =
            [front(low), front(top), (rear, top), (rear, 0.1 * s.roller_radius), (0.0, -0.45 * s.roller_radius)];
        body.path([self.outline(view, outline)], true, Pen::DoubleDot, Fill::Pale);

        let mut roller = Group::new(id("roller"), "figure").with("radius", s.roller_radius);
        let centre = view.at(self.axle);
        let radius = s.roller_radius * view.scale;
        roller.circle(centre, radius, measured, Fill::Tint);
        roller.cross(centre, radius + 2.0, Pen::Chain);

        let mut blade = Group::new(id("blade"), "figure").with("thickness", s.thickness);
        let corners = self.outline(view, self.blade());
        if let [.., low_end, high_end] = corners[..] {
            let broken = break_line(low_end, high_end);
            // The area first, from the edge round to the end of the back; then its outline, open where it is broken off.
            let mut area = corners.clone();
            area.splice(area.len() - 1.., broken.iter().skip(1).copied());
            blade.path([area], true, Pen::None, Fill::Paper);
            let mut outline = corners;
            outline.rotate_right(1);
            blade.path([outline], false, measured, Fill::None);
            blade.path([broken], false, Pen::Narrow, Fill::None);
        }

        let mut seat = Group::new(id("seat"), "figure").with("height", s.seat_height);
        let end = |s: f64, n: f64| view.at(self.at((s, n)));
        // A groove's seat is its centre line, a flat one the surface itself.
        let pen = if s.locates == Locates::Sides { Pen::Chain } else { measured };
        seat.line(end(rear, s.seat_height), end(s.face_at(s.seat_height), s.seat_height), pen);

        let mut face = Group::new(id("face"), "figure").with("axle-to-face", s.axle_to_face);
        face.line(end(s.face_at(low), low), end(s.face_at(top), top), measured);
        vec![body, roller, blade, seat, face]
    }
}

/// The point `length` mm behind another along the direction `turn`, radians.
fn step(from: Point, turn: f64, length: f64) -> Point {
    from - length * toward(turn)
}

/// A line as if drawn by hand from one point of the sheet to another, at which a part is broken off (ISO 128, from
/// memory).
pub fn break_line(from: Point, to: Point) -> Vec<Point> {
    let (across, length) = (to - from, (to - from).size());
    if length == 0.0 {
        return vec![from, to];
    }
    let aside = across.turn_90() / length * BREAK.min(length / 4.0);
    let wave = |i: u32| {
        let t = f64::from(i) / f64::from(BREAK_RUNS);
        let swing = (std::f64::consts::TAU * t).sine();
        from + t * across + swing * aside
    };
    let inner = (1..BREAK_RUNS).map(wave);
    std::iter::once(from).chain(inner).chain([to]).collect()
}

/// Hatches below a level line of the sheet from `left` to `right`: something stands on it, and goes on below.
pub fn ground(group: &mut Group, left: Point, right: Point) {
    let strokes = ((right.x - left.x - GROUND) / GROUND_STEP).floor().max(0.0) as u32;
    for i in 0..=strokes {
        let at = left + (GROUND + f64::from(i) * GROUND_STEP, 0.0);
        if at.x <= right.x {
            group.line(at, at + (-GROUND, GROUND), Pen::Narrow);
        }
    }
}
