//! Pictures of solids in orthogonal axonometry (ISO 5456-3): hidden surfaces removed, lightly shaded, lettered on top.
//!
//! Solids are stacks of straight prisms. `faces` turns them so that the viewer looks along the third axis; from then
//! on everything lies on the paper, with a depth. `visible` leaves of every face what no face in front of it covers;
//! `lines` draws the edges of what is left. `corner` is a place with its depth. `relief` paints
//! lettering that is sunk into the highest level or stands on it; `seen` tells what is seen where.

mod corner;
mod faces;
mod lines;
mod relief;
mod seen;
mod visible;

#[cfg(test)]
mod tests;

use kurbo::{Affine, Point, Rect, Vec2};

pub use relief::Relief;
pub use seen::Seen;

use super::style::{Fill, Pen};
use super::{Group, Text, clash};
use crate::shape::runs;
use crate::trig::Trig;
use corner::{Corner, place};
use faces::{Scene, Side};
use visible::{Area, Shown};

/// How far straight runs may leave the curves of lettering, mm of the model.
const SAG: f64 = 0.01;

/// How much of a line of lettering must be seen for it to be drawn; the rest is rounding.
const WHOLE: f64 = 0.98;

/// From where a solid is seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Direction {
    /// Turn of the viewer around the vertical, degrees, counter-clockwise from above; at 0 `x` points to the right.
    pub azimuth: f64,
    /// How high above the horizon the viewer stands, degrees; below it when negative.
    pub elevation: f64,
}

impl Direction {
    /// All axes to one scale, 120° apart (ISO 5456-3): the elevation is the arc tangent of 1/√2.
    pub const ISOMETRIC: Self = Self { azimuth: 45.0, elevation: 35.264_389_682_754_654 };
    /// `x` and `z` to one scale and `y` to half of it, at about 7° and 42° (ISO 5456-3): the sines of azimuth and
    /// elevation are √2/4 and 1/3.
    pub const DIMETRIC: Self = Self { azimuth: 20.704_811_054_635_43, elevation: 19.471_220_634_490_69 };

    /// Whether the outside of a face, by its normal, looks toward the viewer.
    pub fn sees(self, normal: [f64; 3]) -> bool {
        dot(self.axes()[2], normal) > 0.0
    }

    /// Unit vectors to the right and down on the paper, and toward the viewer.
    fn axes(self) -> [[f64; 3]; 3] {
        let (sin_a, cos_a) = self.azimuth.to_radians().sine_cosine();
        let (sin_e, cos_e) = self.elevation.to_radians().sine_cosine();
        [[cos_a, sin_a, 0.0], [sin_e * sin_a, -sin_e * cos_a, -cos_e], [cos_e * sin_a, -cos_e * cos_a, sin_e]]
    }
}

/// A map from model mm to sheet mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axonometry {
    /// Where the model's origin lies on the sheet.
    pub origin: Point,
    /// Paper mm for one mm of the model, where it is not foreshortened.
    pub scale: f64,
    /// From where it is seen.
    pub direction: Direction,
}

impl Axonometry {
    /// A point of the model on the sheet.
    pub fn at(&self, p: [f64; 3]) -> Point {
        place(self.turned()(p))
    }

    /// Points of the model on the sheet.
    pub fn places(&self) -> impl Fn([f64; 3]) -> Point + use<> {
        let turned = self.turned();
        move |p| place(turned(p))
    }

    /// The box around a picture on the sheet, mm.
    pub fn extent(&self, bodies: &[Body]) -> Rect {
        let prisms = bodies.iter().flat_map(|b| &b.prisms);
        let corners = prisms.flat_map(|p| p.region.iter().flatten().flat_map(|c| p.z.map(|z| [c.x, c.y, z])));
        clash::around(corners.map(self.places()))
    }

    /// Points as their places on the sheet and their depths toward the viewer, mm of paper.
    fn turned(&self) -> impl Fn([f64; 3]) -> Corner + use<> {
        let ([right, down, toward], Self { origin, scale, .. }) = (self.direction.axes(), *self);
        move |p| [origin.x + scale * dot(right, p), origin.y + scale * dot(down, p), scale * dot(toward, p)]
    }
}

