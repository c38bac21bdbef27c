//! Intervals of figures whose distribution is not known, by drawing the sample anew (B. Efron, Bootstrap Methods: Another Look at the Jackknife, The
//! Annals of Statistics 7 (1979)).
//!
//! Of small samples such intervals are too narrow. Their bounds are moved outwards as Student's t lies outside the normal distribution (the expanded
//! percentile interval of T. C. Hesterberg, What Teachers Should Know About the Bootstrap, The American Statistician 69 (2015)), for as many values as
//! would be worth as much if those of one flight were not alike (the design effect of L. Kish, *Survey Sampling* (1965)).

use super::rank::{quantile, sorted};
use crate::statistics::student_95;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// How often the sample is drawn. Chosen: its bounds then waver by a few hundredths of their distance.
const DRAWS: usize = 2000;

/// The interval of 95 % of a figure over groups of values: flights of legs. Legs of one flight have a day in common, so flights are drawn, and
/// legs within them. The same values give the same interval. `None` with fewer than two values.
pub(crate) fn interval(
    groups: &[Vec<f64>],
    figure: impl Fn(&mut Vec<f64>) -> Option<f64>,
) -> Option<(f64, f64)> {
    let groups: Vec<&Vec<f64>> = groups.iter().filter(|group| !group.is_empty()).collect();
    if groups.iter().map(|group| group.len()).sum::<usize>() < 2 {
        return None;
    }
    let mut rng = ChaCha8Rng::seed_from_u64(0);
    let mut drawn = Vec::new();
    let figures = (0..DRAWS).filter_map(|_| {
        drawn.clear();
        for _ in 0..groups.len() {
            let group = groups[rng.random_range(0..groups.len())];
            drawn.extend((0..group.len()).map(|_| group[rng.random_range(0..group.len())]));
        }
        figure(&mut drawn)
    });
    let figures = sorted(figures.collect::<Vec<_>>().into_iter());
    let worth = worth(&groups);
    let freedom = (worth - 1.0).floor().max(1.0) as usize;
    let z = student_95(freedom) * (worth / (worth - 1.0)).sqrt();
    let beyond = libm::erfc(z / std::f64::consts::SQRT_2) / 2.0;
    Some((
        quantile(&figures, beyond)?,
        quantile(&figures, 1.0 - beyond)?,
    ))
}

/// How many values that have nothing in common would tell as much, 2 or more. How alike those of a group are comes from the analysis of variance; of a
/// single group it cannot be told, and they are taken for unlike.
fn worth(groups: &[&Vec<f64>]) -> f64 {
    let count: f64 = groups.iter().map(|group| group.len() as f64).sum();
    let mean = groups.iter().copied().flatten().sum::<f64>() / count;
    let own = |group: &[f64]| group.iter().sum::<f64>() / group.len() as f64;
    let square = |x: f64| x * x;
    let between: f64 = groups
        .iter()
        .map(|group| group.len() as f64 * square(own(group) - mean))
        .sum();
    let within: f64 = groups
        .iter()
        .map(|group| group.iter().map(|x| square(x - own(group))).sum::<f64>())
        .sum();
    let groups = groups.len() as f64;
    let (between, within) = (between / (groups - 1.0), within / (count - groups));
    let size = count / groups;
    let alike = (between - within) / (between + (size - 1.0) * within);
    // With one group, or one value in each, there is nothing to compare.
    let alike = if alike.is_finite() {
        alike.max(0.0)
    } else {
        0.0
    };
    (count / (1.0 + (size - 1.0) * alike)).max(2.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::training::rank::{median, root_mean_square};
    use rand_distr::{Distribution, Exp1, StandardNormal};

    const ROWS: usize = 400;

    /// Of how many in `ROWS` samples of three flights with six legs the interval holds the truth, and of how many it lies wholly above it. Flights differ by
    /// `days`, legs of a flight by 1.
    fn held(
        days: f64,
        mut leg: impl FnMut(&mut ChaCha8Rng) -> f64,
        figure: impl Fn(&mut Vec<f64>) -> Option<f64>,
        truth: f64,
    ) -> (f64, f64) {
        let mut rng = ChaCha8Rng::seed_from_u64(7);
        let (mut holds, mut above) = (0, 0);
        for _ in 0..ROWS {
            let groups: Vec<Vec<f64>> = (0..3)
                .map(|_| {
                    let day: f64 = StandardNormal.sample(&mut rng);
                    (0..6).map(|_| days * day + leg(&mut rng)).collect()
                })
                .collect();
            let (low, high) = interval(&groups, &figure).unwrap();
            holds += usize::from((low..=high).contains(&truth));
            above += usize::from(low > truth);
        }
        (holds as f64 / ROWS as f64, above as f64 / ROWS as f64)
    }

    /// What decides whether a cause is named is the lower bound: it lies above the truth in 4 of 100 or less where days differ little, and in 8 where they
    /// differ as legs do. The interval holds in 93, or then 88, of 100 and more. Each with two standard deviations of the count to spare.
    #[test]
    fn intervals_hold() {
        let spare = |share: f64| 2.0 * (share * (1.0 - share) / ROWS as f64).sqrt();
        let normal = |rng: &mut ChaCha8Rng| StandardNormal.sample(rng);
        let skew = |rng: &mut ChaCha8Rng| -> f64 {
            let value: f64 = Exp1.sample(rng);
            value - std::f64::consts::LN_2
        };
        let middle = |drawn: &mut Vec<f64>| median(drawn.iter().copied());
        let size = |drawn: &mut Vec<f64>| root_mean_square(drawn);
        for (days, least, most) in [(0.0, 0.93, 0.03), (0.3, 0.93, 0.04), (1.0, 0.88, 0.08)] {
            let of = [
                ("normal", held(days, normal, middle, 0.0)),
                ("skew", held(days, skew, middle, 0.0)),
                ("size", held(days, normal, size, (1.0 + days * days).sqrt())),
            ];
            for (what, (holds, above)) in of {
                assert!(holds >= least - spare(least), "{what}, {days}: {holds}");
                assert!(above <= most + spare(most), "{what}, {days}: {above}");
            }
        }
    }

    #[test]
    fn alike_flights_are_worth_as_many_as_there_are() {
        let group = |mean: f64| vec![mean - 0.01, mean, mean + 0.01];
        let (a, b, c) = (group(0.0), group(10.0), group(20.0));
        let far = worth(&[&a, &b, &c]);
        assert!((far - 3.0).abs() < 0.01, "{far}");
        let same = worth(&[&a, &a, &a]);
        assert!((same - 9.0).abs() < 1e-9, "{same}");
        assert!((worth(&[&a]) - 3.0).abs() < 1e-9);
        assert!((worth(&[&vec![1.0], &vec![2.0]]) - 2.0).abs() < 1e-9);
    }
}
