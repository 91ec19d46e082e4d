//! A block or jig from above: near edge at the bottom, every lane a column, every fence distance from its own edge.

use kurbo::{Point, Rect, Vec2};

use crate::drawing::clash::{self, around};
use crate::drawing::dimension::{End, LIFT, Linear, drawn};
use crate::drawing::style::{ARROW, CLEAR, Fill, Pen, SMALL, VALUE};
use crate::drawing::view::View;
use crate::drawing::{Anchor, Group, Mark, Text};
use crate::layout::Placed;
use crate::shape::font::{width, wrap};
use crate::terms::Edge;
use crate::trig::apart;

/// How fence distances are given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Each in its lane, with its limits.
    Dimensioned,
    /// By lane number, in the table (ISO 129-1, tabular dimensioning), where lanes are too many for the sheet.
    Tabular,
}

/// What stands for the fence distance in tabular dimensioning: on one lane, and over its column of the table.
pub const FENCE_LETTER: &str = "f";
/// What stands for the width of a lane.
pub const WIDTH_LETTER: &str = "w";

/// Space between the board's edge and lettering beside it, mm of paper.
const BESIDE: f64 = 3.0;
/// From one line of a lane's label to the next, by the height of its lettering.
const LEADING: f64 = 1.77;
/// Space kept between a lane's label and the ends of its lane, mm of paper.
const WITHIN: f64 = 0.8;
/// A dimension line's distance from what stands at its left: room for its words, mm of paper.
const RIGHT: f64 = LIFT + VALUE + 2.0 * CLEAR + 0.4;
/// Least space between a dimension line and a line at its right, mm of paper.
const BETWEEN: f64 = 2.4;
/// Space for the ends of the cutting plane line with its letter, mm of paper.
const CUT: f64 = 6.4;
/// Space for a row of dimensions, mm of paper.
const ROW: f64 = 8.0;
/// A row's dimension line from where the row begins, mm of paper.
const LINE: f64 = 6.2;
/// How much further from the far edge its row of dimensions begins, mm of paper: room for the ends of extension lines.
const ABOVE_FAR: f64 = 1.0;
/// The line of the depth's dimension from the board, mm of paper.
const BESIDE_DEPTH: f64 = 4.4;
/// Space past words that stand outside their dimension, mm of paper.
const PAST_WORDS: f64 = 1.0;
/// Space at the right of the board, mm of paper.
const ASIDE: f64 = 1.0;
/// Gaps between lanes below this are none, mm.
const GAP: f64 = 0.05;

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
    /// Draws its features; what it dashes is broken where lettering stands.
    pub features: Drawn<'a>,
    /// A fence distance as it is dimensioned.
    pub words: Box<dyn Fn(&Placed) -> String + 'a>,
    /// Any other length as it is dimensioned, mm.
    pub size: Box<dyn Fn(f64) -> String + 'a>,
    /// Space that its features take at the right of the board, mm of paper.
    pub aside: f64,
    /// How far its features reach past the near and the far edge, mm.
    pub past: [f64; 2],
}

impl Top<'_> {
    /// Whether the widths of all lanes go into their dimension lines at a scale; else the plan has none.
    pub fn shows_widths(&self, scale: f64) -> bool {
        [Edge::Near, Edge::Far].into_iter().all(|edge| {
            self.chain(edge)
                .iter()
                .all(|span| self.width_dimension(*span, &View::upright((0.0, 0.0), scale), 0.0, 0.0).fits_inside())
        })
    }

    /// Lanes and gaps along an edge from left to right but the last, which the whole length leaves: extents, mm.
    fn chain(&self, edge: Edge) -> Vec<[f64; 2]> {
        let mut lanes: Vec<[f64; 2]> = self.lanes.iter().filter(|p| p.edge == edge).map(|p| p.x).collect();
        if lanes.is_empty() {
            return lanes;
        }
        lanes.sort_by(|a, b| a[0].total_cmp(&b[0]));
        let mut ends = vec![0.0];
        for at in lanes.into_iter().flatten().chain([self.length]) {
            if at - ends[ends.len() - 1] > GAP {
                ends.push(at);
            }
        }
        let mut spans: Vec<[f64; 2]> = ends.windows(2).map(|w| [w[0], w[1]]).collect();
        spans.pop();
        spans
    }

    fn width_dimension(&self, span: [f64; 2], view: &View, y: f64, line_y: f64) -> Linear {
        let ends = span.map(|x| view.at((x, y)));
        Linear::new(ends, (0.0, line_y), (1.0, 0.0), (self.size)(span[1] - span[0]))
    }
}

