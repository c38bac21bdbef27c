//! What the crew was doing, moment by moment.
//!
//! Legs, planned and additional, are known by now; this names what lies before, between and after
//! them.

use super::sequence::Run;
use crate::plan::Plan;
use crate::track::Track;
use crate::track::motion::Motion;
use crate::units::{Length, wrap_180};
use chrono::{DateTime, Utc};
use geo::{Coord, Distance, Euclidean};
use serde::Serialize;
use std::ops::Range;

/// Turning through this much one way and the other is an orbit, degrees. A procedure turn (80/260)
/// sweeps 260, a full circle 360. Chosen between.
const ORBIT_DEG: f64 = 330.0;
/// In a circle the rate of turn is nowhere for long below this share of its mean …
const STRAIGHT_RATE_SHARE: f64 = 0.35;
/// … that is, at no more than this share of the fixes: away, round and back is no circle. Chosen.
const STRAIGHT_TIME_SHARE: f64 = 0.2;
/// A circle begins and ends on the legs it joins, seconds: a fix on the way into the bank still fits
/// the leg. Chosen.
const CIRCLE_MARGIN_S: f64 = 15.0;
/// The way from one leg to the next is a turn while it is no longer than twice the straight way and
/// this much more. Chosen: a teardrop at 90 kt takes some 1.5 NM.
const TURN_EXTRA: Length = Length::from_nm(3.0);
/// As [`TURN_EXTRA`], where the legs have different heights of their own. Chosen: after the circle down
/// the next band is joined afresh.
const STEP_EXTRA: Length = Length::from_nm(6.0);

/// A phase of the flight.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Phase {
    /// Standing or taxiing, before the first flight or after the last.
    Ground,
    /// On the way to the area.
    TransitOut,
    /// Flying round the corners of the area before the search.
    BoundaryCheck,
    /// On a planned search leg.
    SearchLeg,
    /// A straight run in the area that is on no planned leg.
    AdditionalLeg,
    /// From one leg to another.
    Turn,
    /// Circling something.
    Orbit,
    /// Away from the pattern within the search window, for another reason.
    Excursion,
    /// On the way home.
    TransitHome,
    /// The log has a hole here.
    NotRecorded,
}

impl Phase {
    /// All of them, in the order in which they usually come.
    pub const ALL: [Self; 10] = [
        Self::Ground,
        Self::TransitOut,
        Self::BoundaryCheck,
        Self::SearchLeg,
        Self::AdditionalLeg,
        Self::Turn,
        Self::Orbit,
        Self::Excursion,
        Self::TransitHome,
        Self::NotRecorded,
    ];

    /// Name for people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ground => "ground",
            Self::TransitOut => "transit out",
            Self::BoundaryCheck => "boundary check",
            Self::SearchLeg => "search leg",
            Self::AdditionalLeg => "additional leg",
            Self::Turn => "turn",
            Self::Orbit => "orbit",
            Self::Excursion => "excursion",
            Self::TransitHome => "transit home",
            Self::NotRecorded => "not recorded",
        }
    }
}

/// A range of fixes in one phase, within one stretch.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// Which phase.
    pub phase: Phase,
    /// Its fixes.
    pub fixes: Range<usize>,
    /// Index of the run or of the additional leg, in those phases.
    pub part: Option<usize>,
}

/// A time spent in one phase.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PhaseSpan {
    /// Which phase.
    pub phase: Phase,
    /// Its beginning.
    pub from: DateTime<Utc>,
    /// Its end.
    pub to: DateTime<Utc>,
    /// Seconds in it.
    pub duration_s: f64,
    /// Distance flown in it, none on the ground; `None` where not recorded.
    #[serde(rename = "distance_m")]
    pub distance: Option<Length>,
    /// Label of the leg, on a leg.
    pub leg: Option<String>,
}

/// A leg flown, planned or additional.
struct Part {
    phase: Phase,
    index: usize,
    fixes: Range<usize>,
    /// Planned leg and direction, on a planned leg.
    run: Option<(usize, bool)>,
    /// Height of the planned leg, where it has one of its own.
    altitude: Option<Length>,
}

