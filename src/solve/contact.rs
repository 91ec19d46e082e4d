//! The guide on the block: where face and reference edge touch, and how far the roller reaches below the table.
//!
//! Block frame: `x` from the reference edge inward, `y` up from the table. The blade's underside lies on the table,
//! so the edge, which is on the back, is at `(F, t)`, and the guide is turned by its tilt against the block. The block
//! fills `x ≥ 0` from the table down to where its front relief begins. The fence distance `F` is the one at which the
//! face just touches it. As the face is straight, contact is at the table's arris, at the face's lower end, or, for a
//! face that reaches further down, where the relief begins.

use num_dual::{Dual64, DualNum};

use super::section::Section;
use crate::trig::Trig;

/// The reference edge of a block, as far as a guide can feel it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgeShape {
    /// Height of the upright reference surface below the table, mm: thickness less front relief.
    pub bearing_height: f64,
}

/// A point of the guide in the block frame, relative to the cutting edge at `(0, t)`.
fn relative<D: DualNum<Primitive = f64> + Trig>(section: &Section<D>, p: D, s: D, n: D) -> (D, D) {
    let (sin, cos) = section.tilt().sine_cosine();
    let (ds, dn) = (s - section.axle_to_face - p, n - section.edge_level());
    (ds * cos - dn * sin, ds * sin + dn * cos + section.thickness)
}

/// Level on the face (guide frame) that lies at the height `y` above the table.
fn face_level_at<D: DualNum<Primitive = f64> + Trig>(section: &Section<D>, p: D, y: D) -> D {
    // On the face s is linear in n, so y is too: two points give the line.
    let at = |n: D| relative(section, p, section.face_at(n), n).1;
    let (zero, one) = (at(p * 0.0), at(p * 0.0 + 1.0));
    (y - zero) / (one - zero)
}

/// Fence distances, mm, at which the face would touch at the table's arris and at its low end, each taken alone.
fn contacts<D: DualNum<Primitive = f64> + Trig>(section: &Section<D>, p: D, edge: EdgeShape) -> [D; 2] {
    let x_at = |n: D| relative(section, p, section.face_at(n), n).0;
    let zero = p * 0.0;
    let mut low = face_level_at(section, p, zero - edge.bearing_height);
    if let Some(bottom) = section.face_bottom
        && bottom.re() > low.re()
    {
        low = bottom;
    }
    [-x_at(face_level_at(section, p, zero)), -x_at(low)]
}

/// Distance from the reference edge to the fence, mm, for the projection `p` mm.
pub fn fence_distance<D: DualNum<Primitive = f64> + Trig>(section: &Section<D>, p: D, edge: EdgeShape) -> D {
    let [arris, low] = contacts(section, p, edge);
    if low.re() < arris.re() { low } else { arris }
}

/// Sensitivity of the fence distance to whatever the dual parts stand for.
///
/// A face flat on the edge touches at both ends, and which one stays depends on the sign of the change. With a
/// sensitivity of `a` one way and of `b` the other, a quantity that is as likely anywhere within ±w brings a variance of
/// w²/3 · ((a² + b²)/2 − 3 (a − b)²/16) (the second moment less the square of the mean): its root stands for both.
pub fn fence_sensitivity(section: &Section<Dual64>, p: Dual64, edge: EdgeShape) -> f64 {
    // Far below anything that calipers could tell, far above rounding.
    const FLAT: f64 = 1e-9;
    let [arris, low] = contacts(section, p, edge);
    if (arris.re - low.re).abs() < FLAT {
        let (a, b) = (arris.eps, low.eps);
        let both = ((a * a + b * b) / 2.0 - 3.0 * (a - b).powi(2) / 16.0).sqrt();
        both.copysign(a + b)
    } else {
        fence_distance(section, p, edge).eps
    }
}

/// How the fence distance changes with the projection; 1 unless the guide tilts against the block.
pub fn fence_per_projection(section: &Section<f64>, p: f64, edge: EdgeShape) -> f64 {
    let dual = section.map(Dual64::from_re);
    fence_distance(&dual, Dual64::from_re(p).derivative(), edge).eps
}

