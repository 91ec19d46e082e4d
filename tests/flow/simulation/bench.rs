//! Guide and blade as plain polygons, turned down onto a stone and slid up to a block.

use super::plane::{Corner, Point, at, bisect, distance, slide};
use super::rig::Rig;
use stopwright::terms::Locates;

/// Corners of the blade.
pub const EDGE: usize = 0;
const BACK_END: usize = 1;
const UNDERSIDE_END: usize = 2;
const HEEL: usize = 3;

/// Corners of the guide's front plate.
pub const FACE_LOWER_END: usize = 0;

/// Level of a face's lower end that no profile states: below everything.
const DEEP: f64 = -300.0;

/// Height of the face above the seat: more than any tapered blade lets the table rise, which is all that matters.
const TALL: f64 = 150.0;

/// Corners of the board.
pub const ARRIS: usize = 0;
pub const EDGE_FOOT: usize = 1;

/// Guide and blade in one frame: at first the guide's, later the block's. The roller's centre is `axle`.
#[derive(Debug, Clone)]
pub struct Assembly {
    pub blade: [Point; 4],
    pub plate: [Point; 3],
    pub axle: Point,
}

/// What came down on the stone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Edge,
    Heel,
    Face,
}

/// A pose on the stone.
#[derive(Debug, Clone, Copy)]
pub struct Touch {
    /// What touches.
    pub part: Part,
    /// Angle between back and stone, degrees.
    pub bevel: f64,
    /// How far ahead of the axle the heel lies, mm.
    pub heel_ahead: f64,
}

/// The blade lying on its underside, edge at x = 0 and pointing along x.
fn blade(rig: &Rig) -> [Point; 4] {
    let edge = at(0.0, rig.thickness);
    let (taper, primary) = (rig.taper.to_radians(), rig.primary().to_radians());
    let back = at(-1.0, 0.0).turned(taper);
    // Some blades of this taper would be sharp at both ends; they are cut off before.
    let length = f64::min(300.0, 0.9 * rig.thickness / f64::max(taper.tan(), 1e-9));
    let bevel = back.turned(primary);
    let heel = edge.plus(bevel.times(rig.thickness / -bevel.y));
    [edge, edge.plus(back.times(length / -back.x)), at(-length, 0.0), heel]
}

/// The line of the blade that goes on the seat line, in the blade's own frame: a point of it and its way to the edge.
fn located(rig: &Rig, blade: &[Point; 4]) -> (Point, Point) {
    let to_edge = blade[EDGE].minus(blade[BACK_END]).unit();
    let down = at(to_edge.y, -to_edge.x);
    match rig.locates {
        Locates::Underside => (blade[HEEL], blade[HEEL].minus(blade[UNDERSIDE_END]).unit()),
        Locates::Back => (blade[EDGE], to_edge),
        // The middle of lands that are higher at the edge falls away from the back toward it.
        Locates::Sides => {
            let middle = to_edge.turned(-0.5 * rig.land_taper.to_radians());
            (blade[EDGE].plus(down.times(0.5 * rig.land)), middle)
        }
    }
}

/// A thin wedge behind the face, which reaches from its lower end to above the seat.
fn plate(rig: &Rig) -> [Point; 3] {
    let lower_end = rig.bottom.unwrap_or(DEEP);
    let down = at(0.0, -1.0).turned(rig.square_error.to_radians());
    let foot = at(rig.axle_to_face, rig.seat);
    let face = |level: f64| foot.plus(down.times((rig.seat - level) / -down.y));
    let (low, high) = (face(lower_end), face(f64::max(rig.seat, lower_end) + TALL));
    [low, high, low.plus(high).times(0.5).plus(at(-1.0, 0.0))]
}

impl Assembly {
    /// The guide frame: axle at the origin, seat along x. The edge stands out of the face by `projection` mm.
    pub fn new(rig: &Rig, projection: f64) -> Self {
        let blade = blade(rig);
        let (point, way) = located(rig, &blade);
        let turn = |p: Point| p.turned(-way.angle());
        let shift = at(rig.axle_to_face + projection - turn(blade[EDGE]).x, rig.seat - turn(point).y);
        Self { blade: blade.map(|p| turn(p).plus(shift)), plate: plate(rig), axle: at(0.0, 0.0) }
    }

    fn map(&self, f: impl Fn(Point) -> Point) -> Self {
        Self { blade: self.blade.map(&f), plate: self.plate.map(&f), axle: f(self.axle) }
    }

    /// Turned so that the underside lies along the table (y = 0), with the edge at `x`.
    pub fn on_table(&self, x: f64) -> Self {
        let tilt = self.blade[HEEL].minus(self.blade[UNDERSIDE_END]).angle();
        let flat = self.map(|p| p.turned(-tilt));
        let shift = at(x - flat.blade[EDGE].x, -flat.blade[HEEL].y);
        flat.map(|p| p.plus(shift))
    }

