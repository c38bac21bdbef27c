//! Where the record breaks off: the track split into stretches.

use super::Sample;
use crate::track::seconds_between;
use rayon::prelude::*;
use std::ops::Range;

/// The shortest default gap limit, seconds. Chosen: at 100 kt an aircraft flies 0.3 NM in it.
const SHORTEST_LIMIT_S: f64 = 10.0;
/// The default gap limit in median intervals. Chosen: three fixes missing in a row are still bridged.
const LIMIT_INTERVALS: f64 = 4.0;
/// A new segment after a step up to this many median intervals is a file cut in two, not a gap. Chosen.
const JOIN_INTERVALS: f64 = 2.0;

/// The track cut at gaps.
#[derive(Debug)]
pub(super) struct Stretches {
    pub(super) stretches: Vec<Range<usize>>,
    pub(super) median_interval_s: f64,
    pub(super) gap_limit_s: f64,
}

/// Splits where a step is longer than the limit, where the track jumps, and where the recorder began
/// a new segment, unless the step there is no longer than two median intervals.
pub(super) fn split(samples: &[Sample], given_limit_s: Option<f64>) -> Stretches {
    let steps_s = steps_s(samples);
    let median_interval_s = median(steps_s.clone());
    let gap_limit_s =
        given_limit_s.unwrap_or_else(|| SHORTEST_LIMIT_S.max(LIMIT_INTERVALS * median_interval_s));
    let join_limit_s = JOIN_INTERVALS * median_interval_s;
    let mut stretches = Vec::new();
    let mut start = 0;
    for (end, (pair, step_s)) in (1..).zip(samples.windows(2).zip(steps_s)) {
        let new_segment = pair[0].segment != pair[1].segment && step_s > join_limit_s;
        if step_s > gap_limit_s || new_segment || pair[1].after_jump {
            stretches.push(start..end);
            start = end;
        }
    }
    stretches.push(start..samples.len());
    Stretches {
        stretches,
        median_interval_s,
        gap_limit_s,
    }
}

/// Median of the steps between neighbouring fixes, seconds; 0 without a step.
pub(super) fn median_interval_s(samples: &[Sample]) -> f64 {
    median(steps_s(samples))
}

fn steps_s(samples: &[Sample]) -> Vec<f64> {
    samples
        .par_windows(2)
        .map(|pair| seconds_between(pair[0].fix.time, pair[1].fix.time))
        .collect()
}

fn median(mut steps_s: Vec<f64>) -> f64 {
    let middle = steps_s.len() / 2;
    if steps_s.is_empty() {
        return 0.0;
    }
    let even = steps_s.len().is_multiple_of(2);
    let (below, &mut upper, _) = steps_s.select_nth_unstable_by(middle, f64::total_cmp);
    if even {
        let lower = below.iter().copied().fold(0.0, f64::max);
        f64::midpoint(lower, upper)
    } else {
        upper
    }
}