/// The plan, ready to be drawn at some scale.
#[derive(Clone, Copy)]
pub struct PlanView<'p, 'a> {
    top: &'p Top<'a>,
    style: Style,
    /// The lane that the section is cut through, its middle where the plane is.
    cut: &'p Placed,
}

/// A lane's label, set in its lane.
struct Label {
    lines: Vec<String>,
    size: f64,
    /// Whether it reads from the right.
    is_turned: bool,
    /// Its middle along the edge, mm of paper from the lane's.
    aside: f64,
}

impl Label {
    /// How far it reaches from the edge, mm of paper.
    fn reach(&self) -> f64 {
        let widest = self.lines.iter().map(|line| width(line, self.size, false)).fold(0.0, f64::max);
        let rows = (self.lines.len() as f64 - 1.0) * LEADING * self.size + 1.6 * self.size;
        BESIDE + if self.is_turned { widest } else { rows }
    }
}

impl<'p, 'a> PlanView<'p, 'a> {
    /// The plan of `top`, cut through the lane `cut`, at its centre.
    pub fn new(top: &'p Top<'a>, style: Style, cut: &'p Placed) -> Self {
        Self { top, style, cut }
    }

    /// How it gives fence distances.
    pub fn style(&self) -> Style {
        self.style
    }

    /// Paper needed around the board, mm: left, right, above, below.
    pub fn around(&self, scale: f64) -> [f64; 4] {
        let above = self.beside(Edge::Far, scale) + self.chained(Edge::Far, scale) + CUT;
        let below = self.beside(Edge::Near, scale) + self.chained(Edge::Near, scale) + CUT + ROW;
        let right = ASIDE + self.top.aside + self.letter_aside(scale);
        // The words of the depth stand past the far edge where they do not go along it.
        let depth = self.depth_dimension(&View::upright((0.0, 0.0), scale));
        let above = if depth.fits_inside() { above } else { above.max(depth.outside_reach() + PAST_WORDS) };
        [BESIDE_DEPTH + LIFT + VALUE + CLEAR, right, above, below]
    }

    /// Height of the row of widths beside an edge, mm of paper.
    fn chained(&self, edge: Edge, scale: f64) -> f64 {
        if self.has_chain(edge, scale) { ROW } else { 0.0 }
    }

    fn has_chain(&self, edge: Edge, scale: f64) -> bool {
        self.style == Style::Dimensioned && self.top.shows_widths(scale) && !self.top.chain(edge).is_empty()
    }

    fn of_edge(&self, edge: Edge) -> impl Iterator<Item = (usize, &'p Placed)> {
        self.top.lanes.iter().enumerate().filter(move |(_, p)| p.edge == edge)
    }

    /// Height of the lettering beside an edge, mm of paper.
    fn beside(&self, edge: Edge, scale: f64) -> f64 {
        let view = View::upright((0.0, 0.0), scale);
        let labels = self.labels(edge, scale).into_iter().map(|(_, label)| label.reach());
        let outside = |(_, p): (usize, &Placed)| {
            let linear = self.fence_dimension(p, &view);
            if self.style == Style::Tabular || linear.fits_inside() { 0.0 } else { linear.outside_reach() }
        };
        let past = self.top.past[usize::from(edge == Edge::Far)] * scale;
        let reach = labels.chain(self.of_edge(edge).map(outside)).fold(past, f64::max);
        if reach > 0.0 { reach + 1.0 } else { 0.0 }
    }

    /// Draws it without the cutting plane; the corner of near edge and first lane is at `origin`.
    pub fn draw_uncut(&self, origin: impl Into<Point>, scale: f64) -> Vec<Group> {
        let view = View::upright(origin, scale);
        let mut lettered: Vec<Group> = self.of_fences(&view);
        for edge in [Edge::Near, Edge::Far] {
            lettered.extend(self.labelled(edge, &view));
            lettered.extend(self.widths(edge, &view));
        }
        lettered.extend(self.overall(&view));
        let features = (self.top.features)(&view);
        let marks = lettered.iter().chain(&features).flat_map(|g| &g.marks);
        let boxes: Vec<Rect> = marks.flat_map(lettering).collect();
        let mut groups: Vec<Group> = features.into_iter().map(|g| broken(g, &boxes)).collect();
        groups.extend(lettered);
        groups
    }

    /// Draws it; the corner of near edge and first lane is at `origin`.
    pub fn draw(&self, origin: impl Into<Point>, scale: f64) -> Vec<Group> {
        let origin = origin.into();
        let mut groups = self.draw_uncut(origin, scale);
        groups.push(self.cutting_plane(&View::upright(origin, scale)));
        groups
    }

