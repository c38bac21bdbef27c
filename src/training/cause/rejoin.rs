//! Long on the way back onto the leg after a turn.

use super::{Cause, Flights, Kind, words};
use crate::training::measures::{Measure, settled_after_m};
use crate::training::rank::{median, sorted};
use crate::training::resample;

/// Legs it takes to say so. Chosen.
const FEWEST: usize = 4;

pub(super) fn cause(all: &Flights<'_>) -> Option<Cause> {
    let most = all.tolerances.most(Measure::Settled, all.spacing_m())?;
    let groups: Vec<Vec<f64>> = all
        .flights
        .iter()
        .map(|flight| {
            let values = Measure::Settled.of(flight, all.tolerances).parts;
            values.into_iter().map(|(_, metres)| metres).collect()
        })
        .collect();
    let values = sorted(groups.iter().flatten().copied());
    if values.len() < FEWEST {
        return None;
    }
    let size = median(values.into_iter())?;
    let interval = resample::interval(&groups, |drawn| median(drawn.iter().copied()))?;
    (interval.0 > most).then(|| Cause {
        kind: Kind::LateRejoin,
        size,
        interval: Some(interval),
        tolerance: most,
        seen: words::rejoin(size, interval, most),
        practise: words::PRACTISE_REJOIN.to_owned(),
        may_follow_drift: false,
        lessens: false,
        shown_by: all.leg(|flight, leg| {
            settled_after_m(leg, all.tolerances.settled_band_m(flight.spacing_m))
        }),
    })
}