/// Puts every fix into a span; `boundary_from` is the fix at which the boundary check begins, if
/// there is one.
#[must_use]
pub fn spans(
    track: &Track,
    motion: &Motion,
    plan: &Plan,
    runs: &[Run],
    additional: &[Range<usize>],
    boundary_from: Option<usize>,
) -> Vec<Span> {
    let mut parts: Vec<Part> = runs
        .iter()
        .enumerate()
        .map(|(index, run)| Part {
            phase: Phase::SearchLeg,
            index,
            fixes: run.on_leg.clone(),
            run: Some((run.leg, run.reversed)),
            altitude: plan.legs[run.leg].altitude,
        })
        .chain(additional.iter().enumerate().map(|(index, fixes)| Part {
            phase: Phase::AdditionalLeg,
            index,
            fixes: fixes.clone(),
            run: None,
            altitude: None,
        }))
        .collect();
    parts.sort_by_key(|part| part.fixes.start);
    let mut spans = Vec::new();
    let mut next = 0;
    for stretch in &track.stretches {
        let mut at = stretch.start;
        while at < stretch.end {
            let part = parts
                .get(next)
                .filter(|part| part.fixes.start < stretch.end);
            let until = part.map_or(stretch.end, |part| part.fixes.start);
            if at < until {
                let before = next.checked_sub(1).map(|i| &parts[i]);
                let around = (stretch, before, parts.get(next));
                between(at..until, around, boundary_from, motion, &mut spans);
            }
            at = until;
            if let Some(part) = part {
                spans.push(Span {
                    phase: part.phase,
                    fixes: part.fixes.clone(),
                    part: Some(part.index),
                });
                at = part.fixes.end;
                next += 1;
            }
        }
    }
    spans
}

/// Names the fixes between two legs, or before the first or after the last.
fn between(
    fixes: Range<usize>,
    (stretch, before, after): (&Range<usize>, Option<&Part>, Option<&Part>),
    boundary_from: Option<usize>,
    motion: &Motion,
    spans: &mut Vec<Span>,
) {
    let mut push = |phase: Phase, fixes: Range<usize>| {
        if !fixes.is_empty() {
            spans.push(Span {
                phase,
                fixes,
                part: None,
            });
        }
    };
    match (before, after) {
        (None, _) => {
            let airborne = motion.airborne.start.clamp(fixes.start, fixes.end);
            let boundary = boundary_from.map_or(fixes.end, |from| from.clamp(airborne, fixes.end));
            push(Phase::Ground, fixes.start..airborne);
            push(Phase::TransitOut, airborne..boundary);
            push(Phase::BoundaryCheck, boundary..fixes.end);
        }
        (_, None) => {
            let landed = motion.airborne.end.clamp(fixes.start, fixes.end);
            push(Phase::TransitHome, fixes.start..landed);
            push(Phase::Ground, landed..fixes.end);
        }
        (Some(before), Some(after)) => {
            let same_leg = before.run.is_some() && before.run == after.run;
            // From band to band of a contour search the aircraft descends in a circle.
            let steps_down = before
                .altitude
                .zip(after.altitude)
                .is_some_and(|(before, after)| before != after);
            let orbit = tightest_circle(&widened(&fixes, stretch, motion), motion)
                .filter(|o| turns_throughout(o, motion))
                .map(|o| o.start.max(fixes.start)..o.end.min(fixes.end))
                .filter(|o| !o.is_empty());
            let circling_m = orbit.clone().map_or(0.0, |o| path_m(&motion.xy[o]));
            let way_m = path_m(&motion.xy[fixes.clone()]) - circling_m;
            let extra = if steps_down { STEP_EXTRA } else { TURN_EXTRA };
            let other = if !same_leg && is_turn(way_m, extra, before, after, motion) {
                Phase::Turn
            } else {
                Phase::Excursion
            };
            match orbit {
                Some(_) if steps_down && other == Phase::Turn => push(Phase::Turn, fixes),
                // Breaking off to circle and coming back to the same leg is all one thing.
                Some(_) if same_leg => push(Phase::Orbit, fixes),
                Some(orbit) => {
                    push(other, fixes.start..orbit.start);
                    push(Phase::Orbit, orbit.clone());
                    push(other, orbit.end..fixes.end);
                }
                None => push(other, fixes),
            }
        }
    }
}

