//! Points and polygons that are moved until they touch.

/// A point or an arrow, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    pub x: f64,
    pub y: f64,
}

pub const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

impl Point {
    pub fn plus(self, o: Point) -> Point {
        at(self.x + o.x, self.y + o.y)
    }

    pub fn minus(self, o: Point) -> Point {
        at(self.x - o.x, self.y - o.y)
    }

    pub fn times(self, f: f64) -> Point {
        at(self.x * f, self.y * f)
    }

    pub fn dot(self, o: Point) -> f64 {
        self.x * o.x + self.y * o.y
    }

    pub fn cross(self, o: Point) -> f64 {
        self.x * o.y - self.y * o.x
    }

    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    pub fn unit(self) -> Point {
        self.times(1.0 / self.length())
    }

    /// Angle from the x axis, radians, counter-clockwise.
    pub fn angle(self) -> f64 {
        self.y.atan2(self.x)
    }

    /// Turned about the origin, radians, counter-clockwise.
    pub fn turned(self, radians: f64) -> Point {
        let (sin, cos) = radians.sin_cos();
        at(self.x * cos - self.y * sin, self.x * sin + self.y * cos)
    }
}

/// The sides of a closed polygon.
pub fn sides(polygon: &[Point]) -> impl Iterator<Item = [Point; 2]> + '_ {
    (0..polygon.len()).map(|i| [polygon[i], polygon[(i + 1) % polygon.len()]])
}

/// How far `from` goes along the unit arrow `way` until it is on the side; `None` where it passes by.
fn ray(from: Point, way: Point, [a, b]: [Point; 2]) -> Option<f64> {
    let side = b.minus(a);
    let slant = way.cross(side);
    if slant == 0.0 {
        return None;
    }
    let to = a.minus(from);
    let on_side = to.cross(way) / slant;
    (0.0..=1.0).contains(&on_side).then(|| to.cross(side) / slant)
}

/// Whose corner touched.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Corner {
    Moving(usize),
    Fixed(usize),
}

/// How far `moving` slides along the unit arrow `way` until it touches `fixed`, and the corner that does.
///
/// Two straight-sided shapes first meet at a corner of one of them, so corners against sides, both ways, are all there
/// is to look at. They must start apart, with `fixed` ahead.
pub fn slide(moving: &[Point], fixed: &[Point], way: Point) -> Option<(f64, Corner)> {
    let back = way.times(-1.0);
    let ours = moving.iter().enumerate().flat_map(|(i, &corner)| {
        sides(fixed).filter_map(move |side| ray(corner, way, side)).map(move |d| (d, Corner::Moving(i)))
    });
    let theirs = fixed.iter().enumerate().flat_map(|(i, &corner)| {
        sides(moving).filter_map(move |side| ray(corner, back, side)).map(move |d| (d, Corner::Fixed(i)))
    });
    ours.chain(theirs).min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Nearest point to `p` of a side.
fn nearest(p: Point, [a, b]: [Point; 2]) -> Point {
    let side = b.minus(a);
    let along = p.minus(a).dot(side) / side.dot(side);
    a.plus(side.times(along.clamp(0.0, 1.0)))
}

fn inside(p: Point, polygon: &[Point]) -> bool {
    let crossed =
        |[a, b]: &[Point; 2]| (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
    sides(polygon).filter(crossed).count() % 2 == 1
}

/// Distance of `p` from a polygon, below zero inside it, and the polygon's point nearest to it.
pub fn distance(p: Point, polygon: &[Point]) -> (f64, Point) {
    let (d, q) = sides(polygon)
        .map(|side| nearest(p, side))
        .map(|q| (q.minus(p).length(), q))
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .expect("a polygon has sides");
    if inside(p, polygon) { (-d, q) } else { (d, q) }
}

/// Halves `[no, yes]` until it is no wider than `width`; `holds` is false at `no` and true at `yes`. Gives `yes`.
pub fn bisect(mut no: f64, mut yes: f64, width: f64, holds: impl Fn(f64) -> bool) -> f64 {
    while (yes - no).abs() > width {
        let middle = 0.5 * (no + yes);
        if middle == no || middle == yes {
            break;
        }
        if holds(middle) {
            yes = middle;
        } else {
            no = middle;
        }
    }
    yes
}