    /// The edge a lane registers on, as `y` of the plan, and the sense in which its fence lies.
    fn edge_y(&self, edge: Edge) -> (f64, f64) {
        match edge {
            Edge::Near => (0.0, 1.0),
            Edge::Far => (self.top.depth, -1.0),
        }
    }

    /// The dimension of a lane's fence, its line at the right of the lane's middle and of its words.
    fn fence_dimension(&self, placed: &Placed, view: &View) -> Linear {
        // Clear of the square line beside the middle, either side of it.
        let band = if self.top.marks { placed.blade_width / 4.0 * view.scale } else { 0.0 };
        let room = (placed.x[1] - placed.centre) * view.scale - WITHIN;
        let places = [RIGHT, band + RIGHT];
        let is_clear = |right: &f64| !self.top.marks || band - right >= BETWEEN || band + RIGHT <= *right + 1e-9;
        let found = places.into_iter().find(|right| *right <= room && is_clear(right));
        // Outside its lane's table the words stand alone: as far to the right as the lane goes, beside the label.
        let inside = found.map(|right| self.fence_line(placed, view, right, false)).filter(Linear::fits_inside);
        inside.unwrap_or_else(|| self.fence_line(placed, view, room - WITHIN, true))
    }

    fn fence_line(&self, placed: &Placed, view: &View, right: f64, always_outside: bool) -> Linear {
        let (edge, sense) = self.edge_y(placed.edge);
        let fence = edge + sense * placed.lane.fence();
        let ends = [edge, fence].map(|y| view.at((placed.centre, y)) + (right, 0.0));
        Linear {
            ends,
            through: ends[0],
            along: Vec2::new(0.0, -1.0),
            words: match self.style {
                Style::Dimensioned => (self.top.words)(placed),
                Style::Tabular => FENCE_LETTER.into(),
            },
            extended: false,
            outside: End::First,
            always_outside,
        }
    }

    /// The fence distances, or the one that tells what the table's letter spans.
    fn of_fences(&self, view: &View) -> Vec<Group> {
        if self.style == Style::Tabular {
            return self.letters(view);
        }
        let dimension = |placed: &Placed| {
            let id = &placed.lane.request.id;
            let (fence, tolerance) = (placed.lane.finished(), placed.lane.fence_tolerance());
            drawn(&format!("fence-{id}"), "fence_distance", fence, &self.fence_dimension(placed, view))
                .with("lane", id)
                .with("lower", fence - tolerance)
                .with("upper", fence + tolerance)
        };
        self.top.lanes.iter().map(dimension).collect()
    }

    /// What the letter spans.
    fn letters(&self, view: &View) -> Vec<Group> {
        let letter = |(placed, linear): (&Placed, Linear)| {
            drawn("fence-letter", "fence-letter", placed.lane.fence(), &linear).with("lane", &placed.lane.request.id)
        };
        self.lettered(view).map(letter).into_iter().collect()
    }

    /// The lane that shows what the letter spans: of those in which it goes the one with most room; where it goes in
    /// none, the last one, at the right of the board.
    fn lettered(&self, view: &View) -> Option<(&'p Placed, Linear)> {
        let room = |p: &Placed| p.lane.fence().min(p.x[1] - p.x[0]);
        let inside =
            |p: &'p Placed| Some((p, self.fence_dimension(p, view))).filter(|(_, linear)| linear.fits_inside());
        let roomiest = |a: &(&Placed, Linear), b: &(&Placed, Linear)| room(a.0).total_cmp(&room(b.0));
        self.top.lanes.iter().filter_map(inside).max_by(roomiest).or_else(|| {
            let last = |edge| self.of_edge(edge).map(|(_, p)| p).max_by(|a, b| a.x[1].total_cmp(&b.x[1]));
            let placed = last(Edge::Near).or_else(|| last(Edge::Far))?;
            let (edge, sense) = self.edge_y(placed.edge);
            let fence = edge + sense * placed.lane.fence();
            let ends = [view.at((self.top.length, edge)), view.at((placed.x[1], fence))];
            let at = ends[0] + (self.top.aside + RIGHT, 0.0);
            Some((placed, Linear { outside: End::First, ..Linear::new(ends, at, (0.0, -1.0), FENCE_LETTER) }))
        })
    }

