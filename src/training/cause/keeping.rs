//! Height and ground speed.

use super::{Cause, Flights, Kind, words};
use crate::training::flight::{Flight, LegFlown};
use crate::training::measures::{Measure, speed_off_mps};
use crate::training::rank::root_mean_square;
use crate::training::resample;

/// Legs it takes to say so. Chosen.
const FEWEST: usize = 4;

pub(super) fn causes(all: &Flights<'_>) -> Vec<Cause> {
    let height = |_: &Flight, leg: &LegFlown| Some(leg.height_off_m?.hypot(leg.height_sd_m?));
    let speed = |flight: &Flight, leg: &LegFlown| {
        Some(speed_off_mps(flight, leg).hypot(leg.ground_speed_sd_mps))
    };
    let height = cause(all, Measure::Height, Kind::Height, height);
    let speed = cause(all, Measure::Speed, Kind::Speed, speed);
    [height, speed].into_iter().flatten().collect()
}

fn cause(
    all: &Flights<'_>,
    measure: Measure,
    kind: Kind,
    value: impl Fn(&Flight, &LegFlown) -> Option<f64>,
) -> Option<Cause> {
    let most = all.tolerances.most(measure, all.spacing_m())?;
    let groups: Vec<Vec<f64>> = all
        .flights
        .iter()
        .map(|flight| {
            flight
                .legs
                .iter()
                .filter_map(|leg| value(flight, leg))
                .collect()
        })
        .collect();
    if groups.iter().map(Vec::len).sum::<usize>() < FEWEST {
        return None;
    }
    let size = root_mean_square(&groups.concat())?;
    let interval = resample::interval(&groups, |drawn| root_mean_square(drawn))?;
    (interval.0 > most).then(|| Cause {
        kind,
        size,
        interval: Some(interval),
        tolerance: most,
        seen: words::keeping(kind, size, interval),
        practise: words::practise_keeping(kind).to_owned(),
        may_follow_drift: false,
        lessens: false,
        shown_by: all.leg(value),
    })
}
