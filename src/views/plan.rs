//! A block or jig from above: near edge at the left, every lane a row, every fence distance from its own edge.

use kurbo::{Point, Vec2};

use crate::drawing::dimension::{End, LIFT, Linear, drawn};
use crate::drawing::style::{ARROW, Pen, SMALL, VALUE};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Text};
use crate::layout::Placed;
use crate::shape::font::width;
use crate::terms::Edge;

/// How fence distances are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Each in its lane, with its limits.
    Dimensioned,
    /// By lane number, in the table (ISO 129-1, tabular dimensioning), where lanes are too many for the sheet.
    Tabular,
}

/// Space between the board's edge and lettering beside it, mm of paper.
const BESIDE: f64 = 3.0;
/// Baseline of a lane's label above its middle, mm of paper.
const LABEL_UP: f64 = 1.2;
/// Dimension line below a lane's middle, mm of paper.
const DOWN: f64 = 5.6;
/// Least space between a dimension line and a mark beside it, mm of paper.
const BETWEEN: f64 = 2.4;
/// Width of the ends of the cutting plane line with its letter, mm of paper.
const CUT: f64 = 9.0;
/// Space for the overall length, mm of paper.
const OVERALL: f64 = 9.0;

/// Draws features in a view.
pub type Drawn<'a> = Box<dyn Fn(&View) -> Vec<Group> + 'a>;

/// What is seen from above.
pub struct Top<'a> {
    /// Size along the edges, mm.
    pub length: f64,
    /// Size from near to far edge, mm.
    pub depth: f64,
    /// The lanes: near edge from left to right, then far edge.
    pub lanes: &'a [Placed],
    /// Whether tables bear centre and square lines.
    pub marks: bool,
    /// Draws its features.
    pub features: Drawn<'a>,
    /// A fence distance as it is dimensioned.
    pub words: Box<dyn Fn(&Placed) -> String + 'a>,
    /// Any other length as it is dimensioned, mm.
    pub size: Box<dyn Fn(f64) -> String + 'a>,
}

/// The plan, ready to be drawn at some scale.
pub struct PlanView<'p, 'a> {
    top: &'p Top<'a>,
    style: Style,
    /// The lane that the section is cut through.
    cut: &'p Placed,
}

impl<'p, 'a> PlanView<'p, 'a> {
    /// The plan of `top`, cut through the lane `cut`.
    pub fn new(top: &'p Top<'a>, style: Style, cut: &'p Placed) -> Self {
        Self { top, style, cut }
    }

    /// How it gives fence distances.
    pub fn style(&self) -> Style {
        self.style
    }

    /// Paper needed around the board, mm: left, right, above, below.
    pub fn around(&self, scale: f64) -> [f64; 4] {
        [self.beside(Edge::Near, scale) + CUT + OVERALL, self.beside(Edge::Far, scale) + CUT, 11.0, 3.0]
    }

    /// Width of the lettering beside an edge.
    fn beside(&self, edge: Edge, scale: f64) -> f64 {
        let of = |(i, p): (usize, &Placed)| match self.style {
            Style::Tabular => width(&(i + 1).to_string(), SMALL, false),
            Style::Dimensioned => {
                let label = width(&p.label(), VALUE, false);
                let linear = self.fence_dimension(p, &View::plan((0.0, 0.0), scale));
                if linear.fits_inside() { label } else { label.max(linear.outside_reach() - BESIDE) }
            }
        };
        let widest = self.top.lanes.iter().enumerate().filter(|(_, p)| p.edge == edge).map(of).fold(0.0, f64::max);
        if widest > 0.0 { BESIDE + widest + 1.5 } else { 0.0 }
    }

    /// Draws it; the corner of near edge and first lane is at `origin`.
    pub fn draw(&self, origin: impl Into<Point>, scale: f64) -> Vec<Group> {
        let view = View::plan(origin, scale);
        let mut groups = (self.top.features)(&view);
        for (i, placed) in self.top.lanes.iter().enumerate() {
            groups.extend(self.lane(i, placed, &view));
        }
        groups.extend(self.overall(&view));
        groups.push(self.cutting_plane(&view));
        groups
    }

    /// The edge a lane registers on, as `y` of the plan, and the sense in which its fence lies.
    fn edge_y(&self, edge: Edge) -> (f64, f64) {
        match edge {
            Edge::Near => (0.0, 1.0),
            Edge::Far => (self.top.depth, -1.0),
        }
    }

