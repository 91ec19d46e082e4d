//! A printed block for a screen: as a model, which is triangles, the lines where its faces meet, and where its lanes lie;
//! or as a picture.

use std::collections::HashMap;

use super::bench::Laid;
use super::parts::Parts;
use super::reply::{LanePlace, Model, Picture};
use crate::block::sheets::picture;
use crate::block::{Layout, slabs};
use crate::error;
use crate::solid::mesh::Mesh;
use crate::terms::Edge;

/// Faces that meet at less than this show no line between them, as the cosine of the angle between their normals: facets
/// of a round hole do not.
const SMOOTH: f64 = 0.94;

/// One of the blocks of a job.
///
/// # Errors
/// Why there is none; whole sentences.
pub(super) fn shown(laid: &Laid, block: usize, parts: &mut Parts) -> Result<Model, Vec<String>> {
    let layout = layout(laid, block)?;
    let solid = slabs::build(layout).map_err(|e| vec![error::sentence(&e.to_string())])?;
    let mesh = &solid.mesh;
    let corners = mesh.triangles.iter().flat_map(|t| t.map(|i| mesh.corners[i as usize]));
    let triangles = parts.add("triangles", FLOATS, floats(corners));
    let edges = parts.add("edges", FLOATS, floats(feature_edges(mesh).into_iter().flatten()));
    let lanes = layout.lanes.iter().map(|p| place(layout, p)).collect();
    Ok(Model { triangles, edges, extent: extent(mesh), lanes })
}

/// The same as a picture from the near edge.
///
/// # Errors
/// Why there is none; whole sentences.
pub(super) fn pictured(laid: &Laid, block: usize, parts: &mut Parts) -> Result<Picture, Vec<String>> {
    let layout = layout(laid, block)?;
    let title = format!("{}, from the near edge", layout.titled());
    let looks = picture::picture(&slabs::stack_of(layout), &title, picture::USUAL);
    Ok(parts.picture("block.svg", &title, &looks.sheet.groups, looks.area))
}

fn layout(laid: &Laid, block: usize) -> Result<&Layout, Vec<String>> {
    let layouts = laid.layouts()?.map_err(super::refused)?;
    let count = layouts.len();
    layouts.get(block).ok_or_else(|| vec![format!("There is no block {}: the job has {count}.", block + 1)])
}

const FLOATS: &str = "application/octet-stream";

fn floats(corners: impl Iterator<Item = [f64; 3]>) -> Vec<u8> {
    corners.flatten().flat_map(|x| (x as f32).to_le_bytes()).collect()
}

fn extent(mesh: &Mesh) -> [[f64; 3]; 2] {
    mesh.corners.iter().fold([[f64::INFINITY; 3], [f64::NEG_INFINITY; 3]], |[low, high], c| {
        [std::array::from_fn(|k| low[k].min(c[k])), std::array::from_fn(|k| high[k].max(c[k]))]
    })
}

/// Lines between facets that meet at an angle, mm.
fn feature_edges(mesh: &Mesh) -> Vec<[[f64; 3]; 2]> {
    let normals: Vec<[f64; 3]> = mesh.triangles.iter().map(|t| normal(t.map(|i| mesh.corners[i as usize]))).collect();
    let mut first: HashMap<[u32; 2], usize, foldhash::fast::FixedState> = HashMap::default();
    let mut lines = Vec::new();
    for (i, triangle) in mesh.triangles.iter().enumerate() {
        for k in 0..3 {
            let [a, b] = [triangle[k], triangle[(k + 1) % 3]];
            match first.remove(&[a.min(b), a.max(b)]) {
                None => {
                    first.insert([a.min(b), a.max(b)], i);
                }
                Some(other) if dot(normals[i], normals[other]) < SMOOTH => {
                    lines.push([a, b].map(|i| mesh.corners[i as usize]));
                }
                Some(_) => {}
            }
        }
    }
    lines
}

fn normal([a, b, c]: [[f64; 3]; 3]) -> [f64; 3] {
    let minus = |p: [f64; 3], q: [f64; 3]| -> [f64; 3] { std::array::from_fn(|k| p[k] - q[k]) };
    let ([ux, uy, uz], [vx, vy, vz]) = (minus(b, a), minus(c, a));
    let n = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
    let length = dot(n, n).sqrt();
    if length == 0.0 { n } else { n.map(|x| x / length) }
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn place(layout: &Layout, placed: &crate::layout::Placed) -> LanePlace {
    let fence = placed.lane.fence();
    let y = match placed.edge {
        Edge::Near => [0.0, fence],
        Edge::Far => [layout.depth - fence, layout.depth],
    };
    LanePlace { id: placed.lane.request.id.clone(), x: placed.x, y, z: layout.thickness }
}
