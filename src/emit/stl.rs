//! Binary STL, in mm, z up, `z = 0` on the bed.
//!
//! Written by `stl_io`; its empty header is then filled with the unit and our name, which the format leaves free as
//! long as it does not begin with `solid`.

use stl_io::{Normal, Triangle, Vertex};

use crate::solid::mesh::Mesh;

/// Length of the header, bytes.
const HEADER: usize = 80;

/// The mesh as a binary STL file.
///
/// # Errors
/// Should the mesh have more triangles than the format can count.
pub fn write(mesh: &Mesh, title: &str) -> std::io::Result<Vec<u8>> {
    let triangles: Vec<Triangle> = mesh
        .triangles
        .iter()
        .map(|t| {
            let [a, b, c] = t.map(|i| mesh.corners[i as usize]);
            Triangle {
                normal: Normal::new(normal(a, b, c)),
                vertices: [a, b, c].map(|p| Vertex::new(p.map(|v| v as f32))),
            }
        })
        .collect();
    let mut bytes = Vec::with_capacity(HEADER + 4 + 50 * triangles.len());
    stl_io::write_stl(&mut bytes, triangles.iter())?;
    let label = format!("Stopwright setting block, unit mm, {title}");
    let plain: Vec<u8> = label.chars().map(|c| if c.is_ascii() && !c.is_control() { c as u8 } else { b'?' }).collect();
    let n = plain.len().min(HEADER);
    bytes[..n].copy_from_slice(&plain[..n]);
    Ok(bytes)
}

fn normal(a: [f64; 3], b: [f64; 3], c: [f64; 3]) -> [f32; 3] {
    let (u, v) = ([b[0] - a[0], b[1] - a[1], b[2] - a[2]], [c[0] - a[0], c[1] - a[1], c[2] - a[2]]);
    let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    // Plus zero turns a negative zero into a plain one.
    n.map(|v| (v / length) as f32 + 0.0)
}
