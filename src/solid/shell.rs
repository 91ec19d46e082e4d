//! The closed shell of a stack of slabs, built directly.
//!
//! Each slab gives its walls; at each level the difference of the regions below and above gives the caps that look up
//! and down. Corners are looked up by their whole-micrometre coordinates and edges by their pair of corners, so that
//! neighbouring faces share them and the shell is closed by construction. At a level, every outline that meets there
//! is split at every corner that lies on it, so that walls and caps agree on their edges.

use std::collections::HashMap;

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay::Overlay;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::i_float::int::point::IntPoint;
use truck_modeling::{Edge, Face, Point3, Shell, Vertex, Wire, builder};
use truck_topology::shell::ShellCondition;

use super::NotSound;
use super::slabs::Stack;
use crate::layout::regions::{Corner, Outline, Region};

/// Builds the shell; faces look outward.
///
/// # Errors
/// [`NotSound::NotFlat`] or [`NotSound::Open`].
pub fn build(stack: &Stack) -> Result<Shell, NotSound> {
    let levels = levels(stack);
    let mut parts = Parts::default();
    let mut faces = Vec::new();
    for level in &levels {
        for cap in &level.up {
            faces.push(parts.cap(cap, level.z, true)?);
        }
        for cap in &level.down {
            faces.push(parts.cap(cap, level.z, false)?);
        }
    }
    for (slab, pair) in stack.slabs.iter().zip(levels.windows(2)) {
        for outline in &slab.region {
            let n = outline.len();
            for i in 0..n {
                let (a, b) = (outline[i], outline[(i + 1) % n]);
                let bottom = pair[0].nodes.split(a, b);
                let top = pair[1].nodes.split(a, b);
                faces.push(parts.wall(&bottom, pair[0].z, &top, pair[1].z)?);
            }
        }
    }
    let shell: Shell = faces.into();
    match shell.shell_condition() {
        ShellCondition::Closed => Ok(shell),
        other => Err(NotSound::Open(format!("{other:?}"))),
    }
}

/// What meets at one height.
struct Level {
    z: i32,
    /// Areas of the slab below that nothing stands on.
    up: Vec<Region>,
    /// Areas of the slab above that stand on nothing.
    down: Vec<Region>,
    nodes: Nodes,
}

fn levels(stack: &Stack) -> Vec<Level> {
    let none: Region = Vec::new();
    let mut levels = Vec::new();
    for i in 0..=stack.slabs.len() {
        let below = i.checked_sub(1).map(|i| &stack.slabs[i]);
        let above = stack.slabs.get(i);
        let Some(z) = above.map(|s| s.z[0]).or(below.map(|s| s.z[1])) else { continue };
        let (below, above) = (below.map_or(&none, |s| &s.region), above.map_or(&none, |s| &s.region));
        let (up, down) = (difference(below, above), difference(above, below));
        let outlines = below.iter().chain(above).chain(up.iter().flatten()).chain(down.iter().flatten());
        let nodes = Nodes::new(outlines);
        let split = |regions: Vec<Region>| -> Vec<Region> {
            regions.iter().map(|r| r.iter().map(|o| nodes.split_outline(o)).collect()).collect()
        };
        let (up, down) = (split(up), split(down));
        levels.push(Level { z, up, down, nodes });
    }
    levels
}

/// `a` less `b`: areas with their holes, exact on the grid.
fn difference(a: &Region, b: &Region) -> Vec<Region> {
    let path = |o: &Outline| -> Vec<IntPoint<i32>> { o.iter().map(|c| IntPoint::new(c[0], c[1])).collect() };
    if b.is_empty() {
        return if a.is_empty() { Vec::new() } else { vec![a.clone()] };
    }
    let subject: Vec<_> = a.iter().map(path).collect();
    let clip: Vec<_> = b.iter().map(path).collect();
    Overlay::from_subj_and_clip(&subject, &clip)
        .overlay(OverlayRule::Difference, FillRule::EvenOdd)
        .into_iter()
        .map(|shape| shape.into_iter().map(|contour| contour.into_iter().map(|p| [p.x, p.y]).collect()).collect())
        .collect()
}

/// All corners that lie at one level, for finding those on an edge.
struct Nodes {
    /// Sorted by x, then y.
    by_x: Vec<Corner>,
    /// As `[y, x]`, sorted.
    by_y: Vec<Corner>,
}

