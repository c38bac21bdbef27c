//! Whether a measure changed from flight to flight: the slope of P. K. Sen and its interval without a normal distribution, by the
//! distribution of M. G. Kendall's S.
//!
//! P. K. Sen, Estimates of the Regression Coefficient Based on Kendall's Tau, Journal of the American Statistical Association 63 (1968); M. Hollander
//! and D. A. Wolfe, Nonparametric Statistical Methods, 1973, chapter 9. With few flights nothing but the order of their values can be relied on: their
//! distribution is not known and one odd flight must not make a trend.

use super::rank::{median, sorted};
use serde::Serialize;

/// With fewer flights no interval of 95 % exists: even in strict order four values are no surprise (2 of 24 orders).
pub const FEWEST: usize = 5;
/// The chance of an interval, or of a test, to err.
const ALPHA: f64 = 0.05;

/// How a measure moved over flights.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trend {
    /// Flights it rests on.
    pub flights: usize,
    /// Change from flight to flight: the median of the slopes between all pairs. `None` with fewer than two flights.
    pub slope: Option<f64>,
    /// Its interval of 95 % or more; `None` with fewer flights than [`FEWEST`].
    pub interval: Option<(f64, f64)>,
    /// The chance of an order as clear as this or clearer, either way, if nothing changed; `None` as the interval.
    pub chance: Option<f64>,
}

impl Trend {
    /// Of values in the order of the flights.
    #[must_use]
    pub fn of(values: &[f64]) -> Self {
        let slopes = slopes(values);
        let known = values.len() >= FEWEST;
        Self {
            flights: values.len(),
            slope: median(slopes.iter().copied()),
            interval: known.then(|| interval(&slopes, values.len())).flatten(),
            chance: known.then(|| chance(score(values), values.len())),
        }
    }
}

/// The slopes between all pairs, in order of size.
fn slopes(values: &[f64]) -> Vec<f64> {
    let pairs = values.iter().enumerate().flat_map(|(i, a)| {
        let later = values.iter().enumerate().skip(i + 1);
        later.map(move |(j, b)| (b - a) / (j - i) as f64)
    });
    sorted(pairs)
}

/// Kendall's S: pairs that rise less pairs that fall.
fn score(values: &[f64]) -> i64 {
    let pairs = values.iter().enumerate().flat_map(|(i, a)| {
        let later = values.iter().skip(i + 1);
        later.map(move |b| i64::from(b > a) - i64::from(b < a))
    });
    pairs.sum()
}

/// Chances of 0, 1, 2 … pairs out of order among all orders of `n` values: each further value adds 0 to n - 1 of them, all as likely.
fn inversions(n: usize) -> Vec<f64> {
    let mut chances = vec![1.0];
    for value in 1..n {
        let mut next = vec![0.0; chances.len() + value];
        for (count, chance) in chances.iter().enumerate() {
            for added in 0..=value {
                next[count + added] += chance / (value + 1) as f64;
            }
        }
        chances = next;
    }
    chances
}

/// The chance that |S| is so large or larger. Ties make S smaller, so that it is too large rather than too small.
fn chance(score: i64, n: usize) -> f64 {
    let pairs = (n * n.saturating_sub(1) / 2) as i64;
    // S = pairs - 2 · inversions.
    let most = (pairs - score.abs()) / 2;
    let tail: f64 = inversions(n).iter().take(most as usize + 1).sum();
    (2.0 * tail).min(1.0)
}

/// The interval between two of the slopes in order, such that S leaves it out in no more than 5 of 100 cases.
fn interval(slopes: &[f64], n: usize) -> Option<(f64, f64)> {
    let mut tail = 0.0;
    let mut out = 0;
    for chance in inversions(n) {
        tail += chance;
        if tail > ALPHA / 2.0 {
            break;
        }
        out += 1;
    }
    // `out` values of S are left out at either end: the bounds are the slopes numbered so from both.
    let low = slopes.get(usize::checked_sub(out, 1)?)?;
    let high = slopes.get(slopes.len().checked_sub(out)?)?;
    Some((*low, *high))
}

/// Which of several trends stand, so that not one in twenty pilots who do not change is told of any change at all: S. Holm, A Simple
/// Sequentially Rejective Multiple Test Procedure, Scandinavian Journal of Statistics 6 (1979).
#[must_use]
pub fn standing(trends: &[Trend]) -> Vec<bool> {
    let mut order: Vec<(usize, f64)> = trends
        .iter()
        .enumerate()
        .filter_map(|(i, trend)| Some((i, trend.chance?)))
        .collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut stands = vec![false; trends.len()];
    let count = order.len();
    for (place, (index, chance)) in order.into_iter().enumerate() {
        if chance * (count - place) as f64 > ALPHA {
            break;
        }
        stands[index] = true;
    }
    stands
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hollander and Wolfe, table A.21 (from memory): P(K ≥ 8) = 0.042 for n = 5, P(K ≥ 11) = 0.028 and P(K ≥ 13) = 0.008 for n = 6.
    #[test]
    fn chances_are_those_of_the_table() {
        for (score, n, one_sided) in [
            (8, 5, 0.042),
            (10, 5, 0.008),
            (11, 6, 0.028),
            (13, 6, 0.008),
        ] {
            let half = chance(score, n) / 2.0;
            assert!((half - one_sided).abs() < 0.0006, "{score} of {n}: {half}");
        }
    }

    /// By hand: of five values in strict order one order in 120 is as clear, so the interval spans all slopes; four have none.
    #[test]
    fn few_flights_tell_little() {
        let trend = Trend::of(&[5.0, 4.0, 3.5, 2.0, 1.0]);
        assert_eq!(trend.slope, Some(-1.0));
        assert_eq!(trend.interval, Some((-1.5, -0.5)));
        assert!((trend.chance.unwrap() - 2.0 / 120.0).abs() < 1e-12);
        let trend = Trend::of(&[4.0, 3.0, 2.0, 1.0]);
        assert_eq!((trend.interval, trend.chance), (None, None));
    }
}