/// Whether fixes between two runs are the way from one band of a contour search to another: with a full
/// circle, and otherwise short.
pub(super) fn is_step(
    fixes: &Range<usize>,
    (before, after): (&Run, &Run),
    track: &Track,
    motion: &Motion,
    plan: &Plan,
) -> bool {
    let altitude = |run: &Run| plan.legs[run.leg].altitude;
    let differ = altitude(before)
        .zip(altitude(after))
        .is_some_and(|(before, after)| before != after);
    let stretch = track
        .stretches
        .iter()
        .find(|stretch| stretch.contains(&fixes.start));
    let circle = stretch
        .filter(|_| differ)
        .and_then(|stretch| tightest_circle(&widened(fixes, stretch, motion), motion))
        .map(|circle| circle.start.max(fixes.start)..circle.end.min(fixes.end));
    let Some(circle) = circle.filter(|circle| !circle.is_empty()) else {
        return false;
    };
    let way_m = path_m(&motion.xy[fixes.clone()]) - path_m(&motion.xy[circle]);
    let direct_m = Euclidean.distance(motion.xy[fixes.start], motion.xy[fixes.end - 1]);
    way_m <= 2.0 * direct_m + STEP_EXTRA.m()
}

/// The fixes with [`CIRCLE_MARGIN_S`] to each side, within the stretch.
fn widened(fixes: &Range<usize>, stretch: &Range<usize>, motion: &Motion) -> Range<usize> {
    let time_s = |fix: usize| motion.time_s[fix];
    let (first_s, last_s) = (time_s(fixes.start), time_s(fixes.end - 1));
    let early = (stretch.start..fixes.start)
        .rev()
        .take_while(|i| first_s - time_s(*i) <= CIRCLE_MARGIN_S);
    let late = (fixes.end..stretch.end).take_while(|i| time_s(*i) - last_s <= CIRCLE_MARGIN_S);
    fixes.start - early.count()..fixes.end + late.count()
}

/// The shortest range of fixes over which the course sweeps through a full circle, if any does.
fn tightest_circle(fixes: &Range<usize>, motion: &Motion) -> Option<Range<usize>> {
    let mut swept = Vec::with_capacity(fixes.len());
    let (mut total, mut lowest, mut highest) = (0.0f64, 0.0f64, 0.0f64);
    for i in fixes.clone() {
        if i > fixes.start {
            total += wrap_180(motion.course_deg[i] - motion.course_deg[i - 1]);
        }
        lowest = total.min(lowest);
        highest = total.max(highest);
        swept.push(total);
    }
    if highest - lowest < ORBIT_DEG {
        return None;
    }
    // Monotone queues of the lowest and highest sweep in the window keep this linear.
    let mut best: Option<Range<usize>> = None;
    let mut lows = std::collections::VecDeque::new();
    let mut highs = std::collections::VecDeque::new();
    for (i, value) in swept.iter().enumerate() {
        while lows.back().is_some_and(|b: &usize| swept[*b] >= *value) {
            lows.pop_back();
        }
        while highs.back().is_some_and(|b: &usize| swept[*b] <= *value) {
            highs.pop_back();
        }
        lows.push_back(i);
        highs.push_back(i);
        while let (Some(&low), Some(&high)) = (lows.front(), highs.front()) {
            if swept[high] - swept[low] < ORBIT_DEG {
                break;
            }
            let from = low.min(high);
            if best.as_ref().is_none_or(|b| i - from < b.len()) {
                best = Some(from..i);
            }
            if low < high {
                lows.pop_front()
            } else {
                highs.pop_front()
            };
        }
    }
    best.map(|range| fixes.start + range.start..fixes.start + range.end + 1)
}

/// Whether the aircraft turned all the while.
fn turns_throughout(fixes: &Range<usize>, motion: &Motion) -> bool {
    let rates = || {
        motion.turn_rate_dps[fixes.clone()]
            .iter()
            .map(|rate| rate.abs())
    };
    let mean = rates().sum::<f64>() / fixes.len() as f64;
    let straight = rates()
        .filter(|rate| *rate < STRAIGHT_RATE_SHARE * mean)
        .count();
    (straight as f64) <= STRAIGHT_TIME_SHARE * fixes.len() as f64
}

/// Whether a way of this length between two legs is short enough to be a turn.
fn is_turn(way_m: f64, extra: Length, before: &Part, after: &Part, motion: &Motion) -> bool {
    let direct_m = Euclidean.distance(
        motion.xy[before.fixes.end - 1],
        motion.xy[after.fixes.start],
    );
    way_m <= 2.0 * direct_m + extra.m()
}

/// Length of a line, metres.
#[must_use]
pub fn path_m(line: &[Coord<f64>]) -> f64 {
    line.windows(2)
        .map(|pair| Euclidean.distance(pair[0], pair[1]))
        .sum()
}