    /// Distance of the axle from the blade, below zero where it is not on the underside's side, and whether the
    /// underside (not the bevel or an end) is what lies nearest.
    pub fn roller_to_blade(&self) -> (f64, bool) {
        let [end, heel] = [self.blade[UNDERSIDE_END], self.blade[HEEL]];
        let under = heel.minus(end);
        let below = self.axle.minus(end).cross(under) / under.length();
        if below <= 0.0 {
            return (below, true);
        }
        let (d, q) = distance(self.axle, &self.blade);
        let along = q.minus(end).dot(under) / under.dot(under);
        let off = q.minus(end).cross(under) / under.length();
        (d, off.abs() < 1e-9 && (1e-9..1.0 - 1e-9).contains(&along))
    }

    /// Distance from the heel to the edge, measured along the underside.
    pub fn heel_to_edge(&self) -> f64 {
        self.blade[EDGE].x - self.blade[HEEL].x
    }

    /// Turns the guide about its axle, from underside level downward, until a part is on the stone.
    ///
    /// `face_margin` raises the stone under the guide alone; `bevel_only` leaves out the heel, as for a blade whose
    /// primary bevel is ground away. `None` where nothing comes down within a quarter turn.
    pub fn lower(&self, axle_height: f64, face_margin: f64, bevel_only: bool) -> Option<Touch> {
        let mut corners = vec![(Part::Edge, self.blade[EDGE], 0.0)];
        if !bevel_only {
            corners.extend([HEEL, BACK_END, UNDERSIDE_END].map(|i| (Part::Heel, self.blade[i], 0.0)));
        }
        corners.extend(self.plate.map(|p| (Part::Face, p, face_margin)));
        let lowest = |dip: f64| {
            let height = |&(part, p, stone): &(Part, Point, f64)| (p.turned(-dip).y + axle_height - stone, part);
            corners.iter().map(height).min_by(|a, b| a.0.total_cmp(&b.0)).expect("corners")
        };
        let dip = first_touch(&corners, self.blade[HEEL].minus(self.blade[UNDERSIDE_END]).angle(), |d| lowest(d).0)?;
        let back = self.blade[EDGE].minus(self.blade[BACK_END]).turned(-dip);
        let heel_ahead = self.blade[HEEL].turned(-dip).x;
        Some(Touch { part: lowest(dip).1, bevel: -back.angle().to_degrees(), heel_ahead })
    }
}

/// Turning angle at which `gap` closes, to 1e-13; the start where it is closed already.
///
/// No corner comes down faster than its distance from the axle, so a turn by `gap / distance` passes no contact by;
/// near contact the steps have a least size, and the last of them is halved.
fn first_touch(corners: &[(Part, Point, f64)], start: f64, gap: impl Fn(f64) -> f64) -> Option<f64> {
    const LEAST_STEP: f64 = 1e-4;
    let arm = corners.iter().map(|c| c.1.length()).fold(0.0, f64::max);
    let (mut clear, mut left) = (start, gap(start));
    if left <= 0.0 {
        return Some(start);
    }
    while clear < start + std::f64::consts::FRAC_PI_2 {
        let next = clear + f64::max(left / arm, LEAST_STEP);
        left = gap(next);
        if left <= 0.0 {
            return Some(bisect(clear, next, 1e-13, |dip| gap(dip) <= 0.0));
        }
        clear = next;
    }
    None
}

/// The board of a block, from its arris at the origin downward and inward.
pub fn board(thickness: f64, relief: f64) -> Vec<Point> {
    let foot = relief - thickness;
    let mut corners = vec![at(0.0, 0.0), at(0.0, foot)];
    if relief > 0.0 {
        corners.extend([at(0.4, foot), at(0.4, -thickness)]);
    }
    corners.extend([at(5000.0, -thickness), at(5000.0, 0.0)]);
    corners
}

/// Slides guide and blade along the table until face and board touch; the edge then is where the fence must stand.
/// `None` where the face passes over the board.
pub fn against_edge(guide: &Assembly, board: &[Point]) -> Option<(Assembly, Corner)> {
    let far = guide.on_table(-5000.0);
    let way = at(1.0, 0.0);
    let (run, corner) = slide(&far.plate, board, way)?;
    Some((far.map(|p| p.plus(way.times(run))), corner))
}

/// Pushes a blade on the table against a fence at `fence` mm and slides the guide along the blade until its face
/// touches the board: what a user does. Gives the projection.
pub fn set_by_fence(rig: &Rig, board: &[Point], fence: f64) -> Option<f64> {
    const OUT: f64 = 5000.0;
    let drawn_back = Assembly::new(rig, OUT);
    let seat = at(1.0, 0.0).turned(-drawn_back.blade[HEEL].minus(drawn_back.blade[UNDERSIDE_END]).angle());
    let lying = drawn_back.on_table(-1.0);
    let middle = [at(fence, 0.0), at(fence, 30.0), at(fence + 20.0, 30.0), at(fence + 20.0, 0.0)];
    let (push, _) = slide(&lying.blade, &middle, at(1.0, 0.0))?;
    let pushed = lying.map(|p| p.plus(at(push, 0.0)));
    let (run, _) = slide(&pushed.plate, board, seat)?;
    // A face that ends above the table rides onto the block or over it, which sets nothing.
    let lower_end = pushed.plate[FACE_LOWER_END].plus(seat.times(run));
    (lower_end.y < -1e-6).then_some(OUT - run)
}
