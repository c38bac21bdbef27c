//! The parts of the flight that count as looking: on a leg, planned or additional, wings level.
//!
//! "The upwing lookout can see only sky" from a banked aircraft (JP 3-50 Vol I, 1991, p. 394), so
//! turns count for nothing; nor does any phase but the legs.

use crate::matching::{Matched, Phase};
use crate::measure::NotCounted;
use crate::track::motion::{LEVEL_BANK_DEG, Motion};
use crate::units::Length;
use geo::{Coord, LineString, Simplify};
use std::collections::BTreeMap;
use std::ops::Range;

/// Fixes closer in time than this are not all kept, seconds.
const STEP_S: f64 = 1.0;

/// A line flown while looking.
#[derive(Clone, Debug)]
pub struct LookingLine {
    /// Which passage it belongs to; lines of one passage count as one look.
    pub passage: usize,
    /// The line in the local plane, metres, in the order flown; at least two points.
    pub line: Vec<Coord<f64>>,
}

/// Ranges of fixes flown while looking, passage by passage: runs along planned legs, with the
/// straight flight past their ends, and additional legs, wings level.
#[must_use]
pub fn looking_ranges(matched: &Matched, motion: &Motion) -> Vec<Vec<Range<usize>>> {
    let planned = matched.runs.iter().map(|run| &run.fixes);
    planned
        .chain(&matched.additional)
        .map(|fixes| level_ranges(fixes.clone(), motion))
        .collect()
}

/// The lines flown in these ranges, thinned so that none departs from the track by more than
/// `tolerance_m`.
#[must_use]
pub fn looking_lines(
    ranges: &[Vec<Range<usize>>],
    motion: &Motion,
    tolerance_m: f64,
) -> Vec<LookingLine> {
    ranges
        .iter()
        .enumerate()
        .flat_map(|(passage, ranges)| {
            ranges
                .iter()
                .filter_map(move |range| line(range.clone(), motion, tolerance_m))
                .map(move |line| LookingLine { passage, line })
        })
        .collect()
}

/// Ranges of fixes with the wings level.
fn level_ranges(fixes: Range<usize>, motion: &Motion) -> Vec<Range<usize>> {
    let mut ranges: Vec<Range<usize>> = Vec::new();
    for i in fixes {
        if motion.bank_deg(i) > LEVEL_BANK_DEG {
            continue;
        }
        match ranges.last_mut() {
            Some(range) if range.end == i => range.end = i + 1,
            _ => ranges.push(i..i + 1),
        }
    }
    ranges
}

fn line(range: Range<usize>, motion: &Motion, tolerance_m: f64) -> Option<Vec<Coord<f64>>> {
    let last = range.end - 1;
    let mut last_s = f64::NEG_INFINITY;
    let points: LineString<f64> = range
        .filter(|i| {
            let due = *i == last || motion.time_s[*i] - last_s >= STEP_S;
            if due {
                last_s = motion.time_s[*i];
            }
            due
        })
        .map(|i| motion.xy[i])
        .collect();
    // Ramer-Douglas-Peucker: no dropped point is farther than the tolerance from the line kept.
    let kept = points.simplify(tolerance_m).into_inner();
    (kept.len() >= 2 && kept[0] != kept[kept.len() - 1]).then_some(kept)
}

/// Flight in the search window that is not counted, by reason; `not_recorded_s` seconds of it are
/// not recorded.
#[must_use]
pub fn not_counted(
    ranges: &[Vec<Range<usize>>],
    matched: &Matched,
    motion: &Motion,
    not_recorded_s: f64,
) -> Vec<NotCounted> {
    let mut looking = vec![false; motion.time_s.len()];
    for range in ranges.iter().flatten() {
        looking[range.clone()].fill(true);
    }
    let window = matched.window().unwrap_or(0..0);
    let on_leg = format!("banked more than {LEVEL_BANK_DEG:.0}° on a leg");
    let mut reasons: BTreeMap<Phase, NotCounted> = BTreeMap::new();
    for span in &matched.spans {
        // Planned and additional legs are one reason.
        let (key, reason) = match span.phase {
            Phase::SearchLeg | Phase::AdditionalLeg => (Phase::SearchLeg, on_leg.as_str()),
            other => (other, other.name()),
        };
        for i in span
            .fixes
            .clone()
            .skip(1)
            .filter(|i| window.contains(i) && !looking[*i])
        {
            let dt = motion.time_s[i] - motion.time_s[i - 1];
            let entry = reasons.entry(key).or_insert_with(|| NotCounted {
                reason: reason.to_owned(),
                duration_s: 0.0,
                distance: Some(Length::from_m(0.0)),
            });
            entry.duration_s += dt;
            let so_far = entry.distance.unwrap_or_default();
            entry.distance = Some(Length::from_m(so_far.m() + dt * motion.speed_mps(i)));
        }
    }
    let mut reasons: Vec<NotCounted> = reasons.into_values().collect();
    if not_recorded_s > 0.0 {
        reasons.push(NotCounted {
            reason: Phase::NotRecorded.name().to_owned(),
            duration_s: not_recorded_s,
            distance: None,
        });
    }
    reasons
}
