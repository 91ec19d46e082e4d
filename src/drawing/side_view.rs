//! The side view of one setting: guide, roller, seat, face and blade to scale, on the stone or at the block, with the
//! measured lengths dimensioned. A wrong measurement should look wrong at a glance.

use super::dimension::{End, Linear, angular, leader};
use super::figure::Figure;
use super::frame::{Notes, TITLE_BLOCK, Title, frame};
use super::paper::{FIFTH, FULL, HALF, Paper, Scale, TWICE};
use super::style::{Fill, Pen, VALUE};
use super::view::View;
use super::{Group, Mark, Point, Sheet, clash};
use crate::guide::{Guide, Seat, Taken};
use crate::lane::{BlockEdge, Lane};
use crate::layout::{FOOT_RELIEF, OVERHANG_MARGIN};
use crate::profile::guide::Locates;
use crate::profile::job::{ProjectionAngle, SheetSize};
use crate::solve::contact;
use crate::units::{Units, fixed, short};

/// What a side view shows the guide on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stand {
    /// The stone, as when honing.
    Stone,
    /// The block's edge, as when setting the blade.
    Block {
        /// The block's edge.
        edge: BlockEdge,
        /// Height of the fence above the apron, mm.
        fence_height: f64,
        /// Overhang over the bench, mm.
        overhang: f64,
    },
}

