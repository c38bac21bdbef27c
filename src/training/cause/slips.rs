//! Slips over a whole pattern, which its debrief already found: a magnetic course flown as a true one, turns to the other side, a wrong start.

use super::{Cause, Flights, Kind, words};

pub(super) fn causes(all: &Flights<'_>) -> Vec<Cause> {
    let given = all
        .flights
        .iter()
        .filter(|flight| flight.is_moved() && !flight.inferred);
    let slips = given.flat_map(|flight| flight.slips.iter().map(move |slip| (flight, slip)));
    let cause = |(flight, slip): (&crate::training::Flight, &crate::measure::shift::Slip)| Cause {
        kind: Kind::Slip,
        size: 0.0,
        interval: None,
        tolerance: 0.0,
        seen: format!("{}: {}", flight.sortie, slip.words),
        practise: words::practise_slip(slip.slip).to_owned(),
        may_follow_drift: false,
        lessens: false,
        shown_by: None,
    };
    slips.map(cause).collect()
}
