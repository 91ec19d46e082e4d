//! The closed B-rep of a stack of slabs, built directly from its levels.
//!
//! Each slab gives its walls, each level its caps. A corner is known by its level and its place there and an edge by its
//! pair of corners, so that neighbouring faces share them and the shell is closed by construction. It is truck's, in the
//! form in which truck keeps shells in files: by numbers, since a shell of its joined parts takes four times as long.

use foldhash::{HashMap, HashMapExt};
use truck_modeling::{Curve, InnerSpace, Line, Plane, Point3, Surface, Vector3};
use truck_topology::compress::{CompressedEdge, CompressedEdgeIndex, CompressedFace, CompressedShell};

use super::NotSound;
use super::levels::{self, Cap, Level, sides};
use crate::shape::stack::Stack;

/// Points, edges and faces by their numbers, mm.
pub type Shell = CompressedShell<Point3, Curve, Surface>;

/// Builds the shell; faces look outward.
///
/// # Errors
/// [`NotSound::NotFlat`] or [`NotSound::Open`].
pub fn build(stack: &Stack) -> Result<Shell, NotSound> {
    build_on(stack, &levels::levels_of(stack))
}

/// Builds the shell of `stack`, whose levels are `levels`.
///
/// # Errors
/// As [`build`].
pub fn build_on(stack: &Stack, levels: &[Level]) -> Result<Shell, NotSound> {
    let mut parts = Parts::on(levels);
    for (i, level) in levels.iter().enumerate() {
        for cap in &level.up {
            parts.cap(i, cap, true)?;
        }
        for cap in &level.down {
            parts.cap(i, cap, false)?;
        }
    }
    for (i, (slab, pair)) in stack.slabs.iter().zip(levels.windows(2)).enumerate() {
        for outline in &slab.region {
            let [low, high] = [&pair[0], &pair[1]].map(|level| level.places(outline));
            for (low, high) in sides(&low).zip(sides(&high)) {
                parts.wall(parts.side(i, low), parts.side(i + 1, high))?;
            }
        }
    }
    match parts.runs.iter().filter(|runs| **runs != [1, 1]).count() {
        0 => Ok(parts.shell),
        open => Err(NotSound::Open(open)),
    }
}

/// A corner: the number of its level and its place there.
type Spot = [u32; 2];

/// What is made so far.
struct Parts<'a> {
    levels: &'a [Level],
    shell: Shell,
    /// The vertices at the corners of each level.
    vertices: Vec<Vec<Option<u32>>>,
    /// Edges by their vertices, the smaller number first.
    edges: HashMap<[u32; 2], usize>,
    /// How often faces run along each edge: the way it goes, and the other way.
    runs: Vec<[u32; 2]>,
}

impl<'a> Parts<'a> {
    fn on(levels: &'a [Level]) -> Self {
        let corners = levels.iter().map(|level| level.corners.len()).sum::<usize>();
        // More than there will be: one along its level a corner, and one up or down that two share.
        let edges = 2 * corners;
        Self {
            levels,
            shell: Shell {
                vertices: Vec::with_capacity(corners),
                edges: Vec::with_capacity(edges),
                faces: Vec::with_capacity(corners),
            },
            vertices: levels.iter().map(|level| vec![None; level.corners.len()]).collect(),
            edges: HashMap::with_capacity(edges),
            runs: Vec::with_capacity(edges),
        }
    }

    /// The corners of a side, split, both ends included.
    fn side(&self, level: usize, ends: [u32; 2]) -> Vec<Spot> {
        self.levels[level].side(ends).into_iter().map(|place| [level as u32, place]).collect()
    }

    fn vertex(&mut self, [level, place]: Spot) -> u32 {
        let [level, place] = [level, place].map(|i| i as usize);
        let Shell { vertices, .. } = &mut self.shell;
        *self.vertices[level][place].get_or_insert_with(|| {
            let mm = |v: i32| f64::from(v) / 1000.0;
            let Level { z, corners, .. } = &self.levels[level];
            let [x, y] = corners[place];
            vertices.push(Point3::new(mm(x), mm(y), mm(*z)));
            (vertices.len() - 1) as u32
        })
    }

    fn edge(&mut self, [a, b]: [u32; 2]) -> CompressedEdgeIndex {
        let Shell { vertices, edges, .. } = &mut self.shell;
        let index = *self.edges.entry([a.min(b), a.max(b)]).or_insert_with(|| {
            let ends = (a as usize, b as usize);
            let curve = Curve::Line(Line(vertices[ends.0], vertices[ends.1]));
            edges.push(CompressedEdge { vertices: ends, curve });
            self.runs.push([0, 0]);
            edges.len() - 1
        });
        let orientation = edges[index].vertices.0 == a as usize;
        self.runs[index][usize::from(!orientation)] += 1;
        CompressedEdgeIndex { index, orientation }
    }