/// Draws the side view of `lane`.
pub fn sheet(guide: &Guide, lane: &Lane, stand: Stand, size: Option<SheetSize>, projection: ProjectionAngle) -> Sheet {
    let size = size.unwrap_or(if guide.units == Units::Inch { SheetSize::Letter } else { SheetSize::A4 });
    let paper = Paper { size, landscape: true };
    let mut best: Option<(usize, Sheet)> = None;
    for scale in [TWICE, FULL, HALF, FIFTH] {
        for places in places() {
            let seat = guide.seat_for(lane.request.seat).1;
            let sheet = Drawn { guide, seat, lane, stand, paper, scale, projection, places }.sheet();
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
    let rollers = [RollerWords::Behind, RollerWords::Before, RollerWords::High];
    bevels.into_iter().flat_map(move |bevel| {
        rollers.into_iter().flat_map(move |roller| {
            [End::Second, End::First].into_iter().map(move |bottom| Places { bevel, roller, bottom })
        })
    })
}

struct Drawn<'a> {
    guide: &'a Guide,
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
    fn sheet(&self) -> Sheet {
        let lane = self.lane;
        let section = lane.setting.section;
        let p = lane.setting.projection;
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
        let title = Title {
            title: format!("{} {}°, {} seat", lane.request.label, short(lane.request.angle, 3), lane.request.seat),
            kind: kind.into(),
            guide: self.guide.name.clone(),
            scale: self.scale,
            projection: self.projection,
            tolerances: "as measured".into(),
        };
        let mut groups = frame(self.paper, &title);
        // Drawn once to see how much room it takes, then in the middle of the space above the title block.
        let loose = self.figure_and_dimensions(&View::upright([0.0, 0.0], self.scale.factor), &figure);
        let [low, high] = clash::extent(&loose);
        let [upper, lower] = self.paper.frame();
        let middle = [upper[0] + lower[0], upper[1] + lower[1] - TITLE_BLOCK[1]];
        let origin = [0, 1].map(|i| (middle[i] - low[i] - high[i]) / 2.0);
        groups.extend(self.figure_and_dimensions(&View::upright(origin, self.scale.factor), &figure));
        groups.extend(self.lower_left());
        Sheet { title: format!("{kind}: {}", title.title), paper: self.paper, scale: self.scale.name.into(), groups }
    }

    fn figure_and_dimensions(&self, view: &View, figure: &Figure) -> Vec<Group> {
        let mut groups = match self.stand {
            Stand::Stone => self.stone(view, figure),
            Stand::Block { edge, fence_height, overhang } => self.block(view, edge, fence_height, overhang),
        };
        groups.extend(figure.draw(view, "guide-"));
        match self.stand {
            Stand::Stone => {
                groups.push(Self::contacts(view, figure));
                groups.extend(self.honing_dimensions(view, figure));
            }
            Stand::Block { edge, fence_height, overhang } => {
                groups.extend(self.setting_dimensions(view, figure, edge, fence_height));
                groups.push(self.overhang_dimension(view, edge, overhang));
            }
        }
        groups
    }

    fn stone(&self, view: &View, figure: &Figure) -> Vec<Group> {
        let s = figure.section();
        let edge = figure.at(figure.edge()[0], figure.edge()[1]);
        let mut stone = Group::new("stone", "figure").with("level", 0.0);
        // The stone ends short of a roller that runs beside it, on another level.
        let left = if s.roller_level == 0.0 { -1.6 * s.roller_radius } else { 1.15 * s.roller_radius };
        let [a, b] = [[left, 0.0], [edge[0] + 7.0, 0.0]];
        let depth = 5.0 / view.scale;
        stone.path(vec![view.all(&[a, b, [b[0], -depth], [a[0], -depth]])], true, Pen::None, Fill::Tint);
        stone.line(view.at(a), view.at(b), Pen::Wide);
        let mut groups = vec![stone];
        if s.roller_level != 0.0 {
            let mut track = Group::new("track", "figure").with("level", s.roller_level);
            let z = s.roller_level;
            track.line(view.at([-1.6 * s.roller_radius, z]), view.at([1.1 * s.roller_radius, z]), Pen::Wide);
            groups.push(track);
        }
        groups
    }

    /// Where edge and roller touch, ringed.
    fn contacts(view: &View, figure: &Figure) -> Group {
        let s = figure.section();
        let edge = figure.at(figure.edge()[0], figure.edge()[1]);
        let mut contact = Group::new("contact", "figure");
        for at in [edge, [0.0, s.roller_level]] {
            contact.marks.push(Mark::Circle { centre: view.at(at), radius: 0.9, pen: Pen::Narrow, fill: Fill::Paper });
        }
        contact
    }

    fn block(&self, view: &View, edge: BlockEdge, fence_height: f64, overhang: f64) -> Vec<Group> {
        let fence = self.lane.fence();
        let t = edge.thickness;
        let relief = if edge.relief > 0.0 { 0.4 } else { 0.0 };
        let [foot_width, foot_depth] = FOOT_RELIEF;
        let right = fence + 12.0;
        let outline = [
            [relief, -t],
            [relief, -t + edge.relief],
            [0.0, -t + edge.relief],
            [0.0, 0.0],
            [fence - foot_width, 0.0],
            [fence - foot_width, -foot_depth],
            [fence, -foot_depth],
            [fence, fence_height],
            [right, fence_height],
            [right, -t],
        ];
        let mut block = Group::new("block", "figure").with("fence_distance", fence);
        block.path(vec![view.all(&outline)], true, Pen::Wide, Fill::Tint);
        let mut bench = Group::new("bench", "figure").with("overhang", overhang);
        let start = overhang.min(right - 4.0);
        let depth = BENCH / view.scale;
        bench.path(
            vec![view.all(&[[start, -t], [right + 6.0, -t], [right + 6.0, -t - depth], [start, -t - depth]])],
            true,
            Pen::Narrow,
            Fill::Pale,
        );
        vec![bench, block]
    }

    fn linear(
        &self,
        view: &View,
        ends: [[f64; 2]; 2],
        through: Point,
        along: Point,
        value: f64,
        words: String,
    ) -> Linear {
        debug_assert!(value.is_finite());
        Linear {
            ends: ends.map(|e| view.at(e)),
            through,
            along,
            words,
            extended: true,
            outside: End::First,
            always_outside: false,
        }
    }

    fn dimension(&self, id: &str, value: f64, linear: &Linear) -> Group {
        let mut group = Group::new(format!("dim-{id}"), "dimension").with("kind", id).with("value", value);
        for (name, end) in [("from", linear.ends[0]), ("to", linear.ends[1])] {
            group = group.with(name, format!("{} {}", end[0], end[1]));
        }
        linear.draw(&mut group);
        group
    }

    /// Directions of the seat and its normal on the sheet.
    fn axes(figure: &Figure, view: &View) -> [Point; 2] {
        let o = view.at(figure.at(0.0, 0.0));
        [[1.0, 0.0], [0.0, 1.0]].map(|[s, n]| {
            let p = view.at(figure.at(s, n));
            [(p[0] - o[0]) / view.scale, (p[1] - o[1]) / view.scale]
        })
    }

    fn honing_dimensions(&self, view: &View, figure: &Figure) -> Vec<Group> {
        let s = figure.section();
        let [along, up] = Self::axes(figure, view);
        let k = view.scale;
        let edge = figure.edge();
        let mut groups = Vec::new();
        // A chain along the seat, above the body: reach (as it was measured), then projection.
        let chain = view.at(figure.at(0.0, figure.top() + STEP / k));
        let start = if matches!(self.guide.face.reach, Taken::OverRoller(_)) { -s.roller_radius } else { 0.0 };
        let reach = s.reach - start;
        let ends = [figure.at(start, 0.0), figure.at(s.reach, figure.top())];
        let mut linear = self.linear(view, ends, chain, along, reach, fixed(reach, 2));
        if start < 0.0 {
            linear.words = format!("N {}", linear.words);
        }
        groups.push(self.dimension("reach", reach, &linear));
        let p = self.lane.setting.projection;
        let ends = [figure.at(s.reach, figure.top()), figure.at(edge[0], edge[1])];
        let mut linear = self.linear(view, ends, chain, along, p, fixed(p, 2));
        linear.outside = End::Second;
        groups.push(self.dimension("projection", p, &linear));
        // Behind the body, square to the seat: the face's lower end, then the seat.
        let behind = figure.rear() - 14.0;
        let mut column = |id: &str, taken: Taken, level: f64, from_s: f64, sign: &str, steps: f64, outside: End| {
            let low = if matches!(taken, Taken::OverRoller(_)) { -s.roller_radius } else { 0.0 };
            let value = level - low;
            let through = view.at(figure.at(behind - steps * STEP / k, 0.0));
            let words = if low < 0.0 { format!("{sign}{}", fixed(value, 2)) } else { fixed(value, 2) };
            let ends = [figure.at(0.0, low), figure.at(from_s, level)];
            let mut linear = self.linear(view, ends, through, up, value, words);
            linear.outside = outside;
            groups.push(self.dimension(id, value, &linear));
        };
        if let (Some(taken), Some(level)) = (self.guide.face.bottom, s.face_bottom) {
            column("face-bottom", taken, level, s.face_at(level), "", 0.4, self.places.bottom);
        }
        let (sign, level) = self.seat_sign();
        column("seat-height", self.seat.height, level, figure.rear(), sign, 1.6, End::Second);
        groups.push(self.roller_leader(view, figure));
        groups.push(self.bevel_angle(view, figure));
        if s.roller_level != 0.0 {
            let x = view.at([-1.6 * s.roller_radius, 0.0])[0] - 4.0;
            let ends = [[-1.6 * s.roller_radius, s.roller_level], [1.15 * s.roller_radius, 0.0]];
            let linear = self.linear(view, ends, [x, 0.0], [0.0, 1.0], s.roller_level, fixed(s.roller_level, 2));
            groups.push(self.dimension("roller-level", s.roller_level.abs(), &linear));
        }
        groups
    }

    /// How the seat's level was measured, and the level that the measured length ends at.
    fn seat_sign(&self) -> (&'static str, f64) {
        let level = self.lane.setting.section.seat_height;
        match (self.seat.gauge, self.seat.locates) {
            (None, _) => ("M ", level),
            (Some(_), Locates::Back) => ("M ", level),
            (Some(g), Locates::Underside) => ("M ", level + g.mm),
            (Some(g), Locates::Sides) => ("M ", level + g.mm / 2.0),
        }
    }

    fn roller_leader(&self, view: &View, figure: &Figure) -> Group {
        let s = figure.section();
        let diameter = 2.0 * s.roller_radius;
        let axle = figure.at(0.0, 0.0);
        let (degrees, sideways, down): (f64, f64, f64) = match self.places.roller {
            RollerWords::Behind => (200.0, -7.0, 3.5),
            RollerWords::Before => (335.0, 7.0, 3.5),
            RollerWords::High => (165.0, -7.0, -3.5),
        };
        let (sin, cos) = degrees.to_radians().sin_cos();
        let tip = view.at([axle[0] + s.roller_radius * cos, axle[1] + s.roller_radius * sin]);
        let elbow = [tip[0] + sideways, tip[1] + down];
        let mut group =
            Group::new("dim-roller-diameter", "dimension").with("kind", "roller-diameter").with("value", diameter);
        leader(&mut group, tip, elbow, sideways < 0.0, &format!("Ø {}", fixed(diameter, 2)));
        group
    }

    fn bevel_angle(&self, view: &View, figure: &Figure) -> Group {
        let angle = self.lane.request.angle;
        let edge = view.at(figure.at(figure.edge()[0], figure.edge()[1]));
        let words = format!("{}°", short(angle, 3));
        let mut group = Group::new("dim-bevel-angle", "dimension").with("kind", "bevel-angle").with("value", angle);
        let pi = std::f64::consts::PI;
        let free = (self.lane.setting.projection * view.scale * 0.8).clamp(9.0, 34.0);
        let half_width = super::lettering::width(&words, VALUE, false) / 2.0;
        let at = match self.places.bevel {
            BevelWords::Inside => [edge[0] - free + 2.0 + half_width, edge[1] - 1.2],
            BevelWords::Behind => [edge[0] - free - 2.0 - half_width, edge[1] - 1.2],
            BevelWords::Ahead => [edge[0] + 8.0, edge[1] - 2.0],
        };
        angular(&mut group, edge, free, [pi, pi + angle.to_radians()], &words, at);
        group
    }

    fn setting_dimensions(&self, view: &View, figure: &Figure, edge: BlockEdge, fence_height: f64) -> Vec<Group> {
        let fence = self.lane.fence();
        let [upright, level] = [[0.0, -1.0], [1.0, 0.0]];
        let k = view.scale;
        let mut groups = Vec::new();
        let top =
            figure.at(0.0, figure.top())[1].max(figure.at(figure.section().reach, figure.top())[1]).max(fence_height);
        let words = format!("{} ±{}", fixed(fence, 2), fixed(self.lane.fence_tolerance(), 2));
        let through = view.at([0.0, top + STEP / k]);
        let linear = self.linear(view, [[0.0, top], [fence, fence_height]], through, level, fence, words);
        groups.push(self.dimension("fence_distance", fence, &linear));
        let axle = figure.at(0.0, 0.0);
        let low = -self.lane.hang_depth;
        let left = view.at(figure.at(figure.rear() - 14.0, 0.0))[0] - STEP * 0.8;
        let linear = self.linear(view, [[axle[0], low], [-1.0, 0.0]], [left, 0.0], upright, -low, fixed(-low, 2));
        groups.push(self.dimension("hang-depth", -low, &linear));
        let right = view.at([fence + 18.0, 0.0])[0] + STEP * 0.7;
        let t = edge.thickness;
        let mut linear = self.linear(view, [[fence + 18.0, -t], [fence, 0.0]], [right, 0.0], upright, t, fixed(t, 2));
        linear.ends[1] = view.at([fence + 12.0, 0.0]);
        groups.push(self.dimension("thickness", t, &linear));
        let mut linear = self.linear(
            view,
            [[fence + 12.0, 0.0], [fence + 12.0, fence_height]],
            [right, 0.0],
            upright,
            fence_height,
            fixed(fence_height, 2),
        );
        linear.outside = End::Second;
        groups.push(self.dimension("fence-height", fence_height, &linear));
        groups
    }

    /// How far the block stands out over the bench, below the bench.
    fn overhang_dimension(&self, view: &View, edge: BlockEdge, overhang: f64) -> Group {
        let below = -edge.thickness - BENCH / view.scale;
        let through = [0.0, view.at([0.0, below])[1] + 6.0];
        let ends = [[0.0, -edge.thickness], [overhang, below]];
        let mut linear = self.linear(view, ends, through, [1.0, 0.0], overhang, format!("≥ {}", fixed(overhang, 2)));
        linear.outside = End::Second;
        self.dimension("overhang", overhang, &linear)
    }

    /// The notes, beside the title block.
    fn lower_left(&self) -> Vec<Group> {
        let [upper, lower] = self.paper.frame();
        let space = lower[0] - TITLE_BLOCK[0] - upper[0] - 4.0;
        let top = lower[1] - TITLE_BLOCK[1] + 1.5;
        let notes: Vec<String> = match self.stand {
            Stand::Stone => vec![
                "Full lines are measured or computed, dashed ones are not.".into(),
                "Lengths in mm; N and M: over the roller.".into(),
                "Edges cut. Follow your tools' makers' instructions.".into(),
            ],
            Stand::Block { overhang, .. } => vec![
                format!(
                    "Let the block overhang the bench by {} mm or more, held down.",
                    fixed(overhang.max(OVERHANG_MARGIN), 1)
                ),
                "Face flat on the edge, blade flat on the apron; ease the blade up to the fence, burr off first."
                    .into(),
            ],
        };
        vec![Notes::new(&notes, space).draw([upper[0] + 2.0, top])]
    }
}
