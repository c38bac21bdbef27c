//! Coordinates that came out as nothing: a latitude or a longitude of exactly 0° while the flight is
//! elsewhere.
//!
//! Both at once are dropped on reading; one alone may be true, on the equator or on the meridian. So a run
//! of such fixes goes only if it can be reached neither from the fix before it nor by the one after it.

use super::{SCATTER_M, Sample};
use crate::geodesy::ecef;
use crate::track::{Finding, Ledger, seconds_between};
use crate::units::Speed;

/// Leaves out what cannot be reached at `limit` and has a coordinate of exactly 0°.
pub(super) fn without(samples: Vec<Sample>, limit: Speed, ledger: &mut Ledger) -> Vec<Sample> {
    if !samples.iter().any(is_nulled) {
        return samples;
    }
    let mut kept: Vec<Sample> = Vec::with_capacity(samples.len());
    let mut rest = samples.as_slice();
    while let Some(first) = rest.first() {
        let nulled = is_nulled(first);
        let run = rest
            .iter()
            .take_while(|sample| is_nulled(sample) == nulled)
            .count();
        let (run, after) = rest.split_at(run);
        rest = after;
        if nulled && lies_elsewhere(run, kept.last(), after.first(), limit) {
            for Sample { fix, .. } in run {
                ledger.add_at(fix, Finding::ZeroCoordinate, fix.recorded());
            }
        } else {
            kept.extend_from_slice(run);
        }
    }
    kept
}

fn is_nulled(sample: &Sample) -> bool {
    sample.fix.position.lat() == 0.0 || sample.fix.position.lon() == 0.0
}

/// Whether a run is out of reach from both its neighbours, of which there must be one.
fn lies_elsewhere(
    run: &[Sample],
    before: Option<&Sample>,
    after: Option<&Sample>,
    limit: Speed,
) -> bool {
    let away = |from: Option<&Sample>, to: Option<&Sample>| {
        from.zip(to).map(|(from, to)| {
            let (a, b) = (
                ecef::from_position(from.fix.position),
                ecef::from_position(to.fix.position),
            );
            let chord_m =
                ((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)).sqrt();
            let seconds = seconds_between(from.fix.time, to.fix.time);
            chord_m > limit.mps() * seconds + SCATTER_M
        })
    };
    match (away(before, run.first()), away(run.last(), after)) {
        (Some(into), Some(out_of)) => into && out_of,
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => false,
    }
}
