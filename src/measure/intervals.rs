//! Sets of intervals on a line, as sorted lists of disjoint (low, high) pairs.

/// An interval in metres along a leg.
pub type Interval = (f64, f64);

/// The union, sorted and disjoint; empty intervals vanish.
#[must_use]
pub fn union(mut intervals: Vec<Interval>) -> Vec<Interval> {
    intervals.retain(|(low, high)| high > low);
    intervals.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut joined: Vec<Interval> = Vec::new();
    for (low, high) in intervals {
        match joined.last_mut() {
            Some(last) if low <= last.1 => last.1 = last.1.max(high),
            _ => joined.push((low, high)),
        }
    }
    joined
}

/// What of `whole` lies in none of `taken`, which must be a [`union`].
#[must_use]
pub fn without(whole: Interval, taken: &[Interval]) -> Vec<Interval> {
    let mut rest = Vec::new();
    let mut at = whole.0;
    for (low, high) in taken {
        if *low > at {
            rest.push((at, low.min(whole.1)));
        }
        at = at.max(*high);
    }
    rest.push((at, whole.1));
    rest.retain(|(low, high)| high > low);
    rest
}

/// What of `whole` lies in any of `set`, which must be a [`union`].
#[must_use]
pub fn within(whole: Interval, set: &[Interval]) -> Vec<Interval> {
    set.iter()
        .map(|(low, high)| (low.max(whole.0), high.min(whole.1)))
        .filter(|(low, high)| high > low)
        .collect()
}

/// Total length of disjoint intervals.
#[must_use]
pub fn total(intervals: &[Interval]) -> f64 {
    sum(intervals.iter().map(|(low, high)| high - low))
}

/// The sum of some values, and 0 of none, for which [`Iterator::sum`] gives -0.
#[must_use]
pub fn sum(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(0.0, |sum, value| sum + value)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand.
    #[test]
    fn set_arithmetic() {
        let set = union(vec![(5.0, 7.0), (1.0, 2.0), (6.0, 9.0), (3.0, 3.0)]);
        assert_eq!(set, [(1.0, 2.0), (5.0, 9.0)]);
        assert_eq!(
            without((0.0, 10.0), &set),
            [(0.0, 1.0), (2.0, 5.0), (9.0, 10.0)]
        );
        assert_eq!(without((1.5, 6.0), &set), [(2.0, 5.0)]);
        assert_eq!(within((1.5, 6.0), &set), [(1.5, 2.0), (5.0, 6.0)]);
        assert_eq!(total(&set), 5.0);
        assert_eq!(without((0.0, 1.0), &[]), [(0.0, 1.0)]);
    }
}
