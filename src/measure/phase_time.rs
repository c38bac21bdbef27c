//! Time and distance by phase, and what of it did not count as looking.

use super::flight::Flight;
use crate::matching::phases::path_m;
use crate::matching::{Matched, Phase, PhaseSpan, Span};
use crate::track::seconds_between;
use crate::units::Length;
use serde::Serialize;

/// Total of one phase.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PhaseTotal {
    /// The phase.
    pub phase: Phase,
    /// How many times it came.
    pub times: usize,
    /// Seconds in it.
    pub duration_s: f64,
    /// Distance flown in it; `None` where not recorded.
    #[serde(rename = "distance_m")]
    pub distance: Option<Length>,
}

/// Flight in the search window, and holes of the log, that were not counted as looking.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NotCounted {
    /// Why, in words.
    pub reason: String,
    /// Seconds of it.
    pub duration_s: f64,
    /// Distance of it; `None` where not recorded.
    #[serde(rename = "distance_m")]
    pub distance: Option<Length>,
}

/// The flight phase by phase, with the holes of the log between its stretches. A phase lasts to the
/// first fix of the next one, so that times add up.
#[must_use]
pub fn phase_spans(flight: Flight<'_>, matched: &Matched) -> Vec<PhaseSpan> {
    let Flight { track, motion, .. } = flight;
    let mut phases = Vec::with_capacity(matched.spans.len());
    for (i, span) in matched.spans.iter().enumerate() {
        let next = matched.spans.get(i + 1);
        let in_gap = next.is_some_and(|n| track.begins_stretch(n.fixes.start));
        let last = match next {
            Some(next) if !in_gap => next.fixes.start,
            _ => span.fixes.end - 1,
        };
        let (from, to) = (track.fixes[span.fixes.start].time, track.fixes[last].time);
        phases.push(PhaseSpan {
            phase: span.phase,
            from,
            to,
            duration_s: seconds_between(from, to),
            distance: Some(match span.phase {
                // Positions wander there; nothing is flown.
                Phase::Ground => Length::default(),
                _ => Length::from_m(path_m(&motion.xy[span.fixes.start..=last])),
            }),
            leg: leg_label(flight, matched, span),
        });
        if let (true, Some(next)) = (in_gap, next) {
            let back = track.fixes[next.fixes.start].time;
            phases.push(PhaseSpan {
                phase: Phase::NotRecorded,
                from: to,
                to: back,
                duration_s: seconds_between(to, back),
                distance: None,
                leg: None,
            });
        }
    }
    phases
}

/// Time and distance in each phase, in the order of [`Phase`].
#[must_use]
pub fn phase_totals(spans: &[PhaseSpan]) -> Vec<PhaseTotal> {
    let mut totals: std::collections::BTreeMap<Phase, PhaseTotal> = Default::default();
    for span in spans {
        let total = totals.entry(span.phase).or_insert(PhaseTotal {
            phase: span.phase,
            times: 0,
            duration_s: 0.0,
            distance: None,
        });
        total.times += 1;
        total.duration_s += span.duration_s;
        if let Some(distance) = span.distance {
            let so_far = total.distance.unwrap_or_default();
            total.distance = Some(Length::from_m(so_far.m() + distance.m()));
        }
    }
    totals.into_values().collect()
}

/// Label of the leg that a span was flown on, planned or additional.
#[must_use]
pub fn leg_label(flight: Flight<'_>, matched: &Matched, span: &Span) -> Option<String> {
    match (span.phase, span.part) {
        (Phase::SearchLeg, Some(run)) => {
            Some(flight.plan.legs[matched.runs[run].leg].label.clone())
        }
        (Phase::AdditionalLeg, Some(i)) => Some(format!("A{}", i + 1)),
        _ => None,
    }
}