    fn fence_dimension(&self, placed: &Placed, view: &View) -> Linear {
        let (edge, sense) = self.edge_y(placed.edge);
        let fence = edge + sense * placed.lane.fence();
        let ends = [edge, fence].map(|y| view.at((placed.centre, y)));
        // The line keeps clear of the square line beside the middle; its words must not run into it either.
        let band = if self.top.marks { placed.blade_width / 4.0 * view.scale } else { 0.0 };
        let down = if (band - DOWN).abs() < BETWEEN { band + BETWEEN } else { DOWN };
        // It stays in its own lane, whose fence it ends on.
        let room = (placed.x[1] - placed.centre) * view.scale - 0.8;
        let down = down.min(room);
        let line_y = ends[0].y + down;
        let marked = self.top.marks && band < down && band > down - LIFT - VALUE - 1.0;
        Linear {
            ends: ends.map(|end| Point::new(end.x, line_y)),
            through: Point::new(0.0, line_y),
            along: Vec2::new(1.0, 0.0),
            words: (self.top.words)(placed),
            extended: false,
            outside: End::First,
            always_outside: marked,
        }
    }

    fn lane(&self, index: usize, placed: &Placed, view: &View) -> Vec<Group> {
        let request = &placed.lane.request;
        let (edge, _) = self.edge_y(placed.edge);
        let at = view.at((placed.centre, edge));
        let (side, anchor) = match placed.edge {
            Edge::Near => (-1.0, Anchor::End),
            Edge::Far => (1.0, Anchor::Start),
        };
        let mut name = Group::new(format!("label-{}", request.id), "lane-label")
            .with("lane", &request.id)
            .with("tool", &request.label)
            .with("angle", request.angle);
        let x = at.x + side * BESIDE;
        if self.style == Style::Tabular {
            name.text(Text::new((x, at.y + SMALL / 2.0), SMALL, anchor, (index + 1).to_string()));
            return vec![name];
        }
        name.text(Text::new((x, at.y - LABEL_UP), VALUE, anchor, placed.label()));
        let linear = self.fence_dimension(placed, view);
        let fence = placed.lane.finished();
        let tolerance = placed.lane.fence_tolerance();
        let dimension = drawn(&format!("fence-{}", request.id), "fence_distance", fence, &linear)
            .with("lane", &request.id)
            .with("lower", fence - tolerance)
            .with("upper", fence + tolerance);
        vec![name, dimension]
    }

    fn overall(&self, view: &View) -> Vec<Group> {
        let (length, depth) = (self.top.length, self.top.depth);
        let corner = view.at((0.0, 0.0));
        let left = corner.x - self.beside(Edge::Near, view.scale) - CUT - OVERALL + 5.5;
        let make = |id: &'static str, value: f64, ends: [Point; 2], through: (f64, f64), along: (f64, f64)| {
            drawn(id, id, value, &Linear::new(ends, through, along, (self.top.size)(value)))
        };
        let top = corner.y - 5.5;
        vec![
            make("depth", depth, [corner, view.at((0.0, depth))], (0.0, top), (1.0, 0.0)),
            make("length", length, [corner, view.at((length, 0.0))], (left, 0.0), (0.0, 1.0)),
        ]
    }

    /// The ends of the cutting plane, outside all lettering, looking up the sheet.
    fn cutting_plane(&self, view: &View) -> Group {
        let mut group = Group::new("cutting-plane", "note").with("lane", &self.cut.lane.request.id);
        let y = view.at((self.cut.centre, 0.0)).y;
        let near = view.at((0.0, 0.0)).x - self.beside(Edge::Near, view.scale);
        let far = view.at((0.0, self.top.depth)).x + self.beside(Edge::Far, view.scale);
        for (x, outward) in [(near, -1.0), (far, 1.0)] {
            let (a, b) = (x + outward * 1.0, x + outward * 6.0);
            group.line((a, y), (b, y), Pen::Wide);
            let shaft = (a + b) / 2.0;
            group.line((shaft, y), (shaft, y - 2.0 * ARROW), Pen::Narrow);
            group.arrow((shaft, y - 2.0 * ARROW), (0.0, -1.0));
            group.text(Text::new((shaft + outward * 2.6, y - 1.2), VALUE, Anchor::Middle, "A").bold());
        }
        group
    }
}
