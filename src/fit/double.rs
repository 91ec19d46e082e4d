//! Sums of products in about 32 digits: each number is the unevaluated sum of two doubles.
//!
//! Error-free sum: Knuth, *The Art of Computer Programming* vol. 2, 4.2.2. Error-free product by Veltkamp's splitting:
//! T. J. Dekker, "A floating-point technique for extending the available precision", Numer. Math. 18 (1971) 224–242.
//! Splitting instead of a fused multiply-add keeps it quick on machines without one. It overflows above about 1e300,
//! far beyond any length here.

/// A number held as `high + low`, with `low` below the last digit of `high`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Double {
    high: f64,
    low: f64,
}

/// `a + b`, exactly.
fn two_sum(a: f64, b: f64) -> (f64, f64) {
    let sum = a + b;
    let part = sum - a;
    (sum, (a - (sum - part)) + (b - part))
}

/// `a` cut into two halves of at most 26 bits each.
fn split(a: f64) -> (f64, f64) {
    // 2^27 + 1: half of the 53 bits of a double.
    const SPLITTER: f64 = 134_217_729.0;
    let scaled = SPLITTER * a;
    let high = scaled - (scaled - a);
    (high, a - high)
}

/// `a · b`, exactly.
fn two_product(a: f64, b: f64) -> (f64, f64) {
    let product = a * b;
    let ((ah, al), (bh, bl)) = (split(a), split(b));
    (product, ((ah * bh - product) + ah * bl + al * bh) + al * bl)
}

impl Double {
    /// A double, exactly.
    pub fn new(value: f64) -> Self {
        Self { high: value, low: 0.0 }
    }

    /// The nearest double.
    pub fn value(self) -> f64 {
        self.high
    }

    /// The sum with a double.
    pub fn plus(self, other: f64) -> Self {
        let (sum, error) = two_sum(self.high, other);
        let (high, low) = two_sum(sum, error + self.low);
        Self { high, low }
    }

    /// The sum with `factor · other`.
    pub fn plus_product(self, factor: f64, other: Double) -> Self {
        let (product, error) = two_product(factor, other.high);
        self.plus(product).plus(error + factor * other.low)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_double_would_lose_is_kept() {
        // (1 + 2^-30)² = 1 + 2^-29 + 2^-60, whose last term is below the last digit of a double.
        let a = 1.0 + 2f64.powi(-30);
        let rest = Double::new(-1.0).plus(-(2f64.powi(-29))).plus_product(a, Double::new(a));
        assert_eq!(rest.value(), 2f64.powi(-60));
        assert_eq!(Double::new(1e16).plus(1.0).plus(-1e16).value(), 1.0);
    }
}
