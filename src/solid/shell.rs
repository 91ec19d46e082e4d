//! The closed B-rep of a stack of slabs, built directly from its levels.
//!
//! Each slab gives its walls, each level its caps. Corners are looked up by their whole-micrometre coordinates and
//! edges by their pair of corners, so that neighbouring faces share them and the shell is closed by construction.

use foldhash::HashMap;
use truck_modeling::{Edge, Face, InnerSpace, Plane, Point3, Shell, Vector3, Vertex, Wire, builder};
use truck_topology::shell::ShellCondition;

use super::NotSound;
use super::levels::{self, Cap, Level, sides};
use crate::shape::stack::Stack;

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
    let mut parts = Parts::default();
    let mut faces = Vec::new();
    for level in levels {
        for cap in &level.up {
            faces.push(parts.cap(level, cap, true)?);
        }
        for cap in &level.down {
            faces.push(parts.cap(level, cap, false)?);
        }
    }
    for (slab, pair) in stack.slabs.iter().zip(levels.windows(2)) {
        for outline in &slab.region {
            let [low, high] = [&pair[0], &pair[1]].map(|level| level.places(outline));
            for (low, high) in sides(&low).zip(sides(&high)) {
                faces.push(parts.wall(run(&pair[0], low), run(&pair[1], high))?);
            }
        }
    }
    let shell: Shell = faces.into();
    match shell.shell_condition() {
        ShellCondition::Closed => Ok(shell),
        other => Err(NotSound::Open(format!("{other:?}"))),
    }
}

/// A corner in space, µm.
type Spot = [i32; 3];

fn spot(level: &Level, place: u32) -> Spot {
    let [x, y] = level.corners[place as usize];
    [x, y, level.z]
}

/// A side's corners, split, both ends included.
fn run(level: &Level, [from, to]: [u32; 2]) -> Vec<Spot> {
    let mut run = Vec::new();
    level.run(from, to, &mut run);
    run.push(to);
    run.into_iter().map(|place| spot(level, place)).collect()
}

/// Vertices and edges made so far, shared by place.
#[derive(Default)]
struct Parts {
    vertices: HashMap<Spot, Vertex>,
    /// By their corners in the order of their places, each with the corner from which it runs.
    edges: HashMap<[Spot; 2], (Edge, Spot)>,
}

impl Parts {
    fn vertex(&mut self, at: Spot) -> Vertex {
        let mm = |v: i32| f64::from(v) / 1000.0;
        self.vertices.entry(at).or_insert_with(|| builder::vertex(Point3::new(mm(at[0]), mm(at[1]), mm(at[2])))).clone()
    }

    fn edge(&mut self, a: Spot, b: Spot) -> Edge {
        let key = if a < b { [a, b] } else { [b, a] };
        if let Some((edge, from)) = self.edges.get(&key) {
            return if *from == a { edge.clone() } else { edge.inverse() };
        }
        let edge = builder::line(&self.vertex(a), &self.vertex(b));
        self.edges.insert(key, (edge.clone(), a));
        edge
    }

    fn wire(&mut self, spots: &[Spot]) -> Wire {
        sides(spots).map(|[a, b]| self.edge(a, b)).collect()
    }

    fn cap(&mut self, level: &Level, cap: &Cap, looks_up: bool) -> Result<Face, NotSound> {
        let wires: Vec<Wire> = cap
            .iter()
            .map(|outline| {
                let mut spots: Vec<Spot> = outline.iter().map(|&place| spot(level, place)).collect();
                if !looks_up {
                    spots.reverse();
                }
                self.wire(&spots)
            })
            .collect();
        let (x, y) = (Vector3::unit_x(), Vector3::unit_y());
        face(wires, if looks_up { [x, y] } else { [y, x] })
    }

    /// The wall over one side of an outline; material is on the left of the side, so the wall looks to its right.
    fn wall(&mut self, low: Vec<Spot>, high: Vec<Spot>) -> Result<Face, NotSound> {
        let along = match low[..] {
            [from, .., to] => Vector3::new(f64::from(to[0] - from[0]), f64::from(to[1] - from[1]), 0.0).normalize(),
            _ => return Err(NotSound::NotFlat),
        };
        let spots: Vec<Spot> = low.into_iter().chain(high.into_iter().rev()).collect();
        let wire = self.wire(&spots);
        face(vec![wire], [along, Vector3::unit_z()])
    }
}

/// A face in the plane through its first corner along two unit vectors: the plane is known, and need not be sought. Its
/// wires are closed by construction; two of them may touch in a corner, which truck's own check would refuse.
fn face(wires: Vec<Wire>, [along, across]: [Vector3; 2]) -> Result<Face, NotSound> {
    let origin = wires.first().and_then(Wire::front_vertex).ok_or(NotSound::NotFlat)?.point();
    let plane = Plane::new(origin, origin + along, origin + across);
    Ok(Face::new_unchecked(wires, plane.into()))
}
