//! Fixes beside the track: reached at a possible speed, but only by an impossible turn.

use super::Sample;
use super::bends::{self, Bends, MEDIANS_OF_PLACES};
use super::way::Way;
use crate::track::{Finding, Ledger};

/// Hardest acceleration over the ground, m/s². Chosen: two g, which a coordinated turn takes at a bank of
/// 63° (tan φ = a/g): beyond the 60° up to which a turn is no aerobatic one (from memory, 14 CFR 91.307) and
/// beyond any braking. A pull-up acts upwards and takes at most one g from the speed over the ground.
const HARDEST_MPS2: f64 = 19.6;
/// How wrong a time in whole seconds may be, seconds.
const WHOLE_SECONDS_S: f64 = 0.5;

/// How widely the places scatter, metres.
pub(super) fn scatter_m(way: &Way) -> f64 {
    let way = (way.seconds.as_slice(), way.places.as_slice());
    bends::scatter_m(way, HARDEST_MPS2, MEDIANS_OF_PLACES)
}

/// Leaves out spikes, piece by piece between the jumps of the track.
pub(super) fn without(
    samples: Vec<Sample>,
    way: &Way,
    scatter_m: f64,
    ledger: &mut Ledger,
) -> Vec<Sample> {
    let whole = samples
        .iter()
        .all(|sample| sample.fix.time.timestamp_subsec_nanos() == 0);
    let time_error_s = if whole { WHOLE_SECONDS_S } else { 0.0 };
    let mut begins = 0;
    let mut pieces = Vec::new();
    for piece in samples.chunk_by(|_, next| !next.after_jump) {
        let range = begins..begins + piece.len();
        begins = range.end;
        let way = (&way.seconds[range.clone()], &way.places[range]);
        let bends = Bends::new(way, HARDEST_MPS2, time_error_s, scatter_m);
        let spikes = bends.spikes();
        pieces.push((piece, bends, spikes));
    }
    if pieces.iter().all(|(_, _, spikes)| spikes.is_empty()) {
        return samples;
    }
    let mut kept: Vec<Sample> = Vec::with_capacity(samples.len());
    for (piece, bends, spikes) in pieces {
        let begins = kept.len();
        let mut next_spike = spikes.iter().copied().peekable();
        for (index, sample) in piece.iter().enumerate() {
            if next_spike.next_if_eq(&index).is_none() {
                kept.push(*sample);
                continue;
            }
            let is_spike = |at: &usize| spikes.binary_search(at).is_ok();
            let before = (0..index).rev().find(|at| !is_spike(at));
            let after = (index + 1..piece.len()).find(|at| !is_spike(at));
            let off = before
                .zip(after)
                .map_or_else(String::new, |(before, after)| {
                    let off_m = bends.deviation_m(before, index, after);
                    format!(": {off_m:.0} m off the way between its neighbours")
                });
            let raw = sample.fix.recorded() + &off;
            ledger.add_at(&sample.fix, Finding::ImpossibleTurn, raw);
        }
        if let (Some(first), Some(new_first)) = (piece.first(), kept.get_mut(begins)) {
            new_first.after_jump = first.after_jump;
        }
    }
    kept
}
