//! Which fixes suffice to draw height and ground speed over the clock.

use super::flight::Flight;
use std::ops::Range;

/// Spans of time, each of which is told by its extremes. Chosen: several for each pixel that a picture is wide.
const SPANS: usize = 4096;

/// Indices of the fixes, rising: of each span of time the lowest and the highest, the slowest and the fastest, and the first
/// that has no height.
#[must_use]
pub fn extremes(flight: Flight<'_>) -> Vec<usize> {
    let time_s = &flight.motion.time_s;
    let lasts_s = time_s.last().copied().unwrap_or(0.0) / SPANS as f64;
    let mut kept = Vec::new();
    let mut start = 0;
    for span in 1..=SPANS {
        let until_s = lasts_s * span as f64;
        let end = start + time_s[start..].partition_point(|time| *time < until_s);
        // The last fix lies at the end of the last span.
        let end = if span == SPANS { time_s.len() } else { end };
        kept.extend(of_span(flight, start..end));
        start = end;
    }
    kept
}

fn of_span(flight: Flight<'_>, fixes: Range<usize>) -> Vec<usize> {
    let height = |fix: usize| {
        flight.track.fixes[fix]
            .height
            .get()
            .map(|height| (height.m(), fix))
    };
    let speed = |fix: usize| (flight.motion.speed_mps(fix), fix);
    let by_value = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0);
    let ends = [
        fixes.clone().filter_map(height).min_by(by_value),
        fixes.clone().filter_map(height).max_by(by_value),
        fixes.clone().map(speed).min_by(by_value),
        fixes.clone().map(speed).max_by(by_value),
    ];
    let bare = fixes.clone().find(|fix| height(*fix).is_none());
    let mut kept: Vec<usize> = ends.into_iter().flatten().map(|(_, fix)| fix).collect();
    kept.extend(bare);
    kept.sort_unstable();
    kept.dedup();
    kept
}
