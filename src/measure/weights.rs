//! Weighted statistics.

/// Mean of `(value, weight)` pairs; `None` without weight.
#[must_use]
pub fn mean(pairs: impl Iterator<Item = (f64, f64)>) -> Option<f64> {
    let (sum, weight) = pairs.fold((0.0, 0.0), |(s, w), (x, wx)| (s + x * wx, w + wx));
    (weight > 0.0).then(|| sum / weight)
}

/// Standard deviation about the mean of `(value, weight)` pairs; `None` without weight.
#[must_use]
pub fn standard_deviation(pairs: impl Iterator<Item = (f64, f64)> + Clone) -> Option<f64> {
    let mean = mean(pairs.clone())?;
    self::mean(pairs.map(|(x, w)| ((x - mean) * (x - mean), w))).map(f64::sqrt)
}

/// The least value that at least `share` of the weight does not exceed; `None` without weight.
#[must_use]
pub fn quantile(mut pairs: Vec<(f64, f64)>, share: f64) -> Option<f64> {
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let wanted = share * pairs.iter().map(|p| p.1).sum::<f64>();
    let mut reached = 0.0;
    pairs
        .iter()
        .find(|(_, weight)| {
            reached += weight;
            reached >= wanted && reached > 0.0
        })
        .map(|(value, _)| *value)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand.
    #[test]
    fn weights_count() {
        let pairs = [(1.0, 1.0), (4.0, 2.0)];
        assert_eq!(mean(pairs.into_iter()), Some(3.0));
        assert_eq!(standard_deviation(pairs.into_iter()), Some(2.0f64.sqrt()));
        assert_eq!(quantile(pairs.to_vec(), 0.3), Some(1.0));
        assert_eq!(quantile(pairs.to_vec(), 0.5), Some(4.0));
        assert_eq!(mean([].into_iter()), None);
    }
}
