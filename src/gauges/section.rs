//! The plan of a plate as it stands in a written file: straight runs, and the first of them that a ray meets.

use crate::solid::probe;

/// Straight runs, mm on the plate.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CutSection {
    runs: Vec<[[f64; 2]; 2]>,
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

    /// The closed polylines of a layer of a DXF of release 12, moved so that `origin` becomes zero.
    pub fn of_dxf(dxf: &[u8], layer: &str, origin: [f64; 2]) -> Self {
        let text = String::from_utf8_lossy(dxf);
        let mut lines = text.lines().map(str::trim);
        let mut outlines: Vec<Vec<[f64; 2]>> = Vec::new();
        let mut entity = "";
        let mut on_layer = false;
        while let (Some(code), Some(value)) = (lines.next(), lines.next()) {
            let number = || value.parse().unwrap_or(f64::NAN);
            match code {
                "0" => entity = value,
                "8" => {
                    on_layer = value == layer;
                    match entity {
                        "POLYLINE" if on_layer => outlines.push(Vec::new()),
                        "VERTEX" if on_layer => outlines.last_mut().into_iter().for_each(|o| o.push([0.0; 2])),
                        _ => {}
                    }
                }
                "10" | "20" if entity == "VERTEX" && on_layer => {
                    let axis = usize::from(code == "20");
                    let last = outlines.last_mut().and_then(|o| o.last_mut());
                    last.into_iter().for_each(|c| c[axis] = number() - origin[axis]);
                }
                _ => {}
            }
        }
        Self::of_outlines(&outlines)
    }

    /// The closed path of a group of a drawing of full size, moved so that its first corner becomes zero, `y` up.
    pub fn of_svg(svg: &[u8], group: &str) -> Self {
        let text = String::from_utf8_lossy(svg);
        let from_group = text.split_once(&format!("id=\"{group}\"")).map(|(_, rest)| rest);
        let path = from_group.and_then(|rest| Some(rest.split_once(" d=\"")?.1.split_once('"')?.0)).unwrap_or_default();
        let corner = |part: &str| {
            let (x, y) = part.trim().split_once(' ')?;
            Some([x.parse::<f64>().ok()?, y.parse::<f64>().ok()?])
        };
        let corners: Vec<[f64; 2]> = path.split(['M', 'L', 'Z']).filter_map(corner).collect();
        let [x, y] = corners.first().copied().unwrap_or_default();
        Self::of_outlines(&[corners.into_iter().map(|c| [c[0] - x, y - c[1]]).collect()])
    }

    fn of_outlines(outlines: &[Vec<[f64; 2]>]) -> Self {
        let runs = outlines.iter().flat_map(|o| (0..o.len()).map(|i| [o[i], o[(i + 1) % o.len()]]));
        Self { runs: runs.collect() }
    }

    /// The first run that a ray from a point meets: its coordinate along the ray's axis.
    pub fn met(&self, from: [f64; 2], toward: Toward) -> Option<f64> {
        let (axis, sense) = match toward {
            Toward::Left => (0, -1.0),
            Toward::Right => (0, 1.0),
            Toward::Down => (1, -1.0),
            Toward::Up => (1, 1.0),
        };
        let crossed = self.runs.iter().filter_map(|run| crossing(run, axis, from[1 - axis]));
        let ahead = crossed.filter(|at| sense * (at - from[axis]) >= 0.0);
        ahead.min_by(|a, b| (sense * a).total_cmp(&(sense * b)))
    }
}

/// Where a run crosses the line along `axis` at `at` across it.
fn crossing([a, b]: &[[f64; 2]; 2], axis: usize, at: f64) -> Option<f64> {
    let across = 1 - axis;
    if (a[across] <= at) == (b[across] <= at) {
        return None;
    }
    let t = (at - a[across]) / (b[across] - a[across]);
    Some(a[axis] + t * (b[axis] - a[axis]))
}
