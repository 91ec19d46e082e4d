//! The block as triangles for printing, straight from its levels.
//!
//! Corners are shared from the start: a corner of the mesh is a corner of a level. Walls are strips between the runs
//! of the same side at the bottom and the top of its slab; caps are triangulated on the corners of their split sides.

use i_overlay::i_float::int::point::IntPoint;
use i_triangle::int::triangulation::IntTriangulation;
use i_triangle::int::triangulator::IntTriangulator;

use super::levels::{Cap, Level, sides};
use crate::shape::polygon::Corner;
use crate::shape::stack::Stack;

/// Triangles over shared corners.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mesh {
    /// Corners, mm.
    pub corners: Vec<[f64; 3]>,
    /// Corners of each triangle, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

/// The mesh of `stack`, whose levels are `levels`.
pub fn triangulate(stack: &Stack, levels: &[Level]) -> Mesh {
    let mut mesh = Mesh::default();
    let mut floors = Vec::with_capacity(levels.len());
    for level in levels {
        let first = mesh.corners.len() as u32;
        floors.push(Floor { level, first });
        let mm = |v: i32| f64::from(v) / 1000.0;
        mesh.corners.extend(level.corners.iter().map(|c| [mm(c[0]), mm(c[1]), mm(level.z)]));
    }
    let mut caps = Caps::default();
    for floor in &floors {
        for cap in &floor.level.up {
            mesh.triangles.extend(caps.triangles(floor, cap));
        }
        for cap in &floor.level.down {
            mesh.triangles.extend(caps.triangles(floor, cap).map(|[a, b, c]| [a, c, b]));
        }
    }
    for (slab, pair) in stack.slabs.iter().zip(floors.windows(2)) {
        for outline in &slab.region {
            let [low, high] = [&pair[0], &pair[1]].map(|floor| floor.level.places(outline));
            for (low, high) in sides(&low).zip(sides(&high)) {
                wall(&mut mesh.triangles, [&pair[0], &pair[1]], [low, high]);
            }
        }
    }
    mesh
}

/// A level and where its corners begin in the mesh.
struct Floor<'a> {
    level: &'a Level,
    first: u32,
}

impl Floor<'_> {
    fn corner(&self, place: u32) -> Corner {
        self.level.corners[place as usize]
    }
}

/// The wall over one side of an outline; material is on the left of the side, so the wall looks to its right.
fn wall(triangles: &mut Vec<[u32; 3]>, floors: [&Floor; 2], ends: [[u32; 2]; 2]) {
    let runs = [floors[0].level.side(ends[0]), floors[1].level.side(ends[1])];
    let start = floors[0].corner(ends[0][0]);
    // How far along the side the next corner of a run is.
    let along = |k: usize, i: usize| {
        let next = runs[k].get(i + 1).map(|&place| floors[k].corner(place));
        next.map_or(i64::MAX, |c| i64::from((c[0] - start[0]).abs()) + i64::from((c[1] - start[1]).abs()))
    };
    let corner = |k: usize, i: usize| floors[k].first + runs[k][i];
    let [mut low, mut high] = [0, 0];
    while low + 1 < runs[0].len() || high + 1 < runs[1].len() {
        if along(0, low) <= along(1, high) {
            triangles.push([corner(0, low), corner(0, low + 1), corner(1, high)]);
            low += 1;
        } else {
            triangles.push([corner(0, low), corner(1, high + 1), corner(1, high)]);
            high += 1;
        }
    }
}

/// Triangulates caps one after the other in the same memory.
#[derive(Default)]
struct Caps {
    triangulator: IntTriangulator<i32, u32>,
    found: IntTriangulation<i32, u32>,
}

impl Caps {
    /// The triangles of a cap, counter-clockwise seen from above.
    fn triangles(&mut self, floor: &Floor, cap: &Cap) -> impl Iterator<Item = [u32; 3]> + '_ {
        let point = |&place: &u32| {
            let [x, y] = floor.corner(place);
            IntPoint::new(x, y)
        };
        let shape: Vec<Vec<IntPoint<i32>>> = cap.iter().map(|outline| outline.iter().map(point).collect()).collect();
        // No simplification: it would drop the corners at which straight sides are split. Delaunay: no facet is so thin
        // that readers of models take it for none, where another one would do.
        self.triangulator.delaunay = true;
        self.triangulator.uncheck_triangulate_shape_into(&shape, &mut self.found);
        let corners: Vec<Corner> = self.found.points.iter().map(|p| [p.x, p.y]).collect();
        let places: Vec<u32> = floor.level.places(&corners).into_iter().map(|place| floor.first + place).collect();
        self.found.indices.as_chunks::<3>().0.iter().map(move |t| t.map(|i| places[i as usize]))
    }
}

