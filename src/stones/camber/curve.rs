//! The wanted curve of a cambered edge: an arc, seen square to the back.

/// An arc over a blade's width, mm, in the plane of the back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curve {
    /// The blade's width, mm.
    pub width: f64,
    /// How far the corners lie behind the middle, mm.
    pub depth: f64,
}

/// Largest radius that can be told from a straight edge with what a shop has, mm: over a blade 50 mm wide it is 0.3 mm
/// deep, some four leaves of paper (common practice, no source).
const MEASURABLE: f64 = 1000.0;

impl Curve {
    /// The radius where it can be measured, mm; a flatter arc is judged by its depth alone.
    pub fn measurable_radius(&self) -> Option<f64> {
        Some(self.radius()).filter(|radius| *radius <= MEASURABLE)
    }

    /// The arc's radius, mm; infinite for a straight edge.
    ///
    /// From half the chord and the sagitta, `(c² + s²) / 2s`: two chords of a circle that cross (Euclid, *Elements*,
    /// III.35).
    pub fn radius(&self) -> f64 {
        let half = self.width / 2.0;
        if self.depth == 0.0 { f64::INFINITY } else { (half * half + self.depth * self.depth) / (2.0 * self.depth) }
    }

    /// How far the edge lies behind its middle, mm, at `x` mm from it.
    pub fn at(&self, x: f64) -> f64 {
        let radius = self.radius();
        // The difference of the radius and its leg, without subtracting near equals.
        if radius.is_finite() { x * x / (radius + (radius * radius - x * x).sqrt()) } else { 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arc_goes_through_the_middle_and_both_corners() {
        for (width, depth) in [(51.0, 0.1), (51.0, 2.5), (60.0, 0.02), (10.0, 5.0)] {
            let curve = Curve { width, depth };
            assert_eq!(curve.at(0.0), 0.0);
            assert!((curve.at(width / 2.0) - depth).abs() < 1e-12 && curve.at(-width / 3.0) == curve.at(width / 3.0));
        }
        assert_eq!(Curve { width: 50.0, depth: 0.0 }.at(20.0), 0.0);
    }

    /// A half circle: its depth is its radius.
    #[test]
    fn a_half_circle() {
        let curve = Curve { width: 20.0, depth: 10.0 };
        assert_eq!(curve.radius(), 10.0);
        assert!((curve.at(6.0) - 2.0).abs() < 1e-12);
    }
}
