//! Slopes and chances against scipy, and how often intervals hold.

use overflown::training::trend::{Trend, standing};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use rand_distr::{Distribution, StandardNormal};

/// scipy 1.17.1 (PyPI), once: `stats.kendalltau(x, y, method="exact").pvalue` and `stats.theilslopes(y, x)[0]` with x = 0, 1, 2 …
#[test]
fn slopes_and_chances_are_those_of_scipy() {
    let cases: [(&[f64], f64, f64); 4] = [
        (&[5.0, 4.0, 3.5, 2.0, 1.0], 0.016_666_666_666_666_666, -1.0),
        (
            &[120.0, 95.0, 101.0, 70.0, 66.0, 41.0],
            0.016_666_666_666_666_666,
            -14.5,
        ),
        (
            &[3.1, 4.7, 2.2, 5.9, 4.4, 6.8, 5.1],
            0.238_888_888_888_888_9,
            0.45,
        ),
        (
            &[10.0, 9.0, 11.0, 8.0, 7.5, 9.5, 6.0, 5.0],
            0.031_150_793_650_793_65,
            -0.666_666_666_666_666_6,
        ),
    ];
    for (values, chance, slope) in cases {
        let trend = Trend::of(values);
        assert!((trend.chance.unwrap() - chance).abs() < 1e-12, "{values:?}");
        assert!((trend.slope.unwrap() - slope).abs() < 1e-12, "{values:?}");
    }
}

/// Of 2,000 rows of flights that change by a known slope amid chance, the interval holds it in 95 of 100 or more; and of as many that do not
/// change, with fourteen measures each, no more than 5 of 100 are told of any.
#[test]
fn intervals_hold_and_nobody_is_told_of_chance() {
    let mut rng = ChaCha8Rng::seed_from_u64(5);
    let mut normal = move || -> f64 { StandardNormal.sample(&mut rng) };
    const ROWS: usize = 2_000;
    for flights in 5..=10 {
        let held = (0..ROWS).filter(|_| {
            let values: Vec<f64> = (0..flights)
                .map(|i| normal() - 0.4 * f64::from(i))
                .collect();
            let (low, high) = Trend::of(&values).interval.unwrap();
            (low..=high).contains(&-0.4)
        });
        let held = held.count();
        // Two standard deviations of the count below 95 %.
        assert!(
            held as f64 >= (0.95 - 0.01) * ROWS as f64,
            "{flights}: {held}"
        );
        let told = (0..ROWS).filter(|_| {
            let trends: Vec<Trend> = (0..14)
                .map(|_| Trend::of(&(0..flights).map(|_| normal()).collect::<Vec<_>>()))
                .collect();
            standing(&trends).contains(&true)
        });
        let told = told.count();
        assert!(
            told as f64 <= (0.05 + 0.01) * ROWS as f64,
            "{flights}: {told}"
        );
    }
}
