//! Non-negative least squares: the `x ≥ 0` that makes `‖A x − b‖` least.
//!
//! The active-set method of C. L. Lawson and R. J. Hanson, *Solving Least Squares Problems* (1974), chapter 23: columns
//! join the passive set one at a time, the steepest first, and leave it where their coefficient would turn negative. It
//! ends at a point that meets the conditions of Karush, Kuhn and Tucker, which for this convex problem is the answer.

use nalgebra::{DMatrix, DVector};

/// Gradients below this share of the largest that the data could give count as zero.
const GRADIENT: f64 = 1e-11;

/// A column whose part outside the span of the others is below this share of it counts as dependent on them.
const DEPENDENT: f64 = 1e-9;

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoAnswer {
    /// The sizes of matrix and right side do not belong together, or one is empty.
    #[error("the least squares have no columns, no rows, or a right side of another length")]
    Sizes,
    /// A number that is infinite or none.
    #[error("the least squares have a number that is not finite")]
    NotFinite,
    /// More exchanges of columns than the method should need.
    #[error("the least squares did not settle after {exchanges} exchanges of columns")]
    NotSettled {
        /// How many were made.
        exchanges: usize,
    },
}

/// The `x ≥ 0` that makes `‖a·x − b‖` least. Of columns that depend on each other some stay at zero.
///
/// # Errors
/// [`NoAnswer`].
pub fn nnls(a: &DMatrix<f64>, b: &DVector<f64>) -> Result<DVector<f64>, NoAnswer> {
    let n = a.ncols();
    if n == 0 || a.nrows() == 0 || a.nrows() != b.len() {
        return Err(NoAnswer::Sizes);
    }
    if !a.iter().chain(b.iter()).all(|v| v.is_finite()) {
        return Err(NoAnswer::NotFinite);
    }
    let norms: Vec<f64> = a.column_iter().map(|c| c.norm()).collect();
    let mut x = DVector::zeros(n);
    let mut passive: Vec<usize> = Vec::new();
    let most = 30 * n + 30;
    let mut exchanges = 0;
    // Columns that were tried at this point and cannot join.
    let mut refused = vec![false; n];
    loop {
        let residual = b - a * &x;
        let slope = |j: usize| a.column(j).dot(&residual) / norms[j];
        let steepest = (0..n)
            .filter(|&j| norms[j] > 0.0 && !refused[j] && !passive.contains(&j))
            .map(|j| (j, slope(j)))
            .max_by(|p, q| p.1.total_cmp(&q.1));
        let Some((joins, _)) = steepest.filter(|(_, slope)| *slope > GRADIENT * b.norm()) else { return Ok(x) };
        passive.push(joins);
        let Some(mut z) = solve(a, b, &passive).filter(|z| z[passive.len() - 1] > 0.0) else {
            passive.pop();
            refused[joins] = true;
            continue;
        };
        refused.fill(false);
        while z.iter().any(|&v| v <= 0.0) {
            exchanges += 1;
            if exchanges > most {
                return Err(NoAnswer::NotSettled { exchanges });
            }
            shorten(&mut x, &mut passive, &z);
            z = solve(a, b, &passive)
                .unwrap_or_else(|| DVector::from_iterator(passive.len(), passive.iter().map(|&j| x[j])));
        }
        for (&j, &value) in passive.iter().zip(z.iter()) {
            x[j] = value;
        }
        exchanges += 1;
        if exchanges > most {
            return Err(NoAnswer::NotSettled { exchanges });
        }
    }
}

/// Goes from `x` toward `z` as far as no coefficient turns negative, and drops the columns that reach zero.
fn shorten(x: &mut DVector<f64>, passive: &mut Vec<usize>, z: &DVector<f64>) {
    let pairs = || passive.iter().zip(z.iter());
    let share = pairs().filter(|(_, z)| **z <= 0.0).map(|(&j, z)| x[j] / (x[j] - z)).fold(1.0, f64::min);
    let hits: Vec<usize> =
        pairs().filter(|(j, z)| **z <= 0.0 && x[**j] / (x[**j] - **z) <= share).map(|(&j, _)| j).collect();
    let moved: Vec<(usize, f64)> = pairs().map(|(&j, z)| (j, x[j] + share * (z - x[j]))).collect();
    for (j, value) in moved {
        x[j] = if hits.contains(&j) { 0.0 } else { value.max(0.0) };
    }
    passive.retain(|j| x[*j] > 0.0);
}

/// Least squares on some columns by orthogonal factorisation; `None` where they depend on each other.
fn solve(a: &DMatrix<f64>, b: &DVector<f64>, columns: &[usize]) -> Option<DVector<f64>> {
    if columns.is_empty() {
        return Some(DVector::zeros(0));
    }
    let part = a.select_columns(columns);
    if part.nrows() < part.ncols() {
        return None;
    }
    let qr = part.clone().qr();
    let r = qr.r();
    let independent = (0..columns.len()).all(|i| r[(i, i)].abs() > DEPENDENT * part.column(i).norm());
    if !independent {
        return None;
    }
    r.solve_upper_triangular(&(qr.q().transpose() * b))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_coefficient_that_would_be_negative_is_zero() {
        let a = DMatrix::from_row_slice(3, 2, &[1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
        let x = nnls(&a, &DVector::from_row_slice(&[2.0, -3.0, 1.0]));
        assert_eq!(x, Ok(DVector::from_row_slice(&[2.0, 0.0])));
    }

    #[test]
    fn columns_that_depend_on_each_other_share_one_answer() {
        let a = DMatrix::from_row_slice(2, 3, &[1.0, 2.0, 0.0, 1.0, 2.0, 0.0]);
        let x = nnls(&a, &DVector::from_row_slice(&[3.0, 5.0])).unwrap_or_else(|e| panic!("{e}"));
        assert!((x[0] + 2.0 * x[1] - 4.0).abs() < 1e-12 && x[2] == 0.0, "{x}");
    }

    #[test]
    fn what_is_no_problem_is_refused() {
        let b = DVector::from_row_slice(&[1.0]);
        assert_eq!(nnls(&DMatrix::zeros(1, 0), &b), Err(NoAnswer::Sizes));
        assert_eq!(nnls(&DMatrix::zeros(2, 1), &b), Err(NoAnswer::Sizes));
        assert_eq!(nnls(&DMatrix::from_element(1, 1, f64::NAN), &b), Err(NoAnswer::NotFinite));
        assert_eq!(nnls(&DMatrix::zeros(1, 1), &b), Ok(DVector::zeros(1)));
    }
}
