//! The plan of a plate as it stands in a written file: straight runs, and the first of them that a ray meets.

use foldhash::{HashMap, HashMapExt};
use kurbo::{Axis, Point, Vec2};

use crate::solid::probe;

/// Straight runs, mm on the plate.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CutSection {
    runs: Vec<[Point; 2]>,
}

/// Where a ray looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Toward {
    /// To the left, against the first axis.
    Left,
    /// To the right.
    Right,
    /// Down, against the second axis.
    Down,
    /// Up.
    Up,
}

/// The closed polylines of a DXF of release 12, by layer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layers(HashMap<String, Vec<Vec<Point>>>);

impl Layers {
    /// Reads all of them.
    pub fn of_dxf(dxf: &[u8]) -> Self {
        let text = String::from_utf8_lossy(dxf);
        let mut lines = text.lines().map(str::trim);
        let mut layers: HashMap<String, Vec<Vec<Point>>> = HashMap::new();
        let (mut entity, mut layer) = ("", "");
        while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
            match (code, entity) {
                ("0", _) => entity = value,
                ("8", "POLYLINE") => {
                    layer = value;
                    layers.entry(value.to_string()).or_default().push(Vec::new());
                }
                ("8", "VERTEX") => {
                    layer = value;
                    layers
                        .get_mut(value)
                        .and_then(|all| all.last_mut())
                        .into_iter()
                        .for_each(|o| o.push(Point::ORIGIN));
                }
                ("10" | "20", "VERTEX") => {
                    let axis = if code == "10" { Axis::Horizontal } else { Axis::Vertical };
                    let outline = layers.get_mut(layer).and_then(|outlines| outlines.last_mut());
                    outline
                        .and_then(|outline| outline.last_mut())
                        .into_iter()
                        .for_each(|c| c.set_coord(axis, value.parse().unwrap_or(f64::NAN)));
                }
                _ => {}
            }
        }
        Self(layers)
    }

    /// A layer, moved so that `origin` becomes zero.
    pub fn section(&self, layer: &str, origin: Vec2) -> CutSection {
        let outlines = self.0.get(layer).into_iter().flatten();
        let moved = outlines.map(|outline| outline.iter().map(|corner| *corner - origin).collect());
        CutSection::of_outlines(&moved.collect::<Vec<Vec<Point>>>())
    }
}

impl CutSection {
    /// The section of a binary STL at the height `z`, mm, whose axes were multiplied by `factors`.
    ///
    /// # Errors
    /// Why it is no STL.
    pub fn of_stl(stl: &[u8], factors: [f64; 3], z: f64) -> std::io::Result<Self> {
        let mut runs = Vec::new();
        probe::for_each_facet(stl, factors, |facet| runs.extend(probe::cut(facet, z)))?;
        Ok(Self { runs })
    }

    /// The closed path of a group of a drawing of full size, moved so that its first corner becomes zero, `y` up.
    pub fn of_svg(svg: &[u8], group: &str) -> Self {
        let text = String::from_utf8_lossy(svg);
        let from_group = text.split_once(&format!("id=\"{group}\"")).map(|(_, rest)| rest);
        let path = from_group.and_then(|rest| Some(rest.split_once(" d=\"")?.1.split_once('"')?.0)).unwrap_or_default();
        let corner = |part: &str| {
            let (x, y) = part.trim().split_once(' ')?;
            Some(Point::new(x.parse().ok()?, y.parse().ok()?))
        };
        let corners: Vec<Point> = path.split(['M', 'L', 'Z']).filter_map(corner).collect();
        let first = corners.first().copied().unwrap_or_default();
        Self::of_outlines(&[corners.into_iter().map(|c| Point::new(c.x - first.x, first.y - c.y)).collect()])
    }

    fn of_outlines(outlines: &[Vec<Point>]) -> Self {
        let runs = outlines.iter().flat_map(|o| (0..o.len()).map(|i| [o[i], o[(i + 1) % o.len()]]));
        Self { runs: runs.collect() }
    }

    /// The first run that a ray from a point meets: its coordinate along the ray's axis.
    pub fn met(&self, from: impl Into<Point>, toward: Toward) -> Option<f64> {
        let from = from.into();
        let (axis, sense) = match toward {
            Toward::Left => (Axis::Horizontal, -1.0),
            Toward::Right => (Axis::Horizontal, 1.0),
            Toward::Down => (Axis::Vertical, -1.0),
            Toward::Up => (Axis::Vertical, 1.0),
        };
        let crossed = self.runs.iter().filter_map(|run| crossing(run, axis, from.get_coord(axis.cross())));
        let ahead = crossed.filter(|at| sense * (at - from.get_coord(axis)) >= 0.0);
        ahead.min_by(|a, b| (sense * a).total_cmp(&(sense * b)))
    }
}

/// Where a run crosses the line along `axis` at `at` across it.
fn crossing([a, b]: &[Point; 2], axis: Axis, at: f64) -> Option<f64> {
    let [from, to] = [a, b].map(|p| p.get_coord(axis.cross()));
    if (from <= at) == (to <= at) {
        return None;
    }
    Some(a.lerp(*b, (at - from) / (to - from)).get_coord(axis))
}
