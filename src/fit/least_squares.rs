//! Linear least squares that stay accurate on nearly collinear columns.
//!
//! Columns are scaled to about unit size by powers of two (exact), rows are sorted by falling size, and the matrix is
//! factored by Householder reflections with column pivoting; with both, the factorisation is stable row by row, so
//! that very different weights do no harm (A. J. Cox and N. J. Higham, "Stability of Householder QR factorization for
//! weighted least squares problems", 1998). Normal equations are never formed: they would square the condition.
//!
//! The solution is then refined. Solution and residuals are improved together through the augmented system
//! `r + A·x = b, Aᵀ·r = 0`, whose own residuals are summed in twice the working precision (Å. Björck, "Iterative
//! refinement of linear least squares solutions", BIT 7 (1967) 257–278). It settles on the correctly rounded answer as
//! long as the condition is below about 1e15.

use nalgebra::{DMatrix, DVector};

use super::double::Double;

/// Most steps of refinement; three or four do on any problem that can be solved at all.
const MOST_STEPS: usize = 12;

/// A solved problem: `x` minimises `‖b − A·x‖`.
#[derive(Debug, Clone, PartialEq)]
pub struct Solution {
    /// The minimiser.
    pub x: DVector<f64>,
    /// `b − A·x`.
    pub residuals: DVector<f64>,
    /// `(AᵀA)⁻¹`: the covariance of `x` when the entries of `b` have unit variance.
    pub covariance: DMatrix<f64>,
    /// A root of it, `covariance = root·rootᵀ`: variances taken from it do not suffer from cancellation.
    pub root: DMatrix<f64>,
    /// Orthonormal basis of the columns' span; the squared length of a row is that row's leverage.
    pub basis: DMatrix<f64>,
    /// `x` as the factorisation alone gave it.
    pub unrefined: DVector<f64>,
    /// Steps of refinement taken.
    pub steps: usize,
}

impl Solution {
    /// Variance of `g · x` when the entries of `b` have unit variance.
    pub fn variance(&self, g: &DVector<f64>) -> f64 {
        self.root.tr_mul(g).norm_squared()
    }
}

/// The columns are linearly dependent, or there are fewer rows than columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("the equations leave unknowns open")]
pub struct Deficient;

/// Whether to refine the solution of the factorisation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refine {
    /// Until it settles.
    Fully,
    /// Not at all: for a solution that only steers an iteration.
    No,
}

/// A factored matrix: `A·S·P = Q·R` with scales `S` and the permutation `P`.
struct Factored {
    /// Power of two that each column was multiplied by.
    scales: Vec<f64>,
    /// Original column at each pivot position.
    pivots: Vec<usize>,
    /// Orthonormal columns, rows in the original order.
    q: DMatrix<f64>,
    /// Upper triangle.
    r: DMatrix<f64>,
}

/// Solves `A·x ≈ b` for the least sum of squares.
///
/// # Errors
/// [`Deficient`] where a pivot vanishes to working precision; nothing is guessed then.
pub fn solve(a: &DMatrix<f64>, b: &DVector<f64>, refine: Refine) -> Result<Solution, Deficient> {
    let factored = Factored::new(a)?;
    let (rows, columns) = a.shape();
    let (mut x, mut residuals) = (vec![Double::default(); columns], vec![Double::default(); rows]);
    let first = factored.correction(b, &DVector::zeros(columns));
    add(&mut x, &first.0);
    add(&mut residuals, &first.1);
    let (unrefined, mut last, mut steps) = (first.0, f64::INFINITY, 0);
    while refine == Refine::Fully && steps < MOST_STEPS {
        let (f, g) = defects(a, b, &x, &residuals);
        let (dx, dr) = factored.correction(&f, &g);
        let size = factored.relative(&dx, &x);
        // Corrections that no longer shrink are rounding.
        if !size.is_finite() || size >= last {
            break;
        }
        add(&mut x, &dx);
        add(&mut residuals, &dr);
        steps += 1;
        if size < f64::EPSILON / 4.0 {
            break;
        }
        last = size;
    }
    let root = factored.root()?;
    let (x, residuals, covariance) = (rounded(&x), rounded(&residuals), &root * root.transpose());
    Ok(Solution { x, residuals, covariance, root, basis: factored.q, unrefined, steps })
}