    fn boundary(&mut self, spots: &[Spot]) -> Vec<CompressedEdgeIndex> {
        let corners: Vec<u32> = spots.iter().map(|&spot| self.vertex(spot)).collect();
        sides(&corners).map(|side| self.edge(side)).collect()
    }

    fn cap(&mut self, level: usize, cap: &Cap, looks_up: bool) -> Result<(), NotSound> {
        let boundary = |outline: &Vec<u32>| {
            let mut spots: Vec<Spot> = outline.iter().map(|&place| [level as u32, place]).collect();
            if !looks_up {
                spots.reverse();
            }
            self.boundary(&spots)
        };
        let boundaries = cap.iter().map(boundary).collect();
        let (x, y) = (Vector3::unit_x(), Vector3::unit_y());
        self.face(boundaries, if looks_up { [x, y] } else { [y, x] })
    }

    /// The wall over one side of an outline; material is on the left of the side, so the wall looks to its right.
    fn wall(&mut self, low: Vec<Spot>, high: Vec<Spot>) -> Result<(), NotSound> {
        let [from, to] = match low[..] {
            [from, .., to] => [from, to].map(|[level, place]| self.levels[level as usize].corners[place as usize]),
            _ => return Err(NotSound::NotFlat),
        };
        let along = Vector3::new(f64::from(to[0] - from[0]), f64::from(to[1] - from[1]), 0.0).normalize();
        let spots: Vec<Spot> = low.into_iter().chain(high.into_iter().rev()).collect();
        let boundary = self.boundary(&spots);
        self.face(vec![boundary], [along, Vector3::unit_z()])
    }

    /// A face in the plane through its first corner along two unit vectors: the plane is known, and need not be sought.
    fn face(
        &mut self,
        boundaries: Vec<Vec<CompressedEdgeIndex>>,
        [along, across]: [Vector3; 2],
    ) -> Result<(), NotSound> {
        let first = boundaries.first().and_then(|boundary| boundary.first()).ok_or(NotSound::NotFlat)?;
        let (from, to) = self.shell.edges[first.index].vertices;
        let origin = self.shell.vertices[if first.orientation { from } else { to }];
        let surface = Surface::Plane(Plane::new(origin, origin + along, origin + across));
        self.shell.faces.push(CompressedFace { boundaries, orientation: true, surface });
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shape::polygon::Outline;
    use crate::shape::stack::Slab;

    /// A low block with a smaller one on a corner of it.
    fn tower() -> Stack {
        let square = |side: i32| vec![Outline::through([[0, 0], [side, 0], [side, side], [0, side]])];
        Stack {
            slabs: vec![
                Slab { z: [0, 5_000], region: square(10_000) },
                Slab { z: [5_000, 9_000], region: square(4_000) },
            ],
        }
    }

    #[test]
    fn corners_edges_and_faces_are_made_once_each() {
        let shell = build(&tower()).expect("closed");
        let counts = [shell.vertices.len(), shell.edges.len(), shell.faces.len()];
        // The small square stands in a corner of the large one, whose top and two of whose sides are split there.
        // Vertices, less edges, plus faces is two for any solid without a hole (Euler).
        assert_eq!(counts, [4 + 4 + 3 + 4, 4 + 8 + 4 + 8, 1 + 4 + 1 + 4 + 1]);
        assert_eq!(counts[0] + counts[2], counts[1] + 2);
    }

    /// Every boundary goes on where its last edge ended, and each edge is gone along once either way.
    #[test]
    fn boundaries_run_from_corner_to_corner() {
        let shell = build(&tower()).expect("closed");
        let mut gone = vec![[0; 2]; shell.edges.len()];
        for boundary in shell.faces.iter().flat_map(|face| &face.boundaries) {
            let ends = |edge: &CompressedEdgeIndex| {
                let (from, to) = shell.edges[edge.index].vertices;
                if edge.orientation { (from, to) } else { (to, from) }
            };
            for [edge, next] in sides(boundary) {
                assert_eq!(ends(&edge).1, ends(&next).0);
                gone[edge.index][usize::from(edge.orientation)] += 1;
            }
        }
        assert_eq!(gone, vec![[1; 2]; shell.edges.len()]);
    }

    #[test]
    fn a_shell_without_one_of_its_faces_is_open_at_the_edges_of_that() {
        let mut levels = levels::levels_of(&tower());
        let faces = |levels: &[Level]| build_on(&tower(), levels).map(|shell| shell.faces.len());
        assert_eq!(faces(&levels), Ok(11));
        let top = std::mem::take(&mut levels[2].up);
        assert_eq!(faces(&levels), Err(NotSound::Open(4)));
        levels[2].up = [top.clone(), top].concat();
        assert_eq!(faces(&levels), Err(NotSound::Open(4)), "a face twice");
    }
}