    /// Space for the letter at the right of the board, mm of paper.
    fn letter_aside(&self, scale: f64) -> f64 {
        let lettered = self.lettered(&View::upright((0.0, 0.0), scale)).filter(|_| self.style == Style::Tabular);
        lettered.filter(|(_, linear)| linear.extended).map_or(0.0, |_| RIGHT + BETWEEN)
    }

    /// The labels of an edge's lanes, all level or all turned.
    fn labels(&self, edge: Edge, scale: f64) -> Vec<(&'p Placed, Label)> {
        let view = View::upright((0.0, 0.0), scale);
        let set: Vec<(&Placed, String, f64, [f64; 2])> = self
            .of_edge(edge)
            .map(|(i, placed)| {
                let [left, right] = placed.x.map(|x| (x - placed.centre) * scale);
                let (words, size) = match self.style {
                    Style::Tabular => ((i + 1).to_string(), SMALL),
                    Style::Dimensioned => (placed.label(), VALUE),
                };
                let linear = self.fence_dimension(placed, &view);
                let taken = match self.style {
                    Style::Dimensioned if !linear.fits_inside() => RIGHT + WITHIN,
                    _ => 0.0,
                };
                (placed, words, size, [left + WITHIN, right - WITHIN - taken])
            })
            .collect();
        let lines_in = |words: &str, size: f64, [left, right]: [f64; 2]| {
            // Words are not broken: what tells lanes apart stays whole.
            let fit = words.split_whitespace().all(|word| width(word, size, false) <= right - left);
            (if fit { wrap(words, size, right - left) } else { Vec::new() }, fit)
        };
        let is_turned = set.iter().any(|(_, words, size, room)| !lines_in(words, *size, *room).1);
        let label = |(placed, words, size, room): (&'p Placed, String, f64, [f64; 2])| {
            let lines = if is_turned { vec![words] } else { lines_in(&words, size, room).0 };
            (placed, Label { lines, size, is_turned, aside: (room[0] + room[1]) / 2.0 })
        };
        set.into_iter().map(label).collect()
    }

    fn labelled(&self, edge: Edge, view: &View) -> Vec<Group> {
        let (edge_y, sense) = self.edge_y(edge);
        let draw = |(placed, label): (&Placed, Label)| {
            let request = &placed.lane.request;
            let mut group = Group::new(format!("label-{}", request.id), "lane-label")
                .with("lane", &request.id)
                .with("tool", &request.label)
                .with("angle", request.angle);
            let at = view.at((placed.centre, edge_y)) + (label.aside, sense * BESIDE);
            let size = label.size;
            if label.is_turned {
                let anchor = if edge == Edge::Near { Anchor::End } else { Anchor::Start };
                for line in &label.lines {
                    group.text(Text::new(at + (size / 2.0, 0.0), size, anchor, line.as_str()).turned(-90.0));
                }
                return group;
            }
            let first = match edge {
                Edge::Near => size,
                Edge::Far => -(label.lines.len() as f64 - 1.0) * LEADING * size,
            };
            for (i, line) in label.lines.iter().enumerate() {
                let down = first + i as f64 * LEADING * size;
                group.text(Text::new(at + (0.0, down), size, Anchor::Middle, line.as_str()));
            }
            group
        };
        self.labels(edge, view.scale).into_iter().map(draw).collect()
    }

    /// The widths of an edge's lanes, in a chain.
    fn widths(&self, edge: Edge, view: &View) -> Vec<Group> {
        if self.style == Style::Tabular {
            return Vec::new();
        }
        if !self.has_chain(edge, view.scale) {
            return Vec::new();
        }
        let (edge_y, sense) = self.edge_y(edge);
        // Words stand above their line, which is outward at the far edge.
        let line = if edge == Edge::Near { LINE } else { ROW - LINE + ABOVE_FAR };
        let line_y = view.at((0.0, edge_y)).y + sense * (self.beside(edge, view.scale) + line);
        let draw = |(i, span): (usize, [f64; 2])| {
            let linear = self.top.width_dimension(span, view, edge_y, line_y);
            drawn(&format!("width-{}-{}", edge.name(), i + 1), "lane-width", span[1] - span[0], &linear)
        };
        self.top.chain(edge).into_iter().enumerate().map(draw).collect()
    }

    fn depth_dimension(&self, view: &View) -> Linear {
        let corner = view.at((0.0, 0.0));
        let ends = [corner, view.at((0.0, self.top.depth))];
        Linear::new(ends, (corner.x - BESIDE_DEPTH, 0.0), (0.0, -1.0), (self.top.size)(self.top.depth))
    }

