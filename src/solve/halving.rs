//! How far something goes that holds up to some number and not beyond it.

/// The number nearest to `bad` at which still `keeps` what `good` keeps, as near as `close`: by halving.
pub fn farthest(mut good: f64, mut bad: f64, close: f64, keeps: impl Fn(f64) -> bool) -> f64 {
    while (good - bad).abs() > close {
        let middle = (good + bad) / 2.0;
        if keeps(middle) { good = middle } else { bad = middle }
    }
    good
}

#[cfg(test)]
mod tests {
    use super::farthest;

    #[test]
    fn it_ends_where_it_holds_just_still_from_either_side() {
        let root = farthest(1.0, 2.0, 1e-12, |x| x * x <= 2.0);
        assert!(root * root <= 2.0 && (root - 2f64.sqrt()).abs() < 1e-12);
        let root = farthest(2.0, 1.0, 1e-12, |x| x * x >= 2.0);
        assert!(root * root >= 2.0 && (root - 2f64.sqrt()).abs() < 1e-12);
    }
}
