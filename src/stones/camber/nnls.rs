//! Non-negative least squares of a few columns: the `x ≥ 0` that makes `‖A x − b‖` least.
//!
//! Where `x` is least, the columns whose coefficients are above zero solve the ordinary least squares on them alone. So
//! every set of columns is tried, and of those whose coefficients are all above zero the one that leaves least is the
//! answer. The conditions of Karush, Kuhn and Tucker hold there: what meets them is the least, as the problem is convex.
//! The effort doubles with every column.

use nalgebra::{DMatrix, DVector};

/// Most columns: a stroke plan has four places and an even wear.
pub const MOST_COLUMNS: usize = 5;

/// A column whose part outside the span of the others is below this share of it counts as dependent on them.
const DEPENDENT: f64 = 1e-9;

/// Why there is no answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoAnswer {
    /// The sizes of matrix and right side do not belong together, or one is empty.
    #[error("the least squares have no columns, no rows, or a right side of another length")]
    Sizes,
    /// More columns than sets of them are tried for.
    #[error("the least squares have {columns} columns, and at most {MOST_COLUMNS} are tried")]
    Columns {
        /// How many.
        columns: usize,
    },
    /// A number that is infinite or none.
    #[error("the least squares have a number that is not finite")]
    NotFinite,
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
    if n > MOST_COLUMNS {
        return Err(NoAnswer::Columns { columns: n });
    }
    if !a.iter().chain(b.iter()).all(|v| v.is_finite()) {
        return Err(NoAnswer::NotFinite);
    }
    let mut sets: Vec<Vec<usize>> =
        (1..1 << n).map(|set: u32| (0..n).filter(|j| set >> j & 1 == 1).collect()).collect();
    sets.sort_by_key(Vec::len);
    let mut best = (DVector::zeros(n), b.norm());
    for columns in sets {
        let Some(z) = solve(&a.select_columns(&columns), b).filter(|z| z.iter().all(|v| *v > 0.0)) else { continue };
        let mut x = DVector::zeros(n);
        columns.iter().zip(z.iter()).for_each(|(&j, &v)| x[j] = v);
        let left = (a * &x - b).norm();
        // Fewer columns come first and stay where more leave as much.
        if left < best.1 {
            best = (x, left);
        }
    }
    Ok(best.0)
}

/// Ordinary least squares by orthogonal factorisation; `None` where columns depend on each other.
fn solve(a: &DMatrix<f64>, b: &DVector<f64>) -> Option<DVector<f64>> {
    if a.nrows() < a.ncols() {
        return None;
    }
    let qr = a.clone().qr();
    let r = qr.r();
    let independent = a.column_iter().enumerate().all(|(i, column)| r[(i, i)].abs() > DEPENDENT * column.norm());
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
        assert_eq!(nnls(&DMatrix::zeros(1, 6), &b), Err(NoAnswer::Columns { columns: 6 }));
        assert_eq!(nnls(&DMatrix::from_element(1, 1, f64::NAN), &b), Err(NoAnswer::NotFinite));
        assert_eq!(nnls(&DMatrix::zeros(1, 1), &b), Ok(DVector::zeros(1)));
    }
}
