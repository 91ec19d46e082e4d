//! How the errors of lengths that were fitted together hang together.
//!
//! Over the usual angles the lengths of a fitted guide are poorly known each and well known together: what one is too
//! long by, another is too short by. Their covariance C is carried as a root L with `L·Lᵀ = C`, so that the errors are
//! `L` times three independent ones of unit standard deviation, and `u² = gᵀ·C·g` (JCGM 100:2008, H.3) comes out of the
//! same sum of squares as everything else.

/// Root of the covariance of roller diameter, seat height and axle to face, mm: lower triangular.
pub type Root = [[f64; 3]; 3];

/// How far below zero, as a part of a variance, rounding may take what is left of it.
const ROUNDING: f64 = 1e-9;

/// The root of a covariance (A.-L. Cholesky's); `None` where it is none: not symmetric, or of a negative variance.
pub(super) fn root(covariance: [[f64; 3]; 3]) -> Option<Root> {
    let of = |i: usize, j: usize| covariance[i][j];
    let mut root = Root::default();
    for j in 0..3 {
        let left = |i: usize, root: &Root| of(i, j) - (0..j).map(|k| root[i][k] * root[j][k]).sum::<f64>();
        let variance = left(j, &root);
        let least = ROUNDING * of(j, j);
        if variance.is_nan() || variance < -least {
            return None;
        }
        root[j][j] = variance.max(0.0).sqrt();
        for i in j + 1..3 {
            if (of(i, j) - of(j, i)).abs() > ROUNDING * (of(i, i) * of(j, j)).sqrt() {
                return None;
            }
            root[i][j] = if variance > least { left(i, &root) / root[j][j] } else { 0.0 };
        }
    }
    Some(root)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_root_squared_is_the_covariance() {
        let covariance = [[4.0, -2.0, 1.0], [-2.0, 5.0, -3.0], [1.0, -3.0, 6.0]];
        let root = root(covariance).expect("a covariance");
        for (a, row) in root.iter().zip(covariance) {
            for (b, value) in root.iter().zip(row) {
                let back: f64 = a.iter().zip(b).map(|(x, y)| x * y).sum();
                assert!((back - value).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn what_is_no_covariance_has_no_root() {
        assert_eq!(root([[1.0, 2.0, 0.0], [2.0, 1.0, 0.0], [0.0, 0.0, 1.0]]), None, "a correlation of 2");
        assert_eq!(root([[1.0, 0.5, 0.0], [0.4, 1.0, 0.0], [0.0, 0.0, 1.0]]), None, "not symmetric");
        assert_eq!(root([[f64::NAN; 3]; 3]), None);
        // What is known exactly has no error to share.
        assert!(root([[0.0, 0.0, 0.0], [0.0, 1.0, -1.0], [0.0, -1.0, 1.0]]).is_some());
    }
}