/// The projection, mm, at which the fence distance is `fence` mm; `None` should there be none.
pub fn projection_of_fence(section: &Section<f64>, fence: f64, edge: EdgeShape) -> Option<f64> {
    // Each contact is nearly linear in p with a slope within a few per mille of 1, so Newton settles at once.
    const STEPS: usize = 20;
    const CLOSE: f64 = 1e-13;
    let mut p = fence;
    for _ in 0..STEPS {
        let miss = fence_distance(section, p, edge) - fence;
        if miss.abs() <= CLOSE * fence.abs().max(1.0) {
            return Some(p);
        }
        p -= miss / fence_per_projection(section, p, edge);
    }
    None
}

/// Centre of the axle in the block frame for the projection `p`, mm: `(x, y)`, both usually negative.
pub fn axle_on_block(section: &Section<f64>, p: f64, edge: EdgeShape) -> (f64, f64) {
    let (x, y) = relative(section, p, 0.0, 0.0);
    (x + fence_distance(section, p, edge), y)
}

/// A point of the guide frame in the block frame, mm.
pub fn on_block(section: &Section<f64>, p: f64, edge: EdgeShape, s: f64, n: f64) -> (f64, f64) {
    let (x, y) = relative(section, p, s, n);
    (x + fence_distance(section, p, edge), y)
}

/// How far the roller reaches below the table, mm.
pub fn roller_below_table(section: &Section<f64>, p: f64, edge: EdgeShape) -> f64 {
    section.roller_radius - axle_on_block(section, p, edge).1
}

/// Thickest block, mm, that the roller does not strike; infinite where the roller stays outside the edge.
pub fn thickness_limit(section: &Section<f64>, p: f64, edge: EdgeShape) -> f64 {
    let (x, y) = axle_on_block(section, p, edge);
    let r = section.roller_radius;
    if x + r <= 0.0 {
        return f64::INFINITY;
    }
    // The roller's highest point at or inside the reference edge.
    let top = if x < 0.0 { y + (r * r - x * x).sqrt() } else { y + r };
    -top
}

/// How far the block must overhang the bench for the roller to pass its edge, mm, without a margin.
pub fn overhang(section: &Section<f64>, p: f64, edge: EdgeShape) -> f64 {
    (axle_on_block(section, p, edge).0 + section.roller_radius).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::Locates;

    /// A face flat on the edge that goes out of square by anything within ±w, either way: the variance of the fence
    /// distance, from a thousand and one steps of the angle, is that of a rectangle whose sensitivity is told.
    #[test]
    fn a_face_flat_on_the_edge_has_the_sensitivity_of_what_it_does_both_ways() {
        let section = Section {
            roller_radius: 7.0,
            roller_level: 0.0,
            seat_height: 12.0,
            axle_to_face: 20.0,
            face_bottom: None,
            square_error: 0.0,
            thickness: 3.0,
            taper: 0.0,
            land: 1.5,
            land_taper: 0.0,
            locates: Locates::Underside,
        };
        let (edge, p) = (EdgeShape { bearing_height: 9.0 }, 35.0);
        let mut dual = section.map(Dual64::from_re);
        dual.square_error = Dual64::new(0.0, 1.0);
        let told = fence_sensitivity(&dual, Dual64::from_re(p), edge);
        const WITHIN: f64 = 1e-4;
        let at = |i: i32| {
            let square_error = WITHIN * f64::from(i) / 500.0;
            fence_distance(&Section { square_error, ..section }, p, edge)
        };
        let all: Vec<f64> = (-500..=500).map(at).collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        let variance = all.iter().map(|f| (f - mean).powi(2)).sum::<f64>() / all.len() as f64;
        approx::assert_relative_eq!((3.0 * variance).sqrt() / WITHIN, told.abs(), max_relative = 0.005);
        // Neither end of the face alone has it.
        let ends = contacts(&dual, Dual64::from_re(p), edge).map(|end| end.eps.abs());
        assert!(ends.iter().all(|end| (end - told.abs()).abs() > 0.05 * told.abs()), "{ends:?} {told}");
    }
}
