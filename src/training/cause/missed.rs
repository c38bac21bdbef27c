//! Legs, or parts of them, that were not flown though the log was running.

use super::{Cause, Flights, Kind, words};
use crate::training::flight::{Flight, LegPlanned};
use crate::training::measures::Measure;

/// A leg is cut short, and not only its end rounded, from this share on. Chosen.
const CUT: f64 = 0.05;
/// A leg is missed as a whole from this share on. Chosen.
const WHOLE: f64 = 0.9;

pub(super) fn cause(all: &Flights<'_>) -> Option<Cause> {
    let most = all.tolerances.most(Measure::NotFlown, all.spacing_m())?;
    let missed = |leg: &LegPlanned| (1.0 - leg.unrecorded_share - leg.flown_share).max(0.0);
    let legs = || all.in_place().flat_map(|(_, flight)| &flight.planned);
    let length: f64 = legs().map(|leg| leg.length_m).sum();
    let share = legs().map(|leg| leg.length_m * missed(leg)).sum::<f64>() / length;
    let count = |from: f64, to: f64| {
        legs()
            .filter(|leg| (from..to).contains(&missed(leg)))
            .count()
    };
    let (cut, whole) = (count(CUT, WHOLE), count(WHOLE, f64::INFINITY));
    let worst = all
        .in_place()
        .flat_map(|(_, flight): (usize, &Flight)| {
            flight.planned.iter().map(move |leg| (flight, leg))
        })
        .max_by(|a, b| missed(a.1).total_cmp(&missed(b.1)))
        .map(|(flight, leg)| (flight.sortie.as_str(), leg.label.as_str()));
    (share > most && cut + whole > 0).then(|| Cause {
        kind: Kind::LegsMissed,
        size: share,
        interval: None,
        tolerance: most,
        seen: words::missed(share, cut, whole, worst),
        practise: words::PRACTISE_MISSED.to_owned(),
        may_follow_drift: false,
        lessens: false,
        shown_by: None,
    })
}
