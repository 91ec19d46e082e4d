//! Guide and blade from the side, to scale, wherever they stand.
//!
//! What was measured is drawn in full: roller, seat, face, blade. The body around it was not, and is dashed.

use kurbo::{Point, Vec2};

use crate::drawing::Group;
use crate::drawing::style::{Fill, Pen};
use crate::drawing::view::View;
use crate::solve::section::Section;
use crate::terms::Locates;

/// How long a micro-bevel is drawn, mm; its true length depends on the honing.
const MICRO: f64 = 1.0;
/// How far the body stands above the blade, mm.
const CLAMP: f64 = 7.0;

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
        let (along, Point { x: s, y: n }) = (Vec2::from_angle(self.turn), point.into());
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

    /// The micro-bevel's end in the guide frame, where there is one, and the heel: where the primary bevel meets the
    /// underside.
    fn bevels(&self) -> (Option<Point>, Point) {
        let edge = self.edge();
        let [back, underside] = self.blade_turns();
        let micro = (self.primary < self.angle)
            .then(|| step(edge, back + self.angle.to_radians(), MICRO.min(self.section.thickness)));
        let corner = micro.unwrap_or(edge);
        let bevel = back + self.primary.to_radians();
        let normal = Vec2::from_angle(underside).turn_90();
        let height = (corner - self.underside_at_edge()).dot(normal);
        (micro, step(corner, bevel, height / (bevel - underside).sin()))
    }

    /// The point of the underside across from the edge, square to the underside, in the guide frame.
    fn underside_at_edge(&self) -> Point {
        let [_, underside] = self.blade_turns();
        self.edge() - self.section.thickness * Vec2::from_angle(underside).turn_90()
    }

    /// The heel in the guide frame: where the primary bevel meets the underside.
    pub fn heel(&self) -> Point {
        self.bevels().1
    }

    /// Level of the middle of the blade's thickness at its end behind the guide, in the guide frame.
    pub(super) fn blade_middle(&self) -> f64 {
        (self.section.edge_level() + self.section.underside_level()) / 2.0
    }

    /// Corners of the blade in the guide frame, from the edge along the bevels to the heel, back to its end, and
    /// forward along the back.
    pub fn blade(&self) -> Vec<Point> {
        let [back, underside] = self.blade_turns();
        let (edge, base) = (self.edge(), self.underside_at_edge());
        let (micro, heel) = self.bevels();
        let end = self.rear() - 14.0;
        let mut outline = vec![edge];
        outline.extend(micro);
        outline.push(heel);
        outline.push(step(base, underside, (base.x - end) / underside.cos()));
        outline.push(step(edge, back, (edge.x - end) / back.cos()));
        outline
    }

    fn outline(&self, view: &View, corners: impl IntoIterator<Item = impl Into<Point>>) -> Vec<Point> {
        view.all(corners.into_iter().map(|corner| self.at(corner)))
    }

    /// Draws guide and blade, body first.
    pub fn draw(&self, view: &View, prefix: &str) -> Vec<Group> {
        let s = &self.section;
        let id = |name: &str| format!("{prefix}{name}");
        let mut body = Group::new(id("body"), "figure");
        let (low, top, rear) = (self.face_low(), self.top(), self.rear());
        let front = |n: f64| (s.face_at(n), n);
        let outline =
            [front(low), front(top), (rear, top), (rear, 0.1 * s.roller_radius), (0.0, -0.45 * s.roller_radius)];
        body.path([self.outline(view, outline)], true, Pen::Dashed, Fill::Pale);

        let mut roller = Group::new(id("roller"), "figure").with("radius", s.roller_radius);
        let centre = view.at(self.axle);
        let radius = s.roller_radius * view.scale;
        roller.circle(centre, radius, Pen::Wide, Fill::Tint);
        roller.cross(centre, radius + 2.0, Pen::Chain);

        let mut blade = Group::new(id("blade"), "figure").with("thickness", s.thickness);
        blade.path([self.outline(view, self.blade())], true, Pen::Wide, Fill::Paper);

        let mut seat = Group::new(id("seat"), "figure").with("height", s.seat_height);
        let end = |s: f64, n: f64| view.at(self.at((s, n)));
        // A groove's seat is its centre line, a flat one the surface itself.
        let pen = if s.locates == Locates::Sides { Pen::Chain } else { Pen::Wide };
        seat.line(end(rear, s.seat_height), end(s.face_at(s.seat_height), s.seat_height), pen);

        let mut face = Group::new(id("face"), "figure").with("axle-to-face", s.axle_to_face);
        face.line(end(s.face_at(low), low), end(s.face_at(top), top), Pen::Wide);
        vec![body, roller, blade, seat, face]
    }
}

/// The point `length` mm behind another along the direction `turn`, radians.
fn step(from: Point, turn: f64, length: f64) -> Point {
    from - length * Vec2::from_angle(turn)
}
