//! Measures written STL files: rays through the facets that a printer will get, and sections of them.

use kurbo::Point;
use std::io::{self, Cursor};

/// A length may be this far from where it was meant in a file, mm: the grid of the corners is 1 µm.
pub const ALLOWED: f64 = 0.001;

/// The corners of a facet, mm.
pub type Facet = [[f64; 3]; 3];

/// Shows every facet of a binary STL, whose axes were multiplied by `factors` to make up for the printer's scale.
///
/// # Errors
/// Why it is no STL.
pub fn for_each_facet(stl: &[u8], factors: [f64; 3], mut show: impl FnMut(&Facet)) -> io::Result<()> {
    for facet in stl_io::create_stl_reader(&mut Cursor::new(stl))? {
        let [a, b, c] = facet?.vertices;
        show(&[millimetres(a, factors), millimetres(b, factors), millimetres(c, factors)]);
    }
    Ok(())
}

/// A corner as it was meant. Written out, since this is done three times a facet and `map` is a call of its own.
#[inline]
fn millimetres(corner: stl_io::Vertex, factors: [f64; 3]) -> [f64; 3] {
    [f64::from(corner[0]) / factors[0], f64::from(corner[1]) / factors[1], f64::from(corner[2]) / factors[2]]
}

/// Lowest and highest coordinate of a facet along an axis.
pub fn extent(facet: &Facet, axis: usize) -> [f64; 2] {
    let [a, b, c] = facet.map(|p| p[axis]);
    [a.min(b).min(c), a.max(b).max(c)]
}

/// Where the line along `axis`, at `at` on the other two axes in their order, crosses a facet, its border included.
pub fn crossing(facet: &Facet, axis: usize, at: [f64; 2]) -> Option<f64> {
    let [first, second] = [[1, 2], [0, 2], [0, 1]][axis];
    let [a, b, c] = facet.map(|p| [p[first] - at[0], p[second] - at[1]]);
    let area = |p: [f64; 2], q: [f64; 2]| p[0] * q[1] - p[1] * q[0];
    let weights = [area(b, c), area(c, a), area(a, b)];
    let total: f64 = weights.iter().sum();
    // A facet seen edge-on has no crossing of its own; its neighbours have.
    if total == 0.0 || weights.iter().any(|w| w * total < 0.0) {
        return None;
    }
    Some(weights.iter().zip(facet).map(|(w, p)| w * p[axis]).sum::<f64>() / total)
}

/// The run along which a facet crosses the height `z`.
pub fn cut(facet: &Facet, z: f64) -> Option<[Point; 2]> {
    let sides = [[0, 1], [1, 2], [2, 0]].map(|[i, j]| [facet[i], facet[j]]);
    let mut ends = sides
        .iter()
        .filter(|[a, b]| (a[2] <= z) != (b[2] <= z))
        .map(|[a, b]| Point::new(a[0], a[1]).lerp(Point::new(b[0], b[1]), (z - a[2]) / (b[2] - a[2])));
    Some([ends.next()?, ends.next()?])
}