/// A straight prism on end. Prisms may touch but not enter each other.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Prism {
    /// Its plan, mm: outlines counter-clockwise around material, clockwise around holes.
    pub region: Vec<Vec<Point>>,
    /// Bottom and top, mm.
    pub z: [f64; 2],
    /// Lettering that lies on its top: places, heights and turns in its plan, seen from above, mm of the model.
    pub lettering: Vec<Text>,
}

/// Prisms that are one piece: faces that continue each other, flat or as facets of a curve, have no line between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// Unique on its sheet.
    pub id: String,
    /// Its parts.
    pub prisms: Vec<Prism>,
}

/// Draws `bodies`: first the group `ID-faces` of every body, then its edges and lettering in the group `ID`.
pub fn draw(bodies: &[Body], view: &Axonometry, class: &'static str) -> Vec<Group> {
    let scene = Scene::new(bodies, view);
    let shown = visible::seen(&scene);
    let mut lines = lines::lines_of(&scene, &shown, bodies.len()).into_iter();
    let shades = bodies.iter().enumerate().map(|(i, body)| shaded(&scene, &shown, i, &body.id, class));
    let mut groups: Vec<Group> = shades.collect();
    for (i, body) in bodies.iter().enumerate() {
        let mut group = Group::new(&body.id, class)
            .with("azimuth", view.direction.azimuth)
            .with("elevation", view.direction.elevation)
            .with("scale", view.scale);
        for run in lines.next().unwrap_or_default() {
            group.path([run.points], run.closed, run.pen, Fill::None);
        }
        letter(&mut group, &scene, &shown, i, bodies, view);
        groups.push(group);
    }
    groups
}

/// What is seen of a body, in three shades as if lit from the upper left.
fn shaded(scene: &Scene, shown: &Shown, body: usize, id: &str, class: &'static str) -> Group {
    let mut group = Group::new(format!("{id}-faces"), class);
    for shade in [Fill::Lit, Fill::Half, Fill::Shade] {
        let alike = scene.faces.iter().zip(shown).filter(|(f, _)| f.body == body && fill(f.side, f.normal) == shade);
        let areas: Vec<&Area> = alike.map(|(_, area)| area).collect();
        let contours = visible::joined(&areas).contours();
        if !contours.is_empty() {
            group.path(contours, true, Pen::None, shade);
        }
    }
    group
}

fn fill(side: Side, normal: [f64; 3]) -> Fill {
    match side {
        Side::Top => Fill::Lit,
        Side::Wall if normal[0] <= 0.0 => Fill::Half,
        Side::Wall | Side::Bottom => Fill::Shade,
    }
}

fn letter(group: &mut Group, scene: &Scene, shown: &Shown, body: usize, bodies: &[Body], view: &Axonometry) {
    let tops = scene.faces.iter().zip(shown).filter(|(f, _)| f.body == body && f.side == Side::Top);
    for (face, area) in tops {
        let prism = &bodies[body].prisms[face.prism];
        for text in &prism.lettering {
            let at = view.places();
            let on_top = |p: Point| at([p.x, p.y, prism.z[1]]);
            let outlines: Vec<Vec<Point>> =
                in_plan(text).into_iter().map(|o| o.into_iter().map(on_top).collect()).collect();
            let lettering = visible::filled(&outlines);
            let shown = visible::common(&lettering, area);
            // Fragments beside what hides the rest cannot be read.
            if !shown.is_empty() && shown.size() > WHOLE * lettering.size() {
                group.path(shown.contours(), true, Pen::None, Fill::Ink);
            }
        }
    }
}

/// The outlines of lettering at its place in a plan, whose `y` grows upward.
fn in_plan(text: &Text) -> Vec<Vec<Point>> {
    let turned_over = Affine::FLIP_Y.then_translate(Vec2::new(0.0, 2.0 * text.at.y));
    runs(&(turned_over * text.outlines()), SAG)
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