    fn overall(&self, view: &View) -> Vec<Group> {
        let length = self.top.length;
        let corner = view.at((0.0, 0.0));
        let low = corner.y + self.around(view.scale)[3] - ROW + LINE;
        let ends = [corner, view.at((length, 0.0))];
        let along = Linear::new(ends, (0.0, low), (1.0, 0.0), (self.top.size)(length));
        vec![
            drawn("depth", "depth", self.top.depth, &self.depth_dimension(view)),
            drawn("length", "length", length, &along),
        ]
    }

    /// The ends of the cutting plane, outside all lettering of the lanes; one looks to the left.
    fn cutting_plane(&self, view: &View) -> Group {
        let mut group = Group::new("cutting-plane", "note").with("lane", &self.cut.lane.request.id);
        for edge in [Edge::Near, Edge::Far] {
            let (edge_y, sense) = self.edge_y(edge);
            let at = view.at((self.cut.centre, edge_y));
            let from = at.y + sense * (self.beside(edge, view.scale) + self.chained(edge, view.scale) + 0.8);
            let (a, b) = (Point::new(at.x, from), Point::new(at.x, from + sense * (CUT - 1.6)));
            group.line(a, b, Pen::Wide);
            let shaft = a.midpoint(b);
            let tip = shaft - (2.0 * ARROW, 0.0);
            group.line(shaft, tip, Pen::Narrow);
            group.arrow(tip, (-1.0, 0.0));
            let mut letter = Text::new(shaft + (2.8, VALUE / 2.0), VALUE, Anchor::Middle, "A").bold();
            // The extension line of the block's length runs here.
            let side = view.at((self.top.length, edge_y)).x;
            let half = letter.width() / 2.0 + 2.0 * CLEAR;
            if (side - letter.at.x).abs() < half {
                letter.at.x = side + half;
            }
            group.text(letter);
        }
        group
    }
}

/// The boxes around lettering, also that of what is drawn, with some clear space.
fn lettering(mark: &Mark) -> Vec<Rect> {
    match mark {
        Mark::Text(text) => vec![around(text.corners()).inset(2.0 * CLEAR)],
        Mark::Path { contours, fill: Fill::Ink, .. } => {
            contours.iter().map(|contour| around(contour.iter().copied()).inset(CLEAR)).collect()
        }
        _ => Vec::new(),
    }
}

/// The same with its dashed lines broken where lettering stands (lines make way for it: ISO 128-2, from memory).
fn broken(mut group: Group, boxes: &[Rect]) -> Group {
    let is_hidden = |mark: &Mark| matches!(mark.pen(), Pen::Dashed | Pen::DoubleDot);
    if !group.marks.iter().any(is_hidden) {
        return group;
    }
    let marks = std::mem::take(&mut group.marks);
    for mark in marks {
        if !is_hidden(&mark) {
            group.marks.push(mark);
            continue;
        }
        let pen = mark.pen();
        for segment in mark.path().segments().map(|s| [kurbo::ParamCurve::start(&s), kurbo::ParamCurve::end(&s)]) {
            for [from, to] in outside(segment, boxes) {
                group.line(from, to, pen);
            }
        }
    }
    group
}

/// What boxes leave of a line.
fn outside(segment: [Point; 2], boxes: &[Rect]) -> Vec<[Point; 2]> {
    let mut rest = vec![segment];
    for by in boxes {
        let cut = |[a, b]: [Point; 2]| match clash::clipped([a, b], *by) {
            Some([from, to]) => [[a, from], [to, b]].into_iter().filter(|[p, q]| apart(*p, *q) > CLEAR).collect(),
            None => vec![[a, b]],
        };
        rest = rest.into_iter().flat_map(cut).collect();
    }
    rest
}

/// The plan of `top` alone, for a screen, and the box around it: at the smaller of the scales at which nothing overlaps,
/// since lettering is then larger beside it; where it overlaps at all of them, without dimensions in its lanes.
pub fn alone(top: &Top<'_>, scales: &[f64]) -> Option<(Vec<Group>, Rect)> {
    let cut = top.lanes.first()?;
    let draw = |style: Style, scale: f64| PlanView::new(top, style, cut).draw_uncut((0.0, 0.0), scale);
    let dimensioned = scales.iter().map(|scale| draw(Style::Dimensioned, *scale));
    let clear = dimensioned.into_iter().find(|groups| clash::among(groups).is_empty());
    let groups = clear.or_else(|| scales.last().map(|scale| draw(Style::Tabular, *scale)))?;
    let extent = clash::extent(&groups);
    Some((groups, extent))
}
