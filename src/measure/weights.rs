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

/// Parts into which the values are told at first, each to be looked at alone. Chosen: then each holds few.
const PARTS: usize = 2048;

/// The least value that at least `share` of the weight does not exceed; `None` without weight. Values must be
/// finite. They are gone through several times and not kept, but for those near the one sought.
#[must_use]
pub fn quantile(pairs: impl Iterator<Item = (f64, f64)> + Clone, share: f64) -> Option<f64> {
    let values = || pairs.clone().map(|(value, _)| value);
    let least = values().fold(f64::INFINITY, f64::min);
    let most = values().fold(f64::NEG_INFINITY, f64::max);
    let part_of = |value: f64| {
        // Of values that are all the same it is the first part.
        let part = ((value - least) / (most - least) * PARTS as f64) as usize;
        part.min(PARTS - 1)
    };
    let mut parts = [0.0; PARTS];
    pairs
        .clone()
        .for_each(|(value, weight)| parts[part_of(value)] += weight);
    let wanted = share * parts.iter().sum::<f64>();
    let mut before = 0.0;
    let part = parts.iter().position(|weight| {
        let reached = before + weight;
        let here = reached >= wanted && reached > 0.0;
        if !here {
            before = reached;
        }
        here
    })?;
    let among = pairs.clone().filter(|(value, _)| part_of(*value) == part);
    // As the sums are rounded, the weight may be reached only with the last of them.
    let last = among.clone().map(|(value, _)| value).fold(least, f64::max);
    Some(reached_at(among.collect(), before, wanted).unwrap_or(last))
}

/// The least value with which the weight wanted is reached, with so much of it before all of them.
fn reached_at(mut pairs: Vec<(f64, f64)>, mut reached: f64, wanted: f64) -> Option<f64> {
    let weight = |pairs: &[(f64, f64)]| pairs.iter().map(|(_, weight)| weight).sum::<f64>();
    let enough = |reached: f64| reached >= wanted && reached > 0.0;
    // Halved again and again, and only the half is looked at further in which the weight is reached.
    let mut among = pairs.as_mut_slice();
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
    use proptest::prelude::*;

    /// By hand.
    #[test]
    fn weights_count() {
        let pairs = [(1.0, 1.0), (4.0, 2.0)];
        assert_eq!(mean(pairs.into_iter()), Some(3.0));
        assert_eq!(standard_deviation(pairs.into_iter()), Some(2.0f64.sqrt()));
        assert_eq!(quantile(pairs.into_iter(), 0.3), Some(1.0));
        assert_eq!(quantile(pairs.into_iter(), 0.5), Some(4.0));
        let many: Vec<(f64, f64)> = (0..=100).map(|i| (f64::from(i * 37 % 101), 1.0)).collect();
        let of = |pairs: &[(f64, f64)], share| quantile(pairs.iter().copied(), share);
        assert_eq!(of(&many, 0.25), Some(25.0));
        assert_eq!(of(&many, 0.95), Some(95.0));
        assert_eq!(of(&many, 0.001), Some(0.0));
        assert_eq!(of(&[(2.0, 0.0), (3.0, 1.0)], 0.0), Some(3.0));
        assert_eq!(of(&[(0.0, 1.0), (0.0, 2.0)], 0.5), Some(0.0));
        assert_eq!(of(&[(5.0, 0.0)], 0.5), None);
        assert_eq!(of(&[], 0.5), None);
        assert_eq!(mean([].into_iter()), None);
    }

    proptest! {
        /// Against the definition, by sorting; whole weights add up without rounding.
        #[test]
        fn quantiles_are_those_of_the_sorted_values(
            pairs in prop::collection::vec((prop_oneof![0.0..1.0, -1e3..1e4, Just(3.0)], 0_u8..4), 0..60),
            share in 0.0..=1.0,
        ) {
            let mut sorted: Vec<(f64, f64)> = pairs.iter().map(|(x, w)| (*x, f64::from(*w))).collect();
            let found = quantile(sorted.iter().copied(), share);
            sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
            let wanted = share * sorted.iter().map(|(_, w)| w).sum::<f64>();
            let mut reached = 0.0;
            let expected = sorted.iter().find(|(_, weight)| {
                reached += weight;
                reached >= wanted && reached > 0.0
            });
            prop_assert_eq!(found, expected.map(|(value, _)| *value));
        }
    }
}
