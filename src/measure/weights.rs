//! Weighted statistics.

/// Values with their weights, added up as they come.
#[derive(Clone, Copy, Debug, Default)]
pub struct Sum {
    /// Sum of the values times their weights.
    sum: f64,
    /// Sum of the weights.
    pub weight: f64,
}

impl Sum {
    /// Adds a value.
    pub fn add(&mut self, value: f64, weight: f64) {
        self.sum += value * weight;
        self.weight += weight;
    }

    /// Their mean; `None` without weight.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        (self.weight > 0.0).then(|| self.sum / self.weight)
    }
}

/// Mean of `(value, weight)` pairs; `None` without weight.
#[must_use]
pub fn mean(pairs: impl Iterator<Item = (f64, f64)>) -> Option<f64> {
    let mut sum = Sum::default();
    pairs.for_each(|(value, weight)| sum.add(value, weight));
    sum.mean()
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
    let weight = |pairs: &[(f64, f64)]| pairs.iter().map(|(_, weight)| weight).sum::<f64>();
    let wanted = share * weight(&pairs);
    let enough = |reached: f64| reached >= wanted && reached > 0.0;
    // Halved again and again, and only the half is looked at further in which the weight is reached.
    let mut among = pairs.as_mut_slice();
    let mut reached = 0.0;
    while !among.is_empty() {
        let (below, middle, above) =
            among.select_nth_unstable_by(among.len() / 2, |a, b| a.0.total_cmp(&b.0));
        let (value, own) = *middle;
        let with_below = reached + weight(below);
        if enough(with_below) {
            among = below;
        } else if enough(with_below + own) {
            return Some(value);
        } else {
            reached = with_below + own;
            among = above;
        }
    }
    None
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
        let many: Vec<(f64, f64)> = (0..=100).map(|i| (f64::from(i * 37 % 101), 1.0)).collect();
        assert_eq!(quantile(many.clone(), 0.25), Some(25.0));
        assert_eq!(quantile(many.clone(), 0.95), Some(95.0));
        assert_eq!(quantile(many, 0.001), Some(0.0));
        assert_eq!(quantile(vec![(2.0, 0.0), (3.0, 1.0)], 0.0), Some(3.0));
        assert_eq!(mean([].into_iter()), None);
    }
}
