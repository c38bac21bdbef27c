//! The parts of the flight that count as looking: on a leg, planned or additional, wings level.
//!
//! "The upwing lookout can see only sky" from a banked aircraft (JP 3-50 Vol I, 1991, p. 394), so
//! turns count for nothing; nor does any phase but the legs.

use crate::matching::{Matched, Phase, PhaseSpan};
use crate::measure::NotCounted;
use crate::track::motion::Motion;
use crate::units::Length;
use geo::{Coord, LineString, Simplify};
use std::ops::Range;

/// Bank up to which the wings count as level, degrees. Chosen: corrections of course stay below,
/// turns onto another leg do not.
pub const LEVEL_BANK_DEG: f64 = 15.0;
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

/// The lines flown while looking, thinned so that none departs from the track by more than
/// `tolerance_m`.
#[must_use]
pub fn looking_lines(matched: &Matched, motion: &Motion, tolerance_m: f64) -> Vec<LookingLine> {
    matched
        .spans
        .iter()
        .enumerate()
        .filter(|(_, span)| is_leg(span.phase))
        .flat_map(|(passage, span)| {
            level_ranges(span.fixes.clone(), motion)
                .into_iter()
                .filter_map(move |range| line(range, motion, tolerance_m))
                .map(move |line| LookingLine { passage, line })
        })
        .collect()
}

const fn is_leg(phase: Phase) -> bool {
    matches!(phase, Phase::SearchLeg | Phase::AdditionalLeg)
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

/// Flight in the search window that is not counted, by reason.
#[must_use]
pub fn not_counted(phases: &[PhaseSpan], matched: &Matched, motion: &Motion) -> Vec<NotCounted> {
    let mut reasons: Vec<NotCounted> = [
        Phase::Turn,
        Phase::Orbit,
        Phase::Excursion,
        Phase::NotRecorded,
    ]
    .into_iter()
    .filter_map(|phase| {
        let spans: Vec<&PhaseSpan> = phases.iter().filter(|s| s.phase == phase).collect();
        (!spans.is_empty()).then(|| NotCounted {
            reason: phase.name().to_owned(),
            duration_s: spans.iter().map(|s| s.duration_s).sum(),
            distance: spans
                .iter()
                .filter_map(|s| s.distance)
                .reduce(|a, b| Length::from_m(a.m() + b.m())),
        })
    })
    .collect();
    let (mut banked_s, mut banked_m) = (0.0, 0.0);
    for span in matched.spans.iter().filter(|span| is_leg(span.phase)) {
        for i in span
            .fixes
            .clone()
            .skip(1)
            .filter(|i| motion.bank_deg(*i) > LEVEL_BANK_DEG)
        {
            let dt = motion.time_s[i] - motion.time_s[i - 1];
            banked_s += dt;
            banked_m += dt * motion.speed_mps(i);
        }
    }
    if banked_s > 0.0 {
        reasons.push(NotCounted {
            reason: format!("banked more than {LEVEL_BANK_DEG:.0}° on a leg"),
            duration_s: banked_s,
            distance: Some(Length::from_m(banked_m)),
        });
    }
    reasons
}