impl Factored {
    fn new(a: &DMatrix<f64>) -> Result<Self, Deficient> {
        let (rows, columns) = a.shape();
        if rows < columns || columns == 0 {
            return Err(Deficient);
        }
        let scales: Vec<f64> = a.column_iter().map(|c| power_of_two(c.amax())).collect();
        let sizes: Vec<f64> =
            a.row_iter().map(|r| r.iter().zip(&scales).fold(0.0, |m: f64, (v, s)| m.max((v * s).abs()))).collect();
        let mut order: Vec<usize> = (0..rows).collect();
        order.sort_by(|&i, &k| sizes[k].total_cmp(&sizes[i]));
        let sorted = DMatrix::from_fn(rows, columns, |i, j| a[(order[i], j)] * scales[j]);
        let qr = sorted.col_piv_qr();
        let mut pivots = DMatrix::from_fn(1, columns, |_, j| j);
        qr.p().permute_columns(&mut pivots);
        let (q_sorted, r) = (qr.q(), qr.r());
        let mut q = DMatrix::zeros(rows, columns);
        for (from, &to) in order.iter().enumerate() {
            q.row_mut(to).copy_from(&q_sorted.row(from));
        }
        let largest = r.diagonal().amax();
        let vanishes = f64::EPSILON * columns as f64 * largest;
        if !largest.is_finite() || r.diagonal().iter().any(|d| d.abs() <= vanishes) {
            return Err(Deficient);
        }
        Ok(Self { scales, pivots: pivots.iter().copied().collect(), q, r })
    }

    /// Solves `r + A·x = f, Aᵀ·r = g` for `(x, r)`.
    fn correction(&self, f: &DVector<f64>, g: &DVector<f64>) -> (DVector<f64>, DVector<f64>) {
        let scaled = DVector::from_iterator(g.len(), self.pivots.iter().map(|&j| g[j] * self.scales[j]));
        // Neither fails: the diagonal of R was checked.
        let h = self.r.tr_solve_upper_triangular(&scaled).unwrap_or(scaled);
        let d = self.q.tr_mul(f);
        let inner = &d - &h;
        let y = self.r.solve_upper_triangular(&inner).unwrap_or(inner);
        let mut x = DVector::zeros(y.len());
        for (position, &j) in self.pivots.iter().enumerate() {
            x[j] = y[position] * self.scales[j];
        }
        (x, f + &self.q * (h - d))
    }

    /// Largest correction relative to the entry it corrects; an entry that hardly matters counts as a millionth of the
    /// one that matters most, so that a zero among them does not end the refinement.
    fn relative(&self, dx: &DVector<f64>, x: &[Double]) -> f64 {
        let weight = |j: usize| x[j].value().abs() / self.scales[j];
        let floor = (0..x.len()).map(weight).fold(f64::MIN_POSITIVE, f64::max) * 1e-6;
        let change = |j: usize| dx[j].abs() / self.scales[j] / weight(j).max(floor);
        (0..x.len()).map(change).fold(0.0, f64::max)
    }

    /// `S·P·R⁻¹`.
    fn root(&self) -> Result<DMatrix<f64>, Deficient> {
        let n = self.pivots.len();
        let inverse = self.r.solve_upper_triangular(&DMatrix::identity(n, n)).ok_or(Deficient)?;
        let mut root = DMatrix::zeros(n, n);
        for (position, &j) in self.pivots.iter().enumerate() {
            root.row_mut(j).copy_from(&(inverse.row(position) * self.scales[j]));
        }
        Ok(root)
    }
}

/// The power of two that brings `size` to between 1 and 2; 1 for a column of zeros.
fn power_of_two(size: f64) -> f64 {
    if size > 0.0 && size.is_finite() { libm::exp2(-libm::log2(size).floor()) } else { 1.0 }
}

