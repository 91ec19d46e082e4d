//! Binary STL, in mm, z up, `z = 0` on the bed.
//!
//! Written facet by facet, since a writer of ready triangles would have them made first, which takes longer than the
//! writing. The header, which the format leaves free as long as it does not begin with `solid`, tells unit and name.

use std::num::TryFromIntError;

use crate::solid::mesh::Mesh;

/// Length of the header, bytes.
const HEADER: usize = 80;
/// Length of a facet, bytes.
const FACET: usize = 50;

/// The mesh as a binary STL file.
///
/// # Errors
/// Should the mesh have more triangles than the format can count.
pub fn write(mesh: &Mesh, title: &str) -> Result<Vec<u8>, TryFromIntError> {
    let count = u32::try_from(mesh.triangles.len())?;
    let mut bytes = Vec::with_capacity(HEADER + 4 + FACET * mesh.triangles.len());
    let label = format!("Stopwright setting block, unit mm, {title}");
    bytes.extend(label.chars().map(|c| if c.is_ascii() && !c.is_control() { c as u8 } else { b'?' }).take(HEADER));
    bytes.resize(HEADER, 0);
    bytes.extend(count.to_le_bytes());
    for triangle in &mesh.triangles {
        let [a, b, c] = *triangle;
        let corner = |i: u32| mesh.corners[i as usize];
        bytes.extend_from_slice(&facet([corner(a), corner(b), corner(c)]));
    }
    Ok(bytes)
}

/// Normal, corners and two bytes that mean nothing. Corners are written out here, as `map` is a call of its own.
fn facet([a, b, c]: [[f64; 3]; 3]) -> [u8; FACET] {
    let mut facet = [0; FACET];
    let single = |[x, y, z]: [f64; 3]| [x as f32, y as f32, z as f32];
    let numbers = [normal(a, b, c), single(a), single(b), single(c)];
    for (slot, number) in facet.as_chunks_mut::<4>().0.iter_mut().zip(numbers.as_flattened()) {
        *slot = number.to_le_bytes();
    }
    facet
}

fn normal(a: [f64; 3], b: [f64; 3], c: [f64; 3]) -> [f32; 3] {
    let (u, v) = ([b[0] - a[0], b[1] - a[1], b[2] - a[2]], [c[0] - a[0], c[1] - a[1], c[2] - a[2]]);
    let n = [u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]];
    let length = (n[0] * n[0] + n[1] * n[1] + n[2] * n[2]).sqrt();
    // Plus zero turns a negative zero into a plain one.
    let part = |v: f64| (v / length) as f32 + 0.0;
    [part(n[0]), part(n[1]), part(n[2])]
}

#[cfg(test)]
mod tests {
    use stl_io::Normal;
    use stl_io::Triangle;
    use stl_io::Vertex;

    use super::*;

    #[test]
    fn facets_are_those_of_another_writer() {
        let corners = vec![[0.0, 0.0, 0.5], [10.001, 0.0, 0.5], [0.0, 7.25, 0.5], [0.0, -1e-3, 1234.567]];
        let mesh = Mesh { corners, triangles: vec![[0, 1, 2], [0, 3, 1]] };
        let triangle = |t: &[u32; 3]| {
            let [a, b, c] = t.map(|i| mesh.corners[i as usize]);
            let vertices = [a, b, c].map(|p| Vertex::new(p.map(|v| v as f32)));
            Triangle { normal: Normal::new(normal(a, b, c)), vertices }
        };
        let ready: Vec<Triangle> = mesh.triangles.iter().map(triangle).collect();
        let mut others = Vec::new();
        stl_io::write_stl(&mut others, ready.iter()).expect("written");
        assert_eq!(write(&mesh, "two").expect("written")[HEADER..], others[HEADER..]);
        assert_eq!(normal(mesh.corners[0], mesh.corners[1], mesh.corners[2]), [0.0, 0.0, 1.0]);
    }
}
