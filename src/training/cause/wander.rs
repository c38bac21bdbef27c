//! Weaving about the leg, once it is settled: to and fro on a leg, and now to one side and now to the other from leg to leg.

use super::fit::Fit;
use super::{Cause, Flights, Kind, words};
use crate::training::flight::{Flight, LegFlown};
use crate::training::measures::{Measure, settled_xte_m};
use crate::training::rank::{root_mean_square, sorted};
use crate::training::resample;

/// Legs it takes to say so. Chosen.
const FEWEST: usize = 4;

pub(super) fn cause(all: &Flights<'_>, fit: Option<&Fit>) -> Option<Cause> {
    let most = all.tolerances.most(Measure::Spread, all.spacing_m())?;
    let spread = |index: usize, flight: &Flight, leg: &LegFlown| {
        let band_m = all.tolerances.settled_band_m(flight.spacing_m);
        let (_, within) = settled_xte_m(leg, band_m)?;
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
    let size = root_mean_square(&groups.concat())?;
    let interval = resample::interval(&groups, |drawn| root_mean_square(drawn))?;
    (interval.0 > most).then(|| Cause {
        kind: Kind::Wandering,
        size,
        interval: Some(interval),
        tolerance: most,
        seen: words::wander(size, interval, most),
        practise: words::PRACTISE_WANDER.to_owned(),
        may_follow_drift: false,
        lessens: false,
        shown_by: all.leg(|flight, leg| {
            let band_m = all.tolerances.settled_band_m(flight.spacing_m);
            settled_xte_m(leg, band_m).map(|(_, spread)| spread)
        }),
    })
}
