//! Which unknowns and which projections the equations determine at all.
//!
//! Rank does not depend on weights, so the equations are taken each at unit length, columns scaled to unit length, and
//! the singular values of the triangle that is left of them are compared. What has no part along the directions of
//! vanishing singular values is determined, however uncertain it may be.

use nalgebra::{DMatrix, DVector};

use super::model::{Equation, Model};

/// Singular values below this part of the largest count as zero: rounding leaves some 1e-15, while three pairs a tenth
/// of a degree apart still reach 1e-6.
const VANISHES: f64 = 1e-10;

/// Part of a unit vector along open directions that is still rounding.
const ALONG: f64 = 1e-6;

/// What equations determine.
#[derive(Debug, Clone, PartialEq)]
pub struct Determined {
    /// How many directions they leave open.
    pub open: usize,
    /// Those directions, one a column, in scaled unknowns.
    directions: DMatrix<f64>,
    /// Length of each column of equations.
    scales: Vec<f64>,
}

impl Determined {
    /// What `equations` in the unknowns of `model` determine.
    pub fn by_equations(model: &Model, equations: &[Equation]) -> Self {
        let columns = model.unknowns.len();
        // At least as many rows as columns, so that all directions come out; rows of zeros say nothing.
        let rows = equations.len().max(columns);
        let mut a = DMatrix::zeros(rows, columns);
        for (i, equation) in equations.iter().enumerate() {
            let length = equation.coefficients.iter().map(|c| c * c).sum::<f64>().sqrt();
            for (j, c) in equation.coefficients.iter().enumerate() {
                a[(i, j)] = c / length;
            }
        }
        let scales: Vec<f64> = a.column_iter().map(|c| if c.norm() > 0.0 { c.norm() } else { 1.0 }).collect();
        for (mut column, scale) in a.column_iter_mut().zip(&scales) {
            column /= *scale;
        }
        let svd = a.qr().r().svd(false, true);
        let largest = svd.singular_values.amax();
        let v = svd.v_t.unwrap_or_else(|| DMatrix::identity(columns, columns)).transpose();
        let open: Vec<usize> = (0..columns).filter(|&j| svd.singular_values[j] <= VANISHES * largest).collect();
        Self { open: open.len(), directions: v.select_columns(&open), scales }
    }

    /// Whether `gradient · unknowns` is determined.
    pub fn holds(&self, gradient: &[f64]) -> bool {
        let scaled = DVector::from_iterator(gradient.len(), gradient.iter().zip(&self.scales).map(|(g, s)| g / s));
        self.directions.tr_mul(&scaled).norm() <= ALONG * scaled.norm()
    }

    /// Whether the unknown in `column` is determined.
    pub fn unknown(&self, column: usize) -> bool {
        let mut unit = vec![0.0; self.scales.len()];
        unit[column] = 1.0;
        self.holds(&unit)
    }
}
