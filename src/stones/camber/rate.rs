//! How much a stroke wears off hard steel: an estimate that keeps a plan within an order of magnitude.
//!
//! Wear is `V = K·F·L / H` (J. F. Archard, *J. Appl. Phys.* 24 (1953) 981, from memory): a load `F` that slides by `L`
//! over steel of the hardness `H` takes the volume `V`, and the depth is that over the area that is honed. So a whole
//! bevel, which has ten times the area of a micro-bevel, takes ten times the strokes for the same depth.
//!
//! `K` is 0.01 for new abrasive paper and 0.002 for used (E. Rabinowicz, *Friction and Wear of Materials* (1965), from
//! memory). A second book gives 0.005 to 0.05 for grains that are held fast (I. M. Hutchings, *Tribology* (1992), from
//! memory): coarse grades here lie in the lower part of that, fine ones below it. Below grains of some 100 µm wear falls
//! with their size (the same books, from memory); here in proportion.

/// `K` of coarse grains: new abrasive paper.
pub const COARSE: f64 = 0.01;

/// Grains from which wear grows no more with their size, µm.
pub const COARSE_GRAIN: f64 = 100.0;

/// Load of the fingers, N: an assumption.
pub const LOAD: f64 = 30.0;

/// Slide of a stroke, mm: an assumption.
pub const SLIDE: f64 = 150.0;

/// Hardness of an edge, N/mm², about 60 on Rockwell's scale C: an assumption.
pub const HARDNESS: f64 = 7000.0;

/// Archard's `K` for grains of `grain` µm.
pub fn coefficient(grain: f64) -> f64 {
    COARSE * (grain / COARSE_GRAIN).min(1.0)
}

/// Depth that a stroke with grains of `grain` µm wears, evenly pressed over `area` mm², mm square to the bevel.
pub fn per_stroke(grain: f64, area: f64) -> f64 {
    coefficient(grain) * LOAD * SLIDE / (HARDNESS * area)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trig::Trig;

    /// Coarse grades lie between used paper and the upper end of the second book's range; both from memory.
    #[test]
    fn coarse_grades_lie_between_two_published_rates() {
        for grain in [35.0, 68.0, 200.0] {
            assert!((0.002..=0.05).contains(&coefficient(grain)), "{grain}");
        }
        assert!((0.005..=0.05).contains(&coefficient(68.0)), "P220 lies in the second book's range");
    }

    /// A jack's camber of 1.3 mm is not made in sixty strokes on P220: by hand, some 4.4e-3 mm³ a stroke of the 50 mm³ and
    /// more that must go.
    #[test]
    fn a_jacks_camber_is_no_matter_of_sixty_strokes() {
        let area = 51.0 * 2.4 / 25f64.to_radians().sine();
        let volume = per_stroke(68.0, area) * area;
        assert!((volume - 4.4e-3).abs() < 1e-4, "{volume}");
        let wanted = 51.0 * 2.4 * 1.3 / 3.0;
        assert!(wanted / volume > 5_000.0);
    }
}