/// `b − r − A·x` and `−Aᵀ·r` in twice the working precision, rounded once.
fn defects(a: &DMatrix<f64>, b: &DVector<f64>, x: &[Double], r: &[Double]) -> (DVector<f64>, DVector<f64>) {
    let row = |i: usize| {
        let start = Double::new(b[i]).plus_product(-1.0, r[i]);
        x.iter().enumerate().fold(start, |sum, (j, &x)| sum.plus_product(-a[(i, j)], x)).value()
    };
    let column =
        |j: usize| r.iter().enumerate().fold(Double::default(), |sum, (i, &r)| sum.plus_product(-a[(i, j)], r)).value();
    (DVector::from_iterator(r.len(), (0..r.len()).map(row)), DVector::from_iterator(x.len(), (0..x.len()).map(column)))
}

fn add(sum: &mut [Double], correction: &DVector<f64>) {
    for (s, c) in sum.iter_mut().zip(correction.iter()) {
        *s = s.plus(*c);
    }
}

fn rounded(values: &[Double]) -> DVector<f64> {
    DVector::from_iterator(values.len(), values.iter().map(|v| v.value()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_through_three_points_by_hand() {
        // y = 1, 2, 4 at x = 0, 1, 2: slope 3/2, intercept 5/6, residuals 1/6, −1/3, 1/6.
        let a = DMatrix::from_row_slice(3, 2, &[1.0, 0.0, 1.0, 1.0, 1.0, 2.0]);
        let s = solve(&a, &DVector::from_vec(vec![1.0, 2.0, 4.0]), Refine::Fully).expect("two unknowns");
        assert!((s.x[0] - 5.0 / 6.0).abs() < 1e-15 && (s.x[1] - 1.5).abs() < 1e-15);
        assert!((s.residuals[1] + 1.0 / 3.0).abs() < 1e-15);
        // (AᵀA)⁻¹ = [[5, −3], [−3, 3]] / 6.
        assert!((s.covariance[(0, 0)] - 5.0 / 6.0).abs() < 1e-14 && (s.covariance[(0, 1)] + 0.5).abs() < 1e-14);
        let leverage: f64 = s.basis.row(0).norm_squared();
        assert!((leverage - 5.0 / 6.0).abs() < 1e-14);
    }

    /// Powers of one to twenty-one up to the fifth, with the right-hand side of all coefficients one: one step of refinement
    /// is not enough for the last bit of all of them, and one that brings nothing any more is not taken.
    #[test]
    fn refinement_goes_on_as_long_as_it_helps_and_no_longer() {
        let a = DMatrix::from_fn(21, 6, |row, column| (row as f64 + 1.0).powi(column as i32));
        let b = DVector::from_iterator(21, a.row_iter().map(|row| row.sum()));
        let s = solve(&a, &b, Refine::Fully).expect("independent");
        assert!(s.x.iter().all(|x| *x == 1.0), "{}", s.x);
        assert!((2..MOST_STEPS).contains(&s.steps), "{}", s.steps);
        // Nothing to find is found at once.
        let none = solve(&a, &DVector::zeros(21), Refine::Fully).expect("independent");
        assert_eq!((none.x, none.steps), (DVector::zeros(6), 1));
    }

    #[test]
    fn dependent_columns_and_missing_rows_are_refused() {
        let twice = DMatrix::from_row_slice(3, 2, &[1.0, 2.0, 2.0, 4.0, 3.0, 6.0]);
        let b = DVector::from_vec(vec![1.0, 2.0, 3.0]);
        assert_eq!(solve(&twice, &b, Refine::Fully), Err(Deficient));
        let wide = DMatrix::from_row_slice(1, 2, &[1.0, 2.0]);
        assert_eq!(solve(&wide, &DVector::from_vec(vec![1.0]), Refine::No), Err(Deficient));
    }

    #[test]
    fn weights_of_twelve_decades_do_no_harm() {
        // Two heavy rows fix x = (1, 2); the light ones disagree.
        let w = 1e12;
        let a = DMatrix::from_row_slice(4, 2, &[1.0, 1.0, w, 0.0, 1.0, -1.0, w, w]);
        let b = DVector::from_vec(vec![7.0, w, 5.0, 3.0 * w]);
        let s = solve(&a, &b, Refine::Fully).expect("two unknowns");
        assert!((s.x[0] - 1.0).abs() < 1e-15 && (s.x[1] - 2.0).abs() < 1e-15, "{}", s.x);
    }
}
