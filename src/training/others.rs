//! How other pilots fly, without telling who: the spread of their middle values.

use super::measures::Measure;
use super::rank::{median, quantile, sorted};
use serde::Serialize;
use std::collections::BTreeMap;

/// With fewer other pilots nothing is said, since one of them could be told. Chosen.
pub const FEWEST: usize = 3;

/// The spread of a measure over other pilots: of each the median over flights.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// How many pilots.
    pub pilots: usize,
    /// A quarter of them are below.
    pub lower: f64,
    /// Half of them are below.
    pub middle: f64,
    /// Three quarters of them are below.
    pub upper: f64,
}

/// Shortfalls of other pilots: (pilot, measure, shortfall) of each flight.
#[must_use]
pub fn spread(values: &[(String, Measure, f64)]) -> BTreeMap<Measure, Spread> {
    let mut by_pilot: BTreeMap<(Measure, &str), Vec<f64>> = BTreeMap::new();
    for (pilot, measure, value) in values {
        by_pilot.entry((*measure, pilot)).or_default().push(*value);
    }
    let mut medians: BTreeMap<Measure, Vec<f64>> = BTreeMap::new();
    for ((measure, _), values) in by_pilot {
        medians
            .entry(measure)
            .or_default()
            .extend(median(values.into_iter()));
    }
    let spread = |(measure, values): (Measure, Vec<f64>)| {
        let values = sorted(values.into_iter());
        let at = |share| quantile(&values, share);
        (values.len() >= FEWEST).then_some((
            measure,
            Spread {
                pilots: values.len(),
                lower: at(0.25)?,
                middle: at(0.5)?,
                upper: at(0.75)?,
            },
        ))
    };
    medians.into_iter().filter_map(spread).collect()
}