impl Nodes {
    fn new<'a>(outlines: impl Iterator<Item = &'a Outline>) -> Self {
        let mut by_x: Vec<Corner> = outlines.flatten().copied().collect();
        by_x.sort_unstable();
        by_x.dedup();
        let mut by_y: Vec<Corner> = by_x.iter().map(|c| [c[1], c[0]]).collect();
        by_y.sort_unstable();
        Self { by_x, by_y }
    }

    /// The run from `a` to `b`, both ends included, with every corner that lies on it.
    fn split(&self, a: Corner, b: Corner) -> Vec<Corner> {
        let mut on: Vec<Corner> = if a[0] == b[0] {
            span(&self.by_x, a, b)
        } else if a[1] == b[1] {
            span(&self.by_y, [a[1], a[0]], [b[1], b[0]]).into_iter().map(|c| [c[1], c[0]]).collect()
        } else {
            let inside = |c: &Corner| cross(a, b, *c) == 0 && (c[1] - a[1]).signum() * (c[1] - b[1]).signum() <= 0;
            span(&self.by_x, [a[0].min(b[0]), i32::MIN], [a[0].max(b[0]), i32::MAX])
                .into_iter()
                .filter(inside)
                .collect()
        };
        on.sort_unstable_by_key(|c| i64::from((c[0] - a[0]).abs()) + i64::from((c[1] - a[1]).abs()));
        on
    }

    fn split_outline(&self, outline: &Outline) -> Outline {
        let n = outline.len();
        (0..n)
            .flat_map(|i| {
                let mut run = self.split(outline[i], outline[(i + 1) % n]);
                run.pop();
                run
            })
            .collect()
    }
}

fn span(sorted: &[Corner], a: Corner, b: Corner) -> Vec<Corner> {
    let (low, high) = if a <= b { (a, b) } else { (b, a) };
    let from = sorted.partition_point(|c| *c < low);
    let to = sorted.partition_point(|c| *c <= high);
    sorted[from..to].to_vec()
}

fn cross(a: Corner, b: Corner, c: Corner) -> i64 {
    i64::from(b[0] - a[0]) * i64::from(c[1] - a[1]) - i64::from(b[1] - a[1]) * i64::from(c[0] - a[0])
}

/// A corner in space, µm.
type Spot = [i32; 3];

/// Vertices and edges made so far, shared by place.
#[derive(Default)]
struct Parts {
    vertices: HashMap<Spot, Vertex>,
    edges: HashMap<(Spot, Spot), Edge>,
}

impl Parts {
    fn vertex(&mut self, at: Spot) -> Vertex {
        let mm = |v: i32| f64::from(v) / 1000.0;
        self.vertices.entry(at).or_insert_with(|| builder::vertex(Point3::new(mm(at[0]), mm(at[1]), mm(at[2])))).clone()
    }

    fn edge(&mut self, a: Spot, b: Spot) -> Edge {
        if let Some(edge) = self.edges.get(&(a, b)) {
            return edge.clone();
        }
        if let Some(edge) = self.edges.get(&(b, a)) {
            return edge.inverse();
        }
        let edge = builder::line(&self.vertex(a), &self.vertex(b));
        self.edges.insert((a, b), edge.clone());
        edge
    }

    fn wire(&mut self, spots: &[Spot]) -> Wire {
        let n = spots.len();
        (0..n).map(|i| self.edge(spots[i], spots[(i + 1) % n])).collect()
    }

    fn cap(&mut self, region: &Region, z: i32, looks_up: bool) -> Result<Face, NotSound> {
        let wires: Vec<Wire> = region
            .iter()
            .map(|outline| {
                let mut spots: Vec<Spot> = outline.iter().map(|c| [c[0], c[1], z]).collect();
                if !looks_up {
                    spots.reverse();
                }
                self.wire(&spots)
            })
            .collect();
        builder::try_attach_plane(&wires).map_err(|_| NotSound::NotFlat)
    }

    /// The wall over one side of an outline; material is on the left of the side, so the wall looks to its right.
    fn wall(&mut self, bottom: &[Corner], z0: i32, top: &[Corner], z1: i32) -> Result<Face, NotSound> {
        let spots: Vec<Spot> =
            bottom.iter().map(|c| [c[0], c[1], z0]).chain(top.iter().rev().map(|c| [c[0], c[1], z1])).collect();
        let wire = self.wire(&spots);
        builder::try_attach_plane(&[wire]).map_err(|_| NotSound::NotFlat)
    }
}
