//! The guide on the stone, with its measured lengths, projection and bevel angle dimensioned.

use kurbo::Vec2;

use super::{BevelWords, Drawn, RollerWords, STEP, auxiliary, drawn_between};
use crate::drawing::Group;
use crate::drawing::dimension::{End, angular, drawn, leader};
use crate::drawing::style::{Fill, Pen, VALUE};
use crate::drawing::view::View;
use crate::guide::Taken;
use crate::shape::font;
use crate::terms::Locates;
use crate::trig::{Trig, toward};
use crate::units::short;
use crate::views::figure::{Figure, ground};

impl Drawn<'_> {
    pub(super) fn stone(&self, view: &View, figure: &Figure) -> Vec<Group> {
        let s = figure.section();
        let edge = figure.at(figure.edge());
        let mut stone = Group::new("stone", "figure").with("level", 0.0);
        // The stone ends short of a roller that runs beside it, on another level.
        let left = if s.roller_level == 0.0 { -1.6 * s.roller_radius } else { 1.15 * s.roller_radius };
        let [start, end] = [left, edge.x + 7.0].map(|x| view.at((x, 0.0)));
        stone.line(start, end, Pen::Wide);
        ground(&mut stone, start, end);
        let mut groups = vec![stone];
        if s.roller_level != 0.0 {
            let mut track = Group::new("track", "figure").with("level", s.roller_level);
            let z = s.roller_level;
            let [start, end] = [-1.6, 1.1].map(|x| view.at((x * s.roller_radius, z)));
            track.line(start, end, Pen::Wide);
            ground(&mut track, start, end);
            groups.push(track);
        }
        groups
    }

    /// Where edge and roller touch, ringed.
    pub(super) fn contacts(view: &View, figure: &Figure) -> Group {
        let s = figure.section();
        let edge = figure.at(figure.edge());
        let mut contact = Group::new("contact", "figure");
        for at in [edge, (0.0, s.roller_level).into()] {
            contact.circle(view.at(at), 0.9, Pen::Narrow, Fill::Paper);
        }
        contact
    }

    /// Directions of the seat and its normal on the sheet.
    fn axes(figure: &Figure, view: &View) -> [Vec2; 2] {
        let o = view.at(figure.at((0.0, 0.0)));
        [(1.0, 0.0), (0.0, 1.0)].map(|axis| {
            let step = view.at(figure.at(axis)) - o;
            Vec2::new(step.x / view.scale, step.y / view.scale)
        })
    }

    pub(super) fn honing_dimensions(&self, view: &View, figure: &Figure) -> Vec<Group> {
        let s = figure.section();
        let [along, up] = Self::axes(figure, view);
        let k = view.scale;
        let edge = figure.edge();
        let mut groups = Vec::new();
        // A chain along the seat, above the body: axle to face (as it was measured), then projection.
        let rows = if self.places.apart { 2.2 } else { 1.0 };
        let chain = view.at(figure.at((0.0, figure.top() + rows * STEP / k)));
        let start = if matches!(self.guide.face.axle_to_face, Taken::OverRoller(_)) { -s.roller_radius } else { 0.0 };
        let axle_to_face = s.axle_to_face - start;
        let ends = [figure.at((start, 0.0)), figure.at((s.axle_to_face, figure.top()))];
        let mut linear = drawn_between(view, ends, chain, along, self.bare(axle_to_face));
        if start < 0.0 {
            linear.words = format!("N {}", linear.words);
        }
        groups.push(drawn("axle-to-face", "axle-to-face", axle_to_face, &linear));
        let p = self.lane.setting.projection;
        let ends = [figure.at((s.axle_to_face, figure.top())), figure.at(edge)];
        let mut linear = drawn_between(view, ends, chain, along, auxiliary(&self.bare(p)));
        linear.outside = End::Second;
        groups.push(drawn("projection", "projection", p, &linear));
        // Behind the body, square to the seat: the face's lower end, then the seat; further apart the other way round, so
        // that no words run through an extension line.
        let [bottom_steps, seat_steps] = if self.places.apart { [2.2, 0.4] } else { [0.4, 1.6] };
        let behind = figure.tail();
        let mut column = |id: &str, taken: Taken, level: f64, from_s: f64, sign: &str, steps: f64, outside: End| {
            let low = if matches!(taken, Taken::OverRoller(_)) { -s.roller_radius } else { 0.0 };
            let value = level - low;
            let through = view.at(figure.at((behind - steps * STEP / k, 0.0)));
            let words = if low < 0.0 { format!("{sign}{}", self.bare(value)) } else { self.bare(value) };
            let ends = [figure.at((0.0, low)), figure.at((from_s, level))];
            let mut linear = drawn_between(view, ends, through, up, words);
            linear.outside = outside;
            groups.push(drawn(id, id, value, &linear));
        };
        if let (Some(taken), Some(level)) = (self.guide.face.bottom, s.face_bottom) {
            column("face-bottom", taken, level, s.face_at(level), "", bottom_steps, self.places.bottom);
        }
        let (sign, level) = self.seat_sign();
        column("seat-height", self.seat.height, level, figure.rear(), sign, seat_steps, End::Second);
        groups.push(self.roller_leader(view, figure));
        groups.push(self.bevel_angle(view, figure));
        if s.roller_level != 0.0 {
            let away = if self.places.apart { 24.0 } else { 4.0 };
            let x = view.at((-1.6 * s.roller_radius, 0.0)).x - away;
            let ends = [(-1.6 * s.roller_radius, s.roller_level), (1.15 * s.roller_radius, 0.0)];
            let linear = drawn_between(view, ends, (x, 0.0), (0.0, 1.0), self.bare(s.roller_level.abs()));
            groups.push(drawn("roller-level", "roller-level", s.roller_level.abs(), &linear));
        }
        groups
    }

    /// How the seat's level was measured, and the level that the measured length ends at.
    fn seat_sign(&self) -> (&'static str, f64) {
        let level = self.lane.setting.section.seat_height;
        match (self.seat.parallel, self.seat.locates) {
            (None, _) => ("M ", level),
            (Some(_), Locates::Back) => ("M ", level),
            (Some(g), Locates::Underside) => ("M ", level + g.mm),
            (Some(g), Locates::Sides) => ("M ", level + g.mm / 2.0),
        }
    }

    fn roller_leader(&self, view: &View, figure: &Figure) -> Group {
        let s = figure.section();
        let diameter = 2.0 * s.roller_radius;
        let axle = figure.at((0.0, 0.0));
        let (degrees, sideways, down): (f64, f64, f64) = match self.places.roller {
            RollerWords::Behind => (200.0, -7.0, 3.5),
            RollerWords::Before => (335.0, 7.0, 3.5),
            RollerWords::High => (165.0, -7.0, -3.5),
            RollerWords::Low => (215.0, -9.0, 4.5),
            // From near the foot of the roller past the hatching below the stone.
            RollerWords::Under => (260.0, -4.0, 12.0),
        };
        let tip = view.at(axle + s.roller_radius * toward(degrees.to_radians()));
        let mut group =
            Group::new("dim-roller-diameter", "dimension").with("kind", "roller-diameter").with("value", diameter);
        leader(&mut group, tip, tip + (sideways, down), sideways < 0.0, &format!("Ø {}", self.bare(diameter)));
        group
    }

    fn bevel_angle(&self, view: &View, figure: &Figure) -> Group {
        let angle = self.lane.request.angle;
        let edge = view.at(figure.at(figure.edge()));
        let words = format!("{}°", short(angle, 3));
        let mut group = Group::new("dim-bevel-angle", "dimension").with("kind", "bevel-angle").with("value", angle);
        let pi = std::f64::consts::PI;
        let half_width = font::width(&words, VALUE, false) / 2.0;
        // Far enough out for the words to stand between stone and blade, where the projection allows.
        let (_, cos) = angle.to_radians().sine_cosine();
        let thickness = self.lane.setting.section.thickness * view.scale / cos;
        let roomy = (VALUE + 2.2 + thickness) / angle.to_radians().tangent() + 2.0 * half_width + 2.5;
        let free = roomy.max(20.0).min(self.lane.setting.projection * view.scale * 0.8).max(9.0);
        let at = match self.places.bevel {
            BevelWords::Inside => (edge.x - free + 2.0 + half_width, edge.y - 1.2),
            BevelWords::Behind => (edge.x - free - 2.0 - half_width, edge.y - 1.2),
            // Clear of the extension line that rises from the edge, square to the seat.
            BevelWords::Ahead => (edge.x + 1.5 + 6.2 * angle.to_radians().tangent() + half_width, edge.y - 2.0),
        };
        angular(&mut group, edge, free, [pi, pi + angle.to_radians()], &words, at);
        group
    }
}
