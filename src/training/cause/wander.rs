//! Weaving about the leg, once it is settled: to and fro on a leg, and now to one side and now to the other from leg to leg.

use super::fit::Fit;
use super::{Cause, Flights, Kind, words};
use crate::training::flight::{Flight, LegFlown};
use crate::training::measures::{Measure, settled_after_m};
use crate::training::rank::sorted;
use crate::training::resample;

/// Legs it takes to say so. Chosen.
const FEWEST: usize = 4;

pub(super) fn cause(all: &Flights<'_>, fit: Option<&Fit>) -> Option<Cause> {
    let most = all.tolerances.most(Measure::Spread, all.spacing_m())?;
    let spread = |index: usize, flight: &Flight, leg: &LegFlown| {
        let band_m = all.tolerances.settled_band_m(flight.spacing_m);
        let within = spread_m(leg, settled_after_m(leg, band_m)?)?;
        let rest = fit.and_then(|fit| fit.rest_m(index, &leg.label));
        Some(within.hypot(rest.unwrap_or(0.0)))
    };
    let groups: Vec<Vec<f64>> = all
        .flights
        .iter()
        .enumerate()
        .map(|(i, flight)| {
            let legs = flight.legs.iter();
            legs.filter_map(|leg| spread(i, flight, leg)).collect()
        })
        .collect();
    if sorted(groups.iter().flatten().copied()).len() < FEWEST {
        return None;
    }
    let root_mean_square = |values: &[f64]| {
        let squares: f64 = values.iter().map(|v| v * v).sum();
        (!values.is_empty()).then(|| (squares / values.len() as f64).sqrt())
    };
    let size = root_mean_square(&groups.concat())?;
    let interval = resample::interval(&groups, |drawn| root_mean_square(drawn))?;
    (interval.0 > most).then(|| Cause {
        kind: Kind::Wandering,
        size,
        interval: Some(interval),
        tolerance: most,
        seen: words::wander(size, interval, most),
        practise: words::PRACTISE_WANDER.to_owned(),
        shown_by: all.place(|flight, leg| {
            let band_m = all.tolerances.settled_band_m(flight.spacing_m);
            spread_m(leg, settled_after_m(leg, band_m)?)
        }),
    })
}

/// Standard deviation of XTE from `from_m` on, each point standing for half the way to its neighbours.
fn spread_m(leg: &LegFlown, from_m: f64) -> Option<f64> {
    let points: Vec<(f64, f64)> = leg
        .profile
        .iter()
        .flat_map(|points| points.windows(2))
        .filter(|two| two[0].0 >= from_m)
        .map(|two| ((two[1].0 - two[0].0).abs(), (two[0].1 + two[1].1) / 2.0))
        .collect();
    let way: f64 = points.iter().map(|(way, _)| way).sum();
    let mean = points.iter().map(|(way, xte)| way * xte).sum::<f64>() / way;
    let squares: f64 = points
        .iter()
        .map(|(way, xte)| way * (xte - mean).powi(2))
        .sum();
    (way > 0.0).then(|| (squares / way).sqrt())
}