impl Mesh {
    /// The same with its axes multiplied.
    pub fn scaled(&self, factors: [f64; 3]) -> Self {
        let corners = self.corners.iter().map(|c| [0, 1, 2].map(|i| c[i] * factors[i])).collect();
        Self { corners, triangles: self.triangles.clone() }
    }

    /// Signed volume, mm³; positive when the triangles look outward.
    pub fn volume(&self) -> f64 {
        self.triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|i| self.corners[i as usize]);
                a[0] * (b[1] * c[2] - b[2] * c[1])
                    + a[1] * (b[2] * c[0] - b[0] * c[2])
                    + a[2] * (b[0] * c[1] - b[1] * c[0])
            })
            .sum::<f64>()
            / 6.0
    }

    /// How many directed edges lack exactly one partner running the other way: 0 for a watertight mesh with
    /// consistent winding.
    pub fn open_edges(&self) -> usize {
        // Every edge is put with its lower corner, as its upper corner and its direction.
        let edges = || self.triangles.iter().flat_map(|&[a, b, c]| [[a, b], [b, c], [c, a]]);
        let mut ends = vec![0usize; self.corners.len() + 1];
        for [a, b] in edges() {
            ends[a.min(b) as usize + 1] += 1;
        }
        for i in 1..ends.len() {
            ends[i] += ends[i - 1];
        }
        let mut upper = vec![0u64; 3 * self.triangles.len()];
        let mut next = ends.clone();
        for [a, b] in edges() {
            let slot = &mut next[a.min(b) as usize];
            upper[*slot] = u64::from(a.max(b)) << 1 | u64::from(a > b);
            *slot += 1;
        }
        ends.windows(2).map(|span| open(&mut upper[span[0]..span[1]])).sum()
    }
}

/// How many of the directed edges at one corner lack exactly one partner.
fn open(edges: &mut [u64]) -> usize {
    edges.sort_unstable();
    let between = edges.chunk_by(|a, b| a >> 1 == b >> 1);
    between.filter(|e| !matches!(e, [a, b] if a != b)).map(|e| e.chunk_by(|a, b| a == b).count()).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A tetrahedron, its four triangles looking outward.
    fn tetrahedron() -> Mesh {
        Mesh {
            corners: vec![[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
            triangles: vec![[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]],
        }
    }

    /// Below and above a wall's corners stand elsewhere: none of its triangles lies folded over another.
    #[test]
    fn no_triangle_of_a_wall_is_folded() {
        let level = |z: i32, ys: &[i32]| Level {
            z,
            corners: ys.iter().map(|&y| [0, y]).collect(),
            up: Vec::new(),
            down: Vec::new(),
        };
        let levels = [level(0, &[-30, -10, 5, 20]), level(9, &[-30, -25, 10, 15, 20])];
        let floors = [Floor { level: &levels[0], first: 0 }, Floor { level: &levels[1], first: 4 }];
        let corner = |place: u32| match place {
            0..4 => [levels[0].corners[place as usize][1], 0],
            _ => [levels[1].corners[place as usize - 4][1], 9],
        };
        let mut triangles = Vec::new();
        wall(&mut triangles, [&floors[0], &floors[1]], [[0, 3], [0, 4]]);
        let doubled = |t: &[u32; 3]| {
            let [a, b, c] = t.map(corner);
            (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        };
        assert!(triangles.iter().all(|t| doubled(t) > 0), "{triangles:?}");
        // 50 wide and 9 high.
        assert_eq!(triangles.iter().map(doubled).sum::<i32>(), 2 * 50 * 9);
    }

    #[test]
    fn a_closed_mesh_has_no_open_edges_and_its_volume() {
        assert_eq!(tetrahedron().open_edges(), 0);
        assert!((tetrahedron().volume() - 1.0 / 6.0).abs() < 1e-15);
    }

    #[test]
    fn a_missing_a_turned_and_a_doubled_triangle_leave_open_edges() {
        let broken = |change: &dyn Fn(&mut Vec<[u32; 3]>)| {
            let mut mesh = tetrahedron();
            change(&mut mesh.triangles);
            mesh.open_edges()
        };
        assert_eq!(broken(&|t| t.truncate(3)), 3);
        assert_eq!(broken(&|t| t[3].reverse()), 3);
        // Both directions of its three edges: one is there twice, so the other has no partner of its own.
        assert_eq!(broken(&|t| t.push(t[3])), 6);
    }
}
