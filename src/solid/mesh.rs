//! The triangle mesh of a shell.
//!
//! truck-meshalgo triangulates each face on its own; corners are then welded by their place, rounded to the grid of
//! 1 µm that all corners of the block lie on, which truck's own merging does far more slowly.

use std::collections::HashMap;

use truck_meshalgo::prelude::{MeshableShape, MeshedShape};
use truck_modeling::Shell;

/// Triangles over shared corners.
#[derive(Debug, Clone, PartialEq)]
pub struct Mesh {
    /// Corners, mm.
    pub corners: Vec<[f64; 3]>,
    /// Corners of each triangle, counter-clockwise seen from outside.
    pub triangles: Vec<[u32; 3]>,
}

/// Chord tolerance asked of the mesher, mm. All faces are flat, so it changes nothing; it must be above 1e-6.
const CHORD: f64 = 0.01;

/// The mesh of `shell`.
pub fn of(shell: &Shell) -> Mesh {
    let polygons = shell.triangulation(CHORD).to_polygon();
    let positions = polygons.positions();
    let mut by_place: HashMap<[i64; 3], u32> = HashMap::with_capacity(positions.len());
    let mut corners = Vec::new();
    let welded: Vec<u32> = positions
        .iter()
        .map(|p| {
            let place = [p.x, p.y, p.z].map(|v| (v * 1000.0).round() as i64);
            *by_place.entry(place).or_insert_with(|| {
                corners.push(place.map(|v| v as f64 / 1000.0));
                (corners.len() - 1) as u32
            })
        })
        .collect();
    let triangles = polygons
        .tri_faces()
        .iter()
        .map(|t| [welded[t[0].pos], welded[t[1].pos], welded[t[2].pos]])
        .filter(|[a, b, c]| a != b && b != c && c != a)
        .collect();
    Mesh { corners, triangles }
}

impl Mesh {
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
        let mut runs: HashMap<(u32, u32), i32> = HashMap::with_capacity(self.triangles.len() * 3);
        for [a, b, c] in &self.triangles {
            for edge in [(*a, *b), (*b, *c), (*c, *a)] {
                *runs.entry(edge).or_insert(0) += 1;
            }
        }
        runs.iter().filter(|((a, b), n)| **n != 1 || runs.get(&(*b, *a)) != Some(&1)).count()
    }
}
